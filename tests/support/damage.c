/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "damage.h"

#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include <sqlite3.h>

#include "fuzz.h"

enum { PAGE = 4096, HEADER = 100, VALUE_MOST = 64 };
enum operation { WRITE, FLIP, COPY_PAGE, FILL_PAGE, CUT, HEADER_BYTE, CELL, SQL, OPERATION_COUNT };

/* What an instruction was read from. */
struct instruction {
    enum operation operation;
    uint8_t page, other;
    uint16_t offset;
    const uint8_t *value;
    size_t length; /* of value, at most VALUE_MOST */
};

/* Reads one and moves on; false: nothing is left. */
static bool next(const uint8_t **data, size_t *size, struct instruction *read)
{
    const uint8_t *at = *data;
    size_t length;

    if (*size < 6)
        return false;
    *read = (struct instruction){.operation = (enum operation)(at[0] % OPERATION_COUNT),
                                 .page = at[1],
                                 .other = at[2],
                                 .offset = (uint16_t)(at[3] | at[4] << 8),
                                 .value = at + 6};
    length = at[5] % (VALUE_MOST + 1);
    read->length = length < *size - 6 ? length : *size - 6;
    *data += 6 + read->length;
    *size -= 6 + read->length;
    return true;
}

static void put(unsigned char *bytes, size_t length, size_t at, const struct instruction *read)
{
    for (size_t i = 0; i < read->length && at + i < length; i++)
        bytes[at + i] = read->value[i];
}

/* Where the bytes of a cell of a page begin: the pointers stand behind the page's header (SQLite's
 * file format, 1.6). */
static size_t cell_of(const unsigned char *bytes, size_t length, size_t page, uint8_t which)
{
    size_t header = page == 0 ? HEADER : 0, base = page * PAGE;

    if (base + PAGE > length)
        return base;
    const unsigned char *at = bytes + base + header;
    size_t cells = (size_t)at[3] << 8 | at[4], pointers = at[0] == 2 || at[0] == 5 ? 12 : 8;
    if (cells == 0 || header + pointers + 2 * cells > PAGE)
        return base + header;
    const unsigned char *pointer = at + pointers + 2 * (which % cells);
    size_t cell = (size_t)pointer[0] << 8 | pointer[1];
    return base + (cell < PAGE ? cell : header);
}

static void carry_out(const struct instruction *read, unsigned char *bytes, size_t *length)
{
    size_t pages = *length / PAGE;
    size_t page = pages == 0 ? 0 : read->page % pages;
    size_t at = page * PAGE + read->offset % PAGE;

    if (pages == 0)
        return;
    switch (read->operation) {
    case WRITE:
        put(bytes, *length, at, read);
        break;
    case FLIP:
        bytes[at] ^= (unsigned char)(1U << read->other % 8);
        break;
    case COPY_PAGE:
        memmove(bytes + read->other % pages * PAGE, bytes + page * PAGE, PAGE);
        break;
    case FILL_PAGE:
        memset(bytes + page * PAGE, read->other, PAGE);
        break;
    case CUT:
        *length = at;
        break;
    case HEADER_BYTE:
        put(bytes, *length, read->offset % HEADER, read);
        break;
    case CELL:
        put(bytes, *length, cell_of(bytes, *length, page, read->other) + read->offset % 64, read);
        break;
    case SQL:
    case OPERATION_COUNT:
        break;
    }
}

void damage_bytes(const uint8_t *data, size_t size, unsigned char *bytes, size_t *length)
{
    struct instruction read;

    for (int i = 0; i < DAMAGE_MOST && next(&data, &size, &read); i++)
        carry_out(&read, bytes, length);
}

/* ---- in SQL ---- */

static sqlite3 *connect(const char *path)
{
    sqlite3 *db = NULL;

    fuzz_demand(sqlite3_open_v2(path, &db, SQLITE_OPEN_READWRITE, NULL) == SQLITE_OK,
                "the store's file can be opened");
    return db;
}

