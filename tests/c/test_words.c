/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A shop's own words: read, meant and spoken wherever names of colours are. */
#include <stdio.h>
#include <string.h>

#include "base/internal.h"
#include "optics.h"
#include "support.h"

#define WORDS "word,band,low_nm,high_nm\nlamp blue,blue,,\nclock blue,,47,55\ngold,dark straw,,\n"

static oxt_words *words_of(const char *text)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_words *words;
    OK(oxt_words_read_csv(&words, NULL, text, strlen(text), NULL, &error));
    return words;
}

static oxt_film *worded_film(void)
{
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    oxt_words *words = words_of(WORDS);
    options.words = words;
    oxt_film *film = film_with(&options);
    oxt_words_free(words); /* the film has a copy */
    return film;
}

Test(words, are_read)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_words *words = words_of("\xEF\xBB\xBFlow_nm;high_nm;word;band\r\n47,5;55;clock blue;\r\n;;"
                                "lamp blue;2nd blue\r\n");
    oxt_word word = OXT_WORD_INIT;
    FAILS(oxt_words_get(words, 2, &word, &error), OXT_EARG);
    SAYS("index is 2, expected below 2");
    OK(oxt_words_get(words, 0, &word, &error));
    cr_assert(word.index == -1 && word.low_nm == 47.5 && word.high_nm == 55.0 && word.line == 2);
    OK(oxt_words_get(words, 1, &word, &error));
    cr_assert_str_eq(word.word, "lamp blue");
    cr_assert(word.index == 13 && word.low_nm == 0.0 && word.line == 3);
    FAILS(oxt_words_get(words, 2, &word, &error), OXT_EARG);
    oxt_words_free(words);
}

/* A bad byte is one fault: a line with one is no line before. */
Test(words, a_line_that_is_at_fault_takes_no_word)
{
    static const char text[] = "word,band,by\nlamp,blue,\xFF\nlamp,blue,\n";
    oxt_error error = OXT_ERROR_INIT;
    oxt_words *words;
    oxt_faults *faults;
    FAILS(oxt_words_read_csv(&words, NULL, text, sizeof text - 1, &faults, &error), OXT_EPARSE);
    cr_assert_eq(oxt_faults_count(faults), 1);
    oxt_faults_free(faults);
}

Test(words, what_is_no_list_of_words)
{
    static const struct {
        const char *text, *column, *expected;
    } bad[] = {
        { "band\nblue\n", "word", "a column word" },
        { "word\nlamp\n", "band", "a column band, or low_nm and high_nm" },
        { "word,low_nm\nlamp,3\n", "high_nm", "together" },
        { "word,band\n57 lamp,blue\n", "word", "begins with a letter" },
        { "word,band\n\"#lamp\",blue\n", "word", "begins with a letter" },
        { "word,band\n#lamp,blue\n", "", "at least one word" },
        { "word,band\nlamp,bleu\n", "band", "did you mean 'blue'?" },
        { "word,band\nlamp,blue\nLAMP,purple\n", "word", "not in a line above" },
        { "word,band\nlamp,\n", "", "either a band" },
        { "word,band,low_nm,high_nm\nlamp,blue,3,4\n", "", "either a band" },
        { "word,low_nm,high_nm\nlamp,0,4\n", "low_nm", "above 0" },
        { "word,low_nm,high_nm\nlamp,5,5\n", "high_nm", "above low_nm" },
        { "word,low_nm,high_nm\nlamp,5,1001\n", "high_nm", "up to 1000 nm" },
        { "word,band\na word that is longer than any other,blue\n", "word", "at most 31 bytes" },
    };
    for (size_t i = 0; i < OXT_I_COUNT(bad); i++) {
        oxt_error error = OXT_ERROR_INIT;
        oxt_words *words;
        FAILS(oxt_words_read_csv(&words, NULL, bad[i].text, strlen(bad[i].text), NULL, &error),
              OXT_EPARSE);
        cr_assert_null(words);
        SAYS(bad[i].expected);
        cr_assert_str_eq(error.column, bad[i].column, "%s", error.text);
    }
}

