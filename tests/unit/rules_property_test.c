/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What must hold of the rules for every input, tried on generated histories. The first history that
 * breaks a property is printed: its number under the seed, what was changed, and both answers.
 *
 *     rules_property_test [SEED [CASES]]
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

#include "../../src/core/rules_private.h"
#include "case_random.h"

struct run {
    uint64_t seed;
    long cases;
    long fired[RULE_COUNT];
    long verdicts[VERDICT_REST + 1];
    long tried[8]; /* how often each change could be made */
};

enum { TRIED_MISSED, TRIED_COUNT, TRIED_LARGER, TRIED_STRICTER, TRIED_MASKED };

static bool same_finding(const struct finding *a, const struct finding *b)
{
    bool same = a->rule == b->rule && a->effect == b->effect && a->side == b->side &&
                a->limit == b->limit && a->setting == b->setting &&
                a->setting_value == b->setting_value && a->value_count == b->value_count;

    for (int i = 0; same && i < a->value_count; i++)
        same = strcmp(a->values[i].name, b->values[i].name) == 0 &&
               a->values[i].unit == b->values[i].unit && a->values[i].value == b->values[i].value;
    return same;
}

static bool same_answer(const struct judgement *a, const struct judgement *b)
{
    bool same = a->verdict == b->verdict && a->permitted_right == b->permitted_right &&
                a->permitted_left == b->permitted_left && a->nominal_right == b->nominal_right &&
                a->nominal_left == b->nominal_left && a->finding_count == b->finding_count &&
                a->next_from == b->next_from && a->next_to == b->next_to &&
                a->lag_switched_off == b->lag_switched_off;

    for (int i = 0; same && i < a->finding_count; i++)
        same = same_finding(&a->findings[i], &b->findings[i]);
    return same;
}

static void broken(const struct run *run, long number, const char *property, const char *change,
                   int64_t value, const struct judgement *before, const struct judgement *after)
{
    print_message("%s: seed %llu, case %ld, %s %lld\n before: ", property,
                  (unsigned long long)run->seed, number, change, (long long)value);
    case_print(before);
    print_message(" after:  ");
    case_print(after);
    fail_msg("%s does not hold", property);
}

/* Every generated case has an upper expander. */
static struct judgement judge(const struct case_maker *maker)
{
    struct judgement judgement;

    case_judge(maker, &judgement);
    return judgement;
}

static bool permits_more(const struct judgement *after, const struct judgement *before)
{
    return after->permitted_right > before->permitted_right ||
           after->permitted_left > before->permitted_left;
}

/* A met day turned into a missed one never permits more: one of the day records ... */
static void try_missed_day(struct run *run, long number, struct case_maker *maker,
                           struct random *random, const struct judgement *before)
{
    size_t count = maker->history.wear_day_count;

    if (count == 0)
        return;
    struct wear_day *record = &maker->wear_days[random_between(random, 0, (int32_t)count - 1)];
    struct wear_day kept = *record;
    if (wear_day_state(record, &maker->protocol) != DAY_MET)
        return;
    run->tried[TRIED_MISSED]++;
    if (random_chance(random, 50) && maker->protocol.wear_night == ANSWER_YES)
        record->night = ANSWER_NO;
    else
        record->day_minutes = maker->protocol.wear_day_min_minutes - 1;
    struct judgement after = judge(maker);
    if (permits_more(&after, before))
        broken(run, number, "missed day", "on day", record->date, before, &after);
    *record = kept;
}

/* ... or one or more of a count. */
static void try_missed_count(struct run *run, long number, struct case_maker *maker,
                             struct random *random, const struct judgement *before)
{
    size_t count = maker->history.wear_count_count;

    if (count == 0)
        return;
    struct wear_count *record = &maker->wear_counts[random_between(random, 0, (int32_t)count - 1)];
    struct wear_count kept = *record;
    if (record->days_met == 0)
        return;
    run->tried[TRIED_COUNT]++;
    record->days_met = random_between(random, 0, record->days_met - 1);
    struct judgement after = judge(maker);
    if (permits_more(&after, before))
        broken(run, number, "missed day of a count", "met", record->days_met, before, &after);
    *record = kept;
}

