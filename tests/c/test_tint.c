/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>
#include <string.h>

#include "base/internal.h"
#include "optics.h"
#include "support.h"

static oxt_tint band(int index)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_tint tint = OXT_TINT_INIT;
    OK(oxt_tint_band(default_film(), index, &tint, &error));
    return tint;
}

static oxt_tint named(const char *name)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_tint tint = OXT_TINT_INIT;
    OK(oxt_tint_find(default_film(), name, &tint, &error));
    return tint;
}

static void lab_at(double thickness_nm, double lab[3])
{
    oxt_error error = OXT_ERROR_INIT;
    OK(oxt_film_colour(default_film(), OXT_SPACE_LAB, thickness_nm, lab, NULL, &error));
}

static double difference(const double lab1[3], const double lab2[3])
{
    oxt_error error = OXT_ERROR_INIT;
    double found;
    OK(oxt_delta_e2000(1, lab1, 0, lab2, 0, &found, NULL, &error));
    return found;
}

static double difference_between(double thickness1_nm, double thickness2_nm)
{
    double lab1[3], lab2[3];
    lab_at(thickness1_nm, lab1);
    lab_at(thickness2_nm, lab2);
    return difference(lab1, lab2);
}

/* ---- the bands ---- */

/* docs/reference/tint.md: what ends each band, walking up in thickness. */
typedef struct {
    enum { FROM_BARE, SHARE_OF_LARGEST, PAST_STRAW, AT_HUE } by;
    double at;
} band_end;

static const band_end ends[OXT_TINT_COUNT] = {
    { FROM_BARE, 3.0 },         { SHARE_OF_LARGEST, 0.146 },
    { SHARE_OF_LARGEST, 0.35 }, { PAST_STRAW, 6.2 },
    { AT_HUE, 30.0 },           { AT_HUE, 310.0 },
    { AT_HUE, 287.0 },          { AT_HUE, 267.0 },
    { AT_HUE, 245.0 },          { AT_HUE, 125.0 },
    { AT_HUE, 70.0 },           { AT_HUE, 345.0 },
    { AT_HUE, 305.0 },          { AT_HUE, 235.0 },
    { AT_HUE, 100.0 },
};

enum { WALK_STEPS = 4000 };
static const double WALK_NM = 0.1;

/* The default film by characteristic matrices over the published tables: difference from bare steel and
 * hue at every step. */
typedef struct {
    double bare[WALK_STEPS], hue[WALK_STEPS], most;
} walk;

static void walk_up(walk *made)
{
    double first[3], lab[3];
    made->most = 0.0;
    daylight_lab_by_matrices(OXT_ILLUMINANT_D65, 0.0, first);
    for (int i = 0; i < WALK_STEPS; i++) {
        daylight_lab_by_matrices(OXT_ILLUMINANT_D65, WALK_NM * i, lab);
        made->bare[i] = difference(first, lab);
        made->hue[i] = atan2(lab[2], lab[1]) * 180.0 / 3.14159265358979323846;
        made->most = fmax(made->most, made->bare[i]);
    }
}

/* How far past its end a band is; hues fall from yellow, 90, through red, 0, to blue and green. */
static double past(const walk *on, const band_end *end, double straw, int i)
{
    switch (end->by) {
    case FROM_BARE:
        return on->bare[i] - end->at;
    case SHARE_OF_LARGEST:
        return on->bare[i] - end->at * on->most;
    case PAST_STRAW:
        return remainder(straw - end->at - on->hue[i], 360.0);
    default:
        return remainder(end->at - on->hue[i], 360.0);
    }
}

/* Measured: all fifteen within 0.0005 nm. A change of the optics must raise the version in the film's
 * description, since cards carry thicknesses read with it. */
Test(tint, edges_are_those_of_the_published_tables)
{
    static walk on;
    oxt_error error = OXT_ERROR_INIT;
    char words[128];
    walk_up(&on);
    double straw = 0.0;
    for (int i = 0, from = 0; i < OXT_TINT_COUNT; i++) {
        int step = from;
        while (step + 1 < WALK_STEPS && past(&on, &ends[i], straw, step) < 0.0)
            step++;
        cr_assert(step > 0 && step + 1 < WALK_STEPS, "%s has no end", band(i).label);
        double before = past(&on, &ends[i], straw, step - 1),
               here = past(&on, &ends[i], straw, step);
        NEAR(band(i).high_nm, WALK_NM * (step - here / (here - before)), 0.001);
        if (strcmp(band(i).name, "straw") == 0) /* where the hue is yellowest before it turns */
            for (int j = from; j <= step; j++)
                straw = fmax(straw, on.hue[j]);
        from = step;
    }
    OK(oxt_film_description(default_film(), words, sizeof words, NULL, &error));
    cr_assert(strstr(words, "optics 1") != NULL);
}

/* By definition (tint.h): from 0 on without gap or overlap; the centre is the geometric mean,
 * that of "bright" bare steel. */
