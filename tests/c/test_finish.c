/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What lies on the film and around it: finish of the surface, oil on top, light and eye. */
#include <string.h>

#include "optics.h"
#include "support.h"
#include "optics/film.h"

static const double DEGREE = 3.14159265358979323846 / 180.0;

static void lab_of(const oxt_film *film, double thickness_nm, double lab[3])
{
    oxt_error error = OXT_ERROR_INIT;
    OK(oxt_film_colour(film, OXT_SPACE_LAB, thickness_nm, lab, NULL, &error));
}

static double chroma_of(const oxt_film *film, double thickness_nm)
{
    double lab[3];
    lab_of(film, thickness_nm, lab);
    return hypot(lab[1], lab[2]);
}

static oxt_tint band_of(const oxt_film *film, int index)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_tint tint = OXT_TINT_INIT;
    OK(oxt_tint_band(film, index, &tint, &error));
    return tint;
}

/* ---- finish ---- */

/* The values that film.h states. */
Test(finish, grades_are_as_stated)
{
    static const double stated[][2] = { { 0.0, 0.0 }, { 0.05, 8.0 }, { 0.12, 20.0 } };
    oxt_error error = OXT_ERROR_INIT;
    double thickness = -7.0, angle_deg = -7.0;
    FAILS(oxt_film_finish((oxt_finish)3, &thickness, &angle_deg, &error), OXT_EARG);
    FAILS(oxt_film_finish((oxt_finish)-1, &thickness, &angle_deg, &error), OXT_EARG);
    cr_assert(thickness == -7.0 && angle_deg == -7.0);
    for (int grade = OXT_FINISH_MIRROR; grade <= OXT_FINISH_MATTE; grade++) {
        OK(oxt_film_finish((oxt_finish)grade, &thickness, &angle_deg, &error));
        cr_assert(thickness == stated[grade][0] && angle_deg == stated[grade][1]);
    }
    FAILS(oxt_film_finish(OXT_FINISH_SATIN, NULL, &angle_deg, &error), OXT_EARG);
    FAILS(oxt_film_finish(OXT_FINISH_SATIN, &thickness, NULL, &error), OXT_EARG);
}

Test(finish, mirror_is_no_averaging)
{
    oxt_film *mirror = film_of_grade(OXT_FINISH_MIRROR, NULL);
    for (double x = 0.0; x <= 1000.0; x += 13.7) {
        double one[3], two[3];
        lab_of(mirror, x, one);
        lab_of(default_film(), x, two);
        cr_assert_eq(memcmp(one, two, sizeof one), 0);
        cr_assert_eq(reflectance_of(mirror, x, 487.3), reflectance_of(default_film(), x, 487.3));
    }
    for (int i = 0; i < OXT_TINT_COUNT; i++)
        cr_assert_eq(band_of(mirror, i).high_nm, band_of(default_film(), i).high_nm);
    oxt_film_free(mirror);
}

/* The mean of R over a normal spread of ln thickness, by the trapezoid rule, as far as films reach. */
static double mean_over_thickness(double deviation, double thickness_nm, double wavelength_nm)
{
    double sum = 0.0, whole = 0.0;
    for (double z = -6.5; z <= 6.5 && thickness_nm * exp(deviation * z) <= OXT_THICKNESS_HIGH_NM;
         z += 0.02) {
        double weight = exp(-0.5 * z * z);
        whole += weight;
        sum += weight *
               reflectance_of(default_film(), thickness_nm * exp(deviation * z), wavelength_nm);
    }
    return sum / whole;
}

/* In R, for the grades over both orders and for a rough surface over the first. Measured: 5e-8, 7e-8 and
 * 4e-6. */
Test(finish, spread_of_thickness_is_averaged)
{
    static const double deviations[] = { 0.05, 0.12, 0.5 }, high_nm[] = { 230.0, 230.0, 100.0 },
                        most[] = { 2e-7, 2e-7, 1e-5 };
    for (int i = 0; i < 3; i++) {
        oxt_film_options options = OXT_FILM_OPTIONS_INIT;
        options.thickness_spread = deviations[i];
        oxt_film *film = film_with(&options);
        double worst = 0.0;
        for (double x = 0.0; x <= high_nm[i]; x += 11.5)
            for (double wavelength_nm = 380.0; wavelength_nm <= 780.0; wavelength_nm += 50.0)
                worst = fmax(worst, fabs(reflectance_of(film, x, wavelength_nm) -
                                         mean_over_thickness(deviations[i], x, wavelength_nm)));
        cr_assert(worst < most[i], "%g", worst);
        oxt_film_free(film);
    }
}

