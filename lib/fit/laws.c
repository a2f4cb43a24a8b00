/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Is growth parabolic at all? From the solutions of the laws to numbers and a verdict. */
#include <gsl/gsl_cdf.h>
#include <stdlib.h>
#include <string.h>

#include "fit/laws.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

/* ---- is there enough to compare? ---- */

/* What its day did is not of the law. */
static void take_off_day(oxt_i_fit_row *row)
{
    oxt_i_reading *seen = &row->readings[row->reading];
    seen->ln_x -= row->day_effect;
    seen->ln_low -= row->day_effect;
    seen->ln_high -= row->day_effect;
    row->day_effect = 0.0;
}

static oxt_status choose_rows(oxt_i_laws_data *data, const oxt_fit *fit, oxt_error *error)
{
    double sum = 0.0, low_K = HUGE_VAL, high_K = 0.0;
    size_t count = fit->values.used_count;
    oxt_status status = oxt_i_fit_copy_used(&data->set, fit, error);
    if (status)
        return status;
    data->rows = data->set.rows;
    data->weights = malloc(count * sizeof *data->weights);
    data->scratch = malloc(count * 3 * sizeof *data->scratch);
    data->sets = malloc(count * sizeof *data->sets);
    if (!data->weights || !data->scratch || !data->sets)
        return oxt_i_no_memory(error);
    for (; data->n < count; data->n++) {
        const oxt_i_fit_row *row = &data->rows[data->n];
        take_off_day(&data->rows[data->n]);
        double weight = row->weight / (row->sigma * row->sigma);
        data->weights[data->n] = weight;
        data->middle_ln_x += weight * oxt_i_seen(row)->ln_x;
        sum += weight;
        low_K = fmin(low_K, row->bath_K);
        high_K = fmax(high_K, row->bath_K);
    }
    data->middle_ln_x /= sum;
    data->Q_held = fit->values.Q_held || high_K - low_K < OXT_I_LEAST_SPREAD_K;
    return OXT_OK;
}

/* Parameters offered to the richest law. */
static size_t most_parameters(const oxt_i_laws_data *data)
{
    return 2 + (data->Q_held ? 0 : 1) + (data->has_initial ? 1 : 0);
}

enum { FEWEST_FILMS = 3 };

/* Films closer together than 1 % are one film. Counted only as far as matters. */
static size_t different_films(const oxt_i_laws_data *data)
{
    static const double ALIKE = 0.01;
    size_t count = 0;
    for (size_t i = 0; i < data->n && count < FEWEST_FILMS; i++) {
        bool is_new = true;
        for (size_t j = 0; j < i && is_new; j++)
            is_new = fabs(oxt_i_seen(&data->rows[i])->ln_x - oxt_i_seen(&data->rows[j])->ln_x) >
                     ALIKE;
        count += is_new ? 1 : 0;
    }
    return count;
}

static oxt_status check_enough(const oxt_i_laws_data *data, oxt_error *error)
{
    /* Three more than the parameters, so that AICc exists for every law. */
    size_t fewest = most_parameters(data) + 3, films = different_films(data);
    if (data->n < fewest)
        return oxt_i_fail(error, OXT_EFEW, "trials", (double)data->n, (double)fewest, NAN,
                          "only %zu trial%s of %s can be used, and distinguishing laws of growth "
                          "takes at least %zu: add coupons of short and long times in one "
                          "bath",
                          data->n, oxt_i_plural(data->n), data->name, fewest);
    if (films < FEWEST_FILMS)
        return oxt_i_fail(
            error, OXT_EFEW, "trials", (double)films, FEWEST_FILMS, NAN,
            "the trials of %s show only %zu different film%s, and the bend of a curve "
            "takes at least %d: add coupons that show a third colour, thinner or "
            "thicker",
            data->name, films, films == 1 ? "" : "s", FEWEST_FILMS);
    return OXT_OK;
}

/* Spread of ln time that the baths do not explain, as a standard deviation. */
static double own_spread_of_time(const oxt_i_laws_data *data)
{
    double n = (double)data->n, offset = 0.0, time = 0.0, ll = 0.0, lt = 0.0, tt = 0.0;
    for (size_t i = 0; i < data->n; i++) {
        offset += (data->T_ref_K / data->rows[i].bath_K - 1.0) / n;
        time += log(data->rows[i].equivalent_s) / n;
    }
    for (size_t i = 0; i < data->n; i++) {
        double l = data->T_ref_K / data->rows[i].bath_K - 1.0 - offset;
        double t = log(data->rows[i].equivalent_s) - time;
        ll += l * l;
        lt += l * t;
        tt += t * t;
    }
    double left = data->Q_held || ll == 0.0 ? tt : tt - lt * lt / ll;
    return sqrt(fmax(left, 0.0) / n);
}

