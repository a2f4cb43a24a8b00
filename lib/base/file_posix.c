/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Files of a POSIX system. */
#ifndef _WIN32
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
#include "base/system.h"

FILE *oxt_i_open_file(const char *path)
{
    return fopen(path, "rbe");
}

/* ---- what is there ---- */

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
oxt_status oxt_i_look_at(oxt_i_place *there, const char *path, oxt_error *error)
{
    struct stat link, status;
    *there = (oxt_i_place){ NULL, false, false, 0, 0, 0 };
    if (lstat(path, &link) != 0) {
        if (errno != ENOENT)
            return oxt_i_io_error(error, path, "write", errno);
        there->name = strdup(path);
        return there->name ? OXT_OK : oxt_i_no_memory(error);
    }
    there->name = malloc(PATH_MAX);
    if (!there->name)
        return oxt_i_no_memory(error);
    if (!realpath(path, there->name) || stat(there->name, &status) != 0)
        return S_ISLNK(link.st_mode)
                   ? oxt_i_fail_text(error, OXT_EIO, "path",
                                     "cannot write '%s': it is a link that leads nowhere", path)
                   : oxt_i_io_error(error, path, "write", errno);
    if (!S_ISREG(status.st_mode))
        return not_a_file(error, path, status.st_mode);
    /* The name could be taken even so; but then its owner asked for it to stay. */
    if (access(there->name, W_OK) != 0)
        return oxt_i_io_error(error, path, "write", errno);
    there->exists = true;
    there->empty = status.st_size == 0;
    there->mode = (unsigned)status.st_mode & 07777;
    there->user = (unsigned)status.st_uid;
    there->group = (unsigned)status.st_gid;
    return OXT_OK;
}

/* ---- writing ---- */

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

#define ROOM_FOR_OWN_NAME 48

/* Open a new file in the directory of the one it will replace, under a short name of its own, which is
 * written to `name`: as long as the path and ROOM_FOR_OWN_NAME. */
static int open_beside(const oxt_i_place *there, char *name)
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
static void keep_owner(int file, const oxt_i_place *there)
{
    if (!there->exists)
        return;
    if (fchown(file, (uid_t)there->user, (gid_t)there->group) != 0)
        (void)!fchown(file, (uid_t)-1, (gid_t)there->group);
    (void)!fchmod(file, (mode_t)there->mode);
}

static oxt_status write_and_rename(int file, const char *name, const oxt_i_place *there,
                                   const char *path, const char *data, size_t length,
                                   oxt_error *error)
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

oxt_status oxt_i_put_file(const oxt_i_place *there, const char *path, const void *data,
                          size_t length, oxt_error *error)
{
    char *name = malloc(strlen(there->name) + ROOM_FOR_OWN_NAME);
    if (!name)
        return oxt_i_no_memory(error);
    int file = open_beside(there, name);
    oxt_status status = file < 0 ? oxt_i_io_error(error, path, "write", errno)
                                 : write_and_rename(file, name, there, path, data, length, error);
    if (!status)
        sync_directory(there->name);
    free(name);
    return status;
}

#endif
