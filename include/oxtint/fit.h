/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file fit.h: trials -> growth constants, with standard errors.
 *
 * Weighted least squares of ln k_ref and Q on ln x. The weight of a row comes from the width of
 * what was seen (a trade name is a band of thickness) and from the scatter of the process, which is
 * estimated from the rows. Errors of the logged baths and times, robust weights and a prior can be added.
 *
 * Sources: moments of rows: T. F. Chan, G. H. Golub and R. J. LeVeque, American Statistician 37 (1983)
 * 242; scatter by restricted likelihood: H. D. Patterson and R. Thompson,
 * Biometrika 58 (1971) 545; AICc: C. M. Hurvich and C.-L. Tsai, Biometrika 76 (1989) 297; all
 * from memory. Errors in both variables: J. Orear, Am. J. Phys. 50 (1982) 912 (effective variance);
 * P. T. Boggs, R. H. Byrd and R. B. Schnabel, SIAM J. Sci. Stat. Comput. 8 (1987) 1052 (orthogonal
 * distance). Robust weights: P. J. Huber, Robust Statistics, 1981 (his weights, his proposal 2 for the
 * scale, his errors); A. E. Beaton and J. W. Tukey, Technometrics 16 (1974) 147. Influence: R. D. Cook,
 * Technometrics 19 (1977) 15. All of these from memory.
 */
#ifndef OXTINT_FIT_H
#define OXTINT_FIT_H

#include "oxtint/film.h"
#include "oxtint/growth.h"
#include "oxtint/prior.h"
#include "oxtint/steel.h"
#include "oxtint/trials.h"
#include "oxtint/units.h"

/** How the errors of the logged baths and times enter. */
typedef enum oxt_errors_in_variables {
    OXT_ERRORS_EFFECTIVE_VARIANCE = 0, /* carried through the model into the variance of the row */
    OXT_ERRORS_ORTHOGONAL = 1          /* the true bath and time of each row are fitted with the constants */
} oxt_errors_in_variables;

/** Weights of rows far from the rest. */
typedef enum oxt_robust {
    OXT_ROBUST_NONE = 0,  /* that of all others */
    OXT_ROBUST_HUBER = 1, /* less, beyond 1.345 times their error */
    OXT_ROBUST_TUKEY = 2  /* less and less, and beyond 4.685 times their error not at all */
} oxt_robust;

/** How a trade name is read. */
typedef enum oxt_names {
    OXT_NAMES_AS_BANDS = 0,  /* somewhere between the band's ends, by the likelihood of the interval,
                                the scatter about the model taken to be 4 % or more */
    OXT_NAMES_AS_MIDDLES = 1 /* the middle of its band, with the band's width as its error; intervals
                                are then too narrow where coupons are repeated */
} oxt_names;

/** How times and baths were read where all that a log of names and colours holds are multiples of a step (of 10 to 60 s,
 * cut ones of 5 s too, of 1 to 5 K or 2 to 10 F), and six different ones occur, or five that are most of them; fewer are
 * settings, which are exact. Steps of 30 s and more are a warning. A log of nothing but measured thicknesses is taken
 * as it is. */
typedef enum oxt_rounding {
    OXT_ROUNDING_NEAREST = 0, /* to the nearest: the step over the root of 12 is their standard deviation */
    OXT_ROUNDING_CUT = 1,     /* times cut, however many differ: half a step is added besides */
    OXT_ROUNDING_NONE = 2     /* they are exact, as settings are */
} oxt_rounding;

