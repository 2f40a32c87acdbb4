/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is no store of ours is refused with one sentence, and left exactly as it was. */
#include <errno.h>
#include <fcntl.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>
#include <linux/magic.h>

#include "../../src/store/handle.h"
#include "kept_store.h"

/* One sentence: no line break, an end, no SQL. */
static void is_one_sentence(const struct error *error)
{
    size_t length = strlen(error->sentence);

    assert_true(length > 10);
    assert_null(strchr(error->sentence, '\n'));
    assert_true(error->sentence[length - 1] == '.' || error->sentence[length - 1] == '\'');
}

static bool exists(const char *path, const char *end)
{
    char beside[440];
    struct stat about;

    (void)snprintf(beside, sizeof beside, "%s%s", path, end);
    return lstat(beside, &about) == 0;
}

/* Opening path is refused with status, says word, and changes neither the file nor its folder. */
static void refused(struct kept_store *kept, enum status status, const char *word)
{
    size_t before = 0, after = 0;
    unsigned char *old = kept_bytes(kept->path, &before), *now;
    struct store *store = NULL;
    struct stat then, since;

    assert_int_equal(0, stat(kept->path, &then));
    memset(&kept->error, 0, sizeof kept->error);
    assert_int_equal(status, store_open(kept->path, &kept->source, &store, &kept->error));
    assert_null(store);
    is_one_sentence(&kept->error);
    if (strstr(kept->error.sentence, word) == NULL)
        fail_msg("\"%s\" does not say \"%s\"", kept->error.sentence, word);
    assert_int_equal(0, stat(kept->path, &since));
    assert_memory_equal(&then.st_mtim, &since.st_mtim, sizeof then.st_mtim);
    now = kept_bytes(kept->path, &after);
    assert_int_equal(before, after);
    assert_memory_equal(old, now, before);
    assert_false(exists(kept->path, "-journal"));
    assert_false(exists(kept->path, "-wal"));
    assert_false(exists(kept->path, "-shm"));
    free(old);
    free(now);
}

static void write_file(const char *path, const void *bytes, size_t size)
{
    FILE *file = fopen(path, "wb");

    assert_non_null(file);
    assert_int_equal(size, fwrite(bytes, 1, size, file));
    assert_int_equal(0, fclose(file));
}

/* A whole store, closed; its journal file is taken away so that a new one would be seen. */
static void closed_store(struct kept_store *kept, const char *name)
{
    char journal[440];

    kept_open(kept, name);
    kept_fill_all(kept, 1);
    store_close(kept->store);
    kept->store = NULL;
    (void)snprintf(journal, sizeof journal, "%s-journal", kept->path);
    (void)unlink(journal);
}

static void change_byte(const char *path, long at, unsigned char value)
{
    FILE *file = fopen(path, "r+b");

    assert_non_null(file);
    assert_int_equal(0, fseek(file, at, SEEK_SET));
    assert_int_equal(value, (unsigned char)fputc(value, file));
    assert_int_equal(0, fclose(file));
}

static void a_missing_file(void **state)
{
    struct kept_store kept;
    struct store *store = NULL;

    (void)state;
    kept_source(&kept, "missing");
    assert_int_equal(STATUS_UNUSABLE, store_open(kept.path, &kept.source, &store, &kept.error));
    is_one_sentence(&kept.error);
    assert_non_null(strstr(kept.error.sentence, "springline init"));
    assert_false(exists(kept.path, ""));
    assert_false(exists(kept.path, "-journal"));
    assert_int_equal(STATUS_UNUSABLE, store_open("", &kept.source, &store, &kept.error));
    assert_int_equal(STATUS_UNUSABLE, store_open(":memory:", &kept.source, &store, &kept.error));
    assert_null(store);
}

