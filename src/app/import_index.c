/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Case and chart numbers to what the import knows of them: open addressing, half full at most. */
#include <string.h>

#include "exchange_private.h"

enum { SLOTS_AT_FIRST = 256 };

/* FNV-1a, 64 bit (Fowler, Noll, Vo; published constants): numbers of one practice differ in their
 * last digits, which this spreads. */
static uint64_t hash_of(const char *number)
{
    uint64_t hash = UINT64_C(14695981039346656037);

    for (; *number != '\0'; number++)
        hash = (hash ^ (unsigned char)*number) * UINT64_C(1099511628211);
    return hash;
}

/* The slot that holds number, or the free one where it belongs. */
static struct import_party **slot_of(struct import_party **slots, size_t capacity,
                                     const char *number)
{
    size_t at = (size_t)hash_of(number) & (capacity - 1);

    while (slots[at] != NULL && strcmp(slots[at]->number, number) != 0)
        at = (at + 1) & (capacity - 1);
    return &slots[at];
}

struct import_party *import_index_find(const struct import_index *index, const char *number)
{
    return index->capacity == 0 ? NULL : *slot_of(index->slots, index->capacity, number);
}

static bool grow(struct import_index *index, struct arena *arena)
{
    size_t capacity = index->capacity == 0 ? SLOTS_AT_FIRST : index->capacity * 2;
    struct import_party **slots = arena_array(arena, capacity, sizeof(struct import_party *));

    if (slots == NULL)
        return false;
    for (size_t i = 0; i < index->capacity; i++)
        if (index->slots[i] != NULL)
            *slot_of(slots, capacity, index->slots[i]->number) = index->slots[i];
    index->slots = slots;
    index->capacity = capacity;
    return true;
}

struct import_party *import_index_add(struct import_index *index, struct arena *arena,
                                      const char *number)
{
    struct import_party *party = arena_alloc(arena, sizeof *party);

    if (party == NULL || (index->count * 2 >= index->capacity && !grow(index, arena)))
        return NULL;
    party->number = arena_text(arena, number, strlen(number));
    if (party->number == NULL)
        return NULL;
    *slot_of(index->slots, index->capacity, number) = party;
    index->count++;
    return party;
}
