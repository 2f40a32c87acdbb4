/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The rows of a case: each record once, filtered by what is typed, sorted by section and day. */
#include <stdlib.h>
#include <string.h>

#include "case_private.h"
#include "springline/app/grow.h"
#include "springline/app/lists_find.h"
#include "springline/core/tooth.h"

enum { WITHDRAWN_LETTERS_LEAST = 4, DATE_DIGITS_LEAST = 4 };

static const char withdrawn_word[] = "withdrawn", corrected_word[] = "corrected";

/* Sections in the order in which they stand. */
static int section_place(enum record_kind kind)
{
    static const enum record_kind order[] = {
        RECORD_EXPANDER,   RECORD_TRAINER,    RECORD_VISIT,        RECORD_WIDTH,
        RECORD_PLAN,       RECORD_ARCH_DEPTH, RECORD_ARCH_SEGMENT, RECORD_TOOTH_WIDTH,
        RECORD_WEAR_COUNT, RECORD_CONTACT,    RECORD_BOOKING,      RECORD_PATIENT,
        RECORD_CASEFILE,   RECORD_PROTOCOL,   RECORD_WEAR_DAY};
    size_t place = 0;

    while (place < sizeof order / sizeof *order && order[place] != kind)
        place++;
    return (int)place;
}

/* "2026-10-28", "20261028", "10-28": who looks for a day wants all that was ever recorded of it. */
static bool is_date(const char *word)
{
    size_t digits = 0, length = strlen(word);

    for (size_t i = 0; i < length; i++)
        digits += word[i] >= '0' && word[i] <= '9';
    return digits >= DATE_DIGITS_LEAST && strspn(word, "0123456789-") == length;
}

/* What a kind is called where no more than eight letters have room. */
static const char *brief_section(enum record_kind kind)
{
    switch ((int)kind) {
    case RECORD_TOOTH_WIDTH:
        return "tooth";
    case RECORD_ARCH_DEPTH:
        return "depth";
    default:
        return case_section(kind);
    }
}

static bool asks_withdrawn(const char *folded)
{
    char word[sizeof withdrawn_word + 1];

    while (lists_next_word(&folded, word, sizeof word)) {
        size_t length = strlen(word);
        if (is_date(word) ||
            (length >= WITHDRAWN_LETTERS_LEAST && strncmp(word, withdrawn_word, length) == 0))
            return true;
    }
    return false;
}

static const char *keep_text(struct row_maker *maker, struct text *text)
{
    const char *kept =
        text->failed ? NULL : arena_text(maker->arena, text_string(text), text->length);

    maker->failed = maker->failed || kept == NULL;
    text_clear(text);
    return kept;
}

static const char *keep_date(struct row_maker *maker, day date)
{
    char text[DAY_TEXT_SIZE];

    day_to_text(date, text);
    const char *kept = arena_text(maker->arena, text, strlen(text));
    maker->failed = maker->failed || kept == NULL;
    return kept;
}

/* "20261030": on a keypad no hyphen is typed into a search. */
static const char *add_digits(const char *date, char digits[DAY_TEXT_SIZE])
{
    size_t length = 0;

    for (; date != NULL && *date != '\0' && length < DAY_TEXT_SIZE - 1; date++) {
        if (*date != '-')
            digits[length++] = *date;
    }
    digits[length] = '\0';
    return digits;
}

/* An event has one version until it is corrected. What takes its course has more, and of an
 * expander and a trainer a reason only where a recorded value was changed; elsewhere forms give
 * reasons of their own, and the history of the record tells. */
static bool is_corrected(enum record_kind kind, const struct row_head *head)
{
    bool hardware = kind == RECORD_EXPANDER || kind == RECORD_TRAINER;

    return head->version > 1 && (!record_tables[kind].course ||
                                 (hardware && head->reason != NULL && head->reason[0] != '\0'));
}

/* The word takes the place of the mark where there is none, or none but the change of a width; else
 * it stands before the text. When and why: in maker->more. Returns the mark. */
static const char *mark_corrected(struct row_maker *maker, enum record_kind kind,
                                  const struct row_head *head, const char *mark)
{
    bool change = kind == RECORD_WIDTH && (mark[0] == '+' || mark[0] == '-');
    bool gives_way = mark[0] == '\0' || (kind == RECORD_WIDTH && strcmp(mark, withdrawn_word) != 0);
    struct text more = {0}, what = {0};

    text_addf(&more, "%s%s%s%s%s ", change ? mark : "", change ? " " : "",
              text_string(&maker->more), maker->more.length > 0 ? "; " : "", corrected_word);
    case_tell_instant(&more, head->recorded_at);
    if (head->reason != NULL && head->reason[0] != '\0') {
        text_add(&more, ": ");
        text_add_shown(&more, head->reason);
    }
    text_addf(&what, "%s%s%s", gives_way ? "" : corrected_word, gives_way ? "" : ": ",
              text_string(&maker->what));
    maker->failed = maker->failed || maker->more.failed || maker->what.failed;
    text_release(&maker->more);
    text_release(&maker->what);
    maker->more = more;
    maker->what = what;
    return gives_way ? corrected_word : mark;
}

