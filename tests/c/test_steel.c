/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Cards of steels: they load back number for number, and a damaged one is never taken for sound. */
#define _XOPEN_SOURCE 700

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "support.h"

static oxt_steel_values some_values(void)
{
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    strcpy(values.steel, "Alder 1");
    strcpy(values.finish, "polished");
    strcpy(values.description, "air | magnetite | iron");
    strcpy(values.origin, "made up");
    values.growth = growth_of(55.0, 588.7, 80e3);
    values.variance_ln_k = 0.0021;
    values.covariance_J_per_mol = -47.3;
    values.variance_Q_J2_per_mol2 = 31.7e6;
    values.scatter = 1.0 / 17.0;
    values.dof = 10.0;
    values.bath_low_K = 560.9;
    values.bath_high_K = 616.5;
    values.thickness_low_nm = 14.1;
    values.thickness_high_nm = 103.9;
    values.trial_count = 12;
    return values;
}

/* The text of a card, to be freed. */
static char *card_of(const oxt_steel_values *values, size_t *length)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel = steel_of(values);
    OK(oxt_steel_save_text(steel, NULL, 0, length, &error));
    char *text = malloc(*length + 1);
    OK(oxt_steel_save_text(steel, text, *length + 1, NULL, &error));
    cr_assert_eq(strlen(text), *length);
    oxt_steel_free(steel);
    return text;
}

static void check_same(const oxt_steel_values *a, const oxt_steel_values *b)
{
    cr_assert_str_eq(a->steel, b->steel);
    cr_assert_str_eq(a->finish, b->finish);
    cr_assert_str_eq(a->description, b->description);
    cr_assert_str_eq(a->origin, b->origin);
    cr_assert_eq(a->growth.law, b->growth.law);
    cr_assert_eq(a->growth.k_ref_nm2_per_s, b->growth.k_ref_nm2_per_s);
    cr_assert_eq(a->growth.T_ref_K, b->growth.T_ref_K);
    cr_assert_eq(a->growth.Q_J_per_mol, b->growth.Q_J_per_mol);
    cr_assert_eq(a->variance_ln_k, b->variance_ln_k);
    cr_assert_eq(a->covariance_J_per_mol, b->covariance_J_per_mol);
    cr_assert_eq(a->variance_Q_J2_per_mol2, b->variance_Q_J2_per_mol2);
    cr_assert_eq(a->scatter, b->scatter);
    cr_assert_eq(a->dof, b->dof);
    cr_assert_eq(a->bath_low_K, b->bath_low_K);
    cr_assert_eq(a->bath_high_K, b->bath_high_K);
    cr_assert_eq(a->thickness_low_nm, b->thickness_low_nm);
    cr_assert_eq(a->thickness_high_nm, b->thickness_high_nm);
    cr_assert_eq(a->trial_count, b->trial_count);
}

/* ---- sound cards ---- */

static void check_round_trip(const oxt_steel_values *values)
{
    oxt_error error = OXT_ERROR_INIT;
    size_t length;
    char *text = card_of(values, &length);
    oxt_steel *back;
    OK(oxt_steel_load(&back, NULL, text, length, &error));
    oxt_steel_values read = values_of_steel(back);
    check_same(values, &read);
    oxt_steel_free(back);
    free(text);
}

Test(steel, what_is_missing_is_named)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    oxt_steel *steel = steel_of(&values), *loaded = NULL;
    FAILS(oxt_steel_save(NULL, "card.json", OXT_REPLACE_SAME_KIND, &error), OXT_EARG);
    SAYS("steel");
    FAILS(oxt_steel_save(steel, NULL, OXT_REPLACE_SAME_KIND, &error), OXT_EARG);
    SAYS("path");
    FAILS(oxt_steel_load(NULL, NULL, "{}", 2, &error), OXT_EARG);
    FAILS(oxt_steel_load(&loaded, NULL, NULL, 2, &error), OXT_EARG);
    cr_assert_null(loaded);
    oxt_steel_free(steel);
}

