/* SPDX-License-Identifier: GPL-3.0-or-later */
/* audit: the month at a glance, then case by case, who does not comply first. */
#include "audit_month.h"
#include "springline/ui/list_screen.h"
#include "springline/ui/screens.h"

struct audit {
    struct list_view view;
    struct audit_shown shown;
};

static const struct list_column columns[AUDIT_CELL_COUNT] = {
    [AUDIT_CELL_CASE] = {.head = "case", .cells = 7},
    [AUDIT_CELL_NAME] = {.head = "name", .cells = 12, .stretch = true, .wish = 18},
    [AUDIT_CELL_GROUP] = {.head = "group", .cells = 12},
    [AUDIT_CELL_MET] = {.head = "met", .cells = 6, .keep = 1, .right = true},
    [AUDIT_CELL_SHARE] = {.head = "share", .cells = 5, .keep = 2, .right = true},
    [AUDIT_CELL_INTERVAL] = {.head = "95 %", .cells = 8, .keep = 3, .right = true},
    [AUDIT_CELL_CHANGE] = {.head = "change", .cells = 7, .keep = 4, .right = true},
    [AUDIT_CELL_SOURCE] = {.head = "source", .cells = 6, .keep = 5},
    [AUDIT_CELL_OVERRIDES] =
        {.head = "over", .cells = 4, .keep = 6, .right = true, .falling = true},
    [AUDIT_CELL_MISSED] = {.head = "miss", .cells = 4, .keep = 7, .right = true, .falling = true},
    [AUDIT_CELL_HOLDS] = {.head = "hold", .cells = 4, .keep = 8, .right = true, .falling = true},
    [AUDIT_CELL_RUN] = {.head = "run", .cells = 3, .keep = 9, .right = true, .falling = true},
    [AUDIT_CELL_VISITS] = {.head = "vis", .cells = 3, .keep = 10, .right = true, .falling = true},
    [AUDIT_CELL_REDUCTIONS] =
        {.head = "red", .cells = 3, .keep = 11, .right = true, .falling = true},
    [AUDIT_CELL_RESTS] = {.head = "rest", .cells = 4, .keep = 12, .right = true, .falling = true},
    [AUDIT_CELL_CLINICIAN] = {.head = "clinician", .cells = 24, .keep = 13},
};

static size_t row_count(const void *state)
{
    return ((const struct audit *)state)->shown.found_count;
}

static const struct listed_audit *listed(const void *state, size_t row)
{
    return ((const struct audit *)state)->shown.found[row];
}

static struct id row_id(const void *state, size_t row)
{
    return listed(state, row)->casefile;
}

static unsigned row_look(const void *state, size_t row)
{
    return listed(state, row)->row.group == AUDIT_BELOW ? LOOK_BOLD : LOOK_PLAIN;
}

static void row_cell(const void *state, size_t row, int column, struct text *out)
{
    audit_view_cell(listed(state, row), (enum audit_cell)column, out);
}

static const struct list_ops list = {columns, AUDIT_CELL_COUNT, row_count, row_cell,
                                     row_id,  row_look,         NULL,      NULL};

static enum status begin(struct ui *ui, void *state, const void *argument, struct error *error)
{
    (void)argument;
    (void)error;
    audit_shown_begin(&((struct audit *)state)->shown, ui->app->today);
    return STATUS_OK;
}

static void end(struct ui *ui, void *state)
{
    (void)ui;
    audit_shown_release(&((struct audit *)state)->shown);
}

static enum status read_rows(struct ui *ui, void *state, const char *folded, struct error *error)
{
    return audit_shown_read(ui->app, &((struct audit *)state)->shown, folded,
                            &((struct audit *)state)->view.arena, error);
}

static void add_title(struct ui *ui, const void *state, struct text *out)
{
    const struct audit *audit = state;

    (void)ui;
    audit_shown_title(&audit->shown, audit->view.search.length > 0, out);
    text_add(out, "  Left/Right");
}

static int draw_glance(struct ui *ui, void *state, int row, int rows)
{
    const struct lines *glance = &((struct audit *)state)->shown.glance;
    int count = rows < (int)glance->count ? rows : (int)glance->count;

    for (int i = 0; i < count; i++)
        grid_put(&ui->grid, row + i, 0, ui->grid.columns, LOOK_PLAIN, glance->line[i]);
    return count;
}

static void add_hint(struct ui *ui, const void *state, size_t row, struct text *out)
{
    (void)ui;
    audit_view_tell(listed(state, row), out);
}

static void open_row(struct ui *ui, void *state, size_t row)
{
    const struct audit *audit = state;

    ui_push(ui, &audit_case_screen,
            &(struct audit_argument){row_id(state, row), audit_shown_when(&audit->shown)});
}

static void do_command(struct ui *ui, void *state, enum command command, bool has_row, size_t row)
{
    struct audit *audit = state;

    (void)has_row;
    (void)row;
    if (audit_month_command(ui, &audit->shown, command))
        list_screen_read(ui, audit);
}

static const struct list_screen screen = {
    .list = &list,
    .size = sizeof(struct audit),
    .menu = PLACE_CASES_MENU | PLACE_AUDIT_MENU,
    .places = PLACE_MONTH,
    .nothing = "No case is accounted for in this month. Left and Right change the month.",
    .nothing_found = "No case of the month has this. / removes a character.",
    .begin = begin,
    .read = read_rows,
    .title = add_title,
    .above = draw_glance,
    .hint = add_hint,
    .open = open_row,
    .casefile = row_id,
    .command = do_command,
    .end = end};

static enum status open_list(struct ui *ui, const void *argument, void **state, struct error *error)
{
    return list_screen_open(ui, &screen, argument, state, error);
}

const struct screen_ops audit_screen = {LIST_SCREEN("audit", open_list)};
