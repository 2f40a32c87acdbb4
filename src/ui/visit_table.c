/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The fields of the visit: as a table with a column per item, or one a row where it is tight. */
#include <stdio.h>
#include <string.h>

#include "visit_view.h"

/* Where an item stands in the table: its head and its value. head_column 0: the head stands in the
 * row of heads, above the value. */
static const struct place_of_item {
    const char *head;
    int head_column, column, cells;
} places[] = {
    [ITEM_WEAR_MET] = {"days met", 8, 18, 8},  [ITEM_WEAR_ASKED] = {"asked", 28, 35, 15},
    [ITEM_WEAR_SOURCE] = {"from", 52, 58, 12}, [ITEM_WIDTH] = {"width", 0, 8, 7},
    [ITEM_TISSUE] = {"tissue", 0, 17, 7},      [ITEM_HARDWARE] = {"hardware", 0, 26, 14},
    [ITEM_REPAIRED] = {"repaired", 0, 42, 8},  [ITEM_RIGHT] = {"right", 0, 52, 9},
    [ITEM_LEFT] = {"left", 0, 62, 9},          [ITEM_RELIEF] = {"relief", 0, 73, 6},
    [ITEM_NEXT] = {"next", 1, 8, 24},          [ITEM_NOTE] = {"note", 35, 41, 38},
};

/* Does the value stand in words that are too many for the table? Then its number is enough. */
static bool is_number(const struct sheet_field *field)
{
    return field->item == ITEM_WIDTH || field->item == ITEM_RIGHT || field->item == ITEM_LEFT;
}

static void add_first_word(struct text *out, const char *text)
{
    text_append(out, text, strcspn(text, " "));
}

/* Without it the visit, or the arch, can not be saved. */
static bool is_needed(const struct sheet_field *field)
{
    return field->required || field->amount || field->item == ITEM_WEAR_SOURCE;
}

static void add_value(const struct sheet_field *field, struct text *out)
{
    if (field->skipped)
        text_add(out, "-");
    else if (field->wrong || field->item == ITEM_NOTE)
        text_add(out, field->entered);
    else if (field->filled && is_number(field))
        add_first_word(out, field->shown);
    else if (field->filled)
        text_add(out, field->shown);
    if (out->length == 0)
        text_add(out, is_needed(field) ? "needed" : "...");
}

/* Where the value of a field is drawn. */
struct spot {
    int row, column, cells;
    bool below; /* a value that is wrong is marked in the row below, for lack of room */
};

/* Refused; or asked about, and not answered yet. */
static const char *trouble_of(const struct sheet_field *field)
{
    return field->kept[0] != '\0' && strcmp(field->kept, field->entered) == 0 ? "sure?" : "wrong";
}

/* What is to be said behind what stands in a field; NULL: nothing. */
static const char *mark_of(const struct sheet_field *field, const struct spot *spot)
{
    if (field->skipped)
        return NULL;
    if (field->wrong)
        return spot->below ? NULL : trouble_of(field);
    return field->above ? "MORE" : NULL;
}

/* What the digit just typed means, behind it. */
static void draw_meaning(struct ui *ui, const struct sheet_field *field,
                         const struct editor *editor, const struct spot *spot)
{
    int digit = editor->length == 1 ? editor->text[0] - '0' : -1;

    if (digit >= 0 && digit < field->choice_count)
        grid_put(&ui->grid, spot->row, spot->column + 2, spot->cells - 2, LOOK_REVERSE,
                 field->choices[digit]);
}

/* The field being typed: in brackets, reversed, with the text cursor. */
static void draw_focused(struct ui *ui, const struct visit_view *view,
                         const struct sheet_field *field, const struct spot *spot)
{
    const char *mark = mark_of(field, spot);
    int cells = mark == NULL ? 0 : grid_measure(&ui->grid, mark);

    grid_put(&ui->grid, spot->row, spot->column - 1, 1, LOOK_BOLD, "[");
    grid_put(&ui->grid, spot->row, spot->column + spot->cells, 1, LOOK_BOLD, "]");
    editor_draw(&view->enter.editor, &ui->grid, spot->row, spot->column, spot->cells, LOOK_REVERSE);
    draw_meaning(ui, field, &view->enter.editor, spot);
    /* As long as nothing else is typed. */
    if (mark != NULL && strcmp(view->enter.editor.text, field->entered) == 0 &&
        grid_measure(&ui->grid, view->enter.editor.text) + 1 + cells <= spot->cells)
        grid_put(&ui->grid, spot->row, spot->column + spot->cells - cells, cells,
                 LOOK_REVERSE | LOOK_BOLD, mark);
}

