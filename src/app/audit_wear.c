/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The periods, days and counts behind the wear figures of one case of one month. */
#include <inttypes.h>

#include "audit_private.h"
#include "told_wear.h"

/* ---- day records and counts ---- */

static const struct wear_day *record_on(const struct history *history, enum source source, day date)
{
    for (size_t i = 0; i < history->wear_day_count; i++) {
        if (history->wear_days[i].date == date && history->wear_days[i].source == source)
            return &history->wear_days[i];
    }
    return NULL;
}

static void add_record(struct text *out, const struct wear_day *record,
                       const struct protocol *protocol)
{
    static const char *const says[] = {[AUDIT_DAY_UNKNOWN] = "half filled, not known",
                                       [AUDIT_DAY_MET] = "met",
                                       [AUDIT_DAY_MISSED] = "missed"};
    char date[DAY_TEXT_SIZE];

    text_addf(out, "  %s  ", day_to_text(record->date, date));
    if (record->day_minutes < 0)
        text_add(out, "minutes not recorded");
    else
        text_addf(out, "%" PRId32 " min", record->day_minutes);
    text_addf(out, ", night %s: %s",
              record->night == ANSWER_NONE ? "not recorded"
                                           : word_text(&words_answer, (int)record->night),
              says[audit_day_of(record, protocol)]);
}

/* The records of one source on the days from ... to. */
static void end_records(struct audit_subject *subject, enum source source, day from, day to,
                        struct lines *lines)
{
    for (day date = from; date <= to; date++) {
        const struct wear_day *record = record_on(subject->history, source, date);

        if (record == NULL)
            continue;
        add_record(&subject->text, record, subject->history->protocol);
        audit_end_line(subject, lines);
    }
}

/* A count belongs to the period that holds its last day. */
static void end_counts(struct audit_subject *subject, enum source source, day from, day to,
                       struct lines *lines)
{
    const struct history *history = subject->history;
    char first[DAY_TEXT_SIZE], last[DAY_TEXT_SIZE];

    for (size_t i = 0; i < history->wear_count_count; i++) {
        const struct wear_count *count = &history->wear_counts[i];

        if (count->source != source || count->to < from || count->to > to)
            continue;
        text_addf(&subject->text, "  counted %s to %s: %" PRId32 " of %" PRId32 " days asked about",
                  day_to_text(count->from, first), day_to_text(count->to, last), count->days_met,
                  count->days_asked);
        audit_end_line(subject, lines);
    }
}

static void end_source(struct audit_subject *subject, enum source source, day from, day to,
                       struct lines *lines)
{
    end_counts(subject, source, from, to, lines);
    end_records(subject, source, from, to, lines);
}

static void end_period(struct audit_subject *subject, const struct wear_period *period,
                       struct lines *lines)
{
    audit_add_period(&subject->text, period);
    audit_end_line(subject, lines);
}

/* How many days each source knows of a period, or only one; or that none knows a day. */
static void end_known(struct audit_subject *subject, enum source only,
                      const struct wear_period *period, struct lines *lines)
{
    int32_t known = 0;

    for (int s = SOURCE_SENSOR; s <= SOURCE_TOLD; s++)
        known += period->sources[s].known;
    if (known == 0 && only == SOURCE_NONE) {
        text_add(&subject->text, "  no source (sensor, diary, told) knows of a day of it");
        audit_end_line(subject, lines);
        return;
    }
    for (int s = SOURCE_SENSOR; s <= SOURCE_TOLD; s++) {
        const struct wear_tally *tally = &period->sources[s];
        if (only != SOURCE_NONE && s != (int)only)
            continue;
        text_addf(&subject->text, "  %s: %" PRId32 " of %" PRId32 " days known%s",
                  audit_source((enum source)s), tally->known, period->days,
                  tally->known == 0    ? ""
                  : tally->from_counts ? ", by counts, which name no days"
                                       : ", by day records");
        audit_end_line(subject, lines);
    }
}

/* Of a period that no source may judge: what each knows all the same, and its records. */
static void end_unjudged(struct audit_subject *subject, const struct wear_period *period,
                         struct lines *lines)
{
    end_known(subject, SOURCE_NONE, period, lines);
    text_add(&subject->text, "  a source judges from ");
    audit_add_permille(&subject->text, subject->history->protocol->wear_known_min_permille);
    text_add(&subject->text, " of the days on");
    audit_end_line(subject, lines);
    for (int s = SOURCE_SENSOR; s <= SOURCE_TOLD; s++)
        end_source(subject, (enum source)s, period->from, period->to, lines);
}

/* ---- the figures ---- */

void audit_lines_judged(struct audit_subject *subject, enum source source, struct lines *lines)
{
    for (int32_t i = 0; i < subject->behind.closed; i++) {
        const struct wear_period *period = &subject->behind.periods.period[i];
        const struct wear_tally *tally = &period->sources[source];

        end_period(subject, period, lines);
        if (source == SOURCE_NONE) {
            end_unjudged(subject, period, lines);
            continue;
        }
        text_add(&subject->text, "  ");
        if (period->source != source) {
            audit_add_days(&subject->text, source, tally->met, tally->known);
            text_add(&subject->text, ", ");
        }
        text_addf(&subject->text, "by %s", tally->from_counts ? "counts" : "day records");
        audit_end_line(subject, lines);
        end_source(subject, source, period->from, period->to, lines);
    }
}

