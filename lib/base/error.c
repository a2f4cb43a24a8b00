/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <string.h>

#include "oxtint/version.h"
#include "base/internal.h"

#define TEXT_OF(number) TEXT_OF_(number)
#define TEXT_OF_(number) #number

const char *oxt_version(void)
{
    return TEXT_OF(OXT_VERSION_MAJOR) "." TEXT_OF(OXT_VERSION_MINOR) "." TEXT_OF(OXT_VERSION_PATCH);
}

const char *oxt_status_name(int status)
{
    switch (status) {
#define NAME_CASE(symbol, number, sentence) \
    case number:                            \
        return #symbol;
        OXT_STATUS_LIST(NAME_CASE)
#undef NAME_CASE
    default:
        return "OXT_?";
    }
}

/* ---- failing ---- */

bool oxt_i_is_writable(const oxt_error *error)
{
    return error && error->struct_size >= OXT_I_FIRST_oxt_error;
}

oxt_status oxt_i_fail(oxt_error *error, oxt_status status, const char *parameter, double value,
                      double low, double high, const char *format, ...)
{
    if (!oxt_i_is_writable(error))
        return status;
    char text[sizeof error->text + 256], plain[sizeof text];
    va_list list;
    va_start(list, format);
    oxt_i_vsnprintf(text, sizeof text, format, list);
    va_end(list);
    oxt_i_copy_plain(plain, sizeof plain, text);
    error->status = status;
    error->value = value;
    error->low = low;
    error->high = high;
    error->row = 0;
    error->column[0] = error->pattern[0] = '\0';
    if (oxt_i_is_marked(text))
        oxt_i_copy_text(error->pattern, sizeof error->pattern, text);
    oxt_i_copy_text(error->parameter, sizeof error->parameter, parameter);
    oxt_i_copy_text(error->text, sizeof error->text, plain);
    return status;
}

oxt_status oxt_i_no_memory(oxt_error *error)
{
    return oxt_i_fail_text(error, OXT_ENOMEM, "", "memory ran out");
}

oxt_status oxt_i_progress(oxt_progress_function progress, void *user, double done, oxt_error *error)
{
    return progress && progress(done, user) != 0 ? oxt_i_stopped(error) : OXT_OK;
}

oxt_status oxt_i_stopped(oxt_error *error)
{
    return oxt_i_fail_text(error, OXT_ECANCEL, "progress", "the call was stopped");
}

oxt_status oxt_i_null(oxt_error *error, const char *parameter)
{
    return oxt_i_fail_text(error, OXT_EARG, parameter, "%s is NULL", parameter);
}

oxt_status oxt_i_check_index(oxt_error *error, size_t index, size_t count)
{
    if (index < count)
        return OXT_OK;
    if (count == 0)
        return oxt_i_fail(error, OXT_EARG, "index", (double)index, NAN, NAN,
                          "index is %zu, but there are none", index);
    return oxt_i_fail(error, OXT_EARG, "index", (double)index, 0.0, (double)count - 1.0,
                      "index is %zu, expected below %zu", index, count);
}

oxt_status oxt_i_out_of_range(oxt_status status, oxt_error *error)
{
    if (status == OXT_EDOMAIN && oxt_i_is_writable(error))
        oxt_i_copy_text(error->pattern, sizeof error->pattern, OXT_I_RANGE);
    return status;
}

static oxt_status fail_range(oxt_error *error, const char *parameter, double value, double low,
                             double high, oxt_i_ends ends)
{
    const char *from = ends == OXT_I_OPEN_LOW ? "above" : "at least";
    if (isinf(low) && isinf(high))
        return oxt_i_fail(error, OXT_EDOMAIN, parameter, value, NAN, NAN,
                          "%s is %g, expected a finite number", parameter, value);
    if (isinf(high))
        return oxt_i_fail(error, OXT_EDOMAIN, parameter, value, low, NAN,
                          "%s is %g, expected a finite number %s %g", parameter, value, from, low);
    return oxt_i_fail(error, OXT_EDOMAIN, parameter, value, low, high,
                      "%s is %g, expected %s %g and at most %g", parameter, value, from, low, high);
}

oxt_status oxt_i_check(oxt_error *error, const char *parameter, double value, double low,
                       double high, oxt_i_ends ends)
{
    bool above = ends == OXT_I_OPEN_LOW ? value > low : value >= low;
    if (isfinite(value) && above && value <= high)
        return OXT_OK;
    return oxt_i_out_of_range(fail_range(error, parameter, value, low, high, ends), error);
}

oxt_status oxt_i_check_choice(const char *name, int choice, int last, oxt_error *error)
{
    if (choice >= 0 && choice <= last)
        return OXT_OK;
    return oxt_i_fail(error, OXT_EARG, name, choice, 0.0, last, "%s is %d, expected 0 to %d", name,
                      choice, last);
}

oxt_status oxt_i_check_all(oxt_error *error, const oxt_i_limit *limits, size_t count)
{
    oxt_status status = OXT_OK;
    for (const oxt_i_limit *at = limits; at < limits + count && !status; at++)
        status = oxt_i_check(error, at->parameter, at->value, at->low, at->high, at->ends);
    return status;
}

oxt_status oxt_i_check_three(oxt_error *error, const char *parameter, const double three[3],
                             double low, double high, oxt_i_ends ends)
{
    if (!three)
        return oxt_i_null(error, parameter);
    oxt_status status = OXT_OK;
    for (int i = 0; i < 3 && !status; i++)
        status = oxt_i_check(error, parameter, three[i], low, high, ends);
    return status;
}

