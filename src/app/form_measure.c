/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is measured or counted: an arch width, days of wear. */
#include <stdio.h>

#include "form_parts.h"
#include "form_templates.h"
#include "springline/core/wear.h"
#include "springline/core/width.h"
#include "told.h"

/* ---- widths, on whatever form ---- */

static bool same_width(const struct width *a, const struct width *b)
{
    return a->date == b->date && a->arch == b->arch && a->site == b->site &&
           a->landmark == b->landmark && a->teeth.right == b->teeth.right &&
           a->teeth.left == b->teeth.left && a->method == b->method;
}

int32_t form_next_repeat(const struct history *history, const struct width *width)
{
    int32_t next = 1;

    for (size_t i = 0; i < history->width_count; i++) {
        const struct width *other = &history->widths[i];
        if (same_width(other, width) && other->repeat >= next)
            next = other->repeat + 1;
    }
    return next;
}

void form_offer_width(const struct app *app, struct form *form, int slot)
{
    static const struct expander nothing = {.arch = ARCH_NONE};
    const struct width *width = &form_now(form, slot)->width;
    const struct expander *expander =
        width->arch == ARCH_NONE ? NULL
                                 : form_last_expander(&form->history, width->arch, app->today);
    char repeat[16];

    if (expander == NULL)
        expander = &nothing;
    form_offer_word(form, slot, "site", &words_site, (int)expander->site);
    form_offer_word(form, slot, "landmark", &words_landmark, (int)expander->landmark);
    form_offer_teeth(form, slot, "teeth", expander->teeth);
    form_offer_word(form, slot, "method", &words_method, METHOD_MOUTH);
    snprintf(repeat, sizeof repeat, "%d", (int)form_next_repeat(&form->history, width));
    form_offer(form, slot, "repeat", repeat);
}

/* The change from the newest before it, beside what measuring alone can make. */
static bool tell_change(const struct history *would, const struct expander *expander,
                        const struct width *width, struct arena *arena, struct lines *lines)
{
    struct width_view now, before;
    char change[MILLIMETRE_TEXT_SIZE], mdc[MILLIMETRE_TEXT_SIZE], on[DAY_TEXT_SIZE];

    width_view(would, would->protocol, expander, width->date, &now);
    width_view(would, would->protocol, expander, width->date - 1, &before);
    if (before.latest.date == DAY_NONE || now.latest.date != width->date)
        return true;
    um moved = now.latest.value - before.latest.value;
    bool within = moved <= now.mdc && moved >= -now.mdc;
    return form_add_line(arena, lines, "Change from %s: %s mm%s (error %s mm).",
                         day_to_text(before.latest.date, on), millimetre_to_text(moved, change),
                         within ? ", within measurement error" : "",
                         millimetre_to_text(now.mdc, mdc));
}

bool form_add_width(const struct form *form, int slot, const struct history *would,
                    struct arena *arena, struct lines *lines)
{
    const struct width *width = &form_now(form, slot)->width;
    const struct expander *expander = form_last_expander(would, width->arch, width->date);
    struct text text = {0};

    if (expander == NULL || width->value == UM_NONE)
        return true;
    if (!width_counts(width, expander))
        return form_add_line(arena, lines,
                             "This width does not count for the expander: another site, landmark "
                             "or teeth than its plan has.");
    told_width(&text, would, expander, width->date);
    bool added = !text.failed && form_add_line(arena, lines, "%s", text_string(&text));
    text_release(&text);
    return added && tell_change(would, expander, width, arena, lines);
}

/* ---- a width alone ---- */

static enum status prepare_width(struct app *app, struct form *form, struct error *error)
{
    (void)error;
    form_put_new(form, 0);
    form_now(form, 0)->width.by = form_by(app, form);
    return STATUS_OK;
}

static void follow_width(struct app *app, struct form *form)
{
    enum arch only = form_only_arch(&form->history, app->today, true);

    if (only == ARCH_NONE)
        only = form_only_arch(&form->history, app->today, false);
    form_offer_word(form, 0, "arch", &words_arch, (int)only);
    form_offer_width(app, form, 0);
}

static enum status check_width(struct app *app, struct form *form, int *index, struct error *error)
{
    return form_need_new(app, form, 0, "repeat", index, error);
}

static enum status warn_width(struct app *app, struct form *form, struct arena *arena,
                              struct lines *lines, struct error *error)
{
    struct history would;

    enum status status = form_would_be(app, form, arena, &would, error);
    if (status != STATUS_OK)
        return status;
    return form_lines_done(form_add_width(form, 0, &would, arena, lines), error);
}

static const struct form_item width_items[] = {
    {0, "date", "date", "Day of the measurement (or of the cast or scan).", NULL,
     ITEM_REQUIRED | ITEM_TODAY | ITEM_FIRST},
    {0, "arch", "arch", "The arch that was measured.", NULL, ITEM_REQUIRED},
    {0, "site", "site", "Between which teeth it was measured.", NULL, ITEM_REQUIRED},
    {0, "landmark", "landmark", "Where on these teeth; two landmarks are never compared.", NULL,
     ITEM_REQUIRED},
    {0, "teeth", "teeth", "The two teeth by ISO 3950: 16-26 or 1626.", NULL, ITEM_REQUIRED},
    {0, "method", "method", "In the mouth, on a cast or on a scan.", NULL, ITEM_REQUIRED},
    {0, "repeat", "repeat number",
     "1 for the first measurement of that day; 2 for a repeat, which gives the practice's own "
     "error.",
     NULL, ITEM_REQUIRED},
    {0, "mm", "width mm", "What was read off, in millimetres.", NULL, ITEM_REQUIRED},
};
const struct form_template form_template_width = {
    .kind = FORM_WIDTH,
    .name = "width",
    .title = "Width",
    .items = width_items,
    .item_count = sizeof width_items / sizeof width_items[0],
    .slots = {RECORD_WIDTH, RECORD_KIND_COUNT, RECORD_KIND_COUNT, RECORD_KIND_COUNT,
              RECORD_KIND_COUNT},
    .prepare = prepare_width,
    .follow = follow_width,
    .check = check_width,
    .warn = warn_width,
};

