/* SPDX-License-Identifier: GPL-3.0-or-later */
/* loop sheet: wire and loops typed, their stiffness below. Nothing is stored. */
#include <stdlib.h>
#include <string.h>

#include "enter.h"
#include "springline/app/loop_sheet.h"
#include "springline/ui/screens.h"

enum {
    LABEL_CELLS = 20,
    VALUE_CELLS = 12,
    FIELDS_AT = 1,
    ROOMY_ROWS = 14, /* from here on every field stands; below, the one being typed and the next */
    FEW_FIELDS = 2,
    BELOW_ROWS = 6 /* for what follows from the fields, before there is room for the caution */
};

struct loop_view {
    struct loop_sheet sheet;
    char typed[LOOP_FIELD_COUNT][EDITOR_BYTES];
    struct enter enter;
    int focus;
    struct panel panel; /* what follows from what was typed */
    struct pages pages;
};

static void focus_on(struct loop_view *view, int field)
{
    view->focus = field;
    editor_set(&view->enter.editor, view->typed[field], 0, true);
}

/* Works the panel out anew. */
static enum status tell(struct loop_view *view, struct error *error)
{
    struct arena arena = {0};
    struct lines lines = {0};

    enum status status = loop_sheet_tell(&view->sheet, &arena, &lines, error);
    panel_clear(&view->panel);
    for (size_t i = 0; i < lines.count && status == STATUS_OK; i++)
        panel_add(&view->panel, i == 0 ? LOOK_BOLD : LOOK_PLAIN, 2, lines.line[i]);
    arena_release(&arena);
    return view->panel.failed ? error_no_memory(error) : status;
}

static void loop_close(struct ui *ui, void *state)
{
    struct loop_view *view = state;

    (void)ui;
    panel_release(&view->panel);
    free(view);
}

static enum status loop_open(struct ui *ui, const void *argument, void **state, struct error *error)
{
    struct loop_view *view = calloc(1, sizeof *view);

    (void)argument;
    if (view == NULL)
        return error_no_memory(error);
    loop_sheet_begin(&view->sheet);
    enter_begin(ui, &view->enter);
    view->enter.mode = MODE_FIELDS;
    focus_on(view, LOOP_FIELD_WIRE);
    enum status status = tell(view, error);
    if (status != STATUS_OK) {
        loop_close(ui, view);
        return status;
    }
    *state = view;
    return STATUS_OK;
}

/* ---- drawing ---- */

static void draw_field(struct ui *ui, const struct loop_view *view, int field, int row)
{
    struct grid *grid = &ui->grid;
    int cells = grid->columns - LABEL_CELLS - 1;

    cells = cells < VALUE_CELLS ? cells : VALUE_CELLS;
    grid_put(grid, row, 0, LABEL_CELLS, LOOK_PLAIN, loop_sheet_label((enum loop_field)field));
    if (field == view->focus)
        editor_draw(&view->enter.editor, grid, row, LABEL_CELLS, cells, LOOK_REVERSE);
    else
        grid_put(grid, row, LABEL_CELLS, cells, LOOK_BOLD, view->typed[field]);
}

static void loop_draw(struct ui *ui, void *state, int rows)
{
    struct loop_view *view = state;
    int shown = rows < ROOMY_ROWS ? FEW_FIELDS : LOOP_FIELD_COUNT;
    int first = rows < ROOMY_ROWS ? view->focus : 0;
    int below = FIELDS_AT + shown, bottom = rows;

    if (rows - below - enter_caution_rows(ui) >= BELOW_ROWS)
        bottom = enter_caution_draw(ui, rows);
    pages_draw(ui, &view->panel, &view->pages, below, bottom - below);
    grid_put(&ui->grid, 0, 0, ui_title_cells(ui), LOOK_BOLD, "loop sheet, in mm: a bench aid");
    for (int i = 0; i < shown; i++)
        draw_field(ui, view, (first + i) % LOOP_FIELD_COUNT, FIELDS_AT + i);
}

/* ---- keys ---- */

/* Takes what stands in the focused field; false: it was refused and stands there still. */
static bool take(struct ui *ui, struct loop_view *view)
{
    char sentence[200];
    struct error error = {0};
    enum loop_field field = (enum loop_field)view->focus;

    memcpy(view->typed[field], view->enter.editor.text, view->enter.editor.length + 1);
    bool taken = loop_sheet_enter(&view->sheet, field, view->typed[field], sentence) == ENTRY_TAKEN;
    if (!taken)
        ui_say(ui, "%s", sentence);
    if (tell(view, &error) != STATUS_OK)
        ui_say_error(ui, &error);
    return taken;
}

static void go(struct ui *ui, struct loop_view *view, int by)
{
    if (take(ui, view))
        focus_on(view, (view->focus + by + LOOP_FIELD_COUNT) % LOOP_FIELD_COUNT);
    else
        view->enter.editor.fresh = true;
}

/* A pasted line break takes the value and goes on. */
static void type_character(struct ui *ui, struct loop_view *view, const struct key *key)
{
    if (key->press == PRESS_NONE && !key->control)
        editor_insert(&view->enter.editor, key->character);
    else if (key->press != PRESS_NONE && key->pasted)
        go(ui, view, 1);
}

static void loop_command(struct ui *ui, void *state, enum command command, const struct key *key)
{
    struct loop_view *view = state;

    enter_strike(&view->enter, key);
    switch ((int)command) {
    case COMMAND_BACK:
        ui_pop(ui);
        break;
    case COMMAND_ACCEPT:
        go(ui, view, 1);
        break;
    case COMMAND_FIELD_BACK:
        go(ui, view, -1);
        break;
    case COMMAND_PAGE_NEXT:
    case COMMAND_PAGE_PREVIOUS:
        pages_turn(&view->pages, command);
        break;
    case COMMAND_LESS:
        editor_command(&view->enter.editor, COMMAND_RUB_OUT);
        break;
    case COMMAND_MORE:
    case COMMAND_SAME:
        ui_say(ui, "Type the length in mm; nothing is recorded or offered here.");
        break;
    case COMMAND_NONE:
        type_character(ui, view, key);
        break;
    default:
        editor_command(&view->enter.editor, command);
        break;
    }
}

static unsigned loop_places(const void *state)
{
    return enter_places(&((const struct loop_view *)state)->enter, false);
}

static bool loop_takes_text(const void *state, const struct key *key)
{
    (void)state;
    (void)key;
    return false;
}

static bool loop_ignores(const struct ui *ui, const void *state, const struct key *key)
{
    return enter_ignores(ui, &((const struct loop_view *)state)->enter, key);
}

static void loop_hint(struct ui *ui, const void *state, struct text *out)
{
    const struct loop_view *view = state;

    (void)ui;
    text_addf(out, "%s: %s", loop_sheet_label((enum loop_field)view->focus),
              loop_sheet_help((enum loop_field)view->focus));
}

const struct screen_ops loop_screen = {.name = "loop sheet",
                                       .open = loop_open,
                                       .close = loop_close,
                                       .draw = loop_draw,
                                       .places = loop_places,
                                       .takes_text = loop_takes_text,
                                       .ignores = loop_ignores,
                                       .command = loop_command,
                                       .hint = loop_hint};
