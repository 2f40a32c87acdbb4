/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Makes the history of an invented case for a test, a line or two at a time:
 *
 *     struct case_maker maker;
 *     struct judgement judgement;
 *     case_typical(&maker);
 *     case_visit(&maker, VISIT_ACTIVATION, ARCH_UPPER, 20, 1000, 1000);
 *     case_judge(&maker, &judgement);
 *
 * Days are given as days before maker.today (negative: after it), lengths in micrometres. Every
 * maker of a row returns it, so that a test can change what it wants to be different; rows may be
 * changed, and history's counts lowered, at any time. A row too many fails the test. A maker holds
 * pointers into itself: never copy one.
 */
#ifndef SPRINGLINE_TESTS_CASE_MAKER_H
#define SPRINGLINE_TESTS_CASE_MAKER_H

#include "springline/core/history.h"
#include "springline/core/protocol.h"
#include "springline/core/rules.h"

enum { CASE_NEVER = INT32_MIN }; /* days ago: not recorded */

enum {
    CASE_TRAINERS = 8,
    CASE_EXPANDERS = 8,
    CASE_VISITS = 96,
    CASE_WIDTHS = 96,
    CASE_WEAR_DAYS = 768,
    CASE_WEAR_COUNTS = 48,
    CASE_CONTACTS = 16,
    CASE_BOOKINGS = 32,
    CASE_JUDGED = 96
};

struct case_maker {
    day today;
    struct history history;   /* pass &maker.history */
    struct question question; /* upper, today, sound and intact, nothing proposed */
    struct protocol protocol; /* the defaults */
    struct patient patient;
    struct casefile casefile;
    struct trainer trainers[CASE_TRAINERS];
    struct expander expanders[CASE_EXPANDERS];
    struct visit visits[CASE_VISITS];
    struct width widths[CASE_WIDTHS];
    struct wear_day wear_days[CASE_WEAR_DAYS];
    struct wear_count wear_counts[CASE_WEAR_COUNTS];
    struct contact contacts[CASE_CONTACTS];
    struct booking bookings[CASE_BOOKINGS];
    struct judged judged[CASE_JUDGED];
    int64_t rows; /* ids and places in the ledger given so far */
};

/* Case C-0001 of an invented child: opened 400 days before 2026-06-01, consent given, asked;
 * nothing else. The question is set as above. */
void case_begin(struct case_maker *maker);

/*
 * case_begin, then a course without trouble: a trainer, an upper expander fitted 180 days ago (both
 * sides, target 50.00), widths 36.00 at the fit, 39.00 52 days and 40.00 24 days ago, activations
 * of 1.00 mm a side 72, 48 and 24 days ago, a diary of the last 60 days without a miss. The verdict
 * is proceed, 2.00 mm a side, and no rule but step-size fires.
 */
void case_typical(struct case_maker *maker);

/* The day so many days before today; DAY_NONE for CASE_NEVER. */
day case_day(const struct case_maker *maker, int32_t ago);

/* A trainer issued and (CASE_NEVER: not) ended so many days ago. */
struct trainer *case_trainer(struct case_maker *maker, int32_t issued, int32_t ended);

/* An expander of both sides, all fit checks passed, intermolar 16-26 (36-46) at the fossa, target
 * 50.00 mm, banded on the day it was fitted and separators a week earlier. */
struct expander *case_expander(struct case_maker *maker, enum arch arch, int32_t fitted);

/* A visit: tissue sound and hardware intact unless it was missed. */
struct visit *case_visit(struct case_maker *maker, enum visit_kind kind, enum arch arch,
                         int32_t ago, um right, um left);

/* A width that counts for case_expander's expanders: repeat 1, 2 ... of its date by itself. */
struct width *case_width(struct case_maker *maker, enum arch arch, int32_t ago, um value);

/* One day of wear (minutes -1: not recorded). */
struct wear_day *case_wear_day(struct case_maker *maker, enum source source, int32_t ago,
                               int32_t minutes, enum answer night);

/* Days from so many days ago to so many days ago, both included: the first met of them with 90
 * minutes and the night, the others with none. */
void case_wear(struct case_maker *maker, enum source source, int32_t from, int32_t to, int32_t met);

/* A count of days met of days asked. */
struct wear_count *case_count(struct case_maker *maker, enum source source, int32_t from,
                              int32_t to, int32_t met, int32_t asked);

/* A contact at noon UTC so many days ago. */
struct contact *case_contact(struct case_maker *maker, int32_t ago, enum outcome outcome);

/* A booking at 09:00. */
struct booking *case_booking(struct case_maker *maker, int32_t ago, enum booking_kind kind,
                             enum booking_state state);

/* A verdict stored with a visit row; next visit not set. */
struct judged *case_judged(struct case_maker *maker, const struct visit *visit,
                           enum verdict verdict, um permitted_right, um permitted_left);

/* rules_judge of maker.question; fails the test when the arch has no expander. */
void case_judge(const struct case_maker *maker, struct judgement *judgement);

/* The finding of the rule on the side (SIDE_NONE: the first of the rule, whatever its side); NULL
 * when the rule did not fire. */
const struct finding *case_finding(const struct judgement *judgement, enum rule rule,
                                   enum side side);

/* Prints verdict, permitted amounts, next visit and findings on one line, as cmocka prints. */
void case_print(const struct judgement *judgement);

/* The number of that name in the finding; fails the test when it has none. */
int64_t case_number(const struct finding *finding, const char *name);

#endif