static void check_bands_touch(const oxt_film *film)
{
    oxt_error error = OXT_ERROR_INIT;
    double end_nm = 0.0;
    for (int i = 0; i < OXT_TINT_COUNT; i++) {
        oxt_tint tint = OXT_TINT_INIT;
        OK(oxt_tint_band(film, i, &tint, &error));
        cr_assert(tint.index == i && tint.low_nm == end_nm && tint.high_nm > tint.low_nm);
        cr_assert(tint.order == (i < 10 ? 1 : 2));
        if (i == 0)
            cr_assert_eq(tint.centre_nm, 0.0);
        else
            CLOSE(tint.centre_nm * tint.centre_nm, tint.low_nm * tint.high_nm, 1e-14);
        end_nm = tint.high_nm;
    }
}

/* Without gap or overlap on any film; a film too faded for a name may leave its band empty, and then
 * thickness never finds it. */
static int check_bands(const oxt_film *film)
{
    oxt_error error = OXT_ERROR_INIT;
    double end_nm = 0.0;
    int empty = 0;
    for (int i = 0; i < OXT_TINT_COUNT; i++) {
        oxt_tint tint = OXT_TINT_INIT, found = OXT_TINT_INIT;
        OK(oxt_tint_band(film, i, &tint, &error));
        cr_assert(tint.low_nm == end_nm && tint.high_nm >= tint.low_nm);
        cr_assert(tint.centre_nm >= tint.low_nm && tint.centre_nm <= tint.high_nm);
        end_nm = tint.high_nm;
        if (tint.high_nm == tint.low_nm) {
            empty++;
            continue;
        }
        OK(oxt_tint_at(film, tint.low_nm, &found, &error));
        cr_assert(found.index == i, "%s at %g nm is %s", tint.label, tint.low_nm, found.label);
        OK(oxt_tint_at(film, 0.5 * (tint.low_nm + tint.high_nm), &found, &error));
        cr_assert_eq(found.index, i);
    }
    cr_assert(end_nm > 150.0 && end_nm <= 280.0, "the second order ends at %g nm", end_nm);
    return empty;
}

static int bands_of(oxt_film_options *options)
{
    int empty = 0;
    for (int grade = OXT_FINISH_MIRROR; grade <= OXT_FINISH_MATTE; grade++) {
        oxt_film *film = film_of_grade((oxt_finish)grade, options);
        empty += check_bands(film);
        oxt_film_free(film);
    }
    return empty;
}

/* Every finish, dry and oiled, with absorption 0 to 5 and in every light. */
Test(tint, bands_touch_on_every_film)
{
    check_bands_touch(default_film());
    int empty = 0;
    for (double scale = 0.0; scale <= 5.0; scale += 1.25)
        for (int oiled = 0; oiled < 2; oiled++) {
            oxt_film_options options = OXT_FILM_OPTIONS_INIT;
            options.absorption_scale = scale;
            options.coat_index = oiled ? OXT_OIL_INDEX : 0.0;
            empty += bands_of(&options);
        }
    for (int light = OXT_ILLUMINANT_D50; light <= OXT_ILLUMINANT_LED_V1; light++) {
        oxt_film_options options = OXT_FILM_OPTIONS_INIT;
        options.illuminant = (oxt_illuminant)light;
        options.observer = light % 2 ? OXT_OBSERVER_1964_10_DEGREE : OXT_OBSERVER_1931_2_DEGREE;
        cr_assert_eq(bands_of(&options), 0);
        options.coat_index = OXT_OIL_INDEX;
        cr_assert_eq(bands_of(&options), 0);
    }
    cr_assert(empty < 20, "%d", empty);
}

/* The order of the trade's temper colours (see temper_colours.csv), then the second order of
 * interference colours, whose names are common practice, no source. */
Test(tint, names_come_in_the_order_of_the_trade)
{
    static const char *const labels[OXT_TINT_COUNT] = {
        "bright",
        "faint straw",
        "straw",
        "dark straw",
        "brown",
        "purple",
        "dark blue",
        "blue",
        "light blue",
        "silver",
        "second-order yellow",
        "second-order red",
        "second-order purple",
        "second-order blue",
        "second-order green",
    };
    for (int i = 0; i < OXT_TINT_COUNT; i++) {
        cr_assert_str_eq(band(i).label, labels[i]);
        const char *name = band(i).order == 2 ? labels[i] + strlen("second-order ") : labels[i];
        cr_assert_str_eq(band(i).name, name);
    }
}

typedef struct {
    double temperature_K, thickness_nm;
} temper_row;