Test(steel, a_card_loads_back_number_for_number)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_values();
    oxt_steel *steel = steel_of(&values), *back;
    char path[700];
    snprintf(path, sizeof path, "%s/alder.json", scratch_directory("steel_saved"));
    OK(oxt_steel_save(steel, path, OXT_REPLACE_SAME_KIND, &error));
    OK(oxt_steel_load(&back, path, NULL, 0, &error));
    oxt_steel_values read = values_of_steel(back);
    check_same(&values, &read);
    oxt_steel_free(back);
    oxt_steel_free(steel);
}

/* Any double, of any size: subnormal ones, and 17 digits. */
static double any_number(gsl_rng *random)
{
    int exponent = (int)gsl_rng_uniform_int(random, 2090) - 1073;
    double fraction = (double)gsl_rng_get(random) / 4294967296.0 + gsl_rng_uniform(random);
    double value = ldexp(0.5 + 0.25 * fraction, exponent);
    return value > 0.0 && isfinite(value) ? value : 5e-324;
}

static void any_text(gsl_rng *random, char *into, size_t capacity)
{
    static const char *const pieces[] = { "a",
                                          "\"",
                                          "\\",
                                          "/",
                                          "\n",
                                          "\t",
                                          "\x01",
                                          " ",
                                          "\xC3\xA4",
                                          "\xE2\x82\xAC",
                                          "\xF0\x9F\x94\xA5",
                                          "\x7F" };
    strcpy(into, "x");
    for (int i = 0; i < 200; i++) {
        const char *piece = pieces[gsl_rng_uniform_int(random, 12)];
        if (strlen(into) + strlen(piece) < capacity && gsl_rng_uniform(random) < 0.5)
            strcat(into, piece);
    }
}

static oxt_steel_values any_values(gsl_rng *random)
{
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    any_text(random, values.steel, sizeof values.steel);
    any_text(random, values.finish, sizeof values.finish);
    any_text(random, values.description, sizeof values.description);
    any_text(random, values.origin, sizeof values.origin);
    values.growth = growth_of(any_number(random), any_number(random),
                              exp(gsl_ran_flat(random, 0.0, log(OXT_Q_HIGH_J_PER_MOL))));
    values.variance_ln_k = any_number(random);
    values.variance_Q_J2_per_mol2 = any_number(random);
    values.covariance_J_per_mol = (2.0 * gsl_rng_uniform(random) - 1.0) *
                                  sqrt(values.variance_ln_k) * sqrt(values.variance_Q_J2_per_mol2);
    values.scatter = any_number(random);
    values.dof = any_number(random);
    values.bath_low_K = any_number(random);
    values.bath_high_K = fmax(values.bath_low_K, any_number(random));
    values.thickness_low_nm = any_number(random);
    values.thickness_high_nm = fmax(values.thickness_low_nm, any_number(random));
    values.trial_count = gsl_rng_get(random);
    return values;
}

Test(steel, random_cards_load_back)
{
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, 20240301);
    for (int turn = 0; turn < 500; turn++) {
        oxt_steel_values values = any_values(random);
        check_round_trip(&values);
    }
    gsl_rng_free(random);
}

/* Values without any spread, and a perfect correlation, are sound. */
Test(steel, limiting_values_are_sound)
{
    oxt_steel_values values = some_values();
    values.variance_ln_k = values.variance_Q_J2_per_mol2 = values.covariance_J_per_mol = 0.0;
    values.scatter = values.growth.Q_J_per_mol = 0.0;
    values.bath_high_K = values.bath_low_K;
    values.thickness_high_nm = values.thickness_low_nm;
    values.trial_count = 0;
    values.finish[0] = values.description[0] = values.origin[0] = '\0';
    check_round_trip(&values);
    values.variance_ln_k = 0.3;
    values.variance_Q_J2_per_mol2 = 0.7;
    values.covariance_J_per_mol = -sqrt(0.3) * sqrt(0.7);
    check_round_trip(&values);
}

