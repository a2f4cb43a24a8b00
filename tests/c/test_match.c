/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Colour -> thickness, all films of it. */
#include <string.h>

#include "optics.h"
#include "support.h"

enum { ROOM = 16 };

typedef struct {
    oxt_match matches[ROOM];
    size_t count;
    oxt_match_verdict verdict;
} answer;

static answer match_on(const oxt_film *film, const double lab[3], const oxt_match_options *options)
{
    oxt_error error = OXT_ERROR_INIT;
    answer got = { .count = 99 };
    for (int i = 0; i < ROOM; i++)
        got.matches[i] = (oxt_match)OXT_MATCH_INIT;
    OK(oxt_film_match(film, lab, options, ROOM, got.matches, &got.count, &got.verdict, &error));
    cr_assert(got.count < ROOM);
    cr_assert_eq(got.verdict, got.count == 0   ? OXT_MATCH_OFF_PATH
                              : got.count == 1 ? OXT_MATCH_UNIQUE
                                               : OXT_MATCH_AMBIGUOUS);
    return got;
}

static void lab_at(const oxt_film *film, double thickness_nm, double lab[3])
{
    oxt_error error = OXT_ERROR_INIT;
    OK(oxt_film_colour(film, OXT_SPACE_LAB, thickness_nm, lab, NULL, &error));
}

static oxt_match_options chosen(double tolerance, double lightness_factor, double chroma_factor)
{
    oxt_match_options options = OXT_MATCH_OPTIONS_INIT;
    options.tolerance = tolerance;
    options.lightness_factor = lightness_factor;
    options.chroma_factor = chroma_factor;
    return options;
}

static double band_end(const oxt_film *film, int index)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_tint tint = OXT_TINT_INIT;
    OK(oxt_tint_band(film, index, &tint, &error));
    return tint.high_nm;
}

/* What every answer holds: nearest first, each inside its own stretch, no two in one. */
static void check_answer(const oxt_film *film, const answer *got, double tolerance)
{
    for (size_t i = 0; i < got->count; i++) {
        const oxt_match *m = &got->matches[i];
        cr_assert(m->low_nm <= m->thickness_nm && m->thickness_nm <= m->high_nm &&
                  m->low_nm >= 0.0);
        cr_assert(m->high_nm <= 280.0);
        NEAR(m->uncertainty_nm, 0.5 * (m->high_nm - m->low_nm), 1e-12);
        cr_assert(m->difference >= got->matches[0].difference - 1e-12);
        cr_assert(m->difference <= got->matches[0].difference + tolerance);
        cr_assert_eq(m->order, m->thickness_nm > band_end(film, 14)  ? 0
                               : m->thickness_nm < band_end(film, 9) ? 1
                                                                     : 2);
        for (size_t j = 0; j < i; j++)
            cr_assert(m->thickness_nm < got->matches[j].low_nm ||
                      m->thickness_nm > got->matches[j].high_nm);
    }
}

/* The film whose thickness is looked for; NULL when it is not among the matches. */
static const oxt_match *found_at(const answer *got, double thickness_nm, double within_nm)
{
    for (size_t i = 0; i < got->count; i++)
        if (fabs(got->matches[i].thickness_nm - thickness_nm) <= within_nm)
            return &got->matches[i];
    return NULL;
}

/* ---- round trip ---- */

/* On four films, with Lab from the prepared path, so that the colour is one of it exactly: the
 * nearest point is found to 1e-5 nm (film_match.c), over which the colour moves by up to 2e-5. */
Test(match, every_thickness_comes_back_from_its_colour)
{
    oxt_error error = OXT_ERROR_INIT;
    for (int kind = 0; kind < 4; kind++) {
        oxt_film_options options = OXT_FILM_OPTIONS_INIT;
        options.coat_index = kind == 2 ? OXT_OIL_INDEX : 0.0;
        options.illuminant = kind == 3 ? OXT_ILLUMINANT_LED_B3 : OXT_ILLUMINANT_D65;
        oxt_film *film = film_of_grade(kind == 1 ? OXT_FINISH_MATTE : OXT_FINISH_MIRROR, &options);
        for (double x = 3.0; x <= 225.0; x += kind ? 1.37 : 0.317) {
            double lab[3];
            OK(oxt_film_colours(film, OXT_SPACE_PATH_LAB, 1, &x, 0, lab, NULL, NULL, &error));
            answer got = match_on(film, lab, NULL);
            check_answer(film, &got, 3.0);
            const oxt_match *own = found_at(&got, x, 1e-3);
            cr_assert(own != NULL, "%g nm is not found again", x);
            cr_assert(own == &got.matches[0] && own->difference < 5e-5, "%g: %g", x,
                      own->difference);
            cr_assert(own->low_nm < x && x < own->high_nm);
        }
        oxt_film_free(film);
    }
}

