/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Do intervals, chances and warnings keep their promises, over many made-up logs of each scene? Not a test:
 * tests/c/test_promises.c is, with fewer logs.
 *
 *     build/release/tests/bench/bench_promises [LOGS [WORDS OF A SCENE'S NAME]]
 */
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>

#include "oxtint.h"

#define OK(call)                                                            \
    do {                                                                    \
        if ((call) != OXT_OK) {                                             \
            fprintf(stderr, "bench_promises: %s: %s\n", #call, error.text); \
            exit(1);                                                        \
        }                                                                   \
    } while (0)

static oxt_film *film;

static const oxt_film *default_film(void)
{
    return film;
}

#include "../c/promises.h"

enum { THREADS = 2, SEED = 20260 };

typedef struct {
    const promise_scene *scene;
    int from, to;
    promise_count sum;
} job;

static void *run(void *context)
{
    job *of = context;
    promise_run(of->scene, SEED, of->from, of->to,
                of->scene->with_prior ? "contradict the prior" : "parabolic", &of->sum);
    return NULL;
}

static void add(promise_count *sum, const promise_count *more)
{
    sum->logs += more->logs;
    sum->fitted += more->fitted;
    sum->warned += more->warned;
    sum->hit += more->hit;
    sum->chance += more->chance;
    sum->scatter += more->scatter;
    sum->mean_width += more->mean_width;
    sum->next_width += more->next_width;
    for (int i = 0; i < PROMISE_TARGETS; i++) {
        sum->mean[i] += more->mean[i];
        sum->next[i] += more->next[i];
    }
}

static void show(const promise_scene *scene, const promise_count *of)
{
    printf("%-32s %5.3f fit |", scene->name, (double)of->fitted / of->logs);
    for (int i = 0; i < PROMISE_TARGETS; i++)
        printf(" %.3f", promise_share(of->mean[i], of));
    printf(" mean, +-%3.0f %% |", 100.0 * exp(of->mean_width / of->fitted));
    for (int i = 0; i < PROMISE_TARGETS; i++)
        printf(" %.3f", promise_share(of->next[i], of));
    printf(" next, +-%3.0f %% | chance %.3f, hit %.3f | scatter %.1f %% | warned %.3f\n",
           100.0 * exp(of->next_width / of->fitted), of->chance / of->fitted,
           promise_share(of->hit, of), 100.0 * of->scatter / of->fitted,
           promise_share(of->warned, of));
}

static void lift_in_the_middle(oxt_fit_options *options)
{
    options->lifted = OXT_LIFTED_MIDDLE;
}

#define SCENE(called, count, ...)                                      \
    {                                                                  \
        .name = called, .coupons = count, .scatter = 0.06, __VA_ARGS__ \
    }

#define LIFTED(called, count) SCENE(called, count, .on_colour = 1, .choose = lift_in_the_middle)

static void by_power_law(oxt_fit_options *options)
{
    options->law = OXT_LAW_POWER;
}

static void by_linear_parabolic_law(oxt_fit_options *options)
{
    options->law = OXT_LAW_LINEAR_PARABOLIC;
}

static void by_logarithmic_law(oxt_fit_options *options)
{
    options->law = OXT_LAW_LOGARITHMIC;
}

#define LAW(called, of, is, ...) SCENE("20 names, " called, 20, .law = of, .shape = is, __VA_ARGS__)

#define POWER(called, count, n) SCENE(called, count, .exponent = n, .choose = by_power_law)

/* A law that nobody knows: by the law that the trials show, and by the average of all. */
#define UNKNOWN(called, of, is, n)                                  \
    LAW("best law, " called, of, is, .exponent = n, .best_law = 1), \
        LAW("average, " called, of, is, .exponent = n, .averaged = 1)

static const promise_scene scenes[] = {
    LAW("linear-parabolic law, A 30", OXT_LAW_LINEAR_PARABOLIC, 30.0,
        .choose = by_linear_parabolic_law),
    LAW("logarithmic law, L 20", OXT_LAW_LOGARITHMIC, 20.0, .choose = by_logarithmic_law),
    LAW("logarithmic law, L 20, scatter of the rate", OXT_LAW_LOGARITHMIC, 20.0, .of_rate = 1,
        .choose = by_logarithmic_law),
    LAW("linear-parabolic law, A 30, scatter of the rate", OXT_LAW_LINEAR_PARABOLIC, 30.0,
        .of_rate = 1, .choose = by_linear_parabolic_law),
    LAW("parabolic law, L 20", OXT_LAW_LOGARITHMIC, 20.0, .choose = NULL),
    LAW("parabolic law, A 30", OXT_LAW_LINEAR_PARABOLIC, 30.0, .choose = NULL),
    POWER("20 names, power law, n 2", 20, 2.0),
    POWER("20 names, power law, n 3", 20, 3.0),
    POWER("12 names, power law, n 3", 12, 3.0),
    POWER("48 names, power law, n 3", 48, 3.0),

    SCENE("20 names, outside, n 3 by the power law", 20, .exponent = 3.0, .outside = 1,
          .choose = by_power_law),
    SCENE("20 names, outside, n 3 by the parabolic law", 20, .exponent = 3.0, .outside = 1),
    SCENE("20 names, inside, n 3 by the parabolic law", 20, .exponent = 3.0),
    SCENE("20 names, outside, parabolic", 20, .outside = 1),
    SCENE("20 names, outside, n 3, average", 20, .exponent = 3.0, .outside = 1, .averaged = 1),

    UNKNOWN("parabolic", OXT_LAW_PARABOLIC, 0.0, 2.0),
    UNKNOWN("n 3", OXT_LAW_PARABOLIC, 0.0, 3.0),
    UNKNOWN("A 30", OXT_LAW_LINEAR_PARABOLIC, 30.0, 2.0),
    UNKNOWN("L 20", OXT_LAW_LOGARITHMIC, 20.0, 2.0),

    { .name = "12 names", .coupons = 12, .scatter = 0.06 },
    { .name = "24 names", .coupons = 24, .scatter = 0.06 },
    { .name = "48 names", .coupons = 48, .scatter = 0.06 },
    { .name = "12 names, scatter 3 %", .coupons = 12, .scatter = 0.03 },
    { .name = "12 names, scatter 10 %", .coupons = 12, .scatter = 0.10 },
    { .name = "12 names, scatter 15 %", .coupons = 12, .scatter = 0.15 },
    { .name = "24 names, scatter 10 %", .coupons = 24, .scatter = 0.10 },
    { .name = "12 names as middles",
      .coupons = 12,
      .scatter = 0.06,
      .seen = PROMISE_NAME_AS_MIDDLE },
    { .name = "12 thicknesses", .coupons = 12, .scatter = 0.06, .seen = PROMISE_THICKNESS },
    { .name = "24 thicknesses", .coupons = 24, .scatter = 0.06, .seen = PROMISE_THICKNESS },
    { .name = "12 Lab", .coupons = 12, .scatter = 0.06, .seen = PROMISE_LAB },
    { .name = "3 names", .coupons = 3, .scatter = 0.06 },
    { .name = "4 names", .coupons = 4, .scatter = 0.06 },
    { .name = "6 names", .coupons = 6, .scatter = 0.06 },
    { .name = "3 thicknesses", .coupons = 3, .scatter = 0.06, .seen = PROMISE_THICKNESS },
    { .name = "3 names, prior", .coupons = 3, .scatter = 0.06, .with_prior = true },
    { .name = "3 names, steels of the prior",
      .coupons = 3,
      .scatter = 0.06,
      .with_prior = true,
      .from_prior = true },
    { .name = "12 names, steels of the prior",
      .coupons = 12,
      .scatter = 0.06,
      .with_prior = true,
      .from_prior = true },
    { .name = "48 names, steels of the prior",
      .coupons = 48,
      .scatter = 0.06,
      .with_prior = true,
      .from_prior = true },
    { .name = "12 names, prior, Q 138",
      .coupons = 12,
      .scatter = 0.06,
      .with_prior = true,
      .Q_J_per_mol = 138e3,
      .dip_bath_K = 633.15 },
    { .name = "24 names, prior, Q 138",
      .coupons = 24,
      .scatter = 0.06,
      .with_prior = true,
      .Q_J_per_mol = 138e3,
      .dip_bath_K = 633.15 },
    { .name = "12 lifted on colour", .coupons = 12, .scatter = 0.06, .on_colour = true },
    { .name = "24 lifted on colour", .coupons = 24, .scatter = 0.06, .on_colour = true },
    { .name = "48 lifted on colour", .coupons = 48, .scatter = 0.06, .on_colour = true },
    LIFTED("12 lifted on colour, stated", 12),
    LIFTED("24 lifted on colour, stated", 24),
    LIFTED("48 lifted on colour, stated", 48),
    { .name = "12 names, n 1.6", .coupons = 12, .scatter = 0.06, .exponent = 1.6 },
    { .name = "12 names, n 2.5", .coupons = 12, .scatter = 0.06, .exponent = 2.5 },
    { .name = "24 names, n 2.5", .coupons = 24, .scatter = 0.06, .exponent = 2.5 },
    { .name = "12 names, n 3", .coupons = 12, .scatter = 0.06, .exponent = 3.0 },
    { .name = "12 names, free, n 1.6",
      .coupons = 12,
      .scatter = 0.06,
      .exponent = 1.6,
      .free_exponent = true },
    { .name = "12 names, free, n 1.8",
      .coupons = 12,
      .scatter = 0.06,
      .exponent = 1.8,
      .free_exponent = true },
    { .name = "12 names, free, n 2.0",
      .coupons = 12,
      .scatter = 0.06,
      .exponent = 2.0,
      .free_exponent = true },
    { .name = "12 names, free, n 2.5",
      .coupons = 12,
      .scatter = 0.06,
      .exponent = 2.5,
      .free_exponent = true },
    { .name = "12 names, free, n 3.0",
      .coupons = 12,
      .scatter = 0.06,
      .exponent = 3.0,
      .free_exponent = true },
    { .name = "24 names, free, n 1.6",
      .coupons = 24,
      .scatter = 0.06,
      .exponent = 1.6,
      .free_exponent = true },
    { .name = "24 names, free, n 1.8",
      .coupons = 24,
      .scatter = 0.06,
      .exponent = 1.8,
      .free_exponent = true },
    { .name = "24 names, free, n 2.0",
      .coupons = 24,
      .scatter = 0.06,
      .exponent = 2.0,
      .free_exponent = true },
    { .name = "24 names, free, n 2.5",
      .coupons = 24,
      .scatter = 0.06,
      .exponent = 2.5,
      .free_exponent = true },
    { .name = "24 names, free, n 3.0",
      .coupons = 24,
      .scatter = 0.06,
      .exponent = 3.0,
      .free_exponent = true },
    { .name = "24 thicknesses, n 2.5",
      .coupons = 24,
      .scatter = 0.06,
      .exponent = 2.5,
      .seen = PROMISE_THICKNESS },
};

int main(int argc, char **argv)
{
    oxt_error error = OXT_ERROR_INIT;
    int logs = argc > 1 ? atoi(argv[1]) : 2000;
    OK(oxt_film_new(&film, NULL, &error));
    for (size_t i = 0; i < sizeof scenes / sizeof scenes[0]; i++) {
        job jobs[THREADS];
        pthread_t threads[THREADS];
        promise_count sum = { 0 };
        if (argc > 2 && !strstr(scenes[i].name, argv[2]))
            continue;
        for (int j = 0; j < THREADS; j++) {
            jobs[j] = (job){ &scenes[i], logs * j / THREADS, logs * (j + 1) / THREADS, { 0 } };
            if (pthread_create(&threads[j], NULL, run, &jobs[j]))
                return 1;
        }
        for (int j = 0; j < THREADS; j++) {
            pthread_join(threads[j], NULL);
            add(&sum, &jobs[j].sum);
        }
        show(&scenes[i], &sum);
        fflush(stdout);
    }
    oxt_film_free(film);
    return 0;
}
