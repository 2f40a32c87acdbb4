/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The working list for the telephone: whom to call now, whom later, what to know while dialling. */
#ifndef SPRINGLINE_APP_LISTS_CALL_H
#define SPRINGLINE_APP_LISTS_CALL_H

#include "springline/app/lists.h"

struct call_row {
    struct listed_recall *listed;
    bool later;        /* to be called again on a day ahead; a safety item never is */
    bool outcome_read; /* by lists_call_outcome */
    enum outcome outcome;
    const char *words; /* what a search looks through; NULL until the first one */
};

/* A zeroed struct is an empty list; release with lists_call_release. */
struct call_list {
    struct arena arena, found_arena;
    struct recall_list recalls;
    struct call_row *rows; /* in recall order; within a group but safety, later ones last */
    size_t count;
    size_t groups[RECALL_RETENTION + 1]; /* rows of each group */
    size_t later;                        /* rows to be called later */
    struct call_row **found;             /* those of lists_call_find, in the same order */
    size_t found_count;
};

/* Reads the list of the app's today: every group, windows that are open today; finds none of it
 * yet. On failure it is empty. It stays where it is: rows are read into it later. */
enum status lists_call(struct app *app, struct call_list *list, struct error *error);

/* Finds the rows in which every word of folded stands ("" all): number, name, group, safety items,
 * telephone with and without blanks, clinician, verdict. The first search reads the states. On
 * failure nothing is found. */
enum status lists_call_find(struct app *app, struct call_list *list, const char *folded,
                            struct error *error);

/* The state of a row's case; see lists_recall_state. */
const struct case_state *lists_call_state(struct app *app, const struct call_list *list,
                                          const struct call_row *row);

/* Frees it. */
void lists_call_release(struct call_list *list);

/* Appends how many are to be called, by group, as far as it fits into cells. */
void lists_call_title(const struct call_list *list, int cells, struct text *out);

/* Is the family to be called again on a day ahead, so that nobody calls before? A safety item is
 * called all the same: never. */
bool lists_call_waits(const struct listed_recall *listed, day today);
/* Appends "again 11-27". */
void lists_call_again(const struct listed_recall *listed, struct text *out);

/* Appends the days: "12 d" behind the window, "!12 d" since a safety item arose; else nothing. */
void lists_call_late(const struct call_row *row, struct text *out);

/* The columns of the list. */
enum call_cell {
    CALL_CELL_CASE,
    CALL_CELL_NAME,
    CALL_CELL_WHY,
    CALL_CELL_LATE,
    CALL_CELL_PHONE,
    CALL_CELL_CONTACT,
    CALL_CELL_OUTCOME, /* reads the case */
    CALL_CELL_AGAIN,
    CALL_CELL_BOOKED,
    CALL_CELL_VERDICT,
    CALL_CELL_COUNT
};
/* Appends one cell of a row. */
void lists_call_cell(struct app *app, const struct call_list *list, struct call_row *row,
                     enum call_cell cell, struct text *out);

/* Appends the last verdict, with " r" where it was worked out now. */
void lists_verdict(struct text *out, const struct case_state *state);

/* Why the case is on the list, in at most 20 cells: the safety item; the group, with the day it is
 * booked for, is due from, or is to be called again. */
void lists_call_why(const struct call_row *row, struct text *out);

/* The outcome of the newest contact, read from the case at the first call: meant for rows that are
 * seen. "" none; "?" when the case can not be read now. */
const char *lists_call_outcome(struct app *app, const struct call_list *list, struct call_row *row);

/* Appends "tel. 000 10 0122 (guardian), or ...", or "no number". */
void lists_call_numbers(struct text *out, const struct patient *patient);
/* Appends "SAFETY: " and every item that stands, with the day from which it does, the leading one
 * first. The row is of a safety item and has its state. */
void lists_call_safety(struct text *out, const struct recall_row *recall, day today);

/* Appends what is needed while dialling, the numbers first: who, each guardian with a number, every
 * safety item, the last two contacts with their notes, bookings, windows. Reads the case. */
enum status lists_call_tell(struct app *app, const struct call_list *list,
                            const struct call_row *row, struct text *out, struct error *error);

#endif
