/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the fuzz targets share: numbers from bytes, checks of what must hold, and texts of any length. */
#ifndef OXTINT_FUZZ_H
#define OXTINT_FUZZ_H

#include <float.h>
#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "oxtint.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* What must hold; else the target dies, which the fuzzer reports. */
#define MUST(condition, ...)                                 \
    do {                                                     \
        if (!(condition)) {                                  \
            fprintf(stderr, "%s:%d: ", __FILE__, __LINE__);  \
            fprintf(stderr, __VA_ARGS__);                    \
            fprintf(stderr, " (expected " #condition ")\n"); \
            abort();                                         \
        }                                                    \
    } while (0)

/* A failing call says why, and is never oxtint's own defect. */
#define SAYS_WHY(status, error)                                                       \
    MUST((status) == OXT_OK ||                                                        \
             ((status) != OXT_EBUG && (error).status == (status) && (error).text[0]), \
         "%s: '%s'", oxt_status_name(status), (error).text)

/* A text that a call gives: asked for its length, then written into a block of just that length. To be
 * freed. `call` uses buffer, capacity and needed, and an `error` in scope. */
#define TEXT_OF(into, call)                                                              \
    do {                                                                                 \
        size_t capacity = 0, length = 0, *needed = &length;                              \
        char *buffer = NULL;                                                             \
        oxt_status state_ = (call);                                                      \
        MUST(state_ == OXT_OK, "%s: %s", #call, error.text);                             \
        capacity = length + 1;                                                           \
        buffer = malloc(capacity);                                                       \
        MUST(buffer != NULL, "no memory");                                               \
        state_ = (call);                                                                 \
        MUST(state_ == OXT_OK && strlen(buffer) == length, "%s: %s", #call, error.text); \
        (into) = buffer;                                                                 \
    } while (0)

#define PRINTS(call)          \
    do {                      \
        char *text_;          \
        TEXT_OF(text_, call); \
        free(text_);          \
    } while (0)

/* ---- bytes ---- */

typedef struct {
    const uint8_t *at, *end;
} bytes;

static inline unsigned next_byte(bytes *from)
{
    return from->at < from->end ? *from->at++ : 0;
}

static inline unsigned choice(bytes *from, unsigned count)
{
    return next_byte(from) % count;
}

/* A number: mostly between two limits, sometimes at one of them, just outside, or any double at all. */
static inline double number(bytes *from, double low, double high)
{
    static const double special[] = { 0.0,     -0.0,   NAN,     INFINITY,    -INFINITY,
                                      DBL_MIN, 5e-324, DBL_MAX, DBL_EPSILON, 1.0,
                                      -1.0,    1e-300, 1e300,   1e-30,       1e30 };
    unsigned kind = next_byte(from);
    if (kind < 232) {
        double share = (next_byte(from) + next_byte(from) / 256.0) / 256.0;
        return kind < 200 || !(low > 0.0) ? low + share * (high - low)
                                          : low * pow(high / low, share);
    }
    if (kind < 236)
        return low;
    if (kind < 240)
        return high;
    if (kind < 242)
        return nextafter(low, -INFINITY);
    if (kind < 244)
        return nextafter(high, INFINITY);
    if (kind < 252)
        return special[choice(from, sizeof special / sizeof special[0])];
    double any = 0.0;
    unsigned char raw[sizeof any];
    for (size_t i = 0; i < sizeof any; i++)
        raw[i] = (unsigned char)next_byte(from);
    memcpy(&any, raw, sizeof any);
    return any;
}

/* `usual`, or now and then a number. */
static inline double sometimes(bytes *from, double usual, double low, double high)
{
    return choice(from, 4) ? usual : number(from, low, high);
}

/* The default film, made once. */
static inline const oxt_film *film(void)
{
    static oxt_film *made;
    if (!made) {
        oxt_error error = OXT_ERROR_INIT;
        MUST(oxt_film_new(&made, NULL, &error) == OXT_OK, "%s", error.text);
    }
    return made;
}

/* ---- what holds for whatever a prediction returns ---- */

static inline void check_dip(const oxt_dip *dip)
{
    oxt_error error = OXT_ERROR_INIT;
    MUST(dip->time_s >= 0.0 && dip->time_s <= OXT_TIME_HIGH_S, "time %.17g", dip->time_s);
    MUST(dip->earliest_s <= dip->time_s && dip->time_s <= dip->latest_s, "window %.17g %.17g %.17g",
         dip->earliest_s, dip->time_s, dip->latest_s);
    MUST(dip->interval_low_s <= dip->time_s && dip->time_s <= dip->interval_high_s,
         "interval %.17g %.17g %.17g", dip->interval_low_s, dip->time_s, dip->interval_high_s);
    MUST(dip->next_low_s <= dip->time_s && dip->time_s <= dip->next_high_s,
         "next dip %.17g %.17g %.17g", dip->next_low_s, dip->time_s, dip->next_high_s);
    MUST(dip->chance >= 0.0 && dip->chance <= 1.0, "chance %.17g", dip->chance);
    MUST(dip->cautions & OXT_CAUTION_MOLTEN_SALT, "no caution of the salt");
    PRINTS(
        oxt_dip_report(dip, OXT_UNIT_CELSIUS, OXT_CAUTION_WHOLE, buffer, capacity, needed, &error));
    PRINTS(oxt_dip_report(dip, OXT_UNIT_FAHRENHEIT, OXT_CAUTION_WHOLE, buffer, capacity, needed,
                          &error));
}

/* A card that is saved loads, and saves as the same text. */
static inline void check_card(const oxt_steel *steel)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *again;
    char *first, *second;
    TEXT_OF(first, oxt_steel_save_text(steel, buffer, capacity, needed, &error));
    oxt_status status = oxt_steel_load(&again, NULL, first, strlen(first), &error);
    MUST(status == OXT_OK, "a saved card does not load: %s\n%s", error.text, first);
    TEXT_OF(second, oxt_steel_save_text(again, buffer, capacity, needed, &error));
    MUST(strcmp(first, second) == 0, "%s\n%s", first, second);
    free(first);
    free(second);
    oxt_steel_free(again);
}

#endif
