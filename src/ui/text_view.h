/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A text that is only read, for screens that have commands beside the reading. */
#ifndef SPRINGLINE_UI_TEXT_VIEW_H
#define SPRINGLINE_UI_TEXT_VIEW_H

#include <stddef.h>

#include "enter.h"
#include "springline/ui/screens.h"

enum { TEXT_NAME_BYTES = 200, TEXT_TITLE_BYTES = 2 * TEXT_NAME_BYTES + 4 };

struct text_view {
    struct text_argument argument;
    char title[TEXT_TITLE_BYTES];                      /* as it stands on the screen */
    char named[TEXT_NAME_BYTES], who[TEXT_NAME_BYTES]; /* of the argument */
    union {
        unsigned char bytes[TEXT_SUBJECT_MAX];
        max_align_t align;
    } subject; /* argument.subject points to it */
    struct panel panel;
    struct pages pages;
    struct seat_mark mark;
};

/* The functions of struct screen_ops; the argument is a struct text_argument. */
enum status text_view_open(struct ui *ui, const void *argument, void **state, struct error *error);
void text_view_close(struct ui *ui, void *state);
void text_view_draw(struct ui *ui, void *state, int rows);
bool text_view_takes_text(const void *state, const struct key *key);
void text_view_command(struct ui *ui, void *state, enum command command, const struct key *key);
void text_view_hint(struct ui *ui, const void *state, struct text *out);
bool text_view_tick(struct ui *ui, void *state);
void text_view_resume(struct ui *ui, void *state);

#endif
