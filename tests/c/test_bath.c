/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <gsl/gsl_integration.h>
#include <string.h>

#include "thermal/salt.h"
#include "support.h"

static const double BATH_K = 616.5;

static oxt_part plate(double size_m)
{
    oxt_part part = OXT_PART_INIT;
    part.shape = OXT_SHAPE_ANY;
    part.size_m = 0.5 * size_m;
    part.heat_J_per_kgK = 550.0;
    part.conductivity_W_per_mK = 42.0;
    return part;
}

static oxt_bath pot(double salt_kg, double heater_W)
{
    oxt_bath bath = OXT_BATH_INIT;
    bath.salt = OXT_SALT_UNSTATED; /* none freezes; its heat is that of the 60/40 */
    bath.salt_kg = salt_kg;
    bath.heater_W = heater_W;
    return bath;
}

static oxt_sag sag_of(const oxt_bath *bath, const oxt_part *part, double load_kg)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_sag sag = OXT_SAG_INIT;
    OK(oxt_bath_sag(bath, part, load_kg, BATH_K, &sag, &error));
    return sag;
}

static double exposure_of(const oxt_bath *bath, const oxt_part *part, double load_kg, double time_s)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth growth = growth_of(30.0, 588.7, 76e3);
    double exposure;
    OK(oxt_bath_exposure(&growth, bath, part, load_kg, BATH_K, time_s, &exposure, &error));
    return exposure;
}

static oxt_warming warming_of(const oxt_part *part)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_warming warming = OXT_WARMING_INIT;
    OK(oxt_heat_warming(part, BATH_K, &warming, &error));
    return warming;
}

static double salt_heat(oxt_salt salt, double temperature_K)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_salt_values found = OXT_SALT_VALUES_INIT;
    OK(oxt_bath_salt(salt, temperature_K, &found, &error));
    return found.heat_J_per_kgK;
}

/* ---- the salts ---- */

/* Sources stand in the table. */
Test(bath, properties_of_the_correlations)
{
    oxt_error error = OXT_ERROR_INIT;
    table rows = read_table("nitrate_salt_properties.csv");
    double worst = 0.0, slight = 0.0;
    cr_assert_eq(rows.rows, 22);
    for (size_t i = 0; i < rows.rows; i++) {
        oxt_salt_values found = OXT_SALT_VALUES_INIT;
        OK(oxt_bath_salt((oxt_salt)at(&rows, i, 0), at(&rows, i, 1) + 273.15, &found, &error));
        worst = worse(worse(worst, found.density_kg_per_m3 - at(&rows, i, 2)),
                      found.heat_J_per_kgK - at(&rows, i, 3));
        slight = worse(worse(slight, found.viscosity_Pa_s / at(&rows, i, 4) - 1.0),
                       found.conductivity_W_per_mK / at(&rows, i, 5) - 1.0);
        NEAR(found.expansion_per_K, (at(&rows, i, 0) == 3.0 ? 0.7497 : 0.636) / at(&rows, i, 2),
             1e-9);
    }
    measured("salt-properties", worst, -HUGE_VAL, 6e-4);
    measured("salt-convective", slight, -HUGE_VAL, 2e-5);
    free_table(&rows);
}

/* The eutectic and an unstated salt take the correlations of the 60/40 salt, as documented. */
Test(bath, binaries_share_their_properties)
{
    for (double K = 520.0; K < 850.0; K += 30.0) {
        cr_assert(salt_heat(OXT_SALT_BINARY_EUTECTIC, K) == salt_heat(OXT_SALT_BINARY_60_40, K));
        cr_assert(salt_heat(OXT_SALT_UNSTATED, K) == salt_heat(OXT_SALT_BINARY_60_40, K));
    }
}

