/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Heating up against finite volumes (volumes.h), which call nothing of the library. */
#include <string.h>

#include "support.h"
#include "volumes.h"

static const double BATH_K = 600.0, START_K = 293.15;
/* heat.h: of the properties of a series. */
static const double SERIES_K = 293.15 + 0.65 * (600.0 - 293.15);
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

/* The same part in shells. */
static volumes shells_of(oxt_shape shape, double biot, int cells)
{
    double transfer = biot * CONDUCTIVITY * per_volume(shape) / RADIUS_M;
    volumes of = volumes_steel((int)shape, RADIUS_M, BATH_K, transfer, cells);
    const double heat[4] = { HEAT, 0.0, 0.0, 0.0 };
    memcpy(of.heat, heat, sizeof heat);
    of.conductivity[0] = CONDUCTIVITY;
    of.conductivity[1] = 0.0;
    volumes_start(&of);
    return of;
}

/* nm^2/s, the law of Arrhenius written out. */
static double rate(double temperature_K)
{
    return 55.0 * exp(-80e3 / 8.314462618 * (1.0 / temperature_K - 1.0 / 588.7));
}

enum { LOOKS = 40 };

typedef struct {
    double surface_K[LOOKS], exposure_nm2[LOOKS];
} course;

/* Steps that lengthen like the root of time, since the bath strikes the surface at once. */
static course follow(volumes of, double end_s, int steps)
{
    course made;
    double before = rate(of.surface_K), exposure = 0.0;
    for (int i = 0; i < steps; i++) {
        double from = (double)i / steps, to = (double)(i + 1) / steps;
        double step_s = end_s * (to * to - from * from);
        volumes_step(&of, step_s);
        double now = rate(of.surface_K);
        exposure += 0.5 * step_s * (before + now);
        before = now;
        if ((i + 1) % (steps / LOOKS) == 0) {
            made.surface_K[(i + 1) / (steps / LOOKS) - 1] = of.surface_K;
            made.exposure_nm2[(i + 1) / (steps / LOOKS) - 1] = exposure;
        }
    }
    return made;
}

/* Energy closes: what went in through the surface is what the shells hold, with properties that follow
 * temperature, heat transfer that follows the difference, and a crust. */
Test(heat_volumes, the_reference_keeps_energy)
{
    for (int form = VOLUMES_PLATE; form <= VOLUMES_BALL; form++) {
        volumes of = volumes_steel(form, 0.006, BATH_K, 600.0, 60);
        of.exponent = 0.25;
        of.gap_K = 300.0;
        of.melting_K = 500.0;
        of.latent_J_per_m3 = 161e3 * 1950.0;
        of.crust_W_per_mK = 0.6;
        volumes_start(&of);
        double thickest_m = 0.0;
        for (int i = 0; i < 8000; i++) {
            volumes_step(&of, i < 4000 ? 0.01 : 0.1);
            thickest_m = worse(thickest_m, of.crust_m);
        }
        cr_assert(thickest_m > 2e-5 && of.crust_end_s > 1.0 && of.crust_end_s < 200.0);
        cr_assert(of.surface_K > BATH_K - 5.0 && of.surface_K < BATH_K);
        CLOSE(volumes_content(&of), of.taken_J_per_m2, 1e-6);
    }
}