/** What may be chosen about a fit. */
typedef struct oxt_fit_options {
    size_t struct_size;
    const char *steel;            /* only trials of this steel; NULL when the log holds just one */
    const char *finish;           /* only trials of this finish; NULL for all */
    double Q_J_per_mol;           /* J/mol   hold Q at this value, > 0, up to 1e6; 0 to fit it */
    double Q_stderr_J_per_mol;    /* J/mol   standard error of a held Q, 0 to 1e6 */
    double scatter;               /* scatter of ln x, 0 to 10; -1 to 0: estimated; -1 */
    double thickness_uncertainty; /* relative standard error of a measured thickness, > 0, up to 1; 0.02 */
    double colour_tolerance;      /* CIEDE2000 by which a measured colour may be wrong, > 0, up to 50; 3 */
    double confidence;            /* of the intervals, 0.5 to 0.9999; 0.95 */
    double bath_sd_K;             /* K   standard deviation of each logged bath, 0 to 100; 0 */
    double time_sd_s;             /* s   standard deviation of each logged time, 0 to OXT_TIME_HIGH_S;
                                     0 */
    oxt_errors_in_variables errors_in_variables; /* how these two enter */
    oxt_robust robust;            /* weights of rows far from the rest */
    const oxt_prior *prior;       /* what is known beforehand; NULL: nothing */
    oxt_names names;              /* how a trade name is read */
    oxt_progress_function progress; /* told now and then, the last time with 1; NULL for none */
    void *user;                   /* handed to `progress` */
    oxt_lifted lifted;            /* where in the band of its colour a coupon was lifted that states nothing */
    oxt_rounding rounding;        /* of times and baths whose errors are not stated */
    double reader_sd;             /* standard deviation of ln thickness by which who gave the names may see each colour
                                     begin and end elsewhere than the film has it, 0 to 1; 0: nowhere else. What it
                                     really is, is fitted where the log holds measured films or colours too [5] */
    oxt_law law;                  /* by which the film grows [6] */
    double law_shape;             /* of the law, ranges as in oxt_growth; 0: fitted */
    double ln_shape_sd;           /* standard deviation of ln shape about this shape, 0 to 10, with which it is fitted;
                                     0: it is held */
    double law_middle_nm;         /* nm   film at which the law is scaled, 1 to 1000; 0: the middle one of the trials */
    int with_initial;             /* 1: the film that every coupon had before its dip is fitted [7]; 0: bare steel */
} oxt_fit_options;

#define OXT_FIT_OPTIONS_INIT                                                                  \
    { sizeof(oxt_fit_options), NULL, NULL, 0.0, 0.0, -1.0, 0.02, 3.0, 0.95, 0.0, 0.0,         \
      OXT_ERRORS_EFFECTIVE_VARIANCE, OXT_ROBUST_NONE, NULL, OXT_NAMES_AS_BANDS, NULL, NULL,       \
      OXT_LIFTED_NOT_STATED, OXT_ROUNDING_NEAREST, 0.0, OXT_LAW_PARABOLIC, 0.0, 0.0, 0.0, 0 }

/** The numbers of a fit. */
typedef struct oxt_fit_values {
    size_t struct_size;
    oxt_growth growth;            /* k_ref, T_ref, Q */
    double ln_k_stderr;           /* standard error of ln k_ref (relative error of k_ref) */
    double Q_stderr_J_per_mol;    /* J/mol */
    double variance_ln_k;         /* variance of ln k_ref */
    double covariance_J_per_mol;  /* covariance of ln k_ref and Q */
    double variance_Q_J2_per_mol2; /* variance of Q */
    double correlation;           /* of ln k_ref and Q; NaN when Q was held without an error */
    double confidence;            /* of the four limits below */
    double k_ref_low_nm2_per_s;   /* nm^2/s   limits of k_ref, Student's t on ln k_ref */
    double k_ref_high_nm2_per_s;
    double Q_low_J_per_mol;       /* J/mol    limits of Q, Student's t; NaN when Q was held */
    double Q_high_J_per_mol;
    double scatter;               /* standard deviation of ln x from one dip to the next: of Student's t with
                                     scatter_dof degrees of freedom */
    double chi_square;            /* sum of squared residuals over their variances, each times its
                                     weight, a prior's own among them */
    double dof;                   /* degrees of freedom of the errors of the constants: where the scatter
                                     was estimated by what is known of it, which a dozen coupons and what
                                     is usual determine; where it was given rows used, one more for each
                                     part of a prior, less parameters fitted, with a prior at least 4, and
                                     where errors of baths or times are stated over the square of the share
                                     of the variance that is not stated (JCGM 100:2008, G.4) */
    double reduced_chi_square;    /* chi-square over the degrees of freedom of the rows alone; about 1
                                     where scatter was estimated, less where the rows agree better
                                     than the widths of their colours */
    double r_squared;             /* share of the weighted variance of ln x explained; NaN when all
                                     rows show the same film */
    double aicc;                  /* corrected Akaike criterion; NaN with too few rows */
    double condition;             /* condition number of the scaled design, 1 = best */
    size_t row_count;             /* trials of this steel and finish */
    size_t used_count;            /* of which used; oxt_fit_row has the reason for each other */
    int Q_held;                   /* 1 when Q was given, 0 when it was fitted */
    double prior_share_Q;         /* 0 to 1: share of the information on Q that comes from the prior: 1
                                     less that of the trials over that of both */
    double prior_share_ln_k;      /* the same of ln k_ref */
    size_t warning_count;         /* sentences that oxt_fit_warning gives */
    double scatter_dof;           /* degrees of freedom behind the scatter, with the day's deviation: the less,
                                     the less is known of it; dof where it was given */
    double time_exponent;         /* m of x growing as time^m, from the rows alone; 1/2 where growth is
                                     parabolic; 0 with fewer than 6 rows, or where time and bath changed
                                     together */
    double time_exponent_stderr;  /* its standard error; 0 as above */
    double middle_nm;             /* nm   film about which the law bends: the middle one; 0 as above */
    size_t day_count;             /* days that the used trials state, each that states none counting as
                                     one; 0: no trial states one */
    double day_sd;                /* standard deviation of ln x from one day to the next, beside the
                                     scatter; 0 with fewer than two days */
    double reader_offset;         /* of ln thickness by which the reader's names lie at thicker films than those of the
                                     film; 0 where it was not fitted */
    double reader_offset_stderr;  /* its standard error; reader_sd where it was not fitted */
    double ln_shape_stderr;       /* standard error of ln of the shape in `growth`; 0 where it was held, or the law is
                                     parabolic */
    double initial_stderr_nm2;    /* nm^2   standard error of the exposure that the film before every dip stands for
                                     (growth.initial_nm); 0 where it was not fitted */
    oxt_temperature_unit unit;    /* of the log, for reports: oxt_trials_unit when it was read */
} oxt_fit_values;

