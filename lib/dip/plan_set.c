/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Several parts to one colour: the order of work, and how well they will match. */
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <gsl/gsl_statistics.h>
#include <stdlib.h>
#include <string.h>

#include "oxtint/plan.h"
#include "base/random.h"
#include "base/vector.h"
#include "base/watch.h"
#include "optics/colour.h"
#include "optics/film.h"
#include "growth/law.h"
#include "dip/dip.h"
#include "dip/plan_bath.h"
#include "thermal/salt.h"

/* One part with all that a draw needs. */
typedef struct {
    oxt_plan_step step;
    oxt_dip dip;
    const oxt_film *film; /* valid only while the set is made */
    size_t steel;         /* index of the first part of the same steel */
    oxt_growth growth;
    double initial_nm2, grown_nm2, low_nm, high_nm;
    double scatter, day_sd, initial_deviation; /* of the logarithm of what grows */
    double reader_sd;                          /* of ln film, of who judges it */
    double root_k, slope_kQ, root_Q;           /* root of the covariance of ln k and Q */
    double ln_shape_stderr, by_shape;          /* of the law */
    double by_initial;      /* of ln of what grows, for one standard error of the film before */
    double dof, bath_low_K; /* of the card */
    oxt_i_thermal_path_slopes moves;
} member;

struct oxt_plan {
    oxt_plan_values values;
    member *members;
    bool days_differ, eyes_differ; /* by the card, or the judge, of any part */
};

/* ---- checking ---- */

static oxt_status check_options(const oxt_plan_options *options, oxt_error *error)
{
    const oxt_i_limit limits[] = {
        { "spacing_s", options->spacing_s, 0.0, OXT_TIME_HIGH_S, OXT_I_CLOSED },
        { "tolerance", options->tolerance, 0.0, 1000.0, OXT_I_OPEN_LOW },
        { "bath_wander_K", options->bath_wander_K, 0.0, 1000.0, OXT_I_CLOSED },
        { "time_wander_s", options->time_wander_s, 0.0, OXT_TIME_HIGH_S, OXT_I_CLOSED },
        { "draws", (double)options->draws, 100.0, 1e6, OXT_I_CLOSED },
    };
    return oxt_i_check_all(error, limits, OXT_I_COUNT(limits));
}

static oxt_status check_part(const oxt_plan_part *part, oxt_error *error)
{
    if (!part->steel || !part->film || !part->target)
        return oxt_i_null(error, !part->steel ? "steel" : !part->film ? "film" : "target");
    if (!memchr(part->name, '\0', sizeof part->name))
        return oxt_i_fail_text(error, OXT_EARG, "name", "name does not end within %zu bytes",
                               sizeof part->name);
    if (!oxt_i_is_utf8(part->name, strlen(part->name)))
        return oxt_i_fail_text(error, OXT_EARG, "name", "name is not UTF-8");
    return OXT_OK;
}

/* ---- how much is done, counted in comparisons of two colours ---- */

static const double PART_COSTS = 1e4; /* the dip of a part */

typedef struct {
    oxt_i_watch watch;
    double all, done;
} work;

static work plan_work(const oxt_plan_options *options, size_t count)
{
    double parts = (double)count, pairs = 0.5 * parts * (parts + 1.0);
    return (work){ oxt_i_watch_start(options->progress, options->user),
                   PART_COSTS * parts + pairs * (double)(options->draws + 1), 0.0 };
}

static oxt_status count_work(work *of, double more, oxt_error *error)
{
    of->done += more;
    return oxt_i_watch_tick(&of->watch, of->done / of->all, error);
}

/* ---- one part ---- */

/* Lower root of the covariance of ln k and Q. */
static void take_root(member *made, const oxt_steel_values *steel)
{
    made->root_k = sqrt(steel->variance_ln_k);
    made->slope_kQ = made->root_k > 0.0 ? steel->covariance_J_per_mol / made->root_k : 0.0;
    made->root_Q = sqrt(fmax(steel->variance_Q_J2_per_mol2 - made->slope_kQ * made->slope_kQ, 0.0));
}

