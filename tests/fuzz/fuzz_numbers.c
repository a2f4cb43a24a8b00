/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Numbers of any kind into every prediction: it refuses with a reason, or what it returns holds together and
 * can be reported. */
#include "fuzz.h"

/* All that a prediction may be asked with. */
typedef struct {
    oxt_growth growth;
    oxt_part part, coupon;
    oxt_lift lift, coupon_lift;
    oxt_bath bath;
    oxt_target target, initial;
    oxt_dip_options dip;
    double bath_K, time_s;
} query;

static void read_part(bytes *from, oxt_part *part)
{
    *part = (oxt_part)OXT_PART_INIT;
    part->shape = (oxt_shape)choice(from, 4);
    part->size_m = number(from, 1e-4, 0.05);
    part->start_K = sometimes(from, part->start_K, 250.0, 500.0);
    part->transfer_W_per_m2K = sometimes(from, part->transfer_W_per_m2K, 50.0, 5000.0);
    part->density_kg_per_m3 = sometimes(from, part->density_kg_per_m3, 1000.0, 20000.0);
    part->heat_J_per_kgK = sometimes(from, 0.0, 100.0, 1000.0);
    part->conductivity_W_per_mK = sometimes(from, 0.0, 1.0, 400.0);
}

static void read_lift(bytes *from, oxt_lift *lift)
{
    *lift = (oxt_lift)OXT_LIFT_INIT;
    lift->delay_s = number(from, 0.0, 60.0);
    lift->air_K = sometimes(from, lift->air_K, 200.0, 400.0);
    lift->convection_W_per_m2K = sometimes(from, lift->convection_W_per_m2K, 0.0, 1000.0);
    lift->emissivity = sometimes(from, lift->emissivity, 0.0, 1.0);
}

static void read_target(bytes *from, oxt_target *target)
{
    static const char *const names[] = {
        "faint straw",       "straw", "brown", "purple", "blue", "silver", "second order blue",
        "second order green"
    };
    oxt_error error = OXT_ERROR_INIT;
    *target = (oxt_target)OXT_TARGET_INIT;
    unsigned kind = choice(from, 12);
    if (kind < 8) {
        MUST(oxt_tint_target(film(), names[kind], target, &error) == OXT_OK, "%s", error.text);
        return;
    }
    double aim_nm = number(from, 1.0, 300.0), low_nm = number(from, 0.5, aim_nm);
    oxt_status status = oxt_tint_target_of_thickness(aim_nm, low_nm, number(from, aim_nm, 400.0),
                                                     target, &error);
    SAYS_WHY(status, error);
    if (status)
        MUST(oxt_tint_target(film(), "blue", target, &error) == OXT_OK, "%s", error.text);
}

static void read_query(bytes *from, query *made)
{
    unsigned kind = next_byte(from);
    memset(made, 0, sizeof *made);
    made->growth = (oxt_growth)OXT_GROWTH_INIT;
    made->growth.k_ref_nm2_per_s = number(from, 0.1, 1000.0);
    made->growth.T_ref_K = number(from, 500.0, 700.0);
    made->growth.Q_J_per_mol = number(from, 20e3, 300e3);
    made->growth.law = (oxt_law)choice(from, OXT_LAW_COUNT);
    made->growth.shape = number(from, 0.0, 100.0);
    made->growth.middle_nm = number(from, 0.5, 300.0);
    made->bath_K = number(from, OXT_BATH_LOW_K, OXT_BATH_HIGH_K);
    made->time_s = number(from, 1.0, 10000.0);
    read_target(from, &made->target);
    made->dip = (oxt_dip_options)OXT_DIP_OPTIONS_INIT;
    made->bath = (oxt_bath)OXT_BATH_INIT;
    made->dip.confidence = sometimes(from, 0.95, 0.5, 0.9999);
    made->dip.bath_wander_K = sometimes(from, 0.0, 0.0, 50.0);
    made->dip.time_wander_s = sometimes(from, 0.0, 0.0, 100.0);
    read_part(from, &made->part);
    read_lift(from, &made->lift);
    read_part(from, &made->coupon);
    read_lift(from, &made->coupon_lift);
    read_target(from, &made->initial);
    made->bath.salt = (oxt_salt)choice(from, 4);
    made->bath.thermometer_offset_K = sometimes(from, 0.0, -50.0, 50.0);
    made->bath.thermometer_sd_K = sometimes(from, 0.0, 0.0, 20.0);
    made->bath.wander_K = sometimes(from, 0.0, 0.0, 20.0);
    made->bath.salt_kg = sometimes(from, 0.0, 0.1, 100.0);
    made->bath.heater_W = sometimes(from, 0.0, 1.0, 10000.0);
    if (kind & 1)
        made->dip.part = &made->part;
    if (kind & 2)
        made->dip.lift = &made->lift;
    if ((kind & 12) == 12)
        made->dip.coupon = &made->coupon;
    if ((kind & 24) == 24)
        made->dip.coupon_lift = &made->coupon_lift;
    if ((kind & 48) == 48)
        made->dip.initial = &made->initial;
    if (kind & 64) {
        made->dip.salt_bath = &made->bath;
        made->dip.load_kg = sometimes(from, 0.0, 0.01, 20.0);
    }
    if (kind & 128) {
        made->dip.last_temper_K = number(from, 400.0, 900.0);
        made->dip.last_temper_s = number(from, 60.0, 10000.0);
    }
}

