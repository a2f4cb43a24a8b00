/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Thickness -> reflectance -> colour. The choices that make a film are in film_new.c. */
#include "base/spline.h"
#include "base/vector.h"
#include "optics/colour.h"
#include "optics/film.h"
#include "optics/tint.h"
#include "optics/words.h"

#include <stdlib.h>
#include <string.h>

/* Films at once. */
enum { BLOCK = OXT_I_COLOUR_BLOCK };

/* ---- reflectance ---- */

void oxt_i_beam_prepare(const oxt_film *film, const oxt_i_beam *beam, size_t n,
                        const double *wavelength_nm, oxt_i_stack *stack)
{
    const oxt_i_ray ray = { film->ambient, beam->across, beam->in_plane };
    for (size_t i = 0; i < n; i++) {
        for (size_t layer = 0; layer < stack->count; layer++) {
            oxt_i_index found = oxt_i_index_at(film->layers[layer], wavelength_nm[i]);
            oxt_i_stack_put(stack, layer, i, found.n + film->absorption_scale * found.k * I);
        }
        oxt_i_index metal = oxt_i_index_at(film->substrate, wavelength_nm[i]);
        oxt_i_stack_put(stack, stack->count, i, metal.n + metal.k * I);
    }
    oxt_i_stack_prepare(stack, &ray, n, wavelength_nm);
}

/* Add one beam's part to the mean over the finish. */
static void add_beam(const oxt_film *film, const oxt_i_beam *beam, const oxt_i_stack *stack,
                     double thickness_nm, double *reflectance)
{
    oxt_i_walk walk;
    oxt_i_walk_start(&walk, stack, film->shares, film->spread_first * thickness_nm,
                     film->spread_step * thickness_nm);
    for (size_t k = 0; k < film->spread_count; k++)
        oxt_i_walk_add(&walk, beam->face, film->spread[k] * beam->weight, reflectance);
}

/* X, Y, Z of up to BLOCK films. */
static void film_xyz(const oxt_film *film, size_t n, const double thickness_nm[BLOCK],
                     double xyz[3][BLOCK])
{
    memset(xyz, 0, 3 * sizeof *xyz);
    for (size_t j = 0; j < film->beam_count && film->plain; j++)
        oxt_i_plain_films(n, thickness_nm, OXT_I_STACK_WIDTH, film->plain[j][0], film->weight[0],
                          xyz[0], xyz[1], xyz[2]);
    for (size_t k = 0; k < n && !film->plain; k++) {
        double R[OXT_I_STACK_WIDTH] = { 0.0 }, sums[3];
        for (size_t j = 0; j < film->beam_count; j++)
            add_beam(film, &film->beams[j], film->stacks[j], thickness_nm[k], R);
        oxt_i_three_sums(OXT_I_STACK_WIDTH, R, film->weight[0], sums);
        for (size_t j = 0; j < 3; j++)
            xyz[j][k] = sums[j];
    }
}

void oxt_i_film_even_xyz(const oxt_film *film, double step_nm, size_t count, double *xyz)
{
    oxt_i_walk walks[OXT_I_MOST_BEAMS];
    for (size_t j = 0; j < film->beam_count; j++)
        oxt_i_walk_start(&walks[j], film->stacks[j], film->shares, 0.0, step_nm);
    for (size_t i = 0; i < count; i++) {
        double R[OXT_I_STACK_WIDTH] = { 0.0 }, at[3];
        for (size_t j = 0; j < film->beam_count; j++)
            oxt_i_walk_add(&walks[j], film->beams[j].face, film->beams[j].weight, R);
        oxt_i_three_sums(OXT_I_STACK_WIDTH, R, film->weight[0], at);
        for (size_t j = 0; j < 3; j++)
            xyz[j * count + i] = at[j];
    }
}

/* ---- the prepared path ---- */

/* X, Y, Z of up to BLOCK films by cubic splines through points at equal steps of thickness. */
static void path_xyz(const oxt_film *film, size_t n, const double *thickness_nm,
                     double xyz[3][BLOCK])
{
    for (size_t i = 0; i < 3; i++)
        for (size_t k = 0; k < n; k++)
            xyz[i][k] = oxt_i_spline_at(film->path_xyz[i], film->path_bend[i], OXT_I_SPLINE_COUNT,
                                        thickness_nm[k] / OXT_I_PATH_STEP_NM);
}

/* The colour that looks in daylight as this one does in the film's light. */
static oxt_status to_daylight(const oxt_film *film, double xyz[3], oxt_error *error)
{
    return film->is_daylight
               ? OXT_OK
               : oxt_light_adapt(xyz, film->white_xyz, film->daylight_xyz, xyz, error);
}

/* The same for the first n of a block. */
static void block_to_daylight(const oxt_film *film, size_t n, double xyz[3][BLOCK])
{
    for (size_t k = 0; k < n && !film->is_daylight; k++) {
        double three[3] = { xyz[0][k], xyz[1][k], xyz[2][k] };
        to_daylight(film, three, NULL);
        for (size_t j = 0; j < 3; j++)
            xyz[j][k] = three[j];
    }
}

