/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <complex.h>
#include <string.h>

#include "optics.h"
#include "support.h"

static const double PI = 3.14159265358979323846;

static oxt_film *film_of(double absorption_scale)
{
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    options.absorption_scale = absorption_scale;
    return film_with(&options);
}

/* Fresnel at normal incidence from air (Born and Wolf, Principles of Optics, section 13.2). */
static double fresnel(double n, double k)
{
    return ((n - 1.0) * (n - 1.0) + k * k) / ((n + 1.0) * (n + 1.0) + k * k);
}

static double straight_on(size_t count, const double complex *index, const double *thickness_nm,
                          double complex metal, double wavelength_nm)
{
    sheets stack = { count, { 0 }, { 0 }, metal, 1.0 };
    light_ray ray = { 0.0, false, wavelength_nm };
    for (size_t i = 0; i < count; i++) {
        stack.index[i] = index[i];
        stack.thickness_nm[i] = thickness_nm[i];
    }
    return by_recursion(&stack, &ray);
}

/* ---- the recursion ---- */

Test(film, film_without_thickness_is_not_there)
{
    for (int i = 0; i < 200; i++) {
        double complex film = 1.0 + 3.0 * chance() + 2.0 * chance() * I,
                       metal = 0.1 + 4.0 * chance() + 5.0 * chance() * I;
        double none = 0.0, bare = fresnel(creal(metal), cimag(metal));
        NEAR(straight_on(0, NULL, NULL, metal, 550.0), bare, 1e-14);
        NEAR(straight_on(1, &film, &none, metal, 550.0), bare, 1e-14);
    }
}

/* A cut through a film changes nothing, wherever it lies. */
Test(film, two_films_of_one_index_are_one)
{
    for (int i = 0; i < 200; i++) {
        double complex index[2], metal = 2.0 + chance() + 3.0 * chance() * I;
        index[0] = index[1] = 1.0 + 2.0 * chance() + 0.3 * chance() * I;
        double wavelength_nm = 380.0 + 400.0 * chance(), total = 300.0 * chance();
        double share = total * chance(), forth[2] = { share, total - share },
               back[2] = { total - share, share };
        double whole = straight_on(1, index, &total, metal, wavelength_nm);
        NEAR(straight_on(2, index, forth, metal, wavelength_nm), whole, 1e-13);
        NEAR(straight_on(2, index, back, metal, wavelength_nm), whole, 1e-13);
    }
}

/* A quarter wave of n1 on ns has R = ((n0 ns - n1^2)/(n0 ns + n1^2))^2, a half wave is not seen.
 * Magnesium fluoride (1.38) on crown glass (1.52), E. Hecht, Optics, section 9.7: 1.3 %; formula and
 * figure from memory. */
Test(film, quarter_wave_on_glass)
{
    double complex coat = 1.38, glass = 1.52, best = sqrt(1.52);
    double quarter = 550.0 / (4.0 * 1.38), half = 2.0 * quarter, ideal = 550.0 / (4.0 * sqrt(1.52));
    double root = (1.52 - 1.38 * 1.38) / (1.52 + 1.38 * 1.38);
    NEAR(straight_on(1, &coat, &quarter, glass, 550.0), root * root, 1e-15);
    NEAR(root * root, 0.013, 5e-4);
    NEAR(straight_on(1, &coat, &half, glass, 550.0), fresnel(1.52, 0.0), 1e-15);
    NEAR(straight_on(1, &best, &ideal, glass, 550.0), 0.0, 1e-30);
}

/* Two quarter waves: R = ((n0 n2^2 - ns n1^2)/(n0 n2^2 + ns n1^2))^2, n1 outermost (Hecht, section
 * 9.7, from memory). Tells the order of the films. */
