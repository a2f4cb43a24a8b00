/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sentences for whoever reads a result. */
#include <stdlib.h>
#include <string.h>

#include "fit/fit.h"

void oxt_i_warn(oxt_i_warnings *warnings, const char *code, double number, const char *format, ...)
{
    va_list list;
    va_start(list, format);
    int length = oxt_i_vsnprintf(NULL, 0, format, list);
    va_end(list);
    char *sentence = length < 0 ? NULL : malloc((size_t)length + 1);
    struct oxt_i_warning *all = realloc(warnings->list, (warnings->count + 1) * sizeof *all);
    if (all)
        warnings->list = all;
    if (!sentence || !all) {
        free(sentence);
        warnings->failed = true;
        return;
    }
    va_start(list, format);
    oxt_i_vsnprintf(sentence, (size_t)length + 1, format, list);
    va_end(list);
    all[warnings->count++] = (struct oxt_i_warning){ code, number, sentence, NAN };
}

oxt_i_shown oxt_i_both_scales(double bath_K)
{
    oxt_i_shown both;
    oxt_i_snprintf(both.text, sizeof both.text, "%s (%s)",
                   oxt_i_show_temperature(bath_K, OXT_UNIT_CELSIUS).text,
                   oxt_i_show_temperature(bath_K, OXT_UNIT_FAHRENHEIT).text);
    return both;
}

void oxt_i_warned_of(oxt_i_warnings *warnings, double bath_K)
{
    if (!warnings->failed)
        warnings->list[warnings->count - 1].bath_K = bath_K;
}

void oxt_i_warnings_free(oxt_i_warnings *warnings)
{
    for (size_t i = 0; i < warnings->count; i++)
        free(warnings->list[i].text);
    free(warnings->list);
}

oxt_status oxt_i_warnings_give(const oxt_i_warnings *warnings, size_t index, char *buffer,
                               size_t capacity, size_t *needed, oxt_error *error)
{
    oxt_status status = oxt_i_check_index(error, index, warnings->count);
    return status ? status
                  : oxt_i_emit(warnings->list[index].text, buffer, capacity, needed, error);
}

static void add_warning(oxt_i_text *text, const struct oxt_i_warning *warning,
                        oxt_temperature_unit unit)
{
    oxt_i_shown both = { "" };
    if (!isnan(warning->bath_K))
        both = oxt_i_both_scales(warning->bath_K);
    const char *place = both.text[0] ? strstr(warning->text, both.text) : NULL;
    if (!place) {
        oxt_i_text_add_item(text, warning->text);
        return;
    }
    oxt_i_text one = { 0 };
    oxt_i_text_add(&one, "%.*s%s%s", (int)(place - warning->text), warning->text,
                   oxt_i_show_temperature(warning->bath_K, unit).text, place + strlen(both.text));
    text->failed = one.failed || text->failed;
    if (!one.failed)
        oxt_i_text_add_item(text, one.data);
    oxt_i_text_free(&one);
}

void oxt_i_text_add_warnings(oxt_i_text *text, const oxt_i_warnings *warnings,
                             oxt_temperature_unit unit)
{
    oxt_i_text_add(text, "Warnings\n%s", warnings->count ? "" : "  none\n");
    for (size_t i = 0; i < warnings->count; i++)
        add_warning(text, &warnings->list[i], unit);
}

json_t *oxt_i_warnings_json(const oxt_i_warnings *warnings, bool *good)
{
    json_t *list = json_array();
    for (size_t i = 0; i < warnings->count; i++) {
        const struct oxt_i_warning *warning = &warnings->list[i];
        json_t *one = json_object();
        oxt_i_json_put(one, "code", json_string(warning->code), good);
        oxt_i_json_put(one, "number", oxt_i_json_number(warning->number), good);
        oxt_i_json_put(one, "text", json_string(warning->text), good);
        oxt_i_json_append(list, one, good);
    }
    return list;
}