void oxt_i_path_daylight_labs(const oxt_film *film, size_t n, const double *thickness_nm,
                              oxt_i_colours *lab)
{
    double xyz[3][BLOCK];
    path_xyz(film, n, thickness_nm, xyz);
    block_to_daylight(film, n, xyz);
    oxt_i_labs(n, film->daylight_xyz, xyz[0], xyz[1], xyz[2], lab->lightness, lab->a, lab->b);
}

void oxt_i_path_daylight_lab(const oxt_film *film, double thickness_nm, double lab[3])
{
    oxt_i_colours made;
    oxt_i_path_daylight_labs(film, 1, &thickness_nm, &made);
    lab[0] = made.lightness[0];
    lab[1] = made.a[0];
    lab[2] = made.b[0];
}

void oxt_i_path_lab(const oxt_film *film, double thickness_nm, double lab[3])
{
    double xyz[3][BLOCK];
    path_xyz(film, 1, &thickness_nm, xyz);
    oxt_i_labs(1, film->white_xyz, xyz[0], xyz[1], xyz[2], &lab[0], &lab[1], &lab[2]);
}

const oxt_words *oxt_i_film_words(const oxt_film *film)
{
    return film->words;
}

const double *oxt_i_film_edges(const oxt_film *film)
{
    return film->edges;
}

/* ---- what the public calls share ---- */

oxt_status oxt_film_description(const oxt_film *film, char *buffer, size_t capacity, size_t *needed,
                                oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    return film ? oxt_i_emit(film->description, buffer, capacity, needed, error)
                : oxt_i_null(error, "film");
}

static oxt_status check_film(const oxt_film *film, double thickness_nm, double most_nm,
                             const void *result, const char *name, oxt_error *error)
{
    if (!film || !result)
        return oxt_i_null(error, film ? name : "film");
    return oxt_i_check(error, "thickness_nm", thickness_nm, 0.0, most_nm, OXT_I_CLOSED);
}

static void chunk_reflectance(const oxt_film *film, double thickness_nm, size_t n,
                              const double *wavelength_nm, oxt_i_stack *stack, double *reflectance)
{
    double R[OXT_I_STACK_WIDTH] = { 0.0 };
    for (size_t j = 0; j < film->beam_count; j++) {
        oxt_i_beam_prepare(film, &film->beams[j], n, wavelength_nm, stack);
        add_beam(film, &film->beams[j], stack, thickness_nm, R);
    }
    memcpy(reflectance, R, n * sizeof *R);
}

oxt_status oxt_film_reflectance(const oxt_film *film, double thickness_nm, size_t n,
                                const double *wavelength_nm, double *reflectance, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_status status = check_film(film, thickness_nm, OXT_THICKNESS_HIGH_NM, reflectance,
                                   "reflectance", error);
    if (!status && !wavelength_nm)
        status = oxt_i_null(error, "wavelength_nm");
    for (size_t i = 0; i < n && !status; i++)
        status = oxt_i_check(error, "wavelength_nm", wavelength_nm[i], OXT_WAVELENGTH_LOW_NM,
                             OXT_WAVELENGTH_HIGH_NM, OXT_I_CLOSED);
    const size_t chunk = n < OXT_I_STACK_WIDTH ? n : OXT_I_STACK_WIDTH;
    oxt_i_stack *stack = NULL;
    if (!status)
        status = oxt_i_stack_new(&stack, film->layer_count, chunk, error);
    for (size_t i = 0; i < n && !status; i += chunk)
        chunk_reflectance(film, thickness_nm, n - i < chunk ? n - i : chunk, wavelength_nm + i,
                          stack, reflectance + i);
    free(stack);
    return status;
}

/* ---- colours ---- */

static bool is_on_path(oxt_colour_space space)
{
    return space >= OXT_SPACE_PATH_XYZ;
}

static double thickest_nm(oxt_colour_space space)
{
    return is_on_path(space) ? OXT_PATH_HIGH_NM : OXT_THICKNESS_HIGH_NM;
}

/* From X, Y, Z of up to BLOCK films (rows of BLOCK) to another space, in place. */
static void convert_block(oxt_colour_space space, const oxt_film *film, size_t n,
                          double xyz[3][BLOCK], int *flags)
{
    double lab[3][BLOCK];
    space = is_on_path(space) ? space - OXT_SPACE_PATH_XYZ : space;
    if (space == OXT_SPACE_LAB) {
        oxt_i_labs(n, film->white_xyz, xyz[0], xyz[1], xyz[2], lab[0], lab[1], lab[2]);
        memcpy(xyz, lab, sizeof lab);
    }
    if (space == OXT_SPACE_SRGB)
        block_to_daylight(film, n, xyz);
    for (size_t k = 0; k < n && space == OXT_SPACE_SRGB; k++) {
        double three[3] = { xyz[0][k], xyz[1][k], xyz[2][k] };
        oxt_srgb_from_xyz(three, OXT_GAMUT_KEEP_HUE, three, &flags[k], NULL);
        for (size_t j = 0; j < 3; j++)
            xyz[j][k] = three[j];
    }
}

