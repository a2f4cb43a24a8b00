/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Thickness -> reflectance -> colour. */
#include <stdlib.h>
#include <string.h>

#include "internal.h"
#include "optics_data.h"
#include "stack.h"

/* Raised whenever a table or the sum changes, so that cards tell what they were read with. */
#define OPTICS_VERSION 1

struct oxt_film {
    double absorption_scale;
    double complex oxide[OXT_WAVELENGTH_COUNT];
    double complex metal[OXT_WAVELENGTH_COUNT];
    double weight[OXT_WAVELENGTH_COUNT][3]; /* observer times light, white Y = 100 */
    double white_xyz[3];
    double path[OXT_I_PATH_COUNT][3]; /* Lab at steps of OXT_I_PATH_STEP_NM */
    double edges[OXT_TINT_COUNT + 1];
    char description[128];
};

void oxt_film_options_init(oxt_film_options *options)
{
    if (options)
        *options = (oxt_film_options)OXT_FILM_OPTIONS_INIT;
}

static double wavelength_at(size_t index)
{
    return OXT_WAVELENGTH_LOW_NM + OXT_WAVELENGTH_STEP_NM * (double)index;
}

/* Complex index between the rows of a table, linear in wavelength. The tables reach past 380 and
 * 780 nm on both sides. */
static double complex index_at(const oxt_i_index *table, size_t count, double wavelength_nm,
                               double absorption_scale)
{
    size_t i = 1;
    while (i + 1 < count && table[i].wavelength_nm < wavelength_nm)
        i++;
    const oxt_i_index *a = &table[i - 1], *b = &table[i];
    double share = (wavelength_nm - a->wavelength_nm) / (b->wavelength_nm - a->wavelength_nm);
    double n = a->n + share * (b->n - a->n);
    double k = a->k + share * (b->k - a->k);
    return n + absorption_scale * k * I;
}

static double complex oxide_at(const oxt_film *film, double wavelength_nm)
{
    return index_at(oxt_i_magnetite, OXT_I_MAGNETITE_COUNT, wavelength_nm, film->absorption_scale);
}

static double complex metal_at(double wavelength_nm)
{
    return index_at(oxt_i_iron, OXT_I_IRON_COUNT, wavelength_nm, 1.0);
}

static void prepare_light(oxt_film *film)
{
    double brightness = 0.0;
    for (size_t i = 0; i < OXT_WAVELENGTH_COUNT; i++)
        brightness += oxt_i_observer[i][1] * oxt_i_d65[i];
    for (size_t i = 0; i < OXT_WAVELENGTH_COUNT; i++)
        for (size_t j = 0; j < 3; j++) {
            film->weight[i][j] = 100.0 * oxt_i_observer[i][j] * oxt_i_d65[i] / brightness;
            film->white_xyz[j] += film->weight[i][j];
        }
}

static void prepare_stack(oxt_film *film)
{
    for (size_t i = 0; i < OXT_WAVELENGTH_COUNT; i++) {
        film->oxide[i] = oxide_at(film, wavelength_at(i));
        film->metal[i] = metal_at(wavelength_at(i));
    }
    int length = oxt_i_snprintf(film->description, sizeof film->description,
                                "air | magnetite | iron at normal incidence, D65, 2 degree, "
                                "optics %d",
                                OPTICS_VERSION);
    if (film->absorption_scale != 1.0)
        oxt_i_snprintf(film->description + length, sizeof film->description - (size_t)length,
                       ", absorption x %s", oxt_i_shortest(film->absorption_scale).text);
}

static void film_xyz(const oxt_film *film, double thickness_nm, double xyz[3])
{
    xyz[0] = xyz[1] = xyz[2] = 0.0;
    for (size_t i = 0; i < OXT_WAVELENGTH_COUNT; i++) {
        double reflectance = oxt_i_stack_reflectance(1, &film->oxide[i], &thickness_nm,
                                                     film->metal[i], wavelength_at(i));
        for (size_t j = 0; j < 3; j++)
            xyz[j] += film->weight[i][j] * reflectance;
    }
}

void oxt_i_film_lab(const oxt_film *film, double thickness_nm, double lab[3])
{
    double xyz[3];
    film_xyz(film, thickness_nm, xyz);
    oxt_lab_from_xyz(xyz, film->white_xyz, lab, NULL);
}

const double (*oxt_i_film_path(const oxt_film *film))[3]
{
    return film->path;
}

const double *oxt_i_film_edges(const oxt_film *film)
{
    return film->edges;
}

oxt_status oxt_film_new(oxt_film **film, const oxt_film_options *options, oxt_error *error)
{
    if (!film)
        return oxt_i_null(error, "film");
    *film = NULL;
    oxt_film_options chosen = OXT_FILM_OPTIONS_INIT;
    oxt_status status = OXT_OK;
    if (options)
        status = oxt_i_struct_in(&chosen, options, sizeof chosen, sizeof chosen, "options", error);
    if (!status)
        status = oxt_i_check(error, "absorption_scale", chosen.absorption_scale, 0.0, 5.0,
                             OXT_I_CLOSED);
    if (status)
        return status;
    oxt_film *made = calloc(1, sizeof *made);
    if (!made)
        return oxt_i_no_memory(error);
    made->absorption_scale = chosen.absorption_scale;
    prepare_light(made);
    prepare_stack(made);
    for (size_t i = 0; i < OXT_I_PATH_COUNT; i++)
        oxt_i_film_lab(made, OXT_I_PATH_STEP_NM * (double)i, made->path[i]);
    status = oxt_i_tint_edges(made, made->edges, error);
    if (status) {
        oxt_film_free(made);
        return status;
    }
    *film = made;
    return OXT_OK;
}

