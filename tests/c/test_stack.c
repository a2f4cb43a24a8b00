/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reflectance of stacks at any angle and polarisation. */
#include <stdint.h>
#include <string.h>

#include "optics.h"
#include "base/vector.h"
#include "support.h"

static const double DEGREE = 3.14159265358979323846 / 180.0;

static light_ray ray_at(double ambient, double angle_deg, bool in_plane, double wavelength_nm)
{
    return (light_ray){ ambient * sin(angle_deg * DEGREE), in_plane, wavelength_nm };
}

static light_ray random_ray(double ambient, double steepest_deg)
{
    return ray_at(ambient, steepest_deg * chance(), chance() < 0.5, 380.0 + 400.0 * chance());
}

/* Up to five films on a metal or a mineral. `absorption` is the largest k of a film. */
static sheets random_stack(double absorption, double thickest_nm)
{
    sheets made = { 1 + (size_t)(5.0 * chance()), { 0 }, { 0 }, 0.0, 1.0 + 0.7 * chance() };
    for (size_t i = 0; i < made.count; i++) {
        made.index[i] = 1.3 + 2.5 * chance() + absorption * chance() * I;
        made.thickness_nm[i] = thickest_nm * chance();
    }
    made.substrate = 0.2 + 4.0 * chance() + 5.0 * chance() * I;
    return made;
}

/* Fresnel at an angle by Snell's law, as M. Born and E. Wolf, Principles of Optics, section 1.5, have
 * it; the angle inside may be complex. */
static double fresnel_at(double ambient, double complex index, const light_ray *ray)
{
    double outside = sqrt(1.0 - pow(ray->across / ambient, 2.0));
    double complex inside = csqrt(1.0 - ray->across * ray->across / (index * index));
    double complex a = ray->in_plane ? index * outside : ambient * outside;
    double complex b = ray->in_plane ? ambient * inside : index * inside;
    double complex r = (a - b) / (a + b);
    return creal(r * conj(r));
}

/* ---- phases ---- */

/* Against the mathematical library, which is good to rounding itself, and whose cosine of a rounded
 * angle is as exact as one can be. */
Test(stack, phases_are_exponentials_to_rounding)
{
    enum { COUNT = 81, ROUNDS = 1000 };
    for (int round = 0; round < ROUNDS; round++) {
        double decay[COUNT], turn[COUNT], re[COUNT], im[COUNT];
        double way = pow(10.0, 6.0 * chance() - 3.0);
        for (int i = 0; i < COUNT; i++) {
            decay[i] = -0.5 * chance();
            turn[i] = 0.5 * (round % 2 ? 1.0 : -1.0) * chance();
        }
        oxt_i_phases(COUNT, decay, turn, way, re, im);
        for (int i = 0; i < COUNT; i++) {
            double size = exp2(way * decay[i]), angle = 180.0 * DEGREE * fmod(way * turn[i], 2.0);
            NEAR(re[i], size * cos(angle), 1e-15 * size + 1e-300);
            NEAR(im[i], size * sin(angle), 1e-15 * size + 1e-300);
        }
    }
}

/* Without a way nothing changes, and no decay is too strong. */
Test(stack, phases_at_the_ends)
{
    const double decay[5] = { -0.0, -3.0, -7.45e2, -1e5, -1e9 };
    const double turn[5] = { 0.5, -2.0, 1e3, 1.0, 7.0 };
    double re[5], im[5];
    oxt_i_phases(5, decay, turn, 0.0, re, im);
    for (int i = 0; i < 5; i++)
        cr_assert(re[i] == 1.0 && im[i] == 0.0);
    oxt_i_phases(5, decay, turn, 1.0, re, im);
    for (int i = 2; i < 5; i++)
        cr_assert(fabs(re[i]) < 1e-150 && fabs(im[i]) < 1e-150, "%g %g", re[i], im[i]);
}

/* ---- limits ---- */

