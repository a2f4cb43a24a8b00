/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the C tests share. */
#ifndef OXTINT_TEST_SUPPORT_H
#define OXTINT_TEST_SUPPORT_H

#include <criterion/criterion.h>
#include <math.h>
#include <stdbool.h>
#include <stddef.h>

#include "oxtint.h"

/* Equal within an absolute tolerance; NaN is never equal. */
#define NEAR(actual, expected, tolerance)                                                         \
    do {                                                                                          \
        double actual_ = (actual), expected_ = (expected), tolerance_ = (tolerance);              \
        cr_assert(fabs(actual_ - expected_) <= tolerance_,                                        \
                  #actual " is %.17g, expected %.17g within %g", actual_, expected_, tolerance_); \
    } while (0)

/* Equal within a relative tolerance. */
#define CLOSE(actual, expected, relative)                        \
    do {                                                         \
        double expected__ = (expected);                          \
        NEAR(actual, expected__, fabs(expected__) * (relative)); \
    } while (0)

/* A call that must succeed; the message shows the error. `error` names an oxt_error in scope. */
#define OK(call)                                                                        \
    do {                                                                                \
        oxt_status status_ = (call);                                                    \
        cr_assert(status_ == OXT_OK, "%s gave %s: %s", #call, oxt_status_name(status_), \
                  error.text);                                                          \
    } while (0)

/* A call that must fail so, and say why. */
#define FAILS(call, wanted)                                                                \
    do {                                                                                   \
        error.text[0] = '\0';                                                              \
        oxt_status status_ = (call);                                                       \
        cr_assert(status_ == (wanted), "%s gave %s (%s), expected %s", #call,              \
                  oxt_status_name(status_), error.text, #wanted);                          \
        cr_assert(error.status == (wanted) && error.text[0], "%s gave no message", #call); \
    } while (0)

/* Does the message hold these words? */
#define SAYS(words) \
    cr_assert(strstr(error.text, words), "'%s' does not say '%s'", error.text, words)

/* A table of numbers from tests/data: comma-separated, '#' comments and one header line are
 * skipped. Rows that do not begin with a number are skipped too. */
typedef struct {
    double *cells;
    size_t rows, columns;
} table;

/* Cautions of every bath of molten nitrate, and those of one whose salt is not stated, from 150 C up and
 * where no salt of the kind freezes. */
#define EVERY_BATH                                                                               \
    (OXT_CAUTION_MOLTEN_SALT | OXT_CAUTION_WATER | OXT_CAUTION_ORGANICS | OXT_CAUTION_CYANIDES | \
     OXT_CAUTION_LIGHT_METALS | OXT_CAUTION_VENTILATION | OXT_CAUTION_HOT_RINSE |                \
     OXT_CAUTION_POT | OXT_CAUTION_DATA_SHEET)
#define UNSTATED_BATH (EVERY_BATH | OXT_CAUTION_NITRITE | OXT_CAUTION_SOFTENS)

/* The bath of the dip that gives a target in a time. */
oxt_status bath_for_time(const oxt_steel *steel, const oxt_target *target, double time_s,
                         const oxt_dip_options *options, double *bath_K, oxt_error *error);

table read_table(const char *name);
void free_table(table *made);
static inline double at(const table *from, size_t row, size_t column)
{
    return from->cells[row * from->columns + column];
}

/* The default film, made once per test program. */
const oxt_film *default_film(void);

/* Write a scratch file and give its path. */
const char *scratch_file(const char *name, const char *bytes, size_t length);

/* ---- logs of trials ---- */

/* A coupon of the steel "Alder 1" of which nothing has been seen yet. */
oxt_trial trial_at(double bath_K, double time_s);

/* Log a coupon of the steel "Alder 1". */
void add_colour(oxt_trials *log, double bath_K, double time_s, const char *colour);
void add_thickness(oxt_trials *log, double bath_K, double time_s, double thickness_nm);

oxt_trials *new_log(void);
/* A fit that must succeed, with default_film(). */
oxt_fit *new_fit(const oxt_trials *log, const oxt_fit_options *options);

/* The constants of a made-up steel: as published figures go, but of no real one. */
oxt_growth growth_of(double k_ref_nm2_per_s, double T_ref_K, double Q_J_per_mol);

/* A steel as a dozen coupons give it: 55 nm^2/s at 588.7 K, 80 kJ/mol, 5 % scatter. */
oxt_steel_values some_steel(void);
/* nm^2 of a coupon of a steel of these constants: heating up, in the bath and on the way to the quench. */
double grown_nm2(const oxt_growth *growth, const oxt_part *part, const oxt_lift *lift,
                 double bath_K, double time_s);

/* A colour of the default film as a target. */
oxt_target target_of(const char *name);

/* The numbers of a fit, and one of its rows. */
oxt_fit_values values_of_fit(const oxt_fit *fit);
oxt_steel_values values_of_steel(const oxt_steel *steel);
oxt_fit_row row_of_fit(const oxt_fit *fit, size_t index);
size_t fit_warning_count(const oxt_fit *fit);
size_t pool_warning_count(const oxt_pool *pool);

/* A steel that must hold, to be freed. */
oxt_steel *steel_of(const oxt_steel_values *values);

/* A tracker of a steel of which only its constants matter. */
oxt_status tracker_by(oxt_track **made, const oxt_growth *growth, const oxt_film *seen_in,
                      const oxt_target *target, const oxt_track_options *options, oxt_error *error);

/* The words of a text, one blank between them; valid until the next call. */
const char *unbroken(const char *text);

/* ---- what docs/understand/accuracy.md states ---- */

/* A figure must lie within its bounds (-HUGE_VAL or HUGE_VAL where there is none), and is noted for
 * tests/accuracy.py under its name; of several notes the worst counts. */
void measured(const char *name, double value, double low, double high);

/* The larger of an error that was found before and of the next one; NaN is never forgotten. */
double worse(double before, double error);

/* ---- files ---- */

/* An empty scratch directory; what an earlier run left in it is removed. */
const char *scratch_directory(const char *name);

/* Number of files in a directory. */
size_t files_in(const char *directory);

/* A whole file, NUL-terminated, to be freed. */
char *whole_file(const char *path, size_t *length);

#endif
