/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A log of trials in memory, and how it is written. Reading is in trials_csv.c, checking in trial.c. */
#include <csv.h>
#include <stdlib.h>
#include <string.h>

#include "base/csv_table.h"
#include "optics/words.h"
#include "thermal/heat.h"
#include "trials/trials.h"

#define NONE OXT_I_NO_ROW

/* The rows of one steel with one finish. */
typedef struct {
    uint32_t steel, finish;
    uint32_t first, last, count; /* rows */
    uint32_t next;               /* group of the same steel */
} group_rows;

/* The groups of a steel. */
typedef struct {
    uint32_t first, last;
} chain;

struct oxt_trials {
    oxt_i_log_row *rows;
    group_rows *groups;
    chain *steels;
    size_t count, capacity, group_capacity, steel_capacity;
    oxt_i_intern sets[OXT_I_SETS];
    oxt_words *words;          /* that its colours may use; NULL: none */
    oxt_faults *kept_columns;  /* of its file, what became a note; NULL: none */
    oxt_temperature_unit unit; /* scale of its baths */
    bool unit_known;           /* it was stated or set */
};

oxt_status oxt_trials_new(oxt_trials **trials, const oxt_words *words, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!trials)
        return oxt_i_null(error, "trials");
    *trials = calloc(1, sizeof **trials);
    if (*trials && oxt_i_words_copy(&(*trials)->words, words))
        return OXT_OK;
    free(*trials);
    *trials = NULL;
    return oxt_i_no_memory(error);
}

void oxt_trials_free(oxt_trials *trials)
{
    if (!trials)
        return;
    for (int set = 0; set < OXT_I_SETS; set++)
        oxt_i_intern_free(&trials->sets[set]);
    free(trials->rows);
    free(trials->groups);
    free(trials->steels);
    oxt_faults_free(trials->kept_columns);
    oxt_words_free(trials->words);
    free(trials);
}

/* ---- filling ---- */

const oxt_i_intern *oxt_i_log_interned(const oxt_trials *trials, oxt_i_log_set set)
{
    return &trials->sets[set];
}

bool oxt_i_log_intern(oxt_trials *trials, oxt_i_log_set set, const void *bytes, size_t length,
                      uint32_t *number)
{
    return oxt_i_intern_add(&trials->sets[set], bytes, length, number);
}

bool oxt_i_log_take_steel(oxt_trials *trials, const char *name, size_t length, uint32_t *steel)
{
    oxt_i_intern *names = &trials->sets[OXT_I_STEELS];
    size_t before = names->count;
    if (!oxt_i_grow(&trials->steels, &trials->steel_capacity, before + 1, sizeof *trials->steels) ||
        !oxt_i_intern_add(names, name, length, steel))
        return false;
    if (*steel == before)
        trials->steels[*steel] = (chain){ NONE, NONE };
    return true;
}

bool oxt_i_log_take_group(oxt_trials *trials, uint32_t steel, uint32_t finish, uint32_t *group)
{
    oxt_i_intern *keys = &trials->sets[OXT_I_GROUPS];
    size_t before = keys->count;
    const uint32_t names[] = { steel, finish };
    if (!oxt_i_grow(&trials->groups, &trials->group_capacity, before + 1, sizeof *trials->groups) ||
        !oxt_i_intern_add(keys, names, sizeof names, group))
        return false;
    if (*group < before)
        return true;
    trials->groups[*group] = (group_rows){ steel, finish, NONE, NONE, 0, NONE };
    chain *of_steel = &trials->steels[steel];
    if (of_steel->first == NONE)
        of_steel->first = *group;
    else
        trials->groups[of_steel->last].next = *group;
    of_steel->last = *group;
    return true;
}

static bool take_text(oxt_trials *trials, oxt_i_log_set set, const char *text, uint32_t *number)
{
    return oxt_i_log_intern(trials, set, text, strlen(text), number);
}

static bool take_stated(oxt_trials *trials, const oxt_trial *trial, uint32_t *number)
{
    oxt_i_stated_values known;
    memset(&known, 0, sizeof known);
    for (oxt_i_field field = OXT_I_PART; field < OXT_I_FIELDS; field++)
        known.number[field - OXT_I_PART] = oxt_i_field_get(trial, field);
    known.part_shape = (double)trial->part_shape;
    known.lifted = (double)trial->lifted;
    if (*trial->day) {
        uint32_t day;
        if (!take_text(trials, OXT_I_DAYS, trial->day, &day))
            return false;
        known.day = (double)day + 1.0;
    }
    return oxt_i_log_intern(trials, OXT_I_STATED, &known, sizeof known, number);
}

