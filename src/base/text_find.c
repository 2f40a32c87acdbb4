/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a search finds, of texts that are folded already: as people type names and numbers. */
#include "springline/base/text.h"

#include <string.h>

/* What a name is found without. Folding has made one of each kind. */
static const char parting[] = "'-";

void text_add_bare(struct text *out, const char *folded)
{
    for (; *folded != '\0'; folded++) {
        if (strchr(parting, *folded) == NULL)
            text_add_byte(out, *folded);
    }
}

/* Does word stand at the beginning of text, apart from what parts either? */
static bool begins_bare(const char *text, const char *word)
{
    for (;;) {
        word += strspn(word, parting);
        if (*word == '\0')
            return true;
        text += strspn(text, parting);
        if (*text != *word)
            return false;
        text++;
        word++;
    }
}

static bool finds_bare(const char *folded, const char *word)
{
    if (word[strspn(word, parting)] == '\0')
        return false; /* nothing is looked for */
    for (; *folded != '\0'; folded++) {
        if (begins_bare(folded, word))
            return true;
    }
    return false;
}

size_t text_number(const char *folded, size_t length, size_t *digits)
{
    size_t letters = 0, end;

    while (letters < length && folded[letters] >= 'a' && folded[letters] <= 'z')
        letters++;
    for (end = letters; end < length && (folded[end] == '-' || folded[end] == '0'); end++)
        ;
    *digits = end;
    while (end < length && folded[end] >= '0' && folded[end] <= '9')
        end++;
    return end == length && end > *digits ? letters : 0;
}

/* Is the first word of folded the number that word is short for? */
static bool is_number(const char *folded, const char *word)
{
    size_t word_length = strlen(word), length = strcspn(folded, " "), at, word_at;
    size_t letters = text_number(word, word_length, &word_at);

    return letters > 0 && text_number(folded, length, &at) == letters &&
           strncmp(folded, word, letters) == 0 && length - at == word_length - word_at &&
           strncmp(folded + at, word + word_at, length - at) == 0;
}

bool text_finds(const char *folded, const char *word)
{
    return strstr(folded, word) != NULL || finds_bare(folded, word) || is_number(folded, word);
}
