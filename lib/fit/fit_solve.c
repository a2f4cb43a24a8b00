/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The solution of a fit or a pool: rows as columns, the start, and the order that each colour was read in. */
#include <stdlib.h>
#include <string.h>

#include "fit/fit.h"
#include "base/vector.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

/* A rate known to 5 %, which few logs of colours reach, is then a Q known to 100 %. */
static const double WORST_CONDITION = OXT_I_WORST_CONDITION;

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
    row->shift = 0.0;
    row->aim = oxt_i_seen(row)->ln_x;
    row->band_sd = 0.0;
}

static void fill_rows(oxt_i_fit_model *model, bool as_left)
{
    for (size_t i = 0; i < model->n; i++) {
        oxt_i_fit_row *row = model->rows[i];
        if (!as_left)
            stand_as_logged(model, row);
        model->u[i] = row->inverse_T_offset;
        model->z[i] = 2.0 * (row->aim - row->shift) - row->ln_time;
        model->own[i] = square_of(oxt_i_seen(row)->sigma);
    }
}

static void fill_films(oxt_i_fit_model *model)
{
    for (size_t g = 0; g < model->set_count; g++) {
        const oxt_i_film_row *film = model->sets[g]->films;
        for (size_t i = model->first[g]; i < model->first[g + 1]; i++, film++) {
            model->u[i] = model->T_ref_K / film->bath_K - 1.0;
            model->z[i] = film->thickness_nm * film->thickness_nm / film->time_s;
            model->own[i] = square_of(film->sigma);
        }
    }
    oxt_i_lns(model->n, model->z);
}

/* ---- classes ---- */

enum { MOST_CLASSES = 8, WAITING = 128 }; /* of a set; rows until their moments are made */

/* Rows of one class that wait for others: u, z, and ln x; of thicknesses first the time. */
typedef struct {
    double u[WAITING], z[WAITING], y[WAITING];
    size_t count;
} waiting;

static void clear_waiting(oxt_i_fit_class *class, waiting *rows, bool films)
{
    if (films)
        oxt_i_lns(rows->count, rows->y);
    for (size_t i = 0; i < rows->count && films; i++)
        rows->y[i] = 0.5 * (rows->z[i] + rows->y[i]);
    oxt_i_moments made = oxt_i_moments_of(rows->count, rows->u, rows->z, NULL);
    oxt_i_moments of_films = oxt_i_moments_of(rows->count, rows->u, rows->y, NULL);
    oxt_i_moments_add(&class->rows, &made);
    oxt_i_moments_add(&class->films, &of_films);
    rows->count = 0;
}

/* The classes of one set, after those of the sets before; false where there are too many. */
static bool classify(oxt_i_fit_solution *solution, size_t g, waiting *rows)
{
    const oxt_i_fit_model *model = &solution->model;
    size_t start = solution->class_count, room = model->n < MOST_CLASSES ? model->n : MOST_CLASSES;
    oxt_i_fit_class *classes = solution->classes + start;
    const oxt_i_film_row *films = model->sets[g]->films;
    size_t count = 0, at = 0;
    for (size_t i = model->first[g]; i < model->first[g + 1]; i++) {
        for (at = count && classes[at].own == model->own[i] ? at : 0;
             at < count && classes[at].own != model->own[i]; at++)
            ;
        if (at == count && (count == room || start + count == model->n))
            return false;
        if (at == count) {
            classes[count++] = (oxt_i_fit_class){ .own = model->own[i] };
            rows[at].count = 0;
        }
        waiting *to = &rows[at];
        to->u[to->count] = model->u[i];
        to->z[to->count] = model->z[i];
        to->y[to->count++] = films ? films[i - model->first[g]].time_s
                                   : oxt_i_seen(model->rows[i])->ln_x;
        if (to->count == WAITING)
            clear_waiting(&classes[at], to, films);
    }
    for (size_t c = 0; c < count; c++)
        clear_waiting(&classes[c], &rows[c], films);
    solution->class_count += count;
    return true;
}

/* Rows of equal own variance keep one weight whatever the scatter is: the sums over them are made once. Where few
 * are alike it is not worth it. */
static void find_classes(oxt_i_fit_solution *solution)
{
    waiting rows[MOST_CLASSES];
    solution->class_count = 0;
    for (size_t g = 0; g < solution->model.set_count; g++) {
        solution->first_class[g] = solution->class_count;
        if (!classify(solution, g, rows)) {
            solution->class_count = 0;
            return;
        }
    }
    solution->first_class[solution->model.set_count] = solution->class_count;
}

void oxt_i_fit_fill_columns(oxt_i_fit_solution *solution, bool as_left)
{
    if (solution->model.rows)
        fill_rows(&solution->model, as_left);
    else
        fill_films(&solution->model);
    find_classes(solution);
}

