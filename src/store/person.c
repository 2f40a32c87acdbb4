/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Who works here, read before anything else is shown: few rows, few columns. */
#include <string.h>

#include "cell.h"

static int word_of(const struct words *words, sqlite3_stmt *stmt, int column)
{
    const char *text = (const char *)sqlite3_column_text(stmt, column);

    return text == NULL ? 0 : word_value(words, text);
}

/* The row stmt is at. A word that is none of its list makes no person at all. */
static bool take(sqlite3_stmt *stmt, struct person *person)
{
    int role = word_of(&words_role, stmt, 3), alone = word_of(&words_answer, stmt, 4);

    *person = (struct person){.login = (const char *)sqlite3_column_text(stmt, 1),
                              .name = (const char *)sqlite3_column_text(stmt, 2),
                              .role = (enum role)role,
                              .alone = (enum answer)alone};
    return query_column_id(stmt, 0, &person->head.record) && person->login != NULL &&
           person->name != NULL && role > ROLE_NONE && role < ROLE_COUNT && alone >= 0;
}

enum status store_each_person(struct store *store, store_row_visitor visitor, void *context,
                              struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_PEOPLE]);
    enum status visited = STATUS_OK;

    while (visited == STATUS_OK && query_row(&query)) {
        struct person person;

        visited = take(query.stmt, &person) ? visitor(context, &person, error)
                                            : store_damaged("person", NULL, error);
    }
    enum status status = query_end(&query, visited == STATUS_OK ? error : NULL);
    return visited == STATUS_OK ? status : visited;
}

/* The login and name of the one row of a started and bound query. */
static enum status take_owner(struct query *query, struct arena *arena, const char **login,
                              const char **name, struct error *error)
{
    bool found = false, kept = true;

    while (query_row(query)) {
        const char *texts[2] = {(const char *)sqlite3_column_text(query->stmt, 0),
                                (const char *)sqlite3_column_text(query->stmt, 1)};

        found = true;
        for (int i = 0; i < 2; i++) {
            if (texts[i] != NULL)
                texts[i] = arena_text(arena, texts[i], strlen(texts[i]));
            kept = kept && texts[i] != NULL;
        }
        *login = texts[0];
        *name = texts[1];
    }
    enum status status = query_end(query, error);
    if (status != STATUS_OK)
        return status;
    return !found ? STATUS_NOT_FOUND : kept ? STATUS_OK : error_no_memory(error);
}

enum status store_login_owner(struct store *store, const char *login, const struct id *record,
                              struct arena *arena, const char **name, struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_LOGIN_OWNER]);
    const char *same;

    query_text(&query, ":login", login);
    query_blob(&query, ":record", record->bytes, sizeof record->bytes);
    return take_owner(&query, arena, &same, name, error);
}

enum status store_login_taken(struct store *store, struct arena *arena, const char **login,
                              const char **name, struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_LOGIN_TAKEN]);

    query_id(&query, ":request", &store->save.request);
    return take_owner(&query, arena, login, name, error);
}
