/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "case_maker.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

day case_day(const struct case_maker *maker, int32_t ago)
{
    return ago == CASE_NEVER ? DAY_NONE : maker->today - ago;
}

/* A fresh id and the next place in the ledger. */
static struct row_head next_head(struct case_maker *maker)
{
    struct row_head head = {.version = 1, .sequence = ++maker->rows};

    for (int i = 0; i < 8; i++)
        head.id.bytes[15 - i] = (uint8_t)(maker->rows >> (8 * i));
    head.record = head.id;
    return head;
}

/* The place of one more row; the test fails when there is none left. */
static size_t take(size_t *count, size_t most, const char *what)
{
    if (*count == most)
        fail_msg("case_maker: more than %zu %s", most, what);
    return (*count)++;
}

void case_begin(struct case_maker *maker)
{
    memset(maker, 0, sizeof *maker);
    maker->today = day_of(2026, 6, 1);
    protocol_defaults(&maker->protocol);
    maker->patient = (struct patient){.head = next_head(maker),
                                      .chart = "K-0001",
                                      .family = "Quillfeather",
                                      .given = "Odalys",
                                      .born = day_of(2017, 3, 9)};
    maker->casefile = (struct casefile){.head = next_head(maker),
                                        .number = "C-0001",
                                        .patient = maker->patient.head.record,
                                        .opened = case_day(maker, 400),
                                        .consent_on = case_day(maker, 390),
                                        .asked_on = case_day(maker, 390),
                                        .closed_on = DAY_NONE};
    maker->history = (struct history){.patient = &maker->patient,
                                      .casefile = &maker->casefile,
                                      .protocol = &maker->protocol,
                                      .trainers = maker->trainers,
                                      .expanders = maker->expanders,
                                      .visits = maker->visits,
                                      .widths = maker->widths,
                                      .wear_days = maker->wear_days,
                                      .wear_counts = maker->wear_counts,
                                      .contacts = maker->contacts,
                                      .bookings = maker->bookings,
                                      .judged = maker->judged};
    maker->question =
        (struct question){.arch = ARCH_UPPER,
                          .today = maker->today,
                          .examination = {.tissue = TISSUE_SOUND, .hardware = HARDWARE_INTACT},
                          .proposal = {.right = UM_NONE, .left = UM_NONE}};
}

void case_typical(struct case_maker *maker)
{
    case_begin(maker);
    case_trainer(maker, 200, CASE_NEVER);
    case_expander(maker, ARCH_UPPER, 180);
    case_width(maker, ARCH_UPPER, 180, 36000);
    case_width(maker, ARCH_UPPER, 52, 39000);
    case_width(maker, ARCH_UPPER, 24, 40000);
    for (int32_t ago = 72; ago >= 24; ago -= 24)
        case_visit(maker, VISIT_ACTIVATION, ARCH_UPPER, ago, 1000, 1000);
    case_wear(maker, SOURCE_DIARY, 60, 1, 60);
}

struct trainer *case_trainer(struct case_maker *maker, int32_t issued, int32_t ended)
{
    size_t i = take(&maker->history.trainer_count, CASE_TRAINERS, "trainers");

    maker->trainers[i] =
        (struct trainer){.head = next_head(maker),
                         .casefile = maker->casefile.head.record,
                         .issued_on = case_day(maker, issued),
                         .ended_on = case_day(maker, ended),
                         .ended_reason = ended == CASE_NEVER ? TRAINER_END_NONE : TRAINER_LOST};
    return &maker->trainers[i];
}

static struct teeth molars(enum arch arch)
{
    return arch == ARCH_LOWER ? (struct teeth){46, 36} : (struct teeth){16, 26};
}

struct expander *case_expander(struct case_maker *maker, enum arch arch, int32_t fitted)
{
    size_t i = take(&maker->history.expander_count, CASE_EXPANDERS, "expanders");
    day fitted_on = case_day(maker, fitted);

    maker->expanders[i] =
        (struct expander){.head = next_head(maker),
                          .casefile = maker->casefile.head.record,
                          .arch = arch,
                          .separators_on = fitted_on == DAY_NONE ? DAY_NONE : fitted_on - 7,
                          .banded_on = fitted_on,
                          .fitted_on = fitted_on,
                          .passive_ends = ANSWER_YES,
                          .width_equal = ANSWER_YES,
                          .loops_clear = ANSWER_YES,
                          .tied = ANSWER_YES,
                          .ends_rounded = ANSWER_YES,
                          .wire = 700,
                          .loop_right = 6000,
                          .loop_left = 6000,
                          .sides = SIDES_BOTH,
                          .plan_gap = UM_NONE,
                          .site = SITE_INTERMOLAR,
                          .landmark = LANDMARK_FOSSA,
                          .teeth = molars(arch),
                          .target = 50000,
                          .passive_on = DAY_NONE,
                          .out_on = DAY_NONE};
    return &maker->expanders[i];
}

struct visit *case_visit(struct case_maker *maker, enum visit_kind kind, enum arch arch,
                         int32_t ago, um right, um left)
{
    size_t i = take(&maker->history.visit_count, CASE_VISITS, "visits");
    bool seen = kind != VISIT_MISSED;

    maker->visits[i] = (struct visit){.head = next_head(maker),
                                      .casefile = maker->casefile.head.record,
                                      .date = case_day(maker, ago),
                                      .kind = kind,
                                      .arch = arch,
                                      .right = right,
                                      .left = left,
                                      .tissue = seen ? TISSUE_SOUND : TISSUE_NONE,
                                      .hardware = seen ? HARDWARE_INTACT : HARDWARE_NOT_RECORDED,
                                      .next_on = DAY_NONE};
    return &maker->visits[i];
}

