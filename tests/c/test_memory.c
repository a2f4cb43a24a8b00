/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Memory that runs out, at every single allocation of the library in turn. The linker sends the
 * allocations of this program and of the static library through here (--wrap, see CMakeLists.txt);
 * GSL, libcsv and jansson keep their own. Leaks are found by the sanitizer or valgrind. */
#include <malloc.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "support.h"

void *__real_malloc(size_t size);
void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *block, size_t size);
char *__real_strdup(const char *text);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *block, size_t size);
char *__wrap_strdup(const char *text);

static struct {
    size_t count; /* allocations since the last start */
    size_t first; /* number of the first one that fails, 0: none */
    bool from_there_on;
    bool hit;
} memory;

static bool runs_out(void)
{
    memory.count++;
    bool out = memory.first != 0 && (memory.count == memory.first ||
                                     (memory.from_there_on && memory.count > memory.first));
    memory.hit = memory.hit || out;
    return out;
}

void *__wrap_malloc(size_t size)
{
    return runs_out() ? NULL : __real_malloc(size);
}

void *__wrap_calloc(size_t count, size_t size)
{
    return runs_out() ? NULL : __real_calloc(count, size);
}

void *__wrap_realloc(void *block, size_t size)
{
    return runs_out() ? NULL : __real_realloc(block, size);
}

char *__wrap_strdup(const char *text)
{
    return runs_out() ? NULL : __real_strdup(text);
}

static void start_memory(size_t first, bool from_there_on)
{
    memory.count = 0;
    memory.first = first;
    memory.from_there_on = from_there_on;
    memory.hit = false;
}

/* ---- the road: from a log to a dip, through files and texts ---- */

typedef struct {
    oxt_film *film;
    oxt_trials *log, *log_again;
    oxt_fit *fit, *robust_fit;
    oxt_laws *laws;
    oxt_pool *pool;
    oxt_steel *starting, *pooled, *steel, *steel_again, *steel_loaded;
    oxt_bootstrap *bootstrap;
    oxt_steel *renewed, *renewed_again;
    double low, high;
    oxt_target target, second;
    oxt_dip dip;
    double exposure_nm2;
    char path[700];
    char log_text[8000], fit_report[8000], laws_report[8000], pool_report[8000], card[4000],
        dip_report[8000];
} things;

/* All kinds of rows, an unstated blue of the second order, two finishes, a colour of no film, a note
 * with everything in it: each takes its own way through the library. The part stands where no fit reckons
 * its road, which takes no memory and long. */
static const char log_text[] =
    "steel,finish,bath_F,time_s,colour,thickness_nm,L,a,b,srgb,note,salt,part_mm,shape,bath_sd\n"
    "Alder 1,polished,550,60,straw,,,,,,\"two\nlines, \"\"quoted\"\"\",clock salt,,,5 F\n"
    "Alder 1,polished,550,300,brown,,,,,,,\n"
    "Alder 1,polished,600,60,brown,,,,,,,\n"
    "# a comment\n"
    "Alder 1,polished,600,130,blue,,,,,,,\n"
    "Alder 1,polished,650,40,,62.5,,,,,,\n"
    "Alder 1,ground,650,60,,,58.5,-4.8,-28,,,\n"
    "Alder 1,polished,650,50,,,,,,#4482b8,,\n"
    "Alder 1,polished,650,400,blue,,,,,,,\n"
    "Alder 1,polished,650,10,,,,,,#00ff00,,\n"
    "Alder 1,polished,550,1,bright,,,,,,,,6,any,\n";

static oxt_status make_film(things *t, oxt_error *error)
{
    return oxt_film_new(&t->film, NULL, error);
}

static oxt_status read_log(things *t, oxt_error *error)
{
    oxt_faults *faults = (oxt_faults *)t;
    oxt_status status = oxt_trials_read_csv(&t->log, NULL, log_text, strlen(log_text), NULL,
                                            &faults, error);
    cr_assert_null(faults);
    return status;
}

static oxt_status write_log_text(things *t, oxt_error *error)
{
    return oxt_trials_write_csv_text(t->log, t->log_text, sizeof t->log_text, NULL, error);
}

