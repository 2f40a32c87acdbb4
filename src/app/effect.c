/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Stored verdicts compared with what the record, as it stands, gives. */
#include "springline/app/effect.h"

#include <ctype.h>
#include <stdlib.h>

#include "springline/core/course.h"

/* A stored verdict and its visit. */
struct pair {
    const struct visit *visit;
    const struct judged *judged;
};

/* What one comparison works with. */
struct comparison {
    struct app *app;
    struct history then; /* the history under the settings of one stored verdict */
    struct protocol protocol;
    struct id read; /* the protocol row that was read last */
    struct arena arena;
    struct judgement now;
};

static bool usable(const struct judged *judged)
{
    return judged->rules_version == RULES_VERSION && judged->verdict >= VERDICT_PROCEED &&
           judged->verdict <= VERDICT_REST;
}

/* The newest usable verdict stored with the visit; NULL: none. */
static const struct judged *stored_with(const struct history *history, const struct visit *visit)
{
    const struct judged *newest = NULL;

    for (size_t i = 0; i < history->judged_count; i++) {
        const struct judged *judged = &history->judged[i];
        if (judged_with(judged, visit) && usable(judged) &&
            (newest == NULL || judged->head.sequence > newest->head.sequence))
            newest = judged;
    }
    return newest;
}

/* The settings that the verdict was given under, the width error of then included. */
static enum status take_settings(struct comparison *comparison, const struct judged *judged,
                                 struct error *error)
{
    if (!id_equal(&comparison->read, &judged->protocol)) {
        enum status status =
            store_read_row(comparison->app->store, RECORD_PROTOCOL, &judged->protocol,
                           &comparison->arena, &comparison->protocol, error);
        if (status == STATUS_NOT_FOUND)
            return error_set(error, STATUS_DAMAGED, "judged",
                             "A stored verdict names a protocol that the store does not hold; run "
                             "springline verify.");
        if (status != STATUS_OK)
            return status;
        comparison->read = judged->protocol;
    }
    comparison->protocol.width_error = judged->width_error;
    comparison->then.protocol = &comparison->protocol;
    return STATUS_OK;
}

/* Judges the visit again into comparison->now; where that can not be done, no verdict is what the
 * record gives. */
static enum status judge(struct comparison *comparison, const struct pair *pair,
                         struct error *error)
{
    enum status status = take_settings(comparison, pair->judged, error);

    if (status != STATUS_OK)
        return status;
    comparison->now = (struct judgement){.arch = pair->visit->arch};
    (void)course_verdict_now(&comparison->then, pair->visit, &comparison->now);
    return STATUS_OK;
}

static bool differs(const struct judged *judged, const struct judgement *now)
{
    return (int32_t)now->verdict != judged->verdict ||
           now->permitted_right != judged->permitted_right ||
           now->permitted_left != judged->permitted_left;
}

static int compare_pairs(const void *a, const void *b)
{
    const struct visit *first = ((const struct pair *)a)->visit;
    const struct visit *second = ((const struct pair *)b)->visit;

    if (first->date != second->date)
        return first->date < second->date ? -1 : 1;
    if (first->arch != second->arch)
        return first->arch < second->arch ? -1 : 1;
    return id_compare(&first->head.record, &second->head.record);
}

/* The visits of the history whose answer is another one, in order. */
static enum status find_pairs(struct comparison *comparison, struct pair *pairs, size_t *count,
                              struct error *error)
{
    const struct history *history = &comparison->then;
    enum status status = STATUS_OK;

    for (size_t i = 0; i < history->visit_count && status == STATUS_OK; i++) {
        struct pair pair = {.visit = &history->visits[i]};
        pair.judged = stored_with(history, pair.visit);
        if (pair.judged == NULL)
            continue;
        status = judge(comparison, &pair, error);
        if (status == STATUS_OK && differs(pair.judged, &comparison->now))
            pairs[(*count)++] = pair;
    }
    if (status == STATUS_OK && *count > 0)
        qsort(pairs, *count, sizeof *pairs, compare_pairs);
    return status;
}

