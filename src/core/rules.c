/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The table of the rules, and the one function that asks them all. */
#include "springline/core/rules.h"

#include "rules_private.h"

static const char *const verdict_texts[] = {"", "proceed", "reduce", "hold", "rest"};
static const char *const effect_texts[] = {"", "caution", "limit", "hold", "rest"};
const struct words words_verdict = {"verdict", verdict_texts, VERDICT_REST + 1};
const struct words words_effect = {"effect", effect_texts, EFFECT_REST + 1};

struct rule_entry {
    struct rule_row row;
    enum recheck recheck;
    void (*judge)(struct inquiry *inquiry);
    bool (*lowers)(const struct inquiry *inquiry, enum side side); /* NULL: nominal is not its */
};

/* Standing is that of the setting compared with; rules without one are common practice (C) where
 * domain says so, else the practice's own (S). */
#define P STANDING_PUBLISHED
#define C STANDING_COMMON
#define S STANDING_SETTING

static const struct rule_entry entries[RULE_COUNT] = {
    [RULE_NONE] = {{"", S, SETTING_NONE, true}, RECHECK_FAULT, NULL, NULL},
    [RULE_FIRST_STEP] = {{"first-step", C, SETTING_FIRST_STEP_MAX, true},
                         RECHECK_FAULT,
                         judge_first_step,
                         lowers_first_step},
    [RULE_STEP_SIZE] = {{"step-size", C, SETTING_STEP_MAX, true},
                        RECHECK_FAULT,
                        judge_step_size,
                        NULL},
    [RULE_NOT_IN_PLACE] = {{"not-in-place", S, SETTING_NONE, false},
                           RECHECK_FAULT,
                           judge_not_in_place,
                           NULL},
    [RULE_PASSIVE] = {{"passive", S, SETTING_NONE, true}, RECHECK_REST, judge_passive, NULL},
    [RULE_DONE_TODAY] = {{"done-today", S, SETTING_NONE, false},
                         RECHECK_OWN_DAY,
                         judge_done_today,
                         NULL},
    [RULE_FIT_CHECK] = {{"fit-check", C, SETTING_NONE, true}, RECHECK_FAULT, judge_fit_check, NULL},
    [RULE_NO_TRAINER] = {{"no-trainer", S, SETTING_NONE, true},
                         RECHECK_FAULT,
                         judge_no_trainer,
                         NULL},
    [RULE_NO_CONSENT] = {{"no-consent", S, SETTING_NONE, true},
                         RECHECK_FAULT,
                         judge_no_consent,
                         NULL},
    [RULE_NOT_ASKED] = {{"not-asked", S, SETTING_NONE, true}, RECHECK_FAULT, judge_not_asked, NULL},
    [RULE_NOT_EXAMINED] = {{"not-examined", S, SETTING_NONE, false},
                           RECHECK_FAULT,
                           judge_not_examined,
                           NULL},
    [RULE_TOO_SOON] = {{"too-soon", C, SETTING_INTERVAL_MIN, true},
                       RECHECK_FREE,
                       judge_too_soon,
                       NULL},
    [RULE_SEEN_LATE] = {{"seen-late", C, SETTING_INTERVAL_MAX, true},
                        RECHECK_FAULT,
                        judge_seen_late,
                        NULL},
    [RULE_RESTART] = {{"restart", S, SETTING_RESTART_AFTER, true},
                      RECHECK_FAULT,
                      judge_restart,
                      lowers_restart},
    [RULE_WINDOW_SUM] = {{"window-sum", S, SETTING_WINDOW_MAX, true},
                         RECHECK_FREE,
                         judge_window_sum,
                         NULL},
    [RULE_WEAR_UNKNOWN] = {{"wear-unknown", S, SETTING_WEAR_KNOWN_MIN, true},
                           RECHECK_WEAR,
                           judge_wear_unknown,
                           NULL},
    [RULE_WEAR_THIN] = {{"wear-thin", S, SETTING_WEAR_THIN, true},
                        RECHECK_WEAR,
                        judge_wear_thin,
                        NULL},
    [RULE_WEAR_DIFFERS] = {{"wear-differs", S, SETTING_WEAR_DIFFERS, true},
                           RECHECK_WEAR,
                           judge_wear_differs,
                           NULL},
    [RULE_WEAR_SHORT] = {{"wear-short", S, SETTING_WEAR_FULL, true},
                         RECHECK_WEAR,
                         judge_wear_short,
                         NULL},
    [RULE_WEAR_LOW] = {{"wear-low", S, SETTING_WEAR_LOW, true}, RECHECK_WEAR, judge_wear_low, NULL},
    [RULE_WEAR_RUN] = {{"wear-run", S, SETTING_WEAR_RUN_HOLD, true},
                       RECHECK_WEAR,
                       judge_wear_run,
                       NULL},
    [RULE_WEAR_REST] = {{"wear-rest", S, SETTING_WEAR_RUN_REST, true},
                        RECHECK_REST,
                        judge_wear_rest,
                        NULL},
    [RULE_TISSUE_MILD] = {{"tissue-mild", S, SETTING_REDUCE_FACTOR, true},
                          RECHECK_FAULT,
                          judge_tissue_mild,
                          NULL},
    [RULE_TISSUE_WOUND] = {{"tissue-wound", S, SETTING_NONE, true},
                           RECHECK_FAULT,
                           judge_tissue_wound,
                           NULL},
    [RULE_TISSUE_HEALED] = {{"tissue-healed", S, SETTING_REDUCE_FACTOR, true},
                            RECHECK_FAULT,
                            judge_tissue_healed,
                            NULL},
    [RULE_HARDWARE] = {{"hardware", S, SETTING_FIRST_STEP_MAX, false},
                       RECHECK_FAULT,
                       judge_hardware,
                       lowers_hardware},
    [RULE_HARDWARE_RECENT] = {{"hardware-recent", S, SETTING_FIRST_STEP_MAX, true},
                              RECHECK_FAULT,
                              judge_hardware_recent,
                              lowers_hardware_recent},
    [RULE_RELIEVED] = {{"relieved", S, SETTING_FIRST_STEP_MAX, true},
                       RECHECK_FAULT,
                       judge_relieved,
                       lowers_relieved},
    [RULE_SIDE_GAP] = {{"side-gap", S, SETTING_SIDE_GAP, true},
                       RECHECK_FAULT,
                       judge_side_gap,
                       NULL},
    [RULE_WIDTH_LAG] = {{"width-lag", S, SETTING_LAG_SHARE, true},
                        RECHECK_FAULT,
                        judge_width_lag,
                        NULL},
    [RULE_WIDTH_RATE] = {{"width-rate", S, SETTING_WIDTH_RATE_MAX, true},
                         RECHECK_FAULT,
                         judge_width_rate,
                         NULL},
    [RULE_WIDTH_LOSS] = {{"width-loss", P, SETTING_WIDTH_ERROR, true},
                         RECHECK_FAULT,
                         judge_width_loss,
                         NULL},
    [RULE_TARGET_NEAR] = {{"target-near", C, SETTING_STEP_MAX, true},
                          RECHECK_REST,
                          judge_target_near,
                          NULL},
    [RULE_TARGET_REACHED] = {{"target-reached", S, SETTING_STEP_GRAIN, true},
                             RECHECK_REST,
                             judge_target_reached,
                             NULL},
    [RULE_NO_TARGET] = {{"no-target", S, SETTING_NONE, true}, RECHECK_FAULT, judge_no_target, NULL},
    [RULE_NO_BASELINE] = {{"no-baseline", S, SETTING_NONE, true},
                          RECHECK_FAULT,
                          judge_no_baseline,
                          NULL},
    [RULE_WIDTH_STALE] = {{"width-stale", S, SETTING_WIDTH_STALE, true},
                          RECHECK_FAULT,
                          judge_width_stale,
                          NULL},
    [RULE_WIDTH_MISSING] = {{"width-missing", S, SETTING_WIDTH_MISSING, true},
                            RECHECK_FAULT,
                            judge_width_missing,
                            NULL},
    [RULE_LOWER_EARLY] = {{"lower-early", C, SETTING_LOWER_AFTER, true},
                          RECHECK_FAULT,
                          judge_lower_early,
                          NULL},
};

