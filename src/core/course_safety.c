/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The safety items of domain.md 7, each as the day from which it stands: a child with something in
 * the mouth whom nobody looks after is no late payer. "Longer than n days" begins on day n + 1.
 * What a clinician set aside with a contact begins again later; each trouble, and the expander of
 * each arch, is set aside for itself, so that none that arose later is hidden by an older one.
 */
#include "course_parts.h"
#include "springline/core/wear.h"

/* A forgotten separator can travel under the gum: this long after the bands were due. Our own
 * setting (domain.md 7), no source. */
enum { SEPARATOR_GRACE_DAYS = 7 };

static bool recorded(day date)
{
    return date != DAY_NONE;
}

static day later_of(day a, day b)
{
    return a > b ? a : b;
}

static bool says(const char *text)
{
    return text != NULL && text[0] != '\0';
}

/* A clinician was told what stands, gave a reason, and said until when it may wait. */
static bool sets_aside(const struct contact *contact)
{
    return contact->cleared == ANSWER_YES && contact->outcome == OUTCOME_REACHED &&
           recorded(contact->again_on) && says(contact->cleared_by) && says(contact->note);
}

/* The day until which a contact sets aside what stood on its day. */
static day aside_until(const struct history *history, const struct contact *contact)
{
    day latest = instant_day(contact->at) + history->protocol->restart_after_days;
    return contact->again_on < latest ? contact->again_on : latest;
}

/* Could the clinician know of it? Not what arose later, nor what was recorded only afterwards. */
static bool known_to(const struct contact *contact, day since, const struct row_head *cause)
{
    return instant_day(contact->at) >= since &&
           (cause == NULL || contact->head.sequence >= cause->sequence);
}

/* The day from which an item that arose on since stands: the newest contact that set it aside
 * decides; of two at one instant the one that sets it aside for less long. */
static day begins_again(const struct history *history, day since, const struct row_head *cause)
{
    const struct contact *newest = NULL;

    for (size_t i = 0; i < history->contact_count; i++) {
        const struct contact *contact = &history->contacts[i];
        if (!sets_aside(contact) || !known_to(contact, since, cause))
            continue;
        if (newest == NULL || contact->at > newest->at ||
            (contact->at == newest->at && contact->again_on < newest->again_on))
            newest = contact;
    }
    return newest == NULL ? since : later_of(since, aside_until(history, newest));
}

/* cause: the row that says so; NULL: time alone brought it about. */
static void stands_from(const struct history *history, day from[SAFETY_COUNT], enum safety item,
                        day since, const struct row_head *cause)
{
    day begins = begins_again(history, since, cause);

    if (from[item] == DAY_NONE || begins < from[item])
        from[item] = begins;
}

/* Was anything of this arch banded (or fitted) on or after a day? Bands may be of another row. */
static bool arch_reached(const struct history *history, enum arch arch, day since, bool bands)
{
    for (size_t i = 0; i < history->expander_count; i++) {
        const struct expander *expander = &history->expanders[i];
        if (expander->arch != arch)
            continue;
        if (expander->fitted_on >= since || (bands && expander->banded_on >= since))
            return true;
    }
    return false;
}

static void in_place_items(const struct history *history, const struct expander *expander, day seen,
                           day from[SAFETY_COUNT])
{
    day closed_on = history->casefile->closed_on;

    stands_from(history, from, SAFETY_UNSEEN,
                later_of(seen, expander->fitted_on) + history->protocol->restart_after_days + 1,
                NULL);
    if (recorded(closed_on))
        stands_from(history, from, SAFETY_CLOSED_WITH_EXPANDER,
                    later_of(closed_on, expander->fitted_on), &history->casefile->head);
}

/* Not fitted yet: separators without bands, bands without a wire. */
static void preparing_items(const struct history *history, const struct expander *expander,
                            day seen, day from[SAFETY_COUNT])
{
    const struct protocol *protocol = history->protocol;

    if (recorded(expander->banded_on)) {
        if (!arch_reached(history, expander->arch, expander->banded_on, false))
            stands_from(history, from, SAFETY_BANDS,
                        later_of(seen, expander->banded_on) + protocol->restart_after_days + 1,
                        NULL);
    } else if (recorded(expander->separators_on) &&
               !arch_reached(history, expander->arch, expander->separators_on, true)) {
        stands_from(history, from, SAFETY_SEPARATORS,
                    expander->separators_on + protocol->separator_days + SEPARATOR_GRACE_DAYS + 1,
                    NULL);
    }
}

