/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The screens there are, what each is opened for, and the way from one to another. */
#ifndef SPRINGLINE_UI_SCREENS_H
#define SPRINGLINE_UI_SCREENS_H

#include "springline/app/audit_view.h"
#include "springline/app/conflict.h"
#include "springline/app/form.h"
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

/* One case. The argument is a struct id: the case. */
extern const struct screen_ops case_screen;

/* One record with its history; correct, withdraw. The argument is a struct record_argument. */
extern const struct screen_ops record_screen;
struct record_argument {
    struct id casefile; /* none for people and protocols */
    enum record_kind kind;
    struct id record;  /* head.record */
    bool until_signed; /* once it is signed, back to where it was opened from */
};

/* A visit, or its withdrawal, read once more and signed. The argument is a struct record_argument,
 * kind RECORD_VISIT. */
extern const struct screen_ops sign_screen;

/* The visits that nobody has signed. No argument. */
extern const struct screen_ops unsigned_screen;

/* The picture of a case, one arch at a time. The argument is a struct id: the case. */
extern const struct screen_ops picture_screen;

/* Any form. The argument is a struct form_argument. */
extern const struct screen_ops form_screen;
struct form_argument {
    enum form_kind kind;
    struct form_subject subject;
};

/* What was saved meanwhile, before a visit or a form is saved: read, and decided field by field.
 * The argument is a struct conflict_argument; what it points to outlives the screen. */
extern const struct screen_ops conflict_screen;
struct conflict_argument {
    const char *sentence;          /* what happened */
    const struct history *history; /* whom it is about; without a case: nobody */
    const struct lines *saved;     /* what was saved, by whom, when */
    struct conflict *conflict;     /* the fields of a form; NULL: of a visit */
    bool *agreed;                  /* set when the person read and decided it, and goes on */
};

/* Who must be called: the working list. No argument. */
extern const struct screen_ops recall_screen;

/* The month. No argument: the month before today's. */
extern const struct screen_ops audit_screen;

/* Closing a month: the review, then the signature. The argument is a day: the first of the month.
 */
extern const struct screen_ops close_month_screen;

/* How every arch responded, and what lags. No argument. */
extern const struct screen_ops caseload_screen;

/* One case of one month. The argument is a struct audit_argument. */
extern const struct screen_ops audit_case_screen;
struct audit_argument {
    struct id casefile;
    struct audit_when when;
};

/* The values of a protocol. The argument is its name (const char *), NULL: the practice's. */
extern const struct screen_ops settings_screen;

/* Stiffness of two loops, a bench aid: about no case, nothing is stored. No argument. */
extern const struct screen_ops loop_screen;

/* Who works here. No argument. */
extern const struct screen_ops people_screen;

/* The log: who signed in, was refused, took data out. No argument. */
extern const struct screen_ops log_screen;

/* A text that is only read: why, what stands behind a figure. The argument is a struct
 * text_argument; fill is called at once, and again when another seat saved. */
extern const struct screen_ops text_screen;
struct text_argument {
    const char *title; /* NULL: the first line of the text */
    /* Makes the lines in arena. */
    enum status (*fill)(struct ui *ui, const void *subject, struct arena *arena,
                        struct lines *lines, struct error *error);
    const void *subject; /* copied: size bytes, at most TEXT_SUBJECT_MAX */
    size_t size;
    const char *who; /* stands before the title; NULL: nobody */
};
enum { TEXT_SUBJECT_MAX = 128 };

/*
 * Does a command that leads from a case to another screen or form (COMMAND_TO_CASE, TO_VISIT,
 * TO_CONTACT ... TO_LOOP, TO_WHY), or from anywhere to a list (TO_RECALL, TO_AUDIT, TO_CASELOAD,
 * TO_SETTINGS, TO_PEOPLE, TO_UNSIGNED, TO_NEW_PATIENT). casefile may be NULL for these. False: the
 * command is none of them.
 */
bool screen_go(struct ui *ui, enum command command, const struct id *casefile);

/* Enter on a case where a visit is meant: the visit, or, when none can be entered, the case. */
void screen_visit_or_case(struct ui *ui, const struct id *casefile);

#endif
