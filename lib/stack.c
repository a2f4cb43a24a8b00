/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "stack.h"

#include <stdlib.h>
#include <string.h>

#include "vector.h"

/* Rows of a layer. */
enum { FACE_RE, FACE_IM, DECAY, TURN, ROWS };

oxt_status oxt_i_stack_new(oxt_i_stack **stack, size_t count, size_t width, oxt_error *error)
{
    oxt_i_stack *made = malloc(sizeof *made + (ROWS * count + 2) * width * sizeof *made->rows);
    if (!made)
        return oxt_i_no_memory(error);
    made->count = count;
    made->width = width;
    *stack = made;
    return OXT_OK;
}

/* ---- preparing ---- */

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

/* Until the stack is prepared, the index lies where the amplitude of the upper face will be. */
void oxt_i_stack_put(oxt_i_stack *stack, size_t layer, size_t wavelength, double complex index)
{
    double *place = stack->rows + ROWS * layer * stack->width + wavelength;
    place[FACE_RE * stack->width] = creal(index);
    place[FACE_IM * stack->width] = cimag(index);
}

static double complex index_in(const oxt_i_stack *stack, size_t layer, size_t wavelength)
{
    const double *place = stack->rows + ROWS * layer * stack->width + wavelength;
    return place[FACE_RE * stack->width] + place[FACE_IM * stack->width] * I;
}

/* From the substrate upwards, as each face needs the index above it. */
void oxt_i_stack_prepare(oxt_i_stack *stack, const oxt_i_ray *ray, const double *wavelength_nm)
{
    for (size_t layer = stack->count + 1; layer-- > 0;)
        for (size_t i = 0; i < stack->width; i++) {
            double complex here = index_in(stack, layer, i);
            double complex above = layer > 0 ? index_in(stack, layer - 1, i) : ray->ambient;
            oxt_i_stack_put(stack, layer, i, fresnel(above, here, ray->across, ray->in_plane));
            if (layer == stack->count)
                continue;
            double *place = stack->rows + ROWS * layer * stack->width + i;
            double complex added = 4.0 * I * OXT_I_PI * slope(here, ray->across) / wavelength_nm[i];
            place[DECAY * stack->width] = creal(added);
            place[TURN * stack->width] = cimag(added);
        }
}

/* ---- the recursion ---- */

/* Amplitudes on top of a layer from those at its foot. Real and imaginary parts apart: C's complex
 * product and quotient look for infinities, which costs more than the arithmetic. */
static void add_layer(size_t n, const double *restrict face_re, const double *restrict face_im,
                      const double *restrict phase_re, const double *restrict phase_im,
                      double *restrict re, double *restrict im)
{
    for (size_t i = 0; i < n; i++) {
        double in_re = re[i] * phase_re[i] - im[i] * phase_im[i];
        double in_im = re[i] * phase_im[i] + im[i] * phase_re[i];
        double low_re = 1.0 + face_re[i] * in_re - face_im[i] * in_im;
        double low_im = face_re[i] * in_im + face_im[i] * in_re;
        double up_re = face_re[i] + in_re, up_im = face_im[i] + in_im;
        double scale = 1.0 / (low_re * low_re + low_im * low_im);
        re[i] = (up_re * low_re + up_im * low_im) * scale;
        im[i] = (up_im * low_re - up_re * low_im) * scale;
    }
}

/* The recursion of Airy and Rouard from the substrate outwards: unlike the product of characteristic
 * matrices it holds only decaying exponentials, so it cannot overflow in a thick absorbing film.
 * Source: M. Born and E. Wolf, Principles of Optics, section 1.6. */
void oxt_i_stack_reflectance(const oxt_i_stack *stack, const double *shares, double thickness_nm,
                             double *reflectance)
{
    double re[OXT_I_STACK_WIDTH], im[OXT_I_STACK_WIDTH];
    double phase_re[OXT_I_STACK_WIDTH], phase_im[OXT_I_STACK_WIDTH];
    const size_t n = stack->width;
    const double *rows = stack->rows + ROWS * stack->count * n;
    memcpy(re, rows + FACE_RE * n, n * sizeof *re);
    memcpy(im, rows + FACE_IM * n, n * sizeof *im);
    for (size_t layer = stack->count; layer-- > 0;) {
        rows -= ROWS * n;
        oxt_i_phases(n, rows + DECAY * n, rows + TURN * n, shares[layer] * thickness_nm, phase_re,
                     phase_im);
        add_layer(n, rows + FACE_RE * n, rows + FACE_IM * n, phase_re, phase_im, re, im);
    }
    for (size_t i = 0; i < n; i++)
        reflectance[i] = re[i] * re[i] + im[i] * im[i];
}

double oxt_i_face_reflectance(double ambient, double index, double across, bool in_plane)
{
    double complex amplitude = fresnel(ambient, index, across, in_plane);
    return creal(amplitude) * creal(amplitude) + cimag(amplitude) * cimag(amplitude);
}
