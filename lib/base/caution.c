/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Cautions: what is known of each, and lists of them to read. */
#include "base/internal.h"

/* In the order in which they are read. */
static const oxt_caution_info all_cautions[] = {
#define ENTRY(symbol, bit, kind, lead, brief, more, source) \
    { bit, kind, #symbol, lead ": " brief, lead ": " brief " " more, source },
    OXT_CAUTION_LIST(ENTRY)
#undef ENTRY
};

const oxt_caution_info *oxt_caution_get(uint32_t cautions)
{
    static const oxt_caution_info none = { 0,
                                           OXT_CAUTION_KIND_CASE,
                                           "OXT_CAUTION_?",
                                           "NONE: no caution.",
                                           "Not a caution of oxtint.",
                                           "none: not a caution of oxtint" };
    for (size_t i = 0; i < OXT_I_COUNT(all_cautions); i++)
        if (all_cautions[i].bit & cautions)
            return &all_cautions[i];
    return &none;
}

oxt_status oxt_i_check_detail(oxt_caution_detail detail, oxt_error *error)
{
    return oxt_i_check_choice("detail", (int)detail, OXT_CAUTION_WHOLE, error);
}

static void add_caution(oxt_i_text *text, const oxt_caution_info *caution,
                        oxt_caution_detail detail)
{
    oxt_i_text_add_item(text, detail == OXT_CAUTION_WHOLE ? caution->text : caution->brief);
}

void oxt_i_text_add_forbidding(oxt_i_text *text, uint32_t *cautions, oxt_caution_detail detail)
{
    const oxt_caution_info *caution;
    while ((caution = oxt_caution_get(*cautions))->kind == OXT_CAUTION_KIND_FORBIDS) {
        add_caution(text, caution, detail);
        *cautions &= ~caution->bit;
    }
}

void oxt_i_text_add_cautions(oxt_i_text *text, uint32_t cautions, oxt_caution_detail detail)
{
    static const char *const headings[] = { "Cautions for this case",
                                            "Cautions for every salt bath" };
    const oxt_caution_info *caution;
    for (int headed = -1; (caution = oxt_caution_get(cautions))->bit; cautions &= ~caution->bit) {
        int heading = caution->kind == OXT_CAUTION_KIND_BATH;
        if (heading != headed)
            oxt_i_text_add(text, "%s\n", headings[heading]);
        headed = heading;
        add_caution(text, caution, detail);
    }
}

oxt_status oxt_caution_report(uint32_t cautions, oxt_caution_detail detail, char *buffer,
                              size_t capacity, size_t *needed, oxt_error *error)
{
    oxt_i_text text = { 0 };
    oxt_status status = oxt_i_check_detail(detail, error);
    if (status)
        return status;
    oxt_i_text_add_cautions(&text, cautions, detail);
    return oxt_i_emit_text(&text, buffer, capacity, needed, error);
}
