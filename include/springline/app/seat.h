/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What belongs to this seat and no other: its unsaved visits, and whether the others saved. */
#ifndef SPRINGLINE_APP_SEAT_H
#define SPRINGLINE_APP_SEAT_H

#include "springline/app/app.h"

/*
 * The second step of opening a store that store_open_first opened: everything that a key may need.
 * Comes after the first screen and before the first key is taken; a store that does not hold what
 * this program needs is told then (STATUS_UNUSABLE). A whole store has nothing to do.
 */
enum status seat_begin(struct app *app, struct error *error);

/* Whom to tell, from 100 ms on, that something waits for another seat's save; NULL: nobody. It may
 * draw, and must not touch the store. */
void seat_on_waiting(struct app *app, store_waiting waiting, void *context);

struct unsaved {
    struct draft draft; /* texts in the arena */
    const char *number; /* of the case; "" when the case is gone */
    const char *family, *given;
};

struct unsaved_list {
    struct unsaved *rows; /* newest first */
    size_t count;
};

/* The unsaved visits of this user, texts and rows in arena. */
enum status seat_unsaved(struct app *app, struct arena *arena, struct unsaved_list *list,
                         struct error *error);

/* Throws the unsaved visit of a case away; it can not be had back. */
enum status seat_throw_away(struct app *app, const struct id *casefile, struct error *error);

struct seat_mark {
    int64_t version, sequence; /* as last seen; a zeroed struct has seen nothing */
};

/*
 * True when somebody else saved a row since the last call with this mark. Cheap enough for every
 * tick: the ledger is read only when the file changed, and drafts are no change. A store that can
 * not be asked now counts as unchanged and is asked again the next time.
 */
bool seat_changed(struct app *app, struct seat_mark *mark);

/* The same, and who works here was read anew: for ticks, which wait for nobody. False, and asked
 * again the next time, when the store can not be asked now. */
bool seat_people_read(struct app *app, struct seat_mark *mark);

#endif
