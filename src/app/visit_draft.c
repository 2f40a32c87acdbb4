/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A draft is the sheet as typed: one line a field, "item arch text" ("arch!" where a soft range was
 * answered), under a line that names the form's version and the date of the visit. Fields a later
 * program does not know are left alone.
 */
#include <string.h>

#include "meanwhile.h"
#include "springline/app/visit.h"
#include "visit_private.h"

static const char *const item_names[] = {"wear-met", "wear-asked", "wear-source", "width",
                                         "tissue",   "hardware",   "repaired",    "right",
                                         "left",     "relief",     "next",        "note"};

enum status visit_put_draft(struct app *app, const struct visit_sheet *sheet, struct error *error)
{
    struct text content = {0};
    char date[DAY_TEXT_SIZE];
    int32_t filled = 0;

    text_addf(&content, "visit 1 %s\n", day_to_text(sheet->date, date));
    for (int i = 0; i < sheet->field_count; i++) {
        const struct sheet_field *field = &sheet->fields[i];
        if (field->entered[0] == '\0')
            continue;
        bool answered = field->filled && strcmp(field->kept, field->entered) == 0;
        text_addf(&content, "%s %d%s %s\n", item_names[field->item], (int)field->arch,
                  answered ? "!" : "", field->entered);
        filled++;
    }
    if (content.failed) {
        text_release(&content);
        return error_no_memory(error);
    }
    struct draft draft = {.user = app->user,
                          .form = "visit",
                          .casefile = sheet->casefile,
                          .saved_at = store_instant(app->store),
                          .filled = filled,
                          .request = sheet->request,
                          .content = text_string(&content)};
    enum status status = store_put_draft(app->store, &draft, error);
    text_release(&content);
    return status;
}

/* A soft range that was answered stays answered; one that was not is asked again. */
static void enter_line(struct app *app, struct visit_sheet *sheet, const char *item, int arch,
                       bool answered, const char *text)
{
    char sentence[200];

    for (int i = 0; i < sheet->field_count; i++) {
        struct sheet_field *field = &sheet->fields[i];
        if (strcmp(item_names[field->item], item) != 0 || (int)field->arch != arch)
            continue;
        if (visit_enter(app, sheet, i, text, sentence) == ENTRY_ASK) {
            if (answered)
                visit_enter(app, sheet, i, text, sentence);
            else
                field->kept[0] = '\0';
        }
        return;
    }
}

/* One line "item arch text" or "item arch! text"; a line that is none is left alone. */
static void enter_draft_line(struct app *app, struct visit_sheet *sheet, const char *line,
                             size_t length)
{
    char item[16], text[SHEET_TEXT_SIZE];
    size_t word = strcspn(line, " \n");

    if (word >= sizeof item || word + 3 > length || line[word + 1] < '0' || line[word + 1] > '2')
        return;
    bool answered = line[word + 2] == '!';
    size_t start = word + (answered ? 4 : 3);
    if (start > length || line[start - 1] != ' ' || length - start >= sizeof text)
        return;
    memcpy(item, line, word);
    item[word] = '\0';
    memcpy(text, line + start, length - start);
    text[length - start] = '\0';
    enter_line(app, sheet, item, line[word + 1] - '0', answered, text);
}

static void enter_lines(struct app *app, struct visit_sheet *sheet, const char *content)
{
    while ((content = strchr(content, '\n')) != NULL) {
        content++;
        size_t length = strcspn(content, "\n");
        enter_draft_line(app, sheet, content, length);
    }
}

/* The date in the first line, "visit 1 YYYY-MM-DD"; DAY_NONE when it is another version's. */
static day draft_date(const char *content)
{
    char text[DAY_TEXT_SIZE];
    day date;

    if (strncmp(content, "visit 1 ", 8) != 0 || strlen(content) < 8 + 10)
        return DAY_NONE;
    memcpy(text, content + 8, 10);
    text[10] = '\0';
    return day_from_text(text, &date) ? date : DAY_NONE;
}

enum status visit_from_draft(struct app *app, struct visit_sheet *sheet, const struct draft *draft,
                             struct error *error)
{
    day date = draft_date(draft->content);
    enum status status;

    if (date == DAY_NONE || date > app->today)
        return error_set(error, STATUS_INPUT, "draft",
                         "The unsaved visit can not be read; it was made by another version or "
                         "under another date.");
    if (date != sheet->date) { /* typed on an earlier day: it stays the visit of that day */
        status = visit_set_date(sheet, date, error);
        if (status != STATUS_OK)
            return status;
    }
    status = meanwhile_since(app, draft->saved_at, &sheet->opened_at, error);
    if (status != STATUS_OK)
        return status;
    sheet->request = draft->request;
    enter_lines(app, sheet, draft->content);
    if (visit_value(sheet, ITEM_WEAR_ASKED, ARCH_NONE, -1) < 0)
        enter_line(app, sheet, item_names[ITEM_WEAR_ASKED], ARCH_NONE, false, "");
    return STATUS_OK;
}
