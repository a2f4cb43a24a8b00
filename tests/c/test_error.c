/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _GNU_SOURCE

#include <fenv.h>
#include <string.h>

#include "api.h"
#include "failing.h"
#include "support.h"
#include "base/internal.h"

/* ---- what the failing calls work with ---- */

#define NOWHERE TEST_SCRATCH "/no/such/directory/file"
#define NEWER_CARD "{\"oxtint_card\": {\"major\": 2, \"minor\": 0}}"

static oxt_film_options absorption = OXT_FILM_OPTIONS_INIT;
static oxt_growth growth;
static oxt_target target = OXT_TARGET_INIT;
static oxt_steel_values nameless = OXT_STEEL_VALUES_INIT;
static const double three[3] = { 2.0, 2.0, 2.0 }, dark[3] = { 0.0, 0.0, 0.0 },
                    nothing[3] = { NAN, NAN, NAN };
static const oxt_film *film;
static oxt_trials *trials, *few, *one_bath;
static oxt_fit *fit;
static oxt_steel *steel;
static oxt_track *tracker;

/* Where the results would go: begins like any struct of oxtint, and is otherwise a pattern. */
#define RESULT_BYTES 4096
static union {
    size_t struct_size;
    unsigned char bytes[RESULT_BYTES];
    double numbers[RESULT_BYTES / sizeof(double)];
} results;
static void *result = &results;
static double *number = results.numbers;
static char text[64];

static void prepare_results(void)
{
    memset(&results, 0x5A, sizeof results);
    results.struct_size = RESULT_BYTES;
}

static void prepare(void)
{
    oxt_error error = OXT_ERROR_INIT;
    absorption.absorption_scale = 9.0;
    growth = growth_of(12.0, 573.15, 80e3);
    film = default_film();
    trials = new_log();
    few = new_log();
    one_bath = new_log();
    for (int i = 0; i < 4; i++) {
        add_thickness(trials, 560.0 + 10.0 * i, 120.0, 30.0 + 6.0 * i + (i == 2));
        add_thickness(one_bath, 573.15, 60.0 * (i + 1), 20.0 * sqrt(i + 1.0));
    }
    add_thickness(few, 573.15, 60.0, 30.0);
    OK(oxt_tint_target(film, "blue", &target, &error));
    OK(oxt_fit_run(&fit, trials, film, NULL, &error));
    OK(oxt_fit_steel(fit, &steel, &error));
    OK(oxt_track_new(&tracker, steel, film, &target, NULL, &error));
    prepare_results();
}

static void clear(void)
{
    oxt_track_free(tracker);
    oxt_steel_free(steel);
    oxt_fit_free(fit);
    oxt_trials_free(trials);
    oxt_trials_free(few);
    oxt_trials_free(one_bath);
}

#define DEFINE(status, name, call)              \
    static oxt_status name##_(oxt_error *error) \
    {                                           \
        return call;                            \
    }
FAILING_CALLS(DEFINE)
#undef DEFINE

static const struct {
    oxt_status status;
    oxt_status (*call)(oxt_error *);
    const char *text;
} failing[] = {
#define LIST(status, name, call) { status, name##_, #call },
    FAILING_CALLS(LIST)
#undef LIST
};

#define FAILING_COUNT (sizeof failing / sizeof failing[0])

/* ---- status and caution ---- */

/* A contract: programs and files may hold these numbers, so they never change. */
Test(error, status_values_are_pinned)
{
    static const struct {
        int status, value;
        const char *name;
    } pinned[] = {
        { OXT_OK, 0, "OXT_OK" },
        { OXT_EARG, -1, "OXT_EARG" },
        { OXT_EDOMAIN, -2, "OXT_EDOMAIN" },
        { OXT_EUNIT, -3, "OXT_EUNIT" },
        { OXT_EPARSE, -4, "OXT_EPARSE" },
        { OXT_EFEW, -5, "OXT_EFEW" },
        { OXT_EIDENT, -6, "OXT_EIDENT" },
        { OXT_ENOCONV, -7, "OXT_ENOCONV" },
        { OXT_EUNREACHABLE, -8, "OXT_EUNREACHABLE" },
        { OXT_EVERSION, -9, "OXT_EVERSION" },
        { OXT_EIO, -10, "OXT_EIO" },
        { OXT_ENOMEM, -11, "OXT_ENOMEM" },
        { OXT_ESPACE, -12, "OXT_ESPACE" },
        { OXT_EBUG, -13, "OXT_EBUG" },
        { OXT_ECANCEL, -14, "OXT_ECANCEL" },
        { OXT_EEXIST, -15, "OXT_EEXIST" },
    };
    size_t count = sizeof pinned / sizeof pinned[0];
    for (size_t i = 0; i < count; i++) {
        cr_assert_eq(pinned[i].status, pinned[i].value, "%s", pinned[i].name);
        cr_assert_str_eq(oxt_status_name(pinned[i].value), pinned[i].name);
    }
    for (int status = -200; status <= 200; status++)
        cr_assert_eq(strcmp(oxt_status_name(status), "OXT_?") != 0,
                     status <= 0 && status > -(int)count, "%d", status);
}

