/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One case of one month: its figures, each of which opens to what stands behind it. */
#include "springline/app/audit_view.h"
#include "springline/ui/list_screen.h"
#include "springline/ui/screens.h"

struct figures {
    struct list_view view;
    struct audit_argument argument;
    struct audit_case_view month;
};

enum column { NAME, VALUE, COLUMNS };

static const struct list_column columns[COLUMNS] = {
    [NAME] = {.head = "figure", .cells = 12},
    [VALUE] = {.head = "value (Enter opens it)", .cells = 20, .stretch = true},
};

static size_t row_count(const void *state)
{
    return ((const struct figures *)state)->month.count;
}

static const struct audit_figure *figure(const void *state, size_t row)
{
    return &((const struct figures *)state)->month.figures[row];
}

static struct id row_id(const void *state, size_t row)
{
    return figure(state, row)->id;
}

static unsigned row_look(const void *state, size_t row)
{
    return figure(state, row)->marked ? LOOK_BOLD : LOOK_PLAIN;
}

static void row_cell(const void *state, size_t row, int column, struct text *out)
{
    text_add(out, column == NAME ? figure(state, row)->name : figure(state, row)->value);
}

static const struct list_ops list = {columns, COLUMNS,  row_count, row_cell,
                                     row_id,  row_look, NULL,      NULL};

static enum status begin(struct ui *ui, void *state, const void *argument, struct error *error)
{
    (void)ui;
    (void)error;
    ((struct figures *)state)->argument = *(const struct audit_argument *)argument;
    return STATUS_OK;
}

static enum status read_rows(struct ui *ui, void *state, const char *folded, struct error *error)
{
    struct figures *figures = state;
    const struct audit_argument *of = &figures->argument;

    return audit_view_case_at(ui->app, &of->casefile, &of->when, folded, &figures->view.arena,
                              &figures->month, error);
}

static void add_title(struct ui *ui, const void *state, struct text *out)
{
    (void)ui;
    text_add(out, ((const struct figures *)state)->month.who);
    text_add(out, ((const struct figures *)state)->argument.when.as_of == STORE_NOW
                      ? ""
                      : ", as closed");
}

/* Why it stands in its group. */
static int draw_why(struct ui *ui, void *state, int row, int rows)
{
    struct panel panel = {.below = "..."};

    panel_add(&panel, LOOK_PLAIN, 0, ((const struct figures *)state)->month.line);
    int drawn = panel_draw(&panel, &ui->grid, row, 0, rows, ui->grid.columns, 0);
    panel_release(&panel);
    return drawn;
}

static void add_hint(struct ui *ui, const void *state, size_t row, struct text *out)
{
    const struct audit_figure *at = figure(state, row);

    (void)ui;
    text_addf(out, "%s: %s", at->name, at->value);
}

struct behind {
    struct audit_argument argument;
    struct id figure;
};

static enum status fill_behind(struct ui *ui, const void *subject, struct arena *arena,
                               struct lines *lines, struct error *error)
{
    const struct behind *behind = subject;

    return audit_view_behind_at(ui->app, &behind->argument.casefile, &behind->argument.when,
                                &behind->figure, arena, lines, error);
}

static void open_row(struct ui *ui, void *state, size_t row)
{
    const struct figures *figures = state;
    const struct audit_figure *at = figure(state, row);
    struct record_argument record = {.casefile = at->owner, .kind = at->record, .record = at->row};
    struct behind behind = {figures->argument, at->id};
    struct text_argument text = {at->name, fill_behind, &behind, sizeof behind, figures->month.who};

    if (at->opens == AUDIT_OPENS_RECORD)
        ui_push(ui, &record_screen, &record);
    else if (at->opens == AUDIT_OPENS_LINES)
        ui_push(ui, &text_screen, &text);
    else
        ui_say(ui, "Nothing stands behind it: there was none.");
}

static struct id row_case(const void *state, size_t row)
{
    (void)row;
    return ((const struct figures *)state)->argument.casefile;
}

static const struct list_screen screen = {.list = &list,
                                          .size = sizeof(struct figures),
                                          .menu = PLACE_CASES_MENU,
                                          .nothing = "There is no figure of this case.",
                                          .nothing_found = "No figure has this.",
                                          .begin = begin,
                                          .read = read_rows,
                                          .title = add_title,
                                          .above = draw_why,
                                          .hint = add_hint,
                                          .open = open_row,
                                          .casefile = row_case};

static enum status open_list(struct ui *ui, const void *argument, void **state, struct error *error)
{
    return list_screen_open(ui, &screen, argument, state, error);
}

const struct screen_ops audit_case_screen = {LIST_SCREEN("audit of a case", open_list)};
