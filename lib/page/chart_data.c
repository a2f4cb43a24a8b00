/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The spread of a lift time, and the map of the next coupon. */
#include <stdlib.h>
#include <string.h>

#include "page/chart.h"

/* ---- the spread ---- */

/* The lift by the constants of one replicate; NaN where there is none. Only memory can fail. */
static oxt_status lift_by(oxt_steel_values *values, double ln_k, double Q_J_per_mol, double shape,
                          const oxt_target *target, double bath_K, const oxt_dip_options *options,
                          double *time_s)
{
    oxt_dip dip = OXT_DIP_INIT;
    oxt_steel *steel = NULL;
    values->growth.k_ref_nm2_per_s = exp(ln_k);
    values->growth.Q_J_per_mol = Q_J_per_mol;
    values->growth.shape = shape;
    oxt_status status = oxt_steel_new(&steel, values, NULL);
    if (!status)
        status = oxt_dip_predict(steel, target, bath_K, options, &dip, NULL);
    oxt_steel_free(steel);
    *time_s = status ? NAN : dip.time_s;
    return status == OXT_ENOMEM ? status : OXT_OK;
}

oxt_status oxt_chart_spread(const oxt_steel *steel, const oxt_bootstrap *bootstrap,
                            const oxt_target *target, double bath_K, const oxt_dip_options *options,
                            size_t capacity, double *time_s, size_t *failed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_dip dip = OXT_DIP_INIT;
    oxt_bootstrap_values drawn = OXT_BOOTSTRAP_VALUES_INIT;
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    if (!time_s)
        return oxt_i_null(error, "time_s");
    oxt_status status = oxt_dip_predict(steel, target, bath_K, options, &dip, error);
    if (!status)
        status = oxt_steel_get(steel, &values, error);
    if (!status)
        status = oxt_bootstrap_get(bootstrap, &drawn, 0, NULL, NULL, NULL, error);
    if (status)
        return status;
    if (capacity < drawn.replicates)
        return oxt_i_fail(error, OXT_ESPACE, "capacity", (double)capacity, (double)drawn.replicates,
                          NAN, "capacity is %zu, expected at least the %zu replicates", capacity,
                          drawn.replicates);
    size_t count = drawn.replicates, missing = 0;
    double *ln_k = malloc(4 * count * sizeof *ln_k);
    if (!ln_k)
        return oxt_i_no_memory(error);
    double *Q_J_per_mol = ln_k + count, *shape = Q_J_per_mol + count, *found = shape + count;
    status = oxt_bootstrap_get(bootstrap, NULL, count, ln_k, Q_J_per_mol, shape, error);
    values.growth.T_ref_K = drawn.T_ref_K;
    values.growth.law = drawn.law;
    values.growth.middle_nm = drawn.law_middle_nm;
    for (size_t i = 0; i < count && !status; i++) {
        status = lift_by(&values, ln_k[i], Q_J_per_mol[i], shape[i], target, bath_K, options,
                         &found[i]);
        missing += isnan(found[i]) != 0;
        if (status)
            oxt_i_no_memory(error);
    }
    if (!status)
        memcpy(time_s, found, count * sizeof *found);
    free(ln_k);
    if (!status && failed)
        *failed = missing;
    return status;
}

/* ---- the map ---- */

#define MOST_CELLS 1e4 /* of a column or a row */

/* How long the usual coupon stays in a bath for an equivalent time; NaN when it cannot. Only memory can fail. */
static oxt_status own_time(const oxt_steel *steel, const oxt_steel_values *values, double bath_K,
                           double equivalent_s, double *time_s)
{
    oxt_target target = OXT_TARGET_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    double film_nm;
    *time_s = equivalent_s;
    if (values->basis != OXT_BASIS_STEEL)
        return OXT_OK;
    oxt_status status = oxt_thickness(&values->growth, bath_K, equivalent_s, &film_nm, NULL);
    if (!status)
        status = oxt_tint_target_of_thickness(film_nm, 0.95 * film_nm,
                                              fmin(1.05 * film_nm, OXT_THICKNESS_HIGH_NM), &target,
                                              NULL);
    if (!status)
        status = oxt_dip_predict(steel, &target, bath_K, NULL, &dip, NULL);
    *time_s = status ? NAN : dip.time_s;
    return status == OXT_ENOMEM ? status : OXT_OK;
}

