/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Everything kept of one patient, to be handed to the family or to another practice (GDPR 15 and
 * 20, from memory; 21 CFR 11.10(b)): every version of every row, current, replaced or withdrawn,
 * with who, when, why and its place in the ledger; verdicts with their sentences; signatures, what
 * the log says, unsaved forms; and a text that a parent can read.
 */
#ifndef SPRINGLINE_APP_SUBJECT_H
#define SPRINGLINE_APP_SUBJECT_H

#include "springline/app/app.h"

/* Takes the files one after the other, in whatever form they are kept. */
struct subject_taker {
    /* Another seat saved meanwhile: what was taken so far is thrown away, and all of it comes once
     * more. */
    void (*restart)(void *context);
    /* A file of rows begins: "visits.csv". */
    enum status (*begin)(void *context, const char *name, struct error *error);
    /* One row of it, the header first; texts are guarded against formulas as an export's are. */
    enum status (*row)(void *context, const char *const *cells, size_t count, struct error *error);
    /* A whole text: "record.txt", the last one. */
    enum status (*text)(void *context, const char *name, const char *content, struct error *error);
    void *context;
};

/*
 * Hands everything about the patient with this chart number to taker, of one moment. That it is
 * taken is logged first, so that the copy holds its own log row. STATUS_NOT_FOUND, STATUS_REFUSED;
 * STATUS_BUSY: other seats kept saving.
 */
enum status subject_copy(struct app *app, const char *chart, const struct subject_taker *taker,
                         struct error *error);

#endif
