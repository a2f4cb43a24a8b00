/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every public call in the circumstances that a host may bring about:
 *
 *     every_call CIRCUMSTANCE [TAP [FUNCTION]]
 *
 *   calls        each succeeds, and never calls GSL's error handler
 *   traps        floating-point exceptions end the program, as a host may wish
 *   comma        the locale has a decimal comma; the results are those of the C locale
 *   threads      eight threads at once share what the calls read
 *   memory       each allocation fails in turn, alone and with all that follow, those of GSL and
 *                jansson too; GSL's own error handler, which aborts, stays
 *   memory-off   the same with GSL's error handler off
 *   print        the results are printed, to be compared with those of another processor
 *
 * No Criterion, so that every sanitizer, emulator and profiler can run it. Each function is a test; the
 * results go to the file TAP, or to the standard output for "-". A function that is in a header and has no call here fails. */
#define _GNU_SOURCE

#include "calls.h"

#include <dirent.h>
#include <fenv.h>
#include <gsl/gsl_errno.h>
#include <locale.h>
#include <pthread.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>
#ifdef _WIN32 /* has no processes that share what was made, and no locales to make */
#define mkdir(path, mode) mkdir(path)
#define COMMA "German"
#else
#define COMMA "de_DE.UTF-8"
#include <sys/wait.h>
#endif

/* ---- allocations: the linker sends those of the library, GSL, libcsv and jansson through here ---- */

void *__real_malloc(size_t size);
void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *block, size_t size);
char *__real_strdup(const char *text);
void __real_free(void *block);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *block, size_t size);
char *__wrap_strdup(const char *text);
void __wrap_free(void *block);

static struct {
    size_t count; /* allocations since the last start */
    size_t first; /* number of the one that fails, 0: none */
    bool from_there_on;
    long live; /* blocks not yet freed */
} memory;

static void start_memory(size_t first, bool from_there_on)
{
    memory.first = first;
    memory.from_there_on = from_there_on;
    __atomic_store_n(&memory.count, 0, __ATOMIC_SEQ_CST);
}

static bool runs_out(void)
{
    size_t number = __atomic_add_fetch(&memory.count, 1, __ATOMIC_SEQ_CST);
    return memory.first != 0 &&
           (number == memory.first || (memory.from_there_on && number > memory.first));
}

static void *counted(void *block)
{
    if (block)
        __atomic_add_fetch(&memory.live, 1, __ATOMIC_SEQ_CST);
    return block;
}

void *__wrap_malloc(size_t size)
{
    return runs_out() ? NULL : counted(__real_malloc(size));
}

void *__wrap_calloc(size_t count, size_t size)
{
    return runs_out() ? NULL : counted(__real_calloc(count, size));
}

void *__wrap_realloc(void *block, size_t size)
{
    if (runs_out())
        return NULL;
    return block ? __real_realloc(block, size) : counted(__real_realloc(NULL, size));
}

char *__wrap_strdup(const char *text)
{
    return runs_out() ? NULL : counted(__real_strdup(text));
}

void __wrap_free(void *block)
{
    if (block)
        __atomic_sub_fetch(&memory.live, 1, __ATOMIC_SEQ_CST);
    __real_free(block);
}

/* ---- one call and its results ---- */

#define UNTOUCHED (-7.25e77)

static const char *directory;

typedef struct {
    call_result result;
    char path[800];
} place;

/* Results begin as a pattern; a file that may be written is not there. */
static void prepare(place *at)
{
    for (size_t i = 0; i < CALL_NUMBERS; i++)
        at->result.number[i] = UNTOUCHED;
    memset(at->result.text, 0x5A, sizeof at->result.text);
    memset(&at->result.object, 0, sizeof at->result.object);
    at->result.object_size = 0;
    at->result.handle = at;
    at->result.release = NULL;
    at->result.path = at->path;
    unlink(at->path);
}

