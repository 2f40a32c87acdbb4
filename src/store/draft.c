/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a seat has typed and not yet saved. */
#include <string.h>

#include "cell.h"

enum status seat_write_end(struct store *store, struct query *query, const char *table,
                           struct error *error)
{
    enum status status;
    int code;

    if (store->save.open)
        return write_end(store, query, table, error);
    code = query_run(query);
    if (store->db == NULL)
        return store_is_closed(store, error);
    if (code == SQLITE_OK)
        return STATUS_OK;
    status = store_row_failure(store, code, table, error);
    code &= 0xff;
    if (code == SQLITE_IOERR || code == SQLITE_FULL)
        (void)connection_renew(store);
    return status;
}

enum status store_put_draft(struct store *store, const struct draft *draft, struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_DRAFT_PUT]);
    const char *content = draft->content != NULL ? draft->content : "";
    enum status status;

    query_text(&query, ":user", draft->user);
    query_text(&query, ":form", draft->form);
    query_blob(&query, ":casefile", draft->casefile.bytes, sizeof draft->casefile.bytes);
    query_instant(&query, ":saved_at", draft->saved_at);
    query_integer(&query, ":filled", draft->filled);
    query_blob(&query, ":request", draft->request.bytes, sizeof draft->request.bytes);
    if (query.code == SQLITE_OK)
        query.code =
            sqlite3_bind_text(query.stmt, sqlite3_bind_parameter_index(query.stmt, ":content"),
                              content, -1, SQLITE_STATIC);
    status = seat_write_end(store, &query, "draft", error);
    if (status == STATUS_OK && sqlite3_changes(store->db) == 0)
        status = error_set(error, STATUS_CONFLICT, "draft",
                           "A fuller draft of this form was left by another session and is kept.");
    return status;
}

/* request NULL: whatever session left it. */
static enum status drop(struct store *store, const char *user, const char *form,
                        const struct id *casefile, const struct id *request, struct error *error)
{
    const struct id any = {{0}};
    struct query query = query_start(store, store->statements[STATEMENT_DRAFT_DROP]);

    query_text(&query, ":user", user);
    query_text(&query, ":form", form);
    query_blob(&query, ":casefile", casefile->bytes, sizeof casefile->bytes);
    query_id(&query, ":request", request == NULL ? &any : request);
    return seat_write_end(store, &query, "draft", error);
}

enum status store_drop_draft(struct store *store, const char *user, const char *form,
                             const struct id *casefile, struct error *error)
{
    return drop(store, user, form, casefile, NULL, error);
}

enum status store_end_draft(struct store *store, const char *user, const char *form,
                            const struct id *casefile, const struct id *request,
                            struct error *error)
{
    return drop(store, user, form, casefile, request, error);
}

bool draft_read(sqlite3_stmt *stmt, const char *user, struct draft *draft)
{
    draft->user = user;
    draft->form = (const char *)sqlite3_column_text(stmt, 0);
    draft->filled = sqlite3_column_int(stmt, 3);
    draft->content = (const char *)sqlite3_column_text(stmt, 5);
    return draft->form != NULL && draft->content != NULL &&
           query_column_id(stmt, 1, &draft->casefile) &&
           query_column_id(stmt, 4, &draft->request) &&
           instant_from_text((const char *)sqlite3_column_text(stmt, 2), &draft->saved_at);
}

enum status store_each_draft(struct store *store, const char *user, store_draft_visitor visitor,
                             void *context, struct error *error)
{
    struct query query;
    bool began = false;
    enum status status = read_begin(store, &began, error), ended;

    if (status != STATUS_OK)
        return status;
    query = query_start(store, store->statements[STATEMENT_DRAFTS]);
    query_text(&query, ":user", user);
    while (status == STATUS_OK && query_row(&query)) {
        struct draft draft;

        if (draft_read(query.stmt, user, &draft))
            status = visitor(context, &draft, error);
        else
            status = store_damaged("draft", "content", error);
    }
    ended = query_end(&query, status == STATUS_OK ? error : NULL);
    return read_end(store, began, status == STATUS_OK ? ended : status, error);
}

enum status store_find_draft(struct store *store, const struct id *casefile, struct arena *arena,
                             struct draft *draft, struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_DRAFT_OF_CASE]);
    bool found = false, good = true;
    enum status status;

    query_blob(&query, ":casefile", casefile->bytes, sizeof casefile->bytes);
    while (!found && query_row(&query)) {
        const char *user = (const char *)sqlite3_column_text(query.stmt, 6);

        found = true;
        good = user != NULL && draft_read(query.stmt, user, draft);
        if (!good)
            break;
        draft->user = arena_text(arena, user, strlen(user));
        draft->form = arena_text(arena, draft->form, strlen(draft->form));
        draft->content = arena_text(arena, draft->content, strlen(draft->content));
    }
    status = query_end(&query, error);
    if (status != STATUS_OK)
        return status;
    if (!good)
        return store_damaged("draft", "content", error);
    if (!found)
        return STATUS_NOT_FOUND;
    return draft->user == NULL || draft->form == NULL || draft->content == NULL
               ? error_no_memory(error)
               : STATUS_OK;
}
