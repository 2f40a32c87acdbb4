/* SPDX-License-Identifier: GPL-3.0-or-later */
/* settings: the values of a protocol, each with its standing; a change asks why. */
#include <string.h>

#include "behind.h"
#include "springline/app/lists_settings.h"
#include "springline/ui/list_screen.h"
#include "springline/ui/screens.h"

struct settings {
    struct list_view view;
    char name[EDITOR_BYTES]; /* of the protocol; "" the practice's */
    struct setting_list settings;
};

enum column { NAME, VALUE, STANDING, USUAL, SOURCE, COLUMNS };

static const struct list_column columns[COLUMNS] = {
    [NAME] = {.head = "setting", .cells = 26},
    [VALUE] = {.head = "value", .cells = 14},
    [STANDING] = {.head = "standing", .cells = 16, .keep = 1},
    [USUAL] = {.head = "default", .cells = 16, .keep = 2, .stretch = true},
    [SOURCE] = {.head = "source", .cells = 44, .keep = LIST_LUXURY},
};

static size_t row_count(const void *state)
{
    return ((const struct settings *)state)->settings.count;
}

static const struct listed_setting *setting_at(const void *state, size_t row)
{
    return &((const struct settings *)state)->settings.rows[row];
}

static struct id row_id(const void *state, size_t row)
{
    return setting_at(state, row)->id;
}

static void row_cell(const void *state, size_t row, int column, struct text *out)
{
    const struct listed_setting *setting = setting_at(state, row);
    const char *const cells[COLUMNS] = {[NAME] = setting->name,
                                        [VALUE] = setting->value,
                                        [STANDING] = setting->standing,
                                        [USUAL] = setting->usual,
                                        [SOURCE] = setting->source};

    text_add(out, cells[column]);
}

static const struct list_ops list = {
    .columns = columns, .column_count = COLUMNS, .rows = row_count, .cell = row_cell, .id = row_id};

static enum status begin(struct ui *ui, void *state, const void *argument, struct error *error)
{
    struct settings *settings = state;
    const char *name = argument == NULL ? "" : argument;
    size_t length = strlen(name);

    (void)ui;
    if (length >= sizeof settings->name)
        return error_set(error, STATUS_NOT_FOUND, "protocol",
                         "No protocol has a name of %zu bytes.", length);
    memcpy(settings->name, name, length + 1);
    return STATUS_OK;
}

static enum status read_rows(struct ui *ui, void *state, const char *folded, struct error *error)
{
    struct settings *settings = state;

    return lists_settings(ui->app, settings->name, folded, &settings->view.arena,
                          &settings->settings, error);
}

static void add_title(struct ui *ui, const void *state, struct text *out)
{
    (void)ui;
    text_addf(out, "settings: %s", ((const struct settings *)state)->settings.title);
}

static int draw_caution(struct ui *ui, void *state, int row, int rows)
{
    struct panel panel = {0};

    (void)state;
    panel_add(&panel, LOOK_PLAIN, 0, lists_settings_caution);
    int used = panel_draw(&panel, &ui->grid, row, 0, rows, ui->grid.columns, 0);
    panel_release(&panel);
    return used;
}

static void add_hint(struct ui *ui, const void *state, size_t row, struct text *out)
{
    (void)ui;
    lists_setting_tell(setting_at(state, row), out);
    text_add(out, " Enter changes it, with a reason.");
}

static void change(struct ui *ui, void *state, size_t row)
{
    const struct settings *settings = state;
    struct form_argument argument = {.kind = FORM_SETTING,
                                     .subject = {.row = settings->settings.protocol.head.id,
                                                 .setting = setting_at(settings, row)->setting}};

    ui_push(ui, &form_screen, &argument);
}

static void command_here(struct ui *ui, void *state, enum command command, bool has_row, size_t row)
{
    struct record_argument argument = {
        .kind = RECORD_PROTOCOL,
        .record = ((const struct settings *)state)->settings.protocol.head.record};

    (void)has_row;
    (void)row;
    if (command == COMMAND_TO_WIDTH_ERROR)
        behind_width_error(ui, ((const struct settings *)state)->name);
    if (command == COMMAND_TO_HISTORY && !id_is_none(&argument.record))
        ui_push(ui, &record_screen, &argument);
}

static const struct list_screen settings_list_screen = {
    .list = &list,
    .size = sizeof(struct settings),
    .menu = PLACE_SETTINGS_MENU,
    .nothing = "The settings can not be read now.",
    .nothing_found = "No setting has this. / removes a character.",
    .begin = begin,
    .read = read_rows,
    .title = add_title,
    .above = draw_caution,
    .hint = add_hint,
    .open = change,
    .command = command_here};

static enum status open(struct ui *ui, const void *argument, void **state, struct error *error)
{
    return list_screen_open(ui, &settings_list_screen, argument, state, error);
}

const struct screen_ops settings_screen = {LIST_SCREEN("settings", open)};
