/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <gsl/gsl_integration.h>
#include <string.h>

#include "thermal/heat.h"
#include "support.h"

static oxt_part part_of(oxt_shape shape, double size_m)
{
    oxt_part part = OXT_PART_INIT;
    part.shape = shape;
    part.size_m = size_m;
    return part;
}

static oxt_growth usual_growth(void)
{
    oxt_growth growth = OXT_GROWTH_INIT;
    growth.k_ref_nm2_per_s = 30.0;
    growth.T_ref_K = 588.7;
    growth.Q_J_per_mol = 76e3;
    return growth;
}

static double root_of(oxt_shape shape, double biot, size_t n)
{
    oxt_error error = OXT_ERROR_INIT;
    double root;
    OK(oxt_i_heat_root(shape, biot, n, &root, &error));
    return root;
}

static double surface(const oxt_part *part, double bath_K, double time_s)
{
    oxt_error error = OXT_ERROR_INIT;
    double temperature_K;
    OK(oxt_heat_surface_temperature(part, bath_K, time_s, &temperature_K, &error));
    return temperature_K;
}

/* Roots of the textbook's characteristic equations to 30 digits, rounded: they agree with Incropera
 * and DeWitt, Fundamentals of Heat and Mass Transfer, table 5.1, in its four decimals. */
Test(heat, first_roots_of_the_table)
{
    table rows = read_table("heat_first_roots.csv");
    double worst = 0.0;
    for (size_t i = 0; i < rows.rows; i++)
        for (int shape = OXT_SHAPE_PLATE; shape <= OXT_SHAPE_SPHERE; shape++) {
            double root = root_of((oxt_shape)shape, at(&rows, i, 0), 1);
            worst = worse(worst, root / at(&rows, i, 1 + 2 * (size_t)shape) - 1.0);
        }
    measured("heat-roots", worst, -HUGE_VAL, 1e-10);
    free_table(&rows);
}

/* The same equations, six roots each. */
Test(heat, six_roots)
{
    table rows = read_table("heat_six_roots.csv");
    cr_assert(rows.rows >= 18);
    for (size_t i = 0; i < rows.rows; i++)
        CLOSE(root_of((oxt_shape)at(&rows, i, 0), at(&rows, i, 1), (size_t)at(&rows, i, 2)),
              at(&rows, i, 3), 1e-11);
    free_table(&rows);
}

/* What a part of carbon steel has that is as hot as its bath. */
static oxt_warming steel_at(double temperature_K)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_warming found = OXT_WARMING_INIT;
    oxt_part part = OXT_PART_INIT;
    part.size_m = 0.006;
    part.start_K = temperature_K;
    OK(oxt_heat_warming(&part, temperature_K, &found, &error));
    return found;
}

/* EN 1993-1-2:2005, clauses 3.4.1.2 and 3.4.1.3, evaluated from the formulas of the standard. */
Test(heat, carbon_steel_of_the_standard)
{
    table rows = read_table("steel_thermal.csv");
    double worst = 0.0;
    for (size_t i = 0; i < rows.rows; i++) {
        const oxt_warming found = steel_at(at(&rows, i, 0) + 273.15);
        worst = worse(worse(worst, found.heat_J_per_kgK - at(&rows, i, 1)),
                      found.conductivity_W_per_mK - at(&rows, i, 2));
    }
    measured("carbon-steel", worst, -HUGE_VAL, 6e-5);
    free_table(&rows);
    /* beyond the formulas, the nearest end */
    cr_assert(steel_at(273.15).heat_J_per_kgK == steel_at(293.15).heat_J_per_kgK);
    cr_assert(steel_at(900.0).conductivity_W_per_mK == steel_at(873.15).conductivity_W_per_mK);
}

/* Incropera and DeWitt, example 5.1: a thermocouple bead of 7.06e-4 m with h = 400, lambda = 20,
 * c = 400, rho = 8500, from 25 to 199 C in gas of 200 C: 5.2 s; exact 5.164786 s. */
Test(heat, thermocouple_of_the_textbook)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_part bead = part_of(OXT_SHAPE_ANY, 7.058824e-4 / 6.0);
    bead.start_K = 298.15;
    bead.transfer_W_per_m2K = 400.0;
    bead.density_kg_per_m3 = 8500.0;
    bead.heat_J_per_kgK = 400.0;
    bead.conductivity_W_per_mK = 20.0;
    oxt_warming warming = OXT_WARMING_INIT;
    OK(oxt_heat_warming(&bead, 473.15, &warming, &error));
    cr_assert(warming.lumped == 1);
    CLOSE(warming.biot, 2.352941e-3, 1e-6);
    CLOSE(warming.tau_s, 1.0, 1e-6);
    measured("heat-textbook", fabs(surface(&bead, 473.15, 5.164786) - 472.15), -HUGE_VAL, 1e-5);
}