static oxt_status write_log(things *t, oxt_error *error)
{
    return oxt_trials_write_csv(t->log, t->path, OXT_REPLACE_ANY, error);
}

static oxt_status read_log_again(things *t, oxt_error *error)
{
    return oxt_trials_read_csv(&t->log_again, t->path, NULL, 0, NULL, NULL, error);
}

static oxt_status add_to_log(things *t, oxt_error *error)
{
    oxt_trial trial = trial_at(600.0, 100.0);
    strcpy(trial.colour, "dark blue");
    strcpy(trial.finish, "polished");
    return oxt_trials_add(t->log_again, &trial, "added", error);
}

static oxt_status run_fit(things *t, oxt_error *error)
{
    return oxt_fit_run(&t->fit, t->log_again, t->film, NULL, error);
}

static oxt_status start_steel(things *t, oxt_error *error)
{
    return oxt_prior_steel(&t->starting, "Alder 1", "polished", t->film, error);
}

/* By everything that a fit can be asked for. */
static oxt_status run_robust_fit(things *t, oxt_error *error)
{
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    oxt_prior prior = OXT_PRIOR_INIT;
    oxt_status status = oxt_prior_mild_steel(&prior, t->film, error);
    options.prior = &prior;
    options.robust = OXT_ROBUST_TUKEY;
    options.errors_in_variables = OXT_ERRORS_ORTHOGONAL;
    options.bath_sd_K = 1.0;
    options.time_sd_s = 1.0;
    t->robust_fit = NULL;
    return status ? status : oxt_fit_run(&t->robust_fit, t->log_again, t->film, &options, error);
}

/* Its finishes one by one, by the model that takes most. */
static oxt_status run_pool(things *t, oxt_error *error)
{
    oxt_pool_options options = OXT_POOL_OPTIONS_INIT;
    oxt_prior prior = OXT_PRIOR_INIT;
    oxt_status status = oxt_prior_mild_steel(&prior, t->film, error);
    options.model = OXT_POOL_SEPARATE;
    options.shrink = 1;
    options.prior = &prior;
    t->pool = NULL;
    return status ? status : oxt_pool_run(&t->pool, t->log_again, t->film, &options, error);
}

static oxt_status report_pool(things *t, oxt_error *error)
{
    return oxt_pool_report(t->pool, OXT_UNIT_CELSIUS, t->pool_report, sizeof t->pool_report, NULL,
                           error);
}

static oxt_status take_pooled(things *t, oxt_error *error)
{
    return oxt_pool_steel(t->pool, 1, &t->pooled, error);
}

static oxt_status profile_fit(things *t, oxt_error *error)
{
    return oxt_interval_profile(t->fit, OXT_INTERVAL_DIP_TIME, 600.0, NULL, &t->low, &t->high,
                                error);
}

/* On this thread alone, so that allocations are counted in order. */
static oxt_status run_bootstrap(things *t, oxt_error *error)
{
    oxt_bootstrap_options options = OXT_BOOTSTRAP_OPTIONS_INIT;
    options.replicates = 100;
    options.kind = OXT_BOOTSTRAP_RESIDUAL;
    options.threads = 1;
    return oxt_bootstrap_run(&t->bootstrap, t->fit, &options, error);
}

static oxt_status bootstrap_limits(things *t, oxt_error *error)
{
    return oxt_bootstrap_interval(t->bootstrap, OXT_INTERVAL_Q, 0.0, 0.0, 0.9,
                                  OXT_BOOTSTRAP_BIAS_CORRECTED, &t->low, &t->high, error);
}

static oxt_status report_fit(things *t, oxt_error *error)
{
    return oxt_fit_report(t->fit, OXT_UNIT_CELSIUS, t->fit_report, sizeof t->fit_report, NULL,
                          error);
}

static oxt_status run_laws(things *t, oxt_error *error)
{
    return oxt_laws_run(&t->laws, t->fit, NULL, error);
}

static oxt_status report_laws(things *t, oxt_error *error)
{
    return oxt_laws_report(t->laws, OXT_UNIT_CELSIUS, t->laws_report, sizeof t->laws_report, NULL,
                           error);
}

