/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * How a person proves who they are: a passphrase, which signs in, and a PIN, which only re-opens or
 * signs in a running session (a PIN of few digits falls to a search of whoever has the file, so it
 * opens nothing by itself). Both are kept as libsodium's argon2id strings, hashed together with the
 * login name, so that a string copied to another login proves nothing.
 *
 * The cost of a hash is measured when a secret is set (app->clock_ms), towards a quarter second,
 * never below what OWASP's Password Storage cheat sheet names as the least for argon2id, and stands
 * in the string itself. A passphrase that turned out to be cheap is hashed anew when it is next
 * typed.
 *
 * Every change of a stored secret writes a row of the log in the same save, with a BLAKE2b hash of
 * what is stored now: secret_verify finds a secret that was put there in another way.
 *
 * Nothing typed is kept: what hashing needed is wiped before it returns. The caller wipes its own.
 */
#ifndef SPRINGLINE_APP_SECRET_H
#define SPRINGLINE_APP_SECRET_H

#include "springline/app/app.h"

enum {
    /* Characters of a passphrase. ASVS 5.0 6.2.1, 6.2.9: at least 8, 15 advised, 64 must be taken;
     * the most is ours. */
    PASSPHRASE_LEAST = 8,
    PASSPHRASE_ADVISED = 15,
    PASSPHRASE_MOST = 128,
    PASSPHRASE_SIZE = 4 * PASSPHRASE_MOST + 1, /* bytes, in UTF-8 */
    PIN_LEAST = 4,                             /* digits: ours */
    PIN_MOST = 8,
    PIN_TRIES = 10,                  /* wrong ones in a row close it: NIST SP 800-63B-4 draft */
    SIGN_IN_TRIES = 100,             /* wrong ones in a row shut the login out: the same draft */
    SECRET_DELAY_MOST_S = 300,       /* the delay doubles from one second up to this: ours */
    SECRET_ONCE_S = 24 * 60 * 60,    /* a one-time passphrase lives so long: ours */
    SECRET_FRESH_S = 10 * 60,        /* a login is fresh so long: ours */
    SECRET_ONCE_SIZE = 4 * 4 + 3 + 1 /* "k7mf-2xqp-9rtd-w4hz" */
};

/*
 * Proves that whoever signs now is the person who sits here. In a practice of one that chose not to
 * be asked (app->alone) nothing is asked: *proof is PROOF_ALONE, typed is not looked at. Else typed
 * is tried as the PIN, and, where it is no PIN, as the passphrase. STATUS_REFUSED with a sentence:
 * wrong (counted and logged), none set yet, or too many tries. Not inside a save; takes about a
 * quarter second.
 */
enum status secret_prove(struct app *app, const char *typed, enum proof *proof,
                         struct error *error);

/* What is set for a login; never the secrets themselves. */
struct secret_standing {
    bool passphrase, pin;
    bool once;        /* the passphrase is a one-time one, and must be replaced */
    bool pin_closed;  /* by PIN_TRIES wrong ones */
    int32_t failures; /* failed sign-ins in a row */
    bool shut_out;    /* by SIGN_IN_TRIES of them */
};
/* A login without any stands with nothing set: STATUS_OK. */
enum status secret_look(struct app *app, const char *login, struct secret_standing *standing,
                        struct error *error);

/*
 * May this become a passphrase? STATUS_INPUT with a sentence: too short or too long, one of the
 * commonest, the login, the name or a word of it. Any characters, in any composition.
 */
enum status secret_check_passphrase(const char *login, const char *name, const char *typed,
                                    struct error *error);
/* May this become a PIN? STATUS_INPUT: not 4 to 8 digits, all the same, or a run as 1234, 4321. */
enum status secret_check_pin(const char *typed, struct error *error);

/*
 * Must the old secret be typed before one's own are changed? STATUS_OK: *asked says so. It is asked
 * where one is set, but in a session that a login of the machine opened in the last SECRET_FRESH_S
 * when the PIN is closed and no passphrase is set, or when nobody else could give a new passphrase
 * (the only orthodontist). STATUS_REFUSED: nothing is set and this session is not fresh, so that
 * nothing tells whose it is: leave, and log in again.
 */
enum status secret_asks_old(struct app *app, bool *asked, struct error *error);

/* A change of one's own. */
struct secret_change {
    const char *old;              /* the passphrase or PIN that stands; NULL or "": not given */
    const char *passphrase, *pin; /* the new ones; NULL or "": that one stays */
};
/*
 * Sets the secrets of the person who sits here; wrong PINs are forgotten. STATUS_INPUT: one can not
 * be taken. STATUS_REFUSED: the old one is asked and is wrong, or a PIN would replace a one-time
 * passphrase. Nothing to change is STATUS_INPUT.
 */
enum status secret_change(struct app *app, const struct secret_change *change, struct error *error);

/*
 * An orthodontist's: the person with this login gets a one-time passphrase, and loses the old one,
 * the PIN and every count of wrong tries. once: to be shown once and wiped.
 */
enum status secret_reset(struct app *app, const char *login, char once[SECRET_ONCE_SIZE],
                         struct error *error);

/* Overwrites what was typed, so that the compiler can not leave it out. */
void secret_wipe(void *bytes, size_t size);

/*
 * Every stored secret against the newest row of the log about it. Lines of findings are appended to
 * out; STATUS_DAMAGED: one does not match.
 */
enum status secret_verify(struct app *app, struct text *out, struct error *error);

#endif
