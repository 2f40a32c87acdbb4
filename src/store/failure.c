/* SPDX-License-Identifier: GPL-3.0-or-later */
/* SQLite's results as one clear sentence each. */
#include <stdio.h>
#include <string.h>

#include "handle.h"

static enum status refused_row(struct store *store, int code, const char *table,
                               struct error *error)
{
    static const char check[] = "CHECK constraint failed: ";
    static const char empty[] = "NOT NULL constraint failed: ";
    const char *message = sqlite3_errmsg(store->db);

    if (table == NULL)
        table = "row";
    if (strncmp(message, check, sizeof check - 1) == 0)
        return error_set(error, STATUS_INPUT, table,
                         "The store refuses this %s: it must hold that %s; correct it and save "
                         "again.",
                         table, message + sizeof check - 1);
    if (strncmp(message, empty, sizeof empty - 1) == 0)
        return error_set(error, STATUS_INPUT, table,
                         "The store refuses this %s: %s is empty and must be recorded.", table,
                         message + sizeof empty - 1);
    if (code == SQLITE_CONSTRAINT_FOREIGNKEY)
        return error_set(error, STATUS_INPUT, table,
                         "The store refuses this %s: it refers to a record that the store does "
                         "not hold.",
                         table);
    return error_set(error, STATUS_INPUT, table, "The store refuses this %s: %s.", table, message);
}

enum status store_row_failure(struct store *store, int code, const char *table, struct error *error)
{
    const char *path = store->path;

    if (code == SQLITE_IOERR_NOMEM)
        return error_no_memory(error);
    switch (code & 0xff) {
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
        return error_set(error, STATUS_BUSY, path,
                         "Another seat has held %s for more than %d seconds, so nothing was read "
                         "or saved; try again.",
                         path, WAIT_MS / 1000);
    case SQLITE_NOMEM:
        return error_no_memory(error);
    case SQLITE_CONSTRAINT:
    case SQLITE_TOOBIG:
        return refused_row(store, code, table, error);
    case SQLITE_FULL:
    case SQLITE_IOERR:
        /* A disk limit (RLIMIT_FSIZE, quota) is told as an I/O error, a full disk as full. */
        return error_set(error, STATUS_UNUSABLE, path,
                         "The disk under %s is full, at its limit or failing (%s, %d): nothing of "
                         "this save was kept; make room or mend the disk, then save again.",
                         path, sqlite3_errstr(code), code);
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
        return error_set(error, STATUS_DAMAGED, path,
                         "%s is damaged (%s): stop working in it and restore the newest backup.",
                         path, sqlite3_errstr(code));
    case SQLITE_READONLY:
    case SQLITE_PERM:
    case SQLITE_CANTOPEN:
        return error_set(error, STATUS_UNUSABLE, path,
                         "%s can not be written (%s): give this user read and write rights to it "
                         "and its folder.",
                         path, sqlite3_errstr(code));
    case SQLITE_AUTH:
        /* No statement of ours asks for what the authoriser refuses; a trigger in the file does. */
        return error_set(error, STATUS_UNUSABLE, path,
                         "%s holds a trigger that writes, which no store of springline has, so "
                         "somebody changed it and nothing was done: restore the newest backup.",
                         path);
    default:
        return error_set(error, STATUS_UNUSABLE, path, "The store %s failed: %s (%d).", path,
                         store->db != NULL ? sqlite3_errmsg(store->db) : sqlite3_errstr(code),
                         code);
    }
}

enum status store_failure(struct store *store, int code, struct error *error)
{
    return store_row_failure(store, code, NULL, error);
}

enum status store_is_closed(struct store *store, struct error *error)
{
    return error_set(error, STATUS_UNUSABLE, store->path,
                     "The store %s was closed after an error of the disk or the memory; mend it, "
                     "then start the program again.",
                     store->path);
}

enum status store_damaged(const char *table, const char *column, struct error *error)
{
    return error_set(error, STATUS_DAMAGED, table,
                     "The store holds a %s row whose %s can not be read; run springline verify "
                     "and restore the newest backup.",
                     table, column != NULL ? column : "head");
}