static void a_folder(void **state)
{
    struct kept_store kept;
    struct store *store = NULL;

    (void)state;
    kept_source(&kept, "folder");
    assert_int_equal(0, mkdir(kept.path, 0700));
    assert_int_equal(STATUS_UNUSABLE, store_open(kept.path, &kept.source, &store, &kept.error));
    is_one_sentence(&kept.error);
    assert_int_equal(0, rmdir(kept.path));
}

static void files_that_are_no_store(void **state)
{
    static const char notes[] = "chart,family,given\nP-1,Invented,Ane\n";
    struct kept_store kept;
    unsigned char noise[4096];

    (void)state;
    kept_source(&kept, "foreign");
    write_file(kept.path, "", 0);
    refused(&kept, STATUS_UNUSABLE, "is empty");
    write_file(kept.path, notes, sizeof notes - 1);
    refused(&kept, STATUS_UNUSABLE, "is not a store");
    write_file(kept.path, "SQLite format 3", 16); /* cut off behind the first word */
    refused(&kept, STATUS_UNUSABLE, "is not a store");
    for (size_t i = 0; i < sizeof noise; i++)
        noise[i] = (unsigned char)(i * 97 + i / 7);
    write_file(kept.path, noise, sizeof noise);
    refused(&kept, STATUS_UNUSABLE, "is not a store");
    (void)unlink(kept.path);
    assert_int_equal(SQLITE_OK, kept_raw(kept.path, false, "CREATE TABLE patient (id INTEGER)"));
    refused(&kept, STATUS_UNUSABLE, "is not a store");
    (void)unlink(kept.path);
}

static void another_program_s_number(void **state)
{
    struct kept_store kept;

    (void)state;
    closed_store(&kept, "number");
    assert_int_equal(SQLITE_OK, kept_raw(kept.path, false, "PRAGMA application_id=1"));
    refused(&kept, STATUS_UNUSABLE, "is not a store");
    kept_close(&kept);
}

static void a_newer_version(void **state)
{
    struct kept_store kept;

    (void)state;
    closed_store(&kept, "newer");
    assert_int_equal(SQLITE_OK, kept_raw(kept.path, false, "PRAGMA user_version=4711"));
    refused(&kept, STATUS_UNUSABLE, "newer springline");
    assert_non_null(strstr(kept.error.sentence, "4711"));
    assert_int_equal(SQLITE_OK, kept_raw(kept.path, false, "PRAGMA user_version=-1"));
    refused(&kept, STATUS_UNUSABLE, "newer springline");
    assert_int_equal(SQLITE_OK, kept_raw(kept.path, false, "PRAGMA user_version=0"));
    refused(&kept, STATUS_UNUSABLE, "never finished");
    kept_close(&kept);
}

/* The sentence holds the command that mends it; run as printed, the store opens again. */
static void wal_mode(void **state)
{
    struct kept_store kept;
    char command[500];
    const char *begin;

    (void)state;
    closed_store(&kept, "wal");
    assert_int_equal(SQLITE_OK, kept_raw(kept.path, false, "PRAGMA journal_mode=WAL"));
    refused(&kept, STATUS_UNUSABLE, "WAL mode");
    begin = strstr(kept.error.sentence, "sqlite3 '");
    assert_non_null(begin);
    (void)snprintf(command, sizeof command, "%s >/dev/null", begin);
    assert_int_equal(0, system(command));
    kept_reopen(&kept);
    kept_close(&kept);
    closed_store(&kept, "wal-write");
    change_byte(kept.path, 18, 2); /* the write version alone */
    refused(&kept, STATUS_UNUSABLE, "WAL mode");
    kept_close(&kept);
}

/* Damage behind a good header: a sentence and exit 3, not a crash and not "no". */
static void a_damaged_schema(void **state)
{
    struct kept_store kept;
    struct store *store = NULL;

    (void)state;
    closed_store(&kept, "damaged");
    for (long at = 100; at < 4096; at++)
        change_byte(kept.path, at, 0xff);
    assert_int_equal(STATUS_UNUSABLE, store_open(kept.path, &kept.source, &store, &kept.error));
    assert_null(store);
    is_one_sentence(&kept.error);
    kept_close(&kept);
    closed_store(&kept, "missing-table");
    assert_int_equal(SQLITE_OK, kept_raw(kept.path, true,
                                         "DROP VIEW visit_current;"
                                         "DROP TABLE judged;DROP TABLE visit"));
    refused(&kept, STATUS_UNUSABLE, "tables of this program");
    kept_close(&kept);
}

