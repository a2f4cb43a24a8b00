/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file steel.h: what is known of one steel with one finish, and its card on disk (JSON). */
#ifndef OXTINT_STEEL_H
#define OXTINT_STEEL_H

#include "oxtint/file.h"
#include "oxtint/heat.h"
#include "oxtint/words.h"

/* Version of the card's format: a newer minor version is read, a newer major one is refused. */
#define OXT_CARD_MAJOR 1
#define OXT_CARD_MINOR 4

/** What the constants of a card describe. */
typedef enum oxt_basis {
    OXT_BASIS_COUPONS = 0, /* films on the coupons of the trials: their heating-up and their lift are
                              inside the constants; also every card written before format 1.2 */
    OXT_BASIS_STEEL = 1    /* the steel itself at temperature: the trials stated their coupons, and the
                              fit included the thermal path of each */
} oxt_basis;

/** Everything that a card holds. */
typedef struct oxt_steel_values {
    size_t struct_size;
    char steel[64];          /* name of the steel, not empty */
    char finish[64];         /* name of the finish, may be empty */
    oxt_growth growth;       /* k_ref, T_ref, Q */
    double variance_ln_k;    /* variance of ln k_ref, >= 0 */
    double covariance_J_per_mol;   /* covariance of ln k_ref and Q, J/mol */
    double variance_Q_J2_per_mol2; /* variance of Q, (J/mol)^2, >= 0 */
    double scatter;          /* scatter of one dip: standard deviation of ln x, >= 0 */
    double dof;              /* degrees of freedom behind the variances, > 0 */
    double bath_low_K;       /* K    coldest bath of the trials, > 0 */
    double bath_high_K;      /* K    hottest bath of the trials */
    double thickness_low_nm; /* nm   thinnest film of the trials, > 0 */
    double thickness_high_nm; /* nm  thickest film of the trials */
    size_t trial_count;      /* number of trials used */
    char description[128];   /* film that the trials were read with, as oxt_film_description */
    char origin[128];        /* where the numbers come from, in words */
    oxt_basis basis;         /* what the constants describe; OXT_BASIS_COUPONS */
    /* The usual coupon, which every prediction takes as its part and lift unless others are named. Which
     * one it is, see oxt_fit_steel. Stated only where basis is OXT_BASIS_STEEL. */
    oxt_shape coupon_shape;  /* OXT_SHAPE_PLATE */
    double coupon_size_m;    /* m          see oxt_shape, 0 to 1; 0: at bath temperature at once */
    double coupon_start_K;   /* K          temperature before the dip, 200 to OXT_BATH_HIGH_K; 0: 293.15 */
    double coupon_transfer_W_per_m2K; /* W/(m^2 K)  heat transfer of the bath, 0 to 1e6; 0: 600 */
    double coupon_lift_s;    /* s          from leaving the bath to the quench, 0 to 3600 */
    double coupon_size_low_m;  /* m        smallest and largest size of the coupons, with the usual one */
    double coupon_size_high_m; /*          between them; both 0: all as the usual one */
    double coupon_lift_low_s;  /* s        shortest and longest lift, likewise */
    double coupon_lift_high_s;
    /* From here on oxt_steel_get fills what oxt_steel_new takes no notice of. */
    size_t change_count;     /* things that were done to the card after it was made (oxt_steel_history) */
    uint32_t cautions;       /* bits of oxt_caution about the baths of the trials: those of every salt bath,
                                and those of the coldest and the hottest one, for a salt that is not stated; and
                                OXT_CAUTION_BROKEN_PROMISES (oxt_record.kept, of a false alarm of 0.01) */
    size_t record_count;     /* dips by the card that were recorded (oxt_record_add) */
    double scatter_dof;      /* degrees of freedom behind the scatter, >= 0; 0: those of the variances */
    double time_exponent;    /* as in oxt_fit_values, 0 to 1; 0: not known */
    double time_exponent_stderr; /* >= 0 */
    double middle_nm;        /* nm   >= 0 */
    double day_sd;           /* standard deviation of ln x from one day to the next, >= 0, which a dip on another
                                day has beside its scatter; 0: not known (oxt_steel_new takes it) */
    double ln_shape_stderr;  /* standard error of ln of the law's shape, >= 0; 0: given, or none (oxt_steel_new takes
                                it) */
    double initial_stderr_nm2; /* nm^2   standard error of the exposure that the film before every dip stands for
                                (oxt_growth.initial_nm), >= 0; 0: known, or none (oxt_steel_new takes it) */
} oxt_steel_values;

