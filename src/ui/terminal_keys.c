/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * From bytes to keys. Bytes are read, not wide characters: a byte (up to 255) and a key code of
 * curses (from 257) can then never be confused, and one stray byte can not swallow the keys behind
 * it. Sequences nobody knows are swallowed whole, so that their letters are never taken as typed.
 */
#include <curses.h>
#include <string.h>

#include "terminal_private.h"

enum {
    CODE_PASTE = 0x1000,
    CODE_PASTE_END,
    CODE_TYPED = 0x1100, /* plus a character: a key of the numeric keypad */
    REST_MS = 50,        /* how long the rest of a sequence may take on a slow line */
    SPLIT_MS = 150,      /* and how long when a pause has already cut it off its ESC */
    SEQUENCE_MOST = 64,
    STRING_MOST = 4096
};

static const struct named_code {
    int code;
    enum press press;
} named_codes[] = {
    {KEY_ENTER, PRESS_ENTER},     {KEY_BACKSPACE, PRESS_BACKSPACE}, {KEY_DC, PRESS_DELETE},
    {KEY_UP, PRESS_UP},           {KEY_DOWN, PRESS_DOWN},           {KEY_LEFT, PRESS_LEFT},
    {KEY_RIGHT, PRESS_RIGHT},     {KEY_HOME, PRESS_HOME},           {KEY_END, PRESS_END},
    {KEY_FIND, PRESS_HOME},       {KEY_SELECT, PRESS_END},          {KEY_PPAGE, PRESS_PAGE_UP},
    {KEY_NPAGE, PRESS_PAGE_DOWN}, {KEY_BTAB, PRESS_BACKTAB},
};

/* Keypad keys that terminfo names by their place, as digits. */
static const struct {
    int code;
    char digit;
} place_codes[] = {
    {KEY_A1, '7'}, {KEY_A3, '9'}, {KEY_B2, '5'}, {KEY_C1, '1'}, {KEY_C3, '3'},
};

static const struct {
    const char *sequence;
    int code;
} sequences[] = {
    {"\033[200~", CODE_PASTE},
    {"\033[201~", CODE_PASTE_END},
    {"\033[A", KEY_UP},
    {"\033[B", KEY_DOWN},
    {"\033[C", KEY_RIGHT},
    {"\033[D", KEY_LEFT},
    {"\033OA", KEY_UP},
    {"\033OB", KEY_DOWN},
    {"\033OC", KEY_RIGHT},
    {"\033OD", KEY_LEFT},
    {"\033[H", KEY_HOME},
    {"\033[F", KEY_END},
    {"\033OH", KEY_HOME},
    {"\033OF", KEY_END},
    {"\033[1~", KEY_HOME},
    {"\033[4~", KEY_END},
    {"\033[7~", KEY_HOME},
    {"\033[8~", KEY_END},
    {"\033[3~", KEY_DC},
    {"\033[5~", KEY_PPAGE},
    {"\033[6~", KEY_NPAGE},
    {"\033[Z", KEY_BTAB},
    {"\033OM", KEY_ENTER},
    /* The numeric keypad in application mode (control sequences of the VT220 family). */
    {"\033Op", CODE_TYPED + '0'},
    {"\033Oq", CODE_TYPED + '1'},
    {"\033Or", CODE_TYPED + '2'},
    {"\033Os", CODE_TYPED + '3'},
    {"\033Ot", CODE_TYPED + '4'},
    {"\033Ou", CODE_TYPED + '5'},
    {"\033Ov", CODE_TYPED + '6'},
    {"\033Ow", CODE_TYPED + '7'},
    {"\033Ox", CODE_TYPED + '8'},
    {"\033Oy", CODE_TYPED + '9'},
    {"\033Oj", CODE_TYPED + '*'},
    {"\033Ok", CODE_TYPED + '+'},
    {"\033Ol", CODE_TYPED + ','},
    {"\033Om", CODE_TYPED + '-'},
    {"\033On", CODE_TYPED + '.'},
    {"\033Oo", CODE_TYPED + '/'},
};

void terminal_define_keys(void)
{
    /* Some entries call the mere beginning of a mouse report a key: the rest would be typed. */
    define_key(NULL, KEY_MOUSE);
    for (size_t i = 0; i < sizeof sequences / sizeof sequences[0]; i++)
        define_key(sequences[i].sequence, sequences[i].code);
}

int terminal_code(struct terminal *terminal, int wait_ms)
{
    int code = terminal->held;

    if (code != CODE_NONE_HELD) {
        terminal->held = CODE_NONE_HELD;
        return code;
    }
    wtimeout(terminal->input, wait_ms);
    code = wgetch(terminal->input);
    if (code == KEY_RESIZE) /* curses has already cut or widened stdscr */
        terminal_forget(terminal);
    return code == ERR ? CODE_NOTHING : code;
}

static void hold(struct terminal *terminal, int code)
{
    terminal->held = code == CODE_NOTHING ? CODE_NONE_HELD : code;
}

/* Reads on to the final byte of a control sequence (ECMA-48: 4/0 to 7/14). The Linux console sends
 * its first function keys as ESC [ [ and a letter. */
