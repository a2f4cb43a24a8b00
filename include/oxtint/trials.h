/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file trials.h: a log of test coupons, in memory and as CSV. */
#ifndef OXTINT_TRIALS_H
#define OXTINT_TRIALS_H

#include "oxtint/faults.h"
#include "oxtint/file.h"
#include "oxtint/film.h"
#include "oxtint/growth.h"
#include "oxtint/heat.h"

/** What was seen on a coupon. */
typedef enum oxt_seen {
    OXT_SEEN_COLOUR = 0,    /* a trade name */
    OXT_SEEN_THICKNESS = 1, /* a measured thickness */
    OXT_SEEN_LAB = 2,       /* a measured CIE L*a*b* */
    OXT_SEEN_SRGB = 3       /* an sRGB colour, for example off a photograph */
} oxt_seen;

/** Where in the band of its colour a coupon was lifted. */
typedef enum oxt_lifted {
    OXT_LIFTED_NOT_STATED = 0, /* as the options of the fit state it; else as OXT_LIFTED_AFTER */
    OXT_LIFTED_FIRST = 1,      /* as soon as the colour was there: its film is at the thin end of the band */
    OXT_LIFTED_MIDDLE = 2,     /* when the colour was at its best: in the middle */
    OXT_LIFTED_LAST = 3,       /* as the next colour came: at the thick end */
    OXT_LIFTED_AFTER = 4       /* by the clock, and the colour was read afterwards: anywhere in the band */
} oxt_lifted;

/** One coupon: what was done, what was seen, and what is known of both. */
typedef struct oxt_trial {
    size_t struct_size;
    char steel[64];       /* name of the steel, UTF-8, not empty */
    char finish[64];      /* name of the finish, UTF-8, may be empty */
    double bath_K;        /* K    OXT_BATH_LOW_K to OXT_BATH_HIGH_K */
    double time_s;        /* s    above 0, up to OXT_TIME_HIGH_S */
    oxt_seen seen;        /* which of the next four counts */
    char colour[48];      /* trade name, as in oxt_tint_find */
    double thickness_nm;  /* nm   above 0, up to OXT_THICKNESS_HIGH_NM */
    double lab[3];        /* L* 0 to 100, a* and b* -200 to 200 */
    char srgb[8];         /* "#rrggbb", as in oxt_parse_srgb */
    size_t line;          /* line of the file that it came from, 0 when it came from memory */
    /* From here on 0 means not stated. */
    double part_size_m;          /* m          of the coupon, see oxt_shape; > 0, up to 1 */
    oxt_shape part_shape;        /* of the coupon; another than OXT_SHAPE_PLATE only with a size */
    double part_start_K;         /* K          before the dip, 200 to the bath; only with a size */
    double transfer_W_per_m2K;   /* W/(m^2 K)  of the bath, > 0, up to 1e6; only with a size */
    double lift_s;               /* s          from leaving the bath to the quench, 0 to 3600 */
    double bath_sd_K;            /* K          standard deviation of bath_K, 0 to 1000 */
    double time_sd_s;            /* s          standard deviation of time_s, 0 to OXT_TIME_HIGH_S */
    double thickness_sd_nm;      /* nm         standard error of a measured thickness, > 0, up to
                                               OXT_THICKNESS_HIGH_NM; used for nothing else */
    double colour_tolerance;     /* CIEDE2000 by which a measured colour may be wrong, > 0, up to
                                    50; used for lab and srgb only */
    char day[32];                /* UTF-8, any name of the day or the batch that it ran in, such as
                                    "2026-03-05"; trials of one name share what changes from day to
                                    day; "": not stated */
    oxt_lifted lifted;           /* used for trade names only */
} oxt_trial;

#define OXT_TRIAL_INIT                                                                        \
    { sizeof(oxt_trial), "", "", 0.0, 0.0, OXT_SEEN_COLOUR, "", 0.0, { 0.0, 0.0, 0.0 }, "", 0, \
      0.0, OXT_SHAPE_PLATE, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, "", OXT_LIFTED_NOT_STATED }

/** The trials of one steel with one finish. */
typedef struct oxt_trial_group {
    size_t struct_size;
    char steel[64];
    char finish[64]; /* may be empty */
    size_t count;    /* trials */
    size_t group_count; /* such groups in all, of the log or of the fits that the group is one of */
} oxt_trial_group;

#define OXT_TRIAL_GROUP_INIT { sizeof(oxt_trial_group), "", "", 0, 0 }

