/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Making, opening and closing a store. */
#include <errno.h>
#include <fcntl.h>
#include <sodium.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "handle.h"
#include "springline/store/schema.h"

static enum status read_practice(struct store *store, struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_PRACTICE]);
    bool good = false;
    enum status status;

    while (query_row(&query))
        good = query_column_id(query.stmt, 0, &store->practice);
    status = query_end(&query, error);
    if (status == STATUS_OK && (!good || id_is_none(&store->practice)))
        status = store_damaged("practice", "id", error);
    return status;
}

static enum status open_file(struct store *store, struct error *error)
{
    const int flags = SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE;
    const int how = store->reading ? SQLITE_OPEN_READONLY : SQLITE_OPEN_READWRITE;
    int code = sqlite3_open_v2(store->path, &store->db, flags | how, NULL);

    if (store->db == NULL)
        return error_no_memory(error);
    if (code == SQLITE_OK)
        code = sqlite3_busy_handler(store->db, wait_busy, store);
    if (code != SQLITE_OK)
        return store_failure(store, code, error);
    if (!store->reading && sqlite3_db_readonly(store->db, "main") != 0)
        return store_failure(store, SQLITE_READONLY, error);
    return STATUS_OK;
}

enum status connection_open(struct store *store, bool whole, struct error *error)
{
    enum status status = open_file(store, error);
    int code;

    if (status == STATUS_OK)
        status = settings_apply(store->db, store->path, error);
    if (status == STATUS_OK) {
        code = sqlite3_set_authorizer(store->db, authorise, store);
        if (code != SQLITE_OK)
            status = store_failure(store, code, error);
    }
    if (status == STATUS_OK)
        status = statements_prepare_first(store, error);
    if (status == STATUS_OK && whole)
        status = statements_prepare_rest(store, error);
    if (status == STATUS_OK)
        status = read_practice(store, error);
    /* From here on; statements are checked again by it before their next use. */
    if (status == STATUS_OK && store->erasing &&
        sqlite3_set_authorizer(store->db, authorise_erasing, store) != SQLITE_OK)
        status = store_failure(store, SQLITE_MISUSE, error);
    if (status != STATUS_OK)
        connection_close(store);
    return status;
}

void connection_close(struct store *store)
{
    statements_finalize(store);
    /* No statement is left, so this can not be refused; _v2 closes in any case. */
    (void)sqlite3_close_v2(store->db);
    store->db = NULL;
}

enum status as_unusable(enum status status, struct error *error)
{
    if (status != STATUS_DAMAGED)
        return status;
    if (error != NULL)
        error->status = STATUS_UNUSABLE;
    return STATUS_UNUSABLE;
}

/* There is one thread, and nobody asks SQLite how much memory it holds: both cost time at every
 * allocation. Once SQLite runs it refuses, which harms nothing. */
static void set_library(void)
{
    (void)sqlite3_config(SQLITE_CONFIG_SINGLETHREAD);
    (void)sqlite3_config(SQLITE_CONFIG_MEMSTATUS, 0);
}

static enum status open_store(const char *path, const struct store_source *source, bool whole,
                              struct store **store, struct error *error)
{
    struct store *made;
    char *absolute = NULL;
    int version = 0;
    enum status status;

    if (sodium_init() < 0)
        return error_set(error, STATUS_UNUSABLE, NULL, "libsodium can not be started here.");
    set_library();
    status = guard_existing(path, &absolute, &version, error);
    if (status != STATUS_OK)
        return status;
    made = calloc(1, sizeof *made);
    if (made == NULL) {
        free(absolute);
        return error_no_memory(error);
    }
    made->path = absolute;
    made->source = *source;
    made->wait_ms = WAIT_MS;
    if (!shapes_make(made))
        status = error_no_memory(error);
    if (status == STATUS_OK && version < (int)schema_rung_count)
        status = ladder_climb(absolute, schema_rungs, schema_rung_count, NULL, INSTANT_NONE, error);
    if (status == STATUS_OK)
        status = connection_open(made, whole, error);
    if (status != STATUS_OK) {
        store_close(made);
        return as_unusable(status, error);
    }
    *store = made;
    return STATUS_OK;
}

enum status copy_open(const char *path, const struct store_source *source, struct store **copy,
                      struct error *error)
{
    struct store *made = calloc(1, sizeof *made);
    enum status status = STATUS_OK;