Test(film, two_quarter_waves_on_glass)
{
    double complex index[2] = { 1.38, 1.70 };
    double thickness_nm[2] = { 550.0 / (4.0 * 1.38), 550.0 / (4.0 * 1.70) };
    double outer = 1.52 * 1.38 * 1.38, inner = 1.70 * 1.70;
    double root = (inner - outer) / (inner + outer);
    NEAR(straight_on(2, index, thickness_nm, 1.52, 550.0), root * root, 1e-15);
}

/* Energy: nothing is lost in films that do not absorb on a mirror that lets nothing through, and
 * nothing is ever won. */
Test(film, energy_is_conserved)
{
    for (int i = 0; i < 2000; i++) {
        size_t count = 1 + (size_t)(4.0 * chance());
        double complex clear[5], absorbing[5], mirror = 0.5 * I + 6.0 * chance() * I,
                                               metal = 0.05 + 4.0 * chance() + 6.0 * chance() * I;
        double thickness_nm[5];
        for (size_t j = 0; j < count; j++) {
            clear[j] = 1.0 + 3.0 * chance();
            absorbing[j] = clear[j] + chance() * chance() * I;
            thickness_nm[j] = 1000.0 * chance();
        }
        double wavelength_nm = 380.0 + 400.0 * chance();
        NEAR(straight_on(count, clear, thickness_nm, mirror, wavelength_nm), 1.0, 1e-10);
        double lossy = straight_on(count, absorbing, thickness_nm, mirror, wavelength_nm);
        double usual = straight_on(count, absorbing, thickness_nm, metal, wavelength_nm);
        cr_assert(lossy >= 0.0 && lossy <= 1.0 + 1e-12 && usual >= 0.0 && usual < 1.0);
    }
}

/* The recursion holds only decaying exponentials. */
Test(film, thick_absorbing_films_do_not_overflow)
{
    double complex index[3] = { 2.0 + 5.0 * I, 1.5 + 1.0 * I, 3.0 + 9.0 * I };
    double thickness_nm[3] = { 1e6, 1e7, 1e9 };
    NEAR(straight_on(3, index, thickness_nm, 2.9 + 2.9 * I, 550.0), fresnel(2.0, 5.0), 1e-14);
}

/* ---- against the published indices ---- */

/* P. B. Johnson and R. W. Christy, Phys. Rev. B 9 (1974) 5056, at their own wavelengths. */
Test(film, bare_iron_is_fresnel)
{
    table iron = read_table("iron_index.csv");
    cr_assert_eq(iron.rows, 14);
    for (size_t i = 0; i < iron.rows; i++)
        NEAR(reflectance_of(default_film(), 0.0, at(&iron, i, 0)),
             fresnel(at(&iron, i, 1), at(&iron, i, 2)), 1e-14);
    free_table(&iron);
}

/* M. R. Querry, report CRDC-CR-85034 (1985): 1000 nm of his magnetite, five times as absorbing, let
 * next to nothing through to the iron: the bulk is seen. */
Test(film, thick_film_is_bulk_magnetite)
{
    oxt_film *film = film_of(5.0);
    table magnetite = read_table("magnetite_index.csv");
    size_t opaque = 0;
    for (size_t i = 0; i < magnetite.rows; i++) {
        double wavelength_nm = at(&magnetite, i, 0), k = 5.0 * at(&magnetite, i, 2);
        double through = exp(-8.0 * PI * k * 1000.0 / wavelength_nm); /* there and back */
        if (through > 1e-8)
            continue;
        opaque++;
        NEAR(reflectance_of(film, 1000.0, wavelength_nm), fresnel(at(&magnetite, i, 1), k), 1e-4);
    }
    cr_assert(opaque > 20);
    free_table(&magnetite);
    oxt_film_free(film);
}

/* The film is darkest where the waves from its two faces are half a wave apart, and again half a wave
 * of thickness later: lambda/(2 n) (Born and Wolf, section 7.6). The phases of the faces follow from
 * the indices at 550 nm; absorption moves the minima by 0.05 and 0.15 nm. */
