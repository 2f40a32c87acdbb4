/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Two seats and one record. A form that can not be saved, because something it stands on was saved
 * meanwhile, is put beside what is recorded now, field by field: as it was when the form was
 * opened, as it is here, as it is there. Where both changed one field to something else a person
 * decides; what only the other seat changed is taken from there, what only this one changed stays.
 * Whatever else was saved of the case is told, by whom and when. Then the form goes on over the
 * newer records, with its review and its reason; nothing is saved by anything here.
 */
#ifndef SPRINGLINE_APP_CONFLICT_H
#define SPRINGLINE_APP_CONFLICT_H

#include "springline/app/form.h"

enum conflict_take {
    TAKE_OPEN, /* nobody decided yet */
    TAKE_MINE,
    TAKE_THEIRS,
    TAKE_SAME /* both seats changed it to the same */
};

struct conflict_field {
    const char *record;                 /* "patient Marrow, Pip" */
    const char *label;                  /* "telephone" */
    const char *before, *mine, *theirs; /* as shown; "nothing" where nothing is */
    const char *by; /* "2026-11-25 09:15 UTC, by Ada Example (ada@pts/3)"; "" theirs is as before */
    bool both;      /* changed at both seats, to different values: take is decided by a person */
    enum conflict_take take;
    int index; /* of the field in the newer form */
};

struct conflict {
    struct arena arena;
    struct lines saved; /* what was saved meanwhile: a line for each save, below it its rows */
    struct conflict_field fields[FORM_FIELDS_MAX];
    int field_count;
    const char *stuck; /* why the form can not go on at all; "" it can */
    int64_t seen;      /* the place in the ledger up to which all of this tells */
    struct form newer; /* the form over what is recorded now, with what was typed; zeroed: stuck */
};

/*
 * Was anything saved since the form was opened that it stands on: of its case, or a record it
 * changes? For inside a save, up to the newest row. STATUS_CONFLICT then, with a sentence.
 */
enum status conflict_check(struct app *app, const struct form *form, struct error *error);

/* Compares. On failure nothing is left behind; the form is left alone in any case. */
enum status conflict_read(struct app *app, const struct form *form, struct conflict *conflict,
                          struct error *error);
/* The first field that nobody decided; field_count: all are. */
int conflict_open_field(const struct conflict *conflict);
/* Decides a field that was changed at both seats. */
void conflict_decide(struct conflict *conflict, int field, enum conflict_take take);
/*
 * Makes the form the newer one, decided as it is, and writes what is typed as its draft.
 * STATUS_INPUT: something is open, or it is stuck; the form and its draft are as they were then, as
 * on every other failure.
 */
enum status conflict_settle(struct app *app, struct form *form, struct conflict *conflict,
                            struct error *error);
/* Frees it. */
void conflict_release(struct conflict *conflict);

#endif
