/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the signs of a picture mean, and what is not on it. */
#include <inttypes.h>

#include "picture_drawing.h"

static void add_mm(struct text *out, um value)
{
    char buffer[MILLIMETRE_TEXT_SIZE];

    text_add(out, millimetre_to_text(value, buffer));
}

static void add_widths(const struct picture *picture, bool brief, struct text *out)
{
    if (picture->width_count > 0) {
        text_add(out, "o width");
        if (picture->bar > 0) {
            text_add(out, ", | +-");
            add_mm(out, picture->bar);
            text_add(out, " mm (1.96 ");
            text_add(out, brief ? "s" : "x the width error ");
            if (!brief)
                add_mm(out, picture->error);
            text_add(out, ")");
        }
    }
    if (picture->target == UM_NONE)
        return;
    text_add(out, out->length > 0 ? ", = target" : "= target");
    if (!brief) {
        text_add(out, " ");
        add_mm(out, picture->target);
    }
}

static void add_events(const struct picture *picture, struct text *out)
{
    static const char *const words[] = {[PICTURE_FIT] = "fitted",
                                        [PICTURE_PASSIVE] = "left in passively",
                                        [PICTURE_REST] = "out for a rest",
                                        [PICTURE_OUT] = "out"};

    for (int event = PICTURE_FIT; event <= PICTURE_OUT; event++) {
        bool there = false;
        for (size_t i = 0; i < picture->mark_count; i++)
            there = there || picture->marks[i].event == (enum picture_event)event;
        if (there)
            text_addf(out, "%s%c %s", out->length > 0 ? ", " : "",
                      picture_letter((enum picture_event)event), words[event]);
    }
}

void picture_left_out(const struct picture *picture, struct text *out)
{
    if (picture->unknown_steps)
        text_add(out, " ? among what was given: an amount given elsewhere is not known, so the "
                      "sums are the least it can be.");
    if (picture->other_widths > 0)
        text_addf(out, " Not drawn: %zu width%s at another place or landmark.",
                  picture->other_widths, picture->other_widths == 1 ? "" : "s");
    if (picture->wear_cut)
        text_add(out, " Older periods of wear are not drawn.");
}

void picture_legend(const struct picture *picture, bool brief, struct text *out)
{
    struct text legend = {0};

    add_widths(picture, brief, &legend);
    if (!brief) {
        add_events(picture, &legend);
        text_add(&legend, legend.length > 0 ? "." : "");
        picture_left_out(picture, &legend);
    }
    text_add(out, text_string(&legend));
    out->failed = out->failed || legend.failed;
    text_release(&legend);
}
