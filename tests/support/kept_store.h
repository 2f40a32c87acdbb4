/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A real store in TMPDIR for a test, with a clock and random bytes of its own, and rows of every
 * kind with every field filled. Every call fails the test when the store says no.
 */
#ifndef SPRINGLINE_TESTS_KEPT_STORE_H
#define SPRINGLINE_TESTS_KEPT_STORE_H

#include "springline/store/store.h"

struct kept_store {
    struct store *store;
    struct store_source source;
    instant now;      /* one second later at each look */
    uint64_t counter; /* of the random bytes */
    char path[400];
    struct error error;
    struct id records[RECORD_KIND_COUNT]; /* newest record of each kind, for references */
};

/* Room for one struct of any kind. */
union any_row {
    struct row_head head;
    struct patient patient;
    struct casefile casefile;
    struct trainer trainer;
    struct expander expander;
    struct visit visit;
    struct width width;
    struct wear_day wear_day;
    struct wear_count wear_count;
    struct contact contact;
    struct booking booking;
    struct tooth_width tooth_width;
    struct arch_segment arch_segment;
    struct arch_depth arch_depth;
    struct plan plan;
    struct protocol protocol;
    struct person person;
    struct judged judged;
};

/* A path in TMPDIR; what stands there, and its journal, is removed. */
void kept_path(char path[400], const char *name);
/* The clock and the bytes only: no store yet. */
void kept_source(struct kept_store *kept, const char *name);
/* A new store called name, opened. */
void kept_open(struct kept_store *kept, const char *name);
/* Closes and opens again. */
void kept_reopen(struct kept_store *kept);
/* Closes and removes the file. */
void kept_close(struct kept_store *kept);

/* A save with a fresh request id. */
void kept_begin(struct kept_store *kept, const char *command);
void kept_commit(struct kept_store *kept);
/* Appends inside a save and remembers the record for references of later rows. */
void kept_append(struct kept_store *kept, enum record_kind kind, void *row);

/*
 * Fills every field of a row of kind with a value that the schema takes; numbers and texts differ
 * by seed, references go to kept->records. The head is zeroed. Texts live as long as the process.
 */
void kept_fill(struct kept_store *kept, enum record_kind kind, int seed, union any_row *row);
/* The kinds of which kept_fill_all makes a row: all but erasure, which stands beside what it
 * blanked (kept_erase). */
enum { KEPT_KINDS = RECORD_ERASURE };
/* One save with the practice's protocol, then one full row of each of KEPT_KINDS, in an order that
 * references allow. */
void kept_fill_all(struct kept_store *kept, int seed);

/* A patient of its own, recorded in one save and erased in another. */
void kept_erase(struct kept_store *kept, int seed);

/* Fails unless every field of both rows is the same; heads are left aside. */
void kept_same_fields(enum record_kind kind, const void *a, const void *b);

/* A state of the newest case, every field filled. */
void kept_state(struct kept_store *kept, const char *number, struct case_state *state);

/* Runs SQL on a connection of its own without any of the store's settings; with drop_triggers
 * every trigger goes first. Returns SQLite's result. */
int kept_raw(const char *path, bool drop_triggers, const char *sql);
/* The single number a query gives. */
int64_t kept_number(const char *path, const char *sql);
/* The single text a query gives, cut to size. */
void kept_text(const char *path, const char *sql, char *text, size_t size);

/* Copies a file byte by byte; no store may have it open. */
void kept_copy(const char *from, const char *to);
/* Reads a whole file; *size its bytes. Release with free. */
unsigned char *kept_bytes(const char *path, size_t *size);

#endif
