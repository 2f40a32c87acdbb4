/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Closing a month: what will be signed is read, then PIN or passphrase and Enter sign it; in a
 * practice of one that chose not to be asked, Enter alone. What is typed is never shown.
 */
#include <stdio.h>
#include <stdlib.h>

#include "enter.h"
#include "springline/app/month.h"
#include "springline/ui/screens.h"

enum { ROOMY_ROWS = 10 };

struct closing {
    struct month_review review;
    char title[80];
    struct panel panel;
    struct pages pages;
    struct enter enter;
};

/* ---- opening ---- */

static enum status show(struct closing *closing, struct error *error)
{
    struct arena arena = {0};
    struct lines lines = {0};
    enum status status = month_review_lines(&closing->review, &arena, &lines, error);

    panel_clear(&closing->panel);
    for (size_t i = 0; i < lines.count && status == STATUS_OK; i++) {
        if (i == 0)
            snprintf(closing->title, sizeof closing->title, "%s", lines.line[0]);
        else
            panel_add(&closing->panel, LOOK_PLAIN, 0, lines.line[i]);
    }
    closing->pages = (struct pages){0};
    if (status == STATUS_OK && closing->panel.failed)
        status = error_no_memory(error);
    arena_release(&arena);
    return status;
}

static void close_screen(struct ui *ui, void *state)
{
    struct closing *closing = state;

    (void)ui;
    month_review_release(&closing->review);
    panel_release(&closing->panel);
    enter_forget(&closing->enter);
    free(closing);
}

static enum status open_screen(struct ui *ui, const void *argument, void **state,
                               struct error *error)
{
    struct closing *closing = calloc(1, sizeof *closing);

    if (closing == NULL)
        return error_no_memory(error);
    enum status status = month_review(ui->app, *(const day *)argument, &closing->review, error);
    if (status == STATUS_OK)
        status = show(closing, error);
    if (status != STATUS_OK) {
        close_screen(ui, closing);
        return status;
    }
    closing->panel.below = "more below: . or PageDown";
    enter_begin(ui, &closing->enter);
    enter_review(ui, &closing->enter, true);
    *state = closing;
    return STATUS_OK;
}

/* ---- drawing ---- */

static void draw(struct ui *ui, void *state, int rows)
{
    struct closing *closing = state;
    bool roomy = rows >= 2 * enter_caution_rows(ui) + ROOMY_ROWS; /* it always stands there then */
    struct panel shown = closing->panel;
    int bottom = roomy ? enter_caution_draw(ui, rows) : rows;
    int typed = enter_asks_secret(&closing->enter) ? 1 : 0;

    shown.count -= roomy && shown.count > 0;
    grid_put(&ui->grid, 0, 0, ui_title_cells(ui), LOOK_BOLD, closing->title);
    pages_draw(ui, &shown, &closing->pages, 1, bottom - 1 - typed);
    grid_cursor(&ui->grid, 1, 0);
    enter_secret_draw(ui, &closing->enter, bottom - 1);
}

static unsigned places(const void *state)
{
    return enter_places(&((const struct closing *)state)->enter, false);
}

static bool takes_text(const void *state, const struct key *key)
{
    return enter_takes_secret(&((const struct closing *)state)->enter, key);
}

static bool ignores(const struct ui *ui, const void *state, const struct key *key)
{
    return enter_ignores(ui, &((const struct closing *)state)->enter, key);
}

static void hint(struct ui *ui, const void *state, struct text *out)
{
    const struct closing *closing = state;

    (void)ui;
    text_addf(out, "%s signs and closes the month; / goes back, nothing is closed.",
              enter_asks_secret(&closing->enter) ? "Your PIN and Enter" : "Enter or 1");
}

/* ---- keys ---- */

static void sign_it(struct ui *ui, struct closing *closing)
{
    struct error error = {0};
    char month[MONTH_TEXT_SIZE];

    enum status status = month_close(ui->app, &closing->review, closing->enter.editor.text, &error);
    enter_forget(&closing->enter);
    if (status == STATUS_OK || status == STATUS_ALREADY) {
        ui_say(ui, "%s is closed and signed by %s.", month_to_text(closing->review.month, month),
               app_by(ui->app));
        ui_pop(ui);
        return;
    }
    enter_warn(ui, &closing->enter); /* what was typed ahead of the sentence is no answer to it */
    ui_say_error(ui, &error);
    /* Other figures than those that were read. */
    if (status == STATUS_CONFLICT && show(closing, &error) != STATUS_OK)
        ui_pop(ui);
}

static void do_command(struct ui *ui, void *state, enum command command, const struct key *key)
{
    struct closing *closing = state;

    enter_strike(&closing->enter, key);
    if (command == COMMAND_SAVE || command == COMMAND_SAVE_SIGNED)
        sign_it(ui, closing);
    else if (enter_asks_secret(&closing->enter) && enter_secret_key(&closing->enter, command, key))
        return;
    else if (command == COMMAND_FIELD_BACK || command == COMMAND_BACK)
        ui_pop(ui);
    else
        pages_turn(&closing->pages, command);
}

const struct screen_ops close_month_screen = {.name = "close month",
                                              .open = open_screen,
                                              .close = close_screen,
                                              .draw = draw,
                                              .places = places,
                                              .takes_text = takes_text,
                                              .ignores = ignores,
                                              .command = do_command,
                                              .hint = hint};
