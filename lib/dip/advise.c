/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The next coupons that help most: how informative a coupon may be, and which ones to choose together. The
 * report is in advise_report.c. */
#include <stdlib.h>
#include <string.h>

#include "optics/tint.h"
#include "growth/law.h"
#include "dip/advise.h"
#include "dip/dip.h"

enum {
    SILVER = 9,      /* a plateau: its colour hardly changes */
    MOST_BATHS = 25, /* of the first search, which the last steps refine */
};

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

/* Step of the first search in ln x, a quarter of a usual band. */
static const double STEP_LN_X = 0.05;

/* A name that occurs in two orders counts for nothing where the other has more than this chance. */
static const double MISTAKEN = 0.05;

/* As in the fit: a film known better than this would not count for more. */
static const double LEAST_SIGMA = 1e-3;

/* Bands below the film that every part has before a dip end where next to nothing has grown. */
static const double LEAST_GROWN_NM = 1.0;

static const double CONFIDENCE = 0.95;

/* ln k_ref, q = Q/(R T_ref), and m of x growing as time^m, which only telling laws apart asks for. */
enum { OF_K, OF_Q, OF_M, PARAMETERS };

/* Their covariance. */
typedef struct {
    double of[PARAMETERS][PARAMETERS];
} spread;

/* Twice the gradient of ln x, and the gradient of -ln time, by them. */
typedef struct {
    double by[PARAMETERS];
} slopes;

static slopes at_offset(double inverse_T_offset)
{
    return (slopes){ { 1.0, -inverse_T_offset, 0.0 } };
}

static double variance_at(const spread *around, slopes g)
{
    double sum = 0.0;
    for (int i = 0; i < PARAMETERS; i++)
        for (int j = 0; j < PARAMETERS; j++)
            sum += g.by[i] * g.by[j] * around->of[i][j];
    return fmax(sum, 0.0);
}

/* One bath and time, and how informative it would be. */
typedef struct {
    double bath_K, time_s;
    slopes gradient;    /* by q: 1 - T_ref / bath_K without a thermal path */
    double ln_x;        /* expected; as all films here of the parabolic law that takes as long */
    double information; /* mean of 1 / variance of ln x as it will be read */
    double likely;      /* what three coupons in four give of it at least */
    double chance;      /* that it is informative at all */
} candidate;

typedef struct {
    oxt_steel_values steel;
    oxt_advise_options options;
    const oxt_film *film;
    double
        edges[OXT_TINT_COUNT + 1]; /* of its bands: films of the parabolic law that take as long */
    spread now;
    spread chosen_by;   /* what coupons are chosen by: the same, or with m free */
    double middle_ln_x; /* about which the law bends */
    slopes dip;         /* of the dip that the coupons are for */
    oxt_i_usual usual;  /* the coupon of the card, as which these will be run */
    const oxt_part
        *part; /* its part and lift; NULL: at bath temperature at once, quenched at once */
    const oxt_lift *lift;
    candidate *candidates;
    size_t count;
} search;

/* ---- how informative a coupon may be ---- */

static double normal_below(double z)
{
    return 0.5 * erfc(-z / sqrt(2.0));
}

/* Chance of each band when ln x is spread about its expectation. */
static void band_chances(const search *in, double ln_x, double deviation,
                         double chances[OXT_TINT_COUNT])
{
    double below = 0.0;
    for (int band = 0; band < OXT_TINT_COUNT; band++) {
        double end = normal_below((log(in->edges[band + 1]) - ln_x) / deviation);
        chances[band] = fmax(end - below, 0.0);
        below = end;
    }
}

static bool is_informative(const search *in, int band, const double chances[OXT_TINT_COUNT])
{
    if (band == 0 || band == SILVER)
        return false;
    if (band >= OXT_I_FIRST_OF_SECOND && in->options.highest_order < 2)
        return false;
    int other = oxt_i_tint_other(band);
    return other < 0 || chances[other] <= MISTAKEN * (chances[band] + chances[other]);
}

