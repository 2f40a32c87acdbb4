/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/app/case_view.h"

#include "case_private.h"
#include "springline/app/advise.h"
#include "springline/app/sentence.h"
#include "springline/core/course.h"
#include "visit_private.h"

static const char *keep(struct arena *arena, struct text *text)
{
    const char *kept = text->failed ? NULL : arena_text(arena, text_string(text), text->length);

    text_clear(text);
    return kept;
}

void case_tell_who(struct text *out, const struct history *history)
{
    const struct patient *patient = history->patient;

    text_add_shown(out, history->casefile->number);
    text_add(out, "  ");
    text_add_shown(out, patient->family == NULL ? "" : patient->family);
    text_add(out, ", ");
    text_add_shown(out, patient->given == NULL ? "" : patient->given);
}

void case_tell_born(struct text *out, const struct history *history, day today)
{
    const struct patient *patient = history->patient;
    char date[DAY_TEXT_SIZE];

    if (patient->born == DAY_NONE)
        text_add(out, "birth date not recorded");
    else
        text_addf(out, "born %s, %d years", day_to_text(patient->born, date),
                  day_age_years(patient->born, today));
}

static enum status make_who(const struct history *history, day today, struct arena *arena,
                            struct case_view *view, struct error *error)
{
    struct text text = {0};

    case_tell_who(&text, history);
    view->who = keep(arena, &text);
    case_tell_born(&text, history, today);
    view->born = keep(arena, &text);
    text_release(&text);
    return view->who == NULL || view->born == NULL ? error_no_memory(error) : STATUS_OK;
}

enum status case_view_read(struct app *app, const struct id *casefile, const char *folded,
                           struct arena *arena, struct case_view *view, struct error *error)
{
    struct effects effects = {0};
    struct signed_rows signed_rows = {0};

    *view = (struct case_view){.rows = NULL};
    enum status status =
        store_read_case(app->store, casefile, STORE_NOW, arena, &view->history, error);
    if (status == STATUS_OK)
        status =
            store_read_assessment(app->store, casefile, STORE_NOW, arena, &view->assessment, error);
    if (status == STATUS_OK)
        status = make_who(&view->history, app->today, arena, view, error);
    if (status == STATUS_OK)
        status = case_head_make(&view->history, app->today, arena, view, error);
    if (status == STATUS_OK)
        status = effect_marks(app, &view->history, arena, &effects, error);
    if (status == STATUS_OK)
        status = store_read_signed(app->store, casefile, arena, &signed_rows, error);
    if (status != STATUS_OK)
        return status;
    struct row_maker maker = {.app = app,
                              .history = &view->history,
                              .assessment = &view->assessment,
                              .state = &view->state,
                              .effects = &effects,
                              .signed_rows = &signed_rows,
                              .arena = arena,
                              .folded = folded};
    return case_rows_make(&maker, view, error);
}

/* ---- why ---- */

struct why_maker {
    const struct history *history, *until;
    day today;
    struct arena *arena;
    struct lines *lines;
    struct text text;
    bool judged; /* an arch was */
    bool failed;
};

static void end_line(struct why_maker *maker)
{
    if (maker->text.length == 0 && !maker->text.failed)
        return;
    if (!told_end_line(maker->arena, maker->lines, &maker->text))
        maker->failed = true;
}

static void why_who(struct why_maker *maker)
{
    const char *alerts = maker->history->patient->alerts;

    case_tell_who(&maker->text, maker->history);
    text_add(&maker->text, "  ");
    case_tell_born(&maker->text, maker->history, maker->today);
    end_line(maker);
    if (alerts == NULL || alerts[0] == '\0')
        return;
    text_add(&maker->text, "ALERT: ");
    text_add_shown(&maker->text, alerts);
    end_line(maker);
}

static void why_safety(struct why_maker *maker)
{
    struct case_state state;

    course_state(maker->until, &state);
    for (int item = SAFETY_NONE + 1; item < SAFETY_COUNT; item++) {
        if (state.safety_from[item] == DAY_NONE || state.safety_from[item] > maker->today)
            continue;
        text_add(&maker->text, "SAFETY: ");
        case_tell_safety(&maker->text, &state, (enum safety)item);
        end_line(maker);
    }
}

