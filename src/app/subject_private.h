/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the rows (subject.c) and the text (subject_text.c) of a patient's copy share. */
#ifndef SPRINGLINE_APP_SUBJECT_PRIVATE_H
#define SPRINGLINE_APP_SUBJECT_PRIVATE_H

#include "springline/app/erase.h"
#include "springline/app/subject.h"

enum { SUBJECT_FILES_MAX = 24 };

struct subject_file {
    const char *name; /* "visits.csv" */
    size_t rows;
};

struct subject_case {
    struct id record;
    const char *number;
    bool current;
};

struct subject {
    struct app *app;
    const struct subject_taker *taker;
    struct erase_subject who;
    struct arena arena;
    struct subject_case *cases; /* by their newest version */
    size_t case_count, case_capacity;
    struct subject_file files[SUBJECT_FILES_MAX];
    size_t file_count;
    int64_t head; /* newest ledger row */
};

/* The number of a case of the subject; "" for any other. */
const char *subject_case_number(const struct subject *subject, const struct id *record);

/* The text for a reader: who, when, by whom, what the files are, then each case. */
enum status subject_text(const struct subject *subject, struct text *out, struct error *error);

#endif
