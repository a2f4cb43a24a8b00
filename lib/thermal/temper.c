/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a dip, or any history, does to hardened steel. Its parameter alone is in temper_rule.c. */
#include "oxtint/temper.h"
#include "base/spline.h"
#include "growth/history.h"
#include "thermal/bath.h"
#include "thermal/temper.h"
#include "thermal/temper_data.h"

#include <string.h>

/* ---- hardness ---- */

static oxt_status find_steel(const char *steel, const oxt_i_hardness **found, oxt_error *error)
{
    for (size_t i = 0; i < OXT_I_HARDNESS_STEELS; i++)
        if (strcmp(steel, oxt_i_hardnesses[i].steel) == 0) {
            *found = &oxt_i_hardnesses[i];
            return OXT_OK;
        }
    return oxt_i_fail_text(
        error, OXT_EARG, "steel",
        "no hardness of a steel '%s' is tabulated, expected " OXT_I_HARDNESS_NAMES,
        oxt_i_quoted(steel).text);
}

/* A temper as long and as hot as a row of the table lies in it, whatever its last digit. */
static const double EDGE = 1e-9;

static oxt_status interpolate(const oxt_i_hardness *of, const double *parameters, double parameter,
                              double *hardness_HRC, oxt_error *error)
{
    double low = parameters[0], high = parameters[of->rows - 1];
    oxt_status status = oxt_i_check(error, "parameter", parameter, low * (1.0 - EDGE),
                                    high * (1.0 + EDGE), OXT_I_CLOSED);
    if (status)
        return status;
    *hardness_HRC = oxt_i_steffen_at(parameters, of->hardness_HRC, of->rows,
                                     fmin(fmax(parameter, low), high));
    return OXT_OK;
}

/* The rows of the table are tempers too, with the same constant. */
static oxt_status hardness_at(const oxt_i_hardness *of, double constant, double parameter,
                              double *hardness_HRC, oxt_error *error)
{
    double parameters[OXT_I_HARDNESS_MOST_ROWS];
    for (size_t i = 0; i < of->rows; i++)
        parameters[i] = oxt_i_temper_parameter(oxt_i_kelvin_from(of->temper_F[i],
                                                                 OXT_UNIT_FAHRENHEIT),
                                               OXT_I_HARDNESS_HOLD_S, constant);
    return interpolate(of, parameters, parameter, hardness_HRC, error);
}

oxt_status oxt_temper_hardness(const char *steel, double parameter, double *hardness_HRC,
                               oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    const oxt_i_hardness *of = NULL;
    if (!steel || !hardness_HRC)
        return oxt_i_null(error, steel ? "hardness_HRC" : "steel");
    oxt_status status = find_steel(steel, &of, error);
    return status ? status : hardness_at(of, OXT_TEMPER_CONSTANT, parameter, hardness_HRC, error);
}

/* ---- what is known of the part ---- */

typedef struct {
    oxt_temper_options options;
    const oxt_i_hardness *hardness; /* NULL: none */
    double last_parameter;          /* NaN: not stated */
} known_part;

static oxt_status read_last(known_part *part, oxt_error *error)
{
    const oxt_temper_options *options = &part->options;
    part->last_parameter = NAN;
    if (options->last_K == 0.0 && options->last_s == 0.0)
        return OXT_OK;
    oxt_status status = oxt_i_check(error, "last_K", options->last_K, OXT_BATH_LOW_K,
                                    OXT_BATH_HIGH_K, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "last_s", options->last_s, 0.0, OXT_TIME_HIGH_S,
                             OXT_I_OPEN_LOW);
    if (!status)
        status = oxt_temper_parameter(options->last_K, options->last_s, options->constant,
                                      &part->last_parameter, error);
    return status;
}

static oxt_status read_options(const oxt_temper_options *options, known_part *part,
                               oxt_error *error)
{
    oxt_status status = OXT_OK;
    *part = (known_part){ OXT_TEMPER_OPTIONS_INIT, NULL, NAN };
    if (options)
        status = OXT_I_STRUCT_IN(oxt_temper_options, &part->options, options, "options", error);
    if (!status)
        status = oxt_i_check_temper_constant(part->options.constant, error);
    if (!status && part->options.steel)
        status = find_steel(part->options.steel, &part->hardness, error);
    return status ? status : read_last(part, error);
}

/* ---- the result ---- */

static uint32_t cautions_of(const oxt_temper *temper)
{
    uint32_t cautions = 0;
    if (temper->softens != 0)
        cautions |= OXT_CAUTION_SOFTENS;
    if (temper->softens == 1)
        cautions |= OXT_CAUTION_HARDENED;
    return cautions;
}

/* NaN outside the table, which is no failure; memory is. */
static oxt_status fill_hardness(const known_part *part, double parameter, double *hardness_HRC,
                                oxt_error *error)
{
    *hardness_HRC = NAN;
    if (!part->hardness || isnan(parameter))
        return OXT_OK;
    oxt_status status = hardness_at(part->hardness, part->options.constant, parameter, hardness_HRC,
                                    NULL);
    return status == OXT_ENOMEM ? oxt_i_no_memory(error) : OXT_OK;
}