/* The rows of one table of temper_colours.csv, with the thickness of the band that each name is. */
static size_t temper_table(const char *wanted, temper_row rows[16])
{
    FILE *file = fopen(TEST_DATA "/temper_colours.csv", "r");
    cr_assert_not_null(file);
    char line[512], table_name[8], printed[64], name[64];
    double fahrenheit;
    size_t count = 0;
    while (fgets(line, sizeof line, file)) {
        if (sscanf(line, "%7[^,],%lf,%63[^,],%63[^,\n]", table_name, &fahrenheit, printed, name) !=
            4)
            continue;
        if (strcmp(table_name, wanted) != 0)
            continue;
        cr_assert(count < 16);
        rows[count].temperature_K = (fahrenheit + 459.67) / 1.8;
        rows[count++].thickness_nm = named(name).centre_nm;
    }
    fclose(file);
    return count;
}

static void check_temper_table(const char *name, size_t expected)
{
    temper_row rows[16];
    size_t count = temper_table(name, rows);
    cr_assert_eq(count, expected);
    for (size_t i = 1; i < count; i++) {
        cr_assert(rows[i].temperature_K > rows[i - 1].temperature_K);
        cr_assert(rows[i].thickness_nm >= rows[i - 1].thickness_nm);
    }
    cr_assert(rows[0].thickness_nm < 10.0 && rows[count - 1].thickness_nm > 90.0);
    /* Equal times at each temperature: ln x^2 falls along a line in 1/T with slope -Q/R. */
    double n = (double)count, sx = 0, sy = 0, sxx = 0, sxy = 0, syy = 0;
    for (size_t i = 0; i < count; i++) {
        double x = 1.0 / rows[i].temperature_K, y = 2.0 * log(rows[i].thickness_nm);
        sx += x;
        sy += y;
        sxx += x * x;
        sxy += x * y;
        syy += y * y;
    }
    double spread_x = sxx - sx * sx / n, spread_y = syy - sy * sy / n, both = sxy - sx * sy / n;
    double Q = -both / spread_x * OXT_GAS_CONSTANT_J_PER_MOL_K;
    cr_assert(Q > 71.3e3 && Q < 133.9e3, "%s: apparent Q %.1f kJ/mol", name, Q / 1e3);
    cr_assert(both * both / (spread_x * spread_y) > 0.95, "%s is no straight line", name);
}

/* W. H. Dooley, Applied Science for Metal Workers; F. H. Colvin and K. A. Juthe, The Working of
 * Steel, average of several tables: hotter is a later colour. Read as tempers of equal time they give
 * apparent activation energies of 91 and 96 kJ/mol, between two published ones: 71.3 kJ/mol for mild
 * steel in molten sodium-potassium nitrate (Baraka et al., British Corrosion Journal, 1976; citation
 * from memory) and 133.9 kJ/mol (32 kcal/mol) for iron in oxygen above 200 C (Graham, Ali and Cohen,
 * National Research Council Canada, 1969). */
Test(tint, published_temper_tables_are_in_order)
{
    check_temper_table("D1", 10);
    check_temper_table("C1", 8);
}

static oxt_film *surface(oxt_finish grade, double coat_index)
{
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    options.coat_index = coat_index;
    return film_of_grade(grade, &options);
}

/* CIEDE2000 from the centre of a band to that of the next, against the white of the film's light. */
static double step_to(const oxt_film *film, int index)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_tint here = OXT_TINT_INIT, next = OXT_TINT_INIT;
    double lab1[3], lab2[3];
    OK(oxt_tint_band(film, index, &here, &error));
    OK(oxt_tint_band(film, index + 1, &next, &error));
    OK(oxt_film_colour(film, OXT_SPACE_LAB, here.centre_nm, lab1, NULL, &error));
    OK(oxt_film_colour(film, OXT_SPACE_LAB, next.centre_nm, lab2, NULL, &error));
    return difference(lab1, lab2);
}

/* Neighbours must differ enough to be told apart: CIEDE2000 about 1 can just be seen (common
 * practice, no source). Measured from bright to faint straw, and the least of all other steps:
 * mirror 5.3 and 10.1, satin 5.3 and 9.8, matte 5.1 and 8.8; oiled 4.4 and 5.7, 4.3 and 5.3, 4.0 and
 * 4.2. */
Test(tint, neighbours_can_be_told_apart)
{
    static const struct {
        oxt_finish grade;
        double coat_index, first, least;
    } surfaces[] = {
        { OXT_FINISH_MIRROR, 0.0, 5.3, 10.0 },
        { OXT_FINISH_SATIN, 0.0, 5.2, 9.7 },
        { OXT_FINISH_MATTE, 0.0, 5.0, 8.7 },
        { OXT_FINISH_MIRROR, OXT_OIL_INDEX, 4.3, 5.6 },
        { OXT_FINISH_SATIN, OXT_OIL_INDEX, 4.2, 5.2 },
        { OXT_FINISH_MATTE, OXT_OIL_INDEX, 3.9, 4.1 },
    };
    for (int i = 0; i < 6; i++) {
        oxt_film *film = surface(surfaces[i].grade, surfaces[i].coat_index);
        cr_assert(step_to(film, 0) >= surfaces[i].first, "%d: %g", i, step_to(film, 0));
        for (int j = 1; j + 1 < OXT_TINT_COUNT; j++)
            cr_assert(step_to(film, j) >= surfaces[i].least, "%d, %s: %g", i, band(j).label,
                      step_to(film, j));
        oxt_film_free(film);
    }
}

