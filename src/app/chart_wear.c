/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The wear of a chart: by period, by calendar month, whether it drifts, sensor beside told. */
#include <inttypes.h>

#include "chart_private.h"
#include "springline/app/sentence.h"
#include "springline/core/statistics.h"
#include "told.h"
#include "told_wear.h"

static const char indent[] = "           ";

static void add_tally(struct text *out, const struct wear_period *period)
{
    struct interval interval;

    if (period->source == SOURCE_NONE ||
        !statistics_wilson(period->judged.met, period->judged.known, &interval))
        return;
    text_addf(out, "  %" PRId32 " of %" PRId32 " days met, %.0f-%.0f %%, %s", period->judged.met,
              period->judged.known, interval.low * 100.0, interval.high * 100.0,
              word_text(&words_source, (int)period->source));
}

static void add_class(struct text *out, const struct wear_period *period)
{
    static const char *const classes[] = {"unknown", "low", "short", "full"};

    text_addf(out, "  %-7s", classes[period->class]);
    add_tally(out, period);
}

/* Hours by source, and sensor beside told: what there is of each, a line each. */
static void add_stretch(struct text *out, const struct wear_stretch *stretch, int columns)
{
    struct text line = {0};

    for (int source = SOURCE_SENSOR; source <= SOURCE_TOLD; source++) {
        text_clear(&line);
        if (told_hours(&line, (enum source)source, &stretch->hours[source]))
            text_add_wrapped(out, indent, text_string(&line), columns);
    }
    text_clear(&line);
    if (told_beside(&line, &stretch->beside))
        text_add_wrapped(out, indent, text_string(&line), columns);
    out->failed = out->failed || line.failed;
    text_release(&line);
}

static void add_notes(struct text *out, const struct wear_period *period)
{
    if (period->thin)
        text_addf(out, "%sknown days are thin\n", indent);
    if (period->stricter)
        text_addf(out, "%s%s\n", indent, sentence_stricter);
    if (period->differs != SOURCE_NONE)
        text_addf(out,
                  "%s%s: %" PRId32 " of %" PRId32 " days met, the better source is lower%s%s\n",
                  indent, word_text(&words_source, (int)period->differs), period->differs_tally.met,
                  period->differs_tally.known, period->differs_stricter ? ", because " : "",
                  period->differs_stricter ? sentence_stricter : "");
    if (period->untrained_days > 0)
        text_addf(out, "%s%" PRId32 " days without a trainer\n", indent, period->untrained_days);
}

static void add_period(struct text *out, const struct history *history,
                       const struct wear_period *period, bool open, int columns)
{
    struct wear_stretch stretch;

    chart_date(out, period->from);
    text_add(out, " to ");
    chart_date(out, period->to);
    add_class(out, period);
    text_add(out, open ? ", still open\n" : "\n");
    wear_stretch_of(history, history->protocol, period->from, period->to, &stretch);
    add_stretch(out, &stretch, columns);
    add_notes(out, period);
}

/* Every count as it was given: a period may rest on another record. */
static void add_counts(struct text *out, const struct history *history)
{
    for (size_t i = 0; i < history->wear_count_count; i++) {
        const struct wear_count *count = &history->wear_counts[i];
        text_add(out, i == 0 ? "counts as given: " : i % 3 == 0 ? ",\n  " : ", ");
        chart_date(out, count->from);
        text_addf(out, " %" PRId32 "/%" PRId32 " %s", count->days_met, count->days_asked,
                  word_text(&words_source, (int)count->source));
    }
    if (history->wear_count_count > 0)
        text_add(out, "\n");
}

static void add_month(struct text *out, const struct wear_period *period)
{
    add_class(out, period);
    text_addf(out, "%s of %" PRId32 " days\n", period->source == SOURCE_NONE ? "" : ",",
              period->days);
}

static void add_months(struct text *out, const struct history *history, day today, int columns)
{
    struct wear_stretch stretch;
    char month[MONTH_TEXT_SIZE];
    day from, to;

    text_add(
        out,
        "\nWear by calendar month; a count over a month's end is spread evenly over its days\n");
    for (int32_t back = 0; back < TOLD_MONTHS_MOST && wear_month(history, today, back, &from, &to);
         back++) {
        wear_month_of(history, history->protocol, from, to, &stretch);
        text_add(out, month_to_text(from, month));
        if (stretch.period.days == 0)
            text_add(out, "  no day with a trainer\n");
        else
            add_month(out, &stretch.period);
        add_stretch(out, &stretch, columns);
        add_notes(out, &stretch.period);
    }
}

static void add_course(struct text *out, const struct history *history, day today, int columns)
{
    struct wear_stretch stretch;
    struct wear_drift drift;
    struct text line = {0};
    char date[DAY_TEXT_SIZE];
    day from, to;

    if (!wear_course(history, today, &from, &to))
        return;
    wear_stretch_of(history, history->protocol, from, to, &stretch);
    wear_drift_until(history, history->protocol, today, &drift);
    text_addf(out, "\nWear since %s; hours are of the day, a night is worn or not\n",
              day_to_text(from, date));
    add_stretch(out, &stretch, columns);
    told_drift(&line, &drift);
    text_add_wrapped(out, indent, text_string(&line), columns);
    text_clear(&line);
    told_drift_how(&line, &drift);
    if (line.length > 0)
        text_add_wrapped(out, indent, text_string(&line), columns);
    out->failed = out->failed || line.failed;
    text_release(&line);
}

void chart_wear(struct text *out, const struct history *history, day today, int columns)
{
    struct wear_periods periods;

    wear_periods(history, history->protocol, today, (struct reach){.through = today}, &periods);
    text_add(out, "\nWear of the trainer by period, newest first, with 95 % intervals; "
                  "told runs high\n");
    for (int32_t i = 0; i < periods.count; i++)
        add_period(out, history, &periods.period[i], id_is_none(&periods.period[i].closed_by),
                   columns);
    if (periods.count == 0)
        text_add(out, "no period: no trainer worn yet\n");
    add_counts(out, history);
    if (periods.count == 0)
        return;
    add_months(out, history, today, columns);
    add_course(out, history, today, columns);
}
