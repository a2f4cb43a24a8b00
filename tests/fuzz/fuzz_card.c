/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A card as JSON: one that loads saves and loads again, and whatever is predicted by it holds. */
#include "fuzz.h"

static void predict(const oxt_steel *steel)
{
    static const char *const wanted[] = { "faint straw", "blue", "second order blue" };
    static const double baths_K[] = { 400.0, 588.7, 900.0 };
    oxt_error error = OXT_ERROR_INIT;
    oxt_part part = OXT_PART_INIT;
    oxt_lift lift = OXT_LIFT_INIT;
    oxt_dip_options whole = OXT_DIP_OPTIONS_INIT;
    part.size_m = 0.003;
    lift.delay_s = 3.0;
    whole.part = &part;
    whole.lift = &lift;
    for (size_t i = 0; i < 3; i++) {
        oxt_target target = OXT_TARGET_INIT;
        MUST(oxt_tint_target(film(), wanted[i], &target, &error) == OXT_OK, "%s", error.text);
        for (size_t j = 0; j < 6; j++) {
            oxt_dip dip = OXT_DIP_INIT;
            oxt_status status = oxt_dip_predict(steel, &target, baths_K[j % 3],
                                                j < 3 ? NULL : &whole, &dip, &error);
            SAYS_WHY(status, error);
            if (status == OXT_OK)
                check_dip(&dip);
        }
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel;
    oxt_status status = oxt_steel_load(&steel, NULL, (const char *)data, size, &error);
    SAYS_WHY(status, error);
    MUST((status == OXT_OK) == (steel != NULL), "a handle with a failure");
    if (!steel)
        return 0;
    check_card(steel);
    predict(steel);
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    MUST(oxt_steel_get(steel, &values, &error) == OXT_OK, "%s", error.text);
    for (size_t i = 0; i < values.change_count; i++) {
        oxt_steel_change entry = OXT_STEEL_CHANGE_INIT;
        MUST(oxt_steel_history(steel, i, &entry, &error) == OXT_OK, "%s", error.text);
    }
    oxt_steel_free(steel);
    return 0;
}
