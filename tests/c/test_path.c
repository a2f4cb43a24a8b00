/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The prepared path of colours against the full computation, and differences between films. */
#include <string.h>

#include "optics.h"
#include "support.h"

typedef struct {
    const char *name;
    oxt_finish grade;
    double coat_index;
    oxt_illuminant illuminant;
    oxt_observer observer;
} scene;

static const scene scenes[] = {
    { "default", OXT_FINISH_MIRROR, 0.0, OXT_ILLUMINANT_D65, OXT_OBSERVER_1931_2_DEGREE },
    { "matte", OXT_FINISH_MATTE, 0.0, OXT_ILLUMINANT_D65, OXT_OBSERVER_1931_2_DEGREE },
    { "oil", OXT_FINISH_MIRROR, OXT_OIL_INDEX, OXT_ILLUMINANT_D65, OXT_OBSERVER_1931_2_DEGREE },
    { "LED", OXT_FINISH_MIRROR, 0.0, OXT_ILLUMINANT_LED_B3, OXT_OBSERVER_1931_2_DEGREE },
    { "violet LED, 10 degree", OXT_FINISH_MIRROR, 0.0, OXT_ILLUMINANT_LED_V1,
      OXT_OBSERVER_1964_10_DEGREE },
};
enum { SCENES = sizeof scenes / sizeof scenes[0] };

static oxt_film *film_of_scene(int index)
{
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    options.coat_index = scenes[index].coat_index;
    options.illuminant = scenes[index].illuminant;
    options.observer = scenes[index].observer;
    return film_of_grade(scenes[index].grade, &options);
}

static double path_error(const oxt_film *film, double thickness_nm)
{
    oxt_error error = OXT_ERROR_INIT;
    double full[3], quick[3], found;
    OK(oxt_film_colour(film, OXT_SPACE_LAB, thickness_nm, full, NULL, &error));
    OK(oxt_film_colours(film, OXT_SPACE_PATH_LAB, 1, &thickness_nm, 0, quick, NULL, NULL, &error));
    OK(oxt_delta_e2000(1, full, 0, quick, 0, &found, NULL, &error));
    return found;
}

/* film.h promises 0.02. Between points of 0.5 nm, at places that do not repeat in the steps; the ends
 * of the path, where the splines are loosest, closer. */
Test(path, is_within_its_bound_of_the_full_computation)
{
    for (int i = 0; i < SCENES; i++) {
        oxt_film *film = film_of_scene(i);
        double worst = 0.0;
        for (double x = 0.0; x <= OXT_PATH_HIGH_NM; x += x < 5.0 || x > 395.0 ? 0.0731 : 0.3373)
            worst = fmax(worst, path_error(film, x));
        worst = fmax(worst, path_error(film, OXT_PATH_HIGH_NM));
        cr_assert(worst <= 0.002, "%s: %g", scenes[i].name, worst);
        oxt_film_free(film);
    }
}

/* As rough as a film may be, whose spread reaches twelve times as far as the path. */
Test(path, is_within_its_bound_on_the_roughest_surface)
{
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    options.thickness_spread = 0.5;
    options.angle_spread_deg = 40.0;
    options.angle_deg = 60.0;
    oxt_film *film = film_with(&options);
    for (double x = 0.0; x <= OXT_PATH_HIGH_NM; x += 3.37)
        cr_assert(path_error(film, x) <= 0.002, "%g nm: %g", x, path_error(film, x));
    oxt_film_free(film);
}

/* Lab, XYZ and sRGB of the path are one colour, in every light; from thicknesses that
 * lie apart in memory. */
Test(path, the_three_colours_agree)
{
    enum { COUNT = 40 };
    for (int i = 0; i < SCENES; i++) {
        oxt_error error = OXT_ERROR_INIT;
        oxt_film *film = film_of_scene(i);
        struct {
            double thickness_nm, between[3];
        } rows[COUNT];
        double lab[COUNT][3], xyz[COUNT][3], srgb[COUNT][3];
        int flags[COUNT];
        size_t failed = 99;
        double white[3], daylight[3], expected[3];
        memset(rows, 0x22, sizeof rows);
        for (int j = 0; j < COUNT; j++)
            rows[j].thickness_nm = OXT_PATH_HIGH_NM * j / (COUNT - 1);
        OK(oxt_film_colours(film, OXT_SPACE_PATH_LAB, COUNT, &rows->thickness_nm, sizeof *rows,
                            lab[0], NULL, &failed, &error));
        OK(oxt_film_colours(film, OXT_SPACE_PATH_XYZ, COUNT, &rows->thickness_nm, sizeof *rows,
                            xyz[0], NULL, NULL, &error));
        OK(oxt_film_colours(film, OXT_SPACE_PATH_SRGB, COUNT, &rows->thickness_nm, sizeof *rows,
                            srgb[0], flags, NULL, &error));
        cr_assert_eq(failed, 0);
        OK(oxt_light_white(scenes[i].illuminant, scenes[i].observer, white, &error));
        OK(oxt_light_white(OXT_ILLUMINANT_D65, OXT_OBSERVER_1931_2_DEGREE, daylight, &error));
        for (int j = 0; j < COUNT; j++) {
            int flag;
            OK(oxt_lab_from_xyz(xyz[j], white, expected, &error));
            for (int k = 0; k < 3; k++)
                NEAR(lab[j][k], expected[k], 1e-12);
            OK(oxt_light_adapt(xyz[j], white, daylight, expected, &error));
            OK(oxt_srgb_from_xyz(expected, OXT_GAMUT_KEEP_HUE, expected, &flag, &error));
            for (int k = 0; k < 3; k++)
                NEAR(srgb[j][k], expected[k], 1e-8);
            cr_assert_eq(flag, flags[j]);
        }
        oxt_film_free(film);
    }
}

