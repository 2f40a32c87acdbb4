/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Trend, response and forecast of a case, with the practice's other cases read once. */
#include "springline/app/forecast_view.h"

#include <string.h>

#include "case_private.h"
#include "forecast_private.h"
#include "springline/app/grow.h"
#include "springline/core/tooth.h"

/* ---- from the case alone ---- */

bool heading_make(const struct history *history, const struct expander *expander, day today,
                  struct heading *heading)
{
    struct trend_points points = {.count = 0};
    struct arena scratch = {0};
    day from, to;
    bool made = true;

    *heading = (struct heading){.history = history, .expander = expander, .today = today};
    width_view(history, history->protocol, expander, today, &heading->view);
    if (trend_span(expander, today, &from, &to))
        made = trend_points(history, expander, from, to, &scratch, &points);
    heading->trend_refusal = trend_fit(&points, &heading->trend);
    if (heading->trend_refusal == TREND_DRAWN)
        heading->trend_refusal = trend_theil_sen(&points, &scratch, &heading->trend);
    heading->response_refusal =
        response_of(history, history->protocol, expander, today, &heading->response);
    arena_release(&scratch);
    return made && heading->trend_refusal != TREND_NO_MEMORY;
}

bool forecast_view_brief(struct text *out, const struct history *history,
                         const struct expander *expander, day today)
{
    struct heading heading;

    if (!heading_make(history, expander, today, &heading))
        return false;
    text_addf(out, "%s ", word_text(&words_arch, (int)expander->arch));
    if (heading.trend_refusal == TREND_DRAWN) {
        text_add(out, "trend: ");
        forecast_tell_mm(out, heading.trend.slope_mm);
        text_addf(out, " mm a week over %zu dates", heading.trend.points);
    } else {
        forecast_tell_trend(out, &heading);
    }
    if (heading.response_refusal == RESPONSE_KNOWN) {
        text_add(out, "; ");
        forecast_tell_mm(out, heading.response.ratio);
        text_add(out, " mm for each mm activated");
    }
    return true;
}

/* ---- the practice ---- */

struct pooled { /* the other cases at the measure of one expander */
    const struct expander *like;
    struct trend_points *cases;
    size_t count, capacity;
};

struct pool_reader {
    struct pooled pooled[2];
    int count;
    um width_error;
    day today;
    struct arena *arena;
    struct arena scratch; /* of one case */
};

static bool keep_points(struct arena *arena, const struct trend_points *points,
                        struct trend_points *kept)
{
    size_t size = points->count * sizeof *points->weeks;

    *kept = (struct trend_points){.weeks = arena_alloc(arena, size),
                                  .widths_mm = arena_alloc(arena, size),
                                  .count = points->count};
    if (kept->weeks == NULL || kept->widths_mm == NULL)
        return false;
    memcpy(kept->weeks, points->weeks, size);
    memcpy(kept->widths_mm, points->widths_mm, size);
    return true;
}

static enum status add_case(void *context, const struct history *history, struct error *error)
{
    struct pool_reader *reader = context;

    for (int i = 0; i < reader->count; i++) {
        struct pooled *pooled = &reader->pooled[i];
        struct trend_points points;
        arena_clear(&reader->scratch);
        enum forecast_reason reason = forecast_best_points(
            history, pooled->like, reader->width_error, reader->today, &reader->scratch, &points);
        if (reason != FORECAST_GIVEN && reason != FORECAST_NO_MEMORY)
            continue;
        if (reason == FORECAST_NO_MEMORY ||
            !app_grow(reader->arena, (void **)&pooled->cases, pooled->count, &pooled->capacity,
                      sizeof *pooled->cases) ||
            !keep_points(reader->arena, &points, &pooled->cases[pooled->count]))
            return error_no_memory(error);
        pooled->count++;
    }
    return STATUS_OK;
}

/* The forecast of a heading by the practice it holds. False: no memory. */
static bool make_forecast(struct heading *heading, struct arena *arena)
{
    forecast_case(heading->history, heading->expander, heading->today, &heading->practice, arena,
                  &heading->forecast);
    return heading->forecast.reason != FORECAST_NO_MEMORY;
}

/* Reads every case once and works out what the headings need of them. */
static enum status read_practice(struct app *app, struct heading *headings, int count,
                                 struct arena *arena, struct error *error)
{
    struct pool_reader reader = {.count = count, .today = app->today, .arena = arena};