#undef P
#undef C
#undef S

static const struct rule_entry *entry_of(enum rule rule)
{
    return &entries[rule > RULE_NONE && rule < RULE_COUNT ? rule : RULE_NONE];
}

const struct rule_row *rule_row(enum rule rule)
{
    return &entry_of(rule)->row;
}

enum recheck rules_recheck(enum rule rule)
{
    return entry_of(rule)->recheck;
}

struct finding *finding_add(struct inquiry *inquiry, enum rule rule, enum effect effect,
                            enum side side, um limit)
{
    struct judgement *judgement = inquiry->judgement;
    struct finding *finding = &judgement->findings[judgement->finding_count];

    /* A rule adds two findings at most, one for each side: there is always room. */
    if (judgement->finding_count < FINDINGS_MAX - 1)
        judgement->finding_count++;
    finding->rule = rule;
    finding->effect = effect;
    finding->side = side;
    finding->limit = effect == EFFECT_LIMIT ? limit : effect == EFFECT_CAUTION ? UM_NONE : 0;
    finding->setting = entries[rule].row.setting;
    finding->setting_value = protocol_value(inquiry->protocol, finding->setting);
    finding->value_count = 0;
    return finding;
}

void finding_number(struct finding *finding, const char *name, enum unit unit, int64_t value)
{
    if (finding->value_count < FINDING_VALUES_MAX)
        finding->values[finding->value_count++] = (struct finding_value){name, unit, value};
}

