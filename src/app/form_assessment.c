/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the forms of an assessment share, and the one of an arch: its segments and its depth. */
#include "form_assessment.h"

#include <stdio.h>
#include <stdlib.h>

#include "form_templates.h"

/* So far from the newest width of the same tooth it is asked about: a setting of the program's own,
 * three times the error published of an arch width (domain.md 2). */
enum { TOOTH_CHANGED_UM = 1000 };

/* ---- what is recorded already ---- */

enum status form_keep_assessment(struct app *app, struct form *form, struct error *error)
{
    struct assessment *kept = arena_alloc(&form->arena, sizeof *kept);

    if (kept == NULL)
        return error_no_memory(error);
    form_inner(form)->kept = kept;
    return store_read_assessment(app->store, &form->subject.casefile, STORE_NOW, &form->arena, kept,
                                 error);
}

/* ---- the width of a tooth ---- */

int32_t form_next_tooth_repeat(const struct assessment *assessment, const struct tooth_width *width)
{
    int32_t next = 1;

    for (size_t i = 0; i < assessment->tooth_width_count; i++) {
        const struct tooth_width *other = &assessment->tooth_widths[i];
        if (other->tooth == width->tooth && other->date == width->date &&
            other->method == width->method && other->repeat >= next)
            next = other->repeat + 1;
    }
    return next;
}

enum entry form_ask_tooth(const struct assessment *assessment, const struct tooth_width *width,
                          char sentence[200])
{
    const struct tooth_width *newest = NULL;
    char text[MILLIMETRE_TEXT_SIZE], other[MILLIMETRE_TEXT_SIZE], date[DAY_TEXT_SIZE];

    if (width->value < TOOTH_USUAL_LEAST_UM || width->value > TOOTH_USUAL_MOST_UM)
        return form_say(sentence, ENTRY_ASK,
                        "%s mm is unusual for a tooth. Enter again to keep it.",
                        millimetre_to_text(width->value, text));
    for (size_t i = 0; assessment != NULL && i < assessment->tooth_width_count; i++) {
        const struct tooth_width *recorded = &assessment->tooth_widths[i];
        if (recorded->tooth == width->tooth && (newest == NULL || recorded->date > newest->date))
            newest = recorded;
    }
    if (newest == NULL || abs(width->value - newest->value) <= TOOTH_CHANGED_UM)
        return ENTRY_TAKEN;
    return form_say(sentence, ENTRY_ASK,
                    "%s mm is more than 1.00 mm from %s mm of %s. Enter again to keep it.",
                    millimetre_to_text(width->value, text),
                    millimetre_to_text(newest->value, other), day_to_text(newest->date, date));
}

/* ---- an arch ---- */

enum { SIZE_SEGMENTS, SIZE_DEPTH };

static const char *const segment_names[] = {"back_right_mm", "front_right_mm", "front_left_mm",
                                            "back_left_mm"};

static enum status prepare_arch_size(struct app *app, struct form *form, struct error *error)
{
    form_put_new(form, SIZE_SEGMENTS);
    form_put_new(form, SIZE_DEPTH);
    form_now(form, SIZE_SEGMENTS)->arch_segment.by = form_by(app, form);
    form_now(form, SIZE_DEPTH)->arch_depth.by = form_by(app, form);
    return form_keep_assessment(app, form, error);
}

static int32_t next_segment_repeat(const struct assessment *assessment,
                                   const struct arch_segment *segment)
{
    int32_t next = 1;

    for (size_t i = 0; i < assessment->segment_count; i++) {
        const struct arch_segment *other = &assessment->segments[i];
        if (other->arch == segment->arch && other->date == segment->date &&
            other->method == segment->method && other->repeat >= next)
            next = other->repeat + 1;
    }
    return next;
}

static int32_t next_depth_repeat(const struct assessment *assessment,
                                 const struct arch_depth *depth)
{
    int32_t next = 1;

    for (size_t i = 0; i < assessment->depth_count; i++) {
        const struct arch_depth *other = &assessment->depths[i];
        if (other->date == depth->date && other->teeth.right == depth->teeth.right &&
            other->teeth.left == depth->teeth.left && other->method == depth->method &&
            other->repeat >= next)
            next = other->repeat + 1;
    }
    return next;
}

static bool any_segment(const struct arch_segment *segment)
{
    return segment->back_right != UM_NONE || segment->front_right != UM_NONE ||
           segment->front_left != UM_NONE || segment->back_left != UM_NONE;
}