static bool take_colour(oxt_trials *trials, const oxt_trial *trial, uint32_t *number)
{
    switch (trial->seen) {
    case OXT_SEEN_COLOUR:
        return take_text(trials, OXT_I_COLOURS, trial->colour, number);
    case OXT_SEEN_SRGB:
        return take_text(trials, OXT_I_SRGBS, trial->srgb, number);
    case OXT_SEEN_LAB:
        return oxt_i_log_intern(trials, OXT_I_LABS, trial->lab, sizeof trial->lab, number);
    default:
        return true;
    }
}

bool oxt_i_log_reserve(oxt_trials *trials, size_t more)
{
    if (more >= NONE || trials->count >= NONE - more)
        return false;
    if (trials->count + more <= trials->capacity)
        return true;
    if (!oxt_i_grow(&trials->rows, &trials->capacity, trials->count + more, sizeof *trials->rows))
        return false;
    oxt_i_use_large_pages(trials->rows, trials->capacity * sizeof *trials->rows);
    return true;
}

/* Put a row that is there at the end of its group's. */
static void chain_row(oxt_trials *trials, size_t index)
{
    oxt_i_log_row *row = &trials->rows[index];
    group_rows *of = &trials->groups[row->group];
    row->next = NONE;
    if (of->first == NONE)
        of->first = (uint32_t)index;
    else
        trials->rows[of->last].next = (uint32_t)index;
    of->last = (uint32_t)index;
    of->count++;
}

oxt_i_log_row *oxt_i_log_next(oxt_trials *trials)
{
    return oxt_i_log_reserve(trials, 1) ? &trials->rows[trials->count] : NULL;
}

void oxt_i_log_append(oxt_trials *trials)
{
    chain_row(trials, trials->count++);
}

oxt_status oxt_i_trials_append(oxt_trials *trials, const oxt_trial *trial, const char *note,
                               oxt_error *error)
{
    oxt_i_log_row *made = oxt_i_log_next(trials);
    uint32_t steel, finish;
    if (!made)
        return oxt_i_no_memory(error);
    *made = (oxt_i_log_row){ .bath_K = trial->bath_K,
                             .time_s = trial->time_s,
                             .thickness_nm = trial->thickness_nm,
                             .line = trial->line,
                             .seen = (uint8_t)trial->seen };
    /* What is interned in vain does no harm; a group has a row as soon as it is there. */
    if (!take_text(trials, OXT_I_NOTES, note, &made->note) ||
        !take_colour(trials, trial, &made->colour) || !take_stated(trials, trial, &made->stated) ||
        !oxt_i_log_take_steel(trials, trial->steel, strlen(trial->steel), &steel) ||
        !take_text(trials, OXT_I_FINISHES, trial->finish, &finish) ||
        !oxt_i_log_take_group(trials, steel, finish, &made->group))
        return oxt_i_no_memory(error);
    oxt_i_log_append(trials);
    return OXT_OK;
}

oxt_i_log_mark oxt_i_log_now(const oxt_trials *trials)
{
    oxt_i_log_mark mark = { .rows = trials->count,
                            .kept_columns = oxt_faults_count(trials->kept_columns),
                            .unit_known = trials->unit_known };
    for (int set = 0; set < OXT_I_SETS; set++)
        mark.interned[set] = trials->sets[set].count;
    return mark;
}

void oxt_i_log_cut(oxt_trials *trials, const oxt_i_log_mark *mark)
{
    for (int set = 0; set < OXT_I_SETS; set++)
        oxt_i_intern_cut(&trials->sets[set], mark->interned[set]);
    for (size_t i = 0; i < mark->interned[OXT_I_STEELS]; i++)
        trials->steels[i] = (chain){ NONE, NONE };
    for (uint32_t i = 0; i < mark->interned[OXT_I_GROUPS]; i++) {
        group_rows *of = &trials->groups[i];
        chain *of_steel = &trials->steels[of->steel];
        if (of_steel->first == NONE)
            of_steel->first = i;
        else
            trials->groups[of_steel->last].next = i;
        of_steel->last = i;
        *of = (group_rows){ of->steel, of->finish, NONE, NONE, 0, NONE };
    }
    if (trials->kept_columns)
        oxt_i_faults_cut(trials->kept_columns, mark->kept_columns);
    trials->count = mark->rows;
    trials->unit_known = mark->unit_known;
    for (size_t i = 0; i < trials->count; i++)
        chain_row(trials, i);
}

