/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Wear of the trainer: the periods, worked out; counts and days, as recorded. */
#include <inttypes.h>

#include "case_private.h"

static const char *const class_marks[] = {
    [WEAR_UNKNOWN] = "UNKNOWN", [WEAR_LOW] = "LOW", [WEAR_SHORT] = "SHORT", [WEAR_FULL] = "FULL"};

/* A worked out row has no record: its place is the day it begins on. */
static struct id place_of(const struct wear_period *period)
{
    struct id id = {{0}};
    uint32_t from = (uint32_t)period->from;

    id.bytes[0] = 'w';
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

static void add_period(struct row_maker *maker, const struct wear_period *period)
{
    /* As a record it would be a count that ends on the period's last day. */
    struct wear_count place = {.head = {.record = place_of(period)}, .to = period->to};
    char from[DAY_TEXT_SIZE];

    text_addf(&maker->what, "period from %s: ", day_to_text(period->from, from));
    told_wear(&maker->what, period);
    tell_rest(&maker->what, period);
    text_add(&maker->what, id_is_none(&period->closed_by) ? "; still open" : "");
    text_add(&maker->more, "Enter: its days and counts");
    struct sorted_row *row =
        case_add_row(maker, RECORD_WEAR_COUNT, &place, class_marks[period->class], false);
    if (row == NULL)
        return;
    row->row.section = "wear";
    row->row.from = period->from;
    row->row.to = period->to;
    row->group = -1; /* before the counts */
}

void case_add_wear(struct row_maker *maker)
{
    const struct history *history = maker->history;
    day today = maker->app->today;
    struct wear_periods periods;

    wear_periods(history, history->protocol, today, (struct reach){.through = today}, &periods);
    for (int32_t i = 0; i < periods.count; i++)
        add_period(maker, &periods.period[i]);
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

/* ---- one period whole ---- */

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

enum status case_view_wear(struct app *app, const struct id *casefile, day from, day to,
                           struct arena *arena, struct lines *lines, struct error *error)
{
    struct history history;
    struct wear_period period;
    struct text text = {0};
    char begins[DAY_TEXT_SIZE], ends[DAY_TEXT_SIZE];

    enum status status = store_read_case(app->store, casefile, STORE_NOW, arena, &history, error);
    if (status != STATUS_OK)
        return status;
    wear_judge(&history, history.protocol, from, to, &period);
    case_tell_who(&text, &history);
    bool good = told_end_line(arena, lines, &text);
    text_addf(&text, "%s to %s: ", day_to_text(from, begins), day_to_text(to, ends));
    told_wear(&text, &period);
    tell_rest(&text, &period);
    good = good && told_end_line(arena, lines, &text);
    for (int source = SOURCE_NONE + 1; source <= SOURCE_TOLD && good; source++)
        good = end_tally(arena, lines, &text, &period.sources[source], (enum source)source);
    text_addf(&text, "A day meets the minimum with %" PRId32 " minutes%s.",
              history.protocol->wear_day_min_minutes,
              history.protocol->wear_night == ANSWER_YES ? " and the night" : "");
    good = good && told_end_line(arena, lines, &text) &&
           end_counts(&history, from, to, arena, lines, &text) &&
           end_days(&history, from, to, arena, lines, &text);
    text_release(&text);
    return good ? STATUS_OK : error_no_memory(error);
}
