/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The one linear estimator, against GSL's QR of the whole design: a column for each parameter, a row for each trial
 * and each thing known beforehand. */
#include <gsl/gsl_blas.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "fit/linear.h"
#include "support.h"

enum { GROUPS = 7, MOST = 6, ROWS = GROUPS * MOST };

/* Groups of 1 to 6 rows of 4 steels in 3 finishes; the first finish of the first steel is the measure. */
typedef struct {
    size_t first[GROUPS + 1];
    double u[ROWS], z[ROWS], w[ROWS];
    size_t steel[GROUPS], factor[GROUPS], by_steel[GROUPS];
} data;

static data made_up(unsigned long seed)
{
    static const size_t steels[GROUPS] = { 0, 1, 0, 2, 1, 3, 2 };
    static const size_t finishes[GROUPS] = { 0, 0, 1, 1, 2, 2, 0 };
    static const size_t by_steel[GROUPS] = { 0, 2, 1, 4, 3, 6, 5 };
    static const size_t counts[GROUPS] = { 6, 5, 4, 3, 6, 2, 3 };
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    data made = { .first = { 0 } };
    gsl_rng_set(random, seed);
    for (size_t g = 0; g < GROUPS; g++) {
        made.steel[g] = steels[g];
        made.factor[g] = finishes[g] == 0 ? OXT_I_NO_FACTOR : finishes[g] - 1;
        made.by_steel[g] = by_steel[g];
        made.first[g + 1] = made.first[g] + counts[g];
        for (size_t i = made.first[g]; i < made.first[g + 1]; i++) {
            made.u[i] = gsl_ran_flat(random, -0.06, 0.06);
            made.z[i] = 4.0 + 0.4 * (double)steels[g] - 0.3 * (double)finishes[g] -
                        16.0 * made.u[i] + gsl_ran_gaussian(random, 0.1);
            made.w[i] = gsl_ran_flat(random, 20.0, 90.0);
        }
    }
    gsl_rng_free(random);
    return made;
}

/* ---- the whole design ---- */

enum { MOST_COLUMNS = 2 * GROUPS + 3, LINES = ROWS + 2 * GROUPS };

typedef struct {
    gsl_matrix *A;
    gsl_vector *y;
    size_t lines, columns;
    size_t b_at, factor_at, q_at;
} design;

static void add_line(design *to, const double *row, double y, double weight)
{
    for (size_t j = 0; j < to->columns; j++)
        gsl_matrix_set(to->A, to->lines, j, row[j] * sqrt(weight));
    gsl_vector_set(to->y, to->lines++, y * sqrt(weight));
}

/* The rate of a group as a sum of columns. */
static void fill_rate(const design *of, const oxt_i_linear *system, size_t g, double *row)
{
    size_t unit = system->unit_of ? system->unit_of[g] : g;
    if (system->shrunk)
        row[0] = 1.0;
    row[of->b_at + unit] = system->shrunk ? system->between_sd : 1.0;
    if (system->factor_of && system->factor_of[g] != OXT_I_NO_FACTOR)
        row[of->factor_at + system->factor_of[g]] = 1.0;
}

static design whole_design(const oxt_i_linear *system, const data *from)
{
    bool fits_q = isnan(system->held_q);
    design made = { .b_at = system->shrunk ? 1 : 0 };
    size_t qs = !fits_q ? 0 : system->own_q ? GROUPS : 1;
    made.factor_at = made.b_at + system->units;
    made.q_at = made.factor_at + system->factors;
    made.columns = made.q_at + qs;
    made.A = gsl_matrix_calloc(LINES, made.columns);
    made.y = gsl_vector_calloc(LINES);
    for (size_t g = 0; g < GROUPS; g++)
        for (size_t i = from->first[g]; i < from->first[g + 1]; i++) {
            double row[MOST_COLUMNS] = { 0.0 };
            fill_rate(&made, system, g, row);
            if (fits_q)
                row[made.q_at + (system->own_q ? g : 0)] = -from->u[i];
            add_line(&made, row, from->z[i] + (fits_q ? 0.0 : system->held_q * from->u[i]),
                     from->w[i]);
        }
    for (size_t j = 0; j < qs && system->prior_q_weight > 0.0; j++) {
        double row[MOST_COLUMNS] = { 0.0 };
        row[made.q_at + j] = 1.0;
        add_line(&made, row, system->prior_q, system->prior_q_weight);
    }
    for (size_t j = 0; j < system->units && system->shrunk; j++) {
        double row[MOST_COLUMNS] = { 0.0 };
        row[made.b_at + j] = 1.0;
        add_line(&made, row, 0.0, 1.0);
    }
    return made;
}