oxt_status oxt_trials_add(oxt_trials *trials, const oxt_trial *trial, const char *note,
                          oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!trials || !trial)
        return oxt_i_null(error, trials ? "trial" : "trials");
    oxt_trial checked = OXT_TRIAL_INIT;
    oxt_status status = OXT_I_STRUCT_IN(oxt_trial, &checked, trial, "trial", error);
    if (!status)
        status = oxt_i_check_trial(&checked, note, trials->words, error);
    return status ? status : oxt_i_trials_append(trials, &checked, note ? note : "", error);
}

/* ---- how its coupons were run ---- */

/* The coupon as a trial states it: 0 where it is the usual one. A log has no place for the rest of a part or lift. */
static oxt_status take_coupon(oxt_trial *made, const oxt_part *part, const oxt_lift *lift,
                              oxt_error *error)
{
    const oxt_part usual = OXT_PART_INIT;
    const oxt_lift quick = OXT_LIFT_INIT;
    oxt_part coupon = OXT_PART_INIT;
    oxt_lift way = OXT_LIFT_INIT;
    oxt_status status = oxt_i_lift_in(&way, lift, error);
    if (!status && part)
        status = OXT_I_STRUCT_IN(oxt_part, &coupon, part, "part", error);
    if (status)
        return status;
    const double rest[][2] = {
        { coupon.density_kg_per_m3, usual.density_kg_per_m3 },
        { coupon.heat_J_per_kgK, usual.heat_J_per_kgK },
        { coupon.conductivity_W_per_mK, usual.conductivity_W_per_mK },
        { coupon.metal, usual.metal },
        { coupon.flow, usual.flow },
        { coupon.wetted == 0.0 ? 1.0 : coupon.wetted, 1.0 }, /* 0 says all of it too */
        { way.air_K, quick.air_K },
        { way.convection_W_per_m2K, quick.convection_W_per_m2K },
        { way.emissivity, quick.emissivity },
    };
    for (size_t i = 0; i < OXT_I_COUNT(rest); i++)
        if (rest[i][0] != rest[i][1])
            return oxt_i_fail_text(error, OXT_EARG, i < 6 ? "part" : "lift",
                                   "a log states the size, shape, start and transfer of a coupon "
                                   "and the delay of its lift: expected all else as usual");
    made->part_size_m = coupon.size_m;
    made->part_shape = coupon.shape;
    made->part_start_K = coupon.start_K == usual.start_K ? 0.0 : coupon.start_K;
    made->transfer_W_per_m2K = coupon.transfer_W_per_m2K == usual.transfer_W_per_m2K
                                   ? 0.0
                                   : coupon.transfer_W_per_m2K;
    made->lift_s = way.delay_s;
    return OXT_OK;
}

static oxt_i_stated_values with_coupon(oxt_i_stated_values known, const oxt_trial *coupon)
{
    if (known.number[OXT_I_PART - OXT_I_PART] == 0.0) {
        for (oxt_i_field field = OXT_I_PART; field < OXT_I_LIFT; field++)
            known.number[field - OXT_I_PART] = oxt_i_field_get(coupon, field);
        known.part_shape = (double)coupon->part_shape;
    }
    if (known.number[OXT_I_LIFT - OXT_I_PART] == 0.0)
        known.number[OXT_I_LIFT - OXT_I_PART] = coupon->lift_s;
    return known;
}

/* What rows state is kept once: each is stated anew, and the rows are told. */
static oxt_status restate(oxt_trials *trials, const oxt_trial *coupon, oxt_error *error)
{
    size_t count = trials->sets[OXT_I_STATED].count;
    uint32_t *numbers = malloc((count + 1) * sizeof *numbers);
    bool good = numbers != NULL;
    for (uint32_t i = 0; i < count && good; i++) {
        const oxt_i_log_row row = { .stated = i };
        const oxt_i_stated_values known = with_coupon(oxt_i_log_stated(trials, &row), coupon);
        good = oxt_i_log_intern(trials, OXT_I_STATED, &known, sizeof known, &numbers[i]);
    }
    for (size_t i = 0; i < trials->count && good; i++)
        trials->rows[i].stated = numbers[trials->rows[i].stated];
    free(numbers);
    return good ? OXT_OK : oxt_i_no_memory(error);
}

