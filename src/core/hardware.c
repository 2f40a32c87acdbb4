/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How the hardware of a visit is spelled: "intact", or its faults, each with a side if known. */
#include <string.h>

#include "springline/core/tooth.h"

static const char intact[] = "intact";

/* One spelling between ';': its length, and the start of the next one (NULL: it was the last). */
static size_t piece_length(const char *text, const char **next)
{
    const char *end = strchr(text, ';');

    *next = end == NULL ? NULL : end + 1;
    return end == NULL ? strlen(text) : (size_t)(end - text);
}

/* The value whose spelling is exactly length bytes at text; -1 when there is none. */
static int spelled_value(const struct words *words, const char *text, size_t length)
{
    for (int value = 1; (size_t)value < words->count; value++) {
        const char *spelling = word_text(words, value);

        if (strlen(spelling) == length && memcmp(spelling, text, length) == 0)
            return value;
    }
    return -1;
}

/* The bit of "loose-band" or "loose-band:right"; 0 when it is spelled wrong. */
static uint32_t fault_bit(const char *text, size_t length)
{
    const char *colon = memchr(text, ':', length);
    size_t fault_length = colon == NULL ? length : (size_t)(colon - text);
    int fault = spelled_value(&words_fault, text, fault_length);
    int side = SIDE_NONE;

    if (colon != NULL)
        side = spelled_value(&words_side, colon + 1, length - fault_length - 1);
    if (fault < 0 || side < 0)
        return 0;
    return hardware_bit((enum fault)fault, (enum side)side);
}

enum status hardware_from_text(const char *text, const char *where, uint32_t *hardware,
                               struct error *error)
{
    uint32_t read = HARDWARE_NOT_RECORDED;
    const char *next = NULL;

    if (text == NULL || text[0] == '\0') {
        *hardware = HARDWARE_NOT_RECORDED;
        return STATUS_OK;
    }
    if (strcmp(text, intact) == 0) {
        *hardware = HARDWARE_INTACT;
        return STATUS_OK;
    }
    for (const char *piece = text; piece != NULL; piece = next) {
        size_t length = piece_length(piece, &next);
        int shown = length > 40 ? 40 : (int)length;
        uint32_t bit = fault_bit(piece, length);

        if (length == strlen(intact) && memcmp(piece, intact, length) == 0)
            return error_set(error, STATUS_INPUT, where,
                             "\"intact\" stands beside a fault; give either intact or the faults.");
        if (bit == 0)
            return error_set(error, STATUS_INPUT, where,
                             "\"%.*s\" is no hardware finding; give intact, or a list with ; of "
                             "loose-band broken-wire bent-wire lost-ligature lost-bracket, each "
                             "with :right or :left if known.",
                             shown, piece);
        if ((read & bit) != 0)
            return error_set(error, STATUS_INPUT, where, "\"%.*s\" is named twice; name it once.",
                             shown, piece);
        read |= bit;
    }
    *hardware = read;
    return STATUS_OK;
}

/* Copies word to at and returns its end. */
static char *put(char *at, const char *word)
{
    size_t length = strlen(word);

    memcpy(at, word, length);
    return at + length;
}

char *hardware_to_text(uint32_t hardware, char buffer[HARDWARE_TEXT_SIZE])
{
    char *at = buffer;

    if (hardware == HARDWARE_INTACT)
        at = put(at, intact);
    for (int i = 0; i < FAULT_COUNT * 3; i++) {
        enum fault fault = (enum fault)(i / 3 + 1);
        enum side side = (enum side)(i % 3);

        if ((hardware & hardware_bit(fault, side)) == 0)
            continue;
        if (at != buffer)
            at = put(at, ";");
        at = put(at, word_text(&words_fault, (int)fault));
        if (side != SIDE_NONE)
            at = put(put(at, ":"), word_text(&words_side, (int)side));
    }
    *at = '\0';
    return buffer;
}