/** How the values of a column lie in memory. */
typedef enum oxt_column_kind {
    OXT_COLUMN_DOUBLE = 0, /* double; NaN: missing */
    OXT_COLUMN_FLOAT = 1,  /* float; NaN: missing */
    OXT_COLUMN_INT8 = 2,   /* whole numbers; with `levels`, codes of texts */
    OXT_COLUMN_INT16 = 3,
    OXT_COLUMN_INT32 = 4,
    OXT_COLUMN_INT64 = 5,
    OXT_COLUMN_UINT8 = 6,
    OXT_COLUMN_UINT16 = 7,
    OXT_COLUMN_UINT32 = 8,
    OXT_COLUMN_UINT64 = 9,
    OXT_COLUMN_TEXT = 10   /* const char *, UTF-8; NULL or "": missing */
} oxt_column_kind;

/** One column of a table in memory, read as it lies. */
typedef struct oxt_column {
    size_t struct_size;
    const char *name;          /* as in the header of a CSV file: "steel", "bath_F", "time (min)" */
    const void *values;        /* the first value; may be NULL where there are no rows */
    ptrdiff_t stride;          /* bytes from one value to the next; below 0: backwards; 0: one value for all */
    const char *const *levels; /* the text of each code, UTF-8; NULL: the values are not codes */
    size_t level_count;        /* codes are 0 to level_count - 1; below 0: missing */
    const unsigned char *missing; /* a byte for each row, not 0: missing; NULL: none but those above */
    ptrdiff_t missing_stride;  /* bytes from one of these to the next */
    oxt_column_kind kind;      /* of the values */
} oxt_column;

#define OXT_COLUMN_INIT { sizeof(oxt_column), NULL, NULL, 0, NULL, 0, NULL, 0, OXT_COLUMN_DOUBLE }

/** A log of trials: opaque; may be added to, so it belongs to one thread until it is finished. */
typedef struct oxt_trials oxt_trials;

OXT_BEGIN_DECLS

/**
 * An empty log.
 *
 * Given:
 *   words    a shop's own words for colours (words.h), which are copied and which its trials may then use; NULL
 *            for none
 * Returned:
 *   trials   free it with oxt_trials_free
 * Status:
 *   OXT_EARG, OXT_ENOMEM
 */
OXT_API oxt_status oxt_trials_new(oxt_trials **trials, const oxt_words *words, oxt_error *error);

/**
 * Free a log.
 *
 * Given:
 *   trials   NULL is ignored
 */
OXT_API void oxt_trials_free(oxt_trials *trials);

/**
 * Add one trial to a log. A trial with an error is not added.
 *
 * Given:
 *   trials   the log
 *   trial    the trial; its fields are checked as those of a file are
 *   note     anything worth keeping, UTF-8; NULL for none
 * Status:
 *   OXT_EARG (also for what needs a part_size_m and has none), OXT_EDOMAIN, OXT_EPARSE (the error's
 *   parameter names the field), OXT_ENOMEM
 */
OXT_API oxt_status oxt_trials_add(oxt_trials *trials, const oxt_trial *trial, const char *note,
                                  oxt_error *error);

/**
 * Add the rows of a table in memory, all of them or none.
 *
 * Given:
 *   trials          the log; after a failure it is as before
 *   row_count       rows, up to 4294967294 less those of the log
 *   columns         a pointer to each column (notes 1 and 2), in any order; read during the call only
 *   column_count    of them, up to 256
 * Returned:
 *   faults          when the contents are at fault: all faults by row and column (beyond 1000 they are
 *                   only counted), to be freed with oxt_faults_free; else NULL. The argument itself may be
 *                   NULL
 * Status:
 *   OXT_EPARSE with the number of faults and the first one in the error; OXT_EARG a name or values are
 *   NULL, or codes are of a kind that has none; OXT_ENOMEM
 * Notes:
 *   1. The names and rules are those of oxt_trials_read_csv. A missing value is an empty cell, and a row of
 *      missing values is skipped.
 *   2. Texts that repeat are best given as codes: each text is then checked once.
 */
OXT_API oxt_status oxt_trials_add_columns(oxt_trials *trials, size_t row_count,
                                          const oxt_column *const *columns, size_t column_count,
                                          oxt_faults **faults, oxt_error *error);

