/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Stored verdicts worked out again: by the rows that stood when the verdict was given, the settings
 * it names, and what was entered with it. The chain alone can not see a verdict that was altered
 * and the ledger hashed anew; the rules do, while the rows behind it are as they were.
 *
 * A visit sheet is judged before its visits are written, over the case as it stood and the widths
 * and wear of the sheet (visit_save.c); a form after its rows are (form_live.c). Both are gone
 * through as they were then.
 */
#include <string.h>

#include "springline/app/sentence.h"
#include "springline/core/course.h"
#include "verify_private.h"

/* Every row that a case ever had, of the kinds that the rules read. */
struct past {
    struct store_ever of[RECORD_KIND_COUNT];
};

/* One verdict, and the moment before its row was written. */
struct moment {
    const struct judged *judged;
    const struct visit *visit;
    int64_t through;
    bool sheet; /* came with a visit sheet */
    struct history history;
};

static const enum record_kind ruling[] = {RECORD_CASEFILE,  RECORD_TRAINER, RECORD_EXPANDER,
                                          RECORD_VISIT,     RECORD_WIDTH,   RECORD_WEAR_DAY,
                                          RECORD_WEAR_COUNT};
enum { RULING_COUNT = sizeof ruling / sizeof ruling[0] };

/* ---- the moment ---- */

enum standing_then { ABSENT, PRESENT, TYPED };

/* TYPED: on the sheet beside the history, so without a place in the ledger. */
static enum standing_then standing(const struct moment *moment, enum record_kind kind,
                                   const struct row_head *head, int64_t ended)
{
    bool own = moment->sheet && id_equal(&head->request, &moment->judged->head.request);

    if (own && (kind == RECORD_WIDTH || kind == RECORD_WEAR_COUNT))
        return TYPED;
    if (own && kind == RECORD_VISIT)
        return ABSENT;
    return head->sequence <= moment->through && ended > moment->through ? PRESENT : ABSENT;
}

/* The rows of kind that stood; NULL: no memory. */
static const void *take(const struct moment *moment, enum record_kind kind,
                        const struct store_ever *ever, struct arena *arena, size_t *count)
{
    const size_t size = record_tables[kind].size;
    char *rows = arena_array(arena, ever->count + 1, size);

    *count = 0;
    for (size_t i = 0; i < ever->count && rows != NULL; i++) {
        const void *row = (const char *)ever->rows + i * size;
        char *at = rows + *count * size;
        enum standing_then then = standing(moment, kind, row, ever->ended[i]);

        if (then == ABSENT)
            continue;
        memcpy(at, row, size);
        if (then == TYPED)
            memset(at, 0, sizeof(struct row_head));
        ++*count;
    }
    return rows;
}

static bool take_history(struct moment *moment, const struct past *past, struct arena *arena)
{
    const void *rows[RECORD_KIND_COUNT] = {NULL};
    size_t counts[RECORD_KIND_COUNT] = {0};

    for (size_t i = 0; i < RULING_COUNT; i++) {
        enum record_kind kind = ruling[i];

        rows[kind] = take(moment, kind, &past->of[kind], arena, &counts[kind]);
        if (rows[kind] == NULL)
            return false;
    }
    moment->history =
        (struct history){.casefile = counts[RECORD_CASEFILE] > 0 ? rows[RECORD_CASEFILE] : NULL,
                         .trainers = rows[RECORD_TRAINER],
                         .trainer_count = counts[RECORD_TRAINER],
                         .expanders = rows[RECORD_EXPANDER],
                         .expander_count = counts[RECORD_EXPANDER],
                         .visits = rows[RECORD_VISIT],
                         .visit_count = counts[RECORD_VISIT],
                         .widths = rows[RECORD_WIDTH],
                         .width_count = counts[RECORD_WIDTH],
                         .wear_days = rows[RECORD_WEAR_DAY],
                         .wear_day_count = counts[RECORD_WEAR_DAY],
                         .wear_counts = rows[RECORD_WEAR_COUNT],
                         .wear_count_count = counts[RECORD_WEAR_COUNT]};
    return true;
}

