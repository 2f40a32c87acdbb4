/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The head of a case: what a clinician must know of it in five seconds, the weightiest first. What
 * may not be lost on a small screen is marked so.
 */
#include <inttypes.h>
#include <string.h>

#include "aside.h"
#include "case_private.h"
#include "springline/app/advise.h"
#include "springline/app/grow.h"
#include "springline/app/lists.h"
#include "springline/app/sentence.h"
#include "springline/core/course.h"
#include "springline/core/wear_trend.h"
#include "told_stability.h"
#include "visit_private.h"

bool case_until(const struct history *history, day today, struct arena *arena,
                struct history *until)
{
    struct case_state state;

    course_state(history, &state);
    if (state.newest != DAY_NONE && state.newest > today)
        return history_until(history, today, arena, until);
    *until = *history;
    return true;
}

struct head_maker {
    const struct history *history, *until; /* whole; as of today */
    day today;
    struct arena *arena;
    struct case_view *view;
    struct text text;  /* of the line being made */
    struct text brief; /* the same in brief; empty: the text is brief */
    bool told;         /* in brief, another line says what this one says */
    bool failed;       /* sticky: memory ran out */
};

static const char *keep(struct head_maker *maker, const struct text *text)
{
    const char *kept =
        text->failed ? NULL : arena_text(maker->arena, text_string(text), text->length);

    maker->failed = maker->failed || kept == NULL;
    return kept;
}

/* Ends the line being made, if anything stands in it. */
static void end_line(struct head_maker *maker, const char *word, bool always)
{
    struct case_view *view = maker->view;
    struct case_line line = {.word = word, .always = always};

    if (maker->text.length == 0 && !maker->text.failed)
        return;
    line.text = keep(maker, &maker->text);
    line.brief = maker->told                ? ""
                 : maker->brief.length == 0 ? line.text
                                            : keep(maker, &maker->brief);
    maker->told = false;
    text_clear(&maker->text);
    text_clear(&maker->brief);
    if (maker->failed || !app_grow(maker->arena, (void **)&view->head, view->head_count,
                                   &view->head_capacity, sizeof *view->head)) {
        maker->failed = true;
        return;
    }
    view->head[view->head_count++] = line;
}

/* Ends a line that may be said in brief where another would be lost. */
static void end_detail(struct head_maker *maker)
{
    end_line(maker, "", false);
    if (!maker->failed)
        maker->view->head[maker->view->head_count - 1].detail = true;
}

static void add_on(struct text *out, const char *label, day date)
{
    char text[DAY_TEXT_SIZE];

    text_addf(out, "%s%s", label, date == DAY_NONE ? "?" : day_to_text(date, text));
}

/* ---- what stands open ---- */

static void add_alerts(struct head_maker *maker)
{
    const char *alerts = maker->history->patient->alerts;

    if (alerts == NULL || alerts[0] == '\0')
        return;
    text_add(&maker->text, "ALERT: ");
    text_add_shown(&maker->text, alerts);
    end_line(maker, "ALERT", true);
}

void case_tell_safety(struct text *out, const struct case_state *state, enum safety item)
{
    switch (item) {
    case SAFETY_UNSEEN:
        text_add(out, "an expander is in place and nobody has looked at it ");
        add_on(out, "since ", state->last_seen);
        break;
    case SAFETY_CLOSED_WITH_EXPANDER:
        text_add(out, "the case is closed, an expander is still in place");
        break;
    case SAFETY_SEPARATORS:
        text_add(out, "separators left in and no bands recorded");
        add_on(out, ", too long since ", state->safety_from[item]);
        break;
    case SAFETY_BANDS:
        text_add(out, "bands without a wire, not looked at ");
        add_on(out, "since ", state->last_seen);
        break;
    case SAFETY_OPEN_TROUBLE:
        text_add(out, "a wound or a fault is open ");
        add_on(out, "since ", state->safety_from[item]);
        break;
    case SAFETY_NONE:
    case SAFETY_COUNT:
        break;
    }
}

