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
