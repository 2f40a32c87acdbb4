/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A few fields that prove who sits here: signing in, the lock, one's own passphrase and PIN, the
 * first person. What is secret is never shown, stands in no draft and no message, and is wiped when
 * the door closes.
 *
 * A door is a screen; those that keep people out (ui_push_door) stand above every other screen and
 * let none of them be drawn or asked.
 */
#ifndef SPRINGLINE_UI_DOOR_H
#define SPRINGLINE_UI_DOOR_H

#include "springline/ui/editor.h"
#include "springline/ui/ui.h"

enum { DOOR_FIELDS_MAX = 6, DOOR_TOLD_SIZE = 240 };

enum door_input {
    DOOR_TEXT,
    DOOR_SECRET, /* a sign for each character */
    DOOR_CHOICE  /* 1 or 2, taken at once */
};

struct door;

struct door_field {
    const char *label, *help;
    enum door_input input;
};

/* What a door is for. */
struct door_kind {
    const char *title;
    const struct door_field *fields;
    int field_count;
    /* Is the field asked now? NULL: every one is. */
    bool (*asked)(const struct door *door, int field);
    /* Enter behind the last field. May close the door: the last thing done for a key. */
    void (*done)(struct ui *ui, struct door *door);
    /* Esc, likewise. */
    void (*leave)(struct ui *ui, struct door *door);
};

struct door {
    const struct door_kind *kind;
    struct editor entered[DOOR_FIELDS_MAX];
    int focus;
    int64_t asked_at_ms;       /* when it came: Enter that bounces is no answer */
    char told[DOOR_TOLD_SIZE]; /* above the fields */
    bool more;                 /* of the kind: further fields are asked */
    bool ended;                /* of the lock: only the passphrase opens */
};

/* Opens a door of a kind into *state. told: what stands above the fields; "" nothing. */
enum status door_open(struct ui *ui, const struct door_kind *kind, const char *told, void **state,
                      struct error *error);
/* What was typed into a field. */
const char *door_text(const struct door *door, int field);
/* Empties the secret fields from field on, wiping them, and puts the focus on field. */
void door_ask_again(struct ui *ui, struct door *door, int field);
/* Are two secret fields the same? If not it says so and asks for both again. */
bool door_same(struct ui *ui, struct door *door, int field, int again);

/* ---- the functions of struct screen_ops ---- */

/* Wipes and frees. */
void door_close(struct ui *ui, void *state);
/* Draws what is told and the fields. */
void door_draw(struct ui *ui, void *state, int rows);
/* Of every door. */
unsigned door_places(const void *state);
/* In a secret every character is text. */
bool door_takes_text(const void *state, const struct key *key);
/* Enter right after the door came. */
bool door_ignores(const struct ui *ui, const void *state, const struct key *key);
/* Types, goes from field to field, ends. */
void door_command(struct ui *ui, void *state, enum command command, const struct key *key);
/* What belongs into the field. */
void door_hint(struct ui *ui, const void *state, struct text *out);

/* ---- the doors ---- */

/* Signs somebody in: at the start, or in place of the person who locked. No argument. */
extern const struct screen_ops sign_in_screen;
/* Makes the first orthodontist. No argument. */
extern const struct screen_ops first_screen;
/* The lock. The argument is a struct lock_argument. */
extern const struct screen_ops lock_screen;
struct lock_argument {
    const char *told; /* when, by whom */
    bool ended;       /* the session is over */
};
/* One's own passphrase and PIN: a screen among the others. No argument. */
extern const struct screen_ops secret_screen;

/* A one-time passphrase for somebody else. The argument is the login (const char *). */
extern const struct screen_ops reset_screen;

#endif
