/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How many threads may run at once. */
#define _GNU_SOURCE /* sched_getaffinity */

#include <stdio.h>
#include <string.h>
#ifdef _WIN32
#define WIN32_LEAN_AND_MEAN
#include <windows.h>
#else
#include <sched.h>
#include <unistd.h>
#endif

#include "base/internal.h"
#include "base/system.h"
#include "base/threads.h"

#ifdef _WIN32

size_t oxt_i_quota(const char *root, const char *group)
{
    (void)root;
    (void)group;
    return 0;
}

size_t oxt_i_processors(void)
{
    DWORD_PTR mine, all; /* of this group of up to 64 processors */
    size_t count = 0;
    if (GetProcessAffinityMask(GetCurrentProcess(), &mine, &all))
        for (; mine; mine &= mine - 1)
            count++;
    return count > 0 ? count : 1;
}

#else

#define GROUPS "/sys/fs/cgroup"
enum { PATH_ROOM = 4096 };

/* The first line of a file, without memory; false when there is none. */
static bool read_line(const char *path, char *line, size_t room)
{
    FILE *file = oxt_i_open_file(path);
    bool good = file && fgets(line, (int)room, file);
    if (file)
        fclose(file);
    return good;
}

/* The quota in microseconds of each period, of version 2 ("200000 100000" or "max 100000"), rounded up to
 * processors; 0: none. */
static size_t quota_of(const char *root, const char *group)
{
    char path[PATH_ROOM + 64], line[128];
    const char *at = line;
    double quota, period;
    oxt_i_snprintf(path, sizeof path, "%s%s/cpu.max", root, group);
    if (!read_line(path, line, sizeof line) || !oxt_i_read_number(&at, &quota))
        return 0;
    at += strspn(at, " ");
    if (!oxt_i_read_number(&at, &period) || !(quota > 0.0) || !(period > 0.0))
        return 0;
    return (size_t)fmin(ceil(quota / period), 1e6);
}

size_t oxt_i_quota(const char *root, const char *group)
{
    char name[PATH_ROOM];
    size_t least = 0;
    oxt_i_copy_text(name, sizeof name, group);
    for (;;) {
        size_t quota = quota_of(root, name);
        if (quota > 0 && (least == 0 || quota < least))
            least = quota;
        char *slash = strrchr(name, '/');
        if (!slash)
            return least;
        *slash = '\0';
    }
}

/* The group of this process: the line "0::/path" of version 2. */
static size_t own_quota(void)
{
    char line[PATH_ROOM];
    FILE *groups = oxt_i_open_file("/proc/self/cgroup");
    size_t quota = 0;
    while (groups && quota == 0 && fgets(line, sizeof line, groups)) {
        line[strcspn(line, "\n")] = '\0';
        if (strncmp(line, "0::", 3) == 0)
            quota = oxt_i_quota(GROUPS, line + 3);
    }
    if (groups)
        fclose(groups);
    return quota;
}

size_t oxt_i_processors(void)
{
    long online = sysconf(_SC_NPROCESSORS_ONLN);
    size_t count = online > 0 ? (size_t)online : 1;
#ifdef CPU_COUNT
    cpu_set_t mine; /* of the first 1024; with more the call fails and all count */
    if (sched_getaffinity(0, sizeof mine, &mine) == 0 && CPU_COUNT(&mine) > 0)
        count = (size_t)CPU_COUNT(&mine);
#endif
    size_t quota = own_quota();
    return quota > 0 && quota < count ? quota : count;
}

#endif
