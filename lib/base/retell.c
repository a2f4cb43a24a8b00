/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The text of an error written again in terms of what a person typed, in the same scale. */
#include <string.h>

#include "base/internal.h"

/* What a number is, by the ending of its parameter's name. */
typedef enum { TEMPERATURE, DIFFERENCE, DURATION, LENGTH, FILM, OTHER } quantity;

/* ---- names ---- */

static bool ends_with(const char *text, size_t length, const char *end)
{
    size_t least = strlen(end);
    return length > least && strncmp(text + length - least, end, least) == 0;
}

/* The last part of a parameter's name. */
static const char *field_of(const char *parameter)
{
    const char *dot = strrchr(parameter, '.');
    return dot ? dot + 1 : parameter;
}

/* Length of a name without its unit. */
static size_t stem_of(const char *name)
{
    static const char *const units[] = { "_K", "_s", "_m", "_nm" };
    size_t length = strlen(name);
    for (size_t i = 0; i < OXT_I_COUNT(units); i++)
        if (ends_with(name, length, units[i]))
            return length - strlen(units[i]);
    return length;
}

static quantity quantity_of(const char *parameter)
{
    static const char *const differences[] = { "wander_K", "sd_K", "offset_K", "sag_K" };
    size_t length = strlen(parameter);
    for (size_t i = 0; i < OXT_I_COUNT(differences); i++)
        if (ends_with(parameter, length, differences[i]))
            return DIFFERENCE;
    return ends_with(parameter, length, "_K")    ? TEMPERATURE
           : ends_with(parameter, length, "_s")  ? DURATION
           : ends_with(parameter, length, "_m")  ? LENGTH
           : ends_with(parameter, length, "_nm") ? FILM
                                                 : OTHER;
}

/* "low_K" is what is called "low", "low_K" and "--low"; "target_bath_K" ends in what is called "bath". */
static bool fits(const oxt_given *given, const char *parameter)
{
    const char *field = field_of(parameter);
    if (given->parameter)
        return strcmp(given->parameter, field) == 0;
    if (!given->name)
        return true; /* its value decides */
    const char *name = given->name + strspn(given->name, "-");
    size_t length = stem_of(name), stem = stem_of(field);
    if (length > stem || (length < stem && field[stem - length - 1] != '_'))
        return false;
    for (size_t i = 0; i < length; i++)
        if ((name[i] == '-' ? '_' : name[i]) != field[stem - length + i])
            return false;
    return true;
}

/* What a text reads as; NaN when it is no such quantity. */
static double read_as(quantity kind, const char *typed)
{
    double value = NAN;
    char *end;
    if (kind == OTHER) {
        value = oxt_i_strtod(typed, &end);
        return *end ? NAN : value;
    }
    oxt_status status = kind == TEMPERATURE  ? oxt_parse_temperature(typed, &value, NULL)
                        : kind == DIFFERENCE ? oxt_parse_temperature_difference(typed, &value, NULL)
                        : kind == DURATION   ? oxt_parse_duration(typed, &value, NULL)
                        : kind == LENGTH || kind == FILM ? oxt_parse_length(typed, &value, NULL)
                                                         : OXT_EPARSE;
    return status ? NAN : kind == FILM ? value * 1e9 : value;
}

/* The given thing of this name and value; NULL when there is none. */
static const oxt_given *find_given(const oxt_given *given, size_t count, const char *parameter,
                                   double value)
{
    quantity kind = quantity_of(field_of(parameter));
    for (size_t i = 0; i < count; i++)
        if (given[i].typed && fits(&given[i], parameter) &&
            fabs(read_as(kind, given[i].typed) - value) <= 1e-5 + 1e-9 * fabs(value))
            return &given[i];
    return NULL;
}

static void add_name(oxt_i_text *text, const oxt_given *given, const char *parameter)
{
    const char *field = field_of(parameter);
    if (given->name)
        oxt_i_text_add(text, "%s", given->name);
    else
        oxt_i_text_add_bytes(text, field, stem_of(field));
}

/* ---- scales ---- */

oxt_temperature_unit oxt_i_scale_of(const char *typed)
{
    char last = '\0';
    for (; *typed; typed++)
        if (strchr("kKcCfF", *typed))
            last = oxt_i_lower(*typed);
    return last == 'f' ? OXT_UNIT_FAHRENHEIT : last == 'k' ? OXT_UNIT_KELVIN : OXT_UNIT_CELSIUS;
}

static bool is_scale(const char *typed)
{
    return typed[0] && strchr("kKcCfF", typed[0]) && !typed[1];
}

/* The scale of the first temperature, or scale, that was typed; false when there was none. */
static bool find_scale(const oxt_given *given, size_t count, oxt_temperature_unit *unit)
{
    for (size_t i = 0; i < count; i++)
        if (given[i].typed &&
            (is_scale(given[i].typed) || !isnan(read_as(TEMPERATURE, given[i].typed)))) {
            *unit = oxt_i_scale_of(given[i].typed);
            return true;
        }
    return false;
}

