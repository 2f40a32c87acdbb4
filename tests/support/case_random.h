/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Invented histories by the hundred thousand, the same for the same seed on every machine. */
#ifndef SPRINGLINE_TESTS_CASE_RANDOM_H
#define SPRINGLINE_TESTS_CASE_RANDOM_H

#include "case_maker.h"

/* splitmix64 (Steele, Lea, Flood 2014; constants from memory): any seed is good. */
struct random {
    uint64_t state;
};

/* The next 64 bits. */
uint64_t random_next(struct random *random);
/* A number from least to most, both included; least when most is not above it. */
int32_t random_between(struct random *random, int32_t least, int32_t most);
/* True in so many of a hundred calls. */
bool random_chance(struct random *random, int32_t percent);

/*
 * A case with everything the rules read: protocols that pass protocol_check, refits, sides in plan,
 * trainers with gaps, visits of every kind with and without amounts, half-filled days of wear,
 * counts that overlap, widths of other teeth, rows dated after today. Troubles are rare enough that
 * each verdict is common.
 */
void case_random(struct case_maker *maker, struct random *random);

/* Puts the rows of every kind into another order. */
void case_shuffle(struct case_maker *maker, struct random *random);

#endif
