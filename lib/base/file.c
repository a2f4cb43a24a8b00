/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Files: whole or not at all, and never in place of something else. */
#define _XOPEN_SOURCE 700

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/internal.h"

oxt_status oxt_i_io_error(oxt_error *error, const char *path, const char *verb, int number)
{
    char reason[128];
    if (strerror_r(number, reason, sizeof reason) != 0)
        oxt_i_snprintf(reason, sizeof reason, "error %d", number);
    return oxt_i_fail_text(error, OXT_EIO, "path", "cannot %s '%s': %s", verb, path, reason);
}

static bool write_all(int file, const char *data, size_t length)
{
    while (length > 0) {
        ssize_t written = write(file, data, length);
        if (written < 0 && errno == EINTR)
            continue;
        if (written < 0)
            return false;
        data += written;
        length -= (size_t)written;
    }
    return true;
}

/* The rename is lasting only once the directory is on disk too. A file system that cannot sync a
 * directory is no reason to fail. */
static void sync_directory(const char *path)
{
    char *copy = strdup(path);
    if (!copy)
        return;
    char *slash = strrchr(copy, '/');
    if (slash)
        slash[slash == copy ? 1 : 0] = '\0';
    int directory = open(slash ? copy : ".", O_RDONLY | O_CLOEXEC);
    if (directory >= 0) {
        fsync(directory);
        close(directory);
    }
    free(copy);
}

/* ---- what is there ---- */

/* What a save would replace. */
typedef struct {
    char *name; /* of the file itself, behind any symbolic link; to be freed */
    bool exists;
    struct stat status;
} place;

static const char *const kind_words[] = { "card", "log of trials", "picture", "page" };

static oxt_status not_a_file(oxt_error *error, const char *path, mode_t mode)
{
    const char *what = S_ISDIR(mode)    ? "a directory"
                       : S_ISFIFO(mode) ? "a pipe"
                       : S_ISSOCK(mode) ? "a socket"
                                        : "a device";
    return oxt_i_fail_text(error, OXT_EIO, "path", "cannot write '%s': it is %s, not a file", path,
                           what);
}

/* Follow a symbolic link to the file it names, so that the link stays a link. */
static oxt_status look_at(place *there, const char *path, oxt_error *error)
{
    struct stat link;
    *there = (place){ NULL, false, { 0 } };
    if (lstat(path, &link) != 0) {
        if (errno != ENOENT)
            return oxt_i_io_error(error, path, "write", errno);
        there->name = strdup(path);
        return there->name ? OXT_OK : oxt_i_no_memory(error);
    }
    there->name = malloc(PATH_MAX);
    if (!there->name)
        return oxt_i_no_memory(error);
    if (!realpath(path, there->name) || stat(there->name, &there->status) != 0)
        return S_ISLNK(link.st_mode)
                   ? oxt_i_fail_text(error, OXT_EIO, "path",
                                     "cannot write '%s': it is a link that leads nowhere", path)
                   : oxt_i_io_error(error, path, "write", errno);
    if (!S_ISREG(there->status.st_mode))
        return not_a_file(error, path, there->status.st_mode);
    /* The name could be taken even so; but then its owner asked for it to stay. */
    if (access(there->name, W_OK) != 0)
        return oxt_i_io_error(error, path, "write", errno);
    there->exists = true;
    return OXT_OK;
}

static bool begins_with(const char *text, const char *with)
{
    return strncmp(text, with, strlen(with)) == 0;
}

/* Past a byte order mark, blanks, and comments of a log. */
static const char *first_line(const char *text)
{
    if (begins_with(text, "\xef\xbb\xbf"))
        text += 3;
    for (;;) {
        text += strspn(text, " \t\r\n");
        if (*text != '#')
            return text;
        text += strcspn(text, "\r\n");
    }
}

/* Does a column of the first line begin with the word, in upper or lower case? */
static bool header_names(const char *line, const char *word)
{
    size_t length = strlen(word), end = strcspn(line, "\r\n");
    for (size_t i = 0; i + length <= end; i++) {
        size_t same = 0, before = i;
        while (before > 0 && strchr(" \"", line[before - 1]))
            before--;
        if (before > 0 && !strchr(",;\t", line[before - 1]))
            continue;
        while (same < length && oxt_i_lower(line[i + same]) == word[same])
            same++;
        if (same == length)
            return true;
    }
    return false;
}

static bool is_picture(const char *text)
{
    const char *first = first_line(text);
    return begins_with(text, "\x89PNG\r\n") || begins_with(text, "%PDF-") ||
           ((begins_with(first, "<?xml") || begins_with(first, "<!DOCTYPE") ||
             begins_with(first, "<svg")) &&
            strstr(first, "<svg"));
}

/* Another program's HTML is none. */
static bool is_page(const char *text)
{
    const char *first = first_line(text);
    return begins_with(first, "<!doctype html>") &&
           strstr(first, "<meta name=\"generator\" content=\"oxtint");
}

/* By its first bytes, as a text without NUL. */
static bool is_of_kind(const char *text, oxt_file_kind kind)
{
    const char *first = first_line(text);
    switch (kind) {
    case OXT_FILE_CARD:
        return *first == '{' && strstr(first, "\"" OXT_I_CARD_KEY "\"");
    case OXT_FILE_TRIALS:
        return *first != '{' && *first != '<' && header_names(first, "bath") &&
               header_names(first, "time");
    case OXT_FILE_PAGE:
        return is_page(text);
    default:
        return is_picture(text);
    }
}

