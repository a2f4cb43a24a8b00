/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Temperatures, durations and lengths to and from text; the only place that does so. */
#include <string.h>

#include "base/internal.h"

/* A unit is value * times / over: both are whole, so that 1000 nm and 25.4 mm are exact. */
typedef struct {
    const char *word;
    double times, over;
} unit_word;

static double in_unit(double value, const unit_word *unit)
{
    return value * unit->times / unit->over;
}

static const char *skip_spaces(const char *text)
{
    while (*text == ' ' || *text == '\t')
        text++;
    return text;
}

static bool is_digit(char letter)
{
    return letter >= '0' && letter <= '9';
}

bool oxt_i_read_number(const char **text, double *value)
{
    const char *start = skip_spaces(*text);
    const char *digits = start + (*start == '-' || *start == '+');
    bool plain = is_digit(digits[0]) || (digits[0] == '.' && is_digit(digits[1]));
    if (!plain || (digits[0] == '0' && (digits[1] == 'x' || digits[1] == 'X')))
        return false;
    char *end;
    *value = oxt_i_strtod(start, &end);
    *text = end;
    return isfinite(*value);
}

/* Copy the word that `text` holds from here to its end, or to the next digit, without spaces
 * around it; false when it is too long to be any unit. */
static bool take_word(const char **text, char word[16])
{
    const char *start = skip_spaces(*text);
    const char *end = start;
    while (*end && !is_digit(*end))
        end++;
    *text = end;
    while (end > start && (end[-1] == ' ' || end[-1] == '\t'))
        end--;
    size_t length = (size_t)(end - start);
    if (length >= 16)
        return false;
    memcpy(word, start, length);
    word[length] = '\0';
    return true;
}

static const unit_word *find_unit(const unit_word *units, size_t count, const char *word)
{
    for (size_t i = 0; i < count; i++)
        if (oxt_i_same_word(units[i].word, word))
            return &units[i];
    return NULL;
}

/* A digit, a comma and a digit: a decimal comma, or one that groups thousands. */
static bool has_comma(const char *text)
{
    const char *comma = strchr(text, ',');
    return comma && comma > text && is_digit(comma[-1]) && is_digit(comma[1]);
}

/* One digit where a clock has two. */
static bool has_short_part(const char *text)
{
    const char *colon = strchr(text, ':');
    for (; colon; colon = strchr(colon + 1, ':'))
        if (is_digit(colon[1]) && !is_digit(colon[2]))
            return true;
    return false;
}

static bool is_in_feet(const char *text)
{
    static const char *const feet[] = { "ft", "foot", "feet", "'" };
    char word[16];
    text = skip_spaces(text);
    if (!is_digit(*text))
        return false;
    text += strspn(text, "0123456789./ \t");
    if (!take_word(&text, word))
        return false;
    for (size_t i = 0; i < OXT_I_COUNT(feet); i++)
        if (oxt_i_same_word(word, feet[i]))
            return true;
    return false;
}

const char *oxt_i_slip(const char *text)
{
    return has_comma(text) ? "a decimal point in place of the comma, and no comma in thousands"
           : has_short_part(text) ? "two digits after the colon, such as 1:05"
           : is_in_feet(text)     ? "inches in place of feet; 1 ft is 12 in"
                                  : NULL;
}

static oxt_status not_a_number(oxt_error *error, const char *parameter, const char *text,
                               const char *example)
{
    const char *slip = oxt_i_slip(text);
    return oxt_i_fail_text(error, OXT_EPARSE, parameter, "cannot read '%s', expected %s",
                           oxt_i_quoted(text).text, slip ? slip : example);
}

static oxt_status no_unit(oxt_error *error, const char *parameter, const char *text,
                          const char *units)
{
    if (oxt_i_slip(text))
        return not_a_number(error, parameter, text, NULL);
    return oxt_i_fail_text(error, OXT_EUNIT, parameter, "'%s' needs a unit: %s",
                           oxt_i_quoted(text).text, units);
}

