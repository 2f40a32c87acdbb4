/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A save: the request, its rows, each with its ledger row. */
#include <string.h>

#include "cell.h"

/* The first ten columns of every record table, in the order of shape.c. */
enum {
    AT_ID,
    AT_RECORD,
    AT_VERSION,
    AT_REPLACES,
    AT_SEQUENCE,
    AT_RECORDED_AT,
    AT_PRACTICE,
    AT_PERSON,
    AT_REQUEST,
    AT_REASON,
    AT_SALTS,
    AT_SEALS
};

enum status save_check(struct store *store, struct error *error)
{
    if (store->db == NULL)
        return store_is_closed(store, error);
    if (!store->save.open)
        return error_set(error, STATUS_USAGE, store->path, "No save is open on %s.", store->path);
    if (store->save.broken)
        return error_set(error, STATUS_UNUSABLE, store->path,
                         "This save to %s has failed and nothing of it will be kept; start it "
                         "again.",
                         store->path);
    return STATUS_OK;
}

enum status write_end(struct store *store, struct query *query, const char *table,
                      struct error *error)
{
    enum status status = STATUS_OK;
    int code = query_run(query);

    if (code == SQLITE_OK)
        return STATUS_OK;
    /* The sentence first: what follows may change SQLite's message. */
    if (store->db != NULL)
        status = store_row_failure(store, code, table, error);
    else
        status = store_is_closed(store, error);
    if (code == SQLITE_IOERR_NOMEM)
        code = SQLITE_NOMEM;
    code &= 0xff;
    if (code != SQLITE_CONSTRAINT || store->db == NULL || sqlite3_get_autocommit(store->db)) {
        store->save.broken = true;
        store->save.distrusted = code != SQLITE_CONSTRAINT && code != SQLITE_NOMEM;
    }
    return status;
}

static enum status write_ledger(struct store *store, int table, int64_t sequence,
                                const struct cell *cells, const uint8_t hash[HASH_SIZE],
                                struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_LEDGER_INSERT]);
    enum status status;

    query_integer(&query, ":sequence", sequence);
    query_text(&query, ":kind", store->shapes[table].table);
    query_blob(&query, ":row", cells[AT_ID].bytes, cells[AT_ID].length);
    query_instant(&query, ":recorded_at", store->save.at);
    query_blob(&query, ":hash", hash, HASH_SIZE);
    status = write_end(store, &query, "ledger", error);
    /* The row stands and its ledger row does not: such a save may never be committed. */
    if (status != STATUS_OK)
        store->save.broken = true;
    return status;
}

enum status write_row(struct store *store, int table, sqlite3_stmt *insert,
                      const struct cell *cells, struct error *error)
{
    const struct shape *shape = &store->shapes[table];
    const int64_t sequence = store->save.sequence + 1;
    uint8_t hash[HASH_SIZE];
    struct query query;
    enum status status;

    if (!ledger_hash(&store->buffer, store->save.hash, sequence, shape, cells, hash))
        return error_no_memory(error);
    query = query_start(store, insert);
    for (size_t i = 0; i < shape->column_count && query.code == SQLITE_OK; i++)
        query.code = cell_bind(query.stmt, (int)i + 1, &cells[i]);
    status = write_end(store, &query, shape->table, error);
    if (status == STATUS_OK)
        status = write_ledger(store, table, sequence, cells, hash, error);
    if (status != STATUS_OK)
        return status;
    store->save.sequence = sequence;
    memcpy(store->save.hash, hash, HASH_SIZE);
    return STATUS_OK;
}

static enum status write_request(struct store *store, const struct store_request *request,
                                 struct error *error)
{
    struct cell cells[9] = {
        cell_id(&request->id),
        cell_integer(store->save.sequence + 1),
        cell_null(),
        cell_id(&store->practice),
        cell_id(&request->person),
        cell_text(request->seat),
        cell_text(request->command),
        cell_text(request->label),
        cell_integer(request->imported ? 1 : 0),
    };
    enum status status;

    arena_clear(&store->scratch);
    status = cell_instant(store->save.at, &store->scratch, &cells[2], error);
    if (status != STATUS_OK)
        return status;
    return write_row(store, TABLE_REQUEST, store->statements[STATEMENT_REQUEST_INSERT], cells,
                     error);
}

