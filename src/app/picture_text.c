/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The picture of an arch on the cells of a terminal or of a printed sheet: where what stands. */
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "picture_drawing.h"
#include "springline/core/tooth.h"
#include "told.h"

enum {
    TITLE_ROWS = 1,
    DATE_ROWS = 1,
    CAPTIONS_FULL = 2, /* above the sums and above the wear; in a small picture one for both */
    SUM_ROWS_LEAST = 2,
    WEAR_ROWS_LEAST = 2,
    SHARES = 12, /* of the rows that are left the sums get 4, the wear 3, the widths the rest */
    SUM_SHARES = 4,
    WEAR_SHARES = 3,
    MONTH_CELLS = 9, /* "|2026-11 " */
    DAY_CELLS = 12,
    LABEL_CELLS = PICTURE_GUTTER - 2
};

/* ---- the numbers beside an axis ---- */

static void label_row(struct drawing *drawing, int row, const char *label)
{
    canvas_write(&drawing->canvas, row, LABEL_CELLS - (int)strlen(label), label);
}

/* Does a number stand on the row, above or below it? */
static bool is_close(const struct drawing *drawing, int row)
{
    for (int near = row - 1; near <= row + 1; near++) {
        if (canvas_at(&drawing->canvas, near, LABEL_CELLS - 1) != '\0')
            return true;
    }
    return false;
}

static void label_value(struct drawing *drawing, int which, int64_t value, bool end)
{
    const struct part *part = &drawing->parts[which];
    char label[MILLIMETRE_TEXT_SIZE + 8] = "";
    int row = drawing_row(part, value);

    if (which == PART_WEAR)
        snprintf(label, sizeof label, "%" PRId64 "%%", value / 10);
    else if (value > -INT32_MAX && value < INT32_MAX)
        millimetre_to_text((um)value, label);
    if (strlen(label) <= LABEL_CELLS && (end || !is_close(drawing, row)))
        label_row(drawing, row, label);
}

static void draw_axis(struct drawing *drawing, int which)
{
    const struct part *part = &drawing->parts[which];

    for (int row = part->top; row < part->top + part->rows; row++)
        canvas_put(&drawing->canvas, row, PICTURE_GUTTER - 1, '|');
    if (part->scale == NULL)
        return;
    label_value(drawing, which, part->scale->first, true);
    label_value(drawing, which, part->scale->last, true);
    for (int i = 1; i + 1 < part->scale->count; i++)
        label_value(drawing, which, part->scale->ticks[i], false);
}

static void draw_dates(struct drawing *drawing, int row)
{
    int free = PICTURE_GUTTER;

    for (int i = 0; i < drawing->dates.count; i++) {
        char date[DAY_TEXT_SIZE + 1] = "|";
        day tick = (day)drawing->dates.ticks[i];
        int column = drawing_column(drawing, tick);
        day_to_text(tick, date + 1);
        if (drawing->dates.step != SCALE_DAYS)
            date[MONTH_TEXT_SIZE] = '\0'; /* "|2026-11" */
        if (column < free || column + (int)strlen(date) > drawing->canvas.columns)
            continue;
        canvas_write(&drawing->canvas, row, column, date);
        free = column + (int)strlen(date) + 1;
    }
}

/* ---- words ---- */

static void add_title(const struct picture *picture, struct text *out)
{
    const struct expander *expander = picture->expander;
    char teeth[8];

    text_add_shown(out, picture->number);
    text_addf(out, " %s", picture_name(picture));
    if (expander == NULL)
        return;
    if (expander->landmark == LANDMARK_NONE || expander->site == SITE_NONE)
        text_add(out, " landmark not recorded");
    else
        text_addf(out, " %s %s %s, mm", word_text(&words_site, (int)expander->site),
                  word_text(&words_landmark, (int)expander->landmark),
                  teeth_to_text(expander->teeth, teeth));
}

/* What stands where nothing is drawn. */
static void draw_nothing(struct drawing *drawing, int which)
{
    static const char *const words[] = {[PART_WIDTHS] = "no such width is recorded",
                                        [PART_SUMS] = "nothing was given",
                                        [PART_WEAR] = "no period of wear"};
    const struct picture *picture = drawing->picture;
    const struct part *part = &drawing->parts[which];
    const size_t counts[] = {[PART_WIDTHS] = picture->width_count,
                             [PART_SUMS] = picture->step_count,
                             [PART_WEAR] = picture->wear_count};

    if (counts[which] == 0)
        canvas_write(&drawing->canvas, part->top + part->rows / 2, PICTURE_GUTTER + 2,
                     words[which]);
}

