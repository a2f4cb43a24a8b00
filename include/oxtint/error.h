/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file error.h: what every other header needs: export macro, status codes, error detail, cautions. */
#ifndef OXTINT_ERROR_H
#define OXTINT_ERROR_H

/* The declarations of the bindings are these headers after the preprocessor ran with
 * OXT_DECLARATIONS_ONLY; it drops what a declaration parser cannot read. */
#ifndef OXT_DECLARATIONS_ONLY
#include <stddef.h>
#include <stdint.h>
#endif

#if defined(OXT_DECLARATIONS_ONLY) || defined(OXT_STATIC)
#define OXT_API
#elif defined(_WIN32)
#ifdef OXT_BUILDING
#define OXT_API __declspec(dllexport)
#else
#define OXT_API __declspec(dllimport)
#endif
#elif defined(__GNUC__)
#define OXT_API __attribute__((visibility("default")))
#else
#define OXT_API
#endif

#if defined(__cplusplus) && !defined(OXT_DECLARATIONS_ONLY)
#define OXT_BEGIN_DECLS extern "C" {
#define OXT_END_DECLS }
#else
#define OXT_BEGIN_DECLS
#define OXT_END_DECLS
#endif

/* The one list of status codes: symbol, value, sentence. Values are pinned for ever. */
#define OXT_STATUS_LIST(X)                                                                    \
    X(OXT_OK, 0, "done")                                                                      \
    X(OXT_EARG, -1, "an argument is missing or not one of the choices")                       \
    X(OXT_EDOMAIN, -2, "a number is outside its valid range")                                 \
    X(OXT_EUNIT, -3, "a quantity has no unit, or one that does not fit")                      \
    X(OXT_EPARSE, -4, "a text or file cannot be read as what it should be")                   \
    X(OXT_EFEW, -5, "there are too few usable trials")                                        \
    X(OXT_EIDENT, -6, "the trials cannot determine what is asked of them")                    \
    X(OXT_ENOCONV, -7, "an iteration did not converge")                                       \
    X(OXT_EUNREACHABLE, -8, "nothing in the physical range gives what is asked")              \
    X(OXT_EVERSION, -9, "a file was written by a newer, incompatible oxtint")                 \
    X(OXT_EIO, -10, "the operating system refused to read or write a file")                   \
    X(OXT_ENOMEM, -11, "memory ran out")                                                      \
    X(OXT_ESPACE, -12, "the buffer is too small for the text")                                \
    X(OXT_EBUG, -13, "a defect in oxtint itself; please report it")                           \
    X(OXT_ECANCEL, -14, "the caller asked to stop")                                           \
    X(OXT_EEXIST, -15, "there is a file of another kind, which is replaced only on request")

/** Outcome of a call: OXT_OK (0) or a negative error. */
typedef enum oxt_status {
#define OXT_STATUS_ENUM(symbol, number, sentence) symbol = number,
    OXT_STATUS_LIST(OXT_STATUS_ENUM)
#undef OXT_STATUS_ENUM
} oxt_status;

/**
 * Called now and then by a call that may take longer than a tenth of a second: how much of the work is
 * done, 0 to 1, and what the caller gave as `user`. Anything but 0 asks to stop, which ends the call with
 * OXT_ECANCEL. Only the thread that made the call comes here, never another one. It must return: an
 * exception of C++ or a longjmp out of it would leave other threads with what is freed.
 */
typedef int (*oxt_progress_function)(double done, void *user);

/** What a caution is about, in the order of a report. */
typedef enum oxt_caution_kind {
    OXT_CAUTION_KIND_FORBIDS = 0, /* this dip, or this bath, is not to be run */
    OXT_CAUTION_KIND_CASE = 1,    /* particular to this dip, bath or load */
    OXT_CAUTION_KIND_BATH = 2     /* true of every bath of molten salt */
} oxt_caution_kind;

/* The one list of cautions, in the order in which they are read: symbol, bit, kind, lead word, the
 * short sentence that follows it, the rest of the text, source. A caution is part of a result,
 * never an error. Bits are pinned for ever. */
