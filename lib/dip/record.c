/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Dips made by a card, recorded: does it keep what it promises? */
#include "oxtint/record.h"

#include <string.h>

#include "base/hits.h"
#include "optics/tint.h"
#include "steel/steel.h"
#include "trials/trials.h"
#include "dip/dip.h"

static const double CONFIDENCE = 0.95;
/* Another time than predicted: promises are rounded to a second or two per cent. */
static const double OFF_SHARE = 0.02, OFF_S = 1.0;

/* ---- recording ---- */

/* The film of what came out, 0 for bright. */
static oxt_status read_seen(double *film_nm, const oxt_film *film, const char *seen,
                            oxt_error *error)
{
    oxt_tint tint = OXT_TINT_INIT;
    oxt_target target = OXT_TARGET_INIT;
    *film_nm = 0.0;
    if (!oxt_tint_find(film, seen, &tint, NULL) && tint.index == 0)
        return OXT_OK;
    oxt_status status = oxt_tint_target(film, seen, &target, error);
    *film_nm = target.aim_nm;
    return status;
}

static oxt_status take_options(oxt_recorded_dip *made, const oxt_record_options *options,
                               const char *seen, oxt_error *error)
{
    *made = (oxt_recorded_dip)OXT_RECORDED_DIP_INIT;
    oxt_status status = oxt_i_check(error, "time_s", options->time_s, 0.0, OXT_TIME_HIGH_S,
                                    OXT_I_CLOSED);
    if (!status)
        status = oxt_i_take_text(made->seen, sizeof made->seen, seen, "seen", error);
    if (!status && options->label)
        status = oxt_i_take_text(made->label, sizeof made->label, options->label, "label", error);
    return status;
}

/* When a coupon of the card would have been lifted with the film that the part had after a time; 0: then too. What is
 * not stated in the dip, such as salt that froze on the part, costs as much as after the predicted time, and the coupon
 * is warm. */
static oxt_status find_coupon_time(oxt_recorded_dip *made, const oxt_steel *steel,
                                   const oxt_dip *dip, oxt_error *error)
{
    static const double SAME = 1e-6;
    oxt_part part = OXT_PART_INIT;
    oxt_lift lift = OXT_LIFT_INIT;
    oxt_i_thermal_path path;
    bool named = dip->part_source == OXT_PATH_NAMED || dip->lift_source == OXT_PATH_NAMED;
    if (steel->values.basis == OXT_BASIS_STEEL || dip->coupon_time_s == 0.0)
        return OXT_OK;
    part.shape = dip->part_shape;
    part.size_m = dip->part_size_m;
    lift.delay_s = dip->lift_s;
    oxt_status status = oxt_i_thermal_path_prepare(&path, &steel->values.growth, &part, &lift,
                                                   dip->bath_K, NULL, error);
    if (status)
        return status;
    double later_s = oxt_i_thermal_path_equivalent(&path, made->time_s) -
                     oxt_i_thermal_path_equivalent(&path, dip->time_s);
    double found_s = dip->coupon_time_s + later_s;
    if (named || fabs(found_s - made->time_s) > SAME * made->time_s)
        made->coupon_time_s = fmin(fmax(found_s, SAME), OXT_TIME_HIGH_S);
    return OXT_OK;
}

static void fill_dip(oxt_recorded_dip *made, const oxt_steel *steel, const oxt_dip *dip,
                     double time_s, double film_nm)
{
    double lifted_s = time_s > 0.0 ? time_s : dip->time_s;
    double off_s = fabs(lifted_s - dip->time_s);
    made->bath_K = dip->bath_K;
    made->time_s = lifted_s;
    made->low_nm = dip->target.low_nm;
    made->high_nm = dip->target.high_nm;
    made->chance = off_s > OFF_S && off_s > OFF_SHARE * dip->time_s ? -1.0 : dip->chance;
    made->hit = film_nm >= made->low_nm && film_nm <= made->high_nm;
    made->k_ref_nm2_per_s = steel->values.growth.k_ref_nm2_per_s;
    if (dip->part_source == OXT_PATH_NAMED) {
        made->part_shape = dip->part_shape;
        made->part_size_m = dip->part_size_m;
    }
    if (dip->lift_source == OXT_PATH_NAMED)
        made->lift_s = dip->lift_s;
    oxt_i_copy_text(made->target, sizeof made->target, dip->target.text);
}

