/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A copy of the whole store. It is written aside, flushed, read back and checked, and only then
 * given its name: what stands under that name is a backup that was whole.
 */
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "handle.h"

/* The names of one backup. */
struct names {
    const char *path;
    struct text part, manifest, journal;
};

static enum status set_names(struct names *names, const char *path, struct error *error)
{
    memset(names, 0, sizeof *names);
    names->path = path;
    if (path == NULL || path[0] == '\0')
        return error_set(error, STATUS_INPUT, NULL, "A backup needs a file name.");
    text_addf(&names->part, "%s.part", path);
    text_addf(&names->manifest, "%s.manifest", path);
    text_addf(&names->journal, "%s.part-journal", path);
    if (names->part.failed || names->manifest.failed || names->journal.failed)
        return error_no_memory(error);
    return STATUS_OK;
}

static void release_names(struct names *names)
{
    text_release(&names->part);
    text_release(&names->manifest);
    text_release(&names->journal);
}

static enum status check_free(const char *name, struct error *error)
{
    struct stat about;

    if (lstat(name, &about) != 0)
        return STATUS_OK; /* what can not be reached is told by the first write */
    return error_set(error, STATUS_INPUT, name,
                     "%s exists already and is left as it is; name a file that does not exist.",
                     name);
}

static enum status check_names(const struct names *names, struct error *error)
{
    struct stat about;
    enum status status = check_free(names->path, error);

    if (status == STATUS_OK)
        status = check_free(text_string(&names->manifest), error);
    if (status == STATUS_OK)
        status = check_free(text_string(&names->journal), error);
    if (status == STATUS_OK && lstat(text_string(&names->part), &about) == 0)
        status = error_set(error, STATUS_INPUT, names->path,
                           "%s is left of a backup that was cut off, or one is being made now; "
                           "when none is, remove it and try again.",
                           text_string(&names->part));
    return status;
}

static enum status not_written(const char *path, const char *why, struct error *error)
{
    return error_set(error, STATUS_UNUSABLE, path,
                     "The backup %s could not be written (%s) and nothing was left there; make "
                     "room or name another place.",
                     path, why);
}

/* What SQLite said while the copy was written; what is wrong with the store itself is told of it.
 */
static enum status copy_failure(struct store *store, sqlite3 *db, int code, const char *path,
                                struct error *error)
{
    switch (code & 0xff) {
    case SQLITE_NOMEM:
        return error_no_memory(error);
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
        return error_set(error, STATUS_BUSY, store->path,
                         "Another seat has held %s for more than %d seconds, so no backup was "
                         "made; try again.",
                         store->path, WAIT_MS / 1000);
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
        return error_set(error, STATUS_UNUSABLE, store->path,
                         "%s is damaged (%s) and no backup was made of it: stop working in it and "
                         "restore the newest backup.",
                         store->path, sqlite3_errstr(code));
    default:
        return not_written(path, db != NULL ? sqlite3_errmsg(db) : sqlite3_errstr(code), error);
    }
}

static int run_vacuum(sqlite3 *db, const char *part)
{
    sqlite3_stmt *stmt = NULL;
    int code = sqlite3_prepare_v2(db, "VACUUM INTO :part", -1, &stmt, NULL);

    if (code == SQLITE_OK)
        code = sqlite3_bind_text(stmt, 1, part, -1, SQLITE_STATIC);
    if (code == SQLITE_OK)
        code = sqlite3_step(stmt);
    sqlite3_finalize(stmt);
    return code == SQLITE_DONE ? SQLITE_OK : code;
}

/* On a connection of its own: the working one may not attach a file. */
static enum status vacuum_into(struct store *store, const struct names *names, struct error *error)
{
    const int flags = SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE;
    sqlite3 *db = NULL;
    enum status status = STATUS_OK;
    int code = sqlite3_open_v2(store->path, &db, flags, NULL);

    if (code == SQLITE_OK)
        code = sqlite3_busy_handler(db, wait_busy, store);
    if (code == SQLITE_OK)
        status = settings_apply(db, store->path, error);
    if (code == SQLITE_OK && status == STATUS_OK) {
        (void)sqlite3_limit(db, SQLITE_LIMIT_ATTACHED, 1);
        code = run_vacuum(db, text_string(&names->part));
    }
    if (code != SQLITE_OK)
        status = copy_failure(store, db, code, names->path, error);
    (void)sqlite3_close(db);
    return status;
}

/* Out to the disk, and out of the memory: what is checked then is what the disk holds. */
static enum status flush(const struct names *names, struct error *error)
{
    int file = open(text_string(&names->part), O_RDONLY | O_CLOEXEC | O_NOFOLLOW);
    bool good = file >= 0 && fsync(file) == 0;
    int problem = errno;

    if (good)
        (void)posix_fadvise(file, 0, 0, POSIX_FADV_DONTNEED);
    if (file >= 0 && close(file) != 0 && good) {
        problem = errno;
        good = false;
    }
    return good ? STATUS_OK : not_written(names->path, strerror(problem), error);
}

/* The ledger of the copy goes through the place where the store's ended when the copy was begun. */
static enum status compare_ledger(struct store *copy, int64_t sequence,
                                  const uint8_t hash[HASH_SIZE], bool *same, struct error *error)
{
    uint8_t there[HASH_SIZE] = {0};
    enum status status = STATUS_OK;

    if (sequence > 0)
        status = store_hash_at(copy, sequence, there, error);
    *same = sequence == 0 || (status == STATUS_OK && memcmp(there, hash, HASH_SIZE) == 0);
    return status == STATUS_NOT_FOUND ? STATUS_OK : status;
}

