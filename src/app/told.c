/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "told.h"

#include <inttypes.h>
#include <stdio.h>

#include "springline/app/grow.h"
#include "springline/app/sentence.h"
#include "springline/core/statistics.h"
#include "springline/core/tooth.h"
#include "springline/core/width.h"

bool told_end_line(struct arena *arena, struct lines *lines, struct text *text)
{
    const char *copy = text->failed ? NULL : arena_text(arena, text_string(text), text->length);

    text_clear(text);
    if (copy == NULL || !app_grow(arena, (void **)&lines->line, lines->count, &lines->capacity,
                                  sizeof *lines->line))
        return false;
    lines->line[lines->count++] = copy;
    return true;
}

void told_mm(struct text *out, um value)
{
    char buffer[MILLIMETRE_TEXT_SIZE];

    text_add(out, value == UM_NONE ? "?" : millimetre_to_text(value, buffer));
}

const char *told_verdict(int32_t verdict)
{
    static const char *const words[] = {"", "PROCEED", "REDUCE", "HOLD", "REST"};

    return verdict > VERDICT_NONE && verdict <= VERDICT_REST ? words[verdict] : "";
}

void told_heading(struct text *out, const struct judgement *judgement, bool tissue_assumed,
                  bool hardware_assumed)
{
    bool both = tissue_assumed && hardware_assumed;

    text_add(out, word_text(&words_arch, (int)judgement->arch));
    if (tissue_assumed || hardware_assumed)
        text_addf(out, ", if %s%s%s %s sound", tissue_assumed ? "tissue" : "", both ? " and " : "",
                  hardware_assumed ? "hardware" : "", both ? "are" : "is");
    text_add(out, ": ");
    sentence_verdict(out, judgement, true);
}

/* "+1.60 since the fit (within error)" */
static void add_change(struct text *out, um change, um mdc, const char *since, const char *date)
{
    text_addf(out, ", %s", change < 0 ? "" : "+");
    told_mm(out, change);
    text_addf(out, " since %s%s%s", since, date,
              change <= mdc && change >= -mdc ? " (within error)" : "");
}

static void add_newest(struct text *out, const struct expander *expander,
                       const struct width_view *view)
{
    char date[DAY_TEXT_SIZE];

    text_addf(out, "%s width: ", word_text(&words_arch, (int)expander->arch));
    if (view->latest.date == DAY_NONE) {
        text_add(out, "not measured");
        return;
    }
    told_mm(out, view->latest.value);
    text_addf(out, " on %s", day_to_text(view->latest.date, date));
}

void told_width(struct text *out, const struct history *history, const struct expander *expander,
                day through)
{
    struct width_view view;

    width_view(history, history->protocol, expander, through, &view);
    add_newest(out, expander, &view);
    if (view.has_gain)
        add_change(out, view.gain, view.mdc, "the fit", "");
    text_add(out, ", target ");
    told_mm(out, expander->target);
}

/* Where the latest width is from, and its changes. */
static void add_course(struct text *out, const struct expander *expander,
                       const struct width_view *view)
{
    char date[DAY_TEXT_SIZE];

    add_newest(out, expander, view);
    if (view->previous.date != DAY_NONE &&
        !(view->has_gain && view->previous.date == view->baseline.date))
        add_change(out, view->latest.value - view->previous.value, view->mdc, "",
                   day_to_text(view->previous.date, date));
    if (view->has_gain)
        add_change(out, view->gain, view->mdc, "the fit", "");
}

/* "-1.45 since 2026-09-02"; within the error "same". */
static void add_brief_change(struct text *out, um change, um mdc, const char *since)
{
    if (change <= mdc && change >= -mdc) {
        text_addf(out, "same %s", since);
        return;
    }
    text_add(out, change < 0 ? "" : "+");
    told_mm(out, change);
    text_addf(out, " %s", since);
}

/* The same for a line of 80: "upper 33.45 on 2026-10-28: -1.45 since 2026-09-02, +1.60 in all, 7.55
 * to go". */