static oxt_status take_steel(things *t, oxt_error *error)
{
    return oxt_fit_steel(t->fit, &t->steel, error);
}

static oxt_status reanchor_steel(things *t, oxt_error *error)
{
    return oxt_anchor_steel(&t->renewed, t->starting, t->log_again, t->film, NULL, error);
}

/* With a history. */
static oxt_status load_renewed(things *t, oxt_error *error)
{
    char card[8000];
    oxt_status status = oxt_steel_save_text(t->renewed, card, sizeof card, NULL, error);
    t->renewed_again = NULL;
    return status ? status : oxt_steel_load(&t->renewed_again, NULL, card, strlen(card), error);
}

static oxt_status save_steel_text(things *t, oxt_error *error)
{
    return oxt_steel_save_text(t->steel, t->card, sizeof t->card, NULL, error);
}

static oxt_status load_steel_text(things *t, oxt_error *error)
{
    return oxt_steel_load(&t->steel_again, NULL, t->card, strlen(t->card), error);
}

static oxt_status save_steel(things *t, oxt_error *error)
{
    return oxt_steel_save(t->steel_again, t->path, OXT_REPLACE_ANY, error);
}

static oxt_status load_steel(things *t, oxt_error *error)
{
    return oxt_steel_load(&t->steel_loaded, t->path, NULL, 0, error);
}

static oxt_status find_target(things *t, oxt_error *error)
{
    return oxt_tint_target(t->film, "#0052a2", &t->target, error);
}

/* The blue of 170 nm: the second order is nearest, the first one near enough to be preferred. */
static oxt_status find_second_target(things *t, oxt_error *error)
{
    return oxt_tint_target(t->film, "#154eba", &t->second, error);
}

static oxt_status predict(things *t, oxt_error *error)
{
    return oxt_dip_predict(t->steel_loaded, &t->target, 600.0, NULL, &t->dip, error);
}

static oxt_status report_dip(things *t, oxt_error *error)
{
    return oxt_dip_report(&t->dip, OXT_UNIT_CELSIUS, OXT_CAUTION_BRIEF, t->dip_report,
                          sizeof t->dip_report, NULL, error);
}

static oxt_status sag(things *t, oxt_error *error)
{
    oxt_growth growth = growth_of(30.0, 588.7, 76e3);
    oxt_bath bath = OXT_BATH_INIT;
    oxt_part part = OXT_PART_INIT;
    bath.salt_kg = 10.0;
    part.size_m = 0.006;
    return oxt_bath_exposure(&growth, &bath, &part, 1.0, 600.0, 90.0, &t->exposure_nm2, error);
}

/* `makes`: where the step puts a handle, 0 when it makes none. */
typedef struct {
    oxt_status (*take)(things *, oxt_error *);
    const char *name;
    size_t makes;
} step;

#define STEP(name)     \
    {                  \
        name, #name, 0 \
    }
#define MAKES(name, field)                       \
    {                                            \
        name, #name, 1 + offsetof(things, field) \
    }

static const step steps[] = {
    MAKES(make_film, film),
    MAKES(read_log, log),
    STEP(write_log_text),
    STEP(write_log),
    MAKES(read_log_again, log_again),
    STEP(add_to_log),
    MAKES(run_fit, fit),
    STEP(report_fit),
    MAKES(run_laws, laws),
    STEP(report_laws),
    STEP(profile_fit),
    MAKES(run_bootstrap, bootstrap),
    STEP(bootstrap_limits),
    MAKES(start_steel, starting),
    MAKES(run_robust_fit, robust_fit),
    MAKES(run_pool, pool),
    STEP(report_pool),
    MAKES(take_pooled, pooled),
    MAKES(take_steel, steel),
    MAKES(reanchor_steel, renewed),
    MAKES(load_renewed, renewed_again),
    STEP(save_steel_text),
    MAKES(load_steel_text, steel_again),
    STEP(save_steel),
    MAKES(load_steel, steel_loaded),
    STEP(find_target),
    STEP(find_second_target),
    STEP(predict),
    STEP(report_dip),
    STEP(sag),
};
enum { STEPS = sizeof steps / sizeof steps[0] };

