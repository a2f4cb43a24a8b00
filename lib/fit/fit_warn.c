/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Warnings of a fit or a pool. */
#include <stdlib.h>

#include "fit/fit.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

/* ---- rows ---- */

/* The orders of a measured colour lie far apart, and none can be stated: it is named only where the others leave both
 * open. */
static bool is_certain(const oxt_i_fit_row *row, double ratio)
{
    static const double FAR = 4.0;
    return row->is_colour && fabs(log(ratio)) > FAR * row->sigma;
}

static void warn_readings(oxt_i_warnings *warnings, const oxt_i_trial_set *set)
{
    for (size_t i = 0; i < set->row_count && set->rows; i++) {
        const oxt_i_fit_row *row = &set->rows[i];
        if (row->reading_count == 0 || row->reading == 0)
            continue;
        char what[64], seen[64];
        oxt_i_row_name(row, what, sizeof what);
        oxt_i_row_text(row, seen, sizeof seen);
        double ratio = exp(row->readings[0].ln_x - (oxt_i_seen(row)->ln_x - row->residual));
        if (!is_certain(row, ratio))
            oxt_i_warn(warnings, "READ_AS_ORDER", ratio,
                       "%s: %s is read as order %d (%.0f nm): in order %d (%.0f nm) it would be "
                       "%.2g times what the other trials show. %s",
                       what, seen, oxt_i_seen(row)->order,
                       oxt_i_fit_film_nm(set, oxt_i_seen(row)->ln_x), row->readings[0].order,
                       oxt_i_fit_film_nm(set, row->readings[0].ln_x), ratio,
                       row->is_colour ? "Check it." : "State the order in the log.");
    }
}

/* Below this weight a row is named. */
static const double LITTLE_WEIGHT = 0.5;

static void warn_little_weight(oxt_i_warnings *warnings, const oxt_i_fit_row *row, bool alone)
{
    char what[64], seen[64];
    oxt_i_row_name(row, what, sizeof what);
    oxt_i_row_text(row, seen, sizeof seen);
    oxt_i_warn(warnings, "LITTLE_WEIGHT", row->weight,
               "%s: %s at %s after %s has little weight (%.2f): it lies %.1f times its "
               "error %s %s.",
               what, seen, oxt_i_both_scales(row->bath_K).text, oxt_i_show_time(row->time_s).text,
               row->weight, fabs(row->residual) / row->sigma,
               row->residual > 0.0 ? "above" : "below",
               alone ? "what is known beforehand" : "the rest");
    oxt_i_warned_of(warnings, row->bath_K);
}

/* Far beyond their scatter, by Student's t of what the others leave. */
static double outlier_limit(const oxt_i_fit_answer *answer, size_t used)
{
    /* Bonferroni: one alarm in a hundred logs of sound trials, whatever their number. */
    return oxt_i_t_quantile(1.0 - 0.01 / (double)used, answer->dof - 1.0);
}

static void warn_outlier(oxt_i_warnings *warnings, const oxt_i_fit_row *row)
{
    static const char *const words[] = { "thicker than", "thick as", "thinner than", "thin as" };
    char what[64];
    oxt_i_row_name(row, what, sizeof what);
    oxt_i_warn(warnings, "OUTLIER", expm1(row->residual),
               "%s: the film is %s the other trials predict, far beyond their scatter: check its "
               "time, bath and colour.",
               what, oxt_i_show_change(exp(row->residual), 0, words).text);
}

/* What is looked at in a row. */
typedef struct {
    bool used;
    double weight, studentized;
} glance;

/* Of a thickness, of which there may be millions, without the rest of its row. */
static glance glance_at_film(const oxt_i_fit_answer *answer, const oxt_i_films *films, size_t i)
{
    const oxt_i_film_row *film = &films->rows[i];
    double own = oxt_i_film_sigma(films, i);
    double u = answer->T_ref_K / film->bath_K - 1.0;
    double z = log(film->thickness_nm * film->thickness_nm / film->time_s);
    double off = 0.5 * (z - answer->at.b + answer->at.q * u);
    double sigma = sqrt(own * own + answer->variance);
    glance made = { true, oxt_i_fit_trust(answer->robust, off / sigma), 0.0 };
    double h = oxt_i_fit_leverage(&answer->at, NULL, u, made.weight / (sigma * sigma)).all;
    made.studentized = oxt_i_fit_studentized(answer, off, own, sigma, sigma, made.weight, h);
    return made;
}

