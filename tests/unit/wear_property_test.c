/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What must hold of the judgement of one period, tried on generated days and counts, many of them
 * half-filled or overlapping; and the judgement against a second, plain one by the letter of the
 * definition, written here day by day.
 *
 *     wear_property_test [SEED [CASES]]
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "../../src/core/wear_private.h"
#include "case_random.h"

enum { PERIOD_DAYS = 28 };

struct run {
    uint64_t seed;
    long cases;
    long classes[WEAR_FULL + 1];
    long stricter_than_letter, said_stricter, differs;
};

/* What a class permits, least first: an unknown period is reduced, as a short one, but does not
 * count towards a rest. */
static int rank(enum wear_class class)
{
    static const int ranks[] = {
        [WEAR_LOW] = 0, [WEAR_SHORT] = 1, [WEAR_UNKNOWN] = 2, [WEAR_FULL] = 3};

    return ranks[class];
}

static void make_day(struct case_maker *maker, struct random *random, enum source source,
                     int32_t ago, int32_t good, int32_t half)
{
    bool met = random_chance(random, good);
    int32_t minutes = met ? random_between(random, 40, 140) : random_between(random, 0, 70);
    enum answer night = met || random_chance(random, 60) ? ANSWER_YES : ANSWER_NO;

    if (random_chance(random, half)) {
        if (random_chance(random, 80))
            night = ANSWER_NONE;
        else
            minutes = -1;
    }
    case_wear_day(maker, source, ago, minutes, night);
}

static void make_source(struct case_maker *maker, struct random *random, enum source source)
{
    int32_t good = 10 * random_between(random, 2, 10), half = 10 * random_between(random, 0, 9);
    int32_t kept = 10 * random_between(random, 2, 10);

    if (random_chance(random, 60)) {
        for (int32_t ago = PERIOD_DAYS; ago >= 1; ago--) {
            if (random_chance(random, kept))
                make_day(maker, random, source, ago, good, half);
        }
    }
    for (int32_t i = random_between(random, -2, 3); i > 0; i--) {
        int32_t to = random_between(random, 1, PERIOD_DAYS), days = random_between(random, 1, 35);
        int32_t asked = random_chance(random, 70) ? days : random_between(random, 1, days);
        if (random_chance(random, 5)) /* more days than there are */
            asked += random_between(random, 1, 20);
        case_count(maker, source, to + days - 1, to, random_between(random, asked / 3, asked),
                   asked);
    }
}

static void make_protocol(struct protocol *protocol, struct random *random)
{
    protocol->wear_full_permille = random_between(random, 60, 95) * 10;
    protocol->wear_low_permille = random_between(random, 30, 60) * 10 - 10;
    protocol->wear_known_min_permille = random_between(random, 1, 80) * 10;
    protocol->wear_differs_days = random_between(random, 1, 14);
    protocol->wear_day_min_minutes = random_between(random, 30, 90);
}

static void make_wear(struct case_maker *maker, struct random *random)
{
    case_begin(maker);
    make_protocol(&maker->protocol, random);
    case_trainer(maker, 200, CASE_NEVER);
    if (random_chance(random, 20)) {
        maker->trainers[0].ended_on = case_day(maker, random_between(random, 1, PERIOD_DAYS));
        case_trainer(maker, random_between(random, 0, 10), CASE_NEVER);
    }
    for (int source = SOURCE_SENSOR; source <= SOURCE_TOLD; source++) {
        if (random_chance(random, 70))
            make_source(maker, random, (enum source)source);
    }
}

static struct wear_period judge(const struct case_maker *maker)
{
    struct wear_period period;

    wear_judge(&maker->history, &maker->protocol, case_day(maker, PERIOD_DAYS), case_day(maker, 1),
               &period);
    return period;
}

/* ---- the letter ------------------------------------------------------------------------------ */

struct letter_source {
    int64_t known, met;
};

