/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "printable.h"

static const struct {
    uint32_t first, last;
    const char *why;
} troubles[] = {
    {0x00, 0x1F, "a C0 control"},
    {0x7F, 0x9F, "DEL or a C1 control"},
    {0xAD, 0xAD, "a soft hyphen"},
    {0x34F, 0x34F, "an invisible joiner"},
    {0x61C, 0x61C, "a bidi control"},
    {0x115F, 0x1160, "a filler"},
    {0x17B4, 0x17B5, "an invisible vowel"},
    {0x180E, 0x180E, "an invisible separator"},
    {0x200B, 0x200B, "a zero-width space"},
    {0x200E, 0x200F, "a bidi control"},
    {0x2028, 0x2029, "a line or paragraph separator"},
    {0x202A, 0x202E, "a bidi control"},
    {0x2060, 0x2065, "an invisible operator"},
    {0x2066, 0x2069, "a bidi control"},
    {0x206A, 0x206F, "an invisible format character"},
    {0x3164, 0x3164, "a filler"},
    {0xD800, 0xDFFF, "a surrogate"},
    {0xFDD0, 0xFDEF, "a noncharacter"},
    {0xFEFF, 0xFEFF, "a zero-width no-break space"},
    {0xFFA0, 0xFFA0, "a filler"},
    {0xFFF0, 0xFFFB, "an invisible format character"},
    {0x1BCA0, 0x1BCA3, "an invisible shorthand control"},
    {0x1D173, 0x1D17A, "an invisible musical control"},
    {0xE0000, 0xE00FF, "a tag"},
    {0xE01F0, 0xE0FFF, "an invisible reserved character"},
};

const char *printable_trouble(uint32_t character)
{
    for (size_t i = 0; i < sizeof troubles / sizeof troubles[0]; i++)
        if (character >= troubles[i].first && character <= troubles[i].last)
            return troubles[i].why;
    return (character & 0xFFFEU) == 0xFFFE ? "a noncharacter" : NULL;
}

/* By the table of RFC 3629 section 4; 0 bytes: it is none. */
static size_t decode(const unsigned char *at, size_t length, uint32_t *character)
{
    unsigned char low = 0x80, high = 0xBF;
    size_t bytes = at[0] < 0x80 ? 1 : at[0] < 0xC2 ? 0 : at[0] < 0xE0 ? 2 : at[0] < 0xF0 ? 3 : 4;

    if (at[0] > 0xF4 || bytes == 0 || bytes > length)
        return 0;
    *character = bytes == 1 ? at[0] : at[0] & (0xFFU >> (bytes + 1));
    if (at[0] == 0xE0)
        low = 0xA0;
    if (at[0] == 0xED)
        high = 0x9F;
    if (at[0] == 0xF0)
        low = 0x90;
    if (at[0] == 0xF4)
        high = 0x8F;
    for (size_t i = 1; i < bytes; i++) {
        if (at[i] < low || at[i] > high)
            return 0;
        low = 0x80;
        high = 0xBF;
        *character = *character << 6 | (at[i] & 0x3FU);
    }
    return bytes;
}

bool printable(const char *bytes, size_t length, bool lines, size_t *at, const char **why)
{
    const unsigned char *text = (const unsigned char *)bytes;

    for (size_t i = 0, used; i < length; i += used) {
        uint32_t character = 0;
        used = decode(text + i, length - i, &character);
        const char *trouble = used == 0 ? "a byte that is not UTF-8" : printable_trouble(character);
        if (trouble == NULL || (lines && character == '\n' && used == 1))
            continue;
        if (at != NULL)
            *at = i;
        if (why != NULL)
            *why = trouble;
        return false;
    }
    return true;
}