/* Facets whose slopes are normal, by tilt and azimuth; each counts by the light that it takes, at its own angle, in
 * steps of a degree, between which the films of whole degrees are linear. */
static void mean_over_tilt(double angle_deg, double tilt_deg, double thickness_nm,
                           const double wavelength_nm[9], double mean[9])
{
    enum { STEPS = 600, TURNS = 180, ANGLES = 86 };
    double weights[ANGLES] = { 0.0 }, whole = 0.0, found[9], spread = tan(tilt_deg * DEGREE);
    oxt_error error = OXT_ERROR_INIT;
    memset(mean, 0, 9 * sizeof *mean);
    for (int i = 0; i < STEPS; i++)
        for (int j = 0; j < TURNS; j++) {
            double slope = 4.0 * spread * (i + 0.5) / STEPS, around = 2.0 * DEGREE * (j + 0.5);
            double taken = cos(angle_deg * DEGREE) + slope * cos(around) * sin(angle_deg * DEGREE);
            double at = acos(taken / sqrt(1.0 + slope * slope)) / DEGREE;
            double weight = taken * slope * exp(-slope * slope / (spread * spread));
            if (taken <= 0.0 || at >= ANGLES - 1)
                continue;
            int below = (int)at;
            weights[below] += weight * (below + 1 - at);
            weights[below + 1] += weight * (at - below);
            whole += weight;
        }
    for (int k = 0; k < ANGLES; k++) {
        oxt_film_options options = OXT_FILM_OPTIONS_INIT;
        options.angle_deg = k;
        if (weights[k] < 1e-9 * whole)
            continue;
        oxt_film *film = film_with(&options);
        OK(oxt_film_reflectance(film, thickness_nm, 9, wavelength_nm, found, &error));
        for (int i = 0; i < 9; i++)
            mean[i] += weights[k] / whole * found[i];
        oxt_film_free(film);
    }
}

static double worst_tilt(double angle_deg, double tilt_deg)
{
    oxt_error error = OXT_ERROR_INIT;
    double wavelength_nm[9], mean[9], found[9], worst = 0.0;
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    options.angle_deg = angle_deg;
    options.angle_spread_deg = tilt_deg;
    oxt_film *film = film_with(&options);
    for (int i = 0; i < 9; i++)
        wavelength_nm[i] = 380.0 + 50.0 * i;
    static const double places_nm[] = { 20.0, 60.0, 155.0 };
    for (int i = 0; i < 3; i++) {
        mean_over_tilt(angle_deg, tilt_deg, places_nm[i], wavelength_nm, mean);
        OK(oxt_film_reflectance(film, places_nm[i], 9, wavelength_nm, found, &error));
        for (int j = 0; j < 9; j++)
            worst = fmax(worst, fabs(found[j] - mean[j]));
    }
    oxt_film_free(film);
    return worst;
}

Test(finish, spread_of_angle_is_averaged)
{
    static const double angles_deg[] = { 0.0, 0.0, 30.0, 45.0 }, tilts_deg[] = { 8, 20, 8, 15 };
    for (int i = 0; i < 4; i++) {
        double worst = worst_tilt(angles_deg[i], tilts_deg[i]);
        cr_assert(worst < 5e-5, "%g", worst);
    }
}

/* A matte etched surface comes out paler, never shifted in order (common practice, no source). */
static void check_paler(oxt_finish grade, const oxt_film_options *options)
{
    oxt_film *plain = film_with(options), *film = film_of_grade(grade, options);
    for (int i = 0; i < OXT_TINT_COUNT; i++) {
        oxt_tint smooth = band_of(plain, i), rough = band_of(film, i);
        cr_assert_str_eq(smooth.label, rough.label);
        cr_assert(fabs(smooth.centre_nm - rough.centre_nm) < smooth.high_nm - smooth.low_nm, "%s",
                  smooth.label);
        cr_assert(rough.low_nm < smooth.high_nm && rough.high_nm > smooth.low_nm);
        /* Silver, the palest of all, takes a little colour from its neighbours. */
        if (i > 1 && strcmp(smooth.label, "silver") != 0)
            cr_assert(chroma_of(film, rough.centre_nm) < chroma_of(plain, smooth.centre_nm), "%s",
                      smooth.label);
        else
            cr_assert(chroma_of(film, rough.centre_nm) < chroma_of(plain, smooth.centre_nm) + 0.1);
    }
    oxt_film_free(plain);
    oxt_film_free(film);
}

