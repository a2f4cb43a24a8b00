/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The fit as a report to read at the bench: the answer, what to distrust, the numbers. */
#include "fit_internal.h"

/* Decimals that show two digits of the error. */
static int decimals_for(double error)
{
    if (!(error > 0.0) || !isfinite(error))
        return 3;
    int decimals = 1 - (int)floor(log10(error));
    return decimals < 0 ? 0 : decimals > 9 ? 9 : decimals;
}

static void add_answer(oxt_i_text *text, const oxt_fit *fit, oxt_temperature_unit unit)
{
    const oxt_fit_values *values = &fit->values;
    const oxt_growth *growth = &values->growth;
    char at[32];
    oxt_format_temperature(growth->T_ref_K, unit, at, sizeof at, NULL, NULL);
    double k_error = growth->k_ref_nm2_per_s * values->ln_k_stderr;
    int k_decimals = decimals_for(k_error),
        Q_decimals = decimals_for(values->Q_stderr_J_per_mol / 1e3);
    oxt_i_text_add(text, "%s: %zu of %zu trials used\n", fit->name, values->used_count,
                   values->row_count);
    oxt_i_text_add(text, "  rate at %s: k_ref = %.*f +- %.*f nm^2/s (%g %%: %.*f to %.*f)\n", at,
                   k_decimals, growth->k_ref_nm2_per_s, k_decimals, k_error,
                   100.0 * values->confidence, k_decimals, values->k_ref_low_nm2_per_s, k_decimals,
                   values->k_ref_high_nm2_per_s);
    if (values->Q_held)
        oxt_i_text_add(text, "  activation energy: Q = %.*f kJ/mol, given\n", Q_decimals,
                       growth->Q_J_per_mol / 1e3);
    else
        oxt_i_text_add(text, "  activation energy: Q = %.*f +- %.*f kJ/mol (%g %%: %.*f to %.*f)\n",
                       Q_decimals, growth->Q_J_per_mol / 1e3, Q_decimals,
                       values->Q_stderr_J_per_mol / 1e3, 100.0 * values->confidence, Q_decimals,
                       values->Q_low_J_per_mol / 1e3, Q_decimals, values->Q_high_J_per_mol / 1e3);
    oxt_i_text_add(text, "  scatter from dip to dip: %.1f %% in thickness, %.1f %% in time\n",
                   100.0 * values->scatter, 200.0 * values->scatter);
}

static void add_distrust(oxt_i_text *text, const oxt_fit *fit)
{
    oxt_i_text_add(text, "What to distrust\n");
    if (fit->warning_count == 0)
        oxt_i_text_add(text, "  nothing stands out\n");
    for (size_t i = 0; i < fit->warning_count; i++)
        oxt_i_text_add_item(text, fit->warnings[i]);
}

static void add_numbers(oxt_i_text *text, const oxt_fit *fit)
{
    const oxt_fit_values *values = &fit->values;
    oxt_i_text_add(text, "Numbers\n");
    oxt_i_text_add(text, "  degrees of freedom %g, reduced chi-square %.3g, R^2 %.4f", values->dof,
                   values->reduced_chi_square, values->r_squared);
    if (isfinite(values->aicc))
        oxt_i_text_add(text, ", AICc %.2f", values->aicc);
    oxt_i_text_add(text, "\n  condition %.3g", values->condition);
    if (isfinite(values->correlation))
        oxt_i_text_add(text, ", correlation of ln k_ref and Q %.3f", values->correlation);
    oxt_i_text_add(text, "\n  film: %s\n", fit->description);
}

oxt_status oxt_fit_report(const oxt_fit *fit, oxt_temperature_unit unit, char *buffer,
                          size_t capacity, size_t *needed, oxt_error *error)
{
    if (!fit)
        return oxt_i_null(error, "fit");
    oxt_status status = oxt_format_temperature(300.0, unit, NULL, 0, NULL, error);
    if (status)
        return status;
    oxt_i_text text = { 0 };
    add_answer(&text, fit, unit);
    add_distrust(&text, fit);
    add_numbers(&text, fit);
    return oxt_i_emit_text(&text, buffer, capacity, needed, error);
}
