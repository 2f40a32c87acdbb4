/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The parts of a picture on cells: widths, what was given, wear, and what happened. */
#include <inttypes.h>
#include <stdio.h>

#include "picture_drawing.h"

enum { TARGET_DOTS = 4 }; /* of the target's line every fourth dot is set */

int drawing_column(const struct drawing *drawing, day date)
{
    int span = drawing->canvas.columns - PICTURE_GUTTER - 1;

    return PICTURE_GUTTER + (int)scale_place(&drawing->dates, date, span);
}

int drawing_row(const struct part *part, int64_t value)
{
    return part->top + part->rows - 1 - (int)scale_place(part->scale, value, part->rows - 1);
}

int drawing_x(const struct drawing *drawing, day date)
{
    int span = DOTS_ACROSS * (drawing->canvas.columns - PICTURE_GUTTER) - 1;

    return DOTS_ACROSS * PICTURE_GUTTER + (int)scale_place(&drawing->dates, date, span);
}

int drawing_y(const struct part *part, int64_t value)
{
    int span = DOTS_DOWN * part->rows - 1;

    return DOTS_DOWN * part->top + span - (int)scale_place(part->scale, value, span);
}

char picture_letter(enum picture_event event)
{
    static const char letters[] = {
        [PICTURE_FIT] = 'F', [PICTURE_PASSIVE] = 'P', [PICTURE_REST] = 'x', [PICTURE_OUT] = 'X'};

    return letters[event];
}

char picture_source(enum source source)
{
    static const char letters[] = {
        [SOURCE_NONE] = '?', [SOURCE_SENSOR] = 's', [SOURCE_DIARY] = 'd', [SOURCE_TOLD] = 't'};

    return letters[source];
}

/* ---- the target, and what happened ---- */

void drawing_target(struct drawing *drawing)
{
    const struct part *part = &drawing->parts[PART_WIDTHS];
    int last = drawing->canvas.columns - 1;

    if (drawing->picture->target == UM_NONE || part->scale == NULL)
        return;
    if (drawing->braille) {
        int y = drawing_y(part, drawing->picture->target);
        canvas_line(&drawing->canvas, DOTS_ACROSS * PICTURE_GUTTER, y, DOTS_ACROSS * last + 1, y,
                    TARGET_DOTS);
        return;
    }
    for (int column = PICTURE_GUTTER; column <= last; column++)
        canvas_put(&drawing->canvas, drawing_row(part, drawing->picture->target), column, '=');
}

void drawing_marks(struct drawing *drawing)
{
    for (size_t i = 0; i < drawing->picture->mark_count; i++) {
        int column = drawing_column(drawing, drawing->picture->marks[i].date);
        for (int p = 0; p < PART_COUNT; p++) {
            const struct part *part = &drawing->parts[p];
            for (int row = part->top; row < part->top + part->rows; row++)
                canvas_put_free(&drawing->canvas, row, column, ':');
        }
    }
}

/* Into the highest row of the widths where its line, or nothing, stands; then one column on. */
static void put_letter(struct drawing *drawing, int column, char letter)
{
    const struct part *part = &drawing->parts[PART_WIDTHS];

    for (; column < drawing->canvas.columns; column++) {
        for (int row = part->top; row < part->top + part->rows; row++) {
            char there = canvas_at(&drawing->canvas, row, column);
            if (there != '\0' && there != ':')
                continue;
            canvas_put(&drawing->canvas, row, column, letter);
            return;
        }
    }
}

void drawing_letters(struct drawing *drawing)
{
    for (size_t i = 0; i < drawing->picture->mark_count; i++) {
        const struct picture_mark *mark = &drawing->picture->marks[i];
        put_letter(drawing, drawing_column(drawing, mark->date), picture_letter(mark->event));
    }
}

/* ---- widths ---- */

static void draw_bar(struct drawing *drawing, const struct picture_width *width)
{
    const struct part *part = &drawing->parts[PART_WIDTHS];
    int64_t top = (int64_t)width->value + drawing->picture->bar;
    int64_t bottom = (int64_t)width->value - drawing->picture->bar;
    int column = drawing_column(drawing, width->date);

    for (int row = drawing_row(part, top); row <= drawing_row(part, bottom); row++)
        canvas_put(&drawing->canvas, row, column, '|');
}

static void join(struct drawing *drawing, const struct picture_width *from,
                 const struct picture_width *to)
{
    const struct part *part = &drawing->parts[PART_WIDTHS];

    canvas_line(&drawing->canvas, drawing_x(drawing, from->date), drawing_y(part, from->value),
                drawing_x(drawing, to->date), drawing_y(part, to->value), 1);
}

void drawing_widths(struct drawing *drawing)
{
    const struct picture *picture = drawing->picture;
    const struct part *part = &drawing->parts[PART_WIDTHS];

    for (size_t i = 0; i < picture->width_count; i++) {
        draw_bar(drawing, &picture->widths[i]);
        if (drawing->braille && i > 0)
            join(drawing, &picture->widths[i - 1], &picture->widths[i]);
    }
    for (size_t i = 0; i < picture->width_count; i++)
        canvas_put(&drawing->canvas, drawing_row(part, picture->widths[i].value),
                   drawing_column(drawing, picture->widths[i].date), 'o');
}

