/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Making a film from its options. */
#include <stdlib.h>
#include <string.h>

#include "oxtint/colour.h"
#include "base/spline.h"
#include "optics/film.h"
#include "optics/light.h"
#include "optics/tint.h"
#include "optics/words.h"

/* Raised whenever a table or the sum changes, so that cards state what they were read with. The mean over tilted facets
 * has changed once more often. */
#define OPTICS_VERSION 1
#define TILTED_OPTICS_VERSION (OPTICS_VERSION + 1)

static const double DEGREE = OXT_I_PI / 180.0;
static const double STEEPEST_DEG = 85.0;

oxt_status oxt_film_finish(oxt_finish grade, double *thickness_spread, double *angle_spread_deg,
                           oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    static const double spreads[][2] = { [OXT_FINISH_MIRROR] = { 0.0, 0.0 },
                                         [OXT_FINISH_SATIN] = { 0.05, 8.0 },
                                         [OXT_FINISH_MATTE] = { 0.12, 20.0 } };
    if (!thickness_spread || !angle_spread_deg)
        return oxt_i_null(error, thickness_spread ? "angle_spread_deg" : "thickness_spread");
    oxt_status status = oxt_i_check_choice("grade", (int)grade, OXT_FINISH_MATTE, error);
    if (status)
        return status;
    *thickness_spread = spreads[grade][0];
    *angle_spread_deg = spreads[grade][1];
    return OXT_OK;
}

/* ---- checking ---- */

static oxt_status check_shares(const oxt_film_options *options, oxt_error *error)
{
    double sum = 0.0;
    for (size_t i = 0; i < options->layer_count; i++) {
        oxt_status status = oxt_i_check(error, "shares", options->shares[i], 0.0, 1.0,
                                        OXT_I_OPEN_LOW);
        if (status)
            return status;
        sum += options->shares[i];
    }
    if (fabs(sum - 1.0) > 1e-9)
        return oxt_i_fail(error, OXT_EDOMAIN, "shares", sum, 1.0, 1.0,
                          "shares add to %.12g, expected 1", sum);
    return OXT_OK;
}

static oxt_status check_layers(const oxt_film_options *options, oxt_error *error)
{
    if (options->layer_count > OXT_I_STACK_MOST)
        return oxt_i_fail(error, OXT_EDOMAIN, "layer_count", (double)options->layer_count, 0.0,
                          (double)OXT_I_STACK_MOST, "layer_count is %zu, more than memory can hold",
                          options->layer_count);
    if (options->layer_count == 0)
        return options->shares
                   ? oxt_i_fail_text(error, OXT_EARG, "shares", "shares are given without layers")
                   : OXT_OK;
    if (!options->layers)
        return oxt_i_null(error, "layers");
    for (size_t i = 0; i < options->layer_count; i++)
        if (!options->layers[i])
            return oxt_i_null(error, "layers");
    return options->shares ? check_shares(options, error) : OXT_OK;
}

static oxt_status check_options(const oxt_film_options *options, oxt_error *error)
{
    const oxt_i_limit limits[] = {
        { "absorption_scale", options->absorption_scale, 0.0, 5.0, OXT_I_CLOSED },
        { "angle_deg", options->angle_deg, 0.0, STEEPEST_DEG, OXT_I_CLOSED },
        { "thickness_spread", options->thickness_spread, 0.0, 0.5, OXT_I_CLOSED },
        { "angle_spread_deg", options->angle_spread_deg, 0.0, 40.0, OXT_I_CLOSED },
    };
    oxt_status status = oxt_i_check_all(error, limits, OXT_I_COUNT(limits));
    if (!status)
        status = check_layers(options, error);
    if (!status)
        status = oxt_i_check_choice("polarisation", (int)options->polarisation, OXT_POLARISATION_P,
                                    error);
    if (!status && options->coat_index != 0.0)
        status = oxt_i_check(error, "coat_index", options->coat_index, 1.0, 2.5, OXT_I_CLOSED);
    return status ? status : oxt_i_check_light(options->illuminant, options->observer, error);
}

/* ---- quadrature ---- */

/* The log-normal spread in equal steps of thickness, out to where the bell has all but ended. Each harmonic of the
 * phase is then exact until its turn in a step nears half a circle, while Gauss-Hermite quadrature, whose points
 * crowd at the middle, is off by 0.01 in R with the same number of points; and in equal steps the phase of one
 * thickness follows from that of the last. */