/* Second order in shells and steps: two of them extrapolated. */
Test(heat_volumes, a_part_is_as_hot_as_its_shells)
{
    static const double biots[] = { 0.01, 0.05, 0.099, 0.101, 0.2, 0.5, 1.0, 2.0, 5.0 };
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth growth = growth_of(55.0, 588.7, 80e3);
    double worst_K = 0.0;
    for (int shape = OXT_SHAPE_PLATE; shape <= OXT_SHAPE_SPHERE; shape++)
        for (size_t i = 0; i < sizeof biots / sizeof biots[0]; i++) {
            double p = per_volume((oxt_shape)shape);
            double end_s = 8.0 * DENSITY * HEAT * RADIUS_M * RADIUS_M / CONDUCTIVITY *
                           (1.0 / (biots[i] * p * p) + 0.3);
            oxt_part part = part_of((oxt_shape)shape, biots[i]);
            course one = follow(shells_of((oxt_shape)shape, biots[i], 60), end_s, 800);
            course two = follow(shells_of((oxt_shape)shape, biots[i], 120), end_s, 1600);
            for (int j = 1; j < LOOKS; j++) {
                double time_s = end_s * (j + 1.0) * (j + 1.0) / LOOKS / LOOKS, said_K, said_nm2;
                double here_K = (4.0 * two.surface_K[j] - one.surface_K[j]) / 3.0;
                double here_nm2 = (4.0 * two.exposure_nm2[j] - one.exposure_nm2[j]) / 3.0;
                OK(oxt_heat_surface_temperature(&part, BATH_K, time_s, &said_K, &error));
                OK(oxt_bath_exposure(&growth, NULL, &part, 0.0, BATH_K, time_s, &said_nm2, &error));
                worst_K = worse(worst_K, fabs(said_K - here_K));
                cr_assert(fabs(said_nm2 - here_nm2) <= 2e-5 * here_nm2 + 1e-3,
                          "shape %d, Biot number %g, %g s: %g nm^2, expected %g", shape, biots[i],
                          time_s, said_nm2, here_nm2);
            }
        }
    measured("volumes-series", worst_K, -HUGE_VAL, 1e-3);
}

/* The surface and the growth of one part in a bath, against its shells. */
static void follows(int form, double half_m, double bath_C, double exponent, oxt_salt salt,
                    double *worst_K, double *worst_s)
{
    oxt_error error = OXT_ERROR_INIT;
    const double bath_K = bath_C + 273.15;
    const oxt_growth growth = growth_of(55.0, bath_K, 80e3);
    volumes of = volumes_steel(form, half_m, bath_K, 600.0, 80);
    of.exponent = exponent;
    of.gap_K = 150.0;
    if (salt == OXT_SALT_BINARY_60_40) { /* melting, density and latent heat as bath.h has them */
        of.melting_K = 229.0 + 273.15;
        of.latent_J_per_m3 = 161e3 * (2090.0 - 0.636 * 240.0);
        of.crust_W_per_mK = 0.6;
    }
    volumes_start(&of);
    oxt_part part = OXT_PART_INIT;
    oxt_bath bath = OXT_BATH_INIT;
    bath.salt = salt;
    part.shape = (oxt_shape)form;
    part.size_m = 2.0 * half_m;
    part.flow = exponent > 0.0 ? OXT_FLOW_STILL : OXT_FLOW_STIRRED;
    part.transfer_exponent = exponent;
    part.transfer_at_K = 150.0;
    double before = rate(of.surface_K), exposure = 0.0, end_s = 60e3 * half_m + 200.0;
    const int steps = 3000;
    for (int i = 0; i < steps; i++) {
        double from = (double)i / steps, to = (double)(i + 1) / steps, said;
        double step_s = end_s * (to * to - from * from);
        volumes_step(&of, step_s);
        double now = 55.0 * exp(-80e3 / 8.314462618 * (1.0 / of.surface_K - 1.0 / bath_K));
        exposure += i > 0 ? 0.5 * step_s * (before + now) : 0.0;
        before = now;
        if (i % 25 != 24 || of.time_s < 1.0)
            continue;
        OK(oxt_bath_exposure(&growth, &bath, &part, 0.0, bath_K, of.time_s, &said, &error));
        *worst_s = worse(*worst_s, fabs(said - exposure) / 55.0);
        if (salt == OXT_SALT_UNSTATED) {
            OK(oxt_heat_surface_temperature(&part, bath_K, of.time_s, &said, &error));
            *worst_K = worse(*worst_K, fabs(said - of.surface_K));
        }
    }
}

/* Heat transfer that falls with the difference, specific heat and conductivity by temperature, and a crust: in
 * seconds at the bath, of which the issue of a dip is made. */