void oxt_i_locate(oxt_error *error, size_t row, const char *column)
{
    if (!oxt_i_is_writable(error))
        return;
    error->row = row;
    if (column)
        oxt_i_copy_text(error->column, sizeof error->column, column);
}

static size_t stated_size(const void *structure)
{
    size_t size;
    memcpy(&size, structure, sizeof size);
    return size;
}

static oxt_status check_size(size_t size, size_t first, const char *name, oxt_error *error)
{
    /* Far above any struct of ours: never initialised. */
    static const size_t ABSURD = 65536;
    if (size >= first && size <= ABSURD)
        return OXT_OK;
    return oxt_i_fail(error, OXT_EARG, name, (double)size, (double)first, NAN,
                      "%s has struct_size %zu, expected at least %zu: start it with its "
                      "OXT_..._INIT",
                      name, size, first);
}

oxt_status oxt_i_check_struct(const void *from, size_t known, size_t first, const char *name,
                              oxt_error *error)
{
    size_t size = stated_size(from);
    oxt_status status = check_size(size, first, name, error);
    if (status)
        return status;
    for (size_t i = known; i < size; i++)
        if (((const char *)from)[i] != 0)
            return oxt_i_fail_text(error, OXT_EARG, name,
                                   "%s sets a field that this version of oxtint (%s) does not know",
                                   name, oxt_version());
    return OXT_OK;
}

oxt_status oxt_i_struct_in(void *into, const void *from, size_t known, size_t first,
                           const char *name, oxt_error *error)
{
    oxt_status status = oxt_i_check_struct(from, known, first, name, error);
    if (status)
        return status;
    size_t size = stated_size(from);
    memcpy(into, from, size < known ? size : known);
    memcpy(into, &known, sizeof known);
    return OXT_OK;
}

oxt_status oxt_i_struct_out(void *into, const void *from, size_t known, size_t first,
                            const char *name, oxt_error *error)
{
    size_t size = stated_size(into);
    oxt_status status = check_size(size, first, name, error);
    if (status)
        return status;
    memcpy(into, from, size < known ? size : known);
    memcpy(into, &size, sizeof size);
    return OXT_OK;
}

oxt_status oxt_i_check_elements(const void *elements, size_t count, size_t first, const char *name,
                                oxt_error *error)
{
    size_t stride = count ? stated_size(elements) : 0;
    for (size_t i = 0; i < count; i++) {
        size_t size = stated_size((const char *)elements + i * stride);
        if (size != stride || stride < first || stride > 65536)
            return oxt_i_fail(error, OXT_EARG, name, (double)size, (double)first, NAN,
                              "struct_size of %s is %zu, expected at least %zu, alike for all; "
                              "start each with its OXT_..._INIT",
                              name, size, first);
    }
    return OXT_OK;
}

oxt_status oxt_i_structs_out(void *into, const void *from, size_t count, size_t known, size_t first,
                             const char *name, oxt_error *error)
{
    oxt_status status = oxt_i_check_elements(into, count, first, name, error);
    size_t stride = count ? stated_size(into) : 0;
    for (size_t i = 0; i < count && !status; i++)
        status = oxt_i_struct_out((char *)into + i * stride, (const char *)from + i * known, known,
                                  first, name, error);
    return status;
}

void oxt_i_tally_failure(oxt_i_tally *tally, oxt_status status, const oxt_error *detail,
                         size_t index)
{
    tally->failed++;
    if (tally->status)
        return;
    tally->status = status;
    if (oxt_i_is_writable(tally->error)) {
        OXT_I_STRUCT_OUT(oxt_error, tally->error, detail, "error", NULL);
        tally->error->row = index + 1;
        tally->error->pattern[0] = '\0'; /* the sentence begins with the element */
        oxt_i_snprintf(tally->error->text, sizeof tally->error->text, "element %zu: %s", index + 1,
                       detail->text);
    }
}

/* ---- texts for the caller ---- */

oxt_status oxt_i_take_text(char *into, size_t capacity, const char *text, const char *parameter,
                           oxt_error *error)
{
    size_t length = strlen(text);
    if (length >= capacity)
        return oxt_i_fail(error, OXT_EARG, parameter, (double)length, 0.0, (double)capacity - 1.0,
                          "%s is longer than %zu bytes", parameter, capacity - 1);
    if (!oxt_i_is_utf8(text, length))
        return oxt_i_fail_text(error, OXT_EPARSE, parameter, "%s is not UTF-8", parameter);
    memcpy(into, text, length + 1);
    return OXT_OK;
}

oxt_status oxt_i_emit(const char *text, char *buffer, size_t capacity, size_t *needed,
                      oxt_error *error)
{
    size_t length = strlen(text);
    if (needed)
        *needed = length;
    if (!buffer && capacity == 0)
        return OXT_OK;
    if (!buffer)
        return oxt_i_null(error, "buffer");
    if (length < capacity) {
        memcpy(buffer, text, length + 1);
        return OXT_OK;
    }
    oxt_i_copy_text(buffer, capacity, text);
    return oxt_i_fail(error, OXT_ESPACE, "capacity", (double)capacity, (double)length + 1, NAN,
                      "the text needs a buffer of %zu bytes, capacity is %zu", length + 1,
                      capacity);
}

oxt_status oxt_i_emit_text(oxt_i_text *text, char *buffer, size_t capacity, size_t *needed,
                           oxt_error *error)
{
    oxt_status status = text->failed ? oxt_i_no_memory(error)
                                     : oxt_i_emit(text->data ? text->data : "", buffer, capacity,
                                                  needed, error);
    oxt_i_text_free(text);
    return status;
}
