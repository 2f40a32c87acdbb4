/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/base/id.h"

#include <stddef.h>
#include <string.h>

bool id_is_none(const struct id *id)
{
    for (size_t i = 0; i < sizeof id->bytes; i++)
        if (id->bytes[i] != 0)
            return false;
    return true;
}

bool id_equal(const struct id *a, const struct id *b)
{
    return id_compare(a, b) == 0;
}

int id_compare(const struct id *a, const struct id *b)
{
    return memcmp(a->bytes, b->bytes, sizeof a->bytes);
}

char *id_to_text(const struct id *id, char buffer[ID_TEXT_SIZE])
{
    static const char digits[] = "0123456789abcdef";

    for (size_t i = 0; i < sizeof id->bytes; i++) {
        buffer[2 * i] = digits[id->bytes[i] >> 4];
        buffer[2 * i + 1] = digits[id->bytes[i] & 15];
    }
    buffer[ID_TEXT_SIZE - 1] = '\0';
    return buffer;
}

/* The value of a hex digit; -1 for anything else. */
static int digit_value(char digit)
{
    if (digit >= '0' && digit <= '9')
        return digit - '0';
    if (digit >= 'a' && digit <= 'f')
        return digit - 'a' + 10;
    if (digit >= 'A' && digit <= 'F')
        return digit - 'A' + 10;
    return -1;
}

bool id_from_text(const char *text, struct id *id)
{
    struct id read;

    if (text == NULL)
        return false;
    for (size_t i = 0; i < sizeof read.bytes; i++) {
        int high = digit_value(text[2 * i]);
        int low = high < 0 ? -1 : digit_value(text[2 * i + 1]);

        if (low < 0)
            return false;
        read.bytes[i] = (uint8_t)(high * 16 + low);
    }
    if (text[2 * sizeof read.bytes] != '\0')
        return false;
    *id = read;
    return true;
}
