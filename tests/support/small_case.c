/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "small_case.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A test that adds too many rows is wrong: say so and stop, do not write past the array. */
static void must_fit(size_t count, size_t room)
{
    if (count < room)
        return;
    fprintf(stderr, "small_case: more than %zu rows of one kind\n", room);
    abort();
}

static void fill_head(struct small_case *small, struct row_head *head)
{
    small->rows++;
    head->sequence = small->rows;
    head->version = 1;
    head->id.bytes[14] = (uint8_t)(small->rows >> 8);
    head->id.bytes[15] = (uint8_t)(small->rows & 0xff);
    head->record = head->id;
}

void small_case_open(struct small_case *small, day opened)
{
    memset(small, 0, sizeof *small);
    protocol_defaults(&small->protocol);
    fill_head(small, &small->patient.head);
    fill_head(small, &small->casefile.head);
    small->patient.born = opened - 3200;
    small->casefile.number = "C-0001";
    small->casefile.patient = small->patient.head.record;
    small->casefile.opened = opened;
    small->casefile.consent_on = opened;
    small->casefile.asked_on = opened;
    small->casefile.closed_on = DAY_NONE;
    small->history = (struct history){.patient = &small->patient,
                                      .casefile = &small->casefile,
                                      .protocol = &small->protocol,
                                      .trainers = small->trainers,
                                      .expanders = small->expanders,
                                      .visits = small->visits,
                                      .widths = small->widths,
                                      .wear_days = small->wear_days,
                                      .wear_counts = small->wear_counts,
                                      .contacts = small->contacts,
                                      .bookings = small->bookings,
                                      .judged = small->judged};
}

struct trainer *small_trainer(struct small_case *small, day issued_on)
{
    must_fit(small->history.trainer_count, SMALL_FEW);
    struct trainer *trainer = &small->trainers[small->history.trainer_count++];
    fill_head(small, &trainer->head);
    trainer->casefile = small->casefile.head.record;
    trainer->issued_on = issued_on;
    trainer->ended_on = DAY_NONE;
    return trainer;
}

struct expander *small_expander(struct small_case *small, enum arch arch, day fitted_on)
{
    must_fit(small->history.expander_count, SMALL_FEW);
    struct expander *expander = &small->expanders[small->history.expander_count++];
    fill_head(small, &expander->head);
    expander->casefile = small->casefile.head.record;
    expander->arch = arch;
    expander->separators_on = expander->banded_on = DAY_NONE;
    expander->passive_on = expander->out_on = DAY_NONE;
    expander->fitted_on = fitted_on;
    expander->passive_ends = expander->width_equal = expander->loops_clear = ANSWER_YES;
    expander->tied = expander->ends_rounded = ANSWER_YES;
    expander->wire = expander->loop_right = expander->loop_left = UM_NONE;
    expander->plan_gap = expander->target = UM_NONE;
    expander->sides = SIDES_BOTH;
    expander->site = SITE_INTERMOLAR;
    expander->landmark = LANDMARK_GINGIVAL;
    expander->teeth =
        arch == ARCH_UPPER ? (struct teeth){.right = 16, .left = 26} : (struct teeth){46, 36};
    return expander;
}

struct visit *small_visit(struct small_case *small, day date, enum visit_kind kind, enum arch arch)
{
    must_fit(small->history.visit_count, SMALL_MANY);
    struct visit *visit = &small->visits[small->history.visit_count++];
    fill_head(small, &visit->head);
    visit->head.imported = true;
    visit->casefile = small->casefile.head.record;
    visit->date = date;
    visit->kind = kind;
    visit->arch = arch;
    visit->right = visit->left = UM_NONE;
    visit->tissue = kind == VISIT_MISSED ? TISSUE_NONE : TISSUE_SOUND;
    visit->hardware = kind == VISIT_MISSED ? HARDWARE_NOT_RECORDED : HARDWARE_INTACT;
    visit->next_on = DAY_NONE;
    return visit;
}

