/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Several steels and finishes of one log, fitted together: from the solution to numbers and steels.
 * Reading is in pool_rows.c, solving in pool_solve.c, the models beside one another in pool_compare.c,
 * shrinking in pool_shrink.c, warnings in pool_warn.c, the report in pool_report.c. */
#include <stdlib.h>
#include <string.h>

#include "oxtint/version.h"
#include "growth/growth.h"
#include "optics/words.h"
#include "steel/steel.h"
#include "fit/pool.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

/* ---- options ---- */

static oxt_status check_choices(const oxt_pool_options *options, oxt_error *error)
{
    int model = (int)options->model;
    if (model < 0 || model > OXT_POOL_BEST)
        return oxt_i_fail(error, OXT_EARG, "model", model, 0.0, OXT_POOL_BEST,
                          "model is %d, expected 0 to %d", model, OXT_POOL_BEST);
    if (options->shrink != 0 && options->shrink != 1)
        return oxt_i_fail(error, OXT_EARG, "shrink", options->shrink, 0.0, 1.0,
                          "shrink is %d, expected 0 or 1", options->shrink);
    oxt_status status = oxt_i_check(error, "between_sd", options->between_sd, -1.0, 10.0,
                                    OXT_I_CLOSED);
    return status ? status
                  : oxt_i_check(error, "between_Q_sd_J_per_mol", options->between_Q_sd_J_per_mol,
                                -1.0, 1e6, OXT_I_CLOSED);
}

/* The options that a single fit has too. */
static oxt_fit_options fit_options_of(const oxt_pool_options *options)
{
    oxt_fit_options made = OXT_FIT_OPTIONS_INIT;
    made.scatter = options->scatter;
    made.thickness_uncertainty = options->thickness_uncertainty;
    made.colour_tolerance = options->colour_tolerance;
    made.confidence = options->confidence;
    made.bath_sd_K = options->bath_sd_K;
    made.time_sd_s = options->time_sd_s;
    made.robust = options->robust;
    made.names = options->names;
    made.lifted = options->lifted;
    made.rounding = options->rounding;
    made.law = options->law;
    made.law_shape = options->law_shape;
    made.ln_shape_sd = options->ln_shape_sd;
    made.law_middle_nm = options->law_middle_nm;
    return made;
}

static oxt_status take_prior(oxt_prior *into, const oxt_prior *given, oxt_error *error)
{
    oxt_status status = oxt_i_prior_in(into, given, error);
    if (!status && into->Q_stderr_J_per_mol == 0.0)
        status = oxt_i_fail_text(error, OXT_EARG, "prior",
                                 "the prior of a pool is of Q: give Q_stderr_J_per_mol");
    return status;
}

/* ---- the numbers of the result ---- */

/* What is asked for, in one piece. */
typedef struct {
    oxt_pool_options chosen;
    oxt_fit_options fit;
    oxt_prior prior;
    const oxt_prior *prior_of_Q; /* NULL: none */
    oxt_pool_model read_by;      /* the model by which orders, and the shape, were read */
    oxt_i_watch watch;
} request;

static void fill_quality(oxt_pool *pool, const oxt_i_fit_solution *solution, oxt_pool_model model,
                         const request *asked)
{
    oxt_pool_values *values = &pool->values;
    values->model = model;
    values->T_ref_K = solution->model.T_ref_K;
    values->confidence = asked->chosen.confidence;
    values->scatter = solution->scatter;
    double of_rows = oxt_i_fit_counted_dof(solution);
    if (asked->prior_of_Q)
        of_rows = fmax(of_rows, OXT_I_LEAST_DOF_WITH_PRIOR);
    values->dof = oxt_i_fit_effective_dof(solution, of_rows);
    values->day_sd = solution->day_sd;
    values->scatter_dof = solution->scatter_dof > 0.0 ? solution->scatter_dof : values->dof;
    values->chi_square = solution->sums.chi_square;
    values->aicc = oxt_i_fit_aicc(solution, pool->more);
    values->parameter_count = solution->p + (pool->has_shape ? 1 : 0);
    values->law = pool->law.law;
    values->law_shape = pool->law.shape;
    values->law_middle_nm = pool->law.middle_nm;
    values->ln_shape_stderr = sqrt(solution->extra_variance);
    values->group_count = pool->group_count;
    values->row_count = pool->row_count;
    values->used_count = pool->used_count;
}