static void creating_over_something(void **state)
{
    struct kept_store kept;
    struct store *store = NULL;
    char journal[440];

    (void)state;
    kept_source(&kept, "exists");
    write_file(kept.path, "mine", 4);
    assert_int_equal(STATUS_INPUT, store_create(kept.path, &kept.source, &store, &kept.error));
    is_one_sentence(&kept.error);
    size_t size;
    unsigned char *bytes = kept_bytes(kept.path, &size);
    assert_int_equal(4, size);
    free(bytes);
    assert_int_equal(0, unlink(kept.path));
    assert_int_equal(0, symlink("/nowhere/at/all", kept.path));
    assert_int_equal(STATUS_INPUT, store_create(kept.path, &kept.source, &store, &kept.error));
    assert_int_equal(0, unlink(kept.path));
    (void)snprintf(journal, sizeof journal, "%s-journal", kept.path);
    write_file(journal, "old", 3); /* a journal of another file must not be rolled into this one */
    assert_int_equal(STATUS_INPUT, store_create(kept.path, &kept.source, &store, &kept.error));
    assert_false(exists(kept.path, ""));
    assert_int_equal(0, unlink(journal));
    assert_int_equal(STATUS_INPUT, store_create("", &kept.source, &store, &kept.error));
    assert_int_equal(STATUS_UNUSABLE,
                     store_create("/nowhere/at/all.db", &kept.source, &store, &kept.error));
    assert_null(store);
}

/* A name without a folder is of the folder one stands in, also after one has gone elsewhere. */
static void a_relative_name(void **state)
{
    struct kept_store kept;
    char here[400], there[400];

    (void)state;
    assert_non_null(getcwd(here, sizeof here));
    kept_path(there, "relative");
    *strrchr(there, '/') = '\0';
    assert_int_equal(0, chdir(there));
    kept_source(&kept, "relative");
    assert_int_equal(STATUS_OK,
                     store_create("relative.db", &kept.source, &kept.store, &kept.error));
    assert_int_equal(0, chdir(here));
    kept_fill_all(&kept, 1);
    assert_true(exists(kept.path, ""));
    struct store *store = NULL;
    char inside[440];
    (void)snprintf(inside, sizeof inside, "%s/practice.db", kept.path); /* the folder is a file */
    assert_int_equal(STATUS_UNUSABLE, store_create(inside, &kept.source, &store, &kept.error));
    assert_int_equal(STATUS_UNUSABLE, store_open(inside, &kept.source, &store, &kept.error));
    is_one_sentence(&kept.error);
    kept_close(&kept);
}

static void a_new_store_is_for_its_owner_alone(void **state)
{
    struct kept_store kept;
    struct stat about;
    char journal[440];
    mode_t mask = umask(0);

    (void)state;
    kept_open(&kept, "mode");
    kept_fill_all(&kept, 1);
    (void)umask(mask);
    assert_int_equal(0, stat(kept.path, &about));
    assert_int_equal(0600, about.st_mode & 07777);
    (void)snprintf(journal, sizeof journal, "%s-journal", kept.path);
    if (stat(journal, &about) == 0)
        assert_int_equal(0600, about.st_mode & 07777);
    kept_close(&kept);
}

/* As a user who is not root and owns nothing of it; the status and the sentence come by a pipe. */
static enum status open_as_nobody(struct kept_store *kept)
{
    struct error error = {0};
    int ends[2], ended;
    pid_t child;

    assert_int_equal(0, pipe(ends));
    child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        struct store *store = NULL;