/* A contract: a status that an older program does not know still has a text. */
Test(error, unknown_numbers_have_texts)
{
    static const int unknown[] = { 1, -16, 4711, -2147483647 - 1, 2147483647 };
    for (size_t i = 0; i < sizeof unknown / sizeof unknown[0]; i++) {
        cr_assert_str_eq(oxt_status_name(unknown[i]), "OXT_?");
    }
    static const uint32_t no_caution[] = { 0, 1073741824, 0x80000000 };
    for (size_t i = 0; i < sizeof no_caution / sizeof no_caution[0]; i++) {
        cr_assert_str_eq(oxt_caution_get(no_caution[i])->name, "OXT_CAUTION_?");
        cr_assert(strlen(oxt_caution_get(no_caution[i])->text) > 3);
    }
}

/* A contract: each caution is one bit of its own with whole sentences of its own. */
Test(error, cautions_are_single_bits)
{
    static const uint32_t cautions[] = {
#define BIT(symbol, bit, kind, lead, brief, more, source) symbol,
        OXT_CAUTION_LIST(BIT)
#undef BIT
    };
    size_t count = sizeof cautions / sizeof cautions[0];
    uint32_t all = 0;
    for (size_t i = 0; i < count; i++) {
        const char *says = oxt_caution_get(cautions[i])->text;
        cr_assert(cautions[i] != 0 && (cautions[i] & (cautions[i] - 1)) == 0);
        cr_assert_eq(all & cautions[i], 0, "%s", oxt_caution_get(cautions[i])->name);
        all |= cautions[i];
        cr_assert_eq(strncmp(oxt_caution_get(cautions[i])->name, "OXT_CAUTION_", 12), 0);
        cr_assert(strchr(says, ' ') && says[strlen(says) - 1] == '.', "'%s'", says);
        cr_assert(strlen(oxt_caution_get(cautions[i])->source) > 10);
        for (size_t j = 0; j < i; j++)
            cr_assert_str_neq(oxt_caution_get(cautions[j])->text, says);
    }
    cr_assert_eq(count, 30);
    cr_assert_eq(all, 0x3FFFFFFF);
}

/* A contract: cards and logs of a program may keep the bits, so they never change. */
Test(error, caution_bits_are_pinned)
{
    cr_assert_eq(OXT_CAUTION_MOLTEN_SALT, 1);
    cr_assert_eq(OXT_CAUTION_SOFTENS, 2);
    cr_assert_eq(OXT_CAUTION_AT_TEMPERATURE, 4);
    cr_assert_eq(OXT_CAUTION_BELOW_MELTING, 8);
    cr_assert_eq(OXT_CAUTION_ABOVE_WORKING, 16);
    cr_assert_eq(OXT_CAUTION_ABOVE_LEGAL, 32);
    cr_assert_eq(OXT_CAUTION_EXTRAPOLATED_BATH, 64);
    cr_assert_eq(OXT_CAUTION_EXTRAPOLATED_FILM, 128);
    cr_assert_eq(OXT_CAUTION_OTHER_ORDER, 256);
    cr_assert_eq(OXT_CAUTION_OTHER_OPTICS, 512);
    cr_assert_eq(OXT_CAUTION_SHORT_WINDOW, 1024);
    cr_assert_eq(OXT_CAUTION_LOOSE_FIT, 2048);
    cr_assert_eq(OXT_CAUTION_ABOVE_MODEL, 4096);
    cr_assert_eq(OXT_CAUTION_WATER, 8192);
    cr_assert_eq(OXT_CAUTION_ORGANICS, 16384);
    cr_assert_eq(OXT_CAUTION_CYANIDES, 32768);
    cr_assert_eq(OXT_CAUTION_LIGHT_METALS, 65536);
    cr_assert_eq(OXT_CAUTION_VENTILATION, 131072);
    cr_assert_eq(OXT_CAUTION_HOT_RINSE, 262144);
    cr_assert_eq(OXT_CAUTION_SAG, 524288);
    cr_assert_eq(OXT_CAUTION_HARDENED, 1048576);
    cr_assert_eq(OXT_CAUTION_NITRITE, 2097152);
    cr_assert_eq(OXT_CAUTION_FREEZING, 4194304);
    cr_assert_eq(OXT_CAUTION_POT, 8388608);
    cr_assert_eq(OXT_CAUTION_DATA_SHEET, 16777216);
    cr_assert_eq(OXT_CAUTION_COUPONS_UNKNOWN, 33554432);
    cr_assert_eq(OXT_CAUTION_UNEVEN, 67108864);
    cr_assert_eq(OXT_CAUTION_OTHER_LAW, 134217728);
    cr_assert_eq(OXT_CAUTION_CRUST, 268435456);
    cr_assert_eq(OXT_CAUTION_BROKEN_PROMISES, 536870912);
}

