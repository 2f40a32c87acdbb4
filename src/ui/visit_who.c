/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Who it is, on every frame of a visit: nothing that tells two children apart may be cut away. */
#include <string.h>

#include "visit_view.h"
#include "who.h"

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
    who_squeeze(grid, history, cells, &name);
    panel_add(panel, LOOK_BOLD, WHO_HANG, text_string(&name));
    text_addf(&behind, "  %s", who_behind(line) + strspn(who_behind(line), " "));
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

/* Of the lines behind the name: the alerts come first. What else is open may take one row less. */
static bool is_alert(const struct visit_sheet *sheet, size_t line)
{
    const char *alerts = sheet->history.patient->alerts;

    return line == 1 && alerts != NULL && alerts[0] != '\0';
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
                who_elsewhere(ui, &panel);
            } else {
                int rows = is_alert(&view->sheet, i) ? alert_rows : alert_rows - 1;
                who_within(&panel, &ui->grid, cells, rows, lines.line[i]);
            }
        }
    }
    int rows = panel_rows(&panel, &ui->grid, cells);
    panel_draw(&panel, &ui->grid, 0, 0, rows, cells, 0);
    panel_release(&panel);
    arena_release(&arena);
    return rows;
}
