/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "case_draw.h"

#include <string.h>

#include "who.h"

enum {
    HANG = 2,
    ROOMY_ROWS = 20, /* of the terminal: below this the hint has one row */
    SMALL_ROWS = 8,  /* of the head: below this the list keeps two rows more beside its least, */
    LIST_MORE = 2,
    LIST_MORE_ROOMY = 3 /* else three; but for what must be seen */
};

/* ---- who ---- */

static void add_whole(const struct case_view *view, bool stage, struct text *out)
{
    text_addf(out, "%s  %s", view->who, view->born);
    if (stage)
        text_addf(out, "  %s", view->stage);
}

/* Does number, name and birth date stand in the title? */
static bool title_holds(struct ui *ui, const struct case_view *view, bool stage)
{
    struct text whole = {0};

    add_whole(view, stage, &whole);
    bool fits = grid_measure(&ui->grid, text_string(&whole)) <= ui_title_cells(ui);
    text_release(&whole);
    return fits;
}

void case_title_add(struct ui *ui, const struct case_view *view, struct text *out)
{
    if (title_holds(ui, view, false))
        add_whole(view, title_holds(ui, view, true), out);
    else
        who_squeeze(&ui->grid, &view->history, ui_title_cells(ui), out);
}

/* ---- the head ---- */

static int rows_of(struct ui *ui, const char *text)
{
    struct panel panel = {0};

    panel_add(&panel, LOOK_PLAIN, HANG, text);
    int rows = panel_rows(&panel, &ui->grid, ui->grid.columns);
    panel_release(&panel);
    return rows;
}

/* Rows of what must always be seen; brief: as said where there is no room. */
static int least_rows(struct ui *ui, const struct case_view *view, bool brief)
{
    int rows = 0;

    for (size_t i = 0; i < view->head_count; i++) {
        const struct case_line *line = &view->head[i];
        const char *text = brief ? line->brief : line->text;
        if (line->always && text[0] != '\0')
            rows += rows_of(ui, text);
    }
    return rows;
}

static void add_line(struct panel *panel, const struct case_line *line, const char *text)
{
    unsigned look = line->always ? LOOK_BOLD : LOOK_PLAIN;

    panel_add_marked(panel, look, HANG, text, line->word, look | LOOK_BOLD | LOOK_REVERSE, 0);
}

/* How a line is to be said: fully, in brief, or cut to one row. */
struct saying {
    bool brief, cut;
};

static void say(struct ui *ui, const struct case_line *line, struct saying saying, struct text *out)
{
    if (saying.brief && line->always)
        text_add(out, line->brief);
    else if (saying.cut && line->detail)
        text_fit(out, line->brief, ui->grid.columns, false);
    else
        text_add(out, line->text);
}

/* The lines in their order: all that must be seen, of the others those for which there are spare
 * rows. Returns the rows that would be wanted for those that are left out. */
static int add_lines(struct ui *ui, const struct case_view *view, struct saying saying, int spare,
                     struct panel *panel)
{
    struct text text = {0};
    int wanted = 0;

    for (size_t i = 0; i < view->head_count; i++) {
        const struct case_line *line = &view->head[i];
        text_clear(&text);
        say(ui, line, saying, &text);
        if (text.length == 0)
            continue;
        int rows = line->always ? 0 : rows_of(ui, text_string(&text));
        if (rows > spare) {
            wanted += rows;
            continue;
        }
        spare -= rows;
        add_line(panel, line, text_string(&text));
    }
    text_release(&text);
    return wanted;
}

/* All that must be seen as one running text: it takes the fewest rows. */
static void add_flow(const struct case_view *view, struct panel *panel)
{
    struct text flow = {0};

    for (size_t i = 0; i < view->head_count; i++) {
        if (view->head[i].always && view->head[i].brief[0] != '\0')
            text_addf(&flow, "%s%s", flow.length == 0 ? "" : " | ", view->head[i].brief);
    }
    panel_add(panel, LOOK_BOLD, 0, text_string(&flow));
    text_release(&flow);
}

/* The birth date where the title had no room for it. */
static int add_born(struct ui *ui, const struct case_view *view, struct panel *panel)
{
    struct text born = {0};

    if (title_holds(ui, view, false))
        return 0;
    text_addf(&born, "%s  %s", view->born, view->stage);
    panel_add(panel, LOOK_BOLD, HANG, text_string(&born));
    text_release(&born);
    return 1;
}

/* Who else has the case open. */
static int add_elsewhere(struct ui *ui, struct panel *panel)
{
    who_elsewhere(ui, panel);
    return ui_presence_line(ui)[0] == '\0' ? 0 : 1;
}

/* What must be seen, and what else has room; the caution line last. */
static void add_head(struct ui *ui, const struct case_view *view, bool brief, int spare,
                     struct panel *panel)
{
    int caution = rows_of(ui, app_caution);
    bool told = spare > caution;
    struct panel trial = {0};
    struct saying saying = {.brief = brief};

    spare -= told ? caution : 0;
    saying.cut = add_lines(ui, view, saying, spare, &trial) > 0;
    panel_release(&trial);
    add_lines(ui, view, saying, spare, panel);
    if (told)
        panel_add(panel, LOOK_PLAIN, 0, app_caution);
}

int case_head_draw(struct ui *ui, const struct case_view *view, int row, int rows)
{
    struct panel panel = {.below = "... all of it: * 1"};
    int budget = rows - (rows < SMALL_ROWS ? LIST_MORE : LIST_MORE_ROOMY);
    int born = add_born(ui, view, &panel) + add_elsewhere(ui, &panel);
    bool brief = born + least_rows(ui, view, false) > budget;
    int least = born + least_rows(ui, view, brief);

    if (least > rows)
        add_flow(view, &panel);
    else
        add_head(ui, view, brief, budget > least ? budget - least : 0, &panel);
    int all = panel_rows(&panel, &ui->grid, ui->grid.columns);
    int taken = panel_draw(&panel, &ui->grid, row, 0, all < rows ? all : rows, ui->grid.columns, 0);
    panel_release(&panel);
    return taken;
}

void case_section_add(const struct case_row *row, struct text *out)
{
    if (row->record != RECORD_EXPANDER && row->record != RECORD_VISIT &&
        row->record != RECORD_WIDTH)
        text_addf(out, "%s: ", row->section);
}

void case_hint_add(struct ui *ui, const struct case_row *row, struct text *out)
{
    int columns = ui->grid.columns;
    struct text whole = {0};

    text_addf(&whole, "%s%s%s: %s", row->date, row->date[0] == '\0' ? "" : " ", row->section,
              row->mark);
    if (row->more[0] != '\0')
        text_addf(&whole, " (%s)", row->more);
    text_addf(&whole, "%s%s", row->mark[0] == '\0' && row->more[0] == '\0' ? "" : "; ", row->what);
    /* Wrapped at blanks, two rows hold a little less than twice their cells. */
    text_fit(out, text_string(&whole),
             ui->grid.rows < ROOMY_ROWS ? columns : 2 * columns - columns / 8, false);
    text_release(&whole);
}