/* By their dates where day records were judged; a count names no days. */
static void end_unknown_days(struct audit_subject *subject, const struct wear_period *period,
                             struct lines *lines)
{
    const struct history *history = subject->history;
    enum source source = subject->row.source;
    char text[DAY_TEXT_SIZE];
    bool any = false;

    text_add(&subject->text, "  not known:");
    for (day date = period->from; date <= period->to; date++) {
        const struct wear_day *record = record_on(history, source, date);

        if (!wear_trainer_current(history, date) ||
            (record != NULL && audit_day_of(record, history->protocol) != AUDIT_DAY_UNKNOWN))
            continue;
        text_addf(&subject->text, "%s %s", any ? "," : "", day_to_text(date, text));
        any = true;
    }
    if (any)
        audit_end_line(subject, lines);
    text_clear(&subject->text);
}

void audit_lines_unknown(struct audit_subject *subject, struct lines *lines)
{
    enum source source = subject->row.source;

    for (int32_t i = 0; i < subject->behind.closed; i++) {
        const struct wear_period *period = &subject->behind.periods.period[i];

        end_period(subject, period, lines);
        end_known(subject, source, period, lines);
        if (source != SOURCE_NONE && !period->sources[source].from_counts)
            end_unknown_days(subject, period, lines);
    }
}

/* One line for each run of days. */
void audit_lines_untrained(struct audit_subject *subject, struct lines *lines)
{
    const struct audit_behind *behind = &subject->behind;
    const struct history *history = subject->history;
    char first[DAY_TEXT_SIZE], last[DAY_TEXT_SIZE];

    for (day date = behind->start > behind->first ? behind->start : behind->first;
         date <= behind->tail.to; date++) {
        day from = date;

        while (date <= behind->tail.to && !wear_trainer_current(history, date))
            date++;
        if (date == from)
            continue;
        text_addf(&subject->text, "%s to %s: %" PRId32 " %s without a trainer",
                  day_to_text(from, first), day_to_text(date - 1, last), date - from,
                  date - from == 1 ? "day" : "days");
        audit_end_line(subject, lines);
    }
    for (size_t i = 0; i < history->trainer_count; i++) {
        const struct trainer *trainer = &history->trainers[i];

        text_addf(&subject->text, "trainer issued %s", day_to_text(trainer->issued_on, first));
        if (trainer->ended_on != DAY_NONE)
            text_addf(&subject->text, ", ended %s (%s)", day_to_text(trainer->ended_on, last),
                      word_text(&words_trainer_end, (int)trainer->ended_reason));
        audit_end_line(subject, lines);
    }
}

void audit_lines_tail(struct audit_subject *subject, struct lines *lines)
{
    const struct wear_period *tail = &subject->behind.tail;

    if (tail->days <= 0)
        return;
    end_period(subject, tail, lines);
    for (int source = SOURCE_SENSOR; source <= SOURCE_TOLD; source++) {
        const struct wear_tally *tally = &tail->sources[source];

        if (tally->known <= 0)
            continue;
        text_add(&subject->text, "  ");
        audit_add_days(&subject->text, (enum source)source, tally->met, tally->known);
        audit_end_line(subject, lines);
        end_source(subject, (enum source)source, tail->from, tail->to, lines);
    }
}

void audit_lines_run(struct audit_subject *subject, struct lines *lines)
{
    const struct wear_periods *periods = &subject->behind.periods;

    for (int32_t i = 0; i < subject->behind.run; i++)
        end_period(subject, &periods->period[i], lines);
    if (subject->behind.run > 0 && subject->behind.run < periods->count) {
        text_add(&subject->text, "before them: ");
        end_period(subject, &periods->period[subject->behind.run], lines);
    }
}

void audit_lines_drift(struct audit_subject *subject, const struct wear_drift *drift,
                       struct lines *lines)
{
    const struct wear_periods *periods = &subject->behind.periods;

    told_drift_how(&subject->text, drift);
    if (subject->text.length > 0)
        audit_end_line(subject, lines);
    for (int32_t i = 0; i < periods->count && i < WEAR_DRIFT_MOST; i++)
        end_period(subject, &periods->period[i], lines);
}

static void end_month(struct audit_subject *subject, day month, const struct audit_row *row,
                      const struct audit_behind *behind, struct lines *lines)
{
    struct listed_audit listed = subject->listed;
    char text[MONTH_TEXT_SIZE];

    listed.row = *row;
    text_addf(&subject->text, "%s: ", month_to_text(month, text));
    audit_view_why(&listed, &subject->text);
    audit_end_line(subject, lines);
    for (int32_t i = 0; i < behind->closed; i++) {
        text_add(&subject->text, "  ");
        end_period(subject, &behind->periods.period[i], lines);
    }
}

void audit_lines_change(struct audit_subject *subject, struct lines *lines)
{
    day before = day_month_start(subject->month, -1);
    struct audit_behind behind;
    struct audit_row row;

    end_month(subject, subject->month, &subject->row, &subject->behind, lines);
    if (audit_case(subject->history, before, subject->today, &row) &&
        audit_behind_row(subject->history, before, subject->today, &behind)) {
        end_month(subject, before, &row, &behind, lines);
        return;
    }
    text_add(&subject->text, "The case was not audited in the month before.");
    audit_end_line(subject, lines);
}
