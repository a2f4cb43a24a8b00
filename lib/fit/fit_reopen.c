/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A finished fit, taken up again: its model on copies of the rows that it used. */
#include <stdlib.h>
#include <string.h>

#include "fit/fit.h"

oxt_status oxt_i_fit_copy_used(oxt_i_trial_set *made, const oxt_fit *fit, oxt_error *error)
{
    size_t count = fit->values.used_count, paths = 0;
    *made = (oxt_i_trial_set){ .used_count = count,
                               .day_count = fit->set.day_count,
                               .within_days = fit->set.within_days,
                               .law = fit->set.law };
    for (size_t i = 0; i < fit->set.row_count && fit->set.paths; i++)
        paths += fit->set.rows[i].path ? 1 : 0;
    made->rows = malloc(count * sizeof *made->rows);
    made->paths = malloc((paths + 1) * sizeof *made->paths);
    if (!made->rows || !made->paths)
        return oxt_i_no_memory(error);
    paths = 0;
    for (size_t i = 0; i < fit->set.row_count; i++) {
        oxt_i_fit_row *row = &made->rows[made->row_count];
        if (fit->set.rows && fit->set.rows[i].reading_count == 0)
            continue;
        *row = oxt_i_fit_row_at(fit, i);
        made->row_count++;
        if (!row->path)
            continue;
        made->paths[paths] = *row->path;
        row->path = &made->paths[paths++];
    }
    oxt_i_fit_measure_baths(made);
    return OXT_OK;
}

oxt_status oxt_i_fit_reopen(oxt_i_reopened *made, const oxt_fit *fit, oxt_error *error)
{
    oxt_i_fit_solution *solution = &made->solution;
    *made = (oxt_i_reopened){ .one = &made->set, .first = { 0, fit->values.used_count } };
    oxt_status status = oxt_i_fit_copy_used(&made->set, fit, error);
    if (status)
        return status;
    solution->system =
        (oxt_i_linear){ .groups = 1, .units = 1, .held_q = fit->values.Q_held ? 1.0 : NAN };
    status = oxt_i_fit_new_solution(solution, &made->one, made->first, &fit->options, true, error);
    solution->model.prior_count = fit->prior_count;
    memcpy(solution->model.prior, fit->prior, sizeof fit->prior);
    solution->robust = fit->options.robust;
    solution->by_band = oxt_i_fit_by_band(&solution->model, fit->options.names);
    solution->scatter = fit->values.scatter;
    solution->day_sd = fit->values.day_sd;
    return status;
}

void oxt_i_fit_close(oxt_i_reopened *made)
{
    oxt_i_fit_free_solution(&made->solution);
    oxt_i_fit_free_set(&made->set);
}