Test(film, darkest_where_the_waves_cancel)
{
    const double complex oxide = 2.343 + 0.105 * I; /* Querry, 550 nm */
    const double complex iron = 2.95 + (2.94 - 2.95) / 33.0 +
                                (2.93 + 0.06 / 33.0) * I; /* 549, 582 */
    double complex top = (1.0 - oxide) / (1.0 + oxide), foot = (oxide - iron) / (oxide + iron);
    double turn = fmod(carg(top) - carg(foot) + 3.0 * PI, 2.0 * PI);
    double expected_nm[2], darkest_nm[2] = { 0.0, 0.0 };
    expected_nm[0] = turn * 550.0 / (4.0 * PI * creal(oxide));
    expected_nm[1] = expected_nm[0] + 550.0 / (2.0 * creal(oxide));
    for (int order = 0; order < 2; order++) {
        double least = 1.0;
        for (double x = expected_nm[order] - 40.0; x < expected_nm[order] + 40.0; x += 0.05) {
            double here = reflectance_of(default_film(), fmax(x, 0.0), 550.0);
            if (here < least) {
                least = here;
                darkest_nm[order] = x;
            }
        }
        cr_assert(least < 0.02);
        NEAR(darkest_nm[order], expected_nm[order], order == 0 ? 0.1 : 0.25);
    }
}

/* ---- a film as a whole ---- */

Test(film, reflectance_is_a_share_and_runs_smoothly)
{
    static const double scales[] = { 0.0, 1.0, 5.0 };
    for (int i = 0; i < 3; i++) {
        oxt_film *film = film_of(scales[i]);
        for (double wavelength_nm = 380.0; wavelength_nm <= 780.0; wavelength_nm += 20.0) {
            double before = reflectance_of(film, 0.0, wavelength_nm);
            for (double x = 0.5; x <= OXT_THICKNESS_HIGH_NM; x += 0.5) {
                double here = reflectance_of(film, x, wavelength_nm);
                cr_assert(here >= 0.0 && here <= 1.0);
                /* R turns from end to end at most once in a quarter wave of thickness */
                cr_assert(fabs(here - before) < PI * 2.0 * 2.5 / wavelength_nm);
                before = here;
            }
        }
        oxt_film_free(film);
    }
}

/* Tables are read along straight lines: half way between two rows lies the mean index. Iron at 549
 * and 582 nm: Johnson and Christy (1974). */
Test(film, indices_are_linear_between_rows)
{
    NEAR(reflectance_of(default_film(), 0.0, 565.5), fresnel(2.945, 2.96), 1e-12);
    NEAR(reflectance_of(default_film(), 0.0, 780.0),
         fresnel(2.87 + 24.0 / 65.0 * 0.07, 3.28 + 24.0 / 65.0 * 0.11), 1e-12);
}

/* CIE 15:2018, table 3: chromaticity of D65 for the 2 degree observer. */
Test(film, white_is_d65)
{
    oxt_error error = OXT_ERROR_INIT;
    double white[3], lab[3];
    OK(oxt_light_white(OXT_ILLUMINANT_D65, OXT_OBSERVER_1931_2_DEGREE, white, &error));
    double sum = white[0] + white[1] + white[2];
    NEAR(white[0] / sum, 0.3127, 5e-5);
    NEAR(white[1] / sum, 0.3290, 5e-5);
    NEAR(white[1], 100.0, 1e-10);
    OK(oxt_lab_from_xyz(white, white, lab, &error));
    NEAR(lab[0], 100.0, 1e-10);
    /* and so white on a screen, to the fourth digit of the sRGB matrix */
    double srgb[3];
    char text[8];
    OK(oxt_srgb_from_xyz(white, OXT_GAMUT_CLIP, srgb, NULL, &error));
    for (int i = 0; i < 3; i++)
        NEAR(srgb[i], 1.0, 2e-4);
    OK(oxt_format_srgb(srgb, text, sizeof text, NULL, &error));
    cr_assert_str_eq(text, "#ffffff");
}