/* A judgement is large: only those that are kept get room in the caller's arena. */
static enum status keep_pairs(struct comparison *comparison, const struct pair *pairs, size_t count,
                              struct arena *arena, struct effects *effects, struct error *error)
{
    struct effect_row *rows = arena_array(arena, count, sizeof *rows);
    enum status status = rows == NULL ? error_no_memory(error) : STATUS_OK;

    for (size_t i = 0; i < count && status == STATUS_OK; i++) {
        status = judge(comparison, &pairs[i], error);
        rows[i] = (struct effect_row){
            .visit = pairs[i].visit, .judged = pairs[i].judged, .now = comparison->now};
    }
    if (status == STATUS_OK)
        *effects = (struct effects){.rows = rows, .count = count};
    return status;
}

enum status effect_marks(struct app *app, const struct history *history, struct arena *arena,
                         struct effects *effects, struct error *error)
{
    struct comparison *comparison;
    size_t count = 0;

    *effects = (struct effects){0};
    if (history->judged_count == 0)
        return STATUS_OK;
    comparison = arena_alloc(arena, sizeof *comparison);
    struct pair *pairs = arena_array(arena, history->visit_count, sizeof *pairs);
    if (comparison == NULL || pairs == NULL)
        return error_no_memory(error);
    *comparison = (struct comparison){.app = app, .then = *history};
    enum status status = find_pairs(comparison, pairs, &count, error);
    if (status == STATUS_OK)
        status = keep_pairs(comparison, pairs, count, arena, effects, error);
    arena_release(&comparison->arena);
    for (size_t i = 0; i < effects->count; i++)
        effects->rows[i].now.expander = NULL; /* may be a copy of then that is gone by now */
    return status;
}

static bool same_effect(const struct effect_row *a, const struct effect_row *b)
{
    return id_equal(&a->visit->head.record, &b->visit->head.record) &&
           a->now.verdict == b->now.verdict && a->now.permitted_right == b->now.permitted_right &&
           a->now.permitted_left == b->now.permitted_left;
}

static bool holds(const struct effects *effects, const struct effect_row *row)
{
    for (size_t i = 0; i < effects->count; i++) {
        if (same_effect(&effects->rows[i], row))
            return true;
    }
    return false;
}

enum status effect_added(const struct effects *before, const struct effects *after,
                         struct arena *arena, struct effects *added, struct error *error)
{
    size_t count = 0;

    *added = (struct effects){0};
    for (size_t i = 0; i < after->count; i++)
        count += holds(before, &after->rows[i]) ? 0 : 1;
    added->rows = arena_array(arena, count, sizeof *added->rows);
    if (added->rows == NULL)
        return error_no_memory(error);
    for (size_t i = 0; i < after->count; i++) {
        if (!holds(before, &after->rows[i]))
            added->rows[added->count++] = after->rows[i];
    }
    return STATUS_OK;
}

static void add_word(struct text *out, int verdict)
{
    const char *word = word_text(&words_verdict, verdict);

    if (word[0] == '\0')
        text_add(out, "NO VERDICT");
    for (; *word != '\0'; word++)
        text_add_byte(out, (char)toupper((unsigned char)*word));
}

static void add_amounts(struct text *out, um right, um left)
{
    char first[MILLIMETRE_TEXT_SIZE], second[MILLIMETRE_TEXT_SIZE];

    text_addf(out, " right %s left %s mm", millimetre_to_text(right, first),
              millimetre_to_text(left, second));
}

void effect_stored(struct text *out, const struct effect_row *row)
{
    add_word(out, row->judged->verdict);
    if (row->judged->verdict == (int32_t)row->now.verdict)
        add_amounts(out, row->judged->permitted_right, row->judged->permitted_left);
}

void effect_now(struct text *out, const struct effect_row *row)
{
    add_word(out, (int)row->now.verdict);
    if (row->judged->verdict == (int32_t)row->now.verdict)
        add_amounts(out, row->now.permitted_right, row->now.permitted_left);
}

void effect_tell(struct text *out, const struct effect_row *row)
{
    char date[DAY_TEXT_SIZE];

    text_addf(out, "%s %s: ", day_to_text(row->visit->date, date),
              word_text(&words_arch, (int)row->visit->arch));
    effect_stored(out, row);
    text_add(out, " was stored, by the record as it stands it is ");
    effect_now(out, row);
}
