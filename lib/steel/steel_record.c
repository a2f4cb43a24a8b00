/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The dips recorded with a card: are its promises kept? */
#include "base/hits.h"
#include "steel/steel.h"

enum { RECENT = 20 };

bool oxt_i_is_promised(const oxt_steel *steel, const oxt_recorded_dip *dip)
{
    return dip->chance >= 0.0 && dip->k_ref_nm2_per_s == steel->values.growth.k_ref_nm2_per_s;
}

void oxt_i_steel_p_values(const oxt_steel *steel, double *p_value, double *recent_p_value)
{
    double chances[OXT_RECORD_MOST] = { 0.0 };
    bool hits[OXT_RECORD_MOST];
    size_t n = 0, hit_count = 0, recent_hits = 0;
    for (size_t i = 0; i < steel->record_count; i++) {
        const oxt_recorded_dip *dip = &steel->record[i];
        if (!oxt_i_is_promised(steel, dip))
            continue;
        chances[n] = dip->chance;
        hits[n++] = dip->hit;
        hit_count += dip->hit ? 1 : 0;
    }
    size_t recent = n < RECENT ? n : RECENT;
    for (size_t i = n - recent; i < n; i++)
        recent_hits += hits[i];
    *p_value = oxt_i_hits_at_most(hit_count, n, chances);
    *recent_p_value = oxt_i_hits_at_most(recent_hits, recent, chances + n - recent);
}

bool oxt_i_are_kept(double p_value, double recent_p_value, double false_alarm)
{
    return fmin(p_value, recent_p_value) >= 0.5 * false_alarm;
}

void oxt_i_steel_judge(oxt_steel *steel)
{
    static const double FALSE_ALARM = 0.01;
    double p_value, recent_p_value;
    oxt_i_steel_p_values(steel, &p_value, &recent_p_value);
    steel->is_broken = !oxt_i_are_kept(p_value, recent_p_value, FALSE_ALARM);
}