oxt_status oxt_trials_set_coupon(oxt_trials *trials, const oxt_part *part, const oxt_lift *lift,
                                 oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_trial coupon = OXT_TRIAL_INIT;
    if (!trials)
        return oxt_i_null(error, "trials");
    oxt_status status = take_coupon(&coupon, part, lift, error);
    strcpy(coupon.steel, "any");
    coupon.seen = OXT_SEEN_THICKNESS;
    coupon.thickness_nm = coupon.time_s = 1.0;
    coupon.bath_K = OXT_BATH_HIGH_K;
    for (size_t i = 0; i < trials->count; i++)
        coupon.bath_K = fmin(coupon.bath_K, trials->rows[i].bath_K);
    if (!status)
        status = oxt_i_check_trial(&coupon, NULL, NULL, error);
    return status ? status : restate(trials, &coupon, error);
}

/* ---- what comes with a log ---- */

bool oxt_i_trials_keep_column(oxt_trials *trials, const oxt_fault *column)
{
    oxt_fault known = OXT_FAULT_INIT;
    if (!trials->kept_columns)
        trials->kept_columns = oxt_i_faults_new();
    for (size_t i = 0; oxt_faults_get(trials->kept_columns, i, &known, NULL) == OXT_OK; i++)
        if (strcmp(known.column, column->column) == 0)
            return true;
    return trials->kept_columns && oxt_i_faults_add(trials->kept_columns, column);
}

const oxt_faults *oxt_i_trials_kept_columns(const oxt_trials *trials)
{
    return trials->kept_columns;
}

const oxt_words *oxt_i_trials_words(const oxt_trials *trials)
{
    return trials->words;
}

const oxt_words *oxt_i_words_of_fit(const oxt_trials *trials, const oxt_film *film)
{
    const oxt_words *words = oxt_i_trials_words(trials);
    return words ? words : oxt_i_film_words(film);
}

void oxt_i_trials_note_unit(oxt_trials *trials, oxt_temperature_unit unit)
{
    if (trials->unit_known)
        return;
    trials->unit = unit;
    trials->unit_known = true;
}

oxt_temperature_unit oxt_trials_unit(const oxt_trials *trials)
{
    return trials && trials->unit_known ? trials->unit : OXT_UNIT_CELSIUS;
}

oxt_status oxt_trials_set_unit(oxt_trials *trials, oxt_temperature_unit unit, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!trials)
        return oxt_i_null(error, "trials");
    oxt_status status = oxt_i_check_choice("unit", (int)unit, OXT_UNIT_FAHRENHEIT, error);
    if (status)
        return status;
    trials->unit = unit;
    trials->unit_known = true;
    return OXT_OK;
}

/* ---- steels and finishes ---- */

size_t oxt_i_log_steels(const oxt_trials *trials)
{
    return trials->sets[OXT_I_STEELS].count;
}

const char *oxt_i_log_steel(const oxt_trials *trials, size_t steel)
{
    return oxt_i_intern_get(&trials->sets[OXT_I_STEELS], (uint32_t)steel, NULL);
}

bool oxt_i_log_find_steel(const oxt_trials *trials, const char *name, size_t *steel)
{
    uint32_t found = oxt_i_intern_find(&trials->sets[OXT_I_STEELS], name, strlen(name));
    *steel = found;
    /* Memory may have run out between a steel's name and its first trial. */
    return found != OXT_I_NOT_INTERNED && trials->steels[found].first != NONE;
}

size_t oxt_i_log_groups(const oxt_trials *trials)
{
    return trials->sets[OXT_I_GROUPS].count;
}

oxt_i_log_group oxt_i_log_group_at(const oxt_trials *trials, size_t index)
{
    const group_rows *of = &trials->groups[index];
    return (oxt_i_log_group){ of->steel, of->count, of->finish,
                              oxt_i_intern_get(&trials->sets[OXT_I_STEELS], of->steel, NULL),
                              oxt_i_intern_get(&trials->sets[OXT_I_FINISHES], of->finish, NULL) };
}

static size_t group_or_none(uint32_t number)
{
    return number == NONE ? OXT_I_NO_GROUP : number;
}

