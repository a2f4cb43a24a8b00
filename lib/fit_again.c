/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A finished fit, taken up again: its model on copies of the rows that it used. */
#include <stdlib.h>
#include <string.h>

#include "fit_internal.h"

oxt_status oxt_i_fit_reopen(oxt_i_reopened *made, const oxt_fit *fit, oxt_error *error)
{
    size_t n = fit->values.used_count;
    oxt_i_fit_solution *solution = &made->solution;
    *made = (oxt_i_reopened){ .set = { .row_count = n, .used_count = n }, .first = { 0, n } };
    made->set.rows = oxt_i_fit_used_rows(fit);
    if (!made->set.rows)
        return oxt_i_no_memory(error);
    made->one = &made->set;
    solution->system =
        (oxt_i_linear){ .groups = 1, .units = 1, .held_q = fit->values.Q_held ? 1.0 : NAN };
    oxt_status status = oxt_i_fit_new_solution(solution, &made->one, made->first, &fit->options,
                                               true, error);
    solution->model.prior_count = fit->prior_count;
    memcpy(solution->model.prior, fit->prior, sizeof fit->prior);
    solution->robust = fit->options.robust;
    solution->by_band = oxt_i_fit_by_band(&solution->model, fit->options.names);
    solution->scatter = fit->values.scatter;
    return status;
}

void oxt_i_fit_close(oxt_i_reopened *made)
{
    oxt_i_fit_free_solution(&made->solution);
    free(made->set.rows);
}
