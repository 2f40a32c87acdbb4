/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Wear of the trainer: the periods, worked out; counts and days, as recorded. */
#include <inttypes.h>

#include "case_private.h"
#include "told_wear.h"

static const char *const class_marks[] = {
    [WEAR_UNKNOWN] = "UNKNOWN", [WEAR_LOW] = "LOW", [WEAR_SHORT] = "SHORT", [WEAR_FULL] = "FULL"};

/* The worked out rows, in their order, before the counts. */
enum { GROUP_PERIODS = -3, GROUP_COURSE, GROUP_MONTHS };

/* A worked out row has no record: its place is what it is, and the day it begins on. */
static struct id place_of(int group, day begins)
{
    struct id id = {{0}};
    uint32_t from = (uint32_t)begins;

    id.bytes[0] = (uint8_t)('w' + group - GROUP_PERIODS);
    for (int i = 0; i < 4; i++)
        id.bytes[1 + i] = (uint8_t)(from >> (8 * i));
    return id;
}

static void tell_differs(struct text *out, const struct wear_period *period)
{
    if (period->differs != SOURCE_NONE)
        text_addf(out, "; but %s: %" PRId32 " of %" PRId32 " days met, which is lower",
                  word_text(&words_source, (int)period->differs), period->differs_tally.met,
                  period->differs_tally.known);
}

static void tell_rest(struct text *out, const struct wear_period *period)
{
    tell_differs(out, period);
    text_add(out, period->thin ? "; few days are known" : "");
    if (period->untrained_days > 0)
        text_addf(out, "; %" PRId32 " days without a trainer", period->untrained_days);
}

/* Adds the row of a stretch, told by maker->what and more. */
static void add_stretch(struct row_maker *maker, int group, day from, day to, const char *mark)
{
    /* As a record it would be a count that ends on the last day. */
    struct wear_count place = {.head = {.record = place_of(group, from)}, .to = to};
    struct sorted_row *row = case_add_row(maker, RECORD_WEAR_COUNT, &place, mark, false);

    if (row == NULL)
        return;
    row->row.section = "wear";
    row->row.from = from;
    row->row.to = to;
    row->row.month = group == GROUP_MONTHS;
    row->group = group;
}

static void add_period(struct row_maker *maker, const struct wear_period *period)
{
    char from[DAY_TEXT_SIZE];

    text_addf(&maker->what, "period from %s: ", day_to_text(period->from, from));
    told_wear(&maker->what, period);
    tell_rest(&maker->what, period);
    text_add(&maker->what, id_is_none(&period->closed_by) ? "; still open" : "");
    text_add(&maker->more, "Enter: its hours, days and counts");
    add_stretch(maker, GROUP_PERIODS, period->from, period->to, class_marks[period->class]);
}

static void add_month(struct row_maker *maker, day from, day to)
{
    const struct history *history = maker->history;
    struct wear_period period;
    char month[MONTH_TEXT_SIZE];

    wear_month_judge(history, history->protocol, from, to, &period);
    text_addf(&maker->what, "month %s: ", month_to_text(from, month));
    told_wear(&maker->what, &period);
    tell_rest(&maker->what, &period);
    text_add(&maker->more, "Enter: its hours, days and counts");
    add_stretch(maker, GROUP_MONTHS, from, to, class_marks[period.class]);
}

static void add_course(struct row_maker *maker, day from, day to)
{
    const struct history *history = maker->history;
    struct wear_drift drift;

    wear_drift_until(history, history->protocol, maker->app->today, &drift);
    text_add(&maker->what, "trend by visit: ");
    told_drift(&maker->what, &drift);
    text_add(&maker->more, "Enter: how it was found, hours, every day and count");
    add_stretch(maker, GROUP_COURSE, from, to, drift.answer == WEAR_DRIFT_DOWN ? "DRIFT" : "");
}

/* The course, the periods and the months. */
static void add_stretches(struct row_maker *maker)
{
    const struct history *history = maker->history;
    day today = maker->app->today, from, to;
    struct wear_periods periods;

    if (wear_course(history, today, &from, &to))
        add_course(maker, from, to);
    wear_periods(history, history->protocol, today, (struct reach){.through = today}, &periods);
    for (int32_t i = 0; i < periods.count; i++)
        add_period(maker, &periods.period[i]);
    for (int32_t back = 0; back < TOLD_MONTHS_MOST; back++) {
        if (wear_month(history, today, back, &from, &to))
            add_month(maker, from, to);
    }
}

void case_add_wear(struct row_maker *maker)
{
    const struct history *history = maker->history;

    add_stretches(maker);
    for (size_t i = 0; i < history->wear_count_count; i++) {
        text_add(&maker->what, "count: ");
        case_tell(&maker->what, RECORD_WEAR_COUNT, &history->wear_counts[i]);
        struct sorted_row *row =
            case_add_row(maker, RECORD_WEAR_COUNT, &history->wear_counts[i], "", false);
        if (row != NULL)
            row->row.section = "wear";
    }
    for (size_t i = 0; i < history->wear_day_count && maker->folded[0] != '\0'; i++) {
        case_tell(&maker->what, RECORD_WEAR_DAY, &history->wear_days[i]);
        case_add_row(maker, RECORD_WEAR_DAY, &history->wear_days[i], "", false);
    }
}

