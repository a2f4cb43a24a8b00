/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Temperature history -> exposure -> thickness, and back. */
#include "internal.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

void oxt_growth_init(oxt_growth *growth)
{
    if (growth)
        *growth = (oxt_growth)OXT_GROWTH_INIT;
}

oxt_status oxt_i_check_growth(const oxt_growth *growth, oxt_error *error)
{
    if (!growth)
        return oxt_i_null(error, "growth");
    oxt_status status = oxt_i_check_struct(growth, sizeof *growth, sizeof *growth, "growth", error);
    if (status)
        return status;
    if (growth->law != OXT_LAW_PARABOLIC)
        return oxt_i_fail(error, OXT_EARG, "law", growth->law, OXT_LAW_PARABOLIC, OXT_LAW_PARABOLIC,
                          "law is %d, expected OXT_LAW_PARABOLIC", (int)growth->law);
    status = oxt_i_check(error, "k_ref_nm2_per_s", growth->k_ref_nm2_per_s, 0.0, HUGE_VAL,
                         OXT_I_OPEN_LOW);
    if (!status)
        status = oxt_i_check(error, "T_ref_K", growth->T_ref_K, 0.0, HUGE_VAL, OXT_I_OPEN_LOW);
    if (!status)
        status = oxt_i_check(error, "Q_J_per_mol", growth->Q_J_per_mol, 0.0, HUGE_VAL,
                             OXT_I_CLOSED);
    return status;
}

/* A result that a double cannot hold is a failure, never a silent infinity. */
static oxt_status give(double value, const char *name, double *result, oxt_error *error)
{
    if (!isfinite(value))
        return oxt_i_fail(error, OXT_EDOMAIN, name, value, NAN, NAN,
                          "%s comes out as %g, too large for a number: check the growth constants",
                          name, value);
    *result = value;
    return OXT_OK;
}

/* The unchecked core: everything below is one of these with its checks. */
static double rate(const oxt_growth *growth, double temperature_K)
{
    double inverse = 1.0 / temperature_K - 1.0 / growth->T_ref_K;
    return growth->k_ref_nm2_per_s * exp(-growth->Q_J_per_mol / R * inverse);
}

static oxt_status rate_checked(const oxt_growth *growth, double temperature_K, double unused,
                               double *result, oxt_error *error)
{
    (void)unused;
    oxt_status status = oxt_i_check(error, "temperature_K", temperature_K, 0.0, HUGE_VAL,
                                    OXT_I_OPEN_LOW);
    return status ? status : give(rate(growth, temperature_K), "rate_nm2_per_s", result, error);
}

static oxt_status exposure_checked(const oxt_growth *growth, double bath_K, double time_s,
                                   double *result, oxt_error *error)
{
    oxt_status status = oxt_i_check(error, "bath_K", bath_K, 0.0, HUGE_VAL, OXT_I_OPEN_LOW);
    if (!status)
        status = oxt_i_check(error, "time_s", time_s, 0.0, HUGE_VAL, OXT_I_CLOSED);
    return status ? status : give(rate(growth, bath_K) * time_s, "exposure_nm2", result, error);
}

static oxt_status thickness_checked(const oxt_growth *growth, double bath_K, double time_s,
                                    double *result, oxt_error *error)
{
    double exposure_nm2 = 0.0;
    oxt_status status = exposure_checked(growth, bath_K, time_s, &exposure_nm2, error);
    if (!status)
        *result = sqrt(exposure_nm2);
    return status;
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
    double time_s = thickness_nm == 0.0 ? 0.0 : thickness_nm * thickness_nm / rate(growth, bath_K);
    if (!isfinite(time_s))
        return oxt_i_fail(error, OXT_EUNREACHABLE, "bath_K", bath_K, NAN, NAN,
                          "bath_K is %g: the film does not grow to %g nm in any time there", bath_K,
                          thickness_nm);
    *result = time_s;
    return OXT_OK;
}