static oxt_status check_times(const oxt_i_laws_data *data, oxt_error *error)
{
    static const double LEAST = 0.1;
    double spread = own_spread_of_time(data);
    if (spread >= LEAST)
        return OXT_OK;
    return oxt_i_fail(error, OXT_EIDENT, "trials", spread, LEAST, NAN,
                      "in each bath the trials of %s ran for nearly one time (%.0f %% apart, "
                      "expected at least %.0f %%), which does not show how the film grows with "
                      "time: add coupons of short and long times in one bath",
                      data->name, 100.0 * spread, 100.0 * LEAST);
}

/* ---- coupons that were alike ---- */

/* Pure error, from coupons that were alike. */
typedef struct {
    double squares; /* weighted, about the mean of each set */
    size_t extra;   /* coupons beyond the first of each set */
} pure_error;

static bool alike(const oxt_i_fit_row *a, const oxt_i_fit_row *b)
{
    static const double BATH_K = 1.0, TIME = 0.02;
    return fabs(a->bath_K - b->bath_K) <= BATH_K &&
           fabs(log(a->time_s / b->time_s)) <= log1p(TIME) &&
           fabs(log(a->equivalent_s / b->equivalent_s)) <= log1p(TIME);
}

/* The first row that each row is like identifies the set. */
static oxt_status find_sets(oxt_i_laws_data *data, oxt_error *error)
{
    oxt_status status = OXT_OK;
    for (size_t i = 0; i < data->n && !status; i++) {
        status = i % 64 ? OXT_OK : oxt_i_watch_tick(data->watch, 0.0, error);
        data->sets[i] = i;
        for (size_t j = 0; j < i && data->sets[i] == i; j++)
            if (data->sets[j] == j && alike(&data->rows[i], &data->rows[j]))
                data->sets[i] = j;
    }
    return status;
}

/* From residuals, so that the little by which like baths and times differ is not taken for error. */
static pure_error pure_error_of(const oxt_i_laws_data *data, const double *residuals)
{
    pure_error found = { 0.0, 0 };
    double *weight = data->scratch, *mean = data->scratch + data->n;
    memset(data->scratch, 0, 2 * data->n * sizeof *data->scratch);
    for (size_t i = 0; i < data->n; i++) {
        weight[data->sets[i]] += data->weights[i];
        mean[data->sets[i]] += data->weights[i] * residuals[i];
        found.extra += data->sets[i] != i ? 1 : 0;
    }
    for (size_t i = 0; i < data->n; i++) {
        size_t set = data->sets[i];
        double off = weight[set] > 0.0 ? residuals[i] - mean[set] / weight[set] : 0.0;
        found.squares += data->weights[i] * off * off;
    }
    return found;
}

/* ---- the numbers of one law ---- */

/* Chi-square of films that agree to a millionth, which no film is known to. */
static double least_chi_square(const oxt_i_laws_data *data)
{
    double sum = 0.0;
    for (size_t i = 0; i < data->n; i++)
        sum += data->weights[i] * 1e-12;
    return sum;
}

static void fill_lack_of_fit(const oxt_i_laws_data *data, const oxt_i_law_solution *solution,
                             oxt_law_result *result)
{
    double *residuals = data->scratch + 2 * data->n;
    oxt_i_law_residuals(data, solution, residuals);
    pure_error error = pure_error_of(data, residuals);
    double of_lack = result->dof - (double)error.extra;
    if (error.extra == 0 || of_lack <= 0.0 || error.squares <= least_chi_square(data))
        return;
    double lack = fmax(solution->chi_square - error.squares, 0.0) / of_lack;
    result->lack_of_fit_F = lack / (error.squares / (double)error.extra);
    result->lack_of_fit_p = gsl_cdf_fdist_Q(result->lack_of_fit_F, of_lack, (double)error.extra);
}

/* Errors scaled by the reduced chi-square. */
static double deviation(const oxt_i_law_solution *solution, double scale, const double *gradient)
{
    double sum = 0.0;
    for (size_t a = 0; a < solution->p; a++)
        for (size_t b = 0; b < solution->p; b++)
            sum += gradient[a] * gradient[b] * solution->covariance[a * solution->p + b];
    return sqrt(sum * scale);
}