Test(heat_volumes, a_still_bath_and_a_crust)
{
    double still_K = 0.0, still_s = 0.0, crust_s = 0.0, none = 0.0;
    for (int form = VOLUMES_PLATE; form <= VOLUMES_BALL; form++)
        for (double half_m = 0.001; half_m < 0.01; half_m *= 3.0) {
            follows(form, half_m, 315.6, 0.25, OXT_SALT_UNSTATED, &still_K, &still_s);
            follows(form, half_m, 315.6, 0.0, OXT_SALT_BINARY_60_40, &none, &crust_s);
        }
    follows(VOLUMES_PLATE, 0.003, 260.0, 0.0, OXT_SALT_BINARY_60_40, &none, &crust_s);
    follows(VOLUMES_PLATE, 0.003, 315.6, 0.25, OXT_SALT_BINARY_60_40, &none, &crust_s);
    measured("volumes-still", still_K, -HUGE_VAL, 0.05);
    measured("volumes-course", worse(still_s, crust_s), -HUGE_VAL, 0.1);
}

static double time_of(const oxt_part *part, double bath_K)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth growth = growth_of(55.0, 588.7, 80e3);
    double time_s;
    OK(oxt_heat_time_for_exposure(&growth, part, bath_K, 57.0 * 57.0, &time_s, NULL, &error));
    return time_s;
}

/* EN 1993-1-2:2005, 3.4.1.2: specific heat of carbon steel below 600 C. */
static double heat_of_steel(double temperature_K)
{
    double T = temperature_K - 273.15;
    return 425.0 + 7.73e-1 * T - 1.69e-3 * T * T + 2.22e-6 * T * T * T;
}

/* What grows on the way to the quench of a part that is lifted before it is soaked, a share of what shells grow; with
 * the surface standing for the whole of it 13 to 53 % more would grow. */
Test(heat_volumes, a_part_is_lifted_as_hot_as_its_shells)
{
    static const double sizes_m[] = { 0.0005, 0.001, 0.006, 0.025, 0.06, 0.06 };
    static const double delays_s[] = { 600.0, 900.0, 5.0, 15.0, 5.0, 60.0 };
    const oxt_growth growth = growth_of(55.0, 588.7, 80e3);
    double worst = 0.0;
    for (int form = VOLUMES_PLATE; form <= VOLUMES_BALL; form++)
        for (int i = 0; i < 6; i++) {
            oxt_part part = OXT_PART_INIT;
            oxt_lift lift = OXT_LIFT_INIT, at_once = OXT_LIFT_INIT;
            part.shape = (oxt_shape)form;
            part.size_m = sizes_m[i];
            lift.delay_s = delays_s[i];
            double time_s = time_of(&part, BATH_K);
            volumes of = volumes_steel(form, 0.5 * part.size_m, BATH_K, 600.0, 100);
            of.heat[0] = heat_of_steel(SERIES_K);
            of.heat[1] = of.heat[2] = of.heat[3] = 0.0;
            of.conductivity[0] = 54.0 - 3.33e-2 * (SERIES_K - 273.15);
            of.conductivity[1] = 0.0;
            volumes_start(&of);
            for (int j = 0; j < 1000; j++)
                volumes_step(&of, time_s * (2.0 * j + 1.0) / 1e6);
            of.lifted = 1;
            of.heat[0] = heat_of_steel(BATH_K);
            of.air_K = lift.air_K;
            of.convection = lift.convection_W_per_m2K;
            of.emissivity = lift.emissivity;
            double before = rate(of.surface_K), grown = 0.0;
            for (int j = 0; j < 500; j++) {
                double step_s = lift.delay_s * (2.0 * j + 1.0) / 250e3;
                volumes_step(&of, step_s);
                double now = rate(of.surface_K);
                grown += 0.5 * step_s * (before + now);
                before = now;
            }
            double said = grown_nm2(&growth, &part, &lift, BATH_K, time_s) -
                          grown_nm2(&growth, &part, &at_once, BATH_K, time_s);
            worst = worse(worst, fabs(said / grown - 1.0));
        }
    measured("volumes-lift", worst, -HUGE_VAL, 0.03);
}

