/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/ui/list_screen.h"

#include <stdlib.h>

#include "springline/ui/binding.h"
#include "springline/ui/screens.h"

enum { SEARCH_CHARACTERS = 60, FIND_CELLS = 6, LIST_ROWS_LEAST = 4 };

/* ---- reading ---- */

/* Reads the rows that the search finds. On failure the list is empty and *error says why. */
static enum status read_rows(struct ui *ui, struct list_view *view, bool narrowing,
                             struct error *error)
{
    struct text folded = {0};

    text_add_folded(&folded, view->search.text);
    arena_clear(&view->arena);
    view->narrowing = narrowing && !view->failed;
    enum status status = folded.failed ? error_no_memory(error)
                                       : view->screen->read(ui, view, text_string(&folded), error);
    text_release(&folded);
    view->failed = status != STATUS_OK;
    if (view->failed) {
        view->list.count = view->list.selected = 0;
        return status;
    }
    return list_refresh(&view->list) ? STATUS_OK : error_no_memory(error);
}

static void read_or_say(struct ui *ui, struct list_view *view, bool narrowing)
{
    struct error error = {0};

    if (read_rows(ui, view, narrowing, &error) != STATUS_OK)
        ui_say_error(ui, &error);
}

void list_screen_read(struct ui *ui, void *state)
{
    read_or_say(ui, state, false);
}

void list_screen_clear(struct ui *ui, void *state)
{
    struct list_view *view = state;

    editor_command(&view->search, COMMAND_CLEAR);
    read_or_say(ui, view, true);
}

/* The selection is set before each reading: a reading that does not find the record moves it. */
bool list_screen_show(struct ui *ui, void *state, const char *search, const struct id *record)
{
    struct list_view *view = state;
    const struct id wanted = *record;

    editor_set(&view->search, search, SEARCH_CHARACTERS, true);
    view->list.selected_id = wanted;
    read_or_say(ui, view, false);
    return view->list.count > 0 && id_equal(&view->list.selected_id, &wanted);
}

/* The search changed: what it finds is shown from its first row on. */
static void search_again(struct ui *ui, struct list_view *view)
{
    view->list.selected = 0;
    view->list.selected_id = (struct id){{0}};
    read_or_say(ui, view, true);
}

/* ---- opening, closing ---- */

void list_screen_close(struct ui *ui, void *state)
{
    struct list_view *view = state;

    if (view->screen->end != NULL)
        view->screen->end(ui, view);
    list_release(&view->list);
    arena_release(&view->arena);
    free(view);
}

enum status list_screen_open(struct ui *ui, const struct list_screen *screen, const void *argument,
                             void **state, struct error *error)
{
    struct list_view *view = calloc(1, screen->size);
    enum status status = STATUS_OK;

    if (view == NULL)
        return error_no_memory(error);
    view->screen = screen;
    list_open(&view->list, screen->list, view);
    editor_set(&view->search, "", SEARCH_CHARACTERS, false);
    seat_changed(ui->app, &view->mark);
    if (screen->begin != NULL)
        status = screen->begin(ui, view, argument, error);
    if (status == STATUS_OK)
        status = read_rows(ui, view, false, error);
    if (status != STATUS_OK) {
        list_screen_close(ui, view);
        return status;
    }
    view->asked_at_ms = ui_now_ms(ui);
    view->back_at_ms = INT64_MIN / 2;
    *state = view;
    return STATUS_OK;
}

/* ---- drawing ---- */

static void draw_title(struct ui *ui, const struct list_view *view)
{
    struct text title = {0};

    view->screen->title(ui, view, &title);
    grid_put(&ui->grid, 0, 0, ui_title_cells(ui), LOOK_BOLD, text_string(&title));
    text_release(&title);
}

/* ---- the order that is remembered ---- */

/* The name of the screen on top, which this list is. */
static const char *name_of(const struct ui *ui)
{
    return ui->stack[ui->depth - 1].ops->name;
}

static void bring_order_back(struct ui *ui, struct list_view *view)
{
    const char *head = memory_sorted_by(&ui->memory, name_of(ui));

    view->ordered = true;
    if (head != NULL)
        list_sort(&view->list, list_column_headed(&view->list, head));
}

/* Forgetting it later would lose nothing but this order, so a failure is nobody's business. */
static void remember_order(struct ui *ui, const struct list_view *view)
{
    const struct list *list = &view->list;
    const char *head =
        list->sort_column == LIST_NATURAL ? NULL : list->ops->columns[list->sort_column].head;

    if (memory_sort_by(&ui->memory, name_of(ui), head) && ui->setup.memory_path != NULL)
        (void)memory_save(&ui->memory, ui->setup.memory_path);
}

void list_screen_draw(struct ui *ui, void *state, int rows)
{
    struct list_view *view = state;
    struct grid *grid = &ui->grid;
    bool searching = view->search.length > 0;
    int least = view->screen->list_least > 0 ? view->screen->list_least : LIST_ROWS_LEAST;
    int row = 1, most = rows - row - 1 - least;

    if (!view->ordered)
        bring_order_back(ui, view);
    draw_title(ui, view);
    if (view->screen->above != NULL && most > 0)
        row += view->screen->above(ui, view, row, most);
    list_draw(&view->list, grid, row + 1, rows - row - 1, grid->columns,
              searching ? view->screen->nothing_found : view->screen->nothing, !searching);
    grid_put(grid, row, 0, FIND_CELLS, LOOK_PLAIN, "find:");
    if (searching)
        editor_draw(&view->search, grid, row, FIND_CELLS, grid->columns - FIND_CELLS, LOOK_BOLD);
}