/* True in *found when a save with this request id is in the store. */
static enum status find_request(struct store *store, const struct id *id, bool *found,
                                struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_REQUEST_FIND]);

    *found = false;
    query_id(&query, ":id", id);
    while (query_row(&query))
        *found = true;
    return query_end(&query, error);
}

static enum status begin_save(struct store *store, const struct store_request *request,
                              struct error *error)
{
    struct save *save = &store->save;
    instant newest = INSTANT_NONE;
    bool found = false;
    enum status status = find_request(store, &request->id, &found, error);

    if (status == STATUS_OK && found)
        return error_set(error, STATUS_ALREADY, store->path,
                         "This was saved before; it is not saved twice.");
    if (status == STATUS_OK)
        status = head_read(store, &save->sequence, &newest, save->hash, error);
    if (status != STATUS_OK)
        return status;
    save->at = store->source.now(store->source.context);
    if (newest != INSTANT_NONE && newest > save->at)
        save->at = newest;
    save->request = request->id;
    save->person = request->person;
    save->imported = request->imported;
    if (save->imported)
        status = settings_cache(store, CACHE_IMPORT_KIB, error);
    if (status != STATUS_OK)
        return status;
    return write_request(store, request, error);
}

enum status store_begin(struct store *store, const struct store_request *request,
                        struct error *error)
{
    struct query query;
    enum status status;
    int code;

    if (store->db == NULL)
        return store_is_closed(store, error);
    if (store->save.open)
        return error_set(error, STATUS_USAGE, store->path, "A save is open on %s already.",
                         store->path);
    if (id_is_none(&request->id))
        return error_set(error, STATUS_USAGE, store->path, "A save needs a request id.");
    query = query_start(store, store->statements[STATEMENT_BEGIN_WRITE]);
    code = query_run(&query);
    if (code != SQLITE_OK)
        return store_failure(store, code, error);
    memset(&store->save, 0, sizeof store->save);
    store->save.open = true;
    status = begin_save(store, request, error);
    if (status != STATUS_OK)
        store_rollback(store);
    return status;
}

/* What a new version needs of the row it replaces: that it is the current one. */
static enum status check_standing(struct store *store, enum record_kind kind, const struct id *row,
                                  struct id *record, int32_t *version, struct error *error)
{
    const char *table = record_tables[kind].table;
    struct query query = query_start(store, store->rows[kind][ROW_STANDING]);
    bool found = false, current = false, good = true;
    enum status status;

    query_id(&query, ":id", row);
    while (query_row(&query)) {
        found = true;
        good = query_column_id(query.stmt, 0, record);
        *version = sqlite3_column_int(query.stmt, 1);
        current = sqlite3_column_int(query.stmt, 2) == 0 && sqlite3_column_int(query.stmt, 3) == 0;
    }
    status = query_end(&query, error);
    if (status != STATUS_OK)
        return status;
    if (!good)
        return store_damaged(table, "record", error);
    if (!found)
        return error_set(error, STATUS_NOT_FOUND, table,
                         "The store holds no such %s row; read the record again.", table);
    if (!current)
        return error_set(error, STATUS_CONFLICT, table,
                         "This %s was changed or withdrawn by someone else since it was read; look "
                         "at it again before saving.",
                         table);
    return STATUS_OK;
}

/* The identities and the version the new row will have. */
static enum status next_head(struct store *store, enum record_kind kind,
                             const struct row_head *given, struct row_head *next,
                             struct id *replaces, struct error *error)
{
    enum status status;

    memset(replaces, 0, sizeof *replaces);
    *next = *given;
    if (given->version == 0) {
        if (id_is_none(&given->id))
            next->id = store_new_id(store);
        next->record = next->id;
        next->version = 1;
    } else {
        status = check_standing(store, kind, &given->id, &next->record, &next->version, error);
        if (status != STATUS_OK)
            return status;
        next->version++;
        *replaces = given->id;
        next->id = store_new_id(store);
    }
    next->sequence = store->save.sequence + 1;
    next->recorded_at = store->save.at;
    next->person = store->save.person;
    next->request = store->save.request;
    next->imported = store->save.imported;
    return STATUS_OK;
}

