/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Files of Windows. */
#ifdef _WIN32
#define WIN32_LEAN_AND_MEAN
#include <errno.h>
#include <fcntl.h>
#include <io.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <wchar.h>
#include <windows.h>

#include "base/internal.h"
#include "base/system.h"

/* A name in UTF-16, to be freed; NULL with errno for what is no UTF-8. */
static wchar_t *wide(const char *path)
{
    int length = MultiByteToWideChar(CP_UTF8, MB_ERR_INVALID_CHARS, path, -1, NULL, 0);
    wchar_t *made = length > 0 ? malloc((size_t)length * sizeof *made) : NULL;
    if (made)
        MultiByteToWideChar(CP_UTF8, MB_ERR_INVALID_CHARS, path, -1, made, length);
    else
        errno = length > 0 ? ENOMEM : EINVAL;
    return made;
}

/* errno for the last error of the system, of those that a save meets. */
static int last_error(void)
{
    switch (GetLastError()) {
    case ERROR_FILE_NOT_FOUND:
    case ERROR_PATH_NOT_FOUND:
    case ERROR_INVALID_NAME:
        return ENOENT;
    case ERROR_DISK_FULL:
    case ERROR_HANDLE_DISK_FULL:
        return ENOSPC;
    case ERROR_ACCESS_DENIED:
    case ERROR_SHARING_VIOLATION:
    case ERROR_WRITE_PROTECT:
        return EACCES;
    default:
        return EIO;
    }
}

FILE *oxt_i_open_file(const char *path)
{
    wchar_t *name = wide(path);
    FILE *stream = name ? _wfopen(name, L"rbN") : NULL;
    free(name);
    return stream;
}

/* ---- what is there ---- */

static oxt_status look_at(oxt_i_place *there, const wchar_t *name, const char *path,
                          oxt_error *error)
{
    struct _stat64 status;
    if (_wstat64(name, &status) != 0)
        return errno == ENOENT ? OXT_OK : oxt_i_io_error(error, path, "write", errno);
    if (!(status.st_mode & _S_IFREG))
        return oxt_i_fail_text(error, OXT_EIO, "path", "cannot write '%s': it is %s, not a file",
                               path, status.st_mode & _S_IFDIR ? "a directory" : "a device");
    if (_waccess(name, 2) != 0)
        return oxt_i_io_error(error, path, "write", errno);
    there->exists = true;
    there->empty = status.st_size == 0;
    return OXT_OK;
}

/* Links are rare here, and replaced. */
oxt_status oxt_i_look_at(oxt_i_place *there, const char *path, oxt_error *error)
{
    *there = (oxt_i_place){ NULL, false, false, 0, 0, 0 };
    wchar_t *name = wide(path);
    if (!name)
        return errno == ENOMEM ? oxt_i_no_memory(error)
                               : oxt_i_io_error(error, path, "write", EINVAL);
    oxt_status status = look_at(there, name, path, error);
    free(name);
    if (status)
        return status;
    there->name = strdup(path);
    return there->name ? OXT_OK : oxt_i_no_memory(error);
}

/* ---- writing ---- */

#define ROOM_FOR_OWN_NAME 48

/* Create a new file in the directory of the one it will replace, under a name of its own, which is written to `name`:
 * as long as the path and ROOM_FOR_OWN_NAME. INVALID_HANDLE_VALUE with errno. */
static HANDLE open_beside(const wchar_t *path, wchar_t *name)
{
    size_t directory = wcslen(path);
    while (directory > 0 && !wcschr(L"/\\:", path[directory - 1]))
        directory--;
    memcpy(name, path, directory * sizeof *name);
    for (unsigned try = 0; try < 100; try++) {
        char own[ROOM_FOR_OWN_NAME];
        oxt_i_snprintf(own, sizeof own, ".oxtint-%lu-%u.tmp", GetCurrentProcessId(), try);
        for (size_t i = 0; i <= strlen(own); i++)
            name[directory + i] = (wchar_t)own[i];
        HANDLE file = CreateFileW(name, GENERIC_WRITE, 0, NULL, CREATE_NEW, FILE_ATTRIBUTE_NORMAL,
                                  NULL);
        if (file != INVALID_HANDLE_VALUE)
            return file;
        if (GetLastError() != ERROR_FILE_EXISTS)
            break;
    }
    errno = last_error();
    return INVALID_HANDLE_VALUE;
}

static bool write_all(HANDLE file, const char *data, size_t length)
{
    enum { AT_ONCE = 1 << 20 };
    while (length > 0) {
        DWORD written, block = length < AT_ONCE ? (DWORD)length : AT_ONCE;
        if (!WriteFile(file, data, block, &written, NULL))
            return false;
        data += written;
        length -= written;
    }
    return true;
}

static oxt_status write_and_rename(HANDLE file, const wchar_t *name, const wchar_t *there,
                                   const char *path, const char *data, size_t length,
                                   oxt_error *error)
{
    bool good = write_all(file, data, length) && FlushFileBuffers(file);
    int number = good ? 0 : last_error();
    if (!CloseHandle(file) && good) {
        good = false;
        number = last_error();
    }
    if (good && !MoveFileExW(name, there, MOVEFILE_REPLACE_EXISTING | MOVEFILE_WRITE_THROUGH)) {
        good = false;
        number = last_error();
    }
    if (good)
        return OXT_OK;
    DeleteFileW(name);
    return oxt_i_io_error(error, path, "write", number);
}

oxt_status oxt_i_put_file(const oxt_i_place *there, const char *path, const void *data,
                          size_t length, oxt_error *error)
{
    wchar_t *into = wide(there->name);
    wchar_t *name = into ? malloc((wcslen(into) + ROOM_FOR_OWN_NAME) * sizeof *name) : NULL;
    oxt_status status = name ? OXT_OK : oxt_i_no_memory(error);
    if (!status) {
        HANDLE file = open_beside(into, name);
        status = file == INVALID_HANDLE_VALUE
                     ? oxt_i_io_error(error, path, "write", errno)
                     : write_and_rename(file, name, into, path, data, length, error);
    }
    free(name);
    free(into);
    return status;
}

#endif