/* Who answers for what does not stand today, and why: else it looks as if nothing were. */
static void add_aside(struct head_maker *maker)
{
    enum { ASIDE_BRIEF_CELLS = 60 };

    maker->failed =
        maker->failed || !aside_tell(&maker->text, maker->until, maker->today, maker->arena);
    if (maker->text.length > 0)
        text_fit(&maker->brief, text_string(&maker->text), ASIDE_BRIEF_CELLS, false);
    end_line(maker, "set aside", true);
}

/* Standing on the day. A trouble that begins later was set aside by a clinician until then. */
static void add_safety(struct head_maker *maker)
{
    const struct case_state *state = &maker->view->state;

    for (int item = SAFETY_NONE + 1; item < SAFETY_COUNT; item++) {
        day from = state->safety_from[item];
        if (from == DAY_NONE || (from > maker->today && item != SAFETY_OPEN_TROUBLE &&
                                 item != SAFETY_CLOSED_WITH_EXPANDER))
            continue;
        if (from > maker->today) {
            add_on(&maker->text, "set aside until ", from);
            text_add(&maker->text, item == SAFETY_OPEN_TROUBLE
                                       ? ": a wound or a fault that is still open"
                                       : ": the case is closed, an expander is still in place");
            add_on(&maker->brief, "aside until ", from);
            text_addf(&maker->brief, ": %s", lists_safety_word((enum safety)item, true));
            end_line(maker, "", true);
            continue;
        }
        text_add(&maker->text, "SAFETY: ");
        case_tell_safety(&maker->text, state, (enum safety)item);
        text_addf(&maker->brief, "SAFETY: %s", lists_safety_word((enum safety)item, true));
        end_line(maker, "SAFETY", true);
    }
}

void case_tell_open(struct text *out, const struct history *history, enum arch arch, day today)
{
    /* Advice looks at what lies before its day; what was found today counts here too. */
    const struct advise_options options = {
        .arch = arch, .on = today + 1, .assumed_tissue = true, .assumed_hardware = true};
    struct text open = {0};

    advise_tell_open(&open, history, &options, arch);
    if (open.length > 0)
        text_addf(out, "%s: %s", word_text(&words_arch, (int)arch), text_string(&open));
    out->failed = out->failed || open.failed;
    text_release(&open);
}

/* ---- the verdict of today ---- */

static bool is_closed(const struct history *history, day today)
{
    return history->casefile->closed_on != DAY_NONE && history->casefile->closed_on <= today;
}

bool case_judge_today(const struct history *history, enum arch arch, day today,
                      struct judgement *judgement)
{
    const struct question question = {
        .arch = arch,
        .today = today,
        .examination = {.tissue = TISSUE_SOUND, .hardware = HARDWARE_INTACT},
        .proposal = {.right = UM_NONE, .left = UM_NONE}};

    return !is_closed(history, today) && visit_expander(history, arch, today) != NULL &&
           rules_judge(history, &question, judgement);
}

static void add_reason(struct head_maker *maker, const struct judgement *judgement)
{
    case_tell_reason(&maker->text, &maker->brief, judgement);
    if (maker->text.length == 0)
        return;
    end_detail(maker);
}

/* "upper if sound: HOLD R 0.00 L 0.00" */
static void add_brief(struct text *out, const struct judgement *judgement)
{
    enum sides sides = judgement->expander->sides;

    text_addf(out, "%s if sound: %s", word_text(&words_arch, (int)judgement->arch),
              told_verdict((int32_t)judgement->verdict));
    if (sides == SIDES_NONE)
        text_add(out, ", no side");
    if (sides == SIDES_BOTH || sides == SIDES_RIGHT) {
        text_add(out, " R ");
        told_mm(out, judgement->permitted_right);
    }
    if (sides == SIDES_BOTH || sides == SIDES_LEFT) {
        text_add(out, " L ");
        told_mm(out, judgement->permitted_left);
    }
}

static bool is_passive(const struct expander *expander, day today)
{
    return expander->passive_on != DAY_NONE && expander->passive_on <= today;
}