/* Sources stand in the table. */
Test(bath, limits_of_the_salts)
{
    oxt_error error = OXT_ERROR_INIT;
    table rows = read_table("nitrate_salt_limits.csv");
    cr_assert_eq(rows.rows, 4);
    for (size_t i = 0; i < rows.rows; i++) {
        oxt_salt salt = (oxt_salt)at(&rows, i, 0);
        oxt_salt_values limits = OXT_SALT_VALUES_INIT;
        OK(oxt_bath_salt(salt, 0.0, &limits, &error));
        cr_assert(isnan(limits.density_kg_per_m3) && isnan(limits.heat_J_per_kgK));
        NEAR(limits.melting_low_K, at(&rows, i, 1) + 273.15, 1e-9);
        NEAR(limits.melting_high_K, at(&rows, i, 2) + 273.15, 1e-9);
        NEAR(limits.working_low_K, at(&rows, i, 3) + 273.15, 1e-9);
        NEAR(limits.working_high_K, at(&rows, i, 4) + 273.15, 1e-9);
        NEAR(limits.legal_high_K, at(&rows, i, 5) + 273.15, 1e-9);
        cr_assert(strlen(limits.name) > 5 && strstr(limits.source, "California"));
        cr_assert_eq(strstr(limits.source, "from memory") != NULL, i > 0);
        double low_K = at(&rows, i, 6) + 273.15, high_K = at(&rows, i, 7) + 273.15;
        OK(oxt_bath_salt(salt, low_K + 0.01, &limits, &error));
        OK(oxt_bath_salt(salt, high_K - 0.01, &limits, &error));
        FAILS(oxt_bath_salt(salt, low_K - 0.01, &limits, &error), OXT_EDOMAIN);
        FAILS(oxt_bath_salt(salt, high_K + 0.01, &limits, &error), OXT_EDOMAIN);
    }
    free_table(&rows);
}

/* ---- natural convection ---- */

/* F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, with their properties: example 9.2, a screen
 * of 0.71 by 1.02 m, 209 K hotter than the room, 1060 W; example 9.4, a pipe of 0.1 m and emissivity 0.85, 165 C in
 * 23 C, 763 W/m with its radiation (the figures as worked in FOSSEE's companion to the book; printed are Nu of 147 and
 * 23.3, from memory). G. Nellis and S. Klein, Heat Transfer, section 6.2.3: a sphere at Ra of 1.5e6, Pr of 2, Nu of
 * 19.52. The least of a sphere is conduction, 2. */
Test(bath, nusselt_numbers_of_worked_examples)
{
    const double g = 9.81, pi = 3.14159265358979323846;
    double screen = oxt_i_nusselt(OXT_SURFACE_UPRIGHT,
                                  g * 2.5e-3 * 209.0 * pow(0.71, 3.0) / (26.4e-6 * 38.3e-6), 0.69);
    NEAR(screen, 147.0, 0.5);
    NEAR(screen * 33.8e-3 / 0.71 * 0.71 * 1.02 * 209.0, 1060.0, 1.0);
    double pipe = oxt_i_nusselt(OXT_SURFACE_LYING,
                                g * 2.725e-3 * 142.0 * 1e-3 / (22.8e-6 * 32.8e-6), 0.697);
    double radiated = 0.85 * pi * 0.1 * 5.67e-8 * (pow(438.0, 4.0) - pow(296.0, 4.0));
    NEAR(pipe, 23.3, 0.25);
    NEAR(pipe * 31.3e-3 * pi * 142.0 + radiated, 763.0, 1.0);
    NEAR(oxt_i_nusselt(OXT_SURFACE_SPHERE, 1.5e6, 2.0), 19.52, 0.005);
    NEAR(oxt_i_nusselt(OXT_SURFACE_SPHERE, 1e-12, 2.0), 2.0, 1e-3);
}

static oxt_convection convection_of(oxt_salt salt, oxt_surface surface, double size_m,
                                    double bath_K, double difference_K)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_bath bath = OXT_BATH_INIT;
    oxt_convection found = OXT_CONVECTION_INIT;
    bath.salt = salt;
    OK(oxt_bath_convection(&bath, surface, size_m, bath_K, difference_K, &found, &error));
    return found;
}

/* By hand for 60/40 at 300 C, halfway below a bath of 350 C, 100 K, 50 mm: rho 1899.2, cp 1494.6, mu 3.2632e-3, k 0.5
 * (the table of properties), so Pr 9.754, Ra 1.356e8, Nu 81.7 by the equation of the screen above. */