/* X, Y, Z of up to BLOCK thicknesses; those of 0 nm where one is out of range, whose places are counted and
 * listed in `off`. */
static size_t fill_block(const oxt_film *film, oxt_colour_space space, size_t n,
                         const double *thickness_nm, ptrdiff_t stride, double xyz[3][BLOCK],
                         size_t off[BLOCK])
{
    const double most_nm = thickest_nm(space);
    double inside_nm[BLOCK];
    size_t off_count = 0;
    for (size_t k = 0; k < n; k++) {
        double x = *oxt_i_at(thickness_nm, k, stride);
        bool inside = x >= 0.0 && x <= most_nm;
        inside_nm[k] = inside ? x : 0.0;
        if (!inside)
            off[off_count++] = k;
    }
    (is_on_path(space) ? path_xyz : film_xyz)(film, n, inside_nm, xyz);
    return off_count;
}

oxt_status oxt_film_colours(const oxt_film *film, oxt_colour_space space, size_t n,
                            const double *thickness_nm, ptrdiff_t thickness_stride, double *colours,
                            int *out_of_gamut, size_t *failed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!film)
        return oxt_i_null(error, "film");
    if (n > 0 && (!thickness_nm || !colours))
        return oxt_i_null(error, thickness_nm ? "colours" : "thickness_nm");
    oxt_status checked = oxt_i_check_choice("space", (int)space, OXT_SPACE_PATH_SRGB, error);
    if (checked)
        return checked;
    oxt_i_tally tally = { OXT_OK, 0, error };
    for (size_t i = 0; i < n; i += BLOCK) {
        double made[3][BLOCK];
        int outside[BLOCK] = { 0 };
        size_t off[BLOCK], count = n - i < BLOCK ? n - i : BLOCK;
        const double *first = oxt_i_at(thickness_nm, i, thickness_stride);
        size_t off_count = fill_block(film, space, count, first, thickness_stride, made, off);
        convert_block(space, film, count, made, outside);
        for (size_t k = 0; k < off_count; k++) {
            oxt_error detail;
            detail.struct_size = sizeof detail;
            oxt_status status = check_film(film, *oxt_i_at(first, off[k], thickness_stride),
                                           thickest_nm(space), film, "film",
                                           tally.failed ? NULL : &detail);
            oxt_i_tally_failure(&tally, status, &detail, i + off[k]);
            outside[off[k]] = 0;
            for (size_t j = 0; j < 3; j++)
                made[j][off[k]] = NAN;
        }
        for (size_t k = 0; k < count; k++)
            for (size_t j = 0; j < 3; j++)
                colours[3 * (i + k) + j] = made[j][k];
        if (out_of_gamut)
            memcpy(out_of_gamut + i, outside, count * sizeof *out_of_gamut);
    }
    if (failed)
        *failed = tally.failed;
    return tally.status;
}

oxt_status oxt_film_colour(const oxt_film *film, oxt_colour_space space, double thickness_nm,
                           double colour[3], int *out_of_gamut, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_status status = oxt_i_check_choice("space", (int)space, OXT_SPACE_PATH_SRGB, error);
    if (!status)
        status = check_film(film, thickness_nm, thickest_nm(space), colour, "colour", error);
    return status ? status
                  : oxt_film_colours(film, space, 1, &thickness_nm, 0, colour, out_of_gamut, NULL,
                                     error);
}

/* Lab in daylight of the colour that looks like the film's in its own light. */
static oxt_status daylight_lab(const oxt_film *film, double thickness_nm, double lab[3],
                               oxt_error *error)
{
    double xyz[3];
    oxt_status status = oxt_film_colour(film, OXT_SPACE_XYZ, thickness_nm, xyz, NULL, error);
    if (!status)
        status = to_daylight(film, xyz, error);
    return status ? status : oxt_lab_from_xyz(xyz, film->daylight_xyz, lab, error);
}

oxt_status oxt_film_difference(const oxt_film *film, const oxt_film *other, double thickness_nm,
                               double *difference, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    double one[3], two[3];
    if (!other || !difference)
        return oxt_i_null(error, other ? "difference" : "other");
    oxt_status status = daylight_lab(film, thickness_nm, one, error);
    if (!status)
        status = daylight_lab(other, thickness_nm, two, error);
    if (!status)
        *difference = oxt_i_delta_e2000(one, two);
    return status;
}

oxt_status oxt_i_film_lab_of_srgb(const oxt_film *film, const char *text, double lab[3],
                                  oxt_error *error)
{
    double srgb[3], xyz[3];
    oxt_status status = oxt_parse_srgb(text, srgb, error);
    if (!status)
        status = oxt_xyz_from_srgb(srgb, xyz, error);
    if (!status && !film->is_daylight)
        status = oxt_light_adapt(xyz, film->daylight_xyz, film->white_xyz, xyz, error);
    return status ? status : oxt_lab_from_xyz(xyz, film->white_xyz, lab, error);
}
