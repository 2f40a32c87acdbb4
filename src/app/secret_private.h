/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The inside of secrets: hashing them, trying what was typed. Private. */
#ifndef SPRINGLINE_APP_SECRET_PRIVATE_H
#define SPRINGLINE_APP_SECRET_PRIVATE_H

#include <sodium.h>

#include "springline/app/authority.h"
#include "springline/app/secret.h"
#include "springline/store/secret.h"

/* ---- secret_hash.c ---- */

enum secret_kind { SECRET_PASSPHRASE = 'P', SECRET_PIN = 'N' };

struct secret_cost {
    unsigned long long passes;
    size_t bytes;
};

enum { SECRET_QUICK_MS = 125 }; /* a hash quicker than this, half of what is aimed at, is cheap */
/* OWASP Password Storage cheat sheet: argon2id with at least 19 MiB and 2 passes. */
extern const struct secret_cost secret_cost_least;

/* The cost that takes about a quarter second here and now, by app->clock_ms; without a clock the
 * least. */
struct secret_cost secret_cost_now(struct app *app);
/* The cost in a stored string. False: it is none that this program makes. */
bool secret_cost_of(const char *stored, struct secret_cost *cost);
/* Milliseconds by app->clock_ms; 0 without a clock. */
int64_t secret_clock_ms(struct app *app);
/* The string to store. STATUS_NO_MEMORY. */
enum status secret_hash(enum secret_kind kind, const char *login, const char *typed,
                        const struct secret_cost *cost, char stored[crypto_pwhash_STRBYTES],
                        struct error *error);
/* Is typed what stored was made of? Compared in constant time. STATUS_NO_MEMORY; STATUS_DAMAGED:
 * stored is no such string. */
enum status secret_matches(enum secret_kind kind, const char *login, const char *typed,
                           const char *stored, bool *matches, struct error *error);

enum { SEAL_SIZE = 2 * crypto_generichash_BYTES + 1 };
/* BLAKE2b of what is stored of a login, hexadecimal. */
void secret_seal(const struct secret *secret, char seal[SEAL_SIZE]);
/* The seal at the end of a log row's detail; NULL: it has none. */
const char *secret_seal_in(const char *detail);

/* ---- secret_attempt.c ---- */

enum attempt_result {
    ATTEMPT_RIGHT,
    ATTEMPT_WRONG_PIN,
    ATTEMPT_WRONG_PASSPHRASE,
    ATTEMPT_WAIT, /* too early after the last wrong one: it was not tried */
    ATTEMPT_SHUT_OUT,
    ATTEMPT_PIN_CLOSED,
    ATTEMPT_NO_PIN, /* typed is a PIN, and none is set */
    ATTEMPT_NOTHING_SET,
    ATTEMPT_EXPIRED /* right, but a one-time passphrase that is too old */
};

struct attempt {
    /* given */
    const char *login, *typed;
    enum command command;     /* for the log */
    bool pin_too;             /* typed may be the PIN */
    bool at_door;             /* of somebody who has not signed in: nobody may notice which
                                 logins there are */
    bool unknown;             /* there is no such login */
    enum access_what success; /* logged when right; ACCESS_NONE: only where counts are wiped */
    const char *detail;       /* of that row; NULL: none */
    /* found */
    enum attempt_result result;
    enum proof proof;   /* when right */
    bool once;          /* when right: a one-time passphrase, still to be replaced; not logged */
    int32_t tries_left; /* of the PIN */
    int64_t wait_s;     /* until the next try is taken */
};

/* Tries, counts and logs in one save. Not inside a save. */
enum status secret_attempt(struct app *app, struct attempt *attempt, struct error *error);
/* The sentence for a person who is known here, STATUS_REFUSED; STATUS_OK for ATTEMPT_RIGHT. */
enum status secret_tell(const struct attempt *attempt, struct error *error);

/* Writes a changed secret with its row of the log, inside a save: detail says what, the seal is
 * added. */
enum status secret_put(struct app *app, const struct secret *secret, const struct log_entry *entry,
                       struct error *error);

/* ---- secret.c ---- */

/* Writes a change of one's own that was checked and proved. */
enum status secret_write(struct app *app, const struct secret_change *change, struct error *error);

/* Is it of the form of a PIN? */
bool secret_is_pin(const char *typed);

#endif