static enum status find_sheet(struct verdict_check *check, struct moment *moment,
                              struct error *error)
{
    struct store_save_told save;

    enum status status = store_read_save(check->app->store, &moment->judged->head.request,
                                         &check->moment, &save, error);
    moment->sheet =
        status == STATUS_OK && save.command != NULL && strcmp(save.command, "visit") == 0;
    return status == STATUS_NOT_FOUND ? STATUS_OK : status;
}

/* The settings it was given under; *held: the store has them. */
static enum status take_settings(struct verdict_check *check, struct moment *moment, bool *held,
                                 struct error *error)
{
    const struct judged *judged = moment->judged;

    if (!id_equal(&check->protocol.head.id, &judged->protocol)) {
        check->protocol.head.id = (struct id){{0}};
        arena_clear(&check->settings);
        enum status status = store_read_row(check->app->store, RECORD_PROTOCOL, &judged->protocol,
                                            &check->settings, &check->protocol, error);
        *held = status == STATUS_OK;
        if (status != STATUS_OK)
            return status == STATUS_NOT_FOUND ? STATUS_OK : status;
    }
    struct protocol *then = arena_alloc(&check->moment, sizeof *then);
    if (then == NULL)
        return error_no_memory(error);
    *then = check->protocol;
    then->width_error = judged->width_error;
    moment->history.protocol = then;
    *held = true;
    return STATUS_OK;
}

/* Is the protocol named the one that governed the case then? */
static enum status governs(struct verdict_check *check, const struct moment *moment, bool *does,
                           struct error *error)
{
    const struct casefile *casefile = moment->history.casefile;
    struct protocol then;

    *does = false;
    if (casefile == NULL)
        return STATUS_OK;
    enum status status = store_read_protocol(check->app->store, casefile->protocol, moment->through,
                                             &check->moment, &then, error);
    *does = status == STATUS_OK && id_equal(&then.head.id, &moment->judged->protocol);
    return status == STATUS_NOT_FOUND ? STATUS_OK : status;
}

/* ---- the verdict ---- */

/* As visit.c asked. */
static void judge_sheet(const struct moment *moment, struct judgement *now)
{
    const struct visit *visit = moment->visit;
    const struct question question = {.arch = visit->arch,
                                      .today = visit->date,
                                      .except = &moment->judged->head.request,
                                      .examination = {.tissue = visit->tissue,
                                                      .hardware = visit->hardware,
                                                      .repaired = visit->repaired,
                                                      .relief = visit->kind == VISIT_RELIEF},
                                      .proposal = {.right = visit->right, .left = visit->left}};

    *now = (struct judgement){.arch = visit->arch, .verdict = VERDICT_HOLD};
    (void)rules_judge(&moment->history, &question, now);
}

static void judge(const struct moment *moment, struct judgement *now)
{
    if (moment->sheet) {
        judge_sheet(moment, now);
        return;
    }
    *now = (struct judgement){.arch = moment->visit->arch};
    (void)course_verdict_now(&moment->history, moment->visit, now);
}

static void add_answer(struct text *out, int32_t verdict, um right, um left)
{
    char first[MILLIMETRE_TEXT_SIZE], second[MILLIMETRE_TEXT_SIZE];
    const char *word = word_text(&words_verdict, (int)verdict);

    text_addf(out, "%s right %s left %s mm", word[0] == '\0' ? "no verdict" : word,
              millimetre_to_text(right, first), millimetre_to_text(left, second));
}

static void add_window(struct text *out, day from, day to)
{
    if (from == DAY_NONE && to == DAY_NONE) {
        text_add(out, "no next visit");
    } else {
        char first[DAY_TEXT_SIZE], last[DAY_TEXT_SIZE];

        text_addf(out, "next visit %s to %s", day_to_text(from, first), day_to_text(to, last));
    }
}

