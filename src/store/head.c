/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The head of the ledger, and moments of the past as places in it. */
#include <string.h>

#include "cell.h"

enum status head_read(struct store *store, int64_t *sequence, instant *newest,
                      uint8_t hash[HASH_SIZE], struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_HEAD]);
    bool good = true;
    enum status status;

    *sequence = 0;
    *newest = INSTANT_NONE;
    ledger_genesis(&store->practice, hash);
    while (query_row(&query)) {
        const void *bytes = sqlite3_column_blob(query.stmt, 2);

        *sequence = sqlite3_column_int64(query.stmt, 0);
        good = instant_from_text((const char *)sqlite3_column_text(query.stmt, 1), newest) &&
               bytes != NULL && sqlite3_column_bytes(query.stmt, 2) == HASH_SIZE;
        if (good)
            memcpy(hash, bytes, HASH_SIZE);
    }
    status = query_end(&query, error);
    if (status == STATUS_OK && !good)
        status = store_damaged("ledger", "newest row", error);
    return status;
}

enum status store_head(struct store *store, int64_t *sequence, uint8_t hash[32],
                       struct error *error)
{
    instant newest;

    return head_read(store, sequence, &newest, hash, error);
}

enum status store_hash_at(struct store *store, int64_t sequence, uint8_t hash[32],
                          struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_LEDGER_HASH]);
    bool found = false, good = false;

    query_integer(&query, ":sequence", sequence);
    while (query_row(&query)) {
        const void *bytes = sqlite3_column_blob(query.stmt, 0);

        found = true;
        good = bytes != NULL && sqlite3_column_bytes(query.stmt, 0) == HASH_SIZE;
        if (good)
            memcpy(hash, bytes, HASH_SIZE);
    }
    enum status status = query_end(&query, error);
    if (status != STATUS_OK || good)
        return status;
    if (found)
        return store_damaged("ledger", "hash", error);
    return error_set(error, STATUS_NOT_FOUND, store->path, "The ledger has no row %lld.",
                     (long long)sequence);
}

/* The instant of one ledger row. */
static enum status instant_of(struct store *store, int64_t sequence, instant *at,
                              struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_LEDGER_INSTANT]);
    bool good = false;
    enum status status;

    query_integer(&query, ":sequence", sequence);
    while (query_row(&query))
        good = instant_from_text((const char *)sqlite3_column_text(query.stmt, 0), at);
    status = query_end(&query, error);
    if (status == STATUS_OK && !good)
        status = store_damaged("ledger", "recorded_at", error);
    return status;
}

/* The places are without a gap and their instants never run back: halving finds the last one. */
static enum status last_at(struct store *store, instant at, int64_t newest, int64_t *sequence,
                           struct error *error)
{
    int64_t low = 0, high = newest;

    while (low < high) {
        int64_t middle = low + (high - low + 1) / 2;
        instant when = INSTANT_NONE;
        enum status status = instant_of(store, middle, &when, error);

        if (status != STATUS_OK)
            return status;
        if (when <= at)
            low = middle;
        else
            high = middle - 1;
    }
    *sequence = low;
    return STATUS_OK;
}

enum status store_sequence_at(struct store *store, instant at, int64_t *sequence,
                              struct error *error)
{
    char text[INSTANT_TEXT_SIZE];
    int64_t newest = 0, found = 0;
    instant when;
    uint8_t hash[HASH_SIZE];
    bool began = false;
    enum status status = read_begin(store, &began, error);

    if (status != STATUS_OK)
        return status;
    status = head_read(store, &newest, &when, hash, error);
    if (status == STATUS_OK)
        status = last_at(store, at, newest, &found, error);
    status = read_end(store, began, status, error);
    if (status != STATUS_OK)
        return status;
    if (found == 0)
        return error_set(error, STATUS_NO, store->path, "Nothing was recorded by %s.",
                         instant_to_text(at, text));
    *sequence = found;
    return STATUS_OK;
}

int64_t store_data_version(struct store *store)
{
    struct query query = query_start(store, store->statements[STATEMENT_DATA_VERSION]);
    int wait_ms = store->wait_ms;

    store->wait_ms = 0; /* a seat that only looks does not wait: it asks again later */
    while (query_row(&query))
        store->data_version = sqlite3_column_int64(query.stmt, 0);
    (void)query_end(&query, NULL);
    store->wait_ms = wait_ms;
    return store->data_version;
}
