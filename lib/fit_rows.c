/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From the log to rows of thickness: which trials belong to the fit, and what they saw. */
#include <stdlib.h>
#include <string.h>

#include "fit_internal.h"
#include "trials.h"
#include "words.h"

/* A measured colour farther than this from every colour of the film is no colour of the film. */
static const double FARTHEST_COLOUR = 15.0;

/* A thickness or colour known better than this would still not be worth more: the model is not. */
static const double LEAST_SIGMA = 1e-3;

void oxt_i_row_name(const oxt_i_seen_row *row, char *buffer, size_t capacity)
{
    if (row->line)
        oxt_i_snprintf(buffer, capacity, "Line %zu", row->line);
    else
        oxt_i_snprintf(buffer, capacity, "Trial %zu", row->trial + 1);
}

/* ---- which trials ---- */

/* The steels of the log, or the finishes of one steel, for a message. */
static void list_name(oxt_i_text *list, const char *name)
{
    oxt_i_text_add(list, "%s'%s'", list->length ? ", " : "", name);
}

/* `list` may be NULL. */
static size_t list_steels(const oxt_trials *trials, oxt_i_text *list)
{
    size_t count = 0;
    for (size_t i = 0; i < oxt_i_log_steels(trials); i++) {
        if (oxt_i_log_first_group(trials, i) == OXT_I_NO_GROUP)
            continue;
        count++;
        if (list)
            list_name(list, oxt_i_log_steel(trials, i));
    }
    return count;
}

static void list_finishes(const oxt_trials *trials, size_t steel, oxt_i_text *list)
{
    for (size_t i = oxt_i_log_first_group(trials, steel); i != OXT_I_NO_GROUP;
         i = oxt_i_log_next_group(trials, i))
        list_name(list, oxt_i_log_group_at(trials, i).finish);
}

/* The number of the steel that is meant. */
static oxt_status choose_steel(oxt_fit *fit, const oxt_trials *trials,
                               const oxt_fit_options *options, size_t *steel, oxt_error *error)
{
    if (oxt_i_log_groups(trials) == 0)
        return oxt_i_fail_text(error, OXT_EFEW, "trials", "the log holds no trials");
    const char *name = options->steel ? options->steel : oxt_i_log_group_at(trials, 0).steel_name;
    bool found = oxt_i_log_find_steel(trials, name, steel);
    if (found && (options->steel || list_steels(trials, NULL) == 1)) {
        oxt_i_copy_text(fit->steel, sizeof fit->steel, name);
        return OXT_OK;
    }
    oxt_i_text list = { 0 };
    size_t count = list_steels(trials, &list);
    oxt_status status = list.failed ? oxt_i_no_memory(error)
                        : options->steel
                            ? oxt_i_fail_text(error, OXT_EARG, "steel",
                                              "no trial is of steel '%s'; the log holds %s",
                                              oxt_i_quoted(options->steel).text, list.data)
                            : oxt_i_fail_text(error, OXT_EARG, "steel",
                                              "the log holds %zu steels, choose one: %s", count,
                                              list.data);
    oxt_i_text_free(&list);
    return status;
}

static oxt_status choose_finish(oxt_fit *fit, const oxt_trials *trials, size_t steel,
                                const oxt_fit_options *options, oxt_error *error)
{
    oxt_i_text list = { 0 };
    oxt_status status = OXT_OK;
    size_t first = oxt_i_log_first_group(trials, steel), count = 0;
    bool found = false;
    for (size_t i = first; i != OXT_I_NO_GROUP; i = oxt_i_log_next_group(trials, i), count++)
        found = found || (options->finish &&
                          strcmp(options->finish, oxt_i_log_group_at(trials, i).finish) == 0);
    if (found || (!options->finish && count == 1)) {
        oxt_i_copy_text(fit->finish, sizeof fit->finish,
                        found ? options->finish : oxt_i_log_group_at(trials, first).finish);
    } else {
        list_finishes(trials, steel, &list);
        if (list.failed)
            status = oxt_i_no_memory(error);
        else if (options->finish)
            status = oxt_i_fail_text(error, OXT_EARG, "finish",
                                     "no trial of '%s' has finish '%s'; the log holds %s",
                                     fit->steel, oxt_i_quoted(options->finish).text, list.data);
        else
            oxt_i_fit_warn(fit,
                           "Finishes %s are taken together, though each colours at its own rate: "
                           "fit them one by one.",
                           list.data);
        oxt_i_text_free(&list);
    }
    oxt_i_snprintf(fit->name, sizeof fit->name, "%s%s%s", fit->steel, fit->finish[0] ? ", " : "",
                   fit->finish);
    return status;
}

