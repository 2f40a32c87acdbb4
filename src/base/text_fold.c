/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Folding for search: by code point, never by locale. Latin letters by two tables, Greek, Cyrillic
 * and Armenian by ranges; the unit test compares them with Unicode's own decompositions.
 */
#include "springline/base/text.h"

#include <string.h>

/* U+00C0-028B and U+1E00-1EFF; "": as it is. */
static const char latin[][4] = {
    "a", "a",  "a",  "a",  "a",  "a",  "ae", "c",  "e",  "e",  "e",  "e",  "i",  "i",  "i",  "i",
    "d", "n",  "o",  "o",  "o",  "o",  "o",  "",   "o",  "u",  "u",  "u",  "u",  "y",  "th", "ss",
    "a", "a",  "a",  "a",  "a",  "a",  "ae", "c",  "e",  "e",  "e",  "e",  "i",  "i",  "i",  "i",
    "d", "n",  "o",  "o",  "o",  "o",  "o",  "",   "o",  "u",  "u",  "u",  "u",  "y",  "th", "y",
    "a", "a",  "a",  "a",  "a",  "a",  "c",  "c",  "c",  "c",  "c",  "c",  "c",  "c",  "d",  "d",
    "d", "d",  "e",  "e",  "e",  "e",  "e",  "e",  "e",  "e",  "e",  "e",  "g",  "g",  "g",  "g",
    "g", "g",  "g",  "g",  "h",  "h",  "h",  "h",  "i",  "i",  "i",  "i",  "i",  "i",  "i",  "i",
    "i", "i",  "ij", "ij", "j",  "j",  "k",  "k",  "k",  "l",  "l",  "l",  "l",  "l",  "l",  "l",
    "l", "l",  "l",  "n",  "n",  "n",  "n",  "n",  "n",  "'n", "n",  "n",  "o",  "o",  "o",  "o",
    "o", "o",  "oe", "oe", "r",  "r",  "r",  "r",  "r",  "r",  "s",  "s",  "s",  "s",  "s",  "s",
    "s", "s",  "t",  "t",  "t",  "t",  "t",  "t",  "u",  "u",  "u",  "u",  "u",  "u",  "u",  "u",
    "u", "u",  "u",  "u",  "w",  "w",  "y",  "y",  "y",  "z",  "z",  "z",  "z",  "z",  "z",  "s",
    "b", "b",  "b",  "b",  "ƅ",  "",   "o",  "c",  "c",  "d",  "d",  "d",  "d",  "",   "e",  "e",
    "e", "f",  "f",  "g",  "ɣ",  "hv", "i",  "i",  "k",  "k",  "l",  "l",  "m",  "n",  "n",  "o",
    "o", "o",  "oi", "oi", "p",  "p",  "r",  "ƨ",  "",   "ʃ",  "",   "t",  "t",  "t",  "t",  "u",
    "u", "u",  "v",  "y",  "y",  "z",  "z",  "ʒ",  "ƹ",  "",   "",   "",   "ƽ",  "",   "",   "w",
    "",  "",   "",   "",   "dz", "dz", "dz", "lj", "lj", "lj", "nj", "nj", "nj", "a",  "a",  "i",
    "i", "o",  "o",  "u",  "u",  "u",  "u",  "u",  "u",  "u",  "u",  "u",  "u",  "e",  "a",  "a",
    "a", "a",  "ae", "ae", "g",  "g",  "g",  "g",  "k",  "k",  "o",  "o",  "o",  "o",  "ʒ",  "ʒ",
    "j", "dz", "dz", "dz", "g",  "g",  "hv", "w",  "n",  "n",  "a",  "a",  "ae", "ae", "o",  "o",
    "a", "a",  "a",  "a",  "e",  "e",  "e",  "e",  "i",  "i",  "i",  "i",  "o",  "o",  "o",  "o",
    "r", "r",  "r",  "r",  "u",  "u",  "u",  "u",  "s",  "s",  "t",  "t",  "ȝ",  "",   "h",  "h",
    "n", "d",  "ȣ",  "",   "z",  "z",  "a",  "a",  "e",  "e",  "o",  "o",  "o",  "o",  "o",  "o",
    "o", "o",  "y",  "y",  "l",  "n",  "t",  "j",  "",   "",   "a",  "c",  "c",  "l",  "t",  "s",
    "z", "ɂ",  "",   "b",  "u",  "ʌ",  "e",  "e",  "j",  "j",  "q",  "q",  "r",  "r",  "y",  "y",
    "",  "",   "",   "b",  "o",  "",   "d",  "d",  "",   "e",  "",   "e",  "",   "",   "",   "",
    "g", "",   "",   "",   "",   "",   "",   "",   "i",  "i",  "",   "",   "",   "",   "",   "m",
    "",  "",   "n",  "",   "",   "o",  "",   "",   "",   "",   "",   "",   "",   "",   "",   "",
    "r", "",   "",   "",   "",   "",   "",   "",   "t",  "u",  "u",  "v",
};