/* Seventeen digits tell every double (IEEE 754), and no more are written: 0.1 as people write it is
 * 0.10000000000000001. */
Test(steel, a_card_has_as_many_digits_as_it_needs)
{
    oxt_steel_values values = some_values();
    size_t length;
    values.scatter = 0.1;
    char *text = card_of(&values, &length);
    cr_assert_not_null(strstr(text, ": 0.10000000000000001,"), "%s", text);
    free(text);
}

Test(steel, a_saved_card_is_replaced_whole)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_values();
    oxt_steel *steel = steel_of(&values), *back;
    const char *directory = scratch_directory("steel_replaced");
    char path[700];
    snprintf(path, sizeof path, "%s/alder.json", directory);
    OK(oxt_steel_save(steel, path, OXT_REPLACE_SAME_KIND, &error));
    chmod(path, 0600);
    oxt_steel_free(steel);
    strcpy(values.steel, "Alder 2");
    steel = steel_of(&values);
    OK(oxt_steel_save(steel, path, OXT_REPLACE_SAME_KIND, &error));
    OK(oxt_steel_load(&back, path, NULL, 0, &error));
    cr_assert_str_eq(values_of_steel(back).steel, "Alder 2");
    struct stat state;
    cr_assert(stat(path, &state) == 0 && (state.st_mode & 0777) == 0600);
    cr_assert_eq(files_in(directory), 1);
    snprintf(path, sizeof path, "%s/missing/alder.json", directory);
    FAILS(oxt_steel_save(steel, path, OXT_REPLACE_SAME_KIND, &error), OXT_EIO);
    SAYS(path);
    cr_assert_eq(files_in(directory), 1);
    oxt_steel_free(back);
    oxt_steel_free(steel);
}

/* A count that the machine cannot hold is refused, never taken modulo its size: 2^32 + 5 became 5 where
 * size_t has 32 bits. */
Test(steel, a_count_is_what_it_says_or_refused)
{
    static const char *const counts[] = { "4294967301", "9223372036854775807", "1e3", "-1",
                                          "18446744073709551616" };
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_values();
    oxt_steel *steel = steel_of(&values), *back;
    char card[4000], changed[4100];
    OK(oxt_steel_save_text(steel, card, sizeof card, NULL, &error));
    const char *place = strstr(card, "\"trial_count\": ");
    cr_assert_not_null(place);
    place += strlen("\"trial_count\": ");
    for (size_t i = 0; i < sizeof counts / sizeof *counts; i++) {
        snprintf(changed, sizeof changed, "%.*s%s%s", (int)(place - card), card, counts[i],
                 place + strspn(place, "0123456789"));
        oxt_status status = oxt_steel_load(&back, NULL, changed, strlen(changed), &error);
        bool holds = i == 0 && SIZE_MAX > 4294967301u;
        cr_assert(holds ? status == OXT_OK && values_of_steel(back).trial_count == 4294967301u
                        : status == OXT_EPARSE || status == OXT_EDOMAIN,
                  "%s: %s", counts[i], error.text);
        oxt_steel_free(back);
    }
    oxt_steel_free(steel);
}

/* ---- damaged cards ---- */

static void card_fails(const char *text, size_t length, oxt_status status, const char *words)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel = (oxt_steel *)&error;
    FAILS(oxt_steel_load(&steel, NULL, text, length, &error), status);
    cr_assert_null(steel);
    SAYS(words);
}

Test(steel, a_card_cut_short_anywhere_is_damaged)
{
    oxt_steel_values values = some_values();
    size_t length;
    char *text = card_of(&values, &length);
    for (size_t cut = 0; cut < length; cut++) {
        char *piece = malloc(cut + 1); /* no byte behind the cut is there to be read */
        memcpy(piece, text, cut);
        card_fails(piece, cut, OXT_EPARSE, "the card is damaged at line ");
        free(piece);
    }
    free(text);
}