size_t oxt_i_log_first_group(const oxt_trials *trials, size_t steel)
{
    return group_or_none(trials->steels[steel].first);
}

size_t oxt_i_log_next_group(const oxt_trials *trials, size_t index)
{
    return group_or_none(trials->groups[index].next);
}

static int by_number(const void *a, const void *b)
{
    size_t x = *(const size_t *)a, y = *(const size_t *)b;
    return (x > y) - (x < y);
}

oxt_status oxt_i_log_rows(const oxt_trials *trials, size_t steel, const char *finish, size_t **rows,
                          size_t *count, oxt_error *error)
{
    size_t found = 0, groups = 0;
    for (size_t i = oxt_i_log_first_group(trials, steel); i != OXT_I_NO_GROUP;
         i = oxt_i_log_next_group(trials, i))
        found += trials->groups[i].count;
    *rows = malloc((found + 1) * sizeof **rows);
    if (!*rows)
        return oxt_i_no_memory(error);
    *count = 0;
    for (size_t i = oxt_i_log_first_group(trials, steel); i != OXT_I_NO_GROUP;
         i = oxt_i_log_next_group(trials, i)) {
        if (finish && strcmp(finish, oxt_i_log_group_at(trials, i).finish) != 0)
            continue;
        groups++;
        for (uint32_t at = trials->groups[i].first; at != NONE; at = trials->rows[at].next)
            (*rows)[(*count)++] = at;
    }
    if (groups > 1) /* each is in the order of the log */
        qsort(*rows, *count, sizeof **rows, by_number);
    return OXT_OK;
}

/* ---- reading back ---- */

size_t oxt_trials_count(const oxt_trials *trials)
{
    return trials ? trials->count : 0;
}

static const char *text_at(const oxt_trials *trials, oxt_i_log_set set, uint32_t number)
{
    return oxt_i_intern_get(&trials->sets[set], number, NULL);
}

const oxt_i_log_row *oxt_i_log_all_rows(const oxt_trials *trials)
{
    return trials->rows;
}

oxt_i_stated_values oxt_i_log_stated(const oxt_trials *trials, const oxt_i_log_row *row)
{
    oxt_i_stated_values known;
    memcpy(&known, text_at(trials, OXT_I_STATED, row->stated), sizeof known);
    return known;
}

static const char *note_at(const oxt_trials *trials, size_t index)
{
    return text_at(trials, OXT_I_NOTES, trials->rows[index].note);
}

oxt_trial oxt_i_trial(const oxt_trials *trials, size_t index)
{
    const oxt_i_log_row *from = &trials->rows[index];
    const oxt_i_log_group of = oxt_i_log_group_at(trials, from->group);
    const oxt_i_stated_values known = oxt_i_log_stated(trials, from);
    oxt_trial made = OXT_TRIAL_INIT;
    oxt_i_copy_text(made.steel, sizeof made.steel, of.steel_name);
    oxt_i_copy_text(made.finish, sizeof made.finish, of.finish);
    made.bath_K = from->bath_K;
    made.time_s = from->time_s;
    made.seen = (oxt_seen)from->seen;
    made.thickness_nm = from->thickness_nm;
    made.line = from->line;
    if (made.seen == OXT_SEEN_COLOUR)
        oxt_i_copy_text(made.colour, sizeof made.colour,
                        text_at(trials, OXT_I_COLOURS, from->colour));
    else if (made.seen == OXT_SEEN_LAB)
        memcpy(made.lab, text_at(trials, OXT_I_LABS, from->colour), sizeof made.lab);
    else if (made.seen == OXT_SEEN_SRGB)
        oxt_i_copy_text(made.srgb, sizeof made.srgb, text_at(trials, OXT_I_SRGBS, from->colour));
    for (oxt_i_field field = OXT_I_PART; field < OXT_I_FIELDS; field++)
        oxt_i_field_set(&made, field, known.number[field - OXT_I_PART]);
    made.part_shape = (oxt_shape)known.part_shape;
    made.lifted = (oxt_lifted)known.lifted;
    if (known.day > 0.0)
        oxt_i_copy_text(made.day, sizeof made.day,
                        text_at(trials, OXT_I_DAYS, (uint32_t)known.day - 1));
    return made;
}

/* ---- thicknesses alone ---- */

