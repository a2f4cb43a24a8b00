/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is known of one steel, and what was done to it. Its card on disk is in steel_card.c. */
#include "growth/growth.h"
#include "optics/words.h"
#include "steel/steel.h"
#include "thermal/bath.h"
#include "trials/trial.h"

#include <stdlib.h>
#include <string.h>

/* ---- the fields, once: for checking, reading and writing ---- */

#define NUMBER(field, low, ends) OXT_I_CARD_NUMBER(oxt_steel_values, field, low, ends)
#define GROWTH(field, low, ends)                                                         \
    {                                                                                    \
#field, #field, offsetof(oxt_steel_values, growth.field), 0, low, HUGE_VAL, ends \
    }

static const oxt_i_card_field numbers[] = {
    GROWTH(k_ref_nm2_per_s, 0.0, OXT_I_OPEN_LOW),
    GROWTH(T_ref_K, 0.0, OXT_I_OPEN_LOW),
    GROWTH(Q_J_per_mol, 0.0, OXT_I_CLOSED),
    NUMBER(variance_ln_k, 0.0, OXT_I_CLOSED),
    NUMBER(covariance_J_per_mol, -HUGE_VAL, OXT_I_CLOSED),
    NUMBER(variance_Q_J2_per_mol2, 0.0, OXT_I_CLOSED),
    NUMBER(scatter, 0.0, OXT_I_CLOSED),
    NUMBER(dof, 0.0, OXT_I_OPEN_LOW),
    NUMBER(bath_low_K, 0.0, OXT_I_OPEN_LOW),
    NUMBER(bath_high_K, 0.0, OXT_I_OPEN_LOW),
    NUMBER(thickness_low_nm, 0.0, OXT_I_OPEN_LOW),
    NUMBER(thickness_high_nm, 0.0, OXT_I_OPEN_LOW),
};
/* Kept only where they are not 0. */
static const oxt_i_card_field later_numbers[] = {
    NUMBER(scatter_dof, 0.0, OXT_I_CLOSED),
    NUMBER(time_exponent, 0.0, OXT_I_CLOSED),
    NUMBER(time_exponent_stderr, 0.0, OXT_I_CLOSED),
    NUMBER(middle_nm, 0.0, OXT_I_CLOSED),
    NUMBER(day_sd, 0.0, OXT_I_CLOSED),
    NUMBER(ln_shape_stderr, 0.0, OXT_I_CLOSED),
    { "law_shape", "shape", offsetof(oxt_steel_values, growth.shape), 0, 0.0, HUGE_VAL,
      OXT_I_CLOSED },
    { "law_middle_nm", "middle_nm", offsetof(oxt_steel_values, growth.middle_nm), 0, 0.0, HUGE_VAL,
      OXT_I_CLOSED },
    GROWTH(initial_nm, 0.0, OXT_I_CLOSED),
    NUMBER(initial_stderr_nm2, 0.0, OXT_I_CLOSED),
};
static const oxt_i_card_field texts[] = {
    OXT_I_CARD_TEXT(oxt_steel_values, steel),
    OXT_I_CARD_TEXT(oxt_steel_values, finish),
    OXT_I_CARD_TEXT(oxt_steel_values, description),
    OXT_I_CARD_TEXT(oxt_steel_values, origin),
};
const oxt_i_card_fields oxt_i_steel_numbers = { numbers, OXT_I_COUNT(numbers), false },
                        oxt_i_later_numbers = { later_numbers, OXT_I_COUNT(later_numbers), true },
                        oxt_i_steel_texts = { texts, OXT_I_COUNT(texts), false };

/* ---- a recorded dip ---- */

#define DIP_NUMBER(field, low, high, ends)                                    \
    {                                                                         \
#field, #field, offsetof(oxt_recorded_dip, field), 0, low, high, ends \
    }

static const oxt_i_card_field record_numbers[] = {
    DIP_NUMBER(bath_K, OXT_BATH_LOW_K, OXT_BATH_HIGH_K, OXT_I_CLOSED),
    DIP_NUMBER(time_s, 0.0, OXT_TIME_HIGH_S, OXT_I_OPEN_LOW),
    DIP_NUMBER(low_nm, 0.0, OXT_THICKNESS_HIGH_NM, OXT_I_CLOSED),
    DIP_NUMBER(high_nm, 0.0, OXT_THICKNESS_HIGH_NM, OXT_I_CLOSED),
    DIP_NUMBER(chance, -1.0, 1.0, OXT_I_CLOSED),
    DIP_NUMBER(k_ref_nm2_per_s, 0.0, HUGE_VAL, OXT_I_OPEN_LOW),
    DIP_NUMBER(part_size_m, 0.0, 1.0, OXT_I_CLOSED),
    DIP_NUMBER(lift_s, 0.0, 3600.0, OXT_I_CLOSED),
};
static const oxt_i_card_field record_later[] = {
    DIP_NUMBER(coupon_time_s, 0.0, OXT_TIME_HIGH_S, OXT_I_CLOSED),
};
static const oxt_i_card_field record_texts[] = {
    OXT_I_CARD_TEXT(oxt_recorded_dip, target),
    OXT_I_CARD_TEXT(oxt_recorded_dip, seen),
    OXT_I_CARD_TEXT(oxt_recorded_dip, label),
};
const oxt_i_card_fields oxt_i_record_numbers = { record_numbers, OXT_I_COUNT(record_numbers),
                                                 false },
                        oxt_i_record_later = { record_later, OXT_I_COUNT(record_later), true },
                        oxt_i_record_texts = { record_texts, OXT_I_COUNT(record_texts), false };

