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

enum status advise_load(struct app *app, const char *number, int64_t as_of, struct arena *arena,
                        struct history *history, struct error *error)
{
    struct id casefile;

    enum status status = store_find_case(app->store, number, as_of, &casefile, error);
    if (status == STATUS_NOT_FOUND)
        return no_such_case(number, error);
    if (status != STATUS_OK)
        return status;
    return store_read_case(app->store, &casefile, as_of, arena, history, error);
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
        if (options->arch != ARCH_NONE && (int)options->arch != arch)
            continue;
        struct question question = {.arch = (enum arch)arch,
                                    .today = options->on,
                                    .strictly_before = true,
                                    .examination = options->examination,
                                    .proposal = options->proposal};
        if (rules_judge(history, &question, &advice->judgements[advice->count]))
            advice->count++;
    }
}
