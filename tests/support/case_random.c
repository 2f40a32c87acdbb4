/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "case_random.h"

#include <string.h>

uint64_t random_next(struct random *random)
{
    uint64_t z = random->state += UINT64_C(0x9E3779B97F4A7C15);

    z = (z ^ z >> 30) * UINT64_C(0xBF58476D1CE4E5B9);
    z = (z ^ z >> 27) * UINT64_C(0x94D049BB133111EB);
    return z ^ z >> 31;
}

int32_t random_between(struct random *random, int32_t least, int32_t most)
{
    uint64_t span = most > least ? (uint64_t)((int64_t)most - least + 1) : 1;

    return (int32_t)(least + (int64_t)(random_next(random) % span));
}

bool random_chance(struct random *random, int32_t percent)
{
    return random_between(random, 1, 100) <= percent;
}

/* Settings that vary widely, each in a range in which it can matter to the cases made here. */
static const struct {
    enum setting setting;
    int32_t least, most, grain;
} varied[] = {
    {SETTING_FIRST_STEP_MAX, 500, 2000, 10}, {SETTING_STEP_MAX, 500, 3000, 10},
    {SETTING_STEP_GRAIN, 10, 500, 10},       {SETTING_INTERVAL_MIN, 1, 35, 1},
    {SETTING_INTERVAL_MAX, 14, 60, 1},       {SETTING_RESTART_AFTER, 15, 120, 1},
    {SETTING_WINDOW_DAYS, 7, 120, 1},        {SETTING_WINDOW_MAX, 500, 8000, 10},
    {SETTING_WEAR_DAY_MIN, 1, 120, 1},       {SETTING_WEAR_FULL, 500, 1000, 1},
    {SETTING_WEAR_LOW, 100, 900, 1},         {SETTING_WEAR_KNOWN_MIN, 1, 1000, 1},
    {SETTING_WEAR_THIN, 0, 1000, 1},         {SETTING_WEAR_PERIOD_MIN, 1, 40, 1},
    {SETTING_WEAR_DIFFERS, 1, 20, 1},        {SETTING_REDUCE_FACTOR, 1, 999, 1},
    {SETTING_WEAR_RUN_HOLD, 1, 5, 1},        {SETTING_WEAR_RUN_REST, 1, 6, 1},
    {SETTING_SIDE_GAP, 0, 3000, 10},         {SETTING_LAG_TOTAL, 0, 8000, 10},
    {SETTING_LAG_DAYS, 0, 120, 1},           {SETTING_LAG_SHARE, 0, 1000, 1},
    {SETTING_WIDTH_RATE_MAX, 0, 2000, 10},   {SETTING_WIDTH_STALE, 7, 90, 1},
    {SETTING_WIDTH_MISSING, 7, 180, 1},      {SETTING_WIDTH_ERROR, 0, 600, 1},
    {SETTING_LOWER_AFTER, 0, 200, 1},
};

static void vary_protocol(struct protocol *protocol, struct random *random)
{
    size_t count = sizeof varied / sizeof varied[0];

    for (int32_t changes = random_between(random, 1, 12); changes > 0; changes--) {
        size_t i = (size_t)random_between(random, 0, (int32_t)count - 1);
        struct protocol before = *protocol;
        int32_t value = random_between(random, varied[i].least, varied[i].most);
        value -= value % varied[i].grain;
        memcpy((char *)protocol + protocol_settings[varied[i].setting].offset, &value,
               sizeof value);
        if (protocol_check(protocol, NULL) != STATUS_OK)
            *protocol = before;
    }
    if (random_chance(random, 10))
        protocol->wear_night = ANSWER_NO;
}

static void make_trainers(struct case_maker *maker, struct random *random)
{
    int32_t issued = random_between(random, 60, 300);
    int32_t count = random_chance(random, 3) ? 0 : random_between(random, 1, 3);

    for (int32_t i = count; i > 0; i--) {
        int32_t ended = random_between(random, 0, issued);
        case_trainer(maker, issued, i == 1 && random_chance(random, 95) ? CASE_NEVER : ended);
        issued = random_chance(random, 60) ? ended : ended - random_between(random, 0, 20);
        if (issued < 0)
            issued = 0;
    }
}

static enum answer fit_answer(struct random *random)
{
    return random_chance(random, 99) ? ANSWER_YES : (enum answer)random_between(random, 0, 2);
}

