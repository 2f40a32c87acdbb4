/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Advice in the three formats. */
#ifndef SPRINGLINE_CLI_ADVISE_SHEET_H
#define SPRINGLINE_CLI_ADVISE_SHEET_H

#include "springline/app/advise.h"
#include "springline/cli/commands.h"

/* Writes the judgements in the format of the call; where tissue or hardware was assumed sound each
 * format says so. */
enum status advise_put(struct cli_session *session, const struct history *history,
                       const struct advise_options *options, const struct advice *advice,
                       struct error *error);

/* The same as text alone. */
enum status advise_put_text(struct cli_session *session, const struct history *history,
                            const struct advise_options *options, const struct advice *advice,
                            struct error *error);

/* What nobody stated: "tissue", "hardware", both (as the caller spells the two), or "". */
const char *advise_assumed(const struct advise_options *options, const char *both);

#endif
