/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A file layer under SQLite that fails when told: the nth operation of one sort, once or from then
 * on. It becomes the default file layer of the test program, so everything that SQLite and the
 * store do with files runs through it.
 */
#ifndef SPRINGLINE_TESTS_FAULT_VFS_H
#define SPRINGLINE_TESTS_FAULT_VFS_H

#include <stdbool.h>

enum fault_sort {
    FAULT_WRITE,       /* SQLITE_IOERR_WRITE */
    FAULT_WRITE_SHORT, /* half is written, then SQLITE_IOERR_WRITE */
    FAULT_WRITE_FULL,  /* half is written, then SQLITE_FULL */
    FAULT_SYNC,        /* SQLITE_IOERR_FSYNC */
    FAULT_TRUNCATE,
    FAULT_OPEN,
    FAULT_READ,
    FAULT_LOCK, /* SQLITE_IOERR_LOCK */
    FAULT_SORTS
};

/* Makes the layer and makes it the default; once in a program. */
void fault_install(void);
/* From now on the nth (from 1) operation of sort fails; forever: those after it too. */
void fault_arm(enum fault_sort sort, int nth, bool forever);
/* Nothing fails any more. Returns how many operations failed since fault_arm. */
int fault_disarm(void);
/* "write", "short write" ... */
const char *fault_name(enum fault_sort sort);

#endif
