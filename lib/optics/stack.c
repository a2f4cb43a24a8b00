/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "optics/stack.h"

#include <stdlib.h>
#include <string.h>

#include "base/vector.h"

/* Rows of a layer. */
enum { FACE_RE, FACE_IM, DECAY, TURN, ROWS };

oxt_status oxt_i_stack_new(oxt_i_stack **stack, size_t count, size_t wavelengths, oxt_error *error)
{
    size_t width = (wavelengths + 7) / 8 * 8;
    oxt_i_stack *made = calloc(1, sizeof *made + (ROWS * count + 2) * width * sizeof *made->rows);
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
void oxt_i_stack_prepare(oxt_i_stack *stack, const oxt_i_ray *ray, size_t wavelengths,
                         const double *wavelength_nm)
{
    for (size_t layer = stack->count + 1; layer-- > 0;)
        for (size_t i = 0; i < wavelengths; i++) {
            double complex here = index_in(stack, layer, i);
            double complex above = layer > 0 ? index_in(stack, layer - 1, i) : ray->ambient;
            oxt_i_stack_put(stack, layer, i, fresnel(above, here, ray->across, ray->in_plane));
            if (layer == stack->count)
                continue;
            double *place = stack->rows + ROWS * layer * stack->width + i;
            double complex added = 4.0 * slope(here, ray->across) / wavelength_nm[i];
            place[DECAY * stack->width] = -OXT_I_PI / OXT_I_LN_2 * cimag(added);
            place[TURN * stack->width] = creal(added);
        }
}

/* With amplitudes a and b of both faces and the phase p between them, R is |a + b p|^2 / |1 + a b p|^2. */
void oxt_i_stack_flatten(const oxt_i_stack *stack, double share, double coat, double weight,
                         double *rows)
{
    const size_t n = stack->width;
    const double *from = stack->rows;
    for (size_t i = 0; i < n; i++, from++, rows++) {
        double complex a = from[FACE_RE * n] + from[FACE_IM * n] * I;
        double complex b = from[(ROWS + FACE_RE) * n] + from[(ROWS + FACE_IM) * n] * I;
        double complex over = 2.0 * conj(a) * b, below = 2.0 * a * b;
        double up[4] = { creal(a * conj(a)), creal(b * conj(b)), creal(over), -cimag(over) };
        double low[4] = { 1.0, up[0] * up[1], creal(below), -cimag(below) };
        rows[0] = share * from[DECAY * n];
        rows[n] = share * from[TURN * n];
        for (size_t j = 0; j < 4; j++) {
            low[j] -= coat * up[j];
            up[j] = coat * low[j] + (1.0 - coat) * (1.0 - coat) * up[j];
            rows[(2 + j) * n] = weight * up[j];
            rows[(6 + j) * n] = low[j];
        }
    }
}

/* ---- the recursion ---- */

/* Thicknesses from one exact phase to the next: so many multiplications round off by 1e-14 at most. */
#define STEPS 64

/* Amplitudes at the foot of the outermost layer, turned by the way through it. The recursion of Airy and Rouard
 * from the substrate outwards: unlike the product of characteristic matrices it holds only decaying
 * exponentials, so it cannot overflow in a thick absorbing film.
 * Source: M. Born and E. Wolf, Principles of Optics, section 1.6. */
static void find_foot(oxt_i_walk *walk, double thickness_nm)
{
    const size_t n = walk->stack->width;
    const double *rows = walk->stack->rows + ROWS * walk->stack->count * n;
    double re[OXT_I_STACK_WIDTH], im[OXT_I_STACK_WIDTH];
    const double *below_re = rows + FACE_RE * n, *below_im = rows + FACE_IM * n;
    if (walk->stack->count == 0) {
        memset(walk->foot_re, 0, n * sizeof *re); /* nothing comes from below the bare substrate */
        memset(walk->foot_im, 0, n * sizeof *im);
    }
    for (size_t layer = walk->stack->count; layer-- > 0;) {
        rows -= ROWS * n;
        oxt_i_phases(n, rows + DECAY * n, rows + TURN * n, walk->shares[layer] * thickness_nm,
                     walk->foot_re, walk->foot_im);
        oxt_i_multiply(n, below_re, below_im, walk->foot_re, walk->foot_im);
        if (layer > 0)
            oxt_i_add_layer(n, rows + FACE_RE * n, rows + FACE_IM * n, walk->foot_re, walk->foot_im,
                            re, im);
        below_re = re;
        below_im = im;
    }
}

void oxt_i_walk_start(oxt_i_walk *walk, const oxt_i_stack *stack, const double *shares,
                      double first_nm, double step_nm)
{
    walk->stack = stack;
    walk->shares = shares;
    walk->first_nm = first_nm;
    walk->step_nm = step_nm;
    walk->done = 0;
    walk->multiplies = stack->count == 1 && step_nm > 0.0;
    if (walk->multiplies)
        oxt_i_phases(stack->width, stack->rows + DECAY * stack->width,
                     stack->rows + TURN * stack->width, shares[0] * step_nm, walk->step_re,
                     walk->step_im);
}

void oxt_i_walk_add(oxt_i_walk *walk, double coat, double weight, double *reflectance)
{
    const oxt_i_stack *stack = walk->stack;
    const size_t n = stack->width;
    if (walk->done % STEPS == 0 || !walk->multiplies)
        find_foot(walk, walk->first_nm + walk->step_nm * (double)walk->done);
    else
        oxt_i_multiply(n, walk->step_re, walk->step_im, walk->foot_re, walk->foot_im);
    oxt_i_add_reflectance(n, stack->rows + FACE_RE * n, stack->rows + FACE_IM * n, walk->foot_re,
                          walk->foot_im, coat, weight, reflectance);
    walk->done++;
}

double oxt_i_face_reflectance(double ambient, double index, double across, bool in_plane)
{
    double complex amplitude = fresnel(ambient, index, across, in_plane);
    return creal(amplitude) * creal(amplitude) + cimag(amplitude) * cimag(amplitude);
}
