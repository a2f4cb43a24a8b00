/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L

#include "api.h"

#include <criterion/criterion.h>
#include <glob.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>

#include "support.h"

size_t api_headers(char (*found)[64], size_t capacity)
{
    glob_t headers;
    cr_assert_eq(glob(TEST_INCLUDE "/oxtint/*.h", 0, NULL, &headers), 0);
    cr_assert(headers.gl_pathc <= capacity);
    size_t count = headers.gl_pathc;
    for (size_t i = 0; i < count; i++)
        snprintf(found[i], sizeof found[i], "%s", headers.gl_pathv[i] + strlen(TEST_INCLUDE "/"));
    globfree(&headers);
    return count;
}

/* A declaration begins with OXT_API at the start of a line and ends with a semicolon; the name
 * stands before its first bracket. */
static const char *read_declaration(const char *text, api_function *function)
{
    const char *end = strchr(text, ';'), *bracket = strchr(text, '(');
    cr_assert(end && bracket && bracket < end, "no declaration: %.60s", text);
    const char *name = bracket;
    while (name[-1] != ' ' && name[-1] != '*')
        name--;
    snprintf(function->name, sizeof function->name, "%.*s", (int)(bracket - name), name);
    const char *error = strstr(text, "oxt_error *error)");
    function->can_fail = strncmp(text, "OXT_API oxt_status", 18) == 0;
    cr_assert(!function->can_fail || (error && error < end), "%s takes no oxt_error",
              function->name);
    return end;
}

size_t api_functions(api_function *found, size_t capacity)
{
    char headers[64][64], path[600];
    size_t count = 0, length;
    for (size_t i = api_headers(headers, 64); i-- > 0;) {
        snprintf(path, sizeof path, "%s/%s", TEST_INCLUDE, headers[i]);
        char *text = whole_file(path, &length);
        for (const char *at = text; (at = strstr(at, "\nOXT_API ")) != NULL;) {
            cr_assert(count < capacity);
            at = read_declaration(at + 1, &found[count++]);
        }
        free(text);
    }
    return count;
}

int run(char *output, size_t capacity, const char *format, ...)
{
    char command[4000];
    va_list list;
    va_start(list, format);
    int length = vsnprintf(command, sizeof command, format, list);
    va_end(list);
    cr_assert(length > 0 && (size_t)length < sizeof command);
    FILE *stream = popen(command, "r");
    cr_assert_not_null(stream);
    size_t got = fread(output, 1, capacity - 1, stream);
    output[got] = '\0';
    cr_assert_not(got == capacity - 1 && fgetc(stream) != EOF, "too much output: %s", command);
    int state = pclose(stream);
    return WIFEXITED(state) ? WEXITSTATUS(state) : -1;
}
