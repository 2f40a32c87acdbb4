/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The lists people work from: the day, the recalls, the month's audit. Rows in an arena. */
#ifndef SPRINGLINE_APP_LISTS_H
#define SPRINGLINE_APP_LISTS_H

#include "springline/app/app.h"
#include "springline/core/audit.h"
#include "springline/core/recall.h"

struct listed_recall {
    struct case_state state; /* texts in the arena */
    struct recall_row row;   /* row.state points to state */
};

struct recall_list {
    struct listed_recall *rows; /* in the order of recall_compare */
    size_t count;
};

/*
 * Who must be called on a day (domain.md 7 and 8). group RECALL_NONE: all groups. States older
 * than the newest row of a case (on in the past) are rebuilt from history dated on or before on.
 */
enum status lists_recall(struct app *app, day on, int32_t within, enum recall_group group,
                         struct arena *arena, struct recall_list *list, struct error *error);

/* recall_compare on two listed rows, for qsort. */
int lists_compare_recall(const void *a, const void *b);

/* Appends every safety item that stands on the row's day, the leading one first, with ';' between.
 */
void lists_safety(struct text *out, const struct recall_row *row, day on);

struct today_row {
    struct id casefile;
    bool booking;     /* a booking of the day; else a case that is due */
    int32_t time_min; /* booking; -1 */
    enum booking_kind kind;
    enum booking_state booking_state;
    struct case_state state;
    struct recall_row recall; /* group RECALL_NONE when the case is on no list */
};

struct today_list {
    struct today_row *rows; /* bookings by time, then who is due in recall order */
    size_t count;
    size_t booking_count;
    size_t safety_count; /* rows with a safety item, booked or not */
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
    struct audit_row row;
};

/* The listed row of one case, its texts in arena; false: no memory. */
bool lists_audit_row(const struct history *history, const struct audit_row *row,
                     struct arena *arena, struct listed_audit *listed);

struct audit_list {
    struct protocol protocol;  /* the practice's, as of the moment asked for */
    struct listed_audit *rows; /* below (lowest adherence first), unknown, not seen, meeting */
    size_t count;
    struct audit_totals totals;
    struct audit_totals totals_before; /* of the month before */
};

/* The audit of the month that begins on month, on the rows current at as_of. STATUS_INPUT when the
 * month begins after today. */
enum status lists_audit(struct app *app, day month, int64_t as_of, struct arena *arena,
                        struct audit_list *list, struct error *error);

#endif