/* California Code of Regulations, Title 8, section 5188: 1200 F; 1 F = 5/9 K (NIST SP 811). NaNO3/KNO3
 * melts between 220 and 240 C: handbook, from memory. */
Test(error, cautions_state_their_limits_in_both_scales)
{
    cr_assert(strstr(oxt_caution_get(OXT_CAUTION_ABOVE_LEGAL)->brief, "649 C (1200 F)"));
    cr_assert(strstr(oxt_caution_get(OXT_CAUTION_ABOVE_LEGAL)->source, "section 5188(b)(2)"));
    cr_assert(strstr(oxt_caution_get(OXT_CAUTION_ABOVE_WORKING)->text, "538 C (1000 F)"));
    cr_assert(strstr(oxt_caution_get(OXT_CAUTION_BELOW_MELTING)->text, "177 C (350 F)"));
    cr_assert(strstr(oxt_caution_get(OXT_CAUTION_FREEZING)->brief, "220 to 240 C (428 to 464 F)"));
    cr_assert(strstr(oxt_caution_get(OXT_CAUTION_ABOVE_MODEL)->brief, "570 C (1058 F)"));
    cr_assert(strstr(oxt_caution_get(OXT_CAUTION_SAG)->brief, "5 K (9 F)"));
    NEAR((1200.0 - 32.0) * 5.0 / 9.0, 649.0, 0.5);
    NEAR((1000.0 - 32.0) * 5.0 / 9.0, 538.0, 0.5);
    NEAR((350.0 - 32.0) * 5.0 / 9.0, 177.0, 0.5);
    NEAR((428.0 - 32.0) * 5.0 / 9.0, 220.0, 0.5);
    NEAR((464.0 - 32.0) * 5.0 / 9.0, 240.0, 0.5);
    NEAR((1058.0 - 32.0) * 5.0 / 9.0, 570.0, 0.5);
}

/* What must be in the sentences at a bath of molten nitrate. California Code of Regulations, Title 8,
 * section 5188(a)(1) to (6) and (b)(1); DGUV Vorschrift 59, sections 6, 8, 12 and 15; DGUV Regel 109-605,
 * section 3.3; the rest is common practice, no source. */
Test(error, cautions_say_what_matters)
{
    static const struct {
        uint32_t caution;
        const char *lead, *says[7];
    } facts[] = {
        { OXT_CAUTION_HARDENED, "DO NOT DIP: ", { "hardened edge or spring" } },
        { OXT_CAUTION_ABOVE_LEGAL, "DO NOT RUN THIS BATH: ", { "legal maximum" } },
        { OXT_CAUTION_ABOVE_WORKING, "TOO HOT: ", { "breaks down", "do not run" } },
        { OXT_CAUTION_BELOW_MELTING, "TOO COLD: ", { "frozen or slushy" } },
        { OXT_CAUTION_MOLTEN_SALT, "BURNS: ", { "face", "arms, legs and feet", "synthetic" } },
        { OXT_CAUTION_WATER, "WATER: ", { "dry", "hollow", "steam" } },
        { OXT_CAUTION_ORGANICS,
          "OIL AND ORGANICS: ",
          { "oil", "wood", "cloth", "sugar", "graphite", "explode", "never with water" } },
        { OXT_CAUTION_CYANIDES, "CYANIDE: ", { "explodes", "carburising" } },
        { OXT_CAUTION_LIGHT_METALS,
          "MAGNESIUM AND ALUMINIUM: ",
          { "never", "zinc", "titanium", "powder" } },
        { OXT_CAUTION_NITRITE, "NITRITE: ", { "poisonous", "acids", "ammonium salts", "food" } },
        { OXT_CAUTION_VENTILATION, "FUMES: ", { "ventilate", "nitrogen oxides", "hood" } },
        { OXT_CAUTION_POT,
          "POT: ",
          { "cut-out", "sludge", "hot spots", "dry salt", "Cover the pot" } },
        { OXT_CAUTION_HOT_RINSE,
          "QUENCH AND RINSE: ",
          { "in water, away from the bath", "in oil", "before any oil", "hot water" } },
        { OXT_CAUTION_SOFTENS, "HARDENED STEEL: ", { "soft", "edge or spring" } },
        { OXT_CAUTION_DATA_SHEET,
          "ABOVE ALL: ",
          { "data sheet", "local codes", "licensed practice" } },
    };
    for (size_t i = 0; i < sizeof facts / sizeof facts[0]; i++) {
        const char *whole = oxt_caution_get(facts[i].caution)->text;
        const char *brief = oxt_caution_get(facts[i].caution)->brief;
        cr_assert_eq(strncmp(brief, facts[i].lead, strlen(facts[i].lead)), 0, "%s", brief);
        cr_assert_eq(strncmp(whole, brief, strlen(brief)), 0,
                     "the whole begins with the short one");
        for (size_t j = 0; j < 7 && facts[i].says[j]; j++)
            cr_assert(strstr(whole, facts[i].says[j]), "'%s' is not in %s", facts[i].says[j],
                      whole);
    }
}