static void add_verdict(struct head_maker *maker, enum arch arch)
{
    const struct expander *expander = visit_expander(maker->history, arch, maker->today);
    struct judgement judgement;

    if (!case_judge_today(maker->history, arch, maker->today, &judgement))
        return;
    if (is_passive(expander, maker->today)) {
        text_addf(&maker->text, "%s RETENTION: left in passively",
                  word_text(&words_arch, (int)arch));
        add_on(&maker->text, " since ", expander->passive_on);
        text_add(&maker->text, "; no activation is planned");
        text_addf(&maker->brief, "%s RETENTION, left in passively",
                  word_text(&words_arch, (int)arch));
        end_line(maker, "RETENTION", true);
    } else {
        told_heading(&maker->text, &judgement, true, true);
        add_brief(&maker->brief, &judgement);
        end_line(maker, told_verdict((int32_t)judgement.verdict), true);
        add_reason(maker, &judgement);
    }
    case_tell_open(&maker->text, maker->until, arch, maker->today);
    bool told = maker->view->state.safety_from[SAFETY_OPEN_TROUBLE] != DAY_NONE;
    if (maker->text.length > 0 && !told)
        text_addf(&maker->brief, "%s: a wound or a fault is open",
                  word_text(&words_arch, (int)arch));
    maker->told = told && maker->text.length > 0;
    end_line(maker, "NOT repaired", true);
}

static void add_closed(struct head_maker *maker)
{
    const struct casefile *casefile = maker->history->casefile;

    if (!is_closed(maker->history, maker->today))
        return;
    add_on(&maker->text, "CLOSED ", casefile->closed_on);
    text_addf(&maker->text, " (%s): nothing is to be activated",
              word_text(&words_closed_reason, (int)casefile->closed_reason));
    add_on(&maker->brief, "CLOSED ", casefile->closed_on);
    end_line(maker, "CLOSED", true);
}

static void brief_lacking(struct head_maker *maker)
{
    const struct casefile *casefile = maker->until->casefile;

    text_add(&maker->brief, "missing:");
    text_add(&maker->brief, wear_trainer_current(maker->until, maker->today) ? "" : " trainer");
    text_add(&maker->brief, casefile->consent_on == DAY_NONE ? " consent" : "");
    text_add(&maker->brief, casefile->asked_on == DAY_NONE ? " health questions" : "");
}

/* Answers alone that nobody wrote down give way on a small screen: no alarm is lost for them. */
static void add_lacking(struct head_maker *maker)
{
    const struct casefile *casefile = maker->until->casefile;

    if (is_closed(maker->history, maker->today))
        return;
    advise_tell_lacking(&maker->text, maker->until, maker->today);
    brief_lacking(maker);
    end_line(maker, "missing",
             !wear_trainer_current(maker->until, maker->today) ||
                 casefile->consent_on == DAY_NONE || casefile->asked_on == DAY_NONE);
}

/* Whose limits the case goes by, where they are not the practice's. */
static void add_limits(struct head_maker *maker)
{
    const struct protocol *protocol = maker->until->protocol;
    char date[DAY_TEXT_SIZE];

    if (protocol->name == NULL || strcmp(protocol->name, STORE_PRACTICE_PROTOCOL) == 0)
        return;
    bool own = strcmp(protocol->name, maker->until->casefile->number) == 0;
    text_add(&maker->text, own ? "limits of its own: protocol " : "limits: protocol ");
    text_add_shown(&maker->text, protocol->name);
    text_addf(&maker->text, ", version %" PRId32 " of %s", protocol->head.version,
              day_to_text(instant_day(protocol->head.recorded_at), date));
    end_line(maker, own ? "limits of its own" : "", false);
}

/* ---- how far each arch is ---- */

static bool comes_before(const struct expander *a, const struct expander *b, day today)
{
    bool a_out = a->out_on != DAY_NONE && a->out_on <= today;
    bool b_out = b->out_on != DAY_NONE && b->out_on <= today;
    day a_day = case_day_of(RECORD_EXPANDER, a), b_day = case_day_of(RECORD_EXPANDER, b);

    if (a_out != b_out)
        return b_out;
    return a_day != b_day ? a_day > b_day : a->head.sequence > b->head.sequence;
}