/* In 1/n the power law is linear, so that these limits are exact and agree with the F test; lengths are
 * in logarithms. n was looked for only from 1 to 12. */
static void fill_shape(const oxt_i_law_solution *solution, double error, double t,
                       oxt_law_result *result)
{
    double shape = solution->law.shape;
    result->shape_stderr = shape * error;
    if (solution->law.kind == OXT_LAW_POWER) {
        double per_n = t * error / shape;
        result->shape_low = fmax(1.0 / (1.0 / shape + per_n), 1.0);
        result->shape_high = 1.0 / fmax(1.0 / shape - per_n, 1.0 / 12.0);
    } else {
        result->shape_low = shape * exp(-t * error);
        result->shape_high = shape * exp(t * error);
    }
}

static void fill_estimates(const oxt_i_laws_data *data, const oxt_i_law_solution *solution,
                           oxt_law_result *result)
{
    double scale = solution->chi_square / result->dof;
    double of_q[4] = { 0.0 }, of_shape[4] = { 0.0 }, of_ln_k[4] = { 1.0 };
    result->k_ref = exp(oxt_i_law_ln_G(&solution->law, data->middle_ln_x) - solution->ln_time);
    result->Q_J_per_mol = solution->q * R * data->T_ref_K;
    result->Q_stderr_J_per_mol = 0.0;
    if (solution->q_at < solution->p) {
        of_q[solution->q_at] = R * data->T_ref_K;
        result->Q_stderr_J_per_mol = deviation(solution, scale, of_q);
    }
    if (result->kind != OXT_LAW_PARABOLIC)
        result->shape = solution->law.shape;
    result->shape_at_limit = solution->shape_held && result->kind != OXT_LAW_PARABOLIC;
    if (solution->shape_at < solution->p) {
        of_shape[solution->shape_at] = 1.0;
        of_ln_k[solution->shape_at] = oxt_i_law_by_shape(&solution->law, data->middle_ln_x);
        fill_shape(solution, deviation(solution, scale, of_shape),
                   oxt_i_t_quantile(data->confidence, result->dof), result);
    }
    result->ln_k_stderr = deviation(solution, scale, of_ln_k);
    result->initial_nm = solution->initial_nm;
    result->initial_at_zero = data->has_initial && solution->initial_nm == 0.0;
}

/* With the scale of the errors estimated by each law, as one more parameter: the scatter of a fit by a
 * wrong law is too large to judge the others by. */
static double aicc_of(const oxt_i_laws_data *data, double chi_square, size_t parameters)
{
    double n = (double)data->n, k = (double)parameters + 1.0, logs = 0.0;
    double scale = fmax(chi_square, least_chi_square(data)) / n;
    for (size_t i = 0; i < data->n; i++)
        logs += log(2.0 * OXT_I_PI * data->rows[i].sigma * data->rows[i].sigma);
    return n * log(scale) + n + logs + 2.0 * k + 2.0 * k * (k + 1.0) / (n - k - 1.0);
}

static void fill_result(const oxt_i_laws_data *data, oxt_law kind,
                        const oxt_i_law_solution *solution, oxt_law_result *result)
{
    *result = (oxt_law_result)OXT_LAW_RESULT_INIT;
    result->kind = kind;
    result->converged = solution->found;
    result->parameters = most_parameters(data) - (kind == OXT_LAW_PARABOLIC ? 1 : 0);
    result->k_ref = result->ln_k_stderr = result->Q_J_per_mol = result->Q_stderr_J_per_mol = NAN;
    result->shape = result->shape_stderr = result->shape_low = result->shape_high = NAN;
    result->initial_nm = result->chi_square = result->dof = result->aicc = NAN;
    result->aicc_difference = result->weight = NAN;
    result->lack_of_fit_F = result->lack_of_fit_p = NAN;
    if (!solution->found)
        return;
    result->chi_square = solution->chi_square;
    result->dof = (double)(data->n - result->parameters);
    result->aicc = aicc_of(data, solution->chi_square, result->parameters);
    fill_estimates(data, solution, result);
    fill_lack_of_fit(data, solution, result);
}

/* ---- the laws beside each other ---- */