struct sorted_row *case_add_row(struct row_maker *maker, enum record_kind kind, const void *record,
                                const char *mark, bool trouble)
{
    const struct row_head *head = record;
    const char *section = maker->section == NULL ? brief_section(kind) : maker->section;
    day date = case_day_of(kind, record);

    if (is_corrected(kind, head))
        mark = mark_corrected(maker, kind, head, mark);
    struct sorted_row made = {.row = {.section = section,
                                      .record = kind,
                                      .row = head->id,
                                      .id = head->record,
                                      .date = keep_date(maker, date),
                                      .what = keep_text(maker, &maker->what),
                                      .mark = mark,
                                      .more = keep_text(maker, &maker->more),
                                      .trouble = trouble,
                                      .from = DAY_NONE,
                                      .to = DAY_NONE},
                              .section = section_place(kind),
                              .newness = date,
                              .order = head->sequence};

    char digits[DAY_TEXT_SIZE];
    const char *const texts[] = {made.row.section, made.row.date, made.row.what, mark,
                                 add_digits(made.row.date, digits)};

    if (maker->failed || !lists_found(texts, sizeof texts / sizeof *texts, maker->folded))
        return NULL;
    if (!app_grow(maker->arena, (void **)&maker->rows, maker->count, &maker->capacity,
                  sizeof *maker->rows)) {
        maker->failed = true;
        return NULL;
    }
    maker->rows[maker->count] = made;
    return &maker->rows[maker->count++];
}

/* ---- the plain kinds ---- */

static void add_plain(struct row_maker *maker, enum record_kind kind, const void *record,
                      const char *mark, bool trouble)
{
    case_tell(&maker->what, kind, record);
    case_add_row(maker, kind, record, mark, trouble);
}

static void add_expanders(struct row_maker *maker)
{
    day today = maker->app->today;
    bool closed = maker->state->safety_from[SAFETY_CLOSED_WITH_EXPANDER] != DAY_NONE;

    for (size_t i = 0; i < maker->history->expander_count; i++) {
        const struct expander *expander = &maker->history->expanders[i];
        bool out = expander->out_on != DAY_NONE && expander->out_on <= today;
        bool placed = expander->fitted_on != DAY_NONE && !out;
        struct text checks = {0};
        bool passed = told_checks(&checks, expander);
        const char *mark = out ? "out" : placed ? "in place" : "not fitted";
        if (placed && !passed) {
            mark = "FIT CHECKS";
            text_addf(&maker->more, "fit checks: %s", text_string(&checks));
        }
        text_release(&checks);
        add_plain(maker, RECORD_EXPANDER, expander, mark, placed && (!passed || closed));
    }
}

static void add_trainers(struct row_maker *maker)
{
    for (size_t i = 0; i < maker->history->trainer_count; i++) {
        const struct trainer *trainer = &maker->history->trainers[i];
        bool ended = trainer->ended_on != DAY_NONE && trainer->ended_on <= maker->app->today;
        add_plain(maker, RECORD_TRAINER, trainer,
                  ended ? word_text(&words_trainer_end, (int)trainer->ended_reason) : "current",
                  false);
    }
}

static void add_desk(struct row_maker *maker)
{
    const struct history *history = maker->history;

    for (size_t i = 0; i < history->contact_count; i++)
        add_plain(maker, RECORD_CONTACT, &history->contacts[i],
                  history->contacts[i].cleared == ANSWER_YES ? "set aside" : "", false);
    for (size_t i = 0; i < history->booking_count; i++)
        add_plain(maker, RECORD_BOOKING, &history->bookings[i],
                  word_text(&words_booking_state, (int)history->bookings[i].state), false);
}

/* A row among those of the same tooth or arch. */
static void add_grouped(struct row_maker *maker, enum record_kind kind, const void *record,
                        int group)
{
    case_tell(&maker->what, kind, record);
    struct sorted_row *row = case_add_row(maker, kind, record, "", false);
    if (row != NULL)
        row->group = group;
}

