/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "optics.h"

#include <stdlib.h>

#include "optics/stack.h"
#include "support.h"

static const double PI = 3.14159265358979323846;

/* Tangential fields at one place. */
typedef struct {
    double complex E, H;
} fields;

static double complex depth_index(double complex index, double across)
{
    double complex root = csqrt(index * index - across * across);
    return cimag(root) < 0.0 ? -root : root;
}

static double complex admittance(double complex index, const light_ray *ray)
{
    double complex root = depth_index(index, ray->across);
    return ray->in_plane ? index * index / root : root;
}

/* The fields at the top of a slab from those at its foot. */
static fields through(double complex index, double thickness_nm, fields foot, const light_ray *ray)
{
    double complex delta = 2.0 * PI * depth_index(index, ray->across) * thickness_nm /
                           ray->wavelength_nm;
    double complex y = admittance(index, ray);
    return (fields){ ccos(delta) * foot.E - I * csin(delta) / y * foot.H,
                     -I * y * csin(delta) * foot.E + ccos(delta) * foot.H };
}

/* What a nanometre of a film takes away from the flow: the density of loss of both fields. */
static double loss(double complex index, fields here, const light_ray *ray)
{
    double complex permittivity = index * index;
    double strength = creal(here.E * conj(here.E));
    if (ray->in_plane) {
        double complex down = ray->across * here.H / permittivity;
        strength += creal(down * conj(down));
    }
    return 2.0 * PI / ray->wavelength_nm * cimag(permittivity) * strength;
}

/* Simpson's rule through the film, from its foot upwards. */
static double absorbed_in(double complex index, double thickness_nm, fields foot,
                          const light_ray *ray)
{
    enum { STEPS = 400 };
    double sum = 0.0;
    for (int i = 0; i <= STEPS; i++) {
        double weight = i == 0 || i == STEPS ? 1.0 : i % 2 ? 4.0 : 2.0;
        sum += weight * loss(index, through(index, thickness_nm * i / STEPS, foot, ray), ray);
    }
    return sum * thickness_nm / (3.0 * STEPS);
}

shares_of_light by_matrices(const sheets *stack, const light_ray *ray)
{
    double complex below = admittance(stack->substrate, ray);
    fields here = { 1.0, below };
    double absorbed = 0.0;
    for (size_t i = stack->count; i-- > 0;) {
        absorbed += absorbed_in(stack->index[i], stack->thickness_nm[i], here, ray);
        here = through(stack->index[i], stack->thickness_nm[i], here, ray);
    }
    double above = creal(admittance(stack->ambient, ray));
    double complex forth = above * here.E + here.H, back = above * here.E - here.H;
    double incoming = creal(forth * conj(forth)) / (4.0 * above);
    return (shares_of_light){ creal(back * conj(back)) / creal(forth * conj(forth)),
                              creal(below) / incoming, absorbed / incoming };
}

/* ---- colour ---- */

static const double cat16[3][3] = { { 0.401288, 0.650173, -0.051461 },
                                    { -0.250268, 1.204414, 0.045854 },
                                    { -0.002079, 0.048952, 0.953127 } };

static double cofactor(int row, int column)
{
    int r1 = (row + 1) % 3, r2 = (row + 2) % 3, c1 = (column + 1) % 3, c2 = (column + 2) % 3;
    return cat16[r1][c1] * cat16[r2][c2] - cat16[r1][c2] * cat16[r2][c1];
}

/* The three cones are scaled, the matrix is inverted by cofactors. */
void adapt_by_cones(const double xyz[3], const double from[3], const double to[3],
                    double adapted[3])
{
    double whole = 0.0, cones[3];
    for (int i = 0; i < 3; i++) {
        double here = 0.0, before = 0.0, after = 0.0;
        whole += cat16[0][i] * cofactor(0, i);
        for (int j = 0; j < 3; j++) {
            here += cat16[i][j] * xyz[j];
            before += cat16[i][j] * from[j];
            after += cat16[i][j] * to[j];
        }
        cones[i] = here * after / before;
    }
    for (int i = 0; i < 3; i++) {
        adapted[i] = 0.0;
        for (int j = 0; j < 3; j++)
            adapted[i] += cofactor(j, i) / whole * cones[j];
    }
}

/* A table of n and k, read along straight lines. */
static double complex index_in(const table *rows, double wavelength_nm)
{
    size_t i = 0;
    while (i + 2 < rows->rows && at(rows, i + 1, 0) < wavelength_nm)
        i++;
    double low = at(rows, i, 0), share = (wavelength_nm - low) / (at(rows, i + 1, 0) - low);
    double n = at(rows, i, 1) + share * (at(rows, i + 1, 1) - at(rows, i, 1));
    double k = at(rows, i, 2) + share * (at(rows, i + 1, 2) - at(rows, i, 2));
    return n + k * I;
}