/* "A day with one part empty is missed if the filled part fails, else unknown." */
static void letter_days(const struct case_maker *maker, enum source source,
                        struct letter_source *sum)
{
    for (size_t i = 0; i < maker->history.wear_day_count; i++) {
        const struct wear_day *record = &maker->wear_days[i];
        bool minutes_fail =
            record->day_minutes >= 0 && record->day_minutes < maker->protocol.wear_day_min_minutes;
        bool complete = record->day_minutes >= 0 && record->night != ANSWER_NONE;
        if (record->source != source || !wear_trainer_current(&maker->history, record->date))
            continue;
        if (minutes_fail || record->night == ANSWER_NO) {
            sum->known++;
        } else if (complete) {
            sum->known++;
            sum->met++;
        }
    }
}

static bool overlap(const struct wear_count *a, const struct wear_count *b)
{
    return a->source == b->source && a->from <= b->to && b->from <= a->to;
}

/* A count is cut to the days with a trainer within its own span, and to the period. */
static struct letter_source letter_cut(const struct case_maker *maker,
                                       const struct wear_count *count, int32_t days)
{
    struct letter_source cut = {0, 0};

    for (day date = count->from; date <= count->to; date++)
        cut.known += wear_trainer_current(&maker->history, date);
    cut.known = cut.known < count->days_asked ? cut.known : count->days_asked;
    cut.known = cut.known < days ? cut.known : days;
    cut.met = count->days_met * cut.known / count->days_asked;
    return cut;
}

/* Groups of counts that overlap, directly or through others, by their lowest member. A count that
 * knows nothing brings none together. */
static void letter_groups(const struct case_maker *maker, int32_t days,
                          size_t group[CASE_WEAR_COUNTS])
{
    size_t count = maker->history.wear_count_count;

    for (size_t i = 0; i < count; i++)
        group[i] = i;
    for (size_t pass = 0; pass < count; pass++) {
        for (size_t i = 0; i < count; i++) {
            for (size_t j = 0; j < count; j++) {
                const struct wear_count *a = &maker->wear_counts[i], *b = &maker->wear_counts[j];
                if (overlap(a, b) && group[j] < group[i] && letter_cut(maker, a, days).known > 0 &&
                    letter_cut(maker, b, days).known > 0)
                    group[i] = group[j];
            }
        }
    }
}

/* "Counts that overlap: the one with the lowest share stands, else they add." */
static void letter_counts(const struct case_maker *maker, enum source source, int32_t days,
                          struct letter_source *sum)
{
    size_t group[CASE_WEAR_COUNTS], count = maker->history.wear_count_count;

    letter_groups(maker, days, group);
    for (size_t i = 0; i < count; i++) {
        struct letter_source stands = {0, 0};
        for (size_t j = 0; j < count; j++) {
            struct letter_source other = letter_cut(maker, &maker->wear_counts[j], days);
            if (group[j] != i || maker->wear_counts[j].source != source || other.known == 0)
                continue;
            int64_t lower = other.met * stands.known - stands.met * other.known;
            if (stands.known == 0 || lower < 0 || (lower == 0 && other.known > stands.known))
                stands = other;
        }
        sum->known += stands.known;
        sum->met += stands.met;
    }
    if (sum->known > days) {
        sum->met = sum->met * days / sum->known;
        sum->known = days;
    }
}

static enum wear_class letter_class(const struct case_maker *maker, int32_t days)
{
    const struct protocol *protocol = &maker->protocol;

    for (int s = SOURCE_SENSOR; s <= SOURCE_TOLD; s++) {
        struct letter_source by_day = {0, 0}, by_count = {0, 0};
        letter_days(maker, (enum source)s, &by_day);
        letter_counts(maker, (enum source)s, days, &by_count);
        const struct letter_source *known = by_day.known >= by_count.known ? &by_day : &by_count;
        if (known->known <= 0 ||
            known->known * 1000 < (int64_t)protocol->wear_known_min_permille * days)
            continue;
        if (known->met * 1000 >= protocol->wear_full_permille * known->known)
            return WEAR_FULL;
        return known->met * 1000 >= protocol->wear_low_permille * known->known ? WEAR_SHORT
                                                                               : WEAR_LOW;
    }
    return WEAR_UNKNOWN;
}

