/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The heat transfer of a bath from a thermocouple in a part. */
#include <gsl/gsl_sf_bessel.h>
#include <stdlib.h>
#include <string.h>

#include "growth/history.h"
#include "thermal/heat.h"

enum { H, ENTRY, N, MOST_PARAMETERS, MOST_SAMPLES = 2000 };

typedef struct {
    oxt_i_body body;
    oxt_i_outside outside;
    double start_K;
    oxt_thermocouple place;
    double centre[OXT_I_COURSE_MODES], rest; /* of each mode and of those left out, at the centre */
    const oxt_i_sample *samples;
    size_t count, stride, parameters;
} log_of_part;

/* ---- the temperature at the thermocouple ---- */

/* A mode whose surface is 1 is 1/J0 of its root at the axis of a bar, and so on. */
static void take_centre(log_of_part *made)
{
    static const double sums[3] = { -1.0 / 6.0, -1.0 / 8.0, -1.0 / 10.0 }; /* of all modes */
    const oxt_i_body *body = &made->body;
    made->rest = body->count > 0 ? sums[body->shape] : 0.0;
    for (size_t i = 0; i < body->count; i++) {
        double sign = i % 2 == 0 ? -1.0 : 1.0, square = body->square[i];
        made->centre[i] = body->shape == OXT_SHAPE_PLATE    ? sign
                          : body->shape == OXT_SHAPE_SPHERE ? sign * sqrt(1.0 + square)
                                                            : 1.0 / gsl_sf_bessel_J0(sqrt(square));
        made->rest -= made->centre[i] * body->share / square;
    }
}

static double measured_K(const log_of_part *of, const oxt_i_body_state *state)
{
    const oxt_i_body *body = &of->body;
    if (of->place == OXT_THERMOCOUPLE_SURFACE || body->count == 0)
        return state->surface_K;
    double conductivity = oxt_i_body_conductivity(body, state->mean_K);
    double centre_K = state->mean_K + of->rest * body->half_m * body->half_m * state->flux /
                                          (conductivity * body->volume_per_area_m);
    for (size_t i = 0; i < body->count; i++)
        centre_K += of->centre[i] * state->mode_K[i];
    return centre_K;
}

/* ---- the fit ---- */

static bool residuals(const log_of_part *of, const double *parameters, double *residual)
{
    oxt_i_outside outside = of->outside;
    oxt_i_body_state state;
    double inside_s = 0.0;
    outside.transfer = exp(parameters[H]);
    if (of->parameters > N)
        outside.exponent = parameters[N];
    if (!(outside.transfer > 1e-3 && outside.transfer < 1e6 && outside.exponent >= 0.0 &&
          outside.exponent <= 2.0))
        return false;
    oxt_i_body_start(&state, &of->body, &outside, of->start_K);
    for (size_t i = 0; i < of->count; i++) {
        const oxt_i_sample *sample = &of->samples[i * of->stride];
        double until_s = sample->time_s - parameters[ENTRY];
        while (until_s - inside_s > 1e-9 * fabs(until_s)) {
            double taken_s = oxt_i_body_step(&state, &of->body, &outside, until_s - inside_s, 0.0);
            if (!(taken_s > 0.0) || !isfinite(state.surface_K))
                return false;
            inside_s += taken_s;
        }
        residual[i] = (inside_s > 0.0 ? measured_K(of, &state) : of->start_K) -
                      sample->temperature_K;
    }
    return true;
}

static double sum_of_squares(const log_of_part *of, const double *parameters, double *residual)
{
    double sum = 0.0;
    if (!residuals(of, parameters, residual))
        return HUGE_VAL;
    for (size_t i = 0; i < of->count; i++)
        sum += residual[i] * residual[i];
    return sum;
}

/* J^T J and J^T r, by differences: a step of each parameter, large beside the rounding of a path. `work` has room for a
 * row of residuals of each parameter and one more. */
