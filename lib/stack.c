/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "stack.h"

#include <math.h>

static const double PI = 3.14159265358979323846;

/* Index times the cosine of the angle inside a medium; the root that decays inwards. */
static double complex slope(double complex index, double across)
{
    double complex root = csqrt(index * index - across * across);
    return cimag(root) < 0.0 ? -root : root;
}

/* Fresnel amplitude from medium a into medium b. */
static double complex fresnel(double complex a, double complex b, double across, bool in_plane)
{
    double complex from = slope(a, across), to = slope(b, across);
    if (in_plane) {
        from = from / (a * a);
        to = to / (b * b);
    }
    return (from - to) / (from + to);
}

void oxt_i_stack_prepare(oxt_i_stack *stack, double ambient, size_t count,
                         const double complex *index, double complex substrate, double across,
                         bool in_plane, double wavelength_nm)
{
    stack->count = count;
    double complex above = ambient;
    for (size_t i = 0; i < count; i++) {
        stack->interface[i] = fresnel(above, index[i], across, in_plane);
        stack->phase_per_nm[i] = 4.0 * I * PI * slope(index[i], across) / wavelength_nm;
        above = index[i];
    }
    stack->interface[count] = fresnel(above, substrate, across, in_plane);
}

/* The recursion of Airy and Rouard from the substrate outwards: unlike the product of characteristic
 * matrices it holds only decaying exponentials, so it cannot overflow in a thick absorbing film.
 * Source: M. Born and E. Wolf, Principles of Optics, section 1.6. */
double oxt_i_stack_reflectance(const oxt_i_stack *stack, const double *thickness_nm)
{
    /* Real and imaginary parts apart: C's complex product and quotient look for infinities, which
     * costs more than the arithmetic. */
    double re = creal(stack->interface[stack->count]), im = cimag(stack->interface[stack->count]);
    for (size_t i = stack->count; i-- > 0;) {
        double size = exp(creal(stack->phase_per_nm[i]) * thickness_nm[i]);
        double turn = cimag(stack->phase_per_nm[i]) * thickness_nm[i];
        double phase_re = size * cos(turn), phase_im = size * sin(turn);
        double in_re = re * phase_re - im * phase_im, in_im = re * phase_im + im * phase_re;
        double r_re = creal(stack->interface[i]), r_im = cimag(stack->interface[i]);
        double low_re = 1.0 + r_re * in_re - r_im * in_im, low_im = r_re * in_im + r_im * in_re;
        double up_re = r_re + in_re, up_im = r_im + in_im;
        double scale = 1.0 / (low_re * low_re + low_im * low_im);
        re = (up_re * low_re + up_im * low_im) * scale;
        im = (up_im * low_re - up_re * low_im) * scale;
    }
    return re * re + im * im;
}

double oxt_i_face_reflectance(double ambient, double index, double across, bool in_plane)
{
    double complex amplitude = fresnel(ambient, index, across, in_plane);
    return creal(amplitude) * creal(amplitude) + cimag(amplitude) * cimag(amplitude);
}