static void add_brief_course(struct text *out, const struct expander *expander,
                             const struct width_view *view)
{
    char date[DAY_TEXT_SIZE], since[32];
    const char *join = ": ";

    if (view->latest.date == DAY_NONE) {
        add_newest(out, expander, view);
        return;
    }
    text_addf(out, "%s ", word_text(&words_arch, (int)expander->arch));
    told_mm(out, view->latest.value);
    text_addf(out, " on %s", day_to_text(view->latest.date, date));
    if (view->previous.date != DAY_NONE &&
        !(view->has_gain && view->previous.date == view->baseline.date)) {
        snprintf(since, sizeof since, "since %s", day_to_text(view->previous.date, date));
        text_add(out, join);
        add_brief_change(out, view->latest.value - view->previous.value, view->mdc, since);
        join = ", ";
    }
    if (view->has_gain) {
        text_add(out, join);
        add_brief_change(out, view->gain, view->mdc, "in all");
        join = ", ";
    }
    if (expander->target == UM_NONE)
        return;
    text_add(out, join);
    told_mm(out, expander->target - view->latest.value);
    text_add(out, " to go");
}

void told_width_course(struct text *out, struct text *brief, const struct history *history,
                       const struct expander *expander, day through)
{
    struct width_view view;

    width_view(history, history->protocol, expander, through, &view);
    add_course(out, expander, &view);
    add_brief_course(brief, expander, &view);
    if (expander->target == UM_NONE || view.latest.date == DAY_NONE) {
        text_add(out, ", target ");
        told_mm(out, expander->target);
        return;
    }
    um room = expander->target - view.latest.value;
    text_add(out, "; ");
    told_mm(out, room < 0 ? -room : room);
    text_add(out, room < 0 ? " beyond the target " : " to the target ");
    told_mm(out, expander->target);
}

void told_wear(struct text *out, const struct wear_period *period)
{
    static const char *const classes[] = {"UNKNOWN", "LOW", "SHORT", "FULL"};
    struct interval interval;

    text_add(out, classes[period->class]);
    if (period->source != SOURCE_NONE &&
        statistics_wilson(period->judged.met, period->judged.known, &interval))
        text_addf(out, ", %" PRId32 " of %" PRId32 " days met (%s), 95 %% %.0f-%.0f %%",
                  period->judged.met, period->judged.known,
                  period->source == SOURCE_TOLD ? "told, runs high"
                                                : word_text(&words_source, (int)period->source),
                  interval.low * 100.0, interval.high * 100.0);
    if (period->stricter)
        text_addf(out, ", because %s", sentence_stricter);
}

bool told_checks(struct text *out, const struct expander *expander)
{
    const struct {
        const char *name;
        enum answer answer;
    } checks[] = {{"ends passive", expander->passive_ends},
                  {"width equal", expander->width_equal},
                  {"loops clear", expander->loops_clear},
                  {"tied", expander->tied},
                  {"ends rounded", expander->ends_rounded}};
    bool passed = true;

    for (size_t i = 0; i < sizeof checks / sizeof checks[0]; i++) {
        if (checks[i].answer == ANSWER_YES)
            continue;
        text_addf(out, "%s%s %s", passed ? "" : ", ", checks[i].name,
                  checks[i].answer == ANSWER_NO ? "FAILED" : "NOT RECORDED");
        passed = false;
    }
    text_add(out, passed ? "all five passed" : "");
    return passed;
}

void told_amount(struct text *out, const char *side, um amount, const struct visit *visit)
{
    text_add(out, side);
    if (amount == UM_NONE && visit->elsewhere != ANSWER_YES)
        text_add(out, "-");
    else
        told_mm(out, amount);
}

void told_findings(struct text *out, const struct visit *visit)
{
    char hardware[HARDWARE_TEXT_SIZE];

    if (visit->tissue > TISSUE_SOUND)
        text_addf(out, ", tissue %s", word_text(&words_tissue, (int)visit->tissue));
    if (hardware_faulty(visit->hardware))
        text_addf(out, ", %s%s", hardware_to_text(visit->hardware, hardware),
                  visit->repaired == ANSWER_YES ? " repaired" : " NOT repaired");
}

bool told_excess(const struct visit *visit, const struct judgement *judgement)
{
    return visit->right > judgement->permitted_right || visit->left > judgement->permitted_left;
}