static oxt_steel *read_steel(bytes *from, const query *of)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    oxt_steel *steel;
    strcpy(values.steel, "Alder 1");
    values.growth = of->growth;
    values.ln_shape_stderr = sometimes(from, 0.0, 0.0, 2.0);
    values.variance_ln_k = number(from, 0.0, 0.1);
    values.variance_Q_J2_per_mol2 = number(from, 0.0, 1e9);
    values.covariance_J_per_mol = sqrt(fabs(values.variance_ln_k * values.variance_Q_J2_per_mol2)) *
                                  sometimes(from, 0.0, -1.0, 1.0);
    values.scatter = number(from, 0.0, 0.5);
    values.dof = number(from, 1.0, 30.0);
    values.bath_low_K = number(from, 500.0, 560.0);
    values.bath_high_K = number(from, 560.0, 700.0);
    values.thickness_low_nm = number(from, 5.0, 50.0);
    values.thickness_high_nm = number(from, 50.0, 150.0);
    values.trial_count = next_byte(from);
    oxt_status status = oxt_steel_new(&steel, &values, &error);
    SAYS_WHY(status, error);
    return steel;
}

static bool good(oxt_status status, const oxt_error *error)
{
    SAYS_WHY(status, *error);
    return status == OXT_OK;
}

static void use_growth(bytes *from, const query *of)
{
    oxt_error error = OXT_ERROR_INIT;
    double value = -1.0, back;
    if (good(oxt_rate(&of->growth, of->bath_K, &value, &error), &error))
        MUST(value >= 0.0 && isfinite(value), "rate %g", value);
    if (good(oxt_thickness(&of->growth, of->bath_K, of->time_s, &value, &error), &error)) {
        MUST(value >= 0.0, "thickness %g", value);
        if (value > 1e-100 &&
            good(oxt_time_for_thickness(&of->growth, value, of->bath_K, &back, &error), &error))
            MUST(fabs(back - of->time_s) <= 1e-9 * of->time_s + DBL_MIN, "%g s became %g s",
                 of->time_s, back);
    }
    good(oxt_thickness_of_exposure(&of->growth, number(from, 0.0, 100.0), number(from, 0.0, 1e5),
                                   &value, &error),
         &error);
}

