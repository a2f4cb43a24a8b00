/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Is growth parabolic on the rows of a fit? x grows as time^m: m beside the constants, at their weights. The whole
 * comparison of laws is in laws.c; this is the glance that every fit takes. */
#include <string.h>

#include "fit/fit.h"

enum { MOST = 3, ROUNDS = 12, MOST_ROWS = 20000 };

/* ln x = level + m time - r u about the means of both, where `time` is ln k(T) t by the constants of the fit. */
typedef struct {
    const oxt_i_fit_solution *solution;
    size_t stride, count, p; /* of rows that are no thicknesses; rows looked at; parameters */
    double mean_time, mean_u, mean_ln_x;
    double at[MOST]; /* level, m, r */
} curve;

typedef struct {
    double time, u, aim, weight, share, pull;
} point;

static double ln_x_at(const curve *of, double time, double u)
{
    return of->at[0] + of->at[1] * (time - of->mean_time) - of->at[2] * (u - of->mean_u);
}

static double time_of(const oxt_i_fit_solution *solution, size_t i)
{
    return solution->model.rows[i]->ln_time - solution->at[0].q * solution->model.u[i];
}

/* A row with the aim and the weight that go with the curve; `pull` is the slope of its likelihood, `share` what its
 * square comes to. */
static point point_at(const curve *of, size_t i)
{
    const oxt_i_fit_solution *solution = of->solution;
    const oxt_i_fit_model *model = &solution->model;
    const oxt_i_fit_row *row = model->rows[i];
    double u = model->u[i], variance = oxt_i_fit_variance(solution, i);
    double weight = oxt_i_fit_weight(solution, i), trust = weight * variance, sd = sqrt(variance);
    double beside = row->shift + row->day_effect;
    point made = { time_of(solution, i), u, row->aim - beside, weight, 0.0, 0.0 };
    if (row->band_sd > 0.0) {
        oxt_i_aim here = oxt_i_fit_aim_at_band(row, ln_x_at(of, made.time, u) + beside, model->n);
        made.aim = here.ln_x - beside;
        sd = row->band_sd;
        variance = here.sigma * here.sigma;
        made.weight = trust / variance;
    }
    made.pull = (made.aim - ln_x_at(of, made.time, u)) * sd / variance;
    made.pull *= made.pull * trust;
    made.share = trust * sd * sd / variance;
    return made;
}

/* Normal equations of one step, as lower triangle, and how far the rows scatter beside what was expected. */
typedef struct {
    double matrix[MOST][MOST], right[MOST], pull, share;
} equations;

static equations sum_rows(const curve *of)
{
    equations sum = { { { 0.0 } }, { 0.0 }, 0.0, 0.0 };
    const oxt_i_fit_model *model = &of->solution->model;
    for (size_t i = 0; i < of->solution->model.n; i += of->stride) {
        point row = point_at(of, i);
        double slope[MOST] = { 1.0, row.time - of->mean_time, of->mean_u - row.u };
        double off = row.aim - ln_x_at(of, row.time, row.u);
        for (size_t a = 0; a < of->p; a++) {
            sum.right[a] += row.weight * slope[a] * off;
            for (size_t b = 0; b <= a; b++)
                sum.matrix[a][b] += row.weight * slope[a] * slope[b];
        }
        sum.pull += row.pull;
        sum.share += row.share;
        /* Where the film was waited for, the scatter is in the time: its square would make m too small (W. A. Fuller,
         * Measurement Error Models, 1987, 1.2, from memory). */
        if (model->rows[i]->is_lifted) {
            double in_time = row.weight * 4.0 * of->solution->variance;
            sum.matrix[1][1] -= in_time;
            sum.right[1] += in_time * of->at[1];
        }
    }
    return sum;
}

/* The same of thicknesses, whose aims do not move with the curve: by moments, at the parabolic law about the means. */
static equations sum_films(curve *of)
{
    static const double ONE_BATH = 1e-16; /* what rounding leaves of the spread of its u */
    const oxt_i_fit_solution *solution = of->solution;
    const oxt_i_moments_3 all = oxt_i_fit_film_moments(solution);
    double q = solution->at[0].q, w = all.of.w, share = (double)solution->model.n;
    for (size_t i = 0; i < solution->model.n && solution->weights; i++) /* of robust weights */
        share += solution->weights[i] * oxt_i_fit_variance(solution, i) - 1.0;
    /* time is 2 ln x - z - q u */
    double uu = all.of.uu > ONE_BATH * w ? all.of.uu : 0.0;
    double tu = 2.0 * all.uy - all.of.uz - q * all.of.uu, ta = 2.0 * all.yy - all.zy - q * all.uy;
    double tz = 2.0 * all.zy - all.of.zz - q * all.of.uz, tt = 2.0 * ta - tz - q * tu;
    of->count = solution->model.n;
    of->mean_time = 2.0 * all.y - all.of.z - q * all.of.u;
    of->mean_u = all.of.u;
    of->at[0] = of->mean_ln_x = 0.5 * (solution->at[0].b + of->mean_time);
    of->at[1] = 0.5;
    double off = all.y - of->mean_ln_x;
    return (equations){ { { w }, { 0.0, tt }, { 0.0, -tu, uu } },
                        { w * off, ta - 0.5 * tt, 0.5 * tu - all.uy },
                        w * off * off + all.yy - ta + 0.25 * tt,
                        share };
}