/* A larger amount on a side already above 0 never permits more on that side. */
static void try_larger_amount(struct run *run, long number, struct case_maker *maker,
                              struct random *random, const struct judgement *before)
{
    size_t count = maker->history.visit_count;
    bool right = random_chance(random, 50);

    if (count == 0)
        return;
    struct visit *visit = &maker->visits[random_between(random, 0, (int32_t)count - 1)];
    um *amount = right ? &visit->right : &visit->left, kept = *amount;
    if (kept <= 0)
        return;
    run->tried[TRIED_LARGER]++;
    *amount += 10 * random_between(random, 1, 300);
    struct judgement after = judge(maker);
    if (right ? after.permitted_right > before->permitted_right
              : after.permitted_left > before->permitted_left)
        broken(run, number, "larger amount", "micrometres", *amount, before, &after);
    *amount = kept;
}

/*
 * What makes a limit or threshold stricter. Apart by domain: wear_known_min, wear_period_min_days,
 * width_error. No limits or thresholds: wear_night (what a day is made of), the recheck days,
 * retention and separators (no verdict reads them). The grain permits less in whole multiples of
 * itself.
 */
static const struct {
    enum setting setting;
    int32_t stricter; /* 1: a larger value, -1: a smaller one */
    int32_t most;     /* change */
} strictness[] = {
    {SETTING_FIRST_STEP_MAX, -1, 1000}, {SETTING_STEP_MAX, -1, 1500},
    {SETTING_INTERVAL_MIN, 1, 20},      {SETTING_INTERVAL_MAX, -1, 20},
    {SETTING_RESTART_AFTER, -1, 40},    {SETTING_WINDOW_DAYS, 1, 60},
    {SETTING_WINDOW_MAX, -1, 3000},     {SETTING_WEAR_DAY_MIN, 1, 120},
    {SETTING_WEAR_FULL, 1, 300},        {SETTING_WEAR_LOW, 1, 300},
    {SETTING_WEAR_THIN, 1, 500},        {SETTING_WEAR_DIFFERS, -1, 10},
    {SETTING_REDUCE_FACTOR, -1, 500},   {SETTING_WEAR_RUN_HOLD, -1, 3},
    {SETTING_WEAR_RUN_REST, -1, 3},     {SETTING_SIDE_GAP, -1, 1000},
    {SETTING_LAG_TOTAL, -1, 4000},      {SETTING_LAG_DAYS, -1, 60},
    {SETTING_LAG_SHARE, 1, 500},        {SETTING_WIDTH_RATE_MAX, -1, 1000},
    {SETTING_WIDTH_STALE, -1, 40},      {SETTING_WIDTH_MISSING, -1, 80},
    {SETTING_LOWER_AFTER, 1, 100},      {SETTING_ENTRY_CAP, -1, 3000},
    {SETTING_STEP_GRAIN, 1, 0},
};

static int32_t *setting_field(struct protocol *protocol, enum setting setting)
{
    return (int32_t *)(void *)((char *)protocol + protocol_settings[setting].offset);
}

static void try_stricter_setting(struct run *run, long number, struct case_maker *maker,
                                 struct random *random, const struct judgement *before)
{
    int32_t count = (int32_t)(sizeof strictness / sizeof strictness[0]);
    int32_t i = random_between(random, 0, count - 1);
    enum setting setting = strictness[i].setting;
    int32_t *value = setting_field(&maker->protocol, setting), kept = *value;

    if (setting == SETTING_STEP_GRAIN)
        *value *= random_between(random, 2, 5);
    else
        *value += strictness[i].stricter * random_between(random, 1, strictness[i].most);
    if (protocol_check(&maker->protocol, NULL) == STATUS_OK) {
        run->tried[TRIED_STRICTER]++;
        struct judgement after = judge(maker);
        if (permits_more(&after, before))
            broken(run, number, "stricter setting", protocol_settings[setting].name, *value, before,
                   &after);
    }
    *value = kept;
}