/* The hue turns one way from straw to green: yellow (90), red (0), blue (270), green (100), and again. */
Test(tint, hue_turns_one_way)
{
    double before = HUGE_VAL, turned = 0.0, hue = 0.0;
    for (double x = 24.0; x <= band(OXT_TINT_COUNT - 1).high_nm; x += 0.1) {
        double lab[3];
        lab_at(x, lab);
        hue = atan2(lab[2], lab[1]) * 180.0 / 3.14159265358979323846;
        if (x > 24.0) {
            double step = remainder(before - hue, 360.0);
            cr_assert(step > 0.0, "the hue turns back at %g nm", x);
            turned += step;
        }
        before = hue;
    }
    NEAR(turned, 360.0 + 350.0, 3.0); /* from 90 to 100 degrees, the second time round */
}

/* What the trade means by the names (common practice, no source): the hue at each centre. */
Test(tint, centres_have_the_colour_of_their_name)
{
    static const struct {
        const char *name;
        double hue_low, hue_high;
    } hues[] = {
        { "straw", 85, 100 },
        { "brown", 30, 86 },
        { "purple", 300, 350 },
        { "blue", 260, 290 },
        { "light blue", 240, 270 },
        { "second-order yellow", 80, 110 },
        { "second-order red", 0, 40 },
        { "second-order purple", 300, 340 },
        { "second-order blue", 250, 290 },
        { "second-order green", 110, 200 },
    };
    double lab[3];
    for (size_t i = 0; i < sizeof hues / sizeof hues[0]; i++) {
        lab_at(named(hues[i].name).centre_nm, lab);
        double hue = atan2(lab[2], lab[1]) * 180.0 / 3.14159265358979323846;
        hue += hue < 0.0 ? 360.0 : 0.0;
        cr_assert(hue >= hues[i].hue_low && hue <= hues[i].hue_high, "%s: %g", hues[i].name, hue);
    }
    /* silver is the palest of the colours behind the straws */
    lab_at(named("silver").centre_nm, lab);
    double pale = hypot(lab[1], lab[2]);
    for (int i = 4; i < OXT_TINT_COUNT; i++) {
        lab_at(band(i).centre_nm, lab);
        if (i != named("silver").index)
            cr_assert(hypot(lab[1], lab[2]) > 2.0 * pale, "%s", band(i).label);
    }
}

/* ---- from thickness to name and back ---- */

Test(tint, name_at_every_thickness)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_tint tint = OXT_TINT_INIT;
    double end_nm = band(OXT_TINT_COUNT - 1).high_nm;
    for (int i = 0; i < OXT_TINT_COUNT; i++) {
        OK(oxt_tint_at(default_film(), band(i).centre_nm, &tint, &error));
        cr_assert_eq(tint.index, i);
        OK(oxt_tint_at(default_film(), band(i).low_nm, &tint, &error));
        cr_assert_eq(tint.index, i); /* a band begins where the one before ends */
    }
    for (double x = 0.0; x < end_nm; x += 0.37) {
        OK(oxt_tint_at(default_film(), x, &tint, &error));
        cr_assert(x >= tint.low_nm && x < tint.high_nm);
    }
    OK(oxt_tint_at(default_film(), end_nm, &tint, &error));
    cr_assert_eq(tint.index, OXT_TINT_COUNT - 1);
    static const double bad[] = { -1e-9, NAN, INFINITY, 231.0 };
    for (int i = 0; i < 4; i++) {
        FAILS(oxt_tint_at(default_film(), bad[i], &tint, &error), OXT_EDOMAIN);
        SAYS("end of the second order");
    }
    FAILS(oxt_tint_band(default_film(), -1, &tint, &error), OXT_EARG);
    FAILS(oxt_tint_band(default_film(), OXT_TINT_COUNT, &tint, &error), OXT_EARG);
}

Test(tint, every_label_reads_back)
{
    for (int i = 0; i < OXT_TINT_COUNT; i++) {
        cr_assert_eq(named(band(i).label).index, i);
        char words[64];
        snprintf(words, sizeof words, "%s (%s order)", band(i).name,
                 band(i).order == 1 ? "first" : "second");
        cr_assert_eq(named(words).index, i);
        snprintf(words, sizeof words, "%s order %s", band(i).order == 1 ? "1st" : "2nd",
                 band(i).name);
        cr_assert_eq(named(words).index, i);
    }
}

