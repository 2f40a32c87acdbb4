/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One case of one month: its figures by name, in the order in which they are asked for. */
#include <inttypes.h>

#include "audit_private.h"
#include "springline/app/grow.h"
#include "springline/app/lists_find.h"
#include "springline/core/statistics.h"
#include "told.h"
#include "told_wear.h"

/* The figures of which there is one; a record of its own has its own id. */
enum figure {
    FIGURE_JUDGED = 1,
    FIGURE_SENSOR, /* and the next two: by enum source */
    FIGURE_DIARY,
    FIGURE_TOLD,
    FIGURE_UNKNOWN,
    FIGURE_UNTRAINED,
    FIGURE_TAIL,
    FIGURE_VISITS,
    FIGURE_HOLDS,
    FIGURE_REDUCTIONS,
    FIGURE_RESTS,
    FIGURE_OVERRIDES,
    FIGURE_MISSED,
    FIGURE_RUN,
    FIGURE_CHANGE,
    FIGURE_DRIFT
};

static const char *end_value(struct audit_subject *subject)
{
    struct text *text = &subject->text;
    const char *copy =
        text->failed ? NULL : arena_text(subject->arena, text_string(text), text->length);

    text_clear(text);
    subject->failed = subject->failed || copy == NULL;
    return copy == NULL ? "" : copy;
}

/* A new figure whose value is the subject's text; a spare one when memory ran out. */
static struct audit_figure *add(struct audit_subject *subject, struct audit_case_view *view,
                                const char *name, struct audit_figure *spare)
{
    const char *value = end_value(subject);
    struct audit_figure *figure = spare;

    if (app_grow(subject->arena, (void **)&view->figures, view->count, &view->capacity,
                 sizeof *view->figures))
        figure = &view->figures[view->count++];
    else
        subject->failed = true;
    *figure = (struct audit_figure){.name = name, .value = value, .record = RECORD_KIND_COUNT};
    return figure;
}

static struct audit_figure *add_figure(struct audit_subject *subject, struct audit_case_view *view,
                                       enum figure which, const char *name,
                                       struct audit_figure *spare)
{
    struct audit_figure *figure = add(subject, view, name, spare);

    figure->id.bytes[0] = (uint8_t)which;
    return figure;
}

static void add_record(struct audit_subject *subject, struct audit_case_view *view,
                       const char *name, enum record_kind kind, const struct id *record)
{
    struct audit_figure spare, *figure = add(subject, view, name, &spare);

    figure->record = kind;
    figure->row = figure->id = *record;
    if (kind != RECORD_PROTOCOL)
        figure->owner = subject->history->casefile->head.record;
}

/* ---- wear ---- */

static void add_interval(struct text *out, const struct wear_tally *tally)
{
    struct interval interval;

    if (statistics_wilson(tally->met, tally->known, &interval))
        text_addf(out, ", 95 %% %.0f-%.0f %%", interval.low * 100.0, interval.high * 100.0);
}

static void add_judged(struct audit_subject *subject, struct audit_case_view *view)
{
    const struct audit_row *row = &subject->row;
    struct wear_tally tally = {.known = row->days_known, .met = row->days_met};
    struct audit_figure spare, *figure;

    if (row->group == AUDIT_NOT_SEEN)
        text_add(&subject->text, "nothing: not seen in the month");
    else if (row->source == SOURCE_NONE)
        text_addf(&subject->text, "unknown, of %" PRId32 " days", row->days_asked);
    else
        audit_add_days(&subject->text, row->source, row->days_met, row->days_known);
    add_interval(&subject->text, &tally);
    text_add(&subject->text, row->stricter ? " *" : "");
    figure = add_figure(subject, view, FIGURE_JUDGED, "wear judged", &spare);
    figure->marked = row->group == AUDIT_BELOW || row->stricter;
    audit_lines_judged(subject, row->source, &figure->behind);
}

static bool differs(const struct audit_behind *behind, enum source source)
{
    for (int32_t i = 0; i < behind->closed; i++) {
        if (behind->periods.period[i].differs == source)
            return true;
    }
    return false;
}