static double form(const gsl_matrix *C, size_t p, const double *a, const double *b)
{
    double sum = 0.0;
    for (size_t i = 0; i < p; i++)
        for (size_t j = 0; j < p; j++)
            sum += a[i] * b[j] * gsl_matrix_get(C, i, j);
    return sum;
}

/* The inverse of A^T A from the QR of A. */
static gsl_matrix *covariance_of(const gsl_matrix *QR, double *ln_determinant)
{
    size_t p = QR->size2;
    gsl_matrix *inverse = gsl_matrix_alloc(p, p), *made = gsl_matrix_alloc(p, p);
    gsl_matrix_const_view R = gsl_matrix_const_submatrix(QR, 0, 0, p, p);
    gsl_matrix_set_identity(inverse);
    gsl_blas_dtrsm(CblasLeft, CblasUpper, CblasNoTrans, CblasNonUnit, 1.0, &R.matrix, inverse);
    gsl_blas_dgemm(CblasNoTrans, CblasTrans, 1.0, inverse, inverse, 0.0, made);
    *ln_determinant = 0.0;
    for (size_t j = 0; j < p; j++)
        *ln_determinant -= 2.0 * log(fabs(gsl_matrix_get(QR, j, j)));
    gsl_matrix_free(inverse);
    return made;
}

static void check_group(const oxt_i_linear *system, const design *of, const gsl_vector *x,
                        const gsl_matrix *C, size_t g, const oxt_i_constants *found)
{
    double rate[MOST_COLUMNS] = { 0.0 }, q[MOST_COLUMNS] = { 0.0 }, b = 0.0, factor = 0.0;
    fill_rate(of, system, g, rate);
    for (size_t j = 0; j < of->columns; j++)
        b += rate[j] * gsl_vector_get(x, j);
    for (size_t j = of->factor_at; j < of->q_at; j++)
        factor += rate[j] * gsl_vector_get(x, j);
    CLOSE(found->b, b, 1e-11);
    NEAR(found->factor, factor, 1e-11);
    CLOSE(found->variance_b, form(C, of->columns, rate, rate), 1e-11);
    if (of->q_at == of->columns) {
        cr_assert(found->q == system->held_q && found->variance_q == 0.0 &&
                  found->covariance == 0.0);
        return;
    }
    size_t at = of->q_at + (system->own_q ? g : 0);
    q[at] = 1.0;
    CLOSE(found->q, gsl_vector_get(x, at), 1e-11);
    CLOSE(found->variance_q, form(C, of->columns, q, q), 1e-11);
    NEAR(found->covariance, form(C, of->columns, rate, q),
         1e-11 * sqrt(found->variance_b * found->variance_q));
}

static void check_system(const oxt_i_linear *system, const data *from)
{
    oxt_i_moments moments[GROUPS];
    oxt_i_constants found[GROUPS];
    oxt_i_linear_sums sums;
    double ln_determinant;
    double *space = malloc(oxt_i_linear_space(system) * sizeof *space);
    for (size_t g = 0; g < GROUPS; g++)
        moments[g] = oxt_i_moments_of(from->first[g + 1] - from->first[g], from->u + from->first[g],
                                      from->z + from->first[g], from->w + from->first[g]);
    cr_assert(oxt_i_linear_solve(system, moments, space, found, &sums));
    design of = whole_design(system, from);
    cr_assert_eq(oxt_i_linear_parameters(system), of.columns);
    gsl_vector *tau = gsl_vector_alloc(of.columns), *x = gsl_vector_alloc(of.columns);
    gsl_vector *left = gsl_vector_alloc(LINES);
    gsl_linalg_QR_decomp(of.A, tau);
    gsl_linalg_QR_lssolve(of.A, tau, of.y, x, left);
    gsl_matrix *C = covariance_of(of.A, &ln_determinant);
    for (size_t g = 0; g < GROUPS; g++)
        check_group(system, &of, x, C, g, &found[g]);
    CLOSE(sums.chi_square, pow(gsl_blas_dnrm2(left), 2.0), 1e-10);
    NEAR(sums.ln_determinant, ln_determinant, 1e-10);
    gsl_matrix_free(C);
    gsl_matrix_free(of.A);
    gsl_vector_free(of.y);
    gsl_vector_free(tau);
    gsl_vector_free(x);
    gsl_vector_free(left);
    free(space);
}

