/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Files: what a save replaces and what it leaves alone. */
#define _XOPEN_SOURCE 700

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "support.h"

static const char card[] = "{\n  \"oxtint_card\": {\"major\": 1, \"minor\": 1}\n}\n";
static const char log_of_trials[] =
    "# my coupons\nSteel,Bath_F,time_s,colour\nAlder 1,600,60,blue\n";
static const char readings[] = "time_s,temperature_C\n0,20\n1,30\n";
static const char png[] = "\x89PNG\r\n\x1a\n rest";
static const char pdf[] = "%PDF-1.4\n";
static const char svg[] = "<?xml version=\"1.0\"?>\n<svg/>\n";
static const char page[] = "<!doctype html>\n<html lang=\"en\"><head>\n"
                           "<meta name=\"generator\" content=\"oxtint 0.2.0\">\n";
static const char other_page[] = "<!doctype html>\n<title>oxtint</title>\n";
static const char letter[] = "Dear customer, the bath was hot at the time.\n";

static char path_text[4200];

static const char *path_in(const char *directory, const char *name)
{
    snprintf(path_text, sizeof path_text, "%s/%s", directory, name);
    return path_text;
}

static void put(const char *path, const char *text)
{
    FILE *file = fopen(path, "wb");
    cr_assert(file && fputs(text, file) >= 0 && fclose(file) == 0);
}

static void holds(const char *path, const char *text)
{
    char found[400] = "";
    FILE *file = fopen(path, "rb");
    cr_assert_not_null(file, "%s", path);
    found[fread(found, 1, sizeof found - 1, file)] = '\0';
    fclose(file);
    cr_assert_str_eq(found, text);
}

static oxt_status save(const char *path, oxt_file_kind kind, oxt_replace replace, oxt_error *error)
{
    return oxt_file_write(path, kind, replace, "new", 3, error);
}

/* Contract: cards replace cards, logs logs, pictures pictures, pages pages, everything an empty file, and nothing else;
 * what is refused is as it was. */
Test(file, a_save_replaces_only_its_own_kind)
{
    static const struct {
        const char *text;
        int kind;
    } files[] = { { card, OXT_FILE_CARD },
                  { log_of_trials, OXT_FILE_TRIALS },
                  { png, OXT_FILE_PICTURE },
                  { pdf, OXT_FILE_PICTURE },
                  { svg, OXT_FILE_PICTURE },
                  { page, OXT_FILE_PAGE },
                  { other_page, -1 },
                  { readings, -1 },
                  { letter, -1 },
                  { "{\"other\": 1}", -1 },
                  { "\xef\xbb\xbf{}", -1 } };
    const char *directory = scratch_directory("file_kinds");
    const char *path = path_in(directory, "file.csv");
    for (size_t i = 0; i < sizeof files / sizeof *files; i++)
        for (int kind = OXT_FILE_CARD; kind <= OXT_FILE_PAGE; kind++) {
            oxt_error error = OXT_ERROR_INIT;
            put(path, files[i].text);
            if (files[i].kind == kind) {
                OK(oxt_file_check(path, kind, OXT_REPLACE_SAME_KIND, &error));
                holds(path, files[i].text);
                OK(save(path, kind, OXT_REPLACE_SAME_KIND, &error));
                holds(path, "new");
            } else {
                FAILS(oxt_file_check(path, kind, OXT_REPLACE_SAME_KIND, &error), OXT_EEXIST);
                FAILS(save(path, kind, OXT_REPLACE_SAME_KIND, &error), OXT_EEXIST);
                SAYS(path);
                holds(path, files[i].text);
                OK(save(path, kind, OXT_REPLACE_ANY, &error));
                holds(path, "new");
            }
            put(path, "");
            OK(save(path, kind, OXT_REPLACE_SAME_KIND, &error));
            cr_assert_eq(files_in(directory), 1);
        }
}

/* Saves of steels and logs go the same way. */
Test(file, a_notebook_is_not_replaced_by_a_card)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel;
    oxt_trials *log = new_log();
    const char *path = path_in(scratch_directory("file_notebook"), "lamp.csv");
    put(path, log_of_trials);
    OK(oxt_prior_steel(&steel, "Alder 1", "", default_film(), &error));
    FAILS(oxt_steel_save(steel, path, OXT_REPLACE_SAME_KIND, &error), OXT_EEXIST);
    holds(path, log_of_trials);
    OK(oxt_steel_save(steel, path, OXT_REPLACE_ANY, &error));
    add_thickness(log, 600.0, 60.0, 50.0);
    FAILS(oxt_trials_write_csv(log, path, OXT_REPLACE_SAME_KIND, &error), OXT_EEXIST);
    OK(oxt_steel_save(steel, path, OXT_REPLACE_SAME_KIND, &error));
    OK(oxt_trials_write_csv(log, path, OXT_REPLACE_ANY, &error));
    OK(oxt_trials_write_csv(log, path, OXT_REPLACE_SAME_KIND, &error));
    oxt_trials_free(log);
    oxt_steel_free(steel);
}