/* The colours of a set are looked at along the prepared path. */
static oxt_status check_on_path(const oxt_target *target, oxt_error *error)
{
    return oxt_i_check(error, "target.aim_nm", target->aim_nm, 0.0, OXT_PATH_HIGH_NM, OXT_I_CLOSED);
}

/* The load of a set, where its bath is of limited size; `shared` is that bath. */
typedef struct {
    oxt_bath shared;
    oxt_i_set_pot pot;
    oxt_i_set_load *loads; /* NULL: nothing cools the bath */
} set_bath;

static oxt_status take_part(member *made, const oxt_plan_part *given, double bath_K,
                            const oxt_plan_options *options, const set_bath *bath,
                            oxt_i_set_load *load, oxt_error *error)
{
    oxt_plan_part part = OXT_PLAN_PART_INIT;
    oxt_dip_options chosen = OXT_DIP_OPTIONS_INIT;
    oxt_i_dip_plan plan;
    oxt_status status = OXT_I_STRUCT_IN(oxt_plan_part, &part, given, "part", error);
    if (!status)
        status = check_part(&part, error);
    if (!status && part.options)
        status = OXT_I_STRUCT_IN(oxt_dip_options, &chosen, part.options, "options", error);
    chosen.bath_wander_K = options->bath_wander_K;
    chosen.time_wander_s = options->time_wander_s;
    const double load_kg = chosen.load_kg;
    if (load) { /* the bath is that of all, and cools by its own balance */
        chosen.salt_bath = chosen.salt_bath ? chosen.salt_bath : &bath->shared;
        chosen.load_kg = 0.0;
    }
    if (!status)
        status = oxt_i_dip_prepare(&plan, part.steel, part.target, bath_K, &chosen, error);
    if (!status)
        status = check_on_path(&plan.target, error);
    if (!status)
        status = oxt_i_dip_fill(&plan, &made->dip, &made->moves, error);
    if (!status && load && load_kg > 0.0 && plan.part.part.at_once)
        status = oxt_i_fail_text(error, OXT_EARG, "part",
                                 "a load cools the bath: expected the part that goes in");
    if (status)
        return status;
    if (load)
        oxt_i_set_load_of(load, &plan, load_kg, made->dip.time_s);
    double aim_nm = plan.target.aim_nm;
    made->step = (oxt_plan_step)OXT_PLAN_STEP_INIT;
    memcpy(made->step.name, part.name, sizeof part.name);
    made->film = part.film;
    made->growth = plan.steel.growth;
    made->bath_low_K = plan.steel.bath_low_K;
    made->initial_nm2 = oxt_i_exposure_of(&made->growth, plan.initial_nm);
    made->grown_nm2 = fmax(oxt_i_exposure_of(&made->growth, aim_nm) - made->initial_nm2, 0.0);
    made->ln_shape_stderr = plan.steel.ln_shape_stderr;
    made->by_shape = oxt_i_dip_by_shape(&made->growth, aim_nm, plan.initial_nm);
    made->by_initial = oxt_i_dip_by_initial(&plan.steel, aim_nm, plan.initial_nm);
    if (plan.given_s > plan.needed_s) /* the lift alone grows more than the aim */
        made->grown_nm2 *= plan.given_s / plan.needed_s;
    made->low_nm = plan.target.low_nm;
    made->high_nm = plan.target.high_nm;
    made->scatter = 2.0 * plan.steel.scatter;
    made->day_sd = 2.0 * plan.steel.day_sd;
    made->initial_deviation = made->grown_nm2 > 0.0
                                  ? oxt_i_dip_initial_nm2(&made->growth, plan.initial_nm,
                                                          plan.initial_stderr_nm) /
                                        made->grown_nm2
                                  : 0.0;
    made->reader_sd = plan.options.reader_sd;
    plan.options.reader_sd = 0.0; /* who judges changes no film, but what is seen of it */
    made->dof = oxt_i_dip_next_dof(&plan, &made->moves);
    take_root(made, &plan.steel);
    return OXT_OK;
}

