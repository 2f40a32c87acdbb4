/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Keeping the store: copies of it, and taking a whole import back. */
#ifndef SPRINGLINE_APP_KEEP_H
#define SPRINGLINE_APP_KEEP_H

#include "springline/app/app.h"

/* Writes a copy of the store to path, checks it (store_backup), and then records in the live store
 * that it was made, when and where. Lines for the user are appended to out. STATUS_INPUT: something
 * exists at path. */
enum status keep_backup(struct app *app, const char *path, struct text *out, struct error *error);

enum { KEEP_STALE_DAYS = 7 }; /* our own setting, no source */

/* Appends "No backup was ever made ..." or "The last backup is 9 days old ..."; nothing while it is
 * younger than KEEP_STALE_DAYS or the store holds no case. */
enum status keep_stale(struct app *app, struct text *out, struct error *error);

/*
 * Takes an import back: one withdrawal per row of the batch in one transaction; the keys may be
 * imported again. batch is spelled "@17" or "17", the ledger sequence that import printed.
 * STATUS_INPUT, nothing done, naming the first, when a later row refers to or replaces one of the
 * batch; STATUS_NOT_FOUND with the batches there are. Lines for the user are appended to out.
 */
enum status keep_undo_import(struct app *app, const char *batch, struct text *out,
                             struct error *error);

#endif