/* Variance of ln x from one coupon to the next; the coupons are taken to run on days of their own. */
static double coupon_variance(const search *in)
{
    return in->steel.scatter * in->steel.scatter + in->steel.day_sd * in->steel.day_sd;
}

/* Variance of ln x as read off a band. */
static double read_variance(const search *in, int band)
{
    double width = log(in->edges[band + 1] / in->edges[band]) / sqrt(12.0);
    width = fmax(width, LEAST_SIGMA);
    return coupon_variance(in) + width * width;
}

static int band_of(const search *in, double ln_x)
{
    int band = 0;
    while (band < OXT_TINT_COUNT && ln_x >= log(in->edges[band + 1]))
        band++;
    return band;
}

/* What so many of the coupons give at least, where each band gives its own. */
static double information_of_most(const double information[OXT_TINT_COUNT],
                                  const double chances[OXT_TINT_COUNT])
{
    static const double MOST = 0.75;
    double best = 0.0;
    for (int i = 0; i < OXT_TINT_COUNT; i++) {
        double chance = 0.0;
        for (int j = 0; j < OXT_TINT_COUNT; j++)
            chance += information[j] >= information[i] ? chances[j] : 0.0;
        if (chance >= MOST)
            best = fmax(best, information[i]);
    }
    return best;
}

/* ln of the equivalent time of a coupon at bath temperature; NaN when it has none. */
static double ln_equivalent(const search *in, double q, double bath_K, double time_s)
{
    oxt_growth growth = in->steel.growth;
    oxt_i_thermal_path path;
    if (!in->part && !in->lift)
        return log(time_s);
    growth.Q_J_per_mol = q * R * growth.T_ref_K;
    if (oxt_i_thermal_path_prepare(&path, &growth, in->part, in->lift, bath_K, NULL, NULL))
        return NAN;
    return log(oxt_i_thermal_path_equivalent(&path, time_s));
}

/* False where the time is not allowed, or the colour expected is not informative. */
static bool weigh(const search *in, double bath_K, double time_s, candidate *made)
{
    const oxt_growth *growth = &in->steel.growth;
    if (!(time_s >= in->options.shortest_s && time_s <= in->options.longest_s))
        return false;
    made->bath_K = bath_K;
    made->time_s = time_s;
    double offset = growth->T_ref_K / bath_K - 1.0;
    double q = growth->Q_J_per_mol / (R * growth->T_ref_K), dq = 1e-4 * (1.0 + q);
    double ln_s = ln_equivalent(in, q, bath_K, time_s);
    made->ln_x = 0.5 * (log(growth->k_ref_nm2_per_s) - q * offset + ln_s);
    if (in->part || in->lift)
        offset -= (ln_equivalent(in, q + dq, bath_K, time_s) - ln_s) / dq;
    made->gradient = at_offset(offset);
    made->gradient.by[OF_M] = 4.0 * (made->ln_x - in->middle_ln_x);
    if (!isfinite(made->ln_x) || !isfinite(offset))
        return false;
    double variance = 0.25 * variance_at(&in->now, made->gradient) + coupon_variance(in);
    double chances[OXT_TINT_COUNT];
    band_chances(in, made->ln_x, sqrt(variance) + 1e-9, chances);
    double information[OXT_TINT_COUNT] = { 0.0 };
    made->information = made->chance = 0.0;
    for (int band = 0; band < OXT_TINT_COUNT; band++)
        if (chances[band] > 0.0 && is_informative(in, band, chances)) {
            made->chance += chances[band];
            information[band] = 1.0 / read_variance(in, band);
            made->information += chances[band] * information[band];
        }
    made->likely = information_of_most(information, chances);
    int expected = band_of(in, made->ln_x);
    return expected < OXT_TINT_COUNT && is_informative(in, expected, chances) && made->chance > 0.0;
}

/* ---- what coupons leave uncertain ---- */