/* From the full computation, whose colour lies off the path by its bound. */
Test(match, a_computed_colour_finds_its_film)
{
    for (double x = 3.0; x <= 280.0; x += 0.713) {
        double lab[3];
        lab_at(default_film(), x, lab);
        answer got = match_on(default_film(), lab, NULL);
        const oxt_match *own = found_at(&got, x, 5e-3);
        cr_assert(own && own->difference < 2e-3, "%g nm", x);
    }
}

/* ---- verdicts ---- */

/* The blues of 57 and 173 nm are alike to about 2: told apart by an instrument, not by the eye. Dark
 * straw has a colour of its own. */
Test(match, verdict_depends_on_how_well_the_colour_is_known)
{
    double lab[3];
    oxt_match_options sure = chosen(1.0, 1.0, 1.0), vague = chosen(12.0, 1.0, 1.0);
    lab_at(default_film(), 57.0, lab);
    answer got = match_on(default_film(), lab, &sure);
    cr_assert(got.verdict == OXT_MATCH_UNIQUE && got.matches[0].order == 1);
    got = match_on(default_film(), lab, &vague);
    check_answer(default_film(), &got, 12.0);
    cr_assert(got.verdict == OXT_MATCH_AMBIGUOUS && got.matches[0].order == 1);
    NEAR(got.matches[0].thickness_nm, 57.0, 1e-3);
    const oxt_match *second = &got.matches[1];
    cr_assert(second->order == 2 && second->thickness_nm > band_end(default_film(), 12) &&
              second->thickness_nm < band_end(default_film(), 13)); /* second-order blue */
    lab_at(default_film(), 27.0, lab);
    cr_assert_eq(match_on(default_film(), lab, NULL).verdict, OXT_MATCH_UNIQUE);
}

/* Colours of paint. They are on the path once the reach is wide enough. */
Test(match, colours_of_no_film_are_off_the_path)
{
    static const double paints[][3] = {
        { 50.0, -80.0, 80.0 }, { 90.0, -60.0, 60.0 }, { 0.0, 0.0, 0.0 }, { 95.0, 60.0, 60.0 }
    };
    for (int i = 0; i < 4; i++) {
        oxt_match_options options = OXT_MATCH_OPTIONS_INIT;
        answer got = match_on(default_film(), paints[i], NULL);
        cr_assert(got.verdict == OXT_MATCH_OFF_PATH && got.count == 0);
        options.reach = 1000.0;
        got = match_on(default_film(), paints[i], &options);
        cr_assert(got.count > 0 && got.matches[0].difference > 15.0);
        check_answer(default_film(), &got, 3.0);
    }
}

/* Against a search of the whole path in small steps: no nearer film is overlooked. */
Test(match, no_film_is_nearer_than_the_first_match)
{
    oxt_error error = OXT_ERROR_INIT;
    for (int i = 0; i < 60; i++) {
        const double lab[3] = { 20.0 + 60.0 * chance(), 120.0 * chance() - 60.0,
                                120.0 * chance() - 60.0 };
        double nearest = HUGE_VAL, found;
        for (double x = 0.0; x <= 280.0; x += 0.25) {
            double here[3];
            lab_at(default_film(), x, here);
            OK(oxt_delta_e2000(1, lab, 0, here, 0, &found, NULL, &error));
            nearest = fmin(nearest, found);
        }
        answer got = match_on(default_film(), lab, NULL);
        check_answer(default_film(), &got, 3.0);
        if (got.count == 0)
            cr_assert(nearest > 15.0 - 0.3, "%g", nearest);
        else
            NEAR(got.matches[0].difference, nearest, 0.15);
        cr_assert(got.count == 0 || got.matches[0].difference <= nearest + 2e-3);
    }
}