/* A log of the middle of shells, of a part that enters at 7.3 s: the heat transfer and the exponent that made it come
 * back, whatever the search begins with. */
static oxt_transfer found_from(int form, double half_m, double transfer, double exponent,
                               oxt_thermocouple place, double noise_K)
{
    enum { SAMPLES = 400 };
    static double time_s[SAMPLES], temperature_K[SAMPLES];
    oxt_error error = OXT_ERROR_INIT;
    oxt_part part = OXT_PART_INIT;
    oxt_transfer found = OXT_TRANSFER_INIT;
    oxt_history *history;
    volumes of = volumes_steel(form, half_m, BATH_K, transfer, 80);
    of.exponent = exponent;
    of.gap_K = 100.0;
    volumes_start(&of);
    double every_s = 0.6e5 * half_m * 600.0 / transfer / SAMPLES;
    for (int i = 0; i < SAMPLES; i++) {
        time_s[i] = every_s * i;
        double until_s = time_s[i] - 7.3;
        for (int j = 0; j < 10 && until_s > of.time_s; j++)
            volumes_step(&of, fmin(0.1 * every_s, until_s - of.time_s));
        double shown_K = place == OXT_THERMOCOUPLE_SURFACE ? of.surface_K
                                                           : (9.0 * of.T[0] - of.T[1]) / 8.0;
        temperature_K[i] = shown_K + (i % 2 ? noise_K : -noise_K);
    }
    part.shape = (oxt_shape)form;
    part.size_m = 2.0 * half_m;
    part.flow = exponent > 0.0 ? OXT_FLOW_STILL : OXT_FLOW_STIRRED;
    part.transfer_W_per_m2K = 1000.0;
    OK(oxt_history_new(&history, SAMPLES, time_s, sizeof *time_s, temperature_K,
                       sizeof *temperature_K, 0.0, &error));
    OK(oxt_heat_find_transfer(&part, BATH_K, history, place, &found, &error));
    oxt_history_free(history);
    return found;
}

Test(heat_volumes, a_thermocouple_finds_the_heat_transfer)
{
    double worst = 0.0, worst_n = 0.0;
    for (int form = VOLUMES_PLATE; form <= VOLUMES_BALL; form++)
        for (int i = 0; i < 8; i += 3) {
            double half_m = i % 2 ? 0.012 : 0.003, transfer = i & 2 ? 300.0 : 900.0;
            oxt_thermocouple place = i & 4 ? OXT_THERMOCOUPLE_SURFACE : OXT_THERMOCOUPLE_CENTRE;
            oxt_transfer h = found_from(form, half_m, transfer, 0.0, place, 0.0);
            worst = worse(worst, fabs(h.transfer_W_per_m2K / transfer - 1.0));
            NEAR(h.enter_s, 7.3, 0.3);
            cr_assert(h.exponent == 0.0 && h.exponent_stderr == 0.0 && h.used == 400);
            h = found_from(form, half_m, transfer, 0.25, place, 0.0);
            worst = worse(worst, fabs(h.transfer_W_per_m2K / transfer - 1.0));
            worst_n = worse(worst_n, fabs(h.exponent - 0.25));
        }
    measured("volumes-transfer", worst, -HUGE_VAL, 1e-3);
    measured("volumes-exponent", worst_n, -HUGE_VAL, 1e-3);
    oxt_transfer noisy = found_from(VOLUMES_PLATE, 0.003, 600.0, 0.25, OXT_THERMOCOUPLE_CENTRE,
                                    2.0);
    NEAR(noisy.rms_K, 2.0, 0.1);
    NEAR(noisy.transfer_W_per_m2K, 600.0, 4.0 * noisy.transfer_stderr_W_per_m2K + 6.0);
    cr_assert(noisy.transfer_stderr_W_per_m2K > 0.2 && noisy.transfer_stderr_W_per_m2K < 10.0);
    cr_assert(noisy.exponent_stderr > 3e-4 && noisy.exponent_stderr < 0.03);
    oxt_transfer none = found_from(VOLUMES_PLATE, 0.003, 600.0, 1e-6, OXT_THERMOCOUPLE_CENTRE, 0.5);
    NEAR(none.transfer_W_per_m2K, 600.0, 6.0); /* stirred, and thought to be still */
    NEAR(none.exponent, 0.0, 0.01);
}