static void try_other_order(struct run *run, long number, struct case_maker *maker,
                            struct random *random, const struct judgement *before)
{
    case_shuffle(maker, random);
    struct judgement after = judge(maker);
    if (!same_answer(before, &after))
        broken(run, number, "order of records", "shuffled", 0, before, &after);
}

/* A rule that did not fire did not change the answer: without it the answer is the same. */
static void try_without_silent_rules(struct run *run, long number, const struct case_maker *maker,
                                     const struct judgement *before)
{
    uint64_t silent = RULES_ALL;
    struct judgement after;

    for (int i = 0; i < before->finding_count; i++)
        silent &= ~(UINT64_C(1) << before->findings[i].rule);
    for (int rule = RULE_NONE + 1; rule < RULE_COUNT; rule++) {
        uint64_t bit = UINT64_C(1) << rule;
        if ((silent & bit) == 0)
            continue;
        run->tried[TRIED_MASKED]++;
        assert_true(
            rules_judge_masked(&maker->history, &maker->question, RULES_ALL & ~bit, &after));
        /* the note that width-lag was not judged is all that the silent rule may leave */
        if (rule == RULE_WIDTH_LAG)
            after.lag_switched_off = before->lag_switched_off;
        if (!same_answer(before, &after))
            broken(run, number, "silent rule", rule_row((enum rule)rule)->name, 0, before, &after);
    }
}

/* permitted of one side from the findings, by the words of the domain and nothing else. */
static um permitted_by_findings(const struct judgement *judgement, enum side side, um grain)
{
    int64_t least = INT64_MAX;

    for (int i = 0; i < judgement->finding_count; i++) {
        const struct finding *finding = &judgement->findings[i];
        int64_t limit = finding->effect == EFFECT_LIMIT ? finding->limit : 0;
        if (finding->effect == EFFECT_CAUTION ||
            (finding->side != SIDE_NONE && finding->side != side))
            continue;
        least = limit < least ? limit : least;
    }
    return least < 0 ? 0 : (um)(least / grain * grain);
}

static um step_of(const struct judgement *judgement, enum side side)
{
    const struct finding *first = case_finding(judgement, RULE_FIRST_STEP, side);
    const struct finding *step = case_finding(judgement, RULE_STEP_SIZE, side);

    if (first != NULL && step == NULL)
        return first->limit;
    if (step != NULL && first == NULL)
        return step->limit;
    fail_msg("not exactly one of first-step and step-size");
    return 0;
}

static bool less_than_step(const struct judgement *judgement, bool right, bool left)
{
    return (right && judgement->permitted_right < step_of(judgement, SIDE_RIGHT)) ||
           (left && judgement->permitted_left < step_of(judgement, SIDE_LEFT));
}

/* The findings alone reproduce permitted and verdict; permitted is at most nominal. */
static void check_findings(struct run *run, long number, const struct case_maker *maker,
                           const struct judgement *before)
{
    enum sides sides = before->expander->sides;
    bool right = sides == SIDES_BOTH || sides == SIDES_RIGHT;
    bool left = sides == SIDES_BOTH || sides == SIDES_LEFT;
    um grain = maker->protocol.step_grain;
    struct judgement after = *before;

    after.permitted_right = right ? permitted_by_findings(before, SIDE_RIGHT, grain) : 0;
    after.permitted_left = left ? permitted_by_findings(before, SIDE_LEFT, grain) : 0;
    after.verdict = VERDICT_PROCEED;
    if (less_than_step(&after, right, left))
        after.verdict = VERDICT_REDUCE;
    if (after.permitted_right == 0 && after.permitted_left == 0)
        after.verdict = VERDICT_HOLD;
    if (case_finding(before, RULE_WEAR_REST, SIDE_NONE) != NULL)
        after.verdict = VERDICT_REST;
    if (!same_answer(before, &after))
        broken(run, number, "findings alone", "by the test", 0, before, &after);
    after.verdict = VERDICT_NONE;
    after.permitted_right = after.permitted_left = after.nominal_right = after.nominal_left = -1;
    rules_replay(before->findings, before->finding_count, sides, grain, &after);
    if (!same_answer(before, &after))
        broken(run, number, "findings alone", "rules_replay", 0, before, &after);
    if (before->permitted_right > before->nominal_right ||
        before->permitted_left > before->nominal_left)
        broken(run, number, "permitted above nominal", "", 0, before, before);
    if (before->next_from <= maker->today || before->next_to < before->next_from)
        broken(run, number, "next visit", "", 0, before, before);
}