static bool normal_equations(const log_of_part *of, const double *parameters,
                             const double *residual, double *work, double square[3][3],
                             double across[3])
{
    static const double steps[MOST_PARAMETERS] = { 1e-3, 1e-2, 1e-3 };
    double *low = work + of->parameters * of->count;
    for (size_t j = 0; j < of->parameters; j++) {
        double moved[MOST_PARAMETERS] = { parameters[H], parameters[ENTRY], parameters[N] };
        double *high = work + j * of->count;
        moved[j] = parameters[j] + steps[j];
        bool good = residuals(of, moved, high);
        moved[j] = j == N ? fmax(parameters[j] - steps[j], 0.0) : parameters[j] - steps[j];
        double width = parameters[j] + steps[j] - moved[j];
        if (!good || !residuals(of, moved, low))
            return false;
        for (size_t i = 0; i < of->count; i++)
            high[i] = (high[i] - low[i]) / width;
    }
    for (size_t j = 0; j < of->parameters; j++) {
        across[j] = 0.0;
        for (size_t i = 0; i < of->count; i++)
            across[j] += work[j * of->count + i] * residual[i];
        for (size_t k = 0; k <= j; k++) {
            square[j][k] = 0.0;
            for (size_t i = 0; i < of->count; i++)
                square[j][k] += work[j * of->count + i] * work[k * of->count + i];
            square[k][j] = square[j][k];
        }
    }
    return true;
}

/* The inverse of a matrix that is positive definite, with its diagonal lengthened, by Gauss and Jordan; false where it is
 * not. */
static bool invert(const double square[3][3], size_t p, double longer, double inverse[3][3])
{
    double left[3][3];
    for (size_t j = 0; j < p; j++)
        for (size_t k = 0; k < p; k++) {
            left[j][k] = square[j][k] * (j == k ? 1.0 + longer : 1.0);
            inverse[j][k] = j == k ? 1.0 : 0.0;
        }
    for (size_t j = 0; j < p; j++) {
        const double pivot = left[j][j];
        if (!(pivot > 1e-12 * square[j][j]))
            return false;
        for (size_t k = 0; k < p; k++) {
            left[j][k] /= pivot;
            inverse[j][k] /= pivot;
        }
        for (size_t i = 0; i < p; i++) {
            const double factor = i == j ? 0.0 : left[i][j];
            for (size_t k = 0; k < p; k++) {
                left[i][k] -= factor * left[j][k];
                inverse[i][k] -= factor * inverse[j][k];
            }
        }
    }
    return true;
}

/* A step that lowers the sum of squares, by Levenberg and Marquardt: how large it was, in terms of what matters; 0 where
 * none lowers it. */
static double descend(const log_of_part *of, double *parameters, double *residual, double *work,
                      double *sum, double *damping)
{
    static const double units[MOST_PARAMETERS] = { 1.0, 10.0, 1.0 };
    double square[3][3], across[3], inverse[3][3], *there = work + of->parameters * of->count;
    if (!normal_equations(of, parameters, residual, work, square, across))
        return NAN;
    /* an exponent that would fall below 0 stays there */
    const bool stays = of->parameters > N && parameters[N] == 0.0 && across[N] > 0.0;
    const size_t p = stays ? N : of->parameters;
    for (int i = 0; i < 12; i++, *damping *= 10.0) {
        double moved[MOST_PARAMETERS] = { parameters[H], parameters[ENTRY], parameters[N] };
        double length = 0.0;
        if (!invert(square, p, *damping, inverse))
            return NAN;
        for (size_t j = 0; j < p; j++) {
            double step = 0.0;
            for (size_t k = 0; k < p; k++)
                step -= inverse[j][k] * across[k];
            moved[j] += j == H ? fmin(fmax(step, -1.0), 1.0) : step;
            length = fmax(length, fabs(step) / units[j]);
        }
        moved[N] = fmax(moved[N], 0.0);
        double lower = sum_of_squares(of, moved, there);
        if (!(lower < *sum))
            continue;
        memcpy(parameters, moved, sizeof moved);
        memcpy(residual, there, of->count * sizeof *residual);
        *sum = lower;
        *damping = fmax(0.1 * *damping, 1e-9);
        return length;
    }
    return 0.0;
}

/* It is inside when the first half kelvin has come. */
static double guess_entry_s(const log_of_part *of)
{
    size_t i = 0;
    while (i + 1 < of->count && of->samples[(i + 1) * of->stride].temperature_K < of->start_K + 0.5)
        i++;
    return of->samples[i * of->stride].time_s;
}

