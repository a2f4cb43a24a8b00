/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How long things take: the median of many repeats, a line each. */
#define _POSIX_C_SOURCE 200809L

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "oxtint.h"

enum { MOST_REPEATS = 4001 };

static void must(oxt_status status, const oxt_error *error)
{
    if (status == OXT_OK)
        return;
    fprintf(stderr, "bench: %s\n", error->text);
    exit(1);
}

static void *allocate(size_t bytes)
{
    void *block = malloc(bytes);
    if (!block) {
        fputs("bench: memory ran out\n", stderr);
        exit(1);
    }
    return block;
}

static double seconds(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

typedef void (*act)(void *context);

/* Median of the seconds that an act takes. */
static double median(act once, void *context, size_t repeats)
{
    static double times[MOST_REPEATS];
    once(context); /* warm */
    for (size_t i = 0; i < repeats; i++) {
        double start = seconds();
        once(context);
        times[i] = seconds() - start;
    }
    qsort(times, repeats, sizeof *times, by_size);
    return times[repeats / 2];
}

static void show(const char *what, double value, const char *unit)
{
    printf("%-52s %10.3f %s\n", what, value, unit);
}

/* ---- a made-up steel and its logs ---- */

static const double baths_K[] = { 560.9, 588.7, 616.5 };
static const char *const names[] = { "faint straw", "straw",      "dark straw", "brown", "purple",
                                     "dark blue",   "light blue", "silver",     "blue" };

static oxt_growth some_growth(void)
{
    oxt_growth growth = OXT_GROWTH_INIT;
    growth.k_ref_nm2_per_s = 55.0;
    growth.T_ref_K = 588.7;
    growth.Q_J_per_mol = 80e3;
    return growth;
}

/* A coupon that came out as a named colour, with some scatter. */
static oxt_trial some_trial(const oxt_film *film, size_t index)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_tint tint = OXT_TINT_INIT;
    oxt_trial trial = OXT_TRIAL_INIT;
    oxt_growth growth = some_growth();
    strcpy(trial.steel, "Alder 1");
    strcpy(trial.finish, "polished");
    strcpy(trial.colour, names[index % 9]);
    trial.bath_K = baths_K[index % 3];
    must(oxt_tint_find(film, trial.colour, &tint, &error), &error);
    must(oxt_time_for_thickness(&growth, tint.centre_nm, trial.bath_K, &trial.time_s, &error),
         &error);
    trial.time_s *= exp(0.15 * sin(2.5 * (double)index));
    return trial;
}

static oxt_trials *some_log(const oxt_film *film, size_t rows)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    must(oxt_trials_new(&log, NULL, &error), &error);
    for (size_t i = 0; i < rows; i++) {
        oxt_trial trial = some_trial(film, i);
        must(oxt_trials_add(log, &trial, "slow lift", &error), &error);
    }
    return log;
}

/* ---- what is measured ---- */

typedef struct {
    const oxt_film *film;
    const oxt_trials *log;
} fit_case;

static void fit_once(void *context)
{
    const fit_case *given = context;
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit *fit;
    must(oxt_fit_run(&fit, given->log, given->film, NULL, &error), &error);
    oxt_fit_free(fit);
}

static void measure_fits(const oxt_film *film)
{
    static const size_t rows[] = { 12, 30, 1000 };
    for (int i = 0; i < 3; i++) {
        oxt_trials *log = some_log(film, rows[i]);
        fit_case given = { film, log };
        char what[80];
        snprintf(what, sizeof what, "fit of %zu named colours", rows[i]);
        show(what, 1e6 * median(fit_once, &given, rows[i] > 100 ? 201 : 4001), "us");
        oxt_trials_free(log);
    }
}

enum { PAIRS = 1000000 };

typedef struct {
    double *bath_K, *time_s, *thickness_nm;
} pairs;

static void thickness_by_library(void *context)
{
    const pairs *given = context;
    oxt_growth growth = some_growth();
    oxt_error error = OXT_ERROR_INIT;
    must(oxt_thickness_n(&growth, PAIRS, given->bath_K, sizeof(double), given->time_s,
                         sizeof(double), given->thickness_nm, NULL, &error),
         &error);
}

/* The peer: the formula and nothing else. */
static void thickness_by_loop(void *context)
{
    const pairs *given = context;
    const double over_R = 80e3 / OXT_GAS_CONSTANT_J_PER_MOL_K;
    for (size_t i = 0; i < PAIRS; i++)
        given->thickness_nm[i] = sqrt(55.0 * exp(-over_R * (1.0 / given->bath_K[i] - 1.0 / 588.7)) *
                                      given->time_s[i]);
}

