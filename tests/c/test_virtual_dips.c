/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Is the stated chance right? Dips made by chance, always the same ones (each test states its seed). First
 * steels as logs give them, each fitted to its own log; then cards whose constants are drawn within what
 * the card allows, while bath and lift wander, every dip scatters, and the film grows along the whole way
 * through bath and air. */
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <string.h>

#include "support.h"

enum { DIPS = 5000, LOGS = 2500 };

static double share(int count, int of)
{
    return (double)count / of;
}

/* ---- fitted steels ---- */

static const double LOG_SCATTER = 0.06, GAUGE = 0.02; /* of one dip; of a measured thickness */

/* Twelve coupons of a steel, four films in three baths, measured. */
static oxt_trials *log_by_chance(gsl_rng *random, const oxt_growth *truth)
{
    static const double baths_K[] = { 560.9, 588.7, 616.5 },
                        films_nm[] = { 15.0, 28.0, 50.0, 90.0 };
    oxt_trials *made = new_log();
    for (int i = 0; i < 12; i++) {
        oxt_error error = OXT_ERROR_INIT;
        double time_s, film_nm;
        OK(oxt_time_for_thickness(truth, films_nm[i % 4], baths_K[i / 4], &time_s, &error));
        OK(oxt_thickness(truth, baths_K[i / 4], time_s, &film_nm, &error));
        film_nm *= exp(gsl_ran_gaussian(random, LOG_SCATTER) + gsl_ran_gaussian(random, GAUGE));
        add_thickness(made, baths_K[i / 4], time_s, film_nm);
    }
    return made;
}

typedef struct {
    int mean, next, hit;
    double chance;
} promises;

/* One dip of the true steel, predicted by its log. The law is written out: x^2 = k t. */
static void dip_after_log(gsl_rng *random, const oxt_growth *truth, double bath_K, promises *kept)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit_options how = OXT_FIT_OPTIONS_INIT;
    oxt_trials *log = log_by_chance(random, truth);
    oxt_fit *fit;
    oxt_steel *steel;
    oxt_target blue = target_of("blue");
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    how.thickness_uncertainty = GAUGE;
    OK(oxt_fit_run(&fit, log, default_film(), &how, &error));
    OK(oxt_fit_steel(fit, &steel, &error));
    options.bath_wander_K = 2.0;
    options.time_wander_s = 3.0;
    OK(oxt_dip_predict(steel, &blue, bath_K, &options, &dip, &error));
    double rate = truth->k_ref_nm2_per_s, q = truth->Q_J_per_mol / 8.314462618;
    double at_K = bath_K + gsl_ran_gaussian(random, 2.0), late_s = gsl_ran_gaussian(random, 3.0);
    double steady = rate * exp(-q * (1.0 / bath_K - 1.0 / truth->T_ref_K));
    double luck = exp(2.0 * gsl_ran_gaussian(random, LOG_SCATTER));
    double wandering = rate * exp(-q * (1.0 / at_K - 1.0 / truth->T_ref_K)) * luck;
    double needed_s = blue.aim_nm * blue.aim_nm / steady;
    double this_s = blue.aim_nm * blue.aim_nm / wandering - late_s;
    double film_nm = sqrt(wandering * (dip.time_s + late_s));
    kept->mean += dip.interval_low_s <= needed_s && needed_s <= dip.interval_high_s;
    kept->next += dip.next_low_s <= this_s && this_s <= dip.next_high_s;
    kept->hit += blue.low_nm <= film_nm && film_nm < blue.high_nm;
    kept->chance += dip.chance / LOGS;
    oxt_steel_free(steel);
    oxt_fit_free(fit);
    oxt_trials_free(log);
}

/* In the middle of the logged baths, at their end and beyond it. Two-sided: an interval that is too wide
 * fails too. Twelve coupons leave the scatter uncertain, and more are hit than are promised. Standard errors: 0.4 % of the intervals, 1 % of the hits. */
Test(virtual_dips, fitted_steels_keep_their_promises)
{
    static const double baths_K[] = { 588.7, 616.5, 640.0 };
    const oxt_growth truth = growth_of(55.0, 588.7, 80e3);
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, 20020302);
    for (int i = 0; i < 3; i++) {
        promises kept = { 0 };
        for (int j = 0; j < LOGS; j++)
            dip_after_log(random, &truth, baths_K[i], &kept);
        double mean = share(kept.mean, LOGS), next = share(kept.next, LOGS);
        double more = share(kept.hit, LOGS) - kept.chance;
        cr_assert(mean >= 0.935 && mean <= 0.97, "%g K: the mean in %.4f", baths_K[i], mean);
        cr_assert(next >= 0.94 && next <= 0.97, "%g K: the next dip in %.4f", baths_K[i], next);
        cr_assert(more >= 0.0 && more <= 0.07, "%g K: %.4f more hits than promised", baths_K[i],
                  more);
    }
    gsl_rng_free(random);
}

