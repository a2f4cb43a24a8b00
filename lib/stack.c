/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "stack.h"

static const double PI = 3.14159265358979323846;

/* Fresnel amplitude at normal incidence, from index a into index b. */
static double complex step(double complex a, double complex b)
{
    return (a - b) / (a + b);
}

/* The recursion of Airy and Rouard from the substrate outwards: unlike the product of characteristic
 * matrices it holds only decaying exponentials, so it cannot overflow in a thick absorbing film.
 * Source: M. Born and E. Wolf, Principles of Optics, section 1.6. */
double oxt_i_stack_reflectance(size_t count, const double complex *index,
                               const double *thickness_nm, double complex substrate,
                               double wavelength_nm)
{
    double complex below = substrate;
    double complex amplitude = 0.0;
    double complex through = 1.0; /* there and back through the film above the interface */
    for (size_t i = count + 1; i-- > 0;) {
        double complex above = i == 0 ? 1.0 : index[i - 1];
        double complex r = step(above, below);
        if (i == count)
            amplitude = r;
        else
            amplitude = (r + amplitude * through) / (1.0 + r * amplitude * through);
        if (i > 0)
            through = cexp(4.0 * I * PI * above * thickness_nm[i - 1] / wavelength_nm);
        below = above;
    }
    double size = cabs(amplitude);
    return size * size;
}