/* A quantity that a double cannot hold is a failure, never a silent infinity. */
static oxt_status give(double value, const char *parameter, double *result, oxt_error *error)
{
    oxt_status status = oxt_i_check(error, parameter, value, 0.0, HUGE_VAL, OXT_I_CLOSED);
    if (!status)
        *result = value;
    return status;
}

double oxt_i_kelvin_from(double value, oxt_temperature_unit unit)
{
    switch (unit) {
    case OXT_UNIT_CELSIUS:
        return value + 273.15;
    case OXT_UNIT_FAHRENHEIT:
        return (value + 459.67) / 1.8;
    default:
        return value;
    }
}

double oxt_i_kelvin_to(double temperature_K, oxt_temperature_unit unit)
{
    switch (unit) {
    case OXT_UNIT_CELSIUS:
        return temperature_K - 273.15;
    case OXT_UNIT_FAHRENHEIT:
        return temperature_K * 1.8 - 459.67;
    default:
        return temperature_K;
    }
}

double oxt_i_difference_to(double difference_K, oxt_temperature_unit unit)
{
    return unit == OXT_UNIT_FAHRENHEIT ? 1.8 * difference_K : difference_K;
}

/* Skip "deg", "degrees" or a degree sign (U+00B0) before the letter of the scale. */
static const char *skip_degree(const char *text)
{
    static const char *const marks[] = { "degrees", "deg", "\xC2\xB0" };
    text = skip_spaces(text);
    for (size_t i = 0; i < OXT_I_COUNT(marks); i++) {
        size_t length = strlen(marks[i]);
        char start[8] = "";
        strncpy(start, text, length);
        if (oxt_i_same_word(start, marks[i]))
            return skip_spaces(text + length);
    }
    return text;
}

/* "650 F": a number, and the scale that it is on. */
static oxt_status read_degrees(const char *text, const char *parameter, const char *example,
                               double *value, oxt_temperature_unit *unit, oxt_error *error)
{
    static const struct {
        const char *word;
        oxt_temperature_unit unit;
    } scales[] = { { "K", OXT_UNIT_KELVIN },     { "kelvin", OXT_UNIT_KELVIN },
                   { "C", OXT_UNIT_CELSIUS },    { "celsius", OXT_UNIT_CELSIUS },
                   { "F", OXT_UNIT_FAHRENHEIT }, { "fahrenheit", OXT_UNIT_FAHRENHEIT } };
    const char *rest = text;
    if (!oxt_i_read_number(&rest, value))
        return not_a_number(error, parameter, text, example);
    char word[16];
    rest = skip_degree(rest);
    if (!take_word(&rest, word) || *rest)
        word[0] = '\0';
    for (size_t i = 0; i < OXT_I_COUNT(scales); i++)
        if (oxt_i_same_word(word, scales[i].word)) {
            *unit = scales[i].unit;
            return OXT_OK;
        }
    return no_unit(error, parameter, text, "F, C or K");
}

oxt_status oxt_parse_temperature(const char *text, double *temperature_K, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!text || !temperature_K)
        return oxt_i_null(error, text ? "temperature_K" : "text");
    double value;
    oxt_temperature_unit unit;
    oxt_status status = read_degrees(text, "temperature", "a temperature such as 650 F or 343 C",
                                     &value, &unit, error);
    if (status)
        return status;
    double kelvin = oxt_i_kelvin_from(value, unit);
    if (!(kelvin > 0.0))
        return oxt_i_fail(error, OXT_EDOMAIN, "temperature", kelvin, 0.0, NAN,
                          "'%s' is not above absolute zero", oxt_i_quoted(text).text);
    *temperature_K = kelvin;
    return OXT_OK;
}

oxt_status oxt_parse_temperature_difference(const char *text, double *difference_K,
                                            oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!text || !difference_K)
        return oxt_i_null(error, text ? "difference_K" : "text");
    double value;
    oxt_temperature_unit unit;
    oxt_status status = read_degrees(text, "difference", "a difference such as 5 F or 3 C", &value,
                                     &unit, error);
    if (!status)
        *difference_K = unit == OXT_UNIT_FAHRENHEIT ? value / 1.8 : value;
    return status;
}