Test(stack, films_without_thickness_are_not_there)
{
    for (int i = 0; i < 500; i++) {
        sheets stack = random_stack(2.0, 0.0);
        light_ray ray = random_ray(stack.ambient, 89.0);
        double bare = fresnel_at(stack.ambient, stack.substrate, &ray);
        NEAR(by_recursion(&stack, &ray), bare, 1e-12);
        stack.count = 0;
        NEAR(by_recursion(&stack, &ray), bare, 1e-13);
    }
}

Test(stack, straight_on_s_and_p_are_one)
{
    for (int i = 0; i < 500; i++) {
        sheets stack = random_stack(2.0, 300.0);
        light_ray s = { 0.0, false, 380.0 + 400.0 * chance() }, p = { 0.0, true, s.wavelength_nm };
        NEAR(by_recursion(&stack, &p), by_recursion(&stack, &s), 1e-13);
    }
}

Test(stack, thick_absorbing_film_is_bulk)
{
    for (int i = 0; i < 500; i++) {
        sheets stack = random_stack(2.0, 300.0);
        light_ray ray = random_ray(stack.ambient, 89.0);
        stack.index[0] += 0.5 * I;
        stack.thickness_nm[0] = 1e5;
        NEAR(by_recursion(&stack, &ray), fresnel_at(stack.ambient, stack.index[0], &ray), 1e-12);
    }
}

/* Brewster's angle, at which glass of 1.5 reflects no light in the plane of incidence:
 * tan(angle) = n, 56.3 degrees, where R_s = ((n^2 - 1)/(n^2 + 1))^2 (Born and Wolf, section 1.5.3). */
Test(stack, brewster_angle_of_glass)
{
    sheets glass = { 0, { 0 }, { 0 }, 1.5, 1.0 };
    double angle_deg = atan(1.5) / DEGREE;
    light_ray p = ray_at(1.0, angle_deg, true, 550.0), s = ray_at(1.0, angle_deg, false, 550.0);
    NEAR(angle_deg, 56.31, 0.005);
    NEAR(by_recursion(&glass, &p), 0.0, 1e-30);
    NEAR(by_recursion(&glass, &s), pow(1.25 / 3.25, 2.0), 1e-14);
    p = ray_at(1.0, angle_deg + 1.0, true, 550.0);
    cr_assert(by_recursion(&glass, &p) > 1e-5);
}

/* Grazing light is reflected whole, whatever lies there (Born and Wolf, section 1.5.2). */
Test(stack, grazing_light_is_reflected_whole)
{
    for (int i = 0; i < 200; i++) {
        sheets stack = random_stack(1.0, 200.0);
        bool in_plane = chance() < 0.5;
        double wavelength_nm = 380.0 + 400.0 * chance(), before = 1.0;
        for (double away_deg = 1e-6; away_deg < 2e-2; away_deg *= 10.0) {
            light_ray ray = ray_at(stack.ambient, 90.0 - away_deg, in_plane, wavelength_nm);
            double here = by_recursion(&stack, &ray);
            cr_assert(here < before && 1.0 - here < 50.0 * away_deg * DEGREE);
            before = here;
        }
    }
}

/* A quarter wave along the slope of the ray: R = ((y0 ys - y1^2)/(y0 ys + y1^2))^2 with the tilted
 * admittances n cos(angle) for s and n/cos(angle) for p (H. A. Macleod, Thin-Film Optical Filters,
 * chapter 2, from memory). */
Test(stack, tilted_quarter_wave_on_glass)
{
    for (double angle_deg = 0.0; angle_deg < 88.0; angle_deg += 7.3)
        for (int in_plane = 0; in_plane < 2; in_plane++) {
            light_ray ray = ray_at(1.0, angle_deg, in_plane, 550.0);
            double cosine[3], y[3], index[3] = { 1.0, 1.38, 1.52 };
            for (int i = 0; i < 3; i++) {
                cosine[i] = sqrt(1.0 - pow(ray.across / index[i], 2.0));
                y[i] = in_plane ? index[i] / cosine[i] : index[i] * cosine[i];
            }
            sheets coat = { 1, { 1.38 }, { 550.0 / (4.0 * 1.38 * cosine[1]) }, 1.52, 1.0 };
            double root = (y[0] * y[2] - y[1] * y[1]) / (y[0] * y[2] + y[1] * y[1]);
            NEAR(by_recursion(&coat, &ray), root * root, 1e-13);
            coat.thickness_nm[0] *= 2.0; /* a half wave is not seen */
            NEAR(by_recursion(&coat, &ray), fresnel_at(1.0, 1.52, &ray), 1e-13);
        }
}