Test(tint, spelling_does_not_matter)
{
    static const struct {
        const char *text, *label;
    } same[] = {
        { "BLUE", "blue" },
        { "  Dark   Straw\t", "dark straw" },
        { "dark-straw", "dark straw" },
        { "dark_straw", "dark straw" },
        { "Second-Order Blue", "second-order blue" },
        { "blue, second order", "second-order blue" },
        { "blue(2nd order)", "second-order blue" },
        { "2nd-order_green", "second-order green" },
        { "first order purple", "purple" },
        { "green", "second-order green" },
        { "red", "second-order red" },
        { "yellow", "straw" },
        { "first order yellow", "straw" },
        { "second order yellow", "second-order yellow" },
        { "darkblue", "dark blue" },
        { "dark-blue", "dark blue" },
        { "2nd blue", "second-order blue" },
        { "second blue", "second-order blue" },
        { "blue second", "second-order blue" },
        { "2ndorderblue", "second-order blue" },
        { "second order straw", "second-order yellow" },
        { "second gold", "second-order yellow" },
        { "second order violet", "second-order purple" },
        { "first order violet", "purple" },
    };
    for (size_t i = 0; i < sizeof same / sizeof same[0]; i++)
        cr_assert_str_eq(named(same[i].text).label, same[i].label);
}

/* Common practice, no source. */
Test(tint, other_words_of_the_trade)
{
    static const struct {
        const char *text, *label;
    } same[] = {
        { "light straw", "faint straw" }, { "Pale Straw", "faint straw" }, { "gold", "straw" },
        { "straw-yellow", "straw" },      { "deep straw", "dark straw" },  { "bronze", "brown" },
        { "violet", "purple" },           { "Dark Purple", "purple" },     { "full blue", "blue" },
        { "deepblue", "dark blue" },      { "pale blue", "light blue" },   { "grey", "silver" },
        { "gray blue", "light blue" },    { "blue gray", "silver" },       { "bare", "bright" },
    };
    for (size_t i = 0; i < sizeof same / sizeof same[0]; i++)
        cr_assert_str_eq(named(same[i].text).label, same[i].label, "%s", same[i].text);
    /* a synonym has its second meaning like the name itself, and gold is straw outright */
    cr_assert_str_eq(band(named("violet").other_index).label, "second-order purple");
    cr_assert_eq(named("gold").other_index, -1);
}

Test(tint, a_slip_is_asked_back)
{
    static const struct {
        const char *text, *meant;
    } slips[] = {
        { "bleu", "'blue'" },
        { "bluee", "'blue'" },
        { "blu", "'blue'" },
        { "purpel", "'purple'" },
        { "strwa", "'straw'" },
        { "lihgt blue", "'light blue'" },
        { "voilet", "'violet'" },
        { "dark sraw", "'dark straw'" },
        { "birght", "'bright'" },
        { "sliver", "'silver'" },
        { "second order bleu", "'second-order blue'" },
        { "b\xC3\xBC"
          "e",
          NULL },
        { "mauve", NULL },
        { "pink", NULL },
        { "xx", NULL },
    };
    oxt_error error = OXT_ERROR_INIT;
    oxt_tint tint = OXT_TINT_INIT;
    for (size_t i = 0; i < sizeof slips / sizeof slips[0]; i++) {
        FAILS(oxt_tint_find(default_film(), slips[i].text, &tint, &error), OXT_EPARSE);
        if (slips[i].meant)
            SAYS("; did you mean ");
        SAYS(slips[i].meant ? slips[i].meant : "faint straw, straw, dark straw");
    }
}

/* By hand; a swap of neighbours counts once (Damerau 1964). */
Test(tint, edits_are_counted)
{
    static const struct {
        const char *a, *b;
        size_t edits;
    } cases[] = {
        { "", "", 0 },          { "blue", "blue", 0 },      { "", "blue", 4 },
        { "blue", "", 4 },      { "bleu", "blue", 1 },      { "bue", "blue", 1 },
        { "bluee", "blue", 1 }, { "blae", "blue", 1 },      { "lbeu", "blue", 2 },
        { "ca", "abc", 3 },     { "kitten", "sitting", 3 },
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++)
        cr_assert_eq(oxt_i_edits(cases[i].a, cases[i].b), cases[i].edits, "%s %s", cases[i].a,
                     cases[i].b);
}

Test(tint, texts_that_are_no_trade_name)
{
    static const char *const bad[] = {
        "",
        "  ",
        "mauve",
        "dark",
        "strawdark",
        "straw dark",
        "blue blue",
        "order",
        "first order",
        "third order blue",
        "first order red",
        "first order green",
        "second order dark blue",
        "second order silver",
        "blue first order second order",
        "blue; second order",
        "a colour whose name is longer than any that the trade ever had for steel",
        ("bl\xC3\xBC"
         "e"),
        "57 nm",
        "#2b3a67",
    };
    oxt_error error = OXT_ERROR_INIT;
    oxt_tint tint = OXT_TINT_INIT;
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        FAILS(oxt_tint_find(default_film(), bad[i], &tint, &error), OXT_EPARSE);
        cr_assert(strstr(error.text, "did you mean '") ||
                      strstr(error.text, "faint straw, straw, dark straw"),
                  "%s", error.text); /* the message names the nearest, or lists what there is */
    }
}

