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
    {"today", "", "booked", true},
    {"help", "?", "Keys that work here", false},
    {"menu of the day", "*", "new patient", false},
    {"search", "copper", "find: copper", false},
    {"visit", "0035\r", "wear: days met", false},
    {"visit review", "0035\r17\r18\r135.25\r1~0~0\r0\r\r\r\r", "save", false},
    {"case", "0018*1", "C-0018", true},
    {"menu of a case", "0018*1*", "health questions", false},
    {"why", "0018*1*1", "are sound", false},
    {"record", "0018*1+-\r", "C-0018", false},
    {"correct", "0018*1+-\r\r", "Correct", false},
    {"withdraw", "0018*1width\r2", "why:", false},
    {"contact", "0018*3", "outcome", false},
    {"booking", "0018*4", "time", false},
    {"booking end", "0018*5", "what became", false},
    {"fit sheet", "0018*1*6", "fitted", false},
    {"trainer", "0018*1*7", "issued", false},
    {"repair", "0018*1*8", "hardware", false},
    {"expander out", "0018*1*9", "out", false},
    {"width", "0018*1*0", "measurement", false},
    {"patient", "0018*1*a", "family", false},
    {"case data", "0018*1*b", "consent", false},
    {"questions", "0018*1*c", "nickel", false},
    {"wear", "0018*1*d", "asked", false},
    {"passive", "0018*1*e", "passive", false},
    {"check", "0018*1*f", "stability", false},
    {"missed", "0018*1*g", "date", false},
    {"elsewhere", "0018*1*h", "right", false},
    {"protocol of a case", "0018*1*i", "limits of its own", false},
    {"new case", "0018*1*j", "opened", false},
    {"close", "0018*1*k", "closed", false},
    {"plan", "0035*1*n", "room in the arch", false},
    {"make plan", "0035*1*o", "the plan is for", false},
    {"picture", "0018*1*p", "given", false},
    {"loop sheet", "0018*1*q", "never used by the rules", false},
    {"recall", "*6", "safety", true},
    {"audit", "*7", "2026-10", true},
    {"audit of a case", "*7+-\r", "days", true},
    {"behind a figure", "*7+-\r+-\r", "2026", false},
    {"close month", "*7*7", "Close 2026-10", false},
    {"caseload", "*7*l", "quartiles", true},
    {"settings", "*9", "step_max", true},
    {"error of a width", "*9*0", "repeat pairs", false},
    {"setting", "*9+-\r", "first_step_max", false},
    {"people", "*0", "login", true},
    {"new person", "*0*1", "role", false},
    {"one-time passphrase", "*0*3", "will not work any more", false},
    {"log", "*0*4", "signed-in", true},
    {"log entry", "*0*4+-\r", "what", false},
    {"passphrase and PIN", "*s", "new PIN", false},
    {"unsigned", "*u", "Every visit is signed.", true},
    {"new patient", "*8", "born", false},
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