#define OXT_CAUTION_LIST(X)                                                                        \
    X(OXT_CAUTION_HARDENED, 1048576, OXT_CAUTION_KIND_FORBIDS, "DO NOT DIP",                       \
      "this bath would soften the part's hardened edge or spring.",                                \
      "The dip is a heavier temper than the part's last one.",                                     \
      "J. H. Hollomon and L. D. Jaffe, Trans. AIME 162 (1945) 223")                                \
    X(OXT_CAUTION_ABOVE_LEGAL, 32, OXT_CAUTION_KIND_FORBIDS, "DO NOT RUN THIS BATH",               \
      "it is above 649 C (1200 F), a legal maximum.",                                              \
      "No nitrate bath may be run hotter where that law holds.",                                   \
      "California Code of Regulations, Title 8, section 5188(b)(2)")                               \
    X(OXT_CAUTION_ABOVE_WORKING, 16, OXT_CAUTION_KIND_FORBIDS, "TOO HOT",                          \
      "above the working range of this salt, which breaks down: do not run the bath there.",       \
      "An unstated nitrate tempering salt is taken to work up to 538 C (1000 F). Broken-down "     \
      "salt can run away, heating itself.",                                                        \
      "usual range of nitrate tempering salts: common practice, no source; "                       \
      "oxt_bath_salt_limits for each salt")                                                          \
    X(OXT_CAUTION_BELOW_MELTING, 8, OXT_CAUTION_KIND_CASE, "TOO COLD",                             \
      "below the working range of this salt: it may be frozen or slushy.",                         \
      "An unstated nitrate tempering salt is taken to work from 177 C (350 F) up.",                \
      "usual range of nitrate tempering salts: common practice, no source; "                       \
      "oxt_bath_salt_limits for each salt")                                                          \
    X(OXT_CAUTION_FREEZING, 4194304, OXT_CAUTION_KIND_CASE, "FREEZING",                            \
      "a plain nitrate mixture freezes at 220 to 240 C (428 to 464 F).",                           \
      "The salt is not stated and this bath is below that: make sure that yours melts lower. "     \
      "Frozen salt expands and spits as it melts from below.",                                     \
      "melting range of NaNO3/KNO3 mixtures: handbook, from memory")                               \
    X(OXT_CAUTION_CRUST, 268435456, OXT_CAUTION_KIND_CASE, "FROZEN ON THE PART",                     \
      "the lift comes before the salt that froze on it has melted: preheat the part, dry.",        \
      "Under a crust no colour is seen, and it comes out with the part.",                          \
      "the model's own limit")                                                                     \
    X(OXT_CAUTION_ABOVE_MODEL, 4096, OXT_CAUTION_KIND_CASE, "OUTSIDE THE MODEL",                   \
      "above 570 C (1058 F) another oxide grows: these times do not hold.",                        \
      "It is wustite, under the magnetite.",                                                       \
      "iron-oxygen phase diagram: wustite is stable above 570 C; from memory")                     \
    X(OXT_CAUTION_BROKEN_PROMISES, 536870912, OXT_CAUTION_KIND_CASE, "PROMISES NOT KEPT",            \
      "too few dips by this card came out as promised: run a coupon, and anchor it.",              \
      "Its record shows fewer hits than its chances promised, by more than bad luck explains: "    \
      "times and chances are off.",                                                                \
      "the card's own record; 1 alarm in 100 is false")                                            \
    X(OXT_CAUTION_LOOSE_FIT, 2048, OXT_CAUTION_KIND_CASE, "LOOSE FIT",                             \
      "the lift time is less certain than the colour lasts: log more coupons near this bath.",     \
      "The error of the fit alone is wider than the lift window.",                                 \
      "the model's own limit")                                                                     \
    X(OXT_CAUTION_OTHER_LAW, 134217728, OXT_CAUTION_KIND_CASE, "NOT PARABOLIC",                    \
      "two laws of growth part here: two times are given, so dip a coupon first.",                \
      "This film lies away from those of the trials, and there the times by the parabolic law "    \
      "and by another that fits them differ by more than 5 %: compare the laws of growth.",        \
      "the model's own limit")                                                                     \
    X(OXT_CAUTION_SHORT_WINDOW, 1024, OXT_CAUTION_KIND_CASE, "SHORT WINDOW",                       \
      "the colour lasts under 3 s: a cooler bath is easier to time.",                              \
      "Few hands lift to the second.",                                                             \
      "oxtint's own limit of 3 s")                                                                 \
    X(OXT_CAUTION_EXTRAPOLATED_BATH, 64, OXT_CAUTION_KIND_CASE, "UNTRIED BATH",                    \
      "no coupon was run this hot or this cold: run one first.",                                   \
      "The bath temperature lies outside the trials; the answer is an extrapolation.",             \
      "the model's own limit")                                                                     \
    X(OXT_CAUTION_EXTRAPOLATED_FILM, 128, OXT_CAUTION_KIND_CASE, "UNTRIED FILM",                   \
      "no coupon grew a film this thin or thick: run one first.",                                  \
      "The target lies outside the films of the trials.",                                          \
      "the model's own limit")                                                                     \
    X(OXT_CAUTION_SAG, 524288, OXT_CAUTION_KIND_CASE, "COLD LOAD",                                 \
      "this load cools the bath by more than 5 K (9 F): dip fewer parts at a time.",               \
      "Or wait between loads until the bath has come back.",                                       \
      "oxtint's own limit of 5 K")                                                                 \
    X(OXT_CAUTION_OTHER_ORDER, 256, OXT_CAUTION_KIND_CASE, "OTHER ORDER",                          \
      "the same colour comes twice: watch the whole sequence.",                                    \
      "It comes again in another order of interference, on a thinner or a thicker film.",          \
      "the model's own limit")                                                                     \
    X(OXT_CAUTION_OTHER_OPTICS, 512, OXT_CAUTION_KIND_CASE, "OTHER FILM MODEL",                    \
      "target and trials were read with different films: times may be off.",                       \
      "Read both with the same film stack.",                                                       \
      "the model's own limit")                                                                     \
    X(OXT_CAUTION_AT_TEMPERATURE, 4, OXT_CAUTION_KIND_CASE, "PART AND LIFT",                       \
      "what is not named is taken from the coupons.",                                              \
      "A thicker part takes longer to heat up, and every part keeps growing between lift and "     \
      "quench.",                                                                                   \
      "the model's own limit")                                                                     \
    X(OXT_CAUTION_COUPONS_UNKNOWN, 33554432, OXT_CAUTION_KIND_CASE, "COUPONS NOT STATED",          \
      "their heating-up is in the rate: state it in the log and fit again, or look early.",        \
      "The card does not say how its coupons were run. What they lost to heating up is in its "    \
      "constants, and what the part loses comes on top. A coupon that is named for the dip "       \
      "allows for that near the films and baths of the trials only.",                              \
      "the model's own limit")                                                                     \
    X(OXT_CAUTION_UNEVEN, 67108864, OXT_CAUTION_KIND_CASE, "ANY SHAPE",                             \
      "this part is taken as one temperature throughout: watch its thinnest section.",             \
      "Thin sections colour first and thick ones last. State the thickness of a plate, or the "    \
      "diameter of a bar or ball, for a part of one thickness.",                                   \
      "the model's own limit")                                                                     \
    X(OXT_CAUTION_SOFTENS, 2, OXT_CAUTION_KIND_BATH, "HARDENED STEEL",                             \
      "comes out soft: never dip a hardened edge or spring.",                                      \
      "A bath this hot tempers hardened steel; more as it gets hotter.",                           \
      "common practice, no source")                                                                \
    X(OXT_CAUTION_MOLTEN_SALT, 1, OXT_CAUTION_KIND_BATH, "BURNS",                                  \
      "molten salt clings and burns deep: cover face, arms, legs and feet.",                       \
      "A face shield over glasses, long gloves, leather or wool, nothing synthetic; someone "      \
      "within call.",                                                                              \
      "California Code of Regulations, Title 8, section 5188(a)(2) and (5)")                       \
    X(OXT_CAUTION_WATER, 8192, OXT_CAUTION_KIND_BATH, "WATER",                                     \
      "dry and preheat all that goes in; nothing hollow with a closed end.",                       \
      "Trapped water turns to steam at once and throws the salt.",                                 \
      "California Code of Regulations, Title 8, section 5188(a)(1) and (4); DGUV Vorschrift "      \
      "59, section 12")                                                                            \
    X(OXT_CAUTION_ORGANICS, 16384, OXT_CAUTION_KIND_BATH, "OIL AND ORGANICS",                      \
      "burn fiercely or explode: no oil, wood, cloth, charcoal.",                                  \
      "Nor grease, paper, plastics, sugar or graphite in the bath or over it. Do not put out "     \
      "in the pot what burns in it, and never with water.",                                        \
      "California Code of Regulations, Title 8, section 5188(b)(1); DGUV Vorschrift 59, "          \
      "section 15")                                                                                \
    X(OXT_CAUTION_CYANIDES, 32768, OXT_CAUTION_KIND_BATH, "CYANIDE",                               \
      "explodes with nitrate: no salt or part from a cyanide bath.",                               \
      "Nor from any carburising salt; nor nitrate into those.",                                    \
      "California Code of Regulations, Title 8, section 5188(b)(1); DGUV Regel 109-007, "          \
      "section 5.14")                                                                              \
    X(OXT_CAUTION_LIGHT_METALS, 65536, OXT_CAUTION_KIND_BATH, "MAGNESIUM AND ALUMINIUM",           \
      "never here; nor zinc, titanium, powders.",                                                  \
      "They can react violently with hot nitrate, a fine powder of any metal most of all.",        \
      "common practice, no source")                                                                \
    X(OXT_CAUTION_NITRITE, 2097152, OXT_CAUTION_KIND_BATH, "NITRITE",                              \
      "poisonous; no acids, ammonium salts, food or drink near it.",                               \
      "Acids drive poisonous gas out of it, and ammonium salts can make it explode. Take it "      \
      "that the salt holds nitrite unless its data sheet says that it does not.",                  \
      "DGUV Regel 109-605, section 3.3; data sheets of nitrite, from memory")                      \
    X(OXT_CAUTION_VENTILATION, 131072, OXT_CAUTION_KIND_BATH, "FUMES",                             \
      "ventilate: hot nitrate gives off nitrogen oxides.",                                         \
      "The hotter it is, the more of them. Put a hood over the bath.",                             \
      "California Code of Regulations, Title 8, section 5188(a)(3); Haz-Map, heat treating "       \
      "of steel")                                                                                  \
    X(OXT_CAUTION_POT, 8388608, OXT_CAUTION_KIND_BATH, "POT",                                      \
      "a cut-out of its own, no sludge, no hot spots, only dry salt added.",                       \
      "The cut-out switches the heating off whatever the controller does. Sludge on the "          \
      "bottom and flames on the wall overheat the salt there. Cover the pot when it is not "       \
      "in use.",                                                                                   \
      "California Code of Regulations, Title 8, section 5188(a)(6); DGUV Vorschrift 59, "          \
      "sections 6, 8 and 12")                                                                      \
    X(OXT_CAUTION_HOT_RINSE, 262144, OXT_CAUTION_KIND_BATH, "QUENCH AND RINSE",                    \
      "in water, away from the bath; no salt near oil.",                                           \
      "Never quench a salt-wet part in oil. Rinse in hot water until no salt is left in "          \
      "holes and crevices, before any oil or wax: what stays there rusts the part and feeds "      \
      "a fire.",                                                                                   \
      "common practice, no source")                                                                \
    X(OXT_CAUTION_DATA_SHEET, 16777216, OXT_CAUTION_KIND_BATH, "ABOVE ALL",                        \
      "the salt maker's data sheet, local codes, licensed practice.",                              \
      "They go before everything here.",                                                           \
      "common practice, no source")