/* A contract: what forbids a dip is read first, then what is particular to it, then what is always so,
 * each on a line; the data sheet has the last word. */
Test(error, cautions_in_the_order_of_reading)
{
    uint32_t left = UINT32_MAX, seen = 0, one, last = 0;
    int kind = -1, forbidding = 0;
    for (; (one = oxt_caution_get(left)->bit) != 0; left &= ~one) {
        cr_assert(!(seen & one) && (left & one));
        seen |= one;
        last = one;
        cr_assert((int)oxt_caution_get(one)->kind >= kind, "%s", oxt_caution_get(one)->name);
        kind = (int)oxt_caution_get(one)->kind;
        forbidding += kind == OXT_CAUTION_KIND_FORBIDS;
        bool always = (one & (UNSTATED_BATH)) != 0;
        cr_assert_eq(kind == OXT_CAUTION_KIND_BATH, always, "%s", oxt_caution_get(one)->name);
        if (always)
            cr_assert(strlen("  - ") + strlen(oxt_caution_get(one)->brief) <= 78, "%s",
                      oxt_caution_get(one)->brief);
    }
    cr_assert_eq(seen, 0x3FFFFFFF);
    cr_assert_eq(left, ~seen);
    cr_assert_eq(last, OXT_CAUTION_DATA_SHEET);
    cr_assert_eq(forbidding, 3);
    cr_assert_eq(oxt_caution_get(OXT_CAUTION_HARDENED)->kind, OXT_CAUTION_KIND_FORBIDS);
    cr_assert_eq(oxt_caution_get(OXT_CAUTION_ABOVE_WORKING)->kind, OXT_CAUTION_KIND_FORBIDS);
    cr_assert_eq(oxt_caution_get(OXT_CAUTION_ABOVE_LEGAL)->kind, OXT_CAUTION_KIND_FORBIDS);
    cr_assert_eq(oxt_caution_get(0)->bit, 0);
}

Test(error, a_report_of_cautions)
{
    oxt_error error = OXT_ERROR_INIT;
    char brief[4000], whole[8000], other[100];
    const uint32_t some = OXT_CAUTION_WATER | OXT_CAUTION_HARDENED | OXT_CAUTION_SAG;
    OK(oxt_caution_report(some, OXT_CAUTION_BRIEF, brief, sizeof brief, NULL, &error));
    cr_assert_str_eq(
        brief, "Cautions for this case\n"
               "  - DO NOT DIP: this bath would soften the part's hardened edge or spring.\n"
               "  - COLD LOAD: this load cools the bath by more than 5 K (9 F): dip fewer\n"
               "    parts at a time.\n"
               "Cautions for every salt bath\n"
               "  - WATER: dry and preheat all that goes in; nothing hollow with a closed end.\n");
    OK(oxt_caution_report(some, OXT_CAUTION_WHOLE, whole, sizeof whole, NULL, &error));
    cr_assert(strstr(whole, "Trapped water turns to steam at once") && !strstr(brief, "steam"));
    OK(oxt_caution_report(0, OXT_CAUTION_WHOLE, other, sizeof other, NULL, &error));
    cr_assert_str_eq(other, "");
    FAILS(oxt_caution_report(some, (oxt_caution_detail)2, NULL, 0, NULL, &error), OXT_EARG);
    FAILS(oxt_caution_report(some, (oxt_caution_detail)-1, NULL, 0, NULL, &error), OXT_EARG);
}

/* ---- told again ---- */

static const char *told(oxt_error *error, const oxt_given *given, size_t count)
{
    oxt_error_retell(error, given, count);
    return error->text;
}