Test(words, a_film_reads_and_speaks_them)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_film *film = worded_film();
    oxt_tint tint = OXT_TINT_INIT;
    oxt_target target = OXT_TARGET_INIT, blue = OXT_TARGET_INIT;
    OK(oxt_tint_target(default_film(), "blue", &blue, &error));
    OK(oxt_tint_target(film, "Lamp-Blue", &target, &error));
    cr_assert_str_eq(target.text, "lamp blue");
    cr_assert(target.low_nm == blue.low_nm && target.high_nm == blue.high_nm);
    OK(oxt_tint_at(film, 58.0, &tint, &error));
    cr_assert_str_eq(tint.label, "lamp blue");
    cr_assert_str_eq(tint.name, "blue");
    NEAR(target.other_nm, blue.other_nm, 1e-12); /* it comes again, by whatever name */
    /* a range, whose middle is the geometric one of all targets */
    OK(oxt_tint_target(film, "clock blue", &target, &error));
    cr_assert_str_eq(target.text, "clock blue");
    cr_assert(target.low_nm == 47.0 && target.high_nm == 55.0);
    NEAR(target.aim_nm, sqrt(47.0 * 55.0), 1e-12);
    OK(oxt_tint_at(film, 54.0, &tint, &error));
    cr_assert_str_eq(tint.label, "clock blue");
    OK(oxt_tint_at(film, 46.9, &tint, &error));
    cr_assert_str_eq(tint.label, "dark blue");
    /* the shop's word goes before the trade's */
    OK(oxt_tint_find(film, "gold", &tint, &error));
    cr_assert_eq(tint.index, 3);
    FAILS(oxt_tint_find(film, "clok blue", &tint, &error), OXT_EPARSE);
    SAYS("did you mean 'clock blue'?");
    FAILS(oxt_tint_find(film, "mauve", &tint, &error), OXT_EPARSE);
    SAYS("expected lamp blue, clock blue, gold, bright, faint straw");
    FAILS(oxt_tint_target(film, "mauve", &target, &error), OXT_EPARSE);
    SAYS("expected lamp blue, clock blue, gold, faint straw"); /* bare steel is no target */
    char with[128], without[128];
    OK(oxt_film_description(film, with, sizeof with, NULL, &error));
    OK(oxt_film_description(default_film(), without, sizeof without, NULL, &error));
    cr_assert_str_eq(with, without); /* a card read with either is the same */
    oxt_film_free(film);
}

/* Physics: a film of a shop's own range has a colour that comes again in the second order, as its band has. */
Test(words, a_range_comes_again_too)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    oxt_target target = OXT_TARGET_INIT, blue = OXT_TARGET_INIT;
    oxt_words *words = words_of("word,low_nm,high_nm\nbell blue,53,62\n");
    options.words = words;
    oxt_film *film = film_with(&options);
    OK(oxt_tint_target(default_film(), "blue", &blue, &error));
    OK(oxt_tint_target(film, "bell blue", &target, &error));
    cr_assert(blue.low_nm < 53.0 && blue.high_nm > 62.0 && blue.other_nm > 100.0);
    NEAR(target.other_nm, blue.other_nm, 1e-12);
    oxt_film_free(film);
    oxt_words_free(words);
}

