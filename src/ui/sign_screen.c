/* SPDX-License-Identifier: GPL-3.0-or-later */
/* sign: what is to be signed, whole, and below it the PIN. */
#include <stdio.h>
#include <stdlib.h>

#include "enter.h"
#include "springline/app/case_view.h"
#include "springline/ui/screens.h"

enum { NAME_BYTES = 200 };

struct sign_view {
    struct record_argument record;
    struct to_sign shown;  /* what stands on the screen: nothing else is signed */
    char name[NAME_BYTES]; /* which visit of whom */
    struct panel panel;
    struct pages pages;
    struct enter enter;
};

static void sign_close(struct ui *ui, void *state)
{
    struct sign_view *view = state;

    (void)ui;
    enter_forget(&view->enter);
    panel_release(&view->panel);
    free(view);
}

static enum status read_record(struct ui *ui, struct sign_view *view, struct error *error)
{
    struct arena arena = {0};
    struct lines lines = {0};

    /* Before the text: what is corrected between the two is noticed when it is signed. */
    enum status status = sign_ask(ui->app, &view->record.record, &view->shown, error);
    if (status == STATUS_OK)
        status =
            case_view_record(ui->app, RECORD_VISIT, &view->record.record, &arena, &lines, error);
    for (size_t i = 0; i < lines.count && status == STATUS_OK; i++)
        panel_add(&view->panel, i == 0 ? LOOK_BOLD : LOOK_PLAIN, 2, lines.line[i]);
    if (lines.count > 0)
        snprintf(view->name, sizeof view->name, "%s", lines.line[0]);
    arena_release(&arena);
    return status == STATUS_OK && view->panel.failed ? error_no_memory(error) : status;
}

static enum status sign_open(struct ui *ui, const void *argument, void **state, struct error *error)
{
    struct sign_view *view = calloc(1, sizeof *view);

    if (view == NULL)
        return error_no_memory(error);
    view->record = *(const struct record_argument *)argument;
    view->panel.below = "more below: . or PageDown";
    enum status status = read_record(ui, view, error);
    if (status != STATUS_OK) {
        sign_close(ui, view);
        return status;
    }
    enter_begin(ui, &view->enter);
    enter_review(ui, &view->enter, true);
    *state = view;
    return STATUS_OK;
}

static void sign_draw(struct ui *ui, void *state, int rows)
{
    struct sign_view *view = state;
    bool roomy = rows >= 2 * enter_caution_rows(ui) + 10;
    int bottom = roomy ? enter_caution_draw(ui, rows) : rows;

    pages_draw(ui, &view->panel, &view->pages, 0, bottom - 1);
    enter_secret_draw(ui, &view->enter, bottom - 1);
}

static unsigned sign_places(const void *state)
{
    return enter_places(&((const struct sign_view *)state)->enter, false);
}

static bool sign_takes_text(const void *state, const struct key *key)
{
    return enter_takes_secret(&((const struct sign_view *)state)->enter, key);
}

static bool sign_ignores(const struct ui *ui, const void *state, const struct key *key)
{
    return enter_ignores(ui, &((const struct sign_view *)state)->enter, key);
}

static void sign_it(struct ui *ui, struct sign_view *view)
{
    struct error error = {0};

    enum status status =
        sign_later(ui->app, &view->record.record, &view->shown, view->enter.editor.text, &error);
    enter_forget(&view->enter);
    if (status == STATUS_OK) {
        ui_say(ui, "Signed by %s, %s: %s.", ui->app->name, sign_meaning(sign_means(&view->shown)),
               view->name);
        ui_pop(ui);
        return;
    }
    enter_warn(ui, &view->enter); /* what was typed ahead of the sentence is no answer to it */
    ui_say_error(ui, &error);
}

static void sign_command(struct ui *ui, void *state, enum command command, const struct key *key)
{
    struct sign_view *view = state;

    enter_strike(&view->enter, key);
    if (command == COMMAND_SAVE || command == COMMAND_SAVE_SIGNED)
        sign_it(ui, view);
    else if (enter_asks_secret(&view->enter) && enter_secret_key(&view->enter, command, key))
        return;
    else if (command == COMMAND_FIELD_BACK || command == COMMAND_BACK)
        ui_pop(ui);
    else
        pages_turn(&view->pages, command);
}

static void sign_hint(struct ui *ui, const void *state, struct text *out)
{
    const struct sign_view *view = state;
    bool asks = enter_asks_secret(&view->enter);

    text_addf(out, "%s as %s, %s: %s signs it, / goes back.",
              view->shown.withdrawal ? "The withdrawal is signed" : "It is signed",
              sign_meaning(sign_means(&view->shown)), ui->app->name,
              asks ? "your PIN and Enter" : "Enter");
}

const struct screen_ops sign_screen = {.name = "sign",
                                       .open = sign_open,
                                       .close = sign_close,
                                       .draw = sign_draw,
                                       .places = sign_places,
                                       .takes_text = sign_takes_text,
                                       .ignores = sign_ignores,
                                       .command = sign_command,
                                       .hint = sign_hint};
