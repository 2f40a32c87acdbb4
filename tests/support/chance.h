/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Chance that can be repeated: numbers from a seed, and how often and from which seed to try, which
 * the environment may say (SPRINGLINE_TRIALS, SPRINGLINE_SEED). */
#ifndef SPRINGLINE_TESTS_CHANCE_H
#define SPRINGLINE_TESTS_CHANCE_H

#include <stdint.h>

/* The next number of a seed: splitmix64 (Steele, Lea, Flood 2014). */
uint64_t chance_next(uint64_t *state);
/* A whole number from 0, below most. */
int chance_below(uint64_t *state, int most);
/* What the environment says, else otherwise. */
uint64_t chance_trials(uint64_t otherwise);
uint64_t chance_seed(uint64_t otherwise);

#endif
