/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The end of a save, and what to do when it is not known how it ended. */
#include <string.h>

#include "cell.h"

/* True when the save with this request id is in the store. */
static bool is_saved(struct store *store, const struct id *request)
{
    struct query query = query_start(store, store->statements[STATEMENT_REQUEST_FIND]);
    bool found = false;

    query_id(&query, ":id", request);
    while (query_row(&query))
        found = true;
    return query_end(&query, NULL) == STATUS_OK && found;
}

bool connection_renew(struct store *store)
{
    connection_close(store);
    return connection_open(store, true, NULL) == STATUS_OK;
}

/* After an import the cache is small again; one that stays large harms nothing. */
static void shrink(struct store *store, bool imported)
{
    if (imported && store->db != NULL)
        (void)settings_cache(store, CACHE_KIB, NULL);
}

static void end_transaction(struct store *store)
{
    struct query query;

    if (store->db == NULL || sqlite3_get_autocommit(store->db))
        return;
    query = query_start(store, store->statements[STATEMENT_ROLLBACK]);
    if (query_run(&query) != SQLITE_OK && !sqlite3_get_autocommit(store->db))
        (void)connection_renew(store);
}

void store_rollback(struct store *store)
{
    bool distrusted = store->save.distrusted, imported = store->save.imported;

    if (!store->save.open)
        return;
    memset(&store->save, 0, sizeof store->save);
    /* What was read of this save's own request is gone with it. */
    memset(&store->known_request, 0, sizeof store->known_request);
    end_transaction(store);
    if (distrusted && store->db != NULL)
        (void)connection_renew(store);
    else
        shrink(store, imported);
}

/* Hands a failure kept apart to the caller: an error is filled only when it stands. */
static enum status give(struct error *error, const struct error *failure)
{
    if (error != NULL)
        *error = *failure;
    return failure->status;
}

enum status store_commit(struct store *store, struct error *error)
{
    struct id request = store->save.request;
    struct query query;
    struct error failure = {0};
    enum status status = save_check(store, error);
    int code;

    if (status != STATUS_OK) {
        store_rollback(store);
        return status;
    }
    query = query_start(store, store->statements[STATEMENT_COMMIT]);
    code = query_run(&query);
    if (code == SQLITE_OK) {
        shrink(store, store->save.imported);
        memset(&store->save, 0, sizeof store->save);
        return STATUS_OK;
    }
    (void)store_failure(store, code, &failure);
    if ((code & 0xff) == SQLITE_BUSY) {
        store_rollback(store); /* certain: nothing was saved */
        return give(error, &failure);
    }
    memset(&store->save, 0, sizeof store->save);
    memset(&store->known_request, 0, sizeof store->known_request);
    if (!connection_renew(store))
        return error_set(
            error, STATUS_UNUSABLE, store->path,
            "Saving to %s failed, and whether this save was kept is not known: mend the "
            "disk or the memory, start the program again and look before entering it "
            "again.",
            store->path);
    return is_saved(store, &request) ? STATUS_OK : give(error, &failure);
}
