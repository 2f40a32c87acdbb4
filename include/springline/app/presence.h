/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Which seats have a case open: a word of warning, and no lock. What two seats save all the same is
 * compared at the save (app/conflict.h). Nothing here waits for another seat: what can not be done
 * now is done at a later tick.
 */
#ifndef SPRINGLINE_APP_PRESENCE_H
#define SPRINGLINE_APP_PRESENCE_H

#include "springline/app/app.h"

/* Both our own judgement, no source: a seat whose program was killed is named for three minutes at
 * most, and a living one has two tries more before it is forgotten. */
enum { PRESENCE_RENEW_S = 60, PRESENCE_STALE_S = 180 };

/* Says that this seat has the case open; *since is when it was opened, INSTANT_NONE: now, and
 * filled. False: the store is busy, or says no. */
bool presence_say(struct app *app, const struct id *casefile, instant *since);
/* This seat has no case open any more. False: the store is busy, or says no. */
bool presence_end(struct app *app);

/* True when anything was written elsewhere since the last call with this version, 0 at first: then
 * it is worth a look who else is there. */
bool presence_changed(struct app *app, int64_t *version);
/*
 * Appends who else has the case open: "open at another seat since 09:15 UTC: Ada Example,
 * ada@pts/3", " (and 2 more)"; nothing: nobody. False: the store is busy, or says no.
 */
bool presence_others(struct app *app, const struct id *casefile, struct text *out);

#endif
