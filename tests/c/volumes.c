/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Finite volumes by backward Euler and Crank and Nicolson, with the properties found by iteration. */
#include "volumes.h"

#include <math.h>

volumes volumes_steel(int form, double half_m, double bath_K, double transfer, int cells)
{
    volumes of = { .form = form,
                   .half_m = half_m,
                   .density = 7850.0,
                   .start_K = 293.15,
                   .heat = { 425.0, 0.773, -1.69e-3, 2.22e-6 },
                   .conductivity = { 54.0, -3.33e-2 },
                   .transfer = transfer,
                   .gap_K = 1.0,
                   .wetted = 1.0,
                   .bath_K = bath_K,
                   .cells = cells };
    volumes_start(&of);
    return of;
}

void volumes_start(volumes *of)
{
    double power = of->form + 1.0, at_surface = pow(of->half_m, of->form);
    of->width_m = of->half_m / of->cells;
    for (int i = 0; i <= of->cells; i++)
        of->face[i] = pow(i * of->width_m, of->form) / at_surface;
    of->face[0] = 0.0;
    for (int i = 0; i < of->cells; i++) {
        double inner = pow(i * of->width_m, power), outer = pow((i + 1) * of->width_m, power);
        of->volume[i] = (outer - inner) / power / at_surface;
        of->T[i] = of->start_K;
    }
    of->surface_K = of->start_K;
    of->time_s = of->taken_J_per_m2 = of->flux = of->crust_m = of->crust_end_s = 0.0;
    of->lifted = 0;
}

/* The integral of the specific heat from 0 C. */
static double content(const volumes *of, double T_K)
{
    double T = T_K - 273.15;
    return T * (of->heat[0] +
                T * (of->heat[1] / 2.0 + T * (of->heat[2] / 3.0 + T * of->heat[3] / 4.0)));
}

/* Between two temperatures, so that energy closes. */
static double mean_heat(const volumes *of, double from_K, double to_K)
{
    if (fabs(to_K - from_K) > 1e-3)
        return (content(of, to_K) - content(of, from_K)) / (to_K - from_K);
    double T = 0.5 * (from_K + to_K) - 273.15;
    return of->heat[0] + T * (of->heat[1] + T * (of->heat[2] + T * of->heat[3]));
}

static double conductivity(const volumes *of, double T_K)
{
    return of->conductivity[0] + of->conductivity[1] * (T_K - 273.15);
}

double volumes_mean_K(const volumes *of)
{
    double sum = 0.0, all = 0.0;
    for (int i = 0; i < of->cells; i++) {
        sum += of->volume[i] * of->T[i];
        all += of->volume[i];
    }
    return sum / all;
}

double volumes_content(const volumes *of)
{
    double sum = 0.0;
    for (int i = 0; i < of->cells; i++)
        sum += of->density * of->volume[i] * (content(of, of->T[i]) - content(of, of->start_K));
    return sum;
}

/* Heat that reaches a surface of this temperature, as coefficient times (source - surface). */
static double coefficient(const volumes *of, double surface_K, double bath_K)
{
    if (of->lifted) {
        double T = surface_K, air = of->air_K;
        return of->convection + of->emissivity * 5.670374419e-8 * (T * T + air * air) * (T + air);
    }
    double gap = fabs(bath_K - surface_K) / of->gap_K;
    return of->wetted * of->transfer * (of->exponent == 0.0 ? 1.0 : pow(gap, of->exponent));
}

/* Salt freezes where more heat goes into the part than the bath gives to salt that freezes. */
static int freezes(const volumes *of, double bath_K)
{
    return !of->lifted && of->melting_K > 0.0 && of->crust_end_s == 0.0 &&
           of->melting_K > of->surface_K && bath_K > of->melting_K;
}

typedef struct {
    double source_K, transfer; /* what heats the surface */
    double crust_m;            /* at the end of the step */
} outside;

/* The crust at the end of a step by the heat balance, ds/dt = (flux - given)/latent with the flux
 * k (melting - surface)/s of the end: a quadratic equation. */
