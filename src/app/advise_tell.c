/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What advise says beside the verdict: the answer to what was asked, and what nobody looked at. */
#include "springline/app/advise.h"
#include "springline/core/tooth.h"
#include "springline/core/wear.h"

static const char *const answer_texts[] = {"", "permitted", "needs-reason", "refused"};
const struct words words_advise_answer = {"answer", answer_texts,
                                          sizeof answer_texts / sizeof *answer_texts};

void advise_tell_asked(struct text *out, const struct advise_options *options,
                       const struct advised *advised)
{
    char right[MILLIMETRE_TEXT_SIZE], left[MILLIMETRE_TEXT_SIZE];

    if (advised->answer == ADVISE_NOT_ASKED)
        return;
    text_addf(out,
              "Asked: right %s, left %s mm: ", millimetre_to_text(options->proposal.right, right),
              millimetre_to_text(options->proposal.left, left));
    switch (advised->answer) {
    case ADVISE_PERMITTED:
        text_add(out, "within what is permitted.");
        return;
    case ADVISE_NEEDS_REASON:
        text_add(out, "more than permitted; it would need a recorded reason.");
        return;
    case ADVISE_REFUSED:
    case ADVISE_NOT_ASKED:
        break;
    }
    text_addf(out, "can not be given: %s", advised->refusal.sentence);
}

/* Was the patient seen at this visit of the arch, before the day? */
static bool counts(const struct visit *visit, enum arch arch, day on)
{
    return visit->arch == arch && visit->kind != VISIT_MISSED && visit->date < on;
}

/* The newest day before on on which anything of the arch, its tissue, its hardware was recorded. */
struct newest {
    day seen, tissue, hardware;
};

static struct newest find_newest(const struct history *history, enum arch arch, day on)
{
    struct newest newest = {DAY_NONE, DAY_NONE, DAY_NONE};

    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];

        if (!counts(visit, arch, on))
            continue;
        if (newest.seen == DAY_NONE || visit->date > newest.seen)
            newest.seen = visit->date;
        if (visit->tissue != TISSUE_NONE &&
            (newest.tissue == DAY_NONE || visit->date > newest.tissue))
            newest.tissue = visit->date;
        if (visit->hardware != HARDWARE_NOT_RECORDED &&
            (newest.hardware == DAY_NONE || visit->date > newest.hardware))
            newest.hardware = visit->date;
    }
    return newest;
}

static void tell_visit(struct text *out, day date, day last)
{
    char text[DAY_TEXT_SIZE];

    text_add(out, out->length > 0 ? " " : "");
    text_addf(out, date == last ? "The last visit, %s, recorded " : "The visit of %s recorded ",
              day_to_text(date, text));
}

void advise_tell_open(struct text *out, const struct history *history,
                      const struct advise_options *options, enum arch arch)
{
    const struct newest newest = find_newest(history, arch, options->on);
    uint32_t faults = 0;
    bool wound = false;

    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];

        if (!counts(visit, arch, options->on))
            continue;
        if (visit->date == newest.tissue && visit->tissue == TISSUE_WOUND)
            wound = true;
        if (visit->date == newest.hardware && hardware_faulty(visit->hardware) &&
            visit->repaired != ANSWER_YES)
            faults |= visit->hardware;
    }
    if (wound && options->assumed_tissue) {
        tell_visit(out, newest.tissue, newest.seen);
        text_add(out, "a wound.");
    }
    if (faults != 0 && options->assumed_hardware) {
        char text[HARDWARE_TEXT_SIZE];

        tell_visit(out, newest.hardware, newest.seen);
        text_addf(out, "%s, NOT repaired.", hardware_to_text(faults, text));
    }
}

static const struct expander *newest_expander(const struct history *history, enum arch arch)
{
    const struct expander *newest = NULL;

    for (size_t i = 0; i < history->expander_count; i++) {
        const struct expander *expander = &history->expanders[i];

        if (expander->arch == arch &&
            (newest == NULL || expander->head.sequence > newest->head.sequence))
            newest = expander;
    }
    return newest;
}

void advise_tell_missing(struct text *out, const struct history *history,
                         const struct advise_options *options, enum arch arch)
{
    const struct expander *expander = newest_expander(history, arch);
    char text[DAY_TEXT_SIZE];

    if (options->arch != ARCH_NONE && options->arch != arch)
        return;
    text_addf(out, "%s arch: ", word_text(&words_arch, (int)arch));
    if (expander == NULL) {
        text_add(out, "no expander is recorded.");
        return;
    }
    if (expander->separators_on != DAY_NONE)
        text_addf(out, "separators on %s, ", day_to_text(expander->separators_on, text));
    if (expander->banded_on != DAY_NONE)
        text_addf(out, "bands on %s, ", day_to_text(expander->banded_on, text));
    text_add(out, "no day of fit is recorded.");
}

void advise_tell_unanswered(struct text *out, const struct casefile *casefile, day on)
{
    const enum answer answers[] = {casefile->nickel, casefile->latex, casefile->medical,
                                   casefile->seizure, casefile->anchor};
    int count = (int)(sizeof answers / sizeof answers[0]), unknown = 0;
    char date[DAY_TEXT_SIZE];

    for (int i = 0; i < count; i++)
        unknown += answers[i] == ANSWER_NONE;
    if (casefile->asked_on == DAY_NONE || casefile->asked_on > on || unknown == 0)
        return;
    text_addf(out, "health questions asked on %s, ", day_to_text(casefile->asked_on, date));
    if (unknown < count)
        text_addf(out, "%d of %d ", unknown, count);
    text_add(out, "answers not recorded");
}

void advise_tell_lacking(struct text *out, const struct history *history, day on)
{
    const struct casefile *casefile = history->casefile;
    const struct {
        bool there;
        const char *name;
    } rows[] = {
        {wear_trainer_current(history, on), "a current trainer"},
        {casefile->consent_on != DAY_NONE && casefile->consent_on <= on, "consent"},
        {casefile->asked_on != DAY_NONE && casefile->asked_on <= on, "the health questions asked"},
    };
    struct text answers = {0};
    bool first = true;

    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (rows[i].there)
            continue;
        text_addf(out, "%s%s", first ? "Missing: " : ", ", rows[i].name);
        first = false;
    }
    advise_tell_unanswered(&answers, casefile, on);
    if (answers.length > 0)
        text_addf(out, "%s%s", first ? "Also missing: " : "; ", text_string(&answers));
    text_add(out, first && answers.length == 0 ? "" : ".");
    out->failed = out->failed || answers.failed;
    text_release(&answers);
}