/* Outside fact: GSL's QR, which forms no normal equations, of each model of a pool, with rates of their own and
 * as draws (C. R. Henderson's equations of the mixed model), without and with a prior. */
Test(linear, every_model_has_the_answers_of_QR)
{
    for (unsigned long seed = 1; seed <= 5; seed++) {
        const data from = made_up(seed);
        const oxt_i_linear shared = { .groups = GROUPS, .units = GROUPS, .held_q = NAN };
        oxt_i_linear models[4] = { shared, shared, shared, shared };
        models[1].units = 4;
        models[1].factors = 2;
        models[1].unit_of = from.steel;
        models[1].by_unit = from.by_steel;
        models[1].factor_of = from.factor;
        models[2].own_q = true;
        models[3].held_q = 15.0;
        for (size_t i = 0; i < 4; i++)
            for (int with = 0; with < 8; with++) {
                oxt_i_linear system = models[i];
                system.prior_q = 14.0;
                system.prior_q_weight = with & 1 ? 0.04 : 0.0;
                system.shrunk = with & 2;
                system.between_sd = with & 4 ? 0.02 : 0.5;
                check_system(&system, &from);
            }
    }
}

/* NIST/ITL Statistical Reference Datasets, Norris: y = b0 + b1 x, certified to 15 digits (tests/data/nist_norris.csv). Here b
 * is b0 and q is -b1. */
Test(linear, norris)
{
    enum { N = 36 };
    double x[N], y[N], certified[2], deviation[2], squares = 0.0, space[8];
    size_t n = 0, p = 0;
    char line[400];
    FILE *file = fopen(TEST_DATA "/nist_norris.csv", "r");
    cr_assert_not_null(file);
    while (fgets(line, sizeof line, file)) {
        const char *value = strstr(line, "certified="), *rss = strstr(line, "rss=");
        if (line[0] == '#' && value && p < 2) {
            cr_assert_eq(sscanf(value, "certified=%lf sd=%lf", &certified[p], &deviation[p]), 2);
            p++;
        } else if (line[0] == '#' && rss)
            sscanf(rss, "rss=%lf", &squares);
        else if (n < N && sscanf(line, "%lf,%lf", &x[n], &y[n]) == 2)
            n++;
    }
    fclose(file);
    cr_assert(n == N && p == 2 && squares > 0.0);
    const oxt_i_linear system = { .groups = 1, .units = 1, .held_q = NAN };
    const oxt_i_moments moments = oxt_i_moments_of(N, x, y, NULL);
    oxt_i_constants found;
    oxt_i_linear_sums sums;
    cr_assert(oxt_i_linear_solve(&system, &moments, space, &found, &sums));
    double scale = sqrt(squares / (N - 2.0));
    double off = fmax(fabs(found.b / certified[0] - 1.0), fabs(-found.q / certified[1] - 1.0));
    measured("nist-moments", -log10(fmax(off, 1e-16)), 11.0, HUGE_VAL);
    CLOSE(scale * sqrt(found.variance_b), deviation[0], 1e-11);
    CLOSE(scale * sqrt(found.variance_q), deviation[1], 1e-11);
    CLOSE(sums.chi_square, squares, 1e-9);
}

/* Outside fact: the two-pass formula in long double. A million rows about a mean that is far from 0 beside
 * their spread keep 13 digits (T. F. Chan, G. H. Golub and R. J. LeVeque, American Statistician 37 (1983) 242). */
