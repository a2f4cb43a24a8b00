/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file laws.h: is growth parabolic at all? Laws of growth compared on the trials of one fit.
 *
 * Every law is separable, G(x) = G(x0) + E with the exposure E = k(T) t, so a coupon's thermal
 * path through bath and air has the same equivalent time under each of them. Each is fitted to ln x by
 * weighted least squares, with the rows and the errors of a finished fit. This is a diagnosis: a fit by another law
 * (oxt_fit_options.law) makes a card by it.
 *
 *   law                G(x)                  shape
 *   parabolic          x^2                   -
 *   power              x^n                   n, 1 to 12
 *   linear-parabolic   x^2 + A x             A in nm; 0 is parabolic, very large is linear
 *   logarithmic        L (exp(x/L) - 1)      L in nm; very large is linear
 *
 * The exponent n of the power law is the plain diagnostic: x grows as time^(1/n).
 *
 * Sources: parabolic and linear-parabolic: C. Wagner, Z. phys. Chem. B21 (1933) 25; B. E. Deal and A. S.
 * Grove, J. Appl. Phys. 36 (1965) 3770. Interference colours of steels in air: the local exponent falls
 * from 100 or more for thin films to about 2 for thick ones: D. J. McAdam and G. W. Geil, J. Res. Natl.
 * Bur. Stand. 23 (1939) 63 (abstract; volume and page from memory). AICc: C. M. Hurvich and C.-L. Tsai,
 * Biometrika 76 (1989) 297. Weights: K. P. Burnham and D. R. Anderson, Model Selection and Multimodel
 * Inference, 2002. Lack of fit: N. R. Draper and H. Smith, Applied Regression Analysis, 1998. All but
 * the abstract from memory.
 */
#ifndef OXTINT_LAWS_H
#define OXTINT_LAWS_H

#include "oxtint/fit.h"

/** What the trials show of the parabolic law. */
typedef enum oxt_laws_verdict {
    OXT_VERDICT_HOLDS = 0,        /* n agrees with 2, and its interval lies within 1.5 to 3 */
    OXT_VERDICT_OPEN = 1,         /* n agrees with 2, but its interval reaches farther: too few trials */
    OXT_VERDICT_CONTRADICTED = 2  /* n differs from 2 at the confidence that was asked for */
} oxt_laws_verdict;

/** What may be chosen about a comparison. */
typedef struct oxt_laws_options {
    size_t struct_size;
    int with_initial;   /* 1: each law may have a film x0 that was there before the dip; 0 */
    double confidence;  /* of the intervals and of the verdict, 0.5 to 0.9999; 0.95 */
    oxt_progress_function progress; /* told now and then, the last time with 1; NULL for none */
    void *user;         /* handed to `progress` */
} oxt_laws_options;

#define OXT_LAWS_OPTIONS_INIT { sizeof(oxt_laws_options), 0, 0.95, NULL, NULL }

/** One law on the trials. All numbers but kind and parameters are NaN when it did not converge. */
typedef struct oxt_law_result {
    size_t struct_size;
    oxt_law kind;
    int converged;             /* 0: no minimum was found for this law */
    size_t parameters;         /* offered to the fit: k_ref, Q, shape, x0; those at a limit count too */
    double k_ref;              /* rate at T_ref_K of oxt_laws_values: nm^2/s, nm^n/s with the power law,
                                  nm/s with the logarithmic */
    double ln_k_stderr;        /* standard error of ln k_ref, the shape being fitted with it */
    double Q_J_per_mol;        /* J/mol   activation energy of this k */
    double Q_stderr_J_per_mol; /* J/mol   0 when Q was held */
    double shape;              /* n, A in nm or L in nm; NaN for the parabolic law */
    double shape_stderr;       /* NaN at a limit */
    double shape_low;          /* Student's t, in 1/n, ln A or ln L; NaN at a limit */
    double shape_high;
    int shape_at_limit;        /* 1: n is 1 or 12, A is 0, L is a hundredth of the middle film, or A or L
                                  is effectively infinite */
    double initial_nm;         /* nm      film before the dip, 0 without with_initial */
    int initial_at_zero;       /* 1: it was asked for, but less than nothing would fit best */
    double chi_square;         /* sum of weighted squares, with the weights of the fit */
    double dof;                /* rows less parameters */
    double aicc;               /* corrected Akaike criterion, the scale of the errors being estimated by
                                  the law as one more parameter */
    double aicc_difference;    /* from the lowest of all laws */
    double weight;             /* 0 to 1: Akaike weight, exp(-difference/2) as a share of the sum */
    double lack_of_fit_F;      /* lack of fit over pure error, both by their degrees of freedom; NaN
                                  where no two coupons were alike (bath within 1 K, time within 2 %) */
    double lack_of_fit_p;      /* chance of so large an F when the law holds */
} oxt_law_result;

#define OXT_LAW_RESULT_INIT                                                                   \
    { sizeof(oxt_law_result), OXT_LAW_PARABOLIC, 0, 0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0, \
      0.0, 0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0 }

