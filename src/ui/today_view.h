/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What today.c and today_unsaved.c share: the visits that were begun and not saved, and the
 * question about the newest of them. */
#ifndef SPRINGLINE_UI_TODAY_VIEW_H
#define SPRINGLINE_UI_TODAY_VIEW_H

#include "springline/app/seat.h"
#include "springline/ui/ui.h"

struct today_unsaved {
    struct arena arena;
    struct unsaved_list list;
    bool asking; /* about the newest, while nothing is searched */
    bool sure;   /* asked whether it really is to be thrown away */
};

/* Reads the unsaved visits; on failure there are none. */
enum status today_unsaved_read(struct ui *ui, struct today_unsaved *unsaved, struct error *error);
/* Frees it. */
void today_unsaved_release(struct today_unsaved *unsaved);

/* The unsaved visit of a case; NULL: none. */
const struct unsaved *today_unsaved_of(const struct today_unsaved *unsaved,
                                       const struct id *casefile);
/* Appends the numbers of their cases, newest first; nothing when there are none. */
void today_unsaved_numbers(const struct today_unsaved *unsaved, struct text *out);
/* Appends when the draft was written. */
void today_unsaved_when(const struct unsaved *unsaved, struct text *out);

/* Appends the question that stands. */
void today_unsaved_question(const struct today_unsaved *unsaved, struct text *out);
/* Takes the answer to it. True when another question came up. */
bool today_unsaved_answer(struct ui *ui, struct today_unsaved *unsaved, enum command command);

#endif
