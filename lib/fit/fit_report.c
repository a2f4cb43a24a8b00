/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The fit as a report to read at the bench: the answer, warnings, the numbers. */
#include "steel/steel.h"
#include "fit/fit.h"

/* Decimals that show two digits of the error. */
static int decimals_for(double error)
{
    if (!(error > 0.0) || !isfinite(error))
        return 3;
    int decimals = 1 - (int)floor(log10(error));
    return decimals < 0 ? 0 : decimals > 9 ? 9 : decimals;
}

void oxt_i_text_add_law(oxt_i_text *text, const oxt_growth *growth, double ln_shape_stderr,
                        double confidence, double dof)
{
    if (growth->law == OXT_LAW_PARABOLIC)
        return;
    double off = exp(oxt_i_t_quantile(confidence, dof) * ln_shape_stderr);
    oxt_i_text_add(text, "  %s law, %s = %.3g%s", oxt_i_law_names[growth->law],
                   oxt_i_law_letters[growth->law], growth->shape, oxt_i_law_units[growth->law]);
    if (ln_shape_stderr > 0.0)
        oxt_i_text_add(text, " (%g %%: %.3g to %.3g)", 100.0 * confidence, growth->shape / off,
                       growth->shape * off);
    oxt_i_text_add(text, "; k_ref is that of the middle film, %.3g nm\n", growth->middle_nm);
}

/* "film before the dips: 14.2 nm (95 %: 0 to 20.1)": limits of its exposure, which a film has that is not less than
 * nothing. */
static void add_initial(oxt_i_text *text, const oxt_fit_values *values)
{
    oxt_growth plain = values->growth;
    double off = oxt_i_t_quantile(values->confidence, values->dof) * values->initial_stderr_nm2;
    if (values->initial_stderr_nm2 == 0.0)
        return;
    plain.initial_nm = 0.0;
    double nm2 = oxt_i_exposure_of(&plain, values->growth.initial_nm);
    oxt_i_text_add(text, "  film before the dips: %.3g nm (%g %%: %.3g to %.3g)",
                   values->growth.initial_nm, 100.0 * values->confidence,
                   oxt_i_film_of(&plain, fmax(nm2 - off, 0.0)), oxt_i_film_of(&plain, nm2 + off));
    if (values->growth.law == OXT_LAW_PARABOLIC)
        oxt_i_text_add(text, "; k_ref is that of the middle film, %.3g nm",
                       values->growth.middle_nm);
    oxt_i_text_add(text, "\n");
}

void oxt_i_text_add_scatter(oxt_i_text *text, const oxt_growth *growth, const char *between,
                            double sd)
{
    double in_film = 1.0;
    if (!oxt_i_grows_plainly(growth))
        in_film = 2.0 / oxt_i_exponent_of(growth, growth->middle_nm);
    oxt_i_text_add(text, "  scatter from %s: %.1f %% in thickness, %.1f %% in time", between,
                   100.0 * in_film * sd, 200.0 * sd);
}

static void add_answer(oxt_i_text *text, const oxt_fit *fit, oxt_temperature_unit unit)
{
    const oxt_fit_values *values = &fit->values;
    const oxt_growth *growth = &values->growth;
    double k_error = growth->k_ref_nm2_per_s * values->ln_k_stderr;
    int k_decimals = decimals_for(k_error),
        Q_decimals = decimals_for(values->Q_stderr_J_per_mol / 1e3);
    oxt_i_text_add(text, "%s: %zu of %zu trial%s used\n", fit->set.name, values->used_count,
                   values->row_count, oxt_i_plural(values->row_count));
    oxt_i_text_add(text, "  rate at %s: k_ref = %.*f +- %.*f nm^2/s (%g %%: %.*f to %.*f)\n",
                   oxt_i_show_temperature(growth->T_ref_K, unit).text, k_decimals,
                   growth->k_ref_nm2_per_s, k_decimals, k_error, 100.0 * values->confidence,
                   k_decimals, values->k_ref_low_nm2_per_s, k_decimals,
                   values->k_ref_high_nm2_per_s);
    if (values->Q_held)
        oxt_i_text_add(text, "  activation energy: Q = %.*f kJ/mol, given\n", Q_decimals,
                       growth->Q_J_per_mol / 1e3);
    else
        oxt_i_text_add(text, "  activation energy: Q = %.*f +- %.*f kJ/mol (%g %%: %.*f to %.*f)\n",
                       Q_decimals, growth->Q_J_per_mol / 1e3, Q_decimals,
                       values->Q_stderr_J_per_mol / 1e3, 100.0 * values->confidence, Q_decimals,
                       values->Q_low_J_per_mol / 1e3, Q_decimals, values->Q_high_J_per_mol / 1e3);
    oxt_i_text_add_law(text, growth, values->ln_shape_stderr, values->confidence, values->dof);
    add_initial(text, values);
    oxt_i_text_add_scatter(text, growth, "dip to dip", values->scatter);
    oxt_i_text_add(text, "\n");
    if (values->day_count > 1) {
        oxt_i_text_add_scatter(text, growth, "day to day", values->day_sd);
        oxt_i_text_add(text, " (%zu days)\n", values->day_count);
    }
    if (values->reader_offset != 0.0)
        oxt_i_text_add(
            text,
            "  the reader's names: at films %.1f %% %s than by the optics, +- %.1f %%; the "
            "card has them as words\n",
            100.0 * fabs(expm1(values->reader_offset)),
            values->reader_offset > 0.0 ? "thicker" : "thinner",
            100.0 * values->reader_offset_stderr);
}