/* The law, and errors with what the shape adds to them; `t` is Student's, of the limits. */
static void fill_group(oxt_pool *pool, size_t index, const oxt_i_constants *at,
                       const oxt_i_constants *by_shape, double t)
{
    oxt_i_pool_group *group = &pool->groups[index];
    const oxt_i_trial_set *set = &group->set;
    oxt_pool_group *result = &group->result;
    double unit = R * pool->values.T_ref_K; /* J/mol for one unit of q */
    double shape_sd = pool->values.ln_shape_stderr, of_b = shape_sd * by_shape->b,
           of_q = shape_sd * by_shape->q;
    result->growth = pool->law;
    group->slope_b = by_shape->b;
    group->slope_q = by_shape->q;
    oxt_i_copy_text(result->steel, sizeof result->steel, set->steel);
    oxt_i_copy_text(result->finish, sizeof result->finish, set->finish);
    result->growth.k_ref_nm2_per_s = exp(at->b);
    result->growth.T_ref_K = pool->values.T_ref_K;
    result->growth.Q_J_per_mol = unit * at->q;
    result->variance_ln_k = at->variance_b + of_b * of_b;
    result->covariance_J_per_mol = unit * (at->covariance + of_b * of_q);
    result->variance_Q_J2_per_mol2 = unit * unit * (at->variance_q + of_q * of_q);
    result->ln_k_stderr = sqrt(result->variance_ln_k);
    result->Q_stderr_J_per_mol = sqrt(result->variance_Q_J2_per_mol2);
    result->k_ref_low_nm2_per_s = result->growth.k_ref_nm2_per_s * exp(-t * result->ln_k_stderr);
    result->k_ref_high_nm2_per_s = result->growth.k_ref_nm2_per_s * exp(t * result->ln_k_stderr);
    result->Q_low_J_per_mol = result->growth.Q_J_per_mol - t * result->Q_stderr_J_per_mol;
    result->Q_high_J_per_mol = result->growth.Q_J_per_mol + t * result->Q_stderr_J_per_mol;
    result->finish_factor = pool->values.model == OXT_POOL_FINISH_FACTORS ? exp(at->factor) : NAN;
    result->row_count = set->row_count;
    result->used_count = set->used_count;
}

/* `all`: what stands for the Q of all, and its slope by ln shape. */
static void fill_constants(oxt_pool *pool, const oxt_i_fit_solution *solution,
                           const oxt_i_constants *all, double slope_q)
{
    oxt_pool_values *values = &pool->values;
    double t = oxt_i_t_quantile(values->confidence, values->dof);
    double unit = values->model != OXT_POOL_SEPARATE ? R * values->T_ref_K : NAN;
    for (size_t i = 0; i < pool->group_count; i++)
        fill_group(pool, i, &solution->at[i], &solution->extra_slope[i], t);
    values->shrunk = solution->system.shrunk;
    values->Q_J_per_mol = unit * all->q;
    values->Q_stderr_J_per_mol = unit *
                                 hypot(sqrt(all->variance_q), slope_q * values->ln_shape_stderr);
    values->Q_low_J_per_mol = values->Q_J_per_mol - t * values->Q_stderr_J_per_mol;
    values->Q_high_J_per_mol = values->Q_J_per_mol + t * values->Q_stderr_J_per_mol;
}

static oxt_status check_answer(const oxt_pool *pool, oxt_i_fit_solution *solution, oxt_error *error)
{
    oxt_status status = OXT_OK;
    for (size_t i = 0; i < pool->group_count && !status; i++) {
        const oxt_pool_group *group = &pool->groups[i].result;
        status = oxt_i_fit_check_answer(solution, i, &group->growth, group->ln_k_stderr,
                                        group->Q_stderr_J_per_mol, error);
    }
    return status;
}

/* ---- running ---- */

/* Read the orders of the colours by a model; all that follows takes them as they are then. */
static oxt_status read_orders(oxt_pool *pool, request *asked, oxt_error *error)
{
    oxt_i_fit_solution solution;
    asked->read_by = asked->chosen.model == OXT_POOL_BEST ? OXT_POOL_SHARED_Q : asked->chosen.model;
    oxt_status status = oxt_i_pool_prepare(&solution, pool, asked->read_by, asked->prior_of_Q,
                                           false, &asked->fit, error);
    solution.watch = &asked->watch;
    if (!status)
        status = oxt_i_pool_check(&solution, pool, error);
    if (!status && solution.model.rows) /* thicknesses have no order */
        status = oxt_i_fit_solve(&solution, &asked->fit, error);
    if (!status && pool->has_shape)
        status = oxt_i_fit_find_shape(&solution, &asked->fit, error);
    oxt_i_fit_free_solution(&solution);
    return status;
}