Test(path, elements_beyond_it_fail_alone)
{
    oxt_error error = OXT_ERROR_INIT;
    double x[6] = { 0.0, 400.0001, 60.0, NAN, -1e-9, 400.0 }, out[6][3];
    int flags[6];
    size_t failed = 0;
    static const oxt_colour_space spaces[] = { OXT_SPACE_PATH_LAB, OXT_SPACE_PATH_XYZ };
    for (int i = 0; i < 2; i++) {
        FAILS(oxt_film_colours(default_film(), spaces[i], 6, x, 8, out[0], NULL, &failed, &error),
              OXT_EDOMAIN);
        cr_assert(failed == 3 && error.row == 2 && error.high == OXT_PATH_HIGH_NM);
        cr_assert(isnan(out[1][0]) && isnan(out[3][1]) && isnan(out[4][2]));
        cr_assert(isfinite(out[0][0]) && isfinite(out[2][0]) && isfinite(out[5][2]));
        OK(oxt_film_colours(default_film(), spaces[i], 2, x + 2, 0, out[0], NULL, &failed, &error));
        cr_assert(failed == 0 && memcmp(out[0], out[1], sizeof out[0]) == 0);
        OK(oxt_film_colours(default_film(), spaces[i], 0, NULL, 0, NULL, NULL, &failed, &error));
    }
    FAILS(oxt_film_colours(default_film(), OXT_SPACE_PATH_SRGB, 6, x, 8, out[0], flags, &failed,
                           &error),
          OXT_EDOMAIN);
    cr_assert(failed == 3 && flags[1] == 0 && isnan(out[1][0]) && isfinite(out[5][0]));
}

/* ---- differences ---- */

static double difference(const oxt_film *one, const oxt_film *two, double thickness_nm)
{
    oxt_error error = OXT_ERROR_INIT;
    double found;
    OK(oxt_film_difference(one, two, thickness_nm, &found, &error));
    return found;
}

Test(path, difference_is_0_to_itself_and_the_same_both_ways)
{
    oxt_film *films[SCENES];
    for (int i = 0; i < SCENES; i++)
        films[i] = film_of_scene(i);
    for (double x = 0.0; x <= 1000.0; x += x < 230.0 ? 5.0 : 110.0)
        for (int i = 0; i < SCENES; i++)
            for (int j = 0; j <= i; j++) {
                double forth = difference(films[i], films[j], x);
                if (i == j)
                    cr_assert_eq(forth, 0.0);
                else
                    cr_assert(forth > 0.0);
                NEAR(difference(films[j], films[i], x), forth, 1e-11);
            }
    for (int i = 0; i < SCENES; i++)
        oxt_film_free(films[i]);
}

/* Metamerism, adapted to D65 by CAT16, over the films of 5 to 230 nm: CIEDE2000 against characteristic
 * matrices over the published tables. Measured, in the mean and at most: D50 1.154 and 2.938, A 4.081 and
 * 9.364, FL2 4.763 and 10.596, FL11 3.420 and 9.779, LED-B3 3.075 and 7.557, LED-V1 4.000 and 8.121. */
Test(path, workshop_light_moves_the_colour)
{
    for (int light = OXT_ILLUMINANT_D50; light <= OXT_ILLUMINANT_LED_V1; light++) {
        oxt_error error = OXT_ERROR_INIT;
        oxt_film_options options = OXT_FILM_OPTIONS_INIT;
        options.illuminant = (oxt_illuminant)light;
        oxt_film *film = film_with(&options);
        for (int x = 5; x <= 230; x += 3) {
            double daylight[3], workshop[3], expected;
            daylight_lab_by_matrices(OXT_ILLUMINANT_D65, x, daylight);
            daylight_lab_by_matrices((oxt_illuminant)light, x, workshop);
            OK(oxt_delta_e2000(1, daylight, 0, workshop, 0, &expected, NULL, &error));
            NEAR(difference(default_film(), film, x), expected, 1e-5);
        }
        oxt_film_free(film);
    }
}
