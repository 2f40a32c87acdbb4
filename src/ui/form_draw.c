/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The picture of a form: who, then one field a row with what is typed, beside it what was recorded
 * or what Enter alone takes, headings above groups. The field being typed stays in sight, with one
 * on each side of it.
 */
#include <string.h>

#include "form_view.h"
#include "who.h"

enum {
    LABEL_CELLS = 26,
    VALUE_CELLS = 24,
    CHOICE_CELLS = 13, /* a digit and its word: the rest is for the other choices */
    ROWS_MAX = 2 * FORM_FIELDS_MAX,
    FIELD_ROWS_LEAST = 6,  /* below that the caution stands in the review only */
    NOTICE_ROWS_LEAST = 5, /* below that no row is left to say that more is above or below */
    ALERT_ROWS = 2,
    ABOUT_ROWS = 2
};

/* ---- who ---- */

/* The name, and the form's title behind it where there is room; else before the birth date. */
static void add_who(struct ui *ui, const struct form_view *view, const char *line,
                    struct panel *panel)
{
    struct text name = {0}, below = {0};
    const char *born = who_behind(line);
    int cells = ui_title_cells(ui);

    text_append(&name, line, (size_t)(born - line));
    if (grid_measure(&ui->grid, text_string(&name)) > cells) {
        text_clear(&name);
        who_squeeze(&ui->grid, &view->form.history, cells, &name);
    }
    int room = cells - grid_measure(&ui->grid, text_string(&name)) - 3;
    bool beside = grid_measure(&ui->grid, view->form.title) <= room;
    if (beside)
        text_addf(&name, "   %s", view->form.title);
    text_addf(&below, "  %s%s%s", beside ? "" : view->form.title, beside ? "" : "  ",
              born + strspn(born, " "));
    panel_add(panel, LOOK_BOLD, WHO_HANG, text_string(&name));
    panel_add(panel, LOOK_BOLD, WHO_HANG, text_string(&below));
    text_release(&name);
    text_release(&below);
}

/* What must be read while the form is filled, as far as room is left for the fields. */
static void add_about(struct ui *ui, const struct form_view *view, int rows, struct panel *panel)
{
    struct arena arena = {0};
    struct lines lines = {0};
    int cells = ui->grid.columns;

    if (form_about(ui->app, &view->form, &arena, &lines) == STATUS_OK) {
        for (size_t i = 0; i < lines.count; i++) {
            int left = rows - FIELD_ROWS_LEAST - panel_rows(panel, &ui->grid, cells);
            if (left > 0)
                who_within(panel, &ui->grid, cells, left < ABOUT_ROWS ? left : ABOUT_ROWS,
                           lines.line[i]);
        }
    }
    arena_release(&arena);
}

/* Draws who it is about, if it is about somebody, and the title. Returns the rows it took. */
static int draw_who(struct ui *ui, struct form_view *view, int most)
{
    const struct history *history = &view->form.history;
    struct panel panel = {0};
    struct arena arena = {0};
    struct lines lines = {0};
    int cells = ui->grid.columns;

    if (history->casefile == NULL || history->patient == NULL)
        panel_add(&panel, LOOK_BOLD, WHO_HANG, view->form.title);
    else if (visit_lines_person(history, ui->app->today, &arena, &lines) == STATUS_OK)
        add_who(ui, view, lines.line[0], &panel);
    who_elsewhere(ui, &panel);
    for (size_t i = 1; i < lines.count; i++)
        who_within(&panel, &ui->grid, cells, ALERT_ROWS, lines.line[i]);
    add_about(ui, view, most, &panel);
    int rows = panel_rows(&panel, &ui->grid, cells);
    panel_draw(&panel, &ui->grid, 0, 0, rows, cells, 0);
    panel_release(&panel);
    arena_release(&arena);
    return rows;
}

/* ---- the fields ---- */

/* One row of the list: a field, or the heading above it. */
struct form_row {
    int index;
    const char *heading; /* NULL: the field */
};

/* A field that does not apply is left away, unless it holds something that is only shown. */
static bool is_seen(const struct form_field *field)
{
    return !field->skipped || field->shown[0] != '\0';
}

static int list_rows(const struct form *form, struct form_row rows[ROWS_MAX])
{
    const char *heading = NULL;
    int count = 0;

    for (int i = 0; i < form->field_count; i++) {
        const struct form_field *field = &form->fields[i];
        if (field->heads != NULL)
            heading = field->heads;
        if (!is_seen(field))
            continue;
        if (heading != NULL)
            rows[count++] = (struct form_row){.index = i, .heading = heading};
        heading = NULL;
        rows[count++] = (struct form_row){.index = i};
    }
    return count;
}

/* The row of a field; of one that is not among them, the row before or behind. */
static int row_of(const struct form_row *rows, int count, int index)
{
    for (int i = 0; i < count; i++) {
        if (rows[i].heading == NULL && rows[i].index >= index)
            return i;
    }
    return count - 1;
}

