/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What is wrong with a file, told before SQLite opens it, so that a refused file is left as it was.
 * The header is read through SQLite's own file layer: closing the file by any other descriptor
 * would drop the locks that another handle of this process may hold (POSIX).
 */
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/vfs.h>
#include <unistd.h>

#include "handle.h"
#include "springline/store/schema.h"

enum { HEADER_SIZE = 100 };

struct file_system {
    long type;
    const char *name;
};

/* f_type of statfs(2): linux/magic.h of Linux 6.1; those marked so are from memory. */
static const struct file_system network_systems[] = {
    {0x6969, "NFS"},
    {0x517b, "SMB"},
    {(long)0xff534d42, "CIFS"},
    {(long)0xfe534d42, "SMB"},
    {0x01021997, "9p"},
    {0x65735546, "FUSE"},
    {0x5346414f, "AFS"},
    {0x6b414653, "AFS"},
    {0x73757245, "Coda"},
    {0x564c, "NCP"},
    {0x00c36400, "Ceph"},
    {0x7461636f, "OCFS2"},
    {0x01161970, "GFS2"},                                 /* from memory */
    {0x0bd00bd0, "Lustre"},                               /* from memory */
    {0x47504653, "GPFS"},                                 /* from memory */
    {0x786f4256, "a shared folder of a virtual machine"}, /* from memory */
};

const char *network_file_system(long type)
{
    for (size_t i = 0; i < sizeof network_systems / sizeof network_systems[0]; i++)
        if ((uint32_t)network_systems[i].type == (uint32_t)type)
            return network_systems[i].name;
    return NULL;
}

static enum status check_local(const char *place, const char *path, struct error *error)
{
    struct statfs system;
    const char *name;

    if (statfs(place, &system) != 0)
        return error_set(error, STATUS_UNUSABLE, path, "%s can not be examined: %s.", path,
                         strerror(errno));
    name = network_file_system((long)system.f_type);
    if (name == NULL)
        return STATUS_OK;
    return error_set(error, STATUS_UNUSABLE, path,
                     "%s lies on %s, whose locks can not be trusted with patient records: keep the "
                     "store on a disk of this machine and reach it by SSH.",
                     path, name);
}

/* The folder of path; malloc, NULL: no memory. */
static char *folder_of(const char *path)
{
    const char *slash = strrchr(path, '/');

    if (slash == NULL)
        return strdup(".");
    if (slash == path)
        return strdup("/");
    return strndup(path, (size_t)(slash - path));
}

static enum status check_folder(const char *folder, const char *path, struct error *error)
{
    struct stat about;

    if (stat(folder, &about) != 0)
        return error_set(error, STATUS_UNUSABLE, path, "The folder %s can not be reached: %s.",
                         folder, strerror(errno));
    if (!S_ISDIR(about.st_mode))
        return error_set(error, STATUS_UNUSABLE, path, "%s is no folder.", folder);
    if (faccessat(AT_FDCWD, folder, W_OK | X_OK, AT_EACCESS) != 0)
        return error_set(error, STATUS_UNUSABLE, path,
                         "This user may not write in the folder %s, and SQLite must to save "
                         "safely; let the folder's owner run chmod u+rwx on it or sign in as its "
                         "owner.",
                         folder);
    return check_local(folder, path, error);
}

enum status guard_new(const char *path, struct error *error)
{
    static const char *const beside[] = {"", "-journal", "-wal", "-shm"};
    struct text name = {0};
    enum status status = STATUS_OK;
    char *folder;

    if (path == NULL || path[0] == '\0')
        return error_set(error, STATUS_INPUT, NULL, "The store needs a file name.");
    for (size_t i = 0; i < sizeof beside / sizeof beside[0] && status == STATUS_OK; i++) {
        struct stat about;

        text_clear(&name);
        text_addf(&name, "%s%s", path, beside[i]);
        if (name.failed)
            status = error_no_memory(error);
        else if (lstat(text_string(&name), &about) == 0)
            status = error_set(error, STATUS_INPUT, path,
                               "%s exists already and is left as it is; name a file that does not "
                               "exist.",
                               text_string(&name));
    }
    text_release(&name);
    if (status != STATUS_OK)
        return status;
    folder = folder_of(path);
    if (folder == NULL)
        return error_no_memory(error);
    status = check_folder(folder, path, error);
    free(folder);
    return status;
}

/* A number of the header, high byte first. */
static uint32_t header_number(const unsigned char *header, int at)
{
    return (uint32_t)header[at] << 24 | (uint32_t)header[at + 1] << 16 |
           (uint32_t)header[at + 2] << 8 | (uint32_t)header[at + 3];
}

static enum status check_header(const unsigned char *header, const char *path, int *version,
                                struct error *error)
{
    const uint32_t newest = (uint32_t)schema_rung_count;
    uint32_t application = header_number(header, 68), found = header_number(header, 60);

