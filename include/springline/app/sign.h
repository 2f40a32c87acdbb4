/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Signatures. A saved row counts in the rules at once; a signature adds who answers for it: the
 * printed name, the instant, the meaning (21 CFR 11.50), bound to the row by the hash of its ledger
 * row (11.70): of its content, its place and everything before it. A correction is a row of its own
 * and needs its own; so does a withdrawal. What wants one: springline/store/signature.h.
 *
 * A visit is signed by its own row's hash, not by that of the verdict stored behind it: the
 * signature comes last in its save, so its own ledger row covers the verdict too.
 *
 * Whoever signs proves at each signature who they are (11.200(a)(1)(i)), before the save: that
 * takes a quarter second, and nothing may wait inside one. A proof counts for one save. In a
 * practice of one that chose not to be asked, whatever wants a signature is signed as it is saved.
 */
#ifndef SPRINGLINE_APP_SIGN_H
#define SPRINGLINE_APP_SIGN_H

#include "springline/app/app.h"
#include "springline/store/signature.h"

enum sign_way {               /* of what is saved */
                SIGN_LATER,   /* not at all: it waits for an orthodontist */
                SIGN_AT_ONCE, /* with the save, nothing is asked */
                SIGN_BY_PIN   /* with the save when a PIN is typed, else it waits */
};
/* How the person who sits here signs what they save. */
enum sign_way sign_way(const struct app *app);

/*
 * The proof for the save that follows; "" typed: none, which is no failure. subject: case number.
 * STATUS_INPUT: too short for a PIN, nothing was tried. STATUS_REFUSED, logged: who sits here may
 * not sign, or proved nothing. Not inside a save.
 */
enum status sign_prove(struct app *app, const char *subject, const char *typed, enum proof *proof,
                       struct error *error);

/*
 * Inside an open save, last: signs a row of a visit (head.id), or, where it is withdrawn, its
 * withdrawal, if that waits for a signature. given PROOF_NONE: not signed, but in a practice of one
 * that is not asked. *is_signed says whether it was.
 */
enum status sign_saved(struct app *app, const struct id *row, enum proof given, bool *is_signed,
                       struct error *error);

/* Was anything signed with a save that is in the store? For one that was tried twice. */
enum status sign_was_saved(struct app *app, const struct id *request, bool *is_signed,
                           struct error *error);

/*
 * Appends the signature of the person who sits here under a row, inside an open save of a command
 * that only an orthodontist may give. sequence: the row's place in the ledger, in this save or
 * before. proof: as secret_prove gave it. STATUS_INPUT: the row is signed already. STATUS_REFUSED:
 * who sits here may not sign.
 */
enum status sign_append(struct app *app, const char *table, const struct id *row, int64_t sequence,
                        enum meaning meaning, enum proof proof, struct error *error);

/* bytes in lower-case hexadecimal, with an end. */
void sign_hex(const uint8_t *bytes, size_t count, char *out);

/* ---- later ---- */

/* What there is to sign of a record of a visit (head.record) now. STATUS_NOT_FOUND: no such one. */
enum status sign_find(struct app *app, const struct id *record, struct to_sign *to_sign,
                      struct error *error);
/* The same for who is about to sign it. STATUS_INPUT with a sentence: it is signed, or nothing that
 * is signed here. STATUS_REFUSED, logged: who sits here may not. Not inside a save. */
enum status sign_ask(struct app *app, const struct id *record, struct to_sign *to_sign,
                     struct error *error);
/* As what it is signed. */
enum meaning sign_means(const struct to_sign *to_sign);
/*
 * Signs what was shown, in a save of its own. STATUS_CONFLICT: it was corrected, withdrawn or
 * signed at another seat meanwhile. STATUS_INPUT, STATUS_REFUSED: as sign_prove; nothing typed is
 * refused too, but in a practice of one that is not asked.
 */
enum status sign_later(struct app *app, const struct id *record, const struct to_sign *shown,
                       const char *typed, struct error *error);

/*
 * What is signed is corrected and withdrawn by an orthodontist alone. STATUS_REFUSED without a
 * sentence: the visit is signed, and who sits here is none; app_refuse tells and logs it, outside
 * the save (COMMAND_AMEND).
 */
enum status sign_may_amend(struct app *app, const struct id *record, struct error *error);

/* The visits of a month without a signature, as of a past moment too: for its account. month: its
 * first day. */
enum status sign_unsigned_in_month(struct app *app, day month, int64_t as_of,
                                   struct unsigned_sums *sums, struct error *error);

/* ---- telling ---- */

/* "examined and decided" */
const char *sign_meaning(enum meaning meaning);
/* Appends "signed by Dr Ada Example, 2026-11-25 10:12 UTC, examined and decided"; "not signed". */
void sign_tell(struct text *out, const struct signed_row *row);
/* The row among those of a case that stands under a visit's row, or under its withdrawal; NULL:
 * there is nothing to say of it. */
const struct signed_row *sign_of(const struct signed_rows *rows, const struct id *visit,
                                 bool withdrawal);

#endif
