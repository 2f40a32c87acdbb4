/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Any bytes as keys to the screens of a small practice, sound or with hostile text in every text
 * column (one byte first: which, and whether only ASCII may be shown). Every frame can be shown,
 * its cursor is on it, and whatever was saved the store is sound afterwards.
 */
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "fuzz.h"
#include "hostile.h"
#include "springline/ui/ui.h"
#include "sqlite_pool.h"

enum {
    KEYS_MOST = 400,
    KEY_MS = UI_DEAF_MS + 50,
    WAIT_MS = 1000,
    ROWS_MOST = 60,
    COLUMNS_MOST = 200
};

/* Bytes that are no character of a text stand for what else can happen. */
static const struct {
    char byte;
    enum press press;
} presses[] = {
    {'\r', PRESS_ENTER},   {'\t', PRESS_TAB},    {'\b', PRESS_BACKSPACE}, {'\033', PRESS_ESCAPE},
    {0x01, PRESS_UP},      {0x02, PRESS_DOWN},   {0x03, PRESS_LEFT},      {0x04, PRESS_RIGHT},
    {0x05, PRESS_HOME},    {0x06, PRESS_END},    {0x0E, PRESS_PAGE_UP},   {0x0F, PRESS_PAGE_DOWN},
    {0x10, PRESS_BACKTAB}, {0x7F, PRESS_DELETE},
};
enum {
    BYTE_SIZE = 0x12,
    BYTE_PASTE = 0x13,
    BYTE_TICK = 0x14,
    BYTE_CONTROL = 0x15,
    BYTE_WAIT = '~'
};

struct desk {
    const uint8_t *at, *end;
    int keys;
    int rows, columns;
    int64_t clock_ms;
    bool pasting, paste_begins, plain;
    struct text frame;
};

static void desk_size(void *self, int *rows, int *columns)
{
    const struct desk *desk = self;

    *rows = desk->rows;
    *columns = desk->columns;
}

static void desk_show(void *self, const struct grid *grid)
{
    struct desk *desk = self;

    fuzz_demand(grid->rows == desk->rows && grid->columns == desk->columns, "a frame has the size");
    fuzz_demand(grid->cursor_row >= 0 && grid->cursor_row < grid->rows &&
                    grid->cursor_column >= 0 && grid->cursor_column < grid->columns,
                "the cursor is on the frame");
    text_clear(&desk->frame);
    grid_text(grid, &desk->frame);
    fuzz_printable(text_string(&desk->frame), true, "a frame");
    for (const char *at = text_string(&desk->frame); desk->plain && *at != '\0'; at++)
        fuzz_demand((unsigned char)*at < 0x80, "a plain frame is ASCII");
}

static void desk_repaint(void *self)
{
    (void)self;
}

static int64_t desk_now(void *self)
{
    return ((struct desk *)self)->clock_ms;
}

/* The next byte, 0 at the end. */
static uint8_t take(struct desk *desk)
{
    return desk->at < desk->end ? *desk->at++ : 0;
}

static enum event special(struct desk *desk, uint8_t byte, struct key *key)
{
    switch (byte) {
    case BYTE_SIZE:
        desk->rows = 1 + take(desk) % ROWS_MOST;
        desk->columns = 1 + take(desk) % COLUMNS_MOST;
        return EVENT_RESIZE;
    case BYTE_PASTE:
        desk->pasting = desk->paste_begins = !desk->pasting;
        return EVENT_NOTHING;
    case BYTE_CONTROL:
        *key = (struct key){.character = (uint32_t)('A' + take(desk) % 26), .control = true};
        return EVENT_KEY;
    case BYTE_WAIT:
        desk->clock_ms += WAIT_MS;
        return EVENT_NOTHING;
    default:
        return EVENT_NOTHING;
    }
}

static enum event next_event(struct desk *desk, struct key *key)
{
    size_t left = (size_t)(desk->end - desk->at), used;
    uint32_t character = 0;

