/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The page for the wall beside the bath, and the chart of colours, as SVG that any browser prints: without Python.
 *
 *     wall TRIALS.csv STEEL FINISH WALL.svg CHART.svg
 *
 * Two lines of text show what the chart has, as any program could draw it by itself. */
#include <oxtint.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

static int fail(const oxt_error *error)
{
    fprintf(stderr, "wall: %s\n", error->text);
    return EXIT_FAILURE;
}

/* Write a picture; one that is there is replaced, no other file is. */
static oxt_status save(const char *path, const char *svg, size_t length, oxt_error *error)
{
    oxt_status status = oxt_file_write(path, OXT_FILE_PICTURE, OXT_REPLACE_SAME_KIND, svg, length, error);
    if (!status)
        printf("Saved %s\n", path);
    return status;
}

/* Three baths, six colours, a 6 mm part that is quenched after 4 s. */
static oxt_status write_wall(const oxt_steel *steel, const oxt_film *film, const char *path, oxt_error *error)
{
    char date[16];
    const time_t now = time(NULL);
    strftime(date, sizeof date, "%Y-%m-%d", localtime(&now));
    oxt_part part = OXT_PART_INIT;
    oxt_lift lift = OXT_LIFT_INIT;
    oxt_dip_options told = OXT_DIP_OPTIONS_INIT;
    oxt_sheet_options options = OXT_SHEET_OPTIONS_INIT;
    part.size_m = 0.006;
    lift.delay_s = 4.0;
    told.part = &part;
    told.lift = &lift;
    options.dip = &told;
    options.date = date;
    size_t length;
    oxt_status status = oxt_chart_sheet_svg(steel, film, &options, NULL, 0, &length, error);
    char *svg = status ? NULL : malloc(length + 1);
    if (svg) {
        status = oxt_chart_sheet_svg(steel, film, &options, svg, length + 1, NULL, error);
        if (!status)
            status = save(path, svg, length, error);
    }
    free(svg);
    return status;
}

static oxt_status write_chart(const oxt_steel *steel, const oxt_film *film, const oxt_trials *trials,
                              const char *path, oxt_error *error)
{
    oxt_target blue = OXT_TARGET_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    oxt_chart chart = OXT_CHART_INIT;
    oxt_chart_options options = OXT_CHART_OPTIONS_INIT;
    size_t length = 0;
    oxt_status status = oxt_tint_target(film, "blue", &blue, error);
    if (!status)
        status = oxt_dip_predict(steel, &blue, 588.706, NULL, &dip, error);
    options.trials = trials;
    options.dip = &dip;
    if (!status)
        status = oxt_chart_data(steel, film, &options, &chart, 0, NULL, 0, NULL, error);
    if (!status)
        status = oxt_chart_svg(steel, film, &options, OXT_UNIT_FAHRENHEIT, NULL, 0, &length, error);
    char low[32], high[32];
    if (!status)
        status = oxt_format_temperature(chart.bath_low_K, OXT_UNIT_FAHRENHEIT, low, sizeof low, NULL, error);
    if (!status)
        status = oxt_format_temperature(chart.bath_high_K, OXT_UNIT_FAHRENHEIT, high, sizeof high, NULL, error);
    if (status)
        return status;
    printf("%s: %s to %s, %.1f to %.0f s\n%zu bands, %zu coupons\n", chart.name, low, high, chart.time_low_s,
           chart.time_high_s, chart.band_count, chart.mark_count);
    char *svg = malloc(length + 1);
    if (svg) {
        status = oxt_chart_svg(steel, film, &options, OXT_UNIT_FAHRENHEIT, svg, length + 1, NULL, error);
        if (!status)
            status = save(path, svg, length, error);
    }
    free(svg);
    return status;
}

int main(int count, char **arguments)
{
    if (count != 6) {
        fputs("usage: wall TRIALS.csv STEEL FINISH WALL.svg CHART.svg\n", stderr);
        return 2;
    }
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    options.steel = arguments[2];
    options.finish = arguments[3];
    oxt_film *film = NULL;
    oxt_trials *trials = NULL;
    oxt_fit *fit = NULL;
    oxt_steel *steel = NULL;
    oxt_part strip = OXT_PART_INIT; /* of thin sheet, as the coupons were */
    oxt_lift strip_lift = OXT_LIFT_INIT;
    strip.size_m = 0.0003;
    strip_lift.delay_s = 1.0;
    oxt_status status = oxt_film_new(&film, NULL, &error);
    if (!status)
        status = oxt_trials_read_csv(&trials, arguments[1], NULL, 0, NULL, NULL, &error);
    if (!status)
        status = oxt_trials_set_coupon(trials, &strip, &strip_lift, &error);
    if (!status)
        status = oxt_fit_run(&fit, trials, film, &options, &error);
    if (!status)
        status = oxt_fit_steel(fit, &steel, &error);
    if (!status)
        status = write_wall(steel, film, arguments[4], &error);
    if (!status)
        status = write_chart(steel, film, trials, arguments[5], &error);
    oxt_steel_free(steel);
    oxt_fit_free(fit);
    oxt_trials_free(trials);
    oxt_film_free(film);
    return status ? fail(&error) : EXIT_SUCCESS;
}
