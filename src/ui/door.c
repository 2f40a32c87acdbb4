/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "door.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "springline/app/secret.h"
#include "springline/ui/panel.h"

enum { LABEL_CELLS_MOST = 20, FIELD_CELLS_LEAST = 12 };

static bool is_asked(const struct door *door, int field)
{
    return door->kind->asked == NULL || door->kind->asked(door, field);
}

/* The next field asked in a direction; -1 or field_count: there is none. */
static int step(const struct door *door, int field, int direction)
{
    do
        field += direction;
    while (field >= 0 && field < door->kind->field_count && !is_asked(door, field));
    return field;
}

static enum door_input input_of(const struct door *door)
{
    return door->kind->fields[door->focus].input;
}

const char *door_text(const struct door *door, int field)
{
    return door->entered[field].text;
}

/* ---- opening, closing ---- */

enum status door_open(struct ui *ui, const struct door_kind *kind, const char *told, void **state,
                      struct error *error)
{
    struct door *door = calloc(1, sizeof *door);

    if (door == NULL)
        return error_no_memory(error);
    door->kind = kind;
    door->focus = step(door, -1, 1);
    door->asked_at_ms = ui_now_ms(ui);
    snprintf(door->told, sizeof door->told, "%s", told);
    for (int i = 0; i < DOOR_FIELDS_MAX; i++)
        editor_set(&door->entered[i], "", PASSPHRASE_MOST, false);
    *state = door;
    return STATUS_OK;
}

void door_close(struct ui *ui, void *state)
{
    (void)ui;
    secret_wipe(state, sizeof(struct door));
    free(state);
}

void door_ask_again(struct ui *ui, struct door *door, int field)
{
    for (int i = field; i < door->kind->field_count; i++) {
        if (door->kind->fields[i].input != DOOR_SECRET)
            continue;
        secret_wipe(&door->entered[i], sizeof door->entered[i]);
        editor_set(&door->entered[i], "", PASSPHRASE_MOST, false);
    }
    door->focus = is_asked(door, field) ? field : step(door, field, 1);
    door->asked_at_ms = ui_now_ms(ui);
}

bool door_same(struct ui *ui, struct door *door, int field, int again)
{
    if (strcmp(door_text(door, field), door_text(door, again)) == 0)
        return true;
    door_ask_again(ui, door, field);
    ui_say(ui, "The two were not the same; type both again.");
    return false;
}

/* ---- drawing ---- */

static int label_cells(const struct door *door)
{
    int most = 0;

    for (int i = 0; i < door->kind->field_count; i++) {
        int cells = is_asked(door, i) ? text_width(door->kind->fields[i].label) : 0;
        most = cells > most ? cells : most;
    }
    return most > LABEL_CELLS_MOST ? LABEL_CELLS_MOST : most;
}

/* A sign for each character; never more than there is room for. */
static void draw_secret(const struct door *door, struct grid *grid, int field, int row, int column,
                        int cells, bool focused)
{
    const struct editor *editor = &door->entered[field];
    struct text signs = {0};
    int count = 0;

    for (size_t at = 0; at < editor->length && count < cells - 1; at++) {
        if (((unsigned char)editor->text[at] & 0xC0) != 0x80)
            count++;
    }
    for (int i = 0; i < count; i++)
        text_add_byte(&signs, '*');
    grid_put_padded(grid, row, column, cells, focused ? LOOK_BOLD : LOOK_PLAIN,
                    text_string(&signs));
    if (focused)
        grid_cursor(grid, row, column + count);
    text_release(&signs);
}

static void draw_field(const struct door *door, struct grid *grid, int field, int row, int cells)
{
    bool focused = field == door->focus;
    int column = cells + 3, room = grid->columns - column;

    grid_put_padded(grid, row, 0, cells + 1, focused ? LOOK_BOLD : LOOK_PLAIN,
                    door->kind->fields[field].label);
    grid_put(grid, row, cells + 1, 1, LOOK_PLAIN, ":");
    if (door->kind->fields[field].input == DOOR_SECRET)
        draw_secret(door, grid, field, row, column, room, focused);
    else if (focused)
        editor_draw(&door->entered[field], grid, row, column, room, LOOK_BOLD);
    else
        grid_put(grid, row, column, room, LOOK_PLAIN, door_text(door, field));
}

