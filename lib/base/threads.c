/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _GNU_SOURCE /* sched_getaffinity */

#include "base/threads.h"

#include <pthread.h>
#include <sched.h>
#include <stdatomic.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "base/internal.h"

#define GROUPS "/sys/fs/cgroup"
enum { PATH_ROOM = 4096 };

/* The first line of a file, without memory; false when there is none. */
static bool read_line(const char *path, char *line, size_t room)
{
    FILE *file = fopen(path, "re");
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
    FILE *groups = fopen("/proc/self/cgroup", "re");
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

/* ---- work that threads share ---- */

enum { MOST_THREADS = 256 };

typedef struct {
    const oxt_i_shared_work *work;
    atomic_size_t next, finished;
    atomic_bool stop;
} sharing;

/* One thread of them. */
typedef struct {
    sharing *of;
    void *context;
} sharer;

/* Take the next block; false when there is none. */
static bool take_block(const sharer *by)
{
    sharing *of = by->of;
    const oxt_i_shared_work *work = of->work;
    size_t first = atomic_fetch_add(&of->next, work->block);
    if (first >= work->count || atomic_load(&of->stop))
        return false;
    size_t left = work->count - first, count = left < work->block ? left : work->block;
    if (!work->work(by->context, first, count))
        atomic_store(&of->stop, true);
    atomic_fetch_add(&of->finished, count);
    return true;
}

static void *work_along(void *context)
{
    while (take_block(context))
        ;
    return NULL;
}

size_t oxt_i_share_threads(const oxt_i_shared_work *work)
{
    size_t wanted = work->threads > 0 ? (size_t)work->threads : oxt_i_processors();
    size_t blocks = (work->count + work->block - 1) / work->block;
    if (wanted > MOST_THREADS)
        wanted = MOST_THREADS;
    return wanted < blocks ? wanted : blocks;
}

oxt_status oxt_i_share(const oxt_i_shared_work *work, oxt_error *error)
{
    pthread_t threads[MOST_THREADS];
    sharer sharers[MOST_THREADS];
    sharing of = { .work = work };
    size_t wanted = oxt_i_share_threads(work), started = 0;
    for (size_t i = 0; i < wanted; i++)
        sharers[i] = (sharer){ &of, (char *)work->context + i * work->own };
    while (started + 1 < wanted &&
           pthread_create(&threads[started], NULL, work_along, &sharers[started + 1]) == 0)
        started++;
    oxt_status status = OXT_OK;
    while (!status && take_block(&sharers[0])) {
        size_t finished = atomic_load(&of.finished);
        if (finished < work->count)
            status = oxt_i_progress(work->progress, work->user,
                                    (double)finished / (double)work->count, error);
        if (status)
            atomic_store(&of.stop, true);
    }
    for (size_t i = 0; i < started; i++)
        pthread_join(threads[i], NULL);
    if (!status && !atomic_load(&of.stop))
        status = oxt_i_progress(work->progress, work->user, 1.0, error);
    return status;
}