/* The covariance after one more coupon of so much information; by how much its determinant shrinks. */
static double update_covariance(spread *around, const candidate *coupon, double information)
{
    double moved[PARAMETERS] = { 0.0 };
    information *= 0.25;
    for (int i = 0; i < PARAMETERS; i++)
        for (int j = 0; j < PARAMETERS; j++)
            moved[i] += around->of[i][j] * coupon->gradient.by[j];
    double factor = 1.0 / (1.0 + information * variance_at(around, coupon->gradient));
    for (int i = 0; i < PARAMETERS; i++)
        for (int j = 0; j < PARAMETERS; j++)
            around->of[i][j] -= information * factor * moved[i] * moved[j];
    return factor;
}

/* What is to be made small. */
static double objective(const search *in, const candidate *coupons, size_t count)
{
    spread after = in->chosen_by;
    double shrunk = 1.0;
    for (size_t i = 0; i < count; i++)
        shrunk *= update_covariance(&after, &coupons[i], coupons[i].information);
    switch (in->options.criterion) {
    case OXT_ADVISE_CONSTANTS:
        return shrunk;
    case OXT_ADVISE_LAW:
        return after.of[OF_M][OF_M];
    default:
        return variance_at(&after, in->dip);
    }
}

/* ---- searching ---- */

/* The first bath, then whole kelvins above it, and the last. */
static double bath_at(const search *in, size_t index, size_t stride)
{
    return fmin(in->options.low_K + (double)(index * stride), in->options.high_K);
}

static size_t films_of(const search *in)
{
    double span = log(in->edges[OXT_TINT_COUNT] / in->edges[1]);
    return (size_t)ceil(span / STEP_LN_X) + 1;
}

/* What a coupon that stays until it is hot loses of its time, less what its lift adds. */
static double whole_loss_s(const search *in, double bath_K)
{
    oxt_i_thermal_path path;
    if (oxt_i_thermal_path_prepare(&path, &in->steel.growth, in->part, in->lift, bath_K, NULL,
                                   NULL))
        return NAN;
    const double long_s = oxt_i_heating_settled_s(&path.part);
    return long_s - oxt_i_thermal_path_equivalent(&path, long_s);
}

static void add_films(search *in, double bath_K)
{
    size_t films = films_of(in);
    double rate, loss_s = whole_loss_s(in, bath_K);
    if (oxt_rate(&in->steel.growth, bath_K, &rate, NULL) || !(rate > 0.0) || isnan(loss_s))
        return;
    for (size_t i = 0; i < films; i++) {
        double ln_x = log(in->edges[1]) + ((double)i + 0.5) * STEP_LN_X;
        double time_s = round(exp(2.0 * ln_x) / rate + loss_s);
        if (weigh(in, bath_K, time_s, &in->candidates[in->count]))
            in->count++;
    }
}

static oxt_status list_candidates(search *in, oxt_error *error)
{
    double span_K = in->options.high_K - in->options.low_K;
    static const double MOST_LN_X =
        500.0; /* of a law that gives its colours no times a clock could tell apart */
    if (!(fabs(log(in->edges[1])) < MOST_LN_X && fabs(log(in->edges[OXT_TINT_COUNT])) < MOST_LN_X))
        return oxt_i_fail_text(
            error, OXT_EUNREACHABLE, "steel",
            "by the law of the card of %s its colours take times beyond all measure",
            in->steel.steel);
    size_t stride = (size_t)ceil(fmax(span_K, 1.0) / (MOST_BATHS - 1));
    size_t baths = (size_t)ceil(span_K / (double)stride) + 1;
    in->candidates = malloc(baths * films_of(in) * sizeof *in->candidates);
    if (!in->candidates)
        return oxt_i_no_memory(error);
    for (size_t i = 0; i < baths; i++)
        add_films(in, bath_at(in, i, stride));
    if (in->count)
        return OXT_OK;
    return oxt_i_fail_text(
        error, OXT_EUNREACHABLE, "options",
        "no bath from %s to %s shows, after %g to %g s, a colour that is informative about %s",
        oxt_i_mark(in->options.low_K, NULL).text, oxt_i_mark(in->options.high_K, NULL).text,
        in->options.shortest_s, in->options.longest_s, in->steel.steel);
}