static void measure_thickness(void)
{
    pairs given = { allocate(PAIRS * sizeof(double)), allocate(PAIRS * sizeof(double)),
                    allocate(PAIRS * sizeof(double)) };
    for (size_t i = 0; i < PAIRS; i++) {
        given.bath_K[i] = 500.0 + 200.0 * (double)i / PAIRS;
        given.time_s[i] = 1.0 + (double)(i % 600);
    }
    double library = median(thickness_by_library, &given, 21);
    double loop = median(thickness_by_loop, &given, 21);
    show("thickness of 1e6 pairs in one call", 1e3 * library, "ms");
    show("the same by a plain loop of the formula", 1e3 * loop, "ms");
    show("ratio of the two", library / loop, "");
    free(given.bath_K);
    free(given.time_s);
    free(given.thickness_nm);
}

enum { LABS = 1000000 };

typedef struct {
    const oxt_film *film;
    size_t count;
    double *thickness_nm, *lab;
} lab_case;

static void lab_full(void *context)
{
    const lab_case *given = context;
    oxt_error error = OXT_ERROR_INIT;
    must(oxt_film_colours(given->film, OXT_SPACE_LAB, given->count, given->thickness_nm,
                          sizeof(double), given->lab, NULL, NULL, &error),
         &error);
}

static void lab_from_path(void *context)
{
    const lab_case *given = context;
    oxt_error error = OXT_ERROR_INIT;
    must(oxt_film_colours(given->film, OXT_SPACE_PATH_LAB, given->count, given->thickness_nm,
                          sizeof(double), given->lab, NULL, NULL, &error),
         &error);
}

static void show_labs(const char *how, act once, lab_case *given)
{
    static const size_t counts[] = { 1, 1000, LABS }, repeats[] = { 4001, 101, 3 };
    for (int i = 0; i < 3; i++) {
        char what[80];
        given->count = counts[i];
        snprintf(what, sizeof what, "Lab %s, each of %zu", how, counts[i]);
        show(what, 1e6 * median(once, given, repeats[i]) / (double)counts[i], "us");
    }
}

static oxt_film *film_of(oxt_finish grade)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    oxt_film *film;
    must(oxt_film_finish(grade, &options.thickness_spread, &options.angle_spread_deg, &error),
         &error);
    must(oxt_film_new(&film, &options, &error), &error);
    return film;
}

static void measure_colours(oxt_finish grade, const char *name)
{
    lab_case given = { film_of(grade), 0, allocate(LABS * sizeof(double)),
                       allocate(3 * LABS * sizeof(double)) };
    char how[40];
    for (size_t i = 0; i < LABS; i++)
        given.thickness_nm[i] = fmod(57.0 + 61.8 * (double)i, 230.0);
    snprintf(how, sizeof how, "of a %s film", name);
    if (grade == OXT_FINISH_MIRROR)
        show_labs(how, lab_full, &given);
    snprintf(how, sizeof how, "of a %s film from its path", name);
    show_labs(how, lab_from_path, &given);
    given.count = 100;
    snprintf(how, sizeof how, "Lab of a %s film, each of 100", name);
    show(how, 1e6 * median(lab_full, &given, 11) / 100.0, "us");
    free(given.thickness_nm);
    free(given.lab);
    oxt_film_free((oxt_film *)given.film);
}

static void film_once(void *context)
{
    oxt_film_free(film_of(*(const oxt_finish *)context));
}

static void match_once(void *context)
{
    static const double lab[3] = { 44.7, 0.9, -41.6 };
    oxt_error error = OXT_ERROR_INIT;
    size_t count;
    oxt_match_verdict verdict;
    must(oxt_film_match(context, lab, NULL, 0, NULL, &count, &verdict, &error), &error);
}

static void measure_films(oxt_film *film)
{
    oxt_finish mirror = OXT_FINISH_MIRROR, matte = OXT_FINISH_MATTE;
    show("preparing a film", 1e3 * median(film_once, &mirror, 101), "ms");
    show("preparing a matte film", 1e3 * median(film_once, &matte, 5), "ms");
    measure_colours(OXT_FINISH_MIRROR, "mirror");
    measure_colours(OXT_FINISH_MATTE, "matte");
    show("films of a colour", 1e6 * median(match_once, film, 1001), "us");
}

typedef struct {
    oxt_steel *steel;
    oxt_target target;
} dip_case;

