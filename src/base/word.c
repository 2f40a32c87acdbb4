/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/base/word.h"

#include <string.h>

const char *word_text(const struct words *words, int value)
{
    if (value < 0 || (size_t)value >= words->count)
        return "";
    return words->texts[value];
}

int word_value(const struct words *words, const char *text)
{
    if (text == NULL)
        return 0;
    for (size_t i = 0; i < words->count; i++)
        if (strcmp(words->texts[i], text) == 0)
            return (int)i;
    return -1;
}
