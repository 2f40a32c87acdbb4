/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The first start: the first orthodontist, and whether anybody is to be asked who they are. */
#include <string.h>

#include "door.h"
#include "springline/app/secret.h"

enum { NAME, CHOICE, PASSPHRASE, PASSPHRASE_AGAIN, PIN, PIN_AGAIN, FIELDS };

static const struct door_field fields[FIELDS] = {
    [NAME] = {"your name", "As it shall stand beside what you record and sign.", DOOR_TEXT},
    [CHOICE] = {"1 or 2",
                "1: I work alone here, and nobody is asked who they are. 2: everybody is "
                "asked: login, passphrase, PIN.",
                DOOR_CHOICE},
    [PASSPHRASE] = {"passphrase",
                    "Signs you in: 8 characters or more, 15 are advised, of any kind.",
                    DOOR_SECRET},
    [PASSPHRASE_AGAIN] = {"once more", "The same again, so that no slip is kept.", DOOR_SECRET},
    [PIN] = {"PIN", "4 to 8 digits: signs a visit, and opens the lock.", DOOR_SECRET},
    [PIN_AGAIN] = {"once more", "The same again, so that no slip is kept.", DOOR_SECRET},
};

static bool asked(const struct door *door, int field)
{
    return field <= CHOICE || strcmp(door_text(door, CHOICE), "2") == 0;
}

/* Checked before the person is written: what can be refused is refused here. */
static enum status check(struct ui *ui, struct door *door, int *field, struct error *error)
{
    *field = PASSPHRASE;
    enum status status = secret_check_passphrase(ui->app->user, door_text(door, NAME),
                                                 door_text(door, PASSPHRASE), error);
    if (status != STATUS_OK)
        return status;
    *field = PIN;
    return secret_check_pin(door_text(door, PIN), error);
}

static enum status make(struct ui *ui, struct door *door, bool alone, struct error *error)
{
    const struct founder founder = {
        .login = ui->app->user, .name = door_text(door, NAME), .alone = alone};
    const struct secret_change change = {.passphrase = door_text(door, PASSPHRASE),
                                         .pin = door_text(door, PIN)};

    enum status status = app_first_person(ui->app, &founder, error);
    if (status != STATUS_OK || alone)
        return status;
    return secret_change(ui->app, &change, error);
}

static void done(struct ui *ui, struct door *door)
{
    bool alone = strcmp(door_text(door, CHOICE), "1") == 0;
    struct error error = {0};
    int field = NAME;

    if (door_text(door, NAME)[0] == '\0') {
        door->focus = NAME;
        return;
    }
    if (!alone && strcmp(door_text(door, CHOICE), "2") != 0) {
        door->focus = CHOICE;
        return;
    }
    if (!alone && (!door_same(ui, door, PASSPHRASE, PASSPHRASE_AGAIN) ||
                   !door_same(ui, door, PIN, PIN_AGAIN)))
        return;
    if ((!alone && check(ui, door, &field, &error) != STATUS_OK) ||
        (make(ui, door, alone, &error) != STATUS_OK && ui->app->role == ROLE_NONE)) {
        door_ask_again(ui, door, field);
        ui_say_error(ui, &error);
        return;
    }
    /* Only the secrets may still be missing: the day's list says so. */
    ui_enter(ui, error.sentence); /* closes the door */
    ui_begin(ui);
}

static void leave(struct ui *ui, struct door *door)
{
    (void)door;
    ui_say(ui, "Ctrl-Q leaves the program; nothing is recorded yet.");
}

static const struct door_kind kind = {.title = "springline: the first start",
                                      .fields = fields,
                                      .field_count = FIELDS,
                                      .asked = asked,
                                      .done = done,
                                      .leave = leave};

static enum status first_open(struct ui *ui, const void *argument, void **state,
                              struct error *error)
{
    (void)argument;
    return door_open(ui, &kind, "No orthodontist is recorded here: the first one is made now, you.",
                     state, error);
}

const struct screen_ops first_screen = {.name = "first",
                                        .open = first_open,
                                        .close = door_close,
                                        .draw = door_draw,
                                        .places = door_places,
                                        .takes_text = door_takes_text,
                                        .ignores = door_ignores,
                                        .command = door_command,
                                        .hint = door_hint};
