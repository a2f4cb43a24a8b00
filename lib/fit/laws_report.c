/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The comparison of laws in words: the sentence, the table, what to do. */
#include "fit/laws.h"

/* ---- the sentence ---- */

/* "x grows as time^(1/3.10) (95 %: n from 2.70 to 3.60)"; an end at a limit is open. */
static void add_exponent(oxt_i_text *text, const oxt_laws_values *values)
{
    oxt_i_text_add(text, "x grows as time^(1/%.2f)", values->exponent);
    if (isnan(values->exponent_low)) {
        oxt_i_text_add(text, " or %s", values->exponent > 2.0 ? "more slowly" : "faster");
        return;
    }
    oxt_i_text_add(text, " (%g %%: n from %.2f to ", 100.0 * values->confidence,
                   values->exponent_low);
    if (values->exponent_high > 12.0 - 1e-9)
        oxt_i_text_add(text, "12 or more)");
    else
        oxt_i_text_add(text, "%.2f)", values->exponent_high);
}

/* The time of a film beside that of the parabolic law. */
static void add_ratio(oxt_i_text *text, double film_nm, double ratio)
{
    static const char *const words[] = { "longer", "long", "shorter", "short" };
    oxt_i_text_add(text, "the time for %.0f nm is %s", film_nm,
                   oxt_i_show_change(ratio, 0, words).text);
}

static void add_contradiction(oxt_i_text *text, const oxt_laws_values *values)
{
    oxt_i_text_add(text, "the trials contradict the parabolic law: ");
    add_exponent(text, values);
    oxt_i_text_add(text,
                   "; times far from the middle of the trials are off: by the %s law, "
                   "beside the parabolic one, ",
                   oxt_i_law_names[values->rival]);
    if (isfinite(values->time_ratio_half)) {
        add_ratio(text, 0.5 * values->middle_nm, values->time_ratio_half);
        oxt_i_text_add(text, " and ");
    }
    add_ratio(text, 2.0 * values->middle_nm, values->time_ratio_twice);
}

static void add_sentence(oxt_i_text *text, const oxt_laws *laws)
{
    const oxt_laws_values *values = &laws->values;
    switch (values->verdict) {
    case OXT_VERDICT_HOLDS:
        oxt_i_text_add(text, "the parabolic law holds: ");
        add_exponent(text, values);
        break;
    case OXT_VERDICT_CONTRADICTED:
        add_contradiction(text, values);
        break;
    default:
        oxt_i_text_add(text, "the trials cannot show whether growth is parabolic");
        if (isnan(values->exponent))
            break;
        oxt_i_text_add(text, ": ");
        add_exponent(text, values);
    }
}

oxt_status oxt_i_laws_put_sentence(oxt_laws *laws, oxt_error *error)
{
    oxt_i_text text = { 0 };
    add_sentence(&text, laws);
    bool good = !text.failed;
    if (good)
        oxt_i_copy_text(laws->values.sentence, sizeof laws->values.sentence, text.data);
    oxt_i_text_free(&text);
    return good ? OXT_OK : oxt_i_no_memory(error);
}

static void add_verdict(oxt_i_text *text, const oxt_laws *laws)
{
    char sentence[sizeof laws->values.sentence + 1];
    oxt_i_snprintf(sentence, sizeof sentence, "%s.", laws->values.sentence);
    oxt_i_text_add_item(text, sentence);
}

/* ---- the table ---- */

static void add_limit(oxt_i_text *text, const oxt_laws *laws, const oxt_law_result *result)
{
    char shape[40];
    if (result->kind == OXT_LAW_POWER)
        oxt_i_snprintf(shape, sizeof shape, "n = %g, at its limit", result->shape);
    else if (result->shape > laws->values.middle_nm)
        oxt_i_snprintf(shape, sizeof shape, "effectively linear");
    else
        oxt_i_snprintf(shape, sizeof shape, "%c = %.2g nm, lower limit",
                       result->kind == OXT_LAW_LOGARITHMIC ? 'L' : 'A', result->shape);
    oxt_i_text_add(text, " %-22s", shape);
}

static void add_shape(oxt_i_text *text, const oxt_laws *laws, const oxt_law_result *result)
{
    char shape[40] = "-";
    if (result->shape_at_limit) {
        add_limit(text, laws, result);
        return;
    }
    if (result->kind != OXT_LAW_PARABOLIC)
        oxt_i_snprintf(shape, sizeof shape, "%s = %.3g +- %.2g%s", oxt_i_law_letters[result->kind],
                       result->shape, result->shape_stderr, oxt_i_law_units[result->kind]);
    oxt_i_text_add(text, " %-22s", shape);
}

