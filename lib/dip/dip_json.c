/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Dips, sets and advice as JSON. */
#include "base/json.h"
#include "thermal/heat.h"
#include "dip/advise.h"
#include "dip/dip.h"

#include "oxtint/plan.h"

#include <string.h>

static const char *const sources[] = { "inside", "coupon", "named" };

static const oxt_i_json_field target_fields[] = {
    OXT_I_JSON_FIELD(oxt_target, aim_nm, NUMBER),    OXT_I_JSON_FIELD(oxt_target, low_nm, NUMBER),
    OXT_I_JSON_FIELD(oxt_target, high_nm, NUMBER),   OXT_I_JSON_FIELD(oxt_target, other_nm, NUMBER),
    OXT_I_JSON_FIELD(oxt_target, order, INT),        OXT_I_JSON_FIELD(oxt_target, text, TEXT),
    OXT_I_JSON_FIELD(oxt_target, description, TEXT), OXT_I_JSON_END,
};

static const oxt_i_json_field time_fields[] = {
    OXT_I_JSON_FIELD(oxt_dip, bath_K, NUMBER),
    OXT_I_JSON_FIELD(oxt_dip, time_s, NUMBER),
    OXT_I_JSON_FIELD(oxt_dip, earliest_s, NUMBER),
    OXT_I_JSON_FIELD(oxt_dip, latest_s, NUMBER),
    OXT_I_JSON_END,
};

static const oxt_i_json_field rest_fields[] = {
    OXT_I_JSON_FIELD(oxt_dip, confidence, NUMBER),
    OXT_I_JSON_FIELD(oxt_dip, chance, NUMBER),
    OXT_I_JSON_FIELD(oxt_dip, cautions, CAUTIONS),
    OXT_I_JSON_FIELD(oxt_dip, lag_s, NUMBER),
    OXT_I_JSON_FIELD(oxt_dip, law_time_s, NUMBER),
    OXT_I_JSON_FIELD(oxt_dip, sag_K, NUMBER),
    OXT_I_JSON_FIELD(oxt_dip, lift_growth_nm, NUMBER),
    OXT_I_JSON_FIELD(oxt_dip, crust_s, NUMBER),
    OXT_I_JSON_FIELD(oxt_dip, preheat_saves_s, NUMBER),
    OXT_I_JSON_FIELD(oxt_dip, initial_nm, NUMBER),
    OXT_I_JSON_FIELD(oxt_dip, quench_nm, NUMBER),
    OXT_I_JSON_CHOSEN(oxt_dip, part_source, sources),
    OXT_I_JSON_CHOSEN(oxt_dip, lift_source, sources),
    OXT_I_JSON_CHOSEN(oxt_dip, part_shape, oxt_i_shape_names),
    OXT_I_JSON_FIELD(oxt_dip, part_size_m, NUMBER),
    OXT_I_JSON_FIELD(oxt_dip, lift_s, NUMBER),
    OXT_I_JSON_FIELD(oxt_dip, coupon_time_s, NUMBER),
    OXT_I_JSON_FIELD(oxt_dip, part_text, TEXT),
    OXT_I_JSON_END,
};

static json_t *dip_to_json(const oxt_dip *dip, bool *good)
{
    json_t *object = json_object();
    oxt_i_json_put(object, "target", oxt_i_json_struct(target_fields, &dip->target, good), good);
    oxt_i_json_put_fields(object, time_fields, dip, good);
    oxt_i_json_put(object, "interval_s",
                   oxt_i_json_pair(dip->interval_low_s, dip->interval_high_s, good), good);
    oxt_i_json_put(object, "next_interval_s",
                   oxt_i_json_pair(dip->next_low_s, dip->next_high_s, good), good);
    oxt_i_json_put_fields(object, rest_fields, dip, good);
    return object;
}

oxt_status oxt_dip_json(const oxt_dip *dip, char *buffer, size_t capacity, size_t *needed,
                        oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_dip known;
    bool good = true;
    oxt_status status = oxt_i_dip_in(&known, dip, OXT_UNIT_KELVIN, error);
    if (status)
        return status;
    json_t *object = dip_to_json(&known, &good);
    return oxt_i_json_emit(object, good, buffer, capacity, needed, error);
}

/* ---- sets ---- */

