/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What the working connection may do at all. Everything not named is refused: ATTACH, DROP, ALTER,
 * CREATE, changing rows of the record tables, any PRAGMA but four that only look.
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
    (void)trigger;
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