/* Put the best candidate in one place, of one bath where it is a number; true when it is better than the one there. */
static bool improve(const search *in, candidate *coupons, size_t place, size_t count, double bath_K,
                    double *least)
{
    candidate best = coupons[place];
    bool better = false;
    for (size_t i = 0; i < in->count; i++) {
        if (!isnan(bath_K) && in->candidates[i].bath_K != bath_K)
            continue;
        coupons[place] = in->candidates[i];
        double now = objective(in, coupons, count);
        if (now < *least * (1.0 - 1e-9)) {
            *least = now;
            best = in->candidates[i];
            better = true;
        }
    }
    coupons[place] = best;
    return better;
}

/* One by one, of one bath or of any, then one exchanged for a better one until there is none; how good they are. */
static double choose_from(const search *in, candidate *coupons, double bath_K)
{
    enum { MOST_TURNS = 50 };
    double least = HUGE_VAL;
    for (size_t i = 0; i < in->options.count; i++) {
        least = HUGE_VAL;
        coupons[i] = in->candidates[0];
        improve(in, coupons, i, i + 1, bath_K, &least);
    }
    for (int turn = 0; turn < MOST_TURNS; turn++) {
        bool better = false;
        for (size_t i = 0; i < in->options.count; i++)
            better = improve(in, coupons, i, in->options.count, NAN, &least) || better;
        if (!better)
            break;
    }
    return least;
}

/* To tell laws apart, a thin film and a thick one of one bath help, of which neither does alone: it is begun in the first,
 * the middle and the last bath too. */
static void choose(const search *in, candidate *coupons)
{
    candidate other[OXT_ADVICE_HIGH];
    double least = choose_from(in, coupons, NAN);
    for (size_t i = 0; i < 3 && in->options.criterion == OXT_ADVISE_LAW; i++) {
        double now = choose_from(in, other, in->candidates[i * (in->count - 1) / 2].bath_K);
        if (now < least) {
            least = now;
            memcpy(coupons, other, sizeof other);
        }
    }
}

/* Move one coupon by some kelvins and a share of its time, if that helps. */
static bool nudge(const search *in, candidate *coupons, size_t place, double kelvins, double share)
{
    candidate kept = coupons[place];
    double before = objective(in, coupons, in->options.count);
    double bath_K = in->options.low_K + round(kept.bath_K - in->options.low_K + kelvins);
    bath_K = fmin(fmax(bath_K, in->options.low_K), in->options.high_K);
    /* a hotter bath for the same film */
    double q = in->steel.growth.Q_J_per_mol / R;
    double time_s = kept.time_s * exp(q * (1.0 / bath_K - 1.0 / kept.bath_K)) * (1.0 + share);
    if (weigh(in, bath_K, round(time_s), &coupons[place]) &&
        objective(in, coupons, in->options.count) < before * (1.0 - 1e-9))
        return true;
    coupons[place] = kept;
    return false;
}

static void refine(const search *in, candidate *coupons)
{
    static const double kelvins[] = { 0.0, 0.0, -1.0, 1.0, -4.0, 4.0 };
    static const double shares[] = { -0.02, 0.02, 0.0, 0.0, 0.0, 0.0 };
    enum { MOST_TURNS = 40 };
    for (int turn = 0; turn < MOST_TURNS; turn++) {
        bool better = false;
        for (size_t i = 0; i < in->options.count; i++)
            for (size_t move = 0; move < OXT_I_COUNT(kelvins); move++)
                better = nudge(in, coupons, i, kelvins[move], shares[move]) || better;
        if (!better)
            break;
    }
}

