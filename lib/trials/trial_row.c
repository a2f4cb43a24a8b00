/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "oxtint/colour.h"
#include "optics/tint.h"
#include "optics/words.h"
#include "thermal/heat.h"
#include "trials/trial_row.h"

#include <string.h>

bool oxt_i_row_start(oxt_i_row_maker *maker, oxt_trials *log)
{
    *maker = (oxt_i_row_maker){ .log = log };
    memset(&maker->stated, 0, sizeof maker->stated);
    bool good = oxt_i_log_intern(log, OXT_I_FINISHES, "", 0, &maker->no_finish) &&
                oxt_i_log_intern(log, OXT_I_NOTES, "", 0, &maker->no_note) &&
                oxt_i_log_intern(log, OXT_I_STATED, &maker->stated, sizeof maker->stated,
                                 &maker->no_stated);
    maker->stated_number = maker->no_stated;
    for (oxt_i_field field = 0; field < OXT_I_FIELDS; field++)
        oxt_i_field_limits(field, &maker->low[field], &maker->high[field]);
    for (size_t i = 0; i < OXT_I_KNOWN_GROUPS; i++)
        maker->known[i].steel = OXT_I_EMPTY_CELL;
    return good;
}

void oxt_i_cells_clear(oxt_i_cells *cells)
{
    cells->line = 0;
    for (int role = 0; role < OXT_I_ROLE_NUMBERS; role++)
        cells->text[role] = OXT_I_EMPTY_CELL;
    for (int field = 0; field < OXT_I_FIELDS; field++)
        cells->number[field] = NAN;
}

/* ---- texts ---- */

static bool is_clean(const char *text, size_t length)
{
    return !memchr(text, '\0', length) && oxt_i_is_utf8(text, length) &&
           !strstr(text, OXT_I_BYTE_ORDER_MARK);
}

/* Which of some names a text is; false for none. */
static bool choose(const char *text, const char *const *names, uint32_t first, uint32_t last,
                   uint32_t *number)
{
    for (*number = first; *number <= last; ++*number)
        if (oxt_i_same_word(text, names[*number]))
            return true;
    return false;
}

/* Whether a text that is clean holds in a role; of a choice, which one. */
static bool holds(const oxt_i_row_maker *maker, int role, const char *text, size_t length,
                  uint32_t *chosen)
{
    oxt_i_tint_word found;
    double srgb[3];
    switch (role) {
    case OXT_I_ROLE_STEEL:
    case OXT_I_ROLE_FINISH:
        return length < sizeof((oxt_trial *)0)->steel;
    case OXT_I_ROLE_COLOUR:
        return length < sizeof((oxt_trial *)0)->colour &&
               oxt_i_tint_read(text, oxt_i_trials_words(maker->log), &found);
    case OXT_I_ROLE_SRGB:
        return length < sizeof((oxt_trial *)0)->srgb && !oxt_parse_srgb(text, srgb, NULL);
    case OXT_I_ROLE_SHAPE:
        return choose(text, oxt_i_shape_names, OXT_SHAPE_PLATE, OXT_SHAPE_ANY, chosen);
    case OXT_I_ROLE_LIFTED:
        return choose(text, oxt_i_lifted_names, OXT_LIFTED_FIRST, OXT_LIFTED_AFTER, chosen);
    case OXT_I_ROLE_DAY:
        return length < sizeof((oxt_trial *)0)->day;
    default:
        return role == OXT_I_ROLE_NOTE;
    }
}

bool oxt_i_cell_text(oxt_i_row_maker *maker, int role, const char *text, size_t length,
                     uint32_t *number)
{
    const oxt_i_log_set set = (oxt_i_log_set)role; /* but of choices */
    char ended[256];
    uint32_t chosen = 0;
    *number = length ? OXT_I_BAD_CELL : OXT_I_EMPTY_CELL;
    if (length == 0)
        return true;
    if (role < OXT_I_ROLE_SHAPE) { /* what is kept has been looked at */
        uint32_t known = oxt_i_intern_find(oxt_i_log_interned(maker->log, set), text, length);
        if (known != OXT_I_NOT_INTERNED) {
            *number = known;
            return true;
        }
    }
    if (length >= sizeof ended) /* long ones are left to the reader */
        return true;
    memcpy(ended, text, length);
    ended[length] = '\0';
    if (!is_clean(ended, length) || !holds(maker, role, ended, length, &chosen))
        return true;
    if (role >= OXT_I_ROLE_SHAPE)
        *number = chosen;
    else if (role == OXT_I_ROLE_STEEL)
        return oxt_i_log_take_steel(maker->log, ended, length, number);
    else
        return oxt_i_log_intern(maker->log, set, ended, length, number);
    return true;
}

/* ---- rows ---- */

static bool is_in(const oxt_i_row_maker *maker, oxt_i_field field, double value)
{
    return value >= maker->low[field] && value <= maker->high[field];
}

/* The one thing seen; false when there is none, or more, or it does not hold. */
static bool take_seen(const oxt_i_row_maker *maker, const oxt_i_cells *cells, oxt_i_log_row *row)
{
    bool colour = cells->text[OXT_I_ROLE_COLOUR] != OXT_I_EMPTY_CELL,
         srgb = cells->text[OXT_I_ROLE_SRGB] != OXT_I_EMPTY_CELL,
         thickness = !isnan(cells->number[OXT_I_THICKNESS]),
         lab = !isnan(cells->number[OXT_I_LAB_L]) || !isnan(cells->number[OXT_I_LAB_A]) ||
               !isnan(cells->number[OXT_I_LAB_B]);
    if (colour + srgb + thickness + lab != 1)
        return false;
    if (thickness) {
        row->seen = OXT_SEEN_THICKNESS;
        row->thickness_nm = cells->number[OXT_I_THICKNESS];
        return is_in(maker, OXT_I_THICKNESS, row->thickness_nm);
    }
    if (lab) {
        row->seen = OXT_SEEN_LAB;
        return is_in(maker, OXT_I_LAB_L, cells->number[OXT_I_LAB_L]) &&
               is_in(maker, OXT_I_LAB_A, cells->number[OXT_I_LAB_A]) &&
               is_in(maker, OXT_I_LAB_B, cells->number[OXT_I_LAB_B]);
    }
    row->seen = colour ? OXT_SEEN_COLOUR : OXT_SEEN_SRGB;
    row->colour = cells->text[colour ? OXT_I_ROLE_COLOUR : OXT_I_ROLE_SRGB];
    return row->colour != OXT_I_BAD_CELL;
}

