/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Findings as JSON (RFC 8259): stored with a judged visit and printed by advise. */
#include <inttypes.h>
#include <string.h>

#include "sentence_words.h"
#include "springline/app/sentence.h"
#include "springline/core/tooth.h"

static void add_escaped(struct text *out, uint32_t character, const char *bytes, size_t used)
{
    if (character == '"' || character == '\\') {
        text_add_byte(out, '\\');
        text_add_byte(out, (char)character);
    } else if (character < 0x20 || character == 0x7f) {
        text_addf(out, "\\u%04" PRIx32, character);
    } else {
        text_append(out, bytes, used);
    }
}

void sentence_json_string(struct text *out, const char *text)
{
    size_t length = text == NULL ? 0 : strlen(text);

    text_add_byte(out, '"');
    while (length > 0) {
        uint32_t character;
        size_t used = text_decode(text, length, &character);
        if (used == 0) {
            text_add(out, "\xEF\xBF\xBD"); /* U+FFFD in place of a byte that is no UTF-8 */
            used = 1;
        } else {
            add_escaped(out, character, text, used);
        }
        text += used;
        length -= used;
    }
    text_add_byte(out, '"');
}

static void add_number(struct text *out, enum unit unit, int64_t value)
{
    char millimetre[MILLIMETRE_TEXT_SIZE], date[DAY_TEXT_SIZE];

    switch (unit) {
    case UNIT_UM:
    case UNIT_UM_PER_WEEK:
        text_add(out, value == UM_NONE ? "null" : millimetre_to_text((um)value, millimetre));
        break;
    case UNIT_PERMILLE:
        text_addf(out, "%s%" PRId64 ".%03" PRId64, value < 0 ? "-" : "",
                  (value < 0 ? -value : value) / 1000, (value < 0 ? -value : value) % 1000);
        break;
    case UNIT_DATE:
        if (value == DAY_NONE)
            text_add(out, "null");
        else
            text_addf(out, "\"%s\"", day_to_text((day)value, date));
        break;
    case UNIT_NONE:
    case UNIT_DAYS:
    case UNIT_MINUTES:
    case UNIT_VISITS:
    case UNIT_ANSWER:
    case UNIT_COUNT:
    default:
        text_addf(out, "%" PRId64, value);
        break;
    }
}

static void add_value(struct text *out, const struct finding_value *value)
{
    char hardware[HARDWARE_TEXT_SIZE];

    if (sentence_is_source(value))
        sentence_json_string(out, word_text(&words_source, (int)value->value));
    else if (sentence_is_hardware(value))
        sentence_json_string(out, hardware_to_text((uint32_t)value->value, hardware));
    else
        add_number(out, value->unit, value->value);
}

static void add_values(struct text *out, const struct finding *finding)
{
    text_add(out, "\"values\":{");
    for (int i = 0; i < finding->value_count; i++) {
        if (i > 0)
            text_add(out, ",");
        sentence_json_string(out, finding->values[i].name);
        text_add(out, ":");
        add_value(out, &finding->values[i]);
    }
    if (finding->setting != SETTING_NONE) {
        const struct setting_row *setting = &protocol_settings[finding->setting];
        text_add(out, finding->value_count > 0 ? "," : "");
        sentence_json_string(out, setting->name);
        text_add(out, ":");
        add_number(out, setting->unit, finding->setting_value);
    }
    text_add(out, "}");
}

static void add_finding(struct text *out, const struct finding *finding)
{
    const struct rule_row *row = rule_row(finding->rule);
    char limit[MILLIMETRE_TEXT_SIZE];
    struct text sentence = {0};

    sentence_finding(&sentence, finding);
    text_add(out, "{\"rule\":");
    sentence_json_string(out, row->name);
    text_addf(out, ",\"effect\":\"%s\"", word_text(&words_effect, (int)finding->effect));
    if (finding->side != SIDE_NONE)
        text_addf(out, ",\"side\":\"%s\"", word_text(&words_side, (int)finding->side));
    text_addf(out, ",\"standing\":\"%s\"", standing_text(sentence_standing(finding)));
    if (finding->effect == EFFECT_LIMIT)
        text_addf(out, ",\"limit_mm\":%s", sentence_limit(finding->limit, limit));
    text_add(out, ",\"text\":");
    sentence_json_string(out, text_string(&sentence));
    text_add(out, ",");
    add_values(out, finding);
    text_add(out, "}");
    out->failed = out->failed || sentence.failed;
    text_release(&sentence);
}

void sentence_findings_json(struct text *out, const struct judgement *judgement)
{
    int order[FINDINGS_MAX];

    sentence_order(judgement, order);
    text_add(out, "[");
    for (int i = 0; i < judgement->finding_count; i++) {
        if (i > 0)
            text_add(out, ",");
        add_finding(out, &judgement->findings[order[i]]);
    }
    text_add(out, "]");
}
