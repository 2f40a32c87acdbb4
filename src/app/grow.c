/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/app/grow.h"

#include <string.h>

bool app_grow(struct arena *arena, void **array, size_t count, size_t *capacity, size_t size)
{
    if (count < *capacity)
        return true;
    size_t wanted = *capacity == 0 ? 64 : *capacity * 2;
    void *grown = arena_array(arena, wanted, size);
    if (grown == NULL)
        return false;
    if (count > 0)
        memcpy(grown, *array, count * size);
    *array = grown;
    *capacity = wanted;
    return true;
}

static bool copy_text(struct arena *arena, const char **text)
{
    const char *copy =
        arena_text(arena, *text == NULL ? "" : *text, *text == NULL ? 0 : strlen(*text));
    *text = copy;
    return copy != NULL;
}

bool app_copy_state(struct arena *arena, const struct case_state *state, struct case_state *copy)
{
    *copy = *state;
    return copy_text(arena, &copy->number) && copy_text(arena, &copy->family) &&
           copy_text(arena, &copy->given) && copy_text(arena, &copy->phone) &&
           copy_text(arena, &copy->clinician);
}