void damage_read_plan(const char *path, struct damage_plan *plan)
{
    sqlite3 *db = connect(path);
    sqlite3_stmt *rows = NULL;

    plan->count = 0;
    fuzz_demand(sqlite3_prepare_v2(db,
                                   "SELECT m.name, c.name FROM sqlite_schema AS m, "
                                   "pragma_table_info(m.name) AS c WHERE m.type = 'table' "
                                   "ORDER BY m.name, c.cid",
                                   -1, &rows, NULL) == SQLITE_OK,
                "its tables can be named");
    while (sqlite3_step(rows) == SQLITE_ROW) {
        const char *table = (const char *)sqlite3_column_text(rows, 0);
        struct damage_table *last = plan->count == 0 ? NULL : &plan->tables[plan->count - 1];
        if (last == NULL || strcmp(last->name, table) != 0) {
            fuzz_demand(plan->count < DAMAGE_TABLES_MOST, "there is room for every table");
            last = &plan->tables[plan->count++];
            *last = (struct damage_table){0};
            snprintf(last->name, sizeof last->name, "%s", table);
        }
        fuzz_demand(last->count < DAMAGE_COLUMNS_MOST, "and for every column");
        snprintf(last->columns[last->count++], sizeof last->columns[0], "%s",
                 (const char *)sqlite3_column_text(rows, 1));
    }
    sqlite3_finalize(rows);
    sqlite3_close(db);
}

void damage_drop_triggers(const char *path)
{
    sqlite3 *db = connect(path);
    sqlite3_stmt *rows = NULL;
    struct text drops = {0};

    fuzz_demand(sqlite3_prepare_v2(db, "SELECT name FROM sqlite_schema WHERE type = 'trigger'", -1,
                                   &rows, NULL) == SQLITE_OK,
                "triggers can be named");
    while (sqlite3_step(rows) == SQLITE_ROW)
        text_addf(&drops, "DROP TRIGGER \"%s\";", (const char *)sqlite3_column_text(rows, 0));
    sqlite3_finalize(rows);
    fuzz_demand(sqlite3_exec(db, text_string(&drops), NULL, NULL, NULL) == SQLITE_OK,
                "and dropped");
    text_release(&drops);
    sqlite3_close(db);
}

/* What the instruction's value becomes: a text, bytes, a number or nothing. */
static void bind_value(sqlite3_stmt *statement, const struct instruction *read)
{
    switch (read->offset % 4) {
    case 0:
        sqlite3_bind_text(statement, 1, (const char *)read->value, (int)read->length,
                          SQLITE_STATIC);
        break;
    case 1:
        sqlite3_bind_blob(statement, 1, read->value, (int)read->length, SQLITE_STATIC);
        break;
    case 2: {
        sqlite3_int64 number = 0;
        for (size_t i = 0; i < read->length && i < 8; i++)
            number = (sqlite3_int64)((uint64_t)number << 8 | read->value[i]);
        sqlite3_bind_int64(statement, 1, number);
        break;
    }
    default:
        sqlite3_bind_null(statement, 1);
        break;
    }
}

/* A value of another type, or a second row of one key, is refused by SQLite and nothing happens. */
static void set_column(sqlite3 *db, const struct instruction *read, const struct damage_plan *plan)
{
    const struct damage_table *table = &plan->tables[read->page % plan->count];
    const char *column = table->columns[read->other % table->count];
    sqlite3_stmt *statement = NULL;
    struct text sql = {0};

    text_addf(&sql, "UPDATE OR REPLACE \"%s\" SET \"%s\" = ?1", table->name, column);
    if (sqlite3_prepare_v2(db, text_string(&sql), -1, &statement, NULL) == SQLITE_OK) {
        bind_value(statement, read);
        (void)sqlite3_step(statement);
    }
    sqlite3_finalize(statement);
    text_release(&sql);
}

void damage_by_sql(const uint8_t *data, size_t size, const char *path,
                   const struct damage_plan *plan)
{
    struct instruction read;
    sqlite3 *db = connect(path);

    sqlite3_exec(db,
                 "PRAGMA ignore_check_constraints=ON; PRAGMA foreign_keys=OFF;"
                 "PRAGMA synchronous=OFF; PRAGMA journal_mode=MEMORY;",
                 NULL, NULL, NULL);
    for (int i = 0; i < DAMAGE_MOST && next(&data, &size, &read); i++)
        if (read.operation == SQL)
            set_column(db, &read, plan);
    sqlite3_close(db);
}