#define OXT_STEEL_VALUES_INIT                                                                  \
    { sizeof(oxt_steel_values), "", "", OXT_GROWTH_INIT, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, \
      0.0, 0, "", "", OXT_BASIS_COUPONS, OXT_SHAPE_PLATE, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0, 0, 0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0 }

/** One thing that was done to a card after it was made. */
typedef struct oxt_steel_change {
    size_t struct_size;
    char what[192];                /* what was done and found, in words */
    char label[64];                /* the caller's own, such as a date; may be empty */
    double k_ref_before_nm2_per_s; /* nm^2/s   rate at T_ref before and after, > 0 */
    double k_ref_after_nm2_per_s;
    size_t trial_count;            /* coupons that it was done with */
    char origin[128];              /* where the numbers before came from, in words */
} oxt_steel_change;

#define OXT_STEEL_CHANGE_INIT { sizeof(oxt_steel_change), "", "", 0.0, 0.0, 0, "" }

/* A card keeps so many recorded dips; of more the oldest go. */
#define OXT_RECORD_MOST 500

/** A dip by a card: what was promised, and what came out. */
typedef struct oxt_recorded_dip {
    size_t struct_size;
    double bath_K;        /* K   as its thermometer read, OXT_BATH_LOW_K to OXT_BATH_HIGH_K */
    double time_s;        /* s   when it was lifted, above 0, up to OXT_TIME_HIGH_S */
    double low_nm;        /* nm  bounds of what was wanted, 0 or more */
    double high_nm;
    double chance;        /* 0 to 1: promised, of the wanted colour; -1: it was lifted at another time than
                             predicted, so that nothing was promised */
    int hit;              /* 1 when the wanted colour came out */
    double k_ref_nm2_per_s; /* nm^2/s   rate of the card that promised it */
    oxt_shape part_shape; /* of the part */
    double part_size_m;   /* m   see oxt_shape; 0: as the coupons of the card */
    double lift_s;        /* s   from leaving the bath to the quench; 0: as the coupons */
    char target[48];      /* what was wanted, in words */
    char seen[64];        /* what came out, as it was typed */
    char label[64];       /* the caller's own, such as a date; may be empty */
    double coupon_time_s; /* s   when a coupon of the card would have been lifted with the same film, as in
                             oxt_dip; 0: as the part, or the constants stand for the steel itself */
} oxt_recorded_dip;

#define OXT_RECORDED_DIP_INIT                                                                          \
    { sizeof(oxt_recorded_dip), 0.0, 0.0, 0.0, 0.0, 0.0, 0, 0.0, OXT_SHAPE_PLATE, 0.0, 0.0, "", "", "", \
      0.0 }

/** One steel with one finish: opaque, immutable, shared freely between threads. */
typedef struct oxt_steel oxt_steel;

OXT_BEGIN_DECLS

/**
 * A steel from known values, for example from another source than oxtint's own fit.
 *
 * Given:
 *   values   the values; ranges as in oxt_steel_values, the covariance matrix not indefinite
 * Returned:
 *   steel    free it with oxt_steel_free
 * Status:
 *   OXT_EDOMAIN, OXT_EARG empty name, OXT_ENOMEM
 */
OXT_API oxt_status oxt_steel_new(oxt_steel **steel, const oxt_steel_values *values,
                                 oxt_error *error);

/**
 * Free a steel.
 *
 * Given:
 *   steel   NULL is ignored
 */
OXT_API void oxt_steel_free(oxt_steel *steel);

/**
 * The values of a steel.
 *
 * Given:
 *   steel    the steel
 * Returned:
 *   values   a copy
 * Status:
 *   OXT_EARG
 */
