/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The program's one context: the store, the treatment date, who sits here. Owned by main; passed
 * to every use case. Instants and random bytes come from the store's source, today from here, so
 * a test can fix all three.
 */
#ifndef SPRINGLINE_APP_APP_H
#define SPRINGLINE_APP_APP_H

#include <stdbool.h>

#include "springline/app/command.h"
#include "springline/base/arena.h"
#include "springline/base/error.h"
#include "springline/core/history.h"
#include "springline/store/store.h"

enum { APP_NAME_SIZE = 4 * TEXT_CELL_CHARACTERS + 1 }; /* every name that is stored */

struct app {
    struct store *store;
    day today;        /* treatment date */
    bool today_fixed; /* by SPRINGLINE_TODAY: the screen shows a badge */
    const char *user; /* login name: owner of drafts, the seat's person */
    const char *seat; /* user@terminal */
    struct id person; /* the record of the person with this login; none: not among the people */
    char name[APP_NAME_SIZE];  /* and the name; "" none */
    char login[APP_NAME_SIZE]; /* and the login of the record; of a practice of one not always user
                                */
    enum role role;            /* and what the person does here; ROLE_NONE: nobody is known */
    bool alone;                /* a practice of one that chose that nobody is asked who they are */
    bool nobody;               /* no orthodontist is recorded: the first one is still to be made */
    /* The session (app/sign_in.h). */
    bool by_login; /* a login of the machine opened it, and nobody signed in or locked since */
    instant signed_in_at;             /* 0: nobody signed in */
    char signed_in_as[APP_NAME_SIZE]; /* user points here once somebody has signed in */
    /* A clock that never runs back, by which the cost of hashing is measured; NULL: the least. */
    int64_t (*clock_ms)(void *context);
    void *clock_context;
};

/*
 * Finds the person who sits here: of a practice of one that chose so its only person, whatever the
 * login; else the person of this login. None, or more than one: nobody is known, which is no
 * failure. Read anew for every command, so that a change of role acts at once on open sessions.
 */
enum status app_know_person(struct app *app, struct error *error);
/* Who is named in a record: the person's name, or the login. */
const char *app_by(const struct app *app);

/* The one caution line of domain.md 7 for screens and printed sheets. */
extern const char app_caution[];

/*
 * A save: one transaction with one request id. app_save_begin opens it; rows are appended with
 * store_append; every case touched is named with app_save_touch; app_save_commit rewrites the
 * case_state of each touched case inside the same transaction and commits. On any failure the
 * caller calls app_save_drop, which leaves nothing behind.
 */
struct app_save {
    struct app *app;
    struct arena arena; /* the touched ids and histories */
    struct id *touched;
    size_t touched_count, touched_capacity;
    bool led;        /* an orthodontist was recorded when it began */
    struct id alone; /* who worked alone then, asked nothing; none: nobody did */
};

/*
 * Every save begins here, and here is asked whether the person who sits here may give the command
 * (app/authority.h): STATUS_REFUSED, logged, nothing open. The request's person is the app's.
 * STATUS_ALREADY: this request was saved before (nothing open, nothing to drop).
 */
enum status app_save_begin(struct app *app, enum command command,
                           const struct store_request *request, struct app_save *save,
                           struct error *error);
/* Names a case whose state must be rewritten; the same case twice is one. */
enum status app_save_touch(struct app_save *save, const struct id *casefile, struct error *error);
/*
 * After widths were appended: when the practice's repeat pairs give another error than the protocol
 * holds (domain.md 2; ten pairs at least), a new version of the protocol is written in this save
 * and every case is touched. Without new widths there is nothing to do and no need to call it.
 */
enum status app_save_width_error(struct app_save *save, struct error *error);
/* After opening: works every state out anew where a rung emptied them, as a save of its own.
 * Nothing to do: one short look. Must come before the lists are read. */
enum status app_renew_states(struct app *app, struct error *error);
/* Rewrites states, commits, releases. */
enum status app_save_commit(struct app_save *save, struct error *error);
/* Rolls back and releases. */
void app_save_drop(struct app_save *save);

/* The first orthodontist of a practice. */
struct founder {
    const char *login, *name; /* name empty: the login */
    bool alone; /* chosen: while nobody else works here, nobody is asked who they are */
};
/* init: a new store at path with its first orthodontist and the default protocol. */
enum status app_init_store(const char *path, const struct store_source *source,
                           const struct founder *founder, struct error *error);
/* The first orthodontist of a store that has none (an older one): a new person, or the one of that
 * login. STATUS_REFUSED: it has one. */
enum status app_first_person(struct app *app, const struct founder *founder, struct error *error);

/* verify: the ledger (store_verify), then every case_state rebuilt and compared, and every stored
 * verdict worked out again by the rows that stood when it was given. Verdicts of another
 * RULES_VERSION, and reasons in other words, are told and are no damage. Lines are appended to out;
 * STATUS_OK sound, STATUS_DAMAGED not. In slices: a save waits for one case, or one slice of the
 * ledger, at most (store_verify). */
enum status app_verify(struct app *app, struct text *out, struct error *error);

#endif
