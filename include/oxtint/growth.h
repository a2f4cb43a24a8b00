/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file growth.h: temperature history -> exposure -> thickness, and back.
 *
 * Parabolic growth: d(x^2)/dt = k(T), with the Arrhenius rate
 * k(T) = k_ref exp(-(Q/R) (1/T - 1/T_ref)). The exposure E is the integral of k over the time in
 * the bath, so x = sqrt(x0^2 + E) whatever the history.
 *
 * Another law has another function of x in the place of x^2, G(x) = G(x0) + E, which is scaled so that one film, the
 * middle one, grows as by the parabolic law. So exposures stay in nm^2 and k in nm^2/s under every law, and k is
 * that of the middle film.
 *
 * A film x0 that every part has before a dip, as a finish may leave one, counts as bare steel: G(x) - G(x0) is in the
 * place of G(x), scaled so that the middle film keeps its time.
 *
 *   law                G(x) before it is scaled   shape
 *   parabolic          x^2                        -
 *   power              x^n                        n, 1 to 12
 *   linear-parabolic   x^2 + A x                  A in nm, 0 to 1e6; 0 is parabolic, very large is linear
 *   logarithmic        exp(x/L) - 1               L in nm, 0.1 to 1e6; very large is linear
 *
 * Sources: C. Wagner, Z. phys. Chem. B21 (1933) 25 (parabolic law of diffusion through the film); B. E. Deal and A. S.
 * Grove, J. Appl. Phys. 36 (1965) 3770 (linear-parabolic); both from memory.
 */
#ifndef OXTINT_GROWTH_H
#define OXTINT_GROWTH_H

#include "oxtint/units.h"

/* Molar gas constant, J/(mol K); exact in the SI of 2019 (product of k_B and N_A, 10 digits). */
#define OXT_GAS_CONSTANT_J_PER_MOL_K 8.314462618

/* Lowest and highest activation energy, J/mol, besides 0: far outside of what any oxide has. With 0 the rate is the
 * same at every temperature; a value between 0 and the lowest is a mistake of units. */
#define OXT_Q_LOW_J_PER_MOL 1.0
#define OXT_Q_HIGH_J_PER_MOL 1e7

/** Law by which the film grows. */
typedef enum oxt_law {
    OXT_LAW_PARABOLIC = 0,
    OXT_LAW_POWER = 1,
    OXT_LAW_LINEAR_PARABOLIC = 2,
    OXT_LAW_LOGARITHMIC = 3
} oxt_law;

/** How many laws there are. */
#define OXT_LAW_COUNT 4

/** Growth constants of one steel with one finish in one bath. */
typedef struct oxt_growth {
    size_t struct_size;       /* sizeof(oxt_growth), set by OXT_GROWTH_INIT */
    oxt_law law;              /* OXT_LAW_PARABOLIC */
    double k_ref_nm2_per_s;   /* nm^2/s   rate at T_ref_K, > 0 */
    double T_ref_K;           /* K        reference temperature, > 0 */
    double Q_J_per_mol;       /* J/mol    activation energy, 0 or OXT_Q_LOW_J_PER_MOL to OXT_Q_HIGH_J_PER_MOL */
    double shape;             /* n, A in nm or L in nm; not used by the parabolic law; 0 */
    double middle_nm;         /* nm       film that grows as by the parabolic law, 1 to 1000; not used by it; 0 */
    double initial_nm;        /* nm       film that every part has before a dip, 0 or below middle_nm, which the parabolic
                                          law then needs too; 0 */
} oxt_growth;

#define OXT_GROWTH_INIT { sizeof(oxt_growth), OXT_LAW_PARABOLIC, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0 }

OXT_BEGIN_DECLS

/**
 * Growth rate at a temperature.
 *
 * Given:
 *   growth          the steel's constants
 *   temperature_K   K        finite, > 0
 * Returned:
 *   rate_nm2_per_s  nm^2/s
 * Status:
 *   OXT_EDOMAIN
 */
OXT_API oxt_status oxt_rate(const oxt_growth *growth, double temperature_K, double *rate_nm2_per_s,
                            oxt_error *error);

/**
 * Thickness after an exposure, x = sqrt(x0^2 + E), or by the law of the constants.
 *
 * Given:
 *   growth         the steel's constants
 *   initial_nm     nm     film already there, finite, >= 0
 *   exposure_nm2   nm^2   finite, >= 0; exposures of several stays add
 * Returned:
 *   thickness_nm   nm
 * Status:
 *   OXT_EDOMAIN
 */
OXT_API oxt_status oxt_thickness_of_exposure(const oxt_growth *growth, double initial_nm,
                                             double exposure_nm2, double *thickness_nm,
                                             oxt_error *error);

/**
 * Thickness on bare steel after a stay at one temperature.
 *
 * Given:
 *   growth         the steel's constants
 *   bath_K         K    finite, > 0
 *   time_s         s    finite, >= 0
 * Returned:
 *   thickness_nm   nm
 * Status:
 *   OXT_EDOMAIN
 */
OXT_API oxt_status oxt_thickness(const oxt_growth *growth, double bath_K, double time_s,
                                 double *thickness_nm, oxt_error *error);

/**
 * Time at one temperature that grows a thickness on bare steel.
 *
 * Given:
 *   growth         the steel's constants
 *   thickness_nm   nm   finite, >= 0
 *   bath_K         K    finite, > 0
 * Returned:
 *   time_s         s
 * Status:
 *   OXT_EDOMAIN, OXT_EUNREACHABLE when the film does not grow at all at that temperature
 */
OXT_API oxt_status oxt_time_for_thickness(const oxt_growth *growth, double thickness_nm,
                                          double bath_K, double *time_s, oxt_error *error);

/**
 * oxt_thickness for n elements.
 *
 * Given:
 *   growth                 the steel's constants
 *   n                      number of elements
 *   bath_K, bath_stride    K    array and its stride in bytes, 0 = one value for all
 *   time_s, time_stride    s    the same
 * Returned:
 *   thickness_nm           nm   n numbers, one after another; may begin where an input does whose stride
 *                               is not negative
 *   failed                 number of elements that are NaN; NULL allowed
 * Status:
 *   of the first element that failed; all others are computed
 */
OXT_API oxt_status oxt_thickness_n(const oxt_growth *growth, size_t n, const double *bath_K,
                                   ptrdiff_t bath_stride, const double *time_s,
                                   ptrdiff_t time_stride, double *thickness_nm,
                                   size_t *failed, oxt_error *error);

/**
 * oxt_time_for_thickness for n elements.
 *
 * Given:
 *   growth                           the steel's constants
 *   n                                number of elements
 *   thickness_nm, thickness_stride   nm   array and its stride in bytes, 0 = one value for all
 *   bath_K, bath_stride              K    the same
 * Returned:
 *   time_s                           s    as thickness_nm of oxt_thickness_n
 *   failed                           number of elements that are NaN; NULL allowed
 * Status:
 *   of the first element that failed; all others are computed
 */
OXT_API oxt_status oxt_time_for_thickness_n(const oxt_growth *growth, size_t n,
                                            const double *thickness_nm, ptrdiff_t thickness_stride,
                                            const double *bath_K, ptrdiff_t bath_stride,
                                            double *time_s, size_t *failed,
                                            oxt_error *error);

OXT_END_DECLS

#endif
