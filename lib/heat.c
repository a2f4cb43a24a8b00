/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How a part warms up in the bath, and what that costs in exposure. */
#include "heat.h"

#include <gsl/gsl_sf_bessel.h>
#include <gsl/gsl_sf_expint.h>

#include "road.h"
#include "solve.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;
static const double EULER = 0.57721566490153286061;
/* A Q/(R T) that changes no digit of a rate. */
static const double LEAST_ACTIVATION = 1e-18;
enum { TERMS = OXT_I_LAG_TERMS };

void oxt_part_init(oxt_part *part)
{
    if (part)
        *part = (oxt_part)OXT_PART_INIT;
}

void oxt_warming_init(oxt_warming *warming)
{
    if (warming)
        *warming = (oxt_warming)OXT_WARMING_INIT;
}

/* ---- the steel ---- */

oxt_status oxt_carbon_steel(double temperature_K, double *heat_J_per_kgK,
                            double *conductivity_W_per_mK, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_status status = oxt_i_check(error, "temperature_K", temperature_K, 293.15, 873.15,
                                    OXT_I_CLOSED);
    if (!status && (!heat_J_per_kgK || !conductivity_W_per_mK))
        status = oxt_i_null(error, heat_J_per_kgK ? "conductivity_W_per_mK" : "heat_J_per_kgK");
    if (status)
        return status;
    double T = temperature_K - 273.15;
    *heat_J_per_kgK = 425.0 + T * (0.773 + T * (-1.69e-3 + T * 2.22e-6));
    *conductivity_W_per_mK = 54.0 - 3.33e-2 * T;
    return OXT_OK;
}

/* ---- the characteristic equations ---- */

typedef struct {
    oxt_shape shape;
    double biot;
    double sign; /* that makes it rise through the root */
} characteristic;

/* Multiplied out, so that they are finite everywhere: zeta tan zeta = Bi, zeta J1/J0 = Bi,
 * 1 - zeta cot zeta = Bi. */
static double characteristic_at(double zeta, double *slope, void *context)
{
    const characteristic *wanted = context;
    const double biot = wanted->biot;
    double value;
    if (wanted->shape == OXT_CYLINDER) {
        double J0 = gsl_sf_bessel_J0(zeta), J1 = gsl_sf_bessel_J1(zeta);
        value = zeta * J1 - biot * J0;
        *slope = zeta * J0 + biot * J1;
    } else {
        double s = sin(zeta), c = cos(zeta);
        bool plate = wanted->shape == OXT_PLATE;
        value = plate ? zeta * s - biot * c : (1.0 - biot) * s - zeta * c;
        *slope = plate ? (1.0 + biot) * s + zeta * c : zeta * s - biot * c;
    }
    *slope *= wanted->sign;
    return wanted->sign * value;
}

/* Near the first root: between those of a small and of an endless Biot number. */
static double first_root(double slenderness, double biot, double endless)
{
    return 1.0 / sqrt(1.0 / (slenderness * biot) + 1.0 / (endless * endless));
}

oxt_status oxt_i_heat_root(oxt_shape shape, double biot, size_t n, double *root, oxt_error *error)
{
    characteristic wanted = { shape, biot, n % 2 == 1 ? 1.0 : -1.0 };
    double low = ((double)n - 1.0) * OXT_I_PI, high, guess;
    switch (shape) {
    case OXT_PLATE:
        high = low + 0.5 * OXT_I_PI;
        guess = n == 1 ? first_root(1.0, biot, high) : low + atan(biot / low);
        break;
    case OXT_CYLINDER: /* between the zeros of J1 and J0 */
        low = n == 1 ? 0.0 : gsl_sf_bessel_zero_J1((unsigned)(n - 1));
        high = gsl_sf_bessel_zero_J0((unsigned)n);
        guess = n == 1 ? first_root(2.0, biot, high) : low + atan(biot / low);
        break;
    default: /* 0 to pi for the first; it passes pi/2 at Bi = 1 */
        high = low + OXT_I_PI;
        guess = low + 0.5 * OXT_I_PI;
        guess = n == 1 ? first_root(3.0, biot, high) : guess + atan((biot - 1.0) / guess);
    }
    /* The open ends are no roots; zeta = 0 solves the sphere's product form. */
    if (n == 1)
        low = fmin(1e-3 * sqrt(biot), 1e-3);
    return oxt_i_find_rise(characteristic_at, &wanted, low, high, guess, 1e-14 * high, root, error);
}

