/* SPDX-License-Identifier: GPL-3.0-or-later */
/* unsigned: the visits that wait for a signature. Enter opens one, 3 signs it there, and the next
 * one is selected. */
#include <inttypes.h>

#include "springline/app/lists_unsigned.h"
#include "springline/ui/list_screen.h"
#include "springline/ui/screens.h"

struct unsigned_view {
    struct list_view view;
    struct unsigned_list rows;
};

enum column { CASE, NAME, DATE, WHAT, BY, DAYS, COLUMNS };

static const struct list_column columns[COLUMNS] = {
    [CASE] = {.head = "case", .cells = 7},
    [NAME] = {.head = "name", .cells = 12, .stretch = true, .wish = 20},
    [DATE] = {.head = "visit of", .cells = 10, .keep = 1},
    [WHAT] = {.head = "what", .cells = 24, .keep = 2},
    [BY] = {.head = "recorded by", .cells = 14, .keep = 3},
    [DAYS] = {.head = "days", .cells = 4, .falling = true},
};

static size_t row_count(const void *state)
{
    return ((const struct unsigned_view *)state)->rows.count;
}

static const struct listed_unsigned *row_at(const void *state, size_t row)
{
    return &((const struct unsigned_view *)state)->rows.rows[row];
}

static struct id row_id(const void *state, size_t row)
{
    return row_at(state, row)->row;
}

static struct id row_case(const void *state, size_t row)
{
    return row_at(state, row)->casefile;
}

static void add_name(const struct listed_unsigned *row, struct text *out)
{
    text_addf(out, "%s, %s", row->family, row->given);
}

static void row_cell(const void *state, size_t index, int column, struct text *out)
{
    const struct listed_unsigned *row = row_at(state, index);
    char date[DAY_TEXT_SIZE];

    if (column == CASE)
        text_add(out, row->number);
    else if (column == NAME)
        add_name(row, out);
    else if (column == DATE)
        text_add(out, day_to_text(row->date, date));
    else if (column == WHAT)
        text_add(out, row->what);
    else if (column == BY)
        text_add(out, row->by);
    else
        text_addf(out, "%" PRId64, row->days);
}

static const struct list_ops list = {
    .columns = columns, .column_count = COLUMNS, .rows = row_count, .cell = row_cell, .id = row_id};

static enum status read_rows(struct ui *ui, void *state, const char *folded, struct error *error)
{
    struct unsigned_view *view = state;

    return lists_unsigned(ui->app, folded, &view->view.arena, &view->rows, error);
}

static void add_title(struct ui *ui, const void *state, struct text *out)
{
    const struct unsigned_view *view = state;

    (void)ui;
    text_addf(out, "unsigned: %zu %s", view->rows.count,
              view->view.search.length > 0 ? "found"
              : view->rows.count == 1      ? "visit waits for a signature"
                                           : "visits wait for a signature");
}

static void add_hint(struct ui *ui, const void *state, size_t index, struct text *out)
{
    const struct listed_unsigned *row = row_at(state, index);

    (void)ui;
    text_addf(out, "%s ", row->number);
    add_name(row, out);
    text_addf(out, ": %s. Recorded %" PRId64 " day%s ago%s%s. Enter opens it, 3 signs it there.",
              row->what, row->days, row->days == 1 ? "" : "s", row->by[0] == '\0' ? "" : " by ",
              row->by);
}

static void open_row(struct ui *ui, void *state, size_t index)
{
    const struct listed_unsigned *row = row_at(state, index);
    struct record_argument argument = {.casefile = row->casefile,
                                       .kind = RECORD_VISIT,
                                       .record = row->record,
                                       .until_signed = true};

    ui_push(ui, &record_screen, &argument);
}

static const struct list_screen unsigned_list_screen = {
    .list = &list,
    .size = sizeof(struct unsigned_view),
    .menu = PLACE_CASES_MENU,
    .nothing = "Every visit is signed.",
    .nothing_found = "No unsigned visit has this. / removes a character.",
    .read = read_rows,
    .title = add_title,
    .hint = add_hint,
    .open = open_row,
    .casefile = row_case};

static enum status open(struct ui *ui, const void *argument, void **state, struct error *error)
{
    return list_screen_open(ui, &unsigned_list_screen, argument, state, error);
}

const struct screen_ops unsigned_screen = {LIST_SCREEN("unsigned", open)};