static place *new_place(int number)
{
    place *made = __real_calloc(1, sizeof *made);
    if (!made)
        exit(2);
    snprintf(made->path, sizeof made->path, "%s/written-%d-%d", directory, (int)getpid(), number);
    prepare(made);
    return made;
}

static void release(place *at)
{
    if (at->result.release && at->result.handle)
        at->result.release(at->result.handle);
    at->result.release = NULL;
    unlink(at->path);
}

static void drop_place(place *at)
{
    release(at);
    __real_free(at);
}

static oxt_status make_call(const call_case *of, const call_stage *stage, place *at,
                            oxt_error *error)
{
    *error = (oxt_error)OXT_ERROR_INIT;
    prepare(at);
    return of->make(stage, &at->result, error);
}

/* What a call gives when nothing is in its way. */
typedef struct {
    double number[CALL_NUMBERS];
    char text[CALL_TEXT];
    unsigned char object[CALL_OBJECT];
} usual;

static _Thread_local char complaint[2000];

__attribute__((format(printf, 1, 2))) static bool complain(const char *format, ...)
{
    va_list list;
    va_start(list, format);
    vsnprintf(complaint, sizeof complaint, format, list);
    va_end(list);
    return false;
}

static bool take_usual(const call_case *of, const call_stage *stage, place *at, usual *taken)
{
    oxt_error error;
    oxt_status status = make_call(of, stage, at, &error);
    release(at);
    memcpy(taken->number, at->result.number, sizeof taken->number);
    memcpy(taken->text, at->result.text, sizeof taken->text);
    memcpy(taken->object, at->result.object.bytes, sizeof taken->object);
    return !status || complain("gave %s: %s", oxt_status_name(status), error.text);
}

static bool same_as_usual(const place *at, const usual *taken)
{
    if (memcmp(taken->number, at->result.number, sizeof taken->number) != 0)
        return complain("gave other numbers");
    if (memcmp(taken->text, at->result.text, sizeof taken->text) != 0)
        return complain("gave another text: %.300s", at->result.text);
#ifdef CALL_CLEAR
    for (size_t i = 0; i < CALL_OBJECT; i++)
        if (taken->object[i] != at->result.object.bytes[i])
            return complain("gave another struct, from byte %zu on", i);
#endif
    return true;
}

/* ---- the circumstances ---- */

static int handler_calls;

static void count_handler_call(const char *reason, const char *file, int line, int number)
{
    (void)reason;
    (void)file;
    (void)line;
    (void)number;
    handler_calls++;
}

static bool succeeds(const call_case *of, const call_stage *stage, place *at, usual *taken)
{
    gsl_error_handler_t *before = gsl_set_error_handler(count_handler_call);
    bool good = take_usual(of, stage, at, taken);
    gsl_set_error_handler(before);
    return good && (handler_calls == 0 || complain("called GSL's error handler"));
}

static bool takes_traps(const call_case *of, const call_stage *stage, place *at, usual *taken)
{
    if (!take_usual(of, stage, at, taken))
        return false;
#ifdef FE_NOMASK_ENV /* else this machine has no traps */
    static const int sets[] = { FE_INVALID | FE_DIVBYZERO | FE_OVERFLOW, FE_INVALID };
    for (size_t i = 0; i < sizeof sets / sizeof *sets; i++) {
        oxt_error error;
        feclearexcept(FE_ALL_EXCEPT);
        feenableexcept(sets[i]);
        oxt_status status = make_call(of, stage, at, &error);
        int left = fedisableexcept(FE_ALL_EXCEPT);
        release(at);
        if (status)
            return complain("gave %s: %s", oxt_status_name(status), error.text);
        if (left != sets[i])
            return complain("changed the host's traps");
        if (!same_as_usual(at, taken))
            return false;
    }
#endif
    return true;
}