static void add_reduced(struct inquiry *inquiry, enum rule rule, enum side side, um nominal,
                        const struct finding_value *values, int count)
{
    um limit = (um)((int64_t)nominal * inquiry->protocol->reduce_permille / 1000);
    struct finding *finding = finding_add(inquiry, rule, EFFECT_LIMIT, side, limit);

    for (int i = 0; i < count; i++)
        finding_number(finding, values[i].name, values[i].unit, values[i].value);
}

void finding_reduced(struct inquiry *inquiry, enum rule rule, const struct finding_value *values,
                     int count)
{
    const struct side_facts *right = &inquiry->side[SIDE_RIGHT], *left = &inquiry->side[SIDE_LEFT];

    if (right->planned && left->planned && right->nominal == left->nominal) {
        add_reduced(inquiry, rule, SIDE_NONE, right->nominal, values, count);
        return;
    }
    for (int s = SIDES_FIRST; s <= SIDES_LAST; s++) {
        if (inquiry->side[s].planned)
            add_reduced(inquiry, rule, (enum side)s, inquiry->side[s].nominal, values, count);
    }
}

static bool asked(uint64_t mask, int rule)
{
    return (mask >> rule & 1U) != 0;
}

/* nominal stands before any rule is asked, for the window and every "reduced" rest on it. */
static void find_nominal(struct inquiry *inquiry, uint64_t mask)
{
    for (int s = SIDES_FIRST; s <= SIDES_LAST; s++) {
        struct side_facts *side = &inquiry->side[s];
        bool lowered = false;
        for (int i = RULE_NONE + 1; side->planned && i < RULE_COUNT && !lowered; i++)
            lowered = entries[i].lowers != NULL && asked(mask, i) &&
                      entries[i].lowers(inquiry, (enum side)s);
        side->nominal = !side->planned ? 0
                        : lowered      ? inquiry->protocol->first_step_max
                                       : inquiry->protocol->step_max;
    }
}

bool rules_judge_masked(const struct history *history, const struct question *question,
                        uint64_t mask, struct judgement *judgement)
{
    const struct expander *expander = inquiry_expander(history, question->arch, question->today);
    struct inquiry inquiry;

    if (expander == NULL)
        return false;
    inquiry.history = history;
    inquiry.protocol = history->protocol;
    inquiry.question = question;
    inquiry.expander = expander;
    inquiry.reach = (struct reach){
        question->strictly_before ? question->today - 1 : question->today, question->except};
    inquiry.judgement = judgement;
    judgement->arch = question->arch;
    judgement->expander = expander;
    judgement->finding_count = 0;
    judgement->lag_switched_off = false;
    inquiry_collect(&inquiry);
    find_nominal(&inquiry, mask);
    for (int i = RULE_NONE + 1; i < RULE_COUNT; i++) {
        if (asked(mask, i))
            entries[i].judge(&inquiry);
    }
    rules_replay(judgement->findings, judgement->finding_count, expander->sides,
                 history->protocol->step_grain, judgement);
    judge_next_visit(&inquiry);
    return true;
}

bool rules_judge(const struct history *history, const struct question *question,
                 struct judgement *judgement)
{
    return rules_judge_masked(history, question, RULES_ALL, judgement);
}