static oxt_status temperature_checked(const oxt_growth *growth, double thickness_nm, double time_s,
                                      double *result, oxt_error *error)
{
    oxt_status status = oxt_i_check(error, "Q_J_per_mol", growth->Q_J_per_mol, 0.0, HUGE_VAL,
                                    OXT_I_OPEN_LOW);
    if (!status)
        status = oxt_i_check(error, "thickness_nm", thickness_nm, 0.0, HUGE_VAL, OXT_I_OPEN_LOW);
    if (!status)
        status = oxt_i_check(error, "time_s", time_s, 0.0, HUGE_VAL, OXT_I_OPEN_LOW);
    if (status)
        return status;
    double ratio = thickness_nm * thickness_nm / time_s / growth->k_ref_nm2_per_s;
    double inverse = 1.0 / growth->T_ref_K - R / growth->Q_J_per_mol * log(ratio);
    if (!(inverse > 0.0) || !isfinite(1.0 / inverse) || !isfinite(inverse))
        return oxt_i_fail(error, OXT_EUNREACHABLE, "time_s", time_s, NAN, NAN,
                          "no temperature grows %g nm in %g s", thickness_nm, time_s);
    *result = 1.0 / inverse;
    return OXT_OK;
}

oxt_status oxt_growth_from_prefactor(oxt_growth *growth, double k_0_nm2_per_s, double Q_J_per_mol,
                                     double T_ref_K, oxt_error *error)
{
    if (!growth)
        return oxt_i_null(error, "growth");
    oxt_status status = oxt_i_check(error, "k_0_nm2_per_s", k_0_nm2_per_s, 0.0, HUGE_VAL,
                                    OXT_I_OPEN_LOW);
    if (status)
        return status;
    oxt_growth made = OXT_GROWTH_INIT;
    made.k_ref_nm2_per_s = k_0_nm2_per_s;
    made.T_ref_K = T_ref_K;
    made.Q_J_per_mol = Q_J_per_mol;
    status = oxt_i_check_growth(&made, error);
    if (status)
        return status;
    made.k_ref_nm2_per_s *= exp(-Q_J_per_mol / (R * T_ref_K));
    status = oxt_i_check_growth(&made, error);
    return status ? status
                  : oxt_i_struct_out(growth, &made, sizeof made, sizeof made, "growth", error);
}

oxt_status oxt_growth_prefactor(const oxt_growth *growth, double *k_0_nm2_per_s, oxt_error *error)
{
    oxt_status status = oxt_i_check_growth(growth, error);
    if (status)
        return status;
    if (!k_0_nm2_per_s)
        return oxt_i_null(error, "k_0_nm2_per_s");
    double exponent = growth->Q_J_per_mol / (R * growth->T_ref_K);
    return give(growth->k_ref_nm2_per_s * exp(exponent), "k_0_nm2_per_s", k_0_nm2_per_s, error);
}

oxt_status oxt_thickness_of_exposure(const oxt_growth *growth, double initial_nm,
                                     double exposure_nm2, double *thickness_nm, oxt_error *error)
{
    oxt_status status = oxt_i_check_growth(growth, error);
    if (!status && !thickness_nm)
        status = oxt_i_null(error, "thickness_nm");
    if (!status)
        status = oxt_i_check(error, "initial_nm", initial_nm, 0.0, HUGE_VAL, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "exposure_nm2", exposure_nm2, 0.0, HUGE_VAL, OXT_I_CLOSED);
    return status
               ? status
               : give(hypot(initial_nm, sqrt(exposure_nm2)), "thickness_nm", thickness_nm, error);
}

/* All other calls map (growth, a, b) to one number; scalar and n-element forms share this. */
typedef oxt_status (*pair_function)(const oxt_growth *, double, double, double *, oxt_error *);

static oxt_status one(pair_function function, const oxt_growth *growth, double a, double b,
                      double *result, const char *name, oxt_error *error)
{
    oxt_status status = oxt_i_check_growth(growth, error);
    if (!status && !result)
        status = oxt_i_null(error, name);
    return status ? status : function(growth, a, b, result, error);
}