Test(finish, satin_and_matte_are_paler_in_the_same_order)
{
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    check_paler(OXT_FINISH_SATIN, &options);
    check_paler(OXT_FINISH_MATTE, &options);
    options.coat_index = OXT_OIL_INDEX;
    check_paler(OXT_FINISH_SATIN, &options);
    check_paler(OXT_FINISH_MATTE, &options);
}

/* ---- coat ---- */

/* Light goes back and forth in a thick coat without interference: with F of its outer face and R of
 * the film under it, F + (1 - F)^2 R/(1 - F R) (a geometric series). F and R are made here, for each
 * polarisation apart. */
static double coated(double coat, double angle_deg, bool in_plane, double thickness_nm,
                     double wavelength_nm)
{
    oxt_material *magnetite = published_material("magnetite"), *iron = published_material("iron");
    light_ray ray = { sin(angle_deg * DEGREE), in_plane, wavelength_nm };
    sheets under = { 1,
                     { index_of(magnetite, wavelength_nm) },
                     { thickness_nm },
                     index_of(iron, wavelength_nm),
                     coat };
    sheets face = { 0, { 0 }, { 0 }, coat, 1.0 };
    double F = by_matrices(&face, &ray).reflected, R = by_matrices(&under, &ray).reflected;
    oxt_material_free(magnetite);
    oxt_material_free(iron);
    return F + (1.0 - F) * (1.0 - F) * R / (1.0 - F * R);
}

Test(finish, coat_adds_its_own_reflection)
{
    static const double coats[] = { 1.0, 1.2, OXT_OIL_INDEX, 2.5 },
                        angles_deg[] = { 0, 30, 60, 85 };
    for (int i = 0; i < 4; i++)
        for (int j = 0; j < 4; j++) {
            oxt_film_options options = OXT_FILM_OPTIONS_INIT;
            options.coat_index = coats[i];
            options.angle_deg = angles_deg[j];
            oxt_film *film = film_with(&options);
            for (double x = 0.0; x < 250.0; x += 30.0)
                for (double wavelength_nm = 380.0; wavelength_nm <= 780.0; wavelength_nm += 80.0)
                    NEAR(reflectance_of(film, x, wavelength_nm),
                         0.5 * (coated(coats[i], angles_deg[j], false, x, wavelength_nm) +
                                coated(coats[i], angles_deg[j], true, x, wavelength_nm)),
                         1e-12);
            oxt_film_free(film);
        }
}

Test(finish, coat_of_air_is_no_coat)
{
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    options.coat_index = 1.0;
    oxt_film *film = film_with(&options);
    for (double x = 0.0; x <= 1000.0; x += 13.7) {
        double one[3], two[3];
        lab_of(film, x, one);
        lab_of(default_film(), x, two);
        for (int i = 0; i < 3; i++)
            NEAR(one[i], two[i], 1e-11);
    }
    oxt_film_free(film);
}

