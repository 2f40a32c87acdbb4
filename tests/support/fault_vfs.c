/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "fault_vfs.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>
#include <sqlite3.h>

struct fault_file {
    sqlite3_file base;
    sqlite3_file *real; /* behind this struct */
};

static struct {
    bool armed, forever;
    enum fault_sort sort;
    int nth, seen, failed;
} fault;

static sqlite3_vfs layer;

const char *fault_name(enum fault_sort sort)
{
    static const char *const names[] = {"write",    "short write", "disk full", "sync",
                                        "truncate", "open",        "read",      "lock"};

    return names[sort];
}

void fault_arm(enum fault_sort sort, int nth, bool forever)
{
    fault.armed = true;
    fault.forever = forever;
    fault.sort = sort;
    fault.nth = nth;
    fault.seen = 0;
    fault.failed = 0;
}

int fault_disarm(void)
{
    fault.armed = false;
    return fault.failed;
}

/* Does this operation of sort fail? */
static bool fails(enum fault_sort sort)
{
    if (!fault.armed || fault.sort != sort)
        return false;
    fault.seen++;
    if (fault.seen != fault.nth && !(fault.forever && fault.seen > fault.nth))
        return false;
    fault.failed++;
    return true;
}

static sqlite3_file *real_of(sqlite3_file *file)
{
    return ((struct fault_file *)file)->real;
}

static int layer_close(sqlite3_file *file)
{
    return real_of(file)->pMethods->xClose(real_of(file));
}

static int layer_read(sqlite3_file *file, void *bytes, int count, sqlite3_int64 at)
{
    if (fails(FAULT_READ))
        return SQLITE_IOERR_READ;
    return real_of(file)->pMethods->xRead(real_of(file), bytes, count, at);
}

static int layer_write(sqlite3_file *file, const void *bytes, int count, sqlite3_int64 at)
{
    bool half = fails(FAULT_WRITE_SHORT), full = fails(FAULT_WRITE_FULL);

    if (fails(FAULT_WRITE))
        return SQLITE_IOERR_WRITE;
    if (half || full) {
        (void)real_of(file)->pMethods->xWrite(real_of(file), bytes, count / 2, at);
        return full ? SQLITE_FULL : SQLITE_IOERR_WRITE;
    }
    return real_of(file)->pMethods->xWrite(real_of(file), bytes, count, at);
}

static int layer_truncate(sqlite3_file *file, sqlite3_int64 size)
{
    if (fails(FAULT_TRUNCATE))
        return SQLITE_IOERR_TRUNCATE;
    return real_of(file)->pMethods->xTruncate(real_of(file), size);
}

static int layer_sync(sqlite3_file *file, int flags)
{
    if (fails(FAULT_SYNC))
        return SQLITE_IOERR_FSYNC;
    return real_of(file)->pMethods->xSync(real_of(file), flags);
}

static int layer_size(sqlite3_file *file, sqlite3_int64 *size)
{
    return real_of(file)->pMethods->xFileSize(real_of(file), size);
}

static int layer_lock(sqlite3_file *file, int level)
{
    if (fails(FAULT_LOCK))
        return SQLITE_IOERR_LOCK;
    return real_of(file)->pMethods->xLock(real_of(file), level);
}

static int layer_unlock(sqlite3_file *file, int level)
{
    return real_of(file)->pMethods->xUnlock(real_of(file), level);
}

static int layer_reserved(sqlite3_file *file, int *held)
{
    return real_of(file)->pMethods->xCheckReservedLock(real_of(file), held);
}

static int layer_control(sqlite3_file *file, int what, void *value)
{
    return real_of(file)->pMethods->xFileControl(real_of(file), what, value);
}

static int layer_sector(sqlite3_file *file)
{
    return real_of(file)->pMethods->xSectorSize(real_of(file));
}

static int layer_traits(sqlite3_file *file)
{
    return real_of(file)->pMethods->xDeviceCharacteristics(real_of(file));
}

static const sqlite3_io_methods methods = {
    .iVersion = 1,
    .xClose = layer_close,
    .xRead = layer_read,
    .xWrite = layer_write,
    .xTruncate = layer_truncate,
    .xSync = layer_sync,
    .xFileSize = layer_size,
    .xLock = layer_lock,
    .xUnlock = layer_unlock,
    .xCheckReservedLock = layer_reserved,
    .xFileControl = layer_control,
    .xSectorSize = layer_sector,
    .xDeviceCharacteristics = layer_traits,
};

static int layer_open(sqlite3_vfs *vfs, const char *name, sqlite3_file *file, int flags, int *got)
{
    sqlite3_vfs *real = vfs->pAppData;
    struct fault_file *wrapped = (struct fault_file *)file;
    int code;

    file->pMethods = NULL;
    if (fails(FAULT_OPEN))
        return SQLITE_CANTOPEN;
    wrapped->real = (sqlite3_file *)(void *)(wrapped + 1);
    code = real->xOpen(real, name, wrapped->real, flags, got);
    if (code == SQLITE_OK)
        file->pMethods = &methods;
    return code;
}

void fault_install(void)
{
    sqlite3_vfs *real = sqlite3_vfs_find(NULL);

    assert_non_null(real);
    layer = *real;
    layer.zName = "springline-fault";
    layer.pNext = NULL;
    layer.pAppData = real;
    layer.szOsFile = (int)sizeof(struct fault_file) + real->szOsFile;
    layer.xOpen = layer_open;
    assert_int_equal(SQLITE_OK, sqlite3_vfs_register(&layer, 1));
}
