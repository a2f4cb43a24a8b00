/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a dip is computed from: everything that was given, checked, and the thermal paths of coupon and part. */
#include <string.h>

#include "optics/tint.h"
#include "dip/dip.h"
#include "growth/law.h"

static oxt_status check_options(const oxt_dip_options *options, oxt_error *error)
{
    const oxt_i_limit limits[] = {
        { "confidence", options->confidence, 0.5, 0.9999, OXT_I_CLOSED },
        { "bath_wander_K", options->bath_wander_K, 0.0, 1000.0, OXT_I_CLOSED },
        { "time_wander_s", options->time_wander_s, 0.0, OXT_TIME_HIGH_S, OXT_I_CLOSED },
        { "load_kg", options->load_kg, 0.0, 1e6, OXT_I_CLOSED },
        { "reader_sd", options->reader_sd, 0.0, 1.0, OXT_I_CLOSED },
    };
    return oxt_i_check_all(error, limits, OXT_I_COUNT(limits));
}

/* ---- the thermal paths of coupon and part ---- */

double oxt_i_dip_grown_nm2(const oxt_i_dip_plan *of, double film_nm)
{
    const oxt_growth *growth = &of->steel.growth;
    return oxt_i_exposure_of(growth, film_nm) - oxt_i_exposure_of(growth, of->initial_nm);
}

bool oxt_i_dip_names_coupon(const oxt_i_dip_plan *of)
{
    return of->options.coupon || of->options.coupon_lift;
}

double oxt_i_dip_needed_s(const oxt_i_dip_plan *of, double times)
{
    if (!oxt_i_dip_names_coupon(of))
        return times * of->needed_s;
    double rate = of->coupon.rate_nm2_per_s;
    double at_s = oxt_i_exposure_of(&of->steel.growth, of->initial_nm) / rate;
    double own_s = oxt_i_dip_grown_nm2(of, of->target.aim_nm) / rate;
    double whole_s = oxt_i_thermal_path_equivalent(&of->coupon, at_s + times * own_s);
    double there_s = of->initial_nm > 0.0 ? oxt_i_thermal_path_equivalent(&of->coupon, at_s) : 0.0;
    return fmax(whole_s - there_s, 0.0);
}

/* What a film takes beyond the one already there, over what the aim takes. */
static double share_of(const oxt_i_dip_plan *of, double film_nm)
{
    return fmax(oxt_i_dip_grown_nm2(of, film_nm), 0.0) / oxt_i_dip_grown_nm2(of, of->target.aim_nm);
}

double oxt_i_dip_film_nm(const oxt_i_dip_plan *of, double equivalent_s)
{
    const oxt_growth *growth = &of->steel.growth;
    double there_nm2 = oxt_i_exposure_of(growth, of->initial_nm);
    double grown_nm2 = oxt_i_dip_grown_nm2(of, of->target.aim_nm);
    return oxt_i_film_of(growth, there_nm2 + grown_nm2 * equivalent_s / of->needed_s);
}

const oxt_part *oxt_i_dip_part(const oxt_i_dip_plan *plan)
{
    return plan->options.part ? plan->options.part : plan->options.coupon;
}

oxt_i_surroundings oxt_i_dip_around(const oxt_i_dip_plan *plan)
{
    return (oxt_i_surroundings){ &plan->bath, plan->options.load_kg };
}