/* Purple, blue and yellow occur in both orders; each band knows the other, and nothing else has one. */
Test(tint, names_of_both_orders_are_ambiguous)
{
    int pairs = 0;
    for (int i = 0; i < OXT_TINT_COUNT; i++) {
        int other = band(i).other_index;
        bool twice = strcmp(band(i).name, "purple") == 0 || strcmp(band(i).name, "blue") == 0 ||
                     strcmp(band(i).name, "yellow") == 0;
        cr_assert_eq(other >= 0, twice, "%s", band(i).label);
        pairs += twice;
        if (!twice)
            continue;
        cr_assert_neq(band(other).order, band(i).order);
        if (strcmp(band(i).name, "yellow") != 0)
            cr_assert(strcmp(band(other).name, band(i).name) == 0 && band(other).other_index == i);
    }
    cr_assert_eq(pairs, 5);
    cr_assert_str_eq(band(named("blue").other_index).label, "second-order blue");
    cr_assert_str_eq(band(named("purple").other_index).label, "second-order purple");
    cr_assert_str_eq(band(named("yellow").other_index).label, "second-order yellow");
    cr_assert_str_eq(band(named("second-order yellow").other_index).label, "straw");
    cr_assert_eq(named("straw").other_index, -1); /* said outright */
    cr_assert_eq(named("first-order yellow").other_index, -1);
}

/* ---- targets ---- */

Test(tint, target_from_name_is_the_band)
{
    oxt_error error = OXT_ERROR_INIT;
    for (int i = 1; i < OXT_TINT_COUNT; i++) {
        oxt_target target = OXT_TARGET_INIT, parsed = OXT_TARGET_INIT;
        char words[128];
        OK(oxt_tint_target(default_film(), band(i).label, &target, &error));
        cr_assert(target.aim_nm == band(i).centre_nm && target.low_nm == band(i).low_nm &&
                  target.high_nm == band(i).high_nm && target.order == band(i).order);
        cr_assert_str_eq(target.text, band(i).label);
        OK(oxt_film_description(default_film(), words, sizeof words, NULL, &error));
        cr_assert_str_eq(target.description, words);
        if (band(i).other_index < 0)
            cr_assert(isnan(target.other_nm));
        else
            cr_assert_eq(target.other_nm, band(band(i).other_index).centre_nm);
        OK(oxt_tint_target(default_film(), band(i).label, &parsed, &error));
        cr_assert(parsed.aim_nm == target.aim_nm && parsed.high_nm == target.high_nm);
    }
    oxt_target target = OXT_TARGET_INIT;
    FAILS(oxt_tint_target(default_film(), "bright", &target, &error), OXT_EDOMAIN);
    FAILS(oxt_tint_target(default_film(), "mauve", &target, &error), OXT_EPARSE);
}

/* The colour of a film is a target that leads back to it, in either order; its bounds are where the
 * colour has changed by the tolerance. Below 0.3 nm nothing is to be seen. */
Test(tint, target_from_lab_finds_the_thickness)
{
    oxt_error error = OXT_ERROR_INIT;
    double end_nm = band(OXT_TINT_COUNT - 1).high_nm, second_nm = band(10).low_nm;
    for (double x = 0.317; x < end_nm; x += 0.731) {
        oxt_target target = OXT_TARGET_INIT, again = OXT_TARGET_INIT;
        int order = x < second_nm ? 1 : 2;
        double lab[3];
        lab_at(x, lab);
        OK(oxt_tint_target_of_lab(default_film(), lab, 2.0, 0, &target, &error));
        NEAR(target.aim_nm, x, x < 3.0 ? 1e-3 : 1e-4); /* the spline is loosest at its end */
        cr_assert_eq(target.order, order);
        cr_assert(target.low_nm < x && x < target.high_nm);
        if (target.low_nm > 0.0)
            NEAR(difference_between(target.low_nm, x), 2.0, 1e-3);
        NEAR(difference_between(target.high_nm, x), 2.0, 1e-3);
        cr_assert(difference_between(0.5 * (x + target.high_nm), x) < 2.0);
        OK(oxt_tint_target_of_lab(default_film(), lab, 2.0, order, &again, &error));
        cr_assert(again.aim_nm == target.aim_nm && again.low_nm == target.low_nm);
    }
}

