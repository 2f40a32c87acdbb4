/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "desk.h"

static day look_at_clock(void *context)
{
    return ((struct desk *)context)->clock;
}

void desk_sit_down(struct desk *desk)
{
    struct ui_setup setup = {.today = look_at_clock, .context = desk};

    desk->headless.key_ms = 200; /* a quick typist */
    desk->clock = DAY_NONE;
    desk->display = headless_display(&desk->headless);
    if (ui_start(&desk->ui, &desk->kept.app, &desk->display, &setup, &desk->error) != STATUS_OK)
        fail_msg("%s", desk->error.sentence);
    ui_draw(&desk->ui);
}

void desk_open(struct desk *desk, const char *name)
{
    *desk = (struct desk){.headless = {.rows = 24, .columns = 80}};
    case_typical(&desk->maker);
    case_booking(&desk->maker, 0, BOOKING_ACTIVATION, BOOKED_STANDING);
    store_case_open(&desk->kept, name, desk->maker.today);
    store_case_keep(&desk->kept, &desk->maker);
    desk_sit_down(desk);
}

void desk_stand_up(struct desk *desk)
{
    ui_stop(&desk->ui);
    headless_release(&desk->headless);
}

void desk_close(struct desk *desk)
{
    desk_stand_up(desk);
    store_case_close(&desk->kept);
}

int desk_keys(struct desk *desk, const char *script)
{
    struct key key = {0};
    int count = 0;

    desk->headless.script = script;
    while (*desk->headless.script != '\0' && !desk->ui.ending) {
        enum event event = desk->display.ops->read(&desk->headless, 1, &key);
        if (event != EVENT_KEY && *desk->headless.script == '\0')
            break; /* the end of a paste */
        if (event != EVENT_KEY)
            fail_msg("no key: %s", desk->headless.script);
        ui_event(&desk->ui, event, &key);
        ui_draw(&desk->ui);
        count++;
    }
    return count;
}

/* Runs of blanks and line breaks as one blank each: a sentence is found however it is wrapped. */
static void add_collapsed(struct text *out, const char *text)
{
    for (; *text != '\0'; text++) {
        bool blank = *text == ' ' || *text == '\n';
        if (!blank)
            text_add_byte(out, *text);
        else if (out->length > 0 && out->data[out->length - 1] != ' ')
            text_add_byte(out, ' ');
    }
}

bool desk_shows(const struct desk *desk, const char *text)
{
    struct text frame = {0}, wanted = {0};

    add_collapsed(&frame, text_string(&desk->headless.frame));
    add_collapsed(&wanted, text);
    bool found = strstr(text_string(&frame), text_string(&wanted)) != NULL;
    text_release(&frame);
    text_release(&wanted);
    return found;
}

size_t desk_visits(struct desk *desk)
{
    struct arena arena = {0};
    struct history history;

    assert_int_equal(store_read_case(desk->kept.app.store, &desk->kept.casefile, STORE_NOW, &arena,
                                     &history, &desk->error),
                     STATUS_OK);
    size_t count = history.visit_count;
    arena_release(&arena);
    return count;
}

size_t desk_unsaved(struct desk *desk)
{
    struct arena arena = {0};
    struct unsaved_list list;

    assert_int_equal(seat_unsaved(&desk->kept.app, &arena, &list, &desk->error), STATUS_OK);
    size_t count = list.count;
    arena_release(&arena);
    return count;
}

void desk_start_again(struct desk *desk)
{
    desk_stand_up(desk);
    desk->headless = (struct headless){.rows = 24, .columns = 80};
    desk_sit_down(desk);
}

void desk_resize(struct desk *desk, int rows, int columns)
{
    desk->headless.rows = rows;
    desk->headless.columns = columns;
    ui_event(&desk->ui, EVENT_RESIZE, NULL);
    ui_draw(&desk->ui);
}