/* ---- checking ---- */

oxt_status oxt_i_card_check(const oxt_i_card_fields *list, const void *values, oxt_error *error)
{
    oxt_status status = OXT_OK;
    for (size_t i = 0; i < list->count && !status; i++) {
        const oxt_i_card_field *field = &list->fields[i];
        const char *at = (const char *)values + field->offset;
        status = field->capacity
                     ? oxt_i_check_text(at, field->capacity, field->name, error)
                     : oxt_i_check(error, field->name, *(const double *)(const void *)at,
                                   field->low, field->high, field->ends);
    }
    return status;
}

static oxt_status check_values(const oxt_steel_values *values, oxt_error *error)
{
    oxt_status status = oxt_i_card_check(&oxt_i_steel_texts, values, error);
    if (!status && values->steel[0] == '\0')
        status = oxt_i_fail_text(error, OXT_EARG, "steel",
                                 "steel is empty, expected the name of a steel");
    if (!status && values->growth.struct_size != sizeof values->growth)
        status = oxt_i_fail(error, OXT_EARG, "growth", (double)values->growth.struct_size,
                            (double)sizeof values->growth, (double)sizeof values->growth,
                            "growth has struct_size %zu, expected %zu: start values with "
                            "OXT_STEEL_VALUES_INIT",
                            values->growth.struct_size, sizeof values->growth);
    if (!status)
        status = oxt_i_check_growth(&values->growth, error);
    if (!status)
        status = oxt_i_card_check(&oxt_i_steel_numbers, values, error);
    if (!status)
        status = oxt_i_card_check(&oxt_i_later_numbers, values, error);
    if (!status)
        status = oxt_i_check(error, "bath_high_K", values->bath_high_K, values->bath_low_K,
                             HUGE_VAL, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "thickness_high_nm", values->thickness_high_nm,
                             values->thickness_low_nm, HUGE_VAL, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "trial_count", (double)values->trial_count, 0.0,
                             OXT_I_LARGEST_COUNT, OXT_I_CLOSED);
    if (status)
        return status;
    double most = sqrt(values->variance_ln_k) * sqrt(values->variance_Q_J2_per_mol2);
    if (fabs(values->covariance_J_per_mol) > most * (1.0 + 1e-9))
        return oxt_i_fail(error, OXT_EDOMAIN, "covariance_J_per_mol", values->covariance_J_per_mol,
                          -most, most,
                          "covariance_J_per_mol is %g, expected at most %g in size, the geometric "
                          "mean of the variances",
                          values->covariance_J_per_mol, most);
    return OXT_OK;
}

/* ---- making ---- */

oxt_status oxt_steel_new(oxt_steel **steel, const oxt_steel_values *values, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (steel)
        *steel = NULL;
    if (!steel || !values)
        return oxt_i_null(error, steel ? "values" : "steel");
    oxt_steel_values checked = OXT_STEEL_VALUES_INIT;
    oxt_status status = OXT_I_STRUCT_IN(oxt_steel_values, &checked, values, "values", error);
    if (!status)
        status = check_values(&checked, error);
    if (!status)
        status = oxt_i_card_check(&oxt_i_coupon_numbers, &checked, error);
    if (!status)
        status = oxt_i_steel_check_coupon(&checked, error);
    if (status)
        return status;
    *steel = calloc(1, sizeof **steel);
    if (!*steel)
        return oxt_i_no_memory(error);
    (*steel)->values = checked;
    return OXT_OK;
}

oxt_status oxt_i_steel_make(oxt_steel **steel, const oxt_steel_values *values,
                            const oxt_words *words, oxt_error *error)
{
    oxt_status status = oxt_steel_new(steel, values, error);
    if (status || oxt_i_words_copy(&(*steel)->words, words))
        return status;
    oxt_steel_free(*steel);
    *steel = NULL;
    return oxt_i_no_memory(error);
}

void oxt_steel_free(oxt_steel *steel)
{
    if (!steel)
        return;
    free(steel->history);
    free(steel->record);
    oxt_words_free(steel->words);
    free(steel);
}