static void use_heat(bytes *from, const query *of)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_warming warming = OXT_WARMING_INIT;
    oxt_sag sag = OXT_SAG_INIT;
    double value = -1.0, rate = 0.0, lag = 0.0, back;
    uint32_t cautions;
    good(oxt_heat_warming(&of->part, of->bath_K, &warming, &error), &error);
    if (good(oxt_heat_surface_temperature(&of->part, of->bath_K, of->time_s, &value, &error),
             &error))
        MUST(value >= fmin(of->part.start_K, of->bath_K) - 1e-6 &&
                 value <= fmax(of->part.start_K, of->bath_K) + 1e-6,
             "surface %.17g between %g and %g", value, of->part.start_K, of->bath_K);
    if (good(oxt_bath_exposure(&of->growth, NULL, &of->part, 0.0, of->bath_K, of->time_s, &value,
                               &error),
             &error)) {
        MUST(value >= 0.0, "exposure %g", value);
        good(oxt_rate(&of->growth, of->bath_K, &rate, &error), &error);
        /* lags are rounded to 1e-15 s or so */
        if (value > 1e-6 + rate * (1e-6 * of->time_s + 1e-12) &&
            good(oxt_heat_time_for_exposure(&of->growth, &of->part, of->bath_K, value, &back, &lag,
                                            &error),
                 &error))
            MUST(fabs(back - of->time_s) <= 1e-3 * of->time_s + 1e-3, "%g s became %g s",
                 of->time_s, back);
    }
    if (good(oxt_heat_lift_exposure(&of->growth, &of->part, &of->lift, of->bath_K, &value, &back,
                                    &error),
             &error))
        MUST(value >= 0.0 && back <= fmax(of->bath_K, of->lift.air_K) + 1e-6,
             "%g nm^2, quench %g K", value, back);
    good(oxt_bath_read(&of->bath, of->bath_K, &value, &cautions, &error), &error);
    double load_kg = number(from, 0.01, 20.0);
    if (good(oxt_bath_sag(&of->bath, &of->part, load_kg, of->bath_K, &sag, &error), &error))
        MUST(sag.sag_K >= 0.0 && sag.lowest_K <= of->bath_K, "sag %g K", sag.sag_K);
    if (good(oxt_bath_exposure(&of->growth, &of->bath, &of->part, load_kg, of->bath_K, of->time_s,
                               &value, &error),
             &error))
        MUST(value >= 0.0, "exposure %g", value);
    oxt_crust crust = OXT_CRUST_INIT;
    if (good(oxt_bath_crust(&of->bath, &of->part, of->bath_K, &crust, &error), &error))
        MUST(crust.melted_s >= 0.0 && crust.thickest_m >= 0.0, "crust %g", crust.melted_s);
}

static void use_temper(bytes *from, const query *of)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_temper_options options = OXT_TEMPER_OPTIONS_INIT;
    oxt_temper temper = OXT_TEMPER_INIT;
    double parameter = 0.0, value;
    options.steel = choice(from, 2) ? "1095" : NULL;
    options.constant = sometimes(from, options.constant, 10.0, 30.0);
    options.last_K = of->dip.last_temper_K;
    options.last_s = of->dip.last_temper_s;
    if (good(oxt_temper_dip(of->bath_K, of->time_s, &options, &temper, &error), &error))
        PRINTS(oxt_temper_report(&temper, OXT_UNIT_FAHRENHEIT, OXT_CAUTION_WHOLE, buffer, capacity,
                                 needed, &error));
    if (good(oxt_temper_parameter(of->bath_K, of->time_s, options.constant, &parameter, &error),
             &error) &&
        good(oxt_temper_time(parameter, of->bath_K, options.constant, &value, &error), &error))
        MUST(fabs(value - of->time_s) <= 1e-6 * of->time_s, "%g s became %g s", of->time_s, value);
    good(oxt_temper_temperature(number(from, 5000.0, 20000.0), of->time_s, options.constant, &value,
                                &error),
         &error);
    good(oxt_temper_hardness("1095", number(from, 5000.0, 20000.0), &value, &error), &error);
}