/* Scrolls so that the focused row and the fields on both sides of it are seen. */
static void scroll(struct form_view *view, const struct form_row *rows, int count, int room)
{
    const struct form *form = &view->form;
    int at = row_of(rows, count, view->focus);
    int before = form_step(form, view->focus, -1), behind = form_step(form, view->focus, 1);
    int first = before < 0 ? 0 : row_of(rows, count, before);
    int last = behind >= form->field_count ? at : row_of(rows, count, behind);

    if (view->top > first)
        view->top = first;
    if (view->top + room <= last)
        view->top = last - room + 1;
    if (view->top + room <= at)
        view->top = at - room + 1;
    if (view->top > at)
        view->top = at;
    if (view->top > count - room)
        view->top = count - room;
    if (view->top < 0)
        view->top = 0;
}

/* Where label and value of a field are drawn. */
struct spot {
    int row, column, cells;
};

/* Is what is being typed what was found wrong? As long as nothing else is typed. */
static bool is_marked(const struct form_view *view, const struct form_field *field)
{
    return field->wrong && strcmp(view->enter.editor.text, field->entered) == 0;
}

/* A choice being typed has room for its word only: that it is wrong stands aside. */
static bool is_marked_aside(const struct form_view *view, const struct form_field *field,
                            bool focused)
{
    return focused && field->input == INPUT_CHOICE && is_marked(view, field);
}

/* What stands right of a value: how it was, or what Enter alone takes; and what may be typed. */
static void add_aside(const struct form_view *view, const struct form_field *field, bool focused,
                      struct text *out)
{
    bool empty = focused ? view->enter.editor.length == 0 : field->entered[0] == '\0';

    if (is_marked_aside(view, field, focused))
        text_add(out, "wrong");
    else if (field->recorded[0] != '\0' &&
             (focused || field->wrong || strcmp(field->shown, field->recorded) != 0))
        text_addf(out, "was %s", field->recorded);
    else if (empty && !field->skipped && field->if_empty[0] != '\0')
        text_addf(out, "Enter: %s", field->if_empty);
}

/* The choices beside the field being typed, where all of them have room. */
static void add_choices_aside(struct ui *ui, const struct form_field *field, int cells,
                              struct text *aside)
{
    struct text choices = {0};

    form_view_add_choices(field, &choices);
    int used = grid_measure(&ui->grid, text_string(aside));
    used += used > 0 ? 2 : 0;
    if (choices.length > 0 && used + grid_measure(&ui->grid, text_string(&choices)) <= cells)
        text_addf(aside, "%s%s", used > 0 ? "  " : "", text_string(&choices));
    text_release(&choices);
}

/* Draws what stands aside and leaves the rest of the row to the value. */
static void draw_aside(struct ui *ui, const struct form_view *view, const struct form_field *field,
                       bool focused, struct spot *spot)
{
    int all = ui->grid.columns - spot->column - 1;
    bool choosing = focused && field->input == INPUT_CHOICE;
    int cells = choosing ? CHOICE_CELLS : VALUE_CELLS + (all > 60 ? (all - 60) / 2 : 0);
    struct text aside = {0};

    spot->cells = all;
    if (ui->grid.columns < FORM_WIDE_COLUMNS)
        return;
    if (field->input != INPUT_TEXT && field->input != INPUT_NOTE)
        spot->cells = cells;
    add_aside(view, field, focused, &aside);
    if (focused && field->choice_count > 0)
        add_choices_aside(ui, field, all - cells - 1, &aside);
    if (aside.length > 0) {
        spot->cells = cells;
        grid_put(&ui->grid, spot->row, spot->column + cells + 2, all - cells - 1, LOOK_PLAIN,
                 text_string(&aside));
    }
    text_release(&aside);
}

/* What the digit just typed means; NULL: it is no choice. */
static const char *meaning_of(const struct form_view *view, const struct form_field *field)
{
    const struct editor *editor = &view->enter.editor;
    int digit = editor->length == 1 ? editor->text[0] - '0' : -1;

    return digit >= 0 && digit < field->choice_count ? field->choices[digit] : NULL;
}

/* It stands behind the digit. */
static void draw_meaning(struct ui *ui, const struct form_view *view,
                         const struct form_field *field, const struct spot *spot)
{
    const char *meaning = meaning_of(view, field);

    if (meaning != NULL)
        grid_put(&ui->grid, spot->row, spot->column + 2, spot->cells - 2, LOOK_REVERSE, meaning);
}