/* ---- energy ---- */

Test(stack, what_is_not_reflected_goes_through_clear_films)
{
    for (int i = 0; i < 2000; i++) {
        sheets stack = random_stack(0.0, 500.0);
        light_ray ray = random_ray(stack.ambient, 80.0);
        stack.substrate = 1.7 + creal(stack.substrate); /* the ray goes on in it */
        shares_of_light shares = by_matrices(&stack, &ray);
        cr_assert(shares.absorbed == 0.0 && shares.transmitted > 0.0);
        NEAR(by_recursion(&stack, &ray) + shares.transmitted, 1.0, 1e-10);
    }
}

Test(stack, light_that_is_reflected_absorbed_or_let_through_is_all)
{
    double most = 0.0;
    for (int i = 0; i < 200; i++) {
        sheets stack = random_stack(0.6, 150.0);
        light_ray ray = random_ray(stack.ambient, 80.0);
        stack.substrate = 1.7 + creal(stack.substrate);
        shares_of_light shares = by_matrices(&stack, &ray);
        NEAR(by_recursion(&stack, &ray) + shares.transmitted + shares.absorbed, 1.0, 1e-8);
        most = fmax(most, shares.absorbed);
    }
    cr_assert(most > 0.8); /* some of them are black */
}

/* Nothing is won on any metal, at any angle, in films up to the thickest. */
Test(stack, reflectance_is_a_share)
{
    for (int i = 0; i < 20000; i++) {
        sheets stack = random_stack(i % 2 ? 3.0 : 0.0, 1000.0);
        light_ray ray = random_ray(stack.ambient, 90.0);
        double found = by_recursion(&stack, &ray);
        cr_assert(found >= 0.0 && found <= 1.0 + 1e-12, "%.17g", found);
    }
}

/* A tenth of the films' thickness in steps: R moves by no more than the phases turn, which is at
 * most 4 pi n/wavelength radians for a nanometre, and each film's share of R is at most 1. */
Test(stack, reflectance_runs_smoothly_in_thickness)
{
    for (int i = 0; i < 300; i++) {
        sheets stack = random_stack(1.0, 200.0);
        light_ray ray = random_ray(stack.ambient, 85.0);
        double before = by_recursion(&stack, &ray);
        size_t grown = (size_t)(chance() * (double)stack.count);
        double steepest = 4.0 * 3.1416 * cabs(stack.index[grown]) / ray.wavelength_nm;
        for (int step = 0; step < 100; step++) {
            stack.thickness_nm[grown] += 0.1;
            double here = by_recursion(&stack, &ray);
            cr_assert(fabs(here - before) <= 0.1 * steepest, "by %g", here - before);
            before = here;
        }
    }
}

/* ---- against characteristic matrices ---- */

Test(stack, recursion_equals_matrices)
{
    double worst = 0.0;
    for (int i = 0; i < 3000; i++) {
        sheets stack = random_stack(i % 3 ? 0.8 : 0.0, 400.0);
        light_ray ray = random_ray(stack.ambient, 89.0);
        worst = worse(worst, by_recursion(&stack, &ray) - by_matrices(&stack, &ray).reflected);
    }
    measured("matrices", worst, -HUGE_VAL, 1e-10);
}

/* Magnetite with hematite on the outside, on iron, and chromium oxide's metal under a clear film. */
static const struct {
    size_t count;
    const char *layers[3], *substrate;
    double shares[3], absorption_scale;
} recipes[] = {
    { 1, { "magnetite" }, "iron", { 1.0 }, 1.0 },
    { 2, { "hematite", "magnetite" }, "iron", { 0.1, 0.9 }, 1.0 },
    { 3, { "hematite", "magnetite", "hematite" }, "chromium", { 0.3, 0.5, 0.2 }, 3.5 },
    { 2, { "magnetite", "chromium" }, "iron", { 0.98, 0.02 }, 0.5 },
};