/* The same colour in the other order is told of, and taken when its order is asked for. */
Test(tint, target_from_lab_knows_the_other_order)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_target first = OXT_TARGET_INIT, second = OXT_TARGET_INIT;
    double lab[3];
    lab_at(57.0, lab);
    OK(oxt_tint_target_of_lab(default_film(), lab, 10.0, 1, &first, &error));
    OK(oxt_tint_target_of_lab(default_film(), lab, 10.0, 2, &second, &error));
    NEAR(first.aim_nm, 57.0, 1e-4);
    cr_assert(first.order == 1 && second.order == 2);
    cr_assert_eq(first.other_nm, second.aim_nm);
    cr_assert_eq(second.other_nm, first.aim_nm);
    cr_assert(second.aim_nm > band(13).low_nm && second.aim_nm < band(13).high_nm); /* blue */
    OK(oxt_tint_target_of_lab(default_film(), lab, 0.5, 1, &first, &error));
    cr_assert(isnan(first.other_nm));
    FAILS(oxt_tint_target_of_lab(default_film(), lab, 0.5, 2, &second, &error), OXT_EUNREACHABLE);
    SAYS("second order");
}

/* No film has the colours of paint. The message says how near one comes, checked here by search. */
Test(tint, unreachable_colour_says_how_near_one_comes)
{
    static const double colours[][3] = {
        { 50, -80, 80 }, { 100, 0, 0 }, { 0, 0, 0 }, { 50, 90, 0 }, { 90, 0, 60 }
    };
    oxt_error error = OXT_ERROR_INIT;
    for (size_t i = 0; i < sizeof colours / sizeof colours[0]; i++)
        for (int order = 0; order <= 2; order++) {
            oxt_target target = OXT_TARGET_INIT;
            double from_nm = order == 2 ? band(10).low_nm : 0.0, nearest = HUGE_VAL;
            double to_nm = order == 1 ? band(9).high_nm : band(14).high_nm, said_nm, said;
            for (double x = from_nm; x < to_nm; x += 0.05) {
                double lab[3];
                lab_at(x, lab);
                nearest = fmin(nearest, difference(colours[i], lab));
            }
            FAILS(oxt_tint_target_of_lab(default_film(), colours[i], 5.0, order, &target, &error),
                  OXT_EUNREACHABLE);
            const char *place = strstr(error.text, "the nearest, at ");
            cr_assert_not_null(place, "%s", error.text);
            cr_assert_eq(sscanf(place, "the nearest, at %lf nm, is %lf away", &said_nm, &said), 2,
                         "%s", error.text);
            NEAR(error.value, nearest, 0.3); /* within a step of 0.5 nm */
            NEAR(said, error.value, 0.05);   /* three digits */
            cr_assert(said_nm >= from_nm - 0.5 && said_nm <= to_nm + 0.5);
            /* with just enough tolerance the same film is found */
            OK(oxt_tint_target_of_lab(default_film(), colours[i], error.value + 1e-6, order,
                                      &target, &error));
            NEAR(target.aim_nm, said_nm, 0.5);
        }
}

Test(tint, target_from_lab_refuses_nonsense)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_target target = OXT_TARGET_INIT;
    const double grey[3] = { 50.0, 0.0, 0.0 };
    static const double bad[][3] = { { -1, 0, 0 },   { 101, 0, 0 },   { NAN, 0, 0 },
                                     { 50, 201, 0 }, { 50, 0, -201 }, { 50, 0, INFINITY } };
    for (int i = 0; i < 6; i++)
        FAILS(oxt_tint_target_of_lab(default_film(), bad[i], 2.0, 0, &target, &error), OXT_EDOMAIN);
    FAILS(oxt_tint_target_of_lab(default_film(), grey, 0.0, 0, &target, &error), OXT_EDOMAIN);
    FAILS(oxt_tint_target_of_lab(default_film(), grey, NAN, 0, &target, &error), OXT_EDOMAIN);
    FAILS(oxt_tint_target_of_lab(default_film(), grey, 2.0, 3, &target, &error), OXT_EARG);
    FAILS(oxt_tint_target_of_lab(default_film(), grey, 2.0, -1, &target, &error), OXT_EARG);
}

Test(tint, target_from_thickness_is_taken_as_it_is)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_target target = OXT_TARGET_INIT;
    OK(oxt_tint_target_of_thickness(57.0, 50.0, 60.0, &target, &error));
    cr_assert(target.aim_nm == 57.0 && target.low_nm == 50.0 && target.high_nm == 60.0);
    cr_assert(isnan(target.other_nm) && target.order == 0);
    cr_assert_str_eq(target.text, "57 nm");
    cr_assert_str_eq(target.description, "");
    OK(oxt_tint_target_of_thickness(1000.0, 0.0, 1000.0, &target, &error));
    static const double bad[][3] = { { 0, 0, 0 },      { -5, -6, 7 },   { 1001, 5, 1001 },
                                     { 57, 58, 60 },   { 57, 50, 56 },  { 57, -1, 60 },
                                     { 57, 50, 1001 }, { NAN, 50, 60 }, { 57, NAN, 60 },
                                     { 57, 50, NAN } };
    for (int i = 0; i < 10; i++)
        FAILS(oxt_tint_target_of_thickness(bad[i][0], bad[i][1], bad[i][2], &target, &error),
              OXT_EDOMAIN);
}