/* ---- cards ---- */

/* Constants as well known as a long log gives them: Student's t is then normal. */
static oxt_steel_values well_known_steel(void)
{
    oxt_steel_values values = some_steel();
    values.covariance_J_per_mol = 60.0;
    values.dof = 1e6;
    return values;
}

typedef struct {
    const char *name, *colour;
    double bath_K;
    oxt_part part;
    oxt_lift lift;
    const char *there; /* colour already there, NULL: bare */
    double bath_wander_K, time_wander_s;
    double within; /* the chance, from what comes out */
} scene;

static oxt_growth drawn_growth(gsl_rng *random, const oxt_steel_values *steel)
{
    oxt_growth drawn = steel->growth;
    double deviation_k = sqrt(steel->variance_ln_k);
    double deviation_Q = sqrt(steel->variance_Q_J2_per_mol2), ln_k, Q;
    gsl_ran_bivariate_gaussian(random, deviation_k, deviation_Q,
                               steel->covariance_J_per_mol / (deviation_k * deviation_Q), &ln_k,
                               &Q);
    drawn.k_ref_nm2_per_s *= exp(ln_k);
    drawn.Q_J_per_mol += Q;
    return drawn;
}

/* The film that comes out of one dip. */
static double dipped(gsl_rng *random, const scene *of, const oxt_steel_values *steel, double lift_s,
                     double there_nm)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_growth growth = drawn_growth(random, steel);
    double bath_K = of->bath_K + gsl_ran_gaussian(random, of->bath_wander_K);
    double time_s = fmax(lift_s + gsl_ran_gaussian(random, of->time_wander_s), 0.0);
    double in_bath, in_air, surface_K, film_nm;
    OK(oxt_bath_exposure(&growth, NULL, &of->part, 0.0, bath_K, time_s, &in_bath, &error));
    OK(oxt_heat_surface_temperature(&of->part, bath_K, time_s, &surface_K, &error));
    OK(oxt_heat_lift_exposure(&growth, &of->part, &of->lift, surface_K, &in_air, NULL, &error));
    double exposure = (in_bath + in_air) * exp(2.0 * gsl_ran_gaussian(random, steel->scatter));
    OK(oxt_thickness_of_exposure(&growth, there_nm, exposure, &film_nm, &error));
    return film_nm;
}

static void run(const scene *of)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = well_known_steel();
    oxt_steel *steel = steel_of(&values);
    oxt_target target = target_of(of->colour), there = target_of(of->there ? of->there : "blue");
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    options.part = &of->part;
    options.lift = &of->lift;
    options.bath_wander_K = of->bath_wander_K;
    options.time_wander_s = of->time_wander_s;
    options.initial = of->there ? &there : NULL;
    OK(oxt_dip_predict(steel, &target, of->bath_K, &options, &dip, &error));
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, 20020301);
    int hits = 0, inside = 0;
    for (int i = 0; i < DIPS; i++) {
        double from = of->there ? gsl_ran_flat(random, there.low_nm, there.high_nm) : 0.0;
        double film_nm = dipped(random, of, &values, dip.time_s, from);
        hits += target.low_nm <= film_nm && film_nm < target.high_nm;
        inside += film_nm < target.aim_nm;
    }
    gsl_rng_free(random);
    oxt_steel_free(steel);
    cr_assert(fabs(share(hits, DIPS) - dip.chance) <= of->within, "%s: %.3f stated, %.3f came out",
              of->name, dip.chance, share(hits, DIPS));
    measured("dips-count", DIPS, 0.0, HUGE_VAL);
    measured("chance-of-dips", fabs(share(hits, DIPS) - dip.chance), -HUGE_VAL, of->within);
    /* lifted at the aim, as many come out too thin as too thick; the middle of a band that may be
     * there already is a little above its aim, the geometric mean */
    cr_assert(fabs(share(inside, DIPS) - 0.5) <= (of->there ? 0.05 : 0.03),
              "%s: %.3f below the aim", of->name, share(inside, DIPS));
}

