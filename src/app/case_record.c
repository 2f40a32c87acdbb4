/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One record whole: what it says, the verdict of a visit and why, its history. */
#include <inttypes.h>

#include "case_private.h"
#include "form_engine.h"
#include "springline/app/sentence.h"
#include "springline/core/course.h"

struct record_maker {
    struct app *app;
    const struct record_story *story;
    struct arena *arena;
    struct lines *lines;
    struct text text; /* of the line being made */
    bool failed;      /* sticky: memory ran out */
};

static void end_line(struct record_maker *maker)
{
    if (!told_end_line(maker->arena, maker->lines, &maker->text))
        maker->failed = true;
}

static const union any_record *newest(const struct record_maker *maker)
{
    return maker->story->versions[0].record;
}

/* ---- the fields ---- */

static void add_fields(struct record_maker *maker)
{
    const struct record_table *table = &record_tables[maker->story->kind];
    struct text missing = {0};

    for (size_t i = 0; i < table->field_count; i++) {
        const struct field *field = &table->fields[i];
        if (field->type == FIELD_ID)
            continue;
        if (!form_recorded(maker->story->kind, field, newest(maker))) {
            text_add(&missing, missing.length == 0 ? "not recorded: " : ", ");
            case_tell_label(&missing, maker->story->kind, field);
            continue;
        }
        case_tell_label(&maker->text, maker->story->kind, field);
        text_add(&maker->text, ": ");
        case_tell_field(&maker->text, maker->story->kind, field, newest(maker));
        end_line(maker);
    }
    text_add(&maker->text, text_string(&missing));
    maker->text.failed = maker->text.failed || missing.failed;
    if (missing.length > 0)
        end_line(maker);
    text_release(&missing);
}

/* ---- the verdict of a visit ---- */

static void add_permitted(struct text *out, um right, um left)
{
    text_add(out, ", permitted R ");
    told_mm(out, right);
    text_add(out, " L ");
    told_mm(out, left);
    text_add(out, " mm");
}

static void add_next(struct text *out, day from, day to)
{
    char first[DAY_TEXT_SIZE], last[DAY_TEXT_SIZE];

    if (from != DAY_NONE)
        text_addf(out, "; next visit %s to %s", day_to_text(from, first), day_to_text(to, last));
}

/* By which limits: the version of the protocol, of the rules, the error of a width. */
static enum status add_limits(struct record_maker *maker, const struct judged *judged,
                              struct error *error)
{
    struct arena arena = {0};
    struct protocol protocol = {0};

    enum status status = store_read_row(maker->app->store, RECORD_PROTOCOL, &judged->protocol,
                                        &arena, &protocol, error);
    text_add(&maker->text, "  judged by ");
    if (status == STATUS_OK) {
        text_add(&maker->text, "protocol ");
        text_add_shown(&maker->text, protocol.name == NULL ? "" : protocol.name);
        text_addf(&maker->text, " version %" PRId32, protocol.head.version);
    } else {
        text_add(&maker->text, "a protocol that is not in the store");
    }
    arena_release(&arena);
    text_addf(&maker->text, ", rules version %" PRId32 ", width error ", judged->rules_version);
    told_mm(&maker->text, judged->width_error);
    text_add(&maker->text, " mm");
    end_line(maker);
    return status == STATUS_NOT_FOUND ? STATUS_OK : status;
}

static void add_stored_findings(struct record_maker *maker, const char *json)
{
    struct sentence_stored stored = {.at = json};
    int count = 0;

    text_add(&maker->text, "  ");
    while (sentence_stored(&stored, &maker->text)) {
        end_line(maker);
        text_add(&maker->text, "  ");
        count++;
    }
    if (count == 0) {
        text_add(&maker->text, "no reason can be read from what was stored");
        end_line(maker);
    }
    text_clear(&maker->text);
}

static void add_findings(struct record_maker *maker, const struct judgement *judgement)
{
    struct told told[FINDINGS_MAX];
    int count = sentence_tell(judgement, told);

    for (int i = 0; i < count; i++) {
        text_add(&maker->text, "  ");
        sentence_told(&maker->text, &told[i]);
        end_line(maker);
    }
}

