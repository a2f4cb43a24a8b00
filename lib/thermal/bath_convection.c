/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Natural convection in a still bath. */
#include "thermal/salt.h"

static const double GRAVITY_M_PER_S2 = 9.80665;

/* Laminar and turbulent in one: (base + 0.387 Ra^(1/6)/(1 + (by/Pr)^(9/16))^(8/27))^2. */
static double churchill_chu(double base, double by, double rayleigh, double prandtl)
{
    double root = base + 0.387 * pow(rayleigh, 1.0 / 6.0) /
                             pow(1.0 + pow(by / prandtl, 9.0 / 16.0), 8.0 / 27.0);
    return root * root;
}

double oxt_i_nusselt(oxt_surface surface, double rayleigh, double prandtl)
{
    if (surface == OXT_SURFACE_UPRIGHT)
        return churchill_chu(0.825, 0.492, rayleigh, prandtl);
    if (surface == OXT_SURFACE_LYING)
        return churchill_chu(0.60, 0.559, rayleigh, prandtl);
    return 2.0 +
           0.589 * pow(rayleigh, 0.25) / pow(1.0 + pow(0.469 / prandtl, 9.0 / 16.0), 4.0 / 9.0);
}

static oxt_convection convection_at(oxt_salt salt, oxt_surface surface, double size_m,
                                    double bath_K, double difference_K)
{
    oxt_convection made = OXT_CONVECTION_INIT;
    made.film_K = oxt_i_salt_known(salt, bath_K - 0.5 * difference_K);
    double density = oxt_i_salt_density(salt, made.film_K);
    double viscosity = oxt_i_salt_viscosity(salt, made.film_K) / density;
    double conductivity = oxt_i_salt_conductivity(salt, made.film_K);
    double diffusivity = conductivity / (density * oxt_i_salt_heat(salt, made.film_K));
    made.prandtl = viscosity / diffusivity;
    made.rayleigh = GRAVITY_M_PER_S2 * oxt_i_salt_expansion(salt, made.film_K) * difference_K *
                    size_m * size_m * size_m / (viscosity * diffusivity);
    made.nusselt = oxt_i_nusselt(surface, made.rayleigh, made.prandtl);
    made.transfer_W_per_m2K = made.nusselt * conductivity / size_m;
    return made;
}

oxt_status oxt_bath_convection(const oxt_bath *bath, oxt_surface surface, double size_m,
                               double bath_K, double difference_K, oxt_convection *convection,
                               oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_bath known = OXT_BATH_INIT;
    const oxt_i_limit limits[] = {
        { "size_m", size_m, 1e-4, 1.0, OXT_I_CLOSED },
        { "bath_K", bath_K, OXT_BATH_LOW_K, OXT_BATH_HIGH_K, OXT_I_CLOSED },
        { "difference_K", difference_K, 0.01, fmin(1000.0, bath_K - 200.0), OXT_I_CLOSED },
    };
    if (!convection)
        return oxt_i_null(error, "convection");
    oxt_status status = oxt_i_bath_in(&known, bath, error);
    if (!status)
        status = oxt_i_check_choice("surface", (int)surface, OXT_SURFACE_SPHERE, error);
    if (!status)
        status = oxt_i_check_all(error, limits, OXT_I_COUNT(limits));
    if (status)
        return status;
    oxt_convection made = convection_at(known.salt, surface, size_m, bath_K, difference_K);
    const double most = surface == OXT_SURFACE_SPHERE ? 1e11 : 1e12;
    if (made.rayleigh > most)
        return oxt_i_fail(error, OXT_EDOMAIN, "size_m", size_m, 1e-4,
                          size_m * cbrt(most / made.rayleigh),
                          "size_m of %g gives a Rayleigh number of %.3g, expected %g at most",
                          size_m, made.rayleigh, most);
    const double tenth =
        convection_at(known.salt, surface, size_m, bath_K, 0.1 * difference_K).transfer_W_per_m2K;
    made.exponent = log10(made.transfer_W_per_m2K / tenth);
    return OXT_I_STRUCT_OUT(oxt_convection, convection, &made, "convection", error);
}