static enum status check_sound(struct store *copy, const char *path, struct store_copy *told,
                               struct error *error)
{
    struct verify_report report = {0};
    struct error found = {0};
    enum status status = store_verify(copy, &report, &found);

    if (status == STATUS_DAMAGED)
        status = error_set(
            error, STATUS_UNUSABLE, path,
            "The copy that was to become %s is not sound and was removed (%.*s); the "
            "store may be damaged itself: run springline verify.",
            path, (int)strcspn(text_string(&report.findings), "\n"), text_string(&report.findings));
    else if (status != STATUS_OK && error != NULL)
        *error = found;
    told->rows = report.rows;
    memcpy(told->head, report.head, HASH_SIZE);
    text_release(&report.findings);
    return status;
}

/* Opens the copy again and reads all of it. begun: the store's ledger when it was begun. */
static enum status check_copy(struct store *store, const struct names *names, int64_t begun,
                              const uint8_t begun_hash[HASH_SIZE], struct store_copy *told,
                              struct error *error)
{
    struct store *copy = NULL;
    uint8_t hash[HASH_SIZE];
    bool same = false;
    enum status status = copy_open(text_string(&names->part), &store->source, &copy, error);

    if (status != STATUS_OK)
        return status;
    status = check_sound(copy, names->path, told, error);
    if (status == STATUS_OK)
        status = store_head(copy, &told->sequence, hash, error);
    if (status == STATUS_OK)
        status = compare_ledger(copy, begun, begun_hash, &same, error);
    same = same && told->sequence >= begun && told->rows == told->sequence &&
           memcmp(hash, told->head, HASH_SIZE) == 0 && id_equal(&copy->practice, &store->practice);
    if (status == STATUS_OK && !same)
        status = error_set(error, STATUS_UNUSABLE, names->path,
                           "The copy that was to become %s is not one of %s and was removed; run "
                           "springline verify.",
                           names->path, store->path);
    store_close(copy);
    return status;
}

/* The name, without ever taking it from another file. */
static bool give_name(const char *from, const char *to)
{
    struct stat about;

    if (renameat2(AT_FDCWD, from, AT_FDCWD, to, RENAME_NOREPLACE) == 0)
        return true;
    if (errno != EINVAL && errno != ENOSYS)
        return false;
    if (lstat(to, &about) == 0) {
        errno = EEXIST;
        return false;
    }
    return rename(from, to) == 0;
}

/* So that the names survive a power cut; some file systems can not. */
static void flush_folder(const char *path)
{
    const char *slash = strrchr(path, '/');
    char *folder = slash == NULL ? strdup(".") : strndup(path, (size_t)(slash - path) + 1);
    int file = folder == NULL ? -1 : open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);

    if (file >= 0) {
        (void)fsync(file);
        (void)close(file);
    }
    free(folder);
}

static enum status place(struct store *store, const struct names *names,
                         const struct store_copy *told, struct error *error)
{
    struct text content = {0};
    enum status status;

    manifest_add(&content, told, &store->practice);
    status = manifest_write(text_string(&names->manifest), &content, error);
    text_release(&content);
    if (status != STATUS_OK)
        return status;
    if (give_name(text_string(&names->part), names->path)) {
        flush_folder(names->path);
        return STATUS_OK;
    }
    status = errno == EEXIST ? check_free(names->path, error)
                             : not_written(names->path, strerror(errno), error);
    (void)unlink(text_string(&names->manifest));
    return status;
}

static enum status make_copy(struct store *store, const struct names *names,
                             struct store_copy *told, struct error *error)
{
    int64_t begun = 0;
    instant newest;
    uint8_t hash[HASH_SIZE];
    enum status status = head_read(store, &begun, &newest, hash, error);

    told->at = store_instant(store);
    if (status == STATUS_OK)
        status = vacuum_into(store, names, error);
    if (status == STATUS_OK)
        status = flush(names, error);
    if (status == STATUS_OK)
        status = check_copy(store, names, begun, hash, told, error);
    if (status == STATUS_OK)
        status = place(store, names, told, error);
    return status;
}

enum status store_backup(struct store *store, const char *path, struct store_copy *copy,
                         struct error *error)
{
    struct store_copy told = {0};
    struct names names = {0};
    enum status status;

    if (store->db == NULL)
        return store_is_closed(store, error);
    if (store->save.open)
        return error_set(error, STATUS_USAGE, path, "No backup is made inside a save.");
    status = set_names(&names, path, error);
    if (status == STATUS_OK)
        status = check_names(&names, error);
    if (status == STATUS_OK)
        status = file_make(text_string(&names.part), error);
    if (status == STATUS_UNUSABLE)
        status = not_written(path, strerror(errno), error);
    if (status == STATUS_OK) {
        status = make_copy(store, &names, &told, error);
        if (status != STATUS_OK) /* what this call made, and nothing else */
            (void)unlink(text_string(&names.part));
        (void)unlink(text_string(&names.journal));
    }
    if (status == STATUS_OK)
        *copy = told;
    release_names(&names);
    return as_unusable(status, error);
}
