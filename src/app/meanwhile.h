/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What was saved between two places of the ledger of one case, or of one record: each version of
 * each record and each withdrawal, by whom. Behind app/conflict.h.
 */
#ifndef SPRINGLINE_APP_MEANWHILE_H
#define SPRINGLINE_APP_MEANWHILE_H

#include "case_private.h"

struct meanwhile_row {
    enum record_kind kind;
    const union any_record *before; /* NULL: it was entered new */
    const union any_record *now;    /* of a withdrawn one: as it stood last */
    bool withdrawn;
    const char *reason;
    instant at;
    int64_t order; /* its place among those of one instant */
    struct id person, request;
};

struct meanwhile {
    struct meanwhile_row *rows; /* in the order they were saved */
    size_t count, capacity;
};

static inline unsigned kind_bit(enum record_kind kind)
{
    return 1U << (unsigned)kind;
}

/* What was saved of a case after the place from, up to the place to (STORE_NOW: all), of the kinds
 * whose bits are set. Appends; rows and texts in arena. */
enum status meanwhile_of_case(struct app *app, const struct id *casefile, int64_t from, int64_t to,
                              unsigned kinds, struct arena *arena, struct meanwhile *list,
                              struct error *error);
/* The same of one record that may be of no case, unless the list has it. */
enum status meanwhile_of_record(struct app *app, enum record_kind kind, const struct id *record,
                                int64_t from, int64_t to, struct arena *arena,
                                struct meanwhile *list, struct error *error);
/* Entries that were left at an instant are gone on with: what was saved since then was saved
 * meanwhile. Sets *opened_at back to its place in the ledger, never on. */
enum status meanwhile_since(struct app *app, instant at, int64_t *opened_at, struct error *error);
/* Puts the rows in their order. */
void meanwhile_sort(struct meanwhile *list);

/* One line for each save, "2026-11-25 09:15 UTC, by Ada Example (ada@pts/3), visit", and below it
 * one for each row, indented. */
enum status meanwhile_tell(struct app *app, const struct meanwhile *list, struct arena *arena,
                           struct lines *lines, struct error *error);
/* Appends when and by whom: "2026-11-25 09:15 UTC, by Ada Example (ada@pts/3)". */
enum status meanwhile_tell_save(struct app *app, struct text *out, const struct meanwhile_row *row,
                                struct text *command, struct error *error);

#endif
