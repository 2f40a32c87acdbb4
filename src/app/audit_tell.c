/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One period, one override, what followed it, one visit: as lines behind a figure. */
#include <inttypes.h>

#include "audit_private.h"
#include "springline/app/sentence.h"
#include "springline/core/course.h"
#include "springline/core/tooth.h"
#include "springline/core/width.h"
#include "told.h"

void audit_end_line(struct audit_subject *subject, struct lines *lines)
{
    if (!told_end_line(subject->arena, lines, &subject->text))
        subject->failed = true;
}

void audit_add_period(struct text *out, const struct wear_period *period)
{
    char from[DAY_TEXT_SIZE], to[DAY_TEXT_SIZE];

    text_addf(out, "%s to %s, %" PRId32 " %s with a trainer: ", day_to_text(period->from, from),
              day_to_text(period->to, to), period->days, period->days == 1 ? "day" : "days");
    told_wear(out, period);
    if (period->thin)
        text_add(out, "; few days are known");
    if (period->differs != SOURCE_NONE) {
        text_add(out, "; lower by the better source: ");
        audit_add_days(out, period->differs, period->differs_tally.met,
                       period->differs_tally.known);
    }
}

static void add_sides(struct text *out, um right, um left)
{
    text_add(out, "right ");
    told_mm(out, right);
    text_add(out, ", left ");
    told_mm(out, left);
    text_add(out, " mm");
}

void audit_add_given(struct text *out, enum arch arch, const struct audit_arch *on)
{
    text_addf(out, "%s: given ", word_text(&words_arch, (int)arch));
    add_sides(out, on->right, on->left);
    text_add(out, "; permitted ");
    add_sides(out, on->judgement.permitted_right, on->judgement.permitted_left);
    text_add(out, on->recomputed ? " (recomputed)" : "");
}

/* ---- what followed ---- */

static day next_seen(const struct history *history, enum arch arch, day after, day through)
{
    day next = DAY_NONE;

    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];
        if ((visit->arch == arch || visit->arch == ARCH_NONE) && visit_seen(visit) &&
            visit->date > after && visit->date <= through &&
            (next == DAY_NONE || visit->date < next))
            next = visit->date;
    }
    return next;
}

/* Tissue and hardware of a day, over its rows: the worst tissue, every fault. */
static void add_found(struct text *out, const struct history *history, enum arch arch, day date)
{
    enum tissue tissue = TISSUE_NONE;
    uint32_t hardware = HARDWARE_NOT_RECORDED;
    char faults[HARDWARE_TEXT_SIZE];

    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];
        if (visit->date != date || !visit_seen(visit) ||
            (visit->arch != arch && visit->arch != ARCH_NONE))
            continue;
        tissue = visit->tissue > tissue ? visit->tissue : tissue;
        hardware |= visit->hardware;
    }
    if (hardware_faulty(hardware))
        hardware &= ~(uint32_t)HARDWARE_INTACT;
    text_addf(out, "tissue %s, hardware %s",
              tissue == TISSUE_NONE ? "not recorded" : word_text(&words_tissue, (int)tissue),
              hardware == HARDWARE_NOT_RECORDED ? "not recorded"
                                                : hardware_to_text(hardware, faults));
}

static void add_verdict(struct text *out, const struct audit_arch *on)
{
    if (!on->judged)
        text_add(out, "no verdict");
    else
        text_addf(out, "%s%s", word_text(&words_verdict, (int)on->judgement.verdict),
                  on->recomputed ? " (recomputed)" : "");
}

static const struct expander *expander_of(const struct history *history, enum arch arch, day date)
{
    const struct expander *newest = NULL;

    for (size_t i = 0; i < history->expander_count; i++) {
        const struct expander *expander = &history->expanders[i];
        if (expander->arch == arch && expander->fitted_on != DAY_NONE &&
            expander->fitted_on <= date &&
            (newest == NULL || expander->fitted_on > newest->fitted_on))
            newest = expander;
    }
    return newest;
}