/** The numbers of a comparison. */
typedef struct oxt_laws_values {
    size_t struct_size;
    oxt_laws_verdict verdict;
    oxt_law best;      /* of lowest AICc */
    oxt_law rival;     /* the lowest of the others than the parabolic law; parabolic when none
                                 of them converged */
    double exponent;          /* n of the power law; NaN, as all of its numbers, without convergence */
    double exponent_low;      /* limits of n, within 1 to 12; NaN when n is at a limit */
    double exponent_high;
    double F;                 /* power law against the parabolic one, 1 and F_dof degrees of freedom */
    double F_dof;
    double p;                 /* chance of so large an F when the parabolic law holds */
    double T_ref_K;           /* K    middle bath, in 1/T */
    double middle_nm;         /* nm   middle film of the trials, in ln x, by their weights */
    double thinnest_nm;       /* nm   thinnest and thickest film of the trials */
    double thickest_nm;
    double time_ratio_half;   /* time for half the middle film at T_ref_K by the rival over that by the
                                 parabolic law; NaN when the film before the dip is thicker */
    double time_ratio_twice;  /* the same for twice the middle film */
    double confidence;        /* of the intervals and of the verdict */
    size_t row_count;         /* trials compared */
    size_t replicate_count;   /* of them beyond the first of each set of like coupons */
    int Q_held;               /* 1 when Q was held at that of the fit, in every law */
    char sentence[400];       /* what the trials show of the parabolic law, in words */
    oxt_temperature_unit unit;    /* of the log, for reports: oxt_trials_unit when it was read */
} oxt_laws_values;

#define OXT_LAWS_VALUES_INIT                                                                  \
    { sizeof(oxt_laws_values), OXT_VERDICT_HOLDS, OXT_LAW_PARABOLIC, OXT_LAW_PARABOLIC, 0.0, 0.0, \
      0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0, 0, 0, "", OXT_UNIT_CELSIUS }

/** A finished comparison: opaque, immutable, shared freely between threads. */
typedef struct oxt_laws oxt_laws;

OXT_BEGIN_DECLS

/**
 * Compare the laws of growth on the trials of a fit.
 *
 * Given:
 *   fit       a finished fit (notes 1 and 2); not read any more once `progress` is called
 *   options   NULL for the usual ones
 * Returned:
 *   laws      free it with oxt_laws_free
 * Status:
 *   OXT_EARG; OXT_EDOMAIN; OXT_EFEW fewer than 6 rows (5 with Q held, one more with_initial), or fewer
 *   than 3 different films; OXT_EIDENT time and bath changed together, so that the effect
 *   of time cannot be determined; OXT_ENOCONV not even the parabolic law; OXT_ECANCEL `progress` asked to stop; OXT_ENOMEM
 * Notes:
 *   1. Rows have the weights of the fit, with its scatter, at the bath and time that were logged. Only the
 *   ratios of the weights count: each law estimates the scale of the errors anew, because the scatter of a
 *   fit by a wrong law is too large.
 *   2. A Q that the fit held is held in every law, and so is that of a fit whose baths, all within 5 K, did
 *   not determine it. A prior of the fit is not used. A law that does not converge leaves the others alone.
 */
OXT_API oxt_status oxt_laws_run(oxt_laws **laws, const oxt_fit *fit, const oxt_laws_options *options,
                                oxt_error *error);

/**
 * Fit the growth constants by the law that the trials show: the parabolic one unless they contradict it, and then that of
 * lowest AICc.
 *
 * Given:
 *   trials, film, options   as for oxt_fit_run, the law parabolic and without a shape
 * Returned:
 *   fit       free it with oxt_fit_free; a warning says when its law is another than the parabolic one
 * Status:
 *   as oxt_fit_run, and OXT_EARG another law asked for
 * Notes:
 *   1. Trials that cannot be compared, because there are too few of them or their times follow their baths, are fitted
 *   by the parabolic law.
 *   2. The progress of the two fits and of the comparison is told one after another.
 */
OXT_API oxt_status oxt_laws_fit(oxt_fit **fit, const oxt_trials *trials, const oxt_film *film,
                                const oxt_fit_options *options, oxt_error *error);

/**
 * Free a comparison.
 *
 * Given:
 *   laws   NULL is ignored
 */
OXT_API void oxt_laws_free(oxt_laws *laws);

/**
 * The numbers of a comparison.
 *
 * Given:
 *   laws     the comparison
 * Returned:
 *   values   a copy
 * Status:
 *   OXT_EARG
 */
OXT_API oxt_status oxt_laws_get(const oxt_laws *laws, oxt_laws_values *values, oxt_error *error);

/**
 * One law of a comparison.
 *
 * Given:
 *   laws     the comparison
 *   kind     which law
 * Returned:
 *   result   a copy
 * Status:
 *   OXT_EARG
 */
OXT_API oxt_status oxt_laws_get_law(const oxt_laws *laws, oxt_law kind, oxt_law_result *result,
                                    oxt_error *error);

/**
 * The comparison as a report to read at the bench: the sentence, the table of laws, what to do.
 *
 * Given:
 *   laws                the comparison
 *   unit                scale for temperatures
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EARG, OXT_ESPACE, OXT_ENOMEM
 */
OXT_API oxt_status oxt_laws_report(const oxt_laws *laws, oxt_temperature_unit unit, char *buffer,
                                   size_t capacity, size_t *needed, oxt_error *error);

/**
 * A comparison of laws as JSON, for machines: fields by their names here, numbers in their units, null for what is not finite.
 *
 * Given:
 *   laws                the comparison
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EARG, OXT_ESPACE, OXT_ENOMEM
 */
OXT_API oxt_status oxt_laws_json(const oxt_laws *laws, char *buffer, size_t capacity,
                                size_t *needed, oxt_error *error);

OXT_END_DECLS

#endif