/* A limit in the scale of what was typed, without its unit, and the unit. */
static double limit_in(quantity kind, const char *typed, double limit, const char **unit)
{
    static const char *const scales[] = { " K", " C", " F" };
    oxt_temperature_unit scale = oxt_i_scale_of(typed);
    bool inches = strpbrk(typed, "iI\"") != NULL;
    *unit = kind == TEMPERATURE || kind == DIFFERENCE ? scales[scale]
            : kind == DURATION                        ? " s"
            : kind == LENGTH                          ? (inches ? " in" : " mm")
            : kind == FILM                            ? " nm"
                                                      : "";
    switch (kind) {
    case TEMPERATURE:
        return oxt_i_kelvin_to(limit, scale);
    case DIFFERENCE:
        return oxt_i_difference_to(limit, scale);
    case LENGTH:
        return limit / (inches ? 0.0254 : 1e-3);
    default:
        return limit;
    }
}

/* ---- sentences ---- */

/* A range of temperature in whole degrees, inwards: -99.67 to 1880.33 F is -99 to 1880 F. */
static void round_inwards(double *low, double *high)
{
    double up = ceil(*low - 1e-6), down = floor(*high + 1e-6);
    if (down > up) {
        *low = up;
        *high = down;
    }
}

static void tell_range(oxt_i_text *text, const oxt_error *error, const oxt_given *given)
{
    quantity kind = quantity_of(field_of(error->parameter));
    const char *unit = "";
    double low = limit_in(kind, given->typed, error->low, &unit);
    double high = limit_in(kind, given->typed, error->high, &unit);
    if (kind == TEMPERATURE && !isnan(error->high))
        round_inwards(&low, &high);
    bool from_nothing = error->low == 0.0 && error->value > 0.0 && kind != TEMPERATURE;
    add_name(text, given, error->parameter);
    oxt_i_text_add(text, " %s ", oxt_i_quoted(given->typed).text);
    if (isnan(error->high))
        oxt_i_text_add(text, "is too low (%s %.6g%s)",
                       error->value == error->low ? "above" : "at least", low, unit);
    else if (from_nothing)
        oxt_i_text_add(text, "is too %s (limit %.6g%s)", kind == DURATION ? "long" : "large", high,
                       unit);
    else if (error->value == error->low)
        oxt_i_text_add(text, "is out of range (above %.6g, up to %.6g%s)", low, high, unit);
    else
        oxt_i_text_add(text, "is out of range (%.6g to %.6g%s)", low, high, unit);
}

/* A marked temperature, and where the message goes on after it. */
static const char *tell_marked(oxt_i_text *text, const char *marked, const oxt_given *given,
                               size_t count, oxt_temperature_unit unit)
{
    char shown[48], parameter[48] = "", *rest;
    const char *end = strchr(marked, OXT_I_MARK_END);
    double temperature_K = oxt_i_strtod(marked + 1, &rest);
    if (!end)
        return marked + strlen(marked);
    size_t length = strcspn(++rest, (const char[]){ OXT_I_MARK_SHOWN, '\0' });
    if (length < sizeof parameter)
        memcpy(parameter, rest, length);
    if (strcmp(parameter, OXT_I_DIFFERENCE) == 0) {
        oxt_i_text_add(text, "%.6g %c", oxt_i_difference_to(temperature_K, unit),
                       oxt_i_unit_letter(unit));
        return end + 1;
    }
    if (oxt_format_temperature(temperature_K, unit, shown, sizeof shown, NULL, NULL))
        oxt_i_snprintf(shown, sizeof shown, "%.6g K", temperature_K);
    const oxt_given *typed = parameter[0] ? find_given(given, count, parameter, temperature_K)
                                          : NULL;
    if (typed) {
        add_name(text, typed, parameter);
        oxt_i_text_add(text, " (%s)", oxt_i_quoted(typed->typed).text);
    } else if (parameter[0]) {
        oxt_i_text_add(text, "%s (%s)", parameter, shown);
    } else {
        oxt_i_text_add(text, "%s", shown);
    }
    return end + 1;
}

static void tell_pattern(oxt_i_text *text, const char *pattern, const oxt_given *given,
                         size_t count, oxt_temperature_unit unit)
{
    while (*pattern) {
        size_t plain = strcspn(pattern, (const char[]){ OXT_I_MARK, '\0' });
        oxt_i_text_add_bytes(text, pattern, plain);
        pattern += plain;
        if (*pattern)
            pattern = tell_marked(text, pattern, given, count, unit);
    }
}

void oxt_error_retell(oxt_error *error, const oxt_given *given, size_t count)
{
    OXT_I_HOLD_TRAPS;
    oxt_i_text text = { 0 };
    oxt_temperature_unit unit = OXT_UNIT_CELSIUS;
    if (!oxt_i_is_writable(error) || error->status == OXT_OK || !given)
        return;
    if (oxt_i_is_marked(error->pattern)) {
        find_scale(given, count, &unit);
        tell_pattern(&text, error->pattern, given, count, unit);
    } else if (strcmp(error->pattern, OXT_I_RANGE) == 0) {
        const oxt_given *typed = find_given(given, count, error->parameter, error->value);
        if (typed)
            tell_range(&text, error, typed);
    }
    if (text.data && text.length > 0 && !text.failed)
        oxt_i_copy_text(error->text, sizeof error->text, text.data);
    oxt_i_text_free(&text);
}
