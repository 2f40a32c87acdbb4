/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/base/arena.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

struct arena_block {
    struct arena_block *older;
    size_t size, used; /* of data */
    max_align_t data[];
};

enum { FIRST_BLOCK = 4096, LARGEST_BLOCK = 1024 * 1024 };

/* A new newest block that holds at least size bytes; NULL when memory is exhausted. */
static struct arena_block *add_block(struct arena *arena, size_t size)
{
    size_t wanted = FIRST_BLOCK;
    struct arena_block *block;

    /* Each block is twice the one before, so a large case costs few calls of malloc. */
    if (arena->newest != NULL)
        wanted = arena->newest->size < LARGEST_BLOCK / 2 ? arena->newest->size * 2 : LARGEST_BLOCK;
    if (wanted < size)
        wanted = size;
    if (wanted > SIZE_MAX - sizeof *block)
        return NULL;
    block = malloc(sizeof *block + wanted);
    if (block == NULL)
        return NULL;
    block->older = arena->newest;
    block->size = wanted;
    block->used = 0;
    arena->newest = block;
    return block;
}

void *arena_alloc(struct arena *arena, size_t size)
{
    const size_t grain = _Alignof(max_align_t);
    struct arena_block *block = arena->newest;
    unsigned char *start;

    if (size > SIZE_MAX - grain)
        return NULL;
    /* An allocation of nothing still gets an address of its own. */
    size = size == 0 ? grain : (size + grain - 1) / grain * grain;
    if (block == NULL || block->size - block->used < size) {
        block = add_block(arena, size);
        if (block == NULL)
            return NULL;
    }
    start = (unsigned char *)block->data + block->used;
    block->used += size;
    memset(start, 0, size);
    return start;
}

void *arena_array(struct arena *arena, size_t count, size_t size)
{
    if (size != 0 && count > SIZE_MAX / size)
        return NULL;
    return arena_alloc(arena, count * size);
}

char *arena_text(struct arena *arena, const char *text, size_t length)
{
    char *copy;

    if (length == SIZE_MAX)
        return NULL;
    copy = arena_alloc(arena, length + 1);
    if (copy != NULL && length > 0)
        memcpy(copy, text, length);
    return copy;
}

void arena_clear(struct arena *arena)
{
    struct arena_block *block = arena->newest, *kept = NULL;

    while (block != NULL) {
        struct arena_block *older = block->older, *freed = block;

        /* One huge allocation must not stay for good. */
        if (kept == NULL && block->size <= LARGEST_BLOCK) {
            kept = block;
            freed = NULL;
        }
        free(freed);
        block = older;
    }
    if (kept != NULL) {
        kept->older = NULL;
        kept->used = 0;
    }
    arena->newest = kept;
}

void arena_release(struct arena *arena)
{
    while (arena->newest != NULL) {
        struct arena_block *older = arena->newest->older;

        free(arena->newest);
        arena->newest = older;
    }
}