/* The same card, loaded once or twice. */
static bool same_card(const oxt_steel *a, const oxt_steel *b)
{
    oxt_steel_values first = OXT_STEEL_VALUES_INIT, second = OXT_STEEL_VALUES_INIT;
    if (a == b)
        return true;
    if (oxt_steel_get(a, &first, NULL) || oxt_steel_get(b, &second, NULL))
        return false;
    return strcmp(first.steel, second.steel) == 0 && strcmp(first.finish, second.finish) == 0 &&
           first.growth.k_ref_nm2_per_s == second.growth.k_ref_nm2_per_s &&
           first.growth.T_ref_K == second.growth.T_ref_K &&
           first.growth.Q_J_per_mol == second.growth.Q_J_per_mol;
}

/* Which part an error is of, before what it says; the bath is the same for all. */
static void name_part(oxt_error *error, size_t place, const oxt_plan_part *part)
{
    char name[96], text[sizeof error->text];
    oxt_i_locate(error, place, NULL);
    if (!oxt_i_is_writable(error) || !part || strcmp(error->parameter, "bath_K") == 0)
        return;
    bool has_name = part->struct_size >= OXT_I_END(oxt_plan_part, name) && part->name[0];
    oxt_i_snprintf(name, sizeof name, has_name ? "part %zu, %.48s: " : "part %zu: ", place,
                   has_name ? part->name : "");
    oxt_i_snprintf(text, sizeof text, "%s%s", name, error->text);
    oxt_i_copy_text(error->text, sizeof error->text, text);
    if (!oxt_i_is_marked(error->pattern))
        return;
    oxt_i_snprintf(text, sizeof text, "%s%s", name, error->pattern);
    oxt_i_copy_text(error->pattern, sizeof error->pattern, text);
}

/* ---- the bath of the set ---- */

static bool same_bath(const oxt_bath *a, const oxt_bath *b)
{
    return a->salt == b->salt && a->salt_kg == b->salt_kg && a->heater_W == b->heater_W &&
           a->thermometer_offset_K == b->thermometer_offset_K;
}

/* The options of a part, as far as they can be read: what is wrong with them is said where the part is taken. */
static bool read_load(const oxt_plan_part *given, oxt_dip_options *chosen, oxt_bath *bath)
{
    oxt_plan_part part = OXT_PLAN_PART_INIT;
    return given && !OXT_I_STRUCT_IN(oxt_plan_part, &part, given, "part", NULL) && part.options &&
           !OXT_I_STRUCT_IN(oxt_dip_options, chosen, part.options, "options", NULL) &&
           chosen->salt_bath && !oxt_i_bath_in(bath, chosen->salt_bath, NULL);
}

/* Parts that name no bath are in that of the others. */
static oxt_status find_bath(set_bath *made, const oxt_plan_part *const *parts, size_t count,
                            double bath_K, oxt_error *error)
{
    bool named = false, cools = false;
    for (size_t i = 0; i < count; i++) {
        oxt_dip_options chosen = OXT_DIP_OPTIONS_INIT;
        oxt_bath bath = OXT_BATH_INIT;
        if (!read_load(parts[i], &chosen, &bath))
            continue;
        if (named && !same_bath(&bath, &made->shared)) {
            oxt_i_locate(error, i + 1, NULL);
            return oxt_i_fail(error, OXT_EARG, "salt_bath", NAN, NAN, NAN,
                              "part %zu is in another bath than those before it, expected one bath "
                              "for the set",
                              i + 1);
        }
        named = true;
        made->shared = bath;
        cools = cools || (chosen.load_kg > 0.0 && bath.salt_kg > 0.0);
    }
    if (!cools)
        return OXT_OK;
    made->pot.set_K = bath_K + made->shared.thermometer_offset_K;
    made->pot.heater_W = made->shared.heater_W;
    made->pot.heat_J_per_K = made->shared.salt_kg *
                             oxt_i_salt_heat(made->shared.salt,
                                             oxt_i_salt_known(made->shared.salt, made->pot.set_K));
    made->loads = calloc(count, sizeof *made->loads);
    return made->loads ? OXT_OK : oxt_i_no_memory(error);
}