static bool takes_comma(const call_case *of, const call_stage *stage, place *at, usual *taken)
{
    oxt_error error;
    char shown[40];
    if (!take_usual(of, stage, at, taken))
        return false;
    if (!setlocale(LC_ALL, COMMA))
        return complain("no locale could be made (Debian: package locales)");
    oxt_status status = make_call(of, stage, at, &error);
    snprintf(shown, sizeof shown, "%.1f", 1.5);
    setlocale(LC_ALL, "C");
    release(at);
    if (status)
        return complain("gave %s: %s", oxt_status_name(status), error.text);
    if (strcmp(shown, "1,5") != 0)
        return complain("changed the host's locale");
    return same_as_usual(at, taken);
}

static size_t given_files;

static size_t files_in_directory(void)
{
    size_t count = 0;
    DIR *open = opendir(directory);
    while (open && readdir(open))
        count++;
    closedir(open);
    return count;
}

/* A failure that is clean: the right status, a message, no result, no handle. */
static bool check_failure(const place *at, oxt_status status, const oxt_error *error)
{
    if (status != OXT_ENOMEM || error->status != OXT_ENOMEM || !error->text[0])
        return complain("gave %s: %s", oxt_status_name(status), error->text);
    for (size_t i = 0; i < CALL_NUMBERS; i++)
        if (at->result.number[i] != UNTOUCHED)
            return complain("wrote a number and failed");
    for (size_t i = 0; i < CALL_TEXT; i++)
        if (at->result.text[i] != 0x5A)
            return complain("wrote a text and failed");
    if (memcmp(at->result.object.bytes, at->result.before, at->result.object_size) != 0)
        return complain("wrote a struct and failed");
    if (at->result.release && at->result.handle)
        return complain("left a handle and failed");
    if (!at->result.release && at->result.handle != at)
        return complain("set a handle that is not its own");
    return files_in_directory() == given_files || complain("left a file and failed");
}

static size_t tried; /* failing allocations, in this process and those that it waited for */

/* A call whose n-th allocation fails. */
static bool fail_at(const call_case *of, const call_stage *stage, place *at, const usual *taken,
                    size_t n, bool from_there_on)
{
    oxt_error error;
    long live = memory.live;
    start_memory(n, from_there_on);
    oxt_status status = make_call(of, stage, at, &error);
    start_memory(0, false);
    bool good = status ? check_failure(at, status, &error) : same_as_usual(at, taken);
    release(at);
    if (good && memory.live != live)
        good = complain("left %ld blocks", memory.live - live);
    if (!good) {
        char text[300];
        snprintf(text, sizeof text, "%.299s", complaint);
        complain("at allocation %zu%s: %s", n, from_there_on ? " and all after it" : "", text);
    }
    return good;
}

/* Of a call with many allocations, the first hundred and then some from all its length. */
#define SAMPLED 250

static bool takes_failing_memory(const call_case *of, const call_stage *stage, place *at,
                                 usual *taken)
{
    oxt_error error;
    if (!take_usual(of, stage, at, taken))
        return false;
    start_memory(0, false);
    make_call(of, stage, at, &error);
    size_t count = memory.count;
    release(at);
    size_t step = count > 100 + SAMPLED ? (count - 100) / SAMPLED + 1 : 1;
    for (size_t n = 1; n <= count; n += n < 100 ? 1 : step)
        for (int both = 0; both < 2; both++, tried++)
            if (!fail_at(of, stage, at, taken, n, both == 1))
                return false;
    return true;
}

/* What a call gives: its numbers, then its text. */
static bool print_result(const call_case *of, const call_stage *stage, place *at, usual *taken)
{
    bool good = take_usual(of, stage, at, taken);
    printf("== %s %s\n", of->function, of->variant);
    for (size_t i = 0; good && i < CALL_NUMBERS; i++)
        if (taken->number[i] != UNTOUCHED)
            printf("%.17g\n", taken->number[i]);
    if (good && taken->text[0] != 0x5A)
        printf("%s\n", taken->text);
    return good;
}

/* ---- threads ---- */

#define THREADS 8

