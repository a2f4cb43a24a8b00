/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A finished fit, taken up again: its model on copies of the rows that it used. */
#include <stdlib.h>
#include <string.h>

#include "fit_internal.h"

oxt_i_seen_row *oxt_i_fit_used_rows(const oxt_fit *fit)
{
    size_t n = 0;
    oxt_i_seen_row *rows = malloc(fit->values.used_count * sizeof *rows);
    for (size_t i = 0; i < fit->row_count && rows; i++)
        if (fit->rows[i].reading_count > 0)
            rows[n++] = fit->rows[i];
    return rows;
}

oxt_status oxt_i_fit_take_up(oxt_i_fit_model *model, const oxt_fit *fit, oxt_i_seen_row *rows,
                             oxt_error *error)
{
    const oxt_growth *growth = &fit->values.growth;
    model->n = fit->values.used_count;
    model->T_ref_K = growth->T_ref_K;
    model->held_q = fit->values.Q_held
                        ? growth->Q_J_per_mol / (OXT_GAS_CONSTANT_J_PER_MOL_K * growth->T_ref_K)
                        : NAN;
    model->prior_count = fit->prior_count;
    memcpy(model->prior, fit->prior, sizeof model->prior);
    model->orthogonal = fit->options.errors_in_variables == OXT_ORTHOGONAL;
    model->rows = malloc(model->n * sizeof(oxt_i_seen_row *));
    if (!model->rows)
        return oxt_i_no_memory(error);
    for (size_t i = 0; i < model->n; i++) {
        model->rows[i] = &rows[i];
        model->uncertain = model->uncertain || rows[i].bath_sd_K > 0.0 || rows[i].time_sd_s > 0.0;
        model->has_paths = model->has_paths || rows[i].has_path;
    }
    return OXT_OK;
}