/* The dip of a part in the bath of all: each of its times moves with that of the lift, at the rate that the film then has. */
static void move_dip(member *made, const oxt_i_set_load *load, double set_K)
{
    oxt_dip *dip = &made->dip;
    double *const times[] = { &dip->earliest_s,      &dip->latest_s,   &dip->interval_low_s,
                              &dip->interval_high_s, &dip->next_low_s, &dip->next_high_s };
    if (dip->time_s == 0.0)
        return;
    for (size_t i = 0; i < OXT_I_COUNT(times); i++)
        *times[i] = fmax(load->time_s + (*times[i] - dip->time_s) / load->share, 0.0);
    dip->lag_s += load->time_s - dip->time_s;
    dip->time_s = load->time_s;
    made->moves.per_s *= load->share;
    if (oxt_i_sags(set_K - load->lowest_K))
        dip->cautions |= OXT_CAUTION_SAG;
    if (load->lowest_K < made->bath_low_K)
        dip->cautions |= OXT_CAUTION_EXTRAPOLATED_BATH;
}

static oxt_status share_bath(oxt_plan *set, set_bath *bath, const oxt_plan_options *options,
                             work *of, oxt_error *error)
{
    if (!bath->loads)
        return OXT_OK;
    oxt_status status = oxt_i_set_times(bath->loads, set->values.count, &bath->pot,
                                        options->spacing_s, &of->watch, of->done / of->all, error);
    for (size_t i = 0; i < set->values.count && !status; i++) {
        move_dip(&set->members[i], &bath->loads[i], bath->pot.set_K);
        set->members[i].step.lift_s = bath->loads[i].lift_s;
        set->values.sag_K = fmax(set->values.sag_K, bath->pot.set_K - bath->loads[i].lowest_K);
    }
    return status;
}

static oxt_status take_parts(oxt_plan *set, const oxt_plan_part *const *parts, double bath_K,
                             const oxt_plan_options *options, const set_bath *bath, work *of,
                             oxt_error *error)
{
    oxt_status status = OXT_OK;
    for (size_t i = 0; i < set->values.count && !status; i++) {
        status = parts[i] ? take_part(&set->members[i], parts[i], bath_K, options, bath,
                                      bath->loads ? &bath->loads[i] : NULL, error)
                          : oxt_i_null(error, "parts");
        if (status)
            name_part(error, i + 1, parts[i]);
        set->members[i].step.part = i;
        set->members[i].steel = i;
        for (size_t j = 0; j < i && !status; j++)
            if (same_card(parts[j]->steel, parts[i]->steel)) {
                set->members[i].steel = j;
                break;
            }
        set->days_differ = set->days_differ || set->members[i].day_sd > 0.0;
        set->eyes_differ = set->eyes_differ || set->members[i].reader_sd > 0.0;
        if (!status)
            status = count_work(of, PART_COSTS, error);
    }
    return status;
}

/* ---- how they will match ---- */

/* What all parts of one steel share in one draw. */
typedef struct {
    double ln_k, Q;
    double stretch;           /* makes the normal deviates of this steel those of Student */
    double ln_shape, initial; /* the last in its standard errors */
} fit_error;

/* Draws are made so many at once. */
enum { BLOCK = OXT_I_COLOUR_BLOCK };

typedef struct {
    size_t normals, steels;   /* numbers of one draw */
    double *normal, *squares; /* of a block, draw by draw */
    double *chi_square;       /* of a block: of each steel, draw by draw */
    fit_error *fits;          /* of one draw */
    double (*film_nm)[BLOCK]; /* of each part */
    oxt_i_colours *lab;       /* the same */
    double *mismatch;         /* of all draws */
} scratch_space;

/* The numbers of one draw that are left. */
typedef struct {
    const double *normal, *chi_square;
} numbers;

