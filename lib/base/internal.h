/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What all modules share inside the library: failing, checking, texts, files. Nothing here is
 * exported; every name begins with oxt_i_. */
#ifndef OXTINT_INTERNAL_H
#define OXTINT_INTERNAL_H

#include <fenv.h>
#include <math.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "oxtint/error.h"
#include "oxtint/file.h"
#include "oxtint/units.h"

#include "base/first.h"

#if defined(__MINGW32__) /* whose own printf is that of C99 with __USE_MINGW_ANSI_STDIO */
#define OXT_I_PRINTF(text, first) __attribute__((format(gnu_printf, text, first)))
#elif defined(__GNUC__)
#define OXT_I_PRINTF(text, first) __attribute__((format(printf, text, first)))
#else
#define OXT_I_PRINTF(text, first)
#endif

#define OXT_I_PI 3.14159265358979323846
#define OXT_I_LN_2 0.69314718055994530942
#define OXT_I_COUNT(array) (sizeof(array) / sizeof(array)[0])

/* ---- floating-point traps (traps.c) ---- */

/* The host's floating-point environment, put aside while one of its exceptions would end the program. */
typedef struct {
    bool held;
    fenv_t of_host;
} oxt_i_traps;

oxt_i_traps oxt_i_hold_traps(void);
void oxt_i_release_traps(oxt_i_traps *traps);

/* The first line of every public function that computes or compares numbers. */
#if defined(__GNUC__)
#define OXT_I_HOLD_TRAPS                                  \
    __attribute__((cleanup(oxt_i_release_traps), unused)) \
    oxt_i_traps traps_held = oxt_i_hold_traps()
#else
#define OXT_I_HOLD_TRAPS (void)0
#endif

/* ---- failing (error.c) ---- */

/* Fill `error` (NULL allowed) and return `status`, so that a check is one line. */
oxt_status oxt_i_fail(oxt_error *error, oxt_status status, const char *parameter, double value,
                      double low, double high, const char *format, ...) OXT_I_PRINTF(7, 8);

/* A failure in which no number is at fault. */
#define oxt_i_fail_text(error, status, parameter, ...) \
    oxt_i_fail(error, status, parameter, NAN, NAN, NAN, __VA_ARGS__)

oxt_status oxt_i_no_memory(oxt_error *error);

/* Room for many elements, in large pages where the system has them: a million rows would else spend more time on
 * getting pages than on being read (pages.c). */
void *oxt_i_many(size_t count, size_t size);
/* The same of a block that is there. */
void oxt_i_use_large_pages(void *block, size_t bytes);

/* What a call returns whose caller asked to stop. */
oxt_status oxt_i_stopped(oxt_error *error);
/* Tell the caller how much is done; OXT_ECANCEL when it asks to stop. `progress` may be NULL. */
oxt_status oxt_i_progress(oxt_progress_function progress, void *user, double done,
                          oxt_error *error);
oxt_status oxt_i_null(oxt_error *error, const char *parameter);

/* OXT_EARG unless an index is below the count. */
oxt_status oxt_i_check_index(oxt_error *error, size_t index, size_t count);

/* Which numbers an interval takes in; OPEN_LOW leaves out its lower end. */
typedef enum { OXT_I_CLOSED, OXT_I_OPEN_LOW } oxt_i_ends;

/* Check that a number is finite and within limits; HUGE_VAL as a limit means "no limit". */
oxt_status oxt_i_check(oxt_error *error, const char *parameter, double value, double low,
                       double high, oxt_i_ends ends);
/* A number and its limits; several are checked in turn. */
typedef struct {
    const char *parameter;
    double value, low, high;
    oxt_i_ends ends;
} oxt_i_limit;
oxt_status oxt_i_check_all(oxt_error *error, const oxt_i_limit *limits, size_t count);
/* Note that the text of a failure follows from its value and its limits alone. */
oxt_status oxt_i_out_of_range(oxt_status status, oxt_error *error);
/* Check that a choice is one of 0 to `last`. */
oxt_status oxt_i_check_choice(const char *name, int choice, int last, oxt_error *error);
/* The same for each of three numbers, which must not be NULL. */
oxt_status oxt_i_check_three(oxt_error *error, const char *parameter, const double three[3],
                             double low, double high, oxt_i_ends ends);