/* Rates, at another shape anew at the width between them that stands, and Qs where they are draws too. */
static oxt_status draw(const oxt_pool *pool, oxt_i_fit_solution *shrunk,
                       const oxt_i_fit_solution *solution, const request *asked, oxt_i_pool_Qs *Qs,
                       oxt_error *error)
{
    oxt_status status = OXT_OK;
    if (pool->has_shape)
        status = oxt_i_pool_shrink(shrunk, solution, shrunk->system.between_sd, error);
    *Qs = (oxt_i_pool_Qs){ shrunk->at[0], NAN };
    if (!status && pool->draws_Q)
        status = oxt_i_pool_draw_Qs(shrunk, asked->chosen.between_sd,
                                    asked->chosen.between_Q_sd_J_per_mol, Qs, error);
    return status;
}

/* How shrunk constants go with ln shape: from a step to either side. The last draw is at the shape itself. */
static oxt_status draw_by_shape(const oxt_pool *pool, oxt_i_fit_solution *shrunk,
                                const oxt_i_fit_solution *solution, const request *asked,
                                oxt_i_pool_Qs *Qs, double *slope_q, oxt_error *error)
{
    double place = log(pool->law.shape);
    oxt_status status = OXT_OK;
    *slope_q = 0.0;
    for (int side = -1; side <= 1 && !status && pool->has_shape; side += 2) {
        double share = side / (2.0 * OXT_I_SHAPE_STEP);
        oxt_i_fit_move_shape(shrunk, place + side * OXT_I_SHAPE_STEP);
        status = draw(pool, shrunk, solution, asked, Qs, error);
        for (size_t g = 0; g < pool->group_count; g++) {
            shrunk->extra_slope[g].b += share * shrunk->at[g].b;
            shrunk->extra_slope[g].q += share * shrunk->at[g].q;
        }
        *slope_q += share * Qs->mean.q;
    }
    if (pool->has_shape)
        oxt_i_fit_move_shape(shrunk, place);
    return status ? status : draw(pool, shrunk, solution, asked, Qs, error);
}

/* The width between the rates is estimated whether they are shrunk or not. */
static oxt_status shrink(oxt_pool *pool, const oxt_i_fit_solution *solution, request *asked,
                         oxt_error *error)
{
    oxt_i_fit_solution shrunk;
    oxt_i_pool_Qs Qs;
    double slope_q;
    pool->values.between_sd = pool->values.between_Q_sd_J_per_mol = NAN;
    if (solution->system.units < 2)
        return OXT_OK;
    oxt_status status = oxt_i_pool_prepare(&shrunk, pool, pool->values.model, asked->prior_of_Q,
                                           true, &asked->fit, error);
    shrunk.watch = &asked->watch;
    if (!status)
        status = oxt_i_pool_shrink(&shrunk, solution,
                                   asked->chosen.shrink ? asked->chosen.between_sd : -1.0, error);
    if (!status)
        pool->values.between_sd = shrunk.system.between_sd;
    if (!status && asked->chosen.shrink)
        status = draw_by_shape(pool, &shrunk, solution, asked, &Qs, &slope_q, error);
    if (!status && asked->chosen.shrink) {
        pool->values.between_Q_sd_J_per_mol = Qs.between_sd_J_per_mol;
        fill_constants(pool, &shrunk, &Qs.mean, slope_q);
        oxt_i_pool_pull(pool, &shrunk);
        status = check_answer(pool, &shrunk, error);
    }
    oxt_i_fit_free_solution(&shrunk);
    return status;
}