static void spread_thickness(oxt_film *film, double deviation)
{
    static const double reach = 5.0, widest_step = 0.04;
    film->spread_first = film->spread[0] = 1.0;
    film->spread_count = 1;
    if (deviation == 0.0)
        return;
    double low = exp(-reach * deviation), range = exp(reach * deviation) - low, sum = 0.0;
    size_t count = 1 + (size_t)fmax(20.0, ceil(range / widest_step));
    film->spread_first = low;
    film->spread_step = range / (double)(count - 1);
    film->spread_count = count;
    for (size_t i = 0; i < count; i++) {
        double factor = low + film->spread_step * (double)i, place = log(factor) / deviation;
        film->spread[i] = exp(-0.5 * place * place) / factor;
        sum += film->spread[i];
    }
    for (size_t i = 0; i < count; i++)
        film->spread[i] /= sum;
}

static void add_beam(oxt_film *film, double across, bool in_plane, double weight)
{
    oxt_i_beam beam = { weight, across, in_plane, 0.0 };
    if (film->coated)
        beam.face = oxt_i_face_reflectance(1.0, film->ambient, across, in_plane);
    film->beams[film->beam_count++] = beam;
}

/* Light on an even surface. Straight on, s and p are the same. */
static void add_even_beams(oxt_film *film, oxt_polarisation polarisation, double angle_deg)
{
    const bool both = polarisation == OXT_POLARISATION_NONE && angle_deg > 0.0;
    const double across = sin(angle_deg * DEGREE), weight = both ? 0.5 : 1.0;
    if (polarisation != OXT_POLARISATION_P)
        add_beam(film, across, false, weight);
    if (polarisation == OXT_POLARISATION_P || both)
        add_beam(film, across, true, weight);
}

/* Tilts below this change nothing that a double shows of a colour. */
static const double LEAST_TILT_DEG = 1e-3;

static oxt_status spread_angle(oxt_film *film, const oxt_film_options *options, oxt_error *error)
{
    oxt_i_tilts tilts[2];
    if (options->angle_spread_deg < LEAST_TILT_DEG) {
        add_even_beams(film, options->polarisation, options->angle_deg);
        return OXT_OK;
    }
    oxt_status status = oxt_i_film_tilts(options->angle_deg, options->angle_spread_deg,
                                         options->polarisation, tilts, error);
    for (int p = 0; p < 2 && !status; p++)
        for (size_t i = 0; i < tilts[p].count; i++)
            add_beam(film, sqrt(fmax(1.0 - tilts[p].cosine[i] * tilts[p].cosine[i], 0.0)), p == 1,
                     tilts[p].weight[i]);
    return status;
}

/* ---- the parts of a film ---- */

static oxt_status copy_material(oxt_material **copy, const oxt_material *given,
                                const char *otherwise, oxt_error *error)
{
    return given ? oxt_i_material_copy(copy, given, error)
                 : oxt_material_new(copy, otherwise, 0, NULL, NULL, NULL, error);
}

static oxt_status take_materials(oxt_film *film, const oxt_film_options *options, oxt_error *error)
{
    size_t count = options->layer_count ? options->layer_count : 1;
    film->layers = calloc(count, sizeof *film->layers);
    film->shares = malloc(count * sizeof *film->shares);
    if (!film->layers || !film->shares)
        return oxt_i_no_memory(error);
    film->layer_count = count;
    oxt_status status = copy_material(&film->substrate, options->substrate, "iron", error);
    for (size_t i = 0; i < count && !status; i++) {
        const oxt_material *given = options->layer_count ? options->layers[i] : NULL;
        film->shares[i] = options->shares ? options->shares[i] : 1.0 / (double)count;
        status = copy_material(&film->layers[i], given, "magnetite", error);
    }
    return status;
}

static void take_light(oxt_film *film, const oxt_film_options *options)
{
    oxt_i_light_weights(options->illuminant, options->observer, film->weight, film->white_xyz);
    oxt_light_white(OXT_ILLUMINANT_D65, OXT_OBSERVER_1931_2_DEGREE, film->daylight_xyz, NULL);
    film->is_daylight = options->illuminant == OXT_ILLUMINANT_D65 &&
                        options->observer == OXT_OBSERVER_1931_2_DEGREE;
}