/* ---- uncertainty ---- */

/* The stretch ends where the colour has moved by the tolerance, and grows with it. */
Test(match, uncertainty_grows_with_the_tolerance)
{
    static const double places_nm[] = { 10.0, 30.0, 57.0, 120.0, 160.0, 200.0 };
    oxt_error error = OXT_ERROR_INIT;
    for (int i = 0; i < 6; i++) {
        double lab[3], before = 0.0, found;
        lab_at(default_film(), places_nm[i], lab);
        for (double tolerance = 0.5; tolerance <= 8.0; tolerance *= 2.0) {
            oxt_match_options options = chosen(tolerance, 1.0, 1.0);
            answer got = match_on(default_film(), lab, &options);
            const oxt_match *m = found_at(&got, places_nm[i], 5e-3);
            cr_assert(m && m->uncertainty_nm > before, "%g nm: %g", places_nm[i], tolerance);
            before = m->uncertainty_nm;
            double ends_nm[2] = { m->low_nm, m->high_nm };
            for (int j = 0; j < 2; j++) {
                double end[3];
                if (ends_nm[j] == 0.0)
                    continue;
                lab_at(default_film(), ends_nm[j], end);
                OK(oxt_delta_e2000(1, lab, 0, end, 0, &found, NULL, &error));
                NEAR(found, tolerance, 5e-3);
            }
        }
    }
}

/* ---- colours that are known in part ---- */

/* A photograph with the wrong exposure: L* off by 15 either way. */
Test(match, lightness_may_be_left_out)
{
    oxt_match_options options = chosen(3.0, 1e9, 1.0);
    for (double x = 8.0; x <= 225.0; x += 1.3)
        for (int way = -1; way <= 1; way += 2) {
            double lab[3];
            lab_at(default_film(), x, lab);
            lab[0] += 15.0 * way;
            if (lab[0] < 0.0)
                continue;
            answer got = match_on(default_film(), lab, &options);
            const oxt_match *m = found_at(&got, x, 0.05);
            cr_assert(m && m->difference < 1e-2, "%g nm", x);
        }
}

/* A film that has lost half its colour and its lightness still has its hue: among the answers is one
 * with the hue of the whole film, at its thickness. */
Test(match, hue_alone_may_count)
{
    oxt_match_options options = chosen(3.0, 1e9, 1e9);
    int found = 0, asked = 0;
    for (double x = 26.0; x <= 225.0; x += 1.3) {
        double lab[3];
        lab_at(default_film(), x, lab);
        lab[0] = 50.0;
        lab[1] *= 0.5;
        lab[2] *= 0.5;
        answer got = match_on(default_film(), lab, &options);
        bool is_there = found_at(&got, x, 3.0) != NULL;
        /* Up to straw two films of one hue lie in one stretch, of which the answer is one. */
        for (size_t i = 0; i < got.count && !is_there; i++)
            is_there = got.matches[i].low_nm <= x && x <= got.matches[i].high_nm;
        asked++;
        found += is_there;
        cr_assert(got.count > 0);
    }
    cr_assert(found == asked, "%d of %d", found, asked);
}

/* ---- room ---- */

Test(match, room_for_fewer_takes_the_nearest)
{
    oxt_error error = OXT_ERROR_INIT;
    double lab[3];
    oxt_match_options vague = chosen(12.0, 1.0, 1.0);
    lab_at(default_film(), 57.0, lab);
    answer all = match_on(default_film(), lab, &vague);
    cr_assert(all.count >= 2);
    oxt_match one[2] = { OXT_MATCH_INIT, OXT_MATCH_INIT }, before;
    memcpy(&before, &one[1], sizeof before);
    size_t count = 0;
    oxt_match_verdict verdict = OXT_MATCH_OFF_PATH;
    OK(oxt_film_match(default_film(), lab, &vague, 1, one, &count, &verdict, &error));
    cr_assert(count == all.count && verdict == OXT_MATCH_AMBIGUOUS);
    cr_assert(one[0].thickness_nm == all.matches[0].thickness_nm);
    cr_assert_eq(memcmp(&before, &one[1], sizeof before), 0);
    count = 0;
    OK(oxt_film_match(default_film(), lab, &vague, 0, NULL, &count, &verdict, &error));
    cr_assert(count == all.count && verdict == OXT_MATCH_AMBIGUOUS);
}

