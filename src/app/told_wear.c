/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "told_wear.h"

#include <inttypes.h>
#include <math.h>
#include <stdlib.h>

#include "told.h"

static const char *days(int32_t count)
{
    return count == 1 ? "day" : "days";
}

/* Hours with one decimal: no family and no sensor knows them better. */
static void add_hours(struct text *out, int32_t minutes)
{
    text_addf(out, "%.1f h", (double)minutes / 60.0);
}

static int points(double share)
{
    return (int)lround(share * 100.0);
}

bool told_hours(struct text *out, enum source source, const struct wear_hours *hours)
{
    if (hours->known_days == 0)
        return false;
    text_addf(out, "%s, by day: mean ",
              source == SOURCE_TOLD ? "told, runs high" : word_text(&words_source, (int)source));
    add_hours(out, hours->mean_minutes);
    text_add(out, ", median ");
    add_hours(out, hours->median_minutes);
    text_addf(out,
              ", %" PRId32 " %s; longest gap %" PRId32 " %s, at the end %" PRId32 " met in a row",
              hours->known_days, days(hours->known_days), hours->longest_gap_days,
              days(hours->longest_gap_days), hours->current_run_days);
    return true;
}

static void add_difference(struct text *out, double told, double sensor)
{
    int by = points(told - sensor);

    text_addf(out, "told %d %s %s", by < 0 ? -by : by, by == 1 || by == -1 ? "point" : "points",
              by < 0 ? "less" : "more");
}

static void add_minutes(struct text *out, const struct wear_beside *beside)
{
    int32_t more = beside->told_minutes - beside->sensor_minutes;

    if (beside->minute_days == 0)
        return;
    text_add(out, "; by day sensor ");
    add_hours(out, beside->sensor_minutes);
    text_add(out, ", told ");
    add_hours(out, beside->told_minutes);
    text_add(out, ": ");
    add_hours(out, more < 0 ? -more : more);
    text_addf(out, " %s", more < 0 ? "less" : "more");
}

bool told_beside(struct text *out, const struct wear_beside *beside)
{
    if (beside->days == 0 && beside->spans == 0)
        return false;
    text_add(out, "sensor beside told");
    if (beside->days > 0) {
        text_addf(out, ", same %" PRId32 " %s: sensor %" PRId32 " met, told %" PRId32 ", ",
                  beside->days, days(beside->days), beside->sensor_met, beside->told_met);
        add_difference(out, (double)beside->told_met / beside->days,
                       (double)beside->sensor_met / beside->days);
        add_minutes(out, beside);
    }
    if (beside->spans > 0) {
        text_addf(out,
                  "%s the days of %" PRId32 " %s: sensor %" PRId32 " of %" PRId32
                  " met, told %" PRId32 " of %" PRId32 ", ",
                  beside->days > 0 ? "; over" : ", over", beside->spans,
                  beside->spans == 1 ? "count" : "counts", beside->sensor.met, beside->sensor.known,
                  beside->told.met, beside->told.known);
        add_difference(out, (double)beside->told.met / beside->told.known,
                       (double)beside->sensor.met / beside->sensor.known);
    }
    return true;
}

void told_drift(struct text *out, const struct wear_drift *drift)
{
    char from[DAY_TEXT_SIZE];

    if (drift->answer == WEAR_DRIFT_TOO_FEW) {
        text_addf(
            out, "drift can not be told: %d periods of one source must be known, there %s %" PRId32,
            WEAR_DRIFT_LEAST, drift->periods == 1 ? "is" : "are", drift->periods);
        return;
    }
    text_addf(
        out, "%s, %d %% to %d %% over %" PRId32 " periods since %s (%s), median %+d %s a period",
        drift->answer == WEAR_DRIFT_DOWN ? "DRIFTING DOWN" : "no drift shown", points(drift->first),
        points(drift->last), drift->periods, day_to_text(drift->from, from),
        drift->source == SOURCE_TOLD ? "told, runs high"
                                     : word_text(&words_source, (int)drift->source),
        points(drift->slope), abs(points(drift->slope)) == 1 ? "point" : "points");
}

void told_drift_how(struct text *out, const struct wear_drift *drift)
{
    if (drift->answer == WEAR_DRIFT_TOO_FEW)
        return;
    text_addf(out,
              "Mann and Kendall's test, one-sided: S %" PRId32 ", exact p %.3f. Drifting down is p "
              "of at most %.2f and a fall of at least %d points; so of cases whose wear does not "
              "change at most %d in 100 are marked, %d where neighbouring periods resemble each "
              "other, %d in long swings. A reason to look, never one of the rules.",
              drift->score, drift->p, WEAR_DRIFT_LEVEL_PERMILLE / 1000.0,
              WEAR_DRIFT_FALL_PERMILLE / 10, WEAR_DRIFT_ALARMS, WEAR_DRIFT_ALARMS_ALIKE,
              WEAR_DRIFT_ALARMS_SWINGING);
}

bool told_stretch_lines(struct arena *arena, struct lines *lines, struct text *text,
                        const struct wear_stretch *stretch)
{
    bool good = true;

    for (int source = SOURCE_SENSOR; source <= SOURCE_TOLD && good; source++) {
        if (told_hours(text, (enum source)source, &stretch->hours[source]))
            good = told_end_line(arena, lines, text);
    }
    if (good && told_beside(text, &stretch->beside)) {
        text_add(text, ". Published: told exceeds sensors by 3.8 to 5.0 h a day, night included");
        good = told_end_line(arena, lines, text);
    }
    return good;
}