/* "1:30" and "1:02:30": all but the last part whole numbers; all but the first below 60, and with two
 * digits before any point: "1:5" may stand for 1:05 or for 1:50. */
static bool read_clock(const char *text, double *time_s)
{
    double total = 0.0;
    for (int part = 0; part < 3; part++) {
        double value;
        size_t digits = strspn(text, "0123456789");
        if (digits == 0 || (part > 0 && digits != 2))
            return false;
        if (!oxt_i_read_number(&text, &value) || (part > 0 && value >= 60.0))
            return false;
        total = 60.0 * total + value;
        if (*skip_spaces(text) == '\0') {
            *time_s = total;
            return part > 0;
        }
        if (*text != ':' || value != floor(value))
            return false;
        text++;
    }
    return false;
}

oxt_status oxt_parse_duration(const char *text, double *time_s, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    static const unit_word units[] = {
        { "s", 1, 1 },    { "sec", 1, 1 },   { "second", 1, 1 },  { "seconds", 1, 1 },
        { "min", 60, 1 }, { "mins", 60, 1 }, { "minute", 60, 1 }, { "minutes", 60, 1 },
        { "h", 3600, 1 }, { "hr", 3600, 1 }, { "hour", 3600, 1 }, { "hours", 3600, 1 },
    };
    static const char example[] = "a duration such as 90 s, 1:30 or 2 min";
    if (!text || !time_s)
        return oxt_i_null(error, text ? "time_s" : "text");
    double total = 0.0;
    if (strchr(text, ':') && !read_clock(skip_spaces(text), &total))
        return not_a_number(error, "duration", text, example);
    if (strchr(text, ':'))
        return give(total, "duration", time_s, error);
    const char *rest = text;
    do {
        double value;
        char word[16];
        if (!oxt_i_read_number(&rest, &value))
            return not_a_number(error, "duration", text, example);
        const unit_word *unit = take_word(&rest, word) ? find_unit(units, OXT_I_COUNT(units), word)
                                                       : NULL;
        if (!unit)
            return no_unit(error, "duration", text, "s, min or h");
        if (value < 0.0)
            return oxt_i_fail(error, OXT_EDOMAIN, "duration", in_unit(value, unit), 0.0, NAN,
                              "'%s' is negative, expected 0 or more", oxt_i_quoted(text).text);
        total += in_unit(value, unit);
    } while (*rest);
    return give(total, "duration", time_s, error);
}

/* "0.25", "1/4" and "1 1/4". */
static bool read_fraction(const char **text, double *value)
{
    double second, third;
    if (!oxt_i_read_number(text, value))
        return false;
    const char *rest = skip_spaces(*text);
    double whole = 0.0;
    if (is_digit(*rest)) {
        whole = *value;
        if (!oxt_i_read_number(&rest, &second) || *rest != '/')
            return false;
        *value = second;
    }
    if (*rest == '/') {
        rest++;
        if (!is_digit(*rest) || !oxt_i_read_number(&rest, &third) || third == 0.0)
            return false;
        *value = whole + *value / third;
        *text = rest;
    }
    return true;
}

oxt_status oxt_parse_length(const char *text, double *length_m, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    static const unit_word units[] = {
        { "nm", 1, 1e9 },        { "um", 1, 1e6 },   { "\xC2\xB5m", 1, 1e6 },
        { "\xCE\xBCm", 1, 1e6 }, { "mm", 1, 1e3 },   { "cm", 1, 1e2 },
        { "m", 1, 1 },           { "in", 254, 1e4 }, { "inch", 254, 1e4 },
        { "inches", 254, 1e4 },  { "\"", 254, 1e4 },
    };
    if (!text || !length_m)
        return oxt_i_null(error, text ? "length_m" : "text");
    const char *rest = text;
    double value;
    if (!read_fraction(&rest, &value))
        return not_a_number(error, "length", text, "a length such as 6 mm, 0.25 in or 1/4 in");
    char word[16];
    bool whole = take_word(&rest, word) && *rest == '\0';
    const unit_word *unit = whole ? find_unit(units, OXT_I_COUNT(units), word) : NULL;
    if (!unit)
        return no_unit(error, "length", text, "mm, cm, m, um, nm or in");
    if (value < 0.0)
        return oxt_i_fail(error, OXT_EDOMAIN, "length", in_unit(value, unit), 0.0, NAN,
                          "'%s' is negative, expected 0 or more", oxt_i_quoted(text).text);
    return give(in_unit(value, unit), "length", length_m, error);
}