/* Beside what was judged, never added to it. */
static void add_others(struct audit_subject *subject, struct audit_case_view *view)
{
    static const char *const names[] = {
        [SOURCE_SENSOR] = "sensor", [SOURCE_DIARY] = "diary", [SOURCE_TOLD] = "told"};

    for (int source = SOURCE_SENSOR; source <= SOURCE_TOLD; source++) {
        const struct wear_tally *tally = &subject->behind.sums[source];
        bool lower = differs(&subject->behind, (enum source)source);
        struct audit_figure spare, *figure;

        if (source == (int)subject->row.source || (tally->known <= 0 && !lower))
            continue;
        audit_add_days(&subject->text, (enum source)source, tally->met, tally->known);
        add_interval(&subject->text, tally);
        text_add(&subject->text, lower ? "; LOWER than the judged source" : "; beside, not judged");
        figure = add_figure(subject, view, (enum figure)(FIGURE_SENSOR - SOURCE_SENSOR + source),
                            names[source], &spare);
        figure->marked = lower;
        audit_lines_judged(subject, (enum source)source, &figure->behind);
    }
}

static void add_unknown(struct audit_subject *subject, struct audit_case_view *view)
{
    const struct audit_row *row = &subject->row;
    struct audit_figure spare, *figure;

    if (row->days_asked == 0)
        text_add(&subject->text, "no day is judged");
    else if (row->source == SOURCE_NONE)
        text_addf(&subject->text, "no source knows enough of %" PRId32 " days", row->days_asked);
    else
        text_addf(&subject->text, "%" PRId32 " of %" PRId32 " days",
                  row->days_asked - row->days_known, row->days_asked);
    figure = add_figure(subject, view, FIGURE_UNKNOWN, "unknown days", &spare);
    audit_lines_unknown(subject, &figure->behind);
}

static void add_open(struct audit_subject *subject, struct audit_case_view *view)
{
    const struct audit_row *row = &subject->row;
    struct audit_figure spare, *figure;

    text_addf(&subject->text, "%" PRId32 " %s without a trainer", row->untrained_days,
              row->untrained_days == 1 ? "day" : "days");
    figure = add_figure(subject, view, FIGURE_UNTRAINED, "no trainer", &spare);
    figure->marked = row->untrained_days > 0;
    if (row->untrained_days > 0)
        audit_lines_untrained(subject, &figure->behind);
    if (row->open_days > 0)
        text_addf(&subject->text,
                  "%" PRId32 " of %" PRId32 " known days met, of %" PRId32
                  " days; not counted above",
                  row->open_met, row->open_known, row->open_days);
    else
        text_add(&subject->text, "no day since the last visit");
    figure = add_figure(subject, view, FIGURE_TAIL, "since visit", &spare);
    audit_lines_tail(subject, &figure->behind);
}

/* ---- visits ---- */

static void add_verdicts(struct audit_subject *subject, struct audit_case_view *view,
                         enum figure which, const char *name, int32_t count, enum verdict verdict)
{
    struct audit_figure spare, *figure;

    text_addf(&subject->text, "%" PRId32, count);
    figure = add_figure(subject, view, which, name, &spare);
    if (count > 0)
        audit_lines_verdict(subject, verdict, &figure->behind);
}

static void add_visits(struct audit_subject *subject, struct audit_case_view *view)
{
    const struct audit_row *row = &subject->row;
    struct audit_figure spare, *figure;
    char date[DAY_TEXT_SIZE];

    if (row->visits == 0 && subject->behind.seen != DAY_NONE)
        text_addf(&subject->text, "0; last seen %s", day_to_text(subject->behind.seen, date));
    else
        text_addf(&subject->text, "%" PRId32, row->visits);
    figure = add_figure(subject, view, FIGURE_VISITS, "visits seen", &spare);
    audit_lines_visits(subject, &figure->behind);
    add_verdicts(subject, view, FIGURE_HOLDS, "holds", row->holds, VERDICT_HOLD);
    add_verdicts(subject, view, FIGURE_REDUCTIONS, "reductions", row->reductions, VERDICT_REDUCE);
    add_verdicts(subject, view, FIGURE_RESTS, "rests", row->rests, VERDICT_REST);
}

