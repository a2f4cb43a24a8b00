/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Temperature history -> exposure -> thickness, and back. */
#include <string.h>

#include "base/internal.h"
#include "base/vector.h"
#include "growth/growth.h"
#include "growth/law.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

static oxt_status check_law(const oxt_growth *growth, oxt_error *error)
{
    static const struct {
        double low, high;
    } shapes[OXT_LAW_COUNT] = { { 0.0, 0.0 }, { 1.0, 12.0 }, { 0.0, 1e6 }, { 0.1, 1e6 } };
    oxt_status status = oxt_i_check_choice("law", (int)growth->law, OXT_LAW_COUNT - 1, error);
    if (!status)
        status = oxt_i_check(error, "initial_nm", growth->initial_nm, 0.0, HUGE_VAL, OXT_I_CLOSED);
    if (status || oxt_i_grows_plainly(growth))
        return status;
    if (growth->law != OXT_LAW_PARABOLIC)
        status = oxt_i_check(error, "shape", growth->shape, shapes[growth->law].low,
                             shapes[growth->law].high, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "middle_nm", growth->middle_nm, 1.0, 1000.0, OXT_I_CLOSED);
    if (status || growth->initial_nm < growth->middle_nm)
        return status;
    return oxt_i_fail(error, OXT_EDOMAIN, "initial_nm", growth->initial_nm, 0.0, growth->middle_nm,
                      "initial_nm is %g, expected a film thinner than the middle one, %g nm",
                      growth->initial_nm, growth->middle_nm);
}

oxt_status oxt_i_check_growth(const oxt_growth *growth, oxt_error *error)
{
    if (!growth)
        return oxt_i_null(error, "growth");
    oxt_status status = OXT_I_CHECK_STRUCT(oxt_growth, growth, "growth", error);
    if (status)
        return status;
    status = check_law(growth, error);
    if (!status)
        status = oxt_i_check(error, "k_ref_nm2_per_s", growth->k_ref_nm2_per_s, 0.0, HUGE_VAL,
                             OXT_I_OPEN_LOW);
    if (!status)
        status = oxt_i_check(error, "T_ref_K", growth->T_ref_K, 0.0, HUGE_VAL, OXT_I_OPEN_LOW);
    if (!status && growth->Q_J_per_mol != 0.0)
        status = oxt_i_check(error, "Q_J_per_mol", growth->Q_J_per_mol, OXT_Q_LOW_J_PER_MOL,
                             OXT_Q_HIGH_J_PER_MOL, OXT_I_CLOSED);
    return status;
}

/* A result that a double cannot hold is a failure, never a silent infinity. */
static oxt_status give(double value, const char *name, double *result, oxt_error *error)
{
    if (!isfinite(value))
        return oxt_i_fail(error, OXT_EDOMAIN, name, value, NAN, NAN,
                          "%s is %g, too large for a number: check the growth constants", name,
                          value);
    *result = value;
    return OXT_OK;
}

/* The unchecked core: everything below is one of these with its checks. */
static oxt_i_arrhenius arrhenius_of(const oxt_growth *growth)
{
    return (oxt_i_arrhenius){ growth->k_ref_nm2_per_s, growth->Q_J_per_mol / R,
                              1.0 / growth->T_ref_K };
}

static double rate(const oxt_growth *growth, double temperature_K)
{
    return oxt_i_rate(arrhenius_of(growth), temperature_K);
}

static oxt_status rate_checked(const oxt_growth *growth, double temperature_K, double *result,
                               oxt_error *error)
{
    oxt_status status = oxt_i_check(error, "temperature_K", temperature_K, 0.0, HUGE_VAL,
                                    OXT_I_OPEN_LOW);
    return status ? status : give(rate(growth, temperature_K), "rate_nm2_per_s", result, error);
}

static oxt_status thickness_checked(const oxt_growth *growth, double bath_K, double time_s,
                                    double *result, oxt_error *error)
{
    oxt_status status = oxt_i_check(error, "bath_K", bath_K, 0.0, HUGE_VAL, OXT_I_OPEN_LOW);
    if (!status)
        status = oxt_i_check(error, "time_s", time_s, 0.0, HUGE_VAL, OXT_I_CLOSED);
    return status ? status
                  : give(oxt_i_film_of(growth, rate(growth, bath_K) * time_s), "thickness_nm",
                         result, error);
}

