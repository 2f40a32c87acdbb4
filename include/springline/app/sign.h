/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Signatures. A saved row counts in the rules at once; a signature adds who answers for it: the
 * printed name, the instant, the meaning (21 CFR 11.50), bound to the row by the hash of its ledger
 * row (11.70): of its content, its place and everything before it. A correction is a row of its own
 * and needs its own.
 */
#ifndef SPRINGLINE_APP_SIGN_H
#define SPRINGLINE_APP_SIGN_H

#include "springline/app/app.h"

/*
 * Appends the signature of the person who sits here under a row, inside an open save of a command
 * that only an orthodontist may give. sequence: the row's place in the ledger, in this save or
 * before. proof: as secret_prove gave it. STATUS_INPUT: the row is signed already.
 */
enum status sign_append(struct app *app, const char *table, const struct id *row, int64_t sequence,
                        enum meaning meaning, enum proof proof, struct error *error);

/* bytes in lower-case hexadecimal, with an end. */
void sign_hex(const uint8_t *bytes, size_t count, char *out);

#endif
