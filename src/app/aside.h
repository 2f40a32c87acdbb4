/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Safety items that a clinician's contact holds back: what nobody shows is taken for mended. */
#ifndef SPRINGLINE_APP_ASIDE_H
#define SPRINGLINE_APP_ASIDE_H

#include "springline/base/text.h"
#include "springline/core/history.h"

/*
 * Appends "safety set aside until 2026-12-02 by Dr A: reason" for each contact without which an
 * item would stand today, with "; " between; nothing when none is held back. What says who and why
 * is shown as text_add_shown does. arena is for the working out. False: no memory.
 */
bool aside_tell(struct text *out, const struct history *history, day today, struct arena *arena);

/* The same of one contact, held back or not; nothing when it sets nothing aside. until: the day
 * until which it does. */
void aside_tell_contact(struct text *out, const struct contact *contact, day until);

#endif