static enum status add_stored(struct record_maker *maker, const struct judged *judged,
                              const struct visit *visit, struct error *error)
{
    const struct judgement permitted = {.permitted_right = judged->permitted_right,
                                        .permitted_left = judged->permitted_left};

    text_addf(&maker->text, "verdict stored with version %" PRId32 ": %s", visit->head.version,
              told_verdict(judged->verdict));
    add_permitted(&maker->text, judged->permitted_right, judged->permitted_left);
    add_next(&maker->text, judged->next_from, judged->next_to);
    end_line(maker);
    if (told_excess(visit, &permitted)) {
        text_add(&maker->text, "  MORE THAN PERMITTED was given");
        end_line(maker);
    }
    enum status status = add_limits(maker, judged, error);
    add_stored_findings(maker, judged->findings);
    return status;
}

static const struct judged *stored_with(const struct history *history, const struct row_head *head)
{
    for (size_t i = 0; i < history->judged_count; i++) {
        if (id_equal(&history->judged[i].visit, &head->id))
            return &history->judged[i];
    }
    return NULL;
}

static void add_recomputed(struct record_maker *maker, const struct history *history)
{
    const struct visit *visit = &newest(maker)->visit;
    struct judgement judgement;

    if (!course_verdict_now(history, visit, &judgement))
        return;
    text_addf(&maker->text, "no verdict was stored; by the record and today's limits: %s",
              told_verdict((int32_t)judgement.verdict));
    add_permitted(&maker->text, judgement.permitted_right, judgement.permitted_left);
    end_line(maker);
    if (told_excess(visit, &judgement)) {
        text_add(&maker->text, "  MORE THAN PERMITTED was given");
        end_line(maker);
    }
    add_findings(maker, &judgement);
}

static enum status add_effects(struct record_maker *maker, const struct history *history,
                               struct error *error)
{
    struct effects effects = {0};

    enum status status = effect_marks(maker->app, history, maker->arena, &effects, error);
    for (size_t i = 0; i < effects.count && status == STATUS_OK; i++) {
        const struct effect_row *row = &effects.rows[i];
        if (!id_equal(&row->visit->head.record, &newest(maker)->head.record))
            continue;
        text_add(&maker->text, "MARKED: ");
        effect_tell(&maker->text, row);
        end_line(maker);
        add_findings(maker, &row->now);
    }
    return status;
}

/* The verdict stored with each version, the newest first; else what the rules say. A visit that was
 * withdrawn is judged no more. */
static enum status add_verdicts(struct record_maker *maker, const struct history *history,
                                struct error *error)
{
    enum status status = STATUS_OK;
    bool stored = false;

    for (size_t i = 0; i < maker->story->count && status == STATUS_OK; i++) {
        const struct visit *visit = &maker->story->versions[i].record->visit;
        const struct judged *judged = stored_with(history, &visit->head);
        if (judged == NULL)
            continue;
        stored = true;
        status = add_stored(maker, judged, visit, error);
    }
    if (status != STATUS_OK || maker->story->versions[0].withdrawn)
        return status;
    if (!stored)
        add_recomputed(maker, history);
    return add_effects(maker, history, error);
}

/* ---- signatures ---- */

/* How it was proved who signs: what a reader years later asks next. */
static const char *proof_told(enum proof proof)
{
    static const char *const told[] = {[PROOF_NONE] = "",
                                       [PROOF_PIN] = " (PIN)",
                                       [PROOF_PASSPHRASE] = " (passphrase)",
                                       [PROOF_ALONE] = " (a practice of one: not asked)"};

    return told[proof];
}

static void add_signature(struct record_maker *maker, const char *of, int32_t version,
                          const struct signed_row *row)
{
    if (row == NULL)
        return;
    text_add(&maker->text, of);
    if (version > 0)
        text_addf(&maker->text, "version %" PRId32 ": ", version);
    if (row->signing == SIGNING_DONE)
        sign_tell(&maker->text, row);
    else
        text_add(&maker->text, "NOT SIGNED: it counts, and waits for an orthodontist to sign it");
    text_add(&maker->text, proof_told(row->proof));
    end_line(maker);
}

/* Where nothing is signed and nothing waits: why not. */
static enum status add_unsigned(struct record_maker *maker, struct error *error)
{
    struct to_sign to_sign;

    enum status status =
        store_read_to_sign(maker->app->store, &newest(maker)->head.id, &to_sign, error);
    if (status != STATUS_OK)
        return status;
    if (to_sign.signing == SIGNING_BEFORE)
        text_add(&maker->text, "not signed: recorded before visits were signed here");
    else if (to_sign.signing == SIGNING_NONE && newest(maker)->head.imported)
        text_add(&maker->text, "not signed: it came with an import");
    if (maker->text.length > 0)
        end_line(maker);
    return STATUS_OK;
}