static oxt_status time_checked(const oxt_growth *growth, double thickness_nm, double bath_K,
                               double *result, oxt_error *error)
{
    oxt_status status = oxt_i_check(error, "thickness_nm", thickness_nm, 0.0, HUGE_VAL,
                                    OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "bath_K", bath_K, 0.0, HUGE_VAL, OXT_I_OPEN_LOW);
    if (status)
        return status;
    double time_s = thickness_nm == 0.0
                        ? 0.0
                        : oxt_i_exposure_of(growth, thickness_nm) / rate(growth, bath_K);
    if (!isfinite(time_s))
        return oxt_i_fail(error, OXT_EUNREACHABLE, "bath_K", bath_K, NAN, NAN,
                          "bath_K is %g: the film does not grow to %g nm in any time there", bath_K,
                          thickness_nm);
    *result = time_s;
    return OXT_OK;
}

/* ---- one element, and many ---- */

/* A call that maps (growth, a, b) to one number. */
typedef struct {
    oxt_status (*one)(const oxt_growth *, double a, double b, double *result, oxt_error *error);
    /* n elements, NaN where `one` fails; how many did. */
    size_t (*block)(oxt_i_arrhenius, size_t n, const double *restrict a, const double *restrict b,
                    double *restrict result);
    /* The same in one bath, from its rate and the argument that is not the bath. */
    size_t (*block_at)(double rate_nm2_per_s, size_t n, const double *restrict other,
                       double *restrict result);
    int bath; /* which argument it is, 0 or 1 */
} pair_call;

static const pair_call THICKNESS = { thickness_checked, oxt_i_thicknesses, oxt_i_thicknesses_at,
                                     0 };
static const pair_call TIME = { time_checked, oxt_i_times, oxt_i_times_at, 1 };

/* One array of a call; a stride of 0 is one value for all. */
typedef struct {
    const double *from;
    ptrdiff_t stride;
    double for_all; /* the result may lie over an input, so it is read before anything is written */
} column;

#define BLOCK 512 /* elements at a time, so that what lies between stays in the cache */

/* Elements of a column as an array: as they lie, or in a block. */
static const double *gather(const column *given, size_t first, size_t n, double *block)
{
    if (given->stride == (ptrdiff_t)sizeof *block)
        return given->from + first;
    for (size_t i = 0; i < n; i++)
        block[i] = given->stride ? *oxt_i_at(given->from, first + i, given->stride)
                                 : given->for_all;
    return block;
}

/* Elements that a block left as NaN: the result after all, or what is wrong with them. */
static void finish_block(const pair_call *call, const oxt_growth *growth, size_t first, size_t n,
                         const double *const given[2], double *result, oxt_i_tally *tally)
{
    for (size_t i = 0; i < n; i++) {
        oxt_error detail;
        detail.struct_size = sizeof detail;
        if (!isnan(result[i]))
            continue;
        oxt_status status = call->one(growth, given[0][i], given[1][i], &result[i],
                                      tally->failed ? NULL : &detail);
        if (status)
            oxt_i_tally_failure(tally, status, &detail, first + i);
    }
}

