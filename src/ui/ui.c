/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/ui/ui.h"

#include <stdarg.h>
#include <stdio.h>

#include "springline/app/seat.h"
#include "springline/ui/binding.h"

enum { BADGE_ROW_COLUMNS = 60, HELP_EDGE = 2 };

static const char badge_text[] = " date fixed: ";

/* ---- a store that another seat holds ---- */

/* Nothing else can be drawn now, for that might ask the store: the frame stands, and the row above
 * its footer says what is waited for. */
static void say_waiting(void *context, int32_t waited_ms)
{
    struct ui *ui = context;
    struct grid *grid = &ui->grid;
    char line[80];

    if (waited_ms / 1000 == ui->waited_s || grid->rows < 2 || grid->cells == NULL)
        return;
    ui->waited_s = waited_ms / 1000;
    snprintf(line, sizeof line, "Another seat is saving: waiting, %d s.", (int)ui->waited_s);
    grid_put_padded(grid, grid->rows - 2, 0, grid->columns, LOOK_BOLD, line);
    ui->display->ops->show(ui->display->self, grid);
}

/* ---- for screens ---- */

void ui_say(struct ui *ui, const char *format, ...)
{
    char line[512];
    va_list arguments;

    va_start(arguments, format);
    vsnprintf(line, sizeof line, format, arguments);
    va_end(arguments);
    text_clear(&ui->message);
    text_add(&ui->message, line);
}

void ui_say_error(struct ui *ui, const struct error *error)
{
    ui_say(ui, "%s", error->sentence);
}

void ui_push(struct ui *ui, const struct screen_ops *ops, const void *argument)
{
    struct error error = {0};
    void *state = NULL;

    if (ui->depth == UI_DEPTH_MAX) {
        ui_say(ui, "Too many screens are open: Esc goes back, then open it again.");
        return;
    }
    if (ops->open(ui, argument, &state, &error) != STATUS_OK) {
        ui_say_error(ui, &error);
        return;
    }
    ui->stack[ui->depth].ops = ops;
    ui->stack[ui->depth].state = state;
    ui->depth++;
}

void ui_pop(struct ui *ui)
{
    ui->depth--;
    ui->doors -= ui->doors > 0 ? 1 : 0;
    ui->stack[ui->depth].ops->close(ui, ui->stack[ui->depth].state);
    if (ui->depth > 0 && ui->stack[ui->depth - 1].ops->resume != NULL)
        ui->stack[ui->depth - 1].ops->resume(ui, ui->stack[ui->depth - 1].state);
}

void ui_leave(struct ui *ui)
{
    ui->ending = true;
}

int64_t ui_now_ms(const struct ui *ui)
{
    return ui->display->ops->now_ms(ui->display->self);
}

static int badge_cells(const struct ui *ui)
{
    return ui->app->today_fixed ? (int)sizeof badge_text - 1 + DAY_TEXT_SIZE : 0;
}

int ui_title_cells(const struct ui *ui)
{
    int badge = badge_cells(ui);

    return ui->grid.columns < BADGE_ROW_COLUMNS || badge == 0 ? ui->grid.columns
                                                              : ui->grid.columns - badge - 1;
}

/* ---- drawing ---- */

/* While SPRINGLINE_TODAY is set, on the first row, or on the last where the first is too short. */
static void draw_badge(struct ui *ui)
{
    int cells = badge_cells(ui);
    int row = ui->grid.columns < BADGE_ROW_COLUMNS ? ui->grid.rows - 1 : 0;
    char badge[48], date[DAY_TEXT_SIZE];

    if (cells == 0)
        return;
    snprintf(badge, sizeof badge, "%s%s ", badge_text, day_to_text(ui->app->today, date));
    grid_put_padded(&ui->grid, row, ui->grid.columns - cells, cells, LOOK_REVERSE, badge);
}

static void draw_footer(struct ui *ui, const struct screen_ops *ops, const void *state)
{
    struct text footer = {0};
    int badge = ui->grid.columns < BADGE_ROW_COLUMNS ? badge_cells(ui) : 0;
    int cells = ui->grid.columns - badge;

    if (ui->choosing)
        binding_footer(&footer, ui->setup.config, PLACE_CHOOSE, cells, NULL, NULL);
    else
        binding_footer(&footer, ui->setup.config, ops->places(state), cells, ops->takes_text,
                       state);
    grid_put(&ui->grid, ui->grid.rows - 1, 0, ui->grid.columns, LOOK_PLAIN, text_string(&footer));
    text_release(&footer);
}