oxt_status oxt_i_dip_paths(oxt_i_dip_plan *made, double bath_K, oxt_error *error)
{
    const oxt_growth *growth = &made->steel.growth;
    const oxt_dip_options *options = &made->options;
    const oxt_part *part = oxt_i_dip_part(made);
    const oxt_lift *lift = options->lift ? options->lift : options->coupon_lift;
    const oxt_i_surroundings around = oxt_i_dip_around(made), alone = { &made->bath, 0.0 };
    oxt_status status = oxt_i_thermal_path_prepare(&made->coupon, growth, options->coupon,
                                                   options->coupon_lift, bath_K, &alone, error);
    if (!status && part)
        status = oxt_i_check_load(part, &around, bath_K, error);
    if (!status)
        status = oxt_i_thermal_path_prepare(&made->part, growth, part, lift, bath_K, &around,
                                            error);
    if (!status)
        status = oxt_i_coupon_needed(&made->coupon, made->initial_nm, made->target.aim_nm, true,
                                     &made->needed_s, error);
    if (!status)
        status = oxt_i_coupon_needed(&made->coupon, made->initial_nm, made->target.low_nm, false,
                                     &made->needed_low_s, error);
    if (!status)
        status = oxt_i_coupon_needed(&made->coupon, made->initial_nm, made->target.high_nm, false,
                                     &made->needed_high_s, error);
    if (status)
        return status;
    made->given_s = made->needed_s > 0.0 ? fmax(made->part.least_s, made->needed_s) : 0.0;
    made->low_share = share_of(made, made->target.low_nm);
    made->high_share = share_of(made, made->target.high_nm);
    return OXT_OK;
}

/* ---- taking what was given ---- */

/* Any dip will do to have the last temper checked. */
static oxt_status check_temper(const oxt_dip_options *options, oxt_error *error)
{
    oxt_temper_options known = OXT_TEMPER_OPTIONS_INIT;
    oxt_temper temper = OXT_TEMPER_INIT;
    known.last_K = options->last_temper_K;
    known.last_s = options->last_temper_s;
    return oxt_temper_dip(OXT_BATH_LOW_K, 1.0, &known, &temper, error);
}

static oxt_status take_bath(oxt_i_dip_plan *made, oxt_error *error)
{
    const oxt_dip_options *options = &made->options;
    made->bath = (oxt_bath)OXT_BATH_INIT;
    oxt_status status = OXT_OK;
    if (options->salt_bath)
        status = oxt_i_bath_in(&made->bath, options->salt_bath, error);
    bool cools = options->load_kg > 0.0 && made->bath.salt_kg > 0.0;
    if (!status && cools && !oxt_i_dip_part(made))
        status = oxt_i_fail_text(error, OXT_EARG, "part",
                                 "a load cools the bath: expected the part that goes in");
    made->wander_K = sqrt(options->bath_wander_K * options->bath_wander_K +
                          made->bath.wander_K * made->bath.wander_K +
                          made->bath.thermometer_sd_K * made->bath.thermometer_sd_K);
    return status;
}

oxt_status oxt_i_dip_check_there(const oxt_growth *growth, double there_nm, const char *name,
                                 oxt_error *error)
{
    if (there_nm >= growth->initial_nm)
        return OXT_OK;
    return oxt_i_fail(error, OXT_EUNREACHABLE, name, there_nm, growth->initial_nm, NAN,
                      "the film on the part is %.1f nm, and the trials began with %.1f nm: they do "
                      "not tell how long a thinner one takes; expected one as thick, or a fit of "
                      "coupons that were prepared like this part",
                      there_nm, growth->initial_nm);
}

static oxt_status take_initial(oxt_i_dip_plan *made, oxt_error *error)
{
    oxt_target there = OXT_TARGET_INIT;
    made->initial_nm = made->initial_stderr_nm = 0.0;
    if (!made->options.initial && made->steel.growth.initial_nm >= made->target.high_nm)
        return oxt_i_fail(
            error, OXT_EUNREACHABLE, "target", made->target.high_nm, made->steel.growth.initial_nm,
            NAN,
            "parts of this steel have a film of %.1f nm before the dip, past %s (up to "
            "%.1f nm)",
            made->steel.growth.initial_nm, made->target.text, made->target.high_nm);
    if (!made->options.initial)
        return OXT_OK;
    oxt_status status = oxt_i_target_in(&there, made->options.initial, error);
    if (status)
        return status;
    status = oxt_i_dip_check_there(&made->steel.growth, there.aim_nm, "initial", error);
    if (status)
        return status;
    made->initial_nm = there.aim_nm;
    made->initial_stderr_nm = (there.high_nm - there.low_nm) / sqrt(12.0);
    if (there.aim_nm < made->target.high_nm)
        return OXT_OK;
    return oxt_i_fail(
        error, OXT_EUNREACHABLE, "initial", there.aim_nm, 0.0, made->target.high_nm,
        "the film is %.1f nm already, past %s (up to %.1f nm), and only grows: polish "
        "it off and start again",
        there.aim_nm, made->target.text, made->target.high_nm);
}

