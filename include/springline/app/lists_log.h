/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The log: who signed in, failed to, was refused, locked, had a secret set, took data out. An
 * orthodontist's and a reader's to read. What was written into records is told by their histories.
 *
 * 45 CFR 164.312(b); 45 CFR 170.315(d)(3).
 */
#ifndef SPRINGLINE_APP_LISTS_LOG_H
#define SPRINGLINE_APP_LISTS_LOG_H

#include "springline/app/app.h"

struct listed_log {
    struct id id;
    instant recorded_at;
    const char *at;                                                 /* "2026-11-25 10:12:07", UTC */
    const char *what;                                               /* "sign-in-failed" */
    const char *login, *person, *seat, *command, *subject, *detail; /* "" none; person: by whom */
};

struct log_list {
    struct listed_log *rows; /* newest first */
    size_t count;
    bool more; /* there are older ones than were asked for */
};

struct log_asked {
    day from, to;       /* DAY_NONE: from the beginning, to the end; UTC */
    const char *folded; /* every word of it is in the row; "" any row */
    size_t most;        /* rows; 0: all */
};

/* Reads the log into arena. STATUS_REFUSED, logged: not for this role. On failure the list is
 * empty. */
enum status lists_log(struct app *app, const struct log_asked *asked, struct arena *arena,
                      struct log_list *list, struct error *error);

#endif