/* The fields, the focused one always among them. */
static void draw_fields(const struct door *door, struct grid *grid, int row, int bottom)
{
    int cells = label_cells(door), before = 0, skipped = 0;

    for (int i = step(door, -1, 1); i < door->focus; i = step(door, i, 1))
        before++;
    skipped = before >= bottom - row ? before - (bottom - row) + 1 : 0;
    for (int i = step(door, -1, 1); i < door->kind->field_count && row < bottom;
         i = step(door, i, 1)) {
        if (skipped-- <= 0)
            draw_field(door, grid, i, row++, cells);
    }
}

void door_draw(struct ui *ui, void *state, int rows)
{
    const struct door *door = state;
    struct panel told = {0};
    int row = 1, most = rows - 2 > door->kind->field_count ? rows - 1 - door->kind->field_count : 1;

    grid_put(&ui->grid, 0, 0, ui_title_cells(ui), LOOK_BOLD, door->kind->title);
    if (door->told[0] != '\0') {
        panel_add(&told, LOOK_PLAIN, 0, door->told);
        row += panel_draw(&told, &ui->grid, row, 0, most, ui->grid.columns, 0);
    }
    panel_release(&told);
    if (rows - row > door->kind->field_count)
        row++; /* a line between, where there is room */
    draw_fields(door, &ui->grid, row, rows);
}

void door_hint(struct ui *ui, const void *state, struct text *out)
{
    const struct door *door = state;

    (void)ui;
    text_add(out, door->kind->fields[door->focus].help);
}

/* ---- keys ---- */

unsigned door_places(const void *state)
{
    (void)state;
    return PLACE_DOOR;
}

bool door_takes_text(const void *state, const struct key *key)
{
    const struct door *door = state;

    if (key->press != PRESS_NONE || key->control)
        return false;
    return input_of(door) == DOOR_SECRET || door->entered[door->focus].length > 0 ||
           (key->character != '?' && key->character != '/');
}

bool door_ignores(const struct ui *ui, const void *state, const struct key *key)
{
    const struct door *door = state;

    return !key->pasted && key->press == PRESS_ENTER &&
           ui_now_ms(ui) - door->asked_at_ms < UI_DEAF_MS;
}

/* To the next field, or, by Enter alone, through the door. May close it. */
static void accept(struct ui *ui, struct door *door, bool through)
{
    int next = step(door, door->focus, 1);

    if (next < door->kind->field_count)
        door->focus = next;
    else if (through)
        door->kind->done(ui, door);
}

static void type_choice(struct ui *ui, struct door *door, const struct key *key)
{
    struct editor *editor = &door->entered[door->focus];

    if (key->character != '1' && key->character != '2') {
        ui_say(ui, "Type 1 or 2.");
        return;
    }
    editor_set(editor, "", PASSPHRASE_MOST, false);
    editor_insert(editor, key->character);
    accept(ui, door, false);
}

static void type(struct ui *ui, struct door *door, const struct key *key)
{
    struct editor *editor = &door->entered[door->focus];

    if (key->press != PRESS_NONE) { /* a line break of a paste goes on, but opens no door */
        if (key->pasted)
            accept(ui, door, false);
        return;
    }
    if (key->control)
        return;
    if (input_of(door) == DOOR_CHOICE)
        type_choice(ui, door, key);
    else if (!editor_insert(editor, key->character))
        ui_say(ui, "This character can not be taken here.");
}

void door_command(struct ui *ui, void *state, enum command command, const struct key *key)
{
    struct door *door = state;

    door->asked_at_ms = INT64_MIN / 2;
    switch ((int)command) {
    case COMMAND_NONE:
        type(ui, door, key);
        break;
    case COMMAND_ACCEPT:
        accept(ui, door, key->press == PRESS_ENTER);
        break;
    case COMMAND_FIELD_BACK:
        if (step(door, door->focus, -1) >= 0)
            door->focus = step(door, door->focus, -1);
        break;
    case COMMAND_BACK:
        door->kind->leave(ui, door);
        break;
    default:
        editor_command(&door->entered[door->focus], command);
        break;
    }
}
