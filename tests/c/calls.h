/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A call of every public function that succeeds, in one or more variants. tests/c/every_call.c makes
 * these calls in every circumstance that a host may bring about. Nothing here needs Criterion. */
#ifndef OXTINT_TEST_CALLS_H
#define OXTINT_TEST_CALLS_H

#include <stdbool.h>
#include <stddef.h>

#include "oxtint.h"

/* What the calls read: finished objects, which any number of threads may share. */
typedef struct {
    oxt_film *film, *rough_film;
    oxt_material *material;
    oxt_trials *trials, *path_trials;
    oxt_faults *faults;
    oxt_fit *fit, *path_fit;
    oxt_fit_each *fits;
    oxt_laws *laws;
    oxt_pool *pool;
    oxt_bootstrap *bootstrap;
    oxt_cross_validation *validation;
    oxt_steel *recorded;
    oxt_record record;
    oxt_steel *steel, *renewed;
    oxt_advise *advice;
    oxt_plan *set;
    oxt_history *history;
    oxt_growth growth;
    oxt_target blue, second_blue, straw;
    oxt_part part;
    oxt_lift lift;
    oxt_bath bath;
    oxt_dip dip;
    oxt_temper temper;
    oxt_drift drift;
    char card[8000];
    char log_path[700], history_path[700], card_path[700];
} call_stage;

/* Make the objects; false, with the error, when one cannot be made. `directory` takes three files. */
bool call_stage_make(call_stage *made, const char *directory, oxt_error *error);
void call_stage_free(call_stage *made);

#define CALL_NUMBERS 256
#define CALL_TEXT 120000
#define CALL_OBJECT 8000

/* Structs are compared byte by byte where the compiler can clear what lies between their fields. */
#ifdef __has_builtin
#if __has_builtin(__builtin_clear_padding)
#define CALL_CLEAR(object) __builtin_clear_padding(object)
#endif
#endif

/* Where the results of one call go. Each begins as a pattern, which a failing call must leave alone;
 * `handle` begins as an address, which a failing call that makes a handle sets to NULL. */
typedef struct {
    double number[CALL_NUMBERS];
    char text[CALL_TEXT];
    union {
        size_t struct_size;
        double align;
        unsigned char bytes[CALL_OBJECT];
    } object;
    unsigned char before[CALL_OBJECT]; /* the object before the call */
    size_t object_size;                /* 0: the call fills none */
    void *handle;
    void (*release)(void *); /* set by a call that makes a handle */
    const char *path;        /* a file that the call may write */
} call_result;

typedef struct {
    const char *function; /* as its header declares it */
    const char *variant;
    oxt_status (*make)(const call_stage *stage, call_result *result, oxt_error *error);
} call_case;

/* All calls; gives their number. */
size_t call_cases(const call_case **cases);

#endif