/* Incropera and DeWitt, example 5.4: a steel wall of 40 mm, one face insulated, from -20 C, oil of
 * 60 C behind h = 500 for 480 s. The heated face: 45.36250 C by one term with exact roots. Our plate
 * is heated from both faces, so it is twice as thick. */
Test(heat, pipe_wall_of_the_textbook)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_part wall = part_of(OXT_SHAPE_PLATE, 0.08);
    wall.start_K = 253.15;
    wall.transfer_W_per_m2K = 500.0;
    wall.density_kg_per_m3 = 7832.0;
    wall.heat_J_per_kgK = 434.0;
    wall.conductivity_W_per_mK = 63.9;
    oxt_warming warming = OXT_WARMING_INIT;
    OK(oxt_heat_warming(&wall, 333.15, &warming, &error));
    cr_assert(warming.lumped == 0);
    CLOSE(warming.biot, 0.312989, 1e-5);
    measured("heat-textbook", fabs(surface(&wall, 333.15, 480.0) - 273.15 - 45.36250), -HUGE_VAL,
             1e-5);
}

/* The same book's example 5.5, first step: a sphere of 10 mm cools in air, h = 10, from 400 to 335 C
 * in 93.79931 s. Cooling is warming with the signs turned, which our parts do not do; so the mirror
 * image: from 20 C in a bath of 400 C it warms by 65 K of 380 in the same time. */
Test(heat, sphere_of_the_textbook_mirrored)
{
    oxt_part ball = part_of(OXT_SHAPE_ANY, 0.01 / 6.0);
    ball.start_K = 293.15;
    ball.transfer_W_per_m2K = 10.0;
    ball.density_kg_per_m3 = 3000.0;
    ball.heat_J_per_kgK = 1000.0;
    ball.conductivity_W_per_mK = 20.0;
    NEAR(surface(&ball, 673.15, 93.79931), 358.15, 1e-4);
}

typedef struct {
    const oxt_growth *growth;
    const oxt_part *part;
    double bath_K;
} dip_case;

static double rate_at(double time_s, void *context)
{
    const dip_case *dip = context;
    double temperature_K, rate = 0.0;
    oxt_heat_surface_temperature(dip->part, dip->bath_K, time_s, &temperature_K, NULL);
    oxt_rate(dip->growth, temperature_K, &rate, NULL);
    return rate;
}

/* The closed form of a lumped part, and the sum of a series, against GSL's adaptive quadrature; a film below 0.3 nm, of
 * which nearly all the time is lost, to 1e-7 nm^2. */
Test(heat, exposure_equals_adaptive_quadrature)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth growth = usual_growth();
    const double sizes_m[] = { 0.0005, 0.003, 0.006, 0.02, 0.05 };
    gsl_integration_workspace *space = gsl_integration_workspace_alloc(2000);
    for (int shape = OXT_SHAPE_PLATE; shape <= OXT_SHAPE_ANY; shape++)
        for (int i = 0; i < 5; i++)
            for (double bath_K = 540.0; bath_K < 660.0; bath_K += 50.0) {
                oxt_part part = part_of((oxt_shape)shape, sizes_m[i]);
                dip_case dip = { &growth, &part, bath_K };
                gsl_function function = { rate_at, &dip };
                double exposure, expected, accuracy;
                OK(oxt_bath_exposure(&growth, NULL, &part, 0.0, bath_K, 90.0, &exposure, &error));
                gsl_integration_qag(&function, 0.0, 90.0, 0.0, 1e-11, 2000, GSL_INTEG_GAUSS61,
                                    space, &expected, &accuracy);
                NEAR(exposure, expected, 1e-8 * expected + 1e-7);
            }
    gsl_integration_workspace_free(space);
}

Test(heat, time_is_the_inverse_of_exposure)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth growth = usual_growth();
    for (int shape = OXT_SHAPE_PLATE; shape <= OXT_SHAPE_ANY; shape++)
        for (double size_m = 0.001; size_m < 0.06; size_m *= 2.0) {
            oxt_part part = part_of((oxt_shape)shape, size_m);
            double exposure, time_s, lag_s;
            OK(oxt_bath_exposure(&growth, NULL, &part, 0.0, 616.5, 240.0, &exposure, &error));
            OK(oxt_heat_time_for_exposure(&growth, &part, 616.5, exposure, &time_s, &lag_s,
                                          &error));
            CLOSE(time_s, 240.0, 1e-6);
            cr_assert(lag_s > 0.0 && lag_s < time_s);
        }
}