/* True when nothing half-filled and no counts that overlap bring the two readings apart. */
static bool plain(const struct case_maker *maker)
{
    const struct history *history = &maker->history;

    for (size_t i = 0; i < history->wear_day_count; i++) {
        if (maker->wear_days[i].night == ANSWER_NONE)
            return false;
    }
    for (size_t i = 0; i < history->wear_count_count; i++) {
        for (size_t j = 0; j < i; j++) {
            if (overlap(&maker->wear_counts[i], &maker->wear_counts[j]))
                return false;
        }
    }
    return true;
}

/* ---- the properties -------------------------------------------------------------------------- */

static void broken(const struct run *run, long number, const char *property, int64_t value,
                   enum wear_class before, enum wear_class after)
{
    fail_msg("seed %llu, case %ld: %s (%lld): class %d turns into %d",
             (unsigned long long)run->seed, number, property, (long long)value, (int)before,
             (int)after);
}

/* Neither may the class rise, nor the finding that a better source says less vanish beside it. */
static bool eased(const struct wear_period *after, const struct wear_period *before)
{
    return rank(after->class) > rank(before->class) ||
           (after->class == WEAR_FULL && before->differs != SOURCE_NONE &&
            after->differs == SOURCE_NONE);
}

static void try_setting(const struct run *run, long number, struct case_maker *maker,
                        int32_t *setting, int32_t change, const char *name)
{
    struct wear_period before = judge(maker);
    int32_t kept = *setting;

    *setting += change;
    if (protocol_check(&maker->protocol, NULL) == STATUS_OK) {
        struct wear_period after = judge(maker);
        if (eased(&after, &before))
            broken(run, number, name, *setting, before.class, after.class);
    }
    *setting = kept;
}

static void try_settings(const struct run *run, long number, struct case_maker *maker,
                         struct random *random)
{
    struct protocol *protocol = &maker->protocol;

    try_setting(run, number, maker, &protocol->wear_day_min_minutes, random_between(random, 1, 60),
                "more minutes asked for");
    try_setting(run, number, maker, &protocol->wear_full_permille, random_between(random, 1, 300),
                "a higher wear_full");
    try_setting(run, number, maker, &protocol->wear_low_permille, random_between(random, 1, 300),
                "a higher wear_low");
    try_setting(run, number, maker, &protocol->wear_differs_days, -random_between(random, 1, 8),
                "fewer wear_differs_days");
}

static void try_misses(const struct run *run, long number, struct case_maker *maker,
                       struct random *random)
{
    struct wear_period before = judge(maker);
    int32_t days = (int32_t)maker->history.wear_day_count;
    int32_t counts = (int32_t)maker->history.wear_count_count;

    if (days > 0) {
        struct wear_day *record = &maker->wear_days[random_between(random, 0, days - 1)];
        struct wear_day kept = *record;
        if (wear_day_state(record, &maker->protocol) == DAY_MET) {
            record->night = ANSWER_NO;
            struct wear_period after = judge(maker);
            if (eased(&after, &before))
                broken(run, number, "a missed day", record->date, before.class, after.class);
        }
        *record = kept;
    }
    if (counts > 0) {
        struct wear_count *record = &maker->wear_counts[random_between(random, 0, counts - 1)];
        int32_t kept = record->days_met;
        record->days_met = random_between(random, 0, kept);
        struct wear_period after = judge(maker);
        if (eased(&after, &before))
            broken(run, number, "a missed day of a count", kept, before.class, after.class);
        record->days_met = kept;
    }
}

/* What whoever reads met of known, and of how many days, takes the class to be. */
static enum wear_class shown_class(const struct case_maker *maker, const struct wear_period *period)
{
    const struct protocol *protocol = &maker->protocol;
    double share = (double)period->judged.met / period->judged.known;