        if (geteuid() == 0 && (setgid(65534) != 0 || setuid(65534) != 0))
            _exit(1);
        (void)store_open(kept->path, &kept->source, &store, &error);
        store_close(store);
        _exit(write(ends[1], &error, sizeof error) == (ssize_t)sizeof error ? 0 : 1);
    }
    (void)close(ends[1]);
    assert_int_equal(sizeof error, read(ends[0], &error, sizeof error));
    (void)close(ends[0]);
    assert_int_equal(child, waitpid(child, &ended, 0));
    assert_int_equal(0, ended);
    kept->error = error;
    return error.status;
}

static void missing_rights(void **state)
{
    char folder[] = "/tmp/springline-rights-XXXXXX";
    struct kept_store kept;

    (void)state;
    closed_store(&kept, "rights");
    /* A folder that another user can reach, whatever the build folder's rights are. */
    assert_non_null(mkdtemp(folder));
    char moved[400];
    (void)snprintf(moved, sizeof moved, "%s/practice.db", folder);
    kept_copy(kept.path, moved);
    kept_close(&kept);
    (void)snprintf(kept.path, sizeof kept.path, "%s", moved);

    assert_int_equal(0, chmod(folder, 0777));
    assert_int_equal(0, chmod(moved, 0400));
    assert_int_equal(STATUS_UNUSABLE, open_as_nobody(&kept));
    is_one_sentence(&kept.error);
    assert_non_null(strstr(kept.error.sentence, "may not read and write"));
    assert_int_equal(0, chmod(moved, 0666));
    assert_int_equal(0, chmod(folder, 0555));
    assert_int_equal(STATUS_UNUSABLE, open_as_nobody(&kept));
    is_one_sentence(&kept.error);
    assert_non_null(strstr(kept.error.sentence, "may not write in the folder"));
    assert_false(exists(moved, "-journal"));
    assert_int_equal(0, chmod(folder, 0700));
    assert_int_equal(0, unlink(moved));
    assert_int_equal(0, rmdir(folder));
}

/* f_type as the kernel's own header has it. */
static void file_systems_of_other_machines(void **state)
{
    static const long away[] = {NFS_SUPER_MAGIC,        SMB_SUPER_MAGIC,  (long)CIFS_SUPER_MAGIC,
                                (long)SMB2_SUPER_MAGIC, V9FS_MAGIC,       FUSE_SUPER_MAGIC,
                                AFS_SUPER_MAGIC,        AFS_FS_MAGIC,     CODA_SUPER_MAGIC,
                                NCP_SUPER_MAGIC,        CEPH_SUPER_MAGIC, OCFS2_SUPER_MAGIC};
    static const long here[] = {
        EXT4_SUPER_MAGIC,      (long)BTRFS_SUPER_MAGIC, XFS_SUPER_MAGIC,      TMPFS_MAGIC,
        OVERLAYFS_SUPER_MAGIC, (long)F2FS_SUPER_MAGIC,  REISERFS_SUPER_MAGIC, 0};

    (void)state;
    for (size_t i = 0; i < sizeof away / sizeof away[0]; i++) {
        assert_non_null(network_file_system(away[i]));
        /* The same 32 bits where statfs hands them out with a sign. */
        assert_non_null(network_file_system((long)(int32_t)away[i]));
    }
    for (size_t i = 0; i < sizeof here / sizeof here[0]; i++)
        assert_null(network_file_system(here[i]));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_missing_file),
        cmocka_unit_test(a_folder),
        cmocka_unit_test(files_that_are_no_store),
        cmocka_unit_test(another_program_s_number),
        cmocka_unit_test(a_newer_version),
        cmocka_unit_test(wal_mode),
        cmocka_unit_test(a_damaged_schema),
        cmocka_unit_test(creating_over_something),
        cmocka_unit_test(a_relative_name),
        cmocka_unit_test(a_new_store_is_for_its_owner_alone),
        cmocka_unit_test(missing_rights),
        cmocka_unit_test(file_systems_of_other_machines),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
