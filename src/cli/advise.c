/* SPDX-License-Identifier: GPL-3.0-or-later */
/* advise: what the rules say of a case, nothing recorded. */
#include <stdlib.h>

#include "advise_sheet.h"
#include "springline/cli/commands.h"
#include "springline/cli/options.h"
#include "springline/cli/output.h"
#include "springline/core/tooth.h"

struct given {
    const char *arch, *on, *right, *left, *tissue, *hardware;
    bool repaired;
};

static enum status read_examination(const struct given *given, struct advise_options *options,
                                    struct error *error)
{
    int tissue = TISSUE_NONE;
    uint32_t hardware = HARDWARE_NOT_RECORDED;

    enum status status = cli_read_word("--tissue", given->tissue, &words_tissue, &tissue, error);
    if (status == STATUS_OK && given->hardware != NULL &&
        (given->hardware[0] == '\0' ||
         hardware_from_text(given->hardware, "--hardware", &hardware, error) != STATUS_OK))
        status = given->hardware[0] == '\0'
                     ? error_set(error, STATUS_USAGE, "--hardware",
                                 "Give intact, or the faults with ; between them.")
                     : error_set(error, STATUS_USAGE, "--hardware", "%s", error->sentence);
    if (status == STATUS_OK && given->repaired && !hardware_faulty(hardware))
        status =
            error_set(error, STATUS_USAGE, "--repaired", "Name with --hardware what was repaired.");
    options->examination =
        (struct examination){.tissue = (enum tissue)tissue,
                             .hardware = hardware,
                             .repaired = given->repaired ? ANSWER_YES : ANSWER_NONE};
    return status;
}

static enum status read_proposal(const struct given *given, struct advise_options *options,
                                 struct error *error)
{
    options->proposal = (struct proposal){UM_NONE, UM_NONE};
    if ((given->right == NULL) != (given->left == NULL))
        return error_set(error, STATUS_USAGE, given->right == NULL ? "--left" : "--right",
                         "Give both --right and --left; 0.00 is none.");
    enum status status = cli_read_amount("--right", given->right, &options->proposal.right, error);
    if (status == STATUS_OK)
        status = cli_read_amount("--left", given->left, &options->proposal.left, error);
    return status;
}

static enum status read_asked(struct cli_session *session, struct advise_options *options,
                              const char **number, struct error *error)
{
    struct given given = {0};
    int arch = ARCH_NONE;
    const struct cli_option known[] = {
        {"arch", &given.arch, NULL},        {"on", &given.on, NULL},
        {"right", &given.right, NULL},      {"left", &given.left, NULL},
        {"tissue", &given.tissue, NULL},    {"hardware", &given.hardware, NULL},
        {"repaired", NULL, &given.repaired}};

    *options = (struct advise_options){.on = session->app.today};
    enum status status = cli_read_options(&session->call, known, sizeof known / sizeof known[0], 1,
                                          1, number, error);
    if (status == STATUS_OK)
        status = cli_read_word("--arch", given.arch, &words_arch, &arch, error);
    if (status == STATUS_OK)
        status = cli_read_day("--on", given.on, &options->on, error);
    if (status == STATUS_OK)
        status = read_proposal(&given, options, error);
    if (status == STATUS_OK)
        status = read_examination(&given, options, error);
    options->arch = (enum arch)arch;
    return status;
}

enum status cli_advise(struct cli_session *session, struct error *error)
{
    struct arena arena = {0};
    struct advice *advice = NULL;
    struct advise_options options;
    struct history history = {0};
    const char *number = NULL;

    enum status status = read_asked(session, &options, &number, error);
    if (status == STATUS_OK)
        status = cli_open(session, error);
    if (status == STATUS_OK)
        status = advise_load(&session->app, number, STORE_NOW, &arena, &history, error);
    if (status == STATUS_OK) {
        advice = arena_alloc(&arena, sizeof *advice);
        if (advice == NULL)
            status = error_no_memory(error);
    }
    if (status == STATUS_OK) {
        advise_judge(&history, &options, advice);
        status = advise_put(session, &history, &options, advice, error);
    }
    arena_release(&arena);
    return status;
}