/* A log in the shop's words fits to the same constants as one in trade names and nm. */
Test(words, a_log_reads_them_and_its_fit_too)
{
    static const char own[] = "steel,bath_F,time_s,colour\nA,560,160,lamp blue\nA,600,60,Purple\n"
                              "A,600,95,LAMP BLUE\nA,650,50,lamp blue\nA,650,30,purple\n";
    static const char plain[] = "steel,bath_F,time_s,colour\nA,560,160,blue\nA,600,60,purple\n"
                                "A,600,95,blue\nA,650,50,blue\nA,650,30,purple\n";
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log, *other;
    oxt_words *words = words_of(WORDS);
    oxt_faults *faults;
    FAILS(oxt_trials_read_csv(&log, NULL, own, sizeof own - 1, NULL, &faults, &error), OXT_EPARSE);
    cr_assert_null(log, "half-loaded");
    oxt_faults_free(faults);
    OK(oxt_trials_read_csv(&log, NULL, own, sizeof own - 1, words, NULL, &error));
    oxt_words_free(words);
    OK(oxt_trials_read_csv(&other, NULL, plain, sizeof plain - 1, NULL, NULL, &error));
    oxt_fit_values values = OXT_FIT_VALUES_INIT, plain_values = OXT_FIT_VALUES_INIT;
    oxt_fit *fit, *plain_fit;
    OK(oxt_fit_run(&fit, log, default_film(), NULL, &error));
    OK(oxt_fit_run(&plain_fit, other, default_film(), NULL, &error));
    OK(oxt_fit_get(fit, &values, &error));
    OK(oxt_fit_get(plain_fit, &plain_values, &error));
    cr_assert_eq(values.growth.k_ref_nm2_per_s, plain_values.growth.k_ref_nm2_per_s);
    cr_assert_eq(values.growth.Q_J_per_mol, plain_values.growth.Q_J_per_mol);
    /* a range is read as its stretch */
    oxt_trial trial = OXT_TRIAL_INIT;
    oxt_fit_row row = OXT_FIT_ROW_INIT;
    OK(oxt_trials_get(log, 0, &trial, &error));
    strcpy(trial.colour, "Clock Blue");
    OK(oxt_trials_add(log, &trial, NULL, &error));
    oxt_fit_free(fit);
    OK(oxt_fit_run(&fit, log, default_film(), NULL, &error));
    OK(oxt_fit_get_row(fit, 5, &row, &error));
    NEAR(row.observed_nm, sqrt(47.0 * 55.0), 1e-9);
    cr_assert(row.low_nm == 47.0 && row.high_nm == 55.0);
    oxt_fit_free(fit);
    oxt_fit_free(plain_fit);
    oxt_trials_free(log);
    oxt_trials_free(other);
}

/* ---- kept by a card ---- */

#define LOG                                                                                  \
    "steel,bath_F,time_s,colour\nA,560,160,lamp blue\nA,600,60,purple\nA,600,95,lamp blue\n" \
    "A,650,50,lamp blue\nA,650,30,purple\n"

static oxt_trials *worded_log(const char *own)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    oxt_words *words = words_of(own);
    OK(oxt_trials_read_csv(&log, NULL, LOG, sizeof LOG - 1, words, NULL, &error));
    oxt_words_free(words);
    return log;
}

/* The words of a steel, each with its meaning, in a line. */
static const char *kept(const oxt_steel *steel)
{
    static char text[512];
    oxt_error error = OXT_ERROR_INIT;
    oxt_words *words;
    oxt_word word = OXT_WORD_INIT;
    size_t at = 0;
    OK(oxt_steel_words(steel, &words, &error));
    text[0] = '\0';
    for (size_t i = 0; oxt_words_get(words, i, &word, &error) == OXT_OK; i++) {
        at += (size_t)snprintf(text + at, sizeof text - at, "%s=%d,%g,%g;", word.word, word.index,
                               word.low_nm, word.high_nm);
    }
    oxt_words_free(words);
    return text;
}

static oxt_steel *again(const oxt_steel *steel)
{
    char card[8192];
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *loaded;
    OK(oxt_steel_save_text(steel, card, sizeof card, NULL, &error));
    OK(oxt_steel_load(&loaded, NULL, card, strlen(card), &error));
    return loaded;
}

#define KEPT "lamp blue=7,0,0;clock blue=-1,47,55;gold=3,0,0;"