static const oxt_i_json_field set_fields[] = {
    OXT_I_JSON_FIELD(oxt_plan_values, count, COUNT),
    OXT_I_JSON_FIELD(oxt_plan_values, bath_K, NUMBER),
    OXT_I_JSON_FIELD(oxt_plan_values, tolerance, NUMBER),
    OXT_I_JSON_FIELD(oxt_plan_values, aim_mismatch, NUMBER),
    OXT_I_JSON_FIELD(oxt_plan_values, mean_mismatch, NUMBER),
    OXT_I_JSON_FIELD(oxt_plan_values, high_mismatch, NUMBER),
    OXT_I_JSON_FIELD(oxt_plan_values, chance_match, NUMBER),
    OXT_I_JSON_FIELD(oxt_plan_values, chance_targets, NUMBER),
    OXT_I_JSON_FIELD(oxt_plan_values, last_lift_s, NUMBER),
    OXT_I_JSON_FIELD(oxt_plan_values, cautions, CAUTIONS),
    OXT_I_JSON_FIELD(oxt_plan_values, sag_K, NUMBER),
    OXT_I_JSON_END,
};

static const oxt_i_json_field step_fields[] = {
    OXT_I_JSON_FIELD(oxt_plan_step, part, COUNT),
    OXT_I_JSON_FIELD(oxt_plan_step, name, TEXT),
    OXT_I_JSON_FIELD(oxt_plan_step, enter_s, NUMBER),
    OXT_I_JSON_FIELD(oxt_plan_step, lift_s, NUMBER),
    OXT_I_JSON_END,
};

oxt_status oxt_plan_json(const oxt_plan *set, char *buffer, size_t capacity, size_t *needed,
                         oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_plan_values values = OXT_PLAN_VALUES_INIT;
    bool good = true;
    oxt_status status = oxt_plan_get(set, &values, error);
    if (status)
        return status;
    json_t *object = oxt_i_json_struct(set_fields, &values, &good), *steps = json_array();
    for (size_t i = 0; i < values.count; i++) {
        oxt_plan_step step = OXT_PLAN_STEP_INIT;
        oxt_dip dip = OXT_DIP_INIT;
        oxt_plan_get_step(set, i, &step, &dip, NULL);
        json_t *one = oxt_i_json_struct(step_fields, &step, &good);
        oxt_i_json_put(one, "dip", dip_to_json(&dip, &good), &good);
        oxt_i_json_append(steps, one, &good);
    }
    oxt_i_json_put(object, "steps", steps, &good);
    return oxt_i_json_emit(object, good, buffer, capacity, needed, error);
}

/* ---- advice ---- */

static const oxt_i_json_field coupon_fields[] = {
    OXT_I_JSON_FIELD(oxt_advised_coupon, bath_K, NUMBER),
    OXT_I_JSON_FIELD(oxt_advised_coupon, time_s, NUMBER),
    OXT_I_JSON_FIELD(oxt_advised_coupon, label, TEXT),
    OXT_I_JSON_FIELD(oxt_advised_coupon, thickness_nm, NUMBER),
    OXT_I_JSON_FIELD(oxt_advised_coupon, chance, NUMBER),
    OXT_I_JSON_FIELD(oxt_advised_coupon, half_width, NUMBER),
    OXT_I_JSON_FIELD(oxt_advised_coupon, interval_ratio, NUMBER),
    OXT_I_JSON_FIELD(oxt_advised_coupon, exponent_stderr, NUMBER),
    OXT_I_JSON_FIELD(oxt_advised_coupon, cautions, CAUTIONS),
    OXT_I_JSON_END,
};

oxt_status oxt_advise_json(const oxt_advise *advice, char *buffer, size_t capacity, size_t *needed,
                           oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_advised_coupon coupon = OXT_ADVISED_COUPON_INIT;
    bool good = true;
    oxt_status status = oxt_advise_get(advice, 0, &coupon, error);
    if (status)
        return status;
    json_t *object = json_object(), *coupons = json_array();
    for (size_t i = 0; i < coupon.count; i++) {
        oxt_advise_get(advice, i, &coupon, NULL);
        oxt_i_json_append(coupons, oxt_i_json_struct(coupon_fields, &coupon, &good), &good);
    }
    oxt_i_json_put(object, "coupons", coupons, &good);
    return oxt_i_json_emit(object, good, buffer, capacity, needed, error);
}
