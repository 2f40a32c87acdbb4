/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Any bytes as the files of an import (parted by 0x1E) into a small practice; nothing is kept. What
 * is refused is refused by a row and a sentence; what is taken comes out of an export and is then
 * known to be the same.
 */
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"
#include "springline/app/exchange.h"
#include "springline/cli/csv.h"
#include "sqlite_pool.h"

enum { PARTED_BY = 0x1E };

struct told {
    long rows;
    bool demanding; /* no row may be bad now */
};

static void tell(void *context, const char *file, long line, const char *column,
                 const char *sentence)
{
    struct told *told = context;

    fuzz_printable(file, false, "the name of a file");
    fuzz_printable(column, false, "a column");
    fuzz_printable(sentence, false, "why a row is refused");
    fuzz_demand(sentence[0] != '\0' && line >= 1, "a bad row has its line and its sentence");
    if (told->demanding)
        fprintf(stderr, "fuzz: line %ld, %s: %s\n", line, column, sentence);
    fuzz_demand(!told->demanding, "a row that was exported is taken");
    told->rows++;
}

static void pass(void *context, const char *file, long line, const char *column,
                 const char *sentence)
{
    (void)context;
    (void)line;
    (void)column;
    fuzz_printable(file, false, "the name of a file");
    fuzz_printable(sentence, false, "a note");
}

/* Reads one file into the import; *kind what it was. False: it was refused as a whole. */
static bool read_file(struct import *import, const char *name, const char *bytes, size_t size,
                      enum record_kind *kind)
{
    struct csv_reader *reader = NULL;
    struct text unknown = {0};
    struct error error = {0};
    struct csv_row row;
    bool more = false, bad = false;
    FILE *in = fmemopen((void *)(uintptr_t)bytes, size, "r");

    fuzz_demand(in != NULL && csv_open(in, name, &reader, &error) == STATUS_OK, "there is memory");
    enum status status = csv_read(reader, &row, &more, &error);
    bool headed = status == STATUS_OK && more;
    if (headed) {
        *kind = exchange_kind(row.cells, row.count);
        status = import_file(import, name, row.cells, row.count, &unknown, &error);
        fuzz_printable(text_string(&unknown), true, "columns that are not known");
    }
    while (headed && status == STATUS_OK) {
        status = csv_read(reader, &row, &more, &error);
        if (status != STATUS_OK || !more)
            break;
        if (!row.blank)
            status = import_row(import, row.line, row.cells, row.count, &bad, &error);
    }
    if (status != STATUS_OK) {
        fuzz_demand(status == STATUS_INPUT, "an import is refused, or goes on");
        fuzz_refusal(status, &error);
    }
    text_release(&unknown);
    csv_close(reader);
    fclose(in);
    return headed && status == STATUS_OK;
}

static enum status add_cells(void *context, const char *const *cells, size_t count,
                             struct error *error)
{
    (void)error;
    csv_add_row(context, cells, count);
    return STATUS_OK;
}

/* What is recorded by now of one kind goes out, comes in again, and is known. */
static void try_again(struct app *app, struct import *import, enum record_kind kind)
{
    struct text cells = {0};
    struct error error = {0};

    fuzz_demand(export_rows(app, kind, add_cells, &cells, &error) == STATUS_OK,
                "what is recorded can be exported");
    fuzz_demand(read_file(import, "again.csv", cells.data, cells.length, &kind),
                "an export is a file of its kind");
    text_release(&cells);
}

static size_t part_length(const char *bytes, size_t size)
{
    const char *end = memchr(bytes, PARTED_BY, size);

    return end == NULL ? size : (size_t)(end - bytes);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct fuzz_store practice;
    struct exchange_totals totals = {0};
    struct told told = {0};
    struct import *import = NULL;
    struct error error = {0};
    bool touched[RECORD_KIND_COUNT + 1] = {false};
    const char *bytes = (const char *)data;

    if (practice.app.store == NULL) {
        sqlite_pool_use();
        fuzz_store_make(&practice, "import");
    }
    fuzz_store_wind(&practice);
    fuzz_demand(import_begin(&practice.app, "some", tell, &told, &import, &error) == STATUS_OK,
                "an import can be begun");
    import_set_notes(import, pass);
    while (size > 0) {
        enum record_kind kind = RECORD_KIND_COUNT;
        size_t length = part_length(bytes, size);
        if (length > 0 && read_file(import, "some.csv", bytes, length, &kind))
            touched[kind] = true;
        bytes += length < size ? length + 1 : size;
        size -= length < size ? length + 1 : size;
    }
    fuzz_demand(import_check(import, &error) == STATUS_OK, "an import can be judged");
    told.demanding = true;
    for (int i = 0; exchange_order[i] >= 0; i++)
        if (touched[exchange_order[i]])
            try_again(&practice.app, import, (enum record_kind)exchange_order[i]);
    fuzz_demand(import_end(import, false, &totals, &error) == STATUS_OK && totals.batch == 0,
                "nothing is kept");
    fuzz_demand(totals.bad >= 0 && totals.bad <= told.rows, "each bad row was told");
    return 0;
}
