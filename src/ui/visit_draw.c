/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The picture of the visit screen. At 80 x 24: who, the verdict and why, the past, the table of
 * fields, the caution. Where it is smaller: who, the verdict, a few fields.
 */
#include <string.h>

#include "visit_view.h"

enum { TABLE_COLUMNS = 80, TABLE_ROWS = 18, REASONS_MOST = 9 };

/* ---- below: fields, reasons or the review ---- */

/* Why more than permitted: before the values, so that no small screen hides it. */
static void add_because(const struct visit_view *view, struct panel *panel)
{
    struct text reason = {0};

    if (view->reason == 0)
        return;
    text_addf(&reason, "more than permitted, because: %s", visit_reason(view->reason));
    if (view->reason_text[0] != '\0')
        text_addf(&reason, ": %s", view->reason_text);
    panel_add(panel, LOOK_BOLD, 2, text_string(&reason));
    text_release(&reason);
}

static void fill_review(struct ui *ui, struct visit_view *view, struct panel *panel)
{
    struct arena arena = {0};
    struct lines lines = {0};

    if (visit_lines_review(ui->app, &view->sheet, &arena, &lines) == STATUS_OK) {
        for (size_t i = 0; i < lines.count; i++) {
            panel_add(panel, LOOK_BOLD, 2, lines.line[i]);
            if (i == 0)
                add_because(view, panel);
        }
    }
    arena_release(&arena);
}

static void fill_reasons(const struct visit_view *view, struct panel *panel)
{
    struct text line = {0};

    panel_add(panel, LOOK_BOLD, 0, "More than permitted. Why?");
    for (int i = 1; i <= REASONS_MOST && visit_reason(i) != NULL; i++) {
        bool taken = view->enter.mode == MODE_REASON_TEXT && view->reason == i;
        text_clear(&line);
        text_addf(&line, "%s %d  %s", taken ? ">" : " ", i, visit_reason(i));
        panel_add(panel, taken ? LOOK_BOLD : LOOK_PLAIN, 5, text_string(&line));
    }
    text_release(&line);
}

static bool shows_panel(const struct visit_view *view)
{
    return view->enter.mode == MODE_REVIEW || view->enter.mode == MODE_REASON ||
           view->enter.mode == MODE_REASON_TEXT;
}

/* Draws the panel of the mode upwards from row bottom - 1. Returns its first row. */
static int draw_mode_panel(struct ui *ui, struct visit_view *view, int top, int bottom)
{
    bool typing = view->enter.mode != MODE_REVIEW;
    struct panel panel = {
        .below = view->enter.mode == MODE_REASON_TEXT ? NULL : "more below: . or PageDown"};

    if (typing)
        fill_reasons(view, &panel);
    else
        fill_review(ui, view, &panel);
    int first = typing ? enter_panel_draw(
                             ui, &panel, &view->review, &view->enter.editor,
                             view->enter.mode == MODE_REASON ? "reason:" : "in words:", top, bottom)
                       : enter_review_draw(ui, &panel, &view->review, &view->enter, top, bottom);
    panel_release(&panel);
    return first;
}

static void draw_wide(struct ui *ui, struct visit_view *view, int rows)
{
    int bottom = enter_caution_draw(ui, rows);
    int top = visit_who_draw(ui, view, 2, 3);
    int below = bottom - visit_table_rows(view);

    if (shows_panel(view)) {
        below = draw_mode_panel(ui, view, top + 2, bottom);
    } else {
        visit_table_draw(ui, view, below);
    }
    visit_why_draw(ui, view, top, below - top, false);
}

/* Half of it for the fields, but the verdicts come first; one field always has room. */
static void draw_narrow(struct ui *ui, struct visit_view *view, int rows)
{
    int top = visit_who_draw(ui, view, 2, 2);
    int below = top + (rows - top + 1) / 2, least = top + visit_why_least(ui, view);

    below = least > below ? least : below;
    below = below > rows - 1 ? rows - 1 : below;
    if (shows_panel(view))
        below = draw_mode_panel(ui, view, top, rows);
    else
        visit_rows_draw(ui, view, below, rows - below);
    visit_why_draw(ui, view, top, below - top, true);
}

void visit_view_draw(struct ui *ui, void *state, int rows)
{
    struct visit_view *view = state;
    int cursor_row = ui->grid.cursor_row, cursor_column = ui->grid.cursor_column;

    if (ui->grid.columns >= TABLE_COLUMNS && rows >= TABLE_ROWS)
        draw_wide(ui, view, rows);
    else
        draw_narrow(ui, view, rows);
    /* A question is read where it stands. */
    if (view->enter.mode != MODE_FIELDS && view->enter.mode != MODE_REASON &&
        view->enter.mode != MODE_REASON_TEXT && !enter_asks_secret(&view->enter))
        grid_cursor(&ui->grid, cursor_row, cursor_column);
}
