/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The parameter of Hollomon and Jaffe: of a stay, its inverses, and of a whole history. */

#include "oxtint/temper.h"
#include "base/solve.h"
#include "growth/history.h"
#include "thermal/temper.h"

static const double HOUR_S = 3600.0;

double oxt_i_temper_parameter(double temperature_K, double time_s, double constant)
{
    return temperature_K * (constant + log10(time_s / HOUR_S));
}

double oxt_i_temper_time(double parameter, double temperature_K, double constant)
{
    return HOUR_S * pow(10.0, parameter / temperature_K - constant);
}

oxt_status oxt_i_check_temper_constant(double constant, oxt_error *error)
{
    return oxt_i_check(error, "constant", constant, OXT_TEMPER_CONSTANT_LOW,
                       OXT_TEMPER_CONSTANT_HIGH, OXT_I_CLOSED);
}

/* Two numbers above 0 and the constant. */
static oxt_status check_pair(const char *name_a, double a, const char *name_b, double b,
                             double constant, oxt_error *error)
{
    oxt_status status = oxt_i_check(error, name_a, a, 0.0, HUGE_VAL, OXT_I_OPEN_LOW);
    if (!status)
        status = oxt_i_check(error, name_b, b, 0.0, HUGE_VAL, OXT_I_OPEN_LOW);
    return status ? status : oxt_i_check_temper_constant(constant, error);
}

oxt_status oxt_temper_parameter(double temperature_K, double time_s, double constant,
                                double *parameter, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!parameter)
        return oxt_i_null(error, "parameter");
    oxt_status status = check_pair("temperature_K", temperature_K, "time_s", time_s, constant,
                                   error);
    if (status)
        return status;
    double found = oxt_i_temper_parameter(temperature_K, time_s, constant);
    if (!(found > 0.0) || !isnormal(found)) /* a subnormal number has no digits left */
        return oxt_i_fail(error, OXT_EDOMAIN, "time_s", time_s, NAN, NAN,
                          "time_s is %g, which gives no parameter above 0", time_s);
    *parameter = found;
    return OXT_OK;
}

oxt_status oxt_temper_temperature(double parameter, double time_s, double constant,
                                  double *temperature_K, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!temperature_K)
        return oxt_i_null(error, "temperature_K");
    oxt_status status = check_pair("parameter", parameter, "time_s", time_s, constant, error);
    if (status)
        return status;
    double found_K = parameter / (constant + log10(time_s / HOUR_S));
    if (!(found_K > 0.0) || !isfinite(found_K))
        return oxt_i_fail(error, OXT_EUNREACHABLE, "time_s", time_s, NAN, NAN,
                          "no temperature gives a parameter of %g in %g s", parameter, time_s);
    *temperature_K = found_K;
    return OXT_OK;
}

oxt_status oxt_temper_time(double parameter, double temperature_K, double constant, double *time_s,
                           oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!time_s)
        return oxt_i_null(error, "time_s");
    oxt_status status = check_pair("parameter", parameter, "temperature_K", temperature_K, constant,
                                   error);
    if (status)
        return status;
    double found_s = oxt_i_temper_time(parameter, temperature_K, constant);
    if (!isfinite(found_s))
        return oxt_i_fail(error, OXT_EUNREACHABLE, "temperature_K", temperature_K, NAN, NAN,
                          "temperature_K is %g: a parameter of %g takes longer than any time there",
                          temperature_K, parameter);
    *time_s = found_s;
    return OXT_OK;
}

/* ---- a whole history ---- */

/* A piece of the history in hours; the state is the time at the present temperature that has the
 * parameter. While T changes it obeys d(state)/dt = 1 - ln 10 (P/T) (dT/dt)/T state: the moment is
 * added, and the time that has the same P shrinks as the part gets hotter. */
typedef struct {
    double constant, start_K, slope_K_per_h;
} piece;

static bool state_slope(double time_h, const double *state_h, double *slope, void *context)
{
    const piece *of = context;
    double now_K = of->start_K + of->slope_K_per_h * time_h;
    slope[0] = 1.0; /* also the limit for no time at all */
    if (state_h[0] > 0.0)
        slope[0] -= (log(10.0) * of->constant + log(state_h[0])) * of->slope_K_per_h / now_K *
                    state_h[0];
    return state_h[0] >= 0.0 && isfinite(slope[0]); /* a trial step that is too long goes below 0 */
}

/* The state after a piece in which the temperature changes, or NaN. It may be as short as 1e-30 h, so that
 * only its relative error counts. */
static double change_state(piece *of, double hours, double state_h)
{
    oxt_i_path path = { state_slope, of, 1, 0.0, hours, fmin(state_h, hours), 1e-11 };
    return oxt_i_follow(&path, &state_h, NULL) ? NAN : state_h;
}

/* The parameter after a piece, or NaN. No temper takes another back, whatever the last digit. */
static double after_piece(const oxt_i_sample ends[2], double parameter, double constant)
{
    double hours = (ends[1].time_s - ends[0].time_s) / HOUR_S;
    double start_K = ends[0].temperature_K, end_K = ends[1].temperature_K;
    double state_h = pow(10.0, parameter / start_K - constant);
    if (start_K == end_K) {
        state_h += hours;
    } else {
        piece of = { constant, start_K, (end_K - start_K) / hours };
        state_h = change_state(&of, hours, state_h);
    }
    double found = end_K * (constant + log10(state_h));
    return found < parameter ? parameter : found;
}

oxt_status oxt_i_temper_after(const oxt_history *history, double initial_parameter, double constant,
                              double *parameter, oxt_error *error)
{
    double found = initial_parameter;
    for (size_t i = 0; i + 1 < history->count && isfinite(found); i++)
        found = after_piece(&history->samples[i], found, constant);
    *parameter = found;
    return isfinite(found) ? OXT_OK
                           : oxt_i_fail(error, OXT_ENOCONV, "parameter", found, NAN, NAN,
                                        "the parameter of the history could not be integrated");
}
