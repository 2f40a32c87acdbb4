/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/app/lists_find.h"

#include <string.h>

enum { WORD_SIZE = 512 };

bool lists_next_word(const char **folded, char *word, size_t size)
{
    const char *from = *folded + strspn(*folded, " ");
    size_t length = strcspn(from, " ");

    *folded = from + length;
    length = length < size ? length : size - 1;
    memcpy(word, from, length);
    word[length] = '\0';
    return length > 0;
}

/* One text that is not folded yet. */
static bool finds(const char *text, const char *word)
{
    struct text folded = {0};

    if (text == NULL)
        return false;
    if (text_matches(text, word))
        return true;
    text_add_folded(&folded, text);
    bool found = text_finds(text_string(&folded), word);
    text_release(&folded);
    return found;
}

bool lists_found(const char *const *texts, size_t count, const char *folded)
{
    char word[WORD_SIZE];

    while (lists_next_word(&folded, word, sizeof word)) {
        bool found = false;
        for (size_t i = 0; i < count && !found; i++)
            found = finds(texts[i], word);
        if (!found)
            return false;
    }
    return true;
}

bool lists_found_folded(const char *text, const char *folded)
{
    char word[WORD_SIZE];

    while (lists_next_word(&folded, word, sizeof word)) {
        if (!text_finds(text, word))
            return false;
    }
    return true;
}

void lists_phone_digits(const char *folded, char digits[LISTS_PHONE_SIZE])
{
    size_t length = 0;

    for (; strchr("0123456789 +-/().", *folded) != NULL && *folded != '\0'; folded++) {
        if (*folded >= '0' && *folded <= '9' && length + 1 < LISTS_PHONE_SIZE)
            digits[length++] = *folded;
    }
    digits[*folded == '\0' && length >= LISTS_PHONE_LEAST ? length : 0] = '\0';
}

bool lists_phone_found(const char *phone, const char *digits)
{
    char own[LISTS_PHONE_SIZE];
    size_t length = 0;

    for (; phone != NULL && *phone != '\0'; phone++) {
        if (*phone >= '0' && *phone <= '9' && length + 1 < sizeof own)
            own[length++] = *phone;
    }
    own[length] = '\0';
    return digits != NULL && digits[0] != '\0' && strstr(own, digits) != NULL;
}
