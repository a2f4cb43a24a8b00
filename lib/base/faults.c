/* SPDX-License-Identifier: GPL-3.0-or-later */
/* All faults of one file. */
#include <stdlib.h>
#include <string.h>

#include "base/csv_table.h"
#include "base/intern.h"

#define MOST_FAULTS 1000 /* kept; further ones are only counted */

struct oxt_faults {
    size_t count, kept, capacity;
    oxt_fault *list;
};

size_t oxt_faults_count(const oxt_faults *faults)
{
    return faults ? faults->count : 0;
}

oxt_status oxt_faults_get(const oxt_faults *faults, size_t index, oxt_fault *fault,
                          oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!faults || !fault)
        return oxt_i_null(error, faults ? "fault" : "faults");
    oxt_status status = oxt_i_check_index(error, index, faults->kept);
    return status ? status
                  : OXT_I_STRUCT_OUT(oxt_fault, fault, &faults->list[index], "fault", error);
}

void oxt_faults_free(oxt_faults *faults)
{
    if (!faults)
        return;
    free(faults->list);
    free(faults);
}

static void describe(oxt_i_text *text, const oxt_fault *fault)
{
    if (fault->line)
        oxt_i_text_add(text, "line %zu, ", fault->line);
    else if (fault->row)
        oxt_i_text_add(text, "row %zu, ", fault->row);
    if (fault->column[0])
        oxt_i_text_add(text, "column %s: ", fault->column);
    oxt_i_text_add(text, "found %s%s%s, expected %s", fault->found[0] ? "'" : "",
                   fault->found[0] ? fault->found : "nothing", fault->found[0] ? "'" : "",
                   fault->expected);
}

oxt_status oxt_faults_report(const oxt_faults *faults, char *buffer, size_t capacity,
                             size_t *needed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!faults)
        return oxt_i_null(error, "faults");
    oxt_i_text text = { 0 };
    for (size_t i = 0; i < faults->kept; i++) {
        describe(&text, &faults->list[i]);
        oxt_i_text_add(&text, "\n");
    }
    if (faults->count > faults->kept)
        oxt_i_text_add(&text, "and %zu more\n", faults->count - faults->kept);
    return oxt_i_emit_text(&text, buffer, capacity, needed, error);
}

/* ---- for the reader ---- */

oxt_faults *oxt_i_faults_new(void)
{
    return calloc(1, sizeof(oxt_faults));
}

bool oxt_i_faults_add(oxt_faults *faults, const oxt_fault *fault)
{
    faults->count++;
    if (faults->kept == MOST_FAULTS)
        return true;
    if (!oxt_i_grow(&faults->list, &faults->capacity, faults->kept + 1, sizeof *faults->list))
        return false;
    faults->list[faults->kept++] = *fault;
    return true;
}

void oxt_i_faults_cut(oxt_faults *faults, size_t count)
{
    faults->count = count < faults->count ? count : faults->count;
    faults->kept = count < faults->kept ? count : faults->kept;
}

oxt_status oxt_i_faults_error(const oxt_faults *faults, const char *path, oxt_error *error)
{
    const oxt_fault *first = &faults->list[0];
    oxt_i_text text = { 0 };
    describe(&text, first);
    const char *sentence = text.failed ? "" : text.data;
    if (faults->count == 1)
        oxt_i_fail_text(error, OXT_EPARSE, path, "%s: %s", path, sentence);
    else
        oxt_i_fail_text(error, OXT_EPARSE, path, "%s: %zu faults, the first: %s", path,
                        faults->count, sentence);
    oxt_i_text_free(&text);
    oxt_i_locate(error, first->line ? first->line : first->row, first->column);
    return OXT_EPARSE;
}
