/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The sentence of each rule; {name} stands for a value of the finding, {setting} for what it was
 * compared with. */
#ifndef SPRINGLINE_APP_SENTENCE_WORDS_H
#define SPRINGLINE_APP_SENTENCE_WORDS_H

#include "springline/base/text.h"
#include "springline/core/rules.h"

/* The pattern of a rule's sentence, without its effect. */
const char *sentence_pattern(enum rule rule);

/* A value of a finding: sources and hardware as words, all else in its unit. */
void sentence_named_value(struct text *out, const struct finding_value *value);
/* True for an enum source handed over as a count. */
bool sentence_is_source(const struct finding_value *value);
/* True for the bits of hardware handed over as a count. */
bool sentence_is_hardware(const struct finding_value *value);

#endif