typedef struct {
    const call_stage *stage;
    const usual *taken; /* of each call */
    place *at;
    int number;
    bool *good; /* of each call */
} share;

static void *work(void *context)
{
    share *mine = context;
    const call_case *cases;
    size_t count = call_cases(&cases);
    for (size_t i = 0; i < count; i++) {
        size_t which = (i + count * (size_t)mine->number / THREADS) % count;
        oxt_error error;
        oxt_status status = make_call(&cases[which], mine->stage, mine->at, &error);
        mine->good[which] = !status && same_as_usual(mine->at, &mine->taken[which]);
        release(mine->at);
    }
    return NULL;
}

static void run_threads(const call_stage *stage, bool *good)
{
    const call_case *cases;
    size_t count = call_cases(&cases);
    share shares[THREADS];
    pthread_t threads[THREADS];
    usual *taken = calloc(count, sizeof *taken);
    bool *each = calloc(count * THREADS, sizeof *each);
    place *alone = new_place(THREADS);
    if (!taken || !each)
        exit(2);
    for (size_t i = 0; i < count; i++)
        good[i] = take_usual(&cases[i], stage, alone, &taken[i]);
    for (int i = 0; i < THREADS; i++) {
        shares[i] = (share){ stage, taken, new_place(i), i, each + count * (size_t)i };
        if (pthread_create(&threads[i], NULL, work, &shares[i]) != 0)
            exit(2);
    }
    for (int i = 0; i < THREADS; i++) {
        pthread_join(threads[i], NULL);
        for (size_t j = 0; j < count; j++)
            good[j] = good[j] && shares[i].good[j];
        drop_place(shares[i].at);
    }
    drop_place(alone);
    free(taken);
    free(each);
}

/* ---- running ---- */

typedef bool circumstance(const call_case *, const call_stage *, place *, usual *);

#ifdef _WIN32

static bool run_apart(circumstance *checks, const call_case *of, const call_stage *stage)
{
    static usual taken;
    complaint[0] = '\0';
    place *at = new_place(0);
    bool good = checks(of, stage, at, &taken);
    drop_place(at);
    return good;
}

static size_t print_missing(FILE *tap, size_t number)
{
    (void)tap;
    (void)number;
    return 0;
}

static bool make_locale(void)
{
    return true;
}

#else

/* In a process of its own, so that a death is a failure of this call alone. */
static bool run_apart(circumstance *checks, const call_case *of, const call_stage *stage)
{
    int ends[2], state;
    if (pipe(ends) != 0)
        exit(2);
    fflush(NULL);
    pid_t child = fork();
    if (child < 0)
        exit(2);
    if (child == 0) {
        static usual taken;
        close(ends[0]);
        tried = 0;
        place *at = new_place(0);
        bool good = checks(of, stage, at, &taken);
        if (write(ends[1], &tried, sizeof tried) < 0 ||
            (!good && write(ends[1], complaint, strlen(complaint)) < 0))
            exit(2);
        drop_place(at);
        exit(good ? 0 : 1);
    }
    close(ends[1]);
    size_t of_child = 0;
    if (read(ends[0], &of_child, sizeof of_child) == (ssize_t)sizeof of_child)
        tried += of_child;
    ssize_t length = read(ends[0], complaint, sizeof complaint - 1);
    complaint[length > 0 ? length : 0] = '\0';
    close(ends[0]);
    waitpid(child, &state, 0);
    if (WIFSIGNALED(state))
        return complain("died of signal %d", WTERMSIG(state));
    if (WEXITSTATUS(state) != 0 && !complaint[0])
        return complain("exited with %d", WEXITSTATUS(state));
    return WEXITSTATUS(state) == 0;
}