/**
 * The numbers of a column of a log, by its name in the file that oxt_trials_write_csv writes of a log in K: bath_K,
 * time_s, thickness_nm, L, a, b, part_m, start_K, transfer_W_per_m2K, lift_s, bath_sd_K, time_sd_s,
 * thickness_sd_nm, colour_tolerance; or line.
 *
 * Given:
 *   trials   the log
 *   name     of the column
 *   count    of values that there is room for, at least oxt_trials_count
 *   stride   bytes from one value to the next
 * Returned:
 *   values   a number for each trial, NaN where the trial has none
 * Status:
 *   OXT_EARG there is no such column, or no room
 */
OXT_API oxt_status oxt_trials_numbers(const oxt_trials *trials, const char *name, size_t count,
                                      double *values, ptrdiff_t stride, oxt_error *error);

/**
 * The texts of a column of a log as codes: steel, finish, colour, srgb, note, day, shape, lifted. Trials with the same code
 * have the same text (oxt_trials_text), and codes stay the same when the log grows.
 *
 * Given:
 *   trials   the log
 *   name     of the column
 *   count    of codes that there is room for, at least oxt_trials_count
 *   stride   bytes from one code to the next
 * Returned:
 *   codes    for each trial the number of its text, from 0; -1 where it has no colour, no sRGB, no day, no
 *            shape or no lifted; a finish or a note that is not there is the text ""
 * Status:
 *   OXT_EARG there is no such column, or no room
 */
OXT_API oxt_status oxt_trials_codes(const oxt_trials *trials, const char *name, size_t count,
                                    int32_t *codes, ptrdiff_t stride, oxt_error *error);

/**
 * The text of a column of a log at one trial: steel, finish, colour, srgb, note, day, shape, lifted.
 *
 * Given:
 *   trials              the log
 *   name                of the column
 *   index               0 to oxt_trials_count - 1
 *   buffer, capacity    where the text goes, "" where the trial has none
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EARG, OXT_ESPACE
 */
OXT_API oxt_status oxt_trials_text(const oxt_trials *trials, const char *name, size_t index,
                                   char *buffer, size_t capacity, size_t *needed, oxt_error *error);

/**
 * Scale on which the baths of a log were typed, for reports of it: that of the column's name, or of the
 * first cell that states its own, as "650 F" does.
 *
 * Given:
 *   trials   the log
 * Returned:
 *   the scale; OXT_UNIT_CELSIUS for a log of oxt_trials_add alone, unless oxt_trials_set_unit set another,
 *   and for NULL
 */
OXT_API oxt_temperature_unit oxt_trials_unit(const oxt_trials *trials);

/**
 * Set the scale on which the baths of a log were typed, for a log that was not read from a file or a table. It
 * changes no trial.
 *
 * Given:
 *   trials   the log
 *   unit     the scale
 * Status:
 *   OXT_EARG
 */
OXT_API oxt_status oxt_trials_set_unit(oxt_trials *trials, oxt_temperature_unit unit,
                                       oxt_error *error);

/**
 * State how the coupons of a log were run, for those of its trials that do not say it themselves.
 *
 * Given:
 *   trials   the log
 *   part     the coupon, whose size, shape, start and transfer count; the rest as in OXT_PART_INIT; NULL: not stated
 *   lift     its way to the quench, whose delay counts; the air as in OXT_LIFT_INIT; NULL: not stated
 * Status:
 *   OXT_EARG, OXT_EDOMAIN also a start hotter than the coldest bath of the log, OXT_ENOMEM; the log is as it was
 * Notes:
 *   A fit then allows for their heating up and for their growth on the way to the quench, and its card holds for the
 *   steel itself. A coupon that is named for a dip alone (oxt_dip_options) cannot do that: by then its heating up is in
 *   the constants.
 */
OXT_API oxt_status oxt_trials_set_coupon(oxt_trials *trials, const oxt_part *part,
                                         const oxt_lift *lift, oxt_error *error);

/**
 * The separator of a CSV text: the comma, semicolon or tab by which most columns of its header are known, or
 * the one that its first line states ("sep=;"). Logs are read by the same rule.
 *
 * Given:
 *   text, length   the text, UTF-8; length in bytes
 *   columns        the names that its columns may have, in any case
 *   column_count   of them, 1 to 32
 * Returned:
 *   separator      one character; ',' for a text without a header
 *   faults         all faults, or NULL; the argument itself may be NULL
 * Status:
 *   OXT_EPARSE two separators make equally many columns known, or another one is stated; OXT_EARG,
 *   OXT_EDOMAIN, OXT_ENOMEM
 */
OXT_API oxt_status oxt_trials_csv_separator(char *separator, const char *text, size_t length,
                                            const char *const *columns, size_t column_count,
                                            oxt_faults **faults, oxt_error *error);

