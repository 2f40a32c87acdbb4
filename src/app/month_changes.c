/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a month that was closed would be today: figure by figure against the signed sheet. */
#include <string.h>

#include "month_private.h"
#include "springline/app/grow.h"
#include "told.h"

struct comparison {
    struct arena *arena;
    struct month_changes *changes;
    struct error *error;
    enum status status;
};

static void add(struct comparison *comparison, const char *number, const char *figure,
                const char *closed, const char *now)
{
    struct month_changes *changes = comparison->changes;

    if (comparison->status != STATUS_OK)
        return;
    if (!app_grow(comparison->arena, (void **)&changes->rows, changes->count, &changes->capacity,
                  sizeof *changes->rows))
        comparison->status = error_no_memory(comparison->error);
    else
        changes->rows[changes->count++] = (struct month_change){number, figure, closed, now};
}

/* Both sheets are of one form: the same figures in the same order. */
static void compare_whole(struct comparison *comparison, const struct month_sheet *closed,
                          const struct month_sheet *now)
{
    size_t count = closed->whole_count < now->whole_count ? closed->whole_count : now->whole_count;

    for (size_t i = 0; i < count; i++) {
        if (strcmp(closed->whole[i].value, now->whole[i].value) != 0)
            add(comparison, "", closed->whole[i].figure, closed->whole[i].value,
                now->whole[i].value);
    }
}

static void compare_case(struct comparison *comparison, const char *const *closed,
                         const char *const *now)
{
    size_t before = comparison->changes->count;

    for (size_t i = 1; i < MONTH_COLUMNS; i++) {
        if (strcmp(closed[i], now[i]) != 0)
            add(comparison, closed[0], month_columns[i], closed[i], now[i]);
    }
    comparison->changes->cases += comparison->changes->count > before;
}

/* Cases stand in the order of their numbers in both. */
static void compare_cases(struct comparison *comparison, const struct month_sheet *closed,
                          const struct month_sheet *now)
{
    size_t i = 0, j = 0;

    while (i < closed->row_count || j < now->row_count) {
        const char *const *was = closed->cells + i * MONTH_COLUMNS;
        const char *const *is = now->cells + j * MONTH_COLUMNS;
        int order = i == closed->row_count ? 1 : j == now->row_count ? -1 : strcmp(was[0], is[0]);

        if (order == 0) {
            compare_case(comparison, was, is);
        } else {
            add(comparison, order < 0 ? was[0] : is[0], "accounted_for", order < 0 ? "yes" : "no",
                order < 0 ? "no" : "yes");
            comparison->changes->cases++;
        }
        i += order <= 0;
        j += order >= 0;
    }
}

static enum status compare_sheets(const char *signed_sheet, const char *today_sheet,
                                  struct arena *arena, struct month_changes *changes,
                                  struct error *error)
{
    struct comparison comparison = {arena, changes, error, STATUS_OK};
    struct month_sheet closed, now;

    enum status status = month_sheet_read(signed_sheet, arena, &closed, error);
    if (status == STATUS_OK)
        status = month_sheet_read(today_sheet, arena, &now, error);
    if (status != STATUS_OK)
        return status;
    compare_whole(&comparison, &closed, &now);
    compare_cases(&comparison, &closed, &now);
    return comparison.status;
}

enum status month_changes_to(struct app *app, const struct month_closed *closed,
                             const struct audit_list *now, struct arena *arena,
                             struct month_changes *changes, struct error *error)
{
    const char *sheet = "";
    struct arena aside = {0};
    struct text today = {0};

    *changes = (struct month_changes){0};
    enum status status = month_read_sheet(app, closed, &aside, &sheet, error);
    if (status == STATUS_OK)
        status = month_sheet_add(&today, now, closed->first, error);
    if (status == STATUS_OK && strcmp(sheet, text_string(&today)) != 0)
        status = compare_sheets(sheet, text_string(&today), arena, changes, error);
    if (status != STATUS_OK)
        *changes = (struct month_changes){0};
    text_release(&today);
    arena_release(&aside);
    return status;
}