    for (int i = 0; i < count; i++)
        reader.pooled[i].like = headings[i].expander;
    reader.width_error = headings[0].history->protocol->width_error;
    enum status status = store_each_measured(app->store, STORE_NOW, add_case, &reader, error);
    arena_release(&reader.scratch);
    for (int i = 0; i < count && status == STATUS_OK; i++) {
        const struct pooled *pooled = &reader.pooled[i];
        if (forecast_pool(pooled->cases, pooled->count, reader.width_error, arena,
                          &headings[i].practice) == FORECAST_NO_MEMORY ||
            !make_forecast(&headings[i], arena))
            status = error_no_memory(error);
    }
    return status;
}

/* A case that could have no forecast whatever the others say is told so without reading them: with
 * no other case known the lack of them is the last reason left. */
static enum status make_forecasts(struct app *app, struct heading *headings, int count,
                                  struct error *error)
{
    struct arena arena = {0};
    enum status status = STATUS_OK;
    bool wanted = false;

    for (int i = 0; i < count && status == STATUS_OK; i++) {
        if (!make_forecast(&headings[i], &arena))
            status = error_no_memory(error);
        wanted = wanted || headings[i].forecast.reason == FORECAST_FEW_CASES;
    }
    if (status == STATUS_OK && wanted)
        status = read_practice(app, headings, count, &arena, error);
    arena_release(&arena);
    return status;
}

/* ---- in words ---- */

static void tell_measure(struct text *out, const struct expander *expander)
{
    char teeth[8], date[DAY_TEXT_SIZE];

    text_addf(out, "%s %s %s %s, expander fitted %s", word_text(&words_arch, (int)expander->arch),
              word_text(&words_site, (int)expander->site),
              word_text(&words_landmark, (int)expander->landmark),
              teeth_to_text(expander->teeth, teeth), day_to_text(expander->fitted_on, date));
}

static bool tell_heading(const struct heading *heading, struct arena *arena, struct lines *lines)
{
    static void (*const tellers[])(struct text *, const struct heading *) = {
        forecast_tell_date,      forecast_tell_basis,    forecast_tell_change, forecast_tell_trend,
        forecast_tell_theil_sen, forecast_tell_response, forecast_tell_growth,
    };
    struct text text = {0};

    tell_measure(&text, heading->expander);
    bool good = told_end_line(arena, lines, &text);
    for (size_t i = 0; i < sizeof tellers / sizeof tellers[0] && good; i++) {
        struct text told = {0};
        tellers[i](&told, heading);
        if (told.length > 0 || told.failed) {
            text_addf(&text, "  %s.", text_string(&told));
            text.failed = text.failed || told.failed;
            good = told_end_line(arena, lines, &text);
        }
        text_release(&told);
    }
    text_release(&text);
    return good;
}

enum status forecast_view_tell(struct app *app, const struct history *history, enum arch arch,
                               struct arena *arena, struct lines *lines, struct error *error)
{
    struct heading headings[2];
    struct text text = {0};
    int count = 0;
    bool good = true;

    for (int one = ARCH_UPPER; one <= ARCH_LOWER; one++) {
        const struct expander *expander = case_expander_of(history, (enum arch)one, app->today);
        if ((arch != ARCH_NONE && arch != (enum arch)one) || expander == NULL ||
            expander->fitted_on == DAY_NONE || expander->fitted_on > app->today)
            continue;
        if (!heading_make(history, expander, app->today, &headings[count++]))
            return error_no_memory(error);
    }
    if (count == 0)
        return STATUS_OK;
    enum status status = make_forecasts(app, headings, count, error);
    if (status != STATUS_OK)
        return status;
    for (int i = 0; i < count && good; i++)
        good = tell_heading(&headings[i], arena, lines);
    text_add(&text, forecast_caution);
    good = good && told_end_line(arena, lines, &text);
    text_release(&text);
    return good ? STATUS_OK : error_no_memory(error);
}

enum status forecast_view_case(struct app *app, const struct id *casefile, enum arch arch,
                               struct arena *arena, struct lines *lines, struct error *error)
{
    struct history history;
    struct text text = {0};

    enum status status = store_read_case(app->store, casefile, STORE_NOW, arena, &history, error);
    if (status != STATUS_OK)
        return status;
    case_tell_who(&text, &history);
    text_add(&text, "  ");
    case_tell_born(&text, &history, app->today);
    bool good = told_end_line(arena, lines, &text);
    text_release(&text);
    if (!good)
        return error_no_memory(error);
    return forecast_view_tell(app, &history, arch, arena, lines, error);
}
