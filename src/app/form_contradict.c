/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What a form may not say, in the words of a form. The checks are those of an import; their
 * sentences speak of columns and files, so what a person can do about it here is said here.
 */
#include <stdio.h>
#include <string.h>

#include "form_engine.h"

enum { FINDINGS_KEPT = 32, DAYS_NAMED = 4 };

struct contradiction {
    struct id record;
    enum case_fault fault;
    const char *column;
    struct error error;
};
struct contradictions {
    struct contradiction rows[FINDINGS_KEPT];
    size_t count; /* those beyond the room are not kept: one is enough to refuse */
};

static void keep(void *context, const struct case_finding *finding)
{
    struct contradictions *kept = context;

    if (kept->count == FINDINGS_KEPT)
        return;
    struct contradiction *row = &kept->rows[kept->count++];
    *row = (struct contradiction){
        .record = finding->head->record, .fault = finding->fault, .column = finding->column};
    (void)error_set(&row->error, STATUS_INPUT, finding->column, "%s", finding->sentence);
}

static bool known(const struct contradictions *before, const struct contradiction *row)
{
    for (size_t i = 0; i < before->count; i++) {
        if (id_equal(&before->rows[i].record, &row->record) &&
            strcmp(before->rows[i].column, row->column) == 0)
            return true;
    }
    return false;
}

/* Leaves only those of after that before did not have. */
static void leave_new(const struct contradictions *before, struct contradictions *after)
{
    size_t count = 0;

    for (size_t i = 0; i < after->count; i++) {
        if (!known(before, &after->rows[i]))
            after->rows[count++] = after->rows[i];
    }
    after->count = count;
}

/* ---- columns by their labels ---- */

static int slot_of(const struct form *form, const struct id *record)
{
    for (int i = 0; i < FORM_SLOTS; i++) {
        const struct form_slot *slot = &form_inner(form)->slots[i];
        if (slot->record < RECORD_KIND_COUNT && id_equal(&slot->now.head.record, record))
            return i;
    }
    for (int i = 0; i < FORM_SLOTS; i++) { /* a new one got its number while it was saved */
        const struct form_slot *slot = &form_inner(form)->slots[i];
        if (!slot->present && form_slot_written(slot))
            return i;
    }
    return 0;
}

/* Is the word a column of the record that no sentence holds by chance? */
static bool is_column(enum record_kind kind, const char *word)
{
    if (kind >= RECORD_KIND_COUNT || kind == RECORD_PROTOCOL || strchr(word, '_') == NULL)
        return false;
    for (size_t i = 0; i < record_tables[kind].field_count; i++) {
        if (strcmp(record_tables[kind].fields[i].name, word) == 0)
            return true;
    }
    return false;
}

static void add_column(struct text *out, const struct form *form, int slot, const char *word)
{
    int index = form_index(form, slot, word);

    text_add(out, "\"");
    if (index >= 0)
        text_add(out, form->fields[index].label);
    for (; index < 0 && *word != '\0'; word++)
        text_add_byte(out, *word == '_' ? ' ' : *word);
    text_add(out, "\"");
}

void form_name_fields(const struct form *form, int slot, struct error *error)
{
    static const char letters[] = "abcdefghijklmnopqrstuvwxyz_0123456789";
    enum record_kind kind = form_inner(form)->slots[slot].record;
    struct text told = {0};
    char word[40];

    for (const char *at = error->sentence; *at != '\0';) {
        size_t length = strspn(at, letters);
        size_t taken = length == 0 ? 1 : length;
        snprintf(word, sizeof word, "%.*s", length < sizeof word ? (int)length : 0, at);
        if (is_column(kind, word))
            add_column(&told, form, slot, word);
        else
            text_append(&told, at, taken);
        at += taken;
    }
    if (!told.failed)
        form_cut(text_string(&told), error->sentence, sizeof error->sentence);
    text_release(&told);
}

/* ---- what was entered ---- */

static enum status refuse_entered(const struct form *form, const struct history *after,
                                  const struct contradiction *row, struct error *error)
{
    char opened[DAY_TEXT_SIZE];
    struct error own = row->error;

    if (row->fault == CASE_NEVER_FITTED)
        (void)error_set(&own, STATUS_INPUT, row->column,
                        "No expander of this arch was fitted by what is recorded; fill its fit "
                        "sheet first, or, if this was done at another practice, record it as given "
                        "elsewhere.");
    else if (row->fault == CASE_BEFORE_OPENED)
        (void)error_set(&own, STATUS_INPUT, row->column,
                        "The visit lies before the case was opened (%s); what was done at another "
                        "practice is recorded as given elsewhere.",
                        day_to_text(after->casefile->opened, opened));
    form_name_fields(form, slot_of(form, &row->record), &own);
    if (error != NULL)
        *error = own;
    return STATUS_INPUT;
}

