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

/* What nobody stated, with between between two. */
static const char *assumed_text(const struct advise_options *options, const char *both)
{
    if (options->assumed_tissue && options->assumed_hardware)
        return both;
    if (options->assumed_tissue)
        return "tissue";
    return options->assumed_hardware ? "hardware" : "";
}

static void add_json(struct text *out, const char *number, const struct advise_options *options,
                     const struct judgement *judgement)
{
    char on[DAY_TEXT_SIZE], from[DAY_TEXT_SIZE], to[DAY_TEXT_SIZE];
    char right[MILLIMETRE_TEXT_SIZE], left[MILLIMETRE_TEXT_SIZE];
    const char *assumed = assumed_text(options, "tissue\",\"hardware");

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
    text_addf(out, ",\"assumed_sound\":[%s%s%s]}", assumed[0] == '\0' ? "" : "\"", assumed,
              assumed[0] == '\0' ? "" : "\"");
}

static enum status put_json(struct cli_session *session, const struct history *history,
                            const struct advise_options *options, const struct advice *advice,
                            struct error *error)
{
    struct text out = {0};

    text_add(&out, "[");
    for (int i = 0; i < advice->count; i++) {
        text_add(&out, i == 0 ? "\n" : ",\n");
        add_json(&out, history->casefile->number, options, &advice->judgements[i]);
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
        assumed_text(options, "tissue;hardware"),
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
        const struct judgement *judgement = &advice->judgements[i];

        sentence_order(judgement, order);
        for (int j = 0; j < judgement->finding_count; j++)
            put_csv_finding(&table, history->casefile->number, options, judgement,
                            &judgement->findings[order[j]]);
        if (judgement->finding_count == 0)
            put_csv_finding(&table, history->casefile->number, options, judgement, NULL);
    }
    return cli_table_end(&table, error);
}

static void add_finding(struct text *out, const struct told *told)
{
    const struct finding *finding = told->finding;
    const struct rule_row *row = rule_row(finding->rule);
    struct text sentence = {0};

    text_addf(out, "  %-8s %s (%s)\n", word_text(&words_effect, (int)finding->effect), row->name,
              standing_text(sentence_standing(finding)));
    sentence_told(&sentence, told);
    cli_add_wrapped(out, "           ", text_string(&sentence), CLI_SHEET_COLUMNS);
    out->failed = out->failed || sentence.failed;
    text_release(&sentence);
}

static void add_judgement(struct text *out, const struct advise_options *options,
                          const struct judgement *judgement)
{
    char on[DAY_TEXT_SIZE], from[DAY_TEXT_SIZE], to[DAY_TEXT_SIZE];
    struct told told[FINDINGS_MAX];

    text_addf(out, "\n%s arch on %s: ", word_text(&words_arch, (int)judgement->arch),
              day_to_text(options->on, on));
    sentence_verdict(out, judgement, false);
    text_add(out, "\n");
    int count = sentence_tell(judgement, told);
    for (int i = 0; i < count; i++)
        add_finding(out, &told[i]);
    if (judgement->next_from != DAY_NONE)
        text_addf(out, "  next visit: %s to %s\n", day_to_text(judgement->next_from, from),
                  day_to_text(judgement->next_to, to));
}

static void add_who(struct text *out, const struct history *history)
{
    text_add_shown(out, history->casefile->number);
    if (history->patient != NULL) {
        text_add(out, "  ");
        text_add_shown(out, history->patient->family == NULL ? "" : history->patient->family);
        text_add(out, ", ");
        text_add_shown(out, history->patient->given == NULL ? "" : history->patient->given);
    }
    text_add(out, "\n");
}

static enum status put_text(struct cli_session *session, const struct history *history,
                            const struct advise_options *options, const struct advice *advice,
                            struct error *error)
{
    struct text out = {0};
    const char *assumed = assumed_text(options, "tissue and hardware");

    add_who(&out, history);
    for (int i = 0; i < advice->count; i++)
        add_judgement(&out, options, &advice->judgements[i]);
    if (advice->count == 0)
        text_add(&out, "\nNo expander that was asked for is fitted: there is nothing to judge.\n");
    else if (assumed[0] != '\0')
        text_addf(&out, "\nAssumed, because it was not stated: %s sound.\n", assumed);
    text_add(&out, "\n");
    cli_add_wrapped(&out, "", app_caution, CLI_SHEET_COLUMNS);
    return cli_put(session->start->out, &out, error);
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
    return put_text(session, history, options, advice, error);
}
