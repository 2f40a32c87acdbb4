/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Characters beyond ASCII on a terminal that has none of them. */
#include <stdio.h>
#include <string.h>

#include "springline/ui/grid.h"
#include "springline/ui/key.h"

/* Signs of our own texts and of typed ones; letters come from the search folding. */
static const struct sign {
    uint32_t character;
    const char *ascii;
} signs[] = {
    {0x00A0, " "},  {0x00B0, "o"},  {0x00B1, "+-"}, {0x00B7, "."},   {0x00D7, "x"}, {0x2010, "-"},
    {0x2011, "-"},  {0x2012, "-"},  {0x2013, "-"},  {0x2014, "-"},   {0x2018, "'"}, {0x2019, "'"},
    {0x201C, "\""}, {0x201D, "\""}, {0x2022, "*"},  {0x2026, "..."}, {0x2212, "-"}, {0x2264, "<="},
    {0x2265, ">="}, {0x2500, "-"},  {0x2502, "|"},
};

/* Is a Latin letter of U+00C0-017F upper case? The blocks pair their cases regularly. */
static bool is_upper_latin(uint32_t character)
{
    if (character < 0x100)
        return character >= 0xC0 && character <= 0xDE;
    if ((character >= 0x139 && character <= 0x148) || (character >= 0x179 && character <= 0x17E))
        return character % 2 == 1;
    return character == 0x178 || (character <= 0x177 && character % 2 == 0);
}

/* The letter without its mark, from the search folding, in the case it had. */
static bool put_letter(uint32_t character, char out[8])
{
    struct text folded = {0};
    char bytes[5];
    bool good;

    key_utf8(character, bytes);
    text_add_folded(&folded, bytes);
    good = !folded.failed && folded.length > 0 && folded.length < 8;
    for (size_t i = 0; i < folded.length && good; i++)
        good = folded.data[i] >= 'a' && folded.data[i] <= 'z';
    if (good) {
        memcpy(out, folded.data, folded.length + 1);
        if (is_upper_latin(character))
            out[0] = (char)(out[0] - 'a' + 'A');
    }
    text_release(&folded);
    return good;
}

int grid_transliterate(uint32_t character, char out[8])
{
    const char *ascii = "?";

    if (character >= 0x20 && character < 0x7F) {
        out[0] = (char)character;
        out[1] = '\0';
        return 1;
    }
    for (size_t i = 0; i < sizeof signs / sizeof signs[0]; i++) {
        if (signs[i].character == character)
            ascii = signs[i].ascii;
    }
    if (character > 0x2502 && character < 0x2580)
        ascii = "+"; /* corners and crossings of lines */
    if (ascii[0] != '?' || !put_letter(character, out))
        snprintf(out, 8, "%s", ascii);
    return (int)strlen(out);
}
