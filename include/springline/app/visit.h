/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Entering a visit at the chair: the sheet behind the visit screen. The screen draws it and passes
 * keys; every check, skip, soft range and the verdict are decided here.
 *
 * One sheet is one visit of one case: both arches with an expander in place, wear since the last
 * visit, one width per arch, next date, note. It is saved as one transaction under one request id.
 */
#ifndef SPRINGLINE_APP_VISIT_H
#define SPRINGLINE_APP_VISIT_H

#include "springline/app/app.h"
#include "springline/core/rules.h"

enum sheet_item { /* the order is an interface: hands learn it; new stops only at the end */
                  ITEM_WEAR_MET,
                  ITEM_WEAR_ASKED,
                  ITEM_WEAR_SOURCE,
                  ITEM_WIDTH,
                  ITEM_TISSUE,
                  ITEM_HARDWARE,
                  ITEM_REPAIRED,
                  ITEM_RIGHT,
                  ITEM_LEFT,
                  ITEM_RELIEF, /* per arch */
                  ITEM_NEXT,
                  ITEM_NOTE
};

enum { SHEET_FIELDS_MAX = 20, SHEET_TEXT_SIZE = 512, SHEET_CHOICES_MAX = 8 };

struct sheet_field {
    enum sheet_item item;
    enum arch arch;    /* ARCH_NONE: of the case */
    const char *label; /* "tissue", "right mm" */
    const char
        *choices[SHEET_CHOICES_MAX]; /* choice fields: what digit 0, 1, ... means; else NULL */
    int choice_count;
    bool several;                  /* several digits may be given (hardware faults) */
    bool amount;                   /* + and - nudge by the grain */
    bool required;                 /* without it amounts can not be saved */
    char entered[SHEET_TEXT_SIZE]; /* what was typed, as typed; "" empty */
    char shown[96];                /* what it means: "mild", "1.25 mm", "2026-12-16" */
    char last[64];                 /* the value of the last visit, shown beside, never filled in */
    char if_empty[64];          /* what Enter alone on the empty field means; "": it stays empty */
    bool skipped;               /* does not apply now (no fault: nothing to repair; not in plan) */
    bool at_once;               /* a digit is the whole answer: taken without Enter (for a field
                                   of several, the digit 0 only) */
    char kept[SHEET_TEXT_SIZE]; /* the text for which the soft-range question was answered */
    bool filled;                /* holds a value; see value */
    int64_t value;              /* um, day, count, enum or hardware bits, by item */
    bool wrong;                 /* what stands there was refused */
    bool above;                 /* an amount above what is permitted on its side */
};

/* Lines of the screen, each one text without line breaks, made in arena. */
struct lines {
    const char **line;
    size_t count, capacity;
};

struct visit_sheet {
    struct arena arena;
    struct history history; /* as opened */
    struct history live;    /* history with what the sheet holds so far: widths, wear */
    struct width widths[2]; /* the widths of the sheet, by arch on the sheet */
    struct wear_count wear; /* the wear of the sheet */
    day wear_from;          /* first day of the wear asked about; DAY_NONE: none to ask */
    struct id casefile;
    struct id request; /* carried by the save and by the draft */
    day date;          /* of the visit: today */
    struct sheet_field fields[SHEET_FIELDS_MAX];
    int field_count;
    struct judgement judgements[2]; /* per arch on the sheet */
    enum arch arches[2];
    int arch_count;
    bool examined[2];     /* tissue and hardware both entered: else the verdict is headed
                             "if tissue and hardware are sound" */
    int64_t opened_at;    /* ledger sequence up to which all that was saved is told */
    struct lines saved;   /* what was saved meanwhile, after visit_save answered STATUS_CONFLICT: a
                             line for each save, below it its rows */
    bool verdict_changed; /* and by it the verdict is another one, or an expander is out */
    bool dirty;
    enum proof proof; /* with which it is saved and signed; counts for one try (app/sign.h) */
    bool is_signed;   /* after visit_save: it was */
    bool overrides;   /* who opened it may give more than permitted, with a reason; asked again when
                         it is saved */
};

/* Opens the sheet of a case for today and judges it. STATUS_INPUT with a sentence when the case is
 * closed or has no expander in place and so no visit can be entered here. */
