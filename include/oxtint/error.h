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
    X(OXT_EEXIST, -15, "there is a file of another kind, which is not replaced without being told")

/** Outcome of a call: OXT_OK (0) or a negative error. */
typedef enum oxt_status {
#define OXT_STATUS_ENUM(symbol, number, sentence) symbol = number,
    OXT_STATUS_LIST(OXT_STATUS_ENUM)
#undef OXT_STATUS_ENUM
} oxt_status;

/* The one list of cautions: symbol, bit, sentence, source. A caution is part of a result, never an
 * error. */
#define OXT_CAUTION_LIST(X)                                                                        \
    X(OXT_CAUTION_MOLTEN_SALT, 1,                                                                  \
      "Molten nitrate salt burns deep and clings: cover face, hands, arms and feet. The salt "     \
      "maker's data sheet, local codes and licensed practice have the last word.",                 \
      "California Code of Regulations, Title 8, section 5188(a)(2) and (5)")                       \
    X(OXT_CAUTION_SOFTENS, 2,                                                                      \
      "A bath this hot tempers hardened steel: never dip a heat-treated edge or spring, it "       \
      "comes out soft.",                                                                           \
      "common practice, no source")                                                                \
    X(OXT_CAUTION_AT_TEMPERATURE, 4,                                                               \
      "Times assume the part heats up and is quenched like the coupons: a thicker part loses more " \
      "time to heating up, and every part keeps growing between lift and quench.",                 \
      "the model's own limit")                                                                     \
    X(OXT_CAUTION_BELOW_MELTING, 8,                                                                \
      "The bath is below the working range of its salt (177 C, 350 F, for nitrate tempering "      \
      "salts): the salt may be frozen or slushy.",                                                 \
      "heat-treating trade press; oxt_salt_limits_of for each salt")                               \
    X(OXT_CAUTION_ABOVE_WORKING, 16,                                                               \
      "The bath is above the working range of its salt (538 C, 1000 F, for nitrate tempering "     \
      "salts): the salt breaks down. Do not run it there.",                                        \
      "heat-treating trade press; oxt_salt_limits_of for each salt")                               \
    X(OXT_CAUTION_ABOVE_LEGAL, 32,                                                                 \
      "The bath is above 649 C (1200 F), a legal maximum for nitrate baths (California Code of "   \
      "Regulations, Title 8, section 5188).",                                                      \
      "California Code of Regulations, Title 8, section 5188(b)(2)")                               \
    X(OXT_CAUTION_EXTRAPOLATED_BATH, 64,                                                           \
      "The bath temperature lies outside the trials: the answer is an extrapolation; run a "       \
      "coupon there first.",                                                                       \
      "the model's own limit")                                                                     \
    X(OXT_CAUTION_EXTRAPOLATED_FILM, 128,                                                          \
      "The target is thinner or thicker than any film the trials reached: run a coupon first.",    \
      "the model's own limit")                                                                     \
    X(OXT_CAUTION_OTHER_ORDER, 256,                                                                \
      "The same colour comes again in another order of interference: watch the run of colours, "   \
      "not only the last one.",                                                                    \
      "the model's own limit")                                                                     \
    X(OXT_CAUTION_OTHER_OPTICS, 512,                                                               \
      "The target was computed with another film stack than the trials were read with: times "     \
      "may be off by the difference.",                                                             \
      "the model's own limit")                                                                     \
    X(OXT_CAUTION_SHORT_WINDOW, 1024,                                                              \
      "The colour lasts under 3 s at this temperature: a cooler bath is easier to time.",          \
      "oxtint's own limit of 3 s")                                                                 \
    X(OXT_CAUTION_LOOSE_FIT, 2048,                                                                 \
      "The trials leave the time more uncertain than the colour lasts: log more coupons near "     \
      "this bath.",                                                                                \
      "the model's own limit")                                                                     \
    X(OXT_CAUTION_ABOVE_MODEL, 4096,                                                               \
      "Above 570 C another oxide (wustite) forms under the magnetite: this model does not hold "   \
      "there.",                                                                                    \
      "iron-oxygen phase diagram: wustite is stable above 570 C; from memory")                     \
    X(OXT_CAUTION_WATER, 8192,                                                                     \
      "Keep water away: dry and preheat every part, wire and tool, and dip nothing hollow with a " \
      "closed end. Trapped water turns to steam at once and throws the salt.",                     \
      "California Code of Regulations, Title 8, section 5188(a)(1) and (4)")                       \
    X(OXT_CAUTION_ORGANICS, 16384,                                                                 \
      "Keep oil, grease, wood, cloth, paper, sugar and charcoal away: hot nitrate makes them "     \
      "burn fiercely or explode.",                                                                 \
      "California Code of Regulations, Title 8, section 5188(b)(1)")                               \
    X(OXT_CAUTION_CYANIDES, 32768,                                                                 \
      "Never let a cyanide, or a part from a cyanide bath, near hot nitrate: they explode.",       \
      "California Code of Regulations, Title 8, section 5188(b)(1)")                               \
    X(OXT_CAUTION_LIGHT_METALS, 65536,                                                             \
      "No magnesium and no aluminium in this bath: they can react violently with hot nitrate.",    \
      "heat-treating trade press")                                                                 \
    X(OXT_CAUTION_VENTILATION, 131072,                                                             \
      "Ventilate: hot nitrate gives off nitrogen oxides, the more the hotter it is.",              \
      "California Code of Regulations, Title 8, section 5188(a)(3); Haz-Map, heat treating of steel")\
    X(OXT_CAUTION_HOT_RINSE, 262144,                                                               \
      "Quench and rinse away from the bath, in hot water until no salt is left in holes and "      \
      "crevices: what stays there rusts the part.",                                                \
      "common practice, no source")                                                                \
    X(OXT_CAUTION_SAG, 524288,                                                                     \
      "This load cools the bath by more than 5 K: dip fewer parts at a time, or wait between "     \
      "loads until the bath has come back.",                                                       \
      "oxtint's own limit of 5 K")                                                                 \
    X(OXT_CAUTION_HARDENED, 1048576,                                                               \
      "This bath would soften the part's hardened edge or spring: it is a heavier temper than "    \
      "the part's last one. Do not dip it.",                                                       \
      "J. H. Hollomon and L. D. Jaffe, Trans. AIME 162 (1945) 223")

