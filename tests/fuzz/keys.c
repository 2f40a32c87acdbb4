/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Any bytes as what a terminal sends: the decoder of the real back end, curses under it, reads them
 * from a file in memory. Every byte is taken once, and each key is one that a screen can name.
 */
#include <curses.h>
#include <locale.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

#include "../../src/ui/terminal_private.h"
#include "fuzz.h"
#include "springline/ui/key.h"

static struct terminal *open_terminal(int *file)
{
    static struct terminal terminal;

    if (terminal.screen != NULL)
        return &terminal;
    fuzz_demand(setlocale(LC_CTYPE, "C.UTF-8") != NULL, "C.UTF-8 is there");
    *file = memfd_create("keys", MFD_CLOEXEC);
    FILE *in = *file < 0 ? NULL : fdopen(*file, "r"), *out = fopen("/dev/null", "we");
    fuzz_demand(in != NULL && out != NULL, "there are files");
    terminal = (struct terminal){.in = *file, .out = fileno(out), .held = CODE_NONE_HELD};
    terminal.screen = newterm("xterm-256color", out, in);
    fuzz_demand(terminal.screen != NULL, "xterm-256color is known");
    cbreak();
    noecho();
    nonl();
    intrflush(stdscr, FALSE);
    set_escdelay(1);
    terminal.input = newpad(1, 1);
    fuzz_demand(terminal.input != NULL, "there is memory");
    keypad(terminal.input, TRUE);
    terminal_define_keys();
    return &terminal;
}

static void try_key(const struct terminal *terminal, const struct key *key)
{
    struct text name = {0};
    struct key again;

    if (key->press != PRESS_NONE) {
        fuzz_demand(key->press < PRESS_COUNT && key->character == 0, "a named key is only that");
    } else {
        fuzz_demand(key->character >= 0x20 && key->character != 0x7F &&
                        key->character <= 0x10FFFF &&
                        (key->character < 0xD800 || key->character > 0xDFFF),
                    "a key is a character");
        fuzz_demand(!key->control || (key->character >= 'A' && key->character <= 'Z'),
                    "Ctrl goes with a letter");
    }
    fuzz_demand(key->pasted == terminal->pasting || !key->pasted, "pasted only in a paste");
    key_add_name(&name, key);
    fuzz_printable(text_string(&name), false, "the name of a key");
    if (key->press != PRESS_NONE || text_trouble(key->character) == NULL)
        fuzz_demand(key_from_name(text_string(&name), name.length, &again) && key_same(key, &again),
                    "a key is found by its name");
    text_release(&name);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static int file = -1;
    struct terminal *terminal = open_terminal(&file);
    size_t taken = 0;

    fuzz_demand(ftruncate(file, 0) == 0 && pwrite(file, data, size, 0) == (ssize_t)size &&
                    lseek(file, 0, SEEK_SET) == 0,
                "the bytes are there to be read");
    terminal->held = CODE_NONE_HELD;
    terminal->pasting = terminal->paste_begins = terminal->paste_cr = false;
    terminal->escape_at_ms = INT64_MIN;
    for (;;) {
        struct key key = {0};
        int code = terminal_code(terminal, 0);
        if (code == CODE_NOTHING)
            break;
        fuzz_demand(++taken <= size + 1, "no byte is read twice");
        if (terminal_decode(terminal, code, &key))
            try_key(terminal, &key);
    }
    flushinp();
    return 0;
}
