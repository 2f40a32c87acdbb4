/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Secrets, failed sign-ins and the log of them. */
#include "springline/store/secret.h"

#include <string.h>

#include "cell.h"

enum {
    SEAT_COLUMN = 13, /* of a row of the log, behind the row itself */
    UNKNOWN_DAYS = 30 /* that failures of a login which is none are kept: ours */
};

/* The instant of a column; an empty one is none. False: it is no instant. */
static bool column_instant(sqlite3_stmt *stmt, int column, instant *at)
{
    const char *text = (const char *)sqlite3_column_text(stmt, column);

    *at = INSTANT_NONE;
    return text == NULL || instant_from_text(text, at);
}

/* The row stmt is at; texts point into it. */
static bool read_secret(sqlite3_stmt *stmt, struct secret *secret)
{
    *secret = (struct secret){.login = (const char *)sqlite3_column_text(stmt, 0),
                              .passphrase = (const char *)sqlite3_column_text(stmt, 1),
                              .pin = (const char *)sqlite3_column_text(stmt, 2),
                              .pin_failures = sqlite3_column_int(stmt, 5)};
    return secret->login != NULL && column_instant(stmt, 3, &secret->set_at) &&
           column_instant(stmt, 4, &secret->once_until);
}

/* Copies a text of a row into arena; false: no memory. */
static bool keep(struct arena *arena, const char **text)
{
    if (*text == NULL)
        return true;
    *text = arena_text(arena, *text, strlen(*text));
    return *text != NULL;
}

enum status store_read_secret(struct store *store, const char *login, struct arena *arena,
                              struct secret *secret, struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_SECRET]);
    bool found = false, good = true, kept = true;

    *secret = (struct secret){.set_at = INSTANT_NONE, .once_until = INSTANT_NONE};
    query_text(&query, ":login", login);
    while (query_row(&query)) {
        found = true;
        good = read_secret(query.stmt, secret);
        kept = good && keep(arena, &secret->login) && keep(arena, &secret->passphrase) &&
               keep(arena, &secret->pin);
    }
    enum status status = query_end(&query, error);
    if (status != STATUS_OK)
        return status;
    if (!good)
        return store_damaged("secret", NULL, error);
    if (!kept)
        return error_no_memory(error);
    return found ? STATUS_OK : STATUS_NOT_FOUND;
}

enum status store_put_secret(struct store *store, const struct secret *secret, struct error *error)
{
    enum status status = save_check(store, error);

    if (status != STATUS_OK)
        return status;
    struct query query = query_start(store, store->statements[STATEMENT_SECRET_PUT]);
    query_text(&query, ":login", secret->login);
    query_text(&query, ":passphrase", secret->passphrase);
    query_text(&query, ":pin", secret->pin);
    query_instant(&query, ":set_at", secret->set_at);
    if (secret->once_until == INSTANT_NONE)
        query_text(&query, ":once_until", NULL);
    else
        query_instant(&query, ":once_until", secret->once_until);
    query_integer(&query, ":pin_failures", secret->pin_failures);
    return write_end(store, &query, "secret", error);
}

enum status store_each_secret(struct store *store, store_secret_visitor visitor, void *context,
                              struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_SECRETS]);
    enum status visited = STATUS_OK;

    while (visited == STATUS_OK && query_row(&query)) {
        struct secret secret;

        visited = read_secret(query.stmt, &secret) ? visitor(context, &secret, error)
                                                   : store_damaged("secret", NULL, error);
    }
    enum status status = query_end(&query, visited == STATUS_OK ? error : NULL);
    return visited == STATUS_OK ? status : visited;
}

enum status store_read_failure(struct store *store, const char *login,
                               struct sign_in_failure *failure, struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_FAILURE]);
    bool good = true;

    *failure = (struct sign_in_failure){.newest_at = INSTANT_NONE};
    query_text(&query, ":login", login);
    while (query_row(&query)) {
        failure->failures = sqlite3_column_int(query.stmt, 0);
        good = column_instant(query.stmt, 1, &failure->newest_at) && failure->failures >= 0 &&
               failure->newest_at != INSTANT_NONE;
    }
    enum status status = query_end(&query, error);
    if (status == STATUS_OK && !good)
        status = store_damaged("sign_in_failure", NULL, error);
    return status;
}

enum status store_put_failure(struct store *store, const char *login,
                              const struct sign_in_failure *failure, struct error *error)
{
    enum statement which = failure->failures == 0 ? STATEMENT_FAILURE_DROP : STATEMENT_FAILURE_PUT;
    enum status status = save_check(store, error);

    if (status != STATUS_OK)
        return status;
    struct query query = query_start(store, store->statements[which]);
    query_text(&query, ":login", login);
    if (failure->failures != 0) {
        query_integer(&query, ":failures", failure->failures);
        query_instant(&query, ":newest_at", failure->newest_at);
    } else {
        query_instant(&query, ":before", store->save.at - (instant)UNKNOWN_DAYS * SECONDS_OF_DAY);
    }
    return write_end(store, &query, "sign_in_failure", error);
}

enum status store_each_access(struct store *store, enum access_what what, const char *login,
                              store_row_visitor visitor, void *context, struct error *error)
{
    bool began = false, any = what == ACCESS_NONE;
    enum status status = read_begin(store, &began, error);

    if (status != STATUS_OK)
        return status;
    struct query query =
        query_start(store, store->statements[any ? STATEMENT_LOG : STATEMENT_LOG_OF]);
    if (!any) {
        query_text(&query, ":what", word_text(&words_access_what, (int)what));
        query_text(&query, ":login", login);
    }
    while (status == STATUS_OK && query_row(&query)) {
        struct store_logged logged;

        status = row_read(store, query.stmt, RECORD_ACCESS, NULL, &logged.access, error);
        logged.seat = (const char *)sqlite3_column_text(query.stmt, SEAT_COLUMN);
        if (status == STATUS_OK)
            status = visitor(context, &logged, error);
    }
    enum status ended = query_end(&query, status == STATUS_OK ? error : NULL);
    if (status == STATUS_OK || status == STATUS_NO)
        status = ended;
    return read_end(store, began, status, error);
}