/* Draws a field: what is typed when it has the focus, else its value. */
static void draw_field(struct ui *ui, const struct visit_view *view, int index,
                       const struct spot *spot)
{
    const struct sheet_field *field = &view->sheet.fields[index];
    const char *mark = mark_of(field, spot);
    int cells = mark == NULL ? 0 : grid_measure(&ui->grid, mark) + 1;
    bool plain = field->skipped || (!field->wrong && !field->above);
    struct text value = {0};

    if (index == view->focus && view->enter.mode == MODE_FIELDS) {
        draw_focused(ui, view, field, spot);
        return;
    }
    add_value(field, &value);
    int used = grid_put(&ui->grid, spot->row, spot->column, spot->cells - cells,
                        plain ? LOOK_PLAIN : LOOK_BOLD, text_string(&value));
    if (mark != NULL)
        grid_put(&ui->grid, spot->row, spot->column + used + 1, cells - 1, LOOK_BOLD, mark);
    text_release(&value);
}

int visit_table_rows(const struct visit_view *view)
{
    return 3 + 2 * view->sheet.arch_count;
}

/* The row of the table an arch begins at. */
static int arch_row(const struct visit_view *view, enum arch arch)
{
    return arch == view->sheet.arches[0] ? 2 : 4;
}

/* The last value below a field; or what is the matter with what stands in it. */
static void draw_last(struct ui *ui, const struct sheet_field *field, int row, int column,
                      int cells)
{
    bool wrong = field->wrong && !field->skipped;
    struct text last = {0};

    if (wrong)
        text_add(&last, trouble_of(field));
    else if (is_number(field))
        add_first_word(&last, field->last);
    else
        text_add(&last, field->last);
    grid_put(&ui->grid, row, column, cells, wrong ? LOOK_BOLD : LOOK_PLAIN, text_string(&last));
    text_release(&last);
}

static void draw_in_table(struct ui *ui, const struct visit_view *view, int index, int top)
{
    const struct sheet_field *field = &view->sheet.fields[index];
    const struct place_of_item *of = &places[field->item];
    struct spot spot = {.column = of->column, .cells = of->cells};

    if (field->arch != ARCH_NONE) {
        spot.row = top + arch_row(view, field->arch);
        spot.below = true;
        grid_put(&ui->grid, top + 1, of->column, of->cells, LOOK_UNDERLINE, of->head);
        draw_last(ui, field, spot.row + 1, of->column, of->cells);
    } else {
        spot.row = field->item <= ITEM_WEAR_SOURCE ? top : top + visit_table_rows(view) - 1;
        grid_put(&ui->grid, spot.row, of->head_column, of->column - of->head_column - 1, LOOK_PLAIN,
                 of->head);
    }
    draw_field(ui, view, index, &spot);
}

void visit_table_draw(struct ui *ui, const struct visit_view *view, int top)
{
    grid_put(&ui->grid, top, 1, 6, LOOK_PLAIN, "wear");
    for (int i = 0; i < view->sheet.arch_count; i++) {
        int row = top + arch_row(view, view->sheet.arches[i]);
        grid_put(&ui->grid, row, 1, 6, LOOK_BOLD,
                 word_text(&words_arch, (int)view->sheet.arches[i]));
        grid_put(&ui->grid, row + 1, 1, 6, LOOK_PLAIN, "  last");
    }
    for (int i = 0; i < view->sheet.field_count; i++)
        draw_in_table(ui, view, i, top);
}

/* "upper tissue" */
static void add_label(struct text *out, const struct sheet_field *field)
{
    if (field->arch != ARCH_NONE)
        text_addf(out, "%s ", word_text(&words_arch, (int)field->arch));
    text_add(out, field->label);
}

void visit_rows_draw(struct ui *ui, const struct visit_view *view, int row, int rows)
{
    enum { LABEL_CELLS = 24 };
    int first = view->focus, before = rows > 2 ? 1 : 0;
    struct text label = {0};

    /* One field before the focused one stays in sight. */
    if (before > 0 && visit_step(&view->sheet, first, -1) >= 0)
        first = visit_step(&view->sheet, first, -1);
    for (int at = 0; at < rows && first < view->sheet.field_count; at++) {
        text_clear(&label);
        add_label(&label, &view->sheet.fields[first]);
        grid_put(&ui->grid, row + at, 1, LABEL_CELLS - 2, LOOK_PLAIN, text_string(&label));
        draw_field(ui, view, first,
                   &(struct spot){.row = row + at,
                                  .column = LABEL_CELLS,
                                  .cells = ui->grid.columns - LABEL_CELLS - 1});
        first = visit_step(&view->sheet, first, 1);
    }
    text_release(&label);
}
