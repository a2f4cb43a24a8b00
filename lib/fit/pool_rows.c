/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From the log to groups of rows: one steel with one finish each. */
#include <stdlib.h>
#include <string.h>

#include "base/intern.h"
#include "fit/pool.h"

/* Read the rows of one group; it joins the pool when some can be used. */
static oxt_status read_group(oxt_pool *pool, oxt_i_log_group of, const oxt_trials *trials,
                             const oxt_film *film, const oxt_fit_options *options, oxt_error *error)
{
    oxt_fit_options of_group = *options;
    of_group.steel = of.steel_name;
    of_group.finish = of.finish;
    oxt_i_pool_group *group = &pool->groups[pool->group_count];
    *group = (oxt_i_pool_group){ .result = OXT_POOL_GROUP_INIT };
    oxt_status status = oxt_i_fit_read_rows(&group->set, &group->warnings, trials, of.steel, film,
                                            &of_group, error);
    if (!status && group->set.used_count > 0) {
        pool->used_count += group->set.used_count;
        pool->group_count++;
        return OXT_OK;
    }
    if (!status)
        oxt_i_warn(&pool->warnings, "GROUP_LEFT_OUT", (double)group->set.row_count,
                   "%s is left out: no trial of its %zu can be used.", group->set.name,
                   group->set.row_count);
    oxt_i_fit_free_set(&group->set);
    oxt_i_warnings_free(&group->warnings);
    return status;
}

/* ---- steels and factors ---- */

/* What groups have in common links them: a steel or a finish. Each node knows one that is nearer to the first. */
static size_t first_of(size_t *nodes, size_t node)
{
    while (nodes[node] != node) {
        nodes[node] = nodes[nodes[node]];
        node = nodes[node];
    }
    return node;
}

/* Finishes can be compared with one another only within what is linked; there the first one is the measure.
 * `nodes` has room for the steels and the finishes, `factors` and `measured` for either. */
static void number_factors(oxt_pool *pool, const size_t *finish_of, size_t finishes, size_t *nodes,
                           size_t *factors, size_t *measured)
{
    static const size_t UNSEEN = OXT_I_NO_FACTOR - 1;
    size_t steels = pool->steel_count;
    for (size_t i = 0; i < steels + finishes; i++)
        nodes[i] = i;
    for (size_t i = 0; i < pool->group_count; i++) {
        size_t a = first_of(nodes, pool->steel_of[i]);
        size_t b = first_of(nodes, steels + finish_of[i]);
        nodes[a > b ? a : b] = a > b ? b : a;
    }
    for (size_t i = 0; i < finishes; i++)
        factors[i] = UNSEEN;
    for (size_t i = 0; i < steels; i++)
        measured[i] = 0;
    for (size_t i = 0; i < pool->group_count; i++) {
        size_t *factor = &factors[finish_of[i]], node = first_of(nodes, pool->steel_of[i]);
        if (*factor == UNSEEN) /* the first node of what is linked is a steel */
            *factor = measured[node]++ ? pool->factor_count++ : OXT_I_NO_FACTOR;
        pool->factor_of[i] = *factor;
    }
}

/* The groups, steel after steel, by counting. */
static void sort_by_steel(oxt_pool *pool, size_t *places)
{
    for (size_t i = 0; i <= pool->steel_count; i++)
        places[i] = 0;
    for (size_t i = 0; i < pool->group_count; i++)
        places[pool->steel_of[i] + 1]++;
    for (size_t i = 0; i < pool->steel_count; i++)
        places[i + 1] += places[i];
    for (size_t i = 0; i < pool->group_count; i++)
        pool->by_steel[places[pool->steel_of[i]]++] = i;
}

/* Number a name in order of appearance. */
static bool number(oxt_i_intern *names, const char *name, size_t *into)
{
    uint32_t found;
    bool good = oxt_i_intern_add(names, name, strlen(name), &found);
    *into = good ? found : 0;
    return good;
}

static oxt_status number_groups(oxt_pool *pool, oxt_error *error)
{
    size_t count = pool->group_count;
    size_t *finish_of = malloc(5 * (count + 1) * sizeof *finish_of);
    oxt_i_intern steels = { 0 }, finishes = { 0 };
    bool good = finish_of;
    for (size_t i = 0; i < count && good; i++)
        good = number(&steels, pool->sets[i]->steel, &pool->steel_of[i]) &&
               number(&finishes, pool->sets[i]->finish, &finish_of[i]);
    if (good) {
        size_t *nodes = finish_of + count + 1;
        pool->steel_count = steels.count;
        number_factors(pool, finish_of, finishes.count, nodes, nodes + 2 * count,
                       nodes + 3 * count);
        sort_by_steel(pool, nodes);
    }
    oxt_i_intern_free(&steels);
    oxt_i_intern_free(&finishes);
    free(finish_of);
    return good ? OXT_OK : oxt_i_no_memory(error);
}

/* ---- reading ---- */

static oxt_status take_memory(oxt_pool *pool, size_t found, oxt_error *error)
{
    pool->groups = malloc((found + 1) * sizeof *pool->groups);
    pool->sets = malloc((found + 1) * sizeof *pool->sets);
    pool->first = malloc((found + 1) * 4 * sizeof *pool->first);
    pool->steel_of = pool->first ? pool->first + found + 1 : NULL;
    pool->factor_of = pool->first ? pool->first + 2 * (found + 1) : NULL;
    pool->by_steel = pool->first ? pool->first + 3 * (found + 1) : NULL;
    return pool->groups && pool->sets && pool->first ? OXT_OK : oxt_i_no_memory(error);
}

/* All groups keep their rows alike: films alone only where no group has anything else. */
static oxt_status line_up(oxt_pool *pool, oxt_error *error)
{
    bool films = true;
    size_t n = 0;
    oxt_status status = OXT_OK;
    for (size_t i = 0; i < pool->group_count; i++)
        films = films && pool->groups[i].set.films.rows;
    for (size_t i = 0; i < pool->group_count && !status; i++) {
        pool->sets[i] = &pool->groups[i].set;
        pool->first[i] = n;
        n += pool->groups[i].set.used_count;
        if (!films)
            status = oxt_i_fit_expand(&pool->groups[i].set, error);
    }
    pool->first[pool->group_count] = n;
    return status;
}

oxt_status oxt_i_pool_read(oxt_pool *pool, const oxt_trials *trials, const oxt_film *film,
                           const oxt_fit_options *options, oxt_error *error)
{
    size_t found = oxt_i_log_groups(trials);
    if (found == 0)
        return oxt_i_fail_text(error, OXT_EFEW, "trials", "the log holds no trials");
    pool->row_count = oxt_trials_count(trials);
    oxt_status status = take_memory(pool, found, error);
    for (size_t i = 0; i < found && !status; i++)
        status = read_group(pool, oxt_i_log_group_at(trials, i), trials, film, options, error);
    if (!status && pool->group_count == 0)
        status = oxt_i_fail(error, OXT_EFEW, "trials", 0.0, 1.0, NAN,
                            "no trial of the log's %zu can be used: add coupons that show a "
                            "colour",
                            pool->row_count);
    if (!status)
        status = oxt_film_description(film, pool->description, sizeof pool->description, NULL,
                                      error);
    if (!status)
        status = line_up(pool, error);
    if (!status)
        status = oxt_i_fit_take_law(pool->sets, pool->group_count, options, error);
    if (!status)
        status = number_groups(pool, error);
    return status;
}