static void add_overrides(struct audit_subject *subject, struct audit_case_view *view)
{
    const struct audit_row *row = &subject->row;
    struct audit_figure spare, *figure;
    int32_t silent = 0;

    for (int32_t i = 0; i < row->overrides && i < AUDIT_OVERRIDES_MAX; i++)
        silent += row->override_rows[i].reason[0] == '\0';
    text_addf(&subject->text, "%" PRId32, row->overrides);
    if (silent > 0)
        text_addf(&subject->text, ", %" PRId32 " with no reason recorded", silent);
    figure = add_figure(subject, view, FIGURE_OVERRIDES, "overrides", &spare);
    figure->marked = row->overrides > 0;
    audit_lines_overrides(subject, &figure->behind);
}

static void add_missed(struct audit_subject *subject, struct audit_case_view *view)
{
    struct audit_figure spare, *figure;

    text_addf(&subject->text, "%" PRId32, subject->row.missed);
    figure = add_figure(subject, view, FIGURE_MISSED, "missed", &spare);
    figure->marked = subject->row.missed > 0;
    audit_lines_missed(subject, &figure->behind);
}

/* ---- the course of months ---- */

static void add_course(struct audit_subject *subject, struct audit_case_view *view)
{
    const struct audit_row *row = &subject->row;
    struct audit_figure spare, *figure;
    struct wear_drift drift;

    wear_drift_of(&subject->behind.periods, subject->history->protocol, &drift);
    text_addf(&subject->text, "%" PRId32 " %s in a row short, low or unknown", row->short_run,
              row->short_run == 1 ? "period" : "periods");
    figure = add_figure(subject, view, FIGURE_RUN, "short run", &spare);
    figure->marked = row->short_run >= subject->history->protocol->wear_run_hold;
    audit_lines_run(subject, &figure->behind);
    if (row->has_change)
        audit_add_change(&subject->text, row);
    else
        text_add(&subject->text, "none: one of the months is not judged, or on another source");
    figure = add_figure(subject, view, FIGURE_CHANGE, "change", &spare);
    audit_lines_change(subject, &figure->behind);
    told_drift(&subject->text, &drift);
    figure = add_figure(subject, view, FIGURE_DRIFT, "trend", &spare);
    figure->marked = row->drifting;
    audit_lines_drift(subject, &drift, &figure->behind);
}

/* ---- the records themselves ---- */

static void add_records(struct audit_subject *subject, struct audit_case_view *view)
{
    const struct history *history = subject->history;

    for (day date = subject->behind.first; date <= subject->behind.last; date++) {
        for (size_t i = 0; i < history->visit_count; i++) {
            const struct visit *visit = &history->visits[i];
            if (visit->date != date)
                continue;
            audit_add_visit(subject, visit);
            add_record(subject, view, "visit", RECORD_VISIT, &visit->head.record);
        }
        for (size_t i = 0; i < history->booking_count; i++) {
            const struct booking *booking = &history->bookings[i];
            if (booking->date != date || booking->state != BOOKED_MISSED)
                continue;
            audit_add_booking(subject, booking);
            add_record(subject, view, "booking", RECORD_BOOKING, &booking->head.record);
        }
    }
    const struct protocol *protocol = history->protocol;
    text_add(&subject->text, "minimum ");
    audit_add_permille(&subject->text, protocol->wear_full_permille);
    text_add(&subject->text, ", low under ");
    audit_add_permille(&subject->text, protocol->wear_low_permille);
    text_addf(&subject->text, ", a day is met with %" PRId32 " min%s",
              protocol->wear_day_min_minutes,
              protocol->wear_night == ANSWER_YES ? " and the night" : "");
    add_record(subject, view, "judged by", RECORD_PROTOCOL, &protocol->head.record);
}

/* ---- the whole ---- */

