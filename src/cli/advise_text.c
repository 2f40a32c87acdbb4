/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Advice to be read: who and what stands open first, then each arch, then what was assumed. */
#include "advise_sheet.h"

#include "springline/app/sentence.h"
#include "springline/cli/output.h"
#include "springline/core/course.h"

static void add_wrapped(struct text *out, const char *lead, struct text *line)
{
    if (line->length > 0)
        cli_add_wrapped(out, lead, text_string(line), CLI_SHEET_COLUMNS);
    out->failed = out->failed || line->failed;
    text_release(line);
}

static void add_who(struct text *out, const struct history *history)
{
    text_add_shown(out, history->casefile->number);
    if (history->patient != NULL) {
        text_add(out, "  ");
        text_add_shown(out, history->patient->family == NULL ? "" : history->patient->family);
        text_add(out, ", ");
        text_add_shown(out, history->patient->given == NULL ? "" : history->patient->given);
    }
    text_add(out, "\n");
}

/* Where the case stands on the day, and every safety item that stands then. */
static void add_state(struct text *out, const struct case_state *state, day on)
{
    char date[DAY_TEXT_SIZE];
    enum stage upper, lower;
    enum stage stage = course_stage_on(state, on, &upper, &lower);

    text_addf(out, "Stage on %s: %s", day_to_text(on, date), word_text(&words_stage, (int)stage));
    if (upper != STAGE_NONE)
        text_addf(out, ", upper %s", word_text(&words_stage, (int)upper));
    if (lower != STAGE_NONE)
        text_addf(out, ", lower %s", word_text(&words_stage, (int)lower));
    text_add(out, "\n");
    for (int safety = SAFETY_NONE + 1; safety < SAFETY_COUNT; safety++) {
        day from = state->safety_from[safety];

        if (from != DAY_NONE && from <= on)
            text_addf(out, "SAFETY: %s since %s\n", word_text(&words_safety, safety),
                      day_to_text(from, date));
    }
}

static enum status add_head(struct text *out, const struct history *history, day on,
                            struct error *error)
{
    struct arena arena = {0};
    struct history until;
    struct case_state state;
    const struct patient *patient = history->patient;

    add_who(out, history);
    if (patient != NULL && patient->alerts != NULL && patient->alerts[0] != '\0')
        cli_add_wrapped(out, "ALERT: ", patient->alerts, CLI_SHEET_COLUMNS);
    bool copied = history_until(history, on, &arena, &until);
    if (copied) {
        course_state(&until, &state);
        add_state(out, &state, on);
    }
    arena_release(&arena);
    return copied ? STATUS_OK : error_no_memory(error);
}

static void add_finding(struct text *out, const struct told *told)
{
    const struct finding *finding = told->finding;
    const struct rule_row *row = rule_row(finding->rule);
    struct text sentence = {0};

    text_addf(out, "  %-8s %s (%s)\n", word_text(&words_effect, (int)finding->effect), row->name,
              standing_text(sentence_standing(finding)));
    sentence_told(&sentence, told);
    add_wrapped(out, "           ", &sentence);
}

static void add_recorded(struct text *out, const struct advised *advised, day on)
{
    char date[DAY_TEXT_SIZE];
    struct text line = {0};

    if (!advised->recorded_that_day)
        return;
    text_addf(&line,
              "A visit of this %s is recorded on %s; this answer stands before it. The visit "
              "sheet counts it.",
              advised->recorded_of_arch ? "arch" : "case", day_to_text(on, date));
    add_wrapped(out, "  NOTE     ", &line);
}

static void add_next(struct text *out, const struct advised *advised)
{
    const struct judgement *judgement = &advised->judgement;
    char from[DAY_TEXT_SIZE], to[DAY_TEXT_SIZE];

    if (judgement->next_from == DAY_NONE)
        return;
    text_addf(out, "  next visit: %s to %s", day_to_text(judgement->next_from, from),
              day_to_text(judgement->next_to, to));
    text_add(out, advised->next_if_asked ? " (if the amounts asked for are given)\n" : "\n");
}

static void add_advised(struct text *out, const struct history *history,
                        const struct advise_options *options, const struct advised *advised)
{
    const struct judgement *judgement = &advised->judgement;
    char on[DAY_TEXT_SIZE];
    struct told told[FINDINGS_MAX];
    struct text asked = {0}, open = {0};

    text_addf(out, "\n%s arch on %s: ", word_text(&words_arch, (int)judgement->arch),
              day_to_text(options->on, on));
    sentence_verdict(out, judgement, false);
    text_add(out, "\n");
    add_recorded(out, advised, options->on);
    advise_tell_asked(&asked, options, advised);
    add_wrapped(out, "  ", &asked);
    advise_tell_open(&open, history, options, judgement->arch);
    add_wrapped(out, "  NOTE     ", &open);
    int count = sentence_tell(judgement, told);
    for (int i = 0; i < count; i++)
        add_finding(out, &told[i]);
    add_next(out, advised);
}

/* Nothing was judged: say why, so that nobody takes silence for permission. */
static void add_nothing(struct text *out, const struct history *history,
                        const struct advise_options *options)
{
    struct text lacking = {0};

    text_add(out, "\nNo expander that was asked for is fitted: there is nothing to judge.\n");
    for (int arch = ARCH_UPPER; arch <= ARCH_LOWER; arch++) {
        struct text missing = {0};

        advise_tell_missing(&missing, history, options, (enum arch)arch);
        add_wrapped(out, "  ", &missing);
    }
    advise_tell_lacking(&lacking, history, options->on);
    add_wrapped(out, "  ", &lacking);
}

static void add_assumed(struct text *out, const struct history *history,
                        const struct advise_options *options)
{
    const char *assumed = advise_assumed(options, "tissue, hardware");
    char grain[MILLIMETRE_TEXT_SIZE];
    struct text line = {0};

    text_add(out, "\n");
    if (assumed[0] != '\0')
        text_addf(&line, "Assumed sound, because it was not stated: %s. Nobody looked today.",
                  assumed);
    add_wrapped(out, "", &line);
    text_addf(out, "Permitted amounts are rounded down to the protocol's step of %s mm.\n",
              millimetre_to_text(history->protocol->step_grain, grain));
}

enum status advise_put_text(struct cli_session *session, const struct history *history,
                            const struct advise_options *options, const struct advice *advice,
                            struct error *error)
{
    struct text out = {0};

    enum status status = add_head(&out, history, options->on, error);
    if (status != STATUS_OK) {
        text_release(&out);
        return status;
    }
    for (int i = 0; i < advice->count; i++)
        add_advised(&out, history, options, &advice->rows[i]);
    if (advice->count == 0)
        add_nothing(&out, history, options);
    else
        add_assumed(&out, history, options);
    text_add(&out, "\n");
    cli_add_wrapped(&out, "", app_caution, CLI_SHEET_COLUMNS);
    return cli_put(session->start->out, &out, error);
}