struct width *case_width(struct case_maker *maker, enum arch arch, int32_t ago, um value)
{
    int32_t repeat = 1;
    day date = case_day(maker, ago);

    for (size_t i = 0; i < maker->history.width_count; i++)
        repeat += maker->widths[i].date == date && maker->widths[i].arch == arch;
    size_t i = take(&maker->history.width_count, CASE_WIDTHS, "widths");
    maker->widths[i] = (struct width){.head = next_head(maker),
                                      .casefile = maker->casefile.head.record,
                                      .date = date,
                                      .arch = arch,
                                      .site = SITE_INTERMOLAR,
                                      .landmark = LANDMARK_FOSSA,
                                      .teeth = molars(arch),
                                      .method = METHOD_CAST,
                                      .repeat = repeat,
                                      .value = value};
    return &maker->widths[i];
}

struct wear_day *case_wear_day(struct case_maker *maker, enum source source, int32_t ago,
                               int32_t minutes, enum answer night)
{
    size_t i = take(&maker->history.wear_day_count, CASE_WEAR_DAYS, "days of wear");

    maker->wear_days[i] = (struct wear_day){.head = next_head(maker),
                                            .casefile = maker->casefile.head.record,
                                            .date = case_day(maker, ago),
                                            .day_minutes = minutes,
                                            .night = night,
                                            .source = source};
    return &maker->wear_days[i];
}

void case_wear(struct case_maker *maker, enum source source, int32_t from, int32_t to, int32_t met)
{
    for (int32_t ago = from; ago >= to; ago--) {
        if (from - ago < met)
            case_wear_day(maker, source, ago, 90, ANSWER_YES);
        else
            case_wear_day(maker, source, ago, 0, ANSWER_NO);
    }
}

struct wear_count *case_count(struct case_maker *maker, enum source source, int32_t from,
                              int32_t to, int32_t met, int32_t asked)
{
    size_t i = take(&maker->history.wear_count_count, CASE_WEAR_COUNTS, "counts of wear");

    maker->wear_counts[i] = (struct wear_count){.head = next_head(maker),
                                                .casefile = maker->casefile.head.record,
                                                .from = case_day(maker, from),
                                                .to = case_day(maker, to),
                                                .days_met = met,
                                                .days_asked = asked,
                                                .source = source};
    return &maker->wear_counts[i];
}

struct contact *case_contact(struct case_maker *maker, int32_t ago, enum outcome outcome)
{
    size_t i = take(&maker->history.contact_count, CASE_CONTACTS, "contacts");

    maker->contacts[i] = (struct contact){.head = next_head(maker),
                                          .casefile = maker->casefile.head.record,
                                          .at = (instant)case_day(maker, ago) * 86400 + 43200,
                                          .channel = CHANNEL_TELEPHONE,
                                          .outcome = outcome,
                                          .again_on = DAY_NONE};
    return &maker->contacts[i];
}

struct booking *case_booking(struct case_maker *maker, int32_t ago, enum booking_kind kind,
                             enum booking_state state)
{
    size_t i = take(&maker->history.booking_count, CASE_BOOKINGS, "bookings");

    maker->bookings[i] = (struct booking){.head = next_head(maker),
                                          .casefile = maker->casefile.head.record,
                                          .date = case_day(maker, ago),
                                          .time_min = 9 * 60,
                                          .kind = kind,
                                          .state = state};
    return &maker->bookings[i];
}

struct judged *case_judged(struct case_maker *maker, const struct visit *visit,
                           enum verdict verdict, um permitted_right, um permitted_left)
{
    size_t i = take(&maker->history.judged_count, CASE_JUDGED, "stored verdicts");

    maker->judged[i] = (struct judged){.head = next_head(maker),
                                       .visit = visit->head.id,
                                       .verdict = (int32_t)verdict,
                                       .permitted_right = permitted_right,
                                       .permitted_left = permitted_left,
                                       .next_from = DAY_NONE,
                                       .next_to = DAY_NONE,
                                       .rules_version = RULES_VERSION,
                                       .width_error = maker->protocol.width_error};
    return &maker->judged[i];
}

void case_judge(const struct case_maker *maker, struct judgement *judgement)
{
    memset(judgement, 0, sizeof *judgement);
    if (!rules_judge(&maker->history, &maker->question, judgement))
        fail_msg("no expander to judge");
}

const struct finding *case_finding(const struct judgement *judgement, enum rule rule,
                                   enum side side)
{
    for (int i = 0; i < judgement->finding_count; i++) {
        const struct finding *finding = &judgement->findings[i];
        if (finding->rule == rule && (side == SIDE_NONE || finding->side == side))
            return finding;
    }
    return NULL;
}

void case_print(const struct judgement *judgement)
{
    char from[DAY_TEXT_SIZE], to[DAY_TEXT_SIZE];

    print_message(
        "%s right %d left %d, next %s to %s:", word_text(&words_verdict, (int)judgement->verdict),
        (int)judgement->permitted_right, (int)judgement->permitted_left,
        day_to_text(judgement->next_from, from), day_to_text(judgement->next_to, to));
    for (int i = 0; i < judgement->finding_count; i++) {
        const struct finding *finding = &judgement->findings[i];
        print_message(" %s %s %s %d;", rule_row(finding->rule)->name,
                      word_text(&words_effect, (int)finding->effect),
                      word_text(&words_side, (int)finding->side),
                      finding->limit == UM_NONE ? -1 : (int)finding->limit);
    }
    print_message("\n");
}

int64_t case_number(const struct finding *finding, const char *name)
{
    for (int i = 0; finding != NULL && i < finding->value_count; i++) {
        if (strcmp(finding->values[i].name, name) == 0)
            return finding->values[i].value;
    }
    fail_msg("no number named %s in the finding", name);
    return 0;
}