const struct expander *case_expander_of(const struct history *history, enum arch arch, day today)
{
    const struct expander *found = visit_expander(history, arch, today);

    for (size_t i = 0; i < history->expander_count && found == NULL; i++) {
        const struct expander *expander = &history->expanders[i];
        bool first = expander->arch == arch;
        for (size_t j = 0; j < history->expander_count && first; j++) {
            const struct expander *other = &history->expanders[j];
            if (other != expander && other->arch == arch)
                first = comes_before(expander, other, today);
        }
        found = first ? expander : NULL;
    }
    return found;
}

/* Where the expander is, and what is missing of its fit. True: nothing is. */
static bool add_place(struct text *out, const struct expander *expander, day today)
{
    struct text checks = {0};

    if (expander->out_on != DAY_NONE && expander->out_on <= today) {
        add_on(out, "out since ", expander->out_on);
        text_addf(out, " (%s)", word_text(&words_out_reason, (int)expander->out_reason));
        return true;
    }
    if (expander->fitted_on == DAY_NONE) {
        if (expander->separators_on != DAY_NONE)
            add_on(out, "separators ", expander->separators_on);
        if (expander->banded_on != DAY_NONE)
            add_on(out, expander->separators_on == DAY_NONE ? "bands " : ", bands ",
                   expander->banded_on);
        text_add(out, case_day_of(RECORD_EXPANDER, expander) == DAY_NONE ? "not fitted"
                                                                         : ", not fitted");
        return true;
    }
    add_on(out, "fitted ", expander->fitted_on);
    bool passed = told_checks(&checks, expander);
    text_addf(out, ", fit checks%s%s", passed ? " passed" : ": ",
              passed ? "" : text_string(&checks));
    text_release(&checks);
    return passed;
}

/* Stages that the days told with them name again. */
static bool is_dated(enum stage stage)
{
    return stage == STAGE_SEPARATORS || stage == STAGE_BANDED || stage == STAGE_FITTED;
}

static void add_arch(struct head_maker *maker, enum arch arch, enum stage stage)
{
    const struct expander *expander = case_expander_of(maker->until, arch, maker->today);
    bool passed = true;

    if (expander == NULL)
        return;
    text_addf(&maker->text, "%s%s%s: ", word_text(&words_arch, (int)arch),
              is_dated(stage) ? "" : " ",
              is_dated(stage) ? "" : word_text(&words_stage, (int)stage));
    passed = add_place(&maker->text, expander, maker->today);
    if (expander->sides != SIDES_BOTH)
        text_addf(&maker->text, ", in plan: %s",
                  expander->sides == SIDES_NONE ? "NOT RECORDED"
                                                : word_text(&words_sides, (int)expander->sides));
    if (expander->fitted_on != DAY_NONE)
        case_tell_given(&maker->text, maker->until, expander);
    if (!passed)
        text_addf(&maker->brief, "%s: fit checks missing or failed",
                  word_text(&words_arch, (int)arch));
    end_line(maker, passed ? "" : "fit checks", !passed);
}

/* ---- dates, wear, widths, what holds ---- */

static const struct booking *next_booking(const struct history *history, day today)
{
    const struct booking *next = NULL;

    for (size_t i = 0; i < history->booking_count; i++) {
        const struct booking *booking = &history->bookings[i];
        if (booking->state != BOOKED_STANDING || booking->date < today)
            continue;
        if (next == NULL || booking->date < next->date ||
            (booking->date == next->date && booking->time_min < next->time_min))
            next = booking;
    }
    return next;
}