#define PLATE(size)                                                                                \
    {                                                                                              \
        sizeof(oxt_part), OXT_SHAPE_PLATE, size, 293.15, 600.0, 7850.0, 0.0, 0.0, OXT_METAL_STEEL, \
            OXT_FLOW_STIRRED, 0.0, 0.0, 0.0                                                        \
    }
#define LIFT(delay)                                \
    {                                              \
        sizeof(oxt_lift), delay, 293.15, 10.0, 0.3 \
    }

/* Measured, stated and came out: 86.5 and 86.6 %, 81.1 and 80.9, 74.7 and 74.1, 89.7 and 89.8, 82.1 and
 * 82.9, 83.5 and 82.4. */
Test(virtual_dips, the_stated_chance_comes_true)
{
    static const scene scenes[] = {
        { "thin, cool", "blue", 580.0, PLATE(0.002), LIFT(0.0), NULL, 2.0, 3.0, 0.02 },
        { "thick, lifted slowly", "blue", 605.0, PLATE(0.01), LIFT(6.0), NULL, 3.0, 3.0, 0.02 },
        { "hot and hasty", "purple", 625.0, PLATE(0.004), LIFT(4.0), NULL, 3.0, 2.0, 0.02 },
        { "a wide band", "light blue", 600.0, PLATE(0.006), LIFT(5.0), NULL, 4.0, 5.0, 0.02 },
        { "no wander", "dark blue", 590.0, PLATE(0.006), LIFT(2.0), NULL, 0.0, 0.0, 0.02 },
        { "topped up from straw", "blue", 600.0, PLATE(0.006), LIFT(5.0), "straw", 3.0, 3.0, 0.02 },
    };
    for (size_t i = 0; i < sizeof scenes / sizeof scenes[0]; i++)
        run(&scenes[i]);
}

/* ---- what is not known for sure ---- */

static oxt_steel_values surely_known(void)
{
    oxt_steel_values values = well_known_steel();
    values.scatter = 0.02;
    values.variance_ln_k = 1e-6;
    values.variance_Q_J2_per_mol2 = 1.0;
    values.covariance_J_per_mol = 0.0;
    return values;
}

static oxt_plan_values plan_of(const oxt_steel *steel, const oxt_target *target, size_t count,
                               double bath_K, const oxt_dip_options *options)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_plan_part part = OXT_PLAN_PART_INIT;
    const oxt_plan_part *parts[] = { &part, &part, &part };
    oxt_plan_options how = OXT_PLAN_OPTIONS_INIT;
    oxt_plan_values values = OXT_PLAN_VALUES_INIT;
    oxt_plan *set;
    part.steel = steel;
    part.film = default_film();
    part.target = target;
    part.options = options;
    how.draws = 20000;
    OK(oxt_plan_set(&set, parts, count, bath_K, &how, &error));
    OK(oxt_plan_get(set, &values, &error));
    oxt_plan_free(set);
    return values;
}

/* A film of 27 to 33 nm is there, each as likely; the law is written out. Measured: 43 % and 41 %, of
 * three parts 7.9 and 7.1 %. */
Test(virtual_dips, what_is_not_known_of_the_film_counts)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = surely_known();
    oxt_steel *steel = steel_of(&values);
    oxt_target there = OXT_TARGET_INIT, target = OXT_TARGET_INIT;
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    OK(oxt_tint_target_of_thickness(30.0, 27.0, 33.0, &there, &error));
    OK(oxt_tint_target_of_thickness(57.0, 56.3, 57.7, &target, &error));
    options.initial = &there;
    OK(oxt_dip_predict(steel, &target, values.growth.T_ref_K, &options, &dip, &error));
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, 20020303);
    int hits = 0;
    for (int i = 0; i < 4 * DIPS; i++) {
        double from_nm = gsl_ran_flat(random, 27.0, 33.0);
        double grown_nm2 = values.growth.k_ref_nm2_per_s * dip.time_s *
                           exp(2.0 * gsl_ran_gaussian(random, values.scatter));
        double film_nm = sqrt(from_nm * from_nm + grown_nm2);
        hits += target.low_nm <= film_nm && film_nm < target.high_nm;
    }
    gsl_rng_free(random);
    double hit = share(hits, 4 * DIPS);
    NEAR(dip.chance, hit, 0.03);
    NEAR(plan_of(steel, &target, 1, values.growth.T_ref_K, &options).chance_targets, hit, 0.03);
    NEAR(plan_of(steel, &target, 3, values.growth.T_ref_K, &options).chance_targets, pow(hit, 3.0),
         0.02);
    oxt_steel_free(steel);
}

