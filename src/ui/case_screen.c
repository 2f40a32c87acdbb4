/* SPDX-License-Identifier: GPL-3.0-or-later */
/* case: one case, its head and every record of it. */
#include "case_draw.h"
#include "case_open.h"
#include "springline/ui/list_screen.h"
#include "springline/ui/screens.h"

struct case_screen {
    struct list_view view;
    struct id casefile;
    struct case_view shown;
    bool no_section; /* the column with the kind of record has no room */
};

enum column { DATE, SECTION, WHAT, MARK, COLUMNS };

static const struct list_column columns[COLUMNS] = {
    [DATE] = {.head = "date", .cells = 10},
    [SECTION] = {.head = "record", .cells = 8, .keep = 2},
    [WHAT] = {.head = "what", .cells = 14, .stretch = true},
    [MARK] = {.head = "mark", .cells = 10, .keep = 1},
};

static const struct case_row *row_of(const void *state, size_t row)
{
    return &((const struct case_screen *)state)->shown.rows[row];
}

static size_t row_count(const void *state)
{
    return ((const struct case_screen *)state)->shown.count;
}

static struct id row_id(const void *state, size_t row)
{
    return row_of(state, row)->id;
}

static unsigned row_look(const void *state, size_t row)
{
    return row_of(state, row)->trouble ? LOOK_BOLD : LOOK_PLAIN;
}

static void row_cell(const void *state, size_t at, int column, struct text *out)
{
    const struct case_row *row = row_of(state, at);
    const char *const cells[COLUMNS] = {
        [DATE] = row->date, [SECTION] = row->section, [WHAT] = row->what, [MARK] = row->mark};

    if (column == WHAT && ((const struct case_screen *)state)->no_section)
        case_section_add(row, out);
    text_add(out, cells[column]);
}

static const struct list_ops list = {.columns = columns,
                                     .column_count = COLUMNS,
                                     .rows = row_count,
                                     .cell = row_cell,
                                     .id = row_id,
                                     .look = row_look};

static enum status begin(struct ui *ui, void *state, const void *argument, struct error *error)
{
    (void)ui;
    (void)error;
    ((struct case_screen *)state)->casefile = *(const struct id *)argument;
    return STATUS_OK;
}

static enum status read_case(struct ui *ui, void *state, const char *folded, struct error *error)
{
    struct case_screen *screen = state;

    enum status status = case_view_read(ui->app, &screen->casefile, folded, &screen->view.arena,
                                        &screen->shown, error);
    if (status != STATUS_OK)
        screen->shown = (struct case_view){.who = "", .born = "", .stage = ""};
    return status;
}

static void add_title(struct ui *ui, const void *state, struct text *out)
{
    case_title_add(ui, &((const struct case_screen *)state)->shown, out);
}

static int draw_head(struct ui *ui, void *state, int row, int rows)
{
    struct case_screen *screen = state;

    screen->no_section = !list_shows(&screen->view.list, &ui->grid, ui->grid.columns, SECTION);
    return case_head_draw(ui, &screen->shown, row, rows);
}

static void add_hint(struct ui *ui, const void *state, size_t at, struct text *out)
{
    case_hint_add(ui, row_of(state, at), out);
}

static void open_row(struct ui *ui, void *state, size_t at)
{
    const struct case_screen *screen = state;

    case_row_open(ui, &screen->casefile, screen->shown.who, row_of(state, at));
}

static struct id the_case(const void *state, size_t row)
{
    (void)row;
    return ((const struct case_screen *)state)->casefile;
}

static const struct list_screen case_list_screen = {
    .list = &list,
    .size = sizeof(struct case_screen),
    .menu = PLACE_CASE_MENU,
    .nothing = "Nothing is recorded.",
    .nothing_found = "No record has this. / removes a character.",
    .begin = begin,
    .read = read_case,
    .title = add_title,
    .list_least = 2,
    .above = draw_head,
    .hint = add_hint,
    .open = open_row,
    .casefile = the_case,
    .one_case = true};

static enum status open(struct ui *ui, const void *argument, void **state, struct error *error)
{
    return list_screen_open(ui, &case_list_screen, argument, state, error);
}

const struct screen_ops case_screen = {LIST_SCREEN("case", open)};
