/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The screens there are. */
#ifndef SPRINGLINE_UI_SCREENS_H
#define SPRINGLINE_UI_SCREENS_H

#include "springline/app/seat.h"
#include "springline/ui/ui.h"

/* The day's bookings and who is due; search by name or case number. No argument. */
extern const struct screen_ops today_screen;

/* Entering a visit. The argument is a struct visit_argument. */
extern const struct screen_ops visit_screen;

struct visit_argument {
    struct id casefile;
    bool resume; /* go on with the unsaved visit without asking again */
};

#endif
