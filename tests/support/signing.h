/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Visits entered, signed, corrected and withdrawn at the app layer, in a practice of several
 * (team.h) or of one. Every call but those that return a status fails the test on an error. */
#ifndef SPRINGLINE_TESTS_SIGNING_H
#define SPRINGLINE_TESTS_SIGNING_H

#include "form_bench.h"
#include "springline/app/lists_unsigned.h"
#include "springline/app/sign.h"

/* The typical case in a new store: whoever works alone, or Dr Ada with the others. */
void signing_open_alone(struct form_bench *bench, const char *name);
void signing_open(struct form_bench *bench, const char *name);
/* The visit of today, entered as far as the save. */
enum status signing_save_visit(struct form_bench *bench, enum proof proof, bool *is_signed);
/* The proof for what is typed. */
enum proof signing_prove(struct form_bench *bench, const char *typed);
/* Signs what a record of a visit has to be signed now. */
enum status signing_later(struct form_bench *bench, const struct id *record, const char *typed);
/* Opens the form that corrects or withdraws a visit. */
enum status signing_change(struct form_bench *bench, enum form_kind kind, const struct id *row);
/* Corrects the note of the newest visit. */
void signing_correct(struct form_bench *bench, const char *note, enum proof proof);

/* The single number a query gives. */
int64_t signing_number(const struct form_bench *bench, const char *sql);
/* The visit recorded last. */
const struct visit *signing_newest(struct form_bench *bench);
/* What waits for a signature, and how much. */
size_t signing_waiting(struct form_bench *bench, struct unsigned_list *list);
/* The store verifies, signatures too. */
void signing_assert_sound(struct form_bench *bench);
/* There is one such signature: its hash that of the ledger row of what it stands under, its name
 * that of its person, and it came last in its save. */
void signing_assert_signature(struct form_bench *bench, const char *kind, const char *meaning,
                              const char *proof);

#endif