OXT_API oxt_status oxt_steel_get(const oxt_steel *steel, oxt_steel_values *values,
                                 oxt_error *error);

/**
 * How the coupons of a card were run, in words: "2 mm plate, 4 s to the quench; sizes 2 mm to 25 mm", or
 * "not stated" where their path is inside the constants.
 *
 * Given:
 *   steel               the steel
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EARG, OXT_ESPACE
 */
OXT_API oxt_status oxt_steel_coupon_text(const oxt_steel *steel, char *buffer, size_t capacity,
                                         size_t *needed, oxt_error *error);

/**
 * The shop's own words that a card keeps: those of the log that it was fitted to, or else those of the film.
 * A film with these words (oxt_film_options) reads targets and prints names in them.
 *
 * Given:
 *   steel   the steel
 * Returned:
 *   words   a copy, or NULL where the card has none; free it with oxt_words_free. The line of each word is 0
 *           where the card was loaded
 * Status:
 *   OXT_EARG, OXT_ENOMEM
 */
OXT_API oxt_status oxt_steel_words(const oxt_steel *steel, oxt_words **words, oxt_error *error);

/**
 * The same steel with other words, all else the same.
 *
 * Given:
 *   steel      the steel
 *   words      the shop's own words, which are copied; NULL for none
 * Returned:
 *   reworded   free it with oxt_steel_free
 * Status:
 *   OXT_EARG, OXT_ENOMEM
 */
OXT_API oxt_status oxt_steel_with_words(oxt_steel **reworded, const oxt_steel *steel,
                                        const oxt_words *words, oxt_error *error);

/**
 * One thing that was done to a card after it was made.
 *
 * Given:
 *   steel   the steel
 *   index   0 to change_count - 1 of oxt_steel_values, the oldest first
 * Returned:
 *   entry   a copy
 * Status:
 *   OXT_EARG
 */
OXT_API oxt_status oxt_steel_history(const oxt_steel *steel, size_t index, oxt_steel_change *entry,
                                     oxt_error *error);

/**
 * One dip that was recorded with a card.
 *
 * Given:
 *   steel   the steel
 *   index   0 to record_count - 1 of oxt_steel_values, the oldest first
 * Returned:
 *   dip     a copy
 * Status:
 *   OXT_EARG
 */
OXT_API oxt_status oxt_steel_recorded_dip(const oxt_steel *steel, size_t index, oxt_recorded_dip *dip,
                                          oxt_error *error);

/**
 * Load a steel from its card, or from the text of one.
 *
 * Given:
 *   path           name of the file; with a text it only names the text in messages, and may be NULL
 *   text, length   the JSON text, in bytes, which is read instead of a file; NULL for none
 * Returned:
 *   steel          free it with oxt_steel_free
 * Status:
 *   OXT_EIO; OXT_EPARSE damaged (the message names the place), OXT_EDOMAIN a value out of range,
 *   OXT_EVERSION written by a newer major version; OXT_EARG, OXT_ENOMEM
 */
OXT_API oxt_status oxt_steel_load(oxt_steel **steel, const char *path, const char *text,
                                  size_t length, oxt_error *error);

/**
 * Save a steel as a card that loads back number for number. The file appears whole or not at all.
 *
 * Given:
 *   steel     the steel
 *   path      name of the file; an older card of that name is replaced
 *   replace   what else may be replaced
 * Status:
 *   OXT_EARG; OXT_EEXIST there is a file that is no card; OXT_EIO, OXT_ENOMEM
 */
OXT_API oxt_status oxt_steel_save(const oxt_steel *steel, const char *path, oxt_replace replace,
                                  oxt_error *error);

/**
 * Write the text of a steel's card into a buffer.
 *
 * Given:
 *   steel               the steel
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_ESPACE, OXT_ENOMEM
 */
OXT_API oxt_status oxt_steel_save_text(const oxt_steel *steel, char *buffer, size_t capacity,
                                       size_t *needed, oxt_error *error);

OXT_END_DECLS

#endif