/* ---- one stretch whole ---- */

/* Of the whole course: does it drift? */
static bool end_drift(const struct history *history, day today, struct arena *arena,
                      struct lines *lines, struct text *text)
{
    struct wear_drift drift;

    wear_drift_until(history, history->protocol, today, &drift);
    told_drift(text, &drift);
    if (!told_end_line(arena, lines, text))
        return false;
    told_drift_how(text, &drift);
    return text->length == 0 || told_end_line(arena, lines, text);
}

static bool end_tally(struct arena *arena, struct lines *lines, struct text *text,
                      const struct wear_tally *tally, enum source source)
{
    if (tally->known == 0)
        return true;
    text_addf(text, "%s: %" PRId32 " of %" PRId32 " known days met, from %s%s",
              word_text(&words_source, (int)source), tally->met, tally->known,
              tally->from_counts ? "counts" : "single days",
              source == SOURCE_TOLD ? "; told runs high" : "");
    return told_end_line(arena, lines, text);
}

static bool end_counts(const struct history *history, day from, day to, struct arena *arena,
                       struct lines *lines, struct text *text)
{
    bool good = true;

    for (size_t i = 0; i < history->wear_count_count && good; i++) {
        const struct wear_count *count = &history->wear_counts[i];
        char last[DAY_TEXT_SIZE];
        if (count->to < from || count->from > to)
            continue;
        text_addf(text, "count to %s: ", day_to_text(count->to, last));
        case_tell(text, RECORD_WEAR_COUNT, count);
        good = told_end_line(arena, lines, text);
    }
    return good;
}

static bool end_days(const struct history *history, day from, day to, struct arena *arena,
                     struct lines *lines, struct text *text)
{
    bool good = true;

    for (day date = to; date >= from && good; date--) {
        for (size_t i = 0; i < history->wear_day_count && good; i++) {
            const struct wear_day *wear = &history->wear_days[i];
            char on[DAY_TEXT_SIZE];
            if (wear->date != date)
                continue;
            text_addf(text, "%s  ", day_to_text(date, on));
            case_tell(text, RECORD_WEAR_DAY, wear);
            good = told_end_line(arena, lines, text);
        }
    }
    return good;
}

/* The whole course is told with its drift. */
static bool is_course(const struct history *history, day today, const struct case_wear *of)
{
    day first, last;

    return !of->month && wear_course(history, today, &first, &last) && of->from == first &&
           of->to == last;
}

static bool end_stretch(const struct history *history, day today, const struct case_wear *of,
                        struct arena *arena, struct lines *lines, struct text *text)
{
    struct wear_stretch stretch;
    char begins[DAY_TEXT_SIZE], ends[DAY_TEXT_SIZE];

    if (of->month)
        wear_month_of(history, history->protocol, of->from, of->to, &stretch);
    else
        wear_stretch_of(history, history->protocol, of->from, of->to, &stretch);
    text_addf(text, "%s to %s: ", day_to_text(of->from, begins), day_to_text(of->to, ends));
    told_wear(text, &stretch.period);
    tell_rest(text, &stretch.period);
    text_add(text,
             of->month ? "; a count over the month's end is spread evenly over its days" : "");
    bool good = told_end_line(arena, lines, text);
    for (int source = SOURCE_NONE + 1; source <= SOURCE_TOLD && good; source++)
        good = end_tally(arena, lines, text, &stretch.period.sources[source], (enum source)source);
    good = good && told_stretch_lines(arena, lines, text, &stretch);
    return good &&
           (!is_course(history, today, of) || end_drift(history, today, arena, lines, text));
}

enum status case_view_wear(struct app *app, const struct case_wear *of, struct arena *arena,
                           struct lines *lines, struct error *error)
{
    struct history history;
    struct text text = {0};

    enum status status =
        store_read_case(app->store, &of->casefile, STORE_NOW, arena, &history, error);
    if (status != STATUS_OK)
        return status;
    case_tell_who(&text, &history);
    bool good = told_end_line(arena, lines, &text) &&
                end_stretch(&history, app->today, of, arena, lines, &text);
    text_addf(&text, "A day meets the minimum with %" PRId32 " minutes%s.",
              history.protocol->wear_day_min_minutes,
              history.protocol->wear_night == ANSWER_YES ? " and the night" : "");
    good = good && told_end_line(arena, lines, &text) &&
           end_counts(&history, of->from, of->to, arena, lines, &text) &&
           end_days(&history, of->from, of->to, arena, lines, &text);
    text_release(&text);
    return good ? STATUS_OK : error_no_memory(error);
}
