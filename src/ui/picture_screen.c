/* SPDX-License-Identifier: GPL-3.0-or-later */
/* picture: widths, what was given and wear of an arch on one axis of dates. */
#include <stdlib.h>

#include "enter.h"
#include "springline/app/picture.h"
#include "springline/app/seat.h"
#include "springline/ui/screens.h"
#include "who.h"

enum {
    ROOMY_ROWS = 18, /* from here on title, picture and caution line stand below each other; before,
                        the picture's own title has to do, which begins with the case number */
    FULL_LEGEND_ROWS = 20 /* of the terminal: below, the hint has one row */
};

struct picture_view {
    struct id casefile;
    struct arena arena; /* of history and pictures */
    struct history history;
    struct pictures pictures;
    int shown; /* of the pictures */
    struct seat_mark mark;
};

/* On failure what was read before stays. */
static enum status read_pictures(struct ui *ui, struct picture_view *view, struct error *error)
{
    struct arena arena = {0};
    struct history history;
    struct pictures pictures;

    enum status status =
        pictures_read(ui->app, &view->casefile, &arena, &pictures, &history, error);
    if (status != STATUS_OK) {
        arena_release(&arena);
        return status;
    }
    arena_release(&view->arena);
    view->arena = arena;
    view->history = history;
    view->pictures = pictures;
    if (view->shown >= pictures.count)
        view->shown = 0;
    return STATUS_OK;
}

static void close_picture(struct ui *ui, void *state)
{
    struct picture_view *view = state;

    (void)ui;
    arena_release(&view->arena);
    free(view);
}

static enum status open_picture(struct ui *ui, const void *argument, void **state,
                                struct error *error)
{
    struct picture_view *view = calloc(1, sizeof *view);

    if (view == NULL)
        return error_no_memory(error);
    view->casefile = *(const struct id *)argument;
    (void)seat_changed(ui->app, &view->mark); /* what is read now is known */
    enum status status = read_pictures(ui, view, error);
    if (status != STATUS_OK) {
        close_picture(ui, view);
        return status;
    }
    *state = view;
    return STATUS_OK;
}

static const struct picture *shown_of(const struct picture_view *view)
{
    return &view->pictures.of[view->shown];
}

static void draw_title(struct ui *ui, const struct picture_view *view)
{
    struct text behind = {0}, title = {0};

    text_addf(&behind, "  picture: %s", picture_name(shown_of(view)));
    who_squeeze(&ui->grid, &view->history, ui_title_cells(ui) - text_width(text_string(&behind)),
                &title);
    text_add(&title, text_string(&behind));
    grid_put(&ui->grid, 0, 0, ui_title_cells(ui), LOOK_BOLD, text_string(&title));
    text_release(&title);
    text_release(&behind);
}

static void draw_lines(struct ui *ui, const struct picture_view *view, int top, int bottom)
{
    const struct config *config = ui->setup.config;
    bool braille = config != NULL && config->braille == CHOICE_YES && !ui->grid.plain;
    struct arena arena = {0};
    struct lines lines = {0};
    struct error error = {0};

    enum status status = picture_text(shown_of(view), ui->grid.columns, bottom - top, braille,
                                      &arena, &lines, &error);
    if (status != STATUS_OK)
        grid_put(&ui->grid, top, 0, ui->grid.columns, LOOK_PLAIN, error.sentence);
    for (size_t i = 0; i < lines.count && status == STATUS_OK; i++) {
        int row = top + (int)i;
        grid_put(&ui->grid, row, 0, row == 0 ? ui_title_cells(ui) : ui->grid.columns,
                 i == 0 ? LOOK_BOLD : LOOK_PLAIN, lines.line[i]);
    }
    arena_release(&arena);
}

static void draw_picture(struct ui *ui, void *state, int rows)
{
    const struct picture_view *view = state;
    bool roomy = rows >= ROOMY_ROWS;

    if (roomy)
        draw_title(ui, view);
    draw_lines(ui, view, roomy ? 1 : 0, roomy ? enter_caution_draw(ui, rows) : rows);
    grid_cursor(&ui->grid, roomy ? 1 : 0, 0);
}

static unsigned picture_places(const void *state)
{
    (void)state;
    return PLACE_PICTURE;
}

static bool takes_text(const void *state, const struct key *key)
{
    (void)state;
    (void)key;
    return false;
}

static void do_command(struct ui *ui, void *state, enum command command, const struct key *key)
{
    struct picture_view *view = state;

    (void)key;
    if (command == COMMAND_BACK || command == COMMAND_LEAVE)
        ui_pop(ui);
    else if (command == COMMAND_OTHER_ARCH && view->pictures.count > 1)
        view->shown = (view->shown + 1) % view->pictures.count;
    else if (command == COMMAND_OTHER_ARCH)
        ui_say(ui, "The other arch has no expander.");
}

static void add_hint(struct ui *ui, const void *state, struct text *out)
{
    picture_legend(shown_of(state), ui->grid.rows < FULL_LEGEND_ROWS, out);
}

static void read_again(struct ui *ui, struct picture_view *view)
{
    struct error error = {0};

    if (read_pictures(ui, view, &error) != STATUS_OK)
        ui_say_error(ui, &error);
}

static bool tick(struct ui *ui, void *state)
{
    struct picture_view *view = state;

    if (!seat_changed(ui->app, &view->mark))
        return false;
    read_again(ui, view);
    return true;
}

/* Midnight passed. */
static void resume(struct ui *ui, void *state)
{
    read_again(ui, state);
}

const struct screen_ops picture_screen = {.name = "picture",
                                          .open = open_picture,
                                          .close = close_picture,
                                          .draw = draw_picture,
                                          .places = picture_places,
                                          .takes_text = takes_text,
                                          .command = do_command,
                                          .hint = add_hint,
                                          .tick = tick,
                                          .resume = resume};