static void make_expander(struct case_maker *maker, struct random *random, enum arch arch,
                          int32_t fitted)
{
    struct expander *expander = case_expander(maker, arch, fitted);

    expander->passive_ends = fit_answer(random);
    expander->tied = fit_answer(random);
    if (random_chance(random, 20))
        expander->sides = random_chance(random, 50) ? SIDES_RIGHT : SIDES_LEFT;
    if (random_chance(random, 1))
        expander->sides = SIDES_NONE;
    if (random_chance(random, 20))
        expander->plan_gap = 10 * random_between(random, -200, 200);
    expander->target =
        random_chance(random, 10) ? UM_NONE : 36000 + 10 * random_between(random, 200, 2500);
    if (random_chance(random, 5))
        expander->out_on = case_day(maker, random_between(random, -10, 60));
    if (random_chance(random, 3))
        expander->passive_on = case_day(maker, random_between(random, -10, 60));
}

static void make_expanders(struct case_maker *maker, struct random *random)
{
    int32_t fitted = random_between(random, 0, 260);

    make_expander(maker, random, ARCH_UPPER, fitted);
    if (random_chance(random, 20))
        make_expander(maker, random, ARCH_UPPER, random_between(random, -5, fitted));
    if (random_chance(random, 30))
        make_expander(maker, random, ARCH_LOWER, random_between(random, 0, 200));
}

static um random_amount(struct random *random)
{
    int32_t kind = random_between(random, 1, 20);

    if (kind == 1)
        return UM_NONE;
    if (kind <= 3)
        return 0;
    return kind <= 15 ? 250 * random_between(random, 1, 8) : 10 * random_between(random, 1, 450);
}

static void make_visit(struct case_maker *maker, struct random *random, int32_t ago)
{
    enum visit_kind kind = random_chance(random, 75)
                               ? VISIT_ACTIVATION
                               : (enum visit_kind)random_between(random, 1, 7);
    enum arch arch = random_chance(random, 80)   ? ARCH_UPPER
                     : random_chance(random, 50) ? ARCH_LOWER
                                                 : ARCH_NONE;
    bool gives = kind == VISIT_ACTIVATION || random_chance(random, 10);
    um right = gives ? random_amount(random) : 0;
    struct visit *visit =
        case_visit(maker, kind, arch, ago, right,
                   random_chance(random, 70) || !gives ? right : random_amount(random));

    if (random_chance(random, 6))
        visit->tissue = (enum tissue)random_between(random, 0, 3);
    if (random_chance(random, 6))
        visit->hardware = (uint32_t)random_between(random, 0, 3) * 2U;
    if (random_chance(random, 5)) {
        visit->elsewhere = ANSWER_YES;
        if (random_chance(random, 70))
            visit->right = visit->left = UM_NONE;
    }
    if (random_chance(random, 3))
        visit->head.request = (struct id){{9}};
}

static void make_visits(struct case_maker *maker, struct random *random)
{
    int32_t ago =
        random_chance(random, 70) ? random_between(random, 18, 32) : random_between(random, 7, 90);

    for (int32_t i = random_between(random, 0, 14); i > 0; i--) {
        make_visit(maker, random, ago);
        ago += random_chance(random, 10) ? random_between(random, 0, 6)
                                         : random_between(random, 14, 45);
    }
    if (random_chance(random, 5))
        make_visit(maker, random, random_between(random, -10, 5));
}

static void make_widths(struct case_maker *maker, struct random *random)
{
    int32_t count = random_between(random, 0, 9), ago = random_between(random, 50, 280);
    um value = 36000;

    for (int32_t i = 0; i < count; i++) {
        int32_t repeats = random_chance(random, 20) ? random_between(random, 2, 3) : 1;
        for (int32_t j = 0; j < repeats; j++) {
            struct width *width = case_width(maker, ARCH_UPPER, ago, value);
            width->value += repeats > 1 ? 10 * random_between(random, -30, 30) : 0;
            if (random_chance(random, 5))
                width->teeth.right = 17;
        }
        ago -= random_between(random, 0, 56);
        value += random_chance(random, 85) ? 10 * random_between(random, 0, 150)
                                           : 10 * random_between(random, -300, 700);
    }
}

static void make_wear_days(struct case_maker *maker, struct random *random, enum source source)
{
    int32_t from = random_between(random, 20, 150);
    int32_t kept = random_chance(random, 60) ? 95 : random_between(random, 30, 100);
    int32_t good = random_chance(random, 70) ? random_between(random, 75, 100)
                                             : random_between(random, 20, 90);
    int32_t half = random_chance(random, 30) ? random_between(random, 1, 100) : 0;

    for (int32_t ago = from; ago >= -1; ago--) {
        if (!random_chance(random, kept))
            continue;
        bool met = random_chance(random, good);
        struct wear_day *worn =
            case_wear_day(maker, source, ago,
                          met ? random_between(random, 55, 200) : random_between(random, 0, 90),
                          met || random_chance(random, 50) ? ANSWER_YES : ANSWER_NO);
        if (random_chance(random, half)) {
            if (random_chance(random, 80))
                worn->night = ANSWER_NONE;
            else
                worn->day_minutes = -1;
        }
    }
}