static bool same_answer(const struct judged *judged, const struct judgement *now)
{
    return judged->verdict == (int32_t)now->verdict &&
           judged->permitted_right == now->permitted_right &&
           judged->permitted_left == now->permitted_left;
}

/* Appends "; " between, and what differs; what is left as it was where nothing does. */
static void add_difference(struct text *what, const struct judged *judged,
                           const struct judgement *now)
{
    if (!same_answer(judged, now)) {
        text_add(what, what->length > 0 ? "; " : "");
        add_answer(what, judged->verdict, judged->permitted_right, judged->permitted_left);
        text_add(what, " is stored, ");
        add_answer(what, (int32_t)now->verdict, now->permitted_right, now->permitted_left);
        text_add(what, " follows from the rows of then");
    }
    if (judged->next_from != now->next_from || judged->next_to != now->next_to) {
        text_add(what, what->length > 0 ? "; " : "");
        add_window(what, judged->next_from, judged->next_to);
        text_add(what, " is stored, ");
        add_window(what, now->next_from, now->next_to);
        text_add(what, " follows from the rows of then");
    }
}

/* *same: the rules, sides, limits and numbers; *worded: but not the words. */
static void compare_reasons(const char *stored, const struct judgement *now, bool *same,
                            bool *worded, bool *failed)
{
    struct text fresh = {0}, bare_stored = {0}, bare_fresh = {0};

    sentence_findings_json(&fresh, now);
    sentence_bare(stored, &bare_stored);
    sentence_bare(text_string(&fresh), &bare_fresh);
    *failed = fresh.failed || bare_stored.failed || bare_fresh.failed;
    *same = strcmp(text_string(&bare_stored), text_string(&bare_fresh)) == 0;
    *worded = *same && strcmp(stored == NULL ? "" : stored, text_string(&fresh)) != 0;
    text_release(&fresh);
    text_release(&bare_stored);
    text_release(&bare_fresh);
}

/* ---- what is said of it ---- */

static void add_named(struct text *out, const char *number, const struct visit *visit)
{
    char date[DAY_TEXT_SIZE];

    text_add_shown(out, number);
    text_addf(out, ", visit of %s %s: ", day_to_text(visit->date, date),
              word_text(&words_arch, (int)visit->arch));
}

static void tell_wrong(struct verdict_check *check, const char *number, const struct moment *moment,
                       const struct text *what)
{
    if (check->wrong++ >= VERIFY_LINES_SHOWN)
        return;
    text_add(check->out, "verdict of ");
    add_named(check->out, number, moment->visit);
    text_addf(check->out, "%s\n", text_string(what));
}

static void tell_aside(struct verdict_check *check, const char *number, const struct moment *moment,
                       const struct text *what, size_t told)
{
    if (told >= VERIFY_ASIDE_SHOWN)
        return;
    text_add(&check->aside, "no damage, verdict of ");
    add_named(&check->aside, number, moment->visit);
    text_addf(&check->aside, "%s\n", text_string(what));
}

/* Of another version of the rules: what differs may be the rules. */
static void weigh_other(struct verdict_check *check, const char *number,
                        const struct moment *moment, const struct judgement *now, struct text *what)
{
    check->other_rules++;
    text_addf(what, "given by rules version %d, and by those of now (%d) ",
              (int)moment->judged->rules_version, (int)RULES_VERSION);
    const size_t begun = what->length;
    if (!same_answer(moment->judged, now))
        add_answer(what, (int32_t)now->verdict, now->permitted_right, now->permitted_left);
    if (what->length > begun)
        tell_aside(check, number, moment, what, check->other_answers++);
}