/* Write a number with at most `decimals` decimals, no trailing zeros and no "-0". */
static void write_short(double value, int decimals, char *buffer, size_t capacity)
{
    oxt_i_snprintf(buffer, capacity, "%.*f", decimals, value);
    if (!strchr(buffer, '.'))
        return;
    size_t length = strlen(buffer);
    while (buffer[length - 1] == '0')
        length--;
    if (buffer[length - 1] == '.')
        length--;
    buffer[length] = '\0';
    if (strcmp(buffer, "-0") == 0)
        memcpy(buffer, "0", 2);
}

char oxt_i_unit_letter(oxt_temperature_unit unit)
{
    return "KCF"[unit];
}

oxt_status oxt_format_temperature(double temperature_K, oxt_temperature_unit unit, char *buffer,
                                  size_t capacity, size_t *needed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_status status = oxt_i_check(error, "temperature_K", temperature_K, 0.0, 1e6,
                                    OXT_I_OPEN_LOW);
    if (!status)
        status = oxt_i_check_choice("unit", (int)unit, OXT_UNIT_FAHRENHEIT, error);
    if (status)
        return status;
    char number[40], text[48];
    write_short(oxt_i_kelvin_to(temperature_K, unit), 1, number, sizeof number);
    oxt_i_snprintf(text, sizeof text, "%s %c", number, oxt_i_unit_letter(unit));
    return oxt_i_emit(text, buffer, capacity, needed, error);
}

oxt_status oxt_format_duration(double time_s, char *buffer, size_t capacity, size_t *needed,
                               oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!(time_s >= 0.0))
        return oxt_i_fail(error, OXT_EDOMAIN, "time_s", time_s, 0.0, NAN,
                          "time_s is %g, expected at least 0", time_s);
    char text[40];
    long long whole = llround(fmin(time_s, OXT_TIME_HIGH_S));
    if (time_s > OXT_TIME_HIGH_S) {
        oxt_i_copy_text(text, sizeof text, "over 11 days"); /* an upper limit of few coupons */
    } else if (time_s < 9.95) {
        char number[24];
        write_short(time_s, 1, number, sizeof number);
        oxt_i_snprintf(text, sizeof text, "%s s", number);
    } else if (whole < 60) {
        oxt_i_snprintf(text, sizeof text, "%lld s", whole);
    } else if (whole < 3600) {
        oxt_i_snprintf(text, sizeof text, "%lld:%02lld", whole / 60, whole % 60);
    } else {
        oxt_i_snprintf(text, sizeof text, "%lld:%02lld:%02lld", whole / 3600, whole / 60 % 60,
                       whole % 60);
    }
    return oxt_i_emit(text, buffer, capacity, needed, error);
}