static const char *directory;

static things *nothing(void)
{
    things *t = __real_calloc(1, sizeof *t);
    t->target = t->second = (oxt_target)OXT_TARGET_INIT;
    t->dip = (oxt_dip)OXT_DIP_INIT;
    snprintf(t->path, sizeof t->path, "%s/file", directory);
    return t;
}

static void drop(things *t)
{
    oxt_steel_free(t->steel_loaded);
    oxt_steel_free(t->steel_again);
    oxt_steel_free(t->renewed_again);
    oxt_steel_free(t->renewed);
    oxt_steel_free(t->steel);
    oxt_steel_free(t->starting);
    oxt_steel_free(t->pooled);
    oxt_pool_free(t->pool);
    oxt_laws_free(t->laws);
    oxt_bootstrap_free(t->bootstrap);
    oxt_fit_free(t->robust_fit);
    oxt_fit_free(t->fit);
    oxt_trials_free(t->log_again);
    oxt_trials_free(t->log);
    oxt_film_free(t->film);
    free(t);
}

/* A failure that is clean: the right status, a message, no handle. */
static void check_failure(const step *failed, things *t, oxt_status status, const oxt_error *error)
{
    cr_assert_eq(status, OXT_ENOMEM, "%s at allocation %zu gave %s: %s", failed->name, memory.first,
                 oxt_status_name(status), error->text);
    cr_assert(error->status == OXT_ENOMEM && error->text[0]);
    if (failed->makes) {
        void *made;
        memcpy(&made, (char *)t + failed->makes - 1, sizeof made);
        cr_assert_null(made, "%s left a handle at allocation %zu", failed->name, memory.first);
    }
}

/* Walk from step `from` on; true when the end was reached. */
static bool walk(things *t, size_t from, size_t to)
{
    for (size_t i = from; i < to; i++) {
        oxt_error error = OXT_ERROR_INIT;
        if (steps[i].makes) /* not NULL, so that it must be set to NULL */
            memcpy((char *)t + steps[i].makes - 1, &t, sizeof t);
        oxt_status status = steps[i].take(t, &error);
        if (status) {
            check_failure(&steps[i], t, status, &error);
            return false;
        }
    }
    return true;
}

/* A road that was walked to its end in spite of a failed allocation must have led to the same place:
 * only what is not needed for the answer, such as syncing a directory, may be left out. */
static void check_same(const things *a, const things *b)
{
    cr_assert_str_eq(a->log_text, b->log_text);
    cr_assert_str_eq(a->fit_report, b->fit_report);
    cr_assert_str_eq(a->pool_report, b->pool_report);
    cr_assert_str_eq(a->laws_report, b->laws_report);
    cr_assert_str_eq(a->card, b->card);
    cr_assert_str_eq(a->dip_report, b->dip_report);
    cr_assert_eq(a->dip.time_s, b->dip.time_s);
    cr_assert_eq(a->exposure_nm2, b->exposure_nm2);
    cr_assert(a->low == b->low && a->high == b->high);
    cr_assert_eq(a->second.aim_nm, b->second.aim_nm);
}

static void fail_each(const char *name, size_t from, size_t to, bool from_there_on)
{
    directory = scratch_directory(name);
    things *whole = nothing();
    start_memory(0, false);
    cr_assert(walk(whole, 0, from));
    start_memory(0, false);
    cr_assert(walk(whole, from, to));
    size_t count = memory.count;
    cr_assert(count > to - from, "the allocations do not come through here");
    for (size_t n = 1; n <= count; n++) {
        things *t = nothing();
        start_memory(0, false);
        walk(t, 0, from);
        start_memory(n, from_there_on);
        bool reached = walk(t, from, to);
        bool hit = memory.hit;
        start_memory(0, false);
        cr_assert(hit, "allocation %zu of %zu was not reached", n, count);
        if (reached)
            check_same(t, whole);
        cr_assert_leq(files_in(directory), 1, "a temporary file is left");
        drop(t);
    }
    drop(whole);
}

