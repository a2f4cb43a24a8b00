/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A part step by step. The heat that comes in is a parabola over each step, found at its middle and its end
 * (Lobatto's rule), to which the mean and each mode respond exactly. */
#include "thermal/course.h"

#include "base/vector.h"

/* ---- the body ---- */

enum { MODES = OXT_I_COURSE_MODES };

static const double ZERO_C = 273.15;
static const double BACK_K = 0.1; /* a bath this near to its start is back */

/* Squares of n pi, of the zeros of J1, and of the roots of tan z = z. */
static const double squares[3][MODES] = {
    { 9.869604401089358, 39.47841760435743, 88.82643960980423, 157.91367041742973,
      246.74011002723395, 355.3057584392169, 483.61061565337853, 631.6546816697189 },
    { 14.681970642123893, 49.21845632169460, 103.49945389513658, 177.5207668138044,
      271.2816521962380, 384.7819051241690, 518.0214411194820, 671.0002279020630 },
    { 20.190728556426629, 59.679515944109175, 118.89986916403740, 197.85781094993410,
      296.55441212903000, 414.98998424949600, 553.16464542196500, 711.07844974141000 },
};

/* The mean square of a mode is 1 over this, where its surface is 1; summed over all squares. */
static const double shares[3] = { 2.0, 1.0, 2.0 / 3.0 },
                    sums[3] = { 1.0 / 3.0, 1.0 / 8.0, 1.0 / 15.0 };

const double *oxt_i_body_squares(oxt_shape shape)
{
    return squares[shape];
}

void oxt_i_body_of(oxt_i_body *made, const oxt_part *part)
{
    const double slenderness[] = { 1.0, 2.0, 3.0, 1.0 };
    bool any = part->shape == OXT_SHAPE_ANY;
    *made = (oxt_i_body){ .shape = part->shape,
                          .half_m = any ? part->size_m : 0.5 * part->size_m,
                          .density = part->density_kg_per_m3,
                          .heat = part->heat_J_per_kgK,
                          .conductivity = part->conductivity_W_per_mK };
    made->volume_per_area_m = made->half_m / slenderness[part->shape];
    if (any)
        return;
    /* the thinner the part, the fewer modes of it are as slow as the bath */
    double biot = part->transfer_W_per_m2K * made->half_m / 45.0;
    made->count = biot < 0.02 ? 2 : biot < 0.2 ? 4 : MODES;
    made->square = oxt_i_body_squares(part->shape);
    made->share = shares[part->shape];
    made->rest = sums[part->shape];
    for (size_t i = 0; i < made->count; i++)
        made->rest -= made->share / made->square[i];
}

/* EN 1993-1-2:2005, 3.4.1.2 and 3.4.1.3: carbon steel from 20 to 600 C; beyond, as at the end. */
static double in_range(double T_K)
{
    return fmin(fmax(T_K, 293.15), 873.15) - ZERO_C;
}

double oxt_i_body_heat(const oxt_i_body *body, double T_K)
{
    double T = in_range(T_K);
    return body->heat > 0.0 ? body->heat : 425.0 + T * (0.773 + T * (-1.69e-3 + T * 2.22e-6));
}

double oxt_i_body_conductivity(const oxt_i_body *body, double T_K)
{
    return body->conductivity > 0.0 ? body->conductivity : 54.0 - 3.33e-2 * in_range(T_K);
}

double oxt_i_body_content(const oxt_i_body *body, double T_K)
{
    double T = in_range(T_K), beyond = T_K - ZERO_C - T;
    if (body->heat > 0.0)
        return body->density * body->heat * (T_K - ZERO_C);
    double held = T * (425.0 + T * (0.773 / 2.0 + T * (-1.69e-3 / 3.0 + T * 2.22e-6 / 4.0)));
    return body->density * (held + beyond * oxt_i_body_heat(body, T_K));
}

/* The temperature at which it holds so much, from a guess. */
static double temperature_of(const oxt_i_body *body, double content_J_per_m3, double guess_K)
{
    if (body->heat > 0.0)
        return ZERO_C + content_J_per_m3 / (body->density * body->heat);
    for (int i = 0; i < 8; i++) {
        double missing = content_J_per_m3 - oxt_i_body_content(body, guess_K);
        double change_K = missing / (body->density * oxt_i_body_heat(body, guess_K));
        guess_K += change_K;
        if (fabs(change_K) < 1e-6)
            break;
    }
    return guess_K;
}

/* ---- one step ---- */

/* The weights of the heat at the start, the middle and the end of a step in what has come in by its middle and by its
 * end. */
static const double by_middle[3] = { 5.0 / 24.0, 8.0 / 24.0, -1.0 / 24.0 };
static const double by_end[3] = { 1.0 / 6.0, 4.0 / 6.0, 1.0 / 6.0 };

/* How the modes respond: what is left of them, and what the heat at the three points adds to their sum. */
typedef struct {
    double kept[2][MODES], added[2][3][MODES];
    double left_K[2], response[2][3]; /* summed over the modes */
} mode_response;

/* Integrals of exp(-z (1 - u)) u^j for j = 0, 1, 2 from 0 to 1. */
static void moments(double z, double decay, double moment[3])
{
    if (z > 0.5) {
        moment[0] = (1.0 - decay) / z;
        moment[1] = (1.0 - moment[0]) / z;
        moment[2] = (1.0 - 2.0 * moment[1]) / z;
        return;
    }
    double term = 1.0 / 6.0,
           sum = 0.0; /* of the third, 2 (-z)^m/(m + 3)!, summed; the others by recurrence */
    for (int m = 0; m < 12; m++) {
        sum += 2.0 * term;
        term *= -z / (m + 4.0);
    }
    moment[2] = sum;
    moment[1] = 0.5 * (1.0 - z * moment[2]);
    moment[0] = 1.0 - z * moment[1];
}

static void respond(mode_response *made, const oxt_i_body_state *state, const oxt_i_body *body,
                    double diffusivity, double lambda, double step_s)
{
    double by_flux = body->share * body->half_m * body->half_m / (lambda * body->volume_per_area_m);
    *made = (mode_response){ .left_K = { 0.0, 0.0 } };
    for (size_t i = 0; i < body->count; i++) {
        double rate = diffusivity * body->square[i] / (body->half_m * body->half_m);
        for (int end = 0; end < 2; end++) {
            double length = end ? 1.0 : 0.5, z = rate * step_s * length, decay = oxt_i_exp(-z),
                   u[3];
            moments(z, decay, u);
            /* the parabola's coefficients over [0, length] of the step */
            double gain = by_flux / body->square[i] * z, s = length;
            made->kept[end][i] = decay;
            made->added[end][0][i] = gain * (u[0] - 3.0 * s * u[1] + 2.0 * s * s * u[2]);
            made->added[end][1][i] = gain * (4.0 * s * u[1] - 4.0 * s * s * u[2]);
            made->added[end][2][i] = gain * (-s * u[1] + 2.0 * s * s * u[2]);
            made->left_K[end] += decay * state->mode_K[i];
            for (int j = 0; j < 3; j++)
                made->response[end][j] += made->added[end][j][i];
        }
    }
}

/* The bath at one of the two points, and what it has given by then. */
typedef struct {
    double came_in_J_per_m2, content, mean_K, surface_K, bath_K, crust_J_per_m2;
} point;

static double given_to_crust(const oxt_i_outside *outside, double bath_K)
{
    double gap_K = fmax(bath_K - outside->melting_K, 0.0);
    return outside->transfer * gap_K *
           (outside->exponent > 0.0 ? pow(gap_K / outside->gap_K, outside->exponent) : 1.0);
}

/* Below this difference the heat transfer falls no more. */
static const double LEAST_GAP_K = 0.05;

/* W/m^2 into a bare surface, and its slope by the surface's temperature. */
static double into_bare(const oxt_i_outside *outside, double bath_K, double surface_K,
                        double *slope)
{
    double gap_K = bath_K - surface_K, h = outside->transfer, bend = 0.0;
    if (outside->exponent > 0.0) {
        h *= pow(fmax(fabs(gap_K), LEAST_GAP_K) / outside->gap_K, outside->exponent);
        bend = fabs(gap_K) > LEAST_GAP_K ? outside->exponent : 0.0;
    }
    *slope = -h * (1.0 + bend);
    return h * gap_K;
}

typedef struct {
    const oxt_i_body_state *from;
    const oxt_i_body *body;
    const oxt_i_outside *outside;
    mode_response modes;
    double step_s, change_K;
    double to_crust; /* W/m^2 that the bath gives to salt that is frozen, over the step */
    double rest_K;   /* per W/m^2 */
} step;

static point look(const step *of, int end, const double flux[3], double guess_K)
{
    const oxt_i_body_state *from = of->from;
    const oxt_i_outside *outside = of->outside;
    const double *weight = end ? by_end : by_middle;
    double share = end ? 1.0 : 0.5;
    point made;
    made.came_in_J_per_m2 = of->step_s *
                            (weight[0] * flux[0] + weight[1] * flux[1] + weight[2] * flux[2]);
    made.content = from->content_J_per_m3 + made.came_in_J_per_m2 / of->body->volume_per_area_m;
    made.mean_K = temperature_of(of->body, made.content, guess_K);
    made.surface_K = made.mean_K + of->modes.left_K[end] + of->rest_K * flux[end + 1];
    for (int j = 0; j < 3; j++)
        made.surface_K += of->modes.response[end][j] * flux[j];
    made.bath_K = from->bath_K + share * of->change_K;
    double given = from->stage == OXT_I_CRUST ? share * of->step_s * of->to_crust : 0.0;
    double drawn = from->stage == OXT_I_CRUST ? given : made.came_in_J_per_m2;
    if (outside->bath_J_per_m2K > 0.0 && !from->held)
        made.bath_K += (share * of->step_s * outside->heater_W_per_m2 - drawn) /
                       outside->bath_J_per_m2K;
    if (outside->bath_J_per_m2K > 0.0 && from->stage == OXT_I_CRUST)
        made.bath_K = fmin(made.bath_K, outside->set_K);
    made.crust_J_per_m2 = (made.content - from->first_J_per_m3) * of->body->volume_per_area_m -
                          from->given_J_per_m2 - given;
    return made;
}

/* What the heat at a point differs from what the surface would take, and its slopes by the heat at the middle and the
 * end. */
static double differs(const step *of, int end, const point *at, double flux, double slope[2])
{
    const oxt_i_body *body = of->body;
    const oxt_i_outside *outside = of->outside;
    const double *weight = end ? by_end : by_middle;
    double heat = body->density * oxt_i_body_heat(body, at->mean_K) * body->volume_per_area_m;
    double by[2], bath[2] = { 0.0, 0.0 }, by_surface;
    for (int j = 0; j < 2; j++) {
        by[j] = of->step_s * weight[j + 1] / heat + of->modes.response[end][j + 1] +
                (j == end ? of->rest_K : 0.0);
        if (outside->bath_J_per_m2K > 0.0 && !of->from->held && of->from->stage == OXT_I_BARE)
            bath[j] = -of->step_s * weight[j + 1] / outside->bath_J_per_m2K;
    }
    if (of->from->stage == OXT_I_CRUST) { /* flux thickness = k (melting - surface) */
        double thick_m = at->crust_J_per_m2 / outside->latent_J_per_m3;
        for (int j = 0; j < 2; j++)
            slope[j] = flux * of->step_s * weight[j + 1] / outside->latent_J_per_m3 +
                       (j == end ? thick_m : 0.0) + outside->crust_W_per_mK * by[j];
        return flux * thick_m - outside->crust_W_per_mK * (outside->melting_K - at->surface_K);
    }
    double taken = into_bare(outside, at->bath_K, at->surface_K, &by_surface);
    for (int j = 0; j < 2; j++)
        slope[j] = (j == end ? 1.0 : 0.0) - by_surface * (by[j] - bath[j]);
    return flux - taken;
}

static void take_step(oxt_i_body_state *state, const oxt_i_body *body, const oxt_i_outside *outside,
                      double step_s, double change_K)
{
    enum { MOST = 12 };
    double heat = body->density * oxt_i_body_heat(body, state->mean_K);
    /* properties of the modes half way */
    double half_way_K = state->mean_K +
                        0.5 * step_s * state->flux / (heat * body->volume_per_area_m);
    half_way_K = fmin(half_way_K, fmax(state->bath_K, state->mean_K));
    double lambda = oxt_i_body_conductivity(body, half_way_K);
    double diffusivity = lambda / (body->density * oxt_i_body_heat(body, half_way_K));
    step of = {
        .from = state, .body = body, .outside = outside, .step_s = step_s, .change_K = change_K
    };
    of.to_crust = given_to_crust(outside, state->bath_K + 0.5 * change_K);
    respond(&of.modes, state, body, diffusivity, lambda, step_s);
    of.rest_K = body->rest * body->half_m * body->half_m / (lambda * body->volume_per_area_m);
    double flux[3] = { state->flux, state->flux, state->flux };
    point at[2];
    double guess_K = state->mean_K;
    for (int turn = 0; turn < MOST; turn++) {
        double a[2], b[2];
        at[0] = look(&of, 0, flux, guess_K);
        at[1] = look(&of, 1, flux, at[0].mean_K);
        guess_K = at[0].mean_K;
        double f0 = differs(&of, 0, &at[0], flux[1], a), f1 = differs(&of, 1, &at[1], flux[2], b);
        double determinant = a[0] * b[1] - a[1] * b[0];
        double by0 = (f0 * b[1] - f1 * a[1]) / determinant;
        double by1 = (a[0] * f1 - b[0] * f0) / determinant;
        flux[1] -= by0;
        flux[2] -= by1;
        if (fabs(by0) + fabs(by1) <= 1e-9 * (fabs(flux[1]) + fabs(flux[2])) + 1e-7)
            break;
    }
    at[0] = look(&of, 0, flux, at[0].mean_K);
    at[1] = look(&of, 1, flux, at[1].mean_K);
    for (size_t i = 0; i < body->count; i++) {
        double now = of.modes.kept[1][i] * state->mode_K[i];
        for (int j = 0; j < 3; j++)
            now += of.modes.added[1][j][i] * flux[j];
        state->mode_K[i] = now;
    }
    state->time_s += step_s;
    state->given_J_per_m2 += state->stage == OXT_I_CRUST ? step_s * of.to_crust : 0.0;
    state->bath_K = at[1].bath_K;
    state->content_J_per_m3 = at[1].content;
    state->mean_K = at[1].mean_K;
    state->surface_K = at[1].surface_K;
    state->middle_K = at[0].surface_K;
    state->middle_flux = flux[1];
    state->flux = flux[2];
}

/* ---- from the start to the end ---- */

/* Salt that has just begun to freeze: so little time that its thickness goes with the root of time. */
static void begin_crust(oxt_i_body_state *state, const oxt_i_body *body,
                        const oxt_i_outside *outside)
{
    double diffusivity = oxt_i_body_conductivity(body, state->mean_K) /
                         (body->density * oxt_i_body_heat(body, state->mean_K));
    double fastest = body->count ? body->square[body->count - 1] : 100.0;
    double time_s = 0.1 * body->half_m * body->half_m / (diffusivity * fastest);
    double gap_K = outside->melting_K - state->mean_K;
    state->stage = OXT_I_CRUST;
    state->time_s = state->first_s = time_s;
    state->flux = sqrt(0.5 * outside->crust_W_per_mK * gap_K * outside->latent_J_per_m3 / time_s);
    state->content_J_per_m3 += 2.0 * state->flux * time_s / body->volume_per_area_m;
    state->mean_K = temperature_of(body, state->content_J_per_m3, state->mean_K);
    for (size_t i = 0; i < body->count; i++) {
        double b = body->share /
                   (body->density * oxt_i_body_heat(body, state->mean_K) * body->volume_per_area_m);
        state->mode_K[i] = b * 2.0 * state->flux * time_s;
        state->surface_K += state->mode_K[i];
    }
}

static void begin_bare(oxt_i_body_state *state, const oxt_i_body *body,
                       const oxt_i_outside *outside)
{
    double slope, modes_K = 0.0;
    double rest_K = body->rest * body->half_m * body->half_m /
                    (oxt_i_body_conductivity(body, state->mean_K) * body->volume_per_area_m);
    for (size_t i = 0; i < body->count; i++)
        modes_K += state->mode_K[i];
    state->stage = OXT_I_BARE;
    state->first_s = 2e-3 * body->density * oxt_i_body_heat(body, state->mean_K) *
                     body->volume_per_area_m / outside->transfer;
    for (int i = 0; i < 20; i++) {
        double off = state->flux - into_bare(outside, state->bath_K, state->surface_K, &slope);
        state->flux -= off / (1.0 - slope * rest_K);
        state->surface_K = state->mean_K + modes_K + rest_K * state->flux;
    }
    state->held = outside->bath_J_per_m2K == 0.0 ||
                  (state->bath_K >= outside->set_K && outside->heater_W_per_m2 >= state->flux);
}

void oxt_i_body_start(oxt_i_body_state *state, const oxt_i_body *body, const oxt_i_outside *outside,
                      double start_K)
{
    *state =
        (oxt_i_body_state){ .bath_K = outside->set_K, .mean_K = start_K, .surface_K = start_K };
    state->first_J_per_m3 = state->content_J_per_m3 = oxt_i_body_content(body, start_K);
    state->held = outside->bath_J_per_m2K == 0.0;
    if (outside->melting_K > start_K && outside->melting_K < outside->set_K)
        begin_crust(state, body, outside);
    else
        begin_bare(state, body, outside);
}

static double crust_m(const oxt_i_body_state *state, const oxt_i_body *body,
                      const oxt_i_outside *outside)
{
    double held = (state->content_J_per_m3 - state->first_J_per_m3) * body->volume_per_area_m;
    return (held - state->given_J_per_m2) / outside->latent_J_per_m3;
}

/* What ends a stretch when it falls to 0: the crust, or what the bath is short of. */
static double left_of(const oxt_i_body_state *state, const oxt_i_body *body,
                      const oxt_i_outside *outside)
{
    if (state->stage == OXT_I_CRUST)
        return fmin(crust_m(state, body, outside) - 1e-8,
                    1e-6 * (outside->melting_K - state->surface_K - 1e-4));
    return outside->set_K - state->bath_K;
}

/* A step that ends where the stretch does, when it would go beyond. */
static bool step_to_end(oxt_i_body_state *state, const oxt_i_body *body,
                        const oxt_i_outside *outside, double step_s, double ramp_K_per_s)
{
    oxt_i_body_state from = *state;
    double before = left_of(&from, body, outside), low_s = 0.0, high_s = step_s;
    take_step(state, body, outside, step_s, ramp_K_per_s * step_s);
    bool watched = state->stage == OXT_I_CRUST || (!state->held && outside->heater_W_per_m2 > 0.0);
    double after = left_of(state, body, outside);
    if (!watched || after > 0.0 || (state->stage == OXT_I_BARE && before <= 0.0))
        return false;
    for (int i = 0; i < 40 && high_s - low_s > 1e-9 * (from.time_s + step_s); i++) {
        double middle_s = 0.5 * (low_s + high_s);
        *state = from;
        take_step(state, body, outside, middle_s, ramp_K_per_s * middle_s);
        if (left_of(state, body, outside) > 0.0)
            low_s = middle_s;
        else
            high_s = middle_s;
    }
    *state = from;
    take_step(state, body, outside, high_s, ramp_K_per_s * high_s);
    return true;
}

double oxt_i_body_step(oxt_i_body_state *state, const oxt_i_body *body,
                       const oxt_i_outside *outside, double most_s, double ramp_K_per_s)
{
    static const double GROWTH = 1.0 / 6.0; /* of a step, over the time since the stage began */
    double from_s = state->time_s;
    double step_s = state->stage == OXT_I_CRUST
                        ? fmax(2.0 * GROWTH * from_s, state->first_s)
                        : fmax(GROWTH * (from_s - state->since_s), state->first_s);
    if (!step_to_end(state, body, outside, fmin(step_s, most_s), ramp_K_per_s))
        return state->time_s - from_s;
    state->since_s = state->time_s;
    if (state->stage == OXT_I_CRUST) {
        begin_bare(state, body, outside);
    } else {
        state->held = true;
        state->bath_K = outside->set_K;
    }
    return state->time_s - from_s;
}

/* Nothing more happens. */
static bool has_settled(const oxt_i_body_state *state, const oxt_i_outside *outside)
{
    static const double SETTLED_K = 1e-5;
    double gap_K = fabs(state->bath_K - state->surface_K);
    bool back = state->held || outside->heater_W_per_m2 == 0.0;
    return state->stage == OXT_I_BARE && back && gap_K < SETTLED_K;
}

static void add_node(oxt_i_course *made, double time_s, double surface_K, double mean_K)
{
    made->time_s[made->count] = time_s;
    made->surface_K[made->count] = surface_K;
    made->mean_K[made->count++] = mean_K;
}

/* The bath is coldest where the load takes what the heater gives: within a step of a bare part, by the parabola of the
 * heat that comes in. */
static void note_lowest(oxt_i_course *made, const oxt_i_body_state *before,
                        const oxt_i_body_state *after, const oxt_i_outside *outside)
{
    double heater = outside->heater_W_per_m2, step_s = after->time_s - before->time_s;
    if (after->bath_K < made->lowest_K) {
        made->lowest_K = after->bath_K;
        made->lowest_s = after->time_s;
    }
    if (before->held || before->stage == OXT_I_CRUST || before->flux <= heater ||
        after->flux > heater)
        return;
    double linear = -3.0 * before->flux + 4.0 * after->middle_flux - after->flux;
    double square = 2.0 * before->flux - 4.0 * after->middle_flux + 2.0 * after->flux;
    double low = 0.0, high = 1.0;
    for (int i = 0; i < 50; i++) {
        double u = 0.5 * (low + high);
        bool takes_more = before->flux + u * (linear + u * square) > heater;
        low = takes_more ? u : low;
        high = takes_more ? high : u;
    }
    double came_in = high * (before->flux + high * (linear / 2.0 + high * square / 3.0));
    made->lowest_K = before->bath_K + step_s * (high * heater - came_in) / outside->bath_J_per_m2K;
    made->lowest_s = before->time_s + high * step_s;
}

oxt_status oxt_i_course_run(oxt_i_course *made, const oxt_i_body *body,
                            const oxt_i_outside *outside, double start_K, oxt_error *error)
{
    oxt_i_body_state state;
    made->count = made->broken = 0;
    made->crust_m = 0.0;
    made->lowest_K = outside->set_K;
    made->lowest_s = made->back_s = 0.0;
    oxt_i_body_start(&state, body, outside, start_K);
    add_node(made, 0.0, start_K, start_K);
    double from_s = 0.0;
    for (size_t i = 0; i < OXT_I_COURSE_STEPS; i++) {
        const oxt_i_body_state before = state;
        bool frozen = state.stage == OXT_I_CRUST, below = state.bath_K < outside->set_K - BACK_K;
        oxt_i_body_step(&state, body, outside, HUGE_VAL, 0.0);
        add_node(made, 0.5 * (from_s + state.time_s), state.middle_K,
                 0.5 * (before.mean_K + state.mean_K));
        add_node(made, state.time_s, state.surface_K, state.mean_K);
        if (frozen && state.stage == OXT_I_BARE)
            made->broken = made->count - 1;
        else if (frozen)
            made->crust_m = fmax(made->crust_m, crust_m(&state, body, outside));
        note_lowest(made, &before, &state, outside);
        if (below && state.bath_K >= outside->set_K - BACK_K)
            made->back_s = from_s + (state.time_s - from_s) *
                                        (outside->set_K - BACK_K - before.bath_K) /
                                        (state.bath_K - before.bath_K);
        from_s = state.time_s;
        if (has_settled(&state, outside))
            return OXT_OK;
        if (!isfinite(state.surface_K))
            break;
    }
    return oxt_i_fail_text(error, OXT_ENOCONV, "part", "the part does not settle in this bath");
}

/* ---- between the nodes ---- */

size_t oxt_i_course_node(const oxt_i_course *course, double time_s)
{
    size_t low = 0, high = course->count - 1;
    if (time_s >= course->time_s[high])
        return high;
    while (high - low > 1) {
        size_t middle = (low + high) / 2;
        if (course->time_s[middle] <= time_s)
            low = middle;
        else
            high = middle;
    }
    return low;
}

static double between(const oxt_i_course *course, const double *value, double time_s)
{
    size_t last = course->count - 1, low = oxt_i_course_node(course, time_s);
    if (low == last)
        return value[last];
    /* four nodes, on one side of a break */
    size_t floor = course->broken && low >= course->broken ? course->broken : 0;
    size_t ceiling = course->broken && low < course->broken ? course->broken : last;
    size_t first = low > floor ? low - 1 : floor;
    if (first + 3 > ceiling)
        first = ceiling >= floor + 3 ? ceiling - 3 : floor;
    double sum = 0.0;
    size_t count = ceiling - first < 3 ? ceiling - first + 1 : 4;
    for (size_t i = 0; i < count; i++) {
        double share = value[first + i];
        for (size_t j = 0; j < count; j++)
            if (j != i)
                share *= (time_s - course->time_s[first + j]) /
                         (course->time_s[first + i] - course->time_s[first + j]);
        sum += share;
    }
    return sum;
}

double oxt_i_course_surface_K(const oxt_i_course *course, double time_s)
{
    return between(course, course->surface_K, time_s);
}

double oxt_i_course_mean_K(const oxt_i_course *course, double time_s)
{
    return between(course, course->mean_K, time_s);
}
