/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A fuzz target without libFuzzer: each file of a folder is given to it, in a process of its own, and is a test.
 *
 *     fuzz_TARGET TAP FOLDER
 *
 * The results go to the file TAP, or to the standard output for "-". */
#define _POSIX_C_SOURCE 200809L

#include "fuzz.h"

#include <dirent.h>
#include <sys/wait.h>
#include <unistd.h>

/* A block of just the size of the file, so that a read beyond its end is noticed. */
static int try_file(const char *path)
{
    FILE *file = fopen(path, "rb");
    MUST(file && fseek(file, 0, SEEK_END) == 0, "%s cannot be read", path);
    long size = ftell(file);
    MUST(size >= 0, "%s cannot be read", path);
    rewind(file);
    uint8_t *data = malloc((size_t)size);
    MUST(data && fread(data, 1, (size_t)size, file) == (size_t)size, "%s cannot be read", path);
    fclose(file);
    int result = LLVMFuzzerTestOneInput(data, (size_t)size);
    free(data);
    return result;
}

static bool passes(const char *path)
{
    fflush(NULL);
    pid_t child = fork();
    MUST(child >= 0, "no process");
    if (child == 0)
        exit(try_file(path));
    int state = 0;
    MUST(waitpid(child, &state, 0) == child, "a lost process");
    return WIFEXITED(state) && WEXITSTATUS(state) == 0;
}

static int is_input(const struct dirent *entry)
{
    return entry->d_name[0] != '.';
}

int main(int count, char **arguments)
{
    struct dirent **entries;
    int found = count == 3 ? scandir(arguments[2], &entries, is_input, alphasort) : -1;
    FILE *tap = found < 0                        ? NULL
                : strcmp(arguments[1], "-") == 0 ? stdout
                                                 : fopen(arguments[1], "w");
    if (!tap) {
        fprintf(stderr, "usage: %s TAP FOLDER\n", arguments[0]);
        return 2;
    }
    int failed = 0;
    for (int i = 0; i < found; i++) {
        char path[4096];
        snprintf(path, sizeof path, "%s/%s", arguments[2], entries[i]->d_name);
        bool good = passes(path);
        failed += !good;
        fprintf(tap, "%s %d %s\n", good ? "ok" : "not ok", i + 1, entries[i]->d_name);
        free(entries[i]);
    }
    free(entries);
    fprintf(tap, "1..%d\n", found);
    return fclose(tap) != 0 || failed || !found;
}
