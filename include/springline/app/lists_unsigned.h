/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The visits that nobody has signed: the list they are signed from, and the line that reminds. */
#ifndef SPRINGLINE_APP_LISTS_UNSIGNED_H
#define SPRINGLINE_APP_LISTS_UNSIGNED_H

#include "springline/app/app.h"
#include "springline/store/signature.h"

struct listed_unsigned {
    struct id casefile, record; /* of the visit: head.record */
    struct id row;              /* what is to be signed */
    bool withdrawal;            /* of the visit; else the visit */
    int32_t version;            /* of the visit: from 2 on it is a correction */
    day date;                   /* of the visit */
    enum visit_kind kind;
    enum arch arch;
    um right, left;
    const char *number, *family, *given; /* of the case; "" not known */
    const char *what;                    /* "upper activation R 1.25 L 1.25; ..." */
    const char *by;                      /* who recorded it; "" nobody named */
    int64_t days;                        /* since it was recorded, by the real clock */
};

struct unsigned_list {
    struct listed_unsigned *rows;
    size_t count;
};

/* Every row that waits for a signature, the oldest first, in which every word of folded stands
 * (already folded, "" all). All of it in arena. */
enum status lists_unsigned(struct app *app, const char *folded, struct arena *arena,
                           struct unsigned_list *list, struct error *error);

/* What is to be signed: "visit", "correction" or "withdrawal". */
const char *lists_unsigned_sort(const struct listed_unsigned *row);

/*
 * Appends the line of the day's list: "3 visits unsigned, oldest 12 days"; nothing where none
 * waits, or for whom it is none of their business: whoever sits here is neither orthodontist nor
 * assistant. May be called after store_open_first.
 */
enum status lists_unsigned_line(struct app *app, struct text *out, struct error *error);

#endif