/** Bits of the `cautions` field of a result. */
typedef enum oxt_caution {
#define OXT_CAUTION_ENUM(symbol, bit, kind, lead, brief, more, source) symbol = bit,
    OXT_CAUTION_LIST(OXT_CAUTION_ENUM)
#undef OXT_CAUTION_ENUM
} oxt_caution;

/** One caution. Later releases may add fields at the end: it is only read, never made. */
typedef struct oxt_caution_info {
    uint32_t bit;          /* of oxt_caution */
    oxt_caution_kind kind; /* what it is about */
    const char *name;      /* its symbol, such as "OXT_CAUTION_SOFTENS" */
    const char *brief;     /* in short, such as "WATER: dry and preheat all that goes in"; one that is true of
                              every bath fits on a line of 78 letters with a mark before it */
    const char *text;      /* whole: lead word, short sentence and the rest */
    const char *source;    /* a published one, or "common practice, no source" */
} oxt_caution_info;

/** How much of each caution a report shows. */
typedef enum oxt_caution_detail {
    OXT_CAUTION_BRIEF = 0, /* lead word and a short sentence */
    OXT_CAUTION_WHOLE = 1  /* the whole text */
} oxt_caution_detail;

/**
 * What went wrong, in detail. Owned by the caller and filled by a failing call; left alone by a
 * call that succeeds. Every call takes NULL in its place.
 *
 * Start it with OXT_ERROR_INIT: a struct whose struct_size is 0 is not written to.
 */
