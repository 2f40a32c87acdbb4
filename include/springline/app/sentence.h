/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Findings and values as sentences a clinician would accept. Core knows only numbers. */
#ifndef SPRINGLINE_APP_SENTENCE_H
#define SPRINGLINE_APP_SENTENCE_H

#include "springline/base/text.h"
#include "springline/core/rules.h"

/*
 * Appends one sentence for a finding: what was met, the numbers, the setting and what follows,
 * e.g. "Right: 2.50 mm were given in the last 42 days; the practice's limit is 4.00 mm, so at most
 * 1.50 mm." No full stop is missing; no line break.
 */
void sentence_finding(struct text *out, const struct finding *finding);

/* Appends the verdict in words with the permitted amounts: "REDUCE  permitted right 0.50 left 0.50
 * mm", or brief, with R and L, where a line is short. */
void sentence_verdict(struct text *out, const struct judgement *judgement, bool brief);

/* A limit in millimetres, cut, never rounded up, to hundredths. Returns buffer. */
char *sentence_limit(um limit, char buffer[MILLIMETRE_TEXT_SIZE]);

/* Appends a value in its unit: "1.00 mm", "28 days", "80 %", "2026-10-01". */
void sentence_value(struct text *out, enum unit unit, int64_t value);

/*
 * Where a finding's number comes from: the standing of its rule; but a width error that the
 * practice measured itself is its own setting, no published value any more.
 */
enum standing sentence_standing(const struct finding *finding);

/* "records overlap or are half filled, the stricter stands": after "because", wherever a class of
 * wear is told that its days alone would not give. */
extern const char sentence_stricter[];

/* The findings that set the answer come first: rest, hold, limit (lowest first), caution; stable.
 */
void sentence_order(const struct judgement *judgement, int order[FINDINGS_MAX]);

/* One sentence to be read: a finding, or two that differ in nothing but the side. */
struct told {
    const struct finding *finding;
    bool both; /* right and left alike: said once, headed "Both sides" */
};

/* The findings in the order of sentence_order, alike ones of the two sides as one; returns how
 * many there are. */
int sentence_tell(const struct judgement *judgement, struct told told[FINDINGS_MAX]);
/* Appends the sentence of one. */
void sentence_told(struct text *out, const struct told *told);

/* Appends a JSON array of the findings (rule, effect, side, standing, limit_mm, text, values):
 * stored with a judged visit and printed by advise. */
void sentence_findings_json(struct text *out, const struct judgement *judgement);

/* The sentences of such an array, one by one: begin with {judged->findings, 0}. */
struct sentence_stored {
    const char *at;
    int depth;
};
/* Appends the next one to out, in the order they were stored (weightiest first). False: there is no
 * more; a text that is none of ours gives none. */
bool sentence_stored(struct sentence_stored *stored, struct text *out);

/* Appends such an array without its words, the sentences and the standings: what is left of two is
 * alike when they name the same rules, effects, sides, limits and numbers in the same order. */
void sentence_bare(const char *findings, struct text *out);

/* Appends text as a JSON string, quotes included; what is not UTF-8 comes as U+FFFD. */
void sentence_json_string(struct text *out, const char *text);

#endif