/**
 * Read a log from a CSV file, UTF-8, with a header line, or from the text of one.
 *
 * Given:
 *   path           name of the file; with a text it only names the text in messages, and may be NULL
 *   text, length   the text (notes 1 to 4), in bytes, which is read instead of a file; NULL for none
 *   words          a shop's own words for colours, as in oxt_trials_new; NULL for none
 * Returned:
 *   trials         the whole log, or NULL when anything is wrong: nothing is half-loaded
 *   faults         when the contents are at fault: all faults (beyond 1000 they are only counted), to be
 *                  freed with oxt_faults_free; else NULL. The argument itself may be NULL
 * Status:
 *   OXT_EPARSE with the number of faults and the first one in the error; OXT_EARG, OXT_EIO, OXT_ENOMEM
 * Notes:
 *   1. Columns, in any order and any case: steel; finish (may be missing); bath_F, bath_C or bath_K; time_s,
 *      time_min or time_h; at least one of colour (or color), thickness_nm, L with a and b, srgb; note. The
 *      unit may also be in brackets: "bath (F)". A column bath or time without a unit holds texts with units,
 *      such as "650 F" or "1:30". Every line gives exactly one thing seen.
 *   2. What else may be known of a coupon, an empty cell where it is not: part_mm, part_cm, part_in or part_m
 *      (its size), with it shape (plate, cylinder, sphere or any), start_F, start_C or start_K, and
 *      transfer_W_per_m2K; lift_s or lift_min; bath_sd_F, bath_sd_C or bath_sd_K, a difference of temperature;
 *      time_sd_s, time_sd_min or time_sd_h; thickness_sd_nm; colour_tolerance; day, any text up to 31 bytes;
 *      lifted (first, middle, last or after). They take brackets too, and
 *      texts with units where the name has none: part, start, lift, bath_sd, time_sd.
 *   3. Other columns are kept as notes. Blank lines and lines that begin with # are skipped.
 *   4. The separator is found from the header: comma, semicolon or tab. Numbers have a decimal point or a
 *      decimal comma, the same in the whole file. What can be read in two ways is refused (docs/reference/columns.md).
 */
OXT_API oxt_status oxt_trials_read_csv(oxt_trials **trials, const char *path, const char *text,
                                       size_t length, const oxt_words *words, oxt_faults **faults,
                                       oxt_error *error);

/**
 * Write a log as CSV that oxt_trials_read_csv reads back to the same trials, number for number. Of
 * the columns that may be missing, those that some trial states are written. The baths are in the scale of the log,
 * where one was stated or set (oxt_trials_unit) and each of them is read back from it to the same number; else in K.
 * The file appears whole or not at all.
 *
 * Given:
 *   trials    the log
 *   path      name of the file; an older log of that name is replaced
 *   replace   what else may be replaced
 * Status:
 *   OXT_EARG; OXT_EEXIST there is a file that is no log; OXT_EIO, OXT_ENOMEM
 */
OXT_API oxt_status oxt_trials_write_csv(const oxt_trials *trials, const char *path,
                                        oxt_replace replace, oxt_error *error);

/**
 * Write a log as CSV text into a buffer.
 *
 * Given:
 *   trials              the log
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_ESPACE, OXT_ENOMEM
 */
OXT_API oxt_status oxt_trials_write_csv_text(const oxt_trials *trials, char *buffer,
                                             size_t capacity, size_t *needed, oxt_error *error);

/**
 * Number of trials in a log.
 *
 * Given:
 *   trials   the log
 * Returned:
 *   the number; 0 for NULL
 */
OXT_API size_t oxt_trials_count(const oxt_trials *trials);

/**
 * One trial of a log, without its note (oxt_trials_text).
 *
 * Given:
 *   trials   the log
 *   index    0 to oxt_trials_count - 1
 * Returned:
 *   trial    a copy
 * Status:
 *   OXT_EARG
 */
OXT_API oxt_status oxt_trials_get(const oxt_trials *trials, size_t index, oxt_trial *trial,
                                  oxt_error *error);

/**
 * One steel with one finish of a log, and how many trials it has, in a time that does not grow with the log.
 *
 * Given:
 *   trials   the log
 *   index    from 0, in the order in which they first appear; a log with a trial has at least one
 * Returned:
 *   group    a copy
 * Status:
 *   OXT_EARG
 */
OXT_API oxt_status oxt_trials_group(const oxt_trials *trials, size_t index, oxt_trial_group *group,
                                    oxt_error *error);

OXT_END_DECLS

#endif
