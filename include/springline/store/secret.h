/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Seat state of signing in: how a login proves who it is, and how often that failed. Changed in
 * place, outside ledger and export; what changed is told by a row of the log (struct access), which
 * app writes in the same save. The store makes no secret and compares none.
 */
#ifndef SPRINGLINE_STORE_SECRET_H
#define SPRINGLINE_STORE_SECRET_H

#include "springline/store/store.h"

struct secret {
    const char *login;
    const char *passphrase, *pin; /* argon2id strings; NULL: none */
    instant set_at;               /* when either was last set */
    instant once_until;           /* the passphrase was given by somebody else and works until then;
                                     INSTANT_NONE: it is its person's own */
    int32_t pin_failures;         /* wrong PINs since the last right one */
};

/* The secrets of a login, texts in arena. STATUS_NOT_FOUND without a sentence: it has none. */
enum status store_read_secret(struct store *store, const char *login, struct arena *arena,
                              struct secret *secret, struct error *error);
/* Writes or replaces them, inside a save. STATUS_INPUT: no argon2id string. */
enum status store_put_secret(struct store *store, const struct secret *secret, struct error *error);
typedef enum status (*store_secret_visitor)(void *context, const struct secret *secret,
                                            struct error *error);
/* Those of every login, by login. */
enum status store_each_secret(struct store *store, store_secret_visitor visitor, void *context,
                              struct error *error);

struct sign_in_failure {
    int32_t failures;  /* in a row */
    instant newest_at; /* INSTANT_NONE: there are none */
};

/* The failed sign-ins of a login since its last good one; none of them is STATUS_OK too. */
enum status store_read_failure(struct store *store, const char *login,
                               struct sign_in_failure *failure, struct error *error);
/* Writes or replaces them, inside a save; none removes the row, and with it those of "?" and 64
 * digits, which stand for logins that are none, once they are a month old. */
enum status store_put_failure(struct store *store, const char *login,
                              const struct sign_in_failure *failure, struct error *error);

struct store_logged {
    struct access access;
    const char *seat; /* of the save; NULL: none */
};
/*
 * Rows of the log (struct store_logged), newest first: those of one sort and, unless login is NULL,
 * about that login; what ACCESS_NONE: every row (login is not looked at). A visitor that has seen
 * enough returns STATUS_NO, and the reading is STATUS_OK.
 */
enum status store_each_access(struct store *store, enum access_what what, const char *login,
                              store_row_visitor visitor, void *context, struct error *error);

#endif