/* ---- a count of days of wear ---- */

static enum status prepare_wear(struct app *app, struct form *form, struct error *error)
{
    const char *number = form->history.casefile->number;

    (void)app;
    if (form->history.trainer_count == 0)
        return error_set(error, STATUS_INPUT, number,
                         "Case %s never had a trainer, so there is no wear to count; record the "
                         "trainer first.",
                         number);
    form_put_new(form, 0);
    return STATUS_OK;
}

/* The first day not counted yet: a period begins at the last visit before today, or with the first
 * trainer; what is counted already is left out. */
static day first_uncounted(const struct history *history, day today)
{
    const struct visit *last = visit_newest_of(history, ARCH_NONE, today);
    day first = DAY_NONE;

    for (size_t i = 0; i < history->trainer_count; i++) {
        if (first == DAY_NONE || history->trainers[i].issued_on < first)
            first = history->trainers[i].issued_on;
    }
    if (last != NULL && last->date > first)
        first = last->date;
    for (size_t i = 0; i < history->wear_count_count; i++) {
        day to = history->wear_counts[i].to;
        if (to >= first && to + 1 < today)
            first = to + 1;
    }
    return first < today ? first : DAY_NONE;
}

static void follow_wear(struct app *app, struct form *form)
{
    const struct wear_count *count = &form_now(form, 0)->wear_count;
    char all[16] = "";

    form_offer_day(form, 0, "from", first_uncounted(&form->history, app->today));
    form_offer_day(form, 0, "to", app->today - 1);
    if (count->from != DAY_NONE && count->to >= count->from)
        snprintf(all, sizeof all, "%d", (int)(count->to - count->from + 1));
    form_offer(form, 0, "days_asked", all);
}

static enum status check_wear(struct app *app, struct form *form, int *index, struct error *error)
{
    const struct wear_count *count = &form_now(form, 0)->wear_count;

    if (count->to >= app->today)
        return form_refuse(form, 0, "to", index, error,
                           "Today is not over; a count ends with yesterday at the latest.");
    return form_need_new(app, form, 0, "from", index, error);
}

static bool overlaps(const struct history *history, const struct wear_count *count)
{
    for (size_t i = 0; i < history->wear_count_count; i++) {
        const struct wear_count *other = &history->wear_counts[i];
        if (other->source == count->source && other->from <= count->to && other->to >= count->from)
            return true;
    }
    return false;
}

static enum status warn_wear(struct app *app, struct form *form, struct arena *arena,
                             struct lines *lines, struct error *error)
{
    const struct wear_count *count = &form_now(form, 0)->wear_count;
    struct history would;
    struct wear_period period;
    struct text text = {0};

    enum status status = form_would_be(app, form, arena, &would, error);
    if (status != STATUS_OK)
        return status;
    wear_judge(&would, would.protocol, count->from, count->to, &period);
    told_wear(&text, &period);
    bool added =
        !text.failed && form_add_line(arena, lines, "Wear of these days: %s.", text_string(&text));
    text_release(&text);
    if (added && count->source == SOURCE_TOLD)
        added = form_add_line(arena, lines,
                              "What is told runs high: by 3.8 to 5.0 hours a day against sensors "
                              "(published).");
    if (added && overlaps(&form->history, count))
        added = form_add_line(arena, lines,
                              "It overlaps a count of the same source: the lower share stands.");
    return form_lines_done(added, error);
}

static const struct form_item wear_items[] = {
    {0, "from", "from", "First day counted; Enter takes the first that was not counted yet.", NULL,
     ITEM_REQUIRED | ITEM_FIRST},
    {0, "to", "to", "Last day counted; Enter takes yesterday.", NULL, ITEM_REQUIRED},
    {0, "days_met", "days met", "Days on which the trainer was worn by day and overnight as asked.",
     NULL, ITEM_REQUIRED},
    {0, "days_asked", "of days asked about", "Days that were asked about; Enter takes all.", NULL,
     ITEM_REQUIRED},
    {0, "source", "known from", "A sensor in the trainer, a diary, or only told.", NULL,
     ITEM_REQUIRED},
};
const struct form_template form_template_wear = {
    .kind = FORM_WEAR,
    .name = "wear",
    .title = "Wear",
    .items = wear_items,
    .item_count = sizeof wear_items / sizeof wear_items[0],
    .slots = {RECORD_WEAR_COUNT, RECORD_KIND_COUNT, RECORD_KIND_COUNT, RECORD_KIND_COUNT,
              RECORD_KIND_COUNT},
    .prepare = prepare_wear,
    .follow = follow_wear,
    .check = check_wear,
    .warn = warn_wear,
};