/* X, Y and Z are sums of the spectrum, which goes by the recursion where a colour of one layer goes by a fraction. */
Test(finish, colours_are_sums_of_the_spectrum)
{
    static const double coats[] = { 0.0, OXT_OIL_INDEX, 2.5 }, angles_deg[] = { 0.0, 40.0, 85.0 };
    enum { COUNT = 7 };
    oxt_error error = OXT_ERROR_INIT;
    double wavelength_nm[OXT_WAVELENGTH_COUNT], R[OXT_WAVELENGTH_COUNT];
    const double thickness_nm[COUNT] = { 0.0, 0.3, 57.0, 81.0, 250.0, 999.0, 1000.0 };
    for (int i = 0; i < OXT_WAVELENGTH_COUNT; i++)
        wavelength_nm[i] = OXT_WAVELENGTH_LOW_NM + OXT_WAVELENGTH_STEP_NM * i;
    for (int i = 0; i < 27; i++) {
        oxt_film_options options = OXT_FILM_OPTIONS_INIT;
        options.coat_index = coats[i % 3];
        options.angle_deg = angles_deg[i / 3 % 3];
        options.polarisation = (oxt_polarisation)(i / 9);
        oxt_film *film = film_with(&options);
        double xyz[COUNT][3];
        OK(oxt_film_colours(film, OXT_SPACE_XYZ, COUNT, thickness_nm, sizeof *thickness_nm, xyz[0],
                            NULL, NULL, &error));
        for (int k = 0; k < COUNT; k++) {
            OK(oxt_film_reflectance(film, thickness_nm[k], OXT_WAVELENGTH_COUNT, wavelength_nm, R,
                                    &error));
            for (int j = 0; j < 3; j++) {
                double sum = 0.0;
                for (int m = 0; m < OXT_WAVELENGTH_COUNT; m++)
                    sum += film->weight[j][m] * R[m];
                NEAR(xyz[k][j], sum, 1e-13 * 100.0);
            }
        }
        oxt_film_free(film);
    }
}

/* Oil brings air nearer to the film's index, so that the waves of the two faces differ more in
 * strength and cancel less: the run of light and dark is smaller, and the colour weaker. */
Test(finish, oil_lowers_the_contrast)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    options.coat_index = OXT_OIL_INDEX;
    oxt_film *oiled = film_with(&options);
    const oxt_film *films[2] = { default_film(), oiled };
    double low[2] = { HUGE_VAL, HUGE_VAL }, high[2] = { 0.0, 0.0 }, chroma[2] = { 0.0, 0.0 };
    for (int i = 0; i < 2; i++)
        for (double x = 20.0; x < 230.0; x += 0.5) {
            double R = reflectance_of(films[i], x, 550.0), lab[3];
            low[i] = fmin(low[i], R);
            high[i] = fmax(high[i], R);
            OK(oxt_film_colour(films[i], OXT_SPACE_LAB, x, lab, NULL, &error));
            chroma[i] = fmax(chroma[i], hypot(lab[1], lab[2]));
        }
    cr_assert((high[1] - low[1]) / (high[1] + low[1]) < (high[0] - low[0]) / (high[0] + low[0]));
    cr_assert(chroma[1] < 0.75 * chroma[0], "%g %g", chroma[1], chroma[0]);
    oxt_film_free(oiled);
}

/* ---- light and eye ---- */

/* The white is that of the light; the Lab of a blue film differs from light to light and from eye to
 * eye, that of a grey body does not. */
Test(finish, every_light_and_eye_has_its_colours)
{
    oxt_error error = OXT_ERROR_INIT;
    enum { FILMS = 14 };
    double labs[FILMS][3], whites[FILMS][3];
    oxt_material *grey = flat_material(3.0, 0.0);
    for (int i = 0; i < FILMS; i++) {
        oxt_film_options options = OXT_FILM_OPTIONS_INIT;
        options.illuminant = (oxt_illuminant)(i / 2);
        options.observer = (oxt_observer)(i % 2);
        oxt_film *film = film_with(&options);
        double expected[3];
        OK(oxt_light_white(options.illuminant, options.observer, whites[i], &error));
        lab_of(film, 60.0, labs[i]);
        for (int j = 0; j < i; j++) {
            double far;
            OK(oxt_delta_e2000(1, labs[i], 0, labs[j], 0, &far, NULL, &error));
            cr_assert(far > 0.05 && memcmp(whites[i], whites[j], sizeof whites[i]) != 0);
        }
        oxt_film_free(film);
        /* a body that reflects all wavelengths alike is grey in every light: R = ((3-1)/(3+1))^2 */
        options.substrate = grey;
        film = film_with(&options);
        lab_of(film, 0.0, expected);
        NEAR(expected[0], 116.0 * cbrt(0.25) - 16.0, 1e-10);
        NEAR(hypot(expected[1], expected[2]), 0.0, 1e-10);
        /* and on a screen, whose white is D65: IEC 61966-2-1, to the digits of its matrix */
        OK(oxt_film_colour(film, OXT_SPACE_SRGB, 0.0, expected, NULL, &error));
        for (int j = 0; j < 3; j++)
            NEAR(expected[j], 1.055 * pow(0.25, 1.0 / 2.4) - 0.055, 1e-3);
        oxt_film_free(film);
    }
    oxt_material_free(grey);
}

