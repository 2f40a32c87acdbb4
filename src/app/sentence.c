/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/app/sentence.h"

#include <inttypes.h>
#include <string.h>

#include "sentence_words.h"
#include "springline/core/tooth.h"

const char sentence_stricter[] = "records overlap or are half filled, the stricter stands";

static void add_permille(struct text *out, int64_t permille)
{
    if (permille % 10 == 0)
        text_addf(out, "%" PRId64 " %%", permille / 10);
    else
        text_addf(out, "%" PRId64 ".%" PRId64 " %%", permille / 10, permille % 10);
}

void sentence_value(struct text *out, enum unit unit, int64_t value)
{
    char millimetre[MILLIMETRE_TEXT_SIZE], date[DAY_TEXT_SIZE];

    switch (unit) {
    case UNIT_UM:
        text_addf(out, "%s mm", millimetre_to_text((um)value, millimetre));
        break;
    case UNIT_UM_PER_WEEK:
        text_addf(out, "%s mm a week", millimetre_to_text((um)value, millimetre));
        break;
    case UNIT_DAYS:
        text_addf(out, "%" PRId64 " %s", value, value == 1 ? "day" : "days");
        break;
    case UNIT_MINUTES:
        text_addf(out, "%" PRId64 " minutes", value);
        break;
    case UNIT_PERMILLE:
        add_permille(out, value);
        break;
    case UNIT_VISITS:
        text_addf(out, "%" PRId64 " %s", value, value == 1 ? "period" : "periods");
        break;
    case UNIT_ANSWER:
        text_add(out, value == ANSWER_YES ? "yes" : value == ANSWER_NO ? "no" : "not recorded");
        break;
    case UNIT_DATE:
        text_add(out, value == DAY_NONE ? "never" : day_to_text((day)value, date));
        break;
    case UNIT_NONE:
    case UNIT_COUNT:
    default:
        text_addf(out, "%" PRId64, value);
        break;
    }
}

void sentence_named_value(struct text *out, const struct finding_value *value)
{
    char hardware[HARDWARE_TEXT_SIZE];

    if (sentence_is_source(value))
        text_add(out, value->value == SOURCE_TOLD ? "told, which runs high"
                                                  : word_text(&words_source, (int)value->value));
    else if (sentence_is_hardware(value))
        text_add(out, hardware_to_text((uint32_t)value->value, hardware));
    else
        sentence_value(out, value->unit, value->value);
}

/* Core hands over enums and bits as counts: by their names they become words again. */
bool sentence_is_source(const struct finding_value *value)
{
    return value->unit == UNIT_COUNT &&
           (strcmp(value->name, "source") == 0 || strcmp(value->name, "judged_source") == 0);
}

bool sentence_is_hardware(const struct finding_value *value)
{
    return value->unit == UNIT_COUNT && strcmp(value->name, "hardware") == 0;
}

static const struct finding_value *value_named(const struct finding *finding, const char *name,
                                               size_t length)
{
    for (int i = 0; i < finding->value_count; i++) {
        if (strlen(finding->values[i].name) == length &&
            strncmp(finding->values[i].name, name, length) == 0)
            return &finding->values[i];
    }
    return NULL;
}

/* One {word} of a pattern: limit, setting, or a value of the finding by its name. */
static void add_word(struct text *out, const struct finding *finding, const char *name,
                     size_t length)
{
    const struct finding_value *value = value_named(finding, name, length);

    if (value != NULL)
        sentence_named_value(out, value);
    else if (length == 5 && strncmp(name, "limit", length) == 0)
        sentence_value(out, UNIT_UM, finding->limit);
    else if (length == 7 && strncmp(name, "setting", length) == 0)
        sentence_value(out, protocol_settings[finding->setting].unit, finding->setting_value);
    else
        text_add(out, "not recorded");
}

static void add_pattern(struct text *out, const struct finding *finding, const char *pattern)
{
    while (*pattern != '\0') {
        const char *open = strchr(pattern, '{');
        const char *close = open == NULL ? NULL : strchr(open, '}');
        if (close == NULL) {
            text_add(out, pattern);
            return;
        }
        text_append(out, pattern, (size_t)(open - pattern));
        add_word(out, finding, open + 1, (size_t)(close - open - 1));
        pattern = close + 1;
    }
}

char *sentence_limit(um limit, char buffer[MILLIMETRE_TEXT_SIZE])
{
    enum { HUNDREDTH_UM = 10 };

    return millimetre_to_text(limit - limit % HUNDREDTH_UM, buffer);
}

