/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sentences for whoever reads a result. */
#include <stdlib.h>

#include "fit/fit.h"

void oxt_i_warn(oxt_i_warnings *warnings, const char *format, ...)
{
    va_list list;
    va_start(list, format);
    int length = oxt_i_vsnprintf(NULL, 0, format, list);
    va_end(list);
    char *sentence = length < 0 ? NULL : malloc((size_t)length + 1);
    char **texts = realloc(warnings->texts, (warnings->count + 1) * sizeof *texts);
    if (texts)
        warnings->texts = texts;
    if (!sentence || !texts) {
        free(sentence);
        warnings->failed = true;
        return;
    }
    va_start(list, format);
    oxt_i_vsnprintf(sentence, (size_t)length + 1, format, list);
    va_end(list);
    texts[warnings->count++] = sentence;
}

void oxt_i_warnings_free(oxt_i_warnings *warnings)
{
    for (size_t i = 0; i < warnings->count; i++)
        free(warnings->texts[i]);
    free(warnings->texts);
}

oxt_status oxt_i_warnings_give(const oxt_i_warnings *warnings, size_t index, char *buffer,
                               size_t capacity, size_t *needed, oxt_error *error)
{
    oxt_status status = oxt_i_check_index(error, index, warnings->count);
    return status ? status : oxt_i_emit(warnings->texts[index], buffer, capacity, needed, error);
}

void oxt_i_text_add_warnings(oxt_i_text *text, const oxt_i_warnings *warnings)
{
    oxt_i_text_add(text, "Warnings\n%s", warnings->count ? "" : "  none\n");
    for (size_t i = 0; i < warnings->count; i++)
        oxt_i_text_add_item(text, warnings->texts[i]);
}
