/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What the targets of tests/fuzz share. Each is one function over any bytes; libFuzzer calls it
 * (make fuzz), or fuzz_replay.c with the inputs of tests/fuzz/corpus (make test). A finding is a
 * crash, a report of a sanitizer, a time-out, or a demand that does not hold.
 */
#ifndef SPRINGLINE_TESTS_FUZZ_H
#define SPRINGLINE_TESTS_FUZZ_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "springline/app/app.h"
#include "springline/base/error.h"

/* The target; 0. The name is libFuzzer's. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* Ends the program, and says what does not hold, unless it holds. */
void fuzz_demand(bool holds, const char *what);

/* The bytes up to the first NUL as a string of exactly that room, so that a sanitizer sees one read
 * too far. Release with free. */
char *fuzz_string(const uint8_t *data, size_t size);

/* Demands that a text is UTF-8 and holds nothing that steers or deceives a terminal; lines: line
 * feeds are good. */
void fuzz_printable(const char *text, bool lines, const char *what);

/* Demands of a failure what error.h promises: its status, and a sentence that can be shown. */
void fuzz_refusal(enum status status, const struct error *error);

/* A small practice in TMPDIR: two cases of the demo with every kind of row, a clock and random
 * bytes that are the same in every run. */
struct fuzz_store {
    struct app app;
    struct store_source source;
    instant now;
    uint64_t counter;
    char path[400];
    struct id cases[2]; /* C-0007, assessed and running; C-0035, running */
};

/* Makes it, open; fails the program when that does not work. */
void fuzz_store_make(struct fuzz_store *made, const char *name);
/* Sets its clock and its random bytes to where they stood after fuzz_store_make. */
void fuzz_store_wind(struct fuzz_store *made);

#endif
