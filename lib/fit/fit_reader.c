/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Who read the names: one reader sees all colours begin and end at films that lie by one offset in ln x beside those of
 * the film. Names alone do not tell it; measured films beside them do. It is a draw whose standard deviation the caller
 * states, found by its likelihood with the constants, as the scatter is. */
#include <string.h>

#include "base/solve.h"
#include "optics/tint.h"
#include "optics/words.h"
#include "fit/fit.h"

bool oxt_i_fit_has_reader(const oxt_i_fit_model *model, const oxt_fit_options *options)
{
    size_t names = 0;
    for (size_t i = 0; i < model->n && model->rows; i++)
        names += model->rows[i]->is_name ? 1 : 0;
    return options->reader_sd > 0.0 && names > 0 && names < model->n;
}

static void move_names(oxt_i_fit_solution *solution, double offset)
{
    double by = offset - solution->reader_offset, times = exp(by);
    for (size_t i = 0; i < solution->model.n; i++) {
        oxt_i_fit_row *row = solution->model.rows[i];
        for (size_t j = 0; j < row->reading_count && row->is_name; j++) {
            oxt_i_reading *reading = &row->readings[j];
            reading->low_nm *= times;
            reading->high_nm *= times;
            reading->ln_low += by;
            reading->ln_high += by;
            reading->ln_x += by;
        }
    }
    solution->reader_offset = offset;
    oxt_i_fit_fill_columns(solution, false);
}

typedef struct {
    oxt_i_fit_solution *solution;
    double variance; /* of the offset, beforehand */
    oxt_status status;
    oxt_error *error;
} search;

/* Minus the logarithm of the posterior of an offset, at the scatter that the solution stands at. */
static double cost_at(double offset, void *context)
{
    search *in = context;
    move_names(in->solution, offset);
    if (!in->status)
        in->status = oxt_i_fit_converge(in->solution, in->solution->variance, in->error);
    return in->status ? 0.0
                      : 0.5 * offset * offset / in->variance -
                            oxt_i_fit_restricted_likelihood(in->solution);
}

/* The curvature of the cost, and how the constants go with the offset, from a step to either side. */
static oxt_status take_slopes(search *in, double offset)
{
    static const double STEP = 0.02;
    oxt_i_fit_solution *solution = in->solution;
    double cost[3];
    oxt_i_constants at[3];
    for (int i = 0; i < 3; i++) { /* the offset itself comes last, and stays */
        cost[i] = cost_at(offset + (i == 2 ? 0.0 : i == 1 ? STEP : -STEP), in);
        at[i] = solution->at[0];
    }
    double curvature = (cost[0] - 2.0 * cost[2] + cost[1]) / (STEP * STEP);
    solution->reader_variance = curvature > 0.0 ? fmin(1.0 / curvature, in->variance)
                                                : in->variance;
    /* An error of the offset moves ln of the time of a film by -b, of a name, twice the offset further off, by 2 - b: the
     * card has one error for both, the larger. */
    double b = (at[1].b - at[0].b) / (2.0 * STEP), q = (at[1].q - at[0].q) / (2.0 * STEP);
    bool of_names = b < 1.0;
    solution->reader_slope = (oxt_i_constants){ .b = of_names ? 2.0 - b : b,
                                                .q = of_names ? -q : q };
    return in->status;
}

/* Offset and scatter in turn: the one is small where the other is right. */
oxt_status oxt_i_fit_find_reader(oxt_i_fit_solution *solution, const oxt_fit_options *options,
                                 oxt_error *error)
{
    enum { ROUNDS = 4 };
    static const double FAR = 4.0, CLOSE_ENOUGH = 1e-3;
    double sd = options->reader_sd, offset = 0.0;
    search in = { solution, sd * sd, OXT_OK, error };
    for (int round = 0; round < ROUNDS && !in.status; round++) {
        double before = offset;
        solution->roughly = true;
        oxt_status status = oxt_i_find_minimum(cost_at, &in, -FAR * sd, FAR * sd, 1e-6, &offset,
                                               error);
        in.status = in.status ? in.status : status;
        solution->roughly = false;
        if (in.status)
            break;
        move_names(solution, offset);
        in.status = oxt_i_fit_solve(solution, options, error);
        if (fabs(offset - before) < CLOSE_ENOUGH * sd)
            break;
    }
    return in.status ? in.status : take_slopes(&in, offset);
}

/* ---- the reader's bands ---- */

static bool add_range(oxt_words *into, const char *name, const double *edges, int band,
                      double times)
{
    oxt_word word = OXT_WORD_INIT;
    word.index = -1;
    word.low_nm = times * edges[band];
    word.high_nm = times * edges[band + 1];
    oxt_i_copy_text(word.word, sizeof word.word, name);
    return !(word.low_nm > 0.0 && word.low_nm < word.high_nm) || /* bright, or not of this film */
           oxt_i_words_refusal(into, name) || oxt_i_words_append(into, &word);
}

bool oxt_i_fit_reader_words(oxt_words **words, const double *edges, double offset)
{
    double times = exp(offset);
    oxt_words *made = oxt_i_words_new();
    bool good = made;
    for (size_t i = 0; i < oxt_i_words_count(*words) && good; i++) {
        oxt_word word = OXT_WORD_INIT;
        oxt_words_get(*words, i, &word, NULL);
        if (word.index >= 0) {
            good = add_range(made, word.word, edges, word.index, times);
        } else {
            word.low_nm *= times;
            word.high_nm *= times;
            good = oxt_i_words_append(made, &word);
        }
    }
    for (int band = 0; band < OXT_TINT_COUNT && good; band++)
        good = add_range(made, oxt_i_tint_label(band), edges, band, times);
    if (good) {
        oxt_words_free(*words);
        *words = made;
    } else {
        oxt_words_free(made);
    }
    return good;
}
