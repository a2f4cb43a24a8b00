/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One trial, and what its fields must be. */
#include <string.h>

#include "oxtint/colour.h"
#include "base/internal.h"
#include "optics/tint.h"
#include "trials/trial.h"

/* `name` is that of the struct, for messages; NULL: as the column. */
static const struct {
    const char *column, *name;
    size_t offset;
    double low, high;
    oxt_i_ends ends;
    const char *expected;
} fields[] = {
    [OXT_I_BATH] = { "bath_K", NULL, offsetof(oxt_trial, bath_K), OXT_BATH_LOW_K, OXT_BATH_HIGH_K,
                     OXT_I_CLOSED, OXT_I_BATH_EXPECTED },
    [OXT_I_TIME] = { "time_s", NULL, offsetof(oxt_trial, time_s), 0.0, OXT_TIME_HIGH_S,
                     OXT_I_OPEN_LOW, "a time above 0 and up to 1000000 s" },
    [OXT_I_THICKNESS] = { "thickness_nm", NULL, offsetof(oxt_trial, thickness_nm), 0.0,
                          OXT_THICKNESS_HIGH_NM, OXT_I_OPEN_LOW,
                          "a thickness above 0 and up to 1000 nm" },
    [OXT_I_LAB_L] = { "L", NULL, offsetof(oxt_trial, lab[0]), 0.0, 100.0, OXT_I_CLOSED,
                      "a lightness L* from 0 to 100" },
    [OXT_I_LAB_A] = { "a", NULL, offsetof(oxt_trial, lab[1]), -200.0, 200.0, OXT_I_CLOSED,
                      "a* from -200 to 200" },
    [OXT_I_LAB_B] = { "b", NULL, offsetof(oxt_trial, lab[2]), -200.0, 200.0, OXT_I_CLOSED,
                      "b* from -200 to 200" },
    [OXT_I_PART] = { "part_m", "part_size_m", offsetof(oxt_trial, part_size_m), 0.0, 1.0,
                     OXT_I_OPEN_LOW, "a size of the coupon above 0 and up to 1 m" },
    [OXT_I_START] = { "start_K", "part_start_K", offsetof(oxt_trial, part_start_K), 200.0,
                      OXT_BATH_HIGH_K, OXT_I_CLOSED,
                      "a start from 200 K (-73.15 C, -99.67 F) to the bath" },
    [OXT_I_TRANSFER] = { "transfer_W_per_m2K", NULL, offsetof(oxt_trial, transfer_W_per_m2K), 0.0,
                         1e6, OXT_I_OPEN_LOW,
                         "a heat transfer above 0 and up to 1000000 W/(m2 K)" },
    [OXT_I_LIFT] = { "lift_s", NULL, offsetof(oxt_trial, lift_s), 0.0, 3600.0, OXT_I_CLOSED,
                     "a time from the bath to the quench of 0 to 3600 s" },
    [OXT_I_BATH_SD] = { "bath_sd_K", NULL, offsetof(oxt_trial, bath_sd_K), 0.0, 1000.0,
                        OXT_I_CLOSED, "a standard deviation of the bath of 0 to 1000 K (1800 F)" },
    [OXT_I_TIME_SD] = { "time_sd_s", NULL, offsetof(oxt_trial, time_sd_s), 0.0, OXT_TIME_HIGH_S,
                        OXT_I_CLOSED, "a standard deviation of the time of 0 to 1000000 s" },
    [OXT_I_THICKNESS_SD] = { "thickness_sd_nm", NULL, offsetof(oxt_trial, thickness_sd_nm), 0.0,
                             OXT_THICKNESS_HIGH_NM, OXT_I_OPEN_LOW,
                             "a standard error of the thickness above 0 and up to 1000 nm" },
    [OXT_I_TOLERANCE] = { "colour_tolerance", NULL, offsetof(oxt_trial, colour_tolerance), 0.0,
                          50.0, OXT_I_OPEN_LOW, "a CIEDE2000 above 0 and up to 50" },
};

double oxt_i_field_get(const oxt_trial *trial, oxt_i_field field)
{
    return *(const double *)(const void *)((const char *)trial + fields[field].offset);
}

void oxt_i_field_set(oxt_trial *trial, oxt_i_field field, double value)
{
    memcpy((char *)trial + fields[field].offset, &value, sizeof value);
}

const char *oxt_i_field_column(oxt_i_field field)
{
    return fields[field].column;
}

const char *const oxt_i_lifted_names[] = { "", "first", "middle", "last", "after" };

void oxt_i_field_limits(oxt_i_field field, double *low, double *high)
{
    bool open = fields[field].ends == OXT_I_OPEN_LOW;
    *low = open ? nextafter(fields[field].low, HUGE_VAL) : fields[field].low;
    *high = fields[field].high;
}

bool oxt_i_field_holds(oxt_i_field field, double value, const char **expected)
{
    *expected = fields[field].expected;
    return oxt_i_check(NULL, "", value, fields[field].low, fields[field].high,
                       fields[field].ends) == OXT_OK;
}

static oxt_status check_number(const oxt_trial *trial, oxt_i_field field, oxt_error *error)
{
    double value = oxt_i_field_get(trial, field);
    const char *name = fields[field].name ? fields[field].name : fields[field].column, *expected;
    if (oxt_i_field_holds(field, value, &expected))
        return OXT_OK;
    return oxt_i_fail(error, OXT_EDOMAIN, name, value, fields[field].low, fields[field].high,
                      "%s is %g, expected %s", name, value, expected);
}