/* Salts and seals of the personal fields, in the order of the columns, made in scratch. */
static enum status seal_cells(struct store *store, const struct shape *shape, struct cell *cells,
                              struct error *error)
{
    const size_t count = shape->personal_count;
    uint8_t *salts, *seals;
    size_t done = 0;

    if (count == 0)
        return STATUS_OK;
    salts = arena_array(&store->scratch, count, SALT_SIZE);
    seals = arena_array(&store->scratch, count, HASH_SIZE);
    if (salts == NULL || seals == NULL)
        return error_no_memory(error);
    store->source.random(store->source.context, salts, count * SALT_SIZE);
    for (size_t i = shape->first_field; i < shape->column_count; i++) {
        if (shape->columns[i].hashed)
            continue;
        if (!ledger_seal(&store->buffer, salts + done * SALT_SIZE, &shape->columns[i], &cells[i],
                         seals + done * HASH_SIZE))
            return error_no_memory(error);
        done++;
    }
    cells[AT_SALTS] = cell_blob(salts, count * SALT_SIZE);
    cells[AT_SEALS] = cell_blob(seals, count * HASH_SIZE);
    return STATUS_OK;
}

static enum status record_cells(struct store *store, const struct shape *shape,
                                const struct row_head *head, const struct id *replaces,
                                const void *record, struct cell *cells, struct error *error)
{
    enum status status =
        cell_instant(head->recorded_at, &store->scratch, &cells[AT_RECORDED_AT], error);

    cells[AT_ID] = cell_id(&head->id);
    cells[AT_RECORD] = cell_id(&head->record);
    cells[AT_VERSION] = cell_integer(head->version);
    cells[AT_REPLACES] = cell_id(replaces);
    cells[AT_SEQUENCE] = cell_integer(head->sequence);
    cells[AT_PRACTICE] = cell_id(&store->practice);
    cells[AT_PERSON] = cell_id(&head->person);
    cells[AT_REQUEST] = cell_id(&head->request);
    cells[AT_REASON] = cell_text(head->reason);
    for (size_t i = shape->first_field; i < shape->column_count && status == STATUS_OK; i++)
        status = cell_of_field(shape->columns[i].field, record, &store->scratch, &cells[i], error);
    if (status != STATUS_OK)
        return status;
    return seal_cells(store, shape, cells, error);
}

enum status store_append(struct store *store, enum record_kind kind, void *record,
                         struct error *error)
{
    struct cell cells[COLUMNS_MAX];
    struct row_head *head = record, next;
    struct id replaces;
    enum status status = save_check(store, error);

    if (status == STATUS_OK)
        status = next_head(store, kind, head, &next, &replaces, error);
    if (status != STATUS_OK)
        return status;
    arena_clear(&store->scratch);
    status = record_cells(store, &store->shapes[kind], &next, &replaces, record, cells, error);
    if (status == STATUS_OK)
        status = write_row(store, (int)kind, store->rows[kind][ROW_INSERT], cells, error);
    if (status == STATUS_OK)
        *head = next;
    return status;
}

enum status store_withdraw(struct store *store, enum record_kind kind, const struct id *row,
                           const char *reason, struct error *error)
{
    struct id record, id;
    int32_t version;
    enum status status = save_check(store, error);

    if (status == STATUS_OK)
        status = check_standing(store, kind, row, &record, &version, error);
    if (status != STATUS_OK)
        return status;
    id = store_new_id(store);
    struct cell cells[9] = {
        cell_id(&id),
        cell_integer(store->save.sequence + 1),
        cell_null(),
        cell_id(&store->practice),
        cell_id(&store->save.person),
        cell_id(&store->save.request),
        cell_text(record_tables[kind].table),
        cell_id(row),
        cell_text(reason),
    };
    arena_clear(&store->scratch);
    status = cell_instant(store->save.at, &store->scratch, &cells[2], error);
    if (status != STATUS_OK)
        return status;
    return write_row(store, TABLE_WITHDRAWAL, store->statements[STATEMENT_WITHDRAWAL_INSERT], cells,
                     error);
}
