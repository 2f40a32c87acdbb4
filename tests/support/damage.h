/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A store's file, damaged by a list of small instructions read from any bytes: what a disk, a
 * careless copy or somebody with an editor of databases can do to it. The same bytes do the same
 * damage, as long as the file they are done to is the same.
 */
#ifndef SPRINGLINE_TESTS_DAMAGE_H
#define SPRINGLINE_TESTS_DAMAGE_H

#include <stddef.h>
#include <stdint.h>

enum { DAMAGE_TABLES_MOST = 64, DAMAGE_COLUMNS_MOST = 64, DAMAGE_MOST = 16 };

/* The tables of a store and their columns, by name. */
struct damage_plan {
    struct damage_table {
        char name[48];
        char columns[DAMAGE_COLUMNS_MOST][48];
        int count;
    } tables[DAMAGE_TABLES_MOST];
    int count;
};

/* Reads them from the store at path; ends the program when it can not. */
void damage_read_plan(const char *path, struct damage_plan *plan);

/* Takes every trigger out of the file, so that its rows can be changed by SQL. */
void damage_drop_triggers(const char *path);

/*
 * Reads instructions (at most DAMAGE_MOST) from size bytes and carries them out on the *length
 * bytes of a file in memory; its length may shrink. An instruction is an operation, then what it
 * needs: bytes overwritten, a bit flipped, a page copied, filled or cut off, a number of the
 * header, a part of a cell that a page points to. Those in SQL are left to damage_by_sql.
 */
void damage_bytes(const uint8_t *data, size_t size, unsigned char *bytes, size_t *length);

/* The instructions in SQL among the same bytes: a column of a table set to what follows, behind
 * every check. For a file without triggers. */
void damage_by_sql(const uint8_t *data, size_t size, const char *path,
                   const struct damage_plan *plan);

#endif
