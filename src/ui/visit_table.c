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
    [ITEM_WEAR_SOURCE] = {"from", 52, 58, 12}, [ITEM_WIDTH] = {"width", 0, 8, 8},
    [ITEM_TISSUE] = {"tissue", 0, 18, 8},      [ITEM_HARDWARE] = {"hardware", 0, 28, 17},
    [ITEM_REPAIRED] = {"repaired", 0, 47, 8},  [ITEM_RIGHT] = {"right", 0, 57, 6},
    [ITEM_LEFT] = {"left", 0, 65, 6},          [ITEM_RELIEF] = {"closed", 0, 73, 7},
    [ITEM_NEXT] = {"next", 1, 8, 24},          [ITEM_NOTE] = {"note", 35, 41, 39},
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

void visit_view_value(const struct sheet_field *field, struct text *out)
{
    if (field->skipped)
        text_add(out, "-");
    else if (field->wrong || field->item == ITEM_NOTE)
        text_add(out, field->entered);
    else if (field->filled && is_number(field))
        add_first_word(out, field->shown);
    else if (field->filled)
        text_add(out, field->shown);
    else if (field->required)
        text_add(out, "?");
    else
        text_add(out, ".");
}

/* What the digit just typed means, behind it. */
static void draw_meaning(struct ui *ui, const struct sheet_field *field,
                         const struct editor *editor, int row, int column, int cells)
{
    int digit = editor->length == 1 ? editor->text[0] - '0' : -1;

    if (digit >= 0 && digit < field->choice_count)
        grid_put(&ui->grid, row, column + 2, cells - 2, LOOK_REVERSE, field->choices[digit]);
}

void visit_view_field(struct ui *ui, const struct visit_view *view, int index, int row, int column,
                      int cells)
{
    const struct sheet_field *field = &view->sheet.fields[index];
    struct text value = {0};

    if (index == view->focus && view->mode == MODE_FIELDS) {
        grid_put(&ui->grid, row, column - 1, 1, LOOK_BOLD, ">");
        editor_draw(&view->editor, &ui->grid, row, column, cells, LOOK_REVERSE);
        draw_meaning(ui, field, &view->editor, row, column, cells);
        return;
    }
    visit_view_value(field, &value);
    if (field->wrong && !field->skipped)
        grid_put(&ui->grid, row, column - 1, 1, LOOK_BOLD, "!");
    grid_put(&ui->grid, row, column, cells, field->wrong ? LOOK_BOLD : LOOK_PLAIN,
             text_string(&value));
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

static void draw_last(struct ui *ui, const struct sheet_field *field, int row, int column,
                      int cells)
{
    struct text last = {0};

    if (is_number(field))
        add_first_word(&last, field->last);
    else
        text_add(&last, field->last);
    grid_put(&ui->grid, row, column, cells, LOOK_PLAIN, text_string(&last));
    text_release(&last);
}

static void draw_in_table(struct ui *ui, const struct visit_view *view, int index, int top)
{
    const struct sheet_field *field = &view->sheet.fields[index];
    const struct place_of_item *place = &places[field->item];
    int row = field->item <= ITEM_WEAR_SOURCE ? top : top + visit_table_rows(view) - 1;

    if (field->arch != ARCH_NONE) {
        row = top + arch_row(view, field->arch);
        grid_put(&ui->grid, top + 1, place->column, place->cells, LOOK_UNDERLINE, place->head);
        draw_last(ui, field, row + 1, place->column, place->cells);
    } else {
        grid_put(&ui->grid, row, place->head_column, place->column - place->head_column - 1,
                 LOOK_PLAIN, place->head);
    }
    visit_view_field(ui, view, index, row, place->column, place->cells);
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
    int first = view->focus;
    struct text label = {0};

    /* One field before the focused one stays in sight. */
    for (int i = 0; i < (rows > 2 ? 1 : 0) && visit_step(&view->sheet, first, -1) >= 0; i++)
        first = visit_step(&view->sheet, first, -1);
    for (int at = 0; at < rows && first < view->sheet.field_count; at++) {
        text_clear(&label);
        add_label(&label, &view->sheet.fields[first]);
        grid_put(&ui->grid, row + at, 1, LABEL_CELLS - 2, LOOK_PLAIN, text_string(&label));
        visit_view_field(ui, view, first, row + at, LABEL_CELLS, ui->grid.columns - LABEL_CELLS);
        first = visit_step(&view->sheet, first, 1);
    }
    text_release(&label);
}
