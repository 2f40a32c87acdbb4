/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The picture of what was saved meanwhile: what happened, each save with its rows, then the fields.
 * Where there is room a field is one row (before, mine, theirs, what is taken); else, and where a
 * value is long, its values stand below it. All of it wraps and turns by the page.
 */
#include <string.h>

#include "conflict_view.h"
#include "who.h"

enum {
    WIDE_COLUMNS = 80,
    LABEL_CELLS = 20,
    WORD_CELLS = 6,
    GAPS = 6,     /* the mark of the focus and the gaps between five columns */
    HANG_ROWS = 4 /* of a value that wraps */
};

struct columns {
    bool wide;
    int value; /* cells of one of the three values */
};

static const char *word_of(const struct conflict_field *field)
{
    static const char *const words[] = {
        [TAKE_OPEN] = "?", [TAKE_MINE] = "mine", [TAKE_THEIRS] = "theirs", [TAKE_SAME] = "same"};

    return words[field->take];
}

/* ---- one row a field ---- */

static bool fits(struct ui *ui, const struct conflict_field *field, const struct columns *columns)
{
    struct grid *grid = &ui->grid;

    return columns->wide && grid_measure(grid, field->label) <= LABEL_CELLS &&
           grid_measure(grid, field->before) <= columns->value &&
           grid_measure(grid, field->mine) <= columns->value &&
           grid_measure(grid, field->theirs) <= columns->value;
}

static void add_row(struct panel *panel, const struct columns *columns, unsigned look,
                    const char *mark, const char *const cells[5])
{
    struct text row = {0};

    text_add(&row, mark);
    text_fit(&row, cells[0], LABEL_CELLS, true);
    for (int i = 1; i < 4; i++) {
        text_add(&row, " ");
        text_fit(&row, cells[i], columns->value, true);
    }
    text_addf(&row, " %s", cells[4]);
    panel_add(panel, look, HANG_ROWS, text_string(&row));
    text_release(&row);
}

static void add_one_row(struct panel *panel, const struct columns *columns,
                        const struct conflict_field *field, bool focused)
{
    const char *const cells[5] = {field->label, field->before, field->mine, field->theirs,
                                  word_of(field)};

    add_row(panel, columns, field->both ? LOOK_BOLD : LOOK_PLAIN, focused ? "> " : "  ", cells);
}

/* ---- a few rows a field ---- */

static const char *taken_of(const struct conflict_field *field)
{
    static const char *const words[] = {[TAKE_OPEN] = "changed at both seats: 1 or 2?",
                                        [TAKE_MINE] = "mine is taken",
                                        [TAKE_THEIRS] = "theirs is taken",
                                        [TAKE_SAME] = "the same at both seats"};

    return words[field->take];
}

static void add_value(struct panel *panel, const char *label, const char *value)
{
    struct text row = {0};

    text_addf(&row, "    %s%s", label, value);
    panel_add(panel, LOOK_PLAIN, HANG_ROWS + 2, text_string(&row));
    text_release(&row);
}

static void add_rows(struct panel *panel, const struct conflict_field *field, bool focused)
{
    struct text head = {0};

    text_addf(&head, "%s %s: %s", focused ? ">" : " ", field->label, taken_of(field));
    panel_add(panel, field->both ? LOOK_BOLD : LOOK_PLAIN, 2, text_string(&head));
    text_release(&head);
    add_value(panel, "before: ", field->before);
    add_value(panel, field->both ? "1 mine: " : "mine: ", field->mine);
    add_value(panel, field->both ? "2 theirs: " : "theirs: ", field->theirs);
}

/* ---- all of it ---- */

/* Whose record it is, and who saved theirs: once for the fields that have the same. */
static void add_heading(struct panel *panel, const struct conflict_field *field)
{
    struct text heading = {0};

    text_add(&heading, field->record);
    if (field->by[0] != '\0')
        text_addf(&heading, "; theirs: %s", field->by);
    panel_add(panel, LOOK_BOLD, 2, text_string(&heading));
    text_release(&heading);
}

