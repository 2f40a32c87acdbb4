/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "file_cells.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* Kinds of pages. */
enum { INNER_INDEX = 0x02, INNER_TABLE = 0x05, LEAF_INDEX = 0x0a, LEAF_TABLE = 0x0d };
enum { FILE_HEADER = 100, LEAF_HEADER = 8, INNER_HEADER = 12, POINTER = 4 };

struct reading {
    struct file_rows *rows;
    const unsigned char *file;
    size_t size;
    long page_size;
};

static long number(const unsigned char *at, int bytes)
{
    long value = 0;

    for (int i = 0; i < bytes; i++)
        value = value << 8 | at[i];
    return value;
}

/* Seven bits a byte, the great ones first, eight in the ninth; returns how many bytes. */
static int varint(const unsigned char *at, uint64_t *value)
{
    *value = 0;
    for (int i = 0; i < 8; i++) {
        *value = *value << 7 | (at[i] & 0x7f);
        if ((at[i] & 0x80) == 0)
            return i + 1;
    }
    *value = *value << 8 | at[8];
    return 9;
}

static void add_byte(struct reading *reading, struct file_row *row, long at, enum cell_part part)
{
    assert_true(at >= 0 && (size_t)at < reading->size);
    row->bytes[row->count++] = (struct file_byte){at, part, reading->file[at]};
}

/* How much of a record of so many bytes stands on its page (section 1.6). */
static long local_bytes(long page_size, long length, bool table)
{
    long most = table ? page_size - 35 : (page_size - 12) * 64 / 255 - 23;
    long least = (page_size - 12) * 32 / 255 - 23;

    if (length <= most)
        return length;
    long local = least + (length - least) % (page_size - POINTER);
    return local <= most ? local : least;
}

/* Which part the bytes of the record are: the length of its header, its types, its values. */
static void part_record(const struct reading *reading, struct file_row *row, size_t first)
{
    unsigned char head[9] = {0};
    uint64_t header;

    for (size_t i = first; i < row->count && i < first + sizeof head; i++)
        head[i - first] = reading->file[row->bytes[i].at];
    int own = varint(head, &header);
    for (size_t i = first; i < row->count; i++) {
        size_t place = i - first;

        if (row->bytes[i].part == PART_FRAME)
            continue;
        row->bytes[i].part = place < (size_t)own ? PART_FRAME
                             : place < header    ? PART_TYPE
                                                 : PART_VALUE;
    }
}

/* The record at so far on, of length bytes, here and on pages of its own. */
static void add_record(struct reading *reading, long at, long length, bool table,
                       struct file_row *row)
{
    const size_t first = row->count;
    long local = local_bytes(reading->page_size, length, table), left = length - local;
    size_t pointers = 0;
    struct file_byte places[256] = {{0, PART_FRAME, 0}};

    for (long i = 0; i < local; i++)
        add_byte(reading, row, at + i, PART_VALUE);
    for (long pointer = at + local; left > 0;) {
        long page = number(reading->file + pointer, POINTER);
        long here = left < reading->page_size - POINTER ? left : reading->page_size - POINTER;

        for (long i = 0; i < POINTER; i++) {
            assert_true(pointers < sizeof places / sizeof places[0]);
            places[pointers++] =
                (struct file_byte){pointer + i, PART_FRAME, reading->file[pointer + i]};
        }
        pointer = (page - 1) * reading->page_size;
        for (long i = 0; i < here; i++)
            add_byte(reading, row, pointer + POINTER + i, PART_VALUE);
        left -= here;
    }
    part_record(reading, row, first);
    for (size_t i = 0; i < pointers; i++)
        row->bytes[row->count++] = places[i];
}

static void add_cell(struct reading *reading, long at, bool table)
{
    struct file_rows *rows = reading->rows;
    uint64_t length, rowid;
    long begun = at;

    at += varint(reading->file + at, &length);
    if (table)
        at += varint(reading->file + at, &rowid);
    if (rows->count == rows->capacity) {
        rows->capacity = rows->capacity == 0 ? 64 : 2 * rows->capacity;
        rows->rows = realloc(rows->rows, rows->capacity * sizeof *rows->rows);
        assert_non_null(rows->rows);
    }
    struct file_row *row = &rows->rows[rows->count++];
    *row = (struct file_row){.bytes = calloc((size_t)length + 300, sizeof *row->bytes)};
    assert_non_null(row->bytes);
    for (; begun < at; begun++)
        add_byte(reading, row, begun, PART_FRAME);
    add_record(reading, at, (long)length, table, row);
}

static void add_page(struct reading *reading, long page)
{
    const long start = (page - 1) * reading->page_size, at = start + (page == 1 ? FILE_HEADER : 0);

    assert_true(page >= 1 && (size_t)(start + reading->page_size) <= reading->size);
    const unsigned char *header = reading->file + at;
    const bool inner = header[0] == INNER_INDEX || header[0] == INNER_TABLE;
    const bool table = header[0] == INNER_TABLE || header[0] == LEAF_TABLE;
    const long cells = number(header + 3, 2);

    assert_true(inner || table || header[0] == LEAF_INDEX);
    for (long i = 0; i < cells; i++) {
        long cell = start + number(header + (inner ? INNER_HEADER : LEAF_HEADER) + 2 * i, 2);

        if (inner)
            add_page(reading, number(reading->file + cell, POINTER));
        if (!inner || !table) /* an inner page of a table holds rowids only */
            add_cell(reading, cell + (inner ? POINTER : 0), table);
    }
    if (inner)
        add_page(reading, number(header + LEAF_HEADER, POINTER));
}

void file_rows_add(struct file_rows *rows, const unsigned char *file, size_t size, long root)
{
    struct reading reading = {rows, file, size, number(file + 16, 2)};

    assert_memory_equal(file, "SQLite format 3", 16);
    assert_int_equal(file[20], 0); /* no bytes are reserved on its pages */
    if (reading.page_size == 1)
        reading.page_size = 65536;
    add_page(&reading, root);
}

void file_rows_release(struct file_rows *rows)
{
    for (size_t i = 0; i < rows->count; i++)
        free(rows->rows[i].bytes);
    free(rows->rows);
    *rows = (struct file_rows){0};
}
