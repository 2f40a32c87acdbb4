/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One's own passphrase and PIN. */
#include "door.h"
#include "springline/app/secret.h"

enum { OLD, PASSPHRASE, PASSPHRASE_AGAIN, PIN, PIN_AGAIN, FIELDS };

static const struct door_field fields[FIELDS] = {
    [OLD] = {"now", "The passphrase that stands, or the PIN where there is no passphrase.",
             DOOR_SECRET},
    [PASSPHRASE] = {"new passphrase",
                    "8 characters or more, 15 are advised, of any kind. Empty: it "
                    "stays.",
                    DOOR_SECRET},
    [PASSPHRASE_AGAIN] = {"once more", "The same again, so that no slip is kept.", DOOR_SECRET},
    [PIN] = {"new PIN", "4 to 8 digits: signs, and opens the lock. Empty: it stays.", DOOR_SECRET},
    [PIN_AGAIN] = {"once more", "The same again, so that no slip is kept.", DOOR_SECRET},
};

/* The old one where it is asked for; a repetition of what was typed. */
static bool asked(const struct door *door, int field)
{
    if (field == OLD)
        return door->more;
    return (field != PASSPHRASE_AGAIN && field != PIN_AGAIN) ||
           door_text(door, field - 1)[0] != '\0';
}

static void done(struct ui *ui, struct door *door)
{
    const struct secret_change change = {.old = door_text(door, OLD),
                                         .passphrase = door_text(door, PASSPHRASE),
                                         .pin = door_text(door, PIN)};
    struct error error = {0};

    if ((change.passphrase[0] != '\0' && !door_same(ui, door, PASSPHRASE, PASSPHRASE_AGAIN)) ||
        (change.pin[0] != '\0' && !door_same(ui, door, PIN, PIN_AGAIN)))
        return;
    if (secret_change(ui->app, &change, &error) == STATUS_OK) {
        ui_pop(ui);
        ui_say(ui, "Set. The PIN signs and opens the lock; the passphrase signs you in.");
        return;
    }
    door_ask_again(ui, door, error.status == STATUS_INPUT ? PASSPHRASE : OLD);
    ui_say_error(ui, &error);
}

static void leave(struct ui *ui, struct door *door)
{
    (void)door;
    ui_pop(ui);
    ui_say(ui, "Nothing was changed.");
}

static const struct door_kind kind = {.title = "your passphrase and PIN",
                                      .fields = fields,
                                      .field_count = FIELDS,
                                      .asked = asked,
                                      .done = done,
                                      .leave = leave};

static enum status secret_open(struct ui *ui, const void *argument, void **state,
                               struct error *error)
{
    struct door *door;
    bool old;

    (void)argument;
    enum status status = secret_asks_old(ui->app, &old, error);
    if (status == STATUS_OK)
        status = door_open(ui, &kind, "", state, error);
    if (status != STATUS_OK)
        return status;
    door = *state;
    door->more = old;
    door->focus = old ? OLD : PASSPHRASE;
    return STATUS_OK;
}

const struct screen_ops secret_screen = {.name = "secret",
                                         .open = secret_open,
                                         .close = door_close,
                                         .draw = door_draw,
                                         .places = door_places,
                                         .takes_text = door_takes_text,
                                         .ignores = door_ignores,
                                         .command = door_command,
                                         .hint = door_hint};