#define OXT_FIT_VALUES_INIT                                                                   \
    { sizeof(oxt_fit_values), OXT_GROWTH_INIT, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, \
      0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0, 0, 0, 0.0, 0.0, 0, 0.0, 0.0, 0.0, 0.0, 0, 0.0, \
      0.0, 0.0, 0.0, 0.0, OXT_UNIT_CELSIUS }

/** One trial as the fit read it. */
typedef struct oxt_fit_row {
    size_t struct_size;
    size_t trial;          /* index in the log, from 0 */
    size_t line;           /* line of the file, 0 when there was none */
    int used;              /* 1 when it was used */
    int order;             /* order of interference that it was read in, 0 for a thickness */
    double low_nm;         /* nm   interval of thickness that was seen */
    double high_nm;
    double observed_nm;    /* nm   geometric mean of the interval, NaN when not used */
    double predicted_nm;   /* nm   by the fit */
    double residual;       /* ln(observed / predicted), NaN when not used */
    double sigma;          /* standard deviation of the residual: width seen, scatter, and the errors
                              of bath and time; a band counts with its width over the root of 12 */
    double studentized;    /* residual over its own standard error, the row left out; NaN when not
                              used or when no degree of freedom is left */
    double leverage;       /* 0 to 1: share of its own prediction that the row determines */
    char reason[64];       /* why it was not used, "" when it was */
    double weight;         /* 0 to 1: its robust weight, 1 without them; NaN when not used */
    double cooks_distance; /* by how much the constants move when it is left out, in their errors;
                              NaN when not used or when it alone determines a constant */
    double dip_change;     /* change of ln of the time of any dip in its bath when it is left out; NaN
                              as above */
    double equivalent_s;        /* s   equivalent time at bath temperature, with heating up and lift where
                              the trial states them; NaN when not used */
} oxt_fit_row;

#define OXT_FIT_ROW_INIT                                                                      \
    { sizeof(oxt_fit_row), 0, 0, 0, 0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, "", 0.0, 0.0, 0.0, \
      0.0 }

/** A finished fit: opaque, immutable, shared freely between threads. */
typedef struct oxt_fit oxt_fit;

OXT_BEGIN_DECLS