/* ---- memory ---- */

static bool take_memory(oxt_i_fit_solution *solution)
{
    oxt_i_fit_model *model = &solution->model;
    size_t n = model->n, sets = model->set_count;
    size_t classes = n < MOST_CLASSES * sets ? n : MOST_CLASSES * sets;
    double *columns = oxt_i_many(3 * (n + 1), sizeof *columns);
    double *numbers = malloc((4 * sets + oxt_i_linear_space(&solution->system)) * sizeof *numbers);
    solution->at = malloc(2 * sets * sizeof *solution->at);
    solution->moments = malloc(sets * sizeof *solution->moments);
    solution->classes = malloc((classes + 1) * sizeof *solution->classes);
    solution->first_class = malloc((sets + 1) * sizeof *solution->first_class);
    model->u = columns;
    solution->step = numbers;
    if (!columns || !numbers || !solution->at || !solution->moments || !solution->classes ||
        !solution->first_class)
        return false;
    model->z = columns + n;
    model->own = columns + 2 * n;
    solution->space = numbers + 4 * sets;
    solution->before = solution->at + sets;
    return true;
}

bool oxt_i_fit_take_scratch(oxt_i_fit_solution *solution)
{
    size_t n = solution->model.n;
    if (!solution->weights)
        solution->weights = oxt_i_many(2 * n, sizeof *solution->weights);
    solution->scratch = solution->weights ? solution->weights + n : NULL;
    return solution->weights;
}

void oxt_i_fit_free_solution(oxt_i_fit_solution *solution)
{
    free(solution->weights);
    free(solution->model.rows);
    free(solution->model.u);
    free(solution->step);
    free(solution->at);
    free(solution->moments);
    free(solution->classes);
    free(solution->first_class);
}

/* The used rows, with their middle in 1/T: there ln k_ref and Q are all but uncorrelated. */
static oxt_status take_rows(oxt_i_fit_model *model, oxt_error *error)
{
    double inverse = 0.0;
    size_t n = 0;
    bool films = model->sets[0]->films;
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
    if (status)
        return status;
    model->held_q = options->Q_J_per_mol > 0.0 ? options->Q_J_per_mol / (R * model->T_ref_K) : NAN;
    solution->system.held_q = model->held_q;
    start_typically(solution);
    oxt_i_fit_fill_columns(solution, as_left);
    bool simple = !model->rows && options->robust == OXT_ROBUST_NONE && solution->class_count > 0;
    return simple || oxt_i_fit_take_scratch(solution) ? OXT_OK : oxt_i_no_memory(error);
}

/* ---- the start ---- */

/* The rows at the constants as they stand. */
static void stay(oxt_i_fit_solution *solution)
{
    oxt_i_fit_model *model = &solution->model;
    for (size_t g = 0; g < model->set_count && model->rows; g++)
        for (size_t i = model->first[g]; i < model->first[g + 1]; i++) {
            oxt_i_fit_row *row = model->rows[i];
            oxt_i_fit_weigh_row(solution, row, solution->at[g].b, solution->at[g].q, 1.0);
            model->u[i] = row->inverse_T_offset;
            model->z[i] = 2.0 * (row->aim - row->shift) - row->ln_time;
        }
}

/* Constants to begin with: all rows alike, names as middles, the prior only where the rows say nothing. Where a row
 * may pull them too far, because it is to be distrusted or because the model bends, those that no row can move. */
static oxt_status start(oxt_i_fit_solution *solution, oxt_error *error)
{
    static const double EQUAL_WEIGHTS = 1e3, LITTLE_TRUST = 1e-5;
    oxt_robust robust = solution->robust;
    bool by_band = solution->by_band, is_robust = robust != OXT_ROBUST_NONE;
    oxt_status status = OXT_OK;
    solution->robust = OXT_ROBUST_NONE;
    solution->by_band = false;
    solution->prior_trust = LITTLE_TRUST;
    if (solution->model.has_paths || is_robust)
        oxt_i_fit_resistant(solution, solution->at);
    if (is_robust)
        stay(solution);
    else
        status = oxt_i_fit_settle(solution, EQUAL_WEIGHTS, error);
    solution->prior_trust = 1.0;
    solution->robust = robust;
    solution->by_band = by_band;
    return status;
}

bool oxt_i_fit_by_band(const oxt_i_fit_model *model, oxt_names names)
{
    bool named = false;
    for (size_t i = 0; i < model->n && model->rows; i++)
        named = named || model->rows[i]->is_band;
    return named && names == OXT_NAMES_AS_BANDS;
}