Test(memory, each_allocation_of_a_film_fails_in_turn)
{
    fail_each("memory_film", 0, 1, false);
}

/* A film of own materials, layers and a rough finish: each is copied or averaged on the way. */
Test(memory, each_allocation_of_a_stack_fails_in_turn)
{
    oxt_error error = OXT_ERROR_INIT;
    const double wavelength_nm[2] = { 380.0, 780.0 }, n[2] = { 2.0, 2.1 }, k[2] = { 0.1, 0.0 };
    oxt_material *own, *none = (oxt_material *)&error;
    OK(oxt_material_new(&own, "own", 2, wavelength_nm, n, k, &error));
    const oxt_material *layers[3] = { own, own, own };
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    options.layer_count = 3;
    options.layers = layers;
    options.substrate = own;
    options.thickness_spread = 0.05;
    options.angle_spread_deg = 8.0;
    size_t failures = 0;
    for (size_t first = 1;; first++) {
        oxt_film *film = (oxt_film *)&error;
        start_memory(first, false);
        oxt_status status = oxt_film_new(&film, &options, &error);
        bool hit = memory.hit;
        start_memory(0, false);
        cr_assert_eq(status, hit ? OXT_ENOMEM : OXT_OK, "allocation %zu", first);
        cr_assert_eq(film == NULL, hit);
        oxt_film_free(film);
        if (!hit)
            break;
        failures++;
    }
    cr_assert(failures >= 10, "%zu", failures);
    start_memory(1, false);
    FAILS(oxt_material_new(&none, "iron", 0, NULL, NULL, NULL, &error), OXT_ENOMEM);
    cr_assert_null(none);
    none = (oxt_material *)&error;
    start_memory(1, false);
    FAILS(oxt_material_new(&none, "own", 2, wavelength_nm, n, k, &error), OXT_ENOMEM);
    cr_assert_null(none);
    start_memory(0, false);
    oxt_material_free(own);
}

/* Reflectance at wavelengths of one's own needs a stack; nothing is written without it. */
Test(memory, reflectance_without_memory_fails)
{
    oxt_error error = OXT_ERROR_INIT;
    const double wavelength_nm[2] = { 400.0, 500.0 };
    double R[2] = { -1.0, -1.0 };
    const oxt_film *film = default_film();
    start_memory(1, false);
    FAILS(oxt_film_reflectance(film, 57.0, 2, wavelength_nm, R, &error), OXT_ENOMEM);
    cr_assert(R[0] == -1.0 && R[1] == -1.0);
    start_memory(2, false);
    OK(oxt_film_reflectance(film, 57.0, 2, wavelength_nm, R, &error));
    start_memory(0, false);
    cr_assert(R[0] > 0.0 && R[1] > 0.0);
}

/* A history that grows, its exposure, its tempers and a hardness. */
static oxt_status walk_history(const char *text, oxt_error *error)
{
    const oxt_growth growth = growth_of(30.0, 588.7, 76e3);
    oxt_temper_options options = OXT_TEMPER_OPTIONS_INIT;
    oxt_temper temper = OXT_TEMPER_INIT;
    oxt_history *history = (oxt_history *)error;
    double exposure_nm2;
    options.steel = "1095";
    options.last_K = 480.0;
    options.last_s = 7200.0;
    oxt_status status = oxt_history_read_csv(&history, NULL, text, strlen(text), 0.0, NULL, error);
    cr_assert_eq(history == NULL, status != OXT_OK);
    if (!status)
        status = oxt_history_exposure(history, &growth, 0.0, 19.0, &exposure_nm2, error);
    if (!status)
        status = oxt_temper_history(history, &options, &temper, error);
    oxt_history_free(history);
    return status;
}