/**
 * Fit the growth constants of one steel.
 *
 * Given:
 *   trials    the log (notes 1 and 2); like the film not read any more once `progress` is called
 *   film      the film that colours are read with
 *   options   NULL for the usual ones (notes 3 to 7)
 * Returned:
 *   fit       free it with oxt_fit_free
 * Status:
 *   OXT_EARG the log holds several steels and none is chosen, no trial matches, a choice that is
 *   none, or a Q both held and in the prior;
 *   OXT_EFEW fewer than 3 usable rows (2 with Q held, one less for each part of a prior); OXT_EIDENT
 *   all baths within 5 K, or a design that determines Q more than 20 times less well than the rate
 *   (neither where the prior includes Q), hotter baths gave no thicker films, or robust weights leave too
 *   few rows; OXT_ENOCONV; OXT_EDOMAIN; OXT_ECANCEL `progress` asked to stop; OXT_ENOMEM
 * Notes:
 *   1. A trial that states its part or lift enters with its equivalent time at bath temperature: the
 *   constants are then those of the steel itself, and a dip needs no coupon. Errors that a row states
 *   override the options.
 *   2. "bright" bounds the film from above only, and is left out. A colour that occurs in two orders is read
 *   in the first unless the other trials contradict it; every other reading is a warning.
 *   3. A prior enters as one or two more observations. A held Q stays where it is, and its error is carried
 *   through; give a prior instead where the trials are to count too.
 *   4. Influence (cooks_distance, dip_change) is that of the linearised problem at the weights found, by a
 *   rank-one update: what a fit without the row gives when scatter and weights stay.
 *   5. The offset is a draw with that standard deviation, found with the constants by its likelihood, and its error
 *   goes into theirs. The rows are then those of the reader's bands, and the steel of the fit has them as words: a
 *   target that is named is what this reader calls so. Without a measured film nothing tells the offset: the names
 *   are taken as they are, which is right for a dip that the same eyes judge; oxt_dip_options.reader_sd is for others.
 *   6. Under another law than the parabolic one each film stands for that film of the parabolic law which takes as long;
 *   scatter is then half of that of ln time. The shape is fitted by its likelihood with the constants, and its error goes
 *   into theirs; it takes coupons of at least three films whose times differ apart from their baths, and 6 rows. Such a
 *   fit has no time_exponent, and no reader_sd.
 *   7. x0 in G(x) = G(x0) + E, found as G(x0), from 0 to nine tenths of that of the thinnest film, by its likelihood with
 *   the constants, whose rate is again that of the middle film. It takes 6 rows whose films differ by a factor of 1.5,
 *   and a shape that is held: a film before and another law bend the growth of thin films alike. What grows beyond it
 *   has the scatter. Cards, and whatever is predicted from them, have it as the film of every part.
 */
OXT_API oxt_status oxt_fit_run(oxt_fit **fit, const oxt_trials *trials, const oxt_film *film,
                               const oxt_fit_options *options, oxt_error *error);

/**
 * Free a fit.
 *
 * Given:
 *   fit   NULL is ignored
 */
OXT_API void oxt_fit_free(oxt_fit *fit);

/**
 * The numbers of a fit.
 *
 * Given:
 *   fit      the fit
 * Returned:
 *   values   a copy
 * Status:
 *   OXT_EARG
 */
OXT_API oxt_status oxt_fit_get(const oxt_fit *fit, oxt_fit_values *values, oxt_error *error);

/**
 * One trial as the fit read it.
 *
 * Given:
 *   fit     the fit
 *   index   0 to row_count - 1, in the order of the log
 * Returned:
 *   row     a copy
 * Status:
 *   OXT_EARG
 */
OXT_API oxt_status oxt_fit_get_row(const oxt_fit *fit, size_t index, oxt_fit_row *row,
                                   oxt_error *error);

/**
 * One warning of a fit, a sentence.
 *
 * Given:
 *   fit                 the fit
 *   index               0 to warning_count - 1 of oxt_fit_values
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EARG, OXT_ESPACE
 */
OXT_API oxt_status oxt_fit_warning(const oxt_fit *fit, size_t index, char *buffer, size_t capacity,
                                   size_t *needed, oxt_error *error);

/**
 * The fit as a report to read at the bench: the constants, warnings, the most influential
 * coupons, the numbers.
 *
 * Given:
 *   fit                 the fit
 *   unit                scale for temperatures
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EARG, OXT_ESPACE, OXT_ENOMEM
 */
OXT_API oxt_status oxt_fit_report(const oxt_fit *fit, oxt_temperature_unit unit, char *buffer,
                                  size_t capacity, size_t *needed, oxt_error *error);

/**
 * The steel of a fit.
 *
 * Given:
 *   fit     the fit
 * Returned:
 *   steel   free it with oxt_steel_free
 * Status:
 *   OXT_EARG, OXT_ENOMEM
 * Notes:
 *   1. Where some trial states its part or its lift, the fit included the thermal path of each, and the
 *   constants are those of the steel itself (oxt_steel_values.basis). Its usual coupon is then the middle one
 *   of those that state a part, by volume over surface, start and heat transfer, with the middle one of their
 *   lifts; of two in the middle the lower.
 *   2. A trial that states no part where others do is taken to be that coupon, with its lift where it states
 *   none, and a warning says so. Where lifts alone are stated, the usual coupon has no size, and a trial
 *   without a lift was quenched at once.
 */
OXT_API oxt_status oxt_fit_steel(const oxt_fit *fit, oxt_steel **steel, oxt_error *error);

/**
 * A fit, with its rows and warnings, as JSON, for machines: fields by their names here, numbers in their units, null for what is not finite.
 *
 * Given:
 *   fit                 the fit
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EARG, OXT_ESPACE, OXT_ENOMEM
 */
OXT_API oxt_status oxt_fit_json(const oxt_fit *fit, char *buffer, size_t capacity,
                                size_t *needed, oxt_error *error);

OXT_END_DECLS

#endif
