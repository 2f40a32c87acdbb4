/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/ui/key.h"

#include <string.h>

static const struct press_name {
    const char *name;
    enum press press;
} press_names[] = {
    {"Enter", PRESS_ENTER},
    {"Esc", PRESS_ESCAPE},
    {"Tab", PRESS_TAB},
    {"Shift-Tab", PRESS_BACKTAB},
    {"Backspace", PRESS_BACKSPACE},
    {"Delete", PRESS_DELETE},
    {"Up", PRESS_UP},
    {"Down", PRESS_DOWN},
    {"Left", PRESS_LEFT},
    {"Right", PRESS_RIGHT},
    {"Home", PRESS_HOME},
    {"End", PRESS_END},
    {"PageUp", PRESS_PAGE_UP},
    {"PageDown", PRESS_PAGE_DOWN},
};

static bool is_spelled(const char *name, size_t length, const char *word)
{
    return strlen(word) == length && memcmp(name, word, length) == 0;
}

bool key_from_name(const char *name, size_t length, struct key *key)
{
    uint32_t character = 0;

    for (size_t i = 0; i < sizeof press_names / sizeof press_names[0]; i++) {
        if (is_spelled(name, length, press_names[i].name)) {
            *key = (struct key){.press = press_names[i].press};
            return true;
        }
    }
    if (is_spelled(name, length, "Space")) {
        *key = (struct key){.character = ' '};
        return true;
    }
    if (length == 6 && memcmp(name, "Ctrl-", 5) == 0 && name[5] >= 'A' && name[5] <= 'Z') {
        *key = (struct key){.character = (uint32_t)name[5], .control = true};
        return true;
    }
    if (length == 0 || text_decode(name, length, &character) != length ||
        text_trouble(character) != NULL)
        return false;
    *key = (struct key){.character = character};
    return true;
}

int key_utf8(uint32_t character, char bytes[5])
{
    int length = character < 0x80 ? 1 : character < 0x800 ? 2 : character < 0x10000 ? 3 : 4;
    static const unsigned char lead[5] = {0, 0, 0xC0, 0xE0, 0xF0};

    for (int i = length - 1; i > 0; i--) {
        bytes[i] = (char)(unsigned char)(0x80U | (character & 0x3FU));
        character >>= 6;
    }
    bytes[0] = (char)(unsigned char)(lead[length == 1 ? 0 : length] | character);
    bytes[length] = '\0';
    return length;
}

static void add_character(struct text *out, uint32_t character)
{
    char bytes[5];

    key_utf8(character, bytes);
    text_add_shown(out, bytes);
}

void key_add_name(struct text *out, const struct key *key)
{
    for (size_t i = 0; i < sizeof press_names / sizeof press_names[0]; i++) {
        if (key->press == press_names[i].press) {
            text_add(out, press_names[i].name);
            return;
        }
    }
    if (key->control)
        text_add(out, "Ctrl-");
    if (key->character == ' ')
        text_add(out, "Space");
    else
        add_character(out, key->character);
}

bool key_same(const struct key *a, const struct key *b)
{
    return a->press == b->press && a->character == b->character && a->control == b->control;
}
