/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Results as JSON: codes that never change, and errors of a set that name the part. The fields are compared with
 * those of the structs in tests/python/test_json.py. */
#include <jansson.h>
#include <stdlib.h>
#include <string.h>

#include "support.h"

static json_t *parsed(const char *text)
{
    json_error_t fault;
    json_t *value = json_loads(text, JSON_REJECT_DUPLICATES, &fault);
    cr_assert(value, "%s in %s", fault.text, text);
    return value;
}

static const json_t *member(const json_t *object, const char *key)
{
    const json_t *found = json_object_get(object, key);
    cr_assert(found, "no %s", key);
    return found;
}

/* Infinite limits are null; cautions have the names and bits of error.h. */
Test(json, of_a_dip)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    oxt_target blue = target_of("blue");
    oxt_steel *steel;
    oxt_dip dip = OXT_DIP_INIT;
    static char text[32768];
    OK(oxt_steel_new(&steel, &values, &error));
    OK(oxt_dip_predict(steel, &blue, 588.7, NULL, &dip, &error));
    dip.next_high_s = HUGE_VAL;
    OK(oxt_dip_json(&dip, text, sizeof text, NULL, &error));
    json_t *object = parsed(text);
    cr_assert(json_real_value(member(object, "time_s")) == dip.time_s);
    const json_t *next = member(object, "next_interval_s");
    cr_assert(json_real_value(json_array_get(next, 0)) == dip.next_low_s);
    cr_assert(json_is_null(json_array_get(next, 1)));
    uint32_t bits = 0;
    size_t i;
    json_t *one;
    json_array_foreach(member(object, "cautions"), i, one)
    {
        json_int_t bit = json_integer_value(member(one, "number"));
        const oxt_caution_info *known = oxt_caution_get((uint32_t)bit);
        cr_assert_str_eq(json_string_value(member(one, "name")),
                         known->name + strlen("OXT_CAUTION_"));
        cr_assert_str_eq(json_string_value(member(one, "text")), known->text);
        bits |= known->bit;
    }
    cr_assert_eq(bits, dip.cautions);
    json_decref(object);
    oxt_steel_free(steel);
}

/* The sentence may be put in other words, its code may not. */
Test(json, warnings_of_a_fit_have_codes)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    oxt_fit *fit;
    static const char rows[] =
        "steel,bath_F,time_s,thickness_nm\nA,550,100,22\nA,600,100,46\nA,650,100,42\nA,600,60,90\n";
    static char text[32768];
    OK(oxt_trials_read_csv(&log, NULL, rows, strlen(rows), NULL, NULL, &error));
    OK(oxt_fit_run(&fit, log, default_film(), NULL, &error));
    OK(oxt_fit_json(fit, text, sizeof text, NULL, &error));
    json_t *object = parsed(text);
    const json_t *warnings = member(object, "warnings");
    oxt_fit_values values = values_of_fit(fit);
    bool is_scattered = false, is_few = false;
    cr_assert_eq(json_array_size(warnings), values.warning_count);
    cr_assert_eq(json_array_size(member(object, "rows")), 4);
    for (size_t i = 0; i < values.warning_count; i++) {
        const json_t *one = json_array_get(warnings, i);
        const char *code = json_string_value(member(one, "code"));
        double number = json_number_value(member(one, "number"));
        char sentence[512];
        OK(oxt_fit_warning(fit, i, sentence, sizeof sentence, NULL, &error));
        cr_assert_str_eq(json_string_value(member(one, "text")), sentence);
        if (strcmp(code, "SCATTER") == 0) {
            cr_assert(number == values.scatter);
            is_scattered = true;
        }
        if (strcmp(code, "FEW_TRIALS") == 0) {
            cr_assert(number == 4.0);
            is_few = true;
        }
    }
    cr_assert(is_scattered && is_few);
    json_decref(object);
    oxt_fit_free(fit);
    oxt_trials_free(log);
}