/* Weight of a term at the surface. */
static double surface_weight(oxt_shape shape, double zeta)
{
    double s = sin(zeta), c = cos(zeta);
    switch (shape) {
    case OXT_PLATE:
        return 4.0 * s / (2.0 * zeta + sin(2.0 * zeta)) * c;
    case OXT_CYLINDER: {
        double J0 = gsl_sf_bessel_J0(zeta), J1 = gsl_sf_bessel_J1(zeta);
        return 2.0 / zeta * J1 / (J0 * J0 + J1 * J1) * J0;
    }
    default:
        return 4.0 * (s - zeta * c) / (2.0 * zeta - sin(2.0 * zeta)) * s / zeta;
    }
}

/* ---- a part and its bath ---- */

/* Other metals do grow films, of oxides that this library knows nothing of. */
static oxt_status check_metal(oxt_metal metal, oxt_error *error)
{
    static const char *const names[] = { "steel", "brass", "bronze", "nickel silver" };
    if ((int)metal < OXT_STEEL || metal > OXT_NICKEL_SILVER)
        return oxt_i_fail(error, OXT_EARG, "metal", metal, OXT_STEEL, OXT_NICKEL_SILVER,
                          "metal is %d, expected one of oxt_metal", (int)metal);
    if (metal == OXT_STEEL)
        return OXT_OK;
    return oxt_i_fail(error, OXT_EDOMAIN, "metal", metal, OXT_STEEL, OXT_STEEL,
                      "%s is not for this process: times and colours are those of the oxide on "
                      "steel",
                      names[metal]);
}

oxt_status oxt_i_part_in(oxt_part *known, const oxt_part *part, double bath_K, oxt_error *error)
{
    if (!part)
        return oxt_i_null(error, "part");
    oxt_status status = oxt_i_struct_in(known, part, sizeof *known, sizeof *known, "part", error);
    if (!status && ((int)known->shape < OXT_PLATE || known->shape > OXT_ANY_SHAPE))
        status = oxt_i_fail(error, OXT_EARG, "shape", known->shape, OXT_PLATE, OXT_ANY_SHAPE,
                            "shape is %d, expected one of oxt_shape", (int)known->shape);
    if (!status)
        status = check_metal(known->metal, error);
    if (!status)
        status = oxt_i_check(error, "size_m", known->size_m, 0.0, 1.0, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "bath_K", bath_K, 200.0, OXT_BATH_HIGH_K, OXT_I_OPEN_LOW);
    if (!status)
        status = oxt_i_check(error, "start_K", known->start_K, 200.0, bath_K, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "transfer_W_per_m2K", known->transfer_W_per_m2K, 0.0, 1e6,
                             OXT_I_OPEN_LOW);
    if (!status)
        status = oxt_i_check(error, "density_kg_per_m3", known->density_kg_per_m3, 0.0, 1e5,
                             OXT_I_OPEN_LOW);
    if (!status)
        status = oxt_i_check(error, "heat_J_per_kgK", known->heat_J_per_kgK, 0.0, 1e5,
                             OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "conductivity_W_per_mK", known->conductivity_W_per_mK, 0.0, 1e4,
                             OXT_I_CLOSED);
    return status;
}

/* Half thickness or radius over volume per surface. */
static double slenderness(oxt_shape shape)
{
    return shape == OXT_CYLINDER ? 2.0 : shape == OXT_SPHERE ? 3.0 : 1.0;
}

