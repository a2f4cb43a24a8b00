/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "optics.h"

#include <stdlib.h>

#include "stack.h"
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

double by_recursion(const sheets *stack, const light_ray *ray)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_i_ray falling = { stack->ambient, ray->across, ray->in_plane };
    oxt_i_stack *prepared;
    double found;
    OK(oxt_i_stack_new(&prepared, stack->count, 1, &error));
    for (size_t i = 0; i < stack->count; i++)
        oxt_i_stack_put(prepared, i, 0, stack->index[i]);
    oxt_i_stack_put(prepared, stack->count, 0, stack->substrate);
    oxt_i_stack_prepare(prepared, &falling, &ray->wavelength_nm);
    oxt_i_stack_reflectance(prepared, stack->thickness_nm, 1.0, &found);
    free(prepared);
    return found;
}

oxt_material *flat_material(double n, double k)
{
    oxt_error error = OXT_ERROR_INIT;
    const double wavelength_nm[2] = { 380.0, 780.0 }, both_n[2] = { n, n }, both_k[2] = { k, k };
    oxt_material *material;
    OK(oxt_material_from_table(&material, "flat", 2, wavelength_nm, both_n, both_k, &error));
    return material;
}

oxt_material *published_material(oxt_substance substance)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_material *material;
    OK(oxt_material_new(&material, substance, &error));
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

oxt_film *film_of_grade(oxt_grade grade, const oxt_film_options *options)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_film_options chosen = OXT_FILM_OPTIONS_INIT;
    if (options)
        chosen = *options;
    OK(oxt_finish_grade(grade, &chosen.thickness_spread, &chosen.angle_spread_deg, &error));
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
