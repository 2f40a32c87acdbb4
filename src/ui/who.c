/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "who.h"

#include <string.h>

enum { FAMILY_LEAST = 8 };

static int rows_of(struct grid *grid, int cells, const char *line)
{
    struct panel panel = {0};

    panel_add(&panel, LOOK_BOLD, WHO_HANG, line);
    int rows = panel_rows(&panel, grid, cells);
    panel_release(&panel);
    return rows;
}

void who_within(struct panel *panel, struct grid *grid, int cells, int rows, const char *line)
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

const char *who_behind(const char *line)
{
    const char *last = line;

    for (const char *at = strstr(line, "  "); at != NULL; at = strstr(at + 1, "  "))
        last = at;
    return last;
}

void who_squeeze(struct grid *grid, const struct history *history, int cells, struct text *out)
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

void who_elsewhere(const struct ui *ui, struct panel *panel)
{
    struct text line = {0};

    if (ui_presence_line(ui)[0] == '\0')
        return;
    text_fit(&line, ui_presence_line(ui), ui->grid.columns, false);
    panel_add(panel, LOOK_BOLD, 0, text_string(&line));
    text_release(&line);
}