static bool is_too_small(const struct ui *ui)
{
    return ui->grid.rows < UI_ROWS_LEAST || ui->grid.columns < UI_COLUMNS_LEAST;
}

static void draw_too_small(struct ui *ui)
{
    struct panel panel = {0};
    char line[80];

    snprintf(line, sizeof line, "Too small: %d x %d. springline needs %d x %d cells.",
             ui->grid.columns, ui->grid.rows, UI_COLUMNS_LEAST, UI_ROWS_LEAST);
    panel_add(&panel, LOOK_PLAIN, 0, line);
    panel_draw(&panel, &ui->grid, 0, 0, ui->grid.rows, ui->grid.columns, 0);
    panel_release(&panel);
}

static void draw_help(struct ui *ui)
{
    struct grid *grid = &ui->grid;
    int rows = grid->rows - HELP_EDGE;
    int all = panel_rows(&ui->help, grid, grid->columns);

    if (ui->help_top > all - rows)
        ui->help_top = all - rows;
    if (ui->help_top < 0)
        ui->help_top = 0;
    grid_put(grid, 0, 0, grid->columns, LOOK_BOLD, "Keys that work here");
    panel_draw(&ui->help, grid, 1, 0, rows, grid->columns, ui->help_top);
    grid_put(grid, grid->rows - 1, 0, grid->columns, LOOK_PLAIN,
             "Up Down PageUp PageDown scroll  any other key back");
    grid_cursor(grid, 0, 0);
}

/* The message or the hint; a question stands there beside any message, because the next key
 * answers it. */
static void fill_bottom(struct ui *ui, const struct screen_ops *ops, void *state, bool question,
                        struct panel *panel)
{
    struct text hint = {0};

    if (question || ui->message.length == 0) {
        ops->hint(ui, state, &hint);
        panel_add(panel, question ? LOOK_BOLD : LOOK_PLAIN, 0, text_string(&hint));
    }
    if (ui->message.length > 0)
        panel_add(panel, LOOK_BOLD, 0, text_string(&ui->message));
    text_release(&hint);
}

/* What stands above the footer, and the footer. Returns the rows left above it. */
static int draw_bottom(struct ui *ui, const struct screen_ops *ops, void *state)
{
    struct grid *grid = &ui->grid;
    struct panel panel = {.below = "..."};
    bool question = (ops->places(state) & (PLACE_ASK | PLACE_SURE)) != 0;
    int most = grid->rows / (question ? 2 : 3), least = grid->rows < 20 ? 1 : 2;

    fill_bottom(ui, ops, state, question, &panel);
    int rows = panel_rows(&panel, grid, grid->columns);
    rows = rows > most ? most : rows < least ? least : rows;
    int top = grid->rows - 1 - rows;
    panel_draw(&panel, grid, top, 0, rows, grid->columns, 0);
    panel_release(&panel);
    draw_footer(ui, ops, state);
    grid_cursor(grid, top, 0);
    return top;
}

static void draw_screen(struct ui *ui)
{
    const struct screen_ops *ops = ui->stack[ui->depth - 1].ops;
    void *state = ui->stack[ui->depth - 1].state;
    int rows = draw_bottom(ui, ops, state);

    ops->draw(ui, state, rows);
    if (ui->choosing)
        ui_menu_draw(ui, rows);
    draw_badge(ui);
}

void ui_draw(struct ui *ui)
{
    int rows = 1, columns = 1;

    ui->display->ops->size(ui->display->self, &rows, &columns);
    /* Without memory for a new size the old picture is shown, clipped by the display. */
    if ((rows != ui->grid.rows || columns != ui->grid.columns) &&
        !grid_resize(&ui->grid, rows, columns) && ui->grid.cells == NULL)
        return;
    grid_erase(&ui->grid);
    if (is_too_small(ui))
        draw_too_small(ui);
    else if (ui->helping)
        draw_help(ui);
    else if (ui->depth > 0)
        draw_screen(ui);
    ui->display->ops->show(ui->display->self, &ui->grid);
}

/* ---- events ---- */

static unsigned menu_of(const struct screen_ops *ops, const void *state)
{
    return ops->menu == NULL ? 0 : ops->menu(state);
}

static void open_help(struct ui *ui, unsigned places, unsigned menu)
{
    panel_clear(&ui->help);
    binding_help(&ui->help, ui->setup.config, places);
    binding_menu_help(&ui->help, ui->setup.config, menu);
    panel_add(&ui->help, LOOK_PLAIN, 0, "");
    panel_add(&ui->help, LOOK_PLAIN, 0, app_caution);
    ui->helping = true;
    ui->help_top = 0;
}