Test(words, a_card_keeps_those_of_its_log_or_else_of_its_film)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = worded_log(WORDS);
    oxt_film *film = worded_film();
    oxt_fit *fit;
    oxt_pool *pool;
    oxt_steel *steel, *loaded, *other;
    OK(oxt_fit_run(&fit, log, default_film(), NULL, &error));
    OK(oxt_fit_steel(fit, &steel, &error));
    oxt_fit_free(fit);
    oxt_trials_free(log);
    cr_assert_str_eq(kept(steel), KEPT);
    loaded = again(steel);
    cr_assert_str_eq(kept(loaded), KEPT);
    /* a new coupon in other words brings them with it, one in none leaves them */
    log = worded_log("word,band\nlamp blue,dark blue\n");
    OK(oxt_anchor_steel(&other, loaded, log, film, NULL, &error));
    cr_assert_str_eq(kept(other), "lamp blue=6,0,0;");
    oxt_steel_free(other);
    OK(oxt_pool_run(&pool, log, film, NULL, &error));
    OK(oxt_pool_steel(pool, 0, &other, &error));
    cr_assert_str_eq(kept(other), "lamp blue=6,0,0;");
    oxt_pool_free(pool);
    oxt_trials_free(log);
    oxt_steel_free(other);
    static const char plain[] = "steel,bath_F,time_s,colour\nA,560,160,blue\n";
    OK(oxt_trials_read_csv(&log, NULL, plain, sizeof plain - 1, NULL, NULL, &error));
    OK(oxt_anchor_steel(&other, loaded, log, default_film(), NULL, &error));
    cr_assert_str_eq(kept(other), KEPT);
    /* taken off again, and its history stays */
    oxt_steel *bare;
    OK(oxt_steel_with_words(&bare, other, NULL, &error));
    cr_assert_str_eq(kept(bare), "");
    cr_assert_eq(values_of_steel(bare).change_count, 1);
    oxt_steel_free(bare);
    oxt_steel_free(other);
    oxt_trials_free(log);
    /* a starting card keeps those of its film */
    OK(oxt_prior_steel(&other, "A", NULL, film, &error));
    cr_assert_str_eq(kept(other), KEPT);
    oxt_steel_free(other);
    oxt_film_free(film);
    oxt_steel_free(loaded);
    oxt_steel_free(steel);
}

/* Measured films beside the names tell by how much this reader sees each colour later: the card's words, those of the
 * shop and those of the trade, are ranges that lie by as much at thicker films. */
Test(words, a_card_has_them_as_its_reader_sees_them)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_film_options film_options = OXT_FILM_OPTIONS_INIT;
    oxt_words *own = words_of("word,band,low_nm,high_nm\nclock blue,,47,55\nfar grey,,900,1000\n");
    oxt_trials *log = new_log(), *measured = new_log();
    const oxt_growth growth = growth_of(30.0, 588.7, 80e3);
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    oxt_fit *fit;
    oxt_fit_values values = OXT_FIT_VALUES_INIT;
    oxt_steel *steel;
    oxt_words *found;
    oxt_word word = OXT_WORD_INIT;
    bool shop = false, far = false, blue = false;
    film_options.words = own;
    oxt_film *film = film_with(&film_options);
    for (int i = 0; i < 12; i++) {
        double bath_K = 560.0 + 30.0 * (i % 3), aim_nm = 25.0 + 3.5 * i, time_s;
        oxt_tint tint = OXT_TINT_INIT;
        OK(oxt_time_for_thickness(&growth, aim_nm, bath_K, &time_s, &error));
        add_thickness(log, bath_K, time_s, aim_nm);
        add_thickness(measured, bath_K, time_s, aim_nm);
        OK(oxt_tint_at(default_film(), aim_nm / 1.12, &tint, &error)); /* seen 12 % later */
        add_colour(log, bath_K, time_s, tint.label);
    }
    options.reader_sd = 0.2;
    OK(oxt_fit_run(&fit, log, film, &options, &error));
    OK(oxt_fit_get(fit, &values, &error));
    NEAR(values.reader_offset, log1p(0.12), 0.05);
    OK(oxt_fit_steel(fit, &steel, &error));
    OK(oxt_steel_words(steel, &found, &error));
    const double times = exp(values.reader_offset);
    oxt_tint band = OXT_TINT_INIT;
    OK(oxt_tint_find(default_film(), "blue", &band, &error));
    for (size_t i = 0; oxt_words_get(found, i, &word, &error) == OXT_OK; i++) {
        if (strcmp(word.word, "clock blue") == 0) {
            CLOSE(word.low_nm, 47.0 * times, 1e-9);
            CLOSE(word.high_nm, 55.0 * times, 1e-9);
            shop = true;
        } else if (strcmp(word.word, "blue") == 0) {
            CLOSE(word.low_nm, band.low_nm * times, 1e-9);
            blue = true;
        } else if (strcmp(word.word, "far grey") == 0) /* no film is thicker */
            far = word.high_nm == OXT_THICKNESS_HIGH_NM && word.low_nm < OXT_THICKNESS_HIGH_NM;
    }
    cr_assert(shop && blue && (far || 900.0 * times >= OXT_THICKNESS_HIGH_NM));
    /* one name beside the measured films is enough to tell it, less well; no name leaves it open */
    for (int names = 0; names < 2; names++) {
        double time_s;
        oxt_fit *alone;
        OK(oxt_time_for_thickness(&growth, 45.0, 590.0, &time_s, &error));
        if (names == 1)
            add_colour(measured, 590.0, time_s, "purple");
        OK(oxt_fit_run(&alone, measured, film, &options, &error));
        OK(oxt_fit_get(alone, &values, &error));
        cr_assert_eq(values.reader_offset != 0.0, names == 1);
        cr_assert(names == 1 ? values.reader_offset_stderr < 0.2
                             : values.reader_offset_stderr == 0.2);
        oxt_fit_free(alone);
    }
    oxt_trials_free(measured);
    oxt_words_free(own);
    oxt_words_free(found);
    oxt_film_free(film);
    oxt_steel_free(steel);
    oxt_fit_free(fit);
    oxt_trials_free(log);
}