Test(bath, convection_follows_from_the_salt)
{
    oxt_convection found = convection_of(OXT_SALT_BINARY_60_40, OXT_SURFACE_UPRIGHT, 0.05,
                                         350.0 + 273.15, 100.0);
    const double rho = 1899.2, viscosity = 3.2632e-3 / rho, diffusivity = 0.5 / (rho * 1494.6);
    NEAR(found.film_K, 573.15, 1e-9);
    NEAR(found.prandtl, viscosity / diffusivity, 1e-4);
    NEAR(found.rayleigh / (9.80665 * 0.636 / rho * 100.0 * 1.25e-4 / (viscosity * diffusivity)),
         1.0, 1e-5);
    NEAR(found.nusselt, oxt_i_nusselt(OXT_SURFACE_UPRIGHT, found.rayleigh, found.prandtl), 1e-9);
    NEAR(found.transfer_W_per_m2K, found.nusselt * 0.5 / 0.05, 1e-4);
    double tenth = convection_of(OXT_SALT_BINARY_60_40, OXT_SURFACE_UPRIGHT, 0.05, 350.0 + 273.15,
                                 10.0)
                       .transfer_W_per_m2K;
    NEAR(tenth * pow(10.0, found.exponent), found.transfer_W_per_m2K, 1e-9);
}

/* A larger difference gives more, a taller plate, a thicker bar or a larger ball less; the exponent is that of laminar
 * to turbulent flow, 1/4 to 1/3, but for what properties do; and a film out of the correlations takes their end. */
Test(bath, convection_of_every_salt_and_surface)
{
    for (int salt = OXT_SALT_UNSTATED; salt <= OXT_SALT_TERNARY; salt++)
        for (int surface = OXT_SURFACE_UPRIGHT; surface <= OXT_SURFACE_SPHERE; surface++)
            for (double bath_K = 530.0; bath_K < 800.0; bath_K += 30.0) {
                double last = 0.0, thin = HUGE_VAL;
                for (double difference_K = 0.1; difference_K < 300.0; difference_K *= 2.0) {
                    oxt_convection found = convection_of(salt, surface, 0.02, bath_K, difference_K);
                    cr_assert(found.transfer_W_per_m2K > last);
                    cr_assert(found.exponent > 0.08 && found.exponent < 0.34, "%g", found.exponent);
                    last = found.transfer_W_per_m2K;
                }
                for (double size_m = 0.001; size_m < 0.1; size_m *= 2.0) {
                    double h =
                        convection_of(salt, surface, size_m, bath_K, 50.0).transfer_W_per_m2K;
                    cr_assert(h < thin);
                    thin = h;
                }
            }
    NEAR(convection_of(OXT_SALT_BINARY_60_40, OXT_SURFACE_SPHERE, 0.01, 530.0, 200.0).film_K,
         240.0 + 273.15, 1e-9);
}

Test(bath, convection_out_of_range)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_bath bath = OXT_BATH_INIT;
    oxt_convection found = OXT_CONVECTION_INIT;
    FAILS(oxt_bath_convection(&bath, (oxt_surface)3, 0.05, 600.0, 50.0, &found, &error), OXT_EARG);
    FAILS(oxt_bath_convection(&bath, 0, 0.0, 600.0, 50.0, &found, &error), OXT_EDOMAIN);
    FAILS(oxt_bath_convection(&bath, 0, 1.1, 600.0, 50.0, &found, &error), OXT_EDOMAIN);
    FAILS(oxt_bath_convection(&bath, 0, 0.05, 300.0, 50.0, &found, &error), OXT_EDOMAIN);
    FAILS(oxt_bath_convection(&bath, 0, 0.05, 600.0, 0.0, &found, &error), OXT_EDOMAIN);
    FAILS(oxt_bath_convection(&bath, 0, 0.05, 600.0, 400.1, &found, &error), OXT_EDOMAIN);
    FAILS(oxt_bath_convection(&bath, OXT_SURFACE_SPHERE, 1.0, 800.0, 300.0, &found, &error),
          OXT_EDOMAIN);
    SAYS("Rayleigh number");
    cr_assert(found.transfer_W_per_m2K == 0.0 && error.high > 0.1 && error.high < 1.0);
    const double high_m = error.high;
    FAILS(oxt_bath_convection(&bath, OXT_SURFACE_SPHERE, 1.01 * high_m, 800.0, 300.0, &found,
                              &error),
          OXT_EDOMAIN);
    OK(oxt_bath_convection(&bath, OXT_SURFACE_SPHERE, 0.99 * high_m, 800.0, 300.0, &found, &error));
}

/* ---- the thermometer ---- */

