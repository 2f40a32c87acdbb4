/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What the working connection may do at all. Everything not named is refused: ATTACH, DROP, ALTER,
 * CREATE, changing rows of the record tables, any PRAGMA but four that only look. Triggers of ours
 * only refuse, or keep the list of rows that want a signature; one that writes anything else was
 * put into the file by somebody else, and the statement that would set it off is refused.
 */
#include <string.h>

#include "handle.h"

static bool is_one_of(const char *name, const char *const *names, size_t count)
{
    for (size_t i = 0; name != NULL && i < count; i++)
        if (strcmp(name, names[i]) == 0)
            return true;
    return false;
}

static bool is_planted(int action, const char *table, const char *trigger)
{
    return trigger != NULL &&
           (action == SQLITE_INSERT || action == SQLITE_UPDATE || action == SQLITE_DELETE) &&
           strcmp(table, "unsigned_row") != 0;
}

int authorise(void *context, int action, const char *first, const char *second,
              const char *database, const char *trigger)
{
    /* Seat state and derived state. */
    static const char *const changing[] = {"draft",  "presence",   "sign_in_failure",
                                           "secret", "case_state", "unsigned_row"};
    static const char *const tuning[] = {"cache_size"};
    static const char *const looking[] = {"data_version", "quick_check", "integrity_check",
                                          "foreign_key_check"};

    const struct store *store = context;

    (void)second;
    (void)database;
    if (is_planted(action, first, trigger))
        return SQLITE_DENY;
    switch (action) {
    case SQLITE_SELECT:
    case SQLITE_READ:
    case SQLITE_FUNCTION:
    case SQLITE_RECURSIVE: /* the versions of a record, one after the other */
    case SQLITE_TRANSACTION:
        return SQLITE_OK;
    case SQLITE_INSERT:
        return strncmp(first, "sqlite_", 7) == 0 ? SQLITE_DENY : SQLITE_OK;
    case SQLITE_UPDATE:
    case SQLITE_DELETE:
        return is_one_of(first, changing, sizeof changing / sizeof changing[0]) ? SQLITE_OK
                                                                                : SQLITE_DENY;
    case SQLITE_PRAGMA:
        if (store->tuning && is_one_of(first, tuning, 1))
            return SQLITE_OK;
        return is_one_of(first, looking, sizeof looking / sizeof looking[0]) ? SQLITE_OK
                                                                             : SQLITE_DENY;
    default:
        return SQLITE_DENY;
    }
}

/* May the column be blanked? Personal values and their salts, nothing else. */
static bool is_erasable(const struct store *store, const char *table, const char *column)
{
    for (int kind = 0; kind < RECORD_KIND_COUNT; kind++) {
        const struct shape *shape = &store->shapes[kind];

        for (size_t i = 0; shape->personal_count > 0 && i < shape->column_count; i++)
            if (!shape->columns[i].hashed && strcmp(shape->table, table) == 0 &&
                strcmp(shape->columns[i].name, column) == 0)
                return true;
    }
    return false;
}

int authorise_erasing(void *context, int action, const char *first, const char *second,
                      const char *database, const char *trigger)
{
    /* The save, what it erased, the log, and the states that are worked out anew. */
    static const char *const adding[] = {"request", "ledger", "erasure", "access", "case_state"};
    static const char *const changing[] = {"case_state"};
    static const char *const removing[] = {"draft"};
    bool may;

    if (is_planted(action, first, trigger))
        return SQLITE_DENY;
    if (action == SQLITE_INSERT)
        may = is_one_of(first, adding, sizeof adding / sizeof adding[0]);
    else if (action == SQLITE_UPDATE)
        may = is_one_of(first, changing, 1) || is_erasable(context, first, second);
    else if (action == SQLITE_DELETE)
        may = is_one_of(first, removing, 1);
    else
        return authorise(context, action, first, second, database, trigger);
    return may ? SQLITE_OK : SQLITE_DENY;
}