/* A thickness as typed at the bench has bounds 5 % to either side (tint.h). */
Test(tint, target_parse_reads_thicknesses)
{
    oxt_error error = OXT_ERROR_INIT;
    static const struct {
        const char *text;
        double aim_nm;
    } good[] = { { "57 nm", 57.0 },     { " 57nm", 57.0 },  { "0.057 um", 57.0 },
                 { "1000 nm", 1000.0 }, { "1 um", 1000.0 }, { "0.001 mm", 1000.0 },
                 { "0.3 nm", 0.3 } };
    for (size_t i = 0; i < sizeof good / sizeof good[0]; i++) {
        oxt_target target = OXT_TARGET_INIT;
        OK(oxt_tint_target(default_film(), good[i].text, &target, &error));
        CLOSE(target.aim_nm, good[i].aim_nm, 1e-14);
        CLOSE(target.low_nm, 0.95 * good[i].aim_nm, 1e-14);
        CLOSE(target.high_nm, fmin(1.05 * good[i].aim_nm, 1000.0), 1e-14);
    }
    static const struct {
        const char *text;
        oxt_status status;
    } bad[] = { { "57", OXT_EUNIT },       { "57 s", OXT_EUNIT },      { "0 nm", OXT_EDOMAIN },
                { "-57 nm", OXT_EDOMAIN }, { "1001 nm", OXT_EDOMAIN }, { "57 mm", OXT_EDOMAIN },
                { "", OXT_EPARSE },        { "nm", OXT_EPARSE },       { "bright", OXT_EDOMAIN },
                { "nan nm", OXT_EPARSE },  { "#12345", OXT_EPARSE },   { "1st", OXT_EPARSE } };
    oxt_target first = OXT_TARGET_INIT;
    OK(oxt_tint_target(default_film(), "1st blue", &first, &error)); /* a number is no thickness */
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        oxt_target target = OXT_TARGET_INIT;
        FAILS(oxt_tint_target(default_film(), bad[i].text, &target, &error), bad[i].status);
    }
}

/* The sRGB of a film, rounded to bytes, leads back to about that film, or to a film of the first
 * order with a like colour; what no screen shows (clipped) is left out. */
Test(tint, target_parse_reads_srgb)
{
    oxt_error error = OXT_ERROR_INIT;
    int first_instead = 0;
    for (double x = 10.0; x < 230.0; x += 1.3) {
        oxt_target target = OXT_TARGET_INIT;
        double srgb[3], lab[3], found[3];
        char text[8];
        int clipped;
        OK(oxt_film_colour(default_film(), OXT_SPACE_SRGB, x, srgb, &clipped, &error));
        if (clipped)
            continue;
        OK(oxt_format_srgb(srgb, text, sizeof text, NULL, &error));
        OK(oxt_tint_target(default_film(), text, &target, &error));
        lab_at(x, lab);
        lab_at(target.aim_nm, found);
        if (fabs(target.aim_nm - x) > 0.5) {
            cr_assert(target.order == 1 && x > band(10).low_nm, "%g nm gave %g", x, target.aim_nm);
            cr_assert(difference(lab, found) < 10.5);
            NEAR(target.other_nm, x, 0.5);
            first_instead++;
        } else {
            cr_assert(difference(lab, found) < 0.5);
        }
    }
    cr_assert(first_instead > 3 && first_instead < 30, "%d", first_instead);
    oxt_target target = OXT_TARGET_INIT;
    FAILS(oxt_tint_target(default_film(), "#00ff00", &target, &error), OXT_EUNREACHABLE);
}

/* What a screen shows of a film in the light of a workshop leads back to that film in that light. */
Test(tint, target_parse_reads_srgb_in_every_light)
{
    oxt_error error = OXT_ERROR_INIT;
    for (int light = OXT_ILLUMINANT_D50; light <= OXT_ILLUMINANT_LED_V1; light++) {
        oxt_film_options options = OXT_FILM_OPTIONS_INIT;
        options.illuminant = (oxt_illuminant)light;
        oxt_film *film = film_with(&options);
        int read = 0;
        for (double x = 8.0; x < 40.0; x += 1.7) {
            oxt_target target = OXT_TARGET_INIT;
            double srgb[3];
            char text[8];
            int clipped;
            OK(oxt_film_colour(film, OXT_SPACE_SRGB, x, srgb, &clipped, &error));
            if (clipped)
                continue;
            OK(oxt_format_srgb(srgb, text, sizeof text, NULL, &error));
            OK(oxt_tint_target(film, text, &target, &error));
            NEAR(target.aim_nm, x, 0.5);
            read++;
        }
        cr_assert(read > 5, "%d of light %d", read, light);
        oxt_film_free(film);
    }
}
