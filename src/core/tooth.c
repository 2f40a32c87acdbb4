/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/core/tooth.h"

#include <string.h>

bool tooth_exists(int code)
{
    int quadrant = code / 10, position = code % 10;

    if (quadrant < 1 || quadrant > 8)
        return false;
    /* Quadrants 1 to 4 hold eight permanent teeth each, 5 to 8 five deciduous ones. */
    return position >= 1 && position <= (quadrant <= 4 ? 8 : 5);
}

enum arch tooth_arch(int code)
{
    return (code / 10 - 1) % 4 < 2 ? ARCH_UPPER : ARCH_LOWER;
}

enum side tooth_side(int code)
{
    int quadrant = (code / 10 - 1) % 4;

    return quadrant == 0 || quadrant == 3 ? SIDE_RIGHT : SIDE_LEFT;
}

int tooth_antimere(int code)
{
    static const int across[] = {0, 2, 1, 4, 3, 6, 5, 8, 7}; /* of each quadrant */

    return across[code / 10] * 10 + code % 10;
}

static bool is_digit(char byte)
{
    return byte >= '0' && byte <= '9';
}

/* Two digits at text as a number. */
static int two_digits(const char *text)
{
    return (text[0] - '0') * 10 + (text[1] - '0');
}

/* Exactly two digits, '-', two digits? */
static bool is_pair(const char *text)
{
    return strlen(text) == 5 && is_digit(text[0]) && is_digit(text[1]) && text[2] == '-' &&
           is_digit(text[3]) && is_digit(text[4]);
}

enum status teeth_from_text(const char *text, enum arch arch, const char *where,
                            struct teeth *teeth, struct error *error)
{
    int codes[2];

    if (text == NULL || !is_pair(text))
        return error_set(error, STATUS_INPUT, where,
                         "\"%.24s\" is not a pair of teeth; give the right and the left tooth by "
                         "ISO 3950, as in 16-26.",
                         text == NULL ? "" : text);
    codes[0] = two_digits(text);
    codes[1] = two_digits(text + 3);
    for (int i = 0; i < 2; i++) {
        if (!tooth_exists(codes[i]))
            return error_set(error, STATUS_INPUT, where,
                             "There is no tooth %02d in ISO 3950; permanent teeth are 11 to 48, "
                             "deciduous teeth 51 to 85.",
                             codes[i]);
        if (arch != ARCH_NONE && tooth_arch(codes[i]) != arch)
            return error_set(error, STATUS_INPUT, where,
                             "Tooth %d is not in the %s arch; give two teeth of that arch.",
                             codes[i], word_text(&words_arch, (int)arch));
    }
    if (tooth_arch(codes[0]) != tooth_arch(codes[1]))
        return error_set(error, STATUS_INPUT, where,
                         "Teeth %d and %d are in different arches; give two teeth of one arch.",
                         codes[0], codes[1]);
    if (tooth_side(codes[0]) == tooth_side(codes[1]))
        return error_set(error, STATUS_INPUT, where,
                         "Teeth %d and %d are on the same side; give one right and one left tooth.",
                         codes[0], codes[1]);
    teeth->right = (uint8_t)codes[tooth_side(codes[0]) == SIDE_RIGHT ? 0 : 1];
    teeth->left = (uint8_t)codes[tooth_side(codes[0]) == SIDE_RIGHT ? 1 : 0];
    return STATUS_OK;
}

char *teeth_to_text(struct teeth teeth, char buffer[8])
{
    buffer[0] = '\0';
    if (!tooth_exists(teeth.right) || !tooth_exists(teeth.left))
        return buffer;
    buffer[0] = (char)('0' + teeth.right / 10);
    buffer[1] = (char)('0' + teeth.right % 10);
    buffer[2] = '-';
    buffer[3] = (char)('0' + teeth.left / 10);
    buffer[4] = (char)('0' + teeth.left % 10);
    buffer[5] = '\0';
    return buffer;
}
