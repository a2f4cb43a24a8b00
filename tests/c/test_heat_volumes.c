/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Heating up against finite volumes: shells of the part that exchange heat, stepped through time. None
 * of the library's own temperatures enters. */
#include <string.h>

#include "support.h"

enum { CELLS = 160, STEPS = 3000, FIRST = 8 };

static const double BATH_K = 600.0, START_K = 293.15;
static const double CONDUCTIVITY = 40.0, DENSITY = 7850.0, HEAT = 550.0, RADIUS_M = 0.015;

/* Half thickness or radius over volume per surface. */
static double per_volume(oxt_shape shape)
{
    return shape == OXT_SHAPE_PLATE ? 1.0 : shape == OXT_SHAPE_CYLINDER ? 2.0 : 3.0;
}

/* A part of the given Biot number, h (V/A) / lambda. */
static oxt_part part_of(oxt_shape shape, double biot)
{
    oxt_part part = OXT_PART_INIT;
    part.shape = shape;
    part.size_m = 2.0 * RADIUS_M;
    part.start_K = START_K;
    part.density_kg_per_m3 = DENSITY;
    part.heat_J_per_kgK = HEAT;
    part.conductivity_W_per_mK = CONDUCTIVITY;
    part.transfer_W_per_m2K = biot * CONDUCTIVITY * per_volume(shape) / RADIUS_M;
    return part;
}

/* Shells of equal thickness, the temperature of each in its middle. */
typedef struct {
    double conductance[CELLS]; /* W/K     to the next shell, of the last to the bath */
    double capacity[CELLS];    /* J/K */
    double temperature_K[CELLS];
    double surface_share; /* of the bath in the temperature of the surface */
} shells;

static void lay_out(shells *made, oxt_shape shape, double transfer_W_per_m2K)
{
    double power = per_volume(shape), width_m = RADIUS_M / CELLS;
    double half_shell = 2.0 * CONDUCTIVITY / width_m;
    for (int i = 0; i < CELLS; i++) {
        double inner_m = i * width_m, outer_m = (i + 1) * width_m, face = pow(outer_m, power - 1.0);
        made->capacity[i] = DENSITY * HEAT * (pow(outer_m, power) - pow(inner_m, power)) / power;
        made->conductance[i] = face * CONDUCTIVITY / width_m;
        made->temperature_K[i] = START_K;
    }
    made->surface_share = transfer_W_per_m2K / (transfer_W_per_m2K + half_shell);
    made->conductance[CELLS - 1] = pow(RADIUS_M, power - 1.0) * half_shell * made->surface_share;
}

static double surface_K(const shells *of)
{
    return of->surface_share * BATH_K + (1.0 - of->surface_share) * of->temperature_K[CELLS - 1];
}

static double mean_K(const shells *of)
{
    double heat = 0.0, capacity = 0.0;
    for (int i = 0; i < CELLS; i++) {
        heat += of->capacity[i] * of->temperature_K[i];
        capacity += of->capacity[i];
    }
    return heat / capacity;
}

/* One step by the implicit share of its end: 1 is backward Euler, 1/2 the trapezoidal rule. */
static void step(shells *of, double time_s, double implicit)
{
    double above[CELLS], right[CELLS];
    for (int i = 0; i < CELLS; i++) {
        double here_K = of->temperature_K[i], c = of->capacity[i] / time_s;
        double out = of->conductance[i], in = i ? of->conductance[i - 1] : 0.0;
        double next_K = i + 1 < CELLS ? of->temperature_K[i + 1] : BATH_K;
        double last_K = i ? of->temperature_K[i - 1] : here_K;
        double flow = out * (next_K - here_K) + in * (last_K - here_K);
        double pivot = c + implicit * (in + out) + (i ? implicit * in * above[i - 1] : 0.0);
        right[i] = c * here_K + (1.0 - implicit) * flow + (i ? implicit * in * right[i - 1] : 0.0);
        right[i] = (right[i] + (i + 1 == CELLS ? implicit * out * BATH_K : 0.0)) / pivot;
        above[i] = -implicit * out / pivot;
    }
    of->temperature_K[CELLS - 1] = right[CELLS - 1];
    for (int i = CELLS - 2; i >= 0; i--)
        of->temperature_K[i] = right[i] - above[i] * of->temperature_K[i + 1];
}