    if (memcmp(header, "SQLite format 3", 16) != 0 || application != STORE_APPLICATION_ID)
        return error_set(error, STATUS_UNUSABLE, path,
                         "%s is not a store of springline and is left as it is; name the right "
                         "file with --store.",
                         path);
    if (header[18] != 1 || header[19] != 1)
        return error_set(error, STATUS_UNUSABLE, path,
                         "%s is in WAL mode, in which SQLite can lose saved rows; close every "
                         "program that has it open and run: sqlite3 '%s' 'PRAGMA "
                         "journal_mode=TRUNCATE'",
                         path, path);
    if (found > newest)
        return error_set(error, STATUS_UNUSABLE, path,
                         "%s was made by a newer springline (version %u of the store, this program "
                         "knows %u) and is left as it is; install the newer program.",
                         path, (unsigned)found, (unsigned)newest);
    if (found == 0)
        return error_set(error, STATUS_UNUSABLE, path,
                         "%s was never finished; remove it and make a new store with springline "
                         "init.",
                         path);
    *version = (int)found;
    return STATUS_OK;
}

/* Reads the header through SQLite's file layer; returns SQLite's result. */
static int read_header(const char *path, unsigned char header[HEADER_SIZE])
{
    sqlite3_vfs *vfs = sqlite3_vfs_find(NULL);
    const char *name = sqlite3_create_filename(path, "", "", 0, NULL);
    sqlite3_file *file = vfs == NULL ? NULL : sqlite3_malloc64((sqlite3_uint64)vfs->szOsFile);
    int flags = 0, code = SQLITE_NOMEM;

    if (name != NULL && file != NULL) {
        memset(file, 0, (size_t)vfs->szOsFile);
        code = vfs->xOpen(vfs, name, file, SQLITE_OPEN_MAIN_DB | SQLITE_OPEN_READONLY, &flags);
        if (code == SQLITE_OK)
            code = file->pMethods->xRead(file, header, HEADER_SIZE, 0);
        if (file->pMethods != NULL)
            (void)file->pMethods->xClose(file);
    }
    sqlite3_free(file);
    sqlite3_free_filename((char *)(uintptr_t)name);
    return code;
}

static enum status check_kind(const char *path, struct stat *about, struct error *error)
{
    if (stat(path, about) != 0)
        return error_set(error, STATUS_UNUSABLE, path, "%s can not be examined: %s.", path,
                         strerror(errno));
    if (!S_ISREG(about->st_mode))
        return error_set(error, STATUS_UNUSABLE, path, "%s is not a file; name the store's file.",
                         path);
    if (faccessat(AT_FDCWD, path, R_OK | W_OK, AT_EACCESS) != 0)
        return error_set(error, STATUS_UNUSABLE, path,
                         "This user may not read and write %s; let its owner run chmod u+rw on it "
                         "or sign in as its owner.",
                         path);
    if (about->st_size == 0)
        return error_set(error, STATUS_UNUSABLE, path,
                         "%s is empty; remove it and make a new store with springline init, or "
                         "restore the newest backup.",
                         path);
    return STATUS_OK;
}

static enum status check_file(const char *path, int *version, struct error *error)
{
    unsigned char header[HEADER_SIZE] = {0};
    struct stat about;
    enum status status = check_kind(path, &about, error);
    char *folder;
    int code;

    if (status != STATUS_OK)
        return status;
    folder = folder_of(path);
    if (folder == NULL)
        return error_no_memory(error);
    status = check_folder(folder, path, error);
    free(folder);
    if (status == STATUS_OK)
        status = check_local(path, path, error);
    if (status == STATUS_OK)
        status = guard_owner(path, &about, error);
    if (status != STATUS_OK)
        return status;
    code = read_header(path, header);
    if (code == SQLITE_NOMEM)
        return error_no_memory(error);
    if (code != SQLITE_OK && code != SQLITE_IOERR_SHORT_READ)
        return error_set(error, STATUS_UNUSABLE, path, "%s can not be read: %s.", path,
                         sqlite3_errstr(code));
    return check_header(header, path, version, error);
}

enum status guard_existing(const char *path, char **absolute, int *version, struct error *error)
{
    enum status status;
    char *real;

    if (path == NULL || path[0] == '\0')
        return error_set(error, STATUS_UNUSABLE, NULL, "The store needs a file name.");
    real = realpath(path, NULL);
    if (real == NULL && errno == ENOMEM)
        return error_no_memory(error);
    if (real == NULL && errno == ENOENT)
        return error_set(error, STATUS_UNUSABLE, path,
                         "There is no store at %s; make one with springline init or name another "
                         "with --store.",
                         path);
    if (real == NULL)
        return error_set(error, STATUS_UNUSABLE, path, "%s can not be reached: %s.", path,
                         strerror(errno));
    status = check_file(real, version, error);
    if (status == STATUS_OK)
        *absolute = real;
    else
        free(real);
    return status;
}
