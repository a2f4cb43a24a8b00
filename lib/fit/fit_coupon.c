/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The usual coupon of a log, for the card and for the rows that state none. */
#include <stdlib.h>

#include "fit/fit.h"
#include "thermal/heat.h"

static bool is_used(const oxt_i_fit_row *row)
{
    return row->reading_count > 0;
}

static int compare(double a, double b)
{
    return (a > b) - (a < b);
}

/* By how slowly they warm up: volume over surface, then what they start from, then the bath. */
static int by_size(const void *a, const void *b)
{
    const oxt_part *first = &(*(const oxt_i_fit_row *const *)a)->part;
    const oxt_part *second = &(*(const oxt_i_fit_row *const *)b)->part;
    int order = compare(oxt_i_volume_per_area_m(first), oxt_i_volume_per_area_m(second));
    if (order == 0)
        order = compare(first->start_K, second->start_K);
    return order ? order : compare(first->transfer_W_per_m2K, second->transfer_W_per_m2K);
}

static int by_lift(const void *a, const void *b)
{
    return compare((*(const oxt_i_fit_row *const *)a)->lift.delay_s,
                   (*(const oxt_i_fit_row *const *)b)->lift.delay_s);
}

/* The middle one of what was stated, the lower of two, and the ends. */
static void take_middle(oxt_i_coupons *made, const oxt_i_fit_row **rows, size_t count)
{
    qsort(rows, count, sizeof *rows, by_size);
    made->part = rows[(count - 1) / 2]->part;
    made->size_low_m = made->size_high_m = made->part.size_m;
    for (size_t i = 0; i < count; i++) {
        made->size_low_m = fmin(made->size_low_m, rows[i]->part.size_m);
        made->size_high_m = fmax(made->size_high_m, rows[i]->part.size_m);
    }
    qsort(rows, count, sizeof *rows, by_lift);
    made->lift = rows[(count - 1) / 2]->lift;
    made->lift_low_s = rows[0]->lift.delay_s;
    made->lift_high_s = rows[count - 1]->lift.delay_s;
}

/* Where others state a part, a coupon of no size would be the one thing that cannot be. */
static void fill_unstated(oxt_i_trial_set *set)
{
    for (size_t i = 0; i < set->row_count; i++) {
        oxt_i_fit_row *row = &set->rows[i];
        if (row->part.size_m > 0.0)
            continue;
        row->part = set->coupons.part;
        row->part.start_K = fmin(row->part.start_K, row->bath_K);
        if (row->lift.delay_s == 0.0)
            row->lift = set->coupons.lift;
        row->has_path = true;
    }
}

static void warn_unstated(oxt_i_warnings *warnings, const oxt_i_trial_set *set, size_t used,
                          size_t with_part, size_t with_path)
{
    char usual[96];
    oxt_i_path_text(&set->coupons.part, &set->coupons.lift, usual, sizeof usual);
    if (with_part > 0 && with_part < used)
        oxt_i_warn(warnings, "PART_NOT_STATED", (double)(used - with_part),
                   "%zu of %zu trials state no part: they are taken to be like the usual "
                   "coupon of the others, %s. If they were not, state how they were run.",
                   used - with_part, used, usual);
    else if (with_part == 0 && with_path < used)
        oxt_i_warn(warnings, "PATH_NOT_STATED", (double)(used - with_path),
                   "%zu of %zu trials state neither part nor lift: they are taken to be "
                   "quenched at once.",
                   used - with_path, used);
}

oxt_status oxt_i_fit_take_coupons(oxt_i_trial_set *set, oxt_i_warnings *warnings, oxt_error *error)
{
    size_t used = 0, with_part = 0, with_path = 0, count = 0;
    for (size_t i = 0; i < set->row_count; i++) {
        const oxt_i_fit_row *row = &set->rows[i];
        used += is_used(row);
        with_part += is_used(row) && row->part.size_m > 0.0;
        with_path += is_used(row) && row->has_path;
    }
    set->coupons.included = with_path > 0;
    if (with_path == 0)
        return OXT_OK;
    const oxt_i_fit_row **rows = malloc(used * sizeof *rows);
    if (!rows)
        return oxt_i_no_memory(error);
    for (size_t i = 0; i < set->row_count; i++)
        if (is_used(&set->rows[i]) && (with_part == 0 || set->rows[i].part.size_m > 0.0))
            rows[count++] = &set->rows[i];
    take_middle(&set->coupons, rows, count);
    free(rows);
    warn_unstated(warnings, set, used, with_part, with_path);
    if (with_part > 0)
        fill_unstated(set);
    return OXT_OK;
}

void oxt_i_fit_put_coupons(const oxt_i_trial_set *set, oxt_steel_values *values)
{
    const oxt_i_coupons *coupons = &set->coupons;
    if (!coupons->included)
        return;
    values->basis = OXT_BASIS_STEEL;
    values->coupon_size_m = coupons->part.size_m;
    values->coupon_shape = coupons->part.shape;
    values->coupon_start_K = coupons->part.start_K;
    values->coupon_transfer_W_per_m2K = coupons->part.transfer_W_per_m2K;
    values->coupon_lift_s = coupons->lift.delay_s;
    values->coupon_size_low_m = coupons->size_low_m;
    values->coupon_size_high_m = coupons->size_high_m;
    values->coupon_lift_low_s = coupons->lift_low_s;
    values->coupon_lift_high_s = coupons->lift_high_s;
}
