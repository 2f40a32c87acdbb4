/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/base/error.h"

#include <stdarg.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "springline/base/text.h"

/* The stand-ins for the analyzer are for callers only. */
#undef error_set
#undef error_no_memory

/*
 * Copies from into to (size bytes), cut at a character boundary. What a terminal must not get
 * (controls, bidi controls, broken UTF-8) becomes '?': a sentence quotes what a user or a file
 * gave.
 */
static void copy_clean(char *to, size_t size, const char *from)
{
    size_t length = strlen(from), used = 0;

    while (length > 0) {
        uint32_t character = 0;
        size_t bytes = text_decode(from, length, &character);
        bool clean = bytes > 0 && text_trouble(character) == NULL;
        size_t wanted = clean ? bytes : 1;

        if (bytes == 0)
            bytes = 1;
        if (used + wanted >= size)
            break;
        if (clean)
            memcpy(to + used, from, wanted);
        else
            to[used] = '?';
        used += wanted;
        from += bytes;
        length -= bytes;
    }
    to[used] = '\0';
}

/* Takes off the first bytes of a character that the end of a buffer full of length bytes (at least
 * three) has split. */
static void drop_split_character(char *text, size_t length)
{
    size_t start = length - 1;
    uint32_t character = 0;

    while (start > length - 3 && ((unsigned char)text[start] & 0xC0U) == 0x80U)
        start--;
    if ((unsigned char)text[start] >= 0xC0U &&
        text_decode(text + start, length - start, &character) == 0)
        text[start] = '\0';
}

enum status error_set(struct error *error, enum status status, const char *where,
                      const char *format, ...)
{
    /* Arguments may point into *error: everything is put together aside. */
    char sentence[sizeof error->sentence], place[sizeof error->where];
    va_list arguments;
    int length;

    if (error == NULL)
        return status;
    va_start(arguments, format);
    length = vsnprintf(sentence, sizeof sentence, format, arguments);
    va_end(arguments);
    if (length >= (int)sizeof sentence)
        drop_split_character(sentence, sizeof sentence - 1);
    copy_clean(place, sizeof place, where == NULL ? "" : where);
    /* What printf can not put together is shown with its gaps rather than not at all. */
    copy_clean(error->sentence, sizeof error->sentence, length < 0 ? format : sentence);
    memcpy(error->where, place, sizeof place);
    error->status = status;
    return status;
}

enum status error_no_memory(struct error *error)
{
    return error_set(
        error, STATUS_NO_MEMORY, NULL,
        "The memory of this machine is exhausted; close other programs and try again.");
}

int error_exit_code(enum status status)
{
    switch (status) {
    case STATUS_OK:
    case STATUS_ALREADY:
        return 0;
    case STATUS_DAMAGED:
    case STATUS_NO:
        return 1;
    case STATUS_USAGE:
        return 2;
    case STATUS_NO_MEMORY:
    case STATUS_UNUSABLE:
    case STATUS_BUSY:
        return 3;
    case STATUS_INPUT:
    case STATUS_REFUSED:
    case STATUS_NOT_FOUND:
    case STATUS_CONFLICT:
        return 4;
    }
    return 3;
}
