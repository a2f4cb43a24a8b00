/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How a part warms up in the bath, and how much time that takes. */
#include "thermal/heat.h"

#include <gsl/gsl_sf_bessel.h>
#include <gsl/gsl_sf_expint.h>
#include <string.h>

#include "base/solve.h"
#include "thermal/salt.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;
static const double EULER = 0.57721566490153286061;
/* A Q/(R T) that changes no digit of a rate. */
static const double LEAST_ACTIVATION = 1e-18;
enum { TERMS = OXT_I_CHEBYSHEV };

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
    if (wanted->shape == OXT_SHAPE_CYLINDER) {
        double J0 = gsl_sf_bessel_J0(zeta), J1 = gsl_sf_bessel_J1(zeta);
        value = zeta * J1 - biot * J0;
        *slope = zeta * J0 + biot * J1;
    } else {
        double s = sin(zeta), c = cos(zeta);
        bool plate = wanted->shape == OXT_SHAPE_PLATE;
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
    case OXT_SHAPE_PLATE:
        high = low + 0.5 * OXT_I_PI;
        guess = n == 1 ? first_root(1.0, biot, high) : low + atan(biot / low);
        break;
    case OXT_SHAPE_CYLINDER: /* between the zeros of J1 and J0 */
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
    return oxt_i_find_rise(characteristic_at, &wanted, low, high, guess, 1e-14 * guess, root,
                           error);
}

/* Of a root z of any of the three equations, at a Biot number B: z^2 + B^2 + B for a plate, z^2 + B^2 for a cylinder,
 * z^2 + B^2 - B for a sphere. Its term weighs 2 B over this at the surface, and z moves with B by z over this. */
static double root_scale(oxt_shape shape, double biot, double square)
{
    double bend = shape == OXT_SHAPE_PLATE ? 1.0 : shape == OXT_SHAPE_SPHERE ? -1.0 : 0.0;
    return square + biot * (biot + bend);
}

/* ---- a part and its bath ---- */

/* Other metals do grow films, of oxides that this library knows nothing of. */
static oxt_status check_metal(oxt_metal metal, oxt_error *error)
{
    static const char *const names[] = { "steel", "brass", "bronze", "nickel silver" };
    if ((int)metal < OXT_METAL_STEEL || metal > OXT_METAL_NICKEL_SILVER)
        return oxt_i_fail(error, OXT_EARG, "metal", metal, OXT_METAL_STEEL, OXT_METAL_NICKEL_SILVER,
                          "metal is %d, expected one of oxt_metal", (int)metal);
    if (metal == OXT_METAL_STEEL)
        return OXT_OK;
    return oxt_i_fail(error, OXT_EDOMAIN, "metal", metal, OXT_METAL_STEEL, OXT_METAL_STEEL,
                      "%s is not for this process: times and colours are those of the oxide on "
                      "steel",
                      names[metal]);
}