/* Largest differences of n sets side by side. */
static oxt_status find_largest_differences(const oxt_i_colours *lab, size_t count, size_t n,
                                           work *of, double *largest, oxt_error *error)
{
    oxt_status status = OXT_OK;
    double difference[BLOCK];
    memset(largest, 0, n * sizeof *largest);
    for (size_t i = 0; i < count && !status; i++) {
        for (size_t j = 0; j < i; j++) {
            oxt_i_differences(n, &lab[i], &lab[j], 1.0, 1.0, difference);
            for (size_t k = 0; k < n; k++)
                largest[k] = difference[k] > largest[k] ? difference[k] : largest[k];
        }
        status = count_work(of, (double)n * ((double)i + 1.0), error);
    }
    return status;
}

static bool shape_varies(const member *of)
{
    return of->ln_shape_stderr > 0.0;
}

static bool initial_varies(const member *of)
{
    return of->by_initial != 0.0;
}

/* Normal deviates of one draw, in the order in which draw_set takes them: of the bath, the day, who judges, for each steel its fit, and three
 * of each part. */
static void draw_numbers(gsl_rng *random, const oxt_plan *set, double *heights, double *squares,
                         double *chi_square)
{
    size_t first = 0, next = 1 + set->days_differ + set->eyes_differ;
    for (size_t i = 0; i < set->values.count; i++) {
        const member *of = &set->members[i];
        if (of->steel == i) {
            next += 2;
            oxt_i_random_discs(random, next - first, heights + first, squares + first);
            *chi_square++ = gsl_ran_chisq(random, of->dof);
            first = next;
            next += (size_t)shape_varies(of) + (size_t)initial_varies(of);
        }
        next += 3;
    }
    oxt_i_random_discs(random, next - first, heights + first, squares + first);
}

static fit_error draw_fit(numbers *from, const member *of)
{
    double first = *from->normal++, second = *from->normal++;
    double stretch = sqrt(of->dof / *from->chi_square++);
    double shape = shape_varies(of) ? *from->normal++ : 0.0;
    double initial = initial_varies(of) ? *from->normal++ : 0.0;
    return (fit_error){ of->root_k * first, of->slope_kQ * first + of->root_Q * second, stretch,
                        of->ln_shape_stderr * shape, initial };
}

/* What all parts of a set share in one draw; the day in its deviations. */
typedef struct {
    double bath_K, day;
} shared_by_all;

/* The film of one part in one draw. */
static double draw_film(numbers *from, const member *of, const fit_error *fit,
                        const shared_by_all *all, const oxt_plan_options *options)
{
    double shared = fit->ln_k + of->moves.per_Q * fit->Q + of->moves.per_K * all->bath_K +
                    of->day_sd * all->day - of->by_shape * fit->ln_shape -
                    of->by_initial * fit->initial;
    double own = of->scatter * from->normal[0] +
                 of->moves.per_s * options->time_wander_s * from->normal[1] +
                 of->initial_deviation * from->normal[2];
    double grown_nm2 = of->grown_nm2 * exp(fit->stretch * (shared + own));
    from->normal += 3;
    return fmin(oxt_i_film_of(&of->growth, of->initial_nm2 + grown_nm2), OXT_PATH_HIGH_NM);
}

/* The k-th set of a block; does every part hit its target? */
static bool draw_set(numbers from, const oxt_plan *set, const oxt_plan_options *options,
                     const scratch_space *scratch, size_t k)
{
    shared_by_all all = { options->bath_wander_K * *from.normal++, 0.0 };
    all.day = set->days_differ ? *from.normal++ : 0.0;
    double eyes = set->eyes_differ ? *from.normal++ : 0.0; /* one person judges all */
    bool all_hit = true;
    for (size_t i = 0; i < set->values.count; i++) {
        const member *of = &set->members[i];
        if (of->steel == i)
            scratch->fits[i] = draw_fit(&from, of);
        double film_nm = draw_film(&from, of, &scratch->fits[of->steel], &all, options);
        double seen_nm = of->reader_sd > 0.0 ? film_nm * exp(of->reader_sd * eyes) : film_nm;
        all_hit = all_hit && of->low_nm <= seen_nm && seen_nm < of->high_nm;
        scratch->film_nm[i][k] = film_nm;
    }
    return all_hit;
}

