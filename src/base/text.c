/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/base/text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Room for length more bytes and a NUL; false, and failed, when there is none. */
static bool text_reserve(struct text *text, size_t length)
{
    size_t capacity = text->capacity == 0 ? 64 : text->capacity;
    char *data;

    if (text->failed)
        return false;
    if (length > (size_t)PTRDIFF_MAX - 1 - text->length) {
        text->failed = true;
        return false;
    }
    if (text->capacity > text->length + length)
        return true;
    while (capacity <= text->length + length)
        capacity = capacity > (size_t)PTRDIFF_MAX / 2 ? (size_t)PTRDIFF_MAX : capacity * 2;
    data = realloc(text->data, capacity);
    if (data == NULL) {
        text->failed = true;
        return false;
    }
    text->data = data;
    text->capacity = capacity;
    return true;
}

void text_append(struct text *text, const char *bytes, size_t length)
{
    if (length == 0 || !text_reserve(text, length))
        return;
    memcpy(text->data + text->length, bytes, length);
    text->length += length;
    text->data[text->length] = '\0';
}

void text_add(struct text *text, const char *string)
{
    if (string != NULL)
        text_append(text, string, strlen(string));
}

void text_add_byte(struct text *text, char byte)
{
    text_append(text, &byte, 1);
}

void text_addf(struct text *text, const char *format, ...)
{
    va_list arguments, again;
    int length;

    va_start(arguments, format);
    va_copy(again, arguments);
    length = vsnprintf(NULL, 0, format, arguments);
    if (length < 0) {
        text->failed = true;
    } else if (length > 0 && text_reserve(text, (size_t)length)) {
        (void)vsnprintf(text->data + text->length, (size_t)length + 1, format, again);
        text->length += (size_t)length;
    }
    va_end(again);
    va_end(arguments);
}

void text_clear(struct text *text)
{
    text->length = 0;
    text->failed = false;
    if (text->data != NULL)
        text->data[0] = '\0';
}

void text_release(struct text *text)
{
    free(text->data);
    *text = (struct text){0};
}

const char *text_string(const struct text *text)
{
    return text->data == NULL ? "" : text->data;
}
