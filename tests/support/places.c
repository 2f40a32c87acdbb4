/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "places.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

enum { BOUNCE_MS = 160 };

/* C-0018 runs with both arches of wear trouble, C-0035 without any. */
const struct place_of_screen places_of_screens[] = {
    {"today", "", "booked"},
    {"help", "?", "Keys that work here"},
    {"menu of the day", "*", "new patient"},
    {"search", "copper", "find: copper"},
    {"visit", "0035\r", "wear: days met"},
    {"visit review", "0035\r17\r18\r135.25\r1~0~0\r0\r\r\r\r", "save"},
    {"case", "0018*1", "C-0018"},
    {"menu of a case", "0018*1*", "health questions"},
    {"why", "0018*1*1", "are sound"},
    {"record", "0018*1+-\r", "C-0018"},
    {"correct", "0018*1+-\r\r", "Correct"},
    {"withdraw", "0018*1width\r2", "why:"},
    {"contact", "0018*3", "outcome"},
    {"booking", "0018*4", "time"},
    {"booking end", "0018*5", "what became"},
    {"fit sheet", "0018*1*6", "fitted"},
    {"trainer", "0018*1*7", "issued"},
    {"repair", "0018*1*8", "hardware"},
    {"expander out", "0018*1*9", "out"},
    {"width", "0018*1*0", "measurement"},
    {"patient", "0018*1*a", "family"},
    {"case data", "0018*1*b", "consent"},
    {"questions", "0018*1*c", "nickel"},
    {"wear", "0018*1*d", "asked"},
    {"passive", "0018*1*e", "passive"},
    {"check", "0018*1*f", "stability"},
    {"missed", "0018*1*g", "date"},
    {"elsewhere", "0018*1*h", "right"},
    {"protocol of a case", "0018*1*i", "limits of its own"},
    {"new case", "0018*1*j", "opened"},
    {"close", "0018*1*k", "closed"},
    {"plan", "0035*1*n", "room in the arch"},
    {"make plan", "0035*1*o", "the plan is for"},
    {"picture", "0018*1*p", "given"},
    {"loop sheet", "0018*1*q", "never used by the rules"},
    {"recall", "*6", "safety"},
    {"audit", "*7", "2026-10"},
    {"audit of a case", "*7+-\r", "days"},
    {"behind a figure", "*7+-\r+-\r", "2026"},
    {"caseload", "*7*l", "quartiles"},
    {"settings", "*9", "step_max"},
    {"error of a width", "*9*0", "repeat pairs"},
    {"setting", "*9+-\r", "first_step_max"},
    {"people", "*0", "login"},
    {"new person", "*0*1", "role"},
    {"new patient", "*8", "born"},
};
const int places_of_screens_count = sizeof places_of_screens / sizeof places_of_screens[0];

void places_go(struct screen *screen, const struct place_of_screen *place, bool all)
{
    for (const char *key = place->keys; *key != '\0'; key++) {
        if (*key == '~') {
            practice_pass(screen, BOUNCE_MS);
            continue;
        }
        if (!screen_send(screen, key, 1) || !screen_wait_ready(screen, 0))
            fail_msg("%s: no frame after key %d of its way", place->name,
                     (int)(key - place->keys) + 1);
    }
    if (all && !screen_find(screen, SCREEN_ANY_ROW, place->shown, NULL)) {
        screen_dump(screen, place->name);
        fail_msg("%s: not on the screen: %s", place->name, place->shown);
    }
}