/* Draw n sets, at most BLOCK; how many of them hit every target. */
static size_t draw_block(gsl_rng *random, const oxt_plan *set, const oxt_plan_options *options,
                         const scratch_space *scratch, size_t n)
{
    size_t hit = 0;
    for (size_t k = 0; k < n; k++)
        draw_numbers(random, set, scratch->normal + k * scratch->normals,
                     scratch->squares + k * scratch->normals,
                     scratch->chi_square + k * scratch->steels);
    oxt_i_finish_normals(n * scratch->normals, scratch->normal, scratch->squares);
    for (size_t k = 0; k < n; k++) {
        numbers from = { scratch->normal + k * scratch->normals,
                         scratch->chi_square + k * scratch->steels };
        hit += draw_set(from, set, options, scratch, k);
    }
    for (size_t i = 0; i < set->values.count; i++)
        oxt_i_path_daylight_labs(set->members[i].film, n, scratch->film_nm[i], &scratch->lab[i]);
    return hit;
}

/* If every part hits its aim. */
static oxt_status match_aims(oxt_plan *set, const scratch_space *scratch, work *done,
                             oxt_error *error)
{
    for (size_t i = 0; i < set->values.count; i++) {
        const member *of = &set->members[i];
        double aim_nm = oxt_i_film_of(&of->growth, of->initial_nm2 + of->grown_nm2);
        oxt_i_path_daylight_labs(of->film, 1, &aim_nm, &scratch->lab[i]);
    }
    return find_largest_differences(scratch->lab, set->values.count, 1, done,
                                    &set->values.aim_mismatch, error);
}

static oxt_status draw_all(gsl_rng *random, oxt_plan *set, const oxt_plan_options *options,
                           const scratch_space *scratch, work *done, oxt_error *error)
{
    size_t matched = 0, hit = 0, all = options->draws;
    double sum = 0.0;
    oxt_status status = match_aims(set, scratch, done, error);
    gsl_rng_set(random, options->random_seed);
    for (size_t i = 0; i < all && !status; i += BLOCK) {
        size_t n = all - i < BLOCK ? all - i : BLOCK;
        hit += draw_block(random, set, options, scratch, n);
        status = find_largest_differences(scratch->lab, set->values.count, n, done,
                                          &scratch->mismatch[i], error);
    }
    if (status)
        return status;
    for (size_t i = 0; i < all; i++) {
        sum += scratch->mismatch[i];
        matched += scratch->mismatch[i] <= options->tolerance;
    }
    double draws = (double)all;
    set->values.mean_mismatch = sum / draws;
    set->values.high_mismatch = gsl_stats_select(scratch->mismatch, 1, all,
                                                 (size_t)ceil(0.95 * draws) - 1);
    set->values.chance_match = (double)matched / draws;
    set->values.chance_targets = (double)hit / draws;
    return oxt_i_watch_end(&done->watch, error);
}

static void free_scratch(scratch_space *scratch)
{
    free(scratch->normal);
    free(scratch->squares);
    free(scratch->chi_square);
    free(scratch->fits);
    free(scratch->film_nm);
    free(scratch->lab);
    free(scratch->mismatch);
}

static oxt_status new_scratch(scratch_space *made, const oxt_plan *set, size_t draws,
                              oxt_error *error)
{
    const size_t count = set->values.count;
    *made = (scratch_space){ .normals = 1 + set->days_differ + set->eyes_differ + 3 * count };
    for (size_t i = 0; i < count; i++) {
        const member *of = &set->members[i];
        if (of->steel != i)
            continue;
        made->steels++;
        made->normals += 2 + (size_t)shape_varies(of) + (size_t)initial_varies(of);
    }
    made->normal = malloc(BLOCK * made->normals * sizeof *made->normal);
    made->squares = malloc(BLOCK * made->normals * sizeof *made->squares);
    made->chi_square = malloc(BLOCK * made->steels * sizeof *made->chi_square);
    made->fits = malloc(count * sizeof *made->fits);
    made->film_nm = malloc(count * sizeof *made->film_nm);
    made->lab = malloc(count * sizeof *made->lab);
    made->mismatch = malloc(draws * sizeof *made->mismatch);
    return made->normal && made->squares && made->chi_square && made->fits && made->film_nm &&
                   made->lab && made->mismatch
               ? OXT_OK
               : oxt_i_no_memory(error);
}