/* Lists are whole and in order: the groups of a pool, the rows of a fit, the coupons of advice. */
Test(json, lists_are_whole)
{
    oxt_error error = OXT_ERROR_INIT;
    static char text[65536];
    static const char *const steels[] = { "Alder 1", "Birch 2", "Cedar 3" };
    oxt_trials *log = new_log();
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    oxt_pool *pool;
    oxt_fit *fit;
    oxt_steel *steel;
    oxt_advise *advice;
    for (size_t i = 0; i < 18; i++) {
        const oxt_growth growth = growth_of(40.0 + 5.0 * (double)(i % 3), 588.7, 80e3);
        oxt_trial trial = trial_at(560.0 + 4.0 * (double)i, 60.0 + (double)i);
        strcpy(trial.steel, steels[i % 3]);
        trial.seen = OXT_SEEN_THICKNESS;
        OK(oxt_thickness(&growth, trial.bath_K, trial.time_s, &trial.thickness_nm, &error));
        trial.thickness_nm *= i % 2 ? 1.03 : 0.97;
        OK(oxt_trials_add(log, &trial, NULL, &error));
    }
    OK(oxt_pool_run(&pool, log, default_film(), NULL, &error));
    OK(oxt_pool_json(pool, text, sizeof text, NULL, &error));
    json_t *object = parsed(text);
    const json_t *list = member(object, "groups");
    cr_assert_eq(json_array_size(list), 3);
    for (size_t i = 0; i < 3; i++) {
        oxt_pool_group group = OXT_POOL_GROUP_INIT;
        const json_t *one = json_array_get(list, i);
        OK(oxt_pool_get_group(pool, i, &group, &error));
        cr_assert_str_eq(json_string_value(member(one, "steel")), steels[i]);
        cr_assert(json_real_value(member(member(one, "growth"), "k_ref_nm2_per_s")) ==
                  group.growth.k_ref_nm2_per_s);
    }
    json_decref(object);
    options.steel = "Birch 2";
    OK(oxt_fit_run(&fit, log, default_film(), &options, &error));
    OK(oxt_fit_json(fit, text, sizeof text, NULL, &error));
    object = parsed(text);
    list = member(object, "rows");
    cr_assert_eq(json_array_size(list), 6);
    for (size_t i = 0; i < 6; i++) {
        const json_t *one = json_array_get(list, i);
        cr_assert_eq(json_integer_value(member(one, "trial")), (json_int_t)(3 * i + 1));
        cr_assert(json_real_value(member(one, "observed_nm")) == row_of_fit(fit, i).observed_nm);
    }
    json_decref(object);
    OK(oxt_fit_steel(fit, &steel, &error));
    OK(oxt_advise_run(&advice, steel, default_film(), NULL, &error));
    OK(oxt_advise_json(advice, text, sizeof text, NULL, &error));
    object = parsed(text);
    list = member(object, "coupons");
    oxt_advised_coupon coupon = OXT_ADVISED_COUPON_INIT;
    OK(oxt_advise_get(advice, 0, &coupon, &error));
    cr_assert_eq(json_array_size(list), coupon.count);
    for (size_t i = 0; i < coupon.count; i++) {
        OK(oxt_advise_get(advice, i, &coupon, &error));
        cr_assert(json_real_value(member(json_array_get(list, i), "time_s")) == coupon.time_s);
    }
    json_decref(object);
    oxt_advise_free(advice);
    oxt_steel_free(steel);
    oxt_fit_free(fit);
    oxt_pool_free(pool);
    oxt_trials_free(log);
}

/* Contract: the place and the name of the part, unless it is the bath, which is the same for all. */
Test(json, errors_of_a_set_name_the_part)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    oxt_steel *steel;
    oxt_target blue = target_of("blue");
    oxt_part brass = OXT_PART_INIT;
    oxt_dip_options bad = OXT_DIP_OPTIONS_INIT;
    OK(oxt_steel_new(&steel, &values, &error));
    oxt_plan_part first = OXT_PLAN_PART_INIT;
    strcpy(first.name, "bezel");
    first.steel = steel;
    first.film = default_film();
    first.target = &blue;
    oxt_plan_part second = first;
    strcpy(second.name, "ring");
    brass.metal = OXT_METAL_BRASS;
    bad.part = &brass;
    second.options = &bad;
    const oxt_plan_part *parts[] = { &first, &second };
    oxt_plan *set;
    FAILS(oxt_plan_set(&set, parts, 2, 588.7, NULL, &error), OXT_EDOMAIN);
    cr_assert_eq(strncmp(error.text, "part 2, ring: brass is not for this process", 43), 0, "%s",
                 error.text);
    cr_assert_eq(error.row, 2);
    second.name[0] = '\0';
    FAILS(oxt_plan_set(&set, parts, 2, 588.7, NULL, &error), OXT_EDOMAIN);
    cr_assert_eq(strncmp(error.text, "part 2: brass", 13), 0, "%s", error.text);
    FAILS(oxt_plan_set(&set, parts, 2, 5000.0, NULL, &error), OXT_EDOMAIN);
    cr_assert_eq(strncmp(error.text, "bath_K is 5000", 14), 0, "%s", error.text);
    oxt_steel_free(steel);
}