/* ---- what stood on it ---- */

/* The day of the visit; DAY_NONE: it is none. */
static day visit_day(const struct history *history, const struct id *record)
{
    for (size_t i = 0; i < history->visit_count; i++) {
        if (id_equal(&history->visits[i].head.record, record))
            return history->visits[i].date;
    }
    return DAY_NONE;
}

/* The days of the visits that stood on it, the oldest first; each once. Returns how many. */
static size_t days_of(const struct contradictions *found, const struct history *history,
                      enum case_fault fault, bool any, day days[FINDINGS_KEPT])
{
    size_t count = 0;

    for (size_t i = 0; i < found->count; i++) {
        day date = visit_day(history, &found->rows[i].record);
        size_t at = 0;
        if (date == DAY_NONE || (!any && found->rows[i].fault != fault))
            continue;
        while (at < count && days[at] < date)
            at++;
        if (at < count && days[at] == date)
            continue;
        memmove(&days[at + 1], &days[at], (count++ - at) * sizeof *days);
        days[at] = date;
    }
    return count;
}

/* "The visit of 2026-09-02", "The visits of 2026-09-02, 2026-10-01 and 3 more". */
static void add_visits(struct text *out, const day *days, size_t count)
{
    size_t named = count <= DAYS_NAMED ? count : DAYS_NAMED;
    char date[DAY_TEXT_SIZE];

    text_add(out, count == 1 ? "The visit of " : "The visits of ");
    for (size_t i = 0; i < named; i++)
        text_addf(out, "%s%s",
                  i == 0                             ? ""
                  : i + 1 == named && named == count ? " and "
                                                     : ", ",
                  day_to_text(days[i], date));
    if (named < count)
        text_addf(out, " and %zu more", count - named);
}

/* What is then wrong with a visit, and the field of the form to blame. */
struct standing_on {
    const char *column, *wrong;
};

static struct standing_on stood_on(enum case_fault fault)
{
    switch (fault) {
    case CASE_BEFORE_OPENED:
        return (struct standing_on){"opened", "would lie before the case was opened"};
    case CASE_BEFORE_FIT:
        return (struct standing_on){"fitted_on", "would lie before the fit of the expander"};
    case CASE_AFTER_OUT:
        return (struct standing_on){"out_on", "would lie after the expander was taken out"};
    case CASE_NEVER_FITTED:
        return (struct standing_on){"fitted_on", "would have no expander in the arch"};
    case CASE_AMOUNT_MISSING:
        return (struct standing_on){"sides", "would lack the amount of a side in plan"};
    case CASE_BEFORE_BORN:
    case CASE_TRAINERS_OVERLAP:
    case CASE_PLACE_TAKEN:
        break;
    }
    return (struct standing_on){"", ""};
}

static enum status refuse_stood(const struct form *form, const struct history *after,
                                const struct contradictions *found, struct error *error)
{
    bool withdrawn = form_withdraws(form) && form_inner(form)->slots[0].record == RECORD_EXPANDER;
    struct standing_on on = stood_on(found->rows[0].fault);
    day days[FINDINGS_KEPT];
    struct text told = {0};

    size_t count = days_of(found, after, found->rows[0].fault, withdrawn, days);
    if (count == 0)
        return refuse_entered(form, after, &found->rows[0], error);
    add_visits(&told, days, count);
    const char *them = count == 1 ? "it" : "them";
    if (withdrawn)
        text_addf(&told,
                  " %s on this expander; withdraw or correct %s first, or correct the expander "
                  "instead.",
                  count == 1 ? "stands" : "stand", them);
    else
        text_addf(&told, " %s; correct or withdraw %s first, or check what is entered here.",
                  on.wrong, them);
    enum status status = told.failed
                             ? error_no_memory(error)
                             : error_set(error, STATUS_INPUT, on.column, "%s", text_string(&told));
    text_release(&told);
    return status;
}

enum status form_contradiction(const struct form *form, const struct history *before,
                               const struct history *after, int64_t first, struct error *error)
{
    struct contradictions was = {.count = 0}, is = {.count = 0};

    /* The new rows first: these are what was just entered. */
    import_check_case(after, first, keep, &is);
    if (is.count > 0)
        return refuse_entered(form, after, &is.rows[0], error);
    /* Then the rows that stood on what was changed; what was wrong before is another matter. */
    import_check_case(before, 0, keep, &was);
    import_check_case(after, 0, keep, &is);
    leave_new(&was, &is);
    return is.count == 0 ? STATUS_OK : refuse_stood(form, after, &is, error);
}
