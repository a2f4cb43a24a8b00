/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the headers and the built libraries look like from outside. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api.h"
#include "support.h"

#define STRICT "-Wall -Wextra -Wconversion -Wshadow -Werror -pedantic"

static char output[1 << 20];

static void compiles(const char *compiler, const char *standard, const char *header)
{
    int state = run(output, sizeof output,
                    "printf '#include \"%s\"\\n' | %s -std=%s %s -I%s -x %s -fsyntax-only - 2>&1",
                    header, compiler, standard, STRICT, TEST_INCLUDE,
                    strchr(standard, '+') ? "c++" : "c");
    cr_assert(state == 0 && output[0] == '\0', "%s as %s: %s", header, standard, output);
}

Test(headers, each_compiles_alone)
{
    char headers[64][64];
    size_t count = api_headers(headers, 64);
    cr_assert(count >= 13);
    for (size_t i = 0; i < count; i++) {
        compiles(TEST_CC, "c11", headers[i]);
        compiles(TEST_CXX, "c++17", headers[i]);
    }
}

Test(headers, umbrella_compiles_and_holds_every_header)
{
    char headers[64][64], line[100], path[600];
    size_t count = api_headers(headers, 64), length;
    compiles(TEST_CC, "c11", "oxtint.h");
    compiles(TEST_CC, "c17", "oxtint.h");
    compiles(TEST_CXX, "c++17", "oxtint.h");
    snprintf(path, sizeof path, "%s/oxtint.h", TEST_INCLUDE);
    char *text = whole_file(path, &length);
    for (size_t i = 0; i < count; i++) {
        snprintf(line, sizeof line, "#include \"%s\"\n", headers[i]);
        cr_assert(strstr(text, line) != NULL, "oxtint.h lacks %s", headers[i]);
    }
    free(text);
}

/* The bindings read the headers after the preprocessor: only declarations may be left. */
Test(headers, declarations_only_holds_nothing_else)
{
    static const char *const foreign[] = { "__attribute__",  "__declspec", "extern",
                                           "inline",         "#include",   "OXT_API",
                                           "OXT_BEGIN_DECLS" };
    int state =
        run(output, sizeof output,
            "printf '#include \"oxtint.h\"\\n' | %s -E -P -DOXT_DECLARATIONS_ONLY -I%s -x c - "
            "2>&1",
            TEST_CC, TEST_INCLUDE);
    cr_assert_eq(state, 0, "%s", output);
    for (size_t i = 0; i < sizeof foreign / sizeof foreign[0]; i++)
        cr_assert_null(strstr(output, foreign[i]), "%s is left", foreign[i]);
    api_function functions[400];
    size_t count = api_functions(functions, 400);
    for (size_t i = 0; i < count; i++)
        cr_assert_not_null(strstr(output, functions[i].name), "%s is lost", functions[i].name);
}

/* Every macro that a header defines has the prefix, save the guards of the include files. */
Test(headers, every_macro_has_the_prefix)
{
    int state =
        run(output, sizeof output,
            "cat %s/oxtint.h %s/oxtint/*.h | sed -n 's/^ *# *define  *\\([A-Za-z_0-9]*\\).*/\\1/p'",
            TEST_INCLUDE, TEST_INCLUDE);
    cr_assert_eq(state, 0);
    size_t count = 0;
    for (char *name = strtok(output, "\n"); name; name = strtok(NULL, "\n"), count++)
        cr_assert(strncmp(name, "OXT_", 4) == 0 || strncmp(name, "OXTINT_", 7) == 0, "%s", name);
    cr_assert(count > 30);
}

Test(headers, version_is_that_of_the_library)
{
    char expected[40];
    snprintf(expected, sizeof expected, "%d.%d.%d", OXT_VERSION_MAJOR, OXT_VERSION_MINOR,
             OXT_VERSION_PATCH);
    cr_assert_str_eq(oxt_version(), expected);
}

static void build_cplusplus(const char *source, const char *program)
{
    char directory[600];
    snprintf(directory, sizeof directory, "%s", TEST_SHARED);
    *strrchr(directory, '/') = '\0';
    int state = run(output, sizeof output,
                    "%s -std=c++17 %s %s -I%s %s -o %s/%s -L%s -loxtint "
                    "-Wl,-rpath,%s 2>&1",
                    TEST_CXX, STRICT, TEST_FLAGS, TEST_INCLUDE, source, TEST_SCRATCH, program,
                    directory, directory);
    cr_assert(state == 0 && output[0] == '\0', "%s", output);
}