static oxt_status find_match(oxt_plan *set, const oxt_plan_options *options, work *done,
                             oxt_error *error)
{
    scratch_space scratch;
    gsl_rng *random = oxt_i_random_new();
    oxt_status status = new_scratch(&scratch, set, options->draws, error);
    if (!status && !random)
        status = oxt_i_no_memory(error);
    if (!status)
        status = draw_all(random, set, options, &scratch, done, error);
    free(random);
    free_scratch(&scratch);
    return status;
}

/* ---- the order of work ---- */

/* By their lifts, where those are known; else the slowest first. */
static int earliest_first(const void *a, const void *b)
{
    const member *first = a, *second = b;
    if (first->step.lift_s != second->step.lift_s)
        return first->step.lift_s > second->step.lift_s ? 1 : -1;
    if (first->dip.time_s != second->dip.time_s)
        return first->dip.time_s < second->dip.time_s ? 1 : -1;
    return (first->step.part > second->step.part) - (first->step.part < second->step.part);
}

static void put_in_order(oxt_plan *set, double spacing_s, bool scheduled)
{
    double before_s = HUGE_VAL; /* the first part enters at 0 */
    qsort(set->members, set->values.count, sizeof *set->members, earliest_first);
    for (size_t i = 0; i < set->values.count; i++) {
        member *of = &set->members[i];
        if (!scheduled)
            of->step.lift_s = set->members[0].dip.time_s + spacing_s * (double)i;
        before_s = fmin(before_s, of->step.lift_s - of->dip.time_s);
    }
    for (size_t i = 0; i < set->values.count; i++) {
        member *of = &set->members[i];
        of->step.lift_s -= scheduled ? before_s : 0.0;
        of->step.enter_s = of->step.lift_s - of->dip.time_s;
        set->values.last_lift_s = of->step.lift_s;
        set->values.cautions |= of->dip.cautions;
        of->film = NULL;
    }
}

/* ---- making it ---- */

oxt_status oxt_plan_set(oxt_plan **set, const oxt_plan_part *const *parts, size_t count,
                        double bath_K, const oxt_plan_options *options, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_plan_options chosen = OXT_PLAN_OPTIONS_INIT;
    if (!set)
        return oxt_i_null(error, "set");
    *set = NULL;
    if (!parts)
        return oxt_i_null(error, "parts");
    oxt_status status = oxt_i_check(error, "count", (double)count, 1.0, 1000.0, OXT_I_CLOSED);
    if (!status && options)
        status = OXT_I_STRUCT_IN(oxt_plan_options, &chosen, options, "options", error);
    if (!status)
        status = check_options(&chosen, error);
    if (status)
        return status;
    oxt_plan *made = calloc(1, sizeof *made);
    member *members = calloc(count, sizeof *members);
    if (!made || !members) {
        free(made);
        free(members);
        return oxt_i_no_memory(error);
    }
    made->members = members;
    made->values = (oxt_plan_values)OXT_PLAN_VALUES_INIT;
    made->values.count = count;
    made->values.bath_K = bath_K;
    made->values.tolerance = chosen.tolerance;
    work done = plan_work(&chosen, count);
    set_bath bath = { .shared = OXT_BATH_INIT };
    status = find_bath(&bath, parts, count, bath_K, error);
    if (!status)
        status = take_parts(made, parts, bath_K, &chosen, &bath, &done, error);
    if (!status)
        status = share_bath(made, &bath, &chosen, &done, error);
    const bool scheduled = bath.loads != NULL;
    free(bath.loads);
    if (!status)
        status = find_match(made, &chosen, &done, error);
    if (status) {
        oxt_plan_free(made);
        return status;
    }
    put_in_order(made, chosen.spacing_s, scheduled);
    *set = made;
    return OXT_OK;
}