void list_screen_hint(struct ui *ui, const void *state, struct text *out)
{
    const struct list_view *view = state;
    size_t row;

    if (view->screen->hint != NULL && list_selected(&view->list, &row))
        view->screen->hint(ui, view, row, out);
}

/* ---- keys ---- */

unsigned list_screen_menu(const void *state)
{
    return ((const struct list_view *)state)->screen->menu;
}

unsigned list_screen_places(const void *state)
{
    const struct list_view *view = state;

    return PLACE_FIND | PLACE_LIST | view->screen->places |
           (view->screen->menu != 0 ? PLACE_MENU : 0U) |
           (view->search.length > 0 ? PLACE_FOUND
            : view->screen->first   ? 0U
                                    : PLACE_ABOVE);
}

/* A hyphen behind a letter belongs to the name or number being typed; behind a digit it moves. */
bool list_screen_takes_text(const void *state, const struct key *key)
{
    const struct editor *search = &((const struct list_view *)state)->search;
    char last = search->length == 0 || search->fresh ? '0' : search->text[search->length - 1];

    return key->press == PRESS_NONE && key->character == '-' && !(last >= '0' && last <= '9');
}

/* Enter has just brought up this list, or Enter or a digit has saved what stood above it: the same
 * stroke, felt twice, is nothing. */
bool list_screen_ignores(const struct ui *ui, const void *state, const struct key *key)
{
    const struct list_view *view = state;
    int64_t now = ui_now_ms(ui);
    bool opens = key->press == PRESS_ENTER && now - view->asked_at_ms < UI_DEAF_MS;
    bool saves = binding_command(ui->setup.config, key, PLACE_REVIEW) == COMMAND_SAVE;

    return !key->pasted && (opens || (saves && now - view->back_at_ms < UI_DEAF_MS));
}

/* A search begins with a letter or a digit; then any character may follow. */
static void type_search(struct ui *ui, struct list_view *view, enum command command,
                        const struct key *key)
{
    if (key->press != PRESS_NONE || key->control ||
        (command != COMMAND_SEARCH && !key->pasted &&
         (view->search.length == 0 || view->search.fresh)))
        return;
    if (editor_insert(&view->search, key->character))
        search_again(ui, view);
}

bool list_screen_case(const void *state, struct id *casefile)
{
    const struct list_view *view = state;
    size_t row = 0;

    if (view->screen->casefile == NULL ||
        (!list_selected(&view->list, &row) && !view->screen->one_case))
        return false;
    *casefile = view->screen->casefile(view, row);
    return true;
}

bool list_screen_open_case(const void *state, struct id *casefile)
{
    return ((const struct list_view *)state)->screen->one_case && list_screen_case(state, casefile);
}

/* A command of the menu, or of the screen alone. May close the screen. */
static void do_other(struct ui *ui, struct list_view *view, enum command command)
{
    struct id casefile;
    size_t row = 0;
    bool has_row = list_selected(&view->list, &row), has_case = list_screen_case(view, &casefile);

    if (!has_case && (command_table[command].places & PLACE_CASES_MENU) != 0) {
        ui_say(ui, "No case is selected: find one first.");
        return;
    }
    if (!screen_go(ui, command, has_case ? &casefile : NULL) && view->screen->command != NULL)
        view->screen->command(ui, view, command, has_row, row);
}

/* Enter. May close the screen. */
static void open_row(struct ui *ui, struct list_view *view)
{
    size_t row;

    if (view->screen->open != NULL && list_selected(&view->list, &row))
        view->screen->open(ui, view, row);
}

static void go_back(struct ui *ui, struct list_view *view)
{
    if (view->search.length > 0)
        list_screen_clear(ui, view);
    else if (ui->depth > 1)
        ui_pop(ui);
}

void list_screen_command(struct ui *ui, void *state, enum command command, const struct key *key)
{
    struct list_view *view = state;

    /* Another key came between: what follows is no bounce. */
    view->asked_at_ms = view->back_at_ms = INT64_MIN / 2;
    switch ((int)command) {
    case COMMAND_NONE:
    case COMMAND_SEARCH:
        type_search(ui, view, command, key);
        break;
    case COMMAND_SHORTEN:
        if (editor_command(&view->search, COMMAND_RUB_OUT))
            search_again(ui, view);
        break;
    case COMMAND_CLEAR:
        list_screen_clear(ui, view);
        break;
    case COMMAND_BACK:
    case COMMAND_LEAVE:
        go_back(ui, view);
        break;
    case COMMAND_MENU:
        ui_menu_open(ui);
        break;
    case COMMAND_OPEN:
        open_row(ui, view);
        break;
    default:
        if (!list_command(&view->list, command))
            do_other(ui, view, command);
        else if (command == COMMAND_SORT)
            remember_order(ui, view);
        break;
    }
}

/* ---- others save ---- */

bool list_screen_tick(struct ui *ui, void *state)
{
    struct list_view *view = state;

    if (!seat_changed(ui->app, &view->mark))
        return false;
    read_or_say(ui, view, false);
    return true;
}

/* Back from a form or another screen. What was changed there may no longer be what the search
 * found: then the record is shown among all, if it is still there. */
void list_screen_resume(struct ui *ui, void *state)
{
    struct list_view *view = state;
    const struct id handled = view->list.selected_id;
    const struct editor search = view->search;

    read_or_say(ui, view, false);
    if (search.length > 0 && !view->failed && !id_is_none(&handled) &&
        !id_equal(&view->list.selected_id, &handled) && !list_screen_show(ui, view, "", &handled))
        list_screen_show(ui, view, search.text, &handled);
    view->asked_at_ms = view->back_at_ms = ui_now_ms(ui);
}