/* Against the shared library. */
Test(headers, cplusplus_program_builds_and_runs)
{
    char expected[40];
    snprintf(expected, sizeof expected, "%s good\n", oxt_version());
    build_cplusplus(TEST_SOURCE "/cplusplus.cpp", "cplusplus");
    int state = run(output, sizeof output, "%s/cplusplus 2>&1", TEST_SCRATCH);
    cr_assert_eq(state, 0, "%s", output);
    cr_assert_str_eq(output, expected);
}

/* A function declared outside the extern "C" of its header would be looked for by another name. */
Test(headers, cplusplus_finds_every_function)
{
    static char source[20000] = "#include <oxtint.h>\nvoid (*const all[])() = {\n";
    size_t length = strlen(source);
    api_function functions[400];
    size_t count = api_functions(functions, 400);
    for (size_t i = 0; i < count; i++)
        length += (size_t)snprintf(source + length, sizeof source - length,
                                   "reinterpret_cast<void (*)()>(%s),\n", functions[i].name);
    length += (size_t)snprintf(source + length, sizeof source - length,
                               "};\nint main() { return all[0] == nullptr; }\n");
    cr_assert(length < sizeof source);
    build_cplusplus(scratch_file("all_functions.cpp", source, length), "all_functions");
}

/* ---- symbols ---- */

/* The shared library exports the functions of the headers, and nothing else. */
Test(headers, exports_are_the_functions_of_the_headers)
{
    api_function functions[400];
    bool exported[400] = { false };
    size_t count = api_functions(functions, 400);
    cr_assert(count >= 90);
    int state = run(output, sizeof output, "%s -D --defined-only --format=posix %s", TEST_NM,
                    TEST_SHARED);
    cr_assert_eq(state, 0);
    for (char *line = strtok(output, "\n"); line; line = strtok(NULL, "\n")) {
        line[strcspn(line, " @")] = '\0';
        size_t i = 0;
        while (i < count && strcmp(functions[i].name, line) != 0)
            i++;
        cr_assert(i < count, "%s is exported, but in no header", line);
        cr_assert_eq(strncmp(line, "oxt_", 4), 0);
        exported[i] = true;
    }
    for (size_t i = 0; i < count; i++)
        cr_assert(exported[i], "%s is in a header, but not exported", functions[i].name);
}

/* Every global symbol of the static library has the prefix, hidden or not: it may be linked into any
 * program. */
Test(headers, static_library_defines_only_prefixed_symbols)
{
    int state = run(output, sizeof output, "%s --defined-only --extern-only --format=posix %s",
                    TEST_NM, TEST_STATIC);
    cr_assert_eq(state, 0);
    size_t count = 0;
    for (char *line = strtok(output, "\n"); line; line = strtok(NULL, "\n")) {
        if (strchr(line, ':') || strncmp(line, "__odr_asan", 10) == 0)
            continue; /* name of an object file, or a mark of the sanitizer */
        cr_assert_eq(strncmp(line, "oxt_", 4), 0, "%s", line);
        count++;
    }
    cr_assert(count >= 90);
}

/* Nothing is printed, nothing exits, no locale is set, GSL's error handler stays the host's. */
Test(headers, no_object_refers_to_what_belongs_to_the_host)
{
    static const char *const forbidden[] = {
        "printf",
        "vprintf",
        "puts",
        "putchar",
        "putc",
        "fprintf",
        "vfprintf",
        "fputs",
        "fputc",
        "perror",
        "psignal",
        "stdout",
        "stderr",
        "stdin",
        "exit",
        "_exit",
        "_Exit",
        "quick_exit",
        "abort",
        "__assert_fail",
        "atexit",
        "signal",
        "sigaction",
        "setlocale",
        "gsl_set_error_handler",
        "gsl_error",
        "gsl_set_error_handler_off",
        "system",
        "getenv",
        "setenv",
        "srand",
        "rand",
        "strtok",
        "json_set_alloc_funcs",
    };
    int state = run(output, sizeof output, "%s -u --format=posix %s", TEST_NM, TEST_STATIC);
    cr_assert_eq(state, 0);
    size_t count = 0;
    for (char *line = strtok(output, "\n"); line; line = strtok(NULL, "\n"), count++) {
        line[strcspn(line, " @")] = '\0';
        char plain[200];
        snprintf(plain, sizeof plain, "%s", line);
        if (strncmp(line, "__", 2) == 0 && strstr(line, "_chk")) /* the fortified form */
            snprintf(plain, sizeof plain, "%.*s", (int)(strstr(line, "_chk") - line - 2), line + 2);
        for (size_t i = 0; i < sizeof forbidden / sizeof forbidden[0]; i++)
            cr_assert(strcmp(plain, forbidden[i]) != 0 && strcmp(line, forbidden[i]) != 0,
                      "the library refers to %s", line);
    }
    cr_assert(count > 20);
}
