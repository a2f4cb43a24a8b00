/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The arrow: each unit's rate touches only its own rows. It is eliminated unit by unit, and what is left is a
 * small matrix of the columns that the units share: the mean of the rates where they are draws, the factors,
 * and q. The equations of rates that are draws are those of the mixed model of C. R. Henderson, Biometrics 31
 * (1975) 423; moments are merged as T. F. Chan, G. H. Golub and R. J. LeVeque do, American Statistician 37 (1983)
 * 242. Both from memory. */
#include "fit/linear.h"

#include "base/vector.h"

#include <math.h>
#include <string.h>

/* ---- moments ---- */

enum { BLOCK = 256 }; /* rows whose sums are made in one go; they stay in the nearest cache */

void oxt_i_moments_add(oxt_i_moments *to, const oxt_i_moments *other)
{
    double w = to->w + other->w;
    if (!(other->w > 0.0))
        return;
    if (!(to->w > 0.0)) {
        *to = *other;
        return;
    }
    double share = other->w / w, both = to->w * share;
    double u = other->u - to->u, z = other->z - to->z;
    to->uu += other->uu + both * u * u;
    to->uz += other->uz + both * u * z;
    to->zz += other->zz + both * z * z;
    to->u += share * u;
    to->z += share * z;
    to->w = w;
}

void oxt_i_moments_3_add(oxt_i_moments_3 *to, const oxt_i_moments_3 *other)
{
    double w = to->of.w + other->of.w;
    if (!(other->of.w > 0.0))
        return;
    if (!(to->of.w > 0.0)) {
        *to = *other;
        return;
    }
    double share = other->of.w / w, both = to->of.w * share, y = other->y - to->y;
    to->uy += other->uy + both * (other->of.u - to->of.u) * y;
    to->zy += other->zy + both * (other->of.z - to->of.z) * y;
    to->yy += other->yy + both * y * y;
    to->y += share * y;
    oxt_i_moments_add(&to->of, &other->of);
}

void oxt_i_moments_scale(oxt_i_moments *of, double weight)
{
    of->w *= weight;
    of->uu *= weight;
    of->uz *= weight;
    of->zz *= weight;
}

void oxt_i_moments_3_scale(oxt_i_moments_3 *of, double weight)
{
    oxt_i_moments_scale(&of->of, weight);
    of->uy *= weight;
    of->zy *= weight;
    of->yy *= weight;
}

/* Of one block. */
static oxt_i_moments_3 moments_of(size_t n, const double *u, const double *z, const double *y,
                                  const double *w)
{
    double sums[4], products[6];
    oxt_i_sums(n, u, z, y, w, sums);
    double over = sums[0] > 0.0 ? 1.0 / sums[0] : 0.0;
    const double means[3] = { sums[1] * over, sums[2] * over, sums[3] * over };
    oxt_i_products(n, u, z, y, w, means, products);
    return (
        oxt_i_moments_3){ { sums[0], means[0], means[1], products[0], products[1], products[2] },
                          means[2],
                          products[3],
                          products[4],
                          products[5] };
}

oxt_i_moments_3 oxt_i_moments_3_of(size_t n, const double *u, const double *z, const double *y,
                                   const double *w)
{
    oxt_i_moments_3 made = moments_of(n < BLOCK ? n : BLOCK, u, z, y, w);
    for (size_t i = BLOCK; i < n; i += BLOCK) {
        oxt_i_moments_3 block = moments_of(n - i < BLOCK ? n - i : BLOCK, u + i, z + i,
                                           y ? y + i : NULL, w ? w + i : NULL);
        oxt_i_moments_3_add(&made, &block);
    }
    return made;
}

oxt_i_moments oxt_i_moments_of(size_t n, const double *u, const double *z, const double *w)
{
    return oxt_i_moments_3_of(n, u, z, NULL, w).of;
}

double oxt_i_moments_squares(const oxt_i_moments *of, double b, double q)
{
    double off = b - q * of->u - of->z;
    return fmax(of->zz + q * (2.0 * of->uz + q * of->uu), 0.0) + of->w * off * off;
}

/* ---- the columns that units share ---- */

/* Place of each: the mean of the rates, the factors, q. */
typedef struct {
    const oxt_i_linear *system;
    size_t k, first_factor, q_at; /* q_at == k: no shared q */
    double *A, *right, *whole;    /* k by k; k; the diagonal before anything was taken off */
    double *mean, *row;           /* k; k */
} shared;

