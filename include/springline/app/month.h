/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Closing a month: its account is frozen, signed and can be drawn again.
 *
 * What is frozen is the month's audit as of one row of the ledger, the newest at the moment of
 * closing, as a sheet of text (month_sheet.c says its form): every figure of every case, by case
 * number, without a name, a date of birth or a reason, so that a lawful erasure leaves it whole;
 * the totals; and the practice's settings as of then. The sheet stands in the record (month_close)
 * with its digest, BLAKE2b-256, the row it was drawn as of and that row's hash; one signature
 * answers for it. Everything the audit reads, settings and verdicts too, is read as of that row:
 * drawn anew it is the same, byte for byte, whatever was corrected since. What was is shown as a
 * difference, never in its place.
 */
#ifndef SPRINGLINE_APP_MONTH_H
#define SPRINGLINE_APP_MONTH_H

#include "springline/app/lists.h"
#include "springline/app/visit.h"

/* ---- a closed month ---- */

struct month_closed {
    struct month_close close;   /* without its sheet: "" */
    day first;                  /* of the month */
    struct signature signature; /* head.id none: nobody answers for it, which is damage */
};

/* The closing of the month that begins on month, texts in arena. STATUS_NOT_FOUND without a
 * sentence: it is not closed. */
enum status month_find(struct app *app, day month, struct arena *arena, struct month_closed *closed,
                       struct error *error);

/* Appends "closed 2026-11-03 by Dr Ada Example". */
void month_add_closed(struct text *out, const struct month_closed *closed);
/* Appends the whole of it, in sentences: by whom, when (UTC), as what, proved how, as of which row
 * of the ledger, and how many visits of the month nobody had signed. */
void month_add_signed(struct text *out, const struct month_closed *closed);
/* ---- drawn again ---- */

enum month_truth {
    MONTH_AS_SIGNED,   /* byte for byte */
    MONTH_OTHER_RULES, /* not, and it was closed under another version of the rules: information */
    MONTH_OTHER        /* not, under the same rules: the store or this program is not as it was */
};

/*
 * The month as of its close into list, whose closed then points to closed; *truth: is it what was
 * signed? STATUS_DAMAGED: the sheet in the store does not have its digest, or does not stand on the
 * row of the ledger that it names; nothing is listed then.
 */
enum status month_redraw(struct app *app, const struct month_closed *closed, struct arena *arena,
                         struct audit_list *list, enum month_truth *truth, struct error *error);
/* Appends the sentence that says so; nothing for MONTH_AS_SIGNED. */
void month_add_truth(struct text *out, const struct month_closed *closed, enum month_truth truth);

/* The signed sheet, byte for byte, into out. STATUS_DAMAGED: it does not have its digest. */
enum status month_sheet_of(struct app *app, const struct month_closed *closed, struct text *out,
                           struct error *error);

/* ---- what changed since ---- */

struct month_change {
    const char *number; /* of the case; "": of the month as a whole */
    const char *figure; /* column of the sheet; "accounted_for": the case came or went */
    const char *closed, *now;
};

struct month_changes {
    struct month_change *rows; /* the month as a whole, then the cases by number */
    size_t count, capacity;
    size_t cases; /* how many cases changed, came or went */
};

/* The signed sheet against today's figures of the same month, texts in arena. STATUS_DAMAGED as
 * month_redraw. */
enum status month_changes(struct app *app, const struct month_closed *closed, struct arena *arena,
                          struct month_changes *changes, struct error *error);
/* The same where today's figures are listed already. */
enum status month_changes_to(struct app *app, const struct month_closed *closed,
                             const struct audit_list *now, struct arena *arena,
                             struct month_changes *changes, struct error *error);
/* Appends "since the close 3 cases changed"; "nothing changed since the close". */
void month_add_changed(struct text *out, const struct month_changes *changes);
/* Appends one of them: "C-0018  days_met: 14, now 12". */
void month_add_change(struct text *out, const struct month_change *change);
/* All of them as lines to be read: which month, how many cases, then one by one. */
enum status month_change_lines(struct app *app, day month, struct arena *arena, struct lines *lines,
                               struct error *error);

/* ---- closing ---- */

/* What is about to be signed. Zeroed: nothing. Release with month_review_release. */
struct month_review {
    day month, through; /* first and last day */
    int64_t newest_row; /* the ledger's newest row when it was drawn */
    uint8_t hash[32];   /* of that row */
    struct audit_totals totals;
    int32_t unsigned_visits;
    struct text sheet;
    struct id request; /* of the save that closes it: sent twice it closes once */
};

/*
 * Draws the month that begins on month for closing. STATUS_REFUSED, logged: who sits here may not
 * close a month. STATUS_INPUT with a sentence: it has not ended on the app's today, it is closed
 * already, or no case is accounted for in it. STATUS_DAMAGED: the ledger does not match its rows
 * (store_verify); a store that is not sound is not signed.
 */
enum status month_review(struct app *app, day month, struct month_review *review,
                         struct error *error);
/* Frees it; it is nothing afterwards. */
void month_review_release(struct month_review *review);
/* What the review says, a sentence each: month, cases, groups, unsigned visits, which row of the
 * ledger, what signing means, the caution line. */
enum status month_review_lines(const struct month_review *review, struct arena *arena,
                               struct lines *lines, struct error *error);

/*
 * Signs and closes: one save with the month's row and the signature under it. typed: PIN or
 * passphrase (sign_prove); of a practice of one it is not looked at. STATUS_CONFLICT: something
 * was saved since the review was drawn, and the figures are others; the review is the new one now
 * and wants to be read again. STATUS_REFUSED, STATUS_INPUT: may not, or not proved. STATUS_ALREADY:
 * this review was saved before.
 */
enum status month_close(struct app *app, struct month_review *review, const char *typed,
                        struct error *error);

/* ---- not closed ---- */

/*
 * Appends "October 2026 is not closed": the newest month that has ended, for an orthodontist, from
 * the first working day (Monday to Friday; holidays are not known here) after it on, while it holds
 * a case and is not closed. Else nothing.
 */
enum status month_chase(struct app *app, struct text *out, struct error *error);

/* ---- verify ---- */

/*
 * Every closed month: the sheet has its digest, stands on the row it names, is signed by the hash
 * of its own row, and comes out the same when it is drawn anew. Appends a line for each finding,
 * and one when all is well and there is any. STATUS_DAMAGED: a finding that is more than another
 * version of the rules.
 */
enum status month_verify(struct app *app, struct text *out, struct error *error);

#endif