    if (made == NULL)
        return error_no_memory(error);
    made->source = *source;
    made->reading = true;
    made->path = strdup(path);
    if (made->path == NULL || !shapes_make(made))
        status = error_no_memory(error);
    if (status == STATUS_OK)
        status = connection_open(made, true, error);
    if (status != STATUS_OK) {
        store_close(made);
        return status;
    }
    *copy = made;
    return STATUS_OK;
}

enum status store_open(const char *path, const struct store_source *source, struct store **store,
                       struct error *error)
{
    return open_store(path, source, true, store, error);
}

enum status store_open_first(const char *path, const struct store_source *source,
                             struct store **store, struct error *error)
{
    return open_store(path, source, false, store, error);
}

enum status store_open_rest(struct store *store, struct error *error)
{
    if (store->db == NULL)
        return store_is_closed(store, error);
    return as_unusable(statements_prepare_rest(store, error), error);
}

void store_close(struct store *store)
{
    if (store == NULL)
        return;
    store_rollback(store);
    connection_close(store);
    (void)sqlite3_close(store->ladder);
    arena_release(&store->arena);
    arena_release(&store->scratch);
    text_release(&store->buffer);
    free(store->path);
    free(store);
}

static struct id new_id(const struct store_source *source)
{
    struct id id;

    do
        source->random(source->context, id.bytes, sizeof id.bytes);
    while (id_is_none(&id));
    return id;
}

enum status file_make(const char *path, struct error *error)
{
    int file = open(path, O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, S_IRUSR | S_IWUSR);
    int failed;

    if (file < 0 && errno == EEXIST)
        return error_set(error, STATUS_INPUT, path,
                         "%s exists already and is left as it is; name a file that does not exist.",
                         path);
    if (file < 0) {
        int problem = errno;

        (void)error_set(error, STATUS_UNUSABLE, path, "%s can not be made: %s.", path,
                        strerror(problem));
        errno = problem;
        return STATUS_UNUSABLE;
    }
    failed = fchmod(file, S_IRUSR | S_IWUSR) != 0;
    failed = close(file) != 0 || failed;
    if (!failed)
        return STATUS_OK;
    (void)unlink(path);
    return error_set(error, STATUS_UNUSABLE, path, "%s can not be made: %s.", path,
                     strerror(errno));
}

/* Takes away what this call made, and nothing else. */
static void remove_made(const char *path)
{
    struct text journal = {0};

    text_addf(&journal, "%s-journal", path);
    (void)unlink(path);
    if (!journal.failed)
        (void)unlink(text_string(&journal));
    text_release(&journal);
}

enum status store_create(const char *path, const struct store_source *source, struct store **store,
                         struct error *error)
{
    struct id practice;
    char *absolute;
    enum status status;

    if (sodium_init() < 0)
        return error_set(error, STATUS_UNUSABLE, NULL, "libsodium can not be started here.");
    set_library();
    status = guard_new(path, error);
    if (status == STATUS_OK)
        status = file_make(path, error);
    if (status != STATUS_OK)
        return status;
    absolute = realpath(path, NULL);
    if (absolute == NULL) {
        (void)unlink(path);
        return error_set(error, STATUS_UNUSABLE, path, "%s can not be reached: %s.", path,
                         strerror(errno));
    }
    practice = new_id(source);
    status = ladder_climb(absolute, schema_rungs, schema_rung_count, &practice,
                          source->now(source->context), error);
    if (status == STATUS_OK)
        status = store_open(absolute, source, store, error);
    if (status != STATUS_OK)
        remove_made(absolute);
    free(absolute);
    return status;
}

struct id store_site(const struct store *store)
{
    return store->practice;
}

struct id store_new_id(struct store *store)
{
    return new_id(&store->source);
}

instant store_instant(struct store *store)
{
    instant now = store->source.now(store->source.context), newest = INSTANT_NONE;
    int64_t sequence = 0;
    uint8_t hash[HASH_SIZE];

    if (store->save.open)
        return store->save.at;
    /* A head that can not be read is told by the next read or save; the clock stands. */
    if (head_read(store, &sequence, &newest, hash, NULL) == STATUS_OK && newest != INSTANT_NONE &&
        newest > now)
        return newest;
    return now;
}