/* ---- choices ---- */

Test(finish, choices_out_of_range_are_refused)
{
    static const struct {
        const char *parameter;
        size_t offset;
        double bad[4];
    } numbers[] = {
        { "angle_deg", offsetof(oxt_film_options, angle_deg), { -1.0, 85.001, NAN, INFINITY } },
        { "thickness_spread",
          offsetof(oxt_film_options, thickness_spread),
          { -0.1, 0.51, NAN, 9 } },
        { "angle_spread_deg", offsetof(oxt_film_options, angle_spread_deg), { -1, 40.1, NAN, 90 } },
        { "coat_index", offsetof(oxt_film_options, coat_index), { -1.0, 0.99, 2.51, NAN } },
    };
    oxt_error error = OXT_ERROR_INIT;
    oxt_film *film;
    for (int i = 0; i < 4; i++)
        for (int j = 0; j < 4; j++) {
            oxt_film_options options = OXT_FILM_OPTIONS_INIT;
            memcpy((char *)&options + numbers[i].offset, &numbers[i].bad[j], sizeof(double));
            FAILS(oxt_film_new(&film, &options, &error), OXT_EDOMAIN);
            cr_assert_str_eq(error.parameter, numbers[i].parameter);
            cr_assert_null(film);
        }
    static const int bad[] = { -1, 7, 1000 };
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 3; j++) {
            oxt_film_options options = OXT_FILM_OPTIONS_INIT;
            if (j == 0)
                options.illuminant = (oxt_illuminant)bad[i];
            else if (j == 1)
                options.observer = (oxt_observer)bad[i];
            else
                options.polarisation = (oxt_polarisation)bad[i];
            FAILS(oxt_film_new(&film, &options, &error), OXT_EARG);
        }
}

/* Every choice shows in the description, and the same choices give the same one. */
Test(finish, description_tells_choices_apart)
{
    enum { COUNT = 16 };
    oxt_error error = OXT_ERROR_INIT;
    oxt_material *hematite = published_material("hematite"),
                 *magnetite = published_material("magnetite");
    const oxt_material *forth[2] = { hematite, magnetite }, *back[2] = { magnetite, hematite };
    static const double tenth[2] = { 0.1, 0.9 }, nearly[2] = { 0.1000001, 0.8999999 };
    oxt_film_options options[COUNT];
    for (int i = 0; i < COUNT; i++)
        options[i] = (oxt_film_options)OXT_FILM_OPTIONS_INIT;
    options[1].angle_deg = 30.0;
    options[2].angle_deg = 30.0, options[2].polarisation = OXT_POLARISATION_S;
    options[3].angle_deg = 30.0, options[3].polarisation = OXT_POLARISATION_P;
    options[4].thickness_spread = 0.05;
    options[5].thickness_spread = 0.0500001;
    options[6].angle_spread_deg = 8.0;
    options[7].coat_index = 1.47;
    options[8].illuminant = OXT_ILLUMINANT_LED_B3;
    options[9].observer = OXT_OBSERVER_1964_10_DEGREE;
    options[10].substrate = hematite;
    for (int i = 11; i < 15; i++) {
        options[i].layer_count = 2;
        options[i].layers = i == 12 ? back : forth;
        options[i].shares = i == 13 ? tenth : i == 14 ? nearly : NULL;
    }
    options[15].absorption_scale = 1.5;
    char words[COUNT][128], again[128];
    for (int i = 0; i < COUNT; i++) {
        oxt_film *film = film_with(&options[i]), *same = film_with(&options[i]);
        size_t needed;
        OK(oxt_film_description(film, words[i], 128, &needed, &error));
        OK(oxt_film_description(same, again, 128, NULL, &error));
        cr_assert(needed <= 127 && strcmp(words[i], again) == 0);
        cr_assert(strstr(words[i], i == 6 ? "optics 2" : "optics 1"), "%s", words[i]);
        for (int j = 0; j < i; j++)
            cr_assert_str_neq(words[i], words[j]);
        oxt_film_free(film);
        oxt_film_free(same);
    }
    oxt_material_free(hematite);
    oxt_material_free(magnetite);
}
