/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sqlite_pool.h"

#include <stdint.h>
#include <string.h>
#include <sys/mman.h>

#include <sqlite3.h>

#include "fuzz.h"

enum { LEAST = 32, SIZES = 24, HEAD = 16 }; /* 32 bytes to 256 MiB by powers of two */
#define POOL_BYTES ((size_t)1 << 30)        /* reserved, used as it is needed */

/* In front of each piece; while it is free, next is the free one behind it. */
struct piece {
    struct piece *next;
    int size; /* it takes LEAST << size bytes, HEAD among them */
};

static struct {
    char *at, *end;
    struct piece *free[SIZES];
} pool;

static int size_for(int bytes)
{
    int size = 0;

    while (((int64_t)LEAST << size) < (int64_t)bytes + HEAD)
        size++;
    return size;
}

static void *pool_malloc(int bytes)
{
    int size = size_for(bytes);
    struct piece *piece = size < SIZES ? pool.free[size] : NULL;

    if (piece != NULL) {
        pool.free[size] = piece->next;
    } else {
        if (size >= SIZES || pool.end - pool.at < (ptrdiff_t)LEAST << size)
            return NULL;
        piece = (struct piece *)(void *)pool.at;
        pool.at += (ptrdiff_t)LEAST << size;
    }
    piece->size = size;
    return (char *)piece + HEAD;
}

static struct piece *piece_of(void *memory)
{
    return (struct piece *)(void *)((char *)memory - HEAD);
}

static void pool_free(void *memory)
{
    if (memory == NULL)
        return;
    struct piece *piece = piece_of(memory);
    piece->next = pool.free[piece->size];
    pool.free[piece->size] = piece;
}

static int pool_size(void *memory)
{
    return memory == NULL ? 0 : (LEAST << piece_of(memory)->size) - HEAD;
}

static void *pool_realloc(void *memory, int bytes)
{
    if (pool_size(memory) >= bytes)
        return memory;
    void *larger = pool_malloc(bytes);
    if (larger == NULL)
        return NULL;
    memcpy(larger, memory, (size_t)pool_size(memory));
    pool_free(memory);
    return larger;
}

static int pool_round(int bytes)
{
    return (LEAST << size_for(bytes)) - HEAD;
}

static int pool_start(void *context)
{
    (void)context;
    return SQLITE_OK;
}

static void pool_end(void *context)
{
    (void)context;
}

void sqlite_pool_use(void)
{
    static const struct sqlite3_mem_methods methods = {
        .xMalloc = pool_malloc,
        .xFree = pool_free,
        .xRealloc = pool_realloc,
        .xSize = pool_size,
        .xRoundup = pool_round,
        .xInit = pool_start,
        .xShutdown = pool_end,
    };

    _Static_assert(sizeof(struct piece) <= HEAD, "there is room for the head of a piece");
    pool.at = mmap(NULL, POOL_BYTES, PROT_READ | PROT_WRITE,
                   MAP_PRIVATE | MAP_ANONYMOUS | MAP_NORESERVE, -1, 0);
    fuzz_demand(pool.at != MAP_FAILED, "there is memory");
    pool.end = pool.at + POOL_BYTES;
    fuzz_demand(sqlite3_config(SQLITE_CONFIG_MALLOC, &methods) == SQLITE_OK,
                "SQLite has not been used yet");
}
