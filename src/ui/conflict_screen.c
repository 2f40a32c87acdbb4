/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was saved meanwhile: read to its end, and where both seats changed a field, decided. */
#include <limits.h>
#include <stdlib.h>

#include "conflict_view.h"

static int field_count(const struct conflict_view *view)
{
    return view->argument.conflict == NULL ? 0 : view->argument.conflict->field_count;
}

static bool is_stuck(const struct conflict_view *view)
{
    return view->argument.conflict != NULL && view->argument.conflict->stuck[0] != '\0';
}

static bool is_open(const struct conflict_view *view)
{
    return field_count(view) > 0 &&
           conflict_open_field(view->argument.conflict) < field_count(view);
}

/* The next field in a direction that a person decides; the same one: there is none. */
static int step(const struct conflict_view *view, int from, int direction)
{
    for (int i = from + direction; i >= 0 && i < field_count(view); i += direction) {
        if (view->argument.conflict->fields[i].both)
            return i;
    }
    return from;
}

static void set_focus(struct conflict_view *view, int index)
{
    view->focus = index;
    view->follow = true;
}

/* ---- opening and closing ---- */

static enum status conflict_open(struct ui *ui, const void *argument, void **state,
                                 struct error *error)
{
    struct conflict_view *view = calloc(1, sizeof *view);

    if (view == NULL)
        return error_no_memory(error);
    view->argument = *(const struct conflict_argument *)argument;
    view->focus = step(view, -1, 1);
    view->opened_at_ms = ui_now_ms(ui);
    *state = view;
    return STATUS_OK;
}

static void conflict_close(struct ui *ui, void *state)
{
    (void)ui;
    free(state);
}

/* ---- keys ---- */

static unsigned conflict_places(const void *state)
{
    const struct conflict_view *view = state;

    return PLACE_READ | PLACE_CHOICE | (view->focus >= 0 ? PLACE_DECIDE : PLACE_MEANWHILE);
}

static bool conflict_takes_text(const void *state, const struct key *key)
{
    (void)state;
    (void)key;
    return false;
}

static bool conflict_ignores(const struct ui *ui, const void *state, const struct key *key)
{
    const struct conflict_view *view = state;

    return key->pasted || ((key->press == PRESS_NONE || key->press == PRESS_ENTER) &&
                           ui_now_ms(ui) - view->opened_at_ms < UI_DEAF_MS);
}

static void say_open(struct ui *ui, const struct conflict_view *view)
{
    ui_say(ui, "\"%s\" was changed at both seats: 1 keeps mine, 2 takes theirs.",
           view->argument.conflict->fields[view->focus].label);
}

/* A field that is out of sight comes into sight first. */
static void decide(struct ui *ui, struct conflict_view *view, enum conflict_take take)
{
    struct conflict *conflict = view->argument.conflict;

    if (view->focus < 0)
        return;
    view->follow = true;
    if (!view->focus_seen) {
        say_open(ui, view);
        return;
    }
    conflict_decide(conflict, view->focus, take);
    int open = conflict_open_field(conflict);
    if (open < conflict->field_count)
        set_focus(view, open);
}

/* On only when nothing is open, and nothing is unread. */
static void go_on(struct ui *ui, struct conflict_view *view)
{
    const struct conflict *conflict = view->argument.conflict;

    if (!view->read && !view->pages.at_end) {
        pages_turn(&view->pages, COMMAND_PAGE_NEXT);
    } else if (is_stuck(view)) {
        ui_say(ui, "%s", conflict->stuck);
    } else if (is_open(view)) {
        set_focus(view, conflict_open_field(conflict));
        say_open(ui, view);
    } else {
        *view->argument.agreed = true;
        ui_pop(ui);
    }
}

static void move(struct conflict_view *view, int direction)
{
    if (view->focus >= 0)
        set_focus(view, step(view, view->focus, direction));
    else
        view->pages.top += direction;
}

static void conflict_command(struct ui *ui, void *state, enum command command,
                             const struct key *key)
{
    struct conflict_view *view = state;

    (void)key;
    switch ((int)command) {
    case COMMAND_TAKE_MINE:
    case COMMAND_TAKE_THEIRS:
        decide(ui, view, command == COMMAND_TAKE_MINE ? TAKE_MINE : TAKE_THEIRS);
        break;
    case COMMAND_GO_ON:
        go_on(ui, view);
        break;
    case COMMAND_BACK:
    case COMMAND_LEAVE:
        ui_pop(ui);
        break;
    case COMMAND_NEXT:
    case COMMAND_PREVIOUS:
        move(view, command == COMMAND_NEXT ? 1 : -1);
        break;
    case COMMAND_FIRST:
        view->pages.top = 0;
        break;
    case COMMAND_LAST: /* drawing keeps it within the text */
        view->pages.top = INT_MAX / 2;
        break;
    default:
        pages_turn(&view->pages, command);
        break;
    }
}

static void conflict_hint(struct ui *ui, const void *state, struct text *out)
{
    const struct conflict_view *view = state;

    (void)ui;
    if (is_stuck(view))
        text_add(out, "Esc goes back; what was typed is kept. Nothing is saved here.");
    else if (is_open(view))
        text_add(out, "Changed at both seats: 1 keeps mine, 2 takes theirs; + and - choose the "
                      "field.");
    else if (!view->read)
        text_add(out, "Enter turns the page. Nothing is saved here yet.");
    else
        text_add(out, "Enter goes on to the review, Esc back. Nothing is saved here yet.");
}

const struct screen_ops conflict_screen = {.name = "meanwhile",
                                           .open = conflict_open,
                                           .close = conflict_close,
                                           .draw = conflict_view_draw,
                                           .places = conflict_places,
                                           .takes_text = conflict_takes_text,
                                           .ignores = conflict_ignores,
                                           .command = conflict_command,
                                           .hint = conflict_hint};
