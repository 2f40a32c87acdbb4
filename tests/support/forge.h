/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What somebody can do to a store who can write its file: SQL behind the program's back, and the
 * whole ledger hashed anew so that it matches again. Every call fails the test on an error.
 */
#ifndef SPRINGLINE_TESTS_FORGE_H
#define SPRINGLINE_TESTS_FORGE_H

/* Runs SQL on a plain connection, in one transaction: every trigger is dropped before and made
 * again after, references and constraints are not looked at. No store may have the file open.
 * Returns how many rows it changed. */
int forge_sql(const char *path, const char *sql);

/* Hashes the ledger anew from its first row to its last over the rows as they stand. Seals are left
 * as they are: a personal value that was changed is still found by its own. */
void forge_rehash(const char *path);
/* The same, and every signature gets the new hash of its row, as a forger would give it: what is
 * found then, the signatures did not show. */
void forge_rehash_signed(const char *path);

#endif
