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
} substances[] = {
    [OXT_MATERIAL_IRON] = { "iron", oxt_i_iron, OXT_I_IRON_COUNT },
    [OXT_MATERIAL_CHROMIUM] = { "chromium", oxt_i_chromium, OXT_I_CHROMIUM_COUNT },
    [OXT_MATERIAL_MAGNETITE] = { "magnetite", oxt_i_magnetite, OXT_I_MAGNETITE_COUNT },
    [OXT_MATERIAL_HEMATITE] = { "hematite", oxt_i_hematite, OXT_I_HEMATITE_COUNT },
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

oxt_status oxt_material_new(oxt_material **material, oxt_material_kind substance, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!material)
        return oxt_i_null(error, "material");
    *material = NULL;
    if ((int)substance < 0 || (size_t)substance >= OXT_I_COUNT(substances))
        return oxt_i_fail(error, OXT_EARG, "substance", substance, OXT_MATERIAL_IRON,
                          OXT_MATERIAL_HEMATITE,
                          "substance is %d, expected one of oxt_material_kind", (int)substance);
    size_t count = substances[substance].count;
    oxt_status status = make(material, substances[substance].name, count, error);
    if (!status)
        memcpy((*material)->rows, substances[substance].rows, count * sizeof *(*material)->rows);
    return status;
}

/* Name the row, from 1, at which a table is at fault. */
static oxt_status at_row(oxt_error *error, oxt_status status, size_t row)
{
    oxt_i_locate(error, row, NULL);
    return status;
}

static oxt_status check_rows(size_t count, const double *wavelength_nm, const double *n,
                             const double *k, oxt_error *error)
{
    for (size_t i = 0; i < count; i++) {
        oxt_status status = i == 0 ? oxt_i_check(error, "wavelength_nm", wavelength_nm[0], 0.0,
                                                 OXT_WAVELENGTH_LOW_NM, OXT_I_OPEN_LOW)
                                   : oxt_i_check(error, "wavelength_nm", wavelength_nm[i],
                                                 wavelength_nm[i - 1], HUGE_VAL, OXT_I_OPEN_LOW);
        if (!status)
            status = oxt_i_check(error, "n", n[i], 0.0, 100.0, OXT_I_OPEN_LOW);
        if (!status)
            status = oxt_i_check(error, "k", k[i], 0.0, 100.0, OXT_I_CLOSED);
        if (status)
            return at_row(error, status, i + 1);
    }
    oxt_status status = oxt_i_check(error, "wavelength_nm", wavelength_nm[count - 1],
                                    OXT_WAVELENGTH_HIGH_NM, HUGE_VAL, OXT_I_CLOSED);
    return status ? at_row(error, status, count) : OXT_OK;
}

oxt_status oxt_material_from_table(oxt_material **material, const char *name, size_t count,
                                   const double *wavelength_nm, const double *n, const double *k,
                                   oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (material)
        *material = NULL;
    if (!material || !name || !wavelength_nm || !n || !k)
        return oxt_i_null(error, "an argument");
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