/* Of the withdrawal, then of each version, the newest first. */
static enum status add_signatures(struct record_maker *maker, struct error *error)
{
    const struct record_story *story = maker->story;
    struct signed_rows rows;
    size_t before = maker->lines->count;

    enum status status = store_read_signed(maker->app->store, &newest(maker)->visit.casefile,
                                           maker->arena, &rows, error);
    if (status != STATUS_OK)
        return status;
    add_signature(maker, "withdrawal: ", 0, sign_of(&rows, &newest(maker)->head.id, true));
    for (size_t i = 0; i < story->count; i++) {
        const struct row_head *head = &story->versions[i].record->head;
        add_signature(maker, "", story->count > 1 ? head->version : 0,
                      sign_of(&rows, &head->id, false));
    }
    return maker->lines->count == before ? add_unsigned(maker, error) : STATUS_OK;
}

/* ---- all of it ---- */

/* What it is: "width of 2026-11-25, C-0018  Marrow, Pip"; withdrawn, if it is. */
static void add_heading(struct record_maker *maker, const struct history *history)
{
    enum record_kind kind = maker->story->kind;
    char date[DAY_TEXT_SIZE];
    day on = case_day_of(kind, newest(maker));

    text_add(&maker->text, case_section(kind));
    if (on != DAY_NONE)
        text_addf(&maker->text, " of %s", day_to_text(on, date));
    if (history != NULL) {
        text_add(&maker->text, ", case ");
        case_tell_who(&maker->text, history);
    }
    end_line(maker);
}

static enum status add_all(struct record_maker *maker, struct error *error)
{
    const struct id *casefile = form_case_of(maker->story->kind, newest(maker));
    struct history history;
    enum status status = STATUS_NOT_FOUND;

    if (casefile != NULL)
        status =
            store_read_case(maker->app->store, casefile, STORE_NOW, maker->arena, &history, error);
    bool of_case = status == STATUS_OK;
    if (status != STATUS_OK && status != STATUS_NOT_FOUND)
        return status;
    add_heading(maker, of_case ? &history : NULL);
    status = STATUS_OK;
    if (maker->story->versions[0].withdrawn) {
        text_add(&maker->text, "WITHDRAWN: ");
        status = case_tell_end(maker->app, &maker->text, &maker->story->versions[0].gone, error);
        end_line(maker);
    }
    if (status == STATUS_OK && maker->story->kind == RECORD_VISIT)
        status = add_signatures(maker, error);
    add_fields(maker);
    if (status == STATUS_OK && of_case && maker->story->kind == RECORD_VISIT)
        status = add_verdicts(maker, &history, error);
    if (status != STATUS_OK)
        return status;
    text_add(&maker->text, "history, newest first");
    end_line(maker);
    return case_story_tell(maker->app, maker->story, maker->lines, error);
}

enum status case_view_record(struct app *app, enum record_kind kind, const struct id *record,
                             struct arena *arena, struct lines *lines, struct error *error)
{
    struct record_story story;
    struct record_maker maker = {.app = app, .story = &story, .arena = arena, .lines = lines};

    enum status status = case_story_read(app, kind, record, arena, &story, error);
    if (status == STATUS_OK)
        status = add_all(&maker, error);
    text_release(&maker.text);
    if (status == STATUS_OK && maker.failed)
        status = error_no_memory(error);
    return status;
}

enum status case_view_current(struct app *app, enum record_kind kind, const struct id *record,
                              struct id *row, struct error *error)
{
    struct arena arena = {0};
    struct record_story story;
    struct text when = {0};

    enum status status = case_story_read(app, kind, record, &arena, &story, error);
    if (status == STATUS_OK && story.versions[0].withdrawn) {
        case_tell_instant(&when, story.versions[0].gone.at);
        status = error_set(error, STATUS_NOT_FOUND, case_section(kind),
                           "This %s was withdrawn on %s: it stays as it was. Enter it anew if it "
                           "is needed after all.",
                           case_section(kind), text_string(&when));
    }
    if (status == STATUS_OK)
        *row = story.versions[0].record->head.id;
    text_release(&when);
    arena_release(&arena);
    return status;
}
