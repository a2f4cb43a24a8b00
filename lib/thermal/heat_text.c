/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A part and its way to the quench, in words. */
#include "thermal/heat.h"

const char *const oxt_i_shape_names[] = { "plate", "cylinder", "sphere", "any" };

void oxt_i_part_text(const oxt_part *part, char *buffer, size_t capacity)
{
    char size[48];
    if (part->size_m == 0.0) {
        oxt_i_copy_text(buffer, capacity, "at bath temperature at once");
        return;
    }
    oxt_format_length(part->size_m, OXT_UNIT_MILLIMETRE, size, sizeof size, NULL, NULL);
    if (part->shape == OXT_SHAPE_ANY)
        oxt_i_snprintf(buffer, capacity, "any shape, volume over surface %s", size);
    else
        oxt_i_snprintf(buffer, capacity, "%s %s", size, oxt_i_shape_names[part->shape]);
}

void oxt_i_path_text(const oxt_part *part, const oxt_lift *lift, char *buffer, size_t capacity)
{
    char size[64];
    oxt_i_part_text(part, size, sizeof size);
    if (lift->delay_s > 0.0)
        oxt_i_snprintf(buffer, capacity, "%s, %s to the quench", size,
                       oxt_i_show_time(lift->delay_s).text);
    else
        oxt_i_copy_text(buffer, capacity, size);
}