static oxt_status many(pair_function function, const oxt_growth *growth, size_t n, const double *a,
                       ptrdiff_t a_stride, const double *b, ptrdiff_t b_stride, double *result,
                       ptrdiff_t result_stride, size_t *failed, oxt_error *error)
{
    oxt_status status = oxt_i_check_growth(growth, error);
    if (status)
        return status;
    if (n > 0 && (!a || !b || !result))
        return oxt_i_null(error, "an array");
    oxt_i_tally tally = { OXT_OK, 0, error };
    /* The result may lie over an input, so a value for all is read before anything is written. */
    const double a_for_all = n > 0 ? *a : NAN, b_for_all = n > 0 ? *b : NAN;
    for (size_t i = 0; i < n; i++) {
        oxt_error detail;
        detail.struct_size = sizeof detail;
        double value = NAN;
        status = function(growth, a_stride ? *oxt_i_at(a, i, a_stride) : a_for_all,
                          b_stride ? *oxt_i_at(b, i, b_stride) : b_for_all, &value,
                          tally.failed ? NULL : &detail);
        if (status) {
            value = NAN;
            oxt_i_tally_failure(&tally, status, &detail, i);
        }
        *oxt_i_at_out(result, i, result_stride) = value;
    }
    if (failed)
        *failed = tally.failed;
    return tally.status;
}

oxt_status oxt_rate(const oxt_growth *growth, double temperature_K, double *rate_nm2_per_s,
                    oxt_error *error)
{
    return one(rate_checked, growth, temperature_K, 0.0, rate_nm2_per_s, "rate_nm2_per_s", error);
}

oxt_status oxt_exposure(const oxt_growth *growth, double bath_K, double time_s,
                        double *exposure_nm2, oxt_error *error)
{
    return one(exposure_checked, growth, bath_K, time_s, exposure_nm2, "exposure_nm2", error);
}

oxt_status oxt_thickness(const oxt_growth *growth, double bath_K, double time_s,
                         double *thickness_nm, oxt_error *error)
{
    return one(thickness_checked, growth, bath_K, time_s, thickness_nm, "thickness_nm", error);
}

oxt_status oxt_time_for_thickness(const oxt_growth *growth, double thickness_nm, double bath_K,
                                  double *time_s, oxt_error *error)
{
    return one(time_checked, growth, thickness_nm, bath_K, time_s, "time_s", error);
}

oxt_status oxt_temperature_for_thickness(const oxt_growth *growth, double thickness_nm,
                                         double time_s, double *bath_K, oxt_error *error)
{
    return one(temperature_checked, growth, thickness_nm, time_s, bath_K, "bath_K", error);
}

oxt_status oxt_rate_n(const oxt_growth *growth, size_t n, const double *temperature_K,
                      ptrdiff_t temperature_stride, double *rate_nm2_per_s, ptrdiff_t rate_stride,
                      size_t *failed, oxt_error *error)
{
    static const double unused = 0.0;
    return many(rate_checked, growth, n, temperature_K, temperature_stride, &unused, 0,
                rate_nm2_per_s, rate_stride, failed, error);
}

oxt_status oxt_thickness_n(const oxt_growth *growth, size_t n, const double *bath_K,
                           ptrdiff_t bath_stride, const double *time_s, ptrdiff_t time_stride,
                           double *thickness_nm, ptrdiff_t thickness_stride, size_t *failed,
                           oxt_error *error)
{
    return many(thickness_checked, growth, n, bath_K, bath_stride, time_s, time_stride,
                thickness_nm, thickness_stride, failed, error);
}

oxt_status oxt_time_for_thickness_n(const oxt_growth *growth, size_t n, const double *thickness_nm,
                                    ptrdiff_t thickness_stride, const double *bath_K,
                                    ptrdiff_t bath_stride, double *time_s, ptrdiff_t time_stride,
                                    size_t *failed, oxt_error *error)
{
    return many(time_checked, growth, n, thickness_nm, thickness_stride, bath_K, bath_stride,
                time_s, time_stride, failed, error);
}

oxt_status oxt_temperature_for_thickness_n(const oxt_growth *growth, size_t n,
                                           const double *thickness_nm, ptrdiff_t thickness_stride,
                                           const double *time_s, ptrdiff_t time_stride,
                                           double *bath_K, ptrdiff_t bath_stride, size_t *failed,
                                           oxt_error *error)
{
    return many(temperature_checked, growth, n, thickness_nm, thickness_stride, time_s, time_stride,
                bath_K, bath_stride, failed, error);
}
