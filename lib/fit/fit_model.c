/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The model of a fit or a pool: rows as columns and as classes of equal variance, and one linear solution of them. */
#include <stdlib.h>
#include <string.h>

#include "fit/fit.h"
#include "base/vector.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

/* ---- what it holds ---- */

size_t oxt_i_fit_prior_parts(const oxt_i_fit_solution *solution)
{
    size_t count = 0, qs = solution->system.own_q ? solution->system.groups : 1;
    for (size_t j = 0; j < solution->model.prior_count; j++)
        count += solution->model.prior[j].of_ln_k > 0.0 ? 1 : qs;
    return count;
}

double oxt_i_fit_counted_dof(const oxt_i_fit_solution *solution)
{
    return (double)(solution->model.n + oxt_i_fit_prior_parts(solution)) - (double)solution->p;
}

bool oxt_i_fit_by_band(const oxt_i_fit_model *model, oxt_names names)
{
    bool named = false;
    for (size_t i = 0; i < model->n && model->rows; i++)
        named = named || model->rows[i]->is_band;
    return named && names == OXT_NAMES_AS_BANDS;
}

bool oxt_i_fit_is_fixed(const oxt_i_fit_solution *solution)
{
    const oxt_i_fit_model *model = &solution->model;
    bool moves = solution->robust != OXT_ROBUST_NONE || solution->by_band || model->uncertain;
    if (solution->hold_rows)
        return true;
    return !model->has_paths && (solution->hold_weights ? !model->uncertain : !moves);
}

bool oxt_i_fit_by_classes(const oxt_i_fit_solution *solution)
{
    return solution->class_count > 0 && oxt_i_fit_is_fixed(solution) && !solution->hold_weights &&
           solution->day_count == 0;
}

double oxt_i_fit_variance(const oxt_i_fit_solution *solution, size_t i)
{
    if (!solution->model.rows)
        return solution->model.own[i] + solution->variance;
    double sigma = solution->model.rows[i]->aim_sigma;
    return sigma * sigma;
}

double oxt_i_fit_weight(const oxt_i_fit_solution *solution, size_t i)
{
    return solution->weights ? solution->weights[i]
                             : 1.0 / (solution->model.own[i] + solution->variance);
}

/* ---- columns ---- */

static double square_of(double number)
{
    return number * number;
}

static void stand_as_logged(const oxt_i_fit_model *model, oxt_i_fit_row *row)
{
    row->true_K = row->bath_K;
    row->true_s = row->time_s;
    row->inverse_T_offset = model->T_ref_K / row->bath_K - 1.0;
    row->ln_time = log(row->time_s);
    row->shift = row->day_effect = row->day_share = row->day_variance = 0.0;
    row->aim = oxt_i_seen(row)->ln_x;
    row->band_sd = 0.0;
}

static void fill_rows(oxt_i_fit_model *model, size_t first, size_t n, bool as_left)
{
    for (size_t i = first; i < first + n; i++) {
        oxt_i_fit_row *row = model->rows[i];
        if (!as_left)
            stand_as_logged(model, row);
        model->u[i] = row->inverse_T_offset;
        model->z[i] = 2.0 * (row->aim - row->shift) - row->ln_time;
        model->own[i] = square_of(oxt_i_seen(row)->sigma);
    }
}

void oxt_i_fit_fill_films(const oxt_i_films *films, double T_ref_K, size_t first, size_t n,
                          double *u, double *z, double *own)
{
    for (size_t i = 0; i < n; i++) {
        const oxt_i_film_row *film = &films->rows[first + i];
        u[i] = T_ref_K / film->bath_K - 1.0;
        z[i] = film->thickness_nm * film->thickness_nm / film->time_s;
        own[i] = square_of(oxt_i_film_sigma(films, first + i));
    }
    oxt_i_lns(n, z);
}

/* ln x of them, from z and the times. */
static void fill_ln_x(const oxt_i_films *films, size_t first, size_t n, const double *z, double *y)
{
    for (size_t i = 0; i < n; i++)
        y[i] = films->rows[first + i].time_s;
    oxt_i_lns(n, y);
    for (size_t i = 0; i < n; i++)
        y[i] = 0.5 * (z[i] + y[i]);
}

/* ---- classes ---- */

enum { MOST_CLASSES = 8 }; /* of a set */