void oxt_film_free(oxt_film *film)
{
    free(film);
}

oxt_status oxt_film_description(const oxt_film *film, char *buffer, size_t capacity, size_t *needed,
                                oxt_error *error)
{
    return film ? oxt_i_emit(film->description, buffer, capacity, needed, error)
                : oxt_i_null(error, "film");
}

oxt_status oxt_film_white(const oxt_film *film, double white_xyz[3], oxt_error *error)
{
    if (!film || !white_xyz)
        return oxt_i_null(error, film ? "white_xyz" : "film");
    memcpy(white_xyz, film->white_xyz, sizeof film->white_xyz);
    return OXT_OK;
}

static oxt_status check_film(const oxt_film *film, double thickness_nm, const void *result,
                             const char *name, oxt_error *error)
{
    if (!film || !result)
        return oxt_i_null(error, film ? name : "film");
    return oxt_i_check(error, "thickness_nm", thickness_nm, 0.0, OXT_THICKNESS_HIGH_NM,
                       OXT_I_CLOSED);
}

oxt_status oxt_film_reflectance(const oxt_film *film, double thickness_nm, size_t n,
                                const double *wavelength_nm, double *reflectance, oxt_error *error)
{
    oxt_status status = check_film(film, thickness_nm, reflectance, "reflectance", error);
    if (!status && !wavelength_nm)
        status = oxt_i_null(error, "wavelength_nm");
    for (size_t i = 0; i < n && !status; i++)
        status = oxt_i_check(error, "wavelength_nm", wavelength_nm[i], OXT_WAVELENGTH_LOW_NM,
                             OXT_WAVELENGTH_HIGH_NM, OXT_I_CLOSED);
    if (status)
        return status;
    for (size_t i = 0; i < n; i++) {
        double complex oxide = oxide_at(film, wavelength_nm[i]);
        reflectance[i] = oxt_i_stack_reflectance(1, &oxide, &thickness_nm,
                                                 metal_at(wavelength_nm[i]), wavelength_nm[i]);
    }
    return OXT_OK;
}

oxt_status oxt_film_xyz(const oxt_film *film, double thickness_nm, double xyz[3], oxt_error *error)
{
    oxt_status status = check_film(film, thickness_nm, xyz, "xyz", error);
    if (!status)
        film_xyz(film, thickness_nm, xyz);
    return status;
}

oxt_status oxt_film_lab(const oxt_film *film, double thickness_nm, double lab[3], oxt_error *error)
{
    oxt_status status = check_film(film, thickness_nm, lab, "lab", error);
    if (!status)
        oxt_i_film_lab(film, thickness_nm, lab);
    return status;
}

oxt_status oxt_film_srgb(const oxt_film *film, double thickness_nm, double srgb[3],
                         int *out_of_gamut, oxt_error *error)
{
    double xyz[3];
    oxt_status status = check_film(film, thickness_nm, srgb, "srgb", error);
    if (status)
        return status;
    film_xyz(film, thickness_nm, xyz);
    return oxt_srgb_from_xyz(xyz, srgb, out_of_gamut, error);
}

/* Lab and sRGB share one loop; `flags` is NULL for Lab. */
typedef oxt_status (*colour_function)(const oxt_film *, double, double[3], int *, oxt_error *);

static oxt_status lab_function(const oxt_film *film, double thickness_nm, double lab[3], int *flag,
                               oxt_error *error)
{
    (void)flag;
    return oxt_film_lab(film, thickness_nm, lab, error);
}

static oxt_status colours(colour_function function, const oxt_film *film, size_t n,
                          const double *thickness_nm, ptrdiff_t thickness_stride, double *colour,
                          ptrdiff_t colour_stride, int *flags, size_t *failed, oxt_error *error)
{
    if (!film)
        return oxt_i_null(error, "film");
    if (n > 0 && (!thickness_nm || !colour))
        return oxt_i_null(error, "an array");
    oxt_i_tally tally = { OXT_OK, 0, error };
    for (size_t i = 0; i < n; i++) {
        oxt_error detail;
        detail.struct_size = sizeof detail;
        double *three = oxt_i_at_out(colour, i, colour_stride);
        int flag = 0;
        oxt_status status = function(film, *oxt_i_at(thickness_nm, i, thickness_stride), three,
                                     &flag, tally.failed ? NULL : &detail);
        if (status) {
            three[0] = three[1] = three[2] = NAN;
            oxt_i_tally_failure(&tally, status, &detail, i);
        }
        if (flags)
            flags[i] = flag;
    }
    if (failed)
        *failed = tally.failed;
    return tally.status;
}

oxt_status oxt_film_lab_n(const oxt_film *film, size_t n, const double *thickness_nm,
                          ptrdiff_t thickness_stride, double *lab, ptrdiff_t lab_stride,
                          size_t *failed, oxt_error *error)
{
    return colours(lab_function, film, n, thickness_nm, thickness_stride, lab, lab_stride, NULL,
                   failed, error);
}

oxt_status oxt_film_srgb_n(const oxt_film *film, size_t n, const double *thickness_nm,
                           ptrdiff_t thickness_stride, double *srgb, ptrdiff_t srgb_stride,
                           int *out_of_gamut, size_t *failed, oxt_error *error)
{
    return colours(oxt_film_srgb, film, n, thickness_nm, thickness_stride, srgb, srgb_stride,
                   out_of_gamut, failed, error);
}
