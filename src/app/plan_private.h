/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the parts that put a plan into words share. */
#ifndef SPRINGLINE_APP_PLAN_PRIVATE_H
#define SPRINGLINE_APP_PLAN_PRIVATE_H

#include "springline/app/plan_view.h"
#include "told.h"

struct plan_maker {
    const struct plan_arch *arch; /* NULL: of the case as a whole */
    day today;
    const char *section;
    struct arena *arena;
    struct plan_view *view; /* lines go here */
    struct text text;       /* of the line being made */
    struct plan_line spare; /* what plan_add gives when memory is exhausted */
    bool failed;            /* sticky */
};

/* Ends the line being made, named so; never NULL. Numbers and days are put into what it returns. */
struct plan_line *plan_add(struct plan_maker *maker, const char *name);
/* A length in mm, and a whole number, as text in the arena; "" when not recorded or open. */
const char *plan_mm(struct plan_maker *maker, um value);
const char *plan_number(struct plan_maker *maker, int32_t value);

/* "0.35": a response, as text in the arena. */
const char *plan_ratio(struct plan_maker *maker, double ratio);

/* ", 36.25 on 2025-12-10 (mean of 2)" */
void plan_tell_measured(struct text *out, const struct plan_measured *measured);
/* "intermolar gingival 16-26" */
void plan_tell_measure(struct text *out, enum site site, enum landmark landmark,
                       struct teeth teeth);

void plan_tell_room(struct plan_maker *maker);   /* plan_tell_room.c */
void plan_tell_width(struct plan_maker *maker);  /* plan_tell_room.c */
void plan_tell_target(struct plan_maker *maker); /* plan_tell_course.c */
void plan_tell_course(struct plan_maker *maker);
void plan_tell_phases(struct plan_maker *maker);
void plan_tell_saved(struct plan_maker *maker); /* plan_tell_saved.c */
void plan_tell_cautions(struct plan_maker *maker);

#endif
