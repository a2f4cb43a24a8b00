/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Splines without memory of their own, beside those of GSL, which are the same by other code. */
#include <gsl/gsl_spline.h>

#include "base/spline.h"
#include "support.h"

enum { COUNT = 40 };

/* Smooth, with a kink and a jump. */
static double shape(double x)
{
    return sin(0.4 * x) + (x > 20.0 ? 0.3 * (x - 20.0) : 0.0) - (x > 30.0 ? 5.0 : 0.0);
}

static gsl_spline *gsl_of(const gsl_interp_type *type, const double *x, const double *y)
{
    gsl_spline *made = gsl_spline_alloc(type, COUNT);
    gsl_spline_init(made, x, y, COUNT);
    return made;
}

/* The natural cubic spline of even steps. */
Test(spline, natural_is_that_of_gsl)
{
    double x[COUNT], y[COUNT], bend[COUNT];
    for (int i = 0; i < COUNT; i++) {
        x[i] = i;
        y[i] = shape(i);
    }
    gsl_spline *expected = gsl_of(gsl_interp_cspline, x, y);
    oxt_i_spline_prepare(y, COUNT, bend);
    for (double at = 0.0; at <= COUNT - 1; at += 0.03125)
        NEAR(oxt_i_spline_at(y, bend, COUNT, at), gsl_spline_eval(expected, at, NULL), 1e-12);
    cr_assert_eq(oxt_i_spline_at(y, bend, COUNT, -3.0), y[0]);
    cr_assert_eq(oxt_i_spline_at(y, bend, COUNT, 1e9), y[COUNT - 1]);
    cr_assert_eq(oxt_i_spline_at(y, bend, COUNT, NAN), y[0]);
    gsl_spline_free(expected);
}

/* M. Steffen, Astron. Astrophys. 239 (1990) 443: monotone where the points are, of uneven steps. */
Test(spline, steffen_is_that_of_gsl)
{
    double x[COUNT], y[COUNT];
    for (int i = 0; i < COUNT; i++) {
        x[i] = i + 0.4 * sin(1.7 * i);
        y[i] = shape(x[i]);
    }
    gsl_spline *expected = gsl_of(gsl_interp_steffen, x, y);
    for (double at = x[0]; at <= x[COUNT - 1]; at += 0.03125)
        NEAR(oxt_i_steffen_at(x, y, COUNT, at), gsl_spline_eval(expected, at, NULL), 1e-12);
    gsl_spline_free(expected);
}