static void follow_arch_size(struct app *app, struct form *form)
{
    static const struct teeth molars[] = {
        [ARCH_NONE] = {0, 0}, [ARCH_UPPER] = {16, 26}, [ARCH_LOWER] = {46, 36}};
    const struct assessment *kept = form_inner(form)->kept;
    struct arch_segment *segment = &form_now(form, SIZE_SEGMENTS)->arch_segment;
    struct arch_depth *depth = &form_now(form, SIZE_DEPTH)->arch_depth;
    bool measured = depth->value != UM_NONE;

    (void)app;
    depth->arch = segment->arch;
    depth->date = segment->date;
    depth->method = segment->method;
    form_skip(form, SIZE_DEPTH, "teeth", !measured);
    form_demand(form, SIZE_DEPTH, "teeth", measured);
    form_offer_teeth(form, SIZE_DEPTH, "teeth", molars[segment->arch]);
    segment->repeat = next_segment_repeat(kept, segment);
    depth->repeat = next_depth_repeat(kept, depth);
    form_inner(form)->slots[SIZE_SEGMENTS].write = any_segment(segment);
    form_inner(form)->slots[SIZE_DEPTH].write = measured;
}

static enum status check_arch_size(struct app *app, struct form *form, int *index,
                                   struct error *error)
{
    const struct form_slot *slots = form_inner(form)->slots;

    if (!slots[SIZE_SEGMENTS].write && !slots[SIZE_DEPTH].write)
        return form_refuse(form, SIZE_SEGMENTS, segment_names[0], index, error,
                           "Nothing is measured yet: enter a segment or the depth.");
    enum status status = form_need_new(app, form, SIZE_SEGMENTS, segment_names[0], index, error);
    return status == STATUS_OK ? form_need_new(app, form, SIZE_DEPTH, "mm", index, error) : status;
}

/* The room is known only when all four are. */
static enum status warn_arch_size(struct app *app, struct form *form, struct arena *arena,
                                  struct lines *lines, struct error *error)
{
    const struct arch_segment *segment = &form_now(form, SIZE_SEGMENTS)->arch_segment;
    char text[MILLIMETRE_TEXT_SIZE];
    bool added = true;

    (void)app;
    if (!any_segment(segment))
        return STATUS_OK;
    if (segment->back_right != UM_NONE && segment->front_right != UM_NONE &&
        segment->front_left != UM_NONE && segment->back_left != UM_NONE)
        added = form_add_line(arena, lines, "Space available: %s mm, the sum of the four.",
                              millimetre_to_text(segment->back_right + segment->front_right +
                                                     segment->front_left + segment->back_left,
                                                 text));
    else
        added =
            form_add_line(arena, lines, "A segment is missing: the space available stays unknown.");
    return form_lines_done(added, error);
}

static const struct form_item arch_size_items[] = {
    {SIZE_SEGMENTS, "arch", "arch", "The arch that was measured.", NULL,
     ITEM_REQUIRED | ITEM_FIRST},
    {SIZE_SEGMENTS, "date", "date", "Day of the measurement (or of the cast or scan).", NULL,
     ITEM_REQUIRED | ITEM_TODAY},
    {SIZE_SEGMENTS, "method", "method", "In the mouth, on a cast or on a scan.", NULL,
     ITEM_REQUIRED},
    {SIZE_SEGMENTS, "back_right_mm", "right back mm",
     "Right: mesial of the first permanent molar to mesial of the canine; empty: not measured.",
     "segments", 0},
    {SIZE_SEGMENTS, "front_right_mm", "right front mm",
     "Right: mesial of the canine to the contact of the central incisors.", NULL, 0},
    {SIZE_SEGMENTS, "front_left_mm", "left front mm",
     "Left: the contact of the central incisors to mesial of the canine.", NULL, 0},
    {SIZE_SEGMENTS, "back_left_mm", "left back mm",
     "Left: mesial of the canine to mesial of the first permanent molar.", NULL, 0},
    {SIZE_DEPTH, "mm", "depth mm",
     "From the line between two teeth to the contact of the central incisors; empty: not measured.",
     "depth", 0},
    {SIZE_DEPTH, "teeth", "line between", "The two teeth by ISO 3950: 16-26 or 1626.", NULL, 0},
};
const struct form_template form_template_arch_size = {
    .kind = FORM_ARCH_SIZE,
    .name = "arch-size",
    .title = "Arch segments and depth",
    .items = arch_size_items,
    .item_count = sizeof arch_size_items / sizeof arch_size_items[0],
    .slots = {RECORD_ARCH_SEGMENT, RECORD_ARCH_DEPTH, RECORD_KIND_COUNT, RECORD_KIND_COUNT,
              RECORD_KIND_COUNT},
    .prepare = prepare_arch_size,
    .follow = follow_arch_size,
    .check = check_arch_size,
    .warn = warn_arch_size,
};