static sheets sheets_of(int recipe, oxt_material *const *layers, const oxt_material *substrate,
                        double thickness_nm, double wavelength_nm)
{
    sheets made = { recipes[recipe].count, { 0 }, { 0 }, index_of(substrate, wavelength_nm), 1.0 };
    for (size_t i = 0; i < made.count; i++) {
        double complex index = index_of(layers[i], wavelength_nm);
        made.index[i] = creal(index) + recipes[recipe].absorption_scale * cimag(index) * I;
        made.thickness_nm[i] = recipes[recipe].shares[i] * thickness_nm;
    }
    return made;
}

static double expected_at(const sheets *stack, double angle_deg, oxt_polarisation polarisation,
                          double wavelength_nm)
{
    light_ray s = ray_at(1.0, angle_deg, false, wavelength_nm),
              p = ray_at(1.0, angle_deg, true, wavelength_nm);
    double R_s = by_matrices(stack, &s).reflected, R_p = by_matrices(stack, &p).reflected;
    return polarisation == OXT_POLARISATION_S   ? R_s
           : polarisation == OXT_POLARISATION_P ? R_p
                                                : 0.5 * (R_s + R_p);
}

/* Films outlive their materials: these are freed before the first question. */
static oxt_film *film_of_recipe(int recipe, double angle_deg, oxt_polarisation polarisation)
{
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    oxt_material *layers[3], *substrate = published_material(recipes[recipe].substrate);
    for (size_t i = 0; i < recipes[recipe].count; i++)
        layers[i] = published_material(recipes[recipe].layers[i]);
    options.layer_count = recipes[recipe].count;
    options.layers = (const oxt_material *const *)layers;
    options.shares = recipes[recipe].shares;
    options.substrate = substrate;
    options.absorption_scale = recipes[recipe].absorption_scale;
    options.angle_deg = angle_deg;
    options.polarisation = polarisation;
    oxt_film *film = film_with(&options);
    for (size_t i = 0; i < recipes[recipe].count; i++)
        oxt_material_free(layers[i]);
    oxt_material_free(substrate);
    return film;
}

static void check_recipe(int recipe, double angle_deg, oxt_polarisation polarisation)
{
    oxt_film *film = film_of_recipe(recipe, angle_deg, polarisation);
    oxt_material *layers[3], *substrate = published_material(recipes[recipe].substrate);
    for (size_t i = 0; i < recipes[recipe].count; i++)
        layers[i] = published_material(recipes[recipe].layers[i]);
    for (double wavelength_nm = 380.0; wavelength_nm <= 780.0; wavelength_nm += 66.6)
        for (double x = 0.0; x < 400.0; x += 37.0) {
            sheets stack = sheets_of(recipe, layers, substrate, x, wavelength_nm);
            NEAR(reflectance_of(film, x, wavelength_nm),
                 expected_at(&stack, angle_deg, polarisation, wavelength_nm), 1e-10);
        }
    for (size_t i = 0; i < recipes[recipe].count; i++)
        oxt_material_free(layers[i]);
    oxt_material_free(substrate);
    oxt_film_free(film);
}

Test(stack, films_of_a_grid_equal_matrices)
{
    static const double angles_deg[] = { 0.0, 20.0, 45.0, 60.0, 85.0 };
    for (int recipe = 0; recipe < 4; recipe++)
        for (int i = 0; i < 5; i++)
            for (int p = OXT_POLARISATION_NONE; p <= OXT_POLARISATION_P; p++)
                check_recipe(recipe, angles_deg[i], (oxt_polarisation)p);
}

/* ---- recipes ---- */

static oxt_film *pair(const oxt_material *outer, const oxt_material *inner, const double *shares)
{
    const oxt_material *layers[2] = { outer, inner };
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    options.layer_count = 2;
    options.layers = layers;
    options.shares = shares;
    options.angle_deg = 30.0;
    return film_with(&options);
}

static void check_same_reflectance(const oxt_film *a, const oxt_film *b)
{
    for (double x = 0.0; x <= 1000.0; x += 33.3)
        for (double wavelength_nm = 380.0; wavelength_nm <= 780.0; wavelength_nm += 40.0)
            NEAR(reflectance_of(a, x, wavelength_nm), reflectance_of(b, x, wavelength_nm), 1e-12);
}

