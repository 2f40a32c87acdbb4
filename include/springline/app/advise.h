/* SPDX-License-Identifier: GPL-3.0-or-later */
/* advise: what the rules say of one case, without recording anything; and chart, its story. */
#ifndef SPRINGLINE_APP_ADVISE_H
#define SPRINGLINE_APP_ADVISE_H

#include "springline/app/app.h"
#include "springline/app/visit.h"
#include "springline/core/rules.h"
#include "springline/store/signature.h"

/* Loads the case with this number, current at as_of; one that is spelled with other letter cases
 * (ASCII) if no other is too. STATUS_NOT_FOUND: "There is no case X ...". */
enum status advise_load(struct app *app, const char *number, int64_t as_of, struct arena *arena,
                        struct history *history, struct error *error);

struct advise_options {
    enum arch arch; /* ARCH_NONE: every arch with a fitted expander */
    day on;
    struct proposal proposal;       /* UM_NONE: none */
    struct examination examination; /* what was stated; else assumed sound, see assumed_* */
    bool assumed_tissue, assumed_hardware;
};

/* The answer to amounts that were asked for. */
enum advise_answer { ADVISE_NOT_ASKED, ADVISE_PERMITTED, ADVISE_NEEDS_REASON, ADVISE_REFUSED };
extern const struct words words_advise_answer; /* permitted needs-reason refused */

struct advised {
    struct judgement judgement;
    enum advise_answer answer;
    struct error refusal; /* ADVISE_REFUSED: why it can not be given, as rules_override says it */
    bool next_if_asked;   /* the next visit is worked out as if the amounts asked for are given */
    bool recorded_of_arch, recorded_that_day; /* a visit of the day itself is recorded: of this
                                                 arch; of this arch or of the case as a whole */
};

struct advice {
    struct advised rows[2];
    int count; /* 0: no arch has a fitted expander */
};

/* Judges history strictly before on (widths up to and including it). Where tissue and hardware are
 * not stated they are assumed sound and options->assumed_* say so. */
void advise_judge(const struct history *history, struct advise_options *options,
                  struct advice *advice);

/* Appends "Asked: right 1.00, left 2.50 mm: ..." for amounts that were asked for. */
void advise_tell_asked(struct text *out, const struct advise_options *options,
                       const struct advised *advised);
/*
 * What the newest visits of an arch before the day recorded and what is still open by them, for a
 * question that assumes it sound: "The last visit, 2026-11-17, recorded loose-band, NOT repaired."
 * Appends nothing when that is none, or when nothing was assumed.
 */
void advise_tell_open(struct text *out, const struct history *history,
                      const struct advise_options *options, enum arch arch);
/* What keeps an arch that was asked about from being judged: no expander, or no fit recorded. */
void advise_tell_missing(struct text *out, const struct history *history,
                         const struct advise_options *options, enum arch arch);
/* Appends that the health questions were asked by the day, but of how many of the five no answer is
 * recorded: unknown is not no. Nothing where every answer is recorded, or nobody asked. */
void advise_tell_unanswered(struct text *out, const struct casefile *casefile, day on);
/* What the case lacks on the day: a current trainer, consent, the health questions or the answers
 * to them; or nothing. */
void advise_tell_lacking(struct text *out, const struct history *history, day on);

/* Appends the chart of a case as text of at most columns columns: who, stages, expanders with fit
 * checks, visits with amounts, sums and verdicts (imported ones marked recomputed) and who signed
 * them, when, as what, widths by landmark, wear by period, the lines of forecast_view_tell
 * (app/forecast_view.h), next date, the caution line. */
void chart_text(struct text *out, const struct history *history,
                const struct signed_rows *signed_rows, const struct lines *forecast, day today,
                int columns);

#endif