/* Whatever byte is changed, and to what: an error that says why, or values that hold. */
Test(steel, a_card_with_one_wrong_byte)
{
    static const char wrong[] = { '\0', '\xFF', '"', '}', '-', '9', 'e', '\\', ',' };
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_values();
    size_t length;
    char *text = card_of(&values, &length);
    for (size_t at = 0; at < length; at++)
        for (size_t i = 0; i < sizeof wrong; i++) {
            char kept = text[at];
            text[at] = wrong[i];
            oxt_steel *steel = NULL;
            error.text[0] = '\0';
            oxt_status status = oxt_steel_load(&steel, NULL, text, length, &error);
            cr_assert_eq(status == OXT_OK, steel != NULL);
            cr_assert(steel || error.text[0], "no message");
            cr_assert(steel == NULL || (wrong[i] != '\0' && wrong[i] != '\xFF'));
            oxt_steel_free(steel);
            text[at] = kept;
        }
    free(text);
}

/* A card with one piece of its text replaced. */
typedef struct {
    const char *from, *to;
    oxt_status status;
    const char *parameter, *words;
} edit;

static char *edited_card(const char *from, const char *to)
{
    oxt_steel_values values = some_values();
    size_t length;
    char *text = card_of(&values, &length), *place = strstr(text, from);
    cr_assert_not_null(place, "the card has no '%s'", from);
    char *made = malloc(length + strlen(to) + 1);
    size_t before = (size_t)(place - text);
    memcpy(made, text, before);
    strcpy(stpcpy(made + before, to), place + strlen(from));
    free(text);
    return made;
}

static const edit edits[] = {
    /* kinds */
    { "\"Alder 1\"", "5", OXT_EPARSE, "steel", "'steel' of the card: expected a text" },
    { "\"polished\"", "null", OXT_EPARSE, "finish", "'finish' of the card: expected a text" },
    { "\"made up\"", "[\"made up\"]", OXT_EPARSE, "origin",
      "'origin' of the card: expected a text" },
    { "\"T_ref_K\": ", "\"T_ref_K\": \"588.7\", \"x\": ", OXT_EPARSE, "T_ref_K",
      "'T_ref_K' of the card: expected a number" },
    { "\"dof\": ", "\"dof\": true, \"x\": ", OXT_EPARSE, "dof",
      "'dof' of the card: expected a number" },
    { "\"trial_count\": 12", "\"trial_count\": 12.5", OXT_EPARSE, "trial_count", "a whole number" },
    { "\"trial_count\": 12", "\"trial_count\": -1", OXT_EPARSE, "trial_count", "a whole number" },
    { "\"parabolic\"", "\"linear\"", OXT_EPARSE, "law", "expected parabolic, power, linear-parabolic or logarithmic" },
    { "\"parabolic\"", "0", OXT_EPARSE, "law", "expected parabolic, power, linear-parabolic or logarithmic" },
    /* what is missing */
    { "\"steel\"", "\"Steel\"", OXT_EPARSE, "steel", "lacks 'steel'" },
    { "\"description\"", "\"d\"", OXT_EPARSE, "description", "lacks 'description'" },
    { "\"law\"", "\"l\"", OXT_EPARSE, "law", "lacks 'law'" },
    { "\"k_ref_nm2_per_s\"", "\"k\"", OXT_EPARSE, "k_ref_nm2_per_s", "lacks 'k_ref_nm2_per_s'" },
    { "\"dof\"", "\"d\"", OXT_EPARSE, "dof", "lacks 'dof'" },
    { "\"dof\"", "\"scatter_dof\": -1, \"dof\"", OXT_EDOMAIN, "scatter_dof", "at least 0" },
    { "\"dof\"", "\"scatter_dof\": \"\", \"dof\"", OXT_EPARSE, "scatter_dof", "a number" },
    { "\"trial_count\"", "\"t\"", OXT_EPARSE, "trial_count", "lacks 'trial_count'" },
    { "\"oxtint_card\"", "\"card\"", OXT_EPARSE, "oxtint_card", "not the card of a steel" },
    { "\"major\"", "\"m\"", OXT_EPARSE, "oxtint_card", "not the card of a steel" },
    { "\"minor\": 4", "\"minor\": \"2\"", OXT_EPARSE, "oxtint_card", "not the card of a steel" },
    /* what is there twice, or too much */
    { "\"law\"", "\"law\": \"parabolic\", \"law\"", OXT_EPARSE, "text", "duplicate" },
    { "\"parabolic\"", "\"parabolic\" \"parabolic\"", OXT_EPARSE, "text", "damaged at line" },
    /* versions */
    { "\"major\": 1", "\"major\": 2", OXT_EVERSION, "major", "the card has format 2" },
    { "\"major\": 1", "\"major\": 0", OXT_EVERSION, "major", "reads format 1" },
    { "\"major\": 1", "\"major\": 99999999999999999999", OXT_EPARSE, "text", "integer" },
    /* values */
    { "\"variance_ln_k\": ", "\"variance_ln_k\": -", OXT_EDOMAIN, "variance_ln_k", "at least 0" },
    { "\"k_ref_nm2_per_s\": ", "\"k_ref_nm2_per_s\": -", OXT_EDOMAIN, "k_ref_nm2_per_s",
      "above 0" },
    { "\"bath_low_K\": ", "\"bath_low_K\": 9", OXT_EDOMAIN, "bath_high_K", "bath_high_K is 616.5" },
    { "\"scatter\": ", "\"scatter\": 1e999, \"x\": ", OXT_EPARSE, "text", "overflow" },
    { "\"scatter\": ", "\"scatter\": NaN, \"x\": ", OXT_EPARSE, "text", "damaged at line" },
    { "-47.", "-4700.", OXT_EDOMAIN, "covariance_J_per_mol", "geometric mean of the variances" },
    { "Alder 1", "", OXT_EARG, "steel", "steel is empty" },
    { "Alder 1", "an alloy whose name goes on and on and on until it is too long!!", OXT_EDOMAIN,
      "steel", "longer than 63 bytes" },
    { "Alder 1", "Alder\\u0000 1", OXT_EPARSE, "text", "damaged at line" },
    { "Alder 1", "Alder\xFF", OXT_EPARSE, "text", "damaged at line" },
};

