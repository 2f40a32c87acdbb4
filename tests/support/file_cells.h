/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Where the bytes of rows stand in a database file: read from the file itself by SQLite's published
 * file format (sqlite3-doc, fileformat2.html, sections 1.5, 1.6 and 2.1), with nothing of SQLite.
 */
#ifndef SPRINGLINE_TESTS_FILE_CELLS_H
#define SPRINGLINE_TESTS_FILE_CELLS_H

#include <stddef.h>

enum cell_part {
    PART_FRAME, /* length of the record, rowid, length of its header, place of the rest */
    PART_TYPE,  /* the header: a type of each column */
    PART_VALUE, /* the columns */
    PART_COUNT
};

struct file_byte {
    long at; /* in the file */
    enum cell_part part;
    unsigned char now; /* what stands there */
};

/* The bytes of one row, frame first. */
struct file_row {
    struct file_byte *bytes;
    size_t count;
};

struct file_rows {
    struct file_row *rows;
    size_t count, capacity;
};

/* Adds every row of the b-tree at root (1: the first page) of a file read into memory; of a table
 * without a rowid the rows stand in inner pages too. Fails the test where the file is none. */
void file_rows_add(struct file_rows *rows, const unsigned char *file, size_t size, long root);
void file_rows_release(struct file_rows *rows);

#endif