static oxt_status many(const pair_call *call, const oxt_growth *growth, size_t n, column a,
                       column b, double *result, size_t *failed, oxt_error *error)
{
    oxt_status status = oxt_i_check_growth(growth, error);
    if (status)
        return status;
    if (n > 0 && (!a.from || !b.from || !result))
        return oxt_i_null(error, "an array");
    a.for_all = n > 0 ? *a.from : NAN;
    b.for_all = n > 0 ? *b.from : NAN;
    oxt_i_tally tally = { OXT_OK, 0, error };
    const column columns[] = { a, b };
    const column *bath = &columns[call->bath];
    const oxt_i_arrhenius by = arrhenius_of(growth);
    double rate_at = NAN;
    _Alignas(64) double blocks[3][BLOCK];
    const double *given[2] = { NULL, NULL };
    double *made = blocks[2]; /* which may lie over an input, when it is copied */
    bool vector = oxt_i_grows_plainly(growth);
    bool one_bath = vector && bath->stride == 0 &&
                    !rate_checked(growth, bath->for_all, &rate_at, NULL);
    for (size_t start = 0; start < n; start += BLOCK) {
        size_t count = n - start < BLOCK ? n - start : BLOCK;
        for (int k = 0; k < 2; k++)
            if (!one_bath || k != call->bath)
                given[k] = gather(&columns[k], start, count, blocks[k]);
        size_t missing = count;
        if (!vector)
            for (size_t i = 0; i < count; i++)
                made[i] = NAN; /* one by one */
        else
            missing = one_bath ? call->block_at(rate_at, count, given[1 - call->bath], made)
                               : call->block(by, count, given[0], given[1], made);
        if (missing > 0 && one_bath)
            given[call->bath] = gather(bath, start, count, blocks[call->bath]);
        if (missing > 0)
            finish_block(call, growth, start, count, given, made, &tally);
        memcpy(result + start, made, count * sizeof *result);
    }
    if (failed)
        *failed = tally.failed;
    return tally.status;
}

/* Checked growth constants, and a place for the result. */
static oxt_status check(const oxt_growth *growth, const double *result, const char *name,
                        oxt_error *error)
{
    oxt_status status = oxt_i_check_growth(growth, error);
    return status || result ? status : oxt_i_null(error, name);
}

oxt_status oxt_rate(const oxt_growth *growth, double temperature_K, double *rate_nm2_per_s,
                    oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_status status = check(growth, rate_nm2_per_s, "rate_nm2_per_s", error);
    return status ? status : rate_checked(growth, temperature_K, rate_nm2_per_s, error);
}

oxt_status oxt_thickness_of_exposure(const oxt_growth *growth, double initial_nm,
                                     double exposure_nm2, double *thickness_nm, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_status status = check(growth, thickness_nm, "thickness_nm", error);
    if (!status)
        status = oxt_i_check(error, "initial_nm", initial_nm, 0.0, HUGE_VAL, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "exposure_nm2", exposure_nm2, 0.0, HUGE_VAL, OXT_I_CLOSED);
    if (status)
        return status;
    double film_nm = oxt_i_grows_plainly(growth)
                         ? hypot(initial_nm, sqrt(exposure_nm2))
                         : oxt_i_film_of(growth,
                                         oxt_i_exposure_of(growth, initial_nm) + exposure_nm2);
    return give(film_nm, "thickness_nm", thickness_nm, error);
}

oxt_status oxt_thickness(const oxt_growth *growth, double bath_K, double time_s,
                         double *thickness_nm, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_status status = check(growth, thickness_nm, "thickness_nm", error);
    return status ? status : thickness_checked(growth, bath_K, time_s, thickness_nm, error);
}

oxt_status oxt_time_for_thickness(const oxt_growth *growth, double thickness_nm, double bath_K,
                                  double *time_s, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_status status = check(growth, time_s, "time_s", error);
    return status ? status : time_checked(growth, thickness_nm, bath_K, time_s, error);
}

oxt_status oxt_thickness_n(const oxt_growth *growth, size_t n, const double *bath_K,
                           ptrdiff_t bath_stride, const double *time_s, ptrdiff_t time_stride,
                           double *thickness_nm, size_t *failed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    return many(&THICKNESS, growth, n, (column){ bath_K, bath_stride, NAN },
                (column){ time_s, time_stride, NAN }, thickness_nm, failed, error);
}

oxt_status oxt_time_for_thickness_n(const oxt_growth *growth, size_t n, const double *thickness_nm,
                                    ptrdiff_t thickness_stride, const double *bath_K,
                                    ptrdiff_t bath_stride, double *time_s, size_t *failed,
                                    oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    return many(&TIME, growth, n, (column){ thickness_nm, thickness_stride, NAN },
                (column){ bath_K, bath_stride, NAN }, time_s, failed, error);
}