/* Solve by Cholesky's root, which replaces the matrix; false when time and bath changed together. */
static bool solve(equations *of, size_t p, double *step)
{
    static const double LEAST = 1e-6; /* of a column that the others explain */
    for (size_t a = 0; a < p; a++)
        for (size_t b = 0; b <= a; b++) {
            double whole = of->matrix[a][a], sum = of->matrix[a][b];
            for (size_t c = 0; c < b; c++)
                sum -= of->matrix[a][c] * of->matrix[b][c];
            if (a == b && !(sum > LEAST * whole))
                return false;
            of->matrix[a][b] = a == b ? sqrt(sum) : sum / of->matrix[b][b];
        }
    for (size_t a = 0; a < p; a++) {
        step[a] = of->right[a];
        for (size_t c = 0; c < a; c++)
            step[a] -= of->matrix[a][c] * step[c];
        step[a] /= of->matrix[a][a];
    }
    for (size_t a = p; a-- > 0;) {
        for (size_t c = a + 1; c < p; c++)
            step[a] -= of->matrix[c][a] * step[c];
        step[a] /= of->matrix[a][a];
    }
    return true;
}

/* The parabolic law about the means. */
static void begin(curve *of)
{
    double sum = 0.0, time = 0.0, u = 0.0, ln_x = 0.0;
    of->at[1] = 0.5;
    of->at[0] = 0.5 * of->solution->at[0].b;
    for (size_t i = 0; i < of->solution->model.n; i += of->stride) {
        double weight = oxt_i_fit_weight(of->solution, i), at = of->solution->model.u[i];
        double here = time_of(of->solution, i);
        sum += weight;
        time += weight * here;
        u += weight * at;
        ln_x += weight * ln_x_at(of, here, at);
        of->count++;
    }
    of->mean_time = time / sum;
    of->mean_u = u / sum;
    of->at[0] = of->mean_ln_x = ln_x / sum;
}

/* The order of the columns: level, m, r. The variance of m is that with r free: by the last of the root. */
static double variance_of_m(const equations *of, size_t p)
{
    double root[MOST] = { 0.0 }, sum = 0.0;
    for (size_t a = 1; a < p; a++) {
        root[a] = a == 1 ? 1.0 : 0.0;
        for (size_t c = 1; c < a; c++)
            root[a] -= of->matrix[a][c] * root[c];
        root[a] /= of->matrix[a][a];
        sum += root[a] * root[a];
    }
    return sum;
}

/* The scatter of a fit by a wrong law is too large to judge the law by: the rows scatter about the curve by `scale`
 * times its variance, which as few of them as these do not determine alone. The error goes with the degrees of
 * freedom of the constants. Both limits from simulated logs (tests/bench/promises.c). */
static const double LEAST_SCALE = 0.6, USUAL_ROWS = 8.0, CONFIDENCE = 0.96;

void oxt_i_fit_find_exponent(const oxt_i_fit_solution *solution, oxt_fit_values *values)
{
    static const size_t FEWEST = 6;
    static const double CLOSE_ENOUGH = 1e-3, LEAST = 1.0 / 12.0, MOST_M = 1.0;
    const oxt_i_fit_model *model = &solution->model;
    const oxt_i_trial_set *set = model->sets[0];
    bool one_bath = set->high_K - set->low_K < OXT_I_LEAST_SPREAD_K;
    curve of = { .solution = solution,
                 .stride = 1 + model->n / MOST_ROWS,
                 .p = isnan(model->held_q) && !one_bath ? 3 : 2 };
    double step[MOST] = { 0.0 };
    if (model->n < FEWEST || model->set_count > 1 || !oxt_i_grows_plainly(&set->law))
        return;
    bool films = !model->rows; /* one step is the whole way */
    equations last = { { { 0.0 } }, { 0.0 }, 0.0, 0.0 };
    if (!films)
        begin(&of);
    for (int round = 0; round < (films ? 1 : ROUNDS); round++) {
        last = films ? sum_films(&of) : sum_rows(&of);
        if (!solve(&last, of.p, step))
            return;
        for (size_t a = 0; a < of.p; a++) {
            of.at[a] += step[a];
            last.pull -= films ? step[a] * last.right[a] : 0.0;
        }
        if (fabs(step[1]) < CLOSE_ENOUGH)
            break;
    }
    double left = (double)(of.count - of.p);
    double scale = fmax(last.pull / last.share * (double)of.count / left, LEAST_SCALE);
    double t = oxt_i_t_quantile(CONFIDENCE, left + USUAL_ROWS);
    if (!films && !(fabs(step[1]) < CLOSE_ENOUGH))
        return;
    values->time_exponent = fmin(fmax(of.at[1], LEAST), MOST_M);
    values->time_exponent_stderr = sqrt(scale * variance_of_m(&last, of.p)) * t /
                                   oxt_i_t_quantile(CONFIDENCE, values->dof);
    values->middle_nm = exp(of.mean_ln_x);
}
