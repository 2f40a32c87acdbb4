/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A region of memory with one lifetime: a screen, a command, a case. Allocation is a bump of a
 * pointer; nothing is freed alone. Exhaustion returns NULL and is reported by the caller as
 * STATUS_NO_MEMORY; there is no other path.
 */
#ifndef SPRINGLINE_BASE_ARENA_H
#define SPRINGLINE_BASE_ARENA_H

#include <stddef.h>

struct arena_block;

struct arena {
    struct arena_block *newest; /* NULL: empty; a zeroed struct is a valid empty arena */
};

/* size bytes, zeroed, aligned for any type; NULL when memory is exhausted. size 0 is allowed. */
void *arena_alloc(struct arena *arena, size_t size);

/* count * size bytes, zeroed; NULL also when the product overflows. */
void *arena_array(struct arena *arena, size_t count, size_t size);

/* A NUL-terminated copy of length bytes of text; NULL when memory is exhausted. */
char *arena_text(struct arena *arena, const char *text, size_t length);

/* Frees everything allocated, keeps the arena usable (and one block for reuse). */
void arena_clear(struct arena *arena);

/* Frees everything. The arena is empty and usable afterwards. */
void arena_release(struct arena *arena);

#endif
