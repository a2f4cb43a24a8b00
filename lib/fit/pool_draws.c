/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rates and Qs as draws from a common normal each: z = b - q u, with b about its mean and q about its own. The equations
 * of the mixed model of C. R. Henderson (pool.h), two random effects of each group and their two means, from the
 * moments of its rows. Matrices of two by two are { first, off, second } where they are symmetric. */
#include <math.h>

#include "fit/pool.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

typedef struct {
    double bb, bq, qq;
} symmetric;

typedef struct {
    double b, q;
} pair;

/* What a group's rows say of its (b, q): their information, and that times the values. */
typedef struct {
    symmetric weight;
    pair pull;
} said;

static said said_by(const oxt_i_moments *rows)
{
    double w = rows->w, u = rows->u, z = rows->z;
    return (said){ { w, -w * u, w * u * u + rows->uu }, { w * z, -w * u * z - rows->uz } };
}

/* Of one group at given variances D of the draws: (D + J^-1)^-1 with J its information, the same times its values,
 * ln det(I + D J), and the part of its squares that these do not leave out. */
typedef struct {
    symmetric weight;
    pair pull;
    double ln_determinant, explained;
} marginal;

static marginal marginal_of(const said *rows, double between, double between_q)
{
    const symmetric *j = &rows->weight;
    /* I + J D */
    double a = 1.0 + j->bb * between, b = j->bq * between_q, c = j->bq * between,
           d = 1.0 + j->qq * between_q, determinant = a * d - b * c;
    pair pull = { (d * rows->pull.b - b * rows->pull.q) / determinant,
                  (a * rows->pull.q - c * rows->pull.b) / determinant };
    return (marginal){ { (d * j->bb - b * j->bq) / determinant,
                         (d * j->bq - b * j->qq) / determinant,
                         (a * j->qq - c * j->bq) / determinant },
                       pull,
                       log(determinant),
                       between * rows->pull.b * pull.b + between_q * rows->pull.q * pull.q };
}

/* The two means with their covariance, and the restricted likelihood but for a constant. */
typedef struct {
    pair at;
    symmetric covariance;
    double ln_likelihood;
} means;

static means means_at(const oxt_i_fit_solution *of, double between, double between_q)
{
    const oxt_i_prior_row *prior = &of->model.prior[0];
    double of_prior = of->model.prior_count > 0 ? prior->weight : 0.0;
    symmetric sum = { 0.0, 0.0, of_prior };
    pair pull = { 0.0, of_prior > 0.0 ? of_prior * prior->value : 0.0 };
    double likelihood = 0.0;
    for (size_t g = 0; g < of->model.set_count; g++) {
        said rows = said_by(&of->moments[g]);
        marginal group = marginal_of(&rows, between, between_q);
        sum.bb += group.weight.bb;
        sum.bq += group.weight.bq;
        sum.qq += group.weight.qq;
        pull.b += group.pull.b;
        pull.q += group.pull.q;
        likelihood += 0.5 * (group.explained - group.ln_determinant);
    }
    double determinant = sum.bb * sum.qq - sum.bq * sum.bq;
    means made = { { (sum.qq * pull.b - sum.bq * pull.q) / determinant,
                     (sum.bb * pull.q - sum.bq * pull.b) / determinant },
                   { sum.qq / determinant, -sum.bq / determinant, sum.bb / determinant },
                   0.0 };
    made.ln_likelihood = likelihood + 0.5 * (pull.b * made.at.b + pull.q * made.at.q) -
                         0.5 * log(determinant);
    return made;
}

/* A group's own (b, q) at given variances: from the means towards what its rows say, with the errors of both. */
static oxt_i_constants drawn(const said *rows, const means *of, double between, double between_q)
{
    marginal group = marginal_of(rows, between, between_q);
    const symmetric *w = &group.weight, *c = &of->covariance;
    /* the share of the means in it, I - D W */
    double bb = 1.0 - between * w->bb, bq = -between * w->bq, qb = -between_q * w->bq,
           qq = 1.0 - between_q * w->qq;
    oxt_i_constants made = { 0 };
    made.b = bb * of->at.b + bq * of->at.q + between * group.pull.b;
    made.q = qb * of->at.b + qq * of->at.q + between_q * group.pull.q;
    made.variance_b = between * bb + bb * bb * c->bb + 2.0 * bb * bq * c->bq + bq * bq * c->qq;
    made.covariance = between * qb + bb * qb * c->bb + (bb * qq + bq * qb) * c->bq +
                      bq * qq * c->qq;
    made.variance_q = between_q * qq + qb * qb * c->bb + 2.0 * qb * qq * c->bq + qq * qq * c->qq;
    return made;
}