static void add_next(struct head_maker *maker)
{
    const struct case_state *state = &maker->view->state;
    const struct booking *booking = next_booking(maker->history, maker->today);
    bool late = state->due_to != DAY_NONE && state->due_to < maker->today;
    char clock[6];

    if (state->due_from == DAY_NONE)
        text_add(&maker->text, "next visit: none follows from the record");
    else
        add_on(&maker->text, "next visit ", state->due_from);
    if (state->due_to != DAY_NONE && state->due_to != state->due_from)
        add_on(&maker->text, " to ", state->due_to);
    if (late)
        text_addf(&maker->text, ", OVERDUE by %d day%s", (int)(maker->today - state->due_to),
                  maker->today - state->due_to == 1 ? "" : "s");
    if (booking == NULL)
        text_add(&maker->text, "; nothing booked");
    else {
        add_on(&maker->text, "; booked ", booking->date);
        text_addf(&maker->text, " %s %s", clock_to_text(booking->time_min, clock),
                  word_text(&words_booking_kind, (int)booking->kind));
    }
    end_line(maker, late ? "OVERDUE" : "", false);
}

static void add_wear(struct head_maker *maker)
{
    struct wear_periods periods;
    struct wear_drift drift;

    if (is_closed(maker->history, maker->today))
        return;
    wear_periods(maker->history, maker->history->protocol, maker->today,
                 (struct reach){.through = maker->today}, &periods);
    if (periods.count == 0) {
        text_add(&maker->text, "wear: no period yet");
        end_line(maker, "", false);
        return;
    }
    add_on(&maker->text, "wear since ", periods.period[0].from);
    text_add(&maker->text, ": ");
    told_wear(&maker->text, &periods.period[0]);
    wear_drift_until(maker->history, maker->history->protocol, maker->today, &drift);
    bool drifts = drift.answer == WEAR_DRIFT_DOWN;
    text_add(&maker->text, drifts ? "; DRIFTING DOWN" : "");
    end_line(maker, drifts ? "DRIFTING DOWN" : "", false);
}

static void add_width(struct head_maker *maker, enum arch arch)
{
    const struct expander *expander = case_expander_of(maker->until, arch, maker->today);

    if (expander == NULL)
        return;
    told_width_course(&maker->text, &maker->brief, maker->until, expander, maker->today);
    if (expander->landmark != LANDMARK_NONE)
        text_addf(&maker->text, " (%s)", word_text(&words_landmark, (int)expander->landmark));
    end_detail(maker);
}

static void add_stability(struct head_maker *maker, enum arch arch)
{
    struct stability stability;

    if (!stability_of(maker->until, arch, maker->today, &stability))
        return;
    bool lost = stability.change_is == CHANGE_REAL && stability.change < 0;
    told_stability(&maker->text, &stability);
    end_line(maker, lost ? "RELAPSE" : "", false);
}

enum status case_head_make(const struct history *history, day today, struct arena *arena,
                           struct case_view *view, struct error *error)
{
    struct history until;
    struct head_maker maker = {
        .history = history, .until = &until, .today = today, .arena = arena, .view = view};
    enum stage stages[3] = {STAGE_NONE, STAGE_NONE, STAGE_NONE};

    if (!case_until(history, today, arena, &until))
        return error_no_memory(error);
    course_state(&until, &view->state);
    enum stage stage =
        course_stage_on(&view->state, today, &stages[ARCH_UPPER], &stages[ARCH_LOWER]);
    view->stage = word_text(&words_stage, (int)stage);
    add_alerts(&maker);
    add_safety(&maker);
    add_aside(&maker);
    add_closed(&maker);
    for (int arch = ARCH_UPPER; arch <= ARCH_LOWER; arch++)
        add_verdict(&maker, (enum arch)arch);
    add_lacking(&maker);
    add_limits(&maker);
    for (int arch = ARCH_UPPER; arch <= ARCH_LOWER; arch++)
        add_arch(&maker, (enum arch)arch, stages[arch]);
    add_next(&maker);
    add_wear(&maker);
    for (int arch = ARCH_UPPER; arch <= ARCH_LOWER; arch++)
        add_width(&maker, (enum arch)arch);
    for (int arch = ARCH_UPPER; arch <= ARCH_LOWER; arch++)
        add_stability(&maker, (enum arch)arch);
    text_release(&maker.text);
    text_release(&maker.brief);
    return maker.failed ? error_no_memory(error) : STATUS_OK;
}