/* What is stated of the coupon; false when something does not hold. */
static bool read_stated(const oxt_i_row_maker *maker, const oxt_i_cells *cells,
                        oxt_i_stated_values *known)
{
    memset(known, 0, sizeof *known);
    for (oxt_i_field field = OXT_I_PART; field < OXT_I_FIELDS; field++) {
        double value = cells->number[field];
        if (isnan(value))
            continue;
        if (!is_in(maker, field, value))
            return false;
        known->number[field - OXT_I_PART] = value + 0.0; /* no negative zero: bytes are compared */
    }
    uint32_t shape = cells->text[OXT_I_ROLE_SHAPE], day = cells->text[OXT_I_ROLE_DAY],
             lifted = cells->text[OXT_I_ROLE_LIFTED];
    if (shape == OXT_I_BAD_CELL || day == OXT_I_BAD_CELL || lifted == OXT_I_BAD_CELL)
        return false;
    if (day != OXT_I_EMPTY_CELL)
        known->day = (double)day + 1.0;
    if (lifted != OXT_I_EMPTY_CELL)
        known->lifted = (double)lifted;
    bool needs_part = shape != OXT_I_EMPTY_CELL || !isnan(cells->number[OXT_I_START]) ||
                      !isnan(cells->number[OXT_I_TRANSFER]);
    if (shape != OXT_I_EMPTY_CELL)
        known->part_shape = (double)shape;
    return (!needs_part || !isnan(cells->number[OXT_I_PART])) &&
           !(cells->number[OXT_I_START] > cells->number[OXT_I_BATH]);
}

static oxt_i_row_result take_stated(oxt_i_row_maker *maker, const oxt_i_cells *cells,
                                    uint32_t *number)
{
    oxt_i_stated_values known;
    *number = maker->no_stated;
    if (!maker->has_stated)
        return OXT_I_ROW_TAKEN;
    if (!read_stated(maker, cells, &known))
        return OXT_I_ROW_UNUSUAL;
    if (memcmp(&known, &maker->stated, sizeof known) != 0) {
        /* until there is another the number of the row before stays, with its values */
        uint32_t found;
        if (!oxt_i_log_intern(maker->log, OXT_I_STATED, &known, sizeof known, &found))
            return OXT_I_ROW_NO_MEMORY;
        maker->stated_number = found;
        maker->stated = known;
    }
    *number = maker->stated_number;
    return OXT_I_ROW_TAKEN;
}

static bool take_group(oxt_i_row_maker *maker, uint32_t steel, uint32_t finish, uint32_t *group)
{
    size_t place = (steel + 31 * finish) & (OXT_I_KNOWN_GROUPS - 1);
    if (maker->known[place].steel != steel || maker->known[place].finish != finish) {
        if (!oxt_i_log_take_group(maker->log, steel, finish, &maker->known[place].group))
            return false;
        maker->known[place].steel = steel;
        maker->known[place].finish = finish;
    }
    *group = maker->known[place].group;
    return true;
}

oxt_i_row_result oxt_i_row_take(oxt_i_row_maker *maker, const oxt_i_cells *cells)
{
    uint32_t steel = cells->text[OXT_I_ROLE_STEEL], finish = cells->text[OXT_I_ROLE_FINISH],
             note = cells->text[OXT_I_ROLE_NOTE];
    oxt_i_log_row *row = oxt_i_log_next(maker->log); /* in its place: a copy waits for its parts */
    if (!row)
        return OXT_I_ROW_NO_MEMORY;
    *row = (oxt_i_log_row){ .bath_K = cells->number[OXT_I_BATH],
                            .time_s = cells->number[OXT_I_TIME],
                            .line = cells->line,
                            .note = note == OXT_I_EMPTY_CELL ? maker->no_note : note };
    if (steel >= OXT_I_BAD_CELL || finish == OXT_I_BAD_CELL || note == OXT_I_BAD_CELL ||
        !is_in(maker, OXT_I_BATH, row->bath_K) || !is_in(maker, OXT_I_TIME, row->time_s) ||
        !take_seen(maker, cells, row))
        return OXT_I_ROW_UNUSUAL;
    oxt_i_row_result result = take_stated(maker, cells, &row->stated);
    if (result != OXT_I_ROW_TAKEN)
        return result;
    if (row->seen == OXT_SEEN_LAB) {
        const double lab[] = { cells->number[OXT_I_LAB_L], cells->number[OXT_I_LAB_A],
                               cells->number[OXT_I_LAB_B] };
        if (!oxt_i_log_intern(maker->log, OXT_I_LABS, lab, sizeof lab, &row->colour))
            return OXT_I_ROW_NO_MEMORY;
    }
    if (finish == OXT_I_EMPTY_CELL)
        finish = maker->no_finish;
    if (!take_group(maker, steel, finish, &row->group))
        return OXT_I_ROW_NO_MEMORY;
    oxt_i_log_append(maker->log);
    return OXT_I_ROW_TAKEN;
}