static void rank(oxt_laws *laws)
{
    double least = HUGE_VAL, least_of_others = HUGE_VAL, sum = 0.0;
    for (int kind = 0; kind < OXT_LAW_COUNT; kind++) {
        const oxt_law_result *result = &laws->results[kind];
        if (result->converged && result->aicc < least) {
            least = result->aicc;
            laws->values.best = result->kind;
        }
        if (result->converged && kind != OXT_LAW_PARABOLIC && result->aicc < least_of_others) {
            least_of_others = result->aicc;
            laws->values.rival = result->kind;
        }
    }
    for (int kind = 0; kind < OXT_LAW_COUNT; kind++) {
        laws->results[kind].aicc_difference = laws->results[kind].aicc - least;
        if (laws->results[kind].converged)
            sum += exp(-0.5 * laws->results[kind].aicc_difference);
    }
    for (int kind = 0; kind < OXT_LAW_COUNT; kind++)
        laws->results[kind].weight = exp(-0.5 * laws->results[kind].aicc_difference) / sum;
}

/* The power law with n free against n = 2. */
static void judge(oxt_laws *laws, const oxt_i_laws_data *data)
{
    static const double NEAR_LOW = 1.5, NEAR_HIGH = 3.0;
    const oxt_law_result *with_n = &laws->results[OXT_LAW_POWER];
    const oxt_law_result *without = &laws->results[OXT_LAW_PARABOLIC];
    oxt_laws_values *values = &laws->values;
    values->exponent = with_n->shape;
    values->exponent_low = with_n->shape_low;
    values->exponent_high = with_n->shape_high;
    values->F = values->F_dof = values->p = NAN;
    values->verdict = OXT_VERDICT_OPEN;
    if (!with_n->converged)
        return;
    double error = fmax(with_n->chi_square, least_chi_square(data)) / with_n->dof;
    values->F = fmax(without->chi_square - with_n->chi_square, 0.0) / error;
    values->F_dof = with_n->dof;
    values->p = gsl_cdf_fdist_Q(values->F, 1.0, values->F_dof);
    if (values->p < 1.0 - values->confidence)
        values->verdict = OXT_VERDICT_CONTRADICTED;
    else if (values->exponent_low >= NEAR_LOW && values->exponent_high <= NEAR_HIGH)
        values->verdict = OXT_VERDICT_HOLDS;
}

/* ln of the time that a film takes at T_ref; NaN when the film before the dip is thicker. */
static double ln_time_for(const oxt_i_laws_data *data, const oxt_i_law_solution *solution,
                          double ln_x)
{
    const oxt_i_law *law = &solution->law;
    double needed = oxt_i_law_ln_G(law, ln_x), share = 0.0;
    if (solution->initial_nm > 0.0)
        share = exp(oxt_i_law_ln_G(law, log(solution->initial_nm)) - needed);
    if (share >= 1.0)
        return NAN;
    return solution->ln_time + needed - oxt_i_law_ln_G(law, data->middle_ln_x) + log1p(-share);
}

static void compare_times(oxt_laws *laws, const oxt_i_laws_data *data,
                          const oxt_i_law_solution *solutions)
{
    const oxt_i_law_solution *rival = &solutions[laws->values.rival];
    const oxt_i_law_solution *usual = &solutions[OXT_LAW_PARABOLIC];
    double half = data->middle_ln_x - log(2.0), twice = data->middle_ln_x + log(2.0);
    laws->values.time_ratio_half = exp(ln_time_for(data, rival, half) -
                                       ln_time_for(data, usual, half));
    laws->values.time_ratio_twice = exp(ln_time_for(data, rival, twice) -
                                        ln_time_for(data, usual, twice));
    laws->middle_s = exp(usual->ln_time);
}

static void fill_range(oxt_laws *laws, const oxt_i_laws_data *data)
{
    double low = HUGE_VAL, high = 0.0;
    for (size_t i = 0; i < data->n; i++) {
        low = fmin(low, exp(oxt_i_seen(&data->rows[i])->ln_x));
        high = fmax(high, exp(oxt_i_seen(&data->rows[i])->ln_x));
        laws->values.replicate_count += data->sets[i] != i ? 1 : 0;
    }
    laws->values.thinnest_nm = low;
    laws->values.thickest_nm = high;
    laws->values.middle_nm = exp(data->middle_ln_x);
    laws->values.T_ref_K = data->T_ref_K;
    laws->values.confidence = data->confidence;
    laws->values.row_count = data->n;
    laws->values.Q_held = data->Q_held;
}

/* ---- running ---- */

