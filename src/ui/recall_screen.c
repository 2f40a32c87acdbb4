/* SPDX-License-Identifier: GPL-3.0-or-later */
/* recall: the working list for the telephone. */
#include "springline/app/lists_call.h"
#include "springline/ui/list_screen.h"
#include "springline/ui/screens.h"

struct recall {
    struct list_view view;
    struct app *app;
    struct call_list calls;
};

static const struct list_column columns[CALL_CELL_COUNT] = {
    [CALL_CELL_CASE] = {.head = "case", .cells = 7},
    [CALL_CELL_NAME] = {.head = "name", .cells = 12, .stretch = true},
    [CALL_CELL_WHY] = {.head = "why", .cells = 20, .keep = 2},
    [CALL_CELL_LATE] = {.head = "late", .cells = 6, .keep = 1, .falling = true},
    [CALL_CELL_PHONE] = {.head = "telephone", .cells = 16, .keep = 3},
    [CALL_CELL_CONTACT] = {.head = "contact", .cells = 10, .keep = 4},
    [CALL_CELL_OUTCOME] = {.head = "outcome", .cells = 11, .keep = 6, .unsorted = true},
    [CALL_CELL_AGAIN] = {.head = "call again", .cells = 10, .keep = 5},
    [CALL_CELL_BOOKED] = {.head = "booked", .cells = 10, .keep = 8},
    [CALL_CELL_VERDICT] = {.head = "verdict", .cells = 9, .keep = 7},
};

static size_t row_count(const void *state)
{
    return ((const struct recall *)state)->calls.found_count;
}

static struct call_row *call(const void *state, size_t row)
{
    return ((const struct recall *)state)->calls.found[row];
}

static struct id row_id(const void *state, size_t row)
{
    return call(state, row)->listed->casefile;
}

static bool row_leads(const void *state, size_t row)
{
    return call(state, row)->listed->row.group == RECALL_SAFETY;
}

static unsigned row_look(const void *state, size_t row)
{
    return row_leads(state, row) ? LOOK_BOLD : LOOK_PLAIN;
}

static void row_cell(const void *state, size_t row, int column, struct text *out)
{
    const struct recall *recall = state;

    lists_call_cell(recall->app, &recall->calls, call(state, row), (enum call_cell)column, out);
}

static void read_every(const void *context)
{
    const struct recall *recall = context;

    (void)lists_recall_states(recall->app, &recall->calls.recalls, NULL);
}

static const struct list_ops list = {columns, CALL_CELL_COUNT, row_count,  row_cell,
                                     row_id,  row_look,        read_every, row_leads};

static enum status read_rows(struct ui *ui, void *state, const char *folded, struct error *error)
{
    struct recall *recall = state;
    enum status status = STATUS_OK;

    recall->app = ui->app;
    if (!recall->view.narrowing)
        status = lists_call(ui->app, &recall->calls, error);
    if (status == STATUS_OK)
        status = lists_call_find(ui->app, &recall->calls, folded, error);
    return status;
}

static void add_title(struct ui *ui, const void *state, struct text *out)
{
    const struct recall *recall = state;

    if (recall->view.search.length > 0)
        text_addf(out, "recall: %zu found", recall->calls.found_count);
    else
        lists_call_title(&recall->calls, ui_title_cells(ui), out);
}

static void add_hint(struct ui *ui, const void *state, size_t row, struct text *out)
{
    const struct recall *recall = state;
    struct error error = {0};

    if (lists_call_tell(ui->app, &recall->calls, call(state, row), out, &error) != STATUS_OK)
        text_add(out, error.sentence);
}

static void log_contact(struct ui *ui, void *state, size_t row)
{
    struct id casefile = row_id(state, row);

    screen_go(ui, COMMAND_TO_CONTACT, &casefile);
}

static void end(struct ui *ui, void *state)
{
    (void)ui;
    lists_call_release(&((struct recall *)state)->calls);
}

static const struct list_screen recall_list_screen = {
    .list = &list,
    .size = sizeof(struct recall),
    .menu = PLACE_CASES_MENU,
    .nothing = "Nobody need be called.",
    .nothing_found = "No case on this list has this. / removes a character.",
    .read = read_rows,
    .title = add_title,
    .hint = add_hint,
    .open = log_contact,
    .casefile = row_id,
    .end = end};

static enum status open(struct ui *ui, const void *argument, void **state, struct error *error)
{
    return list_screen_open(ui, &recall_list_screen, argument, state, error);
}

const struct screen_ops recall_screen = {LIST_SCREEN("recall", open)};