Test(memory, each_allocation_of_a_history_fails_in_turn)
{
    char text[1000] = "time_s,temperature_C\n";
    for (int i = 0; i < 20; i++)
        snprintf(text + strlen(text), sizeof text - strlen(text), "%d,%d\n", i, 20 + 15 * i);
    size_t failures = 0;
    for (size_t first = 1;; first++) {
        oxt_error error = OXT_ERROR_INIT;
        start_memory(first, false);
        oxt_status status = walk_history(text, &error);
        bool hit = memory.hit;
        start_memory(0, false);
        cr_assert_eq(status, hit ? OXT_ENOMEM : OXT_OK, "allocation %zu: %s", first, error.text);
        if (!hit)
            break;
        failures++;
    }
    cr_assert(failures >= 6, "%zu", failures);
}

static oxt_status make_tracker(oxt_track **made, oxt_error *error)
{
    const oxt_growth growth = growth_of(30.0, 588.7, 76e3);
    oxt_part part = OXT_PART_INIT;
    oxt_lift lift = OXT_LIFT_INIT;
    oxt_target target = OXT_TARGET_INIT;
    oxt_track_options options = OXT_TRACK_OPTIONS_INIT;
    cr_assert_eq(oxt_tint_target_of_thickness(57.0, 50.0, 60.0, &target, error), OXT_OK);
    part.size_m = 0.03;
    lift.delay_s = 3.0;
    options.part = &part;
    options.bath_K = 588.7;
    options.lift = &lift;
    return tracker_by(made, &growth, default_film(), &target, &options, error);
}

Test(memory, each_allocation_of_a_tracker_fails_in_turn)
{
    oxt_error error = OXT_ERROR_INIT;
    size_t failures = 0;
    default_film();
    for (size_t first = 1;; first++) {
        oxt_track *tracker = (oxt_track *)&error;
        start_memory(first, false);
        oxt_status status = make_tracker(&tracker, &error);
        bool hit = memory.hit;
        start_memory(0, false);
        cr_assert_eq(status, hit ? OXT_ENOMEM : OXT_OK, "allocation %zu", first);
        cr_assert_eq(tracker == NULL, hit);
        oxt_track_free(tracker);
        if (!hit)
            break;
        failures++;
    }
    cr_assert(failures >= 1, "%zu", failures);
}

static oxt_status walk_advice(const oxt_steel *steel, const oxt_film *film, const oxt_fit *fit,
                              oxt_error *error)
{
    oxt_advise *advice = (oxt_advise *)error;
    oxt_drift drift = OXT_DRIFT_INIT;
    oxt_status status = oxt_advise_run(&advice, steel, film, NULL, error);
    cr_assert_eq(advice == NULL, status != OXT_OK);
    if (!status)
        status = oxt_advise_report(advice, OXT_UNIT_CELSIUS, OXT_CAUTION_BRIEF, NULL, 0, NULL,
                                   error);
    if (!status)
        status = oxt_drift_find(fit, NULL, &drift, error);
    if (!status)
        status = oxt_drift_report(&drift, OXT_CAUTION_BRIEF, NULL, 0, NULL, error);
    oxt_advise_free(advice);
    return status;
}

Test(memory, each_allocation_of_advice_and_drift_fails_in_turn)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_film *film = default_film();
    oxt_trials *log = new_log();
    oxt_fit *fit;
    oxt_steel *steel;
    for (int i = 0; i < 10; i++)
        add_thickness(log, i % 2 ? 570.0 : 610.0, 60.0, (i % 2 ? 40.0 : 64.0) + i % 3);
    OK(oxt_fit_run(&fit, log, film, NULL, &error));
    OK(oxt_fit_steel(fit, &steel, &error));
    size_t failures = 0;
    for (size_t first = 1;; first++) {
        start_memory(first, false);
        oxt_status status = walk_advice(steel, film, fit, &error);
        bool hit = memory.hit;
        start_memory(0, false);
        cr_assert_eq(status, hit ? OXT_ENOMEM : OXT_OK, "allocation %zu: %s", first, error.text);
        if (!hit)
            break;
        failures++;
    }
    cr_assert(failures >= 6, "%zu", failures);
    oxt_steel_free(steel);
    oxt_fit_free(fit);
    oxt_trials_free(log);
}

Test(memory, each_allocation_of_the_road_fails_in_turn)
{
    fail_each("memory_road", 1, STEPS, false);
}

