/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "chance.h"

#include <stddef.h>
#include <stdlib.h>

uint64_t chance_next(uint64_t *state)
{
    uint64_t z = *state += UINT64_C(0x9e3779b97f4a7c15);

    z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
    return z ^ (z >> 31);
}

int chance_below(uint64_t *state, int most)
{
    return (int)(chance_next(state) % (uint64_t)most);
}

static uint64_t from_environment(const char *name, uint64_t otherwise)
{
    const char *value = getenv(name);

    return value == NULL || value[0] == '\0' ? otherwise : strtoull(value, NULL, 10);
}

uint64_t chance_trials(uint64_t otherwise)
{
    return from_environment("SPRINGLINE_TRIALS", otherwise);
}

uint64_t chance_seed(uint64_t otherwise)
{
    return from_environment("SPRINGLINE_SEED", otherwise);
}