Test(stack, layers_of_equal_index_may_be_swapped_or_joined)
{
    oxt_material *one = flat_material(2.3, 0.1), *two = flat_material(2.3, 0.1);
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    const oxt_material *single[1] = { one };
    options.layer_count = 1;
    options.layers = single;
    options.angle_deg = 30.0;
    oxt_film *whole = film_with(&options), *halves = pair(one, two, NULL),
             *forth = pair(one, two, (const double[]){ 0.2, 0.8 }),
             *back = pair(two, one, (const double[]){ 0.8, 0.2 });
    check_same_reflectance(whole, halves);
    check_same_reflectance(whole, forth);
    check_same_reflectance(forth, back);
    oxt_film_free(whole);
    oxt_film_free(halves);
    oxt_film_free(forth);
    oxt_film_free(back);
    oxt_material_free(one);
    oxt_material_free(two);
}

/* Which layer lies outside is seen. Hematite absorbs blue and has the higher index (Querry 1985). */
Test(stack, a_tenth_of_hematite_is_seen_and_has_its_side)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_material *hematite = published_material("hematite"),
                 *magnetite = published_material("magnetite");
    oxt_film *outside = pair(hematite, magnetite, (const double[]){ 0.1, 0.9 }),
             *inside = pair(magnetite, hematite, (const double[]){ 0.9, 0.1 });
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    options.angle_deg = 30.0;
    oxt_film *plain = film_with(&options);
    double most[2] = { 0.0, 0.0 }, found;
    for (double x = 5.0; x < 230.0; x += 5.0) {
        OK(oxt_film_difference(outside, plain, x, &found, &error));
        most[0] = fmax(most[0], found);
        OK(oxt_film_difference(outside, inside, x, &found, &error));
        most[1] = fmax(most[1], found);
    }
    cr_assert(most[0] > 3.0 && most[1] > 3.0, "%g %g", most[0], most[1]);
    oxt_film_free(outside);
    oxt_film_free(inside);
    oxt_film_free(plain);
    oxt_material_free(hematite);
    oxt_material_free(magnetite);
}

/* ---- many layers ---- */

enum { MANY = 1000 };

/* A film of MANY layers, of the two materials in turn, whose shares rise from 1 to 3 or fall back. */
static oxt_film *film_of_many(const oxt_material *one, const oxt_material *two, bool falling)
{
    static const oxt_material *layers[MANY];
    static double shares[MANY];
    for (size_t i = 0; i < MANY; i++) {
        size_t place = falling ? MANY - 1 - i : i;
        layers[place] = i % 3 ? one : two;
        shares[place] = (1.0 + 2.0 * (double)i / (MANY - 1)) / (2.0 * MANY);
    }
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    options.layer_count = MANY;
    options.layers = layers;
    options.shares = shares;
    options.angle_deg = 30.0;
    return film_with(&options);
}

/* Cuts change nothing, nor does the order of layers that differ in nothing but their names; those are
 * longer than the description has room for. */
Test(stack, a_thousand_layers_of_one_index_are_one)
{
    oxt_error error = OXT_ERROR_INIT;
    const double wavelength_nm[2] = { 300.0, 900.0 }, n[2] = { 2.3, 2.3 }, k[2] = { 0.1, 0.1 };
    oxt_material *one, *two = flat_material(2.3, 0.1);
    OK(oxt_material_new(&one, "a name of thirty-one characters", 2, wavelength_nm, n, k, &error));
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    options.layer_count = 1;
    options.layers = (const oxt_material *const[]){ two };
    options.angle_deg = 30.0;
    oxt_film *whole = film_with(&options), *rising = film_of_many(one, two, false),
             *falling = film_of_many(one, two, true);
    for (double x = 0.0; x <= 1000.0; x += 97.3)
        for (double wave = 380.0; wave <= 780.0; wave += 40.0) {
            double R = reflectance_of(whole, x, wave);
            NEAR(reflectance_of(rising, x, wave), R, 1e-10);
            NEAR(reflectance_of(falling, x, wave), R, 1e-10);
        }
    char words[128];
    OK(oxt_film_description(rising, words, sizeof words, NULL, &error));
    cr_assert_not_null(strstr(words, "air | flat 0.0005 | a name of thirty-one characters 0.0005"));
    oxt_film_free(whole);
    oxt_film_free(rising);
    oxt_film_free(falling);
    oxt_material_free(one);
    oxt_material_free(two);
}

