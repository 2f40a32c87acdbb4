/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The plan of a case, worked out and in words: the room in each arch, how much wider it would have
 * to become, the target, the course from today, and what a saved plan said against what happened.
 * Nothing in it permits an activation: that the rules do.
 */
#ifndef SPRINGLINE_APP_PLAN_VIEW_H
#define SPRINGLINE_APP_PLAN_VIEW_H

#include "springline/app/visit.h"
#include "springline/core/plan_response.h"
#include "springline/core/space.h"

/* What a person chose, or what is recorded, of one arch. */
struct plan_choice {
    enum arch arch;
    enum equation equation; /* EQUATION_NONE: Tanaka & Johnston's, and it is said so */
    enum site site;
    enum landmark landmark;
    struct teeth teeth;
    um target; /* UM_NONE: none chosen */
};

/* A width or a depth: the mean of the repeats of one day; date DAY_NONE: not measured. */
struct plan_measured {
    day date;
    um value;
    int32_t repeats;
};

/* What the practice's other cases responded, read once for all that is worked out of a case. */
struct plan_others {
    struct plan_responded *rows;
    size_t count, capacity;
};

/* One arch, worked out. */
struct plan_arch {
    struct plan_choice choice;
    bool equation_assumed;
    const struct plan *saved;        /* NULL: none */
    const struct expander *expander; /* in place, else the newest; NULL: none */
    bool over;                       /* out for good, left in passively, or the case is closed */
    struct space_analysis space;     /* as measured up to today */
    struct plan_measured start;      /* width by the choice's measure when the segments were */
    struct plan_measured depth;      /* between the same teeth, then */
    struct plan_widths widths;       /* PLAN_SHORTAGE where nothing is known to be short */
    struct plan_measured now;        /* newest width by the choice's measure */
    enum sides sides;                /* in plan */
    bool sides_assumed;              /* both, because no expander says */
    struct plan_practice practice;   /* the practice's own response, that course goes by */
    struct plan_course course;       /* from today, of what is still to come */
    int32_t given;                   /* days on which the arch was activated since its first fit */
    um given_right, given_left;      /* amounts known */
    day given_first, given_last;     /* DAY_NONE */
    day fitted_first;                /* the arch's first fit; DAY_NONE */
};

/* One thing that is said; least and most, the days and the value where it has them. */
struct plan_line {
    enum arch arch;      /* ARCH_NONE: of the case */
    const char *section; /* "room", "width", "target", "course", "phases", "saved", "cautions" */
    const char *name;    /* "available_mm"; stable, for other programs */
    const char *value, *least, *most; /* numbers as text; "" none */
    const char *word;                 /* one of a closed list: the equation; "" none */
    day from_earliest, from_latest, to_earliest, to_latest; /* DAY_NONE */
    const char *text;                                       /* the sentence */
};

struct plan_view {
    struct history history;
    struct assessment assessment;
    day on;
    const char *who; /* "C-0018  Marrow, Pip" */
    struct plan_arch arches[2];
    int arch_count; /* arches of which anything is recorded, upper first */
    struct plan_line *lines;
    size_t count, capacity;
};

/* What is recorded as the choice of an arch: by its saved plan, else its expander, else its newest
 * intermolar width. */
void plan_choice_recorded(const struct history *history, const struct assessment *assessment,
                          enum arch arch, day today, struct plan_choice *choice);

/* Reads what every case but this one responded up to today, in one pass over the store: when a
 * plan is opened, never at a key. All in arena. */
enum status plan_others_read(struct app *app, const struct id *casefile, struct arena *arena,
                             struct plan_others *others, struct error *error);

/*
 * Works one arch out, by what the others responded (NULL: nothing is known of them, and the course
 * has a least number at full transfer and no upper end). fit_not_before: as in core/plan.h. False:
 * no memory.
 */
bool plan_work_out(const struct history *history, const struct assessment *assessment,
                   const struct plan_choice *choice, const struct plan_others *others,
                   day fit_not_before, day today, struct arena *arena, struct plan_arch *arch);

/* The day from which the lower arch may be fitted: lower_after_days after the upper's fit, recorded
 * or planned; DAY_NONE: any day, and for the upper arch. */
day plan_fit_not_before(const struct history *history, const struct plan_arch *upper,
                        enum arch arch);

/* Reads the case, works out both arches as recorded, and puts it into words; all in arena.
 * STATUS_NOT_FOUND. */
enum status plan_view_read(struct app *app, const struct id *casefile, struct arena *arena,
                           struct plan_view *view, struct error *error);

/* A view as running text: who and the day, then for each arch and section a heading and its
 * sentences, which begin with two blanks. False: no memory. */
bool plan_view_tell(const struct plan_view *view, struct arena *arena, struct lines *lines);

/* Reads the view and tells it. */
enum status plan_view_lines(struct app *app, const struct id *casefile, struct arena *arena,
                            struct lines *lines, struct error *error);

/* The sentences of one arch worked out, without saved plan: for the review of a form. False: no
 * memory. */
bool plan_tell_arch(const struct plan_arch *arch, day today, struct arena *arena,
                    struct lines *lines);

#endif