Test(bath, true_is_reading_plus_offset)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_bath bath = OXT_BATH_INIT;
    double true_K;
    for (double offset_K = -50.0; offset_K <= 50.0; offset_K += 12.5) {
        bath.thermometer_offset_K = offset_K;
        OK(oxt_bath_read(&bath, 600.0, &true_K, NULL, &error));
        NEAR(true_K, 600.0 + offset_K, 1e-12);
        FAILS(oxt_bath_read(&bath, 973.2 - offset_K, &true_K, NULL, &error), OXT_EDOMAIN);
        FAILS(oxt_bath_read(&bath, 373.1 - offset_K, &true_K, NULL, &error), OXT_EDOMAIN);
    }
}

/* ---- the sag ---- */

/* What the load has taken, the salt and the heater have given, at the coldest moment: there the heater
 * gives as much as the load takes, so the gap between them is P tau/C of the load. */
Test(bath, energy_is_kept_at_the_lowest)
{
    const double loads_kg[] = { 0.2, 1.0, 5.0 }, powers_W[] = { 50.0, 500.0, 1500.0 };
    const oxt_part part = plate(0.006);
    const oxt_warming warming = warming_of(&part);
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 3; j++) {
            const oxt_bath bath = pot(10.0, powers_W[j]);
            oxt_sag sag = sag_of(&bath, &part, loads_kg[i]);
            double load_J_per_K = loads_kg[i] * warming.heat_J_per_kgK;
            double part_K = sag.lowest_K - powers_W[j] * warming.tau_s / load_J_per_K;
            double taken_J = load_J_per_K * (part_K - part.start_K);
            double given_J = 10.0 * salt_heat(bath.salt, BATH_K) * sag.sag_K +
                             powers_W[j] * sag.lowest_s;
            CLOSE(given_J, taken_J, 2e-4);
            CLOSE(sag.heat_J, load_J_per_K * (BATH_K - part.start_K), 1e-6);
        }
}

/* Without a heater bath and load end at the temperature of the mixture. */
Test(bath, without_heater_the_mixture)
{
    const oxt_part part = plate(0.006);
    double c = warming_of(&part).heat_J_per_kgK;
    for (double load_kg = 0.1; load_kg < 50.0; load_kg *= 3.0) {
        const oxt_bath bath = pot(10.0, 0.0);
        oxt_sag sag = sag_of(&bath, &part, load_kg);
        double C_bath = 10.0 * salt_heat(bath.salt, BATH_K), C_load = load_kg * c;
        double mixture_K = (C_bath * BATH_K + C_load * part.start_K) / (C_bath + C_load);
        NEAR(sag.lowest_K, mixture_K, 1e-4);
        CLOSE(sag.heat_J, C_bath * (BATH_K - mixture_K), 1e-6);
        CLOSE(sag.heat_J, C_bath * sag.sag_K, 1e-12);
        cr_assert(isinf(sag.lowest_s) && isinf(sag.recovery_s));
    }
}

Test(bath, without_salt_stated_nothing_cools_it)
{
    const oxt_part part = plate(0.006);
    const oxt_bath bath = pot(0.0, 0.0);
    oxt_sag sag = sag_of(&bath, &part, 100.0);
    cr_assert(sag.sag_K == 0.0 && sag.lowest_K == BATH_K && sag.recovery_s == 0.0);
    cr_assert(!(sag.cautions & OXT_CAUTION_SAG));
}

/* Contract: below its correlation a salt has the heat of the nearest end, here 240 C. */
Test(bath, a_cooler_bath_than_the_correlation)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_part part = plate(0.006);
    const oxt_bath bath = pot(10.0, 0.0);
    oxt_sag sag = OXT_SAG_INIT;
    OK(oxt_bath_sag(&bath, &part, 1.0, 473.15, &sag, &error));
    CLOSE(sag.heat_J, 10.0 * (1443.0 + 0.172 * 240.0) * sag.sag_K, 1e-5);
    cr_assert(!(sag.cautions & OXT_CAUTION_BELOW_MELTING)); /* of 60/40 it would be */
    oxt_bath frozen = bath;
    frozen.salt = OXT_SALT_BINARY_60_40;
    OK(oxt_bath_sag(&frozen, &part, 1.0, 473.15, &sag, &error));
    cr_assert(sag.cautions & OXT_CAUTION_BELOW_MELTING);
    cr_assert_eq(sag.cautions & EVERY_BATH, EVERY_BATH);
}