Test(steel, each_damage_is_named)
{
    oxt_error error = OXT_ERROR_INIT;
    for (size_t i = 0; i < sizeof edits / sizeof edits[0]; i++) {
        char *text = edited_card(edits[i].from, edits[i].to);
        oxt_steel *steel = (oxt_steel *)&error;
        FAILS(oxt_steel_load(&steel, NULL, text, strlen(text), &error), edits[i].status);
        cr_assert_null(steel);
        cr_assert_str_eq(error.parameter, edits[i].parameter, "%s", error.text);
        SAYS(edits[i].words);
        free(text);
    }
}

/* The line of the damage, for the person who edited the card by hand. */
Test(steel, the_line_of_the_damage_is_told)
{
    oxt_error error = OXT_ERROR_INIT;
    char *text = edited_card("\"finish\"", "finish");
    oxt_steel *steel;
    FAILS(oxt_steel_load(&steel, NULL, text, strlen(text), &error), OXT_EPARSE);
    size_t line = 1;
    for (const char *at = text; at < strstr(text, "  finish"); at++)
        line += *at == '\n';
    cr_assert_eq(error.row, line);
    free(text);
}

Test(steel, texts_that_are_no_card)
{
    static const char *const texts[] = { "",     "Alder 1", "5",     "[]",   "{}",    "null",
                                         "{ }x", "{]",      "\"x\"", "\xFF", "{\"a\"" };
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
        card_fails(texts[i], strlen(texts[i]), OXT_EPARSE, "card");
    enum { DEEP = 100000 };
    char *deep = malloc(DEEP);
    memset(deep, '[', DEEP);
    card_fails(deep, DEEP, OXT_EPARSE, "damaged");
    free(deep);
    enum { LONG = (1 << 20) + 1 }; /* docs/understand/reliability.md: up to 1 MiB */
    char *blanks = malloc(LONG);
    memset(blanks, ' ', LONG);
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel;
    FAILS(oxt_steel_load(&steel, NULL, blanks, LONG, &error), OXT_EPARSE);
    cr_assert_str_eq(error.parameter, "length");
    FAILS(oxt_steel_load(&steel, NULL, blanks, LONG - 1, &error), OXT_EPARSE);
    cr_assert_str_neq(error.parameter, "length");
    free(blanks);
}

