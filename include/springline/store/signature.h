/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Signatures in the store: which rows want one, which wait for it, which have it. To be signed are
 * the visits recorded here, each version for itself, and the withdrawals of visits; not what came
 * with an import (nobody here examined it), nor that somebody did not come. What was recorded
 * before the store could hold signatures is not asked for, and may be signed all the same.
 */
#ifndef SPRINGLINE_STORE_SIGNATURE_H
#define SPRINGLINE_STORE_SIGNATURE_H

#include "springline/store/store.h"

/* A current row that nobody has signed. */
struct unsigned_row {
    bool withdrawal; /* the withdrawal of a visit; else a visit */
    struct id row;   /* the visit's, or the withdrawal's own */
    instant recorded_at;
    struct id person;                    /* who recorded it; none: nobody was signed in */
    struct visit visit;                  /* itself, or the one withdrawn */
    const char *number, *family, *given; /* of its case, as they stand now; "" not known */
};
typedef enum status (*store_unsigned_visitor)(void *context, const struct unsigned_row *row,
                                              struct error *error);
/* Every row that waits for a signature, by its place in the ledger, as of a past moment too. */
enum status store_each_unsigned(struct store *store, int64_t as_of, store_unsigned_visitor visitor,
                                void *context, struct error *error);
/* How many wait now, and when the oldest was recorded; INSTANT_NONE: none does. May be called after
 * store_open_first. */
enum status store_count_unsigned(struct store *store, int64_t *count, instant *oldest,
                                 struct error *error);

/* The unsigned rows of visits dated from one day to another. */
struct unsigned_sums {
    int64_t visits;      /* that wait for a signature */
    int64_t withdrawals; /* the same: visits of those days that were withdrawn */
    int64_t before;      /* visits recorded before the store could hold signatures: not asked for */
};
/* As of a past moment too; from and to are included. */
enum status store_sum_unsigned(struct store *store, day from, day to, int64_t as_of,
                               struct unsigned_sums *sums, struct error *error);

enum signing {
    SIGNING_NONE,   /* nothing to sign: imported, missed, replaced by a newer version */
    SIGNING_BEFORE, /* not signed, recorded before the store could hold signatures */
    SIGNING_WAITS,
    SIGNING_DONE
};

/* What is to be signed of a visit. */
struct to_sign {
    enum signing signing;
    bool withdrawal; /* of the visit; else the visit */
    struct id row;
    int64_t sequence; /* its place in the ledger */
    int32_t version;  /* of the visit */
};
/* Of the newest row of a visit (row: head.id), or, where that is withdrawn, of its withdrawal. Also
 * inside a save. STATUS_NOT_FOUND without a sentence: no such row. */
enum status store_read_to_sign(struct store *store, const struct id *row, struct to_sign *to_sign,
                               struct error *error);
/* Is any version of this record of a visit signed, or its withdrawal? Also inside a save. */
enum status store_visit_is_signed(struct store *store, const struct id *record, bool *is_signed,
                                  struct error *error);

/* The signature under a row of a visit of a case, or that it waits for one. */
struct signed_row {
    struct id visit;      /* the row of the visit (head.id) */
    bool withdrawal;      /* its withdrawal's; else its own */
    enum signing signing; /* SIGNING_WAITS or SIGNING_DONE; of what waits the rest is empty */
    instant at;
    const char *name;
    enum meaning meaning;
    enum proof proof;
};
struct signed_rows {
    const struct signed_row *rows;
    size_t count;
};
/* Those of every version of every visit of a case, now, into arena, in no order. */
enum status store_read_signed(struct store *store, const struct id *casefile, struct arena *arena,
                              struct signed_rows *rows, struct error *error);

/*
 * Is every signature what it says? Each stands under a row of its kind that the ledger has at the
 * hash signed, recorded before it; no row has two; whoever signed was an orthodontist then, of that
 * name; a practice of one that is not asked was one; and what waits for a signature is what follows
 * from the rows. Appends a line for each finding; STATUS_DAMAGED: there are some. Not inside a
 * save.
 */
enum status store_verify_signatures(struct store *store, struct text *findings, int64_t *signatures,
                                    struct error *error);

#endif
