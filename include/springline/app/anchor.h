/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A head of the ledger that was kept outside the store: printed with the month, or in the manifest
 * of a backup. A chain alone sees neither that its end was cut off nor that all of it was hashed
 * anew; held against a head that nobody could reach it sees both.
 */
#ifndef SPRINGLINE_APP_ANCHOR_H
#define SPRINGLINE_APP_ANCHOR_H

#include "springline/app/app.h"

enum { ANCHOR_DIGITS = 64, ANCHOR_DIGITS_LEAST = 16 };

struct anchor {
    int64_t sequence;               /* row of the ledger */
    char digits[ANCHOR_DIGITS + 1]; /* its hash from the first hex digit on, lower case */
    struct id practice;             /* whose store it is of; none: not told */
};

/*
 * "2309:dd062d59 8a98f2db ...": a row and its hash as verify and the month print them, blanks and
 * line ends anywhere behind the colon, ANCHOR_DIGITS_LEAST digits at least (the first ones),
 * capitals or not. STATUS_USAGE: it is none.
 */
enum status anchor_from_text(const char *text, struct anchor *anchor, struct error *error);
/* What stands in a manifest that backup wrote; name: of the file, for the sentence. STATUS_INPUT:
 * it is none. */
enum status anchor_from_manifest(const char *content, const char *name, struct anchor *anchor,
                                 struct error *error);
/* Appends a row and its hash as anchor_from_text takes them. */
void anchor_add(struct text *out, int64_t sequence, const uint8_t hash[32]);

/*
 * Holds the store against it: a line appended to out where it fits, STATUS_DAMAGED where it does
 * not (cut off, hashed anew, another store), the sentence says which. It proves what it says only
 * of a store that verify has found sound.
 */
enum status anchor_hold(struct app *app, const struct anchor *anchor, struct text *out,
                        struct error *error);

#endif
