/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The menu of a screen, drawn over its lower part: one line per command that its places offer, each
 * with the key that chooses it at once. The lines stand in one column, or in two where that shows
 * all of them; else in pages.
 */
#include <string.h>

#include "springline/app/authority.h"
#include "springline/ui/binding.h"
#include "springline/ui/ui.h"

enum { TEXT_AT = 5, TWO_COLUMNS = 80, TOP_ROWS = 2 /* the screen's title, the menu's head */ };

struct layout {
    enum command commands[COMMAND_COUNT];
    int count;
    int block[COMMAND_COUNT]; /* the blocks of lines stand beside each other, then on pages */
    int row[COMMAND_COUNT];   /* in the block */
    int blocks, columns, width, height;
};

static unsigned places_of(const struct ui *ui)
{
    const struct screen_ops *ops = ui->stack[ui->depth - 1].ops;

    return ops->menu == NULL ? 0 : ops->menu(ui->stack[ui->depth - 1].state);
}

static int rows_of(struct grid *grid, const char *text, int width)
{
    const char *piece;
    size_t length;
    int rows = 0;

    while ((text = panel_wrap(grid, text, width, &piece, &length)) != NULL)
        rows++;
    return rows;
}

/* Fills blocks of at most height rows, one after the other. */
static void fill(struct layout *layout, struct grid *grid, int columns, int height)
{
    int used = 0;

    layout->blocks = 1;
    layout->columns = columns;
    layout->width = grid->columns / columns;
    layout->height = 0;
    for (int i = 0; i < layout->count; i++) {
        int rows = rows_of(grid, command_table[layout->commands[i]].help, layout->width - TEXT_AT);
        if (used > 0 && used + rows > height) {
            layout->blocks++;
            used = 0;
        }
        layout->block[i] = layout->blocks - 1;
        layout->row[i] = used;
        used += rows;
        if (used > layout->height)
            layout->height = used;
    }
}

/* Nobody is offered what they may not do: it would only be refused. */
static bool is_offered(const struct ui *ui, enum command command)
{
    return !authority_asks(command) || authority_may(ui->app->role, command);
}

static int offered(const struct ui *ui, enum command commands[COMMAND_COUNT])
{
    int kept = 0, count = binding_menu(places_of(ui), commands);

    for (int i = 0; i < count; i++) {
        if (is_offered(ui, commands[i]))
            commands[kept++] = commands[i];
    }
    return kept;
}

static void lay_out(struct ui *ui, int rows, struct layout *layout)
{
    int most = rows - TOP_ROWS > 1 ? rows - TOP_ROWS : 1;

    *layout = (struct layout){0};
    layout->count = offered(ui, layout->commands);
    fill(layout, &ui->grid, 1, most);
    if (layout->blocks == 1 || ui->grid.columns < TWO_COLUMNS)
        return;
    /* Side by side, both about as high as the other. */
    for (int height = most / 2; height <= most; height++) {
        fill(layout, &ui->grid, 2, height);
        if (layout->blocks <= 2)
            return;
    }
}

static int page_of(const struct layout *layout, int line)
{
    return layout->block[line] / layout->columns;
}

/* ---- drawing ---- */

static void draw_line(struct ui *ui, const struct layout *layout, int line, int top)
{
    enum command command = layout->commands[line];
    unsigned look = line == ui->menu_chosen ? LOOK_REVERSE : LOOK_PLAIN;
    int column = layout->block[line] % layout->columns * layout->width;
    int row = top + layout->row[line];
    const char *rest = command_table[command].help, *piece;
    size_t length = 0;
    struct text text = {0};

    const char *key = binding_first_key(ui->setup.config, command, &length);
    text_addf(&text, "%s ", line == ui->menu_chosen ? ">" : " ");
    if (key != NULL)
        text_append(&text, key, length);
    grid_put_padded(&ui->grid, row, column, TEXT_AT, look, text_string(&text));
    if (line == ui->menu_chosen)
        grid_cursor(&ui->grid, row, column);
    while ((rest = panel_wrap(&ui->grid, rest, layout->width - TEXT_AT, &piece, &length)) != NULL) {
        text_clear(&text);
        text_append(&text, piece, length);
        grid_put_padded(&ui->grid, row++, column + TEXT_AT, layout->width - TEXT_AT, look,
                        text_string(&text));
    }
    text_release(&text);
}

