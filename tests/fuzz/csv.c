/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The CSV reader over any bytes. Where its blocks end changes nothing; what it read is the same
 * when it is written and read again; a formula guard comes off as it went on.
 */
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"
#include "springline/app/exchange.h"
#include "springline/cli/csv.h"

enum { BLOCK = 65536, LINE_BREAK = 1 }; /* of csv_read.c */

struct reading {
    struct text rows; /* each cell with its NUL, a row ended by an empty one and its line */
    long count, failed_line;
    enum status status;
    bool blank; /* the last row was an empty line */
};

static void add_row(struct reading *reading, const struct csv_row *row, long before)
{
    fuzz_demand(row->count >= 1, "a row has a cell");
    fuzz_demand(!row->blank || (row->count == 1 && row->cells[0][0] == '\0'),
                "an empty line has one empty cell");
    text_addf(&reading->rows, "%ld %zu %d", row->line - before, row->count, (int)row->blank);
    for (size_t i = 0; i < row->count; i++)
        text_append(&reading->rows, row->cells[i], strlen(row->cells[i]) + 1);
    reading->count++;
    reading->blank = row->blank;
}

/* Reads all rows but the first skip ones; their lines count from before. */
static void read_all(const char *bytes, size_t size, long skip, long before,
                     struct reading *reading)
{
    struct csv_reader *reader = NULL;
    struct error error = {0};
    struct csv_row row;
    bool more = true;
    FILE *in = fmemopen((void *)(uintptr_t)bytes, size, "r");

    *reading = (struct reading){0};
    fuzz_demand(in != NULL, "bytes are a file");
    fuzz_demand(csv_open(in, "some.csv", &reader, &error) == STATUS_OK, "there is memory");
    for (;;) {
        reading->status = csv_read(reader, &row, &more, &error);
        if (reading->status != STATUS_OK || !more)
            break;
        if (skip > 0)
            skip--;
        else
            add_row(reading, &row, before);
    }
    if (reading->status != STATUS_OK) {
        fuzz_demand(reading->status == STATUS_INPUT, "what is no CSV is refused");
        fuzz_refusal(reading->status, &error);
        reading->failed_line = csv_line(reader) - before;
        fuzz_demand(csv_read(reader, &row, &more, &error) == STATUS_OK && !more,
                    "after a failure nothing is read");
    }
    csv_close(reader);
    fclose(in);
}

/* The same bytes behind one row that ends shift bytes before the end of the reader's block. */
static void try_block_end(const char *bytes, size_t size, size_t shift,
                          const struct reading *expected)
{
    struct reading padded;
    size_t before = BLOCK - shift;
    char *longer = malloc(before + size);

    fuzz_demand(longer != NULL, "there is memory");
    memset(longer, 'a', before - 1);
    longer[before - 1] = '\n';
    memcpy(longer + before, bytes, size);
    read_all(longer, before + size, 1, LINE_BREAK, &padded);
    fuzz_demand(padded.status == expected->status && padded.count == expected->count &&
                    padded.failed_line == expected->failed_line &&
                    padded.rows.length == expected->rows.length &&
                    (padded.rows.length == 0 ||
                     memcmp(padded.rows.data, expected->rows.data, padded.rows.length) == 0),
                "the end of a block changes nothing");
    text_release(&padded.rows);
    free(longer);
}

static void try_guard(const char *cell)
{
    struct text guarded = {0};

    exchange_guard(&guarded, cell);
    fuzz_demand(strcmp(exchange_unguard(text_string(&guarded)), cell) == 0,
                "a guard comes off as it went on");
    fuzz_demand(strchr("=+-@\t\r", text_string(&guarded)[0]) == NULL || cell[0] == '\0',
                "a guarded cell is no formula");
    text_release(&guarded);
}

/* Writes every row anew and reads that: the same cells. */
static void try_writing(const char *bytes, size_t size, const struct reading *expected)
{
    struct csv_reader *reader = NULL;
    struct reading again;
    struct text written = {0};
    struct error error = {0};
    struct csv_row row;
    bool more = true;
    FILE *in = fmemopen((void *)(uintptr_t)bytes, size, "r");

    fuzz_demand(in != NULL && csv_open(in, "some.csv", &reader, &error) == STATUS_OK, "memory");
    text_add(&written, "first\r\n"); /* a file may begin with a mark, a row may not */
    while (csv_read(reader, &row, &more, &error) == STATUS_OK && more) {
        if (row.blank)
            text_add(&written, "\r\n");
        else
            csv_add_row(&written, row.cells, row.count);
        try_guard(row.cells[0]);
    }
    csv_close(reader);
    fclose(in);
    read_all(written.data, written.length, 1, LINE_BREAK, &again);
    fuzz_demand(again.status == STATUS_OK && again.count == expected->count,
                "what was written is read whole");
    text_release(&again.rows);
    text_release(&written);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct reading plain;

    if (size < 3)
        return 0;
    size_t shift = 1 + (data[0] | (size_t)data[1] << 8) % (size - 2);
    const char *bytes = (const char *)data + 2;
    size -= 2;
    read_all(bytes, size, 0, 0, &plain);
    if ((data[2] & 0xE0U) != 0xE0U) /* no mark that only the first bytes of a file can be */
        try_block_end(bytes, size, shift, &plain);
    try_writing(bytes, size, &plain);
    text_release(&plain.rows);
    return 0;
}