/* A newer minor version may add members; they are passed over. */
Test(steel, a_newer_minor_version_is_read)
{
    oxt_error error = OXT_ERROR_INIT;
    char *text = edited_card("\"minor\": 4\n  },", "\"minor\": 7, \"patch\": 3\n  },\n"
                                                   "  \"salt\": { \"name\": [1, 2, null] },\n"
                                                   "  \"n\": 2.5,");
    oxt_steel *steel;
    OK(oxt_steel_load(&steel, NULL, text, strlen(text), &error));
    oxt_steel_values read = values_of_steel(steel), values = some_values();
    check_same(&read, &values);
    oxt_steel_free(steel);
    free(text);
}

/* A card of the first minor version, which had no history. */
Test(steel, an_older_minor_version_is_read)
{
    oxt_error error = OXT_ERROR_INIT;
    char *text = edited_card("\"minor\": 4", "\"minor\": 0");
    oxt_steel *steel;
    OK(oxt_steel_load(&steel, NULL, text, strlen(text), &error));
    oxt_steel_values read = values_of_steel(steel), values = some_values();
    check_same(&read, &values);
    cr_assert_eq(values_of_steel(steel).change_count, 0);
    oxt_steel_free(steel);
    free(text);
}

/* A whole number may stand for a real one, as when a card is written by hand. */
Test(steel, whole_numbers_are_numbers)
{
    oxt_error error = OXT_ERROR_INIT;
    char *text = edited_card("\"dof\": 10.0", "\"dof\": 11");
    oxt_steel *steel;
    OK(oxt_steel_load(&steel, NULL, text, strlen(text), &error));
    cr_assert_eq(values_of_steel(steel).dof, 11.0);
    oxt_steel_free(steel);
    free(text);
}

/* ---- files ---- */

static void file_fails(const char *path, oxt_status status, const char *words)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel = (oxt_steel *)&error;
    FAILS(oxt_steel_load(&steel, path, NULL, 0, &error), status);
    cr_assert_null(steel);
    SAYS(words);
    SAYS(path);
}

Test(steel, files_that_are_no_card)
{
    file_fails(TEST_SCRATCH "/no such card.json", OXT_EIO, "No such file");
    file_fails(TEST_SCRATCH, OXT_EIO, "directory");
    file_fails(scratch_file("empty.json", "", 0), OXT_EPARSE, "damaged");
    file_fails(scratch_file("damaged.json", "{\n\"a\": }", 8), OXT_EPARSE, "damaged at line 2");
    const char *log = "steel,bath_F,time_s,colour\nAlder 1,650,60,blue\n";
    file_fails(scratch_file("log.json", log, strlen(log)), OXT_EPARSE,
               "this is no card: it begins with 'steel,bath_F,time_s,colour'");
    const char *remark = "# of the shop\nsteel,bath_F,time_s,colour\n";
    file_fails(scratch_file("log.json", remark, strlen(remark)), OXT_EPARSE,
               "this is no card: it begins with '# of the shop'");
    const char *newer = "{\"oxtint_card\":{\"major\":2,\"minor\":0}}";
    file_fails(scratch_file("version.json", newer, strlen(newer)), OXT_EVERSION, "format 2");
    size_t large = (1 << 20) + 1;
    char *spaces = malloc(large);
    memset(spaces, ' ', large);
    file_fails(scratch_file("large.json", spaces, large), OXT_EPARSE, "larger than 1048576 bytes");
    free(spaces);
    file_fails("/dev/zero", OXT_EPARSE, "larger than 1048576 bytes"); /* has no end */
}