/* What only this seat changed stands under any heading of its record. */
static bool needs_heading(const struct conflict_field *under, const struct conflict_field *field)
{
    return under == NULL || strcmp(field->record, under->record) != 0 ||
           (field->by[0] != '\0' && strcmp(field->by, under->by) != 0);
}

/* The rows from *first to before *end are the focused field's. */
static void add_fields(struct ui *ui, const struct conflict_view *view, struct panel *panel,
                       int *first, int *end)
{
    static const char *const heads[5] = {"", "before", "1 mine", "2 theirs", "taken"};
    const struct conflict *conflict = view->argument.conflict;
    const struct conflict_field *under = NULL; /* which heading */
    int columns = ui->grid.columns;
    struct columns shape = {.wide = columns >= WIDE_COLUMNS,
                            .value = (columns - LABEL_CELLS - WORD_CELLS - GAPS) / 3};

    for (int i = 0; i < conflict->field_count; i++) {
        const struct conflict_field *field = &conflict->fields[i];
        if (needs_heading(under, field)) {
            add_heading(panel, field);
            under = field;
        }
        if (i == 0 && shape.wide)
            add_row(panel, &shape, LOOK_PLAIN, "  ", heads);
        if (i == view->focus)
            *first = panel_rows(panel, &ui->grid, columns);
        if (fits(ui, field, &shape))
            add_one_row(panel, &shape, field, i == view->focus);
        else
            add_rows(panel, field, i == view->focus);
        if (i == view->focus)
            *end = panel_rows(panel, &ui->grid, columns);
    }
}

static void add_saved(const struct conflict_view *view, struct panel *panel)
{
    const struct lines *saved = view->argument.saved;

    panel_add(panel, LOOK_BOLD, 0, view->argument.sentence);
    for (size_t i = 0; i < saved->count; i++)
        panel_add(panel, LOOK_PLAIN, saved->line[i][0] == ' ' ? 4 : 2, saved->line[i]);
    if (view->argument.conflict != NULL)
        panel_add(panel, LOOK_BOLD, 0, view->argument.conflict->stuck);
}

static void draw_title(struct ui *ui, const struct conflict_view *view)
{
    const struct history *history = view->argument.history;
    struct text title = {0};

    if (history->casefile != NULL && history->patient != NULL)
        who_squeeze(&ui->grid, history, ui_title_cells(ui), &title);
    else
        text_add(&title, "Saved meanwhile");
    grid_put(&ui->grid, 0, 0, ui_title_cells(ui), LOOK_BOLD, text_string(&title));
    text_release(&title);
}

/* Scrolls the focused field into sight, below the row that says that more is above. */
static void follow(struct conflict_view *view, int first, int end, int rows)
{
    int top = view->pages.top;

    if (end > top + rows - 1)
        top = end - rows + 1;
    if (first < top + 1)
        top = first - 1;
    view->pages.top = top < 0 ? 0 : top;
    view->follow = false;
}

void conflict_view_draw(struct ui *ui, void *state, int rows)
{
    struct conflict_view *view = state;
    struct panel panel = {.below = "more below: . or PageDown"};
    int first = 0, end = 0, box = rows - 1;

    add_saved(view, &panel);
    if (view->argument.conflict != NULL)
        add_fields(ui, view, &panel, &first, &end);
    panel_add(&panel, LOOK_PLAIN, 0, app_caution);
    draw_title(ui, view);
    if (view->follow && view->focus >= 0)
        follow(view, first, end, box);
    pages_draw(ui, &panel, &view->pages, 1, box);
    view->read = view->read || view->pages.at_end;
    int at = first - view->pages.top, room = box - (view->pages.at_end ? 0 : 1);
    bool begins = at >= (view->pages.top > 0 ? 1 : 0) && at < room;
    view->focus_seen =
        view->focus >= 0 && begins && (end - view->pages.top <= room || end - first > box - 2);
    grid_cursor(&ui->grid, view->focus_seen ? 1 + at : 1, 0);
    panel_release(&panel);
}