oxt_status oxt_i_dip_check_dof(double dof, oxt_error *error)
{
    return oxt_i_check(error, "dof", dof, 1.0, 1e15, OXT_I_CLOSED);
}

oxt_status oxt_i_dip_take(oxt_i_dip_plan *made, const oxt_steel *steel, const oxt_target *target,
                          const oxt_dip_options *options, oxt_error *error)
{
    made->steel = (oxt_steel_values)OXT_STEEL_VALUES_INIT;
    made->options = (oxt_dip_options)OXT_DIP_OPTIONS_INIT;
    oxt_status status = oxt_steel_get(steel, &made->steel, error);
    if (!status)
        status = oxt_i_dip_check_dof(made->steel.dof, error);
    if (!status)
        status = oxt_i_target_in(&made->target, target, error);
    if (!status && options)
        status = OXT_I_STRUCT_IN(oxt_dip_options, &made->options, options, "options", error);
    if (!status)
        status = check_options(&made->options, error);
    if (!status)
        status = check_temper(&made->options, error);
    if (!status)
        status = oxt_i_take_usual(&made->usual, &made->steel, &made->options.part,
                                  &made->options.lift, made->options.coupon,
                                  made->options.coupon_lift, error);
    if (!status)
        status = take_bath(made, error);
    return status ? status : take_initial(made, error);
}

/* A film that takes too long, found before the thermal paths are computed. */
static oxt_status check_reach(const oxt_i_dip_plan *of, oxt_error *error)
{
    if (of->needed_s <= OXT_TIME_HIGH_S)
        return OXT_OK;
    return oxt_i_fail(error, OXT_EUNREACHABLE, "bath_K", of->part.bath_K, NAN, NAN,
                      "%s would take %.3g s at %s, longer than %g s: use a hotter bath",
                      of->target.text, of->needed_s, oxt_i_mark(of->part.bath_K, NULL).text,
                      OXT_TIME_HIGH_S);
}

/* The lift alone may grow past the target. */
static oxt_status check_lift(const oxt_i_dip_plan *of, oxt_error *error)
{
    if (of->needed_s == 0.0 || of->given_s < of->needed_high_s || of->given_s <= of->needed_s)
        return OXT_OK;
    double film_nm = oxt_i_dip_film_nm(of, of->given_s);
    return oxt_i_fail(
        error, OXT_EUNREACHABLE, "lift", of->part.lift.delay_s, NAN, NAN,
        "the %s on the way to the quench alone grow %.1f nm, past %s (up to %.1f nm): "
        "quench sooner or use a cooler bath",
        oxt_i_show_time(of->part.lift.delay_s).text, film_nm, of->target.text, of->target.high_nm);
}

static double true_K(const oxt_i_dip_plan *of, double reading_K)
{
    return reading_K + of->bath.thermometer_offset_K;
}

oxt_status oxt_i_dip_meet(oxt_i_dip_plan *made, double bath_K, oxt_error *error)
{
    oxt_status status = oxt_i_check_bath(bath_K, error);
    if (!status)
        status = oxt_i_check_bath(true_K(made, bath_K), error);
    if (!status)
        status = oxt_i_dip_paths(made, true_K(made, bath_K), error);
    if (!status)
        status = check_reach(made, error);
    return status ? status : check_lift(made, error);
}

oxt_status oxt_i_dip_prepare(oxt_i_dip_plan *made, const oxt_steel *steel, const oxt_target *target,
                             double bath_K, const oxt_dip_options *options, oxt_error *error)
{
    oxt_status status = oxt_i_dip_take(made, steel, target, options, error);
    return status ? status : oxt_i_dip_meet(made, bath_K, error);
}
