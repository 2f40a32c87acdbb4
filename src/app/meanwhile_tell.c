/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was saved meanwhile, in lines: who and when, and below it what. */
#include <inttypes.h>

#include "form_engine.h"
#include "meanwhile.h"

enum status meanwhile_tell_save(struct app *app, struct text *out, const struct meanwhile_row *row,
                                struct text *command, struct error *error)
{
    case_tell_instant(out, row->at);
    text_add(out, ", ");
    return case_tell_doer(app, out, &row->person, &row->request, command, error);
}

/* "2026-11-25 09:15 UTC, by Ada Example (ada@pts/3), visit" */
static enum status add_heading(struct app *app, const struct meanwhile_row *row, struct text *line,
                               struct error *error)
{
    struct text command = {0};

    enum status status = meanwhile_tell_save(app, line, row, &command, error);
    if (command.length > 0)
        text_addf(line, ", %s", text_string(&command));
    line->failed = line->failed || command.failed;
    text_release(&command);
    return status;
}

static void add_reason(const struct meanwhile_row *row, struct text *line)
{
    if (row->reason == NULL || row->reason[0] == '\0')
        return;
    text_add(line, "; reason: ");
    text_add_shown(line, row->reason);
}

static void add_row(const struct meanwhile_row *row, struct text *line)
{
    if (row->withdrawn) {
        text_add(line, "  withdrawn: ");
        form_describe(line, row->kind, row->now);
    } else if (row->before == NULL) {
        text_add(line, "  new: ");
        form_describe(line, row->kind, row->now);
    } else {
        text_add(line, "  changed: ");
        form_describe(line, row->kind, row->before);
        text_add(line, ": ");
        case_tell_changes(line, row->kind, row->now, row->before);
    }
    add_reason(row, line);
}

/* Is it a new day of wear of the save of the row before it? */
static bool goes_on(const struct meanwhile_row *before, const struct meanwhile_row *row)
{
    return row->kind == RECORD_WEAR_DAY && row->before == NULL && before->kind == row->kind &&
           before->before == NULL && id_equal(&before->request, &row->request);
}

/* New days of wear come by the hundred: "  new: 61 days of wear, 2026-09-01 to 2026-10-31". */
static void add_days(const struct meanwhile_row *rows, size_t count, struct text *line)
{
    day first = rows[0].now->wear_day.date, last = first;
    char from[DAY_TEXT_SIZE], to[DAY_TEXT_SIZE];

    for (size_t i = 1; i < count; i++) {
        day date = rows[i].now->wear_day.date;
        first = date < first ? date : first;
        last = date > last ? date : last;
    }
    text_addf(line, "  new: %zu days of wear, %s to %s", count, day_to_text(first, from),
              day_to_text(last, to));
}

static size_t run_of_days(const struct meanwhile *list, size_t at)
{
    size_t count = 1;

    while (at + count < list->count &&
           goes_on(&list->rows[at + count - 1], &list->rows[at + count]))
        count++;
    return count;
}

static bool begins_save(const struct meanwhile *list, size_t at)
{
    return at == 0 || !id_equal(&list->rows[at - 1].request, &list->rows[at].request);
}

enum status meanwhile_tell(struct app *app, const struct meanwhile *list, struct arena *arena,
                           struct lines *lines, struct error *error)
{
    enum status status = STATUS_OK;
    struct text line = {0};
    bool done = true;

    for (size_t i = 0, count; i < list->count && status == STATUS_OK && done; i += count) {
        count = run_of_days(list, i);
        if (begins_save(list, i)) {
            status = add_heading(app, &list->rows[i], &line, error);
            done = told_end_line(arena, lines, &line);
        }
        if (count > 1)
            add_days(&list->rows[i], count, &line);
        else
            add_row(&list->rows[i], &line);
        done = done && told_end_line(arena, lines, &line);
    }
    text_release(&line);
    return status != STATUS_OK ? status : done ? STATUS_OK : error_no_memory(error);
}