static void dip_once(void *context)
{
    dip_case *given = context;
    oxt_error error = OXT_ERROR_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    must(oxt_dip_predict(given->steel, &given->target, 600.0, NULL, &dip, &error), &error);
}

static void measure_dip(const oxt_film *film)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = some_log(film, 12);
    oxt_fit *fit;
    dip_case given = { NULL, OXT_TARGET_INIT };
    must(oxt_fit_run(&fit, log, film, NULL, &error), &error);
    must(oxt_fit_steel(fit, &given.steel, &error), &error);
    must(oxt_tint_target(film, "blue", &given.target, &error), &error);
    show("prediction of a dip", 1e6 * median(dip_once, &given, 4001), "us");
    oxt_steel_free(given.steel);
    oxt_fit_free(fit);
    oxt_trials_free(log);
}

typedef struct {
    char *text;
    size_t length;
} csv_case;

static void read_once(void *context)
{
    const csv_case *given = context;
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    must(oxt_trials_read_csv(&log, NULL, given->text, given->length, NULL, NULL, &error), &error);
    oxt_trials_free(log);
}

static void measure_csv(const oxt_film *film)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = some_log(film, 10000);
    csv_case given;
    must(oxt_trials_write_csv_text(log, NULL, 0, &given.length, &error), &error);
    given.text = allocate(given.length + 1);
    must(oxt_trials_write_csv_text(log, given.text, given.length + 1, NULL, &error), &error);
    show("reading a log of 10000 rows", 1e3 * median(read_once, &given, 101), "ms");
    free(given.text);
    oxt_trials_free(log);
}

enum { SAMPLES = 10000 };

typedef struct {
    oxt_track *tracker;
} track_case;

static double wobble_K(size_t sample)
{
    return 600.0 + (double)(sample % 7) - 3.0;
}

static void feed_many(void *context)
{
    const track_case *given = context;
    oxt_error error = OXT_ERROR_INIT;
    must(oxt_track_restart(given->tracker, &error), &error);
    for (size_t i = 0; i < SAMPLES; i++)
        must(oxt_track_feed(given->tracker, 0.1 * (double)i, wobble_K(i), &error), &error);
}

static void read_once_more(void *context)
{
    const track_case *given = context;
    oxt_error error = OXT_ERROR_INIT;
    oxt_track_state now = OXT_TRACK_STATE_INIT;
    must(oxt_track_read(given->tracker, &now, &error), &error);
}

static oxt_steel *some_steel(void)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    oxt_steel *steel;
    strcpy(values.steel, "Alder 1");
    values.growth = some_growth();
    values.dof = 9.0;
    values.bath_low_K = 560.0;
    values.bath_high_K = 620.0;
    values.thickness_low_nm = 20.0;
    values.thickness_high_nm = 80.0;
    must(oxt_steel_new(&steel, &values, &error), &error);
    return steel;
}

/* A read is slowest while the part warms up. */
static void measure_tracker(const oxt_film *film, double size_m, const char *kind)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_part part = OXT_PART_INIT;
    oxt_lift lift = OXT_LIFT_INIT;
    oxt_track_options options = OXT_TRACK_OPTIONS_INIT;
    oxt_target target = OXT_TARGET_INIT;
    oxt_steel *steel = some_steel();
    track_case given;
    char what[80];
    part.size_m = size_m;
    lift.delay_s = 3.0;
    options.part = &part;
    options.bath_K = 600.0;
    options.lift = &lift;
    must(oxt_tint_target(film, "blue", &target, &error), &error);
    must(oxt_track_new(&given.tracker, steel, film, &target, &options, &error), &error);
    oxt_steel_free(steel);
    snprintf(what, sizeof what, "feeding a sample, %s part", kind);
    show(what, 1e9 * median(feed_many, &given, 101) / SAMPLES, "ns");
    must(oxt_track_restart(given.tracker, &error), &error);
    for (size_t i = 0; i < 50; i++)
        must(oxt_track_feed(given.tracker, 0.1 * (double)i, wobble_K(i), &error), &error);
    snprintf(what, sizeof what, "reading a tracker, %s part", kind);
    show(what, 1e6 * median(read_once_more, &given, 4001), "us");
    oxt_track_free(given.tracker);
}

int main(void)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_film *film;
    must(oxt_film_new(&film, NULL, &error), &error);
    printf("oxtint %s\n", oxt_version());
    measure_fits(film);
    measure_thickness();
    measure_films(film);
    measure_dip(film);
    measure_csv(film);
    measure_tracker(film, 0.006, "lumped");
    measure_tracker(film, 0.03, "series");
    oxt_film_free(film);
    return 0;
}
