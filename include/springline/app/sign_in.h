/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Sessions: who sits here, and how that was proved. Whoever comes with a login of the machine that
 * is among the people is in at once: SSH or the machine has asked already. Anybody else signs in
 * with login and passphrase. A seat that is left is locked, and keeps what was typed.
 *
 * A practice of one that chose so (app->alone) is asked nothing and never locked.
 *
 * 45 CFR 164.312(a)(2)(iii), (d); 21 CFR 11.300(d); ASVS 5.0 6.3.8, 7.3.1, 7.3.2.
 */
#ifndef SPRINGLINE_APP_SIGN_IN_H
#define SPRINGLINE_APP_SIGN_IN_H

#include "springline/app/app.h"

enum {
    SIGN_IN_SESSION_S = 12 * 60 * 60, /* then it is asked anew: NIST SP 800-63B-4 draft */
    SIGN_IN_LOCK_MIN = 15,            /* minutes without a key: the same draft's AAL3; a setting */
    SIGN_IN_LOCK_MOST_MIN = 60
};

/* Is it known who sits here? Reads nothing: app_know_person has. */
bool sign_in_known(const struct app *app);

/*
 * The session of whoever is known by the login of the machine, or by nobody being asked: logged,
 * failed tries of the login wiped. told: how often that failed since it last succeeded; "" never. A
 * failure leaves the session as good: it only could not be logged, which must be said.
 */
enum status sign_in_by_login(struct app *app, struct text *told, struct error *error);

struct sign_in_entry {
    const char *login, *passphrase;
    const char *replacement; /* of a one-time passphrase; NULL or "": not yet typed */
};
/*
 * Signs in; app->user is that login from then on. *replace: the passphrase is right and a one-time
 * one: not signed in, ask for another and come again with it. STATUS_REFUSED: wrong, too early
 * after a wrong one, shut out; the sentence is the same whether the login exists or not. Takes
 * about a quarter second. told: as above.
 */
enum status sign_in_with(struct app *app, const struct sign_in_entry *entry, bool *replace,
                         struct text *told, struct error *error);

/* Appends what a lock says now: since when, by whom. */
void sign_in_lock_told(struct app *app, struct text *told);
/* Locks: logged, and the session is not fresh any more. */
enum status sign_in_lock(struct app *app, bool idle, struct error *error);
/*
 * Opens the locked seat for the person who sits here: PIN or passphrase; ended: the session is over
 * and only the passphrase begins another. STATUS_REFUSED with a sentence.
 */
enum status sign_in_reopen(struct app *app, const char *typed, bool ended, struct error *error);

/* Appends what the day's list and the people say of who sits here and how people are asked: "alone:
 * nobody is asked", "here: Dr Ada Example, no PIN of yours is set: * s". Needs the whole store
 * unless app->alone. */
enum status sign_in_note(struct app *app, struct text *out, struct error *error);

#endif
