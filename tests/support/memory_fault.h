/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Memory that runs out when told: the nth allocation fails, once or from then on, SQLite's and the
 * program's own. It takes the place of malloc, so it is included by one file of a test program and
 * compiled into that alone. Under AddressSanitizer, which owns malloc, only SQLite's allocations
 * fail.
 */
#ifndef SPRINGLINE_TESTS_MEMORY_FAULT_H
#define SPRINGLINE_TESTS_MEMORY_FAULT_H

#include <errno.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>
#include <sqlite3.h>

#if defined(__SANITIZE_ADDRESS__)
#define MEMORY_OWN_MALLOC 0
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define MEMORY_OWN_MALLOC 0
#endif
#endif
#ifndef MEMORY_OWN_MALLOC
#define MEMORY_OWN_MALLOC 1
#endif

static struct {
    bool armed, forever;
    long nth, seen, failed;
} memory;

static bool memory_runs_out(void)
{
    if (!memory.armed)
        return false;
    memory.seen++;
    if (memory.seen != memory.nth && !(memory.forever && memory.seen > memory.nth))
        return false;
    memory.failed++;
    return true;
}

#if MEMORY_OWN_MALLOC
/* glibc's own names for what is taken over here. */
void *__libc_malloc(size_t size);
void *__libc_calloc(size_t count, size_t size);
void *__libc_realloc(void *old, size_t size);

void *malloc(size_t size)
{
    if (memory_runs_out()) {
        errno = ENOMEM;
        return NULL;
    }
    return __libc_malloc(size);
}

void *calloc(size_t count, size_t size)
{
    if (memory_runs_out()) {
        errno = ENOMEM;
        return NULL;
    }
    return __libc_calloc(count, size);
}

void *realloc(void *old, size_t size)
{
    if (memory_runs_out()) {
        errno = ENOMEM;
        return NULL;
    }
    return __libc_realloc(old, size);
}
#else
static sqlite3_mem_methods memory_real;

static void *memory_failing_malloc(int size)
{
    return memory_runs_out() ? NULL : memory_real.xMalloc(size);
}

static void *memory_failing_realloc(void *old, int size)
{
    return memory_runs_out() ? NULL : memory_real.xRealloc(old, size);
}
#endif

/* Before the first test of the program. */
static int memory_install(void **state)
{
    (void)state;
#if !MEMORY_OWN_MALLOC
    sqlite3_mem_methods methods;

    assert_int_equal(SQLITE_OK, sqlite3_config(SQLITE_CONFIG_GETMALLOC, &memory_real));
    methods = memory_real;
    methods.xMalloc = memory_failing_malloc;
    methods.xRealloc = memory_failing_realloc;
    assert_int_equal(SQLITE_OK, sqlite3_config(SQLITE_CONFIG_MALLOC, &methods));
#endif
    return 0;
}

/* From now on the nth allocation (from 1) fails; forever: those after it too. */
static void memory_arm(long nth, bool forever)
{
    memory.nth = nth;
    memory.forever = forever;
    memory.seen = 0;
    memory.failed = 0;
    memory.armed = true;
}

/* Nothing fails any more. Returns how many allocations failed since memory_arm. */
static long memory_disarm(void)
{
    memory.armed = false;
    return memory.failed;
}

#endif