oxt_status oxt_i_part_in(oxt_part *known, const oxt_part *part, double bath_K, oxt_error *error)
{
    if (!part)
        return oxt_i_null(error, "part");
    oxt_status status = OXT_I_STRUCT_IN(oxt_part, known, part, "part", error);
    if (!status && ((int)known->shape < OXT_SHAPE_PLATE || known->shape > OXT_SHAPE_ANY))
        status = oxt_i_fail(error, OXT_EARG, "shape", known->shape, OXT_SHAPE_PLATE, OXT_SHAPE_ANY,
                            "shape is %d, expected one of oxt_shape", (int)known->shape);
    if (!status)
        status = check_metal(known->metal, error);
    const oxt_i_limit limits[] = {
        { "size_m", known->size_m, 0.0, 1.0, OXT_I_CLOSED },
        { "bath_K", bath_K, 200.0, OXT_BATH_HIGH_K, OXT_I_OPEN_LOW },
        { "start_K", known->start_K, 200.0, bath_K, OXT_I_CLOSED },
        { "transfer_W_per_m2K", known->transfer_W_per_m2K, 0.0, 1e6, OXT_I_OPEN_LOW },
        { "density_kg_per_m3", known->density_kg_per_m3, 1.0, 1e5, OXT_I_CLOSED },
        { "heat_J_per_kgK", known->heat_J_per_kgK, 0.0, 1e5, OXT_I_CLOSED },
        { "conductivity_W_per_mK", known->conductivity_W_per_mK, 0.0, 1e4, OXT_I_CLOSED },
        { "transfer_at_K", known->transfer_at_K, 0.0, 1000.0, OXT_I_CLOSED },
        { "transfer_exponent", known->transfer_exponent, 0.0, 1.0, OXT_I_CLOSED },
        { "wetted", known->wetted, 0.0, 1.0, OXT_I_CLOSED },
    };
    if (!status && known->flow != OXT_FLOW_STIRRED && known->flow != OXT_FLOW_STILL)
        status = oxt_i_fail(error, OXT_EARG, "flow", known->flow, OXT_FLOW_STIRRED, OXT_FLOW_STILL,
                            "flow is %d, expected one of oxt_flow", (int)known->flow);
    return status ? status : oxt_i_check_all(error, limits, OXT_I_COUNT(limits));
}

/* Half thickness or radius over volume per surface. */
static double slenderness(oxt_shape shape)
{
    return shape == OXT_SHAPE_CYLINDER ? 2.0 : shape == OXT_SHAPE_SPHERE ? 3.0 : 1.0;
}

/* Half the thickness, the radius, or the volume per surface of any other shape. A plate that is wetted on one face
 * warms up like one of twice the thickness. */
static double half_of(const oxt_part *part)
{
    double half_m = part->shape == OXT_SHAPE_ANY ? part->size_m : 0.5 * part->size_m;
    return part->wetted > 0.0 ? half_m / part->wetted : half_m;
}

double oxt_i_volume_per_area_m(const oxt_part *part)
{
    return half_of(part) / slenderness(part->shape);
}

/* The heat and conductivity of a part in a bath, and what follows from them at once. They are those where the time lost to
 * heating up comes nearest to that by finite volumes whose properties follow temperature (tests). */
static void take_properties(oxt_i_heating *made, const oxt_part *part)
{
    const oxt_i_body body = { .heat = part->heat_J_per_kgK,
                              .conductivity = part->conductivity_W_per_mK };
    static const double SHARE = 0.65; /* of the way from the start to the bath */
    double T_K = made->start_K + SHARE * (made->bath_K - made->start_K);
    made->heat = oxt_i_body_heat(&body, T_K);
    made->conductivity = oxt_i_body_conductivity(&body, T_K);
    double half_m = half_of(part), volume_per_area_m = oxt_i_volume_per_area_m(part);
    made->transfer = part->transfer_W_per_m2K;
    made->biot = part->transfer_W_per_m2K * volume_per_area_m / made->conductivity;
    made->root_biot = part->transfer_W_per_m2K * half_m / made->conductivity;
    made->capacity_J_per_m2K = part->density_kg_per_m3 * made->heat * volume_per_area_m;
    made->tau_s = made->capacity_J_per_m2K / part->transfer_W_per_m2K;
    made->unit_s = part->density_kg_per_m3 * made->heat * half_m * half_m / made->conductivity;
}

/* As many terms as still show after a three hundredth of the time constant: the part is cold until then. */
static oxt_status find_terms(oxt_i_heating *made, oxt_error *error)
{
    static const double FASTEST = 300.0 * 20.0; /* over the slowest */
    oxt_status status = OXT_OK;
    made->count = 0;
    while (made->count < OXT_I_HEAT_TERMS && !status) {
        double root = 0.0;
        status = oxt_i_heat_root(made->shape, made->root_biot, made->count + 1, &root, error);
        made->square[made->count++] = root * root;
        if (root * root > FASTEST * made->square[0])
            break;
    }
    return status;
}

static void take_terms(oxt_i_heating *made)
{
    for (size_t i = 0; i < made->count; i++) {
        made->weight[i] = 2.0 * made->root_biot /
                          root_scale(made->shape, made->root_biot, made->square[i]);
        made->rate_per_s[i] = made->square[i] / made->unit_s;
    }
}