static void use_steel(bytes *from, const query *of, const oxt_steel *steel)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    check_card(steel);
    if (good(oxt_dip_predict(steel, &of->target, of->bath_K, &of->dip, &dip, &error), &error))
        check_dip(&dip);
    unsigned kind = choice(from, 8);
    if (kind == 7) {
        oxt_dip other = dip;
        other.time_s = sometimes(from, dip.time_s, 1.0, 1000.0);
        other.interval_high_s = sometimes(from, dip.interval_high_s, 1.0, 1000.0);
        other.next_low_s = sometimes(from, dip.next_low_s, 1.0, 1000.0);
        other.chance = sometimes(from, dip.chance, 0.0, 1.0);
        if (good(oxt_dip_average((const oxt_dip *[]){ &dip, &other },
                                 (double[]){ 1.0, number(from, 0.0, 1.0) }, 2, &other, &error),
                 &error))
            check_dip(&other);
    }
    if (kind == 0 && good(oxt_dip_for_time(steel, &of->target, of->time_s, &of->dip, &dip, &error),
                          &error)) { /* bath_K is what the thermometer reads */
        double true_K = dip.bath_K + (of->dip.salt_bath ? of->bath.thermometer_offset_K : 0.0);
        MUST(true_K >= OXT_BATH_LOW_K - 1e-9 && true_K <= OXT_BATH_HIGH_K + 1e-9, "bath %g",
             true_K);
    }
    oxt_bath_range range = OXT_BATH_RANGE_INIT;
    range.low_K = sometimes(from, range.low_K, OXT_BATH_LOW_K, 600.0);
    range.high_K = sometimes(from, range.high_K, 600.0, OXT_BATH_HIGH_K);
    range.longest_s = sometimes(from, range.longest_s, 10.0, 10000.0);
    if (kind == 1 &&
        good(oxt_plan_baths(steel, &of->target, &range, &of->dip, &dip, NULL, NULL, &error),
             &error))
        check_dip(&dip);
    if (kind == 2) {
        char text[8000];
        oxt_dip made[7];
        oxt_dip *dips[7];
        size_t count = 0;
        range.rows = 2 + choice(from, 6);
        for (int i = 0; i < 7; i++) {
            made[i] = (oxt_dip)OXT_DIP_INIT;
            dips[i] = &made[i];
        }
        oxt_status status = oxt_plan_baths(steel, &of->target, &range, &of->dip, &dip, dips, &count,
                                           &error);
        SAYS_WHY(status, error);
        if (!status)
            good(oxt_plan_baths_report((const oxt_dip *const *)dips, count, &dip, OXT_UNIT_CELSIUS,
                                       OXT_CAUTION_WHOLE, text, sizeof text, NULL, &error),
                 &error);
    }
    if (kind == 3) {
        oxt_advise *advice;
        oxt_advise_options options = OXT_ADVISE_OPTIONS_INIT;
        options.low_K = range.low_K;
        options.high_K = range.high_K;
        options.longest_s = range.longest_s;
        options.shortest_s = sometimes(from, options.shortest_s, 1.0, 100.0);
        options.count = 1 + choice(from, 3);
        options.criterion = (oxt_criterion)choice(from, 3);
        options.highest_order = 1 + (int)choice(from, 2);
        if (good(oxt_advise_run(&advice, steel, film(), &options, &error), &error))
            PRINTS(oxt_advise_report(advice, OXT_UNIT_CELSIUS, OXT_CAUTION_WHOLE, buffer, capacity,
                                     needed, &error));
        oxt_advise_free(advice);
    }
    if (kind == 4) {
        oxt_plan_part first = OXT_PLAN_PART_INIT, second;
        oxt_plan_options options = OXT_PLAN_OPTIONS_INIT;
        oxt_plan_values values = OXT_PLAN_VALUES_INIT;
        oxt_plan *set;
        first.steel = steel;
        first.film = film();
        first.target = &of->target;
        second = first;
        second.options = &of->dip;
        options.draws = 100;
        options.spacing_s = sometimes(from, options.spacing_s, 0.0, 100.0);
        options.bath_wander_K = sometimes(from, 0.0, 0.0, 20.0);
        if (good(oxt_plan_set(&set, (const oxt_plan_part *[]){ &first, &second }, 2, of->bath_K,
                              &options, &error),
                 &error)) {
            MUST(oxt_plan_get(set, &values, &error) == OXT_OK, "%s", error.text);
            MUST(values.chance_match >= 0.0 && values.chance_match <= 1.0 &&
                     values.chance_targets >= 0.0 && values.chance_targets <= 1.0,
                 "chances %g, %g", values.chance_match, values.chance_targets);
            PRINTS(oxt_plan_report(set, OXT_UNIT_FAHRENHEIT, OXT_CAUTION_WHOLE, buffer, capacity,
                                   needed, &error));
        }
        oxt_plan_free(set);
    }
}

