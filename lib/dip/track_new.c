/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Making a tracker: all that takes memory. */
#include "base/spline.h"
#include "optics/film.h"
#include "optics/tint.h"
#include "growth/law.h"
#include "dip/dip.h"
#include "dip/track.h"

#include <stdlib.h>

static oxt_status take_growth(oxt_track *made, const oxt_steel_values *steel, oxt_error *error)
{
    double most_nm;
    made->growth = steel->growth;
    /* no exposure of a dip can then be too large for a number */
    return oxt_thickness(&made->growth, OXT_SAMPLE_HIGH_K, OXT_TIME_HIGH_S, &most_nm, error);
}

/* The names and colours of the film, so that it may be freed while the dip goes on. A straight line
 * between colours 0.5 nm apart is near enough for a display. */
static oxt_status take_film(oxt_track *made, const oxt_film *film, oxt_error *error)
{
    double path_nm[OXT_I_COLOUR_STEPS + 1];
    for (size_t i = 0; i <= OXT_I_COLOUR_STEPS; i++)
        path_nm[i] = OXT_I_PATH_STEP_NM * (double)i;
    oxt_status status = OXT_OK;
    for (int i = 0; i < OXT_TINT_COUNT && !status; i++) {
        made->tints[i] = (oxt_tint)OXT_TINT_INIT;
        status = oxt_tint_band(film, i, &made->tints[i], error);
    }
    if (!status)
        status = oxt_film_colours(film, OXT_SPACE_PATH_LAB, OXT_I_COLOUR_STEPS + 1, path_nm,
                                  sizeof *path_nm, made->lab[0], NULL, NULL, error);
    if (!status)
        status = oxt_film_colours(film, OXT_SPACE_PATH_SRGB, OXT_I_COLOUR_STEPS + 1, path_nm,
                                  sizeof *path_nm, made->srgb[0], NULL, NULL, error);
    return status;
}

/* The modes are those at the bath that is meant: to find their rates takes memory, so that they
 * cannot wait for the first sample. A part that starts as hot as the bath has modes too: it follows
 * a bath that wanders. */
static oxt_status take_part(oxt_track *made, const oxt_part *part, const oxt_bath *bath,
                            double bath_K, oxt_error *error)
{
    const oxt_i_surroundings around = { bath, 0.0 };
    oxt_part known = OXT_PART_INIT;
    oxt_i_heating heating;
    oxt_status status = oxt_i_part_in(&known, part, bath_K, error);
    if (status)
        return status;
    made->has_part = true;
    made->uneven = known.shape == OXT_SHAPE_ANY;
    made->start_K = known.start_K;
    if (known.start_K == bath_K)
        known.start_K = nextafter(bath_K, 0.0);
    status = oxt_i_heating_prepare_in(&heating, &known, bath_K, &around, error);
    if (status)
        return status;
    made->coupled = heating.coupled;
    made->body = heating.body;
    made->outside = heating.outside;
    made->capacity_J_per_m2K = heating.capacity_J_per_m2K;
    made->mode_count = heating.count;
    for (size_t i = 0; i < heating.count; i++) {
        made->modes[i].weight = heating.weight[i];
        made->modes[i].rate_per_s = heating.rate_per_s[i];
        oxt_i_heating_inner(&heating, i, &made->modes[i].mean, made->modes[i].inner);
    }
    oxt_i_heating_inner_rates(&heating, made->inner_rate_per_s);
    return OXT_OK;
}

/* The equivalent time of the way to the quench, in seconds at the temperature of the lift. */
static oxt_status tabulate_lift(oxt_track *made, const oxt_part *part, const oxt_lift *lift,
                                oxt_error *error)
{
    for (size_t i = 0; i <= OXT_I_LIFT_STEPS; i++) {
        double from_K = OXT_BATH_LOW_K + OXT_I_LIFT_STEP_K * (double)i;
        double exposure_nm2, rate_nm2_per_s = oxt_i_track_rate(made, from_K);
        oxt_status status = oxt_heat_lift_exposure(&made->growth, part, lift, from_K, &exposure_nm2,
                                                   NULL, error);
        if (status)
            return status;
        made->lift_equivalent_s[i] = rate_nm2_per_s > 0.0 ? exposure_nm2 / rate_nm2_per_s : 0.0;
    }
    oxt_i_spline_prepare(made->lift_equivalent_s, OXT_I_LIFT_STEPS + 1, made->lift_bend);
    made->lift_cools = true;
    return OXT_OK;
}

static oxt_status take_lift(oxt_track *made, const oxt_part *part, const oxt_lift *lift,
                            oxt_error *error)
{
    oxt_lift known;
    oxt_status status = oxt_i_lift_in(&known, lift, error);
    if (status || !lift)
        return status;
    made->lift = known;
    made->lift_equivalent_s[0] = known.delay_s;
    return part && known.delay_s > 0.0 ? tabulate_lift(made, part, &known, error) : OXT_OK;
}

