/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The safety items on the printed month. A month tells of wear; a child that may come to harm for
 * another reason is not to be read past in it, whether the month accounts for its case or not.
 */
#include <inttypes.h>

#include "audit_page.h"
#include "audit_private.h"
#include "springline/core/course.h"

struct safety_sheet {
    struct page_sheet *sheet;
    day last, today; /* of the month; of the drawing, DAY_NONE: the past is drawn */
    size_t cases;
    struct text text;   /* the lines of the cases */
    struct text line;   /* reused */
    struct arena arena; /* likewise */
};

/* ", wound or fault open since 2026-10-12"; false: nothing stands on that day. */
static bool add_items(struct text *out, const struct case_state *state, day on)
{
    char date[DAY_TEXT_SIZE];
    bool any = false;

    for (int item = SAFETY_NONE + 1; item < SAFETY_COUNT; item++) {
        day from = state->safety_from[item];
        if (from == DAY_NONE || from > on)
            continue;
        text_addf(out, "%s%s since %s", any ? ", " : "",
                  lists_safety_word((enum safety)item, false), day_to_text(from, date));
        any = true;
    }
    return any;
}

/* "on 2026-10-31: bands without a wire since 2026-09-17". */
static bool add_day(struct text *out, const struct case_state *state, day on)
{
    char date[DAY_TEXT_SIZE];
    struct text items = {0};
    bool any = add_items(&items, state, on);

    text_addf(out, "on %s: %s", day_to_text(on, date), any ? text_string(&items) : "none");
    out->failed = out->failed || items.failed;
    text_release(&items);
    return any;
}

static enum status take_case(void *context, const struct history *history, struct error *error)
{
    struct safety_sheet *safety = context;
    struct text *line = &safety->line;
    struct history until;
    struct case_state state;
    bool any = false;

    arena_clear(&safety->arena);
    text_clear(line);
    if (!history_until(history, safety->last, &safety->arena, &until))
        return error_no_memory(error);
    text_addf(line, "%s  %s, %s: ", history->casefile->number, history->patient->family,
              history->patient->given);
    if (history->casefile->opened <= safety->last) {
        course_state(&until, &state);
        any = add_day(line, &state, safety->last);
    } else {
        text_add(line, "not a case yet at the month's end");
    }
    if (safety->today != DAY_NONE) {
        course_state(history, &state);
        text_add(line, "; ");
        any = add_day(line, &state, safety->today) || any;
    }
    text_add(line, ".");
    if (any) {
        safety->cases++;
        text_add_wrapped(&safety->text, "", text_string(line), safety->sheet->columns);
    }
    return line->failed ? error_no_memory(error) : STATUS_OK;
}

/* The heading stands with the first case; the others may follow on the next page. */
static void put(struct safety_sheet *safety)
{
    struct page_sheet *sheet = safety->sheet;
    char last[DAY_TEXT_SIZE], today[DAY_TEXT_SIZE];
    struct text *line = &safety->line;

    text_clear(line);
    text_addf(line, "SAFETY ITEMS ON %s", day_to_text(safety->last, last));
    if (safety->today != DAY_NONE)
        text_addf(line, ", AND ON %s, WHEN IT WAS DRAWN", day_to_text(safety->today, today));
    text_addf(line, ": %zu %s", safety->cases, safety->cases == 1 ? "case" : "cases");
    text_add_wrapped(&sheet->text, "", text_string(line), sheet->columns);
    text_append(&sheet->text, text_string(&safety->text), safety->text.length);
    sheet->failed = sheet->failed || line->failed || safety->text.failed;
    page_end_block(sheet);
}

enum status audit_paper_safety(struct page_sheet *sheet, struct app *app, day last, int64_t as_of,
                               bool live, struct error *error)
{
    /* Of a month long past nobody asks who stands unsafe today: there are lists for that. */
    bool newest = day_month_start(last, 1) == day_month_start(app->today, 0);
    struct safety_sheet safety = {
        .sheet = sheet, .last = last, .today = live && newest ? app->today : DAY_NONE};
    enum status status = lists_each_case(app, as_of, take_case, &safety, error);

    if (status == STATUS_OK)
        put(&safety);
    text_release(&safety.text);
    text_release(&safety.line);
    arena_release(&safety.arena);
    return status;
}