/* The field being typed: in brackets, reversed, with the text cursor. */
static void draw_typed(struct ui *ui, const struct form_view *view, const struct form_field *field,
                       const struct spot *spot)
{
    const struct editor *editor = &view->enter.editor;
    enum { MARK_CELLS = 5 };
    int used =
        meaning_of(view, field) == NULL ? 0 : grid_measure(&ui->grid, meaning_of(view, field)) + 1;

    grid_put(&ui->grid, spot->row, spot->column - 1, 1, LOOK_BOLD, "[");
    grid_put(&ui->grid, spot->row, spot->column + spot->cells, 1, LOOK_BOLD, "]");
    editor_draw(editor, &ui->grid, spot->row, spot->column, spot->cells, LOOK_REVERSE);
    draw_meaning(ui, view, field, spot);
    if (is_marked(view, field) &&
        (field->input != INPUT_CHOICE || ui->grid.columns < FORM_WIDE_COLUMNS) &&
        used + grid_measure(&ui->grid, editor->text) + 1 + MARK_CELLS <= spot->cells)
        grid_put(&ui->grid, spot->row, spot->column + spot->cells - MARK_CELLS, MARK_CELLS,
                 LOOK_REVERSE | LOOK_BOLD, "wrong");
}

static void draw_value(struct ui *ui, const struct form_field *field, const struct spot *spot)
{
    struct text value = {0};

    if (field->wrong)
        text_addf(&value, "%s  wrong", field->entered);
    else if (field->filled || field->skipped)
        text_add(&value, field->shown);
    else
        text_add(&value, field->required ? "needed" : "...");
    grid_put(&ui->grid, spot->row, spot->column, spot->cells, field->wrong ? LOOK_BOLD : LOOK_PLAIN,
             text_string(&value));
    text_release(&value);
}

static void draw_field(struct ui *ui, const struct form_view *view, int index, int row)
{
    const struct form_field *field = &view->form.fields[index];
    int columns = ui->grid.columns;
    int label = columns >= FORM_WIDE_COLUMNS ? LABEL_CELLS : columns * 2 / 5;
    bool focused = index == view->focus && view->enter.mode == MODE_FIELDS;
    struct spot spot = {.row = row, .column = label + 2};

    grid_put(&ui->grid, row, 1, label - 1, LOOK_PLAIN, field->label);
    draw_aside(ui, view, field, focused, &spot);
    if (focused)
        draw_typed(ui, view, field, &spot);
    else
        draw_value(ui, field, &spot);
}

static void draw_fields(struct ui *ui, struct form_view *view, int top, int rows)
{
    struct form_row list[ROWS_MAX];
    int count = list_rows(&view->form, list);
    bool notice = count > rows && rows >= NOTICE_ROWS_LEAST;
    int room = notice ? rows - 1 : rows;

    if (count == 0 || room < 1)
        return;
    scroll(view, list, count, room);
    view->page = room > 2 ? room - 1 : 1;
    for (int i = 0; i < room && view->top + i < count; i++) {
        const struct form_row *row = &list[view->top + i];
        if (row->heading != NULL && i < room - 1) /* not without a field below it */
            grid_put(&ui->grid, top + i, 0, ui->grid.columns, LOOK_BOLD, row->heading);
        else if (row->heading == NULL)
            draw_field(ui, view, row->index, top + i);
    }
    if (notice) {
        bool above = view->top > 0, below = view->top + room < count;
        grid_put_right(&ui->grid, top + room, 0, ui->grid.columns, LOOK_BOLD,
                       above && below ? "more above and below"
                       : above        ? "more above"
                                      : "more below");
    }
}

/* ---- reason and review ---- */

/* Why something recorded changes stands before the values, so that no small screen hides it. */
static void draw_review(struct ui *ui, struct form_view *view, int top, int bottom, bool caution)
{
    bool typing = view->enter.mode == MODE_REASON_TEXT;
    struct panel panel = {.below = typing ? NULL : "more below: . or PageDown"};
    struct text because = {0};

    if (view->needs_reason && !typing) {
        text_addf(&because, "because: %s", view->reason);
        panel_add(&panel, LOOK_BOLD, 2, text_string(&because));
    }
    for (size_t i = 0; i < view->review.count; i++)
        panel_add(&panel, LOOK_BOLD, 2, view->review.line[i]);
    if (caution)
        panel_add(&panel, LOOK_PLAIN, 0, app_caution);
    if (typing)
        enter_panel_draw(ui, &panel, &view->pages, &view->enter.editor, "why:", top, bottom);
    else
        enter_review_draw(ui, &panel, &view->pages, &view->enter, top, bottom);
    text_release(&because);
    panel_release(&panel);
}

void form_view_draw(struct ui *ui, void *state, int rows)
{
    struct form_view *view = state;
    int cursor_row = ui->grid.cursor_row, cursor_column = ui->grid.cursor_column;
    bool typing = view->enter.mode == MODE_FIELDS || view->enter.mode == MODE_REASON_TEXT ||
                  enter_asks_secret(&view->enter);
    int top = draw_who(ui, view, rows), bottom = rows;
    bool room = rows - top - FIELD_ROWS_LEAST >= enter_caution_rows(ui);

    if (room)
        bottom = enter_caution_draw(ui, rows);
    if (view->enter.mode == MODE_REASON_TEXT || view->enter.mode == MODE_REVIEW)
        draw_review(ui, view, top, bottom, !room);
    else
        draw_fields(ui, view, top, bottom - top);
    if (!typing) /* a question is read where it stands */
        grid_cursor(&ui->grid, cursor_row, cursor_column);
}