/* XYZ under the light of a column of the table, and its white, Y = 100. */
static void sum_colour(const table *cie, size_t light, const double *reflectance, double xyz[3],
                       double white[3])
{
    double brightness = 0.0;
    for (size_t i = 0; i < cie->rows; i++)
        brightness += at(cie, i, 2) * at(cie, i, light) / 100.0;
    for (size_t j = 0; j < 3; j++) {
        xyz[j] = white[j] = 0.0;
        for (size_t i = 0; i < cie->rows; i++) {
            double weight = at(cie, i, 1 + j) * at(cie, i, light) / brightness;
            white[j] += weight;
            xyz[j] += weight * reflectance[i];
        }
    }
}

static double cube_root_of(double share)
{
    double limit = 6.0 / 29.0;
    return share > limit * limit * limit ? cbrt(share) : share / (3.0 * limit * limit) + 4.0 / 29.0;
}

void daylight_lab_by_matrices(oxt_illuminant light, double thickness_nm, double lab[3])
{
    static table cie, iron, magnetite;
    if (!cie.rows) {
        cie = read_table("cie_5nm.csv");
        iron = read_table("iron_index.csv");
        magnetite = read_table("magnetite_index.csv");
    }
    double reflectance[81], xyz[3], white[3], daylight[3], roots[3];
    cr_assert_eq(cie.rows, 81);
    for (size_t i = 0; i < cie.rows; i++) {
        light_ray ray = { 0.0, false, at(&cie, i, 0) };
        double complex oxide = index_in(&magnetite, ray.wavelength_nm);
        double complex foot = admittance(index_in(&iron, ray.wavelength_nm), &ray);
        fields top = through(oxide, thickness_nm, (fields){ 1.0, foot }, &ray);
        double root = cabs((top.E - top.H) / (top.E + top.H));
        reflectance[i] = root * root;
    }
    sum_colour(&cie, 4 + OXT_ILLUMINANT_D65, reflectance, xyz, daylight);
    sum_colour(&cie, 4 + (size_t)light, reflectance, xyz, white);
    adapt_by_cones(xyz, white, daylight, xyz);
    for (int j = 0; j < 3; j++)
        roots[j] = cube_root_of(xyz[j] / daylight[j]);
    lab[0] = 116.0 * roots[1] - 16.0;
    lab[1] = 500.0 * (roots[0] - roots[1]);
    lab[2] = 200.0 * (roots[1] - roots[2]);
}

/* ---- the library's own way ---- */

double by_recursion(const sheets *stack, const light_ray *ray)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_i_ray falling = { stack->ambient, ray->across, ray->in_plane };
    oxt_i_stack *prepared;
    oxt_i_walk walk;
    double found[8] = { 0.0 };
    OK(oxt_i_stack_new(&prepared, stack->count, 1, &error));
    for (size_t i = 0; i < stack->count; i++)
        oxt_i_stack_put(prepared, i, 0, stack->index[i]);
    oxt_i_stack_put(prepared, stack->count, 0, stack->substrate);
    oxt_i_stack_prepare(prepared, &falling, 1, &ray->wavelength_nm);
    oxt_i_walk_start(&walk, prepared, stack->thickness_nm, 1.0, 0.0);
    oxt_i_walk_add(&walk, 0.0, 1.0, found);
    free(prepared);
    return found[0];
}

oxt_material *flat_material(double n, double k)
{
    oxt_error error = OXT_ERROR_INIT;
    const double wavelength_nm[2] = { 380.0, 780.0 }, both_n[2] = { n, n }, both_k[2] = { k, k };
    oxt_material *material;
    OK(oxt_material_new(&material, "flat", 2, wavelength_nm, both_n, both_k, &error));
    return material;
}

oxt_material *published_material(const char *name)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_material *material;
    OK(oxt_material_new(&material, name, 0, NULL, NULL, NULL, &error));
    return material;
}

double complex index_of(const oxt_material *material, double wavelength_nm)
{
    oxt_error error = OXT_ERROR_INIT;
    double n, k;
    OK(oxt_material_index(material, wavelength_nm, &n, &k, &error));
    return n + k * I;
}

oxt_film *film_with(const oxt_film_options *options)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_film *film;
    OK(oxt_film_new(&film, options, &error));
    return film;
}

oxt_film *film_of_grade(oxt_finish grade, const oxt_film_options *options)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_film_options chosen = OXT_FILM_OPTIONS_INIT;
    if (options)
        chosen = *options;
    OK(oxt_film_finish(grade, &chosen.thickness_spread, &chosen.angle_spread_deg, &error));
    return film_with(&chosen);
}

double reflectance_of(const oxt_film *film, double thickness_nm, double wavelength_nm)
{
    oxt_error error = OXT_ERROR_INIT;
    double found;
    OK(oxt_film_reflectance(film, thickness_nm, 1, &wavelength_nm, &found, &error));
    return found;
}

/* A linear congruence of 2^31. */
double chance(void)
{
    static unsigned long state = 12345;
    state = (1103515245UL * state + 12345UL) & 0x7FFFFFFFUL;
    return (double)state / 2147483648.0;
}