/* ARCH_NONE: the trouble names no arch and the case has none: any visit shows it. */
static bool sees_trouble(const struct visit *visit, enum arch arch)
{
    return visit_seen(visit) && (arch == ARCH_NONE || course_shows(visit, arch));
}

static bool wound_open(const struct history *history, const struct visit *wounded, enum arch arch)
{
    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];
        if (visit->date > wounded->date && sees_trouble(visit, arch) &&
            visit->tissue != TISSUE_NONE && visit->tissue != TISSUE_WOUND)
            return false;
    }
    return true;
}

/* Faults of the wire leave the mouth with it. A band or a bracket may stay behind loose. */
static uint32_t faults_of_wire(void)
{
    static const enum fault faults[] = {FAULT_BROKEN_WIRE, FAULT_BENT_WIRE, FAULT_LOST_LIGATURE};
    uint32_t bits = 0;

    for (size_t i = 0; i < sizeof faults / sizeof *faults; i++)
        bits |= hardware_bit(faults[i], SIDE_NONE) | hardware_bit(faults[i], SIDE_RIGHT) |
                hardware_bit(faults[i], SIDE_LEFT);
    return bits;
}

/* Was the expander that was in place on date taken out since, with none of its arch left in? */
static bool taken_out_since(const struct history *history, enum arch arch, day date)
{
    bool taken_out = false;

    for (size_t i = 0; i < history->expander_count; i++) {
        const struct expander *expander = &history->expanders[i];
        if (expander->arch != arch || !course_reached(expander->fitted_on, date))
            continue;
        if (!recorded(expander->out_on))
            return false;
        if (expander->out_on >= date)
            taken_out = true;
    }
    return taken_out;
}

static bool fault_open(const struct history *history, const struct visit *faulty, enum arch arch)
{
    uint32_t open = faulty->hardware & ~(uint32_t)HARDWARE_INTACT;

    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];
        if (!sees_trouble(visit, arch) || visit->date < faulty->date)
            continue;
        open &= ~course_repaired(visit);
        if (visit->date > faulty->date && visit->hardware == HARDWARE_INTACT)
            return false;
    }
    if (open != 0 && taken_out_since(history, arch, faulty->date))
        open &= ~faults_of_wire();
    return open != 0;
}

static bool has_expander(const struct history *history, enum arch arch)
{
    for (size_t i = 0; i < history->expander_count; i++) {
        if (history->expanders[i].arch == arch)
            return true;
    }
    return false;
}

static bool open_in(const struct history *history, const struct visit *visit, enum arch arch)
{
    if (visit->tissue == TISSUE_WOUND && wound_open(history, visit, arch))
        return true;
    return hardware_faulty(visit->hardware) && fault_open(history, visit, arch);
}

/* A trouble recorded without an arch stands until each arch with an expander is seen free of it. */
static bool trouble_open(const struct history *history, const struct visit *visit)
{
    if (visit->arch != ARCH_NONE)
        return open_in(history, visit, visit->arch);
    bool upper = has_expander(history, ARCH_UPPER), lower = has_expander(history, ARCH_LOWER);
    if (!upper && !lower)
        return open_in(history, visit, ARCH_NONE);
    return (upper && open_in(history, visit, ARCH_UPPER)) ||
           (lower && open_in(history, visit, ARCH_LOWER));
}

void course_safety(const struct history *history, day from[SAFETY_COUNT])
{
    day seen = course_last_seen(history, INT32_MAX);

    for (int item = SAFETY_NONE; item < SAFETY_COUNT; item++)
        from[item] = DAY_NONE;
    for (size_t i = 0; i < history->expander_count; i++) {
        const struct expander *expander = &history->expanders[i];
        if (recorded(expander->out_on))
            continue;
        if (recorded(expander->fitted_on))
            in_place_items(history, expander, seen, from);
        else
            preparing_items(history, expander, seen, from);
    }
    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];
        if (visit_seen(visit) &&
            (visit->tissue == TISSUE_WOUND || hardware_faulty(visit->hardware)) &&
            trouble_open(history, visit))
            stands_from(history, from, SAFETY_OPEN_TROUBLE, visit->date, &visit->head);
    }
}