double oxt_i_volume_per_area_m(const oxt_part *part)
{
    double half_m = part->shape == OXT_ANY_SHAPE ? part->size_m : 0.5 * part->size_m;
    return half_m / slenderness(part->shape);
}

static oxt_status prepare_series(oxt_i_heating *made, const oxt_part *part, double half_m,
                                 oxt_error *error)
{
    double biot = part->transfer_W_per_m2K * half_m / made->conductivity;
    double unit_s = part->density_kg_per_m3 * made->heat * half_m * half_m / made->conductivity;
    oxt_status status = OXT_OK;
    for (made->count = 0; made->count < OXT_I_HEAT_TERMS && !status; made->count++) {
        double zeta = 0.0;
        status = oxt_i_heat_root(part->shape, biot, made->count + 1, &zeta, error);
        made->weight[made->count] = surface_weight(part->shape, zeta);
        made->rate_per_s[made->count] = zeta * zeta / unit_s;
    }
    return status;
}

oxt_status oxt_i_heating_prepare(oxt_i_heating *made, const oxt_part *part, double bath_K,
                                 oxt_error *error)
{
    oxt_part known = OXT_PART_INIT;
    oxt_status status = oxt_i_part_in(&known, part, bath_K, error);
    if (status)
        return status;
    *made = (oxt_i_heating){ .bath_K = bath_K,
                             .start_K = known.start_K,
                             .heat = known.heat_J_per_kgK,
                             .conductivity = known.conductivity_W_per_mK };
    made->at_once = known.size_m == 0.0 || known.start_K == bath_K;
    double heat, conductivity;
    double mean_K = fmin(fmax(0.5 * (known.start_K + bath_K), 293.15), 873.15);
    oxt_carbon_steel(mean_K, &heat, &conductivity, NULL);
    if (made->heat == 0.0)
        made->heat = heat;
    if (made->conductivity == 0.0)
        made->conductivity = conductivity;
    double half_m = known.shape == OXT_ANY_SHAPE ? known.size_m : 0.5 * known.size_m;
    double volume_per_area_m = oxt_i_volume_per_area_m(&known);
    made->biot = known.transfer_W_per_m2K * volume_per_area_m / made->conductivity;
    made->capacity_J_per_m2K = known.density_kg_per_m3 * made->heat * volume_per_area_m;
    made->tau_s = made->capacity_J_per_m2K / known.transfer_W_per_m2K;
    made->lumped = known.shape == OXT_ANY_SHAPE || made->biot < OXT_LUMPED_BIOT;
    if (made->at_once)
        return OXT_OK;
    if (!made->lumped)
        return prepare_series(made, &known, half_m, error);
    /* A millionth of a microsecond stands for less: rates and ratios stay finite, however thin the part. */
    made->tau_s = fmax(made->tau_s, 1e-12);
    made->count = 1;
    made->weight[0] = 1.0;
    made->rate_per_s[0] = 1.0 / made->tau_s;
    return OXT_OK;
}

/* Share of the gap between start and bath that is left at the surface. A series cut short does not
 * quite begin at 1. */
static double gap_left(const oxt_i_heating *part, double time_s)
{
    double sum = 0.0;
    if (time_s == 0.0 && !part->at_once)
        return 1.0;
    for (size_t i = 0; i < part->count && part->rate_per_s[i] * time_s < 40.0; i++)
        sum += part->weight[i] * exp(-part->rate_per_s[i] * time_s);
    return fmin(sum, 1.0);
}

double oxt_i_heating_surface_K(const oxt_i_heating *part, double time_s)
{
    return part->bath_K - (part->bath_K - part->start_K) * gap_left(part, time_s);
}

double oxt_i_heating_settled_s(const oxt_i_heating *part)
{
    return part->at_once ? 0.0 : 60.0 / part->rate_per_s[0];
}

