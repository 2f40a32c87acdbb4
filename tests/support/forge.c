/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "forge.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "../../src/store/cell.h"

static void run(sqlite3 *db, const char *sql)
{
    if (sqlite3_exec(db, sql, NULL, NULL, NULL) != SQLITE_OK)
        fail_msg("%s: %s", sql, sqlite3_errmsg(db));
}

static sqlite3 *open_plain(const char *path)
{
    sqlite3 *db = NULL;

    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    run(db, "PRAGMA synchronous=OFF; PRAGMA ignore_check_constraints=ON; BEGIN");
    return db;
}

static void close_plain(sqlite3 *db)
{
    run(db, "COMMIT");
    assert_int_equal(sqlite3_close(db), SQLITE_OK);
}

static sqlite3_stmt *prepare(sqlite3 *db, const char *sql)
{
    sqlite3_stmt *stmt = NULL;

    if (sqlite3_prepare_v2(db, sql, -1, &stmt, NULL) != SQLITE_OK)
        fail_msg("%s: %s", sql, sqlite3_errmsg(db));
    return stmt;
}

/* The statements that drop every trigger, and those that make them again. */
static void triggers(sqlite3 *db, struct text *drop, struct text *make)
{
    sqlite3_stmt *stmt =
        prepare(db, "SELECT name, sql FROM sqlite_schema WHERE type = 'trigger' ORDER BY rowid");

    while (sqlite3_step(stmt) == SQLITE_ROW) {
        text_addf(drop, "DROP TRIGGER %s;", (const char *)sqlite3_column_text(stmt, 0));
        text_addf(make, "%s;", (const char *)sqlite3_column_text(stmt, 1));
    }
    sqlite3_finalize(stmt);
    assert_false(drop->failed || make->failed);
}

int forge_sql(const char *path, const char *sql)
{
    struct text drop = {0}, make = {0};
    sqlite3 *db = open_plain(path);

    triggers(db, &drop, &make);
    run(db, text_string(&drop));
    int before = sqlite3_total_changes(db);
    run(db, sql);
    int changed = sqlite3_total_changes(db) - before;
    run(db, text_string(&make));
    close_plain(db);
    text_release(&drop);
    text_release(&make);
    return changed;
}

static int table_named(const struct store *store, const char *name)
{
    for (int table = 0; table < TABLE_COUNT; table++)
        if (strcmp(store->shapes[table].table, name) == 0)
            return table;
    fail_msg("%s is no table of the ledger", name);
    return 0;
}

/* The columns of the table in their order, of one row. */
static sqlite3_stmt *row_of(sqlite3 *db, const struct shape *shape)
{
    struct text sql = {0};

    for (size_t i = 0; i < shape->column_count; i++)
        text_addf(&sql, "%s\"%s\"", i == 0 ? "SELECT " : ", ", shape->columns[i].name);
    text_addf(&sql, " FROM %s WHERE sequence = :sequence", shape->table);
    sqlite3_stmt *stmt = prepare(db, text_string(&sql));
    text_release(&sql);
    return stmt;
}

struct rehash {
    struct store store; /* its shapes and its buffer */
    sqlite3 *db;
    sqlite3_stmt *rows[TABLE_COUNT], *put;
    sqlite3_stmt *sign; /* gives a signature the new hash of its row; NULL: left as it was */
    uint8_t hash[HASH_SIZE];
};

static void rehash_row(struct rehash *rehash, int table, int64_t sequence)
{
    const struct shape *shape = &rehash->store.shapes[table];
    sqlite3_stmt *stmt = rehash->rows[table];
    struct cell cells[COLUMNS_MAX] = {{0}};
    uint8_t hash[HASH_SIZE];

    if (rehash->sign != NULL && table == RECORD_SIGNATURE) {
        assert_int_equal(sqlite3_bind_int64(rehash->sign, 1, sequence), SQLITE_OK);
        assert_int_equal(sqlite3_step(rehash->sign), SQLITE_DONE);
        sqlite3_reset(rehash->sign);
    }
    assert_int_equal(sqlite3_bind_int64(stmt, 1, sequence), SQLITE_OK);
    assert_int_equal(sqlite3_step(stmt), SQLITE_ROW);
    for (size_t i = 0; i < shape->column_count; i++)
        cells[i] = cell_of_column(stmt, (int)i);
    assert_true(ledger_hash(&rehash->store.buffer, rehash->hash, sequence, shape, cells, hash));
    memcpy(rehash->hash, hash, HASH_SIZE);
    sqlite3_reset(stmt);
    assert_int_equal(sqlite3_bind_blob(rehash->put, 1, hash, HASH_SIZE, SQLITE_STATIC), SQLITE_OK);
    assert_int_equal(sqlite3_bind_int64(rehash->put, 2, sequence), SQLITE_OK);
    assert_int_equal(sqlite3_step(rehash->put), SQLITE_DONE);
    sqlite3_reset(rehash->put);
}

static void rehash_all(struct rehash *rehash)
{
    sqlite3_stmt *practice = prepare(rehash->db, "SELECT id FROM practice");
    sqlite3_stmt *ledger =
        prepare(rehash->db, "SELECT sequence, kind FROM ledger ORDER BY sequence");
    struct id id;

    assert_int_equal(sqlite3_step(practice), SQLITE_ROW);
    assert_true(query_column_id(practice, 0, &id));
    ledger_genesis(&id, rehash->hash);
    while (sqlite3_step(ledger) == SQLITE_ROW)
        rehash_row(rehash,
                   table_named(&rehash->store, (const char *)sqlite3_column_text(ledger, 1)),
                   sqlite3_column_int64(ledger, 0));
    sqlite3_finalize(practice);
    sqlite3_finalize(ledger);
}

static void rehash_store(const char *path, bool sign)
{
    struct rehash rehash = {.db = open_plain(path)};
    struct text drop = {0}, make = {0};

    assert_true(shapes_make(&rehash.store));
    triggers(rehash.db, &drop, &make);
    run(rehash.db, text_string(&drop));
    for (int table = 0; table < TABLE_COUNT; table++)
        rehash.rows[table] = row_of(rehash.db, &rehash.store.shapes[table]);
    rehash.put = prepare(rehash.db, "UPDATE ledger SET hash = ? WHERE sequence = ?");
    if (sign)
        rehash.sign = prepare(rehash.db, "UPDATE signature SET row_hash = (SELECT lower(hex(hash)) "
                                         "FROM ledger WHERE lower(hex(ledger.row)) = "
                                         "signature.row) WHERE sequence = ?");
    rehash_all(&rehash);
    sqlite3_finalize(rehash.sign);
    sqlite3_finalize(rehash.put);
    for (int table = 0; table < TABLE_COUNT; table++)
        sqlite3_finalize(rehash.rows[table]);
    run(rehash.db, text_string(&make));
    close_plain(rehash.db);
    arena_release(&rehash.store.arena);
    text_release(&rehash.store.buffer);
    text_release(&drop);
    text_release(&make);
}

void forge_rehash(const char *path)
{
    rehash_store(path, false);
}

void forge_rehash_signed(const char *path)
{
    rehash_store(path, true);
}