static enum status weigh(struct verdict_check *check, const char *number,
                         const struct moment *moment, bool governed, struct error *error)
{
    const struct judged *judged = moment->judged;
    struct judgement now;
    struct text what = {0};
    bool same, worded, failed;

    judge(moment, &now);
    compare_reasons(judged->findings, &now, &same, &worded, &failed);
    if (judged->rules_version != RULES_VERSION) {
        weigh_other(check, number, moment, &now, &what);
    } else {
        add_difference(&what, judged, &now);
        if (!governed)
            text_addf(&what, "%sits protocol is not the one the case had then",
                      what.length > 0 ? "; " : "");
        if (judged->width_error != check->protocol.width_error)
            text_addf(&what, "%sits width error is not that of its protocol",
                      what.length > 0 ? "; " : "");
        if (!same)
            text_addf(&what, "%sits reasons are not those that follow from the rows of then",
                      what.length > 0 ? "; " : "");
        if (what.length > 0) {
            tell_wrong(check, number, moment, &what);
        } else {
            check->same++;
            text_add(&what, "a reason is worded otherwise than this version words it");
            if (worded)
                tell_aside(check, number, moment, &what, check->worded++);
        }
    }
    failed = failed || what.failed;
    text_release(&what);
    return failed ? error_no_memory(error) : STATUS_OK;
}

static const struct visit *visit_named(const struct past *past, const struct id *row)
{
    const struct visit *visits = past->of[RECORD_VISIT].rows;

    for (size_t i = 0; i < past->of[RECORD_VISIT].count; i++) {
        if (id_equal(&visits[i].head.id, row))
            return &visits[i];
    }
    return NULL;
}

static enum status check_verdict(struct verdict_check *check, const struct past *past,
                                 const struct judged *judged, const char *number,
                                 struct error *error)
{
    struct moment moment = {.judged = judged,
                            .visit = visit_named(past, &judged->visit),
                            .through = judged->head.sequence - 1};
    bool held = false, governed = false;

    arena_clear(&check->moment);
    if (moment.visit == NULL) /* the verdicts were found through the visits of the case */
        return error_set(error, STATUS_DAMAGED, "judged", "A verdict has no visit.");
    enum status status = find_sheet(check, &moment, error);
    if (status == STATUS_OK && !take_history(&moment, past, &check->moment))
        status = error_no_memory(error);
    if (status == STATUS_OK)
        status = take_settings(check, &moment, &held, error);
    if (status == STATUS_OK && !held)
        return STATUS_OK; /* a finding of the walk along the ledger */
    if (status == STATUS_OK)
        status = governs(check, &moment, &governed, error);
    return status == STATUS_OK ? weigh(check, number, &moment, governed, error) : status;
}

enum status verify_verdicts(struct verdict_check *check, const struct id *casefile,
                            const char *number, struct error *error)
{
    struct store *store = check->app->store;
    struct past past = {0};
    const struct store_ever *judged = &past.of[RECORD_JUDGED];

    arena_clear(&check->rows);
    enum status status = store_read_ever(store, RECORD_JUDGED, casefile, &check->rows,
                                         &past.of[RECORD_JUDGED], error);
    for (size_t i = 0; i < RULING_COUNT && status == STATUS_OK && judged->count > 0; i++)
        status =
            store_read_ever(store, ruling[i], casefile, &check->rows, &past.of[ruling[i]], error);
    for (size_t i = 0; i < judged->count && status == STATUS_OK; i++)
        status =
            check_verdict(check, &past, (const struct judged *)judged->rows + i, number, error);
    return status;
}

void verify_verdicts_tell(struct verdict_check *check)
{
    struct text *out = check->out;

    if (check->wrong > VERIFY_LINES_SHOWN)
        text_addf(out, "and %zu verdicts more\n", check->wrong - VERIFY_LINES_SHOWN);
    text_append(out, text_string(&check->aside), check->aside.length);
    if (check->other_rules > 0)
        text_addf(out,
                  "verdicts of another version of the rules: %zu, and of %zu the rules of now give "
                  "another answer\n",
                  check->other_rules, check->other_answers);
    if (check->worded > 0)
        text_addf(out, "verdicts with a reason in other words: %zu\n", check->worded);
    out->failed = out->failed || check->aside.failed;
}

void verify_verdicts_release(struct verdict_check *check)
{
    arena_release(&check->rows);
    arena_release(&check->moment);
    arena_release(&check->settings);
    text_release(&check->aside);
}