static const char latin_additional[][4] = {
    "a", "a", "b", "b", "b", "b", "b",  "b", "c", "c", "d", "d", "d", "d", "d", "d", "d", "d", "d",
    "d", "e", "e", "e", "e", "e", "e",  "e", "e", "e", "e", "f", "f", "g", "g", "h", "h", "h", "h",
    "h", "h", "h", "h", "h", "h", "i",  "i", "i", "i", "k", "k", "k", "k", "k", "k", "l", "l", "l",
    "l", "l", "l", "l", "l", "m", "m",  "m", "m", "m", "m", "n", "n", "n", "n", "n", "n", "n", "n",
    "o", "o", "o", "o", "o", "o", "o",  "o", "p", "p", "p", "p", "r", "r", "r", "r", "r", "r", "r",
    "r", "s", "s", "s", "s", "s", "s",  "s", "s", "s", "s", "t", "t", "t", "t", "t", "t", "t", "t",
    "u", "u", "u", "u", "u", "u", "u",  "u", "u", "u", "v", "v", "v", "v", "w", "w", "w", "w", "w",
    "w", "w", "w", "w", "w", "x", "x",  "x", "x", "y", "y", "z", "z", "z", "z", "z", "z", "h", "t",
    "w", "y", "a", "s", "s", "s", "ss", "",  "a", "a", "a", "a", "a", "a", "a", "a", "a", "a", "a",
    "a", "a", "a", "a", "a", "a", "a",  "a", "a", "a", "a", "a", "a", "e", "e", "e", "e", "e", "e",
    "e", "e", "e", "e", "e", "e", "e",  "e", "e", "e", "i", "i", "i", "i", "o", "o", "o", "o", "o",
    "o", "o", "o", "o", "o", "o", "o",  "o", "o", "o", "o", "o", "o", "o", "o", "o", "o", "o", "o",
    "u", "u", "u", "u", "u", "u", "u",  "u", "u", "u", "u", "u", "u", "u", "y", "y", "y", "y", "y",
    "y", "y", "y", "ỻ", "",  "ỽ", "",   "ỿ", "",
};

enum range_sort {
    SHIFT, /* first becomes to, the next one to + 1, ... */
    ONE,   /* all become to */
    PAIRS  /* capital, small, capital, ...: the capitals become the small letter that follows */
};

struct range {
    uint16_t first, last, to;
    enum range_sort sort;
};