/* The pattern of an error whose text follows from its value, low and high alone. */
#define OXT_I_RANGE "range"
/* Add to an error that was filled where in a table it lies; `column` may be NULL. */
void oxt_i_locate(oxt_error *error, size_t row, const char *column);

/* Copy a struct that begins with struct_size to or from the caller, whose header may be older or newer than ours.
 * Coming in, fields that the caller does not know keep the defaults that `into` already holds; unknown trailing bytes
 * must be zero, which OXT_I_CHECK_STRUCT checks alone. Going out, only as much is written as the caller has room for. */
#define OXT_I_CHECK_STRUCT(type, from, name, error) \
    oxt_i_check_struct(from, sizeof(type), OXT_I_FIRST_##type, name, error)
#define OXT_I_STRUCT_IN(type, into, from, name, error) \
    oxt_i_struct_in(into, from, sizeof(type), OXT_I_FIRST_##type, name, error)
/* The same of a call's options, which may be NULL. */
#define OXT_I_OPTIONS_IN(type, into, options, error) \
    ((options) ? OXT_I_STRUCT_IN(type, into, options, "options", error) : OXT_OK)
#define OXT_I_STRUCT_OUT(type, into, from, name, error) \
    oxt_i_struct_out(into, from, sizeof(type), OXT_I_FIRST_##type, name, error)
oxt_status oxt_i_check_struct(const void *from, size_t known, size_t first, const char *name,
                              oxt_error *error);
oxt_status oxt_i_struct_in(void *into, const void *from, size_t known, size_t first,
                           const char *name, oxt_error *error);
oxt_status oxt_i_struct_out(void *into, const void *from, size_t known, size_t first,
                            const char *name, oxt_error *error);
/* Structs of the caller one after another, which may be larger than this release's: all as large as the first. */
oxt_status oxt_i_check_elements(const void *elements, size_t count, size_t first, const char *name,
                                oxt_error *error);
/* The same, and then all of them written. */
oxt_status oxt_i_structs_out(void *into, const void *from, size_t count, size_t known, size_t first,
                             const char *name, oxt_error *error);
#define OXT_I_STRUCTS_OUT(type, into, from, count, name, error) \
    oxt_i_structs_out(into, from, count, sizeof(type), OXT_I_FIRST_##type, name, error)
/* True for an error that was started with OXT_ERROR_INIT: of any other nothing is written. */
bool oxt_i_is_writable(const oxt_error *error);

/* ---- texts (text.c) ---- */

/* snprintf and strtod that never see the locale of the host. */
int oxt_i_vsnprintf(char *buffer, size_t capacity, const char *format, va_list list);
int oxt_i_snprintf(char *buffer, size_t capacity, const char *format, ...) OXT_I_PRINTF(3, 4);
double oxt_i_strtod(const char *text, char **end);

/* A number in the fewest digits that read back to the same number. */
typedef struct {
    char text[32];
} oxt_i_digits;
oxt_i_digits oxt_i_shortest(double value);

/* A text that grows. `failed` remembers that memory ran out, so that one check at the end will do. */
typedef struct {
    char *data;
    size_t length;
    size_t capacity;
    bool failed;
} oxt_i_text;

void oxt_i_text_add(oxt_i_text *text, const char *format, ...) OXT_I_PRINTF(2, 3);
void oxt_i_text_add_bytes(oxt_i_text *text, const char *bytes, size_t length);
void oxt_i_text_add_number(oxt_i_text *text, double value);
/* Add sentences broken into lines, as an item of a list. */
void oxt_i_text_add_item(oxt_i_text *text, const char *sentences);
void oxt_i_text_free(oxt_i_text *text);

/* A marked temperature in a message (oxt_i_mark): MARK number blank [parameter] SHOWN text END. A difference of two has
 * OXT_I_DIFFERENCE for its parameter. */
enum { OXT_I_MARK = 1, OXT_I_MARK_SHOWN = 2, OXT_I_MARK_END = 3 };
#define OXT_I_DIFFERENCE "~"
bool oxt_i_is_marked(const char *text);
/* Copy a message with the text alone of each marked temperature. */
void oxt_i_copy_plain(char *into, size_t capacity, const char *marked);

/* Copy into a fixed array, cut between UTF-8 characters when it is too long. */
void oxt_i_copy_text(char *into, size_t capacity, const char *from);
bool oxt_i_is_utf8(const char *text, size_t length);
/* A text of the caller into a field, refused where it is longer or no UTF-8. */
oxt_status oxt_i_take_text(char *into, size_t capacity, const char *text, const char *parameter,
                           oxt_error *error);
/* Marks UTF-8 at the start of a file; within a name it would make another name of the same letters. */
#define OXT_I_BYTE_ORDER_MARK "\xEF\xBB\xBF"
/* A copy fit to be shown inside a message: cut, without control characters. */
typedef struct {
    char text[64];
} oxt_i_quote;
oxt_i_quote oxt_i_quoted(const char *text);
/* A sentence made for a message. */
typedef struct {
    char text[256];
} oxt_i_sentence;
/* Characters of a UTF-8 text, for columns that stand under each other. */
int oxt_i_width(const char *text);
/* The ending of a noun after a number. */
const char *oxt_i_plural(size_t count);
/* Letters that are wrong, missing, too many or swapped with their neighbour, between two texts of at
 * most 63 bytes each. */
size_t oxt_i_edits(const char *a, const char *b);
/* How many of them a word of this length may have before another is meant. */
size_t oxt_i_edits_allowed(size_t length);
/* Lower case, and case-blind comparison, of ASCII letters. */
char oxt_i_lower(char letter);
bool oxt_i_same_word(const char *a, const char *b);

/* A word as words are compared. */
typedef struct {
    char text[64];
    size_t length;
} oxt_i_key;
void oxt_i_key_of(const char *text, oxt_i_key *key);
/* Is it that of a word, which is short enough for a key? */
bool oxt_i_is_key(const oxt_i_key *key, const char *word);

/* Hand a text to the caller's buffer in the manner that oxtint.h states (error.c). */
oxt_status oxt_i_emit(const char *text, char *buffer, size_t capacity, size_t *needed,
                      oxt_error *error);
/* The same for a grown text, which is freed. */
oxt_status oxt_i_emit_text(oxt_i_text *text, char *buffer, size_t capacity, size_t *needed,
                           oxt_error *error);

/* ---- cautions (caution.c) ---- */

/* The cautions that these bits stand for, as lists with headings. */
void oxt_i_text_add_cautions(oxt_i_text *text, uint32_t cautions, oxt_caution_detail detail);
/* Those that forbid the dip, for the head of a report; they are taken out. */
void oxt_i_text_add_forbidding(oxt_i_text *text, uint32_t *cautions, oxt_caution_detail detail);
oxt_status oxt_i_check_detail(oxt_caution_detail detail, oxt_error *error);

/* ---- files (file.c) ---- */

/* The member that tells a card from other JSON. */
#define OXT_I_CARD_KEY "oxtint_card"

/* Read a file of at most `limit` bytes into a new NUL-terminated block. */
oxt_status oxt_i_read_file(const char *path, size_t limit, char **data, size_t *length,
                           oxt_error *error);
oxt_status oxt_i_io_error(oxt_error *error, const char *path, const char *verb, int number);

/* ---- quantities (units.c) ---- */

/* Read one plain decimal number (no "nan", "inf" or hexadecimal) and move `text` past it. */
bool oxt_i_read_number(const char **text, double *value);
/* What to write in place of a common mistake (650,5 F; 1:5; 2 ft), NULL where a text shows none. */
const char *oxt_i_slip(const char *text);
/* Check a bath's temperature; what a message expects of one. */
oxt_status oxt_i_check_bath(double bath_K, oxt_error *error);
#define OXT_I_BATH_EXPECTED "a bath from 100 C to 700 C (212 F to 1292 F, 373.15 K to 973.15 K)"
/* Check that the coldest bath allowed is not above the hottest, both known to be baths. */
oxt_status oxt_i_check_order(oxt_error *error, double low_K, double high_K, bool blames_high);
/* A temperature in a message, which is in Celsius until oxt_error_retell shows it in the scale that was typed in,
 * by the name that its parameter has there; NULL: without a name. */
typedef struct {
    char text[160];
} oxt_i_marked;
oxt_i_marked oxt_i_mark(double temperature_K, const char *parameter);
/* A difference of temperatures, likewise; in K until then. */
oxt_i_marked oxt_i_mark_difference(double difference_K);
/* The scale that a temperature was typed on; OXT_UNIT_CELSIUS when it names none. */
oxt_temperature_unit oxt_i_scale_of(const char *typed);
double oxt_i_kelvin_from(double value, oxt_temperature_unit unit);
/* A time and a temperature as reports show them, of values that can be shown. */
typedef struct {
    char text[40];
} oxt_i_shown;
oxt_i_shown oxt_i_show_time(double time_s);
/* "K", "C" or "F". */
char oxt_i_unit_letter(oxt_temperature_unit unit);
oxt_i_shown oxt_i_show_temperature(double temperature_K, oxt_temperature_unit unit);
oxt_i_shown oxt_i_show_difference(double difference_K, oxt_temperature_unit unit);
/* A factor as a number without exponent: "3.1", from 10 on "11". */
oxt_i_shown oxt_i_show_factor(double factor);
/* A ratio to 1: "26.2 % slower", from a factor of two on "3.1 times as slow", "as fast" where it would be "0.0 %"; below
 * 1 % with a decimal. `words`: of more in both forms, and of less. */
oxt_i_shown oxt_i_show_change(double ratio, int decimals, const char *const words[4]);
double oxt_i_kelvin_to(double temperature_K, oxt_temperature_unit unit);
double oxt_i_difference_to(double difference_K, oxt_temperature_unit unit);

/* ---- element-wise calls ---- */

static inline const double *oxt_i_at(const double *array, size_t index, ptrdiff_t stride)
{
    return (const double *)((const char *)array + (ptrdiff_t)index * stride);
}

static inline double *oxt_i_at_out(double *array, size_t index, ptrdiff_t stride)
{
    return (double *)((char *)array + (ptrdiff_t)index * stride);
}

/* Bookkeeping of an _n call: first status, number of failures, error of the first one. */
typedef struct {
    oxt_status status;
    size_t failed;
    oxt_error *error;
} oxt_i_tally;

void oxt_i_tally_failure(oxt_i_tally *tally, oxt_status status, const oxt_error *detail,
                         size_t index);

/* ---- statistics ---- */

/* Half width of a two-sided Student t interval in standard errors. */
double oxt_i_t_quantile(double confidence, double dof);
/* Chance that a spread by Student's t in the logarithm falls between two ratios to the middle; low may be 0 or
 * less. */
double oxt_i_t_chance(double low, double high, double deviation, double dof);
/* Do trials contradict the parabolic law, by the exponent m of time and its error? 0: not known. */
bool oxt_i_law_is_bent(double m, double m_stderr, double dof);
/* Degrees of freedom of the sum of two variances that are wrong together, and of one that is known (JCGM 100:2008,
 * G.4, whose parts are wrong by themselves). */
double oxt_i_combined_dof(double first, double first_dof, double second, double second_dof,
                          double known);

#endif