/* What the best coupon of a cell leaves. */
static oxt_status cell(const oxt_steel *steel, const oxt_film *film,
                       const oxt_advise_options *options, double *ratio, oxt_error *error)
{
    oxt_advise *advice = NULL;
    oxt_advised_coupon best = OXT_ADVISED_COUPON_INIT;
    *ratio = NAN;
    oxt_status status = oxt_advise_run(&advice, steel, film, options, error);
    if (status == OXT_EUNREACHABLE)
        return OXT_OK;
    if (!status)
        status = oxt_advise_get(advice, 0, &best, error);
    if (!status)
        *ratio = best.interval_ratio;
    oxt_advise_free(advice);
    return status;
}

static oxt_status check_edges(size_t rows, const double *time_s, oxt_error *error)
{
    oxt_status status = OXT_OK;
    for (size_t i = 0; i <= rows && !status; i++) {
        status = oxt_i_check(error, "time_s", time_s[i], i ? time_s[i - 1] : 0.0, OXT_TIME_HIGH_S,
                             OXT_I_OPEN_LOW);
        if (status)
            oxt_i_locate(error, i + 1, NULL);
    }
    return status;
}

/* The cells of one bath, every `columns` numbers. */
static oxt_status one_column(const oxt_steel *steel, const oxt_film *film,
                             const oxt_steel_values *values, oxt_advise_options *options,
                             double bath_K, size_t rows, const double *time_s, size_t columns,
                             double *ratios, oxt_error *error)
{
    double next_s;
    oxt_status status = own_time(steel, values, bath_K, time_s[0], &next_s);
    options->low_K = options->high_K = bath_K;
    for (size_t j = 0; j < rows && !status; j++) {
        double *ratio = &ratios[j * columns];
        options->shortest_s = next_s;
        status = own_time(steel, values, bath_K, time_s[j + 1], &next_s);
        options->longest_s = next_s;
        *ratio = NAN;
        if (!status && options->shortest_s > 0.0 && options->shortest_s < options->longest_s)
            status = cell(steel, film, options, ratio, error);
    }
    return status == OXT_ENOMEM ? oxt_i_no_memory(error) : status;
}

oxt_status oxt_chart_map(const oxt_steel *steel, const oxt_film *film,
                         const oxt_advise_options *options, size_t columns, const double *bath_K,
                         size_t rows, const double *time_s, double *ratios, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_advise_options known = OXT_ADVISE_OPTIONS_INIT;
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    if (!bath_K || !time_s || !ratios || !film)
        return oxt_i_null(error, !film     ? "film"
                                 : !bath_K ? "bath_K"
                                 : !time_s ? "time_s"
                                           : "ratios");
    const oxt_i_limit limits[] = { { "columns", (double)columns, 1.0, MOST_CELLS, OXT_I_CLOSED },
                                   { "rows", (double)rows, 1.0, MOST_CELLS, OXT_I_CLOSED } };
    oxt_status status = oxt_i_check_all(error, limits, OXT_I_COUNT(limits));
    if (!status)
        status = OXT_I_OPTIONS_IN(oxt_advise_options, &known, options, error);
    if (!status)
        status = oxt_steel_get(steel, &values, error);
    if (!status)
        status = check_edges(rows, time_s, error);
    for (size_t i = 0; i < columns && !status; i++)
        status = oxt_i_check_bath(bath_K[i], error);
    if (status)
        return status;
    if (known.target_bath_K == 0.0) /* of the whole range, not of each cell */
        known.target_bath_K = 2.0 / (1.0 / known.low_K + 1.0 / known.high_K);
    known.count = 1;
    double *found = malloc(rows * columns * sizeof *found);
    if (!found)
        return oxt_i_no_memory(error);
    for (size_t i = 0; i < columns && !status; i++)
        status = one_column(steel, film, &values, &known, bath_K[i], rows, time_s, columns,
                            &found[i], error);
    if (!status)
        memcpy(ratios, found, rows * columns * sizeof *found);
    free(found);
    return status;
}