/* A heater stronger than the first rush of heat holds the bath where it was. */
Test(bath, a_strong_heater_holds_the_bath)
{
    const oxt_part part = plate(0.006);
    const oxt_warming warming = warming_of(&part);
    double rush_W = warming.heat_J_per_kgK * (BATH_K - part.start_K) / warming.tau_s;
    oxt_bath bath = pot(10.0, 1.001 * rush_W), endless = pot(0.0, 0.0);
    cr_assert(sag_of(&bath, &part, 1.0).sag_K == 0.0);
    CLOSE(exposure_of(&bath, &part, 1.0, 90.0), exposure_of(&endless, &part, 1.0, 90.0), 1e-4);
    bath.heater_W = 0.9 * rush_W;
    cr_assert(sag_of(&bath, &part, 1.0).sag_K > 0.0);
}

Test(bath, more_load_sags_more_more_power_recovers_sooner)
{
    const oxt_part part = plate(0.006);
    double before_K = 0.0, before_s = HUGE_VAL;
    for (double load_kg = 0.5; load_kg < 20.0; load_kg *= 1.4) {
        const oxt_bath bath = pot(10.0, 500.0);
        double sag_K = sag_of(&bath, &part, load_kg).sag_K;
        cr_assert(sag_K > before_K);
        before_K = sag_K;
    }
    before_K = HUGE_VAL;
    for (double heater_W = 100.0; heater_W < 4e3; heater_W *= 1.3) {
        const oxt_bath bath = pot(10.0, heater_W);
        oxt_sag sag = sag_of(&bath, &part, 1.0);
        cr_assert(sag.recovery_s < before_s && sag.recovery_s > sag.lowest_s);
        cr_assert(sag.sag_K < before_K);
        before_s = sag.recovery_s;
        before_K = sag.sag_K;
    }
}

/* Long after the rush, load and bath climb as one body: back within 0.1 K when the heater has given
 * all but that of the heat that the load takes. */
Test(bath, recovery_is_paid_by_the_heater)
{
    const oxt_part part = plate(0.001);
    const oxt_bath bath = pot(10.0, 100.0);
    const oxt_warming warming = warming_of(&part);
    double C_load = warming.heat_J_per_kgK, C_bath = 10.0 * salt_heat(bath.salt, BATH_K);
    oxt_sag sag = sag_of(&bath, &part, 1.0);
    double ratio = C_load / C_bath;
    double gap_K = 100.0 / C_bath * warming.tau_s / (1.0 + ratio); /* of the steady climb */
    double needed_J = C_load * (BATH_K - part.start_K - gap_K) - 0.1 * (C_load + C_bath);
    CLOSE(100.0 * sag.recovery_s, needed_J, 1e-10);
}

/* The project's own figure of 5 K. */
/* A foil takes its heat at once, however thin: the heater brings it back to within 0.1 K, and with a hundredth of
 * the power in a hundred times the time. */
Test(bath, a_foil_of_next_to_no_thickness)
{
    const double thin_m[] = { 1e-9, 1e-30, 1e-300, 1e-309, 5e-324 };
    for (size_t i = 0; i < sizeof thin_m / sizeof thin_m[0]; i++) {
        oxt_part part = plate(1.0);
        part.size_m = thin_m[i];
        const oxt_bath weak = pot(0.1, 1.0), strong = pot(0.1, 100.0);
        oxt_sag slow = sag_of(&weak, &part, 0.01), fast = sag_of(&strong, &part, 0.01);
        double needed_J = (slow.sag_K - 0.1) * (0.1 * salt_heat(weak.salt, BATH_K) +
                                                0.01 * warming_of(&part).heat_J_per_kgK);
        cr_assert(slow.sag_K > 5.0 && slow.lowest_s < 1e-3);
        CLOSE(1.0 * slow.recovery_s, needed_J, 1e-4);
        cr_assert_float_eq(slow.recovery_s / fast.recovery_s, 100.0, 0.01);
        cr_assert(exposure_of(&weak, &part, 0.01, 1e4) < exposure_of(&strong, &part, 0.01, 1e4));
    }
}

Test(bath, caution_of_a_sag)
{
    const oxt_part part = plate(0.006);
    const oxt_bath bath = pot(10.0, 0.0);
    int raised = 0, silent = 0;
    for (double load_kg = 0.1; load_kg < 2.0; load_kg *= 1.1) {
        oxt_sag sag = sag_of(&bath, &part, load_kg);
        cr_assert_eq((sag.cautions & OXT_CAUTION_SAG) != 0, sag.sag_K > 5.0);
        cr_assert(sag.cautions & OXT_CAUTION_MOLTEN_SALT);
        *(sag.sag_K > 5.0 ? &raised : &silent) += 1;
    }
    cr_assert(raised > 3 && silent > 3);
}