static void count_answer(struct run *run, const struct judgement *judgement)
{
    bool fired[RULE_COUNT] = {false};

    run->verdicts[judgement->verdict]++;
    for (int i = 0; i < judgement->finding_count; i++)
        fired[judgement->findings[i].rule] = true;
    for (int rule = 0; rule < RULE_COUNT; rule++)
        run->fired[rule] += fired[rule];
}

/* Properties that are never met by the generated cases would be tested in vain. */
static void check_reached(const struct run *run)
{
    print_message("seed %llu, %ld cases: proceed %ld, reduce %ld, hold %ld, rest %ld\n",
                  (unsigned long long)run->seed, run->cases, run->verdicts[VERDICT_PROCEED],
                  run->verdicts[VERDICT_REDUCE], run->verdicts[VERDICT_HOLD],
                  run->verdicts[VERDICT_REST]);
    print_message("missed days %ld, missed days of counts %ld, larger amounts %ld, stricter "
                  "settings %ld, silent rules %ld\n",
                  run->tried[TRIED_MISSED], run->tried[TRIED_COUNT], run->tried[TRIED_LARGER],
                  run->tried[TRIED_STRICTER], run->tried[TRIED_MASKED]);
    for (int rule = RULE_NONE + 1; rule < RULE_COUNT; rule++) {
        print_message("%s %ld%s", rule_row((enum rule)rule)->name, run->fired[rule],
                      rule + 1 == RULE_COUNT ? "\n" : ", ");
        if (run->cases >= 10000)
            assert_in_range(run->fired[rule], run->cases / 2000, run->cases);
    }
    for (int verdict = VERDICT_PROCEED; run->cases >= 10000 && verdict <= VERDICT_REST; verdict++)
        assert_true(run->verdicts[verdict] >= run->cases / 200);
}

static void properties_hold_for_every_history(void **state)
{
    struct run *run = *state;
    struct random random = {run->seed};
    struct case_maker maker;

    for (long number = 0; number < run->cases; number++) {
        random.state = run->seed + (uint64_t)number * UINT64_C(0xD1B54A32D192ED03);
        case_random(&maker, &random);
        struct judgement before = judge(&maker);
        count_answer(run, &before);
        check_findings(run, number, &maker, &before);
        try_without_silent_rules(run, number, &maker, &before);
        for (int i = 0; i < 6; i++) {
            try_missed_day(run, number, &maker, &random, &before);
            try_missed_count(run, number, &maker, &random, &before);
            try_larger_amount(run, number, &maker, &random, &before);
            try_stricter_setting(run, number, &maker, &random, &before);
        }
        try_other_order(run, number, &maker, &random, &before);
    }
    check_reached(run);
}

int main(int argc, char **argv)
{
    const char *fewer = getenv("SPRINGLINE_PROPERTY_CASES");
    struct run run = {.seed = 20260601, .cases = 100000};
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_prestate(properties_hold_for_every_history, &run),
    };

    if (fewer != NULL) /* where each instruction is watched */
        run.cases = strtol(fewer, NULL, 10);
    if (argc > 1)
        run.seed = strtoull(argv[1], NULL, 10);
    if (argc > 2)
        run.cases = strtol(argv[2], NULL, 10);
    return cmocka_run_group_tests(tests, NULL, NULL);
}