static oxt_status prepare_stacks(oxt_film *film, oxt_error *error)
{
    double wavelength_nm[OXT_WAVELENGTH_COUNT];
    for (size_t i = 0; i < OXT_WAVELENGTH_COUNT; i++)
        wavelength_nm[i] = OXT_WAVELENGTH_LOW_NM + OXT_WAVELENGTH_STEP_NM * (double)i;
    for (size_t j = 0; j < film->beam_count; j++) {
        oxt_status status = oxt_i_stack_new(&film->stacks[j], film->layer_count,
                                            OXT_WAVELENGTH_COUNT, error);
        if (status)
            return status;
        oxt_i_beam_prepare(film, &film->beams[j], OXT_WAVELENGTH_COUNT, wavelength_nm,
                           film->stacks[j]);
    }
    if (film->layer_count != 1 || film->spread_count != 1)
        return OXT_OK;
    film->plain = malloc(film->beam_count * sizeof *film->plain);
    for (size_t j = 0; j < film->beam_count && film->plain; j++)
        oxt_i_stack_flatten(film->stacks[j], film->shares[0], film->beams[j].face,
                            film->beams[j].weight, film->plain[j][0]);
    return film->plain ? OXT_OK : oxt_i_no_memory(error);
}

/* ---- the path ---- */

/* One coordinate of the path, averaged over the spread of thickness along the run of even ones. `bend` has
 * one element for each of the run. */
static void spread_coordinate(const oxt_film *film, const double *run, double *bend, size_t count,
                              double *path)
{
    oxt_i_spline_prepare(run, count, bend);
    for (size_t k = 0; k < film->spread_count; k++)
        for (size_t i = 0; i < OXT_I_SPLINE_COUNT; i++)
            path[i] += film->spread[k] *
                       oxt_i_spline_at(run, bend, count,
                                       (film->spread_first + film->spread_step * (double)k) *
                                           (double)i);
}

/* Colours add as light does, so the mean over the spread is taken from one run of even thicknesses
 * instead of from one run for each point of the spread. Without a spread the path is the run. */
static oxt_status fill_path(oxt_film *film, oxt_error *error)
{
    double most = film->spread_first + film->spread_step * (double)(film->spread_count - 1);
    size_t count = (size_t)(most * OXT_PATH_HIGH_NM / OXT_I_PATH_STEP_NM) + 2;
    double *run = malloc(4 * count * sizeof *run);
    if (!run)
        return oxt_i_no_memory(error);
    double *bend = run + 3 * count;
    oxt_i_film_even_xyz(film, OXT_I_PATH_STEP_NM, count, run);
    for (size_t j = 0; j < 3; j++)
        spread_coordinate(film, run + j * count, bend, count, film->path_xyz[j]);
    free(run);
    return OXT_OK;
}

static oxt_status prepare_path(oxt_film *film, oxt_error *error)
{
    oxt_status status = fill_path(film, error);
    if (status)
        return status;
    for (size_t i = 0; i < OXT_I_SPLINE_COUNT; i++) {
        const double xyz[3] = { film->path_xyz[0][i], film->path_xyz[1][i], film->path_xyz[2][i] };
        oxt_lab_from_xyz(xyz, film->white_xyz, film->path_lab[i], NULL);
    }
    for (size_t j = 0; j < 3; j++)
        oxt_i_spline_prepare(film->path_xyz[j], OXT_I_SPLINE_COUNT, film->path_bend[j]);
    return OXT_OK;
}

/* ---- what it is, in words ---- */

/* Fowler, Noll and Vo's hash, to distinguish films whose descriptions are the same or cut; by the lowest byte first,
 * whatever the order in the machine: cards go from one to another. */
static uint32_t hash_numbers(uint32_t hash, const double *numbers, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        uint64_t bits;
        memcpy(&bits, &numbers[i], sizeof bits);
        for (int byte = 0; byte < 8; byte++, bits >>= 8)
            hash = (hash ^ (uint32_t)(bits & 0xff)) * 16777619u;
    }
    return hash;
}

static uint32_t hash_film(const oxt_film *film, const oxt_film_options *options)
{
    const double numbers[] = { film->absorption_scale,        options->angle_deg,
                               (double)options->polarisation, options->thickness_spread,
                               options->angle_spread_deg,     options->coat_index,
                               (double)options->illuminant,   (double)options->observer };
    uint32_t hash = hash_numbers(2166136261u, numbers, OXT_I_COUNT(numbers));
    hash = hash_numbers(hash, film->shares, film->layer_count);
    for (size_t i = 0; i <= film->layer_count; i++) {
        const oxt_material *material = i < film->layer_count ? film->layers[i] : film->substrate;
        for (size_t j = 0; j < material->count; j++)
            hash = hash_numbers(hash,
                                (double[]){ material->rows[j].wavelength_nm, material->rows[j].n,
                                            material->rows[j].k },
                                3);
    }
    return hash;
}