static void swallow_sequence(struct terminal *terminal)
{
    for (int i = 0; i < SEQUENCE_MOST; i++) {
        int code = terminal_code(terminal, REST_MS);
        if ((code >= 0x20 && code < 0x40) || (code == '[' && i == 0))
            continue;
        if (code < 0x40 || code > 0x7E)
            hold(terminal, code); /* broken off: this belongs to the next key */
        return;
    }
}

/* Reads on to the end of a control string: BEL, or ESC and a backslash. */
static void swallow_string(struct terminal *terminal)
{
    for (int i = 0; i < STRING_MOST; i++) {
        int code = terminal_code(terminal, REST_MS);
        if (code == CODE_NOTHING || code == 7)
            return;
        if (code >= KEY_MIN) {
            hold(terminal, code);
            return;
        }
        if (code == 27) {
            code = terminal_code(terminal, REST_MS);
            if (code != '\\')
                hold(terminal, code);
            return;
        }
    }
}

/* The rest of a sequence that begins with ESC and introducer. */
static void swallow(struct terminal *terminal, int introducer)
{
    if (introducer == '[') {
        swallow_sequence(terminal);
    } else if (introducer == 'O') {
        int code = terminal_code(terminal, REST_MS);
        if (code < 0x20 || code > 0x7E)
            hold(terminal, code);
    } else {
        swallow_string(terminal);
    }
}

static bool is_introducer(int code)
{
    return code == '[' || code == 'O' || code == ']' || code == 'P' || code == '_' || code == '^';
}

static bool decode_escape(struct terminal *terminal, struct key *key)
{
    int code = terminal_code(terminal, 0);

    if (is_introducer(code)) {
        swallow(terminal, code);
        return false;
    }
    hold(terminal, code);
    if (terminal->pasting)
        return false;
    terminal->escape_at_ms = terminal_now_ms(terminal);
    *key = (struct key){.press = PRESS_ESCAPE};
    return true;
}

static bool decode_code(struct terminal *terminal, int code, struct key *key)
{
    if (code == CODE_PASTE || code == CODE_PASTE_END) {
        terminal->pasting = terminal->paste_begins = code == CODE_PASTE;
        terminal->paste_cr = false;
        return false;
    }
    if (terminal->pasting)
        return false;
    for (size_t i = 0; i < sizeof named_codes / sizeof named_codes[0]; i++) {
        if (named_codes[i].code == code) {
            *key = (struct key){.press = named_codes[i].press};
            return true;
        }
    }
    for (size_t i = 0; i < sizeof place_codes / sizeof place_codes[0]; i++) {
        if (place_codes[i].code == code) {
            *key = (struct key){.character = (uint32_t)place_codes[i].digit};
            return true;
        }
    }
    if (code < CODE_TYPED || code > CODE_TYPED + 0x7F)
        return false;
    *key = (struct key){.character = (uint32_t)(code - CODE_TYPED)};
    return true;
}

static bool decode_control(struct terminal *terminal, int code, struct key *key)
{
    bool after_cr = terminal->paste_cr;

    terminal->paste_cr = terminal->pasting && code == 13;
    if (code == 13 || code == 10) {
        *key = (struct key){.press = PRESS_ENTER};
        return !(after_cr && code == 10); /* CR LF in a paste is one line break */
    }
    if (code == 9)
        *key = (struct key){.press = PRESS_TAB};
    else if (terminal->pasting)
        return false;
    else if (code == 8 || code == 127)
        *key = (struct key){.press = PRESS_BACKSPACE};
    else if (code >= 1 && code <= 26)
        *key = (struct key){.character = (uint32_t)(code + 'A' - 1), .control = true};
    else
        return false;
    return true;
}

/* Collects the bytes of one character; one that does not belong is held for the next key. */
static bool decode_character(struct terminal *terminal, int code, struct key *key)
{
    int length = code < 0x80 ? 1 : code < 0xE0 ? 2 : code < 0xF0 ? 3 : 4;
    char bytes[4] = {(char)(unsigned char)code};
    uint32_t character = 0;

    for (int i = 1; i < length; i++) {
        int next = terminal_code(terminal, REST_MS);
        if (next < 0x80 || next > 0xBF) {
            hold(terminal, next);
            return false;
        }
        bytes[i] = (char)(unsigned char)next;
    }
    if (text_decode(bytes, (size_t)length, &character) == 0)
        return false;
    *key = (struct key){.character = character};
    return true;
}

bool terminal_decode(struct terminal *terminal, int code, struct key *key)
{
    int64_t escape_at = terminal->escape_at_ms;
    bool good;

    terminal->escape_at_ms = INT64_MIN;
    if (code == 27)
        return decode_escape(terminal, key);
    if ((code == '[' || code == 'O') && escape_at != INT64_MIN &&
        terminal_now_ms(terminal) - escape_at < SPLIT_MS) {
        swallow(terminal, code);
        return false;
    }
    if (code >= KEY_MIN)
        good = decode_code(terminal, code, key);
    else if (code < 0x20 || code == 127)
        good = decode_control(terminal, code, key);
    else
        good = decode_character(terminal, code, key);
    if (code >= 0x20)
        terminal->paste_cr = false;
    if (good && terminal->pasting) {
        key->pasted = true;
        key->paste_begins = terminal->paste_begins;
        terminal->paste_begins = false;
    }
    return good;
}
