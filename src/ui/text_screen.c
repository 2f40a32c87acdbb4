/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A text that is only read: scrolled, and made again when another seat saved. */
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "text_view.h"

enum { CAUTION_ROWS = 18 /* from here on there is room for it */ };

static void set_title(struct text_view *view, const char *title)
{
    if (view->who[0] != '\0')
        snprintf(view->title, sizeof view->title, "%s  %s", view->who, title == NULL ? "" : title);
    else
        snprintf(view->title, sizeof view->title, "%s", title == NULL ? "" : title);
}

/* Makes the lines anew; on failure the old ones stay. */
static enum status fill(struct ui *ui, struct text_view *view, struct error *error)
{
    struct arena arena = {0};
    struct lines lines = {0};

    enum status status = view->argument.fill(ui, view->argument.subject, &arena, &lines, error);
    if (status == STATUS_OK) {
        size_t first = view->argument.title == NULL && lines.count > 0 ? 1 : 0;
        panel_clear(&view->panel);
        set_title(view, first > 0 ? lines.line[0] : view->argument.title);
        for (size_t i = first; i < lines.count; i++)
            panel_add(&view->panel, LOOK_PLAIN, 2, lines.line[i]);
        panel_add(&view->panel, LOOK_PLAIN, 0, app_caution); /* for a screen too small for both */
        if (view->panel.failed)
            status = error_no_memory(error);
    }
    arena_release(&arena);
    return status;
}

void text_view_close(struct ui *ui, void *state)
{
    struct text_view *view = state;

    (void)ui;
    panel_release(&view->panel);
    free(view);
}

enum status text_view_open(struct ui *ui, const void *argument, void **state, struct error *error)
{
    const struct text_argument *wanted = argument;
    struct text_view *view = calloc(1, sizeof *view);

    if (view == NULL)
        return error_no_memory(error);
    view->argument = *wanted;
    if (wanted->title != NULL) {
        snprintf(view->named, sizeof view->named, "%s", wanted->title);
        view->argument.title = view->named;
    }
    snprintf(view->who, sizeof view->who, "%s", wanted->who == NULL ? "" : wanted->who);
    if (wanted->size > 0 && wanted->size <= sizeof view->subject)
        memcpy(view->subject.bytes, wanted->subject, wanted->size);
    view->argument.subject = view->subject.bytes;
    (void)seat_changed(ui->app, &view->mark); /* what is read now is known */
    enum status status = fill(ui, view, error);
    if (status != STATUS_OK) {
        text_view_close(ui, view);
        return status;
    }
    *state = view;
    return STATUS_OK;
}

void text_view_draw(struct ui *ui, void *state, int rows)
{
    struct text_view *view = state;
    bool roomy = rows >= CAUTION_ROWS; /* then it always stands below the text */
    int bottom = roomy ? enter_caution_draw(ui, rows) : rows;
    struct panel shown = view->panel;

    shown.count -= roomy && shown.count > 0;
    grid_put(&ui->grid, 0, 0, ui_title_cells(ui), LOOK_BOLD, view->title);
    pages_draw(ui, &shown, &view->pages, 1, bottom - 1);
    grid_cursor(&ui->grid, 1, 0);
}

static unsigned text_view_places(const void *state)
{
    (void)state;
    return PLACE_READ;
}

bool text_view_takes_text(const void *state, const struct key *key)
{
    (void)state;
    (void)key;
    return false;
}

void text_view_command(struct ui *ui, void *state, enum command command, const struct key *key)
{
    struct text_view *view = state;

    (void)key;
    switch ((int)command) {
    case COMMAND_BACK:
    case COMMAND_LEAVE:
        ui_pop(ui);
        break;
    case COMMAND_NEXT:
        view->pages.top++;
        break;
    case COMMAND_PREVIOUS:
        view->pages.top--;
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

void text_view_hint(struct ui *ui, const void *state, struct text *out)
{
    (void)ui;
    (void)state;
    text_add(out, "Home goes to the beginning of the text, End to its end.");
}

static void fill_again(struct ui *ui, struct text_view *view)
{
    struct error error = {0};

    if (fill(ui, view, &error) != STATUS_OK)
        ui_say_error(ui, &error);
}

bool text_view_tick(struct ui *ui, void *state)
{
    struct text_view *view = state;

    if (!seat_changed(ui->app, &view->mark))
        return false;
    fill_again(ui, view);
    return true;
}

/* Midnight passed. */
void text_view_resume(struct ui *ui, void *state)
{
    fill_again(ui, state);
}

const struct screen_ops text_screen = {.name = "text",
                                       .open = text_view_open,
                                       .close = text_view_close,
                                       .draw = text_view_draw,
                                       .places = text_view_places,
                                       .takes_text = text_view_takes_text,
                                       .command = text_view_command,
                                       .hint = text_view_hint,
                                       .tick = text_view_tick,
                                       .resume = text_view_resume};
