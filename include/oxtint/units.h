/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file units.h: temperatures, durations and lengths to and from text; the only place that does so. */
#ifndef OXTINT_UNITS_H
#define OXTINT_UNITS_H

#include "oxtint/error.h"

/* Coldest and hottest bath or oven that is accepted, K: 100 C to 700 C. */
#define OXT_BATH_LOW_K 373.15
#define OXT_BATH_HIGH_K 973.15

/* Longest time in a bath that is accepted, s. */
#define OXT_TIME_HIGH_S 1e6

/** Scale in which a temperature is written. */
typedef enum oxt_temperature_unit {
    OXT_UNIT_KELVIN = 0,
    OXT_UNIT_CELSIUS = 1,
    OXT_UNIT_FAHRENHEIT = 2
} oxt_temperature_unit;

/** Unit in which the length of a part is written. */
typedef enum oxt_length_unit { OXT_UNIT_MILLIMETRE = 0, OXT_UNIT_INCH = 1 } oxt_length_unit;

OXT_BEGIN_DECLS

/**
 * Read a temperature such as "650 F", "343.5 C", "616 K", "650 deg F".
 *
 * Given:
 *   text            number, then a unit: K, C or F (any case; "deg", the degree sign, "kelvin",
 *                   "celsius" and "fahrenheit" are understood); the decimal mark is a point
 * Returned:
 *   temperature_K   K   above absolute zero
 * Status:
 *   OXT_EUNIT no or unknown unit, OXT_EPARSE no number, OXT_EDOMAIN at or below absolute zero
 */
OXT_API oxt_status oxt_parse_temperature(const char *text, double *temperature_K, oxt_error *error);

/**
 * Read a difference of two temperatures such as "5 F", "3 C" or "-2.5 K": one of 9 F is one of 5 C or
 * 5 K, whatever the zero of the scale.
 *
 * Given:
 *   text           number, then a unit, as oxt_parse_temperature takes it
 * Returned:
 *   difference_K   K   of either sign
 * Status:
 *   OXT_EUNIT no or unknown unit, OXT_EPARSE no number
 */
OXT_API oxt_status oxt_parse_temperature_difference(const char *text, double *difference_K,
                                                    oxt_error *error);

/**
 * Read a duration such as "90 s", "1:30", "1:02:30", "2 min", "1 min 30 s", "0.5 h".
 *
 * Given:
 *   text     minutes:seconds, hours:minutes:seconds, or numbers with units s, min, h
 * Returned:
 *   time_s   s   0 or more
 * Status:
 *   OXT_EUNIT no or unknown unit, OXT_EPARSE no number, OXT_EDOMAIN negative
 */
OXT_API oxt_status oxt_parse_duration(const char *text, double *time_s, oxt_error *error);

/**
 * Read a length such as "6 mm", "0.25 in", "1/4 in", "60 nm".
 *
 * Given:
 *   text       number or fraction, then a unit: nm, um, mm, cm, m, in (or ")
 * Returned:
 *   length_m   m   0 or more
 * Status:
 *   OXT_EUNIT no or unknown unit, OXT_EPARSE no number, OXT_EDOMAIN negative
 */
OXT_API oxt_status oxt_parse_length(const char *text, double *length_m, oxt_error *error);

/**
 * Write a temperature with at most one decimal, such as "650 F" or "343.3 C".
 *
 * Given:
 *   temperature_K   K   above 0, up to 1e6
 *   unit            scale to write it in
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed          length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EDOMAIN, OXT_EARG unknown unit, OXT_ESPACE (the text is cut, but ends in NUL)
 */
OXT_API oxt_status oxt_format_temperature(double temperature_K, oxt_temperature_unit unit,
                                          char *buffer, size_t capacity, size_t *needed,
                                          oxt_error *error);

/**
 * Write a duration as it is read off a clock: "8.4 s", "58 s", "1:30", "1:02:30"; one above
 * OXT_TIME_HIGH_S, such as the upper limit of a fit to few coupons, is "over 11 days".
 *
 * Given:
 *   time_s   s   0 or more, also HUGE_VAL; rounded to 0.1 s below 10 s, to 1 s above
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed   length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EDOMAIN, OXT_ESPACE (the text is cut, but ends in NUL)
 */
OXT_API oxt_status oxt_format_duration(double time_s, char *buffer, size_t capacity,
                                       size_t *needed, oxt_error *error);

/**
 * Write the length of a part with at most three decimals, such as "6.35 mm" or "0.25 in".
 *
 * Given:
 *   length_m   m   0 to 1e6
 *   unit       unit to write it in
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed     length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EDOMAIN, OXT_EARG unknown unit, OXT_ESPACE (the text is cut, but ends in NUL)
 */
OXT_API oxt_status oxt_format_length(double length_m, oxt_length_unit unit, char *buffer,
                                     size_t capacity, size_t *needed, oxt_error *error);

OXT_END_DECLS

#endif