static oxt_status solve_model(oxt_pool *pool, oxt_pool_model model, request *asked,
                              oxt_error *error)
{
    oxt_i_fit_solution solution;
    oxt_status status = oxt_i_pool_prepare(&solution, pool, model, asked->prior_of_Q, false,
                                           &asked->fit, error);
    solution.watch = &asked->watch;
    solution.hold_orders = true;
    if (!status)
        status = oxt_i_fit_solve(&solution, &asked->fit, error);
    if (!status && pool->has_shape)
        status = (model == asked->read_by ? oxt_i_fit_know_shape
                                          : oxt_i_fit_find_shape)(&solution, &asked->fit, error);
    for (size_t i = 0; i < pool->group_count; i++)
        pool->groups[i].set.law = pool->law;
    if (!status) {
        fill_quality(pool, &solution, model, asked);
        pool->draws_Q = asked->chosen.shrink && model == OXT_POOL_SHARED_Q &&
                        solution.system.units > 1 && asked->chosen.between_Q_sd_J_per_mol != 0.0;
        fill_constants(pool, &solution, &solution.at[0], solution.extra_slope[0].q);
        status = check_answer(pool, &solution, error);
    }
    if (!status)
        status = oxt_i_pool_warn(pool, &solution, error);
    if (!status)
        status = shrink(pool, &solution, asked, error);
    oxt_i_fit_free_solution(&solution);
    return status;
}

static oxt_status run(oxt_pool *pool, const oxt_trials *trials, const oxt_film *film,
                      request *asked, oxt_error *error)
{
    asked->watch = oxt_i_watch_start(asked->chosen.progress, asked->chosen.user);
    oxt_status status = oxt_i_pool_read(pool, trials, film, &asked->fit, error);
    pool->has_shape = oxt_i_fit_has_shape(&asked->fit);
    pool->middle_given = asked->fit.law_middle_nm > 0.0;
    pool->more = (asked->fit.scatter < 0.0 ? 1 : 0) + (pool->has_shape ? 1 : 0);
    if (!status)
        pool->law = pool->sets[0]->law;
    oxt_i_watch_window(&asked->watch, 0.0, 0.3);
    if (!status)
        status = read_orders(pool, asked, error);
    oxt_i_watch_window(&asked->watch, 0.3, 0.7);
    if (!status)
        status = oxt_i_pool_compare(pool, &asked->fit, &asked->watch, error);
    if (status)
        return status;
    bool best = asked->chosen.model == OXT_POOL_BEST;
    oxt_i_watch_window(&asked->watch, 0.7, 1.0);
    status = solve_model(pool, best ? oxt_i_pool_best(pool) : asked->chosen.model, asked, error);
    return status ? status : oxt_i_watch_end(&asked->watch, error);
}

static oxt_status take_request(request *asked, const oxt_pool_options *options, oxt_error *error)
{
    *asked = (request){ .chosen = OXT_POOL_OPTIONS_INIT, .prior = OXT_PRIOR_INIT };
    oxt_status status = OXT_I_OPTIONS_IN(oxt_pool_options, &asked->chosen, options, error);
    if (!status)
        status = check_choices(&asked->chosen, error);
    asked->fit = fit_options_of(&asked->chosen);
    if (!status)
        status = oxt_i_fit_check_options(&asked->fit, error);
    if (!status && asked->chosen.prior) {
        status = take_prior(&asked->prior, asked->chosen.prior, error);
        asked->prior_of_Q = &asked->prior;
    }
    return status;
}

oxt_status oxt_pool_run(oxt_pool **pool, const oxt_trials *trials, const oxt_film *film,
                        const oxt_pool_options *options, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    request asked;
    if (pool)
        *pool = NULL;
    if (!pool || !trials || !film)
        return oxt_i_null(error, !pool ? "pool" : !trials ? "trials" : "film");
    oxt_status status = take_request(&asked, options, error);
    if (status)
        return status;
    oxt_pool *made = calloc(1, sizeof *made);
    if (!made)
        return oxt_i_no_memory(error);
    made->values = (oxt_pool_values)OXT_POOL_VALUES_INIT;
    status = oxt_i_words_copy(&made->words, oxt_i_words_of_fit(trials, film))
                 ? run(made, trials, film, &asked, error)
                 : oxt_i_no_memory(error);
    if (status) {
        oxt_pool_free(made);
        return status;
    }
    made->values.unit = oxt_trials_unit(trials);
    *pool = made;
    return OXT_OK;
}