static void add_coupons(oxt_i_text *text, const oxt_fit *fit)
{
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    char coupons[320];
    oxt_i_fit_put_coupons(&fit->set, &values);
    if (values.basis != OXT_BASIS_STEEL)
        return;
    oxt_i_steel_coupon_text(&values, coupons, sizeof coupons);
    oxt_i_text_add(text,
                   "  of the steel itself: heating up and lift of the coupons are included\n"
                   "  usual coupon: %s\n",
                   coupons);
}

static void add_prior(oxt_i_text *text, const oxt_fit_values *values)
{
    double of_Q = values->prior_share_Q, of_rate = values->prior_share_ln_k;
    if (of_Q > 0.0)
        oxt_i_text_add(
            text,
            "  %.0f %% of the information on Q and %.0f %% of that on the rate comes from the "
            "prior\n",
            100.0 * of_Q, 100.0 * of_rate);
    else if (of_rate > 0.0)
        oxt_i_text_add(text, "  %.0f %% of the information on the rate comes from the prior\n",
                       100.0 * of_rate);
}

/* Each coupon is predicted from the others, which takes the square of their number; of coupons whose
 * true baths and times are fitted along their thermal paths a report would take minutes. */
static void add_validation(oxt_i_text *text, const oxt_fit *fit)
{
    enum { FEWEST = 4, MOST = 100 };
    bool by_paths = fit->set.coupons.included &&
                    fit->options.errors_in_variables == OXT_ERRORS_ORTHOGONAL;
    oxt_cross_validation_options options = OXT_CROSS_VALIDATION_OPTIONS_INIT;
    oxt_cross_validation_values values = OXT_CROSS_VALIDATION_VALUES_INIT;
    oxt_cross_validation *found = NULL;
    options.threads = 1;
    if (fit->values.used_count < FEWEST || fit->values.used_count > MOST || by_paths)
        return;
    text->failed = oxt_cross_validation_run(&found, fit, &options, NULL) || text->failed;
    if (found && !oxt_cross_validation_get(found, &values, NULL) && values.predicted_count > 0) {
        oxt_i_text_add(text, "  ");
        oxt_i_text_add_hits(text, &values);
        oxt_i_text_add(text, "\n");
    }
    oxt_cross_validation_free(found);
}

/* A row without which no lift time would change by this much is not named. */
static const double LEAST_INFLUENCE = 0.005;

enum { MOST_NAMED = 3 };

/* The most influential rows, the first of equal ones first; gives how many. */
static size_t find_influential(const oxt_fit *fit, oxt_i_fit_row found[MOST_NAMED])
{
    size_t count = 0;
    for (size_t i = 0; i < fit->set.row_count; i++) {
        const oxt_i_fit_row row = oxt_i_fit_row_at(fit, i);
        double influence = fabs(row.dip_change);
        if (row.reading_count == 0 || !isfinite(influence) || influence < LEAST_INFLUENCE)
            continue;
        size_t place = count;
        while (place > 0 && influence > fabs(found[place - 1].dip_change))
            place--;
        if (place == MOST_NAMED)
            continue;
        count += count < MOST_NAMED ? 1 : 0;
        for (size_t j = count - 1; j > place; j--)
            found[j] = found[j - 1];
        found[place] = row;
    }
    return count;
}

static void add_influential(oxt_i_text *text, const oxt_fit *fit)
{
    static const char *const words[] = { "longer", "long", "shorter", "short" };
    oxt_i_fit_row rows[MOST_NAMED];
    size_t count = find_influential(fit, rows);
    for (size_t i = 0; i < count; i++) {
        char what[64];
        oxt_i_row_name(&rows[i], what, sizeof what);
        oxt_i_text_add(text,
                       "%s  %s: without it, lift times in this bath are %s (Cook's "
                       "distance %.2g)\n",
                       i == 0 ? "Most influential coupons\n" : "", what,
                       oxt_i_show_change(exp(rows[i].dip_change), 1, words).text,
                       rows[i].cooks_distance);
    }
}

static void add_numbers(oxt_i_text *text, const oxt_fit *fit)
{
    const oxt_fit_values *values = &fit->values;
    oxt_i_text_add(text, "Numbers\n");
    oxt_i_text_add(text, "  degrees of freedom %.3g, reduced chi-square %.3g", values->dof,
                   values->reduced_chi_square);
    if (isfinite(values->r_squared))
        oxt_i_text_add(text, ", R^2 %.4f", values->r_squared);
    if (isfinite(values->aicc))
        oxt_i_text_add(text, ", AICc %.2f", values->aicc);
    oxt_i_text_add(text, "\n  condition %.3g", values->condition);
    if (isfinite(values->correlation))
        oxt_i_text_add(text, ", correlation of ln k_ref and Q %.3f",
                       round(1000.0 * values->correlation) / 1000.0 + 0.0); /* no minus before 0 */
    oxt_i_text_add(text, "\n  film: %s\n", fit->description);
}

oxt_status oxt_fit_report(const oxt_fit *fit, oxt_temperature_unit unit, char *buffer,
                          size_t capacity, size_t *needed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!fit)
        return oxt_i_null(error, "fit");
    oxt_status status = oxt_format_temperature(300.0, unit, NULL, 0, NULL, error);
    if (status)
        return status;
    oxt_i_text text = { 0 };
    add_answer(&text, fit, unit);
    add_coupons(&text, fit);
    add_prior(&text, &fit->values);
    add_validation(&text, fit);
    oxt_i_text_add_warnings(&text, &fit->warnings, unit);
    add_influential(&text, fit);
    add_numbers(&text, fit);
    return oxt_i_emit_text(&text, buffer, capacity, needed, error);
}
