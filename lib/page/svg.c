/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Writing SVG 1.1. */
#include <string.h>

#include "page/svg.h"

/* Advance widths of the printable letters of ASCII in DejaVu Sans and its bold, 1/2048 em: of the fonts that are asked
 * for the widest, so that what fits by them fits in any of them. Source: the font files, version 2.37. */
static const unsigned short plain[95] = {
    651,  821,  942,  1716, 1303, 1946, 1597, 563,  799,  799,  1024, 1716, 651,  739,  651,  690,
    1303, 1303, 1303, 1303, 1303, 1303, 1303, 1303, 1303, 1303, 690,  690,  1716, 1716, 1716, 1087,
    2048, 1401, 1405, 1430, 1577, 1294, 1178, 1587, 1540, 604,  604,  1343, 1141, 1767, 1532, 1612,
    1235, 1612, 1423, 1300, 1251, 1499, 1401, 2025, 1403, 1251, 1403, 799,  690,  799,  1716, 1024,
    1024, 1255, 1300, 1126, 1300, 1260, 721,  1300, 1298, 569,  569,  1186, 569,  1995, 1298, 1253,
    1300, 1300, 842,  1067, 803,  1298, 1212, 1675, 1212, 1212, 1075, 1303, 690,  1303, 1716,
};
static const unsigned short bold[95] = {
    713,  934,  1067, 1716, 1425, 2052, 1786, 627,  936,  936,  1071, 1716, 778,  850,  778,  748,
    1425, 1425, 1425, 1425, 1425, 1425, 1425, 1425, 1425, 1425, 819,  819,  1716, 1716, 1716, 1188,
    2048, 1585, 1561, 1503, 1700, 1399, 1399, 1681, 1714, 762,  762,  1587, 1305, 2038, 1714, 1741,
    1501, 1741, 1577, 1475, 1397, 1663, 1585, 2259, 1579, 1483, 1485, 936,  748,  936,  1716, 1024,
    1024, 1382, 1466, 1214, 1466, 1389, 891,  1466, 1458, 702,  702,  1362, 702,  2134, 1458, 1407,
    1466, 1466, 1010, 1219, 979,  1458, 1335, 1892, 1321, 1335, 1192, 1458, 748,  1458, 1716,
};
#define UNITS_PER_EM 2048.0
#define FONTS "DejaVu Sans, Verdana, Arial, Helvetica, sans-serif"

/* ---- measuring ---- */

/* Letters beyond ASCII: Latin ones are at most as wide, those of East Asia are square. */
static double other_width(unsigned char lead)
{
    return lead >= 0xE3 ? 1.0 : 0.85;
}

double oxt_i_svg_width(const char *text, double size_pt, bool bold_face)
{
    const unsigned short *widths = bold_face ? bold : plain;
    double em = 0.0;
    for (const unsigned char *at = (const unsigned char *)text; *at; at++) {
        if (*at >= ' ' && *at < 127)
            em += widths[*at - ' '] / UNITS_PER_EM;
        else if (*at >= 0xC0)
            em += other_width(*at);
    }
    return 1.01 * em * size_pt; /* a little wider where a screen rounds to its pixels */
}

double oxt_i_svg_fitting(const char *text, double size_pt, bool bold_face, double room_pt)
{
    double width_pt = oxt_i_svg_width(text, size_pt, bold_face);
    return width_pt > room_pt ? size_pt * room_pt / width_pt : size_pt;
}

const char *oxt_i_svg_wrap(const char *text, double size_pt, bool bold_face, double room_pt,
                           oxt_i_svg_row *row)
{
    size_t kept = 0;
    text += strspn(text, " ");
    if (!*text)
        return NULL;
    for (size_t end = strcspn(text, " "); end < sizeof row->text; end += strcspn(text + end, " ")) {
        memcpy(row->text, text, end);
        row->text[end] = '\0';
        if (kept > 0 && oxt_i_svg_width(row->text, size_pt, bold_face) > room_pt)
            break;
        kept = end;
        if (!text[end])
            break;
        end += strspn(text + end, " ");
    }
    if (kept == 0) /* no word is as long */
        kept = sizeof row->text - 1;
    row->text[kept] = '\0';
    return text + kept;
}

