/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The loop sheet: wire and loops as typed, and how stiff they are (core/loop.h). A bench aid: it
 * is about no case, nothing of it is stored, and the rules never see it.
 */
#ifndef SPRINGLINE_APP_LOOP_SHEET_H
#define SPRINGLINE_APP_LOOP_SHEET_H

#include "springline/app/visit.h"

enum loop_field {
    LOOP_FIELD_WIRE,         /* its diameter */
    LOOP_FIELD_RIGHT_WIDTH,  /* of a loop, from leg to leg, to the middle of the wire */
    LOOP_FIELD_RIGHT_HEIGHT, /* from its feet to the top of the bow, to the middle of the wire */
    LOOP_FIELD_LEFT_WIDTH,
    LOOP_FIELD_LEFT_HEIGHT,
    LOOP_FIELD_COUNT
};

struct loop_sheet {
    um values[LOOP_FIELD_COUNT]; /* UM_NONE: empty */
};

/* Nothing entered yet. */
void loop_sheet_begin(struct loop_sheet *sheet);
/* "wire", "right loop: width". */
const char *loop_sheet_label(enum loop_field field);
/* What belongs there, one short sentence. */
const char *loop_sheet_help(enum loop_field field);

/* Takes a length as typed; the empty text empties the field. ENTRY_REFUSED, the field emptied:
 * sentence says what is wrong. */
enum entry loop_sheet_enter(struct loop_sheet *sheet, enum loop_field field, const char *typed,
                            char sentence[200]);

/* What it is for; then each loop's stiffness as a range or why there is none, left against right,
 * what the modulus makes of it, and a straight arm beside it. Lines in arena. */
enum status loop_sheet_tell(const struct loop_sheet *sheet, struct arena *arena,
                            struct lines *lines, struct error *error);

#endif
