/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files of the rules share: nothing outside src/core and its unit tests includes this. */
#ifndef SPRINGLINE_CORE_RULES_PRIVATE_H
#define SPRINGLINE_CORE_RULES_PRIVATE_H

#include "springline/core/rules.h"
#include "wear_private.h"

/* Both sides, right first; indices of arrays by side leave 0 unused. */
enum { SIDES_FIRST = SIDE_RIGHT, SIDES_LAST = SIDE_LEFT, SIDES_SIZE = SIDE_LEFT + 1 };

/*
 * A visit given elsewhere without its amounts counts in window-sum as the table's default of
 * step_max_mm, not as the practice's own: were it the own one, a practice that lowers its step_max
 * would be permitted more after such visits (two of them, step_max 2.0: 4.0 of 4.0 mm used;
 * step_max 1.5: 3.0 used, 1.0 free), and what another practice gave does not hang on our setting.
 */
enum { ELSEWHERE_STEP_UM = 2000 };

struct side_facts {
    bool planned;       /* only then do the rules marked "side" ask for the rest */
    day last;           /* newest activation of the side, by any expander of the arch */
    day last_elsewhere; /* newest visit given elsewhere without the side's amount */
    bool since_fit;     /* an activation since this expander's fitted_on */
    int64_t total;      /* given in all, micrometres */
    int64_t today;      /* given today */
    int64_t window;     /* given in the last window_days */
    um nominal;
};

struct arch_facts {
    day first;                 /* first activation of the arch, whichever side */
    day last;                  /* last activation of a side in plan */
    bool elsewhere;            /* a visit elsewhere lacks an amount, whichever side */
    bool elsewhere_before;     /* in plan, before the latest width, or there is none */
    int64_t before, since;     /* right + left given before, and on or after, the latest width */
    day relieved_on, fault_on; /* newest relief, newest fault found at a visit without activation */
    day tissue_on;             /* newest seen visit that recorded the tissue */
    bool wound;                /* it recorded a wound */
};

struct wear_facts {
    bool any;                  /* today's period has at least a day */
    struct wear_period period; /* today's */
    int32_t run, rest_run;     /* periods in a row, for wear-run and wear-rest */
};

/* One question, and everything the rules read to answer it. */
struct inquiry {
    const struct history *history;
    const struct protocol *protocol;
    const struct question *question;
    const struct expander *expander;
    struct reach reach;
    int32_t sides_planned;
    struct side_facts side[SIDES_SIZE];
    struct arch_facts arch;
    struct wear_facts wear;
    struct width_view width;
    double mdc; /* micrometres, not rounded */
    struct judgement *judgement;
};

/* Reads the history once for all rules. */
void inquiry_collect(struct inquiry *inquiry);
/* The expander that a question of this arch and day is about; NULL: none was ever fitted. */
const struct expander *inquiry_expander(const struct history *history, enum arch arch, day today);
/* Micrometres of a side that count in the window of window_days that ends on the day on;
 * *oldest: the oldest visit that counts in it (DAY_NONE: none). */
int64_t inquiry_window(const struct inquiry *inquiry, enum side side, day on, day *oldest);

/* Appends a finding of the rule, its row's setting included; limit is ignored for the effects that
 * have none of their own. Never NULL. */
struct finding *finding_add(struct inquiry *inquiry, enum rule rule, enum effect effect,
                            enum side side, um limit);
/* Appends a number to a finding. */
void finding_number(struct finding *finding, const char *name, enum unit unit, int64_t value);
/* Appends the limit "reduced" of each side in plan: one finding where both are the same. Returns
 * the last of them. */
void finding_reduced(struct inquiry *inquiry, enum rule rule, const struct finding_value *values,
                     int count);

/* Lengths permitted are whole grains: rounded down, never below 0. */
um rules_grain(int64_t limit, um grain);

/* The rules. Each adds its findings, or none. */
void judge_first_step(struct inquiry *inquiry);
void judge_step_size(struct inquiry *inquiry);
void judge_done_today(struct inquiry *inquiry);
void judge_too_soon(struct inquiry *inquiry);
void judge_seen_late(struct inquiry *inquiry);
void judge_restart(struct inquiry *inquiry);
void judge_window_sum(struct inquiry *inquiry);
void judge_side_gap(struct inquiry *inquiry);
void judge_not_in_place(struct inquiry *inquiry);
void judge_passive(struct inquiry *inquiry);
void judge_fit_check(struct inquiry *inquiry);
void judge_no_trainer(struct inquiry *inquiry);
void judge_no_consent(struct inquiry *inquiry);
void judge_not_asked(struct inquiry *inquiry);
void judge_lower_early(struct inquiry *inquiry);
void judge_wear_unknown(struct inquiry *inquiry);
void judge_wear_thin(struct inquiry *inquiry);
void judge_wear_differs(struct inquiry *inquiry);
void judge_wear_short(struct inquiry *inquiry);
void judge_wear_low(struct inquiry *inquiry);
void judge_wear_run(struct inquiry *inquiry);
void judge_wear_rest(struct inquiry *inquiry);
void judge_not_examined(struct inquiry *inquiry);
void judge_tissue_mild(struct inquiry *inquiry);
void judge_tissue_wound(struct inquiry *inquiry);
void judge_tissue_healed(struct inquiry *inquiry);
void judge_hardware(struct inquiry *inquiry);
void judge_hardware_recent(struct inquiry *inquiry);
void judge_relieved(struct inquiry *inquiry);
void judge_width_lag(struct inquiry *inquiry);
void judge_width_rate(struct inquiry *inquiry);
void judge_width_loss(struct inquiry *inquiry);
void judge_target_near(struct inquiry *inquiry);
void judge_target_reached(struct inquiry *inquiry);
void judge_no_target(struct inquiry *inquiry);
void judge_no_baseline(struct inquiry *inquiry);
void judge_width_stale(struct inquiry *inquiry);
void judge_width_missing(struct inquiry *inquiry);

/* Rules that lower nominal to first_step_max: does it fire for the side? */
bool lowers_first_step(const struct inquiry *inquiry, enum side side);
bool lowers_restart(const struct inquiry *inquiry, enum side side);
bool lowers_hardware(const struct inquiry *inquiry, enum side side);
bool lowers_hardware_recent(const struct inquiry *inquiry, enum side side);
bool lowers_relieved(const struct inquiry *inquiry, enum side side);

/* When a hold that a rule sets is looked at again. */
enum recheck { RECHECK_FAULT, RECHECK_FREE, RECHECK_WEAR, RECHECK_REST, RECHECK_OWN_DAY };
enum recheck rules_recheck(enum rule rule);

/* Fills next_from and next_to from the verdict and the findings. */
void judge_next_visit(struct inquiry *inquiry);

/*
 * rules_judge with only the rules of mask (bit r: enum rule r), for the property that a rule that
 * did not fire did not change the answer.
 */
bool rules_judge_masked(const struct history *history, const struct question *question,
                        uint64_t mask, struct judgement *judgement);
#define RULES_ALL UINT64_MAX

#endif