struct visit *small_activation(struct small_case *small, day date, enum arch arch, um each)
{
    struct visit *visit = small_visit(small, date, VISIT_ACTIVATION, arch);

    visit->right = visit->left = each;
    return visit;
}

struct judged *small_judged(struct small_case *small, const struct visit *visit,
                            enum verdict verdict, day from, day to)
{
    must_fit(small->history.judged_count, SMALL_MANY);
    struct judged *judged = &small->judged[small->history.judged_count++];
    fill_head(small, &judged->head);
    judged->visit = visit->head.id;
    judged->verdict = (int32_t)verdict;
    judged->permitted_right = judged->permitted_left = 1000;
    judged->next_from = from;
    judged->next_to = to;
    return judged;
}

struct wear_count *small_count(struct small_case *small, enum source source, day from, day to,
                               int32_t met)
{
    must_fit(small->history.wear_count_count, SMALL_MANY);
    struct wear_count *count = &small->wear_counts[small->history.wear_count_count++];
    fill_head(small, &count->head);
    count->casefile = small->casefile.head.record;
    count->from = from;
    count->to = to;
    count->days_met = met;
    count->days_asked = to - from + 1;
    count->source = source;
    return count;
}

struct wear_day *small_wear_day(struct small_case *small, enum source source, day date, bool met)
{
    must_fit(small->history.wear_day_count, SMALL_DAYS);
    struct wear_day *record = &small->wear_days[small->history.wear_day_count++];
    fill_head(small, &record->head);
    record->casefile = small->casefile.head.record;
    record->date = date;
    record->day_minutes = met ? 120 : 0;
    record->night = met ? ANSWER_YES : ANSWER_NO;
    record->source = source;
    return record;
}

struct booking *small_booking(struct small_case *small, day date, enum booking_state state)
{
    must_fit(small->history.booking_count, SMALL_MANY);
    struct booking *booking = &small->bookings[small->history.booking_count++];
    fill_head(small, &booking->head);
    booking->casefile = small->casefile.head.record;
    booking->date = date;
    booking->time_min = 600;
    booking->kind = BOOKING_ACTIVATION;
    booking->state = state;
    return booking;
}

struct contact *small_contact(struct small_case *small, day date)
{
    must_fit(small->history.contact_count, SMALL_FEW);
    struct contact *contact = &small->contacts[small->history.contact_count++];
    fill_head(small, &contact->head);
    contact->casefile = small->casefile.head.record;
    contact->at = (instant)date * 86400 + 43200;
    contact->channel = CHANNEL_TELEPHONE;
    contact->outcome = OUTCOME_REACHED;
    contact->again_on = DAY_NONE;
    return contact;
}

static void reverse(void *rows, size_t count, size_t size)
{
    unsigned char *bytes = rows;

    for (size_t low = 0, high = count; low + 1 < high; low++, high--) {
        for (size_t i = 0; i < size; i++) {
            unsigned char byte = bytes[low * size + i];
            bytes[low * size + i] = bytes[(high - 1) * size + i];
            bytes[(high - 1) * size + i] = byte;
        }
    }
}

void small_case_reverse(struct small_case *small)
{
    const struct history *history = &small->history;

    reverse(small->trainers, history->trainer_count, sizeof *small->trainers);
    reverse(small->expanders, history->expander_count, sizeof *small->expanders);
    reverse(small->visits, history->visit_count, sizeof *small->visits);
    reverse(small->widths, history->width_count, sizeof *small->widths);
    reverse(small->wear_days, history->wear_day_count, sizeof *small->wear_days);
    reverse(small->wear_counts, history->wear_count_count, sizeof *small->wear_counts);
    reverse(small->contacts, history->contact_count, sizeof *small->contacts);
    reverse(small->bookings, history->booking_count, sizeof *small->bookings);
    reverse(small->judged, history->judged_count, sizeof *small->judged);
}
