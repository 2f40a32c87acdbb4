/* SPDX-License-Identifier: GPL-3.0-or-later */
/* log: who signed in, failed to, was refused, took data out; newest first. */
#include "springline/app/case_view.h"
#include "springline/app/lists_log.h"
#include "springline/ui/list_screen.h"
#include "springline/ui/screens.h"

enum { ROWS_MOST = 5000 }; /* older ones are found by searching, and by springline log */

struct log_view {
    struct list_view view;
    struct log_list log;
};

enum column { AT, WHAT, LOGIN, COMMAND_CELL, ABOUT, DETAIL, BY, SEAT, COLUMNS };

static const struct list_column columns[COLUMNS] = {
    [AT] = {.head = "UTC", .cells = 19, .falling = true},
    [WHAT] = {.head = "what", .cells = 14},
    [LOGIN] = {.head = "login", .cells = 8, .keep = 1},
    [COMMAND_CELL] = {.head = "command", .cells = 12, .keep = 3},
    [ABOUT] = {.head = "about", .cells = 8, .keep = 4},
    [DETAIL] = {.head = "detail", .cells = 12, .stretch = true, .keep = 2},
    [BY] = {.head = "by", .cells = 14, .keep = 5},
    [SEAT] = {.head = "seat", .cells = 14, .keep = 6},
};

static size_t row_count(const void *state)
{
    return ((const struct log_view *)state)->log.count;
}

static const struct listed_log *row_at(const void *state, size_t row)
{
    return &((const struct log_view *)state)->log.rows[row];
}

static struct id row_id(const void *state, size_t row)
{
    return row_at(state, row)->id;
}

static void row_cell(const void *state, size_t row, int column, struct text *out)
{
    const struct listed_log *logged = row_at(state, row);
    const char *const cells[COLUMNS] = {[AT] = logged->at,         [WHAT] = logged->what,
                                        [LOGIN] = logged->login,   [COMMAND_CELL] = logged->command,
                                        [ABOUT] = logged->subject, [DETAIL] = logged->detail,
                                        [BY] = logged->person,     [SEAT] = logged->seat};

    text_add(out, cells[column]);
}

static const struct list_ops list = {
    .columns = columns, .column_count = COLUMNS, .rows = row_count, .cell = row_cell, .id = row_id};

static enum status read_rows(struct ui *ui, void *state, const char *folded, struct error *error)
{
    struct log_view *view = state;
    const struct log_asked asked = {
        .from = DAY_NONE, .to = DAY_NONE, .folded = folded, .most = ROWS_MOST};

    return lists_log(ui->app, &asked, &view->view.arena, &view->log, error);
}

static void add_title(struct ui *ui, const void *state, struct text *out)
{
    const struct log_view *view = state;

    (void)ui;
    text_addf(out, "log: %s%zu%s", view->log.more ? "the newest " : "", view->log.count,
              view->view.search.length > 0 ? " found" : "");
}

static void add_hint(struct ui *ui, const void *state, size_t row, struct text *out)
{
    const struct listed_log *logged = row_at(state, row);

    (void)ui;
    text_addf(out, "%s UTC %s", logged->at, logged->what);
    if (logged->login[0] != '\0')
        text_addf(out, ", login %s", logged->login);
    if (logged->seat[0] != '\0')
        text_addf(out, ", at %s", logged->seat);
    if (logged->detail[0] != '\0')
        text_addf(out, ": %s", logged->detail);
}

static enum status fill_row(struct ui *ui, const void *subject, struct arena *arena,
                            struct lines *lines, struct error *error)
{
    return case_view_record(ui->app, RECORD_ACCESS, subject, arena, lines, error);
}

static void open_row(struct ui *ui, void *state, size_t row)
{
    const struct id id = row_id(state, row);
    const struct text_argument argument = {.fill = fill_row, .subject = &id, .size = sizeof id};

    ui_push(ui, &text_screen, &argument);
}

static const struct list_screen log_list_screen = {
    .list = &list,
    .size = sizeof(struct log_view),
    .nothing = "Nothing is in the log yet.",
    .nothing_found = "No row of the log has this. / removes a character.",
    .read = read_rows,
    .title = add_title,
    .hint = add_hint,
    .open = open_row};

static enum status open(struct ui *ui, const void *argument, void **state, struct error *error)
{
    return list_screen_open(ui, &log_list_screen, argument, state, error);
}

const struct screen_ops log_screen = {LIST_SCREEN("log", open)};
