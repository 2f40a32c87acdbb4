/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Hours a day, gaps and runs of one source: how the literature summarises wear. */
#include <string.h>

#include "wear_private.h"

enum { DAY_MINUTES = 1440 };

static const struct wear_day *record_on(const struct history *history, enum source source, day date)
{
    const struct wear_day *found = NULL;

    for (size_t i = 0; i < history->wear_day_count; i++) {
        const struct wear_day *record = &history->wear_days[i];
        if (record->date == date && record->source == source &&
            (found == NULL || record->day_minutes < found->day_minutes))
            found = record;
    }
    return found;
}

/* The minutes of the known days, counted by their number, so that no room has to be found. */
struct minute_sums {
    int32_t days[DAY_MINUTES + 1];
    int32_t filled;
    int64_t sum;
};

static void add_minutes(struct minute_sums *sums, int32_t minutes)
{
    if (minutes < 0)
        return;
    sums->days[minutes < DAY_MINUTES ? minutes : DAY_MINUTES]++;
    sums->filled++;
    sums->sum += minutes;
}

/* The minutes of the day that stands at place (from 0) when the days are put in order. */
static int32_t minutes_at(const struct minute_sums *sums, int32_t place)
{
    int32_t minutes = 0;

    while (minutes < DAY_MINUTES && place >= sums->days[minutes])
        place -= sums->days[minutes++];
    return minutes;
}

/* Days read one after the other, oldest first. */
struct day_row {
    int32_t gap;
    bool unknown; /* the day before is unknown */
};

/* Unknown days neither lengthen nor end a gap; no run goes on past one, for nobody knows it was
 * met. The current run is the one up to the last known day. */
static void add_day(struct wear_hours *hours, enum day_state state, struct day_row *row)
{
    if (state == DAY_MET) {
        hours->current_run_days = row->unknown ? 1 : hours->current_run_days + 1;
        row->gap = 0;
    } else if (state != DAY_UNKNOWN) {
        hours->current_run_days = 0;
        if (++row->gap > hours->longest_gap_days)
            hours->longest_gap_days = row->gap;
    }
    hours->known_days += state != DAY_UNKNOWN;
    row->unknown = state == DAY_UNKNOWN;
}

void wear_hours(const struct history *history, const struct protocol *protocol, enum source source,
                day from, day to, struct wear_hours *hours)
{
    struct minute_sums sums;
    struct day_row row = {0};

    memset(&sums, 0, sizeof sums);
    memset(hours, 0, sizeof *hours);
    for (day date = from; date <= to; date++) {
        if (!wear_trainer_current(history, date))
            continue;
        const struct wear_day *record = record_on(history, source, date);
        enum day_state state = record == NULL ? DAY_UNKNOWN : wear_day_state(record, protocol);
        add_day(hours, state, &row);
        if (state != DAY_UNKNOWN)
            add_minutes(&sums, record->day_minutes);
    }
    if (sums.filled == 0)
        return;
    int32_t lower = minutes_at(&sums, (sums.filled - 1) / 2);
    int32_t upper = minutes_at(&sums, sums.filled / 2);
    hours->mean_minutes = (int32_t)((sums.sum + sums.filled / 2) / sums.filled);
    hours->median_minutes = (lower + upper) / 2;
}