static oxt_status solve_all(oxt_laws *laws, oxt_i_laws_data *data, oxt_error *error)
{
    oxt_i_law_solution solutions[OXT_LAW_COUNT];
    oxt_status status = OXT_OK;
    for (int kind = 0; kind < OXT_LAW_COUNT && !status; kind++) {
        data->share = (double)kind / OXT_LAW_COUNT;
        status = oxt_i_law_solve(data, (oxt_law)kind, &solutions[kind], error);
        if (!status)
            fill_result(data, (oxt_law)kind, &solutions[kind], &laws->results[kind]);
    }
    if (!status && !solutions[OXT_LAW_PARABOLIC].found)
        status = oxt_i_fail_text(error, OXT_ENOCONV, "laws",
                                 "not even the parabolic law converged on the trials of %s",
                                 data->name);
    if (status)
        return status;
    fill_range(laws, data);
    rank(laws);
    judge(laws, data);
    compare_times(laws, data, solutions);
    return oxt_i_laws_put_sentence(laws, error);
}

static oxt_status run(oxt_laws *laws, const oxt_fit *fit, const oxt_laws_options *options,
                      oxt_error *error)
{
    const oxt_growth *growth = &fit->values.growth;
    oxt_i_watch watch = oxt_i_watch_start(options->progress, options->user);
    oxt_i_laws_data data = { .name = laws->name,
                             .fit_ln_k = log(growth->k_ref_nm2_per_s),
                             .T_ref_K = growth->T_ref_K,
                             .fit_q = growth->Q_J_per_mol / (R * growth->T_ref_K),
                             .has_initial = options->with_initial == 1,
                             .confidence = options->confidence,
                             .watch = &watch,
                             .error = error };
    laws->values = (oxt_laws_values)OXT_LAWS_VALUES_INIT;
    laws->values.unit = fit->values.unit;
    laws->with_initial = data.has_initial;
    memcpy(laws->name, fit->set.name, sizeof laws->name);
    oxt_status status = choose_rows(&data, fit, error);
    if (!status)
        status = check_enough(&data, error);
    if (!status)
        status = check_times(&data, error);
    if (!status)
        status = find_sets(&data, error);
    if (!status)
        status = solve_all(laws, &data, error);
    oxt_i_fit_free_set(&data.set);
    free(data.weights);
    free(data.scratch);
    free(data.sets);
    return status ? status : oxt_i_watch_end(&watch, error);
}

static oxt_status check_options(const oxt_laws_options *options, oxt_error *error)
{
    if (options->with_initial != 0 && options->with_initial != 1)
        return oxt_i_fail(error, OXT_EARG, "with_initial", options->with_initial, 0.0, 1.0,
                          "with_initial is %d, expected 0 or 1", options->with_initial);
    return oxt_i_check(error, "confidence", options->confidence, 0.5, 0.9999, OXT_I_CLOSED);
}

/* The rows of another law are not films. */
static oxt_status check_parabolic(const oxt_fit *fit, oxt_error *error)
{
    if (oxt_i_grows_plainly(&fit->set.law) && !fit->options.with_initial)
        return OXT_OK;
    if (fit->options.with_initial)
        return oxt_i_fail_text(
            error, OXT_EARG, "fit",
            "the fit has a film before the dips, expected one of bare steel: laws are "
            "compared on its rows, with_initial if asked for");
    return oxt_i_fail_text(error, OXT_EARG, "fit",
                           "the fit is by the %s law, expected one by the parabolic law: laws are "
                           "compared on its rows",
                           oxt_i_law_names[fit->set.law.law]);
}

oxt_status oxt_laws_run(oxt_laws **laws, const oxt_fit *fit, const oxt_laws_options *options,
                        oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (laws)
        *laws = NULL;
    if (!laws || !fit)
        return oxt_i_null(error, laws ? "fit" : "laws");
    oxt_laws_options chosen = OXT_LAWS_OPTIONS_INIT;
    oxt_status status = OXT_I_OPTIONS_IN(oxt_laws_options, &chosen, options, error);
    if (!status)
        status = check_options(&chosen, error);
    if (!status)
        status = check_parabolic(fit, error);
    if (status)
        return status;
    oxt_laws *made = calloc(1, sizeof *made);
    if (!made)
        return oxt_i_no_memory(error);
    status = run(made, fit, &chosen, error);
    if (status)
        oxt_laws_free(made);
    else
        *laws = made;
    return status;
}

/* ---- the law that the trials show ---- */

