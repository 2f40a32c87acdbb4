/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/app/advise.h"

#include "springline/base/text.h"

static enum status no_such_case(const char *number, struct error *error)
{
    struct text shown = {0};

    text_add_shown(&shown, number);
    enum status status =
        error_set(error, STATUS_NOT_FOUND, "CASE",
                  "There is no case %s in this store; give a case number such as C-0001.",
                  text_string(&shown));
    text_release(&shown);
    return status;
}

/* A number that is spelled with other letter cases (ASCII), in search of the one case that has it.
 */
struct blind_search {
    const char *number;
    struct id found;
    int count;
};

static char lower(char byte)
{
    return byte >= 'A' && byte <= 'Z' ? (char)(byte - 'A' + 'a') : byte;
}

static enum status look_blindly(void *context, const void *record, struct error *error)
{
    struct blind_search *search = context;
    const struct casefile *casefile = record;
    const char *a = casefile->number, *b = search->number;

    (void)error;
    for (; *a != '\0' && lower(*a) == lower(*b); a++)
        b++;
    if (*a == '\0' && *b == '\0') {
        search->found = casefile->head.record;
        search->count++;
    }
    return STATUS_OK;
}

/* As it is spelled, or, if only one case can be meant, without regard to upper and lower case. */
static enum status find_case(struct app *app, const char *number, int64_t as_of,
                             struct id *casefile, struct error *error)
{
    struct blind_search search = {.number = number};

    enum status status = store_find_case(app->store, number, as_of, casefile, error);
    if (status != STATUS_NOT_FOUND)
        return status;
    status = store_each_row(app->store, RECORD_CASEFILE, as_of, look_blindly, &search, error);
    if (status != STATUS_OK)
        return status;
    if (search.count != 1)
        return no_such_case(number, error);
    *casefile = search.found;
    return STATUS_OK;
}

enum status advise_load(struct app *app, const char *number, int64_t as_of, struct arena *arena,
                        struct history *history, struct error *error)
{
    struct id casefile;

    enum status status = find_case(app, number, as_of, &casefile, error);
    if (status != STATUS_OK)
        return status;
    return store_read_case(app->store, &casefile, as_of, arena, history, error);
}

/* An arch as it was asked about; also with other amounts. */
static bool judge_arch(const struct history *history, const struct advise_options *options,
                       enum arch arch, struct proposal proposal, struct judgement *judgement)
{
    const struct question question = {.arch = arch,
                                      .today = options->on,
                                      .strictly_before = true,
                                      .examination = options->examination,
                                      .proposal = proposal};

    return rules_judge(history, &question, judgement);
}

static void find_recorded(const struct history *history, day on, struct advised *advised)
{
    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];

        if (visit->date != on || visit->kind == VISIT_MISSED)
            continue;
        if (visit->arch == advised->judgement.arch)
            advised->recorded_of_arch = true;
        if (visit->arch == advised->judgement.arch || visit->arch == ARCH_NONE)
            advised->recorded_that_day = true;
    }
}

/* May what was asked for be given, and did the next visit come from it? */
static void answer_asked(const struct history *history, const struct advise_options *options,
                         struct advised *advised)
{
    const struct judgement *judgement = &advised->judgement;
    struct judgement alone;
    bool needs_reason = false;

    if (options->proposal.right == UM_NONE)
        return;
    if (rules_override(judgement, history->protocol, options->proposal, &needs_reason,
                       &advised->refusal) != STATUS_OK)
        advised->answer = ADVISE_REFUSED;
    else
        advised->answer = needs_reason ? ADVISE_NEEDS_REASON : ADVISE_PERMITTED;
    if (judge_arch(history, options, judgement->arch, (struct proposal){UM_NONE, UM_NONE}, &alone))
        advised->next_if_asked =
            alone.next_from != judgement->next_from || alone.next_to != judgement->next_to;
}

void advise_judge(const struct history *history, struct advise_options *options,
                  struct advice *advice)
{
    options->assumed_tissue = options->examination.tissue == TISSUE_NONE;
    options->assumed_hardware = options->examination.hardware == HARDWARE_NOT_RECORDED;
    if (options->assumed_tissue)
        options->examination.tissue = TISSUE_SOUND;
    if (options->assumed_hardware)
        options->examination.hardware = HARDWARE_INTACT;
    advice->count = 0;
    for (int arch = ARCH_UPPER; arch <= ARCH_LOWER; arch++) {
        struct advised *advised = &advice->rows[advice->count];

        if (options->arch != ARCH_NONE && (int)options->arch != arch)
            continue;
        *advised = (struct advised){.answer = ADVISE_NOT_ASKED};
        if (!judge_arch(history, options, (enum arch)arch, options->proposal, &advised->judgement))
            continue;
        find_recorded(history, options->on, advised);
        answer_asked(history, options, advised);
        advice->count++;
    }
}
