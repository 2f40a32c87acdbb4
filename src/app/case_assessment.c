/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was measured for the plan, and the plans, in one line of words each. */
#include <inttypes.h>

#include "case_private.h"
#include "springline/core/tooth.h"

/* ", cast, repeat 2; by R. Moss" */
static void add_how(struct text *out, enum method method, int32_t repeat, const char *by)
{
    text_addf(out, ", %s", word_text(&words_method, (int)method));
    if (repeat > 1)
        text_addf(out, ", repeat %" PRId32, repeat);
    if (by != NULL && by[0] != '\0') {
        text_add(out, "; by ");
        text_add_shown(out, by);
    }
}

void case_tell_tooth_width(struct text *out, const struct tooth_width *width)
{
    text_addf(out, "%" PRId32 " ", width->tooth);
    told_mm(out, width->value);
    add_how(out, width->method, width->repeat, width->by);
}

static void add_part(struct text *out, const char *label, um value)
{
    text_add(out, label);
    if (value == UM_NONE)
        text_add(out, "NOT MEASURED");
    else
        told_mm(out, value);
}

void case_tell_segments(struct text *out, const struct arch_segment *segment)
{
    text_add(out, word_text(&words_arch, (int)segment->arch));
    add_part(out, " R back ", segment->back_right);
    add_part(out, " front ", segment->front_right);
    add_part(out, ", L front ", segment->front_left);
    add_part(out, " back ", segment->back_left);
    add_how(out, segment->method, segment->repeat, segment->by);
}

void case_tell_depth(struct text *out, const struct arch_depth *depth)
{
    char teeth[8];

    text_addf(out, "%s %s ", word_text(&words_arch, (int)depth->arch),
              teeth_to_text(depth->teeth, teeth));
    told_mm(out, depth->value);
    add_how(out, depth->method, depth->repeat, depth->by);
}

/* ", 4 to 6 activations"; nothing where one of the two is not recorded. */
static void add_range(struct text *out, int32_t least, int32_t most, const char *what)
{
    if (least < 0 || most < 0)
        return;
    text_addf(out, ", %" PRId32, least);
    if (most != least)
        text_addf(out, " to %" PRId32, most);
    text_addf(out, " %s", what);
}

void case_tell_plan(struct text *out, const struct plan *plan)
{
    char teeth[8], date[DAY_TEXT_SIZE];

    text_addf(out, "%s", word_text(&words_arch, (int)plan->arch));
    if (plan->balance != UM_NONE) {
        text_add(out, plan->balance < 0 ? " balance " : " balance +");
        told_mm(out, plan->balance);
    }
    if (plan->equation != EQUATION_NONE)
        text_addf(out, " (%s)", word_text(&words_equation, (int)plan->equation));
    text_add(out, plan->target == UM_NONE ? ", no target" : ", target ");
    if (plan->target != UM_NONE) {
        told_mm(out, plan->target);
        text_addf(out, " %s %s %s", word_text(&words_site, (int)plan->site),
                  word_text(&words_landmark, (int)plan->landmark),
                  teeth_to_text(plan->teeth, teeth));
    }
    add_range(out, plan->activations_least, plan->activations_most, "activations");
    add_range(out, plan->weeks_least, plan->weeks_most, "weeks");
    add_range(out, plan->visits_least, plan->visits_most, "visits");
    if (plan->fit_on != DAY_NONE)
        text_addf(out, ", fit %s", day_to_text(plan->fit_on, date));
    if (plan->by != NULL && plan->by[0] != '\0') {
        text_add(out, "; by ");
        text_add_shown(out, plan->by);
    }
    if (plan->note != NULL && plan->note[0] != '\0') {
        text_add(out, "; ");
        text_add_shown(out, plan->note);
    }
}