oxt_status oxt_record_add(oxt_steel **recorded, const oxt_steel *steel, const oxt_film *film,
                          const oxt_dip *dip, const char *seen, const oxt_record_options *options,
                          oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_record_options chosen = OXT_RECORD_OPTIONS_INIT;
    oxt_recorded_dip made;
    oxt_dip known;
    double film_nm = 0.0;
    if (recorded)
        *recorded = NULL;
    if (!recorded || !steel || !film || !seen)
        return oxt_i_null(error, !recorded ? "recorded"
                                 : !steel  ? "steel"
                                 : !film   ? "film"
                                           : "seen");
    oxt_status status = OXT_I_OPTIONS_IN(oxt_record_options, &chosen, options, error);
    if (!status)
        status = oxt_i_dip_in(&known, dip, OXT_UNIT_CELSIUS, error);
    if (!status)
        status = take_options(&made, &chosen, seen, error);
    if (!status)
        status = read_seen(&film_nm, film, seen, error);
    if (status)
        return status;
    fill_dip(&made, steel, &known, chosen.time_s, film_nm);
    status = find_coupon_time(&made, steel, &known, error);
    if (!status)
        status = oxt_i_card_check(&oxt_i_record_numbers, &made, error);
    if (!status)
        status = oxt_i_steel_renew(recorded, steel, &steel->values, NULL, steel->words, error);
    if (!status)
        oxt_i_steel_record(*recorded, &made);
    return status;
}

/* ---- as coupons ---- */

/* Where the card's coupons have their path inside the constants, a part counts as the coupon with its film. */
static void fill_trial(oxt_trial *made, const oxt_steel *steel, const oxt_recorded_dip *dip)
{
    bool as_coupon = steel->values.basis == OXT_BASIS_COUPONS && dip->coupon_time_s > 0.0;
    *made = (oxt_trial)OXT_TRIAL_INIT;
    oxt_i_copy_text(made->steel, sizeof made->steel, steel->values.steel);
    oxt_i_copy_text(made->finish, sizeof made->finish, steel->values.finish);
    made->bath_K = dip->bath_K;
    made->time_s = as_coupon ? dip->coupon_time_s : dip->time_s;
    if (!as_coupon) {
        made->part_shape = dip->part_shape;
        made->part_size_m = dip->part_size_m;
        made->lift_s = dip->lift_s;
    }
    if (dip->seen[0] == '#') {
        made->seen = OXT_SEEN_SRGB;
        oxt_i_copy_text(made->srgb, sizeof made->srgb, dip->seen);
    } else if (oxt_parse_length(dip->seen, &made->thickness_nm, NULL)) {
        oxt_i_copy_text(made->colour, sizeof made->colour, dip->seen);
    } else {
        made->seen = OXT_SEEN_THICKNESS;
        made->thickness_nm *= 1e9;
    }
}

oxt_status oxt_record_trials(const oxt_steel *steel, oxt_trials *trials, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!steel || !trials)
        return oxt_i_null(error, steel ? "trials" : "steel");
    const oxt_i_log_mark before = oxt_i_log_now(trials);
    oxt_trial trial;
    oxt_status status = OXT_OK;
    for (size_t i = 0; i < steel->record_count && !status; i++) {
        fill_trial(&trial, steel, &steel->record[i]);
        status = oxt_trials_add(trials, &trial, steel->record[i].label, error);
    }
    if (status)
        oxt_i_log_cut(trials, &before);
    return status;
}

/* ---- promises ---- */

static size_t bin_of(double chance)
{
    static const double ends[OXT_RECORD_BINS - 1] = { 0.5, 0.7, 0.85, 0.95 };
    size_t bin = 0;
    while (bin < OXT_RECORD_BINS - 1 && chance > ends[bin])
        bin++;
    return bin;
}

static void fill_hits(const oxt_steel *steel, oxt_record *made)
{
    for (size_t i = 0; i < steel->record_count; i++) {
        const oxt_recorded_dip *dip = &steel->record[i];
        if (!oxt_i_is_promised(steel, dip))
            continue;
        size_t bin = bin_of(dip->chance);
        made->promised_count++;
        made->hit_count += dip->hit ? 1 : 0;
        made->expected_hits += dip->chance;
        made->bin_count[bin] += 1.0;
        made->bin_expected[bin] += dip->chance;
        made->bin_hits[bin] += dip->hit ? 1.0 : 0.0;
    }
    oxt_i_steel_p_values(steel, &made->p_value, &made->recent_p_value);
    if (made->promised_count > 0)
        oxt_i_hit_limits(made->hit_count, made->promised_count, made->confidence, &made->hits_low,
                         &made->hits_high);
}