/* Rows that stayed where they are have not been looked at one by one. */
static void mark_rows(oxt_i_fit_solution *solution)
{
    const oxt_i_fit_model *model = &solution->model;
    if (!model->rows || !oxt_i_fit_is_fixed(solution))
        return;
    for (size_t g = 0; g < model->set_count; g++)
        for (size_t i = model->first[g]; i < model->first[g + 1]; i++)
            solution->weights[i] = oxt_i_fit_weigh_row(solution, model->rows[i], solution->at[g].b,
                                                       solution->at[g].q, solution->variance);
}

/* Tukey's weights begin where Huber's end, with the scatter that Huber's found: alone they may settle
 * on a few rows that agree by chance. */
oxt_status oxt_i_fit_solve_as_read(oxt_i_fit_solution *solution, const oxt_fit_options *options,
                                   oxt_error *error)
{
    solution->robust = options->robust == OXT_ROBUST_NONE ? OXT_ROBUST_NONE : OXT_ROBUST_HUBER;
    solution->scatter = options->scatter;
    solution->share = 0.0;
    solution->roughly = false;
    oxt_status status = OXT_OK;
    solution->by_band = oxt_i_fit_by_band(&solution->model, options->names);
    if (options->scatter < 0.0 || solution->robust != OXT_ROBUST_NONE || solution->by_band)
        status = start(solution, error);
    if (!status && options->scatter < 0.0)
        status = oxt_i_fit_find_scatter(solution, error);
    solution->share = 0.9;
    if (!status)
        status = oxt_i_fit_settle(solution, solution->scatter * solution->scatter, error);
    if (!status && options->robust == OXT_ROBUST_TUKEY) {
        solution->robust = OXT_ROBUST_TUKEY;
        status = oxt_i_fit_settle(solution, solution->scatter * solution->scatter, error);
    }
    if (!status)
        mark_rows(solution);
    return status;
}

double oxt_i_fit_leverage(const oxt_i_constants *at, double u, double weight)
{
    double variance = at->variance_b - u * (2.0 * at->covariance - u * at->variance_q);
    return fmin(0.25 * variance * weight, 1.0);
}

/* ---- which order a colour was ---- */

/* What the other rows say of a row: ln x of the fit without it. */
static double predicted_without(const oxt_i_fit_solution *solution, size_t g, size_t i)
{
    double seen = solution->model.rows[i]->aim;
    double h = oxt_i_fit_leverage(&solution->at[g], solution->model.u[i], solution->weights[i]);
    return h < 1.0 - 1e-9 ? seen + oxt_i_fit_residual(solution, g, i) / (1.0 - h) : seen;
}

/* Read the one row anew that gains most by it. The reading that stands keeps its place unless
 * another is clearly nearer to what the other rows say. */
static bool reread_one(oxt_i_fit_solution *solution)
{
    static const double CLEARLY = 0.6;
    const oxt_i_fit_model *model = &solution->model;
    double most = 0.0;
    size_t which = 0, reading = 0;
    for (size_t g = 0; g < model->set_count && model->rows; g++)
        for (size_t i = model->first[g]; i < model->first[g + 1]; i++) {
            const oxt_i_fit_row *row = model->rows[i];
            if (row->reading_count < 2)
                continue;
            double expected = predicted_without(solution, g, i);
            double now = fabs(expected - oxt_i_seen(row)->ln_x);
            for (size_t j = 0; j < row->reading_count; j++) {
                double then = fabs(expected - row->readings[j].ln_x);
                if (then < CLEARLY * now && now - then > most) {
                    most = now - then;
                    which = i;
                    reading = j;
                }
            }
        }
    if (most == 0.0)
        return false;
    model->rows[which]->reading = reading;
    return true;
}

oxt_status oxt_i_fit_solve(oxt_i_fit_solution *solution, const oxt_fit_options *options,
                           oxt_error *error)
{
    oxt_status status = oxt_i_fit_solve_as_read(solution, options, error);
    for (size_t turn = 0; turn < solution->model.n && !status && reread_one(solution); turn++) {
        oxt_i_fit_fill_columns(solution, false);
        status = oxt_i_fit_solve_as_read(solution, options, error);
    }
    return status;
}

/* ---- is there enough to fit? ---- */

/* One more than the parameters, so that there is an error at all; a prior's parts count as rows. */
static oxt_status check_enough(const oxt_i_trial_set *set, size_t parameters, size_t parts_of_prior,
                               oxt_error *error)
{
    size_t used = set->used_count, fewest = parameters + 1 - parts_of_prior;
    const char *hint = parts_of_prior ? "" : ", or give a prior";
    if (used >= fewest)
        return OXT_OK;
    if (used == 0 && set->bright_count == set->row_count)
        return oxt_i_fail(
            error, OXT_EFEW, "trials", 0.0, (double)fewest, NAN,
            "all %zu trial%s of %s came out bright: bright only says that the film is "
            "thinner than straw; add coupons that stayed in longer or ran hotter",
            set->row_count, oxt_i_plural(set->row_count), set->name);
    return oxt_i_fail(
        error, OXT_EFEW, "trials", (double)used, (double)fewest, NAN,
        "only %zu of %zu trial%s of %s can be used, expected at least %zu; add coupons "
        "that show a colour%s",
        used, set->row_count, oxt_i_plural(set->row_count), set->name, fewest, used ? hint : "");
}