/* ---- values in memory ---- */

static void values_fail(const oxt_steel_values *values, oxt_status status, const char *parameter)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel = (oxt_steel *)&error;
    FAILS(oxt_steel_new(&steel, values, &error), status);
    cr_assert_null(steel);
    cr_assert_str_eq(error.parameter, parameter, "%s", error.text);
}

/* Each number of a steel, and a value next to its range. */
typedef struct {
    size_t offset;
    const char *name;
    double wrong;
} number;

#define NUMBER(field, wrong)                             \
    {                                                    \
        offsetof(oxt_steel_values, field), #field, wrong \
    }
#define GROWTH(field, wrong)                                    \
    {                                                           \
        offsetof(oxt_steel_values, growth.field), #field, wrong \
    }

static const number numbers[] = {
    GROWTH(k_ref_nm2_per_s, 0.0),
    GROWTH(T_ref_K, 0.0),
    GROWTH(Q_J_per_mol, -1.0),
    NUMBER(variance_ln_k, -1e-9),
    NUMBER(covariance_J_per_mol, 258.1),
    NUMBER(variance_Q_J2_per_mol2, -1.0),
    NUMBER(scatter, -0.01),
    NUMBER(dof, 0.0),
    NUMBER(bath_low_K, 0.0),
    NUMBER(bath_high_K, 560.8),
    NUMBER(thickness_low_nm, 0.0),
    NUMBER(thickness_high_nm, 14.0),
};

Test(steel, numbers_out_of_range_are_refused)
{
    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++) {
        const double wrong[] = { numbers[i].wrong, NAN, HUGE_VAL, -HUGE_VAL };
        for (int j = 0; j < 4; j++) {
            oxt_steel_values values = some_values();
            *(double *)((char *)&values + numbers[i].offset) = wrong[j];
            values_fail(&values, OXT_EDOMAIN, numbers[i].name);
        }
    }
}

Test(steel, other_values_out_of_range_are_refused)
{
    oxt_steel_values values = some_values();
    values.steel[0] = '\0';
    values_fail(&values, OXT_EARG, "steel");
    values = some_values();
    memset(values.finish, 'x', sizeof values.finish);
    values_fail(&values, OXT_EARG, "finish");
    values = some_values();
    strcpy(values.origin, "\xFF");
    values_fail(&values, OXT_EPARSE, "origin");
    values = some_values();
    values.growth.law = (oxt_law)4;
    values_fail(&values, OXT_EARG, "law");
    values = some_values();
    values.growth.law = OXT_LAW_POWER;
    values.growth.middle_nm = 40.0;
    values.growth.shape = 0.9;
    values_fail(&values, OXT_EDOMAIN, "shape");
    values = some_values();
    values.growth.struct_size = 0;
    values_fail(&values, OXT_EARG, "growth");
    values = some_values();
    values.struct_size = 0;
    values_fail(&values, OXT_EARG, "values");
    values = some_values();
    values.trial_count = SIZE_MAX; /* more than a card can hold */
    values_fail(&values, OXT_EDOMAIN, "trial_count");
}

/* A card names baths: their cautions are those of the coldest and the hottest, for a salt not stated. The
 * limits: 240 C, where plain nitrates freeze; 538 C, common practice, no source. */
Test(steel, cautions_of_its_baths)
{
    oxt_steel_values values = some_steel();
    const double baths_K[][2] = { { 560.0, 620.0 }, { 510.0, 620.0 }, { 560.0, 812.0 } };
    const uint32_t more[] = { 0, OXT_CAUTION_FREEZING, OXT_CAUTION_ABOVE_WORKING };
    for (size_t i = 0; i < 3; i++) {
        values.bath_low_K = baths_K[i][0];
        values.bath_high_K = baths_K[i][1];
        oxt_steel *steel = steel_of(&values);
        cr_assert_eq(values_of_steel(steel).cautions, (UNSTATED_BATH) | more[i]);
        oxt_steel_free(steel);
    }
}