static void make_counts(struct case_maker *maker, struct random *random, enum source source)
{
    int32_t to = random_between(random, 0, 20);

    for (int32_t i = random_between(random, 1, 5); i > 0; i--) {
        int32_t days = random_between(random, 1, 35);
        int32_t asked = random_chance(random, 80) ? days : random_between(random, 1, days);
        int32_t share = random_chance(random, 60) ? random_between(random, 75, 100)
                                                  : random_between(random, 0, 100);
        case_count(maker, source, to + days - 1, to, asked * share / 100, asked);
        to = random_chance(random, 40) ? to + random_between(random, -3, days) : to + days;
    }
}

static void make_question(struct case_maker *maker, struct random *random)
{
    static const struct id request = {{9}};
    struct question *question = &maker->question;
    struct examination *found = &question->examination;

    question->arch = random_chance(random, 90) || maker->history.expander_count < 2
                         ? ARCH_UPPER
                         : maker->expanders[maker->history.expander_count - 1].arch;
    question->strictly_before = random_chance(random, 20);
    question->except = random_chance(random, 20) ? &request : NULL;
    if (random_chance(random, 10))
        found->tissue = (enum tissue)random_between(random, 0, 3);
    if (random_chance(random, 6)) {
        found->hardware = (uint32_t)random_between(random, 0, 3) * 2U;
        found->repaired = (enum answer)random_between(random, 0, 2);
    }
    found->relief = random_chance(random, 2);
    if (random_chance(random, 30))
        question->proposal = (struct proposal){10 * random_between(random, -1, 300),
                                               10 * random_between(random, -1, 300)};
}

void case_random(struct case_maker *maker, struct random *random)
{
    case_begin(maker);
    if (random_chance(random, 70))
        vary_protocol(&maker->protocol, random);
    if (random_chance(random, 5))
        maker->casefile.consent_on = case_day(maker, random_between(random, -2, 2));
    if (random_chance(random, 5))
        maker->casefile.asked_on = DAY_NONE;
    if (random_chance(random, 20))
        maker->casefile.opened = case_day(maker, random_between(random, 0, 200));
    make_trainers(maker, random);
    make_expanders(maker, random);
    make_visits(maker, random);
    make_widths(maker, random);
    int32_t sure = random_between(random, 0, 2 * SOURCE_TOLD); /* mostly one source at least */
    for (int source = SOURCE_SENSOR; source <= SOURCE_TOLD; source++) {
        if (source == sure || random_chance(random, 25))
            make_wear_days(maker, random, (enum source)source);
        if (source + SOURCE_TOLD == sure || random_chance(random, 15))
            make_counts(maker, random, (enum source)source);
    }
    make_question(maker, random);
}

/* Fisher and Yates: every order is as likely. The rows are swapped as bytes. */
static void shuffle(void *rows, size_t count, size_t size, struct random *random)
{
    unsigned char *bytes = rows;

    for (size_t i = count; i > 1; i--) {
        unsigned char *a = bytes + (i - 1) * size;
        unsigned char *b = bytes + (size_t)random_between(random, 0, (int32_t)i - 1) * size;
        for (size_t j = 0; j < size; j++) {
            unsigned char byte = a[j];
            a[j] = b[j];
            b[j] = byte;
        }
    }
}

void case_shuffle(struct case_maker *maker, struct random *random)
{
    const struct history *history = &maker->history;

    shuffle(maker->trainers, history->trainer_count, sizeof maker->trainers[0], random);
    shuffle(maker->expanders, history->expander_count, sizeof maker->expanders[0], random);
    shuffle(maker->visits, history->visit_count, sizeof maker->visits[0], random);
    shuffle(maker->widths, history->width_count, sizeof maker->widths[0], random);
    shuffle(maker->wear_days, history->wear_day_count, sizeof maker->wear_days[0], random);
    shuffle(maker->wear_counts, history->wear_count_count, sizeof maker->wear_counts[0], random);
    shuffle(maker->bookings, history->booking_count, sizeof maker->bookings[0], random);
    shuffle(maker->contacts, history->contact_count, sizeof maker->contacts[0], random);
    shuffle(maker->judged, history->judged_count, sizeof maker->judged[0], random);
}
