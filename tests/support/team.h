/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A practice of several invented people, for whom signing asks who they are. */
#ifndef SPRINGLINE_TESTS_TEAM_H
#define SPRINGLINE_TESTS_TEAM_H

#include "store_case.h"

#define TEAM_PIN        "2580"
#define TEAM_PASSPHRASE "seven herons over the weir"

/* Dr Ada Example (login ada), an orthodontist with PIN and passphrase, Ben Benchworth (ben), an
 * assistant, and Dee Deskington (dee) at the desk join the founder, who has no secrets. Ada sits
 * down. */
void team_join(struct store_case *kept);
/* From now on the person of this login sits here. */
void team_sit(struct store_case *kept, const char *login);
/* Another person joins; who sits here is an orthodontist. */
void team_add(struct app *app, const char *login, const char *name, enum role role);
/* The secrets of the person who sits here. */
void team_secrets(struct app *app, instant now);

#endif