/* Each number of an independent implementation (see the file) to its printed digits. */
Test(film, agrees_with_an_independent_implementation)
{
    oxt_error error = OXT_ERROR_INIT;
    table rows = read_table("film_colour.csv");
    cr_assert_eq(rows.rows, 33);
    for (size_t i = 0; i < rows.rows; i++) {
        double x = at(&rows, i, 0), xyz[3], lab[3];
        for (int j = 0; j < 3; j++)
            NEAR(reflectance_of(default_film(), x, 450.0 + 100.0 * j), at(&rows, i, 1 + (size_t)j),
                 5.1e-7);
        OK(oxt_film_colours(default_film(), OXT_SPACE_XYZ, 1, &(double){ x }, 0, xyz, NULL, NULL,
                            &error));
        OK(oxt_film_colour(default_film(), OXT_SPACE_LAB, x, lab, NULL, &error));
        for (size_t j = 0; j < 3; j++) {
            NEAR(xyz[j], at(&rows, i, 4 + j), 5.1e-5);
            NEAR(lab[j], at(&rows, i, 7 + j), 5.1e-5);
        }
        double hue = atan2(lab[2], lab[1]) * 180.0 / PI;
        NEAR(remainder(hue - at(&rows, i, 11), 360.0), 0.0, 5.1e-4);
    }
    free_table(&rows);
}

/* XYZ, Lab and sRGB of one film are one colour. */
Test(film, the_three_colours_agree)
{
    oxt_error error = OXT_ERROR_INIT;
    double white[3];
    OK(oxt_light_white(OXT_ILLUMINANT_D65, OXT_OBSERVER_1931_2_DEGREE, white, &error));
    int outside = 0;
    for (double x = 0.0; x <= OXT_THICKNESS_HIGH_NM; x += 3.7) {
        double xyz[3], lab[3], srgb[3], expected[3];
        int clipped, flag;
        OK(oxt_film_colours(default_film(), OXT_SPACE_XYZ, 1, &(double){ x }, 0, xyz, NULL, NULL,
                            &error));
        OK(oxt_film_colour(default_film(), OXT_SPACE_LAB, x, lab, NULL, &error));
        OK(oxt_film_colour(default_film(), OXT_SPACE_SRGB, x, srgb, &clipped, &error));
        OK(oxt_lab_from_xyz(xyz, white, expected, &error));
        for (int j = 0; j < 3; j++)
            NEAR(lab[j], expected[j], 1e-12);
        OK(oxt_srgb_from_xyz(xyz, OXT_GAMUT_KEEP_HUE, expected, &flag, &error));
        cr_assert(memcmp(srgb, expected, sizeof srgb) == 0 && clipped == flag);
        outside += clipped;
    }
    cr_assert(outside > 0); /* the blues are too deep for a screen */
}

/* More wavelengths than are computed at a time, in any order, and none. */
Test(film, any_wavelengths_equal_one_by_one)
{
    enum { MANY = 500 };
    oxt_error error = OXT_ERROR_INIT;
    double wavelength_nm[MANY], R[MANY + 1];
    oxt_film *films[2] = { film_of(1.0), film_of_grade(OXT_FINISH_SATIN, NULL) };
    for (int i = 0; i < MANY; i++)
        wavelength_nm[i] = i == 0 ? 780.0 : 380.0 + 400.0 * chance();
    for (int i = 0; i < 2; i++) {
        for (size_t n = 0; n <= MANY; n += n < 3 ? 1 : n == 3 ? 77 : n == 80 ? 1 : 419) {
            R[n] = -1.0;
            OK(oxt_film_reflectance(films[i], 77.7, n, wavelength_nm, R, &error));
            cr_assert_eq(R[n], -1.0);
            for (size_t j = 0; j < n; j++)
                NEAR(R[j], reflectance_of(films[i], 77.7, wavelength_nm[j]), 1e-14);
        }
        oxt_film_free(films[i]);
    }
}