static oxt_status check_kind(const place *there, const char *path, oxt_file_kind kind,
                             oxt_error *error)
{
    enum { ENOUGH = 65536 };
    if (!there->exists || there->status.st_size == 0)
        return OXT_OK;
    char *text = malloc(ENOUGH + 1);
    if (!text)
        return oxt_i_no_memory(error);
    FILE *stream = fopen(there->name, "rbe");
    size_t got = stream ? fread(text, 1, ENOUGH, stream) : 0;
    oxt_status status = OXT_OK;
    if (!stream || ferror(stream))
        status = oxt_i_io_error(error, path, "look into", errno);
    text[got] = '\0';
    if (!status && !is_of_kind(text, kind))
        status =
            oxt_i_fail_text(error, OXT_EEXIST, "path",
                            "'%s' holds something else than a %s: it is not replaced unless you "
                            "ask for it",
                            path, kind_words[kind]);
    if (stream)
        fclose(stream);
    free(text);
    return status;
}

static oxt_status check_place(place *there, const char *path, oxt_file_kind kind,
                              oxt_replace replace, oxt_error *error)
{
    *there = (place){ NULL, false, { 0 } };
    if (!path)
        return oxt_i_null(error, "path");
    oxt_status status = oxt_i_check_choice("kind", (int)kind, OXT_FILE_PAGE, error);
    if (!status)
        status = oxt_i_check_choice("replace", (int)replace, OXT_REPLACE_ANY, error);
    if (!status)
        status = look_at(there, path, error);
    if (!status && replace != OXT_REPLACE_ANY)
        status = check_kind(there, path, kind, error);
    return status;
}

oxt_status oxt_file_check(const char *path, oxt_file_kind kind, oxt_replace replace,
                          oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    place there;
    oxt_status status = check_place(&there, path, kind, replace, error);
    free(there.name);
    return status;
}

/* ---- writing ---- */

#define ROOM_FOR_OWN_NAME 48

/* Open a new file in the directory of the one it will replace, under a short name of its own, which is
 * written to `name`: as long as the path and ROOM_FOR_OWN_NAME. */
static int open_beside(const place *there, char *name)
{
    const char *slash = strrchr(there->name, '/');
    size_t directory = slash ? (size_t)(slash - there->name) + 1 : 0;
    memcpy(name, there->name, directory);
    for (unsigned try = 0; try < 100; try++) {
        oxt_i_snprintf(name + directory, ROOM_FOR_OWN_NAME, ".oxtint-%ld-%u.tmp", (long)getpid(),
                       try);
        /* What may be secret is not shown while it is written. */
        int file = open(name, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, there->exists ? 0600 : 0666);
        if (file >= 0 || errno != EEXIST)
            return file;
    }
    return -1;
}

/* The owner first, since a change of owner takes bits of the mode away. Who is not allowed to give a file
 * away keeps it. */
static void keep_owner(int file, const place *there)
{
    if (!there->exists)
        return;
    if (fchown(file, there->status.st_uid, there->status.st_gid) != 0)
        (void)!fchown(file, (uid_t)-1, there->status.st_gid);
    (void)!fchmod(file, there->status.st_mode & 07777);
}

static oxt_status write_and_rename(int file, const char *name, const place *there, const char *path,
                                   const char *data, size_t length, oxt_error *error)
{
    bool good = write_all(file, data, length);
    int number = errno;
    keep_owner(file, there);
    if (good && fsync(file) != 0) {
        good = false;
        number = errno;
    }
    if (close(file) != 0 && good) {
        good = false;
        number = errno;
    }
    if (good && rename(name, there->name) != 0) {
        good = false;
        number = errno;
    }
    if (good)
        return OXT_OK;
    unlink(name);
    return oxt_i_io_error(error, path, "write", number);
}

oxt_status oxt_file_write(const char *path, oxt_file_kind kind, oxt_replace replace,
                          const void *data, size_t length, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    place there;
    if (!data)
        return oxt_i_null(error, "data");
    oxt_status status = check_place(&there, path, kind, replace, error);
    char *name = status ? NULL : malloc(strlen(there.name) + ROOM_FOR_OWN_NAME);
    if (!status && !name)
        status = oxt_i_no_memory(error);
    if (!status) {
        int file = open_beside(&there, name);
        status = file < 0 ? oxt_i_io_error(error, path, "write", errno)
                          : write_and_rename(file, name, &there, path, data, length, error);
    }
    if (!status)
        sync_directory(there.name);
    free(name);
    free(there.name);
    return status;
}

/* ---- reading ---- */

static oxt_status read_stream(FILE *stream, const char *path, size_t limit, char **data,
                              size_t *length, oxt_error *error)
{
    oxt_i_text text = { 0 };
    char block[16384];
    size_t got;
    while ((got = fread(block, 1, sizeof block, stream)) > 0) {
        oxt_i_text_add_bytes(&text, block, got);
        if (text.failed || text.length > limit)
            break;
    }
    oxt_status status = OXT_OK;
    if (ferror(stream))
        status = oxt_i_io_error(error, path, "read", errno);
    else if (text.failed)
        status = oxt_i_no_memory(error);
    else if (text.length > limit)
        status = oxt_i_fail(error, OXT_EPARSE, "path", NAN, NAN, (double)limit,
                            "'%s' is larger than %zu bytes: this is not such a file", path, limit);
    else
        oxt_i_text_add_bytes(&text, "", 0);
    if (!status && text.failed)
        status = oxt_i_no_memory(error);
    if (status) {
        oxt_i_text_free(&text);
        return status;
    }
    *data = text.data;
    *length = text.length;
    return OXT_OK;
}

oxt_status oxt_i_read_file(const char *path, size_t limit, char **data, size_t *length,
                           oxt_error *error)
{
    FILE *stream = fopen(path, "rbe");
    if (!stream)
        return oxt_i_io_error(error, path, "read", errno);
    oxt_status status = read_stream(stream, path, limit, data, length, error);
    fclose(stream);
    return status;
}