/* The one that helps most first, and so on. */
static void put_in_order(const search *in, candidate *coupons)
{
    for (size_t i = 0; i < in->options.count; i++) {
        size_t best = i;
        double least = HUGE_VAL;
        for (size_t j = i; j < in->options.count; j++) {
            candidate kept = coupons[i];
            coupons[i] = coupons[j];
            double now = objective(in, coupons, i + 1);
            coupons[i] = kept;
            if (now < least * (1.0 - 1e-9)) {
                least = now;
                best = j;
            }
        }
        candidate first = coupons[best];
        coupons[best] = coupons[i];
        coupons[i] = first;
    }
}

/* ---- checking ---- */

static oxt_status check_options(oxt_advise_options *options, oxt_error *error)
{
    oxt_status status = oxt_i_check(error, "low_K", options->low_K, OXT_BATH_LOW_K, OXT_BATH_HIGH_K,
                                    OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check_order(error, options->low_K, options->high_K, true);
    const oxt_i_limit limits[] = {
        { "high_K", options->high_K, options->low_K, OXT_BATH_HIGH_K, OXT_I_CLOSED },
        { "longest_s", options->longest_s, 0.0, OXT_TIME_HIGH_S, OXT_I_OPEN_LOW },
        { "shortest_s", options->shortest_s, 0.0, options->longest_s, OXT_I_OPEN_LOW },
        { "count", (double)options->count, 1.0, OXT_ADVICE_HIGH, OXT_I_CLOSED },
    };
    if (!status)
        status = oxt_i_check_all(error, limits, OXT_I_COUNT(limits));
    if (!status)
        status = oxt_i_check_choice("criterion", (int)options->criterion, OXT_ADVISE_LAW, error);
    if (!status && options->highest_order != 1 && options->highest_order != 2)
        status = oxt_i_fail(error, OXT_EARG, "highest_order", options->highest_order, 1.0, 2.0,
                            "highest_order is %d, expected 1 or 2", options->highest_order);
    if (status)
        return status;
    if (options->target_bath_K == 0.0)
        options->target_bath_K = 2.0 / (1.0 / options->low_K + 1.0 / options->high_K);
    return oxt_i_check(error, "target_bath_K", options->target_bath_K, OXT_BATH_LOW_K,
                       OXT_BATH_HIGH_K, OXT_I_CLOSED);
}

/* The dip that the coupons are for, of a part like them: how long, and how Q moves it. */
static oxt_status take_target(oxt_advise *made, search *in, const oxt_steel *steel,
                              oxt_error *error)
{
    oxt_i_dip_plan plan;
    oxt_dip dip;
    oxt_i_thermal_path_slopes moves;
    if (!in->options.target)
        return OXT_OK;
    oxt_status status = oxt_i_dip_prepare(&plan, steel, in->options.target, made->bath_K, NULL,
                                          error);
    if (!status)
        status = oxt_i_dip_fill(&plan, &dip, &moves, error);
    if (status)
        return status;
    made->time_s = dip.time_s;
    in->dip = at_offset(-moves.per_Q * R * in->steel.growth.T_ref_K);
    oxt_i_copy_text(made->target, sizeof made->target, plan.target.text);
    return OXT_OK;
}

/* What is known of m: by the trials of the card, or before any. About the middle film its error hardly goes with those of
 * the rate and Q. */
static void take_exponent(search *in, oxt_advise *made)
{
    const oxt_steel_values *steel = &in->steel;
    bool known = steel->time_exponent_stderr > 0.0;
    double middle_nm = oxt_i_dip_middle_nm(steel);
    if (!(middle_nm > 0.0)) /* without trials: of the films of the first order */
        middle_nm = oxt_i_equal_nm(&steel->growth, sqrt(oxt_i_film_edges(in->film)[1] *
                                                        oxt_i_film_edges(in->film)[SILVER]));
    in->middle_ln_x = log(middle_nm);
    made->exponent = known ? steel->time_exponent : OXT_I_USUAL_EXPONENT;
    made->exponent_stderr = known ? steel->time_exponent_stderr : OXT_I_USUAL_EXPONENT_SD;
    in->now.of[OF_M][OF_M] = made->exponent_stderr * made->exponent_stderr;
    /* The errors of the card are those with its law held. With m free they are about twice as large in young logs, and
     * without that two films of the same side would seem to tell m. */
    in->chosen_by = in->now;
    for (int i = 0; i < OF_M; i++)
        for (int j = 0; j < OF_M; j++)
            in->chosen_by.of[i][j] *= 4.0;
}

static oxt_status take(search *in, oxt_advise *made, const oxt_steel *owner, oxt_error *error)
{
    const oxt_steel_values *steel = &in->steel;
    oxt_status status = oxt_i_dip_check_dof(steel->dof, error);
    if (status)
        return status;
    double T_ref_K = steel->growth.T_ref_K, scale = R * T_ref_K;
    double of_kq = steel->covariance_J_per_mol / scale;
    in->now = (spread){ { { steel->variance_ln_k, of_kq },
                          { of_kq, steel->variance_Q_J2_per_mol2 / (scale * scale) } } };
    in->dip = at_offset(T_ref_K / in->options.target_bath_K - 1.0);
    if (in->options.criterion == OXT_ADVISE_LAW)
        take_exponent(in, made);
    else
        in->chosen_by = in->now;
    made->criterion = in->options.criterion;
    made->bath_K = in->options.target_bath_K;
    made->count = in->options.count;
    oxt_i_snprintf(made->name, sizeof made->name, "%s%s%s", steel->steel,
                   steel->finish[0] ? ", " : "", steel->finish);
    status = oxt_i_take_usual(&in->usual, steel, &in->part, &in->lift, NULL, NULL, error);
    if (!status)
        status = take_target(made, in, owner, error);
    if (status)
        return status;
    if (in->part || in->lift)
        oxt_i_path_text(&in->usual.part, &in->usual.lift, made->coupon, sizeof made->coupon);
    made->now = oxt_i_t_quantile(CONFIDENCE, steel->dof) * sqrt(variance_at(&in->now, in->dip));
    if (made->now > 0.0)
        return OXT_OK;
    return oxt_i_fail(error, OXT_EUNREACHABLE, "steel", 0.0, NAN, NAN,
                      "the card of %s states no error for a dip at %s: no coupon can make it "
                      "smaller",
                      made->name, oxt_i_mark(made->bath_K, NULL).text);
}

/* ---- making it ---- */

/* The half width after so many coupons: what it will be on average, and what three refits in four do not exceed. A refit
 * estimates the scatter anew: one coupon more moves the estimate by 1/(root of 2 dof) of itself, up as often as down, and
 * the first of a card without trials brings one. */
static double expected_half_width(const search *in, const spread *after, size_t coupons)
{
    return oxt_i_t_quantile(CONFIDENCE, in->steel.dof + (double)coupons) *
           sqrt(variance_at(after, in->dip));
}

static double likely_half_width(const search *in, const spread *after, size_t coupons)
{
    static const double FIRST_DOF = 4.0, QUARTILE = 0.67449;
    double dof = in->steel.trial_count == 0 ? fmin(in->steel.dof, FIRST_DOF) : in->steel.dof;
    dof += (double)coupons;
    return oxt_i_t_quantile(CONFIDENCE, dof) * (1.0 + QUARTILE / (sqrt(2.0) * dof)) *
           sqrt(variance_at(after, in->dip));
}

static oxt_status fill(oxt_advise *made, const search *in, const candidate *coupons,
                       uint32_t cautions, oxt_error *error)
{
    spread after = in->now, likely = in->now;
    double least = made->now; /* a coupon that may show nothing takes nothing away */
    for (size_t i = 0; i < made->count; i++) {
        oxt_advised_coupon *coupon = &made->coupons[i];
        oxt_tint tint = OXT_TINT_INIT;
        update_covariance(&after, &coupons[i], coupons[i].information);
        update_covariance(&likely, &coupons[i], coupons[i].likely);
        *coupon = (oxt_advised_coupon)OXT_ADVISED_COUPON_INIT;
        coupon->bath_K = coupons[i].bath_K;
        coupon->time_s = coupons[i].time_s;
        coupon->count = made->count;
        coupon->thickness_nm = oxt_i_film_of(&in->steel.growth, exp(2.0 * coupons[i].ln_x));
        coupon->chance = fmin(coupons[i].chance, 1.0);
        least = fmin(least, likely_half_width(in, &likely, i + 1));
        coupon->half_width = least;
        coupon->interval_ratio = expected_half_width(in, &after, i + 1) / made->now;
        coupon->exponent_stderr = sqrt(after.of[OF_M][OF_M]);
        oxt_status status = oxt_tint_band(in->film, band_of(in, coupons[i].ln_x), &tint, error);
        if (status)
            return status;
        coupon->cautions = oxt_i_salt_cautions(OXT_SALT_UNSTATED, coupon->bath_K) | cautions;
        memcpy(coupon->label, tint.label, sizeof coupon->label);
    }
    return OXT_OK;
}

static oxt_status advise(oxt_advise *made, search *in, const oxt_steel *owner, oxt_error *error)
{
    candidate coupons[OXT_ADVICE_HIGH];
    char description[128];
    oxt_status status = take(in, made, owner, error);
    if (!status)
        status = oxt_film_description(in->film, description, sizeof description, NULL, error);
    if (!status)
        status = list_candidates(in, error);
    if (status)
        return status;
    choose(in, coupons);
    refine(in, coupons);
    put_in_order(in, coupons);
    bool other_film = in->steel.description[0] && strcmp(description, in->steel.description) != 0;
    return fill(made, in, coupons, other_film ? OXT_CAUTION_OTHER_OPTICS : 0, error);
}

oxt_status oxt_advise_run(oxt_advise **advice, const oxt_steel *steel, const oxt_film *film,
                          const oxt_advise_options *options, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (advice)
        *advice = NULL;
    if (!advice || !steel || !film)
        return oxt_i_null(error, !advice ? "advice" : !steel ? "steel" : "film");
    search in = { .steel = OXT_STEEL_VALUES_INIT,
                  .options = OXT_ADVISE_OPTIONS_INIT,
                  .film = film };
    oxt_status status = oxt_steel_get(steel, &in.steel, error);
    for (int i = 0; i <= OXT_TINT_COUNT && !status; i++)
        in.edges[i] = oxt_i_equal_nm(&in.steel.growth, oxt_i_film_edges(film)[i]);
    for (int i = 1; i <= OXT_TINT_COUNT && in.steel.growth.initial_nm > 0.0; i++)
        in.edges[i] = fmax(in.edges[i], LEAST_GROWN_NM);
    if (!status && options)
        status = OXT_I_STRUCT_IN(oxt_advise_options, &in.options, options, "options", error);
    if (!status)
        status = check_options(&in.options, error);
    if (status)
        return status;
    oxt_advise *made = calloc(1, sizeof *made);
    if (!made)
        return oxt_i_no_memory(error);
    status = advise(made, &in, steel, error);
    free(in.candidates);
    if (status) {
        free(made);
        return status;
    }
    *advice = made;
    return OXT_OK;
}

void oxt_advise_free(oxt_advise *advice)
{
    free(advice);
}

oxt_status oxt_advise_get(const oxt_advise *advice, size_t index, oxt_advised_coupon *coupon,
                          oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!advice || !coupon)
        return oxt_i_null(error, advice ? "coupon" : "advice");
    oxt_status status = oxt_i_check_index(error, index, advice->count);
    return status ? status
                  : OXT_I_STRUCT_OUT(oxt_advised_coupon, coupon, &advice->coupons[index], "coupon",
                                     error);
}