/* The coupons lost time to heating up, so that their steel grows faster than their times suggest. */
static oxt_status take_coupon(oxt_track *made, const oxt_track_options *options,
                              const oxt_bath *bath, double bath_K, oxt_error *error)
{
    const oxt_i_surroundings around = { bath, 0.0 };
    const double wanted_nm[] = { made->target.low_nm, made->target.aim_nm, made->target.high_nm };
    double wanted_s[3];
    oxt_i_thermal_path coupon;
    for (int i = 0; i < 3; i++)
        made->wanted_nm2[i] = made->own_nm2[i] = oxt_i_exposure_of(&made->growth, wanted_nm[i]) -
                                                 made->initial_nm2;
    if (!options->coupon && !options->coupon_lift)
        return OXT_OK;
    oxt_status status = oxt_i_check(error, "bath_K", bath_K, OXT_BATH_LOW_K, OXT_BATH_HIGH_K,
                                    OXT_I_CLOSED);
    if (!status)
        status = oxt_i_thermal_path_prepare(&coupon, &made->growth, options->coupon,
                                            options->coupon_lift, bath_K, &around, error);
    for (int i = 0; i < 3 && !status; i++)
        status = oxt_i_coupon_needed(&coupon, made->initial_nm, wanted_nm[i], i == 1, &wanted_s[i],
                                     error);
    if (status || made->own_nm2[1] <= 0.0 || wanted_s[1] <= 0.0)
        return status;
    double own_s = made->own_nm2[1] / coupon.rate_nm2_per_s;
    made->coupons_unknown |= options->part != options->coupon &&
                             oxt_i_coupon_matters(own_s, wanted_s[1]);
    double faster = own_s / wanted_s[1];
    made->growth.k_ref_nm2_per_s *= faster;
    for (int i = 0; i < 3; i += 2)
        made->wanted_nm2[i] = faster * coupon.rate_nm2_per_s * wanted_s[i];
    return OXT_OK;
}

/* A part of no size is as hot as what is measured: the samples are then of the part. */
static bool has_size(const oxt_part *part)
{
    oxt_part known = OXT_PART_INIT;
    return part && (OXT_I_STRUCT_IN(oxt_part, &known, part, "part", NULL) || known.size_m != 0.0);
}

static oxt_status take_options(oxt_track *made, const oxt_steel_values *steel,
                               const oxt_track_options *options, oxt_error *error)
{
    oxt_track_options known = OXT_TRACK_OPTIONS_INIT;
    oxt_i_usual usual;
    oxt_status status = OXT_OK;
    if (options)
        status = OXT_I_STRUCT_IN(oxt_track_options, &known, options, "options", error);
    if (!status)
        status = oxt_i_check(error, "initial_nm", known.initial_nm, 0.0, OXT_THICKNESS_HIGH_NM,
                             OXT_I_CLOSED);
    if (!status && known.initial_nm > 0.0)
        status = oxt_i_dip_check_there(&made->growth, known.initial_nm, "initial_nm", error);
    if (!status)
        status = oxt_i_check(error, "longest_gap_s", known.longest_gap_s, 0.0, OXT_TIME_HIGH_S,
                             OXT_I_OPEN_LOW);
    oxt_bath bath = OXT_BATH_INIT;
    if (!status && known.salt_bath)
        status = oxt_i_bath_in(&bath, known.salt_bath, error);
    const oxt_part *named = known.part;
    bool needs_bath = has_size(named) || known.coupon || known.coupon_lift;
    if (!status && needs_bath && known.bath_K == 0.0)
        status = oxt_i_fail(error, OXT_EDOMAIN, "bath_K", 0.0, OXT_BATH_LOW_K, OXT_BATH_HIGH_K,
                            "bath_K is not given, expected the bath that the %s goes into",
                            has_size(named) ? "part" : "coupon");
    if (!status)
        status = oxt_i_take_usual(&usual, steel, &known.part, &known.lift, known.coupon,
                                  known.coupon_lift, error);
    if (!status && !named && known.bath_K == 0.0)
        known.part = NULL;
    if (!status && !named && known.coupon) /* as for a dip */
        known.part = known.coupon;
    if (!status && !known.lift)
        known.lift = known.coupon_lift;
    made->lift_known = !status && usual.lift_source != OXT_PATH_INSIDE;
    made->coupons_unknown = !status && usual.unknown;
    made->initial_nm = known.initial_nm;
    made->initial_nm2 = oxt_i_exposure_of(&made->growth, known.initial_nm);
    made->longest_gap_s = known.longest_gap_s;
    made->offset_K = bath.thermometer_offset_K;
    made->salt = bath.salt;
    double bath_K = known.bath_K + bath.thermometer_offset_K;
    made->meant_K = known.bath_K > 0.0 ? bath_K : NAN;
    if (!status)
        status = oxt_i_track_take_doubt(&made->doubt, steel, &made->target, &known, &bath, bath_K,
                                        error);
    if (!status)
        status = take_coupon(made, &known, &bath, bath_K, error);
    if (!status && !has_size(known.part)) {
        oxt_part none = OXT_PART_INIT;
        status = named ? oxt_i_part_in(&none, named, OXT_BATH_HIGH_K, error) : OXT_OK;
        known.part = NULL;
    }
    if (!status && known.part)
        status = take_part(made, known.part, &bath, bath_K, error);
    return status ? status : take_lift(made, known.part, known.lift, error);
}

oxt_status oxt_track_new(oxt_track **tracker, const oxt_steel *steel, const oxt_film *film,
                         const oxt_target *target, const oxt_track_options *options,
                         oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    if (!tracker)
        return oxt_i_null(error, "tracker");
    *tracker = NULL;
    if (!film)
        return oxt_i_null(error, "film");
    oxt_status status = oxt_steel_get(steel, &values, error);
    if (status)
        return status;
    oxt_track *made = calloc(1, sizeof *made);
    if (!made)
        return oxt_i_no_memory(error);
    status = take_growth(made, &values, error);
    if (!status)
        status = oxt_i_dip_check_dof(values.dof, error);
    if (!status)
        status = oxt_i_target_in(&made->target, target, error);
    if (!status)
        status = take_options(made, &values, options, error);
    if (!status)
        status = take_film(made, film, error);
    if (!status)
        status = oxt_track_restart(made, error);
    if (status)
        oxt_track_free(made);
    else
        *tracker = made;
    return status;
}

void oxt_track_free(oxt_track *tracker)
{
    if (!tracker)
        return;
    free(tracker);
}