oxt_status oxt_warming_of(const oxt_part *part, double bath_K, oxt_warming *warming,
                          oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_i_heating made;
    if (!warming)
        return oxt_i_null(error, "warming");
    oxt_status status = oxt_i_heating_prepare(&made, part, bath_K, error);
    if (status)
        return status;
    oxt_warming result = OXT_WARMING_INIT;
    result.lumped = made.lumped;
    result.biot = made.biot;
    result.tau_s = made.at_once ? made.tau_s : 1.0 / made.rate_per_s[0];
    result.heat_J_per_kgK = made.heat;
    result.conductivity_W_per_mK = made.conductivity;
    return oxt_i_struct_out(warming, &result, sizeof result, sizeof result, "warming", error);
}

oxt_status oxt_surface_temperature(const oxt_part *part, double bath_K, double time_s,
                                   double *temperature_K, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_i_heating made;
    if (!temperature_K)
        return oxt_i_null(error, "temperature_K");
    oxt_status status = oxt_i_check(error, "time_s", time_s, 0.0, HUGE_VAL, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_heating_prepare(&made, part, bath_K, error);
    if (status)
        return status;
    *temperature_K = oxt_i_heating_surface_K(&made, time_s);
    return OXT_OK;
}

/* ---- exposure ---- */

/* exp(z) E1(z) and Ein(z) = the integral of (1 - exp(-u))/u from 0 to z. GSL's exponential integral
 * fails only at z = 0, and without its scale where it underflows, above 701. */
static double scaled_E1(double z)
{
    return gsl_sf_expint_E1_scaled(z);
}

static double Ein(double z)
{
    if (z < 1e-2) /* its series, where E1 and the logarithm cancel */
        return z * (1.0 - z * (0.25 - z * (1.0 / 18.0 - z * (1.0 / 96.0 - z / 600.0))));
    return EULER + log(z) + (z < 700.0 ? gsl_sf_expint_E1(z) : 0.0);
}

/* The time that a lumped part loses while its 1/T falls from 1/T_bath + y to 1/T_bath, in units of
 * tau: the integral of (1 - k(T)/k(T_bath))/(T_bath - T) dT. With y = 1/T - 1/T_bath, a = Q/R and
 * b = 1/T_bath it is that of (1 - exp(-a y)) (1/y - 1/(y + b)) dy. */
static double lost_below(double y, double a, double b)
{
    /* The share is below a y: with an activation energy that hardly is one, nothing is lost. */
    if (a * b < LEAST_ACTIVATION || y == 0.0)
        return 0.0;
    double shrunk = exp(-a * y) * scaled_E1(a * (y + b));
    return Ein(a * y) - log1p(y / b) + scaled_E1(a * b) - shrunk;
}

static double lumped_lag(const oxt_growth *growth, const oxt_i_heating *part, double time_s)
{
    double a = growth->Q_J_per_mol / R, b = 1.0 / part->bath_K;
    double now_K = oxt_i_heating_surface_K(part, time_s);
    double from = 1.0 / part->start_K - b, to = fmax(1.0 / now_K - b, 0.0);
    return part->tau_s * (lost_below(from, a, b) - lost_below(to, a, b));
}

/* Share of the rate at the bath that is missing at a time. */
static double missing(const oxt_growth *growth, const oxt_i_heating *part, double time_s)
{
    double now_K = oxt_i_heating_surface_K(part, time_s);
    double exponent = -growth->Q_J_per_mol / R * (1.0 / now_K - 1.0 / part->bath_K);
    return -expm1(exponent);
}

/* The surface jumps like the root of time, so that what is lost is smooth over y, time = settled y^2: the sum of
 * Chebyshev polynomials of 2 y - 1 that agrees with d lost/dy at their zeros, integrated. */
void oxt_i_lag_prepare(oxt_i_lag *lag, const oxt_growth *growth, const oxt_i_heating *part)
{
    double share[TERMS + 2] = { 0.0 };
    lag->until_s = 40.0 / part->rate_per_s[0];
    for (size_t j = 0; j < TERMS; j++) {
        double x = cos(OXT_I_PI * ((double)j + 0.5) / TERMS), y = 0.5 * (1.0 + x);
        double lost = missing(growth, part, lag->until_s * y * y) * 2.0 * lag->until_s * y;
        double now = 1.0, next = x;
        for (size_t k = 0; k < TERMS; k++) {
            share[k] += 2.0 / TERMS * lost * now;
            double after = 2.0 * x * next - now;
            now = next;
            next = after;
        }
    }
    double sign = 1.0;
    lag->sum[0] = 0.0;
    for (size_t k = 1; k < TERMS; k++) {
        lag->sum[k] = 0.25 * (share[k - 1] - share[k + 1]) / (double)k;
        lag->sum[0] += sign * lag->sum[k]; /* nothing is lost at y = 0, where x = -1 */
        sign = -sign;
    }
}

double oxt_i_lag_at(const oxt_i_lag *lag, double time_s)
{
    double x = 2.0 * sqrt(fmin(time_s / lag->until_s, 1.0)) - 1.0, now = 0.0, last = 0.0;
    for (size_t k = TERMS; k-- > 1;) {
        double next = lag->sum[k] + 2.0 * x * now - last;
        last = now;
        now = next;
    }
    return lag->sum[0] + x * now - last;
}

double oxt_i_heating_lag(const oxt_growth *growth, const oxt_i_heating *part, double time_s)
{
    if (part->at_once || time_s == 0.0)
        return 0.0;
    if (part->lumped)
        return lumped_lag(growth, part, time_s);
    oxt_i_lag lag;
    oxt_i_lag_prepare(&lag, growth, part);
    return oxt_i_lag_at(&lag, time_s);
}

oxt_status oxt_dip_exposure(const oxt_growth *growth, const oxt_part *part, double bath_K,
                            double time_s, double *exposure_nm2, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_i_heating made;
    double rate_nm2_per_s;
    if (!exposure_nm2)
        return oxt_i_null(error, "exposure_nm2");
    oxt_status status = oxt_i_check(error, "time_s", time_s, 0.0, OXT_TIME_HIGH_S, OXT_I_CLOSED);
    if (!status)
        status = oxt_rate(growth, bath_K, &rate_nm2_per_s, error);
    if (!status)
        status = oxt_i_heating_prepare(&made, part, bath_K, error);
    if (!status)
        *exposure_nm2 = rate_nm2_per_s *
                        fmax(time_s - oxt_i_heating_lag(growth, &made, time_s), 0.0);
    return status;
}

/* ---- and back ---- */

oxt_status oxt_time_for_exposure(const oxt_growth *growth, const oxt_part *part, double bath_K,
                                 double exposure_nm2, double *time_s, double *lag_s,
                                 oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_i_road road;
    if (!time_s)
        return oxt_i_null(error, "time_s");
    oxt_status status = oxt_i_check(error, "exposure_nm2", exposure_nm2, 0.0, HUGE_VAL,
                                    OXT_I_CLOSED);
    if (!status && !part)
        status = oxt_i_null(error, "part");
    if (!status)
        status = oxt_i_road_prepare(&road, growth, part, NULL, bath_K, error);
    if (status)
        return status;
    double found_s, worth_s = exposure_nm2 / road.rate_nm2_per_s;
    if (!(worth_s <= OXT_TIME_HIGH_S))
        return oxt_i_fail(error, OXT_EUNREACHABLE, "bath_K", bath_K, NAN, NAN,
                          "the exposure would take %.3g s at %s, longer than %g s", worth_s,
                          oxt_i_mark(bath_K, NULL).text, OXT_TIME_HIGH_S);
    status = oxt_i_road_time(&road, worth_s, &found_s, error);
    if (status)
        return status;
    *time_s = found_s;
    if (lag_s)
        *lag_s = found_s - worth_s;
    return OXT_OK;
}