/** Bits of the `cautions` field of a result. */
typedef enum oxt_caution {
#define OXT_CAUTION_ENUM(symbol, bit, sentence, source) symbol = bit,
    OXT_CAUTION_LIST(OXT_CAUTION_ENUM)
#undef OXT_CAUTION_ENUM
} oxt_caution;

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
} oxt_error;

#define OXT_ERROR_INIT { sizeof(oxt_error), OXT_OK, "", 0.0, 0.0, 0.0, 0, "", "" }

OXT_BEGIN_DECLS

/**
 * Make an error empty, as OXT_ERROR_INIT does.
 *
 * Given:
 *   error   the error to start; NULL is ignored
 */
OXT_API void oxt_error_init(oxt_error *error);

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
 * What a status means, as a sentence without a full stop.
 *
 * Given:
 *   status   any number
 * Returned:
 *   static text, never NULL
 */
OXT_API const char *oxt_status_text(int status);

/**
 * Symbol of one caution, such as "OXT_CAUTION_SOFTENS".
 *
 * Given:
 *   caution   one bit of oxt_caution
 * Returned:
 *   static text, "OXT_CAUTION_?" for a number that is no caution
 */
OXT_API const char *oxt_caution_name(uint32_t caution);

/**
 * What one caution says to the person at the bench, in whole sentences.
 *
 * Given:
 *   caution   one bit of oxt_caution
 * Returned:
 *   static text, never NULL
 */
OXT_API const char *oxt_caution_text(uint32_t caution);

/**
 * Where a caution comes from: a published source, or "common practice, no source".
 *
 * Given:
 *   caution   one bit of oxt_caution
 * Returned:
 *   static text, never NULL
 */
OXT_API const char *oxt_caution_source(uint32_t caution);

OXT_END_DECLS

#endif