/* ---- what was seen ---- */

/* A stretch of thickness: the middle and standard deviation of a uniform spread of ln x. */
static oxt_i_reading stretch(double low_nm, double high_nm, int order)
{
    oxt_i_reading reading = { low_nm, high_nm, 0.5 * log(low_nm * high_nm), 0.0, order };
    reading.sigma = fmax(log(high_nm / low_nm) / sqrt(12.0), LEAST_SIGMA);
    return reading;
}

static void leave_out(oxt_i_seen_row *row, const char *reason)
{
    row->reading_count = 0;
    row->reason = reason;
}

/* A band that a faded film never shows is no reading. */
static void add_band(oxt_i_seen_row *row, const double *edges, int index)
{
    if (edges[index] < edges[index + 1])
        row->readings[row->reading_count++] = stretch(edges[index], edges[index + 1],
                                                      index < OXT_I_FIRST_OF_SECOND ? 1 : 2);
}

static void read_name(oxt_i_seen_row *row, const char *text, const oxt_words *words,
                      const oxt_film *film)
{
    const double *edges = oxt_i_film_edges(film);
    oxt_i_tint_word found = { 0, -1, true, 0.0, 0.0 };
    /* it holds: the log was checked, by its own words */
    if (!words || !oxt_i_words_find(words, text))
        words = oxt_i_film_words(film);
    oxt_i_tint_read(text, words, &found);
    oxt_i_snprintf(row->text, sizeof row->text, "'%s'", text);
    if (found.band == 0) {
        leave_out(row, "bright: only says that the film is thin");
        return;
    }
    row->is_band = true;
    if (found.band < 0) {
        double middle_nm = sqrt(found.low_nm * found.high_nm);
        row->readings[0] = stretch(found.low_nm, found.high_nm,
                                   middle_nm < edges[OXT_I_FIRST_OF_SECOND] ? 1 : 2);
        row->reading_count = 1;
        return;
    }
    leave_out(row, "not a colour of this film");
    add_band(row, edges, found.band);
    if (!found.stated)
        add_band(row, edges, found.other);
}

static oxt_status read_lab(oxt_i_seen_row *row, const double lab[3], const oxt_film *film,
                           double tolerance, oxt_error *error)
{
    oxt_i_match matches[8];
    size_t count;
    oxt_i_wanted wanted = { lab, 1.0, 1.0 };
    oxt_status status = oxt_i_match_colour(film, &wanted, FARTHEST_COLOUR, tolerance, matches,
                                           OXT_I_COUNT(matches), &count, error);
    if (status)
        return status;
    const double *edges = oxt_i_film_edges(film);
    oxt_i_snprintf(row->text, sizeof row->text, "L* %.0f a* %.0f b* %.0f", lab[0], lab[1], lab[2]);
    leave_out(row, "not a colour of this film");
    for (size_t i = 0; i < count && row->reading_count < OXT_I_COUNT(row->readings); i++) {
        const oxt_i_match *match = &matches[i];
        /* A match far worse than the nearest one is not a second meaning of the colour. */
        if (match->order == 0 || match->distance > matches[0].distance + 2.0 * tolerance)
            continue;
        if (match->aim_nm < edges[1]) {
            if (row->reading_count == 0) {
                leave_out(row, "bright: only says that the film is thin");
                return OXT_OK;
            }
            continue;
        }
        row->readings[row->reading_count] = stretch(fmax(match->low_nm, edges[1]), match->high_nm,
                                                    match->order);
        row->readings[row->reading_count++].ln_x = log(match->aim_nm);
    }
    return OXT_OK;
}

static oxt_status read_srgb(oxt_i_seen_row *row, const char *text, const oxt_film *film,
                            double tolerance, oxt_error *error)
{
    double lab[3];
    oxt_i_film_lab_of_srgb(film, text, lab, NULL);
    oxt_status status = read_lab(row, lab, film, tolerance, error);
    oxt_i_snprintf(row->text, sizeof row->text, "%s", text);
    return status;
}