static void help_key(struct ui *ui, const struct key *key)
{
    switch ((int)binding_command(ui->setup.config, key, PLACE_LIST)) {
    case COMMAND_NEXT:
        ui->help_top++;
        break;
    case COMMAND_PREVIOUS:
        ui->help_top--;
        break;
    case COMMAND_PAGE_NEXT:
        ui->help_top += ui->grid.rows - HELP_EDGE;
        break;
    case COMMAND_PAGE_PREVIOUS:
        ui->help_top -= ui->grid.rows - HELP_EDGE;
        break;
    default:
        ui->helping = false;
        break;
    }
}

/* What a key means on a screen. Where there is a menu its key is no text. */
static enum command command_of(const struct ui *ui, const struct screen_ops *ops, const void *state,
                               const struct key *key)
{
    unsigned places = ops->places(state);
    enum command command = binding_command(ui->setup.config, key, places);

    if (command == COMMAND_MENU)
        return menu_of(ops, state) == 0 ? COMMAND_NONE : command;
    return ops->takes_text(state, key) ? COMMAND_NONE : command;
}

/* Leaves, and what is being typed is kept. What is behind a lock was kept when it closed. */
static void hang_up(struct ui *ui)
{
    if (ui->doors == 0)
        ui_keep_typed(ui);
    ui_leave(ui);
}

static void screen_key(struct ui *ui, const struct key *key)
{
    const struct screen_ops *ops = ui->stack[ui->depth - 1].ops;
    void *state = ui->stack[ui->depth - 1].state;

    if (ops->ignores != NULL && ops->ignores(ui, state, key))
        return;
    enum command command = command_of(ui, ops, state, key);
    if (command == COMMAND_MENU) { /* the message stays: what it says may decide what is chosen */
        ui_menu_open(ui);
        ui->menu_key = *key;
        ui->menu_at_ms = ui_now_ms(ui);
        return;
    }
    if (command == COMMAND_LOCK_NOW) {
        if (ui->doors == 0)
            ui_lock(ui, false);
        return;
    }
    text_clear(&ui->message);
    switch ((int)command) {
    case COMMAND_KEYS:
        open_help(ui, ops->places(state), menu_of(ops, state));
        break;
    case COMMAND_QUIT:
    case COMMAND_QUIT_ENTRY:
        hang_up(ui);
        break;
    default:
        ops->command(ui, state, command, key);
        break;
    }
}

static void menu_key(struct ui *ui, const struct key *key)
{
    const struct screen_ops *ops = ui->stack[ui->depth - 1].ops;
    void *state = ui->stack[ui->depth - 1].state;
    enum command command = COMMAND_NONE;

    text_clear(&ui->message);
    if (binding_command(ui->setup.config, key, PLACE_CHOOSE) == COMMAND_KEYS) {
        open_help(ui, PLACE_CHOOSE, menu_of(ops, state));
    } else if (ui_menu_key(ui, key, &command)) {
        ui->menu_key = *key;
        ui->menu_at_ms = ui_now_ms(ui);
        ops->command(ui, state, command, key);
    }
}

/* The key that opened the menu, or chose in it, felt twice. */
static bool is_menu_bounce(struct ui *ui, const struct key *key)
{
    if (!key->pasted && key_same(key, &ui->menu_key) && ui_now_ms(ui) - ui->menu_at_ms < UI_DEAF_MS)
        return true;
    ui->menu_at_ms = INT64_MIN / 2;
    return false;
}

static void take_key(struct ui *ui, const struct key *key)
{
    if (binding_command(ui->setup.config, key, 0) == COMMAND_REDRAW) {
        ui->display->ops->repaint(ui->display->self);
        return;
    }
    /* Nobody types blind into a record. */
    if (is_too_small(ui)) {
        if (binding_command(ui->setup.config, key, PLACE_LIST) == COMMAND_QUIT)
            hang_up(ui);
        return;
    }
    if (is_menu_bounce(ui, key))
        return;
    if (ui->helping)
        help_key(ui, key);
    else if (ui->choosing)
        menu_key(ui, key);
    else
        screen_key(ui, key);
}

/* Is a visit or a form open? It keeps what is being typed when the line drops. */
static bool is_entering(const struct ui *ui)
{
    for (int i = 0; i < ui->depth; i++) {
        if (ui->stack[i].ops->hang_up != NULL)
            return true;
    }
    return false;
}