/* Where the temperature of a part differs from that of its surface by less than a billionth of the step. */
static bool has_one_term(const oxt_i_heating *made)
{
    return made->lumped || made->biot < 1e-9;
}

static void take_one_term(oxt_i_heating *made)
{
    /* A millionth of a microsecond stands for less: rates and ratios stay finite, however thin the part. */
    made->tau_s = fmax(made->tau_s, 1e-12);
    made->count = 1;
    made->weight[0] = 1.0;
    made->rate_per_s[0] = 1.0 / made->tau_s;
}

void oxt_i_body_in(oxt_i_body *body, oxt_i_outside *outside, const oxt_part *known, double bath_K)
{
    oxt_part wet = *known;
    wet.size_m = fmax(half_of(known) * (known->shape == OXT_SHAPE_ANY ? 1.0 : 2.0), 1e-9);
    oxt_i_body_of(body, &wet);
    *outside = (oxt_i_outside){ .transfer = known->transfer_W_per_m2K,
                                .gap_K = known->transfer_at_K > 0.0 ? known->transfer_at_K : 100.0,
                                .set_K = bath_K };
    if (known->flow == OXT_FLOW_STILL)
        outside->exponent = known->transfer_exponent > 0.0 ? known->transfer_exponent : 0.25;
}

/* The part step by step, where something is not as a series has it. */
static oxt_status take_course(oxt_i_heating *made, const oxt_part *known,
                              const oxt_i_surroundings *around, oxt_error *error)
{
    oxt_i_body_in(&made->body, &made->outside, known, made->bath_K);
    if (around)
        oxt_i_outside_of(&made->outside, &made->body, around->bath, around->load_kg);
    made->coupled = known->flow == OXT_FLOW_STILL || made->outside.bath_J_per_m2K > 0.0 ||
                    made->outside.melting_K > made->start_K;
    if (!made->coupled)
        return OXT_OK;
    return oxt_i_course_run(&made->course, &made->body, &made->outside, made->start_K, error);
}

oxt_status oxt_i_heating_prepare(oxt_i_heating *made, const oxt_part *part, double bath_K,
                                 oxt_error *error)
{
    return oxt_i_heating_prepare_in(made, part, bath_K, NULL, error);
}

oxt_status oxt_i_heating_prepare_in(oxt_i_heating *made, const oxt_part *part, double bath_K,
                                    const oxt_i_surroundings *around, oxt_error *error)
{
    oxt_part known = OXT_PART_INIT;
    oxt_status status = oxt_i_part_in(&known, part, bath_K, error);
    if (status)
        return status;
    made->bath_K = bath_K;
    made->start_K = known.start_K;
    made->shape = known.shape;
    made->at_once = known.size_m == 0.0 || known.start_K == bath_K;
    made->count = 0;
    made->coupled = false;
    take_properties(made, &known);
    made->lumped = known.shape == OXT_SHAPE_ANY;
    if (!made->at_once && (around || known.flow == OXT_FLOW_STILL))
        status = take_course(made, &known, around, error);
    if (status || made->coupled)
        return status;
    if (!made->at_once && has_one_term(made))
        take_one_term(made);
    else if (!made->at_once) {
        status = find_terms(made, error);
        take_terms(made);
    }
    return status;
}

void oxt_i_heating_move(oxt_i_heating *made, const oxt_part *part, double bath_K)
{
    double biot = made->root_biot;
    made->bath_K = bath_K;
    take_properties(made, part);
    if (made->count > 0 && has_one_term(made))
        take_one_term(made);
    else if (made->count > 0) {
        for (size_t i = 0; i < made->count; i++)
            made->square[i] *= 1.0 + 2.0 * (made->root_biot - biot) /
                                         root_scale(made->shape, biot, made->square[i]);
        take_terms(made);
    }
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
    if (part->coupled)
        return oxt_i_course_surface_K(&part->course, time_s);
    return part->bath_K - (part->bath_K - part->start_K) * gap_left(part, time_s);
}

