/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tables of complex index against wavelength. */
#include "optics/material.h"

#include <stdlib.h>
#include <string.h>

#define MOST_ROWS 10000

static const struct {
    const char *name;
    const oxt_i_index *rows;
    size_t count;
} published[] = {
    { "iron", oxt_i_iron, OXT_I_IRON_COUNT },
    { "chromium", oxt_i_chromium, OXT_I_CHROMIUM_COUNT },
    { "magnetite", oxt_i_magnetite, OXT_I_MAGNETITE_COUNT },
    { "hematite", oxt_i_hematite, OXT_I_HEMATITE_COUNT },
};

static oxt_status make(oxt_material **material, const char *name, size_t count, oxt_error *error)
{
    oxt_material *made = malloc(sizeof *made + count * sizeof *made->rows);
    if (!made)
        return oxt_i_no_memory(error);
    oxt_i_copy_text(made->name, sizeof made->name, name);
    made->count = count;
    *material = made;
    return OXT_OK;
}

static oxt_status make_published(oxt_material **material, const char *name, oxt_error *error)
{
    for (size_t i = 0; i < OXT_I_COUNT(published); i++)
        if (strcmp(published[i].name, name) == 0) {
            oxt_status status = make(material, name, published[i].count, error);
            if (!status)
                memcpy((*material)->rows, published[i].rows,
                       published[i].count * sizeof *published[i].rows);
            return status;
        }
    return oxt_i_fail_text(error, OXT_EARG, "name",
                           "name is '%s', expected iron, chromium, magnetite or hematite, or a "
                           "table of n and k",
                           oxt_i_quoted(name).text);
}

/* The rows must rise, from 380 nm or below to 780 nm or above; an error has the row at fault, from 1. */
static oxt_status check_rows(size_t count, const double *wavelength_nm, const double *n,
                             const double *k, oxt_error *error)
{
    oxt_status status = OXT_OK;
    for (size_t i = 0; i < count && !status; i++) {
        double least = i == 0 ? 0.0 : wavelength_nm[i - 1];
        const oxt_i_limit limits[] = {
            { "wavelength_nm", wavelength_nm[i], least, i == 0 ? OXT_WAVELENGTH_LOW_NM : HUGE_VAL,
              OXT_I_OPEN_LOW },
            { "n", n[i], 0.0, 100.0, OXT_I_OPEN_LOW },
            { "k", k[i], 0.0, 100.0, OXT_I_CLOSED },
        };
        status = oxt_i_check_all(error, limits, OXT_I_COUNT(limits));
        if (!status && i == count - 1)
            status = oxt_i_check(error, "wavelength_nm", wavelength_nm[i], OXT_WAVELENGTH_HIGH_NM,
                                 HUGE_VAL, OXT_I_CLOSED);
        if (status)
            oxt_i_locate(error, i + 1, NULL);
    }
    return status;
}

oxt_status oxt_material_new(oxt_material **material, const char *name, size_t count,
                            const double *wavelength_nm, const double *n, const double *k,
                            oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!material)
        return oxt_i_null(error, "material");
    *material = NULL;
    if (!name)
        return oxt_i_null(error, "name");
    if (count == 0 && !wavelength_nm && !n && !k)
        return make_published(material, name, error);
    if (!wavelength_nm || !n || !k)
        return oxt_i_null(error, !wavelength_nm ? "wavelength_nm" : !n ? "n" : "k");
    size_t length = strlen(name);
    if (length == 0 || length >= sizeof(*material)->name || !oxt_i_is_utf8(name, length))
        return oxt_i_fail(error, OXT_EARG, "name", (double)length, 1.0, 31.0,
                          "name is %zu bytes long, expected 1 to 31 bytes of UTF-8", length);
    oxt_status status = oxt_i_check(error, "count", (double)count, 2.0, MOST_ROWS, OXT_I_CLOSED);
    if (!status)
        status = check_rows(count, wavelength_nm, n, k, error);
    if (!status)
        status = make(material, name, count, error);
    for (size_t i = 0; i < count && !status; i++)
        (*material)->rows[i] = (oxt_i_index){ wavelength_nm[i], n[i], k[i] };
    return status;
}

void oxt_material_free(oxt_material *material)
{
    free(material);
}

oxt_i_index oxt_i_index_at(const oxt_material *material, double wavelength_nm)
{
    const oxt_i_index *rows = material->rows;
    size_t low = 0, high = material->count - 1;
    while (high - low > 1) {
        size_t middle = (low + high) / 2;
        if (rows[middle].wavelength_nm <= wavelength_nm)
            low = middle;
        else
            high = middle;
    }
    double share = (wavelength_nm - rows[low].wavelength_nm) /
                   (rows[high].wavelength_nm - rows[low].wavelength_nm);
    return (oxt_i_index){ wavelength_nm, rows[low].n + share * (rows[high].n - rows[low].n),
                          rows[low].k + share * (rows[high].k - rows[low].k) };
}

oxt_status oxt_material_index(const oxt_material *material, double wavelength_nm, double *n,
                              double *k, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!material || !n || !k)
        return oxt_i_null(error, !material ? "material" : !n ? "n" : "k");
    oxt_status status = oxt_i_check(error, "wavelength_nm", wavelength_nm, OXT_WAVELENGTH_LOW_NM,
                                    OXT_WAVELENGTH_HIGH_NM, OXT_I_CLOSED);
    if (status)
        return status;
    oxt_i_index found = oxt_i_index_at(material, wavelength_nm);
    *n = found.n;
    *k = found.k;
    return OXT_OK;
}

oxt_status oxt_i_material_copy(oxt_material **copy, const oxt_material *material, oxt_error *error)
{
    oxt_status status = make(copy, material->name, material->count, error);
    if (!status)
        memcpy((*copy)->rows, material->rows, material->count * sizeof *material->rows);
    return status;
}