/* The gain up to the day of the override, and up to what is known now. */
static void add_gain(struct text *out, const struct history *history, enum arch arch, day date,
                     day through)
{
    const struct expander *expander = expander_of(history, arch, date);
    struct width_view then, now;
    char measured[DAY_TEXT_SIZE];

    if (expander == NULL)
        return;
    width_view(history, history->protocol, expander, date, &then);
    width_view(history, history->protocol, expander, through, &now);
    if (now.latest.date == DAY_NONE || now.latest.date <= date || !now.has_gain) {
        text_add(out, "; no width measured since");
        return;
    }
    text_add(out, "; gain ");
    told_mm(out, now.gain);
    text_addf(out, " mm on %s, ", day_to_text(now.latest.date, measured));
    if (then.has_gain) {
        told_mm(out, then.gain);
        text_add(out, " mm before");
    } else {
        text_add(out, "not known before");
    }
}

void audit_add_followed(struct text *out, const struct history *history, enum arch arch, day date,
                        day today)
{
    day next = next_seen(history, arch, date, today);
    struct audit_arch on;
    char text[DAY_TEXT_SIZE];

    if (next == DAY_NONE) {
        text_add(out, "Followed by: no visit yet");
    } else {
        text_addf(out, "Followed by: %s, ", day_to_text(next, text));
        add_found(out, history, arch, next);
        text_add(out, ", ");
        (void)audit_arch_on(history, arch, next, &on);
        add_verdict(out, &on);
    }
    add_gain(out, history, arch, date, next == DAY_NONE ? today : next);
    text_add(out, ".");
}

/* ---- visits ---- */

void audit_add_visit(struct audit_subject *subject, const struct visit *visit)
{
    struct text *out = &subject->text;
    struct audit_arch on;
    char date[DAY_TEXT_SIZE];

    text_addf(out, "%s %s%s%s", day_to_text(visit->date, date),
              word_text(&words_arch, (int)visit->arch), visit->arch == ARCH_NONE ? "" : " ",
              word_text(&words_visit_kind, (int)visit->kind));
    if (visit->right != UM_NONE || visit->left != UM_NONE) {
        told_amount(out, " R ", visit->right, visit);
        told_amount(out, " L ", visit->left, visit);
    }
    told_findings(out, visit);
    if (visit->arch != ARCH_NONE &&
        audit_arch_on(subject->history, visit->arch, visit->date, &on)) {
        text_add(out, ": ");
        add_verdict(out, &on);
    }
}

void audit_add_booking(struct audit_subject *subject, const struct booking *booking)
{
    char date[DAY_TEXT_SIZE], time[6];

    text_addf(&subject->text, "%s %s booking: %s, %s", day_to_text(booking->date, date),
              clock_to_text(booking->time_min, time),
              word_text(&words_booking_kind, (int)booking->kind),
              word_text(&words_booking_state, (int)booking->state));
}

void audit_lines_visits(struct audit_subject *subject, struct lines *lines)
{
    const struct history *history = subject->history;

    for (day date = subject->behind.first; date <= subject->behind.last; date++) {
        for (size_t i = 0; i < history->visit_count; i++) {
            if (history->visits[i].date != date || !visit_seen(&history->visits[i]))
                continue;
            audit_add_visit(subject, &history->visits[i]);
            audit_end_line(subject, lines);
        }
    }
}

void audit_lines_missed(struct audit_subject *subject, struct lines *lines)
{
    const struct history *history = subject->history;

    for (day date = subject->behind.first; date <= subject->behind.last; date++) {
        for (size_t i = 0; i < history->visit_count; i++) {
            if (history->visits[i].date != date || history->visits[i].kind != VISIT_MISSED)
                continue;
            audit_add_visit(subject, &history->visits[i]);
            audit_end_line(subject, lines);
        }
        for (size_t i = 0; i < history->booking_count; i++) {
            if (history->bookings[i].date != date || history->bookings[i].state != BOOKED_MISSED)
                continue;
            audit_add_booking(subject, &history->bookings[i]);
            audit_end_line(subject, lines);
        }
    }
}