static oxt_status check_spread(const oxt_i_trial_set *set, oxt_error *error)
{
    double spread = set->high_K - set->low_K;
    if (spread >= OXT_I_LEAST_SPREAD_K)
        return OXT_OK;
    return oxt_i_fail(error, OXT_EIDENT, "Q_J_per_mol", spread, OXT_I_LEAST_SPREAD_K, NAN,
                      "all %zu usable trials of %s ran at one bath temperature (%s, within %g "
                      "K), which cannot tell how the rate changes with temperature: add coupons at "
                      "a bath at least 30 K away, or give Q or a prior",
                      set->used_count, set->name, oxt_i_mark(set->low_K, NULL).text,
                      OXT_I_LEAST_SPREAD_K);
}

/* Condition of the design in ln k_ref and ln Q: how many times worse the trials tell the relative error
 * of Q than that of the rate. At T_ref the two columns are at right angles; Q is the published one, so
 * that this is of the baths alone. */
static double condition_of_Q(const oxt_i_fit_model *model)
{
    oxt_i_moments all = oxt_i_moments_of(model->n, model->u, model->u, NULL);
    double square = all.uu + all.w * all.u * all.u;
    return R * model->T_ref_K / (OXT_I_PUBLISHED_Q * sqrt(square / (double)model->n));
}

static oxt_status check_condition(const oxt_i_fit_model *model, const char *name, oxt_error *error)
{
    double condition = condition_of_Q(model);
    if (condition <= WORST_CONDITION)
        return OXT_OK;
    return oxt_i_fail(error, OXT_EIDENT, "Q_J_per_mol", condition, 1.0, WORST_CONDITION,
                      "the trials of %s tell the temperature dependence %.0f times worse than the "
                      "rate (expected at most %g times): nearly all of them ran in one "
                      "bath; add coupons at a bath at least 30 K away, or give Q or a prior",
                      name, condition, WORST_CONDITION);
}

/* ---- getting ready ---- */

static void take_prior(oxt_i_fit_model *model, const oxt_prior *prior)
{
    double unit = R * model->T_ref_K; /* J/mol for one unit of q */
    size_t count = 0;
    if (prior->ln_k_stderr > 0.0)
        model->prior[count++] = (oxt_i_prior_row){ 1.0, 1.0 - model->T_ref_K / prior->temperature_K,
                                                   prior->ln_k, pow(prior->ln_k_stderr, -2.0) };
    if (prior->Q_stderr_J_per_mol > 0.0)
        model->prior[count++] = (oxt_i_prior_row){ 0.0, 1.0, prior->Q_J_per_mol / unit,
                                                   pow(unit / prior->Q_stderr_J_per_mol, 2.0) };
    model->prior_count = count;
}

oxt_status oxt_i_fit_prepare(oxt_i_fit_solution *solution, oxt_fit *fit,
                             const oxt_fit_options *options, oxt_error *error)
{
    oxt_prior prior = OXT_PRIOR_INIT;
    bool held = options->Q_J_per_mol > 0.0;
    fit->first[1] = fit->set.used_count;
    fit->one = &fit->set;
    solution->system = (oxt_i_linear){ .groups = 1, .units = 1, .held_q = held ? 1.0 : NAN };
    oxt_status status = options->prior ? oxt_i_prior_in(&prior, options->prior, error) : OXT_OK;
    if (!status && held && prior.Q_stderr_J_per_mol > 0.0)
        status = oxt_i_fail_text(error, OXT_EARG, "prior",
                                 "Q is held at a value and has a prior: give one of the two");
    if (!status)
        status = check_enough(&fit->set, oxt_i_linear_parameters(&solution->system),
                              (prior.ln_k_stderr > 0.0) + (prior.Q_stderr_J_per_mol > 0.0), error);
    bool by_trials = !held && prior.Q_stderr_J_per_mol == 0.0;
    if (!status && by_trials)
        status = check_spread(&fit->set, error);
    if (!status)
        status = oxt_i_fit_new_solution(solution, &fit->one, fit->first, options, false, error);
    if (!status && by_trials)
        status = check_condition(&solution->model, fit->set.name, error);
    if (!status)
        take_prior(&solution->model, &prior);
    return status;
}