/* Every band is written by a name that is read back as the same. */
Test(words, every_band_is_kept)
{
    oxt_error error = OXT_ERROR_INIT;
    char text[1024] = "word,band\n";
    for (int i = 0; i < OXT_TINT_COUNT; i++) {
        oxt_tint tint = OXT_TINT_INIT;
        OK(oxt_tint_band(default_film(), i, &tint, &error));
        size_t at = strlen(text);
        snprintf(text + at, sizeof text - at, "shop %c,%s\n", 'a' + i, tint.label);
    }
    oxt_words *words = words_of(text);
    oxt_steel *plain, *steel;
    OK(oxt_prior_steel(&plain, "A", NULL, default_film(), &error));
    OK(oxt_steel_with_words(&steel, plain, words, &error));
    oxt_steel *loaded = again(steel);
    oxt_words_free(words);
    OK(oxt_steel_words(loaded, &words, &error));
    oxt_word word = OXT_WORD_INIT;
    FAILS(oxt_words_get(words, OXT_TINT_COUNT, &word, &error), OXT_EARG);
    for (int i = 0; i < OXT_TINT_COUNT; i++) {
        word = (oxt_word)OXT_WORD_INIT;
        OK(oxt_words_get(words, (size_t)i, &word, &error));
        cr_assert_eq(word.index, i, "%s is %d", word.word, word.index);
    }
    oxt_words_free(words);
    oxt_steel_free(plain);
    oxt_steel_free(steel);
    oxt_steel_free(loaded);
}

/* A card with some text in place of its words. */
static oxt_status load_with(const char *words, oxt_steel **steel, oxt_error *said)
{
    oxt_error error = OXT_ERROR_INIT;
    static char text[1 << 17];
    char card[8192];
    oxt_steel *plain;
    OK(oxt_prior_steel(&plain, "A", NULL, default_film(), &error));
    OK(oxt_steel_save_text(plain, card, sizeof card, NULL, &error));
    oxt_steel_free(plain);
    *strrchr(card, '}') = '\0';
    snprintf(text, sizeof text, "%s, \"words\": %s}", card, words);
    return oxt_steel_load(steel, NULL, text, strlen(text), said);
}