/* History, with an entry more, and record, with place for a dip more. */
static bool copy_lists(oxt_steel *made, const oxt_steel *old, const oxt_steel_change *entry)
{
    size_t count = old->history_count + (entry ? 1 : 0);
    made->history = malloc((count + 1) * sizeof *made->history);
    made->record = malloc((old->record_count + 1) * sizeof *made->record);
    if (!made->history || !made->record)
        return false;
    if (old->history_count > 0)
        memcpy(made->history, old->history, old->history_count * sizeof *made->history);
    if (entry)
        made->history[count - 1] = *entry;
    if (old->record_count > 0)
        memcpy(made->record, old->record, old->record_count * sizeof *made->record);
    made->history_count = oxt_i_steel_fold(made->history, count);
    made->record_count = old->record_count;
    return true;
}

oxt_status oxt_i_steel_renew(oxt_steel **renewed, const oxt_steel *old,
                             const oxt_steel_values *values, const oxt_steel_change *entry,
                             const oxt_words *words, oxt_error *error)
{
    oxt_status status = oxt_i_steel_make(renewed, values, words, error);
    if (status)
        return status;
    if (copy_lists(*renewed, old, entry)) {
        oxt_i_steel_judge(*renewed);
        return OXT_OK;
    }
    oxt_steel_free(*renewed);
    *renewed = NULL;
    return oxt_i_no_memory(error);
}

void oxt_i_steel_record(oxt_steel *steel, const oxt_recorded_dip *dip)
{
    if (steel->record_count == OXT_RECORD_MOST)
        memmove(steel->record, steel->record + 1, --steel->record_count * sizeof *steel->record);
    steel->record[steel->record_count++] = *dip;
    oxt_i_steel_judge(steel);
}

size_t oxt_i_steel_fold(oxt_steel_change *history, size_t count)
{
    if (count <= OXT_I_MOST_ENTRIES)
        return count;
    size_t folded = count - OXT_I_MOST_ENTRIES + 1, trials = 0;
    oxt_steel_change *first = &history[0];
    for (size_t i = 0; i < folded; i++) {
        size_t more = history[i].trial_count;
        trials = more < SIZE_MAX - trials ? trials + more : SIZE_MAX;
    }
    oxt_i_copy_text(first->what, sizeof first->what, "the oldest changes, taken together");
    first->label[0] = '\0';
    first->k_ref_after_nm2_per_s = history[folded - 1].k_ref_after_nm2_per_s;
    first->trial_count = (double)trials < OXT_I_LARGEST_COUNT ? trials
                                                              : (size_t)OXT_I_LARGEST_COUNT;
    memmove(&history[1], &history[folded], (OXT_I_MOST_ENTRIES - 1) * sizeof *history);
    return OXT_I_MOST_ENTRIES;
}

oxt_status oxt_steel_with_words(oxt_steel **reworded, const oxt_steel *steel,
                                const oxt_words *words, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (reworded)
        *reworded = NULL;
    if (!reworded || !steel)
        return oxt_i_null(error, reworded ? "steel" : "reworded");
    return oxt_i_steel_renew(reworded, steel, &steel->values, NULL, words, error);
}

/* ---- reading back ---- */

oxt_status oxt_steel_get(const oxt_steel *steel, oxt_steel_values *values, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!steel || !values)
        return oxt_i_null(error, steel ? "values" : "steel");
    oxt_steel_values made = steel->values;
    made.change_count = steel->history_count;
    made.record_count = steel->record_count;
    made.cautions = oxt_i_range_cautions(made.bath_low_K, made.bath_high_K) |
                    (steel->is_broken ? OXT_CAUTION_BROKEN_PROMISES : 0);
    return OXT_I_STRUCT_OUT(oxt_steel_values, values, &made, "values", error);
}

oxt_status oxt_steel_history(const oxt_steel *steel, size_t index, oxt_steel_change *entry,
                             oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!steel || !entry)
        return oxt_i_null(error, steel ? "entry" : "steel");
    oxt_status status = oxt_i_check_index(error, index, steel->history_count);
    return status
               ? status
               : OXT_I_STRUCT_OUT(oxt_steel_change, entry, &steel->history[index], "entry", error);
}

oxt_status oxt_steel_recorded_dip(const oxt_steel *steel, size_t index, oxt_recorded_dip *dip,
                                  oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!steel || !dip)
        return oxt_i_null(error, steel ? "dip" : "steel");
    oxt_status status = oxt_i_check_index(error, index, steel->record_count);
    return status ? status
                  : OXT_I_STRUCT_OUT(oxt_recorded_dip, dip, &steel->record[index], "dip", error);
}

oxt_status oxt_steel_words(const oxt_steel *steel, oxt_words **words, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (words)
        *words = NULL;
    if (!steel || !words)
        return oxt_i_null(error, steel ? "words" : "steel");
    return oxt_i_words_copy(words, steel->words) ? OXT_OK : oxt_i_no_memory(error);
}
