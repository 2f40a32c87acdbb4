/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "advise_sheet.h"

#include "springline/app/sentence.h"
#include "springline/cli/output.h"

static const struct cli_column columns[] = {
    {"case", COLUMN_TEXT},       {"arch", COLUMN_WORD},       {"on", COLUMN_WORD},
    {"verdict", COLUMN_WORD},    {"right_mm", COLUMN_NUMBER}, {"left_mm", COLUMN_NUMBER},
    {"next_from", COLUMN_WORD},  {"next_to", COLUMN_WORD},    {"assumed", COLUMN_WORD},
    {"rule", COLUMN_WORD},       {"effect", COLUMN_WORD},     {"side", COLUMN_WORD},
    {"limit_mm", COLUMN_NUMBER}, {"standing", COLUMN_WORD},   {"text", COLUMN_TEXT},
};

enum { COLUMN_COUNT = sizeof columns / sizeof columns[0] };

const char *advise_assumed(const struct advise_options *options, const char *both)
{
    if (options->assumed_tissue && options->assumed_hardware)
        return both;
    if (options->assumed_tissue)
        return "tissue";
    return options->assumed_hardware ? "hardware" : "";
}

static void add_asked(struct text *out, const struct advise_options *options,
                      const struct advised *advised)
{
    char right[MILLIMETRE_TEXT_SIZE], left[MILLIMETRE_TEXT_SIZE];
    struct text told = {0};

    if (advised->answer == ADVISE_NOT_ASKED) {
        text_add(out, ",\"asked\":null");
        return;
    }
    text_addf(out, ",\"asked\":{\"right_mm\":%s,\"left_mm\":%s,\"answer\":\"%s\",\"text\":",
              millimetre_to_text(options->proposal.right, right),
              millimetre_to_text(options->proposal.left, left),
              word_text(&words_advise_answer, (int)advised->answer));
    advise_tell_asked(&told, options, advised);
    cli_add_json(out, text_string(&told));
    text_addf(out, ",\"next_if_given\":%s}", advised->next_if_asked ? "true" : "false");
    out->failed = out->failed || told.failed;
    text_release(&told);
}

static void add_json(struct text *out, const char *number, const struct advise_options *options,
                     const struct advised *advised)
{
    const struct judgement *judgement = &advised->judgement;
    char on[DAY_TEXT_SIZE], from[DAY_TEXT_SIZE], to[DAY_TEXT_SIZE];
    char right[MILLIMETRE_TEXT_SIZE], left[MILLIMETRE_TEXT_SIZE];
    const char *assumed = advise_assumed(options, "tissue\",\"hardware");

    text_addf(out, "{\"format_version\":%d,\"case\":", (int)CLI_FORMAT_VERSION);
    cli_add_json(out, number);
    text_addf(out, ",\"arch\":\"%s\",\"on\":\"%s\",\"verdict\":\"%s\"",
              word_text(&words_arch, (int)judgement->arch), day_to_text(options->on, on),
              word_text(&words_verdict, (int)judgement->verdict));
    text_addf(out, ",\"right\":{\"permitted_mm\":%s},\"left\":{\"permitted_mm\":%s},\"findings\":",
              millimetre_to_text(judgement->permitted_right, right),
              millimetre_to_text(judgement->permitted_left, left));
    sentence_findings_json(out, judgement);
    if (judgement->next_from == DAY_NONE)
        text_add(out, ",\"next\":null");
    else
        text_addf(out, ",\"next\":{\"from\":\"%s\",\"to\":\"%s\"}",
                  day_to_text(judgement->next_from, from), day_to_text(judgement->next_to, to));
    text_addf(out, ",\"assumed_sound\":[%s%s%s]", assumed[0] == '\0' ? "" : "\"", assumed,
              assumed[0] == '\0' ? "" : "\"");
    text_addf(out, ",\"recorded_that_day\":%s", advised->recorded_that_day ? "true" : "false");
    add_asked(out, options, advised);
    text_add(out, "}");
}

static enum status put_json(struct cli_session *session, const struct history *history,
                            const struct advise_options *options, const struct advice *advice,
                            struct error *error)
{
    struct text out = {0};

    text_add(&out, "[");
    for (int i = 0; i < advice->count; i++) {
        text_add(&out, i == 0 ? "\n" : ",\n");
        add_json(&out, history->casefile->number, options, &advice->rows[i]);
    }
    text_add(&out, advice->count == 0 ? "]\n" : "\n]\n");
    return cli_put(session->start->out, &out, error);
}

static void put_csv_finding(struct cli_table *table, const char *number,
                            const struct advise_options *options, const struct judgement *judgement,
                            const struct finding *finding)
{
    char on[DAY_TEXT_SIZE], from[DAY_TEXT_SIZE], to[DAY_TEXT_SIZE];
    char right[MILLIMETRE_TEXT_SIZE], left[MILLIMETRE_TEXT_SIZE], limit[MILLIMETRE_TEXT_SIZE];
    struct text sentence = {0};

    if (finding != NULL)
        sentence_finding(&sentence, finding);
    const char *const cells[COLUMN_COUNT] = {
        number,
        word_text(&words_arch, (int)judgement->arch),
        day_to_text(options->on, on),
        word_text(&words_verdict, (int)judgement->verdict),
        millimetre_to_text(judgement->permitted_right, right),
        millimetre_to_text(judgement->permitted_left, left),
        day_to_text(judgement->next_from, from),
        day_to_text(judgement->next_to, to),
        advise_assumed(options, "tissue;hardware"),
        finding == NULL ? "" : rule_row(finding->rule)->name,
        finding == NULL ? "" : word_text(&words_effect, (int)finding->effect),
        finding == NULL ? "" : word_text(&words_side, (int)finding->side),
        finding == NULL || finding->effect != EFFECT_LIMIT
            ? ""
            : millimetre_to_text(finding->limit, limit),
        finding == NULL ? "" : standing_text(sentence_standing(finding)),
        text_string(&sentence)};
    cli_table_row(table, cells);
    table->failed = table->failed || sentence.failed;
    text_release(&sentence);
}

/* One row per finding; a judgement without findings has one row. */
static enum status put_csv(struct cli_session *session, const struct history *history,
                           const struct advise_options *options, const struct advice *advice,
                           struct error *error)
{
    struct cli_table table;
    int order[FINDINGS_MAX];

    cli_table_begin(&table, session->start->out, FORMAT_CSV, columns, COLUMN_COUNT);
    for (int i = 0; i < advice->count; i++) {
        const struct judgement *judgement = &advice->rows[i].judgement;

        sentence_order(judgement, order);
        for (int j = 0; j < judgement->finding_count; j++)
            put_csv_finding(&table, history->casefile->number, options, judgement,
                            &judgement->findings[order[j]]);
        if (judgement->finding_count == 0)
            put_csv_finding(&table, history->casefile->number, options, judgement, NULL);
    }
    return cli_table_end(&table, error);
}

enum status advise_put(struct cli_session *session, const struct history *history,
                       const struct advise_options *options, const struct advice *advice,
                       struct error *error)
{
    switch (session->call.format) {
    case FORMAT_CSV:
        return put_csv(session, history, options, advice, error);
    case FORMAT_JSON:
        return put_json(session, history, options, advice, error);
    case FORMAT_TEXT:
        break;
    }
    return advise_put_text(session, history, options, advice, error);
}
