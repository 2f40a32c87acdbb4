/* SPDX-License-Identifier: GPL-3.0-or-later */
/* caseload: response at a glance, then what lags, where more was given, and every other arch. */
#include "springline/app/caseload.h"
#include "springline/ui/list_screen.h"
#include "springline/ui/screens.h"

enum { ROOMY_ROWS = 20 /* of the terminal: below this the hint has two rows */ };

struct caseload {
    struct list_view view;
    struct caseload_shown shown;
};

static const struct list_column columns[CASELOAD_CELL_COUNT] = {
    [CASELOAD_CELL_CASE] = {.head = "case", .cells = 7},
    [CASELOAD_CELL_NAME] = {.head = "name", .cells = 8, .stretch = true, .wish = 14},
    [CASELOAD_CELL_ARCH] = {.head = "arch", .cells = 5},
    [CASELOAD_CELL_KIND] = {.head = "why", .cells = 11},
    [CASELOAD_CELL_RESPONSE] = {.head = "mm/mm", .cells = 6, .keep = 1, .right = true},
    [CASELOAD_CELL_GAIN] = {.head = "width", .cells = 6, .keep = 2, .right = true},
    [CASELOAD_CELL_GIVEN] =
        {.head = "given", .cells = 6, .keep = 3, .right = true, .falling = true},
    [CASELOAD_CELL_WEAR] = {.head = "wear", .cells = 12, .keep = 5},
    [CASELOAD_CELL_DATE] = {.head = "date", .cells = 10, .keep = 4, .falling = true},
};

static size_t row_count(const void *state)
{
    return ((const struct caseload *)state)->shown.found_count;
}

static const struct listed_caseload *listed(const void *state, size_t row)
{
    return ((const struct caseload *)state)->shown.found[row];
}

static struct id row_id(const void *state, size_t row)
{
    return listed(state, row)->id;
}

static struct id row_case(const void *state, size_t row)
{
    return listed(state, row)->casefile;
}

static unsigned row_look(const void *state, size_t row)
{
    return listed(state, row)->kind <= CASELOAD_TENTH ? LOOK_BOLD : LOOK_PLAIN;
}

static void row_cell(const void *state, size_t row, int column, struct text *out)
{
    caseload_cell(listed(state, row), (enum caseload_cell)column, out);
}

static const struct list_ops list = {.columns = columns,
                                     .column_count = CASELOAD_CELL_COUNT,
                                     .rows = row_count,
                                     .cell = row_cell,
                                     .id = row_id,
                                     .look = row_look};

static enum status read_rows(struct ui *ui, void *state, const char *folded, struct error *error)
{
    struct caseload *caseload = state;

    return caseload_shown_read(ui->app, &caseload->shown, folded, &caseload->view.arena, error);
}

static void add_title(struct ui *ui, const void *state, struct text *out)
{
    const struct caseload *caseload = state;
    size_t count = caseload->shown.found_count;

    (void)ui;
    text_addf(out, "Caseload: %zu %s", count,
              caseload->view.search.length > 0 ? "found"
              : count == 1                     ? "row"
                                               : "rows");
}

static int draw_glance(struct ui *ui, void *state, int row, int rows)
{
    const struct lines *glance = &((struct caseload *)state)->shown.glance;
    struct panel panel = {.below = "..."};

    for (size_t i = 0; i < glance->count; i++)
        panel_add(&panel, LOOK_PLAIN, 2, glance->line[i]);
    panel_add(&panel, LOOK_PLAIN, 0, app_caution);
    int all = panel_rows(&panel, &ui->grid, ui->grid.columns);
    int drawn = panel_draw(&panel, &ui->grid, row, 0, all < rows ? all : rows, ui->grid.columns, 0);
    panel_release(&panel);
    return drawn;
}

/* Wrapped at blanks, rows hold a little less than their cells. */
static void add_hint(struct ui *ui, const void *state, size_t row, struct text *out)
{
    int width = ui->grid.columns;
    struct text whole = {0};

    caseload_tell(listed(state, row), &whole);
    text_fit(out, text_string(&whole),
             ui->grid.rows < ROOMY_ROWS ? 2 * width - width / 8 : 4 * width, false);
    text_release(&whole);
}

static void open_row(struct ui *ui, void *state, size_t row)
{
    struct id casefile = row_case(state, row);

    ui_push(ui, &case_screen, &casefile);
}

static void end(struct ui *ui, void *state)
{
    (void)ui;
    caseload_shown_release(&((struct caseload *)state)->shown);
}

static const struct list_screen screen = {
    .list = &list,
    .size = sizeof(struct caseload),
    .menu = PLACE_CASES_MENU,
    .nothing = "No arch has been given enough, and measured since.",
    .nothing_found = "No row has this. / removes a character.",
    .read = read_rows,
    .title = add_title,
    .above = draw_glance,
    .hint = add_hint,
    .open = open_row,
    .casefile = row_case,
    .end = end};

static enum status open_list(struct ui *ui, const void *argument, void **state, struct error *error)
{
    return list_screen_open(ui, &screen, argument, state, error);
}

const struct screen_ops caseload_screen = {LIST_SCREEN("caseload", open_list)};