enum status visit_open(struct app *app, const struct id *casefile, struct visit_sheet *sheet,
                       struct error *error);
/* Frees the sheet. */
void visit_release(struct visit_sheet *sheet);

enum entry { ENTRY_TAKEN, ENTRY_ASK, ENTRY_REFUSED };

/*
 * Sets field index to the text typed. TAKEN: stored, meaning in shown, verdict recomputed. ASK: a
 * soft range was left; sentence says why ("0.75 is three times ..."); setting the same text again
 * takes it. REFUSED: a format error; the field keeps the text, sentence says what is wrong; a
 * later field can not be entered until it is right, an earlier one can.
 */
enum entry visit_enter(struct app *app, struct visit_sheet *sheet, int index, const char *typed,
                       char sentence[200]);
/* The next or previous field that applies (direction +1, -1); -1 before the first, field_count
 * after the last. */
int visit_step(const struct visit_sheet *sheet, int index, int direction);
/* Does the visit need this field, as far as it is entered? What amounts can not be saved without;
 * and each amount of an arch of which anything is entered. */
bool visit_needs(const struct visit_sheet *sheet, int index);
/* The value a nudge of steps grains gives ("+" and "-" on an amount), written into typed. */
void visit_nudge(const struct visit_sheet *sheet, int index, int steps,
                 char typed[SHEET_TEXT_SIZE]);
/* The text of the last visit for this field ("*"), "" when there is none. */
const char *visit_last(const struct visit_sheet *sheet, int index);

/* Who: number, name, birth date, age; the alerts, if any; the case's safety items, if any; what was
 * recorded at a visit of the same day already, if any, and which keys lead to it. */
enum status visit_lines_who(struct app *app, struct visit_sheet *sheet, struct arena *arena,
                            struct lines *lines);
/* Who and the alerts of any case, on a day. */
enum status visit_lines_person(const struct history *history, day on, struct arena *arena,
                               struct lines *lines);
/* The last visits (newest first, at most most), wear since, widths. */
enum status visit_lines_past(struct app *app, struct visit_sheet *sheet, int most,
                             struct arena *arena, struct lines *lines);
/* The verdict of one arch of the sheet and its findings, weightiest first. */
enum status visit_lines_verdict(struct visit_sheet *sheet, int which, struct arena *arena,
                                struct lines *lines);
/* The one review line before saving. */
enum status visit_lines_review(struct app *app, struct visit_sheet *sheet, struct arena *arena,
                               struct lines *lines);

/* Is the sheet ready to be saved? OK; or STATUS_INPUT: the first thing missing or not permitted,
 * and *index the field to go to. *needs_reason: above the permitted amount, a reason must be given.
 */
enum status visit_ready(struct visit_sheet *sheet, bool *needs_reason, int *index,
                        struct error *error);

/* The numbered list of reasons for more than permitted: our own, 1 ...; NULL after the last. */
const char *visit_reason(int number);

/* True for the reason that says nothing by itself: words must follow. */
bool visit_reason_needs_text(int number);

/*
 * Saves the whole visit in one transaction: visit rows per arch, wear count, widths, verdicts, the
 * draft dropped, the case's state rewritten. reason: 0 none, else its number, and free text. The
 * case is read and the verdict judged again inside the transaction: STATUS_CONFLICT with a sentence
 * when the verdict changed since the review, or something it stands on was saved meanwhile (visits,
 * widths, wear, trainer, expander, the case, the patient, the protocol) and it is the same; nothing
 * saved. The sheet holds the newer case then, and sheet->saved tells what was saved; saving once
 * more saves. STATUS_ALREADY counts as saved.
 * With sheet->proof, and in a practice of one that is not asked, every visit row is signed in the
 * same transaction.
 */
enum status visit_save(struct app *app, struct visit_sheet *sheet, int reason,
                       const char *reason_text, struct error *error);

/* Writes the draft (after each left field). */
enum status visit_put_draft(struct app *app, const struct visit_sheet *sheet, struct error *error);
/* Fills an opened sheet from a draft's content; fields it does not know are left alone. */
enum status visit_from_draft(struct app *app, struct visit_sheet *sheet, const struct draft *draft,
                             struct error *error);

#endif
