/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The open import: what import.c (begin, files, end), import_row.c (one row) and import_check.c
 * (whole cases) share. */
#ifndef SPRINGLINE_APP_IMPORT_PRIVATE_H
#define SPRINGLINE_APP_IMPORT_PRIVATE_H

#include "exchange_private.h"

/* Where a kept row came from. */
struct import_place {
    int32_t file; /* index into files; -1: not a row of this import */
    int32_t line;
    bool bad; /* reported once already */
};

struct import {
    struct app *app;
    struct app_save save;
    struct id request;
    import_reporter reporter, notes;
    void *context;
    struct arena arena;     /* numbers, places, files: as long as the import */
    struct arena row_arena; /* one row, one case */
    struct import_index cases, patients;
    struct import_party **touched; /* cases in the order of their first row */
    size_t touched_count, touched_capacity;
    struct import_place *places; /* by ledger sequence, from first_sequence */
    size_t place_count, place_capacity;
    int64_t first_sequence; /* of the first row kept; 0: none yet */
    const char **files;
    size_t file_count, file_capacity;
    enum record_kind kind; /* of the current file */
    size_t column_count;
    const struct field **columns; /* field of each column; NULL: unknown, left alone */
    um entry_cap;                 /* of the practice's protocol; UM_NONE: it has none */
    struct exchange_totals totals;
};

/* Where the row with this place in the ledger came from; NULL: not from this import. */
struct import_place *import_place_of(struct import *import, int64_t sequence);

/* Tells the reporter of one bad row. */
void import_report(const struct import *import, long line, const char *column,
                   const char *sentence);

/* The party of index with this number, from the store if need be; *party NULL: there is none. */
enum status import_find_party(struct import *import, enum record_kind kind, const char *number,
                              struct import_party **party, struct error *error);

#endif
