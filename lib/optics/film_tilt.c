/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Light on the tilted facets of a finish. */
#include "base/quadrature.h"
#include "base/solve.h"
#include "optics/film.h"

/* Two stretches of 16 points along the plane of incidence, one of 16 across it, whose two sides are alike. */
enum { ALONG = 32, ACROSS = 16, FACETS = ALONG * ACROSS };

/* Facets by the cosine of the angle at which the light falls on them, and the light that each takes. */
typedef struct {
    double cosine[FACETS], light[FACETS];
    double in_s[FACETS]; /* share of s light that is s light to the facet */
} facets;

/* The slopes of the surface along and across the plane of incidence are normal, each with the deviation, and a facet
 * counts by the light that it takes: none where it faces away. What one facet hides of another is not counted. */
static void lay_facets(double angle_deg, double tilt_deg, facets *all)
{
    const double reach = 5.0, angle = angle_deg * OXT_I_PI / 180.0;
    const double deviation = tan(tilt_deg * OXT_I_PI / 180.0) / sqrt(2.0), most = reach * deviation;
    const double least = angle > 0.0 ? fmax(-most, -1.0 / tan(angle)) : -most;
    const double middle = 0.5 * (least + most);
    for (size_t i = 0; i < ALONG; i++)
        for (size_t j = 0; j < ACROSS; j++) {
            const size_t at = i * ACROSS + j;
            double along, across, wide, high;
            oxt_i_gauss_point(&oxt_i_gauss_16, i < 16 ? least : middle, i < 16 ? middle : most,
                              i % 16, &along, &wide);
            oxt_i_gauss_point(&oxt_i_gauss_16, 0.0, most, j, &across, &high);
            double square = along * along + across * across;
            double towards = cos(angle) + along * sin(angle),
                   aside = sin(angle) - along * cos(angle);
            all->cosine[at] = towards / sqrt(1.0 + square);
            all->light[at] = wide * high * towards * exp(-0.5 * square / (deviation * deviation));
            all->in_s[at] = aside * aside / (aside * aside + across * across);
        }
}

/* Polynomials orthogonal over the facets: p[k+1] = (x - mean[k]) p[k] - ratio[k] p[k-1]. */
typedef struct {
    size_t count;
    double mean[OXT_I_MOST_TILTS], ratio[OXT_I_MOST_TILTS], norm[OXT_I_MOST_TILTS];
} recurrence;

/* The last polynomial at x; what the others say of the weight there: the sum of p^2 over its norm. */
static double last_polynomial(const recurrence *rule, double x, double *sum)
{
    double before = 0.0, here = 1.0;
    *sum = 0.0;
    for (size_t k = 0; k < rule->count; k++) {
        double next = (x - rule->mean[k]) * here - rule->ratio[k] * before;
        *sum += here * here / rule->norm[k];
        before = here;
        here = next;
    }
    return here;
}

static double value_at(double x, void *context)
{
    double sum;
    return last_polynomial(context, x, &sum);
}

/* The procedure of Stieltjes, over points of any place x and weight. */
static void make_recurrence(const double *x, const double *weight, size_t count, recurrence *rule)
{
    double before[FACETS], here[FACETS], last_norm = 1.0;
    for (size_t i = 0; i < FACETS; i++) {
        before[i] = 0.0;
        here[i] = 1.0;
    }
    rule->count = count;
    for (size_t k = 0; k < count; k++) {
        double norm = 0.0, moment = 0.0;
        for (size_t i = 0; i < FACETS; i++) {
            norm += weight[i] * here[i] * here[i];
            moment += weight[i] * x[i] * here[i] * here[i];
        }
        rule->norm[k] = norm;
        rule->mean[k] = moment / norm;
        rule->ratio[k] = k > 0 ? norm / last_norm : 0.0;
        last_norm = norm;
        for (size_t i = 0; i < FACETS; i++) {
            double next = (x[i] - rule->mean[k]) * here[i] - rule->ratio[k] * before[i];
            before[i] = here[i];
            here[i] = next;
        }
    }
}

/* Zeros of the last polynomial, which lie between those of the one before it and the ends. */
static oxt_status find_zeros(recurrence rule, double low, double high, double *zeros,
                             oxt_error *error)
{
    const size_t count = rule.count;
    oxt_status status = OXT_OK;
    double ends[OXT_I_MOST_TILTS + 1] = { low, high };
    for (rule.count = 1; rule.count <= count && !status; rule.count++) {
        for (size_t i = 0; i < rule.count && !status; i++)
            status = oxt_i_find_root(value_at, &rule, ends[i], ends[i + 1], 1e-13, &zeros[i],
                                     error);
        for (size_t i = 0; i < rule.count && rule.count < count; i++)
            ends[i + 1] = zeros[i];
        if (rule.count < count)
            ends[rule.count + 1] = high;
    }
    return status;
}

static oxt_status find_tilts(const double *cosine, const double *weight, size_t count,
                             oxt_i_tilts *tilts, oxt_error *error)
{
    double whole = 0.0, mean = 0.0, square = 0.0, x[FACETS], low = HUGE_VAL, high = -HUGE_VAL;
    recurrence rule;
    for (size_t i = 0; i < FACETS; i++)
        whole += weight[i];
    for (size_t i = 0; i < FACETS; i++)
        mean += weight[i] / whole * cosine[i];
    for (size_t i = 0; i < FACETS; i++)
        square += weight[i] / whole * (cosine[i] - mean) * (cosine[i] - mean);
    const double deviation = sqrt(square);
    for (size_t i = 0; i < FACETS; i++) {
        x[i] = (cosine[i] - mean) / deviation;
        low = fmin(low, x[i]);
        high = fmax(high, x[i]);
    }
    make_recurrence(x, weight, count, &rule);
    double zeros[OXT_I_MOST_TILTS];
    oxt_status status = find_zeros(rule, low, high, zeros, error);
    for (size_t i = 0; i < count && !status; i++) {
        double sum;
        last_polynomial(&rule, zeros[i], &sum);
        tilts->cosine[i] = mean + deviation * zeros[i];
        tilts->weight[i] = 1.0 / sum;
    }
    tilts->count = count;
    return status;
}

oxt_status oxt_i_film_tilts(double angle_deg, double tilt_deg, oxt_polarisation polarisation,
                            oxt_i_tilts tilts[2], oxt_error *error)
{
    facets all;
    double whole = 0.0, part[FACETS];
    lay_facets(angle_deg, tilt_deg, &all);
    for (size_t i = 0; i < FACETS; i++)
        whole += all.light[i];
    /* Within these the reflectance is nearly a parabola of the cosine: 0.01 of CIEDE2000 at most. */
    const size_t count = angle_deg + tilt_deg <= 50.0 ? 3 : OXT_I_MOST_TILTS;
    oxt_status status = OXT_OK;
    for (int p = 0; p < 2 && !status; p++) {
        for (size_t i = 0; i < FACETS; i++) {
            double in_s = polarisation == OXT_POLARISATION_NONE ? 0.5
                          : polarisation == OXT_POLARISATION_S  ? all.in_s[i]
                                                                : 1.0 - all.in_s[i];
            part[i] = all.light[i] / whole * (p == 0 ? in_s : 1.0 - in_s);
        }
        status = find_tilts(all.cosine, part, count, &tilts[p], error);
    }
    return status;
}