/* A program built with a later oxtint has larger structs in its array. */
Test(match, larger_structs_are_stepped_over)
{
    oxt_error error = OXT_ERROR_INIT;
    struct {
        oxt_match known;
        double more[3];
    } larger[2];
    double lab[3];
    size_t count;
    oxt_match_verdict verdict;
    oxt_match_options vague = chosen(12.0, 1.0, 1.0);
    lab_at(default_film(), 57.0, lab);
    answer all = match_on(default_film(), lab, &vague);
    memset(larger, 0x5A, sizeof larger);
    larger[0].known.struct_size = larger[1].known.struct_size = sizeof larger[0];
    OK(oxt_film_match(default_film(), lab, &vague, 2, &larger[0].known, &count, &verdict, &error));
    for (int i = 0; i < 2; i++) {
        cr_assert_eq(larger[i].known.thickness_nm, all.matches[i].thickness_nm);
        cr_assert_eq(larger[i].known.struct_size, sizeof larger[0]);
        unsigned char bytes[sizeof larger[i].more];
        memcpy(bytes, larger[i].more, sizeof bytes);
        for (size_t j = 0; j < sizeof bytes; j++)
            cr_assert_eq(bytes[j], 0x5A);
    }
    /* one that was not started: nothing is written, not even the first */
    oxt_match pair[2] = { OXT_MATCH_INIT, OXT_MATCH_INIT };
    pair[1].struct_size = 0;
    pair[0].thickness_nm = -7.0;
    FAILS(oxt_film_match(default_film(), lab, &vague, 2, pair, &count, &verdict, &error), OXT_EARG);
    cr_assert_eq(pair[0].thickness_nm, -7.0);
}

Test(match, nonsense_is_refused)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_match match = OXT_MATCH_INIT;
    size_t count = 77;
    oxt_match_verdict verdict = OXT_MATCH_UNIQUE;
    static const double bad[][3] = { { -1, 0, 0 },   { 101, 0, 0 },   { NAN, 0, 0 },
                                     { 50, 201, 0 }, { 50, 0, -201 }, { 50, 0, INFINITY } };
    static const double grey[3] = { 50.0, 0.0, 0.0 };
    for (int i = 0; i < 6; i++) {
        FAILS(oxt_film_match(default_film(), bad[i], NULL, 1, &match, &count, &verdict, &error),
              OXT_EDOMAIN);
        cr_assert_str_eq(error.parameter, "lab");
    }
    static const struct {
        const char *parameter;
        size_t offset;
        double bad[3];
    } numbers[] = {
        { "tolerance", offsetof(oxt_match_options, tolerance), { 0.0, -1.0, NAN } },
        { "reach", offsetof(oxt_match_options, reach), { 0.0, NAN, INFINITY } },
        { "lightness_factor", offsetof(oxt_match_options, lightness_factor), { 0.99, 0.0, NAN } },
        { "chroma_factor", offsetof(oxt_match_options, chroma_factor), { 0.5, -1.0, INFINITY } },
    };
    for (int i = 0; i < 4; i++)
        for (int j = 0; j < 3; j++) {
            oxt_match_options options = OXT_MATCH_OPTIONS_INIT;
            memcpy((char *)&options + numbers[i].offset, &numbers[i].bad[j], sizeof(double));
            FAILS(oxt_film_match(default_film(), grey, &options, 1, &match, &count, &verdict,
                                 &error),
                  OXT_EDOMAIN);
            cr_assert_str_eq(error.parameter, numbers[i].parameter);
        }
    FAILS(oxt_film_match(default_film(), grey, NULL, 1, NULL, &count, &verdict, &error), OXT_EARG);
    FAILS(oxt_film_match(default_film(), grey, NULL, 1, &match, NULL, &verdict, &error), OXT_EARG);
    FAILS(oxt_film_match(default_film(), grey, NULL, 1, &match, &count, NULL, &error), OXT_EARG);
    FAILS(oxt_film_match(NULL, grey, NULL, 1, &match, &count, &verdict, &error), OXT_EARG);
    cr_assert(count == 77 && verdict == OXT_MATCH_UNIQUE && match.thickness_nm == 0.0);
}