/* `alike`: a row whose statements are known to be none but its error, of which there are few kinds in a log. */
static bool is_film(const oxt_trials *trials, const oxt_i_log_row *at, const oxt_i_log_row *alike,
                    double *sd_nm)
{
    if (at->seen != OXT_SEEN_THICKNESS || at->line > UINT32_MAX)
        return false;
    if (alike && at->stated == alike->stated)
        return true;
    oxt_i_stated_values known = oxt_i_log_stated(trials, at), bare;
    const int sd = OXT_I_THICKNESS_SD - OXT_I_PART, tolerance = OXT_I_TOLERANCE - OXT_I_PART;
    memset(&bare, 0, sizeof bare);
    bare.number[sd] = *sd_nm = known.number[sd];
    bare.number[tolerance] = known.number[tolerance];
    bare.part_shape = known.part_shape;
    bare.lifted = known.lifted;
    return memcmp(&known, &bare, sizeof known) == 0;
}

static int by_trial(const void *a, const void *b)
{
    uint32_t x = ((const oxt_i_film_row *)a)->trial, y = ((const oxt_i_film_row *)b)->trial;
    return (x > y) - (x < y);
}

/* The films of one group, as far as they are films; whether any states its own error. */
static bool add_films(const oxt_trials *trials, const group_rows *of, oxt_i_films *films)
{
    const oxt_i_log_row *alike = NULL;
    double sd_nm = 0.0;
    bool own = false;
    for (uint32_t i = of->first; i != NONE; i = alike->next) {
        const oxt_i_log_row *at = &trials->rows[i];
        if (!is_film(trials, at, alike, &sd_nm))
            break;
        films->rows[films->count++] = (oxt_i_film_row){ at->bath_K, at->time_s, at->thickness_nm,
                                                        (uint32_t)at->line, i };
        own = own || sd_nm > 0.0;
        alike = at;
    }
    return own;
}

/* The error of each film; false when memory ran out. */
static bool add_sigmas(const oxt_trials *trials, oxt_i_films *films, double least_sigma)
{
    const oxt_i_log_row *alike = NULL;
    double sd_nm = 0.0;
    films->sigmas = oxt_i_many(films->count, sizeof *films->sigmas);
    for (size_t i = 0; i < films->count && films->sigmas; i++) {
        const oxt_i_log_row *at = &trials->rows[films->rows[i].trial];
        is_film(trials, at, alike, &sd_nm);
        double sigma = sd_nm / at->thickness_nm;
        films->sigmas[i] = sd_nm == 0.0 ? films->sigma : sigma > least_sigma ? sigma : least_sigma;
        alike = at;
    }
    return films->sigmas;
}

void oxt_i_films_free(oxt_i_films *films)
{
    free(films->rows);
    free(films->sigmas);
    *films = (oxt_i_films){ .rows = NULL };
}

oxt_status oxt_i_log_films(const oxt_trials *trials, size_t steel, const char *finish,
                           double uncertainty, double least_sigma, oxt_i_films *films,
                           oxt_error *error)
{
    size_t wanted = 0, groups = 0, first = oxt_i_log_first_group(trials, steel);
    bool own = false;
    double sd_nm;
    *films = (oxt_i_films){ .sigma = uncertainty > least_sigma ? uncertainty : least_sigma };
    for (size_t i = first; i != OXT_I_NO_GROUP; i = oxt_i_log_next_group(trials, i)) {
        const group_rows *of = &trials->groups[i];
        if (finish && strcmp(finish, oxt_i_log_group_at(trials, i).finish) != 0)
            continue;
        if (!is_film(trials, &trials->rows[of->first], NULL, &sd_nm))
            return OXT_OK;
        wanted += of->count;
        groups++;
    }
    films->rows = oxt_i_many(wanted, sizeof *films->rows);
    if (!films->rows)
        return oxt_i_no_memory(error);
    for (size_t i = first; i != OXT_I_NO_GROUP; i = oxt_i_log_next_group(trials, i))
        if (!finish || strcmp(finish, oxt_i_log_group_at(trials, i).finish) == 0)
            own = add_films(trials, &trials->groups[i], films) || own;
    if (films->count < wanted) { /* something else was among them */
        oxt_i_films_free(films);
        return OXT_OK;
    }
    if (groups > 1) /* each is in the order of the log */
        qsort(films->rows, wanted, sizeof *films->rows, by_trial);
    if (own && !add_sigmas(trials, films, least_sigma)) {
        oxt_i_films_free(films);
        return oxt_i_no_memory(error);
    }
    return OXT_OK;
}