/* The class of one own variance, of those from `first` on; NULL where there would be too many. */
static oxt_i_fit_class *class_of(oxt_i_fit_solution *solution, size_t first, double own)
{
    size_t end = solution->class_count, c = first;
    while (c < end && solution->classes[c].own != own)
        c++;
    if (c == end && (end == solution->model.n || end == first + MOST_CLASSES))
        return NULL;
    if (c == end)
        solution->classes[solution->class_count++] = (oxt_i_fit_class){ .own = own };
    return &solution->classes[c];
}

/* Rows of one own variance keep one weight whatever the scatter is: the sums over them are made once. Add these rows of
 * set g to its classes, run by run; false where few are alike, and it is not worth it. `y` NULL: without ln x. */
static bool classify(oxt_i_fit_solution *solution, size_t g, size_t n, const double *u,
                     const double *z, const double *own, const double *y)
{
    for (size_t i = 0, run = 0; i < n; i += run) {
        oxt_i_fit_class *class = class_of(solution, solution->first_class[g], own[i]);
        if (!class)
            return false;
        for (run = 1; i + run < n && own[i + run] == own[i]; run++)
            ;
        oxt_i_moments_3 made = oxt_i_moments_3_of(run, u + i, z + i, y ? y + i : NULL, NULL);
        oxt_i_moments_3_add(&class->rows, &made);
    }
    return true;
}

/* Block by block, with ln x, and without columns. */
static bool classify_films(oxt_i_fit_solution *solution, size_t g)
{
    const oxt_i_films *films = &solution->model.sets[g]->films;
    oxt_i_film_block of;
    double y[OXT_I_FILM_BLOCK];
    bool few = true;
    for (size_t i = 0, n; i < films->count && few; i += n) {
        n = films->count - i < OXT_I_FILM_BLOCK ? films->count - i : OXT_I_FILM_BLOCK;
        oxt_i_fit_fill_films(films, solution->model.T_ref_K, i, n, of.u, of.z, of.own);
        fill_ln_x(films, i, n, of.z, y);
        few = classify(solution, g, n, of.u, of.z, of.own, y);
    }
    return few;
}

void oxt_i_fit_fill_columns(oxt_i_fit_solution *solution, bool as_left)
{
    oxt_i_fit_model *model = &solution->model;
    bool few = true;
    solution->class_count = 0;
    for (size_t g = 0; g < model->set_count; g++) {
        size_t first = model->first[g], n = model->first[g + 1] - first;
        solution->first_class[g] = solution->class_count;
        if (model->rows)
            fill_rows(model, first, n, as_left);
        few = few && (model->rows ? classify(solution, g, n, model->u + first, model->z + first,
                                             model->own + first, NULL)
                                  : classify_films(solution, g));
    }
    solution->first_class[model->set_count] = solution->class_count;
    if (!few)
        solution->class_count = 0;
}

oxt_i_moments_3 oxt_i_fit_film_moments(const oxt_i_fit_solution *solution)
{
    const oxt_i_fit_model *model = &solution->model;
    oxt_i_moments_3 sum = { { 0.0, 0.0, 0.0, 0.0, 0.0, 0.0 }, 0.0, 0.0, 0.0, 0.0 };
    double y[OXT_I_FILM_BLOCK];
    for (size_t c = 0; c < solution->class_count && !solution->weights; c++) {
        oxt_i_moments_3 of = solution->classes[c].rows;
        oxt_i_moments_3_scale(&of, 1.0 / (solution->classes[c].own + solution->variance));
        oxt_i_moments_3_add(&sum, &of);
    }
    for (size_t i = 0, n; i < model->n && solution->weights; i += n) {
        n = model->n - i < OXT_I_FILM_BLOCK ? model->n - i : OXT_I_FILM_BLOCK;
        fill_ln_x(&model->sets[0]->films, i, n, model->z + i, y);
        oxt_i_moments_3 block = oxt_i_moments_3_of(n, model->u + i, model->z + i, y,
                                                   solution->weights + i);
        oxt_i_moments_3_add(&sum, &block);
    }
    return sum;
}

/* ---- memory ---- */

