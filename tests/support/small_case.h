/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A case small enough to read in a test, built row by row: for where it stands, its recall and its
 * audit. Every row gets an id and a ledger place in the order in which it is added. Pointers stay
 * good for the life of the struct: fields are set through them.
 */
#ifndef SPRINGLINE_TESTS_SMALL_CASE_H
#define SPRINGLINE_TESTS_SMALL_CASE_H

#include "springline/core/history.h"
#include "springline/core/protocol.h"
#include "springline/core/rules.h"

enum { SMALL_FEW = 8, SMALL_MANY = 64, SMALL_DAYS = 512 };

struct small_case {
    struct history history; /* points into the arrays below */
    struct patient patient;
    struct casefile casefile;
    struct protocol protocol;
    struct trainer trainers[SMALL_FEW];
    struct expander expanders[SMALL_FEW];
    struct visit visits[SMALL_MANY];
    struct width widths[SMALL_FEW];
    struct wear_day wear_days[SMALL_DAYS];
    struct wear_count wear_counts[SMALL_MANY];
    struct contact contacts[SMALL_FEW];
    struct booking bookings[SMALL_MANY];
    struct judged judged[SMALL_MANY];
    int64_t rows;
};

/* A case opened, consented and asked on a day, under the default protocol; nothing else. */
void small_case_open(struct small_case *small, day opened);
/* A trainer issued on a day, not ended. */
struct trainer *small_trainer(struct small_case *small, day issued_on);
/* An expander of both sides with all fit checks good; fitted_on DAY_NONE: planned only. */
struct expander *small_expander(struct small_case *small, enum arch arch, day fitted_on);
/* A visit with sound tissue and intact hardware, no amounts, imported (never judged on entry). */
struct visit *small_visit(struct small_case *small, day date, enum visit_kind kind, enum arch arch);
/* An activation of both sides by the same amount. */
struct visit *small_activation(struct small_case *small, day date, enum arch arch, um each);
/* The verdict stored with a visit: next visit from from to to, 1.00 mm permitted on each side. */
struct judged *small_judged(struct small_case *small, const struct visit *visit,
                            enum verdict verdict, day from, day to);
/* Days met of the days from ... to. */
struct wear_count *small_count(struct small_case *small, enum source source, day from, day to,
                               int32_t met);
/* A day record that meets the minimum or misses it. */
struct wear_day *small_wear_day(struct small_case *small, enum source source, day date, bool met);
/* A booking of a day in a state. */
struct booking *small_booking(struct small_case *small, day date, enum booking_state state);
/* A contact at noon of a day. */
struct contact *small_contact(struct small_case *small, day date);
/* Turns every array of rows round: nothing that reads a history may depend on their order. */
void small_case_reverse(struct small_case *small);

#endif
