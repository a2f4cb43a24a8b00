/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The public headers read as text, and programs run from a test. */
#ifndef OXTINT_TEST_API_H
#define OXTINT_TEST_API_H

#include <stdbool.h>
#include <stddef.h>

/* A function as its header declares it. */
typedef struct {
    char name[64];
    bool can_fail; /* it takes an oxt_error */
} api_function;

/* All functions of include/oxtint that are marked OXT_API; gives their number. */
size_t api_functions(api_function *found, size_t capacity);

/* The headers of include/oxtint, as "oxtint/colour.h"; gives their number. */
size_t api_headers(char (*found)[64], size_t capacity);

/* Run a command of the shell and keep the beginning of what it writes; gives its exit status. */
int run(char *output, size_t capacity, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

#endif