typedef struct oxt_error {
    size_t struct_size; /* sizeof(oxt_error), set by OXT_ERROR_INIT */
    oxt_status status;  /* the status that the call returned */
    char parameter[48]; /* parameter, field or file at fault, "" when none */
    double value;       /* the failing number, NaN when it is not a number */
    double low;         /* lowest valid value, NaN when there is no such limit */
    double high;        /* highest valid value, NaN when there is no such limit */
    size_t row;         /* line of a file or element of an array, from 1; 0 when none */
    char column[48];    /* column of a table, "" when none */
    char text[512];     /* the whole story in one sentence, UTF-8 */
    char pattern[512];  /* what oxt_error_retell makes another sentence of; "" when nothing */
} oxt_error;

#define OXT_ERROR_INIT { sizeof(oxt_error), OXT_OK, "", 0.0, 0.0, 0.0, 0, "", "", "" }

/** What a person gave to a program that called the library. */
typedef struct oxt_given {
    const char *parameter; /* as oxt_error has it, such as "delay_s"; NULL: any whose name fits */
    const char *name;      /* as the person knows it, such as "--lift"; NULL: as the parameter is called */
    const char *typed;     /* what was typed, such as "4000 s" */
} oxt_given;

OXT_BEGIN_DECLS

/**
 * Write the text of an error again in terms of what a person typed, by the name that it has there, with the range
 * in the same scale: "bath 6500 F is out of range (212 to 1292 F)" for a bath_K of 3866.48.
 *
 * Given:
 *   error    the error of a failed call; its text changes where one of the given items is at fault, or where it
 *            names a temperature, and stays as it was where memory runs out; NULL is ignored
 *   given    what was typed; of several that fit, the one that reads as the value at fault. Temperatures are
 *            written in the scale of the first that was typed, which may be a scale alone, such as "F"
 *   count    number of given items
 */
OXT_API void oxt_error_retell(oxt_error *error, const oxt_given *given, size_t count);

/**
 * Symbol of a status, such as "OXT_EDOMAIN".
 *
 * Given:
 *   status   any number
 * Returned:
 *   static text, "OXT_?" for a number that is no status
 */
OXT_API const char *oxt_status_name(int status);

/**
 * The caution that is read first of several: what forbids the dip, then what is particular to it, then what is
 * true of every bath. Take its bit out of the cautions and call again for the next one.
 *
 * Given:
 *   cautions   bits of oxt_caution
 * Returned:
 *   static, never NULL; one whose bit is 0 when none of the bits is a caution
 */
OXT_API const oxt_caution_info *oxt_caution_get(uint32_t cautions);

/**
 * Cautions as lists to read at the bench: what is particular, then what is true of every bath.
 *
 * Given:
 *   cautions            bits of oxt_caution
 *   detail              how much of each
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EARG, OXT_ESPACE, OXT_ENOMEM
 */
OXT_API oxt_status oxt_caution_report(uint32_t cautions, oxt_caution_detail detail, char *buffer,
                                      size_t capacity, size_t *needed, oxt_error *error);

OXT_END_DECLS

#endif