/* The law of a fit's trials, parabolic unless they contradict it; its share of the weight of evidence. */
static oxt_status law_shown(const oxt_fit *fit, const oxt_fit_options *options, oxt_law *shown,
                            double *weight, oxt_error *error)
{
    oxt_laws_options chosen = OXT_LAWS_OPTIONS_INIT;
    oxt_laws *laws = NULL;
    oxt_error why = OXT_ERROR_INIT;
    chosen.progress = options->progress;
    chosen.user = options->user;
    *shown = OXT_LAW_PARABOLIC;
    oxt_status status = oxt_laws_run(&laws, fit, &chosen, &why);
    if (status == OXT_ENOMEM || status == OXT_ECANCEL)
        return oxt_i_fail_text(error, status, why.parameter, "%s", why.text);
    if (!status && laws->values.verdict == OXT_VERDICT_CONTRADICTED)
        *shown = laws->values.best;
    *weight = status ? NAN : laws->results[*shown].weight;
    oxt_laws_free(laws);
    return OXT_OK;
}

static oxt_status fit_again(oxt_fit **fit, const oxt_trials *trials, const oxt_film *film,
                            const oxt_fit_options *options, double weight, oxt_error *error)
{
    oxt_fit *other = NULL;
    oxt_status status = oxt_fit_run(&other, trials, film, options, error);
    if (status)
        return status;
    oxt_fit_free(*fit);
    *fit = other;
    oxt_i_warn(&other->warnings, "LAW_CHOSEN", weight,
               "These trials contradict the parabolic law: they are fitted by the %s law, which of "
               "all laws agrees best (weight of evidence %.0f %%).",
               oxt_i_law_names[options->law], 100.0 * weight);
    other->values.warning_count = other->warnings.count;
    return other->warnings.failed ? oxt_i_no_memory(error) : OXT_OK;
}

oxt_status oxt_i_laws_check_choice(const oxt_fit_options *options, oxt_error *error)
{
    if (options->law == OXT_LAW_PARABOLIC && options->law_shape == 0.0 && !options->with_initial)
        return OXT_OK;
    if (options->with_initial)
        return oxt_i_fail_text(
            error, OXT_EARG, "with_initial",
            "with_initial is 1, expected 0 where the trials choose the law: a film "
            "before the dips bends growth as another law does");
    return oxt_i_fail_text(error, OXT_EARG, "law",
                           "a law or a shape is given, expected neither: the trials choose");
}

oxt_status oxt_laws_fit(oxt_fit **fit, const oxt_trials *trials, const oxt_film *film,
                        const oxt_fit_options *options, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_fit_options chosen = OXT_FIT_OPTIONS_INIT;
    oxt_fit *made = NULL;
    double weight = NAN;
    if (!fit)
        return oxt_i_null(error, "fit");
    *fit = NULL;
    oxt_status status = OXT_I_OPTIONS_IN(oxt_fit_options, &chosen, options, error);
    if (!status)
        status = oxt_i_laws_check_choice(&chosen, error);
    if (!status)
        status = oxt_fit_run(&made, trials, film, &chosen, error);
    if (!status)
        status = law_shown(made, &chosen, &chosen.law, &weight, error);
    if (!status && chosen.law != OXT_LAW_PARABOLIC)
        status = fit_again(&made, trials, film, &chosen, weight, error);
    if (status) {
        oxt_fit_free(made);
        return status;
    }
    *fit = made;
    return OXT_OK;
}

void oxt_laws_free(oxt_laws *laws)
{
    free(laws);
}

/* ---- reading the result ---- */

oxt_status oxt_laws_get(const oxt_laws *laws, oxt_laws_values *values, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!laws || !values)
        return oxt_i_null(error, laws ? "values" : "laws");
    return OXT_I_STRUCT_OUT(oxt_laws_values, values, &laws->values, "values", error);
}

oxt_status oxt_laws_get_law(const oxt_laws *laws, oxt_law kind, oxt_law_result *result,
                            oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!laws || !result)
        return oxt_i_null(error, laws ? "result" : "laws");
    if ((int)kind < 0 || (int)kind >= OXT_LAW_COUNT)
        return oxt_i_fail(error, OXT_EARG, "kind", kind, 0.0, OXT_LAW_COUNT - 1,
                          "kind is %d, expected 0 to %d", (int)kind, OXT_LAW_COUNT - 1);
    return OXT_I_STRUCT_OUT(oxt_law_result, result, &laws->results[kind], "result", error);
}
