/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every text that a person may type: what is read can be written, and reads back as the same. */
#include "fuzz.h"

typedef oxt_status reader(const char *, double *, oxt_error *);

/* Written in a unit and read again, a quantity is the same within the digits that are written. */
static void check_temperature(double temperature_K)
{
    for (int unit = OXT_UNIT_CELSIUS; unit <= OXT_UNIT_KELVIN; unit++) {
        oxt_error error = OXT_ERROR_INIT;
        char text[80];
        double again;
        if (oxt_format_temperature(temperature_K, (oxt_temperature_unit)unit, text, sizeof text,
                                   NULL, &error))
            continue;
        oxt_status status = oxt_parse_temperature(text, &again, &error);
        MUST(status == OXT_OK, "%s: %s", text, error.text);
        MUST(fabs(again - temperature_K) <= 0.06 + 1e-9 * fabs(temperature_K), "%.17g is %s",
             temperature_K, text);
    }
}

static void check_duration(double time_s)
{
    oxt_error error = OXT_ERROR_INIT;
    char text[80];
    double again;
    oxt_status status = oxt_format_duration(time_s, text, sizeof text, NULL, &error);
    if (status || time_s > OXT_TIME_HIGH_S) /* "over 11 days" is no duration to read */
        return;
    status = oxt_parse_duration(text, &again, &error);
    MUST(status == OXT_OK, "%s: %s", text, error.text);
    MUST(fabs(again - time_s) <= 0.51 + 0.01 * time_s, "%.17g is %s", time_s, text);
}

static void check_target(const char *text)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_target target = OXT_TARGET_INIT;
    oxt_tint tint = OXT_TINT_INIT;
    double srgb[3];
    oxt_status status = oxt_tint_target(film(), text, &target, &error);
    SAYS_WHY(status, error);
    if (status == OXT_OK)
        MUST(target.low_nm <= target.aim_nm && target.aim_nm <= target.high_nm &&
                 target.low_nm >= 0.0,
             "%s: %g %g %g", text, target.low_nm, target.aim_nm, target.high_nm);
    status = oxt_tint_find(film(), text, &tint, &error);
    SAYS_WHY(status, error);
    status = oxt_tint_target(film(), text, &target, &error);
    SAYS_WHY(status, error);
    status = oxt_parse_srgb(text, srgb, &error);
    SAYS_WHY(status, error);
    if (status == OXT_OK) {
        char again[40];
        MUST(oxt_format_srgb(srgb, again, sizeof again, NULL, &error) == OXT_OK, "%s", error.text);
        for (size_t i = 0; i < 7; i++)
            MUST((again[i] | 0x20) == (text[i] | 0x20), "%s became %s", text, again);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static reader *const readers[] = { oxt_parse_temperature, oxt_parse_temperature_difference,
                                       oxt_parse_duration, oxt_parse_length };
    char *text = malloc(size + 1);
    MUST(text != NULL, "no memory");
    if (size)
        memcpy(text, data, size);
    text[size] = '\0';
    for (int i = 0; i < 4; i++) {
        oxt_error error = OXT_ERROR_INIT;
        double value;
        oxt_status status = readers[i](text, &value, &error);
        SAYS_WHY(status, error);
        if (status)
            continue;
        MUST(isfinite(value), "'%s' is %g", text, value);
        if (i == 0)
            check_temperature(value);
        if (i == 2)
            check_duration(value);
    }
    check_target(text);
    free(text);
    return 0;
}