static void why_findings(struct why_maker *maker, const struct judgement *judgement)
{
    struct told told[FINDINGS_MAX];
    int count = sentence_tell(judgement, told);
    char from[DAY_TEXT_SIZE], to[DAY_TEXT_SIZE];

    for (int i = 0; i < count; i++) {
        const struct finding *finding = told[i].finding;
        text_addf(&maker->text, "  %s %s (%s): ", word_text(&words_effect, (int)finding->effect),
                  rule_row(finding->rule)->name, standing_text(sentence_standing(finding)));
        sentence_told(&maker->text, &told[i]);
        end_line(maker);
    }
    if (judgement->next_from == DAY_NONE)
        return;
    text_addf(&maker->text, "  next visit: %s to %s, if what is permitted is given today",
              day_to_text(judgement->next_from, from), day_to_text(judgement->next_to, to));
    end_line(maker);
}

/* An arch that can not be judged: why, so that nobody takes silence for permission. */
static void why_not(struct why_maker *maker, enum arch arch)
{
    const struct expander *expander = case_expander_of(maker->history, arch, maker->today);
    const struct advise_options options = {.arch = arch, .on = maker->today};
    char date[DAY_TEXT_SIZE];

    if (expander != NULL && expander->out_on != DAY_NONE && expander->out_on <= maker->today)
        text_addf(&maker->text, "%s: the expander is out since %s (%s); nothing is permitted.",
                  word_text(&words_arch, (int)arch), day_to_text(expander->out_on, date),
                  word_text(&words_out_reason, (int)expander->out_reason));
    else
        advise_tell_missing(&maker->text, maker->until, &options, arch);
    end_line(maker);
}

static void why_arch(struct why_maker *maker, enum arch arch)
{
    const struct expander *expander = visit_expander(maker->history, arch, maker->today);
    struct judgement judgement;
    char date[DAY_TEXT_SIZE];

    if (!case_judge_today(maker->history, arch, maker->today, &judgement)) {
        why_not(maker, arch);
        return;
    }
    maker->judged = true;
    told_heading(&maker->text, &judgement, true, true);
    end_line(maker);
    if (expander->passive_on != DAY_NONE && expander->passive_on <= maker->today) {
        text_addf(&maker->text,
                  "  RETENTION: left in passively since %s; no activation is planned.",
                  day_to_text(expander->passive_on, date));
        end_line(maker);
    }
    case_tell_open(&maker->text, maker->until, arch, maker->today);
    end_line(maker);
    why_findings(maker, &judgement);
}

static void why_all(struct why_maker *maker)
{
    const struct casefile *casefile = maker->history->casefile;
    char date[DAY_TEXT_SIZE], grain[MILLIMETRE_TEXT_SIZE];

    why_who(maker);
    why_safety(maker);
    if (casefile->closed_on != DAY_NONE && casefile->closed_on <= maker->today) {
        text_addf(&maker->text, "The case is closed since %s (%s): nothing is to be activated.",
                  day_to_text(casefile->closed_on, date),
                  word_text(&words_closed_reason, (int)casefile->closed_reason));
        end_line(maker);
    } else {
        why_arch(maker, ARCH_UPPER);
        why_arch(maker, ARCH_LOWER);
        advise_tell_lacking(&maker->text, maker->until, maker->today);
        end_line(maker);
    }
    if (maker->judged)
        text_addf(&maker->text,
                  "Nobody looked today: tissue and hardware are assumed sound. Permitted amounts "
                  "are rounded down to the step of %s mm.",
                  millimetre_to_text(maker->history->protocol->step_grain, grain));
    else
        text_add(&maker->text, "No expander is in place: there is nothing to judge, and nothing is "
                               "permitted.");
    end_line(maker);
}

enum status case_view_why(struct app *app, const struct id *casefile, struct arena *arena,
                          struct lines *lines, struct error *error)
{
    struct history history, until;
    struct why_maker maker = {
        .history = &history, .until = &until, .today = app->today, .arena = arena, .lines = lines};

    enum status status = store_read_case(app->store, casefile, STORE_NOW, arena, &history, error);
    if (status != STATUS_OK)
        return status;
    if (!case_until(&history, app->today, arena, &until))
        return error_no_memory(error);
    why_all(&maker);
    text_release(&maker.text);
    return maker.failed ? error_no_memory(error) : STATUS_OK;
}