/* In order, the narrower range first. Applied twice: case, then marks. */
static const struct range ranges[] = {
    {0x00A0, 0x00A0, ' ', ONE},
    {0x02BC, 0x02BC, '\'', ONE},
    /* Greek */
    {0x0370, 0x0373, 0, PAIRS},
    {0x0374, 0x0374, 0x02B9, ONE},
    {0x0376, 0x0377, 0, PAIRS},
    {0x037F, 0x037F, 0x03F3, ONE},
    {0x03CF, 0x03CF, 0x03D7, ONE},
    {0x03D3, 0x03D4, 0x03D2, ONE},
    {0x03D8, 0x03EF, 0, PAIRS},
    {0x03F4, 0x03F4, 0x03B8, ONE},
    {0x03F7, 0x03F8, 0, PAIRS},
    {0x03F9, 0x03F9, 0x03F2, ONE},
    {0x03FA, 0x03FB, 0, PAIRS},
    {0x03FD, 0x03FF, 0x037B, SHIFT},
    {0x1FBE, 0x1FBE, 0x03B9, ONE},
    {0x0386, 0x0386, 0x03B1, ONE},
    {0x0388, 0x0388, 0x03B5, ONE},
    {0x0389, 0x0389, 0x03B7, ONE},
    {0x038A, 0x038A, 0x03B9, ONE},
    {0x038C, 0x038C, 0x03BF, ONE},
    {0x038E, 0x038E, 0x03C5, ONE},
    {0x038F, 0x038F, 0x03C9, ONE},
    {0x0390, 0x0390, 0x03B9, ONE},
    {0x0391, 0x03A1, 0x03B1, SHIFT},
    {0x03A3, 0x03A9, 0x03C3, SHIFT},
    {0x03AA, 0x03AA, 0x03B9, ONE},
    {0x03AB, 0x03AB, 0x03C5, ONE},
    {0x03AC, 0x03AC, 0x03B1, ONE},
    {0x03AD, 0x03AD, 0x03B5, ONE},
    {0x03AE, 0x03AE, 0x03B7, ONE},
    {0x03AF, 0x03AF, 0x03B9, ONE},
    {0x03B0, 0x03B0, 0x03C5, ONE},
    {0x03C2, 0x03C2, 0x03C3, ONE},
    {0x03CA, 0x03CA, 0x03B9, ONE},
    {0x03CB, 0x03CB, 0x03C5, ONE},
    {0x03CC, 0x03CC, 0x03BF, ONE},
    {0x03CD, 0x03CD, 0x03C5, ONE},
    {0x03CE, 0x03CE, 0x03C9, ONE},
    {0x1F00, 0x1F0F, 0x03B1, ONE},
    {0x1F10, 0x1F1D, 0x03B5, ONE},
    {0x1F20, 0x1F2F, 0x03B7, ONE},
    {0x1F30, 0x1F3F, 0x03B9, ONE},
    {0x1F40, 0x1F4D, 0x03BF, ONE},
    {0x1F50, 0x1F5F, 0x03C5, ONE},
    {0x1F60, 0x1F6F, 0x03C9, ONE},
    {0x1F70, 0x1F71, 0x03B1, ONE},
    {0x1F72, 0x1F73, 0x03B5, ONE},
    {0x1F74, 0x1F75, 0x03B7, ONE},
    {0x1F76, 0x1F77, 0x03B9, ONE},
    {0x1F78, 0x1F79, 0x03BF, ONE},
    {0x1F7A, 0x1F7B, 0x03C5, ONE},
    {0x1F7C, 0x1F7D, 0x03C9, ONE},
    {0x1F80, 0x1F8F, 0x03B1, ONE},
    {0x1F90, 0x1F9F, 0x03B7, ONE},
    {0x1FA0, 0x1FAF, 0x03C9, ONE},
    {0x1FB0, 0x1FBC, 0x03B1, ONE},
    {0x1FC2, 0x1FC7, 0x03B7, ONE},
    {0x1FC8, 0x1FC9, 0x03B5, ONE},
    {0x1FCA, 0x1FCC, 0x03B7, ONE},
    {0x1FD0, 0x1FDB, 0x03B9, ONE},
    {0x1FE0, 0x1FE3, 0x03C5, ONE},
    {0x1FE4, 0x1FE5, 0x03C1, ONE},
    {0x1FE6, 0x1FEB, 0x03C5, ONE},
    {0x1FEC, 0x1FEC, 0x03C1, ONE},
    {0x1FF2, 0x1FF7, 0x03C9, ONE},
    {0x1FF8, 0x1FF9, 0x03BF, ONE},
    {0x1FFA, 0x1FFC, 0x03C9, ONE},
    /* Cyrillic */
    {0x0400, 0x0401, 0x0435, ONE},
    {0x0402, 0x040F, 0x0452, SHIFT},
    {0x0410, 0x042F, 0x0430, SHIFT},
    {0x0439, 0x0439, 0x0438, ONE},
    {0x0450, 0x0451, 0x0435, ONE},
    {0x0453, 0x0453, 0x0433, ONE},
    {0x0457, 0x0457, 0x0456, ONE},
    {0x045C, 0x045C, 0x043A, ONE},
    {0x045D, 0x045D, 0x0438, ONE},
    {0x045E, 0x045E, 0x0443, ONE},
    {0x0476, 0x0477, 0x0475, ONE},
    {0x0460, 0x0481, 0, PAIRS},
    {0x048A, 0x04BF, 0, PAIRS},
    {0x04C0, 0x04C0, 0x04CF, ONE},
    {0x04C1, 0x04C2, 0x0436, ONE},
    {0x04C3, 0x04CE, 0, PAIRS},
    {0x04D0, 0x04D3, 0x0430, ONE},
    {0x04D6, 0x04D7, 0x0435, ONE},
    {0x04D8, 0x04DB, 0x04D9, ONE},
    {0x04DC, 0x04DD, 0x0436, ONE},
    {0x04DE, 0x04DF, 0x0437, ONE},
    {0x04E2, 0x04E5, 0x0438, ONE},
    {0x04E6, 0x04E7, 0x043E, ONE},
    {0x04E8, 0x04EB, 0x04E9, ONE},
    {0x04EC, 0x04ED, 0x044D, ONE},
    {0x04EE, 0x04F3, 0x0443, ONE},
    {0x04F4, 0x04F5, 0x0447, ONE},
    {0x04F8, 0x04F9, 0x044B, ONE},
    {0x04D0, 0x052F, 0, PAIRS},
    /* Armenian */
    {0x0531, 0x0556, 0x0561, SHIFT},
    /* dashes, quotation marks and blanks that a keyboard does not have */
    {0x2010, 0x2013, '-', ONE},
    {0x2018, 0x2019, '\'', ONE},
    {0x202F, 0x202F, ' ', ONE},
};