/* ---- exposure ---- */

Test(bath, endless_salt_is_a_plain_dip)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth growth = growth_of(30.0, 588.7, 76e3);
    const oxt_bath endless = pot(0.0, 0.0), huge = pot(1e6, 0.0);
    for (double size_m = 0.0; size_m < 0.05; size_m += 0.008) {
        const oxt_part part = plate(size_m);
        double plain;
        OK(oxt_bath_exposure(&growth, NULL, &part, 0.0, BATH_K, 90.0, &plain, &error));
        cr_assert(exposure_of(&endless, &part, 1.0, 90.0) == plain);
        if (size_m > 0.0 && warming_of(&part).biot < 0.1)
            CLOSE(exposure_of(&huge, &part, 1e-6, 90.0), plain, 1e-4);
    }
}

/* Bath and part by the equations of the header, each solved on its own: what follows is independent of
 * how the library writes them. */
typedef struct {
    double bath_K, gap_K; /* at the start */
    double tau_s, both_s, ratio, heater_K_per_s;
    double held_s; /* the heater holds the bath from here on */
} meeting;

static double free_bath(const meeting *m, double t)
{
    double settled = m->heater_K_per_s * m->both_s;
    double taken = settled * t + (m->gap_K - settled) * m->both_s * (1.0 - exp(-t / m->both_s));
    return m->bath_K + m->heater_K_per_s * t - m->ratio / m->tau_s * taken;
}

static double free_gap(const meeting *m, double t)
{
    double settled = m->heater_K_per_s * m->both_s;
    return settled + (m->gap_K - settled) * exp(-t / m->both_s);
}

static double rate_in(double t, void *context)
{
    const meeting *m = context;
    double part_K = t < m->held_s
                        ? free_bath(m, t) - free_gap(m, t)
                        : m->bath_K - free_gap(m, m->held_s) * exp((m->held_s - t) / m->tau_s);
    const oxt_growth growth = growth_of(30.0, 588.7, 76e3);
    double rate = NAN;
    oxt_rate(&growth, part_K, &rate, NULL);
    return rate;
}

static double held_from(const meeting *m)
{
    if (m->heater_K_per_s == 0.0)
        return HUGE_VAL;
    double low = 1e-3, high = 2e5; /* below its start at the first, above at the second */
    cr_assert(free_bath(m, low) < m->bath_K && free_bath(m, high) > m->bath_K);
    for (int i = 0; i < 200; i++) {
        double middle = 0.5 * (low + high);
        *(free_bath(m, middle) < m->bath_K ? &low : &high) = middle;
    }
    return low;
}

static double adaptive(gsl_integration_workspace *space, meeting *m, double from_s, double to_s)
{
    gsl_function function = { rate_in, m };
    double sum, accuracy;
    gsl_integration_qag(&function, from_s, to_s, 0.0, 1e-11, 2000, GSL_INTEG_GAUSS61, space, &sum,
                        &accuracy);
    return sum;
}

Test(bath, exposure_equals_adaptive_quadrature)
{
    const double powers_W[] = { 0.0, 200.0, 3000.0 }, sizes_m[] = { 0.0005, 0.006, 0.012 };
    const double times_s[] = { 5.0, 90.0, 900.0 };
    gsl_integration_workspace *space = gsl_integration_workspace_alloc(2000);
    for (int i = 0; i < 27; i++) {
        const oxt_bath bath = pot(10.0, powers_W[i % 3]);
        const oxt_part part = plate(sizes_m[i / 3 % 3]);
        const oxt_warming warming = warming_of(&part);
        double C_bath = 10.0 * salt_heat(bath.salt, BATH_K), time_s = times_s[i / 9];
        meeting m = { BATH_K,
                      BATH_K - part.start_K,
                      warming.tau_s,
                      0.0,
                      2.0 * warming.heat_J_per_kgK / C_bath,
                      bath.heater_W / C_bath,
                      0.0 };
        m.both_s = m.tau_s / (1.0 + m.ratio);
        m.held_s = held_from(&m);
        double free_s = fmin(m.held_s, time_s), expected = adaptive(space, &m, 0.0, free_s);
        if (time_s > free_s)
            expected += adaptive(space, &m, free_s, time_s);
        CLOSE(exposure_of(&bath, &part, 2.0, time_s), expected, 1e-4);
    }
    gsl_integration_workspace_free(space);
}