/* 700 C is 1292 F and 973.15 K, 100 C is 212 F: NIST SP 811. */
Test(error, a_range_in_the_scale_that_was_typed, .init = prepare, .fini = clear)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    const oxt_given typed[] = { { NULL, "--target", "blue" }, { NULL, "--bath", "6500 F" } };
    double bath_K;
    OK(oxt_parse_temperature("6500 F", &bath_K, &error));
    FAILS(oxt_dip_predict(steel, &target, bath_K, NULL, &dip, &error), OXT_EDOMAIN);
    SAYS("bath_K is 3866.48, expected a bath from 100 C to 700 C");
    oxt_error again = error;
    cr_assert_str_eq(told(&again, typed, 2), "--bath 6500 F is out of range (212 to 1292 F)");
    cr_assert_eq(again.status, OXT_EDOMAIN);
    cr_assert_str_eq(again.parameter, "bath_K");
    const oxt_given plain = { NULL, NULL, "6500 F" }, other = { NULL, "bath", "600 F" };
    again = error;
    cr_assert_str_eq(told(&again, &plain, 1), "bath 6500 F is out of range (212 to 1292 F)");
    again = error;
    cr_assert_str_eq(told(&again, &other, 1), error.text); /* not the value at fault */
    OK(oxt_parse_temperature("50 C", &bath_K, &error));
    const oxt_given cold = { NULL, "bath", "50 C" };
    FAILS(oxt_dip_predict(steel, &target, bath_K, NULL, &dip, &error), OXT_EDOMAIN);
    cr_assert_str_eq(told(&error, &cold, 1), "bath 50 C is out of range (100 to 700 C)");
    /* 200 to 1300 K are -99.67 to 1880.33 F (NIST SP 811): in whole degrees, inwards */
    const oxt_given hot = { NULL, "start", "9000 F" };
    oxt_part part = OXT_PART_INIT;
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    part.size_m = 0.002;
    OK(oxt_parse_temperature("9000 F", &part.start_K, &error));
    options.part = &part;
    FAILS(oxt_dip_predict(steel, &target, 600.0, &options, &dip, &error), OXT_EDOMAIN);
    cr_assert_str_eq(told(&error, &hot, 1), "start 9000 F is out of range (-99 to 620 F)");
}

/* By the name that the option has, and the one of several whose text is the value. */
Test(error, durations_lengths_and_differences)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_part part = OXT_PART_INIT;
    oxt_lift lift = OXT_LIFT_INIT;
    oxt_growth rate = OXT_GROWTH_INIT;
    double found, quench_K;
    const oxt_given lifts[] = { { "delay_s", "--coupon-lift", "2 s" },
                                { "delay_s", "--lift", "4000 s" } };
    part.size_m = 0.002;
    lift.delay_s = 4000.0;
    rate.k_ref_nm2_per_s = 30.0;
    rate.T_ref_K = 588.7;
    rate.Q_J_per_mol = 76e3;
    FAILS(oxt_heat_lift_exposure(&rate, &part, &lift, 600.0, &found, &quench_K, &error),
          OXT_EDOMAIN);
    cr_assert_str_eq(told(&error, lifts, 2), "--lift 4000 s is too long (limit 3600 s)");
    const oxt_given size = { "size_m", "part", "90 in" };
    OK(oxt_parse_length("90 in", &part.size_m, &error));
    FAILS(oxt_bath_exposure(&rate, NULL, &part, 0.0, 600.0, 60.0, &found, &error), OXT_EDOMAIN);
    cr_assert_str_eq(told(&error, &size, 1), "part 90 in is too large (limit 39.3701 in)");
    oxt_bath bath = OXT_BATH_INIT;
    const oxt_given off = { NULL, "thermometer_offset_K", "108 F" };
    bath.thermometer_offset_K = 60.0;
    FAILS(oxt_bath_read(&bath, 600.0, &found, NULL, &error), OXT_EDOMAIN);
    cr_assert_str_eq(told(&error, &off, 1),
                     "thermometer_offset_K 108 F is out of range (-90 to 90 F)");
}

/* A range whose lower end is left out. */
Test(error, a_range_above_an_end)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_temper temper = OXT_TEMPER_INIT;
    const oxt_given none = { NULL, "last", "0 s" };
    oxt_temper_options options = OXT_TEMPER_OPTIONS_INIT;
    options.last_K = 500.0;
    FAILS(oxt_temper_dip(600.0, 60.0, &options, &temper, &error), OXT_EDOMAIN);
    cr_assert_str_eq(told(&error, &none, 1), "last 0 s is out of range (above 0, up to 1e+06 s)");
}

/* Limits without an upper end. */
Test(error, what_is_too_low)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_given none = { NULL, "time", "0 s" };
    FAILS(oxt_i_check(&error, "time_s", 0.0, 0.0, HUGE_VAL, OXT_I_OPEN_LOW), OXT_EDOMAIN);
    cr_assert_str_eq(told(&error, &none, 1), "time 0 s is too low (above 0 s)");
}