static void draw_captions(struct drawing *drawing, bool full)
{
    int sums = drawing->parts[PART_SUMS].top - 1, wear = drawing->parts[PART_WEAR].top - 1;

    if (full) {
        canvas_write(&drawing->canvas, sums, 0,
                     "given, mm a side, in all: R right, L left, B both");
        canvas_write(&drawing->canvas, wear, 0,
                     "wear, days met of days known: s sensor, d diary, t told, ? unknown");
    } else {
        canvas_write(&drawing->canvas, sums, 0, "mm given R L B=both  wear s d t ?unknown");
    }
}

/* ---- the whole ---- */

static void lay_out(struct drawing *drawing, bool full, const struct scale *shares)
{
    const struct picture *picture = drawing->picture;
    int captions = full ? CAPTIONS_FULL : 1;
    int left = drawing->canvas.rows - TITLE_ROWS - DATE_ROWS - captions;
    int sums = left * SUM_SHARES / SHARES, wear = left * WEAR_SHARES / SHARES;

    sums = sums < SUM_ROWS_LEAST ? SUM_ROWS_LEAST : sums;
    wear = wear < WEAR_ROWS_LEAST ? WEAR_ROWS_LEAST : wear;
    int widths = left - sums - wear;
    drawing->parts[PART_WIDTHS] =
        (struct part){TITLE_ROWS, widths, picture->has_lengths ? &picture->lengths : NULL};
    drawing->parts[PART_SUMS] =
        (struct part){TITLE_ROWS + widths + 1, sums, picture->has_sums ? &picture->sums : NULL};
    drawing->parts[PART_WEAR] = (struct part){TITLE_ROWS + widths + sums + captions, wear, shares};
}

static void draw_all(struct drawing *drawing, bool full)
{
    draw_captions(drawing, full);
    for (int which = 0; which < PART_COUNT; which++)
        draw_axis(drawing, which);
    draw_dates(drawing, drawing->canvas.rows - 1);
    drawing_target(drawing);
    drawing_marks(drawing);
    drawing_widths(drawing);
    drawing_steps(drawing);
    drawing_wear(drawing);
    drawing_letters(drawing);
    for (int which = 0; which < PART_COUNT; which++)
        draw_nothing(drawing, which);
}

static enum status put_line(const char *line, int columns, struct arena *arena, struct lines *lines,
                            struct error *error)
{
    struct text text = {0};

    text_fit(&text, line, columns, false);
    bool good = told_end_line(arena, lines, &text);
    text_release(&text);
    return good ? STATUS_OK : error_no_memory(error);
}

static enum status put_canvas(const struct drawing *drawing, struct arena *arena,
                              struct lines *lines, struct error *error)
{
    struct text text = {0};
    bool good = true;

    add_title(drawing->picture, &text);
    enum status status = put_line(text_string(&text), drawing->canvas.columns, arena, lines, error);
    text_clear(&text);
    for (int row = TITLE_ROWS; row < drawing->canvas.rows && good && status == STATUS_OK; row++) {
        canvas_row(&drawing->canvas, row, &text);
        good = told_end_line(arena, lines, &text);
    }
    text_release(&text);
    return good ? status : error_no_memory(error);
}

enum status picture_text(const struct picture *picture, int columns, int rows, bool braille,
                         struct arena *arena, struct lines *lines, struct error *error)
{
    struct drawing drawing = {.picture = picture, .braille = braille};
    struct scale_range shares_range = {true, 0, 1000};
    struct scale shares;

    if (columns < PICTURE_COLUMNS_LEAST || rows < PICTURE_ROWS_LEAST)
        return put_line("The picture needs 40 columns and 10 rows.", columns, arena, lines, error);
    if (!picture->drawable)
        return put_line("Nothing that has a date is recorded: there is nothing to draw.", columns,
                        arena, lines, error);
    if (!canvas_make(arena, columns, rows, &drawing.canvas))
        return error_no_memory(error);
    scale_dates(&picture->dates, (columns - PICTURE_GUTTER) / MONTH_CELLS, &drawing.dates);
    if (drawing.dates.step == SCALE_DAYS)
        scale_dates(&picture->dates, (columns - PICTURE_GUTTER) / DAY_CELLS, &drawing.dates);
    scale_numbers(&shares_range, 1, 3, &shares);
    lay_out(&drawing, rows >= PICTURE_ROWS_FULL, &shares);
    draw_all(&drawing, rows >= PICTURE_ROWS_FULL);
    return put_canvas(&drawing, arena, lines, error);
}