Test(bath, a_sag_costs_exposure)
{
    const oxt_part part = plate(0.006);
    double before = HUGE_VAL;
    for (double load_kg = 0.1; load_kg < 20.0; load_kg *= 2.0) {
        const oxt_bath bath = pot(10.0, 300.0);
        double exposure = exposure_of(&bath, &part, load_kg, 120.0);
        cr_assert(exposure < before);
        before = exposure;
    }
    const oxt_bath bath = pot(10.0, 300.0);
    cr_assert(exposure_of(&bath, &part, 1.0, 0.0) == 0.0);
}

/* ---- frozen salt ---- */

static oxt_crust crust_of(oxt_salt salt, const oxt_part *part, double bath_K)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_bath bath = OXT_BATH_INIT;
    oxt_crust crust = OXT_CRUST_INIT;
    bath.salt = salt;
    OK(oxt_bath_crust(&bath, part, bath_K, &crust, &error));
    return crust;
}

/* While a crust stands the bath gives only h (T_bath - T_melting), and what freezing gave melting takes: the
 * part is then at the melting point. By hand for constant heat: rho c (V/A) (T_m - T_0) over that, whatever
 * the salt's latent heat. */
Test(bath, a_crust_has_melted_when_the_part_is_as_hot)
{
    static const struct {
        oxt_salt salt;
        double melting_C;
    } salts[] = { { OXT_SALT_BINARY_60_40, 229.0 },
                  { OXT_SALT_BINARY_EUTECTIC, 222.0 },
                  { OXT_SALT_TERNARY, 142.0 } };
    for (int i = 0; i < 3; i++)
        for (double size_m = 0.001; size_m < 0.01; size_m *= 2.0) {
            oxt_part part = plate(size_m), flat = part;
            part.heat_J_per_kgK = flat.heat_J_per_kgK = 550.0;
            flat.shape = OXT_SHAPE_PLATE;
            flat.size_m = size_m;
            double bath_K = 588.7, melting_K = salts[i].melting_C + 273.15;
            double taken_J = 7850.0 * 550.0 * 0.5 * size_m * (melting_K - 293.15);
            double expected_s = taken_J / (600.0 * (bath_K - melting_K));
            oxt_crust crust = crust_of(salts[i].salt, &part, bath_K);
            CLOSE(crust.melting_K, melting_K, 1e-12);
            CLOSE(crust.melted_s, expected_s, 2e-3);
            cr_assert(crust.thickest_m > 1e-5 && crust.thickest_m < 0.01);
            /* the inside of a plate lags a little behind */
            CLOSE(crust_of(salts[i].salt, &flat, bath_K).melted_s, expected_s, 0.03);
            part.start_K = melting_K;
            cr_assert(crust_of(salts[i].salt, &part, bath_K).melted_s == 0.0);
        }
    const oxt_part part = plate(0.006);
    cr_assert(crust_of(OXT_SALT_UNSTATED, &part, 588.7).melted_s == 0.0);
    cr_assert(isnan(crust_of(OXT_SALT_UNSTATED, &part, 588.7).melting_K));
    /* no crust is counted that would not melt */
    cr_assert(crust_of(OXT_SALT_BINARY_60_40, &part, 500.0).melted_s == 0.0);
}

/* ---- cautions ---- */

static uint32_t cautions_of(const oxt_bath *bath, double reading_K)
{
    oxt_error error = OXT_ERROR_INIT;
    uint32_t cautions;
    double true_K;
    OK(oxt_bath_read(bath, reading_K, &true_K, &cautions, &error));
    return cautions;
}

/* California Code of Regulations, Title 8, section 5188, asks for clean and dry parts, no water, nothing
 * organic, no cyanide, and a hood; the others are common practice, no source. Only the two mixtures of
 * plain nitrates are known to be free of nitrite. */
Test(bath, cautions_of_every_bath)
{
    for (int salt = 0; salt < 4; salt++) {
        oxt_bath bath = OXT_BATH_INIT;
        bath.salt = (oxt_salt)salt;
        bool plain = salt == OXT_SALT_BINARY_60_40 || salt == OXT_SALT_BINARY_EUTECTIC;
        uint32_t always = EVERY_BATH | (plain ? 0 : OXT_CAUTION_NITRITE);
        for (double K = 375.0; K < 973.0; K += 20.0)
            cr_assert_eq(cautions_of(&bath, K) & (EVERY_BATH | OXT_CAUTION_NITRITE), always);
        cr_assert_eq(cautions_of(&bath, 573.15), always | OXT_CAUTION_SOFTENS);
    }
}