Test(words, odd_words_in_a_card_are_refused)
{
    static const struct {
        const char *words, *says;
    } odd[] = {
        { "5", "'words' of the card: expected a list" },
        { "[5]", "word 1 of the card lacks 'word', expected a text" },
        { "[{\"word\": \"\", \"band\": \"blue\"}]", "at most 31 bytes" },
        { "[{\"word\": \"4 blue\", \"band\": \"blue\"}]", "begins with a letter" },
        { "[{\"word\": \"a word that is longer than any other\", \"band\": \"blue\"}]",
          "at most 31 bytes" },
        { "[{\"word\": \"x\", \"band\": \"blue\"}, {\"word\": \"X\", \"band\": \"silver\"}]",
          "'word' of word 2 of the card: expected a word that is not in a line above" },
        { "[{\"word\": \"x\", \"band\": \"mauve\"}]", "'band' of word 1 of the card" },
        { "[{\"word\": \"x\", \"band\": 7}]", "'band' of word 1 of the card" },
        { "[{\"word\": \"x\"}]",
          "word 1 of the card lacks 'low_nm', expected a thickness above 0" },
        { "[{\"word\": \"x\", \"low_nm\": 0, \"high_nm\": 5}]", "'low_nm' of word 1" },
        { "[{\"word\": \"x\", \"low_nm\": 5, \"high_nm\": 5}]", "above 5 and up to 1000 nm" },
        { "[{\"word\": \"x\", \"low_nm\": 5, \"high_nm\": 1e9}]", "'high_nm' of word 1" },
    };
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel;
    for (size_t i = 0; i < OXT_I_COUNT(odd); i++) {
        oxt_status status = load_with(odd[i].words, &steel, &error);
        cr_assert_eq(status, OXT_EPARSE, "%s", odd[i].words);
        cr_assert_null(steel);
        SAYS(odd[i].says);
    }
    OK(load_with("[]", &steel, &error));
    cr_assert_str_eq(kept(steel), "");
    oxt_steel_free(steel);
}

/* A list has an end, so that a card stays below its size and is read in no time. */
Test(words, a_list_takes_256_words_and_no_more)
{
    static char csv[1 << 14], json[1 << 16];
    oxt_error error = OXT_ERROR_INIT;
    for (int most = OXT_WORDS_MOST; most <= OXT_WORDS_MOST + 1; most++) {
        size_t at = (size_t)snprintf(csv, sizeof csv, "word,band\n");
        size_t in = (size_t)snprintf(json, sizeof json, "[");
        for (int i = 0; i < most; i++) {
            at += (size_t)snprintf(csv + at, sizeof csv - at, "shop %d,blue\n", i);
            in += (size_t)snprintf(json + in, sizeof json - in,
                                   "%s{\"word\": \"shop %d\", \"band\": \"blue\"}", i ? "," : "",
                                   i);
        }
        snprintf(json + in, sizeof json - in, "]");
        oxt_words *words;
        oxt_steel *steel;
        oxt_status status = load_with(json, &steel, &error);
        oxt_steel_free(steel);
        if (most == OXT_WORDS_MOST) {
            cr_assert_eq(status, OXT_OK, "%s", error.text);
            oxt_film_options options = OXT_FILM_OPTIONS_INIT;
            oxt_tint tint = OXT_TINT_INIT;
            OK(oxt_words_read_csv(&words, NULL, csv, strlen(csv), NULL, &error));
            options.words = words;
            oxt_film *film = film_with(&options);
            oxt_words_free(words);
            /* a sentence names as many as it has room for, and those of the trade whole */
            FAILS(oxt_tint_find(film, "mauve", &tint, &error), OXT_EPARSE);
            SAYS("expected shop 0, shop 1, ");
            SAYS(", bright, faint straw, straw");
            SAYS("or second order yellow, red, purple, blue, green");
            oxt_film_free(film);
        } else {
            cr_assert_eq(status, OXT_EPARSE);
            SAYS("at most 256 words");
            FAILS(oxt_words_read_csv(&words, NULL, csv, strlen(csv), NULL, &error), OXT_EPARSE);
            SAYS("at most 256 words");
        }
    }
}