    for (size_t i = 0; i < sizeof presses / sizeof presses[0]; i++) {
        if ((uint8_t)presses[i].byte == *desk->at) {
            desk->at++;
            *key = (struct key){.press = presses[i].press};
            return EVENT_KEY;
        }
    }
    if (*desk->at < 0x20 || *desk->at == BYTE_WAIT)
        return special(desk, take(desk), key);
    used = text_decode((const char *)desk->at, left, &character);
    desk->at += used == 0 ? 1 : used;
    *key = (struct key){.character = character};
    return used == 0 ? EVENT_NOTHING : EVENT_KEY;
}

static enum event desk_read(void *self, int wait_ms, struct key *key)
{
    struct desk *desk = self;

    if (wait_ms == 0)
        return EVENT_NOTHING;
    if (desk->at == desk->end || ++desk->keys > KEYS_MOST)
        return EVENT_END;
    desk->clock_ms += KEY_MS;
    enum event event = next_event(desk, key);
    if (event == EVENT_KEY && desk->pasting && !key->control &&
        (key->press == PRESS_NONE || key->press == PRESS_ENTER || key->press == PRESS_TAB)) {
        key->pasted = true;
        key->paste_begins = desk->paste_begins;
        desk->paste_begins = false;
    }
    return event;
}

/* ---- the practice ---- */

struct image {
    unsigned char *bytes;
    size_t length;
};

static struct image load(const char *path)
{
    struct image image = {0};
    struct stat about;
    int file = open(path, O_RDONLY | O_CLOEXEC);

    fuzz_demand(file >= 0 && fstat(file, &about) == 0, "the file is there");
    image.length = (size_t)about.st_size;
    image.bytes = malloc(image.length + 1);
    fuzz_demand(image.bytes != NULL &&
                    read(file, image.bytes, image.length) == (ssize_t)image.length,
                "it is read");
    close(file);
    return image;
}

static void lay_down(const char *path, const struct image *image)
{
    int file = open(path, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);

    fuzz_demand(file >= 0 && write(file, image->bytes, image->length) == (ssize_t)image->length,
                "it is written");
    close(file);
}

static struct fuzz_store *make_practice(struct image images[2])
{
    static struct fuzz_store practice;
    const char *folder = getenv("TMPDIR");

    if (images[0].bytes != NULL)
        return &practice;
    sqlite_pool_use();
    fuzz_store_make(&practice, "screens");
    store_close(practice.app.store);
    practice.app.store = NULL;
    images[0] = load(practice.path);
    fuzz_demand(hostile_spoil(practice.path), "a store can be spoilt");
    images[1] = load(practice.path);
    /* The sheet of a month is written where the program stands. */
    fuzz_demand(chdir(folder == NULL ? "/dev/shm" : folder) == 0, "there is a folder");
    return &practice;
}

static void run(struct app *app, struct desk *desk)
{
    static const struct display_ops ops = {.size = desk_size,
                                           .show = desk_show,
                                           .repaint = desk_repaint,
                                           .read = desk_read,
                                           .now_ms = desk_now};
    struct display display = {.ops = &ops, .self = desk, .plain = desk->plain};
    const struct ui_setup setup = {0};
    struct error error = {0};

    enum status status = ui_run(app, &display, &setup, &error);
    if (status != STATUS_OK)
        fuzz_refusal(status, &error);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct image images[2];
    struct fuzz_store *practice = make_practice(images);
    struct text found = {0};
    struct error error = {0};

    if (size < 2)
        return 0;
    bool spoilt = data[0] % 2 == 1;
    struct desk desk = {.at = data + 1,
                        .end = data + size,
                        .rows = 24,
                        .columns = 80,
                        .plain = data[0] / 2 % 2 == 1};
    lay_down(practice->path, &images[spoilt]);
    fuzz_store_wind(practice);
    struct app app = practice->app;
    fuzz_demand(store_open_first(practice->path, &practice->source, &app.store, &error) ==
                    STATUS_OK,
                "the practice can be opened");
    run(&app, &desk);
    if (!spoilt) {
        enum status status = app_verify(&app, &found, &error);
        fuzz_demand(status == STATUS_OK, text_string(&found));
    }
    store_close(app.store);
    text_release(&found);
    text_release(&desk.frame);
    return 0;
}