/* Sentences of more than a value: in the scale of what was typed, or of the session. */
Test(error, other_sentences_in_the_scale_that_was_typed, .init = prepare, .fini = clear)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    oxt_bath_range range = OXT_BATH_RANGE_INIT;
    const oxt_given typed[] = { { NULL, "--low", "640 F" }, { NULL, "--high", "560 F" } };
    OK(oxt_parse_temperature("640 F", &range.low_K, &error));
    OK(oxt_parse_temperature("560 F", &range.high_K, &error));
    FAILS(oxt_plan_baths(steel, &target, &range, NULL, &dip, NULL, NULL, &error), OXT_EDOMAIN);
    SAYS("low_K (337.8 C) must be below high_K (293.3 C)");
    oxt_error again = error;
    cr_assert_str_eq(told(&again, typed, 2), "--low (640 F) must be below --high (560 F)");
    /* what is no temperature has no scale, though it stands first */
    const oxt_given after_a_time[] = { { NULL, "--time", "90 s" }, { NULL, NULL, "F" } };
    cr_assert_str_eq(told(&error, after_a_time, 2), "low_K (640 F) must be below high_K (560 F)");
    range = (oxt_bath_range)OXT_BATH_RANGE_INIT;
    range.longest_s = 1.0;
    OK(oxt_parse_temperature("700 F", &range.high_K, &error));
    FAILS(oxt_plan_baths(steel, &target, &range, NULL, &dip, NULL, NULL, &error), OXT_EUNREACHABLE);
    SAYS("even at 371.1 C ");
    const oxt_given scale = { NULL, NULL, "F" };
    cr_assert(strstr(told(&error, &scale, 1), "even at 700 F "), "%s", error.text);
}

/* 5 K are 9 F and 30 K 54 F apart (NIST SP 811); 560.93 K are 550 F. */
Test(error, differences_in_the_scale_that_was_typed)
{
    oxt_error error = OXT_ERROR_INIT;
    static const oxt_given scales[] = { { NULL, NULL, "F" },
                                        { NULL, NULL, "C" },
                                        { NULL, NULL, "K" } };
    static const char *const says[] = { "(550 F, within 9 F)",   "at least 54 F away",
                                        "(287.8 C, within 5 C)", "at least 30 C away",
                                        "(560.9 K, within 5 K)", "at least 30 K away" };
    oxt_trials *log = new_log();
    oxt_trial late = trial_at(OXT_BATH_LOW_K, 60.0);
    oxt_fit *made;
    for (int i = 0; i < 4; i++)
        add_thickness(log, (550.0 + 459.67) / 1.8, 30.0 + 20.0 * i, 40.0 + 8.0 * i);
    FAILS(oxt_fit_run(&made, log, default_film(), NULL, &error), OXT_EIDENT);
    SAYS("(287.8 C, within 5 K)");
    for (int i = 0; i < 3; i++) {
        oxt_error again = error;
        told(&again, &scales[i], 1);
        for (int j = 0; j < 2; j++)
            cr_assert(strstr(again.text, says[2 * i + j]), "%s", again.text);
    }
    strcpy(late.colour, "blue");
    late.part_size_m = 0.002;
    late.part_start_K = 400.0;
    FAILS(oxt_trials_add(log, &late, NULL, &error), OXT_EDOMAIN);
    SAYS("part_start_K (126.9 C) is above the bath of 100 C");
    oxt_trials_free(log);
}

/* A contract: without an error, without anything typed, or with an old struct nothing happens. */
Test(error, nothing_to_tell_again)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_given typed = { NULL, "bath", "600 F" };
    oxt_error_retell(NULL, &typed, 1);
    oxt_error_retell(&error, &typed, 1);
    cr_assert_str_eq(error.text, "");
    FAILS(oxt_parse_temperature("600", &error.value, &error), OXT_EUNIT);
    oxt_error before = error;
    oxt_error_retell(&error, NULL, 0);
    oxt_error_retell(&error, &typed, 1);
    cr_assert_str_eq(error.text, before.text);
    error.struct_size = 8;
    oxt_error_retell(&error, &typed, 1);
    cr_assert_str_eq(error.text, before.text);
}

/* ---- every call that can fail ---- */

/* The list must not lag behind the headers. */
Test(error, every_call_that_can_fail_is_listed)
{
    api_function functions[400];
    size_t count = api_functions(functions, 400), able = 0;
    for (size_t i = 0; i < count; i++) {
        bool listed = false;
        size_t length = strlen(functions[i].name);
        for (size_t j = 0; j < FAILING_COUNT; j++)
            listed = listed || (strncmp(failing[j].text, functions[i].name, length) == 0 &&
                                failing[j].text[length] == '(');
        cr_assert_eq(listed, functions[i].can_fail, "%s", functions[i].name);
        able += functions[i].can_fail;
    }
    cr_assert(able >= 60);
}

