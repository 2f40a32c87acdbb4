/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Another seat over the store of a desk, with a connection of its own and no screens. */
#ifndef SPRINGLINE_TESTS_OTHER_SEAT_H
#define SPRINGLINE_TESTS_OTHER_SEAT_H

#include "desk.h"
#include "springline/app/conflict.h"

struct other {
    struct app app; /* login other, seat other@pts/9 */
    struct form form;
    struct error error;
};

/* Sits down; its login is a person of the practice with this name. */
void other_sits_down(struct desk *desk, struct other *other, const char *name);
/* Leaves. */
void other_stands_up(struct other *other);

/* Opens a form of the desk's case, types into its fields by their labels (an unusual value is
 * kept), saves it. */
void other_opens(struct desk *desk, struct other *other, enum form_kind kind);
void other_types(struct other *other, const char *label, const char *typed);
void other_saves(struct other *other);
/* The patient's form, one field changed. */
void other_changes(struct desk *desk, struct other *other, const char *label, const char *value);

#endif