Test(linear, moments_of_a_million_rows_keep_their_digits)
{
    enum { N = 1000003 };
    double *u = malloc(N * sizeof *u), *z = malloc(N * sizeof *z), *w = malloc(N * sizeof *w);
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    for (size_t i = 0; i < N; i++) {
        u[i] = 1000.0 + gsl_rng_uniform(random);
        z[i] = 5000.0 - 3.0 * u[i] + 0.1 * gsl_rng_uniform(random);
        w[i] = 0.5 + gsl_rng_uniform(random);
    }
    for (int weighted = 0; weighted < 2; weighted++) {
        long double sw = 0, su = 0, sz = 0, uu = 0, uz = 0, zz = 0;
        for (size_t i = 0; i < N; i++) {
            long double weight = weighted ? w[i] : 1.0;
            sw += weight;
            su += weight * u[i];
            sz += weight * z[i];
        }
        for (size_t i = 0; i < N; i++) {
            long double a = u[i] - su / sw, b = z[i] - sz / sw, weight = weighted ? w[i] : 1.0;
            uu += weight * a * a;
            uz += weight * a * b;
            zz += weight * b * b;
        }
        oxt_i_moments all = oxt_i_moments_of(N, u, z, weighted ? w : NULL);
        CLOSE(all.w, (double)sw, 1e-13);
        CLOSE(all.u, (double)(su / sw), 1e-14);
        CLOSE(all.z, (double)(sz / sw), 1e-14);
        CLOSE(all.uu, (double)uu, 1e-12);
        CLOSE(all.uz, (double)uz, 1e-12);
        CLOSE(all.zz, (double)zz, 1e-12);
        /* in two parts, either way round */
        oxt_i_moments part = oxt_i_moments_of(77, u, z, weighted ? w : NULL);
        oxt_i_moments rest = oxt_i_moments_of(N - 77, u + 77, z + 77, weighted ? w + 77 : NULL);
        oxt_i_moments_add(&part, &rest);
        CLOSE(part.uz, (double)uz, 1e-12);
    }
    gsl_rng_free(random);
    free(u);
    free(z);
    free(w);
}

/* Contract: with a third column the others stay as they are, and its products are those of two at a time. */
Test(linear, moments_of_three_columns_are_those_of_two)
{
    enum { N = 1003, FIRST = 13 };
    double u[N], z[N], y[N], w[N];
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    for (size_t i = 0; i < N; i++) {
        u[i] = 10.0 + gsl_rng_uniform(random);
        z[i] = (double)i * 1e-3 - 3.0 * u[i] + gsl_rng_uniform(random);
        y[i] = 0.5 * z[i] + gsl_rng_uniform(random);
        w[i] = 0.5 + gsl_rng_uniform(random);
    }
    for (int weighted = 0; weighted < 2; weighted++) {
        const double *by = weighted ? w : NULL, *rest_by = weighted ? w + FIRST : NULL;
        oxt_i_moments uz = oxt_i_moments_of(N, u, z, by), uy = oxt_i_moments_of(N, u, y, by);
        oxt_i_moments zy = oxt_i_moments_of(N, z, y, by);
        oxt_i_moments_3 all = oxt_i_moments_3_of(FIRST, u, z, y, by);
        oxt_i_moments_3 rest = oxt_i_moments_3_of(N - FIRST, u + FIRST, z + FIRST, y + FIRST,
                                                  rest_by);
        oxt_i_moments_3_add(&all, &rest);
        oxt_i_moments_3_scale(&all, 2.0);
        CLOSE(all.of.w, 2.0 * uz.w, 1e-14);
        CLOSE(all.of.z, uz.z, 1e-13);
        CLOSE(all.of.uz, 2.0 * uz.uz, 1e-12);
        CLOSE(all.y, uy.z, 1e-13);
        CLOSE(all.uy, 2.0 * uy.uz, 1e-12);
        CLOSE(all.zy, 2.0 * zy.uz, 1e-12);
        CLOSE(all.yy, 2.0 * zy.zz, 1e-12);
    }
    gsl_rng_free(random);
}

/* Contract: what the rows do not determine is said, not made up. */
Test(linear, what_is_not_determined_is_said)
{
    const double u[] = { 0.02, 0.02, 0.02 }, z[] = { 4.0, 4.1, 3.9 };
    oxt_i_moments moments[2] = { oxt_i_moments_of(3, u, z, NULL), oxt_i_moments_of(1, u, z, NULL) };
    oxt_i_constants found[2];
    oxt_i_linear_sums sums;
    double space[16];
    oxt_i_linear system = { .groups = 2, .units = 2, .held_q = NAN };
    cr_assert_not(oxt_i_linear_solve(&system, moments, space, found, &sums));
    system.own_q = true;
    cr_assert_not(oxt_i_linear_solve(&system, moments, space, found, &sums));
    system.own_q = false;
    system.prior_q_weight = 1.0;
    cr_assert(oxt_i_linear_solve(&system, moments, space, found, &sums));
    moments[1].w = 0.0;
    cr_assert_not(oxt_i_linear_solve(&system, moments, space, found, &sums));
}