/* Chance that `count` parts of one steel all show a band: its error is shared, the scatter is their own.
 * Both are normal in ln x^2; the sum runs over what is shared. */
static double all_in_band(const oxt_target *band, double shared, double own, int count)
{
    enum { EACH_SIDE = 2000 };
    double high = 2.0 * log(band->high_nm / band->aim_nm), sum = 0.0;
    double low = 2.0 * log(band->low_nm / band->aim_nm), each = 8.0 * shared / EACH_SIDE;
    for (int i = -EACH_SIDE; i <= EACH_SIDE; i++) {
        double off = i * each;
        double one = gsl_cdf_ugaussian_P((high - off) / own) -
                     gsl_cdf_ugaussian_P((low - off) / own);
        sum += gsl_ran_gaussian_pdf(off, shared) * pow(one, count) * each;
    }
    return sum;
}

/* Far from the middle of the trials the errors of ln k and Q add up or cancel, as they are correlated. */
Test(virtual_dips, correlated_constants_add_up_or_cancel)
{
    const double bath_K = 640.0;
    for (int sign = -1; sign <= 1; sign++) {
        oxt_steel_values values = surely_known();
        oxt_target blue = target_of("blue");
        oxt_dip dip = OXT_DIP_INIT;
        oxt_error error = OXT_ERROR_INIT;
        values.variance_ln_k = 0.2 * 0.2;
        values.variance_Q_J2_per_mol2 = 12e3 * 12e3;
        values.covariance_J_per_mol = sign * 0.9 * 0.2 * 12e3;
        oxt_steel *steel = steel_of(&values);
        double by_Q = (1.0 / values.growth.T_ref_K - 1.0 / bath_K) / 8.314462618;
        double shared = sqrt(0.2 * 0.2 + 2.0 * by_Q * values.covariance_J_per_mol +
                             by_Q * by_Q * 12e3 * 12e3);
        OK(oxt_dip_predict(steel, &blue, bath_K, NULL, &dip, &error));
        NEAR(dip.chance, all_in_band(&blue, shared, 0.04, 1), 1e-4);
        for (size_t count = 1; count <= 3; count++)
            NEAR(plan_of(steel, &blue, count, bath_K, NULL).chance_targets,
                 all_in_band(&blue, shared, 0.04, (int)count), 0.012);
        oxt_steel_free(steel);
    }
}

/* ---- sets ---- */

enum { FITTINGS = 3 };

/* Bezel, finial and ring: of two steels, three sizes and two finishes. */
typedef struct {
    oxt_steel_values values[FITTINGS];
    oxt_steel *steels[FITTINGS];
    oxt_film *satin;
    const oxt_film *films[FITTINGS];
    oxt_part sizes[FITTINGS];
    oxt_lift lift;
    oxt_dip_options options[FITTINGS];
    oxt_target targets[FITTINGS];
    oxt_plan_part parts[FITTINGS];
} fittings;

static void lay_out(fittings *made)
{
    oxt_error error = OXT_ERROR_INIT;
    const double sizes_m[] = { 0.006, 0.012, 0.002 };
    oxt_film_options satin = OXT_FILM_OPTIONS_INIT;
    OK(oxt_film_finish(OXT_FINISH_SATIN, &satin.thickness_spread, &satin.angle_spread_deg, &error));
    OK(oxt_film_new(&made->satin, &satin, &error));
    made->lift = (oxt_lift)LIFT(4.0);
    for (int i = 0; i < FITTINGS; i++) {
        made->values[i] = well_known_steel();
        if (i == 2) {
            strcpy(made->values[i].steel, "Alder 2");
            made->values[i].growth.k_ref_nm2_per_s = 65.0;
        }
        made->steels[i] = steel_of(&made->values[i]);
        made->films[i] = i == 1 ? made->satin : default_film();
        made->sizes[i] = (oxt_part)PLATE(sizes_m[i]);
        made->options[i] = (oxt_dip_options)OXT_DIP_OPTIONS_INIT;
        made->options[i].part = &made->sizes[i];
        made->options[i].lift = &made->lift;
        made->targets[i] = (oxt_target)OXT_TARGET_INIT;
        OK(oxt_tint_target(made->films[i], "blue", &made->targets[i], &error));
        made->parts[i] = (oxt_plan_part)OXT_PLAN_PART_INIT;
        made->parts[i].steel = made->steels[i];
        made->parts[i].film = made->films[i];
        made->parts[i].target = &made->targets[i];
        made->parts[i].options = &made->options[i];
    }
}

