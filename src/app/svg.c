/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "svg.h"

#include <inttypes.h>

enum { HALF_MARKER = 50 };

void svg_number(struct text *out, int64_t tenths)
{
    int64_t size = tenths < 0 ? -tenths : tenths;

    text_addf(out, "%s%" PRId64 ".%" PRId64, tenths < 0 ? "-" : "", size / 10, size % 10);
}

void svg_escaped(struct text *out, const char *text)
{
    struct text shown = {0};

    text_add_shown(&shown, text == NULL ? "" : text);
    for (const char *at = text_string(&shown); *at != '\0'; at++) {
        switch (*at) {
        case '&':
            text_add(out, "&amp;");
            break;
        case '<':
            text_add(out, "&lt;");
            break;
        case '>':
            text_add(out, "&gt;");
            break;
        case '"':
            text_add(out, "&quot;");
            break;
        case '\'':
            text_add(out, "&#39;");
            break;
        default:
            text_add_byte(out, *at);
            break;
        }
    }
    out->failed = out->failed || shown.failed;
    text_release(&shown);
}

static void add_attribute(struct text *out, const char *name, int64_t tenths)
{
    text_addf(out, " %s=\"", name);
    svg_number(out, tenths);
    text_add(out, "\"");
}

static void add_stroke(struct text *out, enum svg_dash dash, int width)
{
    static const char *const dashes[] = {[DASH_NONE] = "",
                                         [DASH_LONG] = " stroke-dasharray=\"14 6\"",
                                         [DASH_SHORT] = " stroke-dasharray=\"6 4\"",
                                         [DASH_DOTS] = " stroke-dasharray=\"2 3\"",
                                         [DASH_FAINT] = ""};

    add_attribute(out, "stroke-width", width);
    text_addf(out, " stroke=\"%s\"%s", dash == DASH_FAINT ? "#cccccc" : "#000000", dashes[dash]);
}

void svg_line(struct text *out, const int64_t from[2], const int64_t to[2], enum svg_dash dash,
              int width)
{
    text_add(out, "<line");
    add_attribute(out, "x1", from[0]);
    add_attribute(out, "y1", from[1]);
    add_attribute(out, "x2", to[0]);
    add_attribute(out, "y2", to[1]);
    add_stroke(out, dash, width);
    text_add(out, "/>\n");
}

void svg_path_begin(struct text *out, enum svg_dash dash, int width)
{
    text_add(out, "<polyline fill=\"none\"");
    add_stroke(out, dash, width);
    text_add(out, " points=\"");
}

void svg_path_point(struct text *out, int64_t x, int64_t y)
{
    svg_number(out, x);
    text_add(out, ",");
    svg_number(out, y);
    text_add(out, " ");
}

void svg_path_end(struct text *out)
{
    text_add(out, "\"/>\n");
}

void svg_circle(struct text *out, int64_t x, int64_t y)
{
    text_add(out, "<circle fill=\"#ffffff\"");
    add_attribute(out, "cx", x);
    add_attribute(out, "cy", y);
    add_attribute(out, "r", HALF_MARKER);
    add_stroke(out, DASH_NONE, 15);
    text_add(out, "/>\n");
}

void svg_square(struct text *out, int64_t x, int64_t y)
{
    text_add(out, "<rect fill=\"#000000\"");
    add_attribute(out, "x", x - HALF_MARKER);
    add_attribute(out, "y", y - HALF_MARKER);
    add_attribute(out, "width", 2 * HALF_MARKER);
    add_attribute(out, "height", 2 * HALF_MARKER);
    text_add(out, "/>\n");
}

void svg_triangle(struct text *out, int64_t x, int64_t y)
{
    text_add(out, "<polygon fill=\"#ffffff\"");
    add_stroke(out, DASH_NONE, 15);
    text_add(out, " points=\"");
    svg_path_point(out, x, y - HALF_MARKER);
    svg_path_point(out, x + HALF_MARKER, y + HALF_MARKER);
    svg_path_point(out, x - HALF_MARKER, y + HALF_MARKER);
    svg_path_end(out);
}

void svg_text(struct text *out, int64_t x, int64_t y, enum svg_anchor anchor, int size,
              const char *text)
{
    static const char *const anchors[] = {
        [ANCHOR_START] = "start", [ANCHOR_MIDDLE] = "middle", [ANCHOR_END] = "end"};

    text_add(out, "<text");
    add_attribute(out, "x", x);
    add_attribute(out, "y", y);
    add_attribute(out, "font-size", size);
    text_addf(out, " text-anchor=\"%s\">", anchors[anchor]);
    svg_escaped(out, text);
    text_add(out, "</text>\n");
}