/* Layers far thinner than the light are seen straight on as one film of the mean permittivity (M. Born
 * and E. Wolf, Principles of Optics, section 14.5.2), and the better the thinner they are. */
Test(stack, thin_layers_are_seen_as_their_mean)
{
    oxt_material *low = flat_material(1.8, 0.0), *high = flat_material(2.6, 0.0),
                 *mean = flat_material(sqrt(0.5 * (1.8 * 1.8 + 2.6 * 2.6)), 0.0);
    const oxt_material *layers[200];
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    options.layers = layers;
    double worst[2] = { 0.0, 0.0 };
    for (int fine = 0; fine < 2; fine++) {
        options.layer_count = 1;
        layers[0] = mean;
        oxt_film *whole = film_with(&options);
        options.layer_count = fine ? 200 : 20;
        for (size_t i = 0; i < options.layer_count; i++)
            layers[i] = i % 2 ? high : low;
        oxt_film *cut = film_with(&options);
        for (double wave = 380.0; wave <= 780.0; wave += 5.0)
            worst[fine] = fmax(worst[fine], fabs(reflectance_of(cut, 300.0, wave) -
                                                 reflectance_of(whole, 300.0, wave)));
        oxt_film_free(whole);
        oxt_film_free(cut);
    }
    cr_assert(worst[1] < 0.01 && worst[1] < 0.15 * worst[0], "%g %g", worst[0], worst[1]);
    oxt_material_free(low);
    oxt_material_free(high);
    oxt_material_free(mean);
}

/* Counts whose memory no number can state are refused before the layers are looked at. */
Test(stack, absurd_counts_are_refused)
{
    static const size_t counts[] = { SIZE_MAX, SIZE_MAX / 2, SIZE_MAX / 8, SIZE_MAX / 5000 };
    oxt_error error = OXT_ERROR_INIT;
    oxt_material *magnetite = published_material("magnetite");
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    options.layers = (const oxt_material *const[]){ magnetite };
    options.shares = (const double[]){ 1.0 };
    for (int i = 0; i < 4; i++) {
        oxt_film *film = (oxt_film *)magnetite;
        options.layer_count = counts[i];
        FAILS(oxt_film_new(&film, &options, &error), OXT_EDOMAIN);
        cr_assert_str_eq(error.parameter, "layer_count");
        cr_assert_null(film);
    }
    oxt_material_free(magnetite);
}

/* ---- misuse ---- */

Test(stack, recipes_that_make_no_sense_are_refused)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_material *magnetite = published_material("magnetite");
    const oxt_material *layers[2] = { magnetite, magnetite }, *gap[2] = { magnetite, NULL };
    static const double bad[][2] = { { 0.5, 0.4 }, { 0.0, 1.0 },  { -0.1, 1.1 }, { 1.0, 1.0 },
                                     { NAN, 1.0 }, { 0.5, 0.51 }, { 1.0, 1e-8 } };
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    oxt_film *film;
    options.layer_count = 2;
    options.layers = layers;
    for (int i = 0; i < 7; i++) {
        options.shares = bad[i];
        FAILS(oxt_film_new(&film, &options, &error), OXT_EDOMAIN);
        cr_assert_str_eq(error.parameter, "shares");
    }
    options.shares = NULL;
    options.layers = gap;
    FAILS(oxt_film_new(&film, &options, &error), OXT_EARG);
    options.layers = NULL;
    FAILS(oxt_film_new(&film, &options, &error), OXT_EARG);
    options.layer_count = 0;
    options.shares = bad[0];
    FAILS(oxt_film_new(&film, &options, &error), OXT_EARG);
    cr_assert_null(film);
    oxt_material_free(magnetite);
}