void oxt_pool_free(oxt_pool *pool)
{
    if (!pool)
        return;
    for (size_t i = 0; i < pool->group_count; i++) {
        oxt_i_fit_free_set(&pool->groups[i].set);
        oxt_i_warnings_free(&pool->groups[i].warnings);
    }
    free(pool->groups);
    free(pool->sets);
    free(pool->first);
    oxt_words_free(pool->words);
    oxt_i_warnings_free(&pool->warnings);
    free(pool);
}

/* ---- reading the result ---- */

oxt_status oxt_pool_get(const oxt_pool *pool, oxt_pool_values *values, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!pool || !values)
        return oxt_i_null(error, pool ? "values" : "pool");
    return OXT_I_STRUCT_OUT(oxt_pool_values, values, &pool->values, "values", error);
}

oxt_status oxt_pool_get_group(const oxt_pool *pool, size_t index, oxt_pool_group *group,
                              oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!pool || !group)
        return oxt_i_null(error, pool ? "group" : "pool");
    oxt_status status = oxt_i_check_index(error, index, pool->group_count);
    return status ? status
                  : OXT_I_STRUCT_OUT(oxt_pool_group, group, &pool->groups[index].result, "group",
                                     error);
}

oxt_status oxt_pool_get_comparison(const oxt_pool *pool, oxt_pool_model model,
                                   oxt_pool_comparison *comparison, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!pool || !comparison)
        return oxt_i_null(error, pool ? "comparison" : "pool");
    int which = (int)model;
    if (which < 0 || which >= OXT_I_POOL_MODELS)
        return oxt_i_fail(error, OXT_EARG, "model", which, 0.0, OXT_I_POOL_MODELS - 1,
                          "model is %d, expected 0 to %d", which, OXT_I_POOL_MODELS - 1);
    return OXT_I_STRUCT_OUT(oxt_pool_comparison, comparison, &pool->comparisons[which],
                            "comparison", error);
}

oxt_status oxt_pool_warning(const oxt_pool *pool, size_t index, char *buffer, size_t capacity,
                            size_t *needed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!pool)
        return oxt_i_null(error, "pool");
    return oxt_i_warnings_give(&pool->warnings, index, buffer, capacity, needed, error);
}

/* The constants of a group on its card: about the middle film of its own trials, where their rate hardly depends on the
 * shape. */
static void put_growth(const oxt_pool *pool, const oxt_i_pool_group *group,
                       oxt_steel_values *values)
{
    const oxt_pool_group *result = &group->result;
    const oxt_growth *law = &result->growth;
    values->growth = *law;
    values->variance_ln_k = result->variance_ln_k;
    values->covariance_J_per_mol = result->covariance_J_per_mol;
    values->variance_Q_J2_per_mol2 = result->variance_Q_J2_per_mol2;
    values->ln_shape_stderr = pool->values.ln_shape_stderr;
    if (law->law == OXT_LAW_PARABOLIC || pool->middle_given)
        return;
    double middle_nm = oxt_i_fit_middle_of(&group->set);
    double variance = values->ln_shape_stderr * values->ln_shape_stderr, before = group->slope_b;
    double after = before - oxt_i_by_shape_of(law, middle_nm);
    values->growth.middle_nm = middle_nm;
    values->growth.k_ref_nm2_per_s *= exp(2.0 * log(middle_nm) -
                                          oxt_i_ln_exposure_of(law, middle_nm));
    values->variance_ln_k += variance * (after * after - before * before);
    values->covariance_J_per_mol += variance * (after - before) * group->slope_q * R *
                                    pool->values.T_ref_K;
}

oxt_status oxt_pool_steel(const oxt_pool *pool, size_t index, oxt_steel **steel, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (steel)
        *steel = NULL;
    if (!pool)
        return oxt_i_null(error, "pool");
    oxt_status status = oxt_i_check_index(error, index, pool->group_count);
    if (status)
        return status;
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    put_growth(pool, &pool->groups[index], &values);
    values.scatter = pool->values.scatter;
    values.day_sd = pool->values.day_sd;
    values.dof = pool->values.dof;
    values.scatter_dof = pool->values.scatter_dof;
    oxt_i_fit_reach(&pool->groups[index].set, &values);
    oxt_i_copy_text(values.description, sizeof values.description, pool->description);
    oxt_i_snprintf(values.origin, sizeof values.origin,
                   "pool of %zu trials of %zu steels and finishes by oxtint %s", pool->used_count,
                   pool->group_count, oxt_version());
    return oxt_i_steel_make(steel, &values, pool->words, error);
}
