/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file temper.h: what a dip, or any history, does to hardened steel.
 *
 * A temper of one temperature and time is counted by the parameter P = T (C + log10 t), T in K and t in
 * hours: equal P, equal hardness. Of two tempers one after the other, the first is turned into the time
 * at the temperature of the second that has its P, and the times are added.
 *
 * Source: J. H. Hollomon and L. D. Jaffe, Trans. AIME 162 (1945) 223; C = 20 for t in hours is the usual
 * value for carbon and low-alloy steels.
 */
#ifndef OXTINT_TEMPER_H
#define OXTINT_TEMPER_H

#include "oxtint/history.h"
#include "oxtint/units.h"

/* The usual constant C, with the time in hours; and the limits of any other. */
#define OXT_TEMPER_CONSTANT 20.0
#define OXT_TEMPER_CONSTANT_LOW 5.0
#define OXT_TEMPER_CONSTANT_HIGH 30.0

/* Shortest hold that the parameter was tried on, s; from memory of the paper. */
#define OXT_TEMPER_FLOOR_S 10.0

/** What is known of the part that would be dipped. */
typedef struct oxt_temper_options {
    size_t struct_size;
    double constant;   /* C, OXT_TEMPER_CONSTANT_LOW to OXT_TEMPER_CONSTANT_HIGH; 20 */
    const char *steel; /* number of a steel whose hardness is tabulated, such as "1095"; NULL: none */
    double last_K;     /* K   of the last temper, OXT_BATH_LOW_K to OXT_BATH_HIGH_K; 0: not stated */
    double last_s;     /* s   of the last temper, up to OXT_TIME_HIGH_S; 0: not stated */
} oxt_temper_options;

#define OXT_TEMPER_OPTIONS_INIT { sizeof(oxt_temper_options), 20.0, NULL, 0.0, 0.0 }

/** What a dip or a history does to a hardened part. */
typedef struct oxt_temper {
    size_t struct_size;
    double parameter;            /* of the dip or history alone */
    double one_hour_K;           /* K     temperature at which one hour has this parameter */
    double last_parameter;       /* of the part's last temper; NaN when it is not stated */
    double total_parameter;      /* of the last temper and the dip together */
    double hardness_before_HRC;  /* after the last temper; NaN where no table covers it */
    double hardness_after_HRC;   /* after the dip; NaN where no table covers it */
    int softens;                 /* 1: parameter is above last_parameter, 0: not, -1: not known */
    int below_floor;             /* 1: counts as less than OXT_TEMPER_FLOOR_S at its hottest */
    uint32_t cautions;           /* bits of oxt_caution */
} oxt_temper;

#define OXT_TEMPER_INIT { sizeof(oxt_temper), 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0, 0, 0 }

OXT_BEGIN_DECLS

/**
 * Parameter of a stay at one temperature, P = T (C + log10 t).
 *
 * Given:
 *   temperature_K   K   above 0
 *   time_s          s   above 0
 *   constant        C, OXT_TEMPER_CONSTANT_LOW to OXT_TEMPER_CONSTANT_HIGH
 * Returned:
 *   parameter       > 0
 * Status:
 *   OXT_EDOMAIN also when the time is too short for the parameter to be above 0
 * Source:
 *   Hollomon and Jaffe (1945)
 */
OXT_API oxt_status oxt_temper_parameter(double temperature_K, double time_s, double constant,
                                        double *parameter, oxt_error *error);

/**
 * Temperature that gives a parameter in a time.
 *
 * Given:
 *   parameter       above 0
 *   time_s          s   above 0
 *   constant        C, OXT_TEMPER_CONSTANT_LOW to OXT_TEMPER_CONSTANT_HIGH
 * Returned:
 *   temperature_K   K
 * Status:
 *   OXT_EDOMAIN, OXT_EUNREACHABLE the time is too short for any temperature
 */
OXT_API oxt_status oxt_temper_temperature(double parameter, double time_s, double constant,
                                          double *temperature_K, oxt_error *error);

/**
 * Time that gives a parameter at a temperature.
 *
 * Given:
 *   parameter       above 0
 *   temperature_K   K   above 0
 *   constant        C, OXT_TEMPER_CONSTANT_LOW to OXT_TEMPER_CONSTANT_HIGH
 * Returned:
 *   time_s          s
 * Status:
 *   OXT_EDOMAIN, OXT_EUNREACHABLE the time is too long for a number
 */
OXT_API oxt_status oxt_temper_time(double parameter, double temperature_K, double constant,
                                   double *time_s, oxt_error *error);

/**
 * Hardness of a quenched and tempered steel, interpolated within its table.
 *
 * Given:
 *   steel          its AISI/SAE number: "1030", "1040", "1050", "1060", "1080" or "1095"
 *   parameter      with C = 20, within the table
 * Returned:
 *   hardness_HRC   Rockwell C
 * Status:
 *   OXT_EARG no such table, OXT_EDOMAIN outside the table, OXT_ENOMEM
 * Source:
 *   ASM Heat Treater's Guide, typical hardnesses after tempering for 2 h, mostly from memory: the marks
 *   stand beside the numbers in lib/thermal/temper_data.c
 */
OXT_API oxt_status oxt_temper_hardness(const char *steel, double parameter, double *hardness_HRC,
                                       oxt_error *error);

/**
 * What a stay in a bath does to a hardened part.
 *
 * Given:
 *   bath_K    K   OXT_BATH_LOW_K to OXT_BATH_HIGH_K, the part's temperature throughout
 *   time_s    s   above 0, up to OXT_TIME_HIGH_S
 *   options   what is known of the part; NULL for nothing
 * Returned:
 *   temper    the result, with its cautions and those of the bath
 * Status:
 *   OXT_EDOMAIN, OXT_EARG no table of that steel, OXT_ENOMEM
 * Notes:
 *   A dip whose parameter is below that of the last temper still adds to it, at most as much as doubling
 *   its time would: T log10 2.
 */
OXT_API oxt_status oxt_temper_dip(double bath_K, double time_s, const oxt_temper_options *options,
                                  oxt_temper *temper, oxt_error *error);

/**
 * What a whole history does to a hardened part.
 *
 * Given:
 *   history   the history
 *   options   what is known of the part; NULL for nothing
 * Returned:
 *   temper    the result, with its cautions
 * Status:
 *   OXT_EDOMAIN, OXT_EARG no table of that steel, OXT_ENOCONV, OXT_ENOMEM
 * Notes:
 *   At each moment what was before is turned into the time at the present temperature that has its
 *   parameter, and the moment is added: dP/dt = T / ln 10 * 10^(C - P/T), t in hours, integrated to 1e-11
 *   of that time while the temperature changes linearly, and in closed form while it is constant.
 */
OXT_API oxt_status oxt_temper_history(const oxt_history *history,
                                      const oxt_temper_options *options, oxt_temper *temper,
                                      oxt_error *error);

/**
 * A temper as a report to read at the bench: first whether it softens, in the end its cautions.
 *
 * Given:
 *   temper              the result
 *   unit                scale for temperatures
 *   detail              how much of each caution
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EARG, OXT_EDOMAIN, OXT_ESPACE, OXT_ENOMEM
 */
OXT_API oxt_status oxt_temper_report(const oxt_temper *temper, oxt_temperature_unit unit,
                                     oxt_caution_detail detail, char *buffer, size_t capacity,
                                     size_t *needed, oxt_error *error);

OXT_END_DECLS

#endif