/* `made` holds the two parameters of the dip; the hottest temperature determines how long it counts for. */
static oxt_status finish(const known_part *part, double hottest_K, oxt_temper *made,
                         oxt_temper *temper, oxt_error *error)
{
    double constant = part->options.constant, last = part->last_parameter;
    made->one_hour_K = made->parameter / constant;
    made->last_parameter = last;
    made->softens = isnan(last) ? -1 : made->parameter > last;
    made->below_floor = oxt_i_temper_time(made->parameter, hottest_K, constant) <
                        OXT_TEMPER_FLOOR_S * (1.0 - EDGE);
    made->cautions |= cautions_of(made);
    oxt_status status = fill_hardness(part, last, &made->hardness_before_HRC, error);
    if (!status)
        status = fill_hardness(part, made->total_parameter, &made->hardness_after_HRC, error);
    return status ? status : OXT_I_STRUCT_OUT(oxt_temper, temper, made, "temper", error);
}

oxt_status oxt_temper_dip(double bath_K, double time_s, const oxt_temper_options *options,
                          oxt_temper *temper, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    known_part part;
    oxt_temper made = OXT_TEMPER_INIT;
    if (!temper)
        return oxt_i_null(error, "temper");
    oxt_status status = oxt_i_check(error, "bath_K", bath_K, OXT_BATH_LOW_K, OXT_BATH_HIGH_K,
                                    OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "time_s", time_s, 0.0, OXT_TIME_HIGH_S, OXT_I_OPEN_LOW);
    if (!status)
        status = read_options(options, &part, error);
    if (!status)
        status = oxt_temper_parameter(bath_K, time_s, part.options.constant, &made.parameter,
                                      error);
    if (status)
        return status;
    double before_s = isnan(part.last_parameter)
                          ? 0.0
                          : oxt_i_temper_time(part.last_parameter, bath_K, part.options.constant);
    made.total_parameter = oxt_i_temper_parameter(bath_K, before_s + time_s, part.options.constant);
    /* whether it softens is known better here */
    made.cautions = oxt_i_salt_cautions(OXT_SALT_UNSTATED, bath_K) & ~(uint32_t)OXT_CAUTION_SOFTENS;
    return finish(&part, bath_K, &made, temper, error);
}

static double hottest(const oxt_history *history)
{
    double hottest_K = 0.0;
    for (size_t i = 0; i < history->count; i++)
        hottest_K = fmax(hottest_K, history->samples[i].temperature_K);
    return hottest_K;
}

oxt_status oxt_temper_history(const oxt_history *history, const oxt_temper_options *options,
                              oxt_temper *temper, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    known_part part;
    oxt_temper made = OXT_TEMPER_INIT;
    if (!history || !temper)
        return oxt_i_null(error, history ? "temper" : "history");
    oxt_status status = read_options(options, &part, error);
    if (!status)
        status = oxt_i_temper_after(history, 0.0, part.options.constant, &made.parameter, error);
    if (status)
        return status;
    made.total_parameter = made.parameter;
    if (!isnan(part.last_parameter))
        status = oxt_i_temper_after(history, part.last_parameter, part.options.constant,
                                    &made.total_parameter, error);
    return status ? status : finish(&part, hottest(history), &made, temper, error);
}

/* ---- the report ---- */

static oxt_status check_report(const oxt_temper *temper, oxt_temperature_unit unit,
                               oxt_temper *known, oxt_error *error)
{
    if (!temper)
        return oxt_i_null(error, "temper");
    oxt_status status = OXT_I_STRUCT_IN(oxt_temper, known, temper, "temper", error);
    if (!status)
        status = oxt_i_check(error, "parameter", known->parameter, 0.0, HUGE_VAL, OXT_I_OPEN_LOW);
    return status ? status : oxt_format_temperature(known->one_hour_K, unit, NULL, 0, NULL, error);
}

static const char *verdict(const oxt_temper *temper)
{
    if (temper->softens == 1)
        return "SOFTENS: a heavier temper than the part's last one";
    if (temper->softens == 0)
        return "Does not soften: a lighter temper than the part's last one";
    return "Whether it softens is not known: the part's last temper is not stated";
}

static void add_hardness(oxt_i_text *text, const oxt_temper *temper)
{
    if (isfinite(temper->hardness_before_HRC))
        oxt_i_text_add(text, "  %-36s %.1f HRC\n", "hardness before", temper->hardness_before_HRC);
    if (isfinite(temper->hardness_after_HRC))
        oxt_i_text_add(text, "  %-36s %.1f HRC\n", "hardness after", temper->hardness_after_HRC);
}

oxt_status oxt_temper_report(const oxt_temper *temper, oxt_temperature_unit unit,
                             oxt_caution_detail detail, char *buffer, size_t capacity,
                             size_t *needed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_temper known = OXT_TEMPER_INIT;
    oxt_status status = check_report(temper, unit, &known, error);
    if (!status)
        status = oxt_i_check_detail(detail, error);
    if (status)
        return status;
    oxt_i_text text = { 0 };
    oxt_i_text_add(&text, "%s\n", verdict(&known));
    oxt_i_text_add_forbidding(&text, &known.cautions, detail);
    oxt_i_text_add(&text, "  %-36s %.0f\n", "Hollomon-Jaffe parameter", known.parameter);
    if (isfinite(known.last_parameter))
        oxt_i_text_add(&text, "  %-36s %.0f\n", "that of the last temper", known.last_parameter);
    oxt_i_text_add(&text, "  %-36s %s\n", "the same as one hour at",
                   oxt_i_show_temperature(known.one_hour_K, unit).text);
    add_hardness(&text, &known);
    if (known.below_floor)
        oxt_i_text_add(&text, "  counts as less than %g s, shorter than the rule was tried on\n",
                       OXT_TEMPER_FLOOR_S);
    oxt_i_text_add_cautions(&text, known.cautions, detail);
    return oxt_i_emit_text(&text, buffer, capacity, needed, error);
}
