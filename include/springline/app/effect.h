/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What a correction does to the verdicts that were stored later. A stored verdict is never changed;
 * it is marked where the record behind it, as it stands now, gives another one.
 */
#ifndef SPRINGLINE_APP_EFFECT_H
#define SPRINGLINE_APP_EFFECT_H

#include "springline/app/app.h"
#include "springline/core/rules.h"

struct effect_row {
    const struct visit *visit;   /* of the history given */
    const struct judged *judged; /* its stored verdict */
    struct judgement now;        /* by the record as it stands, under the settings of then; its
                                    expander is NULL; verdict 0: none can be given */
};

struct effects {
    struct effect_row *rows; /* by date, then arch */
    size_t count;
};

/*
 * The visits of history whose stored verdict (or an amount it permitted) is another one by the
 * record as it stands: judged as of the visit's day, under the protocol row and the width error it
 * was stored with. Verdicts of another rules version are passed over. Rows in arena.
 */
enum status effect_marks(struct app *app, const struct history *history, struct arena *arena,
                         struct effects *effects, struct error *error);

/* Those of after that are not in before with the same answer: what a correction would change. */
enum status effect_added(const struct effects *before, const struct effects *after,
                         struct arena *arena, struct effects *added, struct error *error);

/* Appends "2026-10-30 upper: REDUCE was stored, by the record as it stands it is HOLD". */
void effect_tell(struct text *out, const struct effect_row *row);
/* Appends what was stored: "REDUCE"; with the amounts permitted where only these differ. */
void effect_stored(struct text *out, const struct effect_row *row);
/* Appends what it is now, likewise. "NO VERDICT": by the record as it stands the arch can not be
 * judged on that day. */
void effect_now(struct text *out, const struct effect_row *row);

#endif
