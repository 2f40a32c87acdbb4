/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Who it is, on every frame of a visit: nothing that tells two children apart may be cut away. */
#include <string.h>

#include "visit_view.h"

enum { WHO_HANG = 2, FAMILY_LEAST = 8 };

static int rows_of(struct grid *grid, int cells, const char *line)
{
    struct panel panel = {0};

    panel_add(&panel, LOOK_BOLD, WHO_HANG, line);
    int rows = panel_rows(&panel, grid, cells);
    panel_release(&panel);
    return rows;
}

/* Adds a line in at most rows rows; what is too much is cut, and marked so. */
static void add_within(struct panel *panel, struct grid *grid, int cells, int rows,
                       const char *line)
{
    struct text text = {0};

    text_add(&text, line);
    for (int most = cells * rows; rows_of(grid, cells, text_string(&text)) > rows && most > 1;
         most--) {
        text_clear(&text);
        text_fit(&text, line, most, false);
    }
    panel_add(panel, LOOK_BOLD, WHO_HANG, text_string(&text));
    text_release(&text);
}

/* What stands behind the name: the birth date. */
static const char *behind_name(const char *line)
{
    const char *last = line;

    for (const char *at = strstr(line, "  "); at != NULL; at = strstr(at + 1, "  "))
        last = at;
    return last;
}

/* "C-0007  Fam~, Given" in cells: a long family name makes room for the given name. */
static void squeeze_name(struct grid *grid, const struct history *history, int cells,
                         struct text *out)
{
    struct text family = {0}, given = {0};

    text_add_shown(&family, history->patient->family);
    text_add_shown(&given, history->patient->given);
    text_addf(out, "%s  ", history->casefile->number);
    int room = cells - grid_measure(grid, text_string(out)) - 2; /* the comma and its blank */
    int least = grid_measure(grid, text_string(&family));
    int given_cells = grid_measure(grid, text_string(&given));
    least = least < FAMILY_LEAST ? least : FAMILY_LEAST;
    given_cells = given_cells < room - least ? given_cells : room - least;
    text_fit(out, text_string(&family), room - given_cells, false);
    text_add(out, ", ");
    text_fit(out, text_string(&given), given_cells, false);
    text_release(&family);
    text_release(&given);
}

/* As many words as fit into the first row, beside the badge; the rest in whole rows below. */
static void add_whole(struct panel *panel, struct grid *grid, int cells, const char *line)
{
    const char *piece = line;
    size_t length = 0;
    struct text text = {0};

    const char *rest = panel_wrap(grid, line, cells, &piece, &length);
    text_append(&text, piece, length);
    panel_add(panel, LOOK_BOLD, WHO_HANG, text_string(&text));
    if (rest != NULL && *rest != '\0') {
        text_clear(&text);
        text_addf(&text, "  %s", rest);
        panel_add(panel, LOOK_BOLD, WHO_HANG, text_string(&text));
    }
    text_release(&text);
}

/* In one piece, wrapped, where that takes at most rows rows; else the name in one of them. */
static void add_name(struct panel *panel, struct grid *grid, const struct history *history,
                     int cells, int rows, const char *line)
{
    struct text name = {0}, behind = {0};

    add_whole(panel, grid, cells, line);
    if (panel_rows(panel, grid, grid->columns) <= rows)
        return;
    panel_clear(panel);
    squeeze_name(grid, history, cells, &name);
    panel_add(panel, LOOK_BOLD, WHO_HANG, text_string(&name));
    text_addf(&behind, "  %s", behind_name(line) + strspn(behind_name(line), " "));
    panel_add(panel, LOOK_BOLD, WHO_HANG, text_string(&behind));
    text_release(&name);
    text_release(&behind);
}

static void add_day(struct panel *panel, const struct ui *ui, const struct visit_sheet *sheet)
{
    char date[DAY_TEXT_SIZE];
    struct text text = {0};

    if (sheet->date == ui->app->today)
        return;
    text_addf(&text, "  visit of %s, not of today", day_to_text(sheet->date, date));
    panel_add_marked(panel, LOOK_BOLD, WHO_HANG, text_string(&text), "visit of",
                     LOOK_BOLD | LOOK_REVERSE, 0);
    text_release(&text);
}

int visit_who_draw(struct ui *ui, struct visit_view *view, int name_rows, int alert_rows)
{
    struct panel panel = {0};
    struct arena arena = {0};
    struct lines lines = {0};
    int cells = ui->grid.columns;

    if (visit_lines_who(ui->app, &view->sheet, &arena, &lines) == STATUS_OK) {
        for (size_t i = 0; i < lines.count; i++) {
            if (i == 0) {
                add_name(&panel, &ui->grid, &view->sheet.history, ui_title_cells(ui), name_rows,
                         lines.line[0]);
                add_day(&panel, ui, &view->sheet);
            } else {
                add_within(&panel, &ui->grid, cells, alert_rows, lines.line[i]);
            }
        }
    }
    int rows = panel_rows(&panel, &ui->grid, cells);
    panel_draw(&panel, &ui->grid, 0, 0, rows, cells, 0);
    panel_release(&panel);
    arena_release(&arena);
    return rows;
}