static void add_assessment(struct row_maker *maker)
{
    const struct assessment *all = maker->assessment;

    for (size_t i = 0; i < all->plan_count; i++)
        add_grouped(maker, RECORD_PLAN, &all->plans[i], (int)all->plans[i].arch);
    for (size_t i = 0; i < all->depth_count; i++)
        add_grouped(maker, RECORD_ARCH_DEPTH, &all->depths[i], (int)all->depths[i].arch);
    for (size_t i = 0; i < all->segment_count; i++)
        add_grouped(maker, RECORD_ARCH_SEGMENT, &all->segments[i], (int)all->segments[i].arch);
    for (size_t i = 0; i < all->tooth_width_count; i++)
        add_grouped(maker, RECORD_TOOTH_WIDTH, &all->tooth_widths[i], all->tooth_widths[i].tooth);
}

static void add_party(struct row_maker *maker)
{
    const struct history *history = maker->history;
    const char *own = history->casefile->protocol;

    add_plain(maker, RECORD_PATIENT, history->patient, "", false);
    add_plain(maker, RECORD_CASEFILE, history->casefile, "", false);
    if (own != NULL && own[0] != '\0') {
        text_add(&maker->what, "of this case: ");
        add_plain(maker, RECORD_PROTOCOL, history->protocol, "own", false);
    }
}

/* ---- what was withdrawn ---- */

struct withdrawn_reader {
    struct row_maker *maker;
    enum record_kind kind;
};

static enum status add_withdrawn(void *context, const void *record,
                                 const struct store_withdrawn *withdrawn, struct error *error)
{
    struct withdrawn_reader *reader = context;
    struct row_maker *maker = reader->maker;

    (void)error;
    if (withdrawn == NULL)
        return STATUS_OK;
    text_add(&maker->more, "withdrawn ");
    case_tell_instant(&maker->more, withdrawn->at);
    text_add(&maker->more, ": ");
    text_add_shown(&maker->more, withdrawn->reason == NULL ? "" : withdrawn->reason);
    add_plain(maker, reader->kind, record, withdrawn_word, false);
    return STATUS_OK;
}

static enum status read_withdrawn(struct row_maker *maker, struct error *error)
{
    static const enum record_kind kinds[] = {
        RECORD_EXPANDER,    RECORD_TRAINER,      RECORD_VISIT,      RECORD_WIDTH,
        RECORD_WEAR_DAY,    RECORD_WEAR_COUNT,   RECORD_CONTACT,    RECORD_BOOKING,
        RECORD_TOOTH_WIDTH, RECORD_ARCH_SEGMENT, RECORD_ARCH_DEPTH, RECORD_PLAN};
    const struct id *casefile = &maker->history->casefile->head.record;

    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
        struct withdrawn_reader reader = {.maker = maker, .kind = kinds[i]};
        enum status status = store_each_withdrawn(maker->app->store, kinds[i], casefile,
                                                  add_withdrawn, &reader, error);
        if (status != STATUS_OK)
            return status;
    }
    return STATUS_OK;
}

/* ---- all of them ---- */

static int compare_rows(const void *a, const void *b)
{
    const struct sorted_row *one = a, *other = b;

    if (one->section != other->section)
        return one->section < other->section ? -1 : 1;
    if (one->group != other->group)
        return one->group < other->group ? -1 : 1;
    if (one->newness != other->newness)
        return one->newness > other->newness ? -1 : 1;
    return one->order > other->order ? -1 : one->order < other->order;
}

static bool keep_rows(struct row_maker *maker, struct case_view *view)
{
    if (maker->failed)
        return false;
    view->count = maker->count;
    view->rows = arena_array(maker->arena, maker->count, sizeof *view->rows);
    if (maker->count > 0)
        qsort(maker->rows, maker->count, sizeof *maker->rows, compare_rows);
    for (size_t i = 0; i < maker->count && view->rows != NULL; i++)
        view->rows[i] = maker->rows[i].row;
    return view->rows != NULL;
}

enum status case_rows_make(struct row_maker *maker, struct case_view *view, struct error *error)
{
    enum status status = STATUS_OK;

    maker->withdrawn = asks_withdrawn(maker->folded);
    add_expanders(maker);
    add_trainers(maker);
    case_add_visits(maker);
    case_add_widths(maker);
    case_add_stability(maker);
    case_add_trends(maker);
    case_add_wear(maker);
    add_assessment(maker);
    add_desk(maker);
    add_party(maker);
    if (maker->withdrawn)
        status = read_withdrawn(maker, error);
    if (status == STATUS_OK && !keep_rows(maker, view))
        status = error_no_memory(error);
    text_release(&maker->what);
    text_release(&maker->more);
    return status;
}
