/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What UTF-8 is (RFC 3629), what of it may be stored, and what says something. */
#include "springline/base/text.h"

#include <string.h>

/* What the first byte of a character says; 0 bytes: it can not begin one. */
struct lead {
    size_t bytes;
    uint32_t bits, least; /* of the character; the least one that needs so many bytes */
};

static struct lead lead_of(unsigned char byte)
{
    if (byte < 0x80)
        return (struct lead){1, byte, 0};
    if (byte >= 0xC2 && byte <= 0xDF)
        return (struct lead){2, byte & 0x1FU, 0x80};
    if (byte >= 0xE0 && byte <= 0xEF)
        return (struct lead){3, byte & 0x0FU, 0x800};
    if (byte >= 0xF0 && byte <= 0xF4)
        return (struct lead){4, byte & 0x07U, 0x10000};
    return (struct lead){0, 0, 0};
}

size_t text_decode(const char *text, size_t length, uint32_t *character)
{
    struct lead lead = length == 0 ? (struct lead){0, 0, 0} : lead_of((unsigned char)text[0]);
    uint32_t bits = lead.bits;

    if (lead.bytes == 0 || lead.bytes > length)
        return 0;
    for (size_t i = 1; i < lead.bytes; i++) {
        unsigned char byte = (unsigned char)text[i];

        if ((byte & 0xC0U) != 0x80U)
            return 0;
        bits = bits << 6 | (byte & 0x3FU);
    }
    if (bits < lead.least || bits > 0x10FFFF || (bits >= 0xD800 && bits <= 0xDFFF))
        return 0;
    *character = bits;
    return lead.bytes;
}

bool text_is_utf8(const char *text, size_t length)
{
    uint32_t character;
    size_t bytes;

    for (; length > 0; text += bytes, length -= bytes) {
        bytes = text_decode(text, length, &character);
        if (bytes == 0)
            return false;
    }
    return true;
}

static const struct {
    uint32_t first, last;
} invisible[] = {
    {0xAD, 0xAD},       {0x34F, 0x34F},     {0x115F, 0x1160},   {0x17B4, 0x17B5},
    {0x180E, 0x180E},   {0x200B, 0x200B},   {0x2028, 0x2029},   {0x2060, 0x2065},
    {0x206A, 0x206F},   {0x3164, 0x3164},   {0xFEFF, 0xFEFF},   {0xFFA0, 0xFFA0},
    {0xFFF0, 0xFFFB},   {0x1BCA0, 0x1BCA3}, {0x1D173, 0x1D17A}, {0xE0000, 0xE00FF},
    {0xE01F0, 0xE0FFF},
};

static bool is_invisible(uint32_t c)
{
    for (size_t i = 0; i < sizeof invisible / sizeof invisible[0] && c >= invisible[i].first; i++)
        if (c <= invisible[i].last)
            return true;
    return false;
}

const char *text_trouble(uint32_t c)
{
    if (c < 0x20 || (c >= 0x7F && c <= 0x9F))
        return "a control character";
    if (c < 0xAD)
        return NULL;
    if (c == 0x061C || c == 0x200E || c == 0x200F || (c >= 0x202A && c <= 0x202E) ||
        (c >= 0x2066 && c <= 0x2069))
        return "a character that turns the direction of writing";
    if (is_invisible(c))
        return "an invisible character";
    if ((c >= 0xFDD0 && c <= 0xFDEF) || (c & 0xFFFEU) == 0xFFFE)
        return "a number that Unicode gives to no character";
    return NULL;
}

enum status text_check(const char *text, size_t length, size_t max_characters, const char *where,
                       struct error *error)
{
    size_t count = 0, bytes;
    int marks = 0;

    for (; length > 0; text += bytes, length -= bytes) {
        uint32_t character = 0;
        const char *trouble;

        bytes = text_decode(text, length, &character);
        if (bytes == 0)
            return error_set(error, STATUS_INPUT, where,
                             "Character %zu is not UTF-8 (byte 0x%02X); save the text as UTF-8 or "
                             "type it again.",
                             count + 1, (unsigned)(unsigned char)text[0]);
        trouble = text_trouble(character);
        if (trouble != NULL)
            return error_set(error, STATUS_INPUT, where,
                             "Character %zu is %s (U+%04X); take it out.", count + 1, trouble,
                             (unsigned)character);
        count++;
        marks = text_character_width(character) == 0 ? marks + 1 : 0;
        if (marks > TEXT_MARKS_MOST)
            return error_set(error, STATUS_INPUT, where,
                             "Characters %zu to %zu are marks piled on one letter; take them out.",
                             count - TEXT_MARKS_MOST, count);
        if (count > max_characters)
            return error_set(error, STATUS_INPUT, where,
                             "The text is longer than %zu characters; shorten it.", max_characters);
    }
    return STATUS_OK;
}

/* A letter of any script: no sign, mark, blank, digit or picture, as far as blocks tell. */
static bool is_letter(uint32_t c)
{
    if (c < 0x80)
        return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
    return c >= 0x00C0 && c != 0x00D7 && c != 0x00F7 && !(c >= 0x02B0 && c <= 0x036F) &&
           !(c >= 0x2000 && c <= 0x2BFF) && !(c >= 0x2E00 && c <= 0x2E7F) &&
           !(c >= 0x3000 && c <= 0x303F) && !(c >= 0xE000 && c <= 0xF8FF) &&
           !(c >= 0xFE00 && c <= 0xFE6F) && c < 0x1F000;
}

bool text_says(const char *text)
{
    size_t length = text == NULL ? 0 : strlen(text), bytes;
    int letters = 0;

    for (; length > 0; text += bytes, length -= bytes) {
        uint32_t character = 0;

        bytes = text_decode(text, length, &character);
        letters += bytes > 0 && is_letter(character);
        bytes = bytes > 0 ? bytes : 1;
    }
    return letters >= TEXT_SAYS_LETTERS;
}