/* Midnight passed. A visit that is open stays the visit of the day it was begun. */
static bool turn_day(struct ui *ui)
{
    day today = ui->setup.today == NULL || ui->app->today_fixed || is_entering(ui) || ui->doors > 0
                    ? DAY_NONE
                    : ui->setup.today(ui->setup.context);
    const struct screen_ops *ops = ui->stack[ui->depth - 1].ops;
    char date[DAY_TEXT_SIZE];

    if (today == DAY_NONE || today == ui->app->today)
        return false;
    ui->app->today = today;
    ui_say(ui, "It is %s now.", day_to_text(today, date));
    ui->choosing = false;
    if (ops->resume != NULL) /* the screens below follow when they come up again */
        ops->resume(ui, ui->stack[ui->depth - 1].state);
    return true;
}

static bool tick(struct ui *ui)
{
    const struct screen_ops *ops = ui->stack[ui->depth - 1].ops;

    if (ui_lock_due(ui) || ui_watch_people(ui) || turn_day(ui))
        return true;
    bool others = ui_presence_tick(ui);
    return (ops->tick != NULL && ops->tick(ui, ui->stack[ui->depth - 1].state)) || others;
}

static bool handle(struct ui *ui, enum event event, const struct key *key)
{
    switch (event) {
    case EVENT_NOTHING:
        return tick(ui);
    case EVENT_END:
        hang_up(ui);
        return false;
    case EVENT_KEY:
        /* A key meant for what stood there before the lock, or for yesterday's list, does nothing.
         */
        if (!ui_lock_due(ui) && !turn_day(ui))
            take_key(ui, key);
        ui_presence_turn(ui);
        ui->key_at_ms = ui_now_ms(ui);
        return true;
    case EVENT_RESIZE:
    default:
        return true;
    }
}

bool ui_event(struct ui *ui, enum event event, const struct key *key)
{
    ui->waited_s = -1;
    bool changed = handle(ui, event, key);
    return changed || ui->waited_s >= 0; /* what was said of a wait is over */
}

/* ---- running ---- */

enum status ui_start(struct ui *ui, struct app *app, struct display *display,
                     const struct ui_setup *setup, struct error *error)
{
    *ui = (struct ui){.app = app,
                      .display = display,
                      .setup = *setup,
                      .menu_at_ms = INT64_MIN / 2,
                      .waited_s = -1};
    seat_on_waiting(app, say_waiting, ui);
    ui->grid.plain = display->plain;
    ui->key_at_ms = ui->session_at_ms = ui_now_ms(ui);
    if (setup->memory_path != NULL)
        memory_load(&ui->memory, setup->memory_path);
    if (setup->notice != NULL)
        ui_say(ui, "%s", setup->notice);
    /* Who sits here comes before any record is shown. */
    enum status status = app_know_person(app, error);
    if (status == STATUS_OK)
        status = ui_open_first(ui, error);
    if (status != STATUS_OK)
        ui_stop(ui);
    return status;
}

void ui_stop(struct ui *ui)
{
    for (; ui->depth > 0; ui->depth--)
        ui->stack[ui->depth - 1].ops->close(ui, ui->stack[ui->depth - 1].state);
    ui_presence_end(ui);
    seat_on_waiting(ui->app, NULL, NULL);
    grid_release(&ui->grid);
    panel_release(&ui->help);
    text_release(&ui->message);
    text_release(&ui->kept);
}

enum status ui_run(struct app *app, struct display *display, const struct ui_setup *setup,
                   struct error *error)
{
    struct ui ui;
    bool changed = false;

    enum status status = ui_start(&ui, app, display, setup, error);
    if (status != STATUS_OK)
        return status;
    /* The first screen stands before the rest of the store is opened, and no key is taken before
     * that is known to be good. */
    ui_draw(&ui);
    status = seat_begin(app, error);
    if (status != STATUS_OK) {
        ui_stop(&ui);
        return status;
    }
    ui_begin(&ui);
    changed = ui.message.length > 0;
    while (!ui.ending) {
        struct key key = {0};
        /* What was typed ahead comes first: only the last of those frames is drawn. */
        enum event event = display->ops->read(display->self, 0, &key);
        if (event == EVENT_NOTHING) {
            if (changed)
                ui_draw(&ui);
            changed = false;
            event = display->ops->read(display->self, UI_TICK_MS, &key);
        }
        changed = ui_event(&ui, event, &key) || changed;
    }
    ui_stop(&ui);
    return STATUS_OK;
}
