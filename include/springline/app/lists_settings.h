/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The settings of a protocol, each with its standing, and the people of the practice. */
#ifndef SPRINGLINE_APP_LISTS_SETTINGS_H
#define SPRINGLINE_APP_LISTS_SETTINGS_H

#include "springline/app/visit.h"
#include "springline/core/protocol.h"

struct listed_setting {
    enum setting setting;
    struct id id;         /* of the row, for the list: the same as long as there is the setting */
    const char *name;     /* "step_max_mm" */
    const char *value;    /* "2.00 mm" */
    const char *standing; /* of the value as it is: one that the practice changed is the practice's
                             own, whatever the default came from */
    const char *usual;  /* the default where the value is another one, with the default's standing;
                           "" where it is the same */
    const char *source; /* where a published default comes from; "" */
};

struct setting_list {
    struct protocol protocol;
    const char *title; /* "practice, version 2 of 2026-11-02, by ...": the person, else the seat */
    struct listed_setting *rows;
    size_t count;
};

/* The one line that stands above the settings. */
extern const char lists_settings_caution[];

/* Reads the current protocol of that name (NULL or "": the practice's) and the settings in which
 * every word of folded stands. All of it in arena; on failure the list is empty. */
enum status lists_settings(struct app *app, const char *name, const char *folded,
                           struct arena *arena, struct setting_list *list, struct error *error);

/*
 * Where the error of a width of that protocol comes from: its own repeat pairs, published, or set;
 * what change is real; how many pairs there are, Dahlberg's error and bias of all and by landmark.
 * Lines in arena. STATUS_NO with a sentence: the sums of the pairs are impossible.
 */
enum status lists_width_error(struct app *app, const char *name, struct arena *arena,
                              struct lines *lines, struct error *error);

/* Appends one setting with all that is known of it. */
void lists_setting_tell(const struct listed_setting *row, struct text *out);

struct person_list {
    struct person *rows; /* by login */
    size_t count;
};

/* Reads the people of the practice in whom every word of folded stands. */
enum status lists_people(struct app *app, const char *folded, struct arena *arena,
                         struct person_list *list, struct error *error);

/* What the rules do with a setting, in one line. */
const char *lists_setting_does(enum setting setting);

#endif