oxt_status oxt_record_get(const oxt_steel *steel, double false_alarm, oxt_record *record,
                          oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!steel || !record)
        return oxt_i_null(error, steel ? "record" : "steel");
    oxt_status status = oxt_i_check(error, "false_alarm", false_alarm, 0.001, 0.1, OXT_I_CLOSED);
    if (status)
        return status;
    oxt_record made = OXT_RECORD_INIT;
    const oxt_steel_values *values = &steel->values;
    oxt_i_snprintf(made.name, sizeof made.name, "%s%s%s", values->steel,
                   values->finish[0] ? ", " : "", values->finish);
    made.dip_count = steel->record_count;
    made.confidence = CONFIDENCE;
    made.hits_low = made.hits_high = NAN;
    made.false_alarm = false_alarm;
    fill_hits(steel, &made);
    made.kept = oxt_i_are_kept(made.p_value, made.recent_p_value, false_alarm);
    return OXT_I_STRUCT_OUT(oxt_record, record, &made, "record", error);
}

/* ---- the report ---- */

static void add_bins(oxt_i_text *text, const oxt_record *of)
{
    static const char *const names[OXT_RECORD_BINS] = { "up to 50 %", "50 to 70 %", "70 to 85 %",
                                                        "85 to 95 %", "over 95 %" };
    oxt_i_text_add(text, "  %-12s %6s %10s %6s\n", "promised", "dips", "expected", "hits");
    for (size_t i = 0; i < OXT_RECORD_BINS; i++)
        if (of->bin_count[i] > 0.0)
            oxt_i_text_add(text, "  %-12s %6.0f %10.1f %6.0f\n", names[i], of->bin_count[i],
                           of->bin_expected[i], of->bin_hits[i]);
}

static void add_verdict(oxt_i_text *text, const oxt_record *of)
{
    bool recent = of->recent_p_value < of->p_value;
    if (of->kept)
        oxt_i_text_add(text, "  the card keeps its promises as far as these dips show\n");
    else
        oxt_i_text_add(
            text,
            "  the card no longer keeps its promises: if it did, so few hits %swould "
            "come in %.2g %% of such records; run a coupon and anchor the card, or fit it "
            "anew with these dips among the trials\n",
            recent ? "of the last 20 " : "", 100.0 * (recent ? of->recent_p_value : of->p_value));
}

static void add_record(oxt_i_text *text, const oxt_record *of)
{
    oxt_i_text_add(text,
                   "%s: %zu dip%s recorded, %zu lifted as predicted by the card as it is now\n",
                   of->name, of->dip_count, oxt_i_plural(of->dip_count), of->promised_count);
    if (of->promised_count == 0)
        return;
    oxt_i_text_add(text,
                   "  %zu of %zu showed the wanted colour, %.1f promised (so many hits go with a "
                   "promise of %.1f to %.1f, %g %%)\n",
                   of->hit_count, of->promised_count, of->expected_hits, of->hits_low,
                   of->hits_high, 100.0 * of->confidence);
    add_bins(text, of);
    add_verdict(text, of);
}

oxt_status oxt_record_report(const oxt_record *record, char *buffer, size_t capacity,
                             size_t *needed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_record known = OXT_RECORD_INIT;
    if (!record)
        return oxt_i_null(error, "record");
    oxt_status status = OXT_I_STRUCT_IN(oxt_record, &known, record, "record", error);
    if (!status && !memchr(known.name, '\0', sizeof known.name))
        status = oxt_i_fail_text(error, OXT_EARG, "name", "name does not end");
    if (!status)
        status = oxt_i_check(error, "expected_hits", known.expected_hits, 0.0, OXT_RECORD_MOST,
                             OXT_I_CLOSED);
    if (status)
        return status;
    oxt_i_text text = { 0 };
    add_record(&text, &known);
    return oxt_i_emit_text(&text, buffer, capacity, needed, error);
}