Test(film, many_equal_one_by_one)
{
    enum { COUNT = 30 };
    oxt_error error = OXT_ERROR_INIT;
    const oxt_film *film = default_film();
    double x[COUNT], lab[COUNT][3], srgb[COUNT][3], one[3];
    int clipped[COUNT], flag;
    size_t failed = 99;
    for (int i = 0; i < COUNT; i++)
        x[i] = 9.0 * i;
    OK(oxt_film_colours(film, OXT_SPACE_LAB, COUNT, x, 8, lab[0], NULL, &failed, &error));
    OK(oxt_film_colours(film, OXT_SPACE_SRGB, COUNT, x, 8, srgb[0], clipped, NULL, &error));
    cr_assert_eq(failed, 0);
    for (int i = 0; i < COUNT; i++) {
        OK(oxt_film_colour(film, OXT_SPACE_LAB, x[i], one, NULL, &error));
        cr_assert_eq(memcmp(one, lab[i], sizeof one), 0);
        OK(oxt_film_colour(film, OXT_SPACE_SRGB, x[i], one, &flag, &error));
        cr_assert(memcmp(one, srgb[i], sizeof one) == 0 && clipped[i] == flag);
    }
    x[3] = -0.1;
    x[20] = 1000.1;
    FAILS(oxt_film_colours(film, OXT_SPACE_LAB, COUNT, x, 8, lab[0], NULL, &failed, &error),
          OXT_EDOMAIN);
    cr_assert(failed == 2 && error.row == 4 && error.value == -0.1);
    cr_assert(isnan(lab[3][0]) && isnan(lab[3][1]) && isnan(lab[20][2]) && isfinite(lab[21][0]));
    FAILS(oxt_film_colours(film, OXT_SPACE_SRGB, COUNT, x, 8, srgb[0], clipped, &failed, &error),
          OXT_EDOMAIN);
    cr_assert(failed == 2 && isnan(srgb[20][1]) && clipped[20] == 0);
    OK(oxt_film_colours(film, OXT_SPACE_LAB, 3, x + 5, 0, lab[0], NULL, NULL, &error));
    cr_assert_eq(memcmp(lab[0], lab[2], sizeof one), 0);
    OK(oxt_film_colours(film, OXT_SPACE_LAB, 0, NULL, 0, NULL, NULL, &failed, &error));
    cr_assert_eq(failed, 0);
}

/* ---- how far the optical constants matter ---- */

static double end_of(const oxt_film *film, const char *name, double *chroma)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_tint tint = OXT_TINT_INIT;
    double lab[3];
    OK(oxt_tint_find(film, name, &tint, &error));
    OK(oxt_film_colour(film, OXT_SPACE_LAB, tint.high_nm, lab, NULL, &error));
    *chroma = hypot(lab[1], lab[2]);
    return tint.high_nm;
}

/* Magnetite films are said to absorb up to about four times as much as Querry's bulk sample (common
 * practice, no source). Measured with this stack: the ends of dark straw (where the hue has turned from
 * yellow), brown and purple (hue 30 and 310 degrees) move up by 1.4, 2.8 and 4.5 nm, that is by 10 % at most. It holds no further:
 * the ends of dark blue and blue move by 11.5 and 20.6 nm (22 % and 33 %), as their chroma falls and
 * the hue of a pale colour is decided by little. */
Test(film, early_hues_hardly_depend_on_absorption)
{
    static const struct {
        const char *name;
        double moves_nm;
    } edges[] = { { "dark straw", 1.37 },
                  { "brown", 2.8 },
                  { "purple", 4.5 },
                  { "dark blue", 11.5 },
                  { "blue", 20.6 } };
    oxt_film *dense = film_of(4.0);
    for (int i = 0; i < 5; i++) {
        double clear_chroma, dense_chroma;
        double clear_nm = end_of(default_film(), edges[i].name, &clear_chroma);
        double dense_nm = end_of(dense, edges[i].name, &dense_chroma);
        NEAR(dense_nm - clear_nm, edges[i].moves_nm, 0.06);
        if (i < 3)
            cr_assert(dense_nm / clear_nm < 1.101 && dense_nm > clear_nm);
        if (i >= 2)
            cr_assert(dense_chroma < 0.75 * clear_chroma, "%s", edges[i].name);
    }
    oxt_film_free(dense);
}

