/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A one-time passphrase for somebody else: asked once, shown once, wiped. */
#include <stdio.h>
#include <stdlib.h>

#include "door.h"
#include "springline/app/secret.h"

struct reset {
    char login[APP_NAME_SIZE];
    char once[SECRET_ONCE_SIZE]; /* "": not given yet */
    int64_t asked_at_ms;
};

static enum status reset_open(struct ui *ui, const void *argument, void **state,
                              struct error *error)
{
    struct reset *reset = calloc(1, sizeof *reset);

    if (reset == NULL)
        return error_no_memory(error);
    snprintf(reset->login, sizeof reset->login, "%s", (const char *)argument);
    reset->asked_at_ms = ui_now_ms(ui);
    *state = reset;
    return STATUS_OK;
}

static void reset_close(struct ui *ui, void *state)
{
    (void)ui;
    secret_wipe(state, sizeof(struct reset));
    free(state);
}

static void reset_draw(struct ui *ui, void *state, int rows)
{
    const struct reset *reset = state;
    struct panel panel = {0};
    struct text line = {0};

    text_add(&line, "one-time passphrase of ");
    text_add_shown(&line, reset->login);
    grid_put(&ui->grid, 0, 0, ui_title_cells(ui), LOOK_BOLD, text_string(&line));
    if (reset->once[0] != '\0') {
        panel_add(&panel, LOOK_BOLD, 0, reset->once);
        panel_add(&panel, LOOK_PLAIN, 0,
                  "Tell it to this person now: it is shown this once, lives 24 hours, and is "
                  "replaced by one of their own when they sign in with it.");
    } else {
        panel_add(&panel, LOOK_PLAIN, 0,
                  "The passphrase and PIN that stand will not work any more.");
    }
    panel_draw(&panel, &ui->grid, 2, 0, rows - 2, ui->grid.columns, 0);
    panel_release(&panel);
    text_release(&line);
}

static unsigned reset_places(const void *state)
{
    return ((const struct reset *)state)->once[0] == '\0' ? PLACE_ASK : PLACE_READ;
}

/* Nothing is thrown away here: the key for that is none. */
static bool reset_takes_text(const void *state, const struct key *key)
{
    return ((const struct reset *)state)->once[0] == '\0' && key->press == PRESS_NONE &&
           key->character == '-';
}

static bool reset_ignores(const struct ui *ui, const void *state, const struct key *key)
{
    const struct reset *reset = state;

    return !key->pasted && ui_now_ms(ui) - reset->asked_at_ms < UI_DEAF_MS;
}

static void reset_command(struct ui *ui, void *state, enum command command, const struct key *key)
{
    struct reset *reset = state;
    struct error error = {0};
    bool asking = reset->once[0] == '\0';

    (void)key;
    if (asking && command == COMMAND_YES) {
        if (secret_reset(ui->app, reset->login, reset->once, &error) == STATUS_OK) {
            reset->asked_at_ms = ui_now_ms(ui);
            return;
        }
        ui_pop(ui);
        ui_say_error(ui, &error);
    } else if (command == COMMAND_BACK || command == COMMAND_LEAVE || command == COMMAND_NO) {
        ui_pop(ui);
    }
}

static void reset_hint(struct ui *ui, const void *state, struct text *out)
{
    (void)ui;
    text_add(out, ((const struct reset *)state)->once[0] == '\0'
                      ? "Give a one-time passphrase? Enter gives it, / does not."
                      : "Esc or / wipes it from this screen.");
}

const struct screen_ops reset_screen = {.name = "reset",
                                        .open = reset_open,
                                        .close = reset_close,
                                        .draw = reset_draw,
                                        .places = reset_places,
                                        .takes_text = reset_takes_text,
                                        .ignores = reset_ignores,
                                        .command = reset_command,
                                        .hint = reset_hint};