static glance glance_at(const oxt_i_trial_set *set, const oxt_i_fit_answer *answer, size_t i)
{
    if (set->films.rows)
        return glance_at_film(answer, &set->films, i);
    const oxt_i_fit_row *row = &set->rows[i];
    return (glance){ row->reading_count > 0, row->weight, row->studentized };
}

static oxt_i_fit_row whole_row(const oxt_i_trial_set *set, const oxt_i_fit_answer *answer, size_t i)
{
    return set->films.rows ? oxt_i_fit_answered_film(answer, &set->films, i) : set->rows[i];
}

/* No limit is below this, so that it need not be computed for most logs. */
static const double NO_LIMIT = 2.5;

/* Is a film clearly near enough to what was expected? Its row left out, chi-square is still that of the others. */
static inline bool is_near(const oxt_i_fit_answer *answer, const oxt_i_film_block *of, size_t i,
                           double limit)
{
    const oxt_i_constants *at = &answer->at;
    double u = of->u[i], off = 0.5 * (of->z[i] - at->b + at->q * u);
    double own = at->variance_b - u * (2.0 * at->covariance - u * at->variance_q);
    double rest = of->own[i] + answer->variance - 0.25 * own, least = limit * limit;
    return off * off * (answer->dof - 1.0 + least) < least * answer->chi_square * rest;
}

/* Which of some rows have to be looked at; how many. */
static size_t find_far(const oxt_i_trial_set *set, const oxt_i_fit_answer *answer, size_t first,
                       size_t n, double limit, size_t *which)
{
    oxt_i_film_block of;
    size_t count = 0;
    int far = 0;
    bool films = set->films.rows && answer->robust == OXT_ROBUST_NONE;
    if (films)
        oxt_i_fit_fill_films(&set->films, answer->T_ref_K, first, n, of.u, of.z, of.own);
    for (size_t i = 0; i < n && films; i++)
        far += is_near(answer, &of, i, limit) ? 0 : 1;
    for (size_t i = 0; i < n && (far > 0 || !films); i++)
        if (!films || !is_near(answer, &of, i, limit))
            which[count++] = first + i;
    return count;
}

static void warn_outliers(oxt_i_warnings *warnings, const oxt_i_trial_set *set,
                          const oxt_i_fit_answer *answer, size_t used)
{
    double limit = NO_LIMIT;
    size_t which[OXT_I_FILM_BLOCK];
    for (size_t i = 0, n; i < set->row_count; i += n) {
        n = set->row_count - i < OXT_I_FILM_BLOCK ? set->row_count - i : OXT_I_FILM_BLOCK;
        size_t count = find_far(set, answer, i, n, limit, which);
        for (size_t j = 0; j < count; j++) {
            glance at = glance_at(set, answer, which[j]);
            if (!at.used || at.weight < LITTLE_WEIGHT || !(fabs(at.studentized) > limit))
                continue;
            if (limit == NO_LIMIT)
                limit = outlier_limit(answer, used);
            if (!(fabs(at.studentized) > limit))
                continue;
            oxt_i_fit_row row = whole_row(set, answer, which[j]);
            warn_outlier(warnings, &row);
        }
    }
}

void oxt_i_fit_warn_rows(oxt_i_warnings *warnings, const oxt_i_trial_set *set,
                         const oxt_i_fit_answer *answer, size_t used)
{
    warn_readings(warnings, set);
    for (size_t i = 0; i < set->row_count && answer->robust != OXT_ROBUST_NONE; i++) {
        glance at = glance_at(set, answer, i);
        if (!at.used || !(at.weight < LITTLE_WEIGHT))
            continue;
        oxt_i_fit_row row = whole_row(set, answer, i);
        warn_little_weight(warnings, &row, set->used_count == 1);
    }
    if (answer->dof > 1.0)
        warn_outliers(warnings, set, answer, used);
}

/* A slip in the time of a coupon that warms up can bend the constants until it fits, and the others do not: then it is
 * named by what the others give without it. */
void oxt_i_fit_warn_contradiction(oxt_i_warnings *warnings, oxt_i_fit_solution *solution,
                                  const oxt_i_fit_answer *answer)
{
    static const double FAR = 8.0, FARTHER_THAN_COLOURS = 0.4;
    double off, usual;
    char name[64], far[40];
    oxt_i_fit_row row;
    if (!solution->model.has_paths || solution->robust != OXT_ROBUST_NONE || answer->dof <= 1.0)
        return;
    if (!oxt_i_fit_contradicting(solution, OXT_I_ALL_SETS, &row, &off, &usual) ||
        fabs(off) < FARTHER_THAN_COLOURS || fabs(off) < FAR * usual ||
        fabs(row.studentized) > outlier_limit(answer, solution->model.n))
        return;
    oxt_i_row_name(&row, name, sizeof name);
    oxt_i_fit_how_far(off, far, sizeof far);
    oxt_i_warn(warnings, "CONTRADICTS", expm1(off),
               "%s contradicts the others by %s: check its time, bath and colour.", name, far);
}