static bool has_shared_q(const oxt_i_linear *system)
{
    return !system->own_q && isnan(system->held_q);
}

static size_t shared_columns(const oxt_i_linear *system)
{
    return (system->shrunk ? 1 : 0) + system->factors + (has_shared_q(system) ? 1 : 0);
}

size_t oxt_i_linear_parameters(const oxt_i_linear *system)
{
    return shared_columns(system) + system->units + (system->own_q ? system->groups : 0);
}

size_t oxt_i_linear_space(const oxt_i_linear *system)
{
    size_t k = shared_columns(system);
    return k * k + 4 * k + 1;
}

static shared lay_out(const oxt_i_linear *system, double *space)
{
    shared made = { .system = system, .k = shared_columns(system) };
    size_t k = made.k;
    made.first_factor = system->shrunk ? 1 : 0;
    made.q_at = has_shared_q(system) ? k - 1 : k;
    made.A = space;
    made.right = space + k * k;
    made.whole = made.right + k;
    made.mean = made.whole + k;
    made.row = made.mean + k;
    memset(space, 0, (k * k + 4 * k) * sizeof *space);
    return made;
}

/* Cholesky's factor in place, lower triangle; false when the matrix has no inverse. */
static bool factorise(double *A, size_t k, const double *whole)
{
    static const double LEAST_PIVOT = 1e-13;
    for (size_t j = 0; j < k; j++) {
        for (size_t l = 0; l < j; l++)
            A[j * k + j] -= A[j * k + l] * A[j * k + l];
        if (!(A[j * k + j] > LEAST_PIVOT * whole[j]) || !isfinite(A[j * k + j]))
            return false;
        A[j * k + j] = sqrt(A[j * k + j]);
        for (size_t i = j + 1; i < k; i++) {
            for (size_t l = 0; l < j; l++)
                A[i * k + j] -= A[i * k + l] * A[j * k + l];
            A[i * k + j] /= A[j * k + j];
        }
    }
    return true;
}

/* The inverse of a matrix from its factor, in place, both triangles. */
static void invert(double *L, size_t k)
{
    for (size_t j = 0; j < k; j++) {
        L[j * k + j] = 1.0 / L[j * k + j];
        for (size_t i = j + 1; i < k; i++) {
            double sum = 0.0;
            for (size_t l = j; l < i; l++)
                sum -= L[i * k + l] * L[l * k + j];
            L[i * k + j] = sum / L[i * k + i];
        }
    }
    for (size_t i = 0; i < k; i++)
        for (size_t j = 0; j <= i; j++) {
            double sum = 0.0;
            for (size_t l = i; l < k; l++)
                sum += L[l * k + i] * L[l * k + j];
            L[j * k + i] = L[i * k + j] = sum;
        }
}

/* ---- units ---- */

/* The groups of a unit: `count` from `first` of by_unit. */
typedef struct {
    size_t unit, first, count;
} span;

static bool next_unit(const oxt_i_linear *system, span *at)
{
    at->first += at->count;
    at->count = 0;
    if (at->first == system->groups)
        return false;
    if (!system->by_unit) {
        at->unit = at->first;
        at->count = 1;
        return true;
    }
    at->unit = system->unit_of[system->by_unit[at->first]];
    while (at->first + at->count < system->groups &&
           system->unit_of[system->by_unit[at->first + at->count]] == at->unit)
        at->count++;
    return true;
}

static size_t group_at(const oxt_i_linear *system, const span *at, size_t i)
{
    return system->by_unit ? system->by_unit[at->first + i] : at->first + i;
}

/* What a group's rows have in each shared column but the mean of the rates; the weight is that of the group. */
static void fill_row(const shared *of, size_t group, double u, double *row)
{
    const oxt_i_linear *system = of->system;
    memset(row, 0, of->k * sizeof *row);
    if (system->factor_of && system->factor_of[group] != OXT_I_NO_FACTOR)
        row[of->first_factor + system->factor_of[group]] = 1.0;
    if (of->q_at < of->k)
        row[of->q_at] = -u;
}

/* z of a group less what a held q takes of it. */
static double z_of(const oxt_i_linear *system, const oxt_i_moments *group)
{
    return isnan(system->held_q) ? group->z : group->z + system->held_q * group->u;
}