static oxt_status transfer_of(const oxt_part *part, double bath_K, const double *temperature_K,
                              oxt_thermocouple place, oxt_error *error)
{
    double time_s[40];
    oxt_transfer found = OXT_TRANSFER_INIT;
    oxt_history *history;
    for (int i = 0; i < 40; i++)
        time_s[i] = 0.5 * i;
    cr_assert(!oxt_history_new(&history, 40, time_s, sizeof *time_s, temperature_K,
                               sizeof *temperature_K, 0.0, error));
    oxt_status status = oxt_heat_find_transfer(part, bath_K, history, place, &found, error);
    oxt_history_free(history);
    return status;
}

Test(heat_volumes, what_tells_no_heat_transfer)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_thermocouple centre = OXT_THERMOCOUPLE_CENTRE;
    double cold_K[40], sudden_K[40], late_K[40];
    oxt_part part = OXT_PART_INIT;
    part.size_m = 0.006;
    part.start_K = START_K;
    for (int i = 0; i < 40; i++) {
        cold_K[i] = START_K;
        sudden_K[i] = i < 10 ? START_K : i == 10 ? START_K + 1.0 : BATH_K;
        late_K[i] = BATH_K - 20.0 * exp(-0.1 * i);
    }
    FAILS(oxt_heat_find_transfer(&part, BATH_K, NULL, centre, &(oxt_transfer)OXT_TRANSFER_INIT,
                                 &error),
          OXT_EARG);
    FAILS(transfer_of(&part, BATH_K, cold_K, (oxt_thermocouple)7, &error), OXT_EARG);
    SAYS("place is 7, expected one of oxt_thermocouple");
    FAILS(transfer_of(&part, START_K + 9.0, cold_K, centre, &error), OXT_EDOMAIN);
    SAYS("bath_K");
    FAILS(transfer_of(&part, BATH_K, cold_K, centre, &error), OXT_EFEW);
    SAYS("0 of its samples in the first half of the rise");
    FAILS(transfer_of(&part, BATH_K, late_K, centre, &error), OXT_EFEW);
    /* as hot as the bath from one sample to the next: no transfer is too large */
    FAILS(transfer_of(&part, BATH_K, sudden_K, centre, &error), OXT_ENOCONV);
    SAYS("cannot be told from this history");
    part.flow = OXT_FLOW_STILL;
    FAILS(transfer_of(&part, BATH_K, sudden_K, centre, &error), OXT_ENOCONV);
    part.size_m = 0.0;
    FAILS(transfer_of(&part, BATH_K, sudden_K, centre, &error), OXT_EDOMAIN);
    SAYS("size_m");
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
        CLOSE(other.tau_s, DENSITY * HEAT * any.size_m / any.transfer_W_per_m2K, 1e-12);
        cr_assert(one.tau_s > other.tau_s && one.tau_s < 1.05 * other.tau_s);
    }
}

static double between(double low, double high)
{
    static uint64_t state = 20;
    state = state * 6364136223846793005u + 1442695040888963407u;
    return low * pow(high / low, (double)(state >> 11) / 9007199254740992.0);
}