    if (period->judged.known * 1000 < protocol->wear_known_min_permille * period->days)
        return WEAR_UNKNOWN;
    if (share >= protocol->wear_full_permille / 1000.0)
        return WEAR_FULL;
    return share >= protocol->wear_low_permille / 1000.0 ? WEAR_SHORT : WEAR_LOW;
}

/* A class is that of the days shown, or is said to be stricter; and never is it better. */
static void try_shown(struct run *run, long number, const struct case_maker *maker,
                      const struct wear_period *period)
{
    run->said_stricter += period->stricter;
    if (plain(maker) && period->stricter)
        broken(run, number, "stricter without a cause", 0, period->class, period->class);
    if (period->source != SOURCE_NONE) {
        enum wear_class shown = shown_class(maker, period);
        if (rank(period->class) > rank(shown) ||
            period->stricter != (rank(period->class) < rank(shown)))
            broken(run, number, "not as shown", period->stricter, shown, period->class);
        return;
    }
    bool enough = false;
    for (int s = SOURCE_SENSOR; s <= SOURCE_TOLD; s++)
        enough = enough || (period->sources[s].known > 0 &&
                            period->sources[s].known * 1000 >=
                                maker->protocol.wear_known_min_permille * period->days);
    if (enough != period->stricter)
        broken(run, number, "unknown though shown", enough, period->class, period->class);
}

/* Never better than the letter; the same where nothing brings them apart. */
static void try_letter(struct run *run, long number, const struct case_maker *maker)
{
    struct wear_period period = judge(maker);
    enum wear_class letter = letter_class(maker, period.days);

    run->classes[period.class]++;
    run->differs += period.differs != SOURCE_NONE;
    run->stricter_than_letter += period.class != letter;
    try_shown(run, number, maker, &period);
    if (period.days == 0)
        letter = WEAR_UNKNOWN;
    if (plain(maker) && letter != period.class)
        broken(run, number, "not by the letter", 0, letter, period.class);
    if (rank(period.class) > rank(letter))
        broken(run, number, "better than the letter", 0, letter, period.class);
}

static void a_period_is_judged_safely(void **state)
{
    struct run *run = *state;
    struct case_maker maker;

    for (long number = 0; number < run->cases; number++) {
        struct random random = {run->seed + (uint64_t)number * UINT64_C(0xD1B54A32D192ED03)};
        make_wear(&maker, &random);
        try_letter(run, number, &maker);
        try_settings(run, number, &maker, &random);
        try_misses(run, number, &maker, &random);
    }
    print_message(
        "seed %llu, %ld periods: unknown %ld, low %ld, short %ld, full %ld; %ld not as by "
        "the letter, %ld not as shown; %ld where a better source says less\n",
        (unsigned long long)run->seed, run->cases, run->classes[WEAR_UNKNOWN],
        run->classes[WEAR_LOW], run->classes[WEAR_SHORT], run->classes[WEAR_FULL],
        run->stricter_than_letter, run->said_stricter, run->differs);
    if (run->cases >= 10000)
        assert_true(run->said_stricter >= run->cases / 100);
    for (int class = WEAR_UNKNOWN; run->cases >= 10000 && class <= WEAR_FULL; class ++)
        assert_true(run->classes[class] >= run->cases / 50);
}

int main(int argc, char **argv)
{
    const char *fewer = getenv("SPRINGLINE_PROPERTY_CASES");
    struct run run = {.seed = 20260601, .cases = 100000};
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_prestate(a_period_is_judged_safely, &run),
    };

    if (fewer != NULL) /* where each instruction is watched */
        run.cases = strtol(fewer, NULL, 10);
    if (argc > 1)
        run.seed = strtoull(argv[1], NULL, 10);
    if (argc > 2)
        run.cases = strtol(argv[2], NULL, 10);
    return cmocka_run_group_tests(tests, NULL, NULL);
}
