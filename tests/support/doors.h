/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A desk of a practice of two, for trying the doors: who comes, what is shown, what is logged. */
#ifndef SPRINGLINE_TESTS_DOORS_H
#define SPRINGLINE_TESTS_DOORS_H

#include "desk.h"

extern const char doors_words[], doors_pin[];

enum { MINUTE = 60 * 1000, HOUR = 60 * MINUTE };

/* Fails, with the desk's error, unless it is STATUS_OK. */
void doors_good(struct desk *desk, enum status status);
/* A practice of two, "founder" and the assistant "ben", and a booking of today; nobody sits yet. */
void doors_open(struct desk *desk, const char *name);
/* Sets doors_words and doors_pin for a login that came by the machine's own. */
void doors_set_secrets(struct desk *desk, const char *login);
/* Somebody comes with a login of the machine, as ui_run would let them in. */
void doors_come(struct desk *desk, const char *login);
/* Lets time pass on the display's clock, with one tick at its end. */
void doors_pass(struct desk *desk, int64_t ms);
/* The newest frame. */
const char *doors_frame(const struct desk *desk);
/* Nothing of the patient stands on the screen, in any way it could be written. */
void doors_show_nobody(const struct desk *desk);
/* Nor does the text. */
void doors_hide(const struct desk *desk, const char *secret);
/* Rows of the log of one sort about a login; "" about none. */
int64_t doors_log_rows(const struct desk *desk, const char *what, const char *login);

#endif
