/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A controller beside the bath: a thread reads a thermocouple line by line and says when each of two parts is to be
 * lifted; here the thermocouple is another thread, at the other end of a pipe, that swings, stutters and fails.
 *
 *     cc -std=c11 controller.c $(pkg-config --cflags --libs oxtint) -pthread -lm -o controller
 *     controller TRIALS.csv */
#define _POSIX_C_SOURCE 200809L
#include <math.h>
#include <oxtint.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

enum { PARTS = 2 };

typedef struct {
    const char *name;
    double enter_s; /* when it is lowered into the bath */
    oxt_track *tracker;
    int is_lifted;
} bench_part;

typedef struct {
    int input;
    bench_part parts[PARTS];
    size_t refused;
} controller;

/* ---- the thermocouple, simulated: one line for each reading, s and K ---- */

static void *thermocouple(void *context)
{
    FILE *line = fdopen(*(int *)context, "w");
    for (int i = 0; i < 3000; i++) {
        double time_s = 0.1 * i;
        double bath_K = 588.7 + 3.0 * sin(0.05 * time_s);
        if (i == 400) /* a loose contact */
            bath_K = 5000.0;
        if (i >= 500 && i < 580) /* the line is down for 8 s */
            continue;
        fprintf(line, "%.1f %.2f\n", time_s, bath_K);
        if (i == 700) /* the same reading once more */
            fprintf(line, "%.1f %.2f\n", time_s, bath_K);
    }
    fclose(line); /* the reader sees the end */
    return NULL;
}

/* ---- the controller ---- */

static void watch(bench_part *part, double time_s)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_track_state now = OXT_TRACK_STATE_INIT;
    if (part->is_lifted || oxt_track_read(part->tracker, &now, &error) || now.to_lift_s > 0.0)
        return;
    printf("%6.1f s  lift the %s: %.1f nm in the quench, chance %.0f %%, %zu refused, %zu gap\n",
           time_s, part->name, now.quench_nm, 100.0 * now.chance_now, now.refused_count,
           now.gap_count);
    part->is_lifted = 1;
}

/* Each part is fed from the moment on at which it enters. A reading that is refused is counted by its tracker and
 * changes nothing. */
static void *control(void *context)
{
    controller *own = context;
    FILE *line = fdopen(own->input, "r");
    double time_s, bath_K;
    while (fscanf(line, "%lf %lf", &time_s, &bath_K) == 2)
        for (int i = 0; i < PARTS; i++) {
            bench_part *part = &own->parts[i];
            if (time_s < part->enter_s || part->is_lifted)
                continue;
            own->refused += oxt_track_feed(part->tracker, time_s, bath_K, NULL) != OXT_OK;
            watch(part, time_s);
        }
    fclose(line);
    return NULL;
}

/* ---- before the work ---- */

static oxt_status prepare(controller *own, const char *path, oxt_error *error)
{
    const double sizes_m[PARTS] = { 0.003, 0.006 };
    oxt_film *film = NULL;
    oxt_trials *trials = NULL;
    oxt_fit *fit = NULL;
    oxt_steel *steel = NULL;
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    oxt_target blue = OXT_TARGET_INIT;
    options.steel = "Alder 1";
    oxt_status status = oxt_film_new(&film, NULL, error);
    if (!status)
        status = oxt_trials_read_csv(&trials, path, NULL, 0, NULL, NULL, error);
    if (!status)
        status = oxt_fit_run(&fit, trials, film, &options, error);
    if (!status)
        status = oxt_fit_steel(fit, &steel, error);
    if (!status)
        status = oxt_tint_target(film, "blue", &blue, error);
    for (int i = 0; i < PARTS && !status; i++) {
        oxt_track_options wanted = OXT_TRACK_OPTIONS_INIT;
        oxt_part part = OXT_PART_INIT;
        part.size_m = sizes_m[i];
        wanted.part = &part;
        wanted.bath_K = 588.7;
        status = oxt_track_new(&own->parts[i].tracker, steel, film, &blue, &wanted, error);
    }
    oxt_steel_free(steel); /* a tracker keeps what it needs */
    oxt_fit_free(fit);
    oxt_trials_free(trials);
    oxt_film_free(film);
    return status;
}

int main(int count, char **arguments)
{
    controller own = { .parts = { { "bezel", 0.0, NULL, 0 }, { "collar", 20.0, NULL, 0 } } };
    oxt_error error = OXT_ERROR_INIT;
    pthread_t source, reader;
    int ends[2];
    if (count != 2 || pipe(ends) != 0) {
        fputs("usage: controller TRIALS.csv\n", stderr);
        return 2;
    }
    own.input = ends[0];
    oxt_status status = prepare(&own, arguments[1], &error);
    if (status)
        fprintf(stderr, "controller: %s\n", error.text);
    else if (pthread_create(&reader, NULL, control, &own) == 0 &&
             pthread_create(&source, NULL, thermocouple, &ends[1]) == 0) {
        pthread_join(source, NULL);
        pthread_join(reader, NULL);
        printf("readings refused: %zu\n", own.refused);
    }
    for (int i = 0; i < PARTS; i++)
        oxt_track_free(own.parts[i].tracker);
    return status || !own.parts[0].is_lifted || !own.parts[1].is_lifted;
}