/* Contract: never a directory, a device, a pipe or a link that leads nowhere, whatever is asked for. */
Test(file, what_is_no_file_is_never_replaced)
{
    oxt_error error = OXT_ERROR_INIT;
    struct stat state;
    char nowhere[4300];
    const char *directory = scratch_directory("file_odd");
    FAILS(save(directory, OXT_FILE_CARD, OXT_REPLACE_ANY, &error), OXT_EIO);
    SAYS("directory");
    FAILS(save("/dev/null", OXT_FILE_CARD, OXT_REPLACE_ANY, &error), OXT_EIO);
    SAYS("device");
    cr_assert(stat("/dev/null", &state) == 0 && S_ISCHR(state.st_mode));
    const char *path = path_in(directory, "pipe");
    cr_assert_eq(mkfifo(path, 0600), 0);
    FAILS(save(path, OXT_FILE_CARD, OXT_REPLACE_ANY, &error), OXT_EIO);
    FAILS(oxt_file_check(path, OXT_FILE_CARD, OXT_REPLACE_SAME_KIND, &error), OXT_EIO);
    SAYS("pipe");
    cr_assert(lstat(path, &state) == 0 && S_ISFIFO(state.st_mode));
    snprintf(nowhere, sizeof nowhere, "%s/nowhere", directory);
    path = path_in(directory, "link");
    cr_assert_eq(symlink(nowhere, path), 0);
    FAILS(save(path, OXT_FILE_CARD, OXT_REPLACE_ANY, &error), OXT_EIO);
    SAYS("a link that leads nowhere");
    cr_assert(lstat(path, &state) == 0 && S_ISLNK(state.st_mode));
    cr_assert(lstat(nowhere, &state) != 0 && errno == ENOENT);
    cr_assert_eq(files_in(directory), 2);
}

Test(file, a_link_stays_a_link_and_its_file_is_replaced)
{
    oxt_error error = OXT_ERROR_INIT;
    struct stat state;
    char file[4300];
    const char *directory = scratch_directory("file_link");
    snprintf(file, sizeof file, "%s/file", directory);
    const char *path = path_in(directory, "link");
    put(file, card);
    cr_assert_eq(symlink("file", path), 0);
    OK(save(path, OXT_FILE_CARD, OXT_REPLACE_SAME_KIND, &error));
    cr_assert(lstat(path, &state) == 0 && S_ISLNK(state.st_mode));
    holds(file, "new");
    cr_assert_eq(files_in(directory), 2);
}

/* The longest name that the system takes; a temporary name that is longer was refused from 245 bytes on. */
Test(file, names_may_be_as_long_as_the_system_takes)
{
    oxt_error error = OXT_ERROR_INIT;
    char name[257];
    const char *directory = scratch_directory("file_long");
    for (size_t length = 230; length <= 256; length++) {
        memset(name, 'x', length);
        name[length] = '\0';
        oxt_status status = save(path_in(directory, name), OXT_FILE_CARD, OXT_REPLACE_ANY, &error);
        cr_assert_eq(status, length <= 255 ? OXT_OK : OXT_EIO, "%zu bytes: %s", length, error.text);
    }
    cr_assert_eq(files_in(directory), 26);
}

/* Mode always; the owner where the system allows it, which is when the superuser saves. */
Test(file, owner_and_mode_stay)
{
    oxt_error error = OXT_ERROR_INIT;
    struct stat state;
    const char *path = path_in(scratch_directory("file_owner"), "card.json");
    put(path, card);
    cr_assert_eq(chmod(path, 0640), 0);
    bool root = geteuid() == 0 && chown(path, 12345, 54321) == 0;
    OK(save(path, OXT_FILE_CARD, OXT_REPLACE_SAME_KIND, &error));
    cr_assert_eq(stat(path, &state), 0);
    cr_assert_eq(state.st_mode & 07777, 0640);
    cr_assert_eq(state.st_uid, root ? 12345 : geteuid());
    cr_assert(!root || state.st_gid == 54321);
}

/* A file that its owner has made read-only is asked to stay. The superuser may write everything. */
Test(file, a_read_only_file_stays)
{
    oxt_error error = OXT_ERROR_INIT;
    const char *path = path_in(scratch_directory("file_read_only"), "card.json");
    put(path, card);
    chmod(path, 0440);
    oxt_status status = save(path, OXT_FILE_CARD, OXT_REPLACE_ANY, &error);
    cr_assert_eq(status, geteuid() == 0 ? OXT_OK : OXT_EIO);
}

Test(file, misuse_is_refused)
{
    oxt_error error = OXT_ERROR_INIT;
    FAILS(save(NULL, OXT_FILE_CARD, OXT_REPLACE_ANY, &error), OXT_EARG);
    FAILS(save("x", (oxt_file_kind)4, OXT_REPLACE_ANY, &error), OXT_EARG);
    FAILS(save("x", OXT_FILE_CARD, (oxt_replace)2, &error), OXT_EARG);
    FAILS(oxt_file_write("x", OXT_FILE_CARD, OXT_REPLACE_ANY, NULL, 0, &error), OXT_EARG);
    FAILS(save("", OXT_FILE_CARD, OXT_REPLACE_ANY, &error), OXT_EIO);
    FAILS(save("/no/such/directory/card", OXT_FILE_CARD, OXT_REPLACE_ANY, &error), OXT_EIO);
}