oxt_status oxt_trials_get(const oxt_trials *trials, size_t index, oxt_trial *trial,
                          oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!trials || !trial)
        return oxt_i_null(error, trials ? "trial" : "trials");
    oxt_status status = oxt_i_check_index(error, index, trials->count);
    if (status)
        return status;
    oxt_trial made = oxt_i_trial(trials, index);
    return OXT_I_STRUCT_OUT(oxt_trial, trial, &made, "trial", error);
}

oxt_status oxt_trials_group(const oxt_trials *trials, size_t index, oxt_trial_group *group,
                            oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_trial_group made = OXT_TRIAL_GROUP_INIT;
    if (!trials || !group)
        return oxt_i_null(error, trials ? "group" : "trials");
    oxt_status status = oxt_i_check_index(error, index, oxt_i_log_groups(trials));
    if (status)
        return status;
    oxt_i_log_group of = oxt_i_log_group_at(trials, index);
    oxt_i_copy_text(made.steel, sizeof made.steel, of.steel_name);
    oxt_i_copy_text(made.finish, sizeof made.finish, of.finish);
    made.count = of.count;
    made.group_count = oxt_i_log_groups(trials);
    return OXT_I_STRUCT_OUT(oxt_trial_group, group, &made, "group", error);
}

/* ---- writing ---- */

/* Quote what a reader would otherwise split, trim or take for a comment. */
static bool needs_quotes(const char *text)
{
    size_t length = strlen(text);
    if (length == 0)
        return false;
    return strpbrk(text, "\",\r\n") != NULL || strchr(" \t#", text[0]) != NULL ||
           strchr(" \t", text[length - 1]) != NULL;
}

static void add_field(oxt_i_text *text, const char *field)
{
    if (!needs_quotes(field)) {
        oxt_i_text_add(text, "%s", field);
        return;
    }
    size_t length = strlen(field);
    size_t quoted = csv_write(NULL, 0, field, length);
    char *buffer = malloc(quoted);
    if (!buffer) {
        text->failed = true;
        return;
    }
    csv_write(buffer, quoted, field, length);
    oxt_i_text_add_bytes(text, buffer, quoted);
    free(buffer);
}

static void add_seen(oxt_i_text *text, const oxt_trial *trial)
{
    switch (trial->seen) {
    case OXT_SEEN_COLOUR:
        add_field(text, trial->colour);
        oxt_i_text_add(text, ",,,,,,");
        break;
    case OXT_SEEN_THICKNESS:
        oxt_i_text_add(text, ",");
        oxt_i_text_add_number(text, trial->thickness_nm);
        oxt_i_text_add(text, ",,,,,");
        break;
    case OXT_SEEN_LAB:
        oxt_i_text_add(text, ",");
        for (int i = 0; i < 3; i++) {
            oxt_i_text_add(text, ",");
            oxt_i_text_add_number(text, trial->lab[i]);
        }
        oxt_i_text_add(text, ",,");
        break;
    default:
        oxt_i_text_add(text, ",,,,,%s,", trial->srgb);
    }
}

/* The columns that may be missing: whether any trial states them. */
typedef struct {
    bool shape, day, lifted, number[OXT_I_FIELDS];
    oxt_temperature_unit unit; /* of the baths */
} columns;

/* A bath on a scale, in few digits, that is read back to the same number of K; false where there is none. */
static bool find_typed(double bath_K, oxt_temperature_unit unit, double *typed)
{
    double value = oxt_i_kelvin_to(bath_K, unit), power = 1.0;
    for (int i = 0; i < 13; i++, power *= 10.0) {
        *typed = nearbyint(value * power) / power;
        if (oxt_i_kelvin_from(*typed, unit) == bath_K)
            return true;
    }
    enum { BESIDE = 8 }; /* numbers on either side: a scale may have several to one of K */
    *typed = value;
    for (int i = 0; i < BESIDE; i++)
        *typed = nextafter(*typed, 0.0);
    for (int i = 0; i < 2 * BESIDE; i++, *typed = nextafter(*typed, HUGE_VAL))
        if (oxt_i_kelvin_from(*typed, unit) == bath_K)
            return true;
    return false;
}