void oxt_i_heating_surfaces_K(const oxt_i_heating *part, size_t n, const double *time_s,
                              double *surface_K)
{
    size_t m = n; /* as many as still show something of a term, in eights */
    memset(surface_K, 0, n * sizeof *surface_K);
    for (size_t i = 0; i < part->count && m > 0; i++) {
        while (m > 0 && part->rate_per_s[i] * time_s[m - 1] >= 40.0)
            m--;
        oxt_i_add_decays((m + 7) / 8 * 8, part->weight[i], part->rate_per_s[i], time_s, surface_K);
    }
    for (size_t j = 0; j < n; j++)
        surface_K[j] = part->bath_K - (part->bath_K - part->start_K) * fmin(surface_K[j], 1.0);
}

double oxt_i_heating_settled_s(const oxt_i_heating *part)
{
    if (part->coupled)
        return part->course.time_s[part->course.count - 1];
    return part->at_once ? 0.0 : 60.0 / part->rate_per_s[0];
}

/* The modes of a profile are those of a part whose surface lets no heat through. */
void oxt_i_heating_inner_rates(const oxt_i_heating *part, double rate_per_s[OXT_I_PROFILE_MODES])
{
    for (int i = 0; i < OXT_I_PROFILE_MODES; i++)
        rate_per_s[i] = part->lumped
                            ? 1.0
                            : oxt_i_body_squares(part->shape)[i] / fmax(part->unit_s, 1e-12);
}

/* The heat of each term of a series falls at the rate of the term, to which each mode responds. */
void oxt_i_heating_inner(const oxt_i_heating *part, size_t term, double *mean,
                         double inner[OXT_I_PROFILE_MODES])
{
    bool uniform = part->lumped || part->count < 2;
    *mean = uniform ? 1.0 : slenderness(part->shape) * part->root_biot / part->square[term];
    for (int i = 0; i < OXT_I_PROFILE_MODES; i++)
        inner[i] = uniform ? 0.0
                           : -2.0 * part->root_biot /
                                 (oxt_i_body_squares(part->shape)[i] - part->square[term]);
}

void oxt_i_body_profile(const oxt_i_body *body, const oxt_i_body_state *state, oxt_i_profile *made)
{
    double unit_s = body->density * oxt_i_body_heat(body, state->mean_K) * body->half_m *
                    body->half_m / oxt_i_body_conductivity(body, state->mean_K);
    *made = (oxt_i_profile){ .mean_K = state->mean_K };
    for (size_t i = 0; i < OXT_I_PROFILE_MODES; i++) {
        made->rate_per_s[i] = oxt_i_body_squares(body->shape)[i] / unit_s;
        made->gap_K[i] = i < body->count ? state->mode_K[i] : 0.0;
    }
}

/* That of a course is as if its flux hardly changed. */
void oxt_i_heating_profile(const oxt_i_heating *part, double time_s, oxt_i_profile *made)
{
    enum { MODES = OXT_I_PROFILE_MODES };
    *made = (oxt_i_profile){ .mean_K = part->bath_K };
    oxt_i_heating_inner_rates(part, made->rate_per_s);
    if (part->coupled || time_s == 0.0) {
        double surface_K = oxt_i_heating_surface_K(part, time_s), all = 0.0;
        made->mean_K = part->coupled ? oxt_i_course_mean_K(&part->course, time_s) : surface_K;
        for (int i = 0; i < MODES; i++)
            all += 1.0 / made->rate_per_s[i];
        for (int i = 0; i < MODES; i++)
            made->gap_K[i] = (surface_K - made->mean_K) / (made->rate_per_s[i] * all);
        return;
    }
    for (size_t n = 0; n < part->count && part->rate_per_s[n] * time_s < 40.0; n++) {
        double mean, inner[MODES],
            gap_K = (part->start_K - part->bath_K) * part->weight[n] *
                    exp(-part->rate_per_s[n] * time_s);
        oxt_i_heating_inner(part, n, &mean, inner);
        made->mean_K += mean * gap_K;
        for (int i = 0; i < MODES; i++)
            made->gap_K[i] += inner[i] * gap_K;
    }
}

