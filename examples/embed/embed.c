/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The main job in C: fit one steel of a log, and say when to lift for blue at 600 F.
 *
 *     embed TRIALS.csv [STEEL [FINISH]] */
#include <oxtint.h>
#include <stdio.h>
#include <stdlib.h>

/* The library prints nothing and never exits; that is for the program to decide. */
static int fail(const oxt_error *error)
{
    fprintf(stderr, "embed: %s\n", error->text);
    return EXIT_FAILURE;
}

static int predict(const oxt_fit *fit, const oxt_film *film, oxt_error *error)
{
    oxt_steel *steel = NULL;
    oxt_target target = OXT_TARGET_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    double bath_K;
    char report[4096];
    oxt_status status = oxt_fit_steel(fit, &steel, error);
    if (!status)
        status = oxt_tint_target(film, "blue", &target, error);
    if (!status)
        status = oxt_parse_temperature("600 F", &bath_K, error);
    if (!status)
        status = oxt_dip_predict(steel, &target, bath_K, NULL, &dip, error);
    if (!status)
        status = oxt_dip_report(&dip, OXT_UNIT_FAHRENHEIT, OXT_CAUTION_BRIEF, report, sizeof report,
                                NULL, error);
    if (!status)
        fputs(report, stdout);
    oxt_steel_free(steel);
    return status ? fail(error) : EXIT_SUCCESS;
}

int main(int count, char **arguments)
{
    if (count < 2 || count > 4) {
        fputs("usage: embed TRIALS.csv [STEEL [FINISH]]\n", stderr);
        return 2;
    }
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    options.steel = count > 2 ? arguments[2] : "Alder 1";
    options.finish = count > 3 ? arguments[3] : count > 2 ? NULL : "satin";

    oxt_film *film = NULL;
    oxt_trials *trials = NULL;
    oxt_fit *fit = NULL;
    oxt_status status = oxt_film_new(&film, NULL, &error);
    if (!status)
        status = oxt_trials_read_csv(&trials, arguments[1], NULL, 0, NULL, NULL, &error);
    if (!status)
        status = oxt_fit_run(&fit, trials, film, &options, &error);
    int result = status ? fail(&error) : predict(fit, film, &error);
    oxt_fit_free(fit);
    oxt_trials_free(trials);
    oxt_film_free(film);
    return result;
}