static void use_tracker(bytes *from, const query *of, const oxt_steel *steel)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_track_options options = OXT_TRACK_OPTIONS_INIT;
    oxt_track_state now = OXT_TRACK_STATE_INIT;
    oxt_track *tracker;
    double time_s = 0.0;
    options.part = of->dip.part;
    options.bath_K = of->dip.part || of->dip.coupon ? of->bath_K : 0.0;
    options.lift = of->dip.lift;
    options.coupon = of->dip.coupon;
    options.coupon_lift = of->dip.coupon_lift;
    options.salt_bath = of->dip.salt_bath;
    options.initial_nm = sometimes(from, 0.0, 0.0, 60.0);
    options.longest_gap_s = sometimes(from, options.longest_gap_s, 0.1, 100.0);
    if (!good(oxt_track_new(&tracker, steel, film(), &of->target, &options, &error), &error))
        return;
    MUST(oxt_track_read(tracker, &now, &error) == OXT_OK, "%s", error.text);
    for (unsigned count = choice(from, 12); count > 0; count--) {
        time_s += number(from, 0.1, 60.0);
        oxt_status status = oxt_track_feed(tracker, time_s,
                                           number(from, 0.97 * of->bath_K, 1.03 * of->bath_K),
                                           &error);
        SAYS_WHY(status, error);
        MUST(oxt_track_read(tracker, &now, &error) == OXT_OK, "%s", error.text);
        MUST(now.to_earliest_s <= now.to_lift_s && now.to_lift_s <= now.to_latest_s,
             "lift in %.17g, %.17g, %.17g s", now.to_earliest_s, now.to_lift_s, now.to_latest_s);
        MUST(now.quench_nm >= now.thickness_nm, "%.17g nm shrink to %.17g nm", now.thickness_nm,
             now.quench_nm);
    }
    oxt_track_free(tracker);
}

static void use_colour(bytes *from)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_target target = OXT_TARGET_INIT;
    oxt_match found[4] = { OXT_MATCH_INIT, OXT_MATCH_INIT, OXT_MATCH_INIT, OXT_MATCH_INIT };
    oxt_tint tint = OXT_TINT_INIT;
    oxt_match_verdict verdict;
    size_t count;
    double lab[3] = { number(from, 0.0, 100.0), number(from, -60.0, 60.0),
                      number(from, -60.0, 60.0) };
    double other[3] = { number(from, 0.0, 100.0), number(from, -60.0, 60.0),
                        number(from, -60.0, 60.0) };
    double got[3], difference = 0.0, thickness_nm = number(from, 0.0, 1000.0);
    if (good(oxt_film_colour(film(), OXT_SPACE_LAB, thickness_nm, got, NULL, &error), &error))
        MUST(isfinite(got[0] + got[1] + got[2]), "a colour that is no number");
    good(oxt_tint_at(film(), thickness_nm, &tint, &error), &error);
    good(oxt_film_match(film(), lab, NULL, 4, found, &count, &verdict, &error), &error);
    good(oxt_tint_target_of_lab(film(), lab, number(from, 0.1, 30.0), (int)choice(from, 3), &target,
                                &error),
         &error);
    if (good(oxt_delta_e2000(1, lab, 0, other, 0, &difference, NULL, &error), &error))
        MUST(difference >= 0.0 && isfinite(difference), "difference %g", difference);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    bytes from = { data, data + size };
    query of;
    unsigned kind = choice(&from, 8);
    read_query(&from, &of);
    if (kind == 0)
        use_growth(&from, &of);
    else if (kind == 1)
        use_heat(&from, &of);
    else if (kind == 2)
        use_temper(&from, &of);
    else if (kind == 3)
        use_colour(&from);
    else {
        oxt_steel *steel = read_steel(&from, &of);
        if (steel && kind == 4)
            use_tracker(&from, &of, steel);
        else if (steel)
            use_steel(&from, &of, steel);
        oxt_steel_free(steel);
    }
    return 0;
}
