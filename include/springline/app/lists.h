/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The lists people work from: the day, the recalls, the month's audit. Rows in an arena. */
#ifndef SPRINGLINE_APP_LISTS_H
#define SPRINGLINE_APP_LISTS_H

#include "springline/app/app.h"
#include "springline/core/audit.h"
#include "springline/core/recall.h"

/* A case on a list. Of a long list little is ever looked at, so its state may come later. */
struct listed_recall {
    struct id casefile;
    const char *number;    /* of the case */
    day again_on;          /* of its state */
    struct recall_row row; /* row.state NULL: not read yet, see lists_recall_state */
};

struct recall_list {
    struct listed_recall **rows; /* in the order of recall_compare */
    size_t count;
    struct arena *arena; /* of the rows and of their states */
};

/*
 * Who must be called on a day (domain.md 7 and 8). group RECALL_NONE: all groups. States older
 * than the newest row of a case (on in the past) are rebuilt from history dated on or before on.
 * Every row has its state.
 */
enum status lists_recall(struct app *app, day on, int32_t within, enum recall_group group,
                         struct arena *arena, struct recall_list *list, struct error *error);

/* The same for a screen: on the app's today, with the windows that are open, the groups up to and
 * including last; rows get their states when these are asked for. arena must outlive the list. */
enum status lists_recall_rows(struct app *app, enum recall_group last, struct arena *arena,
                              struct recall_list *list, struct error *error);

/* The state of a row, read at the first call. One that can not be read now, or has gone, is told by
 * "?" for what is a text, and knows no day and no verdict. */
const struct case_state *lists_recall_state(struct app *app, const struct recall_list *list,
                                            struct listed_recall *row);

/* Reads the states of all rows that have none, at once: before every row is looked at. After a
 * failure rows are without theirs, and are shown and sorted as lists_recall_state says. */
enum status lists_recall_states(struct app *app, const struct recall_list *list,
                                struct error *error);

/* Appends every safety item that stands on the row's day, the leading one first, with ';' between.
 */
void lists_safety(struct text *out, const struct recall_row *row, day on);

/* A safety item as a person says it: "closed with the expander in"; short: in at most 20 cells, for
 * a column. Files keep the codes of words_safety. */
const char *lists_safety_word(enum safety item, bool brief);

/* The same items as lists_safety, in words. */
void lists_safety_told(struct text *out, const struct recall_row *row, day on);

struct today_row {
    struct listed_recall *listed; /* group RECALL_NONE when the case is on no list */
    bool booking;                 /* a booking of the day; else a case that is due */
    int32_t time_min;             /* booking; -1 */
    enum booking_kind kind;
    enum booking_state booking_state;
};

struct today_list {
    struct today_row *rows; /* bookings by time, then who is due in recall order */
    size_t count;
    size_t booking_count;  /* rows of bookings, whatever became of them */
    size_t standing_count; /* bookings that still stand */
    size_t call_count;     /* who is to be called: safety, overdue and due as recall counts them, so
                              with cases that have a row as a booking; 0 while it is searched */
    size_t safety_count;   /* of them safety items */
    struct recall_list recalls; /* who is due; a row's state: lists_recall_state */
};

/* The day's bookings and who is due; folded (already folded, "" all) keeps the cases that match,
 * and then searches every case, due or not. */
enum status lists_today(struct app *app, const char *folded, struct arena *arena,
                        struct today_list *list, struct error *error);

struct listed_audit {
    const char *number, *family, *given, *clinician;
    struct id casefile;
    int32_t wear_full_permille; /* the minimum the case is judged by */
    int32_t wear_low_permille, wear_known_min_permille;
    uint32_t safety; /* bits 1 << enum safety: what stands today; 0 where it was not looked up */
    struct audit_row row;
};

/* The listed row of one case, its texts in arena; false: no memory. */
bool lists_audit_row(const struct history *history, const struct audit_row *row,
                     struct arena *arena, struct listed_audit *listed);

struct month_closed;

struct audit_list {
    const struct month_closed *closed; /* the close it is drawn as of (app/month.h); NULL: none */
    bool other_rules; /* and by the rules of now it is not what was signed under those of then */
    struct protocol protocol;  /* the practice's, as of the moment asked for */
    struct listed_audit *rows; /* below (lowest adherence first), unknown, not seen, meeting */
    size_t count;
    struct audit_totals totals;
    struct audit_totals totals_before; /* of the month before */
};

/* Every case as of a row of the ledger (not STORE_NOW), by number, each read by itself: as of a row
 * it is the same whenever it is read, and others save in between. */
enum status lists_each_case(struct app *app, int64_t as_of, store_case_visitor visitor,
                            void *context, struct error *error);

/* The audit of the month that begins on month, on the rows current at as_of. STATUS_INPUT when the
 * month begins after today. */
enum status lists_audit(struct app *app, day month, int64_t as_of, struct arena *arena,
                        struct audit_list *list, struct error *error);
/* The same as it comes out on another day than the app's: a month that had ended by then. */
enum status lists_audit_on(struct app *app, day month, day today, int64_t as_of,
                           struct arena *arena, struct audit_list *list, struct error *error);

#endif
