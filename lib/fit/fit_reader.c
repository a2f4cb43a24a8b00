/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Who read the names: one reader sees all colours begin and end at films that lie by one offset in ln x beside those of
 * the film. Names alone do not tell it; measured films beside them do. It is a draw whose standard deviation the caller
 * states, found by its likelihood with the constants, as the scatter is. */
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

static double cost_of(const oxt_i_fit_solution *solution, double offset)
{
    double share = offset / solution->reader_sd;
    return 0.5 * share * share;
}

oxt_status oxt_i_fit_find_reader(oxt_i_fit_solution *solution, const oxt_fit_options *options,
                                 oxt_error *error)
{
    static const double FAR = 4.0;
    double sd = solution->reader_sd = options->reader_sd, offset;
    const oxt_i_extra extra = { move_names, cost_of, -FAR * sd, FAR * sd, 0.02, NULL };
    oxt_status status = oxt_i_fit_find_extra(solution, &extra, 0.0, options, &offset, error);
    /* An error of the offset moves ln of the time of a film by -b, of a name, twice the offset further off, by 2 - b: the
     * card has one error for both, the larger. */
    oxt_i_constants *by = solution->extra_slope;
    if (by->b < 1.0)
        *by = (oxt_i_constants){ .b = 2.0 - by->b, .q = -by->q };
    return status;
}

/* ---- the reader's bands ---- */

/* A range of films as the reader sees it, unless it is thicker than any film. */
static bool add_moved(oxt_words *into, oxt_word *word, double times)
{
    word->low_nm *= times;
    word->high_nm = fmin(times * word->high_nm, OXT_THICKNESS_HIGH_NM);
    return (word->index < 0 && word->low_nm >= word->high_nm) || oxt_i_words_append(into, word);
}

static bool add_band(oxt_words *into, const char *name, const double *edges, int band, double times)
{
    oxt_word word = OXT_WORD_INIT;
    word.index = -1;
    word.low_nm = edges[band];
    word.high_nm = edges[band + 1];
    oxt_i_copy_text(word.word, sizeof word.word, name);
    return !(word.low_nm > 0.0 && word.low_nm < word.high_nm) || /* bright, or not of this film */
           oxt_i_words_refusal(into, name) || add_moved(into, &word, times);
}

bool oxt_i_fit_take_reader(oxt_words **words, double edges[OXT_TINT_COUNT + 1], double offset)
{
    double times = exp(offset);
    oxt_words *made = oxt_i_words_new();
    bool good = made;
    for (size_t i = 0; i < oxt_i_words_count(*words) && good; i++) {
        oxt_word word = OXT_WORD_INIT;
        oxt_words_get(*words, i, &word, NULL);
        good = add_moved(made, &word, times);
    }
    for (int band = 0; band < OXT_TINT_COUNT && good; band++)
        good = add_band(made, oxt_i_tint_label(band), edges, band, times);
    for (int i = 0; i <= OXT_TINT_COUNT; i++)
        edges[i] *= times;
    if (good) {
        oxt_words_free(*words);
        *words = made;
    } else {
        oxt_words_free(made);
    }
    return good;
}
