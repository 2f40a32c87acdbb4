/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What the form engine (form.c, form_enter.c, form_save.c, form_draft.c) and the templates
 * (form_*.c) share. A template is data: which records (slots), which of their fields, in which
 * order; and functions for what data can not say.
 */
#ifndef SPRINGLINE_APP_FORM_PRIVATE_H
#define SPRINGLINE_APP_FORM_PRIVATE_H

#include "exchange_private.h"
#include "springline/app/form.h"

/* One field of a form: a field of the record in a slot. */
struct form_item {
    int slot;
    const char *name;  /* of the field: as in record_tables[] ("fitted_on", "mm") */
    const char *label; /* NULL: the name, with blanks for underscores */
    const char *help;
    const char *heads;
    unsigned flags;
};
enum {
    ITEM_REQUIRED = 1,
    ITEM_TODAY = 2, /* Enter alone takes today */
    ITEM_FIRST = 4, /* the form begins here */
    ITEM_LOCKED = 8 /* shown, never entered */
};

/* One record being written. */
struct form_slot {
    enum record_kind record;
    union any_record now;    /* with what is typed so far */
    union any_record before; /* as recorded; blank for a new one */
    bool present;            /* there is a row of before (head.version > 0) */
    bool write;              /* append it, if anything changed; templates may clear it */
    const char *copied_from; /* a new record that is a copy, of what is called so; else NULL */
};

struct form_template {
    enum form_kind kind;
    const char *name; /* of the draft and of the request: "fit" */
    const char *title;
    const struct form_item *items;
    int item_count;
    bool asks_why;                      /* a reason is asked for, whatever changes */
    enum record_kind slots[FORM_SLOTS]; /* RECORD_KIND_COUNT: unused */
    /* Fills the slots from the history (which row is changed, keys of a new one) before the fields
     * are made; STATUS_INPUT: this form makes no sense now. NULL: nothing. */
    enum status (*prepare)(struct app *app, struct form *form, struct error *error);
    /* After the fields are made and after every entry: skipped, if_empty, required, choices of the
     * fields that depend on others. NULL: nothing depends. */
    void (*follow)(struct app *app, struct form *form);
    /* What must be read while it is filled (form_about); false: no memory. NULL: nothing. */
    bool (*about)(const struct app *app, const struct form *form, struct arena *arena,
                  struct lines *lines);
    /* What only the whole form can say; *index the field to go to. NULL: nothing more than the
     * checks of single records, which the engine makes. */
    enum status (*check)(struct app *app, struct form *form, int *index, struct error *error);
    /* Appends cautions to the review. NULL: none. */
    enum status (*warn)(struct app *app, struct form *form, struct arena *arena,
                        struct lines *lines, struct error *error);
    /* Inside the save, before the slots are appended: sets what follows from the fields (a booking
     * kept, the alerts), appends further rows. NULL: nothing. */
    enum status (*append)(struct app *app, struct form *form, struct app_save *save,
                          struct error *error);
    /* What append will write beside the slots (a booking kept, the alerts), put into the case as it
     * would be, which holds the slots already: the review tells it. NULL: nothing. */
    enum status (*beside)(struct app *app, const struct form *form, struct arena *arena,
                          struct history *would, struct error *error);
    /*
     * After the engine has read what was typed into field index, before follow. A field of a record
     * holds its value already: TAKEN, or ASK or REFUSED with a sentence. A field of the template's
     * own (bound NULL) holds only what was typed: the template reads it and, TAKEN, fills shown.
     * NULL: every value is taken.
     */
    enum entry (*enter)(struct app *app, struct form *form, int index, char sentence[200]);
};
/*
 * What the engine and the templates count on in each other:
 * - prepare may set form_inner(form)->template to a copy in the arena, with items of its own.
 * - now and before of every slot are blank before prepare; a slot is written unless prepare or
 *   follow clears write. A new record keeps the head.id and the keys that prepare gave it, and
 *   before of a new one counts as blank. A value that before does not hold is filled, not changed.
 * - Any change of an event needs a reason, and any change of what is recorded in a record with a
 *   course; but a reason that prepare or follow puts into now.head.reason stands for the person's.
 * - Fields before the one marked ITEM_FIRST are taken as offered (if_empty) when nobody filled
 * them.
 * - append runs before the slots are appended; a slot whose write it clears it has appended itself.
 * - choices may have gaps (NULL): a digit that is no choice now. if_empty of a choice is its word.
 */

/* form->inner. */
struct form_inner {
    const struct form_template *template;
    struct form_slot slots[FORM_SLOTS];
    const struct field *bound[FORM_FIELDS_MAX]; /* of the record; NULL: the template's own */
    int slot_of[FORM_FIELDS_MAX];
    struct id new_casefile;
    const char *saved; /* the sentence after saving */
    void *kept;        /* of the template, in the arena of the form; NULL at first */
    /* of the engine alone (form_engine.h) */
    union any_record opened[FORM_SLOTS];      /* now, as opened or shown */
    const char *opened_text[FORM_FIELDS_MAX]; /* what stood in a field then */
    const char *asked[FORM_FIELDS_MAX];       /* the unusual value that was asked about */
    const char *reason;                       /* while it is saved: why */
};

/* The template of a kind; never NULL. FORM_CORRECT and FORM_WITHDRAW make their items from the
 * record's table (form_correct.c). */
const struct form_template *form_template(enum form_kind kind);

static inline struct form_inner *form_inner(const struct form *form)
{
    return form->inner;
}
/* The record of a slot, with what is typed so far. */
static inline union any_record *form_now(const struct form *form, int slot)
{
    return &form_inner(form)->slots[slot].now;
}
/* The index of the field of a slot called name; -1: it is not on this form. */
int form_index(const struct form *form, int slot, const char *name);

/* A template put another row into a slot (now, before, present): its fields are made anew from it,
 * and what was typed in them is gone; the fields of the other slots stay. */
void form_show(struct form *form, int slot);

/* Adds one line to a review; false: no memory. */
bool form_add_line(struct arena *arena, struct lines *lines, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

#endif