/* The scale of the log, where every bath can be written on it; else K. */
static oxt_temperature_unit written_unit(const oxt_trials *trials)
{
    double typed;
    oxt_temperature_unit unit = trials->unit_known ? trials->unit : OXT_UNIT_KELVIN;
    for (size_t i = 0; i < trials->count && unit != OXT_UNIT_KELVIN; i++)
        if (!find_typed(trials->rows[i].bath_K, unit, &typed))
            unit = OXT_UNIT_KELVIN;
    return unit;
}

static columns find_columns(const oxt_trials *trials)
{
    columns used = { .unit = written_unit(trials) };
    for (size_t i = 0; i < trials->count; i++) {
        const oxt_trial trial = oxt_i_trial(trials, i);
        used.shape = used.shape || trial.part_shape != OXT_SHAPE_PLATE;
        used.day = used.day || *trial.day;
        used.lifted = used.lifted || trial.lifted != OXT_LIFTED_NOT_STATED;
        for (oxt_i_field field = OXT_I_PART; field < OXT_I_FIELDS; field++)
            used.number[field] = used.number[field] || oxt_i_field_get(&trial, field) != 0.0;
    }
    return used;
}

static void add_header(oxt_i_text *text, const columns *used)
{
    static const char letters[] = { 'K', 'C', 'F' };
    oxt_i_text_add(text, "steel,finish,bath_%c,time_s,colour,thickness_nm,L,a,b,srgb,",
                   letters[used->unit]);
    if (used->shape)
        oxt_i_text_add(text, "shape,");
    for (oxt_i_field field = OXT_I_PART; field < OXT_I_FIELDS; field++)
        if (used->number[field])
            oxt_i_text_add(text, "%s,", oxt_i_field_column(field));
    oxt_i_text_add(text, "%s%snote\n", used->day ? "day," : "", used->lifted ? "lifted," : "");
}

static void add_stated(oxt_i_text *text, const columns *used, const oxt_trial *trial)
{
    if (used->shape && trial->part_size_m != 0.0)
        oxt_i_text_add(text, "%s", oxt_i_shape_names[trial->part_shape]);
    if (used->shape)
        oxt_i_text_add(text, ",");
    for (oxt_i_field field = OXT_I_PART; field < OXT_I_FIELDS; field++) {
        double value = oxt_i_field_get(trial, field);
        if (value != 0.0)
            oxt_i_text_add_number(text, value);
        if (used->number[field])
            oxt_i_text_add(text, ",");
    }
    add_field(text, trial->day);
    if (used->day)
        oxt_i_text_add(text, ",");
    if (used->lifted)
        oxt_i_text_add(text, "%s,", oxt_i_lifted_names[trial->lifted]);
}

static void write_csv(const oxt_trials *trials, oxt_i_text *text)
{
    columns used = find_columns(trials);
    add_header(text, &used);
    for (size_t i = 0; i < trials->count; i++) {
        const oxt_trial made = oxt_i_trial(trials, i), *trial = &made;
        add_field(text, trial->steel);
        oxt_i_text_add(text, ",");
        add_field(text, trial->finish);
        oxt_i_text_add(text, ",");
        double typed = trial->bath_K;
        if (used.unit != OXT_UNIT_KELVIN)
            find_typed(trial->bath_K, used.unit, &typed);
        oxt_i_text_add_number(text, typed);
        oxt_i_text_add(text, ",");
        oxt_i_text_add_number(text, trial->time_s);
        oxt_i_text_add(text, ",");
        add_seen(text, trial);
        add_stated(text, &used, trial);
        add_field(text, note_at(trials, i));
        oxt_i_text_add(text, "\n");
    }
}

oxt_status oxt_trials_write_csv(const oxt_trials *trials, const char *path, oxt_replace replace,
                                oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!trials || !path)
        return oxt_i_null(error, trials ? "path" : "trials");
    oxt_i_text text = { 0 };
    write_csv(trials, &text);
    oxt_status status = text.failed ? oxt_i_no_memory(error)
                                    : oxt_file_write(path, OXT_FILE_TRIALS, replace, text.data,
                                                     text.length, error);
    oxt_i_text_free(&text);
    return status;
}

oxt_status oxt_trials_write_csv_text(const oxt_trials *trials, char *buffer, size_t capacity,
                                     size_t *needed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!trials)
        return oxt_i_null(error, "trials");
    oxt_i_text text = { 0 };
    write_csv(trials, &text);
    return oxt_i_emit_text(&text, buffer, capacity, needed, error);
}