Test(memory, all_allocations_from_one_on_fail)
{
    fail_each("memory_from", 1, STEPS, true);
}

/* ---- a file with faults ---- */

/* The faults, all of them, or no memory; never a part of them. */
Test(memory, each_allocation_of_a_faulty_log_fails_in_turn)
{
    static const char text[] = "steel,bath_F,time_s,colour,note\n"
                               "A,6500,0,mauve,x\nA,6500,0,mauve,x\nA,6500,0,mauve,x\n"
                               "A,6500,0,mauve,x\nA,6500,0,mauve,x\nA,6500,0,mauve,x\n"
                               "A,6500,0,\"mau\"ve,x\nA,650,60,blue,x\n";
    enum { FAULTS = 19 };
    size_t failures = 0;
    for (size_t n = 1;; n++) {
        oxt_error error = OXT_ERROR_INIT;
        oxt_trials *log = (oxt_trials *)&error;
        oxt_faults *faults = (oxt_faults *)&error;
        start_memory(n, false);
        oxt_status status = oxt_trials_read_csv(&log, NULL, text, strlen(text), NULL, &faults,
                                                &error);
        bool hit = memory.hit;
        start_memory(0, false);
        cr_assert_null(log);
        if (status == OXT_EPARSE)
            cr_assert_eq(oxt_faults_count(faults), FAULTS);
        else
            cr_assert(status == OXT_ENOMEM && faults == NULL);
        cr_assert_eq(error.status, status);
        oxt_faults_free(faults);
        if (!hit)
            break;
        failures++;
    }
    cr_assert(failures > 5);
}

/* ---- none at all ---- */

static size_t heap_bytes(void)
{
    struct mallinfo2 heap = mallinfo2();
    return heap.uordblks + heap.hblkhd;
}

/* Contract: all memory of a tracker is taken when it is made. */
Test(memory, a_dip_is_tracked_without_any)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_track *tracker;
    oxt_track_state now = OXT_TRACK_STATE_INIT;
    OK(make_tracker(&tracker, &error));
    size_t before = heap_bytes();
    start_memory(1, true); /* none is to be had */
    for (int i = 0; i < 400; i++) {
        OK(oxt_track_feed(tracker, i + (i > 100 ? 20.0 : 0.0), 588.7 + i % 3, &error));
        FAILS(oxt_track_feed(tracker, i, NAN, &error), OXT_EDOMAIN);
        OK(oxt_track_read(tracker, &now, &error));
    }
    cr_assert(now.gap_count == 1 && now.state == OXT_TRACK_PAST);
    OK(oxt_track_restart(tracker, &error));
    cr_assert_eq(memory.count, 0);
    cr_assert_eq(heap_bytes(), before);
    start_memory(0, false);
    oxt_track_free(tracker);
}

/* Contract: a prediction takes no memory, whatever part and lift it is for, nor do its way back and the best bath. */
Test(memory, a_dip_is_predicted_without_any)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    oxt_target target = OXT_TARGET_INIT;
    oxt_lift lift = OXT_LIFT_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    values.dof = 7.3;
    oxt_steel *steel = steel_of(&values);
    lift.delay_s = 4.0;
    OK(oxt_tint_target(default_film(), "blue", &target, &error));
    size_t before = heap_bytes();
    start_memory(1, true); /* none is to be had */
    for (double size_m = 0.0; size_m < 0.05; size_m += 0.004)
        for (int shape = 0; shape < 3; shape++) {
            oxt_part part = OXT_PART_INIT;
            oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
            part.size_m = size_m;
            part.shape = (oxt_shape)shape;
            options.part = &part;
            options.lift = shape == 1 ? NULL : &lift;
            OK(oxt_dip_predict(steel, &target, 588.7, &options, &dip, &error));
            OK(oxt_dip_for_time(steel, &target, 300.0, &options, &dip, &error));
            OK(oxt_plan_baths(steel, &target, NULL, &options, &dip, NULL, NULL, &error));
        }
    cr_assert_eq(memory.count, 0);
    cr_assert_eq(heap_bytes(), before);
    start_memory(0, false);
    oxt_steel_free(steel);
}
