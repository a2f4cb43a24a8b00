/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Files: whole or not at all. */
#define _XOPEN_SOURCE 700

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "internal.h"

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

/* Open a new file beside `path`; its name is written to `name`, which has room for 32 bytes more
 * than the path. The mode is that of the file it will replace, or what the umask leaves. */
static int open_beside(const char *path, char *name, size_t capacity)
{
    struct stat old;
    bool replaces = stat(path, &old) == 0;
    for (unsigned try = 0; try < 100; try++) {
        oxt_i_snprintf(name, capacity, "%s.%ld-%u.tmp", path, (long)getpid(), try);
        int file = open(name, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
        if (file >= 0 && replaces)
            (void)!fchmod(file, old.st_mode & 0777);
        if (file >= 0 || errno != EEXIST)
            return file;
    }
    return -1;
}

static oxt_status write_and_rename(int file, const char *name, const char *target, const char *data,
                                   size_t length, oxt_error *error)
{
    bool good = write_all(file, data, length) && fsync(file) == 0;
    int number = errno;
    if (close(file) != 0 && good) {
        good = false;
        number = errno;
    }
    if (good && rename(name, target) != 0) {
        good = false;
        number = errno;
    }
    if (good)
        return OXT_OK;
    unlink(name);
    return oxt_i_io_error(error, target, "write", number);
}

oxt_status oxt_i_write_file(const char *path, const char *data, size_t length, oxt_error *error)
{
    /* Follow a symbolic link to the file it means, so that the link stays a link. */
    char *real = realpath(path, NULL);
    const char *target = real ? real : path;
    size_t capacity = strlen(target) + 32;
    char *name = malloc(capacity);
    if (!name) {
        free(real);
        return oxt_i_no_memory(error);
    }
    oxt_status status;
    int file = open_beside(target, name, capacity);
    if (file < 0)
        status = oxt_i_io_error(error, path, "write", errno);
    else
        status = write_and_rename(file, name, target, data, length, error);
    if (!status)
        sync_directory(target);
    free(name);
    free(real);
    return status;
}

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
