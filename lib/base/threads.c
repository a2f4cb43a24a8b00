/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/threads.h"

#include <pthread.h>
#include <stdatomic.h>

#include "base/internal.h"

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
