/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is taken out of the JSON that sentence_json.c wrote with a verdict. */
#include <string.h>

#include "springline/app/sentence.h"

enum { FINDING_DEPTH = 2, HEX_DIGITS = 4, ASCII_END = 0x80 };

static int hex_value(char digit)
{
    static const char digits[] = "0123456789abcdef";
    const char *found = digit == '\0' ? NULL : strchr(digits, digit | 0x20);

    return found == NULL ? -1 : (int)(found - digits);
}

/* The four digits of \uXXXX: only controls are written so. */
static const char *add_code(const char *at, struct text *out)
{
    int code = 0;

    for (int i = 0; i < HEX_DIGITS; i++, at++) {
        int value = hex_value(*at);
        if (value < 0)
            return at;
        code = code * 16 + value;
    }
    text_add_byte(out, code > 0 && code < ASCII_END ? (char)code : '?');
    return at;
}

/* A string, at its opening quote; returns the place behind it, or the end of a text that stops
 * within it. */
static const char *add_string(const char *at, struct text *out)
{
    for (at++; *at != '\0' && *at != '"';) {
        if (*at == '\\' && at[1] == 'u') {
            at = add_code(at + 2, out);
        } else if (*at == '\\' && at[1] != '\0') {
            text_add_byte(out, at[1]);
            at += 2;
        } else {
            text_add_byte(out, *at++);
        }
    }
    return *at == '"' ? at + 1 : at;
}

bool sentence_stored(struct sentence_stored *stored, struct text *out)
{
    struct text key = {0};
    bool found = false;

    while (!found && stored->at != NULL && *stored->at != '\0') {
        char sign = *stored->at;

        if (sign != '"') {
            stored->depth += (sign == '{' || sign == '[') - (sign == '}' || sign == ']');
            stored->at++;
            continue;
        }
        text_clear(&key);
        stored->at = add_string(stored->at, &key);
        if (stored->depth == FINDING_DEPTH && strcmp(text_string(&key), "text") == 0 &&
            stored->at[0] == ':' && stored->at[1] == '"') {
            stored->at = add_string(stored->at + 1, out);
            found = true;
        }
    }
    out->failed = out->failed || key.failed;
    text_release(&key);
    return found;
}

/* Words may change from version to version of the program without a change of what is meant. */
static bool is_worded(const struct text *key)
{
    return strcmp(text_string(key), "text") == 0 || strcmp(text_string(key), "standing") == 0;
}

void sentence_bare(const char *findings, struct text *out)
{
    struct text key = {0};
    int depth = 0;

    for (const char *at = findings == NULL ? "" : findings; *at != '\0';) {
        if (*at != '"') {
            depth += (*at == '{' || *at == '[') - (*at == '}' || *at == ']');
            text_add_byte(out, *at++);
            continue;
        }
        text_clear(&key);
        const char *end = add_string(at, &key);
        text_append(out, at, (size_t)(end - at));
        at = end;
        if (depth == FINDING_DEPTH && is_worded(&key) && at[0] == ':' && at[1] == '"') {
            text_clear(&key);
            at = add_string(at + 1, &key);
        }
    }
    out->failed = out->failed || key.failed;
    text_release(&key);
}
