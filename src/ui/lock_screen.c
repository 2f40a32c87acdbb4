/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The lock: a clock, who locked, and nothing of anybody treated here. */
#include "door.h"
#include "springline/app/sign_in.h"

static const struct door_field fields[] = {
    {"PIN", "Your PIN or passphrase opens it. Esc: somebody else signs in.", DOOR_SECRET}};
static const struct door_field fields_ended[] = {
    {"passphrase",
     "This session is 12 hours old: your passphrase begins another. Esc: somebody "
     "else signs in.",
     DOOR_SECRET}};

static const struct door_kind kind_ended;

/* While it was locked the session may have come to its end. */
static bool end_session(struct ui *ui, struct door *door)
{
    if (door->ended || !ui_session_ended(ui))
        return false;
    door->ended = true;
    door->kind = &kind_ended;
    door_ask_again(ui, door, 0);
    return true;
}

static void done(struct ui *ui, struct door *door)
{
    struct error error = {0};

    if (end_session(ui, door) || door_text(door, 0)[0] == '\0')
        return;
    if (sign_in_reopen(ui->app, door_text(door, 0), door->ended, &error) == STATUS_OK) {
        ui_reopen(ui, door->ended); /* closes the door */
        return;
    }
    door_ask_again(ui, door, 0);
    ui_say_error(ui, &error);
}

static void leave(struct ui *ui, struct door *door)
{
    (void)door;
    ui_push_door(ui, &sign_in_screen, NULL);
}

static const struct door_kind kind = {.title = "springline: locked",
                                      .fields = fields,
                                      .field_count = 1,
                                      .done = done,
                                      .leave = leave};
static const struct door_kind kind_ended = {.title = "springline: locked",
                                            .fields = fields_ended,
                                            .field_count = 1,
                                            .done = done,
                                            .leave = leave};

static enum status lock_open(struct ui *ui, const void *argument, void **state, struct error *error)
{
    const struct lock_argument *wanted = argument;
    enum status status =
        door_open(ui, wanted->ended ? &kind_ended : &kind, wanted->told, state, error);

    if (status == STATUS_OK)
        ((struct door *)*state)->ended = wanted->ended;
    return status;
}

static bool lock_tick(struct ui *ui, void *state)
{
    return end_session(ui, state);
}

const struct screen_ops lock_screen = {.name = "lock",
                                       .open = lock_open,
                                       .close = door_close,
                                       .draw = door_draw,
                                       .places = door_places,
                                       .takes_text = door_takes_text,
                                       .ignores = door_ignores,
                                       .command = door_command,
                                       .hint = door_hint,
                                       .tick = lock_tick};
