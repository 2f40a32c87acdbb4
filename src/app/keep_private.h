/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the taking back of an import shares: its plan (keep_undo.c), its words
 * (keep_undo_tell.c), and what it does to the settings (keep_undo_width.c). */
#ifndef SPRINGLINE_APP_KEEP_PRIVATE_H
#define SPRINGLINE_APP_KEEP_PRIVATE_H

#include "exchange_private.h"
#include "springline/app/effect.h"
#include "springline/app/keep.h"

/* A row of the batch that still stands. */
struct undo_row {
    enum record_kind kind;
    struct id row;
};

/* A case that a row of the batch belongs to. */
struct undo_case {
    struct id id;
    bool own;              /* it is a row of the batch itself */
    bool judged;           /* it has stored verdicts, and before is filled */
    struct effects before; /* those that differ from the record already */
    size_t wrong;          /* contradictions in it already */
};

struct undo {
    struct app *app;
    struct store_save_told batch; /* texts in arena; sequence 0: not found */
    struct arena arena;           /* as long as the undo */
    struct undo_row *rows;        /* newest first */
    size_t row_count, row_capacity;
    struct undo_case *cases; /* by id, each once */
    size_t case_count, case_capacity;
    bool widths;          /* it holds measurements */
    struct id protocol;   /* the settings it brought about, while they are current; none */
    size_t cases_gone;    /* cases withdrawn */
    struct text *out;     /* lines for the user */
    struct text *effects; /* what it does to stored verdicts, a line each */
};

/* Appends "@17  2026-11-25T16:40:00Z  demo  236 rows", and how many of them are withdrawn. */
void undo_tell_batch(struct text *out, const struct store_save_told *told);
/* Fills error with what stands on the batch: kind, key in words, when it was recorded, and what to
 * do. Returns STATUS_INPUT, or another failure. */
enum status undo_refuse_dependent(struct undo *undo, enum record_kind kind, const struct id *row,
                                  struct error *error);
/* The same for an unsaved entry of a case. */
enum status undo_refuse_draft(struct undo *undo, const struct draft *draft, struct error *error);
/* The contradictions within a case (import_check_case). last: filled with the last of them. */
size_t undo_count_wrong(const struct history *history, struct error *last);
/* The same refusal for a case of which what is left would contradict itself: why. */
enum status undo_refuse_wrong(struct undo *undo, const struct history *left,
                              const struct error *why, struct error *error);
/* After measurements were withdrawn: settings with the error of a width that follows, in the save;
 * every case is touched then. */
enum status undo_width_error(struct undo *undo, struct app_save *save, struct error *error);
/* Appends what was taken back. */
void undo_tell_done(const struct undo *undo);

#endif
