/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A form over a case kept in a real store: filled by label, reviewed, saved, read back. */
#ifndef SPRINGLINE_TESTS_FORM_BENCH_H
#define SPRINGLINE_TESTS_FORM_BENCH_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "springline/app/form.h"
#include "store_case.h"

struct form_bench {
    struct store_case kept;
    struct case_maker maker;
    struct form form;
    struct arena arena; /* of the history read back, and of reviews */
    struct error error;
    char sentence[200]; /* of the last entry */
    struct text review;
};

/* Keeps the maker's case in a new store; fill the maker before. Today is the maker's. */
void form_bench_keep(struct form_bench *bench, const char *name);
/* Releases all and removes the store. */
void form_bench_close(struct form_bench *bench);

/* Opens a form of the kept case, the one opened before released; fails the test on an error. */
void form_bench_open(struct form_bench *bench, enum form_kind kind);
/* Likewise of a row. */
void form_bench_open_row(struct form_bench *bench, enum form_kind kind, const struct id *row,
                         enum setting setting);
/* The sentence with which the form refuses to open; fails the test when it opens. */
const char *form_bench_refusal(struct form_bench *bench, enum form_kind kind);

/* The first field with this label that applies; NULL: none does. */
struct form_field *form_bench_field(struct form_bench *bench, const char *label);
/* Types into it. */
enum entry form_bench_type(struct form_bench *bench, const char *label, const char *typed);
/* Types into it, and fails the test unless it is taken. */
void form_bench_fill(struct form_bench *bench, const char *label, const char *typed);

/* The review as one text, a line each. */
const char *form_bench_review(struct form_bench *bench);
/* Fails the test unless the review holds the text. */
void form_bench_says(struct form_bench *bench, const char *text);
/* Saves with a reason ("": none); fails the test unless it is saved, and the store verifies. */
void form_bench_save(struct form_bench *bench, const char *reason);
/* Fails the test unless the save is refused and the sentence holds the text. */
void form_bench_refused(struct form_bench *bench, const char *text);

/* The case as the store has it; form_casefile of a new one. Lives until the next call. */
const struct history *form_bench_history(struct form_bench *bench);

#endif