Test(error, filled_by_every_failing_call, .init = prepare, .fini = clear)
{
    for (size_t i = 0; i < FAILING_COUNT; i++) {
        oxt_error error = OXT_ERROR_INIT;
        memset(&error, 0x7F, sizeof error);
        error.struct_size = sizeof error;
        oxt_status status = failing[i].call(&error);
        cr_assert_eq(status, failing[i].status, "%s gave %s", failing[i].text,
                     oxt_status_name(status));
        cr_assert_eq(error.status, status, "%s", failing[i].text);
        cr_assert_eq(error.struct_size, sizeof error);
        cr_assert(memchr(error.text, '\0', sizeof error.text) && strlen(error.text) > 8, "%s",
                  failing[i].text);
        cr_assert(memchr(error.parameter, '\0', sizeof error.parameter) && error.parameter[0],
                  "%s names no parameter: %s", failing[i].text, error.text);
        cr_assert(memchr(error.column, '\0', sizeof error.column) != NULL);
        cr_assert(error.row < 10, "%s leaves the row undefined", failing[i].text);
    }
}

Test(error, null_is_taken_by_every_failing_call, .init = prepare, .fini = clear)
{
    for (size_t i = 0; i < FAILING_COUNT; i++)
        cr_assert_eq(failing[i].call(NULL), failing[i].status, "%s", failing[i].text);
}

/* A host may let floating-point exceptions end the program: calls that fail raise none. */
Test(error, no_failing_call_trips_a_trap, .init = prepare, .fini = clear)
{
#ifdef FE_NOMASK_ENV
    for (size_t i = 0; i < FAILING_COUNT; i++) {
        oxt_error error = OXT_ERROR_INIT;
        feclearexcept(FE_ALL_EXCEPT);
        feenableexcept(FE_INVALID | FE_DIVBYZERO | FE_OVERFLOW);
        oxt_status status = failing[i].call(&error);
        int left = fedisableexcept(FE_ALL_EXCEPT);
        cr_assert_eq(status, failing[i].status, "%s", failing[i].text);
        cr_assert_eq(left & FE_INVALID, FE_INVALID, "%s left traps off", failing[i].text);
        feclearexcept(FE_ALL_EXCEPT);
        feenableexcept(FE_INVALID); /* one alone */
        failing[i].call(&error);
        left = fedisableexcept(FE_ALL_EXCEPT);
        cr_assert_eq(left, FE_INVALID, "%s left the trap off", failing[i].text);
    }
#endif
}

/* A struct without struct_size, or one of an older and smaller kind, is not ours to write to. */
Test(error, uninitialised_error_is_left_alone, .init = prepare, .fini = clear)
{
    static const size_t sizes[] = { 0, 8, sizeof(oxt_error) - 1 };
    for (size_t i = 0; i < FAILING_COUNT; i++)
        for (size_t j = 0; j < sizeof sizes / sizeof sizes[0]; j++) {
            oxt_error error, before;
            memset(&error, 0x33, sizeof error);
            error.struct_size = sizes[j];
            memcpy(&before, &error, sizeof error);
            cr_assert_eq(failing[i].call(&error), failing[i].status, "%s", failing[i].text);
            cr_assert_eq(memcmp(&error, &before, sizeof error), 0, "%s", failing[i].text);
        }
}

/* A program built with a later oxtint may pass a larger struct. */
Test(error, larger_error_keeps_its_size_and_its_end, .init = prepare, .fini = clear)
{
    for (size_t i = 0; i < FAILING_COUNT; i++) {
        struct {
            oxt_error known;
            unsigned char more[24];
        } error;
        memset(&error, 0x44, sizeof error);
        error.known.struct_size = sizeof error;
        cr_assert_eq(failing[i].call(&error.known), failing[i].status, "%s", failing[i].text);
        cr_assert_eq(error.known.status, failing[i].status);
        cr_assert_eq(error.known.struct_size, sizeof error);
        for (size_t j = 0; j < sizeof error.more; j++)
            cr_assert_eq(error.more[j], 0x44, "%s", failing[i].text);
    }
}

/* Only a handle is set, to NULL; everything else stays as it was. */
Test(error, no_result_is_written_by_a_failing_call, .init = prepare, .fini = clear)
{
    unsigned char before[RESULT_BYTES];
    for (size_t i = 0; i < FAILING_COUNT; i++) {
        prepare_results();
        memcpy(before, results.bytes, sizeof before);
        failing[i].call(NULL);
        void *first;
        memcpy(&first, &results, sizeof first);
        size_t from = first == NULL ? sizeof first : 0;
        cr_assert_eq(memcmp(results.bytes + from, before + from, sizeof before - from), 0,
                     "%s wrote a result", failing[i].text);
    }
}