double oxt_i_heating_crust_s(const oxt_i_heating *part)
{
    return part->coupled && part->course.broken > 0 ? part->course.time_s[part->course.broken]
                                                    : 0.0;
}

oxt_status oxt_heat_warming(const oxt_part *part, double bath_K, oxt_warming *warming,
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
    result.tau_s = made.count == 0 ? made.tau_s : 1.0 / made.rate_per_s[0];
    result.heat_J_per_kgK = made.heat;
    result.conductivity_W_per_mK = made.conductivity;
    result.conduction_length_m = made.conductivity * sqrt(made.biot) / made.transfer;
    return OXT_I_STRUCT_OUT(oxt_warming, warming, &result, "warming", error);
}

oxt_status oxt_heat_surface_temperature(const oxt_part *part, double bath_K, double time_s,
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
 * b = 1/T_bath it is that of (1 - exp(-a y)) (1/y - 1/(y + b)) dy. `at_bath` is exp(ab) E1(ab). */
static double lost_below(double y, double a, double b, double at_bath)
{
    /* The share is below a y: with an activation energy that hardly is one, nothing is lost. */
    if (a * b < LEAST_ACTIVATION || y <= 0.0)
        return 0.0;
    double shrunk = exp(-a * y) * scaled_E1(a * (y + b));
    return Ein(a * y) - log1p(y / b) + at_bath - shrunk;
}

static void prepare_lumped(oxt_i_lag *lag, const oxt_growth *growth, const oxt_i_heating *part)
{
    double b = 1.0 / part->bath_K;
    lag->activation_K = growth->Q_J_per_mol / R;
    lag->at_bath = lag->activation_K * b < LEAST_ACTIVATION ? 0.0
                                                            : scaled_E1(lag->activation_K * b);
    lag->all = lost_below(1.0 / part->start_K - b, lag->activation_K, b, lag->at_bath);
}

static double lumped_lag(const oxt_i_lag *lag, const oxt_i_heating *part, double time_s)
{
    double b = 1.0 / part->bath_K, now_K = oxt_i_heating_surface_K(part, time_s);
    return part->tau_s *
           (lag->all - lost_below(1.0 / now_K - b, lag->activation_K, b, lag->at_bath));
}

/* The surface jumps like the root of time, so that what is lost is smooth over y, time = settled y^2: the sum of
 * Chebyshev polynomials of 2 y - 1 that agrees with d lost/dy at their zeros, integrated. */
static void prepare_series(oxt_i_lag *lag, const oxt_growth *growth, const oxt_i_heating *part)
{
    double x[TERMS / 2], y[TERMS], time_s[TERMS], surface_K[TERMS], by_y[TERMS];
    double at[TERMS / 2], share[TERMS + 2] = { 0.0 };
    const double turn_x = cos(OXT_I_PI / TERMS), turn_y = sin(OXT_I_PI / TERMS);
    double at_x = cos(0.5 * OXT_I_PI / TERMS), at_y = sin(0.5 * OXT_I_PI / TERMS);
    lag->until_s = 40.0 / part->rate_per_s[0];
    for (size_t j = 0; j < TERMS / 2; j++) {
        double next_x = at_x * turn_x - at_y * turn_y;
        x[j] = at_x; /* cos(pi (j + 1/2) / TERMS) */
        at_y = at_y * turn_x + at_x * turn_y;
        at_x = next_x;
        y[j] = 0.5 * (1.0 - x[j]); /* rising */
        y[TERMS - 1 - j] = 0.5 * (1.0 + x[j]);
    }
    for (size_t j = 0; j < TERMS; j++)
        time_s[j] = lag->until_s * y[j] * y[j];
    oxt_i_heating_surfaces_K(part, TERMS, time_s, surface_K);
    oxt_i_missing_shares(TERMS, growth->Q_J_per_mol / R, 1.0 / part->bath_K, surface_K, by_y);
    for (size_t j = 0; j < TERMS; j++)
        by_y[j] *= 2.0 * lag->until_s * y[j];
    for (size_t j = 0; j < TERMS / 2; j++) /* the first half is that of -x */
        at[j] = by_y[TERMS - 1 - j];
    oxt_i_chebyshev(x, at, by_y, share);
    double sign = 1.0;
    lag->sum[0] = 0.0;
    for (size_t k = 1; k < TERMS; k++) {
        lag->sum[k] = 0.25 * (share[k - 1] - share[k + 1]) / (double)k;
        lag->sum[0] += sign * lag->sum[k]; /* nothing is lost at y = 0, where x = -1 */
        sign = -sign;
    }
}

/* Clenshaw's sums of every eighth polynomial, side by side: T of k + 8 is twice T of 8 times T of k, less T of k - 8. */
static double series_lag(const oxt_i_lag *lag, double time_s)
{
    double now[8] = { 0.0 }, before[8] = { 0.0 }, T[9] = { 1.0 }, sum = 0.0;
    T[1] = 2.0 * sqrt(fmin(time_s / lag->until_s, 1.0)) - 1.0;
    for (int k = 2; k <= 8; k++)
        T[k] = 2.0 * T[k / 2] * T[k - k / 2] - T[k % 2];
    for (size_t first = TERMS; first > 0; first -= 8)
        for (size_t k = 0; k < 8; k++) {
            double next = lag->sum[first - 8 + k] + 2.0 * T[8] * now[k] - before[k];
            before[k] = now[k];
            now[k] = next;
        }
    for (int k = 0; k < 8; k++)
        sum += T[k] * now[k] - T[8 - k] * before[k];
    return sum;
}

/* By Simpson's rule over each step of a course. */
static double lost_between(const oxt_i_lag *lag, const oxt_i_heating *part, double from_s,
                           double to_s, const double surface_K[3])
{
    double share[3];
    for (int i = 0; i < 3; i++)
        share[i] = -expm1(-lag->activation_K * (1.0 / surface_K[i] - 1.0 / part->bath_K));
    return (to_s - from_s) / 6.0 * (share[0] + 4.0 * share[1] + share[2]);
}

static void prepare_course(oxt_i_lag *lag, const oxt_growth *growth, const oxt_i_heating *part)
{
    const oxt_i_course *course = &part->course;
    lag->activation_K = growth->Q_J_per_mol / R;
    lag->after[0] = 0.0;
    for (size_t i = 2; i < course->count; i += 2)
        lag->after[i / 2] = lag->after[i / 2 - 1] + lost_between(lag, part, course->time_s[i - 2],
                                                                 course->time_s[i],
                                                                 &course->surface_K[i - 2]);
}

static double course_lag(const oxt_i_lag *lag, const oxt_i_heating *part, double time_s)
{
    const oxt_i_course *course = &part->course;
    size_t step = oxt_i_course_node(course, time_s) / 2;
    double from_s = course->time_s[2 * step], middle_s = 0.5 * (from_s + time_s);
    const double surface_K[3] = { course->surface_K[2 * step],
                                  oxt_i_course_surface_K(course, middle_s),
                                  oxt_i_course_surface_K(course, time_s) };
    return lag->after[step] + lost_between(lag, part, from_s, time_s, surface_K);
}

void oxt_i_lag_prepare(oxt_i_lag *lag, const oxt_growth *growth, const oxt_i_heating *part)
{
    if (part->coupled)
        prepare_course(lag, growth, part);
    else if (!part->at_once)
        (part->lumped ? prepare_lumped : prepare_series)(lag, growth, part);
}

double oxt_i_lag_at(const oxt_i_lag *lag, const oxt_i_heating *part, double time_s)
{
    if (part->at_once || time_s == 0.0)
        return 0.0;
    if (part->coupled)
        return course_lag(lag, part, time_s);
    return part->lumped ? lumped_lag(lag, part, time_s) : series_lag(lag, time_s);
}
