/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From the log to groups of rows: one steel with one finish each. */
#include <stdlib.h>
#include <string.h>

#include "pool_internal.h"
#include "trials.h"

/* Read the rows of one group; it joins the pool when some can be used. */
static oxt_status read_group(oxt_pool *pool, size_t index, const oxt_trials *trials,
                             const oxt_film *film, const oxt_fit_options *options, oxt_error *error)
{
    const oxt_i_log_group of = oxt_i_log_group_at(trials, index);
    oxt_fit_options of_group = *options;
    of_group.steel = of.steel_name;
    of_group.finish = of.finish;
    oxt_i_pool_group *group = &pool->groups[pool->group_count];
    *group = (oxt_i_pool_group){ .result = OXT_POOL_GROUP_INIT };
    group->fit = calloc(1, sizeof *group->fit);
    if (!group->fit)
        return oxt_i_no_memory(error);
    oxt_status status = oxt_i_fit_read_rows(group->fit, trials, film, &of_group, error);
    for (size_t i = 0; i < group->fit->row_count && !status; i++)
        group->used += group->fit->rows[i].reading_count > 0;
    if (!status && group->used == 0)
        oxt_i_fit_warn(pool->notes, "%s is left out: no trial of its %zu can be used.",
                       group->fit->name, group->fit->row_count);
    if (status || group->used == 0) {
        oxt_fit_free(group->fit);
        return status;
    }
    pool->used_count += group->used;
    pool->group_count++;
    return OXT_OK;
}

static oxt_status read_groups(oxt_pool *pool, const oxt_trials *trials, const oxt_film *film,
                              const oxt_fit_options *options, oxt_error *error)
{
    size_t found = oxt_i_log_groups(trials);
    if (found == 0)
        return oxt_i_fail_text(error, OXT_EFEW, "trials", "the log holds no trials");
    pool->groups = malloc((found + 1) * sizeof *pool->groups);
    pool->row_count = oxt_trials_count(trials);
    oxt_status status = pool->groups ? OXT_OK : oxt_i_no_memory(error);
    for (size_t i = 0; i < found && !status; i++)
        status = read_group(pool, i, trials, film, options, error);
    return status;
}

/* ---- steels and factors ---- */

static void number_steels(oxt_pool *pool)
{
    for (size_t i = 0; i < pool->group_count; i++) {
        oxt_i_pool_group *group = &pool->groups[i];
        group->steel = OXT_I_POOL_NONE;
        for (size_t j = 0; j < i && group->steel == OXT_I_POOL_NONE; j++)
            if (strcmp(pool->groups[j].fit->steel, group->fit->steel) == 0)
                group->steel = pool->groups[j].steel;
        if (group->steel == OXT_I_POOL_NONE)
            group->steel = pool->steel_count++;
    }
}

/* Groups are linked by a steel or a finish in common. Finishes can be compared with one another only
 * within what is linked; there the first one is the measure. `linked` gets the first group of each. */
static void link_groups(const oxt_pool *pool, size_t *linked)
{
    for (size_t i = 0; i < pool->group_count; i++)
        linked[i] = i;
    for (bool changed = true; changed;) {
        changed = false;
        for (size_t i = 0; i < pool->group_count; i++)
            for (size_t j = 0; j < i; j++) {
                const oxt_i_pool_group *a = &pool->groups[i], *b = &pool->groups[j];
                bool link = a->steel == b->steel || strcmp(a->fit->finish, b->fit->finish) == 0;
                if (!link || linked[i] == linked[j])
                    continue;
                linked[i] = linked[j] = linked[i] < linked[j] ? linked[i] : linked[j];
                changed = true;
            }
    }
}

static oxt_status number_factors(oxt_pool *pool, oxt_error *error)
{
    size_t *linked = malloc((pool->group_count + 1) * sizeof *linked);
    if (!linked)
        return oxt_i_no_memory(error);
    link_groups(pool, linked);
    for (size_t i = 0; i < pool->group_count; i++) {
        oxt_i_pool_group *group = &pool->groups[i];
        const oxt_i_pool_group *same = NULL;
        for (size_t j = 0; j < i && !same; j++)
            if (strcmp(pool->groups[j].fit->finish, group->fit->finish) == 0)
                same = &pool->groups[j];
        group->factor = same             ? same->factor
                        : linked[i] == i ? OXT_I_POOL_NONE
                                         : pool->factor_count++;
    }
    free(linked);
    return OXT_OK;
}

oxt_status oxt_i_pool_read(oxt_pool *pool, const oxt_trials *trials, const oxt_film *film,
                           const oxt_fit_options *options, oxt_error *error)
{
    oxt_status status = read_groups(pool, trials, film, options, error);
    if (status)
        return status;
    if (pool->group_count == 0)
        return oxt_i_fail(error, OXT_EFEW, "trials", 0.0, 1.0, NAN,
                          "no trial of the log's %zu can be used: add coupons that show a "
                          "colour",
                          pool->row_count);
    number_steels(pool);
    return number_factors(pool, error);
}