/* nm^2/s, the law of Arrhenius written out. */
static double rate(double temperature_K)
{
    return 55.0 * exp(-80e3 / 8.314462618 * (1.0 / temperature_K - 1.0 / 588.7));
}

typedef struct {
    double surface, mean,
        exposure;       /* largest errors: of the gap to the bath, and of the exposure */
    double first_share; /* of the gap, at the surface when the comparison begins */
} errors;

/* Five time constants of the part. The first steps are short and implicit, since the bath strikes the
 * surface at once (R. Rannacher, Numer. Math. 43 (1984) 309). */
static errors compare(oxt_shape shape, double biot)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_part part = part_of(shape, biot);
    oxt_growth growth = growth_of(55.0, 588.7, 80e3);
    shells of;
    lay_out(&of, shape, part.transfer_W_per_m2K);
    double tau_s = DENSITY * HEAT * RADIUS_M * RADIUS_M / CONDUCTIVITY *
                   (1.0 / (biot * per_volume(shape) * per_volume(shape)) + 0.3);
    double each_s = 5.0 * tau_s / STEPS, time_s = 0.0, exposure = 0.0, before = 0.0;
    errors worst = { 0 };
    for (int i = 0; i < STEPS; i++) {
        int parts = i < FIRST ? 4 : 1;
        for (int j = 0; j < parts; j++) {
            step(&of, each_s / parts, i < FIRST ? 1.0 : 0.5);
            double now = rate(surface_K(&of));
            exposure += 0.5 * (before + now) * each_s / parts;
            before = now;
        }
        time_s += each_s;
        if (i % 100 != 99)
            continue;
        double said_K, said_nm2;
        OK(oxt_heat_surface_temperature(&part, BATH_K, time_s, &said_K, &error));
        OK(oxt_bath_exposure(&growth, NULL, &part, 0.0, BATH_K, time_s, &said_nm2, &error));
        worst.surface = worse(worst.surface, fabs(said_K - surface_K(&of)) / (BATH_K - START_K));
        worst.mean = worse(worst.mean, fabs(said_K - mean_K(&of)) / (BATH_K - START_K));
        if (i > 300)
            worst.exposure = worse(worst.exposure, fabs(said_nm2 / exposure - 1.0));
        if (i == 99)
            worst.first_share = (BATH_K - surface_K(&of)) / (BATH_K - START_K);
    }
    return worst;
}

/* Measured: 2.2e-5 of the gap and 1e-4 of the exposure at most. */
Test(heat_volumes, a_thick_part_is_as_hot_as_its_shells)
{
    static const double biots[] = { 0.11, 0.2, 0.5, 1.0, 2.0, 5.0 };
    for (int shape = OXT_SHAPE_PLATE; shape <= OXT_SHAPE_SPHERE; shape++)
        for (size_t i = 0; i < sizeof biots / sizeof biots[0]; i++) {
            errors found = compare((oxt_shape)shape, biots[i]);
            cr_assert(found.first_share > 0.02, "nothing is left to compare");
            cr_assert(found.surface <= 1e-4, "shape %d, Biot number %g: %g of the gap", shape,
                      biots[i], found.surface);
            cr_assert(found.exposure <= 3e-4, "shape %d, Biot number %g: %g of the exposure", shape,
                      biots[i], found.exposure);
        }
}

/* A part that is taken as one temperature is that of its shells on average. What is left out delays the
 * mean by Bi/3, Bi/2 and 3 Bi/5 of the time constant (first terms of the roots of the characteristic
 * equations), of which 1/e shows in the temperature. */