void oxt_plan_free(oxt_plan *set)
{
    if (!set)
        return;
    free(set->members);
    free(set);
}

/* ---- reading it ---- */

oxt_status oxt_plan_get(const oxt_plan *set, oxt_plan_values *values, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!set || !values)
        return oxt_i_null(error, set ? "values" : "set");
    return OXT_I_STRUCT_OUT(oxt_plan_values, values, &set->values, "values", error);
}

oxt_status oxt_plan_get_step(const oxt_plan *set, size_t index, oxt_plan_step *step, oxt_dip *dip,
                             oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!set || !step)
        return oxt_i_null(error, set ? "step" : "set");
    oxt_status status = oxt_i_check_index(error, index, set->values.count);
    if (!status && dip)
        status = OXT_I_STRUCT_OUT(oxt_dip, dip, &set->members[index].dip, "dip", error);
    return status ? status
                  : OXT_I_STRUCT_OUT(oxt_plan_step, step, &set->members[index].step, "step", error);
}

/* ---- the report ---- */

static void add_step(oxt_i_text *text, const member *of)
{
    oxt_i_text_add(text, "  %-9s %-9s %-9s ", oxt_i_show_time(of->step.enter_s).text,
                   oxt_i_show_time(of->step.lift_s).text, oxt_i_show_time(of->dip.time_s).text);
    if (of->step.name[0])
        oxt_i_text_add(text, "%s: %s (%s)\n", of->step.name, of->dip.target.text,
                       of->dip.part_text);
    else
        oxt_i_text_add(text, "part %zu: %s (%s)\n", of->step.part + 1, of->dip.target.text,
                       of->dip.part_text);
}

oxt_status oxt_plan_report(const oxt_plan *set, oxt_temperature_unit unit,
                           oxt_caution_detail detail, char *buffer, size_t capacity, size_t *needed,
                           oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    char bath[32];
    if (!set)
        return oxt_i_null(error, "set");
    oxt_status status = oxt_format_temperature(set->values.bath_K, unit, bath, sizeof bath, NULL,
                                               error);
    if (!status)
        status = oxt_i_check_detail(detail, error);
    if (status)
        return status;
    uint32_t cautions = set->values.cautions;
    const oxt_plan_values *values = &set->values;
    oxt_i_text text = { 0 };
    oxt_i_text_add(&text, "%zu part%s in a bath at %s\n", values->count,
                   oxt_i_plural(values->count), bath);
    oxt_i_text_add_forbidding(&text, &cautions, detail);
    oxt_i_text_add(&text, "  %-9s %-9s %-9s %s\n", "enter at", "lift at", "after", "part");
    for (size_t i = 0; i < values->count; i++)
        add_step(&text, &set->members[i]);
    if (values->sag_K > 0.0)
        oxt_i_text_add(&text, "The loads cool the bath by up to %s; the times allow for it.\n",
                       oxt_i_show_difference(values->sag_K, unit).text);
    oxt_i_text_add(&text, "Largest difference between two parts (CIEDE2000)\n");
    oxt_i_text_add(&text, "  %-36s %.1f\n", "if every part hits its aim", values->aim_mismatch);
    oxt_i_text_add(&text, "  %-36s %.1f\n", "expected mismatch", values->mean_mismatch);
    oxt_i_text_add(&text, "  %-36s %.1f\n", "not exceeded in 95 % of sets", values->high_mismatch);
    oxt_i_text_add(&text, "  chance that all match within %-7.3g %.0f %%\n", values->tolerance,
                   100.0 * values->chance_match);
    oxt_i_text_add(&text, "  %-36s %.0f %%\n", "chance that each shows its colour",
                   100.0 * values->chance_targets);
    oxt_i_text_add_cautions(&text, cautions, detail);
    return oxt_i_emit_text(&text, buffer, capacity, needed, error);
}