/* ---- what was given ---- */

/* The last column in which the sums of a step stand. */
static int end_of_step(const struct drawing *drawing, size_t at)
{
    const struct picture *picture = drawing->picture;
    int begin = drawing_column(drawing, picture->steps[at].date), next;

    if (at + 1 == picture->step_count)
        return drawing->canvas.columns - 1;
    next = drawing_column(drawing, picture->steps[at + 1].date) - 1;
    return next < begin ? begin : next;
}

/* The day of a step in capitals, the days until the next one small: B where both are one. */
static void draw_step(struct drawing *drawing, size_t at)
{
    const struct picture_step *step = &drawing->picture->steps[at];
    const struct part *part = &drawing->parts[PART_SUMS];
    int right = drawing_row(part, step->right), left = drawing_row(part, step->left);
    int begin = drawing_column(drawing, step->date), end = end_of_step(drawing, at);

    for (int column = begin; column <= end; column++) {
        bool first = column == begin;
        if (!first && drawing->braille)
            return;
        canvas_put(&drawing->canvas, right, column, first ? 'R' : 'r');
        canvas_put(&drawing->canvas, left, column, first ? 'L' : 'l');
        if (right == left)
            canvas_put(&drawing->canvas, left, column, first ? 'B' : 'b');
    }
}

/* The sums of one side as a staircase of dots; of the left side every second one. */
static void draw_stairs(struct drawing *drawing, bool left)
{
    const struct picture *picture = drawing->picture;
    const struct part *part = &drawing->parts[PART_SUMS];
    int every = left ? 2 : 1, y = drawing_y(part, 0);

    for (size_t i = 0; i < picture->step_count; i++) {
        const struct picture_step *step = &picture->steps[i];
        bool last = i + 1 == picture->step_count;
        int x = drawing_x(drawing, step->date);
        int to = last ? DOTS_ACROSS * drawing->canvas.columns - 1
                      : drawing_x(drawing, picture->steps[i + 1].date);
        int up = drawing_y(part, left ? step->left : step->right);
        canvas_line(&drawing->canvas, x, y, x, up, every);
        canvas_line(&drawing->canvas, x, up, to, up, every);
        y = up;
    }
}

void drawing_steps(struct drawing *drawing)
{
    const struct picture *picture = drawing->picture;
    const struct part *part = &drawing->parts[PART_SUMS];

    for (size_t i = 0; i < picture->step_count; i++)
        draw_step(drawing, i);
    if (drawing->braille && picture->step_count > 0) {
        draw_stairs(drawing, false);
        draw_stairs(drawing, true);
    }
    for (size_t i = 0; i < picture->step_count; i++) {
        const struct picture_step *step = &picture->steps[i];
        int column = drawing_column(drawing, step->date);
        if (step->right_unknown)
            canvas_put(&drawing->canvas, drawing_row(part, step->right), column, '?');
        if (step->left_unknown)
            canvas_put(&drawing->canvas, drawing_row(part, step->left), column, '?');
    }
}

/* ---- wear ---- */

/* A period as a line of its source's letter at the height of its share, with the share in it where
 * there is room: "t89%tttt". Rows are too few to read it off them. */
static void draw_share(struct drawing *drawing, const struct picture_wear *wear)
{
    enum { SHARE_CELLS = 5 };
    int begin = drawing_column(drawing, wear->from), end = drawing_column(drawing, wear->to);
    int row = drawing_row(&drawing->parts[PART_WEAR], wear->permille);
    char share[16];

    for (int column = begin; column <= end; column++)
        canvas_put(&drawing->canvas, row, column, picture_source(wear->source));
    snprintf(share, sizeof share, "%" PRId32 "%%", wear->permille / 10);
    if (end - begin + 1 >= SHARE_CELLS)
        canvas_write(&drawing->canvas, row, begin + 1, share);
}

/* A period of which nothing is known fills its whole stretch, so that it is at no height. */
static void draw_unknown(struct drawing *drawing, const struct picture_wear *wear)
{
    const struct part *part = &drawing->parts[PART_WEAR];
    int end = drawing_column(drawing, wear->to);

    for (int column = drawing_column(drawing, wear->from); column <= end; column++) {
        for (int row = part->top; row < part->top + part->rows; row++)
            canvas_put(&drawing->canvas, row, column, picture_source(SOURCE_NONE));
    }
}

void drawing_wear(struct drawing *drawing)
{
    for (size_t i = 0; i < drawing->picture->wear_count; i++) {
        const struct picture_wear *wear = &drawing->picture->wear[i];
        if (wear->permille >= 0)
            draw_share(drawing, wear);
        else
            draw_unknown(drawing, wear);
    }
}