/* Marks that are dropped: those of Latin, Greek, Cyrillic, Hebrew and Arabic. Vowel signs of other
 * scripts are letters and stay. */
static bool is_mark(uint32_t c)
{
    return (c >= 0x0300 && c <= 0x036F) || (c >= 0x0483 && c <= 0x0489) ||
           (c >= 0x0591 && c <= 0x05BD) ||
           (c >= 0x05BF && c <= 0x05C7 && c != 0x05C0 && c != 0x05C3 && c != 0x05C6) ||
           (c >= 0x0610 && c <= 0x061A) || (c >= 0x064B && c <= 0x065F) || c == 0x0670 ||
           (c >= 0x1AB0 && c <= 0x1AFF) || (c >= 0x1DC0 && c <= 0x1DFF) ||
           (c >= 0x20D0 && c <= 0x20FF) || (c >= 0xFE20 && c <= 0xFE2F);
}

static uint32_t fold_by_range(uint32_t character)
{
    for (size_t i = 0; i < sizeof ranges / sizeof ranges[0]; i++) {
        const struct range *range = &ranges[i];

        if (character < range->first || character > range->last)
            continue;
        if (range->sort == ONE)
            return range->to;
        if (range->sort == SHIFT)
            return range->to + (character - range->first);
        return character + ((character - range->first) % 2 == 0 ? 1 : 0);
    }
    return character;
}

/* Writes a character below U+0800, as all are that a range leads to, and returns its bytes. */
static size_t encode(uint32_t character, char out[4])
{
    if (character < 0x80) {
        out[0] = (char)character;
        return 1;
    }
    out[0] = (char)(0xC0U | character >> 6);
    out[1] = (char)(0x80U | (character & 0x3FU));
    return 2;
}

/* Writes the folded form of the character whose bytes are at text; returns its bytes (0: a mark).
 */
static size_t fold_one(const char *text, size_t bytes, uint32_t character, char out[4])
{
    const char *folded = "";

    if (character < 0x80) {
        out[0] = (char)(character >= 'A' && character <= 'Z' ? character + 32 : character);
        return 1;
    }
    if (character >= 0x00C0 && character <= 0x028B)
        folded = latin[character - 0x00C0];
    else if (character >= 0x1E00 && character <= 0x1EFF)
        folded = latin_additional[character - 0x1E00];
    else if (is_mark(character))
        return 0;
    else if (fold_by_range(character) != character)
        return encode(fold_by_range(fold_by_range(character)), out);
    if (folded[0] != '\0') {
        text = folded;
        bytes = strlen(folded);
    }
    memcpy(out, text, bytes);
    return bytes;
}

/* A place in a text, and what of the folded form of the character there is still to be read. */
struct cursor {
    const char *at;
    size_t left;
    char folded[4];
    size_t position, count;
};

/* The next byte of the folded form; -1 at the end. */
static int next_byte(struct cursor *cursor)
{
    while (cursor->position == cursor->count) {
        uint32_t character = 0;
        size_t bytes;

        if (cursor->left == 0)
            return -1;
        bytes = text_decode(cursor->at, cursor->left, &character);
        cursor->position = 0;
        if (bytes == 0) { /* not UTF-8: found only by the same byte */
            bytes = 1;
            cursor->folded[0] = cursor->at[0];
            cursor->count = 1;
        } else {
            cursor->count = fold_one(cursor->at, bytes, character, cursor->folded);
        }
        cursor->at += bytes;
        cursor->left -= bytes;
    }
    return (unsigned char)cursor->folded[cursor->position++];
}

void text_add_folded(struct text *out, const char *text)
{
    struct cursor cursor = {.at = text, .left = strlen(text)};
    int byte;

    while ((byte = next_byte(&cursor)) >= 0)
        text_add_byte(out, (char)byte);
}

bool text_matches(const char *text, const char *folded_needle)
{
    struct cursor start = {.at = text, .left = strlen(text)};

    for (;;) {
        struct cursor cursor = start;
        const char *wanted = folded_needle;

        while (*wanted != '\0' && next_byte(&cursor) == (unsigned char)*wanted)
            wanted++;
        if (*wanted == '\0')
            return true;
        if (next_byte(&start) < 0)
            return false;
    }
}
