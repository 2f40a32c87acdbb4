/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/ui/headless.h"

#include <string.h>

enum { PASTE_PREFIX = 7 }; /* "<paste:" */

static void headless_size(void *self, int *rows, int *columns)
{
    const struct headless *headless = self;

    *rows = headless->rows;
    *columns = headless->columns;
}

static void headless_show(void *self, const struct grid *grid)
{
    struct headless *headless = self;

    text_clear(&headless->frame);
    grid_text(grid, &headless->frame);
    headless->cursor_row = grid->cursor_row;
    headless->cursor_column = grid->cursor_column;
    headless->frames++;
}

static void headless_repaint(void *self)
{
    struct headless *headless = self;

    headless->repaints++;
}

static void headless_wipe(void *self)
{
    struct headless *headless = self;

    text_clear(&headless->frame);
    headless->wipes++;
}

/* The end of the name that begins after '<'; NULL when it is not closed. */
static const char *name_end(const char *script)
{
    return strchr(script, '>');
}

/* One character of a paste in script order; the script moves behind '>' at its end. */
static bool pasted_key(const char **script, const char *end, struct key *key)
{
    const char *at = *script;
    uint32_t character = 0;
    size_t used = text_decode(at, (size_t)(end - at), &character);

    if (used == 0)
        return false;
    *key = *at == '|' ? (struct key){.press = PRESS_ENTER, .pasted = true}
                      : (struct key){.character = character, .pasted = true};
    *script = at + used;
    return true;
}

bool headless_key(const char **script, struct key *key)
{
    const char *at = *script;
    uint32_t character = 0;

    if (at[0] == '<' && at[1] != '<') {
        const char *end = name_end(at);
        if (end == NULL || !key_from_name(at + 1, (size_t)(end - at - 1), key))
            return false;
        *script = end + 1;
        return true;
    }
    at += at[0] == '<' ? 1 : 0;
    size_t used = text_decode(at, strlen(at), &character);
    if (used == 0)
        return false;
    *key = (struct key){.character = character};
    *script = at + used;
    return true;
}

/* Inside "<paste:...>": the next key of it. */
static bool next_key(struct headless *headless, struct key *key)
{
    if (!headless->pasting && strncmp(headless->script, "<paste:", PASTE_PREFIX) == 0) {
        headless->pasting = headless->paste_begins = true;
        headless->script += PASTE_PREFIX;
    }
    if (headless->pasting) {
        const char *end = name_end(headless->script);
        if (end != NULL && pasted_key(&headless->script, end, key)) {
            key->paste_begins = headless->paste_begins;
            headless->paste_begins = false;
            return true;
        }
        headless->pasting = false;
        headless->script += *headless->script == '>' ? 1 : 0;
    }
    return headless_key(&headless->script, key);
}

static enum event headless_read(void *self, int wait_ms, struct key *key)
{
    struct headless *headless = self;

    if (wait_ms == 0)
        return EVENT_NOTHING; /* a person types after looking: every frame is shown */
    if (headless->script == NULL || !next_key(headless, key))
        return EVENT_END;
    headless->clock_ms += headless->key_ms;
    return EVENT_KEY;
}

static int64_t headless_now(void *self)
{
    const struct headless *headless = self;

    return headless->clock_ms;
}

static const struct display_ops headless_ops = {.size = headless_size,
                                                .show = headless_show,
                                                .repaint = headless_repaint,
                                                .wipe = headless_wipe,
                                                .read = headless_read,
                                                .now_ms = headless_now};

struct display headless_display(struct headless *headless)
{
    return (struct display){.ops = &headless_ops, .self = headless};
}

void headless_release(struct headless *headless)
{
    text_release(&headless->frame);
}