/* Thicker is never sooner, hotter never slower, a better bath never slower; no size, no lag. */
Test(heat, what_every_part_does)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth growth = usual_growth();
    for (int shape = OXT_SHAPE_PLATE; shape <= OXT_SHAPE_SPHERE; shape++) {
        double before = 0.0;
        for (double size_m = 0.0005; size_m < 0.1; size_m *= 1.3) {
            oxt_part part = part_of((oxt_shape)shape, size_m);
            double time_s, hotter_s, stirred_s;
            OK(oxt_heat_time_for_exposure(&growth, &part, 616.5, 3300.0, &time_s, NULL, &error));
            OK(oxt_heat_time_for_exposure(&growth, &part, 620.0, 3300.0, &hotter_s, NULL, &error));
            part.transfer_W_per_m2K *= 1.1;
            OK(oxt_heat_time_for_exposure(&growth, &part, 616.5, 3300.0, &stirred_s, NULL, &error));
            cr_assert(time_s > before, "shape %d of %g m", shape, size_m);
            cr_assert(hotter_s < time_s && stirred_s < time_s);
            before = time_s;
        }
    }
    oxt_part none = OXT_PART_INIT;
    double time_s, lag_s, plain_s;
    OK(oxt_heat_time_for_exposure(&growth, &none, 616.5, 3300.0, &time_s, &lag_s, &error));
    OK(oxt_time_for_thickness(&growth, sqrt(3300.0), 616.5, &plain_s, &error));
    CLOSE(time_s, plain_s, 1e-14);
    cr_assert(lag_s == 0.0);
}

Test(heat, surface_rises_to_the_bath)
{
    for (int shape = OXT_SHAPE_PLATE; shape <= OXT_SHAPE_ANY; shape++) {
        oxt_part part = part_of((oxt_shape)shape, 0.03);
        double before = surface(&part, 616.5, 0.0);
        NEAR(before, 293.15, 1e-9);
        for (double time_s = 0.5; time_s < 3e4; time_s *= 1.4) {
            double now = surface(&part, 616.5, time_s);
            cr_assert(now >= before && now <= 616.5);
            before = now;
        }
        NEAR(before, 616.5, 1e-6);
    }
}

Test(heat, bad_parts)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_warming warming = OXT_WARMING_INIT;
    oxt_part part = part_of(OXT_SHAPE_PLATE, 0.006);
    part.size_m = -0.001;
    FAILS(oxt_heat_warming(&part, 616.5, &warming, &error), OXT_EDOMAIN);
    SAYS("size_m");
    part.size_m = 0.006;
    part.start_K = 700.0;
    FAILS(oxt_heat_warming(&part, 616.5, &warming, &error), OXT_EDOMAIN);
    SAYS("start_K");
    part.start_K = 293.15;
    part.transfer_W_per_m2K = 0.0;
    FAILS(oxt_heat_warming(&part, 616.5, &warming, &error), OXT_EDOMAIN);
    part.transfer_W_per_m2K = 600.0;
    part.shape = (oxt_shape)9;
    FAILS(oxt_heat_warming(&part, 616.5, &warming, &error), OXT_EARG);
    part.shape = OXT_SHAPE_PLATE;
    part.flow = (oxt_flow)5;
    FAILS(oxt_heat_warming(&part, 616.5, &warming, &error), OXT_EARG);
    SAYS("flow is 5, expected one of oxt_flow");
    part.flow = OXT_FLOW_STIRRED;
    part.metal = (oxt_metal)4;
    FAILS(oxt_heat_warming(&part, 616.5, &warming, &error), OXT_EARG);
    part.metal = OXT_METAL_BRASS;
    FAILS(oxt_heat_warming(&part, 616.5, &warming, &error), OXT_EDOMAIN);
    SAYS("brass is not for this process");
    part.metal = OXT_METAL_STEEL;
    FAILS(oxt_heat_warming(&part, NAN, &warming, &error), OXT_EDOMAIN);
    double value;
    const oxt_growth growth = usual_growth();
    FAILS(oxt_bath_exposure(&growth, NULL, &part, 0.0, 616.5, -1.0, &value, &error), OXT_EDOMAIN);
    FAILS(oxt_heat_time_for_exposure(&growth, &part, 616.5, 1e12, &value, NULL, &error),
          OXT_EUNREACHABLE);
}