static bool is_default(const oxt_film_options *options)
{
    return options->layer_count == 0 && !options->substrate && options->angle_deg == 0.0 &&
           options->polarisation == OXT_POLARISATION_NONE && options->thickness_spread == 0.0 &&
           options->angle_spread_deg == 0.0 && options->coat_index == 0.0 &&
           options->illuminant == OXT_ILLUMINANT_D65 &&
           options->observer == OXT_OBSERVER_1931_2_DEGREE && options->absorption_scale == 1.0;
}

static void describe(oxt_film *film, const oxt_film_options *options)
{
    static const char *const lights[] = { "D65", "D50", "A", "FL2", "FL11", "LED-B3", "LED-V1" };
    static const char *const polarisations[] = { "", " s", " p" };
    if (is_default(options)) {
        oxt_i_snprintf(film->description, sizeof film->description,
                       "air | magnetite | iron at normal incidence, D65, 2 degree, optics %d",
                       OPTICS_VERSION);
        return;
    }
    char words[320]; /* the description takes the first 99; a layer adds at most 50 */
    size_t at = (size_t)oxt_i_snprintf(words, sizeof words, "air");
    if (film->coated)
        at += (size_t)oxt_i_snprintf(words + at, sizeof words - at, " | coat %g", film->ambient);
    for (size_t i = 0; i < film->layer_count && at < 100; i++)
        at += (size_t)oxt_i_snprintf(words + at, sizeof words - at, " | %s %.3g",
                                     film->layers[i]->name, film->shares[i]);
    oxt_i_snprintf(words + at, sizeof words - at, " | %s, %g deg%s, %s, %d degree",
                   film->substrate->name, options->angle_deg, polarisations[options->polarisation],
                   lights[options->illuminant],
                   options->observer == OXT_OBSERVER_1964_10_DEGREE ? 10 : 2);
    if (film->absorption_scale != 1.0) {
        at = strlen(words);
        oxt_i_snprintf(words + at, sizeof words - at, ", absorption x %s",
                       oxt_i_shortest(film->absorption_scale).text);
    }
    oxt_i_copy_text(film->description, 100, words);
    at = strlen(film->description);
    oxt_i_snprintf(film->description + at, sizeof film->description - at, ", optics %d-%08x",
                   options->angle_spread_deg > 0.0 ? TILTED_OPTICS_VERSION : OPTICS_VERSION,
                   (unsigned)hash_film(film, options));
}

/* ---- making it ---- */

static oxt_status fill(oxt_film *film, const oxt_film_options *options, oxt_error *error)
{
    film->absorption_scale = options->absorption_scale;
    film->coated = options->coat_index != 0.0;
    film->ambient = film->coated ? options->coat_index : 1.0;
    oxt_status status = take_materials(film, options, error);
    spread_thickness(film, options->thickness_spread);
    if (!status)
        status = spread_angle(film, options, error);
    if (!status)
        status = prepare_stacks(film, error);
    if (status)
        return status;
    take_light(film, options);
    describe(film, options);
    status = prepare_path(film, error);
    return status ? status : oxt_i_tint_edges(film, film->edges, error);
}

oxt_status oxt_film_new(oxt_film **film, const oxt_film_options *options, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!film)
        return oxt_i_null(error, "film");
    *film = NULL;
    oxt_film_options chosen = OXT_FILM_OPTIONS_INIT;
    oxt_status status = OXT_OK;
    if (options)
        status = OXT_I_STRUCT_IN(oxt_film_options, &chosen, options, "options", error);
    if (!status)
        status = check_options(&chosen, error);
    if (status)
        return status;
    oxt_film *made = calloc(1, sizeof *made);
    if (!made)
        return oxt_i_no_memory(error);
    status = fill(made, &chosen, error);
    if (!status && !oxt_i_words_copy(&made->words, chosen.words))
        status = oxt_i_no_memory(error);
    if (status) {
        oxt_film_free(made);
        return status;
    }
    oxt_i_words_take_bands(made->words, made->edges);
    *film = made;
    return OXT_OK;
}

void oxt_film_free(oxt_film *film)
{
    if (!film)
        return;
    for (size_t i = 0; i < film->layer_count; i++)
        oxt_material_free(film->layers[i]);
    free(film->layers);
    free(film->shares);
    oxt_material_free(film->substrate);
    oxt_words_free(film->words);
    for (size_t j = 0; j < OXT_I_MOST_BEAMS; j++)
        free(film->stacks[j]);
    free(film->plain);
    free(film);
}
