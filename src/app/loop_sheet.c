/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/app/loop_sheet.h"

#include <math.h>
#include <stdio.h>

#include "springline/core/loop.h"
#include "told.h"

static const double um_in_mm = 1000.0;

enum { ARM_MM = 20 /* of the straight arm shown beside the loops: as long as half an arch */ };

static const struct {
    const char *label, *help;
} fields[LOOP_FIELD_COUNT] = {
    [LOOP_FIELD_WIRE] = {"wire", "Its diameter, 0.70."},
    [LOOP_FIELD_RIGHT_WIDTH] = {"right loop: width", "Leg to leg, middle of the wire."},
    [LOOP_FIELD_RIGHT_HEIGHT] = {"right loop: height", "Feet to top, middle of the wire."},
    [LOOP_FIELD_LEFT_WIDTH] = {"left loop: width", "Leg to leg, middle of the wire."},
    [LOOP_FIELD_LEFT_HEIGHT] = {"left loop: height", "Feet to top, middle of the wire."},
};

void loop_sheet_begin(struct loop_sheet *sheet)
{
    for (int field = 0; field < LOOP_FIELD_COUNT; field++)
        sheet->values[field] = UM_NONE;
}

const char *loop_sheet_label(enum loop_field field)
{
    return fields[field].label;
}

const char *loop_sheet_help(enum loop_field field)
{
    return fields[field].help;
}

enum entry loop_sheet_enter(struct loop_sheet *sheet, enum loop_field field, const char *typed,
                            char sentence[200])
{
    struct error error = {0};

    sheet->values[field] = UM_NONE;
    if (typed[0] == '\0')
        return ENTRY_TAKEN;
    if (millimetre_from_text(typed, MARK_POINT_OR_COMMA, fields[field].label, &sheet->values[field],
                             &error) == STATUS_OK)
        return ENTRY_TAKEN;
    sheet->values[field] = UM_NONE;
    (void)snprintf(sentence, 200, "%.199s", error.sentence);
    return ENTRY_REFUSED;
}

/* ---- in sentences ---- */

struct side_loop {
    const char *name;
    enum loop_field width, height;
    bool known; /* stiffness holds */
    struct loop_stiffness stiffness;
};

static void add_refusal(struct text *out, enum loop_answer answer)
{
    switch (answer) {
    case LOOP_WIRE:
        text_add(out, "a wire is 0.20 to 1.50 mm thick; type the wire again");
        break;
    case LOOP_LEG:
        text_add(out,
                 "a loop is at least half as high as it is wide, and at most 20 mm higher than "
                 "that; type width and height again");
        break;
    case LOOP_RADIUS:
        text_add(out, "a loop is at least twice as wide as the wire is thick, and at most 20 mm "
                      "wide; type the width again");
        break;
    case LOOP_MODULUS:
    case LOOP_LENGTH:
    case LOOP_GOOD:
        text_add(out, "it can not be worked out");
        break;
    }
}

static void tell_loop(const struct loop_sheet *sheet, struct side_loop *side, struct text *out)
{
    um wire = sheet->values[LOOP_FIELD_WIRE], width = sheet->values[side->width];
    um height = sheet->values[side->height];

    text_addf(out, "%s loop: ", side->name);
    if (wire == UM_NONE || width == UM_NONE || height == UM_NONE) {
        text_add(out, "wire, width and height are needed");
        return;
    }
    const double radius_mm = (double)width / 2.0 / um_in_mm;
    const struct loop loop = {.wire_mm = (double)wire / um_in_mm,
                              .leg_mm = (double)height / um_in_mm - radius_mm,
                              .radius_mm = radius_mm,
                              .modulus_gpa = LOOP_MODULUS_ASSUMED_GPA};
    enum loop_answer answer = loop_stiffness_of(&loop, &side->stiffness);
    side->known = answer == LOOP_GOOD;
    if (!side->known) {
        add_refusal(out, answer);
        return;
    }
    text_addf(out, "%.2f N/mm with its ends free to turn, to %.2f N/mm with its ends held",
              side->stiffness.free, side->stiffness.held);
}

static void tell_ratio(const struct side_loop *right, const struct side_loop *left,
                       struct text *out)
{
    if (!right->known || !left->known) {
        text_add(out, "left to right: both loops are needed");
        return;
    }
    struct loop_ratio ratio = loop_ratio_of(&left->stiffness, &right->stiffness);
    text_addf(out, "left to right: %.2f (ends free), %.2f (ends held); 1.00 is as stiff",
              ratio.free, ratio.held);
}

static void tell_arm(const struct loop_sheet *sheet, struct text *out)
{
    um wire = sheet->values[LOOP_FIELD_WIRE];
    double stiffness;

    if (wire == UM_NONE || loop_cantilever((double)wire / um_in_mm, ARM_MM,
                                           LOOP_MODULUS_ASSUMED_GPA, &stiffness) != LOOP_GOOD)
        return;
    text_addf(out, "A straight arm of %d mm in this wire, held at one end: %.2f N/mm.", ARM_MM,
              stiffness);
}

static bool end_line(struct arena *arena, struct lines *lines, struct text *text)
{
    return (text->length == 0 && !text->failed) || told_end_line(arena, lines, text);
}

static bool tell_all(const struct loop_sheet *sheet, struct arena *arena, struct lines *lines,
                     struct text *text)
{
    struct side_loop right = {
        .name = "right", .width = LOOP_FIELD_RIGHT_WIDTH, .height = LOOP_FIELD_RIGHT_HEIGHT};
    struct side_loop left = {
        .name = "left", .width = LOOP_FIELD_LEFT_WIDTH, .height = LOOP_FIELD_LEFT_HEIGHT};

    text_add(text, "BENCH AID, never used by the rules; nothing is stored.");
    bool good = end_line(arena, lines, text);
    tell_loop(sheet, &right, text);
    good = good && end_line(arena, lines, text);
    tell_loop(sheet, &left, text);
    good = good && end_line(arena, lines, text);
    tell_ratio(&right, &left, text);
    good = good && end_line(arena, lines, text);
    tell_arm(sheet, text);
    good = good && end_line(arena, lines, text);
    text_addf(
        text,
        "By Castigliano, bending alone, stainless steel of %d GPa; drawn wire was measured at "
        "about %d GPa (published), which makes each %d %% less and leaves the ratio. No force "
        "follows from an activation.",
        LOOP_MODULUS_ASSUMED_GPA, LOOP_MODULUS_DRAWN_GPA,
        100 - 100 * LOOP_MODULUS_DRAWN_GPA / LOOP_MODULUS_ASSUMED_GPA);
    return good && end_line(arena, lines, text);
}

enum status loop_sheet_tell(const struct loop_sheet *sheet, struct arena *arena,
                            struct lines *lines, struct error *error)
{
    struct text text = {0};
    bool good = tell_all(sheet, arena, lines, &text);

    text_release(&text);
    return good ? STATUS_OK : error_no_memory(error);
}
