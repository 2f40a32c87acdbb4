/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/base/millimetre.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

enum { LARGEST_HUNDREDTHS = 99999 };

static bool is_digit(char byte)
{
    return byte >= '0' && byte <= '9';
}

/* Refuses text for a reason, quoting what was given. */
static enum status refuse(const char *text, const char *where, struct error *error,
                          const char *reason)
{
    return error_set(error, STATUS_INPUT, where, "\"%.24s\" is not a length in mm: %s.", text,
                     reason);
}

/* Reads whole millimetres at *at as hundredths, moving *at; more than is allowed stays at the
 * first value that is too large. */
static int32_t read_whole(const char **at)
{
    int32_t hundredths = 0;

    for (; is_digit(**at); (*at)++)
        if (hundredths <= LARGEST_HUNDREDTHS)
            hundredths = hundredths * 10 + (**at - '0') * 100;
    return hundredths;
}

enum status millimetre_from_text(const char *text, enum millimetre_mark mark, const char *where,
                                 um *value, struct error *error)
{
    const char *at = text;
    bool negative, marked;
    int32_t hundredths;

    if (text == NULL || text[0] == '\0')
        return error_set(error, STATUS_INPUT, where,
                         "A length in mm is missing; give it as in 1.25.");
    negative = *at == '-';
    if (negative)
        at++;
    if (!is_digit(*at))
        return refuse(text, where, error, "it must begin with a digit, as in 0.25");
    hundredths = read_whole(&at);
    if (*at == ',' && mark == MARK_POINT)
        return refuse(text, where, error, "write a point, not a comma, as in 1.25");
    marked = *at == '.' || *at == ',';
    if (marked) {
        at++;
        if (!is_digit(*at))
            return refuse(text, where, error, "a digit must follow the decimal mark");
        hundredths += (*at++ - '0') * 10;
        if (is_digit(*at))
            hundredths += *at++ - '0';
        if (is_digit(*at))
            return refuse(text, where, error, "give at most two decimals");
    }
    if (marked && (*at == '.' || *at == ','))
        return refuse(text, where, error, "it has two decimal marks");
    if (*at != '\0')
        return refuse(text, where, error, "give digits and one decimal mark only, without a unit");
    if (hundredths > LARGEST_HUNDREDTHS)
        return refuse(text, where, error, "it is longer than 999.99 mm");
    *value = (negative ? -hundredths : hundredths) * 10;
    return STATUS_OK;
}

char *millimetre_to_text(um value, char buffer[MILLIMETRE_TEXT_SIZE])
{
    int64_t size = value < 0 ? -(int64_t)value : value;
    int64_t hundredths = (size + 5) / 10;

    if (value == UM_NONE)
        buffer[0] = '\0';
    else
        (void)snprintf(buffer, MILLIMETRE_TEXT_SIZE, "%s%d.%02d",
                       value < 0 && hundredths > 0 ? "-" : "", (int)(hundredths / 100),
                       (int)(hundredths % 100));
    return buffer;
}