static oxt_status solve(const log_of_part *of, oxt_transfer *made, oxt_error *error)
{
    enum { MOST = 60 };
    static const double CLOSE = 1e-6;
    double parameters[MOST_PARAMETERS] = { log(of->outside.transfer), guess_entry_s(of),
                                           of->outside.exponent };
    double square[3][3], across[3], inverse[3][3], damping = 1e-3, length = 1.0;
    double *residual = malloc((of->parameters + 2) * of->count * sizeof *residual);
    if (!residual)
        return oxt_i_no_memory(error);
    double *work = residual + of->count, sum = sum_of_squares(of, parameters, residual);
    for (int i = 0; i < MOST && length > CLOSE; i++)
        length = descend(of, parameters, residual, work, &sum, &damping);
    bool good = length <= CLOSE && isfinite(sum) &&
                normal_equations(of, parameters, residual, work, square, across) &&
                invert(square, of->parameters, 0.0, inverse);
    free(residual);
    if (!good)
        return oxt_i_fail_text(error, OXT_ENOCONV, "history",
                               "the heat transfer cannot be told from this history: log from the "
                               "start until the part is as hot as the bath");
    double variance = sum / (double)(of->count - of->parameters);
    bool still = of->parameters > N;
    made->transfer_W_per_m2K = exp(parameters[H]);
    made->transfer_stderr_W_per_m2K = made->transfer_W_per_m2K * sqrt(variance * inverse[H][H]);
    made->enter_s = parameters[ENTRY];
    made->exponent = parameters[N];
    made->exponent_stderr = still ? sqrt(variance * inverse[N][N]) : 0.0;
    made->rms_K = sqrt(sum / (double)of->count);
    made->used = of->count;
    return OXT_OK;
}

/* The samples must tell of the warming: some before half of the rise, and some after. */
static oxt_status check_rise(const log_of_part *of, double bath_K, oxt_error *error)
{
    size_t below = 0, above = 0, least = of->parameters + 2;
    double half_K = 0.5 * (of->start_K + bath_K);
    for (size_t i = 0; i < of->count; i++) {
        double T = of->samples[i * of->stride].temperature_K;
        below += T > of->start_K + 0.5 && T <= half_K;
        above += T > half_K;
    }
    if (below >= 1 && above >= 2 && of->count >= least)
        return OXT_OK;
    return oxt_i_fail(error, OXT_EFEW, "history", (double)of->count, (double)least, HUGE_VAL,
                      "the log of the part has %zu of its samples in the first half of the rise "
                      "from %s to %s and %zu after it, expected at least 1 and 2, and %zu in all: "
                      "state how hot the part was before, or log closer",
                      below, oxt_i_mark(of->start_K, NULL).text, oxt_i_mark(bath_K, NULL).text,
                      above, least);
}

oxt_status oxt_heat_find_transfer(const oxt_part *part, double bath_K, const oxt_history *history,
                                  oxt_thermocouple place, oxt_transfer *found, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_part known = OXT_PART_INIT;
    oxt_transfer made = OXT_TRANSFER_INIT;
    if (!history || !found)
        return oxt_i_null(error, history ? "found" : "history");
    oxt_status status = oxt_i_part_in(&known, part, bath_K, error);
    if (!status)
        status = oxt_i_check(error, "size_m", known.size_m, 0.0, 1.0, OXT_I_OPEN_LOW);
    if (!status)
        status = oxt_i_check(error, "bath_K", bath_K, known.start_K + 10.0, OXT_BATH_HIGH_K,
                             OXT_I_CLOSED);
    if (!status && place != OXT_THERMOCOUPLE_CENTRE && place != OXT_THERMOCOUPLE_SURFACE)
        status = oxt_i_fail(error, OXT_EARG, "place", place, OXT_THERMOCOUPLE_CENTRE,
                            OXT_THERMOCOUPLE_SURFACE,
                            "place is %d, expected one of oxt_thermocouple", (int)place);
    if (status)
        return status;
    log_of_part of = { .start_K = known.start_K,
                       .place = place,
                       .samples = history->samples,
                       .stride = 1 + (history->count - 1) / MOST_SAMPLES,
                       .parameters = known.flow == OXT_FLOW_STILL ? MOST_PARAMETERS : N };
    of.count = 1 + (history->count - 1) / of.stride;
    oxt_i_body_in(&of.body, &of.outside, &known, bath_K);
    take_centre(&of);
    status = check_rise(&of, bath_K, error);
    if (!status)
        status = solve(&of, &made, error);
    return status ? status : OXT_I_STRUCT_OUT(oxt_transfer, found, &made, "found", error);
}