/* Weights and weighted means of the rows of a unit; the means of the columns go to of->mean. */
static void unit_means(const shared *of, const span *at, const oxt_i_moments *groups, double *w,
                       double *z)
{
    if (at->count == 1) {
        const oxt_i_moments *group = &groups[group_at(of->system, at, 0)];
        fill_row(of, group_at(of->system, at, 0), group->u, of->mean);
        *w = group->w;
        *z = z_of(of->system, group);
        return;
    }
    *w = *z = 0.0;
    memset(of->mean, 0, of->k * sizeof *of->mean);
    for (size_t i = 0; i < at->count; i++) {
        size_t group = group_at(of->system, at, i);
        fill_row(of, group, groups[group].u, of->row);
        *w += groups[group].w;
        *z += groups[group].w * z_of(of->system, &groups[group]);
        for (size_t j = 0; j < of->k; j++)
            of->mean[j] += groups[group].w * of->row[j];
    }
    *z /= *w;
    for (size_t j = 0; j < of->k; j++)
        of->mean[j] /= *w;
}

static void add_row(shared *of, double weight, const double *row, double z)
{
    for (size_t a = 0; a < of->k; a++) {
        if (row[a] == 0.0)
            continue;
        of->right[a] += weight * row[a] * z;
        for (size_t b = 0; b <= a; b++)
            of->A[a * of->k + b] += weight * row[a] * row[b];
    }
}

/* The only group of a unit without a factor, as most are: its rows touch the mean of the rates and q at most. NULL for
 * others. */
static const oxt_i_moments *plain_group(const oxt_i_linear *system, const span *at,
                                        const oxt_i_moments *groups)
{
    size_t group = group_at(system, at, 0);
    bool has_factor = system->factor_of && system->factor_of[group] != OXT_I_NO_FACTOR;
    return at->count == 1 && !has_factor ? &groups[group] : NULL;
}

/* Such a unit as add_unit() has it. */
static double add_plain(shared *of, const oxt_i_moments *group)
{
    bool shrunk = of->system->shrunk, fitted = of->q_at < of->k;
    double *A = of->A + of->q_at * of->k; /* the row of q */
    double draws = shrunk ? of->system->between_sd * of->system->between_sd * group->w : 0.0;
    double weight = shrunk ? group->w / (1.0 + draws) : 0.0, z = z_of(of->system, group);
    if (shrunk) {
        of->A[0] += weight;
        of->right[0] += weight * z;
        of->whole[0] += weight;
    }
    if (shrunk && fitted)
        A[0] -= weight * group->u;
    if (fitted) {
        A[of->q_at] += group->uu + weight * group->u * group->u;
        of->right[of->q_at] -= group->uz + weight * group->u * z;
        of->whole[of->q_at] += group->uu + group->w * group->u * group->u;
    }
    return shrunk ? 1.0 + draws : group->w;
}

/* Rows of a unit with a rate of its own add to the shared columns what is left about their means; a rate that is a
 * draw adds to the mean of all besides. Return the pivot of its rate. */
static double add_unit(shared *of, const span *at, const oxt_i_moments *groups)
{
    const oxt_i_linear *system = of->system;
    const oxt_i_moments *plain = plain_group(system, at, groups);
    if (plain)
        return add_plain(of, plain);
    double w, z, between = system->between_sd * system->between_sd;
    unit_means(of, at, groups, &w, &z);
    for (size_t i = 0; i < at->count; i++) {
        const oxt_i_moments *group = &groups[group_at(system, at, i)];
        fill_row(of, group_at(system, at, i), group->u, of->row);
        for (size_t j = 0; j < of->k; j++) {
            of->whole[j] += group->w * of->row[j] * of->row[j];
            of->row[j] -= of->mean[j];
        }
        if (at->count > 1)
            add_row(of, group->w, of->row, z_of(system, group) - z);
        if (of->q_at < of->k) {
            of->A[of->q_at * of->k + of->q_at] += group->uu;
            of->right[of->q_at] -= group->uz;
            of->whole[of->q_at] += group->uu;
        }
    }
    if (!system->shrunk)
        return w;
    double weight = w / (1.0 + between * w);
    of->mean[0] = 1.0;
    of->whole[0] += weight;
    add_row(of, weight, of->mean, z);
    return 1.0 + between * w;
}