/* All that goes by sets, in one block. */
static bool take_memory(oxt_i_fit_solution *solution)
{
    size_t n = solution->model.n, sets = solution->model.set_count;
    size_t classes = (n < MOST_CLASSES * sets ? n : MOST_CLASSES * sets) + 1;
    size_t numbers = 4 * sets + oxt_i_linear_space(&solution->system);
    size_t of_at = 3 * sets * sizeof *solution->at;
    solution->at = malloc(
        of_at + classes * sizeof *solution->classes + sets * sizeof *solution->moments +
        (sets + 1) * sizeof *solution->first_class + numbers * sizeof *solution->step);
    if (!solution->at)
        return false;
    memset(solution->at, 0, of_at);
    solution->before = solution->at + sets;
    solution->extra_slope = solution->at + 2 * sets;
    solution->classes = (oxt_i_fit_class *)(solution->at + 3 * sets);
    solution->moments = (oxt_i_moments *)(solution->classes + classes);
    solution->step = (double *)(solution->moments + sets);
    solution->space = solution->step + 4 * sets;
    solution->first_class = (size_t *)(solution->step + numbers);
    return !solution->model.rows || oxt_i_fit_take_columns(solution);
}

bool oxt_i_fit_take_columns(oxt_i_fit_solution *solution)
{
    oxt_i_fit_model *model = &solution->model;
    if (model->u)
        return true;
    model->u = oxt_i_many(3 * (model->n + 1), sizeof *model->u);
    if (!model->u)
        return false;
    model->z = model->u + model->n;
    model->own = model->z + model->n;
    for (size_t g = 0; g < model->set_count && !model->rows; g++) {
        size_t first = model->first[g], n = model->first[g + 1] - first;
        oxt_i_fit_fill_films(&model->sets[g]->films, model->T_ref_K, 0, n, model->u + first,
                             model->z + first, model->own + first);
    }
    return true;
}

bool oxt_i_fit_take_scratch(oxt_i_fit_solution *solution)
{
    size_t n = solution->model.n;
    if (!oxt_i_fit_take_columns(solution))
        return false;
    if (!solution->weights)
        solution->weights = oxt_i_many(2 * n, sizeof *solution->weights);
    solution->scratch = solution->weights ? solution->weights + n : NULL;
    return solution->weights;
}

void oxt_i_fit_free_solution(oxt_i_fit_solution *solution)
{
    free(solution->weights);
    free(solution->days);
    free(solution->model.rows);
    free(solution->model.u);
    free(solution->at); /* with all that is in its block */
}

/* The used rows, with their middle in 1/T: there ln k_ref and Q are all but uncorrelated. */
static oxt_status take_rows(oxt_i_fit_model *model, oxt_error *error)
{
    double inverse = 0.0;
    size_t n = 0;
    bool films = model->sets[0]->films.rows;
    model->rows = films ? NULL : malloc((model->n + 1) * sizeof *model->rows);
    if (!films && !model->rows)
        return oxt_i_no_memory(error);
    for (size_t g = 0; g < model->set_count; g++) {
        const oxt_i_trial_set *set = model->sets[g];
        inverse += set->inverse_per_K;
        for (size_t i = 0; i < set->row_count && !films; i++) {
            oxt_i_fit_row *row = &set->rows[i];
            if (row->reading_count == 0)
                continue;
            model->uncertain = model->uncertain || row->bath_sd_K > 0.0 || row->time_sd_s > 0.0;
            model->has_paths = model->has_paths || row->has_path;
            model->rows[n++] = row;
        }
    }
    model->T_ref_K = (double)model->n / inverse;
    return OXT_OK;
}

/* The days of a set that has but one are told by those of others. */
static oxt_status take_days(oxt_i_fit_solution *solution, oxt_error *error)
{
    size_t most = 0;
    for (size_t g = 0; g < solution->model.set_count; g++) {
        size_t count = solution->model.sets[g]->day_count;
        most = count > most ? count : most;
        solution->day_count += count;
    }
    if (most < 2)
        solution->day_count = 0;
    if (solution->day_count == 0)
        return OXT_OK;
    solution->days = malloc(most * sizeof *solution->days);
    return solution->days ? OXT_OK : oxt_i_no_memory(error);
}

/* A typical start for every rate and q. */
static void start_typically(oxt_i_fit_solution *solution)
{
    for (size_t g = 0; g < solution->model.set_count; g++)
        solution->at[g] = (oxt_i_constants){ .b = 4.0, .q = 16.0 };
    for (size_t g = 0; g < solution->model.set_count && !isnan(solution->model.held_q); g++)
        solution->at[g].q = solution->model.held_q;
}