/* The chroma of the most vivid film falls the more the film absorbs. */
Test(film, absorption_takes_the_chroma)
{
    oxt_error error = OXT_ERROR_INIT;
    double before = HUGE_VAL;
    for (double scale = 1.0; scale <= 5.0; scale += 0.5) {
        oxt_film *film = film_of(scale);
        double most = 0.0;
        for (double x = 40.0; x < 230.0; x += 0.5) {
            double lab[3];
            OK(oxt_film_colour(film, OXT_SPACE_LAB, x, lab, NULL, &error));
            most = fmax(most, hypot(lab[1], lab[2]));
        }
        cr_assert(most < before, "scale %g: %g after %g", scale, most, before);
        before = most;
        oxt_film_free(film);
    }
}

/* ---- options and description ---- */

Test(film, every_absorption_in_range_makes_a_film)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    static const double bad[] = { NAN, INFINITY, -0.001, 5.001 };
    for (int i = 0; i <= 50; i++)
        oxt_film_free(film_of(i / 10.0));
    for (int i = 0; i < 4; i++) {
        oxt_film *film;
        options.absorption_scale = bad[i];
        FAILS(oxt_film_new(&film, &options, &error), OXT_EDOMAIN);
        cr_assert_null(film);
    }
    oxt_film_free(NULL);
}

/* Two films with the same description give the same colours; two with different ones do not. */
Test(film, description_tells_films_apart)
{
    oxt_error error = OXT_ERROR_INIT;
    static const double scales[] = { 0.0, 1.0, 1.0, 1.0000001, 1.0000002, 1.5, 1.5000001, 5.0 };
    enum { COUNT = 8 };
    oxt_film *films[COUNT];
    char words[COUNT][128];
    double lab[COUNT][3];
    for (int i = 0; i < COUNT; i++) {
        films[i] = film_of(scales[i]);
        size_t needed;
        OK(oxt_film_description(films[i], words[i], 128, &needed, &error));
        cr_assert(needed <= 127 && strlen(words[i]) == needed);
        OK(oxt_film_colour(films[i], OXT_SPACE_LAB, 157.0, lab[i], NULL, &error));
        for (int j = 0; j < i; j++)
            cr_assert_eq(strcmp(words[i], words[j]) == 0,
                         memcmp(lab[i], lab[j], sizeof lab[i]) == 0, "'%s' '%s'", words[i],
                         words[j]);
    }
    cr_assert_str_eq(words[2],
                     "air | magnetite | iron at normal incidence, D65, 2 degree, optics 1");
    for (int i = 0; i < COUNT; i++)
        oxt_film_free(films[i]);
}

/* Lab of an sRGB colour, by the white of sRGB itself: IEC 61966-2-1. */
static void lab_on_screen(const double srgb[3], double lab[3])
{
    oxt_error error = OXT_ERROR_INIT;
    double xyz[3], white[3];
    OK(oxt_xyz_from_srgb((const double[3]){ 1.0, 1.0, 1.0 }, white, &error));
    OK(oxt_xyz_from_srgb(srgb, xyz, &error));
    OK(oxt_lab_from_xyz(xyz, white, lab, &error));
}

/* A screen shows what the eye, adapted to the lamp, sees: grey iron is grey in lamplight too. Against matrices over
 * the published tables and the published adaptation, in each light; and a colour typed as sRGB is that film. */