static void read_thickness(oxt_i_seen_row *row, double thickness_nm, double uncertainty)
{
    row->readings[0] = (oxt_i_reading){ thickness_nm, thickness_nm, log(thickness_nm),
                                        fmax(uncertainty, LEAST_SIGMA), 0 };
    row->reading_count = 1;
    oxt_i_snprintf(row->text, sizeof row->text, "%.4g nm", thickness_nm);
}

/* What is known of the coupon's thermal path and of the errors of its row. */
static void read_circumstances(oxt_i_seen_row *row, const oxt_trial *trial,
                               const oxt_fit_options *options)
{
    row->has_path = oxt_i_trial_path(trial, &row->part, &row->lift);
    row->bath_sd_K = trial->bath_sd_K > 0.0 ? trial->bath_sd_K : options->bath_sd_K;
    row->time_sd_s = trial->time_sd_s > 0.0 ? trial->time_sd_s : options->time_sd_s;
}

static oxt_status read_row(oxt_i_seen_row *row, size_t index, const oxt_trial *trial,
                           const oxt_words *words, const oxt_film *film,
                           const oxt_fit_options *options, oxt_error *error)
{
    *row = (oxt_i_seen_row){ .trial = index,
                             .line = trial->line,
                             .bath_K = trial->bath_K,
                             .time_s = trial->time_s,
                             .reason = "" };
    double tolerance = trial->colour_tolerance > 0.0 ? trial->colour_tolerance
                                                     : options->colour_tolerance;
    double uncertainty = trial->thickness_sd_nm > 0.0 ? trial->thickness_sd_nm / trial->thickness_nm
                                                      : options->thickness_uncertainty;
    read_circumstances(row, trial, options);
    switch (trial->seen) {
    case OXT_SEEN_LAB:
        return read_lab(row, trial->lab, film, tolerance, error);
    case OXT_SEEN_SRGB:
        return read_srgb(row, trial->srgb, film, tolerance, error);
    case OXT_SEEN_THICKNESS:
        read_thickness(row, trial->thickness_nm, uncertainty);
        break;
    default:
        read_name(row, trial->colour, words, film);
    }
    return OXT_OK;
}

static void warn_left_out(oxt_fit *fit)
{
    size_t off = 0;
    char first[64] = "";
    for (size_t i = 0; i < fit->row_count; i++) {
        const oxt_i_seen_row *row = &fit->rows[i];
        if (row->reading_count > 0)
            continue;
        if (strncmp(row->reason, "bright", 6) == 0)
            fit->bright_count++;
        else if (off++ == 0)
            oxt_i_row_name(row, first, sizeof first);
    }
    if (fit->bright_count)
        oxt_i_fit_warn(fit, "%zu bright trial%s left out: bright only says that the film is thin.",
                       fit->bright_count, fit->bright_count == 1 ? " is" : "s are");
    if (off)
        oxt_i_fit_warn(
            fit,
            "%zu trial%s left out, from %s on: the colour is farther than CIEDE2000 %.0f "
            "from every colour of this film.",
            off, off == 1 ? " is" : "s are", first, FARTHEST_COLOUR);
}

oxt_status oxt_i_fit_read_rows(oxt_fit *fit, const oxt_trials *trials, const oxt_film *film,
                               const oxt_fit_options *options, oxt_error *error)
{
    size_t steel, count, *rows;
    oxt_status status = choose_steel(fit, trials, options, &steel, error);
    if (!status)
        status = choose_finish(fit, trials, steel, options, error);
    if (!status)
        status = oxt_film_description(film, fit->description, sizeof fit->description, NULL, error);
    if (!status)
        status = oxt_i_log_rows(trials, steel, options->finish, &rows, &count, error);
    if (status)
        return status;
    fit->rows = malloc(count * sizeof *fit->rows);
    if (!fit->rows)
        status = oxt_i_no_memory(error);
    for (size_t i = 0; i < count && !status; i++) {
        const oxt_trial trial = oxt_i_trial(trials, rows[i]);
        status = read_row(&fit->rows[fit->row_count++], rows[i], &trial, oxt_i_trials_words(trials),
                          film, options, error);
    }
    free(rows);
    if (!status)
        warn_left_out(fit);
    if (!status)
        status = oxt_i_fit_take_coupons(fit, error);
    return status ? status : oxt_i_fit_lay_paths(fit, error);
}