static void add_effect(struct text *out, const struct finding *finding)
{
    char limit[MILLIMETRE_TEXT_SIZE];

    switch (finding->effect) {
    case EFFECT_HOLD:
        text_add(out, finding->rule == RULE_TARGET_NEAR ? " Measure first: HOLD." : " HOLD.");
        break;
    case EFFECT_REST:
        text_add(out, " REST.");
        break;
    case EFFECT_LIMIT:
        text_addf(out, " At most %s mm.", sentence_limit(finding->limit, limit));
        break;
    case EFFECT_CAUTION:
        text_add(out, " Note.");
        break;
    case EFFECT_NONE:
    default:
        break;
    }
}

void sentence_told(struct text *out, const struct told *told)
{
    const struct finding *finding = told->finding;

    if (told->both)
        text_add(out, "Both sides: ");
    else if (finding->side == SIDE_RIGHT)
        text_add(out, "Right: ");
    else if (finding->side == SIDE_LEFT)
        text_add(out, "Left: ");
    add_pattern(out, finding, sentence_pattern(finding->rule));
    if (value_named(finding, "stricter", strlen("stricter")) != NULL)
        text_addf(out, " Because %s.", sentence_stricter);
    add_effect(out, finding);
}

void sentence_finding(struct text *out, const struct finding *finding)
{
    sentence_told(out, &(struct told){.finding = finding});
}

/* The same rule with the same answer and numbers on the other side. */
static bool alike(const struct finding *a, const struct finding *b)
{
    if (a->rule != b->rule || a->effect != b->effect || a->limit != b->limit ||
        a->side == SIDE_NONE || b->side == SIDE_NONE || a->side == b->side ||
        a->value_count != b->value_count)
        return false;
    for (int i = 0; i < a->value_count; i++) {
        if (a->values[i].value != b->values[i].value)
            return false;
    }
    return true;
}

int sentence_tell(const struct judgement *judgement, struct told told[FINDINGS_MAX])
{
    int order[FINDINGS_MAX], count = 0;

    sentence_order(judgement, order);
    for (int i = 0; i < judgement->finding_count; i++) {
        const struct finding *finding = &judgement->findings[order[i]];
        int same = 0;
        while (same < count && (told[same].both || !alike(told[same].finding, finding)))
            same++;
        if (same < count)
            told[same].both = true;
        else
            told[count++] = (struct told){.finding = finding};
    }
    return count;
}

void sentence_verdict(struct text *out, const struct judgement *judgement, bool brief)
{
    static const char *const words[] = {"NO VERDICT", "PROCEED", "REDUCE", "HOLD", "REST"};
    char right[MILLIMETRE_TEXT_SIZE], left[MILLIMETRE_TEXT_SIZE];
    enum sides sides = judgement->expander == NULL ? SIDES_BOTH : judgement->expander->sides;

    text_add(out, words[judgement->verdict]);
    if (sides == SIDES_NONE) { /* no rule of its own: nothing is in plan, so nothing is permitted */
        text_add(out, "  nothing permitted: the sides in plan are not recorded");
        return;
    }
    text_add(out, "  permitted");
    if (sides != SIDES_LEFT)
        text_addf(out, " %s %s", brief ? "R" : "right",
                  millimetre_to_text(judgement->permitted_right, right));
    if (sides != SIDES_RIGHT)
        text_addf(out, " %s %s", brief ? "L" : "left",
                  millimetre_to_text(judgement->permitted_left, left));
    text_add(out, " mm");
}

/* Rest, hold, then limits from the lowest, then cautions. */
static int64_t weight(const struct finding *finding)
{
    switch (finding->effect) {
    case EFFECT_REST:
        return -2;
    case EFFECT_HOLD:
        return -1;
    case EFFECT_LIMIT:
        return finding->limit;
    case EFFECT_CAUTION:
    case EFFECT_NONE:
    default:
        return INT32_MAX;
    }
}

void sentence_order(const struct judgement *judgement, int order[FINDINGS_MAX])
{
    for (int i = 0; i < judgement->finding_count; i++) {
        int64_t own = weight(&judgement->findings[i]);
        int at = i;
        while (at > 0 && weight(&judgement->findings[order[at - 1]]) > own) {
            order[at] = order[at - 1];
            at--;
        }
        order[at] = i;
    }
}

enum standing sentence_standing(const struct finding *finding)
{
    if (finding->setting == SETTING_WIDTH_ERROR &&
        finding->setting_value != protocol_settings[SETTING_WIDTH_ERROR].value)
        return STANDING_SETTING;
    return rule_row(finding->rule)->standing;
}