Test(film, srgb_is_of_the_adapted_eye_in_every_light)
{
    oxt_error error = OXT_ERROR_INIT;
    static const oxt_illuminant lights[] = { OXT_ILLUMINANT_A, OXT_ILLUMINANT_D50,
                                             OXT_ILLUMINANT_LED_B3 };
    for (size_t i = 0; i < sizeof lights / sizeof lights[0]; i++) {
        oxt_film_options options = OXT_FILM_OPTIONS_INIT;
        options.illuminant = lights[i];
        oxt_film *film = film_with(&options);
        int shown = 0;
        for (double x = 0.0; x < 90.0; x += 6.0) {
            double srgb[3], wanted[3], found[3], off;
            int clipped;
            char text[8];
            OK(oxt_film_colour(film, OXT_SPACE_SRGB, x, srgb, &clipped, &error));
            daylight_lab_by_matrices(lights[i], x, wanted);
            if (clipped)
                continue;
            shown++;
            lab_on_screen(srgb, found);
            OK(oxt_delta_e2000(1, found, 0, wanted, 0, &off, NULL, &error));
            cr_assert(off < 0.1, "light %d, %g nm: off by %g", (int)lights[i], x, off);
            if (x < 24.0 || x > 72.0)
                continue; /* too near to the ends of the names for a target */
            OK(oxt_format_srgb(srgb, text, sizeof text, NULL, &error));
            oxt_target target = OXT_TARGET_INIT;
            OK(oxt_tint_target(film, text, &target, &error));
            NEAR(target.aim_nm, x, 1.0);
        }
        cr_assert(shown > 8);
        oxt_film_free(film);
    }
}

/* What is not the default stands in the description. */
Test(film, description_says_what_is_set)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    oxt_film *film;
    char words[128];
    options.angle_deg = 30.0;
    options.polarisation = OXT_POLARISATION_S;
    options.illuminant = OXT_ILLUMINANT_A;
    options.observer = OXT_OBSERVER_1964_10_DEGREE;
    OK(oxt_film_new(&film, &options, &error));
    OK(oxt_film_description(film, words, sizeof words, NULL, &error));
    cr_assert(strstr(words, "magnetite") && strstr(words, "iron, 30 deg s, A, 10 degree"), "%s",
              words);
    /* its mark, with which cards are compared, is that of earlier releases and of every machine */
    cr_assert(strstr(words, "optics 1-36fa8922"), "%s", words);
    oxt_film_free(film);
}

Test(film, inputs_out_of_range_are_refused)
{
    static const double bad[] = { NAN, INFINITY, -1e-9, 1000.001 };
    oxt_error error = OXT_ERROR_INIT;
    const oxt_film *film = default_film();
    double three[3], wavelength_nm[3] = { 400.0, 500.0, 600.0 }, found[3] = { -7.0, -7.0, -7.0 };
    for (int i = 0; i < 4; i++) {
        FAILS(oxt_film_colours(film, OXT_SPACE_XYZ, 1, &(double){ bad[i] }, 0, three, NULL, NULL,
                               &error),
              OXT_EDOMAIN);
        FAILS(oxt_film_colour(film, OXT_SPACE_LAB, bad[i], three, NULL, &error), OXT_EDOMAIN);
        FAILS(oxt_film_colour(film, OXT_SPACE_SRGB, bad[i], three, NULL, &error), OXT_EDOMAIN);
        FAILS(oxt_film_reflectance(film, bad[i], 3, wavelength_nm, found, &error), OXT_EDOMAIN);
        wavelength_nm[2] = bad[i];
        FAILS(oxt_film_reflectance(film, 50.0, 3, wavelength_nm, found, &error), OXT_EDOMAIN);
        cr_assert_str_eq(error.parameter, "wavelength_nm");
        wavelength_nm[2] = 600.0;
    }
    wavelength_nm[0] = 379.99;
    FAILS(oxt_film_reflectance(film, 50.0, 3, wavelength_nm, found, &error), OXT_EDOMAIN);
    cr_assert(found[0] == -7.0 && found[2] == -7.0);
}