/* ---- numbers ---- */

void oxt_i_fit_warn_scatter(oxt_i_warnings *warnings, double scatter, size_t used)
{
    if (scatter > 0.15 && used == 1)
        oxt_i_warn(warnings, "SCATTER", scatter,
                   "The trial and what is known beforehand disagree by %.0f %% in thickness beyond "
                   "the width of its colour: check its bath, time and steel.",
                   100.0 * scatter);
    else if (scatter > 0.15)
        oxt_i_warn(warnings, "SCATTER", scatter,
                   "Trials disagree by %.0f %% in thickness beyond the width of their colours: "
                   "look for a bath, time or finish that changed.",
                   100.0 * scatter);
}

void oxt_i_fit_warn_Q(oxt_i_warnings *warnings, const char *whose, double Q, double stderr_of_Q)
{
    const char *colon = whose ? ": " : "";
    whose = whose ? whose : "";
    if (stderr_of_Q > 0.25 * Q)
        oxt_i_warn(warnings, "Q_UNCERTAIN", stderr_of_Q / Q,
                   "%s%sQ is uncertain by %.0f %%: keep to the baths of the trials, or add coupons "
                   "at baths farther apart.",
                   whose, colon, 100.0 * stderr_of_Q / Q);
    if (Q < OXT_I_LEAST_USUAL_Q || Q > OXT_I_MOST_USUAL_Q)
        oxt_i_warn(warnings, "Q_UNUSUAL", Q,
                   "%s%sQ = %.0f kJ/mol is outside what is published for iron and mild steel (57 "
                   "to 138 kJ/mol).",
                   whose, colon, Q / 1e3);
}

/* The thinnest and the thickest of the bands that names were seen in, and how many differ; 0 when something
 * else than a name was seen too. */
static size_t different_names(const oxt_i_trial_set *set, const oxt_i_reading **thin,
                              const oxt_i_reading **thick)
{
    *thin = *thick = NULL;
    size_t different = 0;
    for (size_t i = 0; i < set->row_count; i++) {
        const oxt_i_fit_row *row = &set->rows[i];
        if (row->reading_count == 0)
            continue;
        if (row->band_sd == 0.0)
            return 0;
        const oxt_i_reading *seen = oxt_i_seen(row);
        different += !*thin ? 1 : 0;
        if (*thin && seen->ln_x != (*thin)->ln_x && seen->ln_x != (*thick)->ln_x)
            different++;
        if (!*thin || seen->ln_x < (*thin)->ln_x)
            *thin = seen;
        if (!*thick || seen->ln_x > (*thick)->ln_x)
            *thick = seen;
    }
    return different;
}

/* The logged bath in which a time is least certain. */
static double least_certain_bath(const oxt_fit *fit)
{
    const oxt_fit_values *v = &fit->values;
    double most = -1.0, bath_K = v->growth.T_ref_K;
    for (size_t i = 0; i < fit->set.row_count; i++) {
        const oxt_i_fit_row *row = &fit->set.rows[i];
        if (row->reading_count == 0)
            continue;
        double s = (1.0 / row->bath_K - 1.0 / v->growth.T_ref_K) / R;
        double variance = v->variance_ln_k - 2.0 * s * v->covariance_J_per_mol +
                          s * s * v->variance_Q_J2_per_mol2;
        if (variance > most) {
            most = variance;
            bath_K = row->bath_K;
        }
    }
    return bath_K;
}

