/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Signing in with login and passphrase; a one-time passphrase is replaced here. */
#include "door.h"
#include "springline/app/sign_in.h"

enum { LOGIN, PASSPHRASE, REPLACEMENT, AGAIN, FIELDS };

static const struct door_field fields[FIELDS] = {
    [LOGIN] = {"login", "Your login name in this practice.", DOOR_TEXT},
    [PASSPHRASE] = {"passphrase",
                    "Your passphrase, or a one-time one you were given. It is not "
                    "shown.",
                    DOOR_SECRET},
    [REPLACEMENT] = {"new passphrase",
                     "A passphrase of your own: 8 characters or more, 15 are "
                     "advised, of any kind.",
                     DOOR_SECRET},
    [AGAIN] = {"once more", "The same again, so that no slip is kept.", DOOR_SECRET},
};

/* The new one only once a one-time one was right. */
static bool asked(const struct door *door, int field)
{
    return door->more || field < REPLACEMENT;
}

/* Another login than the one whose passphrase was right: begin anew. */
static void refuse(struct ui *ui, struct door *door, const struct error *error)
{
    bool wanting = error->status == STATUS_INPUT && door->more;

    door->more = wanting;
    door_ask_again(ui, door, wanting ? REPLACEMENT : PASSPHRASE);
    ui_say_error(ui, error);
}

static void done(struct ui *ui, struct door *door)
{
    const struct sign_in_entry entry = {.login = door_text(door, LOGIN),
                                        .passphrase = door_text(door, PASSPHRASE),
                                        .replacement =
                                            door->more ? door_text(door, REPLACEMENT) : NULL};
    struct text told = {0};
    struct error error = {0};
    bool replace = false;

    if (entry.login[0] == '\0' || entry.passphrase[0] == '\0') {
        door->focus = entry.login[0] == '\0' ? LOGIN : PASSPHRASE;
        return;
    }
    if (door->more && !door_same(ui, door, REPLACEMENT, AGAIN))
        return;
    if (door->more && entry.replacement[0] == '\0') {
        door_ask_again(ui, door, REPLACEMENT);
        return;
    }
    if (sign_in_with(ui->app, &entry, &replace, &told, &error) != STATUS_OK) {
        refuse(ui, door, &error);
    } else if (replace) {
        door->more = true;
        door_ask_again(ui, door, REPLACEMENT);
        ui_say(ui, "This passphrase was for once: choose one of your own.");
    } else {
        ui_enter(ui, text_string(&told)); /* closes the door */
    }
    text_release(&told);
}

/* Back to the lock; at the start there is nowhere to go but out. */
static void leave(struct ui *ui, struct door *door)
{
    if (ui->doors > 1)
        ui_pop(ui);
    else if (door_text(door, LOGIN)[0] != '\0')
        door_ask_again(ui, door, LOGIN);
    else
        ui_say(ui, "Ctrl-Q leaves the program.");
}

static const struct door_kind kind = {.title = "springline: sign in",
                                      .fields = fields,
                                      .field_count = FIELDS,
                                      .asked = asked,
                                      .done = done,
                                      .leave = leave};

static enum status sign_in_open(struct ui *ui, const void *argument, void **state,
                                struct error *error)
{
    (void)argument;
    return door_open(ui, &kind, "Nothing is shown before it is known who sits here.", state, error);
}

const struct screen_ops sign_in_screen = {.name = "sign-in",
                                          .open = sign_in_open,
                                          .close = door_close,
                                          .draw = door_draw,
                                          .places = door_places,
                                          .takes_text = door_takes_text,
                                          .ignores = door_ignores,
                                          .command = door_command,
                                          .hint = door_hint};