Test(heat_volumes, a_thin_part_is_as_hot_as_its_shells_on_average)
{
    static const double biots[] = { 0.05, 0.07, 0.09 }, delays[] = { 1.0 / 3.0, 0.5, 0.6 };
    for (int shape = OXT_SHAPE_PLATE; shape <= OXT_SHAPE_SPHERE; shape++)
        for (size_t i = 0; i < 3; i++) {
            errors found = compare((oxt_shape)shape, biots[i]);
            double expected = delays[shape] * biots[i] * exp(-1.0);
            cr_assert(found.mean <= 1.05 * expected && found.mean >= 0.85 * expected,
                      "shape %d, Biot number %g: %g of the gap, expected %g", shape, biots[i],
                      found.mean, expected);
        }
}

/* By definition (heat.h) the size of any shape is its volume over its surface: half the thickness of a
 * plate, a quarter of the diameter of a bar, a sixth of that of a ball. */
Test(heat_volumes, any_shape_is_measured_by_volume_over_surface)
{
    static const double shares[] = { 2.0, 4.0, 6.0 };
    oxt_error error = OXT_ERROR_INIT;
    for (int shape = OXT_SHAPE_PLATE; shape <= OXT_SHAPE_SPHERE; shape++) {
        oxt_part named = part_of((oxt_shape)shape, 0.05), any = named;
        oxt_warming one = OXT_WARMING_INIT, other = OXT_WARMING_INIT;
        any.shape = OXT_SHAPE_ANY;
        any.size_m = named.size_m / shares[shape];
        OK(oxt_heat_warming(&named, BATH_K, &one, &error));
        OK(oxt_heat_warming(&any, BATH_K, &other, &error));
        CLOSE(one.biot, 0.05, 1e-12);
        CLOSE(other.biot, 0.05, 1e-12);
        CLOSE(one.tau_s, DENSITY * HEAT * any.size_m / any.transfer_W_per_m2K, 1e-12);
        CLOSE(other.tau_s, one.tau_s, 1e-12);
    }
}

/* EN 1993-1-2:2005, 3.4.1.2: specific heat of carbon steel below 600 C. */
static double heat_of_steel(double temperature_K)
{
    double T = temperature_K - 273.15;
    return 425.0 + 7.73e-1 * T - 1.69e-3 * T * T + 2.22e-6 * T * T * T;
}

/* heat.h: properties that are not given are those of carbon steel half way between start and bath,
 * which gives the heat that the part takes up: the integral of its specific heat. At the bath it would
 * be 11 % more. */
Test(heat_volumes, properties_are_those_half_way)
{
    oxt_error error = OXT_ERROR_INIT;
    for (double bath_K = 520.0; bath_K < 680.0; bath_K += 50.0) {
        oxt_part part = OXT_PART_INIT;
        oxt_warming warming = OXT_WARMING_INIT;
        oxt_sag sag = OXT_SAG_INIT;
        oxt_bath bath = OXT_BATH_INIT;
        double taken = 0.0, half_way_K = 0.5 * (START_K + bath_K);
        part.size_m = 0.004;
        OK(oxt_heat_warming(&part, bath_K, &warming, &error));
        CLOSE(warming.heat_J_per_kgK, heat_of_steel(half_way_K), 1e-12);
        CLOSE(warming.conductivity_W_per_mK, 54.0 - 3.33e-2 * (half_way_K - 273.15), 1e-12);
        for (int i = 0; i < 1000; i++) /* the middle of each thousandth */
            taken += heat_of_steel(START_K + (bath_K - START_K) * (i + 0.5) / 1000.0) *
                     (bath_K - START_K) / 1000.0;
        bath.salt_kg = 1e6;
        OK(oxt_bath_sag(&bath, &part, 2.0, bath_K, &sag, &error));
        CLOSE(sag.heat_J, 2.0 * taken, 0.015);
        cr_assert(fabs(2.0 * heat_of_steel(bath_K) * (bath_K - START_K) / sag.heat_J - 1.0) > 0.07);
    }
}