/* ---- a q for each group ---- */

/* The two constants of a group by its rows and the prior of q. */
static bool own_constants(const oxt_i_linear *system, const oxt_i_moments *group,
                          oxt_i_constants *made)
{
    double square = group->uu + system->prior_q_weight,
           whole = square + group->w * group->u * group->u;
    if (!(square > 1e-13 * whole) || !(group->w > 0.0))
        return false;
    made->q = (system->prior_q_weight * system->prior_q - group->uz) / square;
    made->b = group->z + made->q * group->u;
    made->variance_q = 1.0 / square;
    made->covariance = group->u / square;
    made->variance_b = 1.0 / group->w + group->u * made->covariance;
    made->factor = 0.0;
    return true;
}

static bool solve_own(const oxt_i_linear *system, const oxt_i_moments *groups,
                      oxt_i_constants *constants, oxt_i_linear_sums *sums)
{
    double between = system->between_sd * system->between_sd, weight = 0.0, mean = 0.0;
    for (size_t i = 0; i < system->groups; i++) {
        oxt_i_constants *at = &constants[i];
        if (!own_constants(system, &groups[i], at))
            return false;
        double variance = system->shrunk ? at->variance_b + between : 1.0;
        weight += 1.0 / variance;
        mean += at->b / variance;
        sums->ln_determinant += log(at->variance_q / (groups[i].w * variance));
    }
    if (!system->shrunk)
        return true;
    mean /= weight;
    sums->ln_determinant -= log(weight);
    for (size_t i = 0; i < system->groups; i++) {
        oxt_i_constants *at = &constants[i];
        double v = at->variance_b, shrinkage = v / (v + between), q_per_b = at->covariance / v;
        double moved = shrinkage * (mean - at->b),
               variance = (1.0 - shrinkage) * v + shrinkage * shrinkage / weight;
        at->b += moved;
        at->q += q_per_b * moved;
        at->variance_q += q_per_b * q_per_b * (variance - v);
        at->covariance = q_per_b * variance;
        at->variance_b = variance;
        if (between > 0.0)
            sums->chi_square += (at->b - mean) * (at->b - mean) / between;
    }
    return true;
}

/* ---- shared columns ---- */

/* Where the draw of a unit ends, with the square that it costs; a rate of its own stays where it is. */
static double drawn(const shared *of, double b, double shrinkage, oxt_i_linear_sums *sums)
{
    double between = of->system->between_sd * of->system->between_sd;
    if (!of->system->shrunk)
        return b;
    double draw = (1.0 - shrinkage) * (b - of->right[0]);
    if (between > 0.0)
        sums->chi_square += draw * draw / between;
    return of->right[0] + draw;
}

/* A unit of one group without a factor as unit_constants() has it. */
static oxt_i_constants plain_constants(const shared *of, const oxt_i_moments *group,
                                       oxt_i_linear_sums *sums)
{
    const oxt_i_linear *system = of->system;
    const double *A = of->A + of->q_at * of->k; /* the row of q */
    bool fitted = of->q_at < of->k, shrunk = system->shrunk;
    double between = system->between_sd * system->between_sd;
    double s = shrunk ? 1.0 / (1.0 + between * group->w) : 0.0, row_q = (1.0 - s) * group->u;
    double q = fitted ? of->right[of->q_at] : system->held_q, b = group->z + group->u * q;
    double qq = fitted ? A[of->q_at] : 0.0, q0 = fitted && shrunk ? A[0] : 0.0;
    double covariance = row_q * qq + s * q0;
    double own = shrunk ? s * (between + s * of->A[0] + row_q * q0) : 1.0 / group->w;
    return (
        oxt_i_constants){ drawn(of, b, s, sums), q, own + row_q * covariance, covariance, qq, 0.0 };
}

/* The constants of the groups of a unit from those that are shared, which stand in of->right, and their covariance
 * in of->A. */