static void draw_head(struct ui *ui, const struct layout *layout, int row)
{
    int pages = (layout->blocks + layout->columns - 1) / layout->columns;
    struct text head = {0};

    text_add(&head, "What can be done from here");
    if (pages > 1)
        text_addf(&head, "  page %d of %d", page_of(layout, ui->menu_chosen) + 1, pages);
    grid_put_padded(&ui->grid, row, 0, ui->grid.columns, LOOK_BOLD | LOOK_UNDERLINE,
                    text_string(&head));
    text_release(&head);
}

static void keep_in_menu(struct ui *ui, const struct layout *layout)
{
    if (ui->menu_chosen >= layout->count)
        ui->menu_chosen = layout->count - 1;
    if (ui->menu_chosen < 0)
        ui->menu_chosen = 0;
}

void ui_menu_draw(struct ui *ui, int rows)
{
    struct layout layout;

    lay_out(ui, rows, &layout);
    ui->menu_rows = rows;
    if (layout.count == 0)
        return;
    keep_in_menu(ui, &layout);
    int top = rows - layout.height;
    for (int row = top; row < rows; row++)
        grid_put_padded(&ui->grid, row, 0, ui->grid.columns, LOOK_PLAIN, "");
    draw_head(ui, &layout, top - 1);
    for (int i = 0; i < layout.count; i++) {
        if (page_of(&layout, i) == page_of(&layout, ui->menu_chosen))
            draw_line(ui, &layout, i, top);
    }
}

/* ---- keys ---- */

void ui_menu_open(struct ui *ui)
{
    ui->choosing = true;
    ui->menu_chosen = 0;
    ui->menu_rows = ui->grid.rows;
}

/* The first line of the next or previous page; where there is none, the last or first line. */
static int turn_page(const struct layout *layout, int line, int direction)
{
    int page = page_of(layout, line) + direction;

    for (int i = 0; i < layout->count; i++) {
        if (page_of(layout, i) == page)
            return i;
    }
    return direction > 0 ? layout->count - 1 : 0;
}

static void say_no_choice(struct ui *ui, const struct key *key)
{
    struct text name = {0};

    key_add_name(&name, key);
    ui_say(ui, "%s is no choice here. Press the key of a line; * or Esc closes the menu.",
           text_string(&name));
    text_release(&name);
}

static void move(struct ui *ui, const struct layout *layout, enum command command,
                 const struct key *key)
{
    switch ((int)command) {
    case COMMAND_NEXT:
        ui->menu_chosen++;
        break;
    case COMMAND_PREVIOUS:
        ui->menu_chosen--;
        break;
    case COMMAND_FIRST:
        ui->menu_chosen = 0;
        break;
    case COMMAND_LAST:
        ui->menu_chosen = layout->count - 1;
        break;
    case COMMAND_PAGE_NEXT:
    case COMMAND_PAGE_PREVIOUS:
        ui->menu_chosen = turn_page(layout, ui->menu_chosen, command == COMMAND_PAGE_NEXT ? 1 : -1);
        break;
    case COMMAND_BACK:
    case COMMAND_MENU:
        ui->choosing = false;
        break;
    default:
        say_no_choice(ui, key);
        break;
    }
    keep_in_menu(ui, layout);
}

/* The command of the menu whose own key it is; COMMAND_NONE: of none. */
static enum command chosen_by(const struct ui *ui, const struct key *key)
{
    unsigned places = places_of(ui);
    enum command command = binding_command(ui->setup.config, key, places);

    return (command_table[command].places & places) != 0 && is_offered(ui, command) ? command
                                                                                    : COMMAND_NONE;
}

bool ui_menu_key(struct ui *ui, const struct key *key, enum command *command)
{
    struct layout layout;
    enum command moves = binding_command(ui->setup.config, key, PLACE_CHOOSE);

    lay_out(ui, ui->menu_rows, &layout);
    keep_in_menu(ui, &layout);
    if (layout.count == 0) {
        ui->choosing = false;
        return false;
    }
    *command = moves == COMMAND_CHOOSE ? layout.commands[ui->menu_chosen] : chosen_by(ui, key);
    if (*command == COMMAND_NONE)
        move(ui, &layout, moves, key);
    else
        ui->choosing = false;
    return *command != COMMAND_NONE;
}