static void add_law(oxt_i_text *text, const oxt_laws *laws, const oxt_law_result *result)
{
    oxt_i_text_add(text, "  %-17s", oxt_i_law_names[result->kind]);
    if (!result->converged) {
        oxt_i_text_add(text, " did not converge\n");
        return;
    }
    add_shape(text, laws, result);
    oxt_i_text_add(text, " %8.0f", result->Q_J_per_mol / 1e3);
    if (laws->with_initial)
        oxt_i_text_add(text, " %6.1f", result->initial_nm);
    oxt_i_text_add(text, " %+8.2f %7.2f", result->aicc_difference, result->weight);
    if (isfinite(result->lack_of_fit_p))
        oxt_i_text_add(text, " %14.2g", result->lack_of_fit_p);
    oxt_i_text_add(text, "\n");
}

static void add_table(oxt_i_text *text, const oxt_laws *laws)
{
    oxt_i_text_add(text, "  %-17s %-22s %8s%s %8s %7s%s\n", "law", "shape", "Q kJ/mol",
                   laws->with_initial ? "  x0 nm" : "", "AICc", "weight",
                   laws->values.replicate_count > 0 ? "  lack of fit p" : "");
    for (int kind = 0; kind < OXT_LAW_COUNT; kind++)
        add_law(text, laws, &laws->results[kind]);
}

static void add_test(oxt_i_text *text, const oxt_laws_values *values)
{
    if (isfinite(values->F))
        oxt_i_text_add(text, "  n against 2: F(1, %g) = %.3g, p = %.2g\n", values->F_dof, values->F,
                       values->p);
    if (values->replicate_count == 0)
        oxt_i_text_add(text, "  no two coupons are alike, so that none of the laws is tested for "
                             "lack of fit\n");
    if (values->Q_held)
        oxt_i_text_add(text, "  Q is held in every law\n");
}

/* ---- what to do ---- */

/* A quarter of the middle time and four times that give half and twice the film if growth is
 * parabolic: far enough apart to show that it is not. */
static void add_advice(oxt_i_text *text, const oxt_laws *laws, oxt_temperature_unit unit)
{
    const oxt_laws_values *values = &laws->values;
    char what[400];
    oxt_i_text_add(text, "What to do\n");
    if (values->verdict == OXT_VERDICT_HOLDS) {
        oxt_i_text_add_item(text, "Nothing: dips of this steel may use the parabolic law.");
        return;
    }
    oxt_i_snprintf(what, sizeof what,
                   "Log coupons of short and long times in one bath: at %s two of %s and two of "
                   "%s.",
                   oxt_i_show_temperature(values->T_ref_K, unit).text,
                   oxt_i_show_time(fmax(round(0.25 * laws->middle_s), 1.0)).text,
                   oxt_i_show_time(fmax(round(4.0 * laws->middle_s), 1.0)).text);
    oxt_i_text_add_item(text, what);
    oxt_i_snprintf(what, sizeof what,
                   "Until then the parabolic law is good near the middle of the trials, %.0f nm: "
                   "log a coupon near each other colour that matters.",
                   values->middle_nm);
    oxt_i_text_add_item(text, what);
    if (values->verdict == OXT_VERDICT_CONTRADICTED && values->best != OXT_LAW_PARABOLIC) {
        oxt_i_snprintf(
            what, sizeof what,
            "Or fit these trials by the %s law: dips by that card follow it, and include "
            "how well its shape is known.",
            oxt_i_law_names[values->best]);
        oxt_i_text_add_item(text, what);
    }
    if (values->verdict == OXT_VERDICT_CONTRADICTED && !laws->with_initial &&
        values->exponent > 2.0)
        oxt_i_text_add_item(text, "A film already on the part makes n seem too large: "
                                  "compare again with an initial film.");
}

oxt_status oxt_laws_report(const oxt_laws *laws, oxt_temperature_unit unit, char *buffer,
                           size_t capacity, size_t *needed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!laws)
        return oxt_i_null(error, "laws");
    oxt_status status = oxt_format_temperature(300.0, unit, NULL, 0, NULL, error);
    if (status)
        return status;
    oxt_i_text text = { 0 };
    oxt_i_text_add(&text, "%s: laws of growth on %zu trials\n", laws->name, laws->values.row_count);
    add_verdict(&text, laws);
    add_table(&text, laws);
    add_test(&text, &laws->values);
    add_advice(&text, laws, unit);
    return oxt_i_emit_text(&text, buffer, capacity, needed, error);
}
