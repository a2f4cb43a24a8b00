/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From the log to rows of thickness: which trials belong to the fit, and what they saw. */
#include <stdlib.h>
#include <string.h>

#include "optics/film.h"
#include "optics/film_match.h"
#include "optics/tint.h"
#include "optics/words.h"
#include "trials/trials.h"
#include "fit/fit.h"

/* A measured colour farther than this from every colour of the film is no colour of the film. */
static const double FARTHEST_COLOUR = 15.0;

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
        if (*oxt_i_log_group_at(trials, i).finish)
            list_name(list, oxt_i_log_group_at(trials, i).finish);
        else
            oxt_i_text_add(list, "%snone", list->length ? ", " : "");
}

/* The number of the steel that is meant, where it is not known. */
static oxt_status choose_steel(oxt_i_trial_set *set, const oxt_trials *trials,
                               const oxt_fit_options *options, size_t *steel, oxt_error *error)
{
    if (oxt_i_log_groups(trials) == 0)
        return oxt_i_fail_text(error, OXT_EFEW, "trials", "the log holds no trials");
    const char *name = options->steel ? options->steel : oxt_i_log_group_at(trials, 0).steel_name;
    bool found = *steel != OXT_I_NO_STEEL || oxt_i_log_find_steel(trials, name, steel);
    if (found && (options->steel || list_steels(trials, NULL) == 1)) {
        oxt_i_copy_text(set->steel, sizeof set->steel, name);
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

static oxt_status choose_finish(oxt_i_trial_set *set, oxt_i_warnings *warnings,
                                const oxt_trials *trials, size_t steel,
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
        oxt_i_copy_text(set->finish, sizeof set->finish,
                        found ? options->finish : oxt_i_log_group_at(trials, first).finish);
    } else {
        list_finishes(trials, steel, &list);
        if (list.failed)
            status = oxt_i_no_memory(error);
        else if (options->finish)
            status = oxt_i_fail_text(error, OXT_EARG, "finish",
                                     "no trial of '%s' has finish '%s'; the log %s %s", set->steel,
                                     oxt_i_quoted(options->finish).text,
                                     strcmp(list.data, "none") == 0 ? "states" : "holds",
                                     strcmp(list.data, "none") == 0 ? "no finish" : list.data);
        else
            oxt_i_warn(warnings, "FINISHES_TOGETHER", NAN,
                       "Finishes %s are taken together, though each colours at its own rate: "
                       "fit them one by one.",
                       list.data);
        oxt_i_text_free(&list);
    }
    oxt_i_copy_text(set->name, sizeof set->name, set->steel);
    size_t length = strlen(set->name);
    if (set->finish[0]) {
        oxt_i_copy_text(set->name + length, sizeof set->name - length, ", ");
        oxt_i_copy_text(set->name + length + 2, sizeof set->name - length - 2, set->finish);
    }
    return status;
}

/* ---- what was seen ---- */

/* A stretch of thickness: the middle and standard deviation of a uniform spread of ln x. */
static oxt_i_reading stretch(double low_nm, double high_nm, int order)
{
    oxt_i_reading reading = {
        low_nm, high_nm, log(low_nm), log(high_nm), 0.0, 0.0, order, 0.0, 0.0
    };
    reading.ln_x = 0.5 * (reading.ln_low + reading.ln_high);
    reading.sigma = fmax((reading.ln_high - reading.ln_low) / sqrt(12.0), OXT_I_LEAST_SIGMA);
    return reading;
}

static void leave_out(oxt_i_fit_row *row, const char *reason)
{
    row->reading_count = 0;
    row->reason = reason;
}

/* A band that a faded film never shows is no reading. */
static void add_band(oxt_i_fit_row *row, const double *edges, int index)
{
    if (edges[index] < edges[index + 1])
        row->readings[row->reading_count++] = stretch(edges[index], edges[index + 1],
                                                      index < OXT_I_FIRST_OF_SECOND ? 1 : 2);
}

/* By hand, for speed: a log may have a million names. */
static void quote(oxt_i_fit_row *row, const char *text)
{
    row->text[0] = '\'';
    oxt_i_copy_text(row->text + 1, sizeof row->text - 2, text);
    size_t length = strlen(row->text);
    row->text[length] = '\'';
    row->text[length + 1] = '\0';
}

static void read_name(oxt_i_fit_row *row, const char *text, const oxt_words *words,
                      const oxt_film *film)
{
    const double *edges = oxt_i_film_edges(film);
    oxt_i_tint_word found = { 0, -1, true, 0.0, 0.0 };
    /* it holds: the log was checked, by its own words */
    if (!words || !oxt_i_words_find(words, text))
        words = oxt_i_film_words(film);
    oxt_i_tint_read(text, words, &found);
    quote(row, text);
    if (found.band == 0) {
        leave_out(row, "bright: shows only that the film is thin");
        return;
    }
    row->is_band = row->is_name = true;
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

/* Where in its band a part was lifted: then a name is a film, and what the eye errs by in telling the place is part of
 * the scatter. */
static void place_in_band(oxt_i_fit_row *row, oxt_lifted lifted)
{
    static const double WITHIN = 1e-9; /* the band, whatever is rounded */
    if (lifted == OXT_LIFTED_NOT_STATED || lifted == OXT_LIFTED_AFTER)
        return;
    row->is_band = false;
    row->is_lifted = true;
    for (size_t i = 0; i < row->reading_count; i++) {
        oxt_i_reading *seen = &row->readings[i];
        seen->ln_x = lifted == OXT_LIFTED_FIRST  ? seen->ln_low + WITHIN
                     : lifted == OXT_LIFTED_LAST ? seen->ln_high - WITHIN
                                                 : 0.5 * (seen->ln_low + seen->ln_high);
        seen->sigma = OXT_I_LEAST_SIGMA;
    }
}

static oxt_status read_lab(oxt_i_fit_row *row, const double lab[3], const oxt_film *film,
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
    row->is_colour = true;
    oxt_i_snprintf(row->text, sizeof row->text, "L* %.0f a* %.0f b* %.0f", lab[0], lab[1], lab[2]);
    leave_out(row, "not a colour of this film");
    for (size_t i = 0; i < count && row->reading_count < OXT_I_COUNT(row->readings); i++) {
        const oxt_i_match *match = &matches[i];
        /* A match far worse than the nearest one is not a second meaning of the colour. */
        if (match->order == 0 || match->distance > matches[0].distance + 2.0 * tolerance)
            continue;
        if (match->aim_nm < edges[1]) {
            if (row->reading_count == 0) {
                leave_out(row, "bright: shows only that the film is thin");
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

static oxt_status read_srgb(oxt_i_fit_row *row, const char *text, const oxt_film *film,
                            double tolerance, oxt_error *error)
{
    double lab[3];
    oxt_i_film_lab_of_srgb(film, text, lab, NULL);
    oxt_status status = read_lab(row, lab, film, tolerance, error);
    oxt_i_snprintf(row->text, sizeof row->text, "%s", text);
    return status;
}

/* What is known of the coupon's thermal path and of the errors of its row. */
static void read_circumstances(oxt_i_fit_row *row, const oxt_trial *trial,
                               const oxt_fit_options *options)
{
    row->has_path = oxt_i_trial_path(trial, &row->part, &row->lift);
    row->bath_sd_K = trial->bath_sd_K > 0.0 ? trial->bath_sd_K : options->bath_sd_K;
    row->time_sd_s = trial->time_sd_s > 0.0 ? trial->time_sd_s : options->time_sd_s;
}

static oxt_status read_row(oxt_i_fit_row *row, size_t index, const oxt_trial *trial,
                           const oxt_words *words, const oxt_film *film,
                           const oxt_fit_options *options, oxt_error *error)
{
    *row = (oxt_i_fit_row){ .trial = index,
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
        oxt_i_fit_read_thickness(row, trial->thickness_nm, uncertainty);
        break;
    default:
        read_name(row, trial->colour, words, film);
        place_in_band(row, trial->lifted ? trial->lifted : options->lifted);
    }
    return OXT_OK;
}

static void count_left_out(oxt_i_trial_set *set, oxt_i_warnings *warnings)
{
    size_t off = 0;
    char first[64] = "";
    for (size_t i = 0; i < set->row_count; i++) {
        const oxt_i_fit_row *row = &set->rows[i];
        if (row->reading_count > 0)
            set->used_count++;
        else if (strncmp(row->reason, "bright", 6) == 0)
            set->bright_count++;
        else if (off++ == 0)
            oxt_i_row_name(row, first, sizeof first);
    }
    if (set->bright_count)
        oxt_i_warn(warnings, "BRIGHT_LEFT_OUT", (double)set->bright_count,
                   "%zu bright trial%s left out: bright shows only that the film is thin.",
                   set->bright_count, set->bright_count == 1 ? " is" : "s are");
    if (off)
        oxt_i_warn(warnings, "OFF_PATH", (double)off,
                   "%zu trial%s left out, from %s on: the colour is farther than CIEDE2000 %.0f "
                   "from every colour of this film.",
                   off, off == 1 ? " is" : "s are", first, FARTHEST_COLOUR);
}

/* ---- a log of thicknesses ---- */

oxt_status oxt_i_fit_expand(oxt_i_trial_set *set, oxt_error *error)
{
    if (!set->films.rows)
        return OXT_OK;
    set->rows = malloc(set->row_count * sizeof *set->rows);
    if (!set->rows)
        return oxt_i_no_memory(error);
    for (size_t i = 0; i < set->row_count; i++)
        set->rows[i] = oxt_i_fit_film_row(&set->films, i);
    oxt_i_films_free(&set->films);
    return OXT_OK;
}

static oxt_status read_rows(oxt_i_trial_set *set, oxt_i_warnings *warnings,
                            const oxt_trials *trials, const oxt_film *film, size_t steel,
                            const oxt_fit_options *options, oxt_error *error)
{
    size_t *rows, count;
    oxt_status status = oxt_i_log_rows(trials, steel, options->finish, &rows, &count, error);
    if (status)
        return status;
    set->rows = malloc(count * sizeof *set->rows);
    if (!set->rows)
        status = oxt_i_no_memory(error);
    for (size_t i = 0; i < count && !status; i++) {
        const oxt_trial trial = oxt_i_trial(trials, rows[i]);
        oxt_i_fit_row *row = &set->rows[set->row_count++];
        status = read_row(row, rows[i], &trial, oxt_i_trials_words(trials), film, options, error);
        row->day = (size_t)oxt_i_log_stated(trials, &oxt_i_log_all_rows(trials)[rows[i]]).day;
    }
    free(rows);
    if (!status)
        status = oxt_i_fit_number_days(set, error);
    if (!status)
        status = oxt_i_fit_find_grids(set, warnings, options->rounding, error);
    if (!status)
        count_left_out(set, warnings);
    if (!status)
        status = oxt_i_fit_take_coupons(set, warnings, error);
    return status ? status : oxt_i_fit_lay_paths(set, error);
}

oxt_status oxt_i_fit_read_rows(oxt_i_trial_set *set, oxt_i_warnings *warnings,
                               const oxt_trials *trials, size_t steel, const oxt_film *film,
                               const oxt_fit_options *options, oxt_error *error)
{
    bool exact = options->bath_sd_K == 0.0 && options->time_sd_s == 0.0 &&
                 options->law == OXT_LAW_PARABOLIC && !options->with_initial;
    oxt_status status = choose_steel(set, trials, options, &steel, error);
    if (!status)
        status = choose_finish(set, warnings, trials, steel, options, error);
    if (!status && exact) /* most logs of many rows hold nothing but thicknesses */
        status = oxt_i_log_films(trials, steel, options->finish, options->thickness_uncertainty,
                                 OXT_I_LEAST_SIGMA, &set->films, error);
    set->used_count = set->row_count = set->films.count;
    if (!status && !set->films.rows) {
        set->row_count = 0;
        status = read_rows(set, warnings, trials, film, steel, options, error);
    }
    if (!status)
        oxt_i_fit_measure_baths(set);
    return status;
}

void oxt_i_fit_free_set(oxt_i_trial_set *set)
{
    oxt_i_films_free(&set->films);
    free(set->rows);
    free(set->paths);
}

/* ---- what the rows reach ---- */

void oxt_i_fit_measure_baths(oxt_i_trial_set *set)
{
    enum { BLOCK = 256 }; /* summed apart, so that many numbers keep their digits */
    double block = 0.0;
    set->low_K = HUGE_VAL;
    set->high_K = set->inverse_per_K = 0.0;
    for (size_t i = 0; i < set->row_count; i++) {
        double bath_K = set->films.rows ? set->films.rows[i].bath_K : set->rows[i].bath_K;
        if (set->rows && set->rows[i].reading_count == 0)
            continue;
        set->low_K = bath_K < set->low_K ? bath_K : set->low_K;
        set->high_K = bath_K > set->high_K ? bath_K : set->high_K;
        block += 1.0 / bath_K;
        if (i % BLOCK == BLOCK - 1) {
            set->inverse_per_K += block;
            block = 0.0;
        }
    }
    set->inverse_per_K += block;
}

void oxt_i_fit_reach(const oxt_i_trial_set *set, oxt_steel_values *values)
{
    oxt_i_copy_text(values->steel, sizeof values->steel, set->steel);
    oxt_i_copy_text(values->finish, sizeof values->finish, set->finish);
    values->trial_count = set->used_count;
    values->bath_low_K = set->low_K;
    values->bath_high_K = set->high_K;
    values->thickness_low_nm = HUGE_VAL;
    for (size_t i = 0; i < set->row_count; i++) {
        const oxt_i_reading *seen = set->films.rows ? NULL : oxt_i_seen(&set->rows[i]);
        if (set->rows && set->rows[i].reading_count == 0)
            continue;
        double low = seen ? seen->low_nm : set->films.rows[i].thickness_nm;
        double high = seen ? seen->high_nm : set->films.rows[i].thickness_nm;
        values->thickness_low_nm = fmin(values->thickness_low_nm, low);
        values->thickness_high_nm = fmax(values->thickness_high_nm, high);
    }
    oxt_i_fit_put_coupons(set, values);
}