/* Mixtures of plain nitrates freeze between 220 and 240 C: handbook, from memory. Which one it is must be
 * asked only where the salt is not stated; of the others the working range says it. */
Test(bath, an_unstated_salt_may_freeze)
{
    for (int salt = 0; salt < 4; salt++) {
        oxt_bath bath = OXT_BATH_INIT;
        bath.salt = (oxt_salt)salt;
        bool asked = salt == OXT_SALT_UNSTATED;
        cr_assert_eq((cautions_of(&bath, 512.9) & OXT_CAUTION_FREEZING) != 0, asked);
        cr_assert(!(cautions_of(&bath, 513.2) & OXT_CAUTION_FREEZING));
    }
}

/* By each salt's own limits, at the true temperature. */
Test(bath, cautions_follow_the_salt)
{
    oxt_bath bath = OXT_BATH_INIT;
    cr_assert(cautions_of(&bath, 450.0) & OXT_CAUTION_BELOW_MELTING);
    cr_assert(!(cautions_of(&bath, 450.3) & OXT_CAUTION_BELOW_MELTING));
    bath.salt = OXT_SALT_TERNARY;
    cr_assert(!(cautions_of(&bath, 450.0) & OXT_CAUTION_BELOW_MELTING));
    bath.salt = OXT_SALT_BINARY_60_40;
    cr_assert(cautions_of(&bath, 500.0) & OXT_CAUTION_BELOW_MELTING);
    cr_assert(!(cautions_of(&bath, 820.0) & OXT_CAUTION_ABOVE_WORKING));
    bath.thermometer_offset_K = 20.0;
    cr_assert(cautions_of(&bath, 820.0) & OXT_CAUTION_ABOVE_WORKING);
    cr_assert(!(cautions_of(&bath, 500.0) & OXT_CAUTION_BELOW_MELTING));
}

/* ---- what is refused ---- */

Test(bath, bad_baths)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_bath good = OXT_BATH_INIT;
    oxt_bath known = OXT_BATH_INIT, bad;
    OK(oxt_i_bath_in(&known, &good, &error));
#define REFUSED(field, number, status)                        \
    do {                                                      \
        bad = good;                                           \
        bad.field = (number);                                 \
        FAILS(oxt_i_bath_in(&known, &bad, &error), (status)); \
        cr_assert_str_eq(error.parameter, #field);            \
    } while (0)
    REFUSED(salt, (oxt_salt)4, OXT_EARG);
    REFUSED(salt, (oxt_salt)-1, OXT_EARG);
    REFUSED(thermometer_offset_K, -51.0, OXT_EDOMAIN);
    REFUSED(thermometer_sd_K, -1.0, OXT_EDOMAIN);
    REFUSED(wander_K, NAN, OXT_EDOMAIN);
    REFUSED(salt_kg, -1.0, OXT_EDOMAIN);
    REFUSED(heater_W, HUGE_VAL, OXT_EDOMAIN);
}

Test(bath, loads_that_are_none)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_bath bath = pot(10.0, 500.0);
    oxt_sag sag = OXT_SAG_INIT;
    oxt_part part = plate(0.06);
    OK(oxt_bath_sag(&bath, &part, 1.0, BATH_K, &sag, &error)); /* however thick */
    part.size_m = 0.0;
    FAILS(oxt_bath_sag(&bath, &part, 1.0, BATH_K, &sag, &error), OXT_EDOMAIN);
    SAYS("size_m");
    part.size_m = 0.006;
    FAILS(oxt_bath_sag(&bath, &part, 0.0, BATH_K, &sag, &error), OXT_EDOMAIN);
    SAYS("load_kg");
    FAILS(oxt_bath_sag(&bath, &part, 1.0, 1000.0, &sag, &error), OXT_EDOMAIN);
    SAYS("bath_K");
    part.metal = OXT_METAL_NICKEL_SILVER;
    FAILS(oxt_bath_sag(&bath, &part, 1.0, BATH_K, &sag, &error), OXT_EDOMAIN);
    SAYS("nickel silver is not for this process");
}