static void fill_view(struct audit_subject *subject, struct audit_case_view *view)
{
    char month[MONTH_TEXT_SIZE];

    text_addf(&subject->text, "%s  %s %s, %s", month_to_text(subject->month, month),
              subject->listed.number, subject->listed.family, subject->listed.given);
    view->who = end_value(subject);
    audit_view_why(&subject->listed, &subject->text);
    view->line = end_value(subject);
    add_judged(subject, view);
    add_others(subject, view);
    add_unknown(subject, view);
    add_open(subject, view);
    add_visits(subject, view);
    add_overrides(subject, view);
    add_missed(subject, view);
    add_course(subject, view);
    add_records(subject, view);
}

static enum status fill_subject(struct audit_subject *subject, struct error *error)
{
    const struct history *history = subject->history;
    char month[MONTH_TEXT_SIZE];

    if (subject->month > subject->today ||
        !audit_case(history, subject->month, subject->today, &subject->row) ||
        !audit_behind_row(history, subject->month, subject->today, &subject->behind))
        return error_set(error, STATUS_NO, history->casefile->number,
                         "%.40s is not audited in %s: the case was closed, or had no trainer yet.",
                         history->casefile->number, month_to_text(subject->month, month));
    if (!lists_audit_row(history, &subject->row, subject->arena, &subject->listed))
        return error_no_memory(error);
    return STATUS_OK;
}

/* What each opens, and away with those that the search does not find. */
static void keep_found(struct audit_case_view *view, const char *folded)
{
    size_t kept = 0;

    for (size_t i = 0; i < view->count; i++) {
        struct audit_figure *figure = &view->figures[i];
        const char *const texts[] = {figure->name, figure->value};

        if (!lists_found(texts, sizeof texts / sizeof texts[0], folded))
            continue;
        if (figure->record != RECORD_KIND_COUNT)
            figure->opens = AUDIT_OPENS_RECORD;
        else if (figure->behind.count > 0)
            figure->opens = AUDIT_OPENS_LINES;
        view->figures[kept++] = *figure;
    }
    view->count = kept;
}

enum status audit_view_case_at(struct app *app, const struct id *casefile,
                               const struct audit_when *when, const char *folded,
                               struct arena *arena, struct audit_case_view *view,
                               struct error *error)
{
    const struct audit_case_view none = {.who = "", .line = ""};
    struct history history;
    struct audit_subject subject = {
        .history = &history, .arena = arena, .month = when->month, .today = when->today};

    *view = none;
    enum status status = store_read_case(app->store, casefile, when->as_of, arena, &history, error);
    if (status == STATUS_OK)
        status = fill_subject(&subject, error);
    if (status == STATUS_OK)
        fill_view(&subject, view);
    if (status == STATUS_OK && subject.failed)
        status = error_no_memory(error);
    text_release(&subject.text);
    if (status == STATUS_OK)
        keep_found(view, folded);
    else
        *view = none;
    return status;
}

enum status audit_view_case(struct app *app, const struct id *casefile, day month,
                            const char *folded, struct arena *arena, struct audit_case_view *view,
                            struct error *error)
{
    const struct audit_when now = {month, app->today, STORE_NOW};

    return audit_view_case_at(app, casefile, &now, folded, arena, view, error);
}

enum status audit_view_behind_at(struct app *app, const struct id *casefile,
                                 const struct audit_when *when, const struct id *figure,
                                 struct arena *arena, struct lines *lines, struct error *error)
{
    struct audit_case_view view;
    enum status status = audit_view_case_at(app, casefile, when, "", arena, &view, error);

    if (status != STATUS_OK)
        return status;
    for (size_t i = 0; i < view.count; i++) {
        if (!id_equal(&view.figures[i].id, figure))
            continue;
        *lines = view.figures[i].behind;
        return STATUS_OK;
    }
    return error_set(error, STATUS_NO, NULL,
                     "The month has no such figure any more; go back and look at it again.");
}

enum status audit_view_behind(struct app *app, const struct id *casefile, day month,
                              const struct id *figure, struct arena *arena, struct lines *lines,
                              struct error *error)
{
    const struct audit_when now = {month, app->today, STORE_NOW};

    return audit_view_behind_at(app, casefile, &now, figure, arena, lines, error);
}