Test(error, handle_is_null_after_a_failure, .init = prepare, .fini = clear)
{
    static oxt_status (*const makers[])(oxt_error *) = {
        film_new_,    material_new_, material_table_,   steel_new_, steel_load_,   steel_load_text_,
        steel_newer_, trials_read_,  trials_read_text_, fit_run_,   fit_one_bath_, fit_steel_,
    };
    for (size_t i = 0; i < sizeof makers / sizeof makers[0]; i++) {
        void *handle;
        prepare_results();
        cr_assert_neq(makers[i](NULL), OXT_OK);
        memcpy(&handle, &results, sizeof handle);
        cr_assert_null(handle, "maker %zu", i);
    }
}

/* ---- what an error holds ---- */

static bool same(double a, double b)
{
    return (isnan(a) && isnan(b)) || a == b;
}

Test(error, holds_parameter_value_and_limits, .init = prepare, .fini = clear)
{
    static const struct {
        oxt_status (*call)(oxt_error *);
        const char *parameter;
        double value, low, high;
    } expected[] = {
        { film_new_, "absorption_scale", 9.0, 0.0, 5.0 },
        { thickness_, "bath_K", -573.0, 0.0, NAN },
        { of_exposure_, "initial_nm", -1.0, 0.0, NAN },
        { film_lab_, "thickness_nm", -1.0, 0.0, OXT_THICKNESS_HIGH_NM },
        { film_difference_, "thickness_nm", 1001.0, 0.0, OXT_THICKNESS_HIGH_NM },
        { film_match_, "lab", NAN, 0.0, 100.0 },
        { light_white_, "illuminant", 7.0, 0.0, 6.0 },
        { film_srgb_, "thickness_nm", NAN, 0.0, OXT_THICKNESS_HIGH_NM },
        { film_reflectance_, "wavelength_nm", 0.0, 380.0, 780.0 },
        { tint_band_, "index", OXT_TINT_COUNT, 0.0, OXT_TINT_COUNT - 1 },
        { target_from_thickness_, "low_nm", 60.0, 0.0, 50.0 },
        { dip_predict_, "bath_K", 9.0, OXT_BATH_LOW_K, OXT_BATH_HIGH_K },
        { temperature_bare_, "temperature", NAN, NAN, NAN },
        { thickness_n_, "growth", NAN, NAN, NAN },
        { tint_find_, "colour", NAN, NAN, NAN },
    };
    for (size_t i = 0; i < sizeof expected / sizeof expected[0]; i++) {
        oxt_error error = OXT_ERROR_INIT;
        expected[i].call(&error);
        cr_assert_str_eq(error.parameter, expected[i].parameter);
        cr_assert(same(error.value, expected[i].value) && same(error.low, expected[i].low) &&
                      same(error.high, expected[i].high),
                  "%s: value %g, limits %g and %g", error.parameter, error.value, error.low,
                  error.high);
        cr_assert_eq(error.row, 0);
        cr_assert_str_eq(error.column, "");
    }
}

Test(error, quotes_what_it_could_not_read_without_its_control_characters)
{
    oxt_error error = OXT_ERROR_INIT;
    double value;
    FAILS(oxt_parse_temperature("6\n\x1b[2J\x7f", &value, &error), OXT_EUNIT);
    for (const char *letter = error.text; *letter; letter++)
        cr_assert((unsigned char)*letter >= 0x20 && *letter != 0x7F, "'%s'", error.text);
    FAILS(oxt_parse_temperature("\xC3\x28 F", &value, &error), OXT_EPARSE);
    for (const char *letter = error.text; *letter; letter++)
        cr_assert((unsigned char)*letter < 0x80, "a broken UTF-8 text got into the message");
}

/* ---- success ---- */

Test(error, untouched_by_success, .init = prepare, .fini = clear)
{
    oxt_error error, before;
    memset(&error, 0x66, sizeof error);
    error.struct_size = sizeof error;
    memcpy(&before, &error, sizeof error);
    oxt_tint tint = OXT_TINT_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    oxt_film *own;
    size_t failed;
    char words[64];
    double got[3];
    OK(oxt_parse_temperature("650 F", got, &error));
    OK(oxt_format_duration(90.0, words, sizeof words, NULL, &error));
    OK(oxt_thickness(&growth, 573.0, 60.0, got, &error));
    OK(oxt_thickness_n(&growth, 3, three, 8, three, 8, got, &failed, &error));
    OK(oxt_lab_from_xyz(three, three, got, &error));
    OK(oxt_film_new(&own, NULL, &error));
    OK(oxt_tint_find(own, "blue", &tint, &error));
    /* the second order is found although the first, tried before, has no such colour */
    OK(oxt_tint_target(own, "#2da28d", &target, &error));
    OK(oxt_dip_predict(steel, &target, 573.15, NULL, &dip, &error));
    OK(oxt_steel_get(steel, &nameless, &error));
    oxt_film_free(own);
    cr_assert_eq(memcmp(&error, &before, sizeof error), 0);
}