static outside through_crust(const volumes *of, double surface_K, double bath_K, double step_s)
{
    double given = coefficient(of, of->melting_K, bath_K) * (bath_K - of->melting_K);
    double half = 0.5 * (of->crust_m - step_s * given / of->latent_J_per_m3);
    double fed = step_s * of->crust_W_per_mK * (of->melting_K - surface_K) / of->latent_J_per_m3;
    double crust_m = half + sqrt(half * half + (fed > 0.0 ? fed : 0.0));
    return (outside){ of->melting_K, of->crust_W_per_mK / (crust_m > 1e-12 ? crust_m : 1e-12),
                      crust_m };
}

/* One solution of the shells for given properties; `share` of the end of the step in the flows. */
static void solve(volumes *of, const double *before, const double *heat, const double *lambda,
                  outside out, double step_s, double share, double old_flux)
{
    double above[VOLUMES_MOST] = { 0.0 }, right[VOLUMES_MOST] = { 0.0 };
    int last = of->cells - 1;
    double half = 2.0 * lambda[of->cells] / of->width_m;
    double joined = out.transfer * half / (out.transfer + half);
    for (int i = 0; i <= last; i++) {
        double c = of->density * of->volume[i] * heat[i] / step_s;
        double in = i ? of->face[i] * lambda[i] / of->width_m : 0.0;
        double on = i < last ? of->face[i + 1] * lambda[i + 1] / of->width_m : joined;
        double old = i ? in * (before[i - 1] - before[i]) : 0.0;
        old += i < last ? on * (before[i + 1] - before[i]) : old_flux;
        double pivot = c + share * (in + on) + (i ? share * in * above[i - 1] : 0.0);
        right[i] = c * before[i] + (1.0 - share) * old + (i ? share * in * right[i - 1] : 0.0);
        right[i] = (right[i] + (i == last ? share * on * out.source_K : 0.0)) / pivot;
        above[i] = -share * on / pivot;
    }
    of->T[last] = right[last];
    for (int i = last - 1; i >= 0; i--)
        of->T[i] = right[i] - above[i] * of->T[i + 1];
    of->flux = joined * (out.source_K - of->T[last]);
    of->surface_K = of->T[last] + of->flux / half;
}

/* Backward Euler in the first steps and while salt is frozen, where the flux has a root of time in it. */
void volumes_step(volumes *of, double step_s)
{
    double before[VOLUMES_MOST], heat[VOLUMES_MOST], lambda[VOLUMES_MOST + 1];
    double bath_K = of->bath_at ? of->bath_at(of->time_s + step_s, of->taken_J_per_m2, of->context)
                                : of->bath_K;
    double old_flux = of->flux, surface_before = of->surface_K;
    int crust = freezes(of, bath_K);
    double share = crust || of->flux == 0.0 ? 1.0 : 0.5;
    outside out = { bath_K, 0.0, 0.0 };
    for (int i = 0; i < of->cells; i++)
        before[i] = of->T[i];
    double last_K = -1.0;
    for (int turn = 0; turn < 40 && fabs(of->surface_K - last_K) > 1e-10; turn++) {
        last_K = of->surface_K;
        for (int i = 0; i < of->cells; i++)
            heat[i] = mean_heat(of, before[i], of->T[i]);
        lambda[0] = 0.0;
        for (int i = 1; i < of->cells; i++)
            lambda[i] = conductivity(of,
                                     0.25 * (of->T[i - 1] + of->T[i] + before[i - 1] + before[i]));
        lambda[of->cells] = conductivity(of, 0.5 * (of->surface_K + surface_before));
        if (crust)
            out = through_crust(of, of->surface_K, bath_K, step_s);
        else {
            out.source_K = of->lifted ? of->air_K : bath_K;
            out.transfer = coefficient(of, of->surface_K, bath_K);
        }
        solve(of, before, heat, lambda, out, step_s, share, old_flux);
    }
    of->time_s += step_s;
    of->taken_J_per_m2 += step_s * (share * of->flux + (1.0 - share) * old_flux);
    of->crust_m = crust ? out.crust_m : 0.0;
    if (crust && of->melting_K - of->surface_K < 1e-3)
        of->crust_m = 0.0;
    if (crust && of->crust_m < 1e-9 && of->crust_end_s == 0.0)
        of->crust_end_s = of->time_s;
}
