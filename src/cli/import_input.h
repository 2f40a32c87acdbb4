/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The files of one import: found, put in order, read, and their bad rows written out again. */
#ifndef SPRINGLINE_CLI_IMPORT_INPUT_H
#define SPRINGLINE_CLI_IMPORT_INPUT_H

#include "springline/app/exchange.h"
#include "springline/cli/csv.h"

struct input {
    const char *path;      /* as given, or below the folder given */
    enum record_kind kind; /* by its header */
    long *bad;             /* lines of its bad rows, in the order met */
    size_t bad_count, bad_capacity;
    bool broken;                   /* not CSV from some line on: the rest was not read */
    long broken_from, broken_line; /* where that row begins, and the line that is wrong */
};

struct inputs {
    struct arena arena;
    struct input *files; /* in the order in which they must be read */
    size_t count, capacity;
};

/*
 * The file at path, or every .csv of the folder at path but .rejects.csv, each header read:
 * STATUS_INPUT, naming the file, when one can not be opened, is empty, or is of no known kind.
 */
enum status inputs_find(struct inputs *inputs, const char *path, struct error *error);
/* Frees all; the struct is empty afterwards. */
void inputs_release(struct inputs *inputs);

/* Remembers a bad row of the file at path; the same line twice is one. False: no memory. */
bool inputs_mark(struct inputs *inputs, const char *path, long line);

/* Gives one file to the import row by row: header first, empty lines passed over. STATUS_INPUT,
 * with the line in where, when it stops being CSV. unknown: as import_file. */
enum status input_read(struct import *import, struct input *input, struct text *unknown,
                       struct error *error);

/* How many lines lie after the one at which a broken input was given up. */
long input_unread(const struct input *input);

/* Writes header and bad rows of input to path, as read, and of a row that is no CSV its lines as
 * they stand. The bad lines are put in order. */
enum status input_write_rejects(struct input *input, const char *path, struct error *error);

/* Appends where the rejects of input go by default: FILE.csv gives FILE.rejects.csv. */
void input_rejects_path(const struct input *input, struct text *path);

#endif