oxt_status oxt_format_length(double length_m, oxt_length_unit unit, char *buffer, size_t capacity,
                             size_t *needed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_status status = oxt_i_check(error, "length_m", length_m, 0.0, 1e6, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check_choice("unit", (int)unit, OXT_UNIT_INCH, error);
    if (status)
        return status;
    char number[40], text[48];
    write_short(unit == OXT_UNIT_INCH ? length_m / 0.0254 : length_m * 1e3, 3, number,
                sizeof number);
    oxt_i_snprintf(text, sizeof text, "%s %s", number, unit == OXT_UNIT_INCH ? "in" : "mm");
    return oxt_i_emit(text, buffer, capacity, needed, error);
}

oxt_status oxt_i_check_bath(double bath_K, oxt_error *error)
{
    if (bath_K >= OXT_BATH_LOW_K && bath_K <= OXT_BATH_HIGH_K)
        return OXT_OK;
    oxt_status status = oxt_i_fail(error, OXT_EDOMAIN, "bath_K", bath_K, OXT_BATH_LOW_K,
                                   OXT_BATH_HIGH_K, "bath_K is %g, expected " OXT_I_BATH_EXPECTED,
                                   bath_K);
    return oxt_i_out_of_range(status, error);
}

oxt_i_marked oxt_i_mark(double temperature_K, const char *parameter)
{
    oxt_i_marked marked;
    char told[48];
    const char *name = parameter ? parameter : "";
    if (oxt_format_temperature(temperature_K, OXT_UNIT_CELSIUS, told, sizeof told, NULL, NULL))
        oxt_i_snprintf(told, sizeof told, "%.6g K", temperature_K);
    oxt_i_snprintf(marked.text, sizeof marked.text, "%c%.6f %s%c%s%s%s%s%c", OXT_I_MARK,
                   temperature_K, name, OXT_I_MARK_SHOWN, name, parameter ? " (" : "", told,
                   parameter ? ")" : "", OXT_I_MARK_END);
    return marked;
}

oxt_i_marked oxt_i_mark_difference(double difference_K)
{
    oxt_i_marked marked;
    oxt_i_snprintf(marked.text, sizeof marked.text, "%c%.6f " OXT_I_DIFFERENCE "%c%.6g K%c",
                   OXT_I_MARK, difference_K, OXT_I_MARK_SHOWN, difference_K, OXT_I_MARK_END);
    return marked;
}

oxt_status oxt_i_check_order(oxt_error *error, double low_K, double high_K, bool blames_high)
{
    if (!(low_K > high_K))
        return OXT_OK;
    return oxt_i_fail(error, OXT_EDOMAIN, blames_high ? "high_K" : "low_K",
                      blames_high ? high_K : low_K, blames_high ? low_K : OXT_BATH_LOW_K,
                      blames_high ? OXT_BATH_HIGH_K : high_K, "%s must be below %s",
                      oxt_i_mark(low_K, "low_K").text, oxt_i_mark(high_K, "high_K").text);
}

/* ---- as reports show them ---- */

oxt_i_shown oxt_i_show_time(double time_s)
{
    oxt_i_shown shown = { "" };
    oxt_format_duration(time_s, shown.text, sizeof shown.text, NULL, NULL);
    return shown;
}

oxt_i_shown oxt_i_show_factor(double factor)
{
    oxt_i_shown shown;
    oxt_i_snprintf(shown.text, sizeof shown.text, "%.*f", factor < 9.95 ? 1 : 0, factor);
    return shown;
}

oxt_i_shown oxt_i_show_change(double ratio, int decimals, const char *const words[4])
{
    oxt_i_shown shown;
    bool less = ratio < 1.0;
    double factor = less ? 1.0 / ratio : ratio, per_cent = 100.0 * fabs(ratio - 1.0);
    if (per_cent < 0.05)
        oxt_i_snprintf(shown.text, sizeof shown.text, "as %s", words[1]);
    else if (factor <= 2.0)
        oxt_i_snprintf(shown.text, sizeof shown.text, "%.*f %% %s", per_cent < 0.95 ? 1 : decimals,
                       per_cent, words[less ? 2 : 0]);
    else
        oxt_i_snprintf(shown.text, sizeof shown.text, "%s times as %s",
                       oxt_i_show_factor(factor).text, words[less ? 3 : 1]);
    return shown;
}

oxt_i_shown oxt_i_show_temperature(double temperature_K, oxt_temperature_unit unit)
{
    oxt_i_shown shown = { "" };
    oxt_format_temperature(temperature_K, unit, shown.text, sizeof shown.text, NULL, NULL);
    return shown;
}

oxt_i_shown oxt_i_show_difference(double difference_K, oxt_temperature_unit unit)
{
    oxt_i_shown shown;
    oxt_i_snprintf(shown.text, sizeof shown.text, "%.1f %c",
                   oxt_i_difference_to(difference_K, unit), oxt_i_unit_letter(unit));
    return shown;
}