enum status month_changes(struct app *app, const struct month_closed *closed, struct arena *arena,
                          struct month_changes *changes, struct error *error)
{
    struct arena aside = {0};
    struct audit_list now;

    /* The day is that of the close: a month that has ended is the same on every later day, and on
     * an earlier one, which can be asked for, it would be another month. */
    *changes = (struct month_changes){0};
    enum status status = lists_audit_on(app, closed->first, closed->close.through + 1, STORE_NOW,
                                        &aside, &now, error);
    if (status == STATUS_OK)
        status = month_changes_to(app, closed, &now, arena, changes, error);
    arena_release(&aside);
    return status;
}

/* ---- in words ---- */

void month_add_changed(struct text *out, const struct month_changes *changes)
{
    if (changes->count == 0)
        text_add(out, "nothing changed since the close");
    else if (changes->cases == 0)
        text_add(out, "since the close no case changed, but the practice's settings did");
    else
        text_addf(out, "since the close %zu %s changed", changes->cases,
                  changes->cases == 1 ? "case" : "cases");
}

static const char *or_none(const char *value)
{
    return value[0] == '\0' ? "none" : value;
}

void month_add_change(struct text *out, const struct month_change *change)
{
    text_addf(out, "%s  ", change->number[0] == '\0' ? "the month" : change->number);
    if (strcmp(change->figure, "accounted_for") == 0)
        text_add(out, strcmp(change->now, "yes") == 0 ? "not accounted for then, is now"
                                                      : "accounted for then, is not now");
    else
        text_addf(out, "%s: closed %s, now %s", change->figure, or_none(change->closed),
                  or_none(change->now));
}

static bool add_all(struct text *text, const struct month_changes *changes, struct arena *arena,
                    struct lines *lines)
{
    month_add_changed(text, changes);
    text_add(text, ".");
    bool good = told_end_line(arena, lines, text);
    for (size_t i = 0; i < changes->count && good; i++) {
        month_add_change(text, &changes->rows[i]);
        good = told_end_line(arena, lines, text);
    }
    return good;
}

/* What is wrong with it, if anything: damage is told here, and keeps nobody from reading the rest.
 */
static enum status add_trouble(struct app *app, const struct month_closed *closed,
                               struct text *text, bool *damaged, struct error *error)
{
    struct arena aside = {0};
    struct audit_list list;
    enum month_truth truth = MONTH_AS_SIGNED;
    struct error trouble = {0};
    enum status status = month_redraw(app, closed, &aside, &list, &truth, &trouble);

    arena_release(&aside);
    *damaged = status == STATUS_DAMAGED;
    if (*damaged)
        text_add(text, trouble.sentence);
    else if (status != STATUS_OK)
        return error_set(error, status, trouble.where, "%s", trouble.sentence);
    else
        month_add_truth(text, closed, truth);
    return STATUS_OK;
}

static enum status tell(struct app *app, const struct month_closed *closed, struct arena *arena,
                        struct lines *lines, struct error *error)
{
    struct month_changes changes = {0};
    struct text text = {0};
    bool damaged = false, good = true;

    text_addf(&text, "%s, ", closed->close.month);
    month_add_closed(&text, closed);
    good = told_end_line(arena, lines, &text);
    enum status status = add_trouble(app, closed, &text, &damaged, error);
    if (text.length > 0)
        good = good && told_end_line(arena, lines, &text);
    if (status == STATUS_OK && !damaged) {
        status = month_changes(app, closed, arena, &changes, error);
        good = good && add_all(&text, &changes, arena, lines);
    }
    text_release(&text);
    return status == STATUS_OK && !good ? error_no_memory(error) : status;
}

enum status month_change_lines(struct app *app, day month, struct arena *arena, struct lines *lines,
                               struct error *error)
{
    struct month_closed closed;
    char text[MONTH_TEXT_SIZE];

    enum status status = month_find(app, month, arena, &closed, error);
    if (status == STATUS_NOT_FOUND)
        return error_set(error, STATUS_NO, NULL,
                         "%s is not closed: there is nothing to compare it with.",
                         month_to_text(month, text));
    return status == STATUS_OK ? tell(app, &closed, arena, lines, error) : status;
}