static void unit_constants(shared *of, const span *at, const oxt_i_moments *groups,
                           oxt_i_constants *constants, oxt_i_linear_sums *sums)
{
    const oxt_i_linear *system = of->system;
    const oxt_i_moments *plain = plain_group(system, at, groups);
    if (plain) {
        constants[group_at(system, at, 0)] = plain_constants(of, plain, sums);
        return;
    }
    double w, z, between = system->between_sd * system->between_sd, b;
    unit_means(of, at, groups, &w, &z);
    double shrinkage = system->shrunk ? 1.0 / (1.0 + between * w) : 0.0;
    double own = system->shrunk ? between * shrinkage : 1.0 / w;
    b = z;
    for (size_t j = 0; j < of->k; j++)
        b -= of->mean[j] * of->right[j];
    b = drawn(of, b, shrinkage, sums);
    for (size_t i = 0; i < at->count; i++) {
        size_t group = group_at(system, at, i);
        oxt_i_constants *made = &constants[group];
        double variance = own, covariance = 0.0;
        fill_row(of, group, 0.0, of->row); /* its factor */
        if (system->shrunk)
            of->row[0] = shrinkage;
        made->factor = 0.0;
        for (size_t j = of->first_factor; j < of->first_factor + system->factors; j++)
            made->factor += of->row[j] * of->right[j];
        for (size_t j = system->shrunk ? 1 : 0; j < of->k; j++)
            of->row[j] -= (1.0 - shrinkage) * of->mean[j];
        for (size_t j = 0; j < of->k; j++) {
            double sum = 0.0;
            for (size_t l = 0; l < of->k; l++)
                sum += of->A[j * of->k + l] * of->row[l];
            variance += of->row[j] * sum;
            if (j == of->q_at)
                covariance = sum;
        }
        made->b = b + made->factor;
        made->variance_b = variance;
        made->covariance = covariance;
        made->q = of->q_at < of->k ? of->right[of->q_at] : system->held_q;
        made->variance_q = of->q_at < of->k ? of->A[of->q_at * of->k + of->q_at] : 0.0;
    }
}

static bool solve_shared(const oxt_i_linear *system, const oxt_i_moments *groups, double *space,
                         oxt_i_constants *constants, oxt_i_linear_sums *sums)
{
    shared of = lay_out(system, space);
    size_t k = of.k;
    double pivots = 1.0; /* of which a double holds sixteen */
    size_t count = 0;
    for (span at = { 0 }; next_unit(system, &at);) {
        pivots *= add_unit(&of, &at, groups);
        if (++count % 16 == 0 || count == system->units) {
            sums->ln_determinant -= log(pivots);
            pivots = 1.0;
        }
    }
    if (of.q_at < k) {
        of.A[of.q_at * k + of.q_at] += system->prior_q_weight;
        of.right[of.q_at] += system->prior_q_weight * system->prior_q;
        of.whole[of.q_at] += system->prior_q_weight;
    }
    if (!factorise(of.A, k, of.whole))
        return false;
    for (size_t j = 0; j < k; j++)
        sums->ln_determinant -= 2.0 * log(of.A[j * k + j]);
    invert(of.A, k);
    memcpy(of.row, of.right, k * sizeof *of.row);
    for (size_t j = 0; j < k; j++) {
        of.right[j] = 0.0;
        for (size_t l = 0; l < k; l++)
            of.right[j] += of.A[j * k + l] * of.row[l];
    }
    for (span at = { 0 }; next_unit(system, &at);)
        unit_constants(&of, &at, groups, constants, sums);
    return true;
}

bool oxt_i_linear_solve(const oxt_i_linear *system, const oxt_i_moments *groups, double *space,
                        oxt_i_constants *constants, oxt_i_linear_sums *sums)
{
    *sums = (oxt_i_linear_sums){ 0.0, 0.0 };
    for (size_t i = 0; i < system->groups; i++)
        if (!(groups[i].w > 0.0))
            return false;
    bool own = system->own_q || (system->groups == 1 && isnan(system->held_q));
    bool good = own ? solve_own(system, groups, constants, sums)
                    : solve_shared(system, groups, space, constants, sums);
    size_t qs = !good || !isnan(system->held_q) ? 0 : system->own_q ? system->groups : 1;
    for (size_t i = 0; i < qs; i++) {
        double off = constants[i].q - system->prior_q;
        sums->chi_square += system->prior_q_weight * off * off;
    }
    for (size_t i = 0; i < system->groups && good; i++) {
        sums->chi_square += oxt_i_moments_squares(&groups[i], constants[i].b, constants[i].q);
        good = isfinite(constants[i].b) && isfinite(constants[i].q);
    }
    return good && isfinite(sums->chi_square);
}