/* Largest CIEDE2000 between two fittings of one set that is made by chance: the constants of a steel
 * are drawn once for all of its parts, the bath once for the set. */
static double mismatch_by_chance(gsl_rng *random, const fittings *on, const double *lift_s,
                                 double bath_K)
{
    oxt_error error = OXT_ERROR_INIT;
    double lab[FITTINGS][3], largest = 0.0;
    oxt_growth first = drawn_growth(random, &on->values[0]);
    oxt_growth last = drawn_growth(random, &on->values[2]);
    for (int i = 0; i < FITTINGS; i++) {
        const oxt_growth *growth = i == 2 ? &last : &first;
        double time_s = lift_s[i] + gsl_ran_gaussian(random, 2.0), bath, air, surface_K, film_nm;
        OK(oxt_bath_exposure(growth, NULL, &on->sizes[i], 0.0, bath_K, time_s, &bath, &error));
        OK(oxt_heat_surface_temperature(&on->sizes[i], bath_K, time_s, &surface_K, &error));
        OK(oxt_heat_lift_exposure(growth, &on->sizes[i], &on->lift, surface_K, &air, NULL, &error));
        film_nm = sqrt(bath + air) * exp(gsl_ran_gaussian(random, on->values[i].scatter));
        OK(oxt_film_colour(on->films[i], OXT_SPACE_LAB, film_nm, lab[i], NULL, &error));
        for (int j = 0; j < i; j++) {
            double delta;
            OK(oxt_delta_e2000(1, lab[i], 0, lab[j], 0, &delta, NULL, &error));
            largest = fmax(largest, delta);
        }
    }
    return largest;
}

/* Measured, stated and came out: 16.6 and 16.5 % match within 5; 10.4 and 10.5 on average; 95 % and 95.2 %
 * below the high mismatch. */
Test(virtual_dips, a_set_matches_as_stated)
{
    oxt_error error = OXT_ERROR_INIT;
    fittings on;
    lay_out(&on);
    oxt_plan *set;
    oxt_plan_values values = OXT_PLAN_VALUES_INIT;
    oxt_plan_options options = OXT_PLAN_OPTIONS_INIT;
    options.bath_wander_K = 2.0;
    options.time_wander_s = 2.0;
    options.draws = 20000;
    const oxt_plan_part *list[] = { &on.parts[0], &on.parts[1], &on.parts[2] };
    OK(oxt_plan_set(&set, list, FITTINGS, 600.0, &options, &error));
    OK(oxt_plan_get(set, &values, &error));
    double lift_s[FITTINGS];
    for (size_t i = 0; i < FITTINGS; i++) {
        oxt_plan_step step = OXT_PLAN_STEP_INIT;
        OK(oxt_plan_get_step(set, i, &step, NULL, &error));
        lift_s[step.part] = step.lift_s - step.enter_s;
    }
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, 20020301);
    int matched = 0, below = 0;
    double sum = 0.0;
    for (int i = 0; i < DIPS; i++) {
        double bath_K = 600.0 + gsl_ran_gaussian(random, 2.0);
        double mismatch = mismatch_by_chance(random, &on, lift_s, bath_K);
        matched += mismatch <= values.tolerance;
        below += mismatch <= values.high_mismatch;
        sum += mismatch / DIPS;
    }
    gsl_rng_free(random);
    cr_assert(fabs(share(matched, DIPS) - values.chance_match) <= 0.02,
              "%.3f stated, %.3f came out", values.chance_match, share(matched, DIPS));
    measured("sets-count", DIPS, 0.0, HUGE_VAL);
    measured("chance-of-sets", fabs(share(matched, DIPS) - values.chance_match), -HUGE_VAL, 0.02);
    NEAR(share(below, DIPS), 0.95, 0.01);
    cr_assert(fabs(sum - values.mean_mismatch) <= 0.03 * sum, "%.3f stated, %.3f came out",
              values.mean_mismatch, sum);
    oxt_plan_free(set);
    for (int i = 0; i < FITTINGS; i++)
        oxt_steel_free(on.steels[i]);
    oxt_film_free(on.satin);
}