oxt_status oxt_i_fit_new_solution(oxt_i_fit_solution *solution, const oxt_i_trial_set *const *sets,
                                  const size_t *first, const oxt_fit_options *options, bool as_left,
                                  oxt_error *error)
{
    oxt_i_fit_model *model = &solution->model;
    model->sets = sets;
    model->set_count = solution->system.groups;
    model->first = first;
    model->n = first[model->set_count];
    model->orthogonal = options->errors_in_variables == OXT_ERRORS_ORTHOGONAL;
    solution->p = oxt_i_linear_parameters(&solution->system);
    solution->prior_trust = 1.0;
    oxt_status status = take_rows(model, error);
    if (!status && !take_memory(solution))
        status = oxt_i_no_memory(error);
    if (!status)
        status = take_days(solution, error);
    if (status)
        return status;
    model->held_q = options->Q_J_per_mol > 0.0 ? options->Q_J_per_mol / (R * model->T_ref_K) : NAN;
    solution->system.held_q = model->held_q;
    start_typically(solution);
    oxt_i_fit_fill_columns(solution, as_left);
    bool simple = !model->rows && options->robust == OXT_ROBUST_NONE && solution->class_count > 0;
    return simple || oxt_i_fit_take_scratch(solution) ? OXT_OK : oxt_i_no_memory(error);
}

/* ---- one solution ---- */

/* Moments of a set at the variance of the scatter: each class has one weight. */
static oxt_i_moments of_classes(const oxt_i_fit_solution *solution, size_t g)
{
    oxt_i_moments sum = { 0.0, 0.0, 0.0, 0.0, 0.0, 0.0 };
    for (size_t c = solution->first_class[g]; c < solution->first_class[g + 1]; c++) {
        oxt_i_moments of = solution->classes[c].rows.of;
        oxt_i_moments_scale(&of, 1.0 / (4.0 * (solution->classes[c].own + solution->variance)));
        oxt_i_moments_add(&sum, &of);
    }
    return sum;
}

static oxt_i_moments of_rows(oxt_i_fit_solution *solution, size_t g)
{
    const oxt_i_fit_model *model = &solution->model;
    if (solution->day_count > 0 && model->sets[g]->day_count > 0)
        return oxt_i_fit_moments_of_days(solution, g);
    size_t first = model->first[g];
    oxt_i_moments made = oxt_i_moments_of(model->first[g + 1] - first, model->u + first,
                                          model->z + first, solution->weights + first);
    oxt_i_moments_scale(&made, 0.25);
    return made;
}

/* What is known of the rate is one row more, and of q a part of the system. */
static void add_prior(oxt_i_fit_solution *solution)
{
    const oxt_i_fit_model *model = &solution->model;
    for (size_t j = 0; j < model->prior_count; j++) {
        const oxt_i_prior_row *prior = &model->prior[j];
        double weight = solution->prior_trust * prior->weight;
        if (prior->of_ln_k > 0.0) {
            oxt_i_moments row = { weight, -prior->of_q, prior->value, 0.0, 0.0, 0.0 };
            oxt_i_moments_add(&solution->moments[0], &row);
        } else {
            solution->system.prior_q = prior->value;
            solution->system.prior_q_weight = weight;
        }
    }
}

oxt_status oxt_i_fit_not_determined(const oxt_i_fit_solution *solution, oxt_error *error)
{
    return oxt_i_fail_text(error, OXT_EIDENT, "trials",
                           "the %zu usable trials do not determine the %zu parameters of the model",
                           solution->model.n, solution->p);
}

oxt_status oxt_i_fit_solve_linear(oxt_i_fit_solution *solution, oxt_error *error)
{
    oxt_i_fit_model *model = &solution->model;
    if (!solution->hold_rows)
        solution->day_logs = 0.0;
    for (size_t g = 0; g < model->set_count && !solution->hold_rows; g++)
        solution->moments[g] = oxt_i_fit_by_classes(solution) ? of_classes(solution, g)
                                                              : of_rows(solution, g);
    if (!solution->hold_rows)
        add_prior(solution);
    solution->system.held_q = model->held_q;
    if (oxt_i_linear_solve(&solution->system, solution->moments, solution->space, solution->at,
                           &solution->sums)) {
        if (solution->day_count > 0)
            oxt_i_fit_take_day_effects(solution);
        return OXT_OK;
    }
    return oxt_i_fit_not_determined(solution, error);
}