/* Bands that are all alike bound the film and do no more. */
static void warn_few_names(oxt_fit *fit)
{
    const oxt_i_reading *thin, *thick;
    size_t different = different_names(&fit->set, &thin, &thick);
    if (different == 0 || different > 2)
        return;
    /* midway between two bands; at the end of one that is alone */
    double film_nm = different == 2 ? sqrt(thin->high_nm * thick->low_nm) : thick->high_nm;
    double bath_K = least_certain_bath(fit), time_s;
    char time[32];
    if (oxt_time_for_thickness(&fit->values.growth, film_nm, bath_K, &time_s, NULL))
        return;
    if (oxt_format_duration(round(time_s), time, sizeof time, NULL, NULL))
        return;
    oxt_i_warn(&fit->warnings, "FEW_COLOURS", (double)different,
               "%s, and a colour shows only that the film lies within its "
               "band: the limits are wide. Log next a coupon at %s for about %s, %s.",
               different == 2             ? "The trials show only two colours"
               : fit->set.used_count == 1 ? "The trial shows one colour"
                                          : "The trials show only one colour",
               oxt_i_both_scales(bath_K).text, time,
               different == 2 ? "whose film should lie between the two"
                              : "where the colour should just be changing");
    oxt_i_warned_of(&fit->warnings, bath_K);
}

/* Of a single coupon: which of its colours it shows, no other trial says. */
static void warn_open_order(oxt_fit *fit)
{
    const oxt_i_fit_row *row = fit->set.rows;
    while (row->reading_count == 0)
        row++;
    double expected = row->aim - row->residual / (1.0 - row->leverage);
    const oxt_i_reading *seen = oxt_i_seen(row);
    for (size_t i = 0; i < row->reading_count; i++) {
        const oxt_i_reading *other = &row->readings[i];
        if (fabs(expected - other->ln_x) >= OXT_I_CLEARLY_NEARER * fabs(expected - seen->ln_x))
            continue;
        char what[64];
        oxt_i_row_name(row, what, sizeof what);
        double seen_nm = oxt_i_fit_film_nm(&fit->set, seen->ln_x);
        double other_nm = oxt_i_fit_film_nm(&fit->set, other->ln_x);
        oxt_i_warn(&fit->warnings, "ORDER_OPEN", other_nm,
                   "%s: %s comes twice as the film grows. It is read as order %d (%.0f nm); from "
                   "what is known beforehand order %d (%.0f nm) is nearer. State the order in the "
                   "log, or add a coupon.",
                   what, row->text, seen->order, seen_nm, other->order, other_nm);
        return;
    }
}

/* One alarm in thirty logs of parabolic growth. */
static void warn_law(oxt_fit *fit)
{
    const oxt_fit_values *v = &fit->values;
    if (!oxt_i_law_is_bent(v->time_exponent, v->time_exponent_stderr, v->dof))
        return;
    static const char *const words[] = { "longer than", "long as", "less than", "short as" };
    double n = 1.0 / v->time_exponent;
    oxt_i_warn(&fit->warnings, "OTHER_LAW", v->time_exponent,
               "These trials do not follow the parabolic law: the film grows as time^(1/%.1f), not "
               "time^(1/2). Twice the middle film of %.0f nm then takes %s predicted: "
               "keep to films near the middle one, and compare the laws of growth.",
               n, v->middle_nm, oxt_i_show_change(pow(2.0, n - 2.0), 0, words).text);
}

/* What the trials cannot tell from their days. */
static void warn_days(oxt_fit *fit)
{
    static const double LITTLE = 0.1;
    if (fit->set.day_count == 1)
        oxt_i_warn(&fit->warnings, "ONE_DAY", 1.0,
                   "All trials ran on one day: by how much days differ is not in the limits. Log "
                   "coupons of another day too.");
    if (fit->set.day_count > 1 && !fit->values.Q_held && fit->set.within_days < LITTLE)
        oxt_i_warn(
            &fit->warnings, "DAYS_AND_BATHS", fit->set.within_days,
            "Each bath ran on days of its own: what the day did cannot be told from what the "
            "bath did, and the limits are wide. Run two baths at least 30 K (54 F) apart on "
            "one day.");
}

void oxt_i_fit_warn(oxt_fit *fit)
{
    const oxt_fit_values *values = &fit->values;
    warn_law(fit);
    oxt_i_fit_warn_scatter(&fit->warnings, values->scatter, values->used_count);
    if (values->used_count < (values->Q_held ? 5 : 6))
        oxt_i_warn(&fit->warnings, "FEW_TRIALS", (double)values->used_count,
                   "Only %zu trial%s: the errors themselves are uncertain.", values->used_count,
                   oxt_i_plural(values->used_count));
    if (!values->Q_held)
        oxt_i_fit_warn_Q(&fit->warnings, NULL, values->growth.Q_J_per_mol,
                         values->Q_stderr_J_per_mol);
    if (fit->set.rows && values->used_count == 1)
        warn_open_order(fit);
    warn_days(fit);
    oxt_i_fit_warn_drift(fit);
    if (fit->set.rows)
        warn_few_names(fit);
}
