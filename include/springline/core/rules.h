/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The activation rules (domain.md 4): one pure function per arch with a fitted expander. Every
 * rule is evaluated; each that fires gives a finding. A rule is one row of rule_table: name,
 * standing, function, the setting it compares with. Limits are the practice's; the decision is the
 * licensed clinician's. No published limit in mm per visit exists.
 */
#ifndef SPRINGLINE_CORE_RULES_H
#define SPRINGLINE_CORE_RULES_H

#include "springline/core/history.h"
#include "springline/core/protocol.h"
#include "springline/core/wear.h"
#include "springline/core/width.h"

/* Raised when a rule's meaning changes, or the numbers of its finding; stored with each verdict,
 * which verify works out again: of the same version it must come out the same, but for its words.
 */
enum { RULES_VERSION = 2 };

enum rule {
    RULE_NONE,
    RULE_FIRST_STEP,
    RULE_STEP_SIZE,
    RULE_NOT_IN_PLACE,
    RULE_PASSIVE,
    RULE_DONE_TODAY,
    RULE_FIT_CHECK,
    RULE_NO_TRAINER,
    RULE_NO_CONSENT,
    RULE_NOT_ASKED,
    RULE_NOT_EXAMINED,
    RULE_TOO_SOON,
    RULE_SEEN_LATE,
    RULE_RESTART,
    RULE_WINDOW_SUM,
    RULE_WEAR_UNKNOWN,
    RULE_WEAR_THIN,
    RULE_WEAR_DIFFERS,
    RULE_WEAR_SHORT,
    RULE_WEAR_LOW,
    RULE_WEAR_RUN,
    RULE_WEAR_REST,
    RULE_TISSUE_MILD,
    RULE_TISSUE_WOUND,
    RULE_TISSUE_HEALED,
    RULE_HARDWARE,
    RULE_HARDWARE_RECENT,
    RULE_RELIEVED,
    RULE_SIDE_GAP,
    RULE_WIDTH_LAG,
    RULE_WIDTH_RATE,
    RULE_WIDTH_LOSS,
    RULE_TARGET_NEAR,
    RULE_TARGET_REACHED,
    RULE_NO_TARGET,
    RULE_NO_BASELINE,
    RULE_WIDTH_STALE,
    RULE_WIDTH_MISSING,
    RULE_LOWER_EARLY,
    RULE_COUNT
};

enum effect { EFFECT_NONE, EFFECT_CAUTION, EFFECT_LIMIT, EFFECT_HOLD, EFFECT_REST };

enum verdict { VERDICT_NONE, VERDICT_PROCEED, VERDICT_REDUCE, VERDICT_HOLD, VERDICT_REST };
extern const struct words words_verdict, words_effect;

/* Findings of today. All zero: nothing recorded, so not-examined fires. */
struct examination {
    enum tissue tissue;
    uint32_t hardware;
    enum answer repaired; /* ANSWER_YES: all faults of hardware were repaired today */
    bool relief;          /* the loop was closed today */
};

/* Amounts meant to be given today; amounts below 0 or UM_NONE mean none proposed on that side. */
struct proposal {
    um right, left;
};

enum { FINDING_VALUES_MAX = 7, FINDINGS_MAX = 64 };

/*
 * The numbers a finding used. By rule, in this order:
 *   first-step fitted · done-today right left · not-in-place fitted (out) · passive passive ·
 * fit-check missing
 * failed no-consent (consent) · not-examined tissue hardware (answers: recorded or not) too-soon,
 * seen-late, restart last days · window-sum sum days nominal wear-unknown known days untrained from
 * · wear-thin, -short, -low met known days source from wear-differs met known source (of the better
 * one) judged_met judged_known judged_source wear-run, wear-rest run · tissue-healed seen ·
 * hardware hardware (the bits of record.h) hardware-recent, relieved on · side-gap right left gap
 * plan (cumulative, with the proposal) width-lag gain mdc sum first measured · width-rate,
 * width-loss change mdc days measured target-near target latest given room sides measured ·
 * target-reached target latest measured no-baseline fitted · width-stale, width-missing from days ·
 * lower-early upper lower days first, from, last, on, seen, fitted, out, passive, measured, upper,
 * lower are dates; source is an enum source; the others have none. wear-unknown, -short, -low and
 * -differs end with stricter (1) where records that overlap or are half filled made the class lower
 * than the days told alone would.
 */
struct finding_value {
    const char *name;
    enum unit unit;
    int64_t value; /* in the unit; UNIT_DATE: a day number */
};

struct finding {
    enum rule rule;
    enum effect effect;
    enum side side; /* SIDE_NONE: both sides in plan */
    um limit;       /* EFFECT_LIMIT: this much; EFFECT_HOLD and EFFECT_REST: 0; caution: UM_NONE */
    enum setting setting; /* compared with; SETTING_NONE: none */
    int32_t setting_value;
    struct finding_value values[FINDING_VALUES_MAX];
    int value_count;
};

struct judgement {
    enum arch arch;
    const struct expander *expander;
    enum verdict verdict;
    um permitted_right, permitted_left; /* 0 on a side not in plan */
    um nominal_right, nominal_left;
    struct finding findings[FINDINGS_MAX];
    int finding_count;
    day next_from, next_to; /* next visit, if permitted (or proposed) is given today */
    bool lag_switched_off;  /* a visit given elsewhere without amounts: width-lag not judged */
};

struct rule_row {
    const char *name; /* "wear-low" */
    enum standing standing;
    enum setting setting;
    bool overridable; /* false: not-in-place, done-today, not-examined, hardware (unrepaired) */
    /* the function is private to rules.c */
};
/* One row per enum rule, in order of the enum. */
const struct rule_row *rule_row(enum rule rule);

struct question {
    enum arch arch;
    day today;
    bool strictly_before; /* advise: history dated before today (widths up to and including it) */
    const struct id *except; /* the request being entered: its visit rows do not count; or NULL */
    struct examination examination;
    struct proposal proposal;
};

/*
 * Judges one arch. The expander is the arch's newest: greatest fitted_on (not after today counts
 * first), then greatest row order. False, *judgement untouched, when the arch has no expander with
 * fitted_on recorded. Uses history->protocol.
 */
bool rules_judge(const struct history *history, const struct question *question,
                 struct judgement *judgement);

/*
 * Rebuilds permitted and verdict from the findings alone (and the sides in plan, first-step and
 * step-size being findings themselves): the property that a record explains itself.
 */
void rules_replay(const struct finding *findings, int count, enum sides sides, um grain,
                  struct judgement *judgement);

/*
 * May right/left be given under this judgement, with a reason recorded? OK; or STATUS_INPUT naming
 * the rule that can not be overridden, entry_cap, or the reduced amount over tissue-wound.
 * Amounts within the permitted ones need no reason: *needs_reason says which case it is.
 */
enum status rules_override(const struct judgement *judgement, const struct protocol *protocol,
                           struct proposal amounts, bool *needs_reason, struct error *error);

#endif