/* ---- how wide the draws lie ---- */

enum { POINTS = 24 };

/* Standard deviations of the rates and the Qs, and how likely they are: the answer is a mixture over all of these. */
typedef struct {
    double between, between_q, share;
    means of;
} node;

typedef struct {
    node nodes[POINTS * POINTS];
    size_t count;
} widths;

/* The i-th of equally likely ones under a half-Cauchy prior, as of the rates alone (pool_shrink.c); or what is given. */
static double point(double given, double scale, size_t i)
{
    return given < 0.0 ? scale * tan(0.5 * OXT_I_PI * ((double)i + 0.5) / POINTS) : given;
}

/* Negative: to be estimated. */
static void find_widths(widths *found, const oxt_i_fit_solution *of, double between_sd,
                        double between_q_sd)
{
    static const double USUAL = 0.5, USUAL_Q_J_PER_MOL = 5e3;
    double usual_q = USUAL_Q_J_PER_MOL / (R * of->model.T_ref_K), most = -HUGE_VAL, sum = 0.0;
    size_t rates = between_sd < 0.0 ? POINTS : 1, qs = between_q_sd < 0.0 ? POINTS : 1;
    found->count = rates * qs;
    for (size_t i = 0; i < found->count; i++) {
        node *at = &found->nodes[i];
        at->between = point(between_sd, USUAL, i / qs);
        at->between_q = point(between_q_sd, usual_q, i % qs);
        at->of = means_at(of, at->between * at->between, at->between_q * at->between_q);
        most = fmax(most, at->of.ln_likelihood);
    }
    for (size_t i = 0; i < found->count; i++)
        sum += found->nodes[i].share = exp(found->nodes[i].of.ln_likelihood - most);
    for (size_t i = 0; i < found->count; i++)
        found->nodes[i].share /= sum;
}

/* A mixture grows by a part: mean, and second moments about nothing. */
static void mix(oxt_i_constants *sum, double share, const oxt_i_constants *part)
{
    sum->b += share * part->b;
    sum->q += share * part->q;
    sum->variance_b += share * (part->variance_b + part->b * part->b);
    sum->covariance += share * (part->covariance + part->b * part->q);
    sum->variance_q += share * (part->variance_q + part->q * part->q);
}

static void end_mix(oxt_i_constants *sum)
{
    sum->variance_b -= sum->b * sum->b;
    sum->covariance -= sum->b * sum->q;
    sum->variance_q -= sum->q * sum->q;
}

static void draw(oxt_i_fit_solution *shrunk, double between_sd, double between_Q_sd_J_per_mol,
                 oxt_i_pool_Qs *made)
{
    double unit = R * shrunk->model.T_ref_K;
    widths found;
    find_widths(&found, shrunk, between_sd, between_Q_sd_J_per_mol / unit);
    *made = (oxt_i_pool_Qs){ 0 };
    for (size_t i = 0; i < found.count; i++) {
        const node *at = &found.nodes[i];
        const symmetric *c = &at->of.covariance;
        oxt_i_constants part = { at->of.at.b, at->of.at.q, c->bb, c->bq, c->qq, 0.0 };
        made->between_sd_J_per_mol += unit * at->share * at->between_q;
        mix(&made->mean, at->share, &part);
    }
    end_mix(&made->mean);
    for (size_t g = 0; g < shrunk->model.set_count; g++) {
        said rows = said_by(&shrunk->moments[g]);
        oxt_i_constants sum = { 0 };
        for (size_t i = 0; i < found.count; i++) {
            const node *at = &found.nodes[i];
            oxt_i_constants part = drawn(&rows, &at->of, at->between * at->between,
                                         at->between_q * at->between_q);
            mix(&sum, at->share, &part);
        }
        end_mix(&sum);
        shrunk->at[g] = sum;
    }
}

oxt_status oxt_i_pool_draw_Qs(oxt_i_fit_solution *shrunk, double between_sd,
                              double between_Q_sd_J_per_mol, oxt_i_pool_Qs *made, oxt_error *error)
{
    enum { ROUNDS = 3 }; /* the aims within bands follow the constants, which then hardly move */
    oxt_status status = OXT_OK;
    draw(shrunk, between_sd, between_Q_sd_J_per_mol, made);
    for (int i = 1; i < ROUNDS && !status && !oxt_i_fit_is_fixed(shrunk); i++) {
        status = oxt_i_fit_weigh_again(shrunk, error);
        draw(shrunk, between_sd, between_Q_sd_J_per_mol, made);
    }
    return status;
}