static oxt_status check_letters(const char *text, const char *name, oxt_error *error)
{
    if (!oxt_i_is_utf8(text, strlen(text)))
        return oxt_i_fail_text(error, OXT_EPARSE, name, "%s is not UTF-8", name);
    if (strstr(text, OXT_I_BYTE_ORDER_MARK))
        return oxt_i_fail_text(
            error, OXT_EPARSE, name,
            "%s holds a byte-order mark (U+FEFF), which cannot be seen; expected "
            "none",
            name);
    return OXT_OK;
}

oxt_status oxt_i_check_text(const char *text, size_t capacity, const char *name, oxt_error *error)
{
    if (!memchr(text, '\0', capacity))
        return oxt_i_fail_text(error, OXT_EARG, name, "%s does not end within %zu bytes", name,
                               capacity);
    return check_letters(text, name, error);
}

static oxt_status check_seen(const oxt_trial *trial, const oxt_words *words, oxt_error *error)
{
    double srgb[3];
    oxt_i_tint_word found;
    oxt_status status;
    switch (trial->seen) {
    case OXT_SEEN_COLOUR:
        status = oxt_i_check_text(trial->colour, sizeof trial->colour, "colour", error);
        if (!status && !oxt_i_tint_read(trial->colour, words, &found))
            status = oxt_i_no_tint(trial->colour, words, OXT_I_TINT_NAMES, error);
        return status;
    case OXT_SEEN_THICKNESS:
        return check_number(trial, OXT_I_THICKNESS, error);
    case OXT_SEEN_LAB:
        status = check_number(trial, OXT_I_LAB_L, error);
        if (!status)
            status = check_number(trial, OXT_I_LAB_A, error);
        return status ? status : check_number(trial, OXT_I_LAB_B, error);
    case OXT_SEEN_SRGB:
        status = oxt_i_check_text(trial->srgb, sizeof trial->srgb, "srgb", error);
        return status ? status : oxt_parse_srgb(trial->srgb, srgb, error);
    default:
        return oxt_i_check_choice("seen", (int)trial->seen, OXT_SEEN_SRGB, error);
    }
}

/* A coupon whose size is not known has no shape, start or heat transfer either. */
static oxt_status check_part(const oxt_trial *trial, oxt_error *error)
{
    oxt_status status = oxt_i_check_choice("part_shape", (int)trial->part_shape, OXT_SHAPE_ANY,
                                           error);
    if (status)
        return status;
    const char *lonely = trial->part_shape != OXT_SHAPE_PLATE ? "part_shape"
                         : trial->part_start_K != 0.0         ? "part_start_K"
                         : trial->transfer_W_per_m2K != 0.0   ? "transfer_W_per_m2K"
                                                              : NULL;
    if (lonely && trial->part_size_m == 0.0)
        return oxt_i_fail_text(error, OXT_EARG, lonely,
                               "%s is stated, expected part_size_m with it", lonely);
    if (trial->part_start_K > trial->bath_K)
        return oxt_i_fail(error, OXT_EDOMAIN, "part_start_K", trial->part_start_K, 200.0,
                          trial->bath_K, "%s is above the bath of %s",
                          oxt_i_mark(trial->part_start_K, "part_start_K").text,
                          oxt_i_mark(trial->bath_K, NULL).text);
    return OXT_OK;
}

static oxt_status check_stated(const oxt_trial *trial, oxt_error *error)
{
    oxt_status status = OXT_OK;
    for (oxt_i_field field = OXT_I_PART; field < OXT_I_FIELDS && !status; field++)
        if (oxt_i_field_get(trial, field) != 0.0)
            status = check_number(trial, field, error);
    if (!status)
        status = oxt_i_check_text(trial->day, sizeof trial->day, "day", error);
    if (!status)
        status = oxt_i_check_choice("lifted", (int)trial->lifted, OXT_LIFTED_AFTER, error);
    return status ? status : check_part(trial, error);
}

oxt_status oxt_i_check_done(const oxt_trial *trial, oxt_error *error)
{
    oxt_status status = oxt_i_check_text(trial->steel, sizeof trial->steel, "steel", error);
    if (!status && trial->steel[0] == '\0')
        status = oxt_i_fail_text(error, OXT_EARG, "steel",
                                 "steel is empty, expected the name of a steel");
    if (!status)
        status = oxt_i_check_text(trial->finish, sizeof trial->finish, "finish", error);
    if (!status)
        status = check_number(trial, OXT_I_BATH, error);
    if (!status)
        status = check_number(trial, OXT_I_TIME, error);
    return status ? status : check_stated(trial, error);
}

oxt_status oxt_i_check_trial(const oxt_trial *trial, const char *note, const oxt_words *words,
                             oxt_error *error)
{
    oxt_status status = oxt_i_check_done(trial, error);
    if (!status)
        status = check_seen(trial, words, error);
    if (!status && note)
        status = check_letters(note, "note", error);
    return status;
}

bool oxt_i_trial_path(const oxt_trial *trial, oxt_part *part, oxt_lift *lift)
{
    *part = (oxt_part)OXT_PART_INIT;
    *lift = (oxt_lift)OXT_LIFT_INIT;
    part->size_m = trial->part_size_m;
    part->shape = trial->part_shape;
    lift->delay_s = trial->lift_s;
    if (trial->part_start_K > 0.0)
        part->start_K = trial->part_start_K;
    if (trial->transfer_W_per_m2K > 0.0)
        part->transfer_W_per_m2K = trial->transfer_W_per_m2K;
    return trial->part_size_m > 0.0 || trial->lift_s > 0.0;
}
