/* SPDX-License-Identifier: GPL-3.0-or-later */
/* advise: what the rules say of one case, without recording anything; and chart, its story. */
#ifndef SPRINGLINE_APP_ADVISE_H
#define SPRINGLINE_APP_ADVISE_H

#include "springline/app/app.h"
#include "springline/core/rules.h"

/* Loads the case with this number, current at as_of. STATUS_NOT_FOUND: "There is no case X ...". */
enum status advise_load(struct app *app, const char *number, int64_t as_of, struct arena *arena,
                        struct history *history, struct error *error);

struct advise_options {
    enum arch arch; /* ARCH_NONE: every arch with a fitted expander */
    day on;
    struct proposal proposal;       /* UM_NONE: none */
    struct examination examination; /* what was stated; else assumed sound, see assumed_* */
    bool assumed_tissue, assumed_hardware;
};

struct advice {
    struct judgement judgements[2];
    int count; /* 0: no arch has a fitted expander */
};

/* Judges history strictly before on (widths up to and including it). Where tissue and hardware are
 * not stated they are assumed sound and options->assumed_* say so. */
void advise_judge(const struct history *history, struct advise_options *options,
                  struct advice *advice);

/* Appends the chart of a case as text of at most columns columns: who, stages, expanders with fit
 * checks, visits with amounts, sums and verdicts (imported ones marked recomputed), widths by
 * landmark, wear by period, next date, the caution line. */
void chart_text(struct text *out, const struct history *history, day today, int columns);

#endif