/* The functions that the headers declare, without a case here; gives their number. */
static size_t print_missing(FILE *tap, size_t number)
{
    static char line[4000];
    const call_case *cases;
    size_t count = call_cases(&cases), missing = 0, declared = 0;
    FILE *headers = popen("cat '" TEST_INCLUDE "'/oxtint/*.h | sed -n "
                          "'s/^OXT_API [^(]*[ *]\\(oxt_[a-z0-9_]*\\)(.*/\\1/p'",
                          "r");
    while (headers && fgets(line, sizeof line, headers)) {
        line[strcspn(line, "\n")] = '\0';
        size_t i = 0;
        while (i < count && strcmp(cases[i].function, line) != 0)
            i++;
        declared++;
        if (i == count) {
            missing++;
            fprintf(tap, "not ok %zu %s has no call\n", ++number, line);
        }
    }
    if (!headers || pclose(headers) != 0 || declared < 100) {
        missing++;
        fprintf(tap, "not ok %zu headers cannot be read\n", ++number);
    }
    return missing;
}

static bool make_locale(void)
{
    char command[2000];
    snprintf(command, sizeof command,
             "'" TEST_LOCALEDEF "' -i de_DE -f UTF-8 '%s/de_DE.UTF-8' >/dev/null 2>&1", directory);
    int state = system(command);
    if (state == -1 || setenv("LOCPATH", directory, 1) != 0)
        return false;
    setlocale(LC_ALL, COMMA); /* once for all processes; it stays loaded */
    setlocale(LC_ALL, "C");
    return true;
}

#endif

int main(int count_of_words, char **words)
{
    static const struct {
        const char *name;
        circumstance *checks;
    } circumstances[] = {
        { "calls", succeeds },     { "traps", takes_traps },
        { "comma", takes_comma },  { "memory", takes_failing_memory },
        { "threads", NULL },       { "memory-off", takes_failing_memory },
        { "print", print_result },
    };
    const size_t known = sizeof circumstances / sizeof circumstances[0];
    static char scratch[600];
    static bool good[600];
    call_stage stage;
    oxt_error error = OXT_ERROR_INIT;
    size_t which = 0, number = 0, failed = 0;
    while (count_of_words > 1 && which < known && strcmp(words[1], circumstances[which].name) != 0)
        which++;
    if (count_of_words < 2 || which == known) {
        fprintf(stderr,
                "every_call calls|traps|comma|threads|memory|memory-off|print [TAP [FUNCTION]]\n");
        return 2;
    }
    snprintf(scratch, sizeof scratch, TEST_SCRATCH "/every_call-%s", words[1]);
    mkdir(scratch, 0777);
    directory = scratch;
    FILE *tap = count_of_words > 2 && strcmp(words[2], "-") ? fopen(words[2], "w") : stdout;
    if (!tap || (strcmp(words[1], "comma") == 0 && !make_locale()))
        return 2;
    if (strcmp(words[1], "memory-off") == 0)
        gsl_set_error_handler_off();
    if (!call_stage_make(&stage, scratch, &error)) {
        fprintf(stderr, "every_call: the stage cannot be made: %s\n", error.text);
        return 2;
    }
    given_files = files_in_directory();
    const call_case *cases;
    size_t count = call_cases(&cases);
    if (!circumstances[which].checks)
        run_threads(&stage, good);
    for (size_t i = 0; i < count; i++) {
        if (count_of_words > 3 && strcmp(words[3], cases[i].function) != 0)
            continue;
        complaint[0] = '\0';
        if (circumstances[which].checks)
            good[i] = run_apart(circumstances[which].checks, &cases[i], &stage);
        failed += !good[i];
        fprintf(tap, "%s %zu %s %s\n", good[i] ? "ok" : "not ok", ++number, cases[i].function,
                cases[i].variant);
        if (!good[i])
            printf("%s, %s: %s\n", cases[i].function, cases[i].variant, complaint);
    }
    if (tried > 0)
        printf("%zu times an allocation failed\n", tried);
    size_t missing = count_of_words > 3 ? 0 : print_missing(tap, number);
    fprintf(tap, "1..%zu\n", number + missing);
    call_stage_free(&stage);
    if (tap != stdout)
        fclose(tap);
    return failed + missing ? 1 : 0;
}