/* A hotter bath is never later, a thicker part never sooner, and neither makes a step. */
Test(heat_volumes, ten_thousand_parts_in_order)
{
    for (int i = 0; i < 10000; i++) {
        oxt_part part = OXT_PART_INIT, thicker, more;
        part.shape = (oxt_shape)(i % 4);
        part.size_m = between(1e-4, 0.1);
        part.transfer_W_per_m2K = between(100.0, 3000.0);
        double bath_K = between(500.0, 700.0), step = 1.0 + between(1e-9, 1e-2);
        thicker = more = part;
        thicker.size_m *= step;
        more.transfer_W_per_m2K *= step;
        double here_s = time_of(&part, bath_K), hotter_s = time_of(&part, bath_K * step);
        double thicker_s = time_of(&thicker, bath_K), more_s = time_of(&more, bath_K);
        const double rounding = 1.0 + 1e-9; /* of the root that is looked for */
        cr_assert(hotter_s <= here_s * rounding && thicker_s >= here_s / rounding &&
                      more_s <= here_s * rounding,
                  "%d: %.10g s, hotter %.10g s, thicker %.10g s", i, here_s, hotter_s, thicker_s);
        cr_assert(here_s / hotter_s < pow(step, 30.0) * rounding &&
                      thicker_s / here_s < step * step * rounding &&
                      here_s / more_s < step * rounding,
                  "%d: a step from %.10g s to %.10g, %.10g, %.10g s", i, here_s, hotter_s,
                  thicker_s, more_s);
    }
}

/* heat.h: properties that are not given are those of carbon steel at 0.65 of the way from start to bath. The heat that a
 * load takes up is the integral of its specific heat. */
Test(heat_volumes, properties_are_those_at_a_share_of_the_way)
{
    oxt_error error = OXT_ERROR_INIT;
    for (double bath_K = 520.0; bath_K < 680.0; bath_K += 50.0) {
        oxt_part part = OXT_PART_INIT;
        oxt_warming warming = OXT_WARMING_INIT;
        oxt_sag sag = OXT_SAG_INIT;
        oxt_bath bath = OXT_BATH_INIT;
        double taken = 0.0, known_K = START_K + 0.65 * (bath_K - START_K);
        part.size_m = 0.006;
        OK(oxt_heat_warming(&part, bath_K, &warming, &error));
        CLOSE(warming.heat_J_per_kgK, heat_of_steel(known_K), 1e-12);
        CLOSE(warming.conductivity_W_per_mK, 54.0 - 3.33e-2 * (known_K - 273.15), 1e-12);
        for (int i = 0; i < 1000; i++) /* the middle of each thousandth */
            taken += heat_of_steel(START_K + (bath_K - START_K) * (i + 0.5) / 1000.0) *
                     (bath_K - START_K) / 1000.0;
        bath.salt_kg = 1e6;
        OK(oxt_bath_sag(&bath, &part, 2.0, bath_K, &sag, &error));
        CLOSE(sag.heat_J, 2.0 * taken, 1e-5);
    }
}

/* What the one set of properties costs: the time lost to heating up against shells whose properties follow temperature,
 * for cold parts of all shapes, and preheated. */
Test(heat_volumes, one_set_of_properties_is_enough)
{
    static const double halves_m[] = { 0.0005, 0.003, 0.012 };
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth growth = growth_of(55.0, 588.7, 80e3);
    double worst = 0.0;
    for (int form = VOLUMES_PLATE; form <= VOLUMES_BALL; form++)
        for (int i = 0; i < 12; i++) {
            oxt_part part = OXT_PART_INIT;
            double bath_K = 530.0 + 40.0 * (i % 4), half_m = halves_m[i / 4], said;
            double end_s = half_m * (form == VOLUMES_PLATE ? 1.3e5 : 8e4);
            part.shape = (oxt_shape)form;
            part.size_m = 2.0 * half_m;
            course shells = follow(volumes_steel(form, half_m, bath_K, 600.0, 60), end_s, 800);
            OK(oxt_bath_exposure(&growth, NULL, &part, 0.0, bath_K, end_s, &said, &error));
            double lost_s = end_s - shells.exposure_nm2[LOOKS - 1] / rate(bath_K);
            worst = worse(worst, fabs((end_s - said / rate(bath_K)) / lost_s - 1.0));
        }
    measured("volumes-properties", worst, -HUGE_VAL, 0.005);
}
