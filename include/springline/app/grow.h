/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Arrays that grow in an arena, and states copied into one. */
#ifndef SPRINGLINE_APP_GROW_H
#define SPRINGLINE_APP_GROW_H

#include "springline/base/arena.h"
#include "springline/core/record.h"

/* Makes room for one more element of size bytes after count of them; false: no memory. The old
 * array stays in the arena. */
bool app_grow(struct arena *arena, void **array, size_t count, size_t *capacity, size_t size);

/* A copy of state whose texts live in arena; false: no memory. */
bool app_copy_state(struct arena *arena, const struct case_state *state, struct case_state *copy);

#endif