/* ---- writing ---- */

void oxt_i_svg_escape(oxt_i_text *svg, const char *text)
{
    static const char special[] = "&<>\"";
    static const char *const names[] = { "&amp;", "&lt;", "&gt;", "&quot;" };
    static const char replacement[] = "\xEF\xBF\xBD"; /* of what no XML may hold */
    for (const char *at = text; *at; at++) {
        const char *found = strchr(special, *at);
        unsigned char byte = (unsigned char)*at;
        if (found) {
            oxt_i_text_add_bytes(svg, names[found - special], strlen(names[found - special]));
        } else if (byte < ' ') {
            oxt_i_text_add_bytes(svg, replacement, 3);
        } else if (byte == 0xEF && (unsigned char)at[1] == 0xBF && (unsigned char)at[2] >= 0xBE) {
            oxt_i_text_add_bytes(svg, replacement, 3);
            at += 2;
        } else {
            oxt_i_text_add_bytes(svg, at, 1);
        }
    }
}

static void add_element(oxt_i_text *svg, const char *name, const char *text)
{
    oxt_i_text_add(svg, "<%s>", name);
    oxt_i_svg_escape(svg, text);
    oxt_i_text_add(svg, "</%s>\n", name);
}

void oxt_i_svg_begin(oxt_i_text *svg, double width_pt, double height_pt, const char *title,
                     const char *description)
{
    oxt_i_text_add(svg,
                   "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                   "<svg xmlns=\"http://www.w3.org/2000/svg\" "
                   "xmlns:xlink=\"http://www.w3.org/1999/xlink\" version=\"1.1\" "
                   "width=\"%.2fmm\" height=\"%.2fmm\" viewBox=\"0 0 %.2f %.2f\">\n",
                   width_pt * 25.4 / 72.0, height_pt * 25.4 / 72.0, width_pt, height_pt);
    add_element(svg, "title", title);
    add_element(svg, "desc", description);
    oxt_i_svg_rectangle(svg, (oxt_i_point){ 0.0, 0.0 }, width_pt, height_pt, "fill=\"white\"");
    oxt_i_text_add(svg, "<g font-family=\"" FONTS "\" fill=\"black\">\n");
}

void oxt_i_svg_end(oxt_i_text *svg)
{
    oxt_i_text_add(svg, "</g>\n</svg>\n");
}

void oxt_i_svg_text(oxt_i_text *svg, oxt_i_point at, oxt_i_font font, const char *text)
{
    static const char *const anchors[] = { "", " text-anchor=\"middle\"", " text-anchor=\"end\"" };
    oxt_i_text_add(svg, "<text x=\"%.2f\" y=\"%.2f\" font-size=\"%.2f\"%s%s>", at.x, at.y,
                   font.size_pt, anchors[font.anchor], font.bold ? " font-weight=\"bold\"" : "");
    oxt_i_svg_escape(svg, text);
    oxt_i_text_add(svg, "</text>\n");
}

void oxt_i_svg_line(oxt_i_text *svg, oxt_i_point from, oxt_i_point to, const char *stroke)
{
    oxt_i_text_add(svg, "<line x1=\"%.2f\" y1=\"%.2f\" x2=\"%.2f\" y2=\"%.2f\" %s/>\n", from.x,
                   from.y, to.x, to.y, stroke);
}

void oxt_i_svg_rectangle(oxt_i_text *svg, oxt_i_point at, double width_pt, double height_pt,
                         const char *paint)
{
    oxt_i_text_add(svg, "<rect x=\"%.2f\" y=\"%.2f\" width=\"%.2f\" height=\"%.2f\" %s/>\n", at.x,
                   at.y, width_pt, height_pt, paint);
}

oxt_i_fill oxt_i_svg_fill(const double srgb[3])
{
    oxt_i_fill made;
    oxt_i_snprintf(made.text, sizeof made.text, "fill=\"#%02x%02x%02x\"",
                   (unsigned)(255.0 * srgb[0] + 0.5), (unsigned)(255.0 * srgb[1] + 0.5),
                   (unsigned)(255.0 * srgb[2] + 0.5));
    return made;
}