/* ---- verdicts and their reasons ---- */

/* The verdict stored with a row of that arch and day that says what was counted. */
static const struct judged *stored_of(const struct history *history, const struct audit_arch *on)
{
    const struct judged *newest = NULL;

    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];
        if (visit->date != on->row->date || visit->arch != on->row->arch)
            continue;
        for (size_t j = 0; j < history->judged_count; j++) {
            const struct judged *judged = &history->judged[j];
            if (judged_with(judged, visit) && judged->verdict == (int32_t)on->judgement.verdict &&
                (newest == NULL || judged->head.sequence > newest->head.sequence))
                newest = judged;
        }
    }
    return newest;
}

static void end_stored(struct audit_subject *subject, const struct audit_arch *on,
                       struct lines *lines)
{
    const struct judged *judged = stored_of(subject->history, on);
    struct sentence_stored stored = {judged == NULL ? NULL : judged->findings, 0};
    bool any = false;

    for (text_add(&subject->text, "  "); sentence_stored(&stored, &subject->text);
         text_add(&subject->text, "  ")) {
        audit_end_line(subject, lines);
        any = true;
    }
    if (!any) {
        text_add(&subject->text, "no reason was stored with this verdict");
        audit_end_line(subject, lines);
    }
    text_clear(&subject->text);
}

static void end_reasons(struct audit_subject *subject, const struct audit_arch *on,
                        struct lines *lines)
{
    struct told told[FINDINGS_MAX];

    if (!on->recomputed) {
        end_stored(subject, on, lines);
        return;
    }
    int count = sentence_tell(&on->judgement, told);
    for (int i = 0; i < count; i++) {
        text_add(&subject->text, "  ");
        sentence_told(&subject->text, &told[i]);
        audit_end_line(subject, lines);
    }
}

void audit_lines_verdict(struct audit_subject *subject, enum verdict verdict, struct lines *lines)
{
    struct audit_arch on;
    char text[DAY_TEXT_SIZE];

    for (day date = subject->behind.first; date <= subject->behind.last; date++) {
        if (audit_verdict_on(subject->history, date) != verdict)
            continue;
        for (int arch = ARCH_UPPER; arch <= ARCH_LOWER; arch++) {
            if (!audit_arch_on(subject->history, (enum arch)arch, date, &on) || !on.judged ||
                on.judgement.verdict != verdict)
                continue;
            text_addf(&subject->text, "%s %s: ", day_to_text(date, text),
                      word_text(&words_arch, arch));
            sentence_verdict(&subject->text, &on.judgement, false);
            text_add(&subject->text, on.recomputed ? " (recomputed)" : "");
            audit_end_line(subject, lines);
            end_reasons(subject, &on, lines);
        }
    }
}

void audit_lines_overrides(struct audit_subject *subject, struct lines *lines)
{
    struct audit_arch on;
    char text[DAY_TEXT_SIZE];

    for (day date = subject->behind.first; date <= subject->behind.last; date++) {
        for (int arch = ARCH_UPPER; arch <= ARCH_LOWER; arch++) {
            if (!audit_arch_on(subject->history, (enum arch)arch, date, &on) || !on.above)
                continue;
            text_addf(&subject->text, "%s ", day_to_text(date, text));
            audit_add_given(&subject->text, (enum arch)arch, &on);
            audit_end_line(subject, lines);
            text_addf(&subject->text, "  Reason: %s",
                      on.reason[0] == '\0' ? "no reason recorded" : on.reason);
            audit_end_line(subject, lines);
            text_add(&subject->text, "  ");
            audit_add_followed(&subject->text, subject->history, (enum arch)arch, date,
                               subject->today);
            audit_end_line(subject, lines);
        }
    }
}
