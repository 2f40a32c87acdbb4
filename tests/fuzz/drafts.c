/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Any bytes as what was typed into a sheet or a form and left as a draft: 2 bytes that choose the
 * form and the case, then the draft's own lines. Fields are read as from keys; every sentence and
 * every line of the review can be shown; a draft of the draft is the same again.
 */
#include <stdlib.h>
#include <string.h>

#include "../../src/app/form_engine.h"
#include "fuzz.h"
#include "sqlite_pool.h"

struct rows { /* one current row of each kind that belongs to the case */
    struct id of[RECORD_KIND_COUNT];
};

static enum status note_row(void *context, const void *record, struct error *error)
{
    (void)error;
    *(struct id *)context = ((const struct row_head *)record)->id;
    return STATUS_OK;
}

static struct fuzz_store *open_practice(struct rows **rows)
{
    static struct fuzz_store practice;
    static struct rows kept;
    struct error error = {0};

    *rows = &kept;
    if (practice.app.store != NULL)
        return &practice;
    sqlite_pool_use();
    fuzz_store_make(&practice, "drafts");
    for (int kind = 0; kind < RECORD_JUDGED; kind++)
        fuzz_demand(store_each_row(practice.app.store, (enum record_kind)kind, STORE_NOW, note_row,
                                   &kept.of[kind], &error) == STATUS_OK,
                    "rows can be read");
    return &practice;
}

static void show_lines(struct lines *lines, const char *what)
{
    for (size_t i = 0; i < lines->count; i++)
        fuzz_printable(lines->line[i], false, what);
    lines->count = 0;
}

static void show_visit(struct app *app, struct visit_sheet *sheet)
{
    struct arena arena = {0};
    struct lines lines = {0};
    struct error error = {0};
    bool reason = false;
    int index = 0;

    fuzz_demand(visit_lines_who(app, sheet, &arena, &lines) == STATUS_OK, "memory");
    fuzz_demand(visit_lines_past(app, sheet, 9, &arena, &lines) == STATUS_OK, "memory");
    for (int i = 0; i < sheet->arch_count; i++)
        fuzz_demand(visit_lines_verdict(sheet, i, &arena, &lines) == STATUS_OK, "memory");
    enum status status = visit_ready(sheet, &reason, &index, &error);
    if (status != STATUS_OK) {
        fuzz_refusal(status, &error);
        fuzz_demand(index >= 0 && index < sheet->field_count, "what is missing is on the sheet");
    } else {
        fuzz_demand(visit_lines_review(app, sheet, &arena, &lines) == STATUS_OK, "memory");
    }
    show_lines(&lines, "a line of the visit");
    for (int i = 0; i < sheet->field_count; i++)
        fuzz_printable(sheet->fields[i].shown, false, "what a field of the visit means");
    arena_release(&arena);
}

/* Puts the draft, finds it, and compares it with what was put before; NULL: nothing yet. */
static enum status take_content(void *context, const struct draft *draft, struct error *error)
{
    struct text *content = context;

    (void)error;
    text_clear(content);
    text_add(content, draft->content);
    return STATUS_OK;
}

static void draft_content(struct app *app, struct text *content)
{
    struct error error = {0};

    text_clear(content);
    fuzz_demand(store_each_draft(app->store, app->user, take_content, content, &error) == STATUS_OK,
                "drafts can be read");
}

static void try_visit(struct fuzz_store *practice, const struct id *casefile, const char *typed)
{
    struct visit_sheet sheet, again;
    struct text content = {0}, first = {0}, second = {0};
    struct error error = {0};
    struct app *app = &practice->app;

    text_addf(&content, "visit 1 2026-11-25\n%s", typed);
    struct draft draft = {.user = "tester", .form = "visit", .content = text_string(&content)};
    fuzz_demand(visit_open(app, casefile, &sheet, &error) == STATUS_OK, "a visit can be opened");
    draft.request = sheet.request;
    enum status status = visit_from_draft(app, &sheet, &draft, &error);
    if (status != STATUS_OK)
        fuzz_refusal(status, &error);
    show_visit(app, &sheet);
    fuzz_demand(visit_put_draft(app, &sheet, &error) == STATUS_OK, "a draft can be left");
    draft_content(app, &first);
    fuzz_demand(visit_open(app, casefile, &again, &error) == STATUS_OK, "it is opened again");
    draft.content = text_string(&first);
    fuzz_demand(visit_from_draft(app, &again, &draft, &error) == STATUS_OK, "its draft is taken");
    fuzz_demand(visit_put_draft(app, &again, &error) == STATUS_OK, "and left again");
    draft_content(app, &second);
    fuzz_demand(strcmp(text_string(&first), text_string(&second)) == 0, "as it was");
    fuzz_demand(store_drop_draft(app->store, app->user, "visit", casefile, &error) == STATUS_OK,
                "and thrown away");
    visit_release(&sheet);
    visit_release(&again);
    text_release(&content);
    text_release(&first);
    text_release(&second);
}

static void show_form(struct app *app, struct form *form)
{
    struct arena arena = {0};
    struct lines lines = {0};
    struct error error = {0};
    bool reason = false;
    int index = 0;

    fuzz_demand(form_about(app, form, &arena, &lines) == STATUS_OK, "memory");
    enum status status = form_ready(app, form, &reason, &index, &error);
    if (status != STATUS_OK) {
        fuzz_refusal(status, &error);
        fuzz_demand(index >= 0 && (index < form->field_count || form->field_count == 0),
                    "what is missing is on the form");
    } else {
        status = form_review(app, form, &arena, &lines, &error);
        if (status != STATUS_OK)
            fuzz_refusal(status, &error);
    }
    show_lines(&lines, "a line of the form");
    for (int i = 0; i < form->field_count; i++) {
        fuzz_printable(form->fields[i].shown, false, "what a field means");
        fuzz_printable(form->fields[i].recorded, false, "what was recorded");
    }
    arena_release(&arena);
}

static void try_form(struct fuzz_store *practice, enum form_kind kind,
                     const struct form_subject *subject, const char *typed)
{
    struct app *app = &practice->app;
    struct form form;
    struct text content = {0};
    struct error error = {0};

    enum status status = form_open(app, kind, subject, &form, &error);
    if (status != STATUS_OK) {
        fuzz_refusal(status, &error);
        return;
    }
    text_addf(&content, "form 1 %s\n%s", form_inner(&form)->template->name, typed);
    struct draft draft = {.request = form.request, .content = text_string(&content)};
    fuzz_demand(form_from_draft(app, &form, &draft, &error) == STATUS_OK, "its heading is known");
    show_form(app, &form);
    fuzz_demand(form_put_draft(app, &form, &error) == STATUS_OK, "a draft can be left");
    fuzz_demand(form_drop_draft(app, &form, &error) == STATUS_OK, "and thrown away");
    form_release(&form);
    text_release(&content);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct rows *rows = NULL;
    struct fuzz_store *practice = open_practice(&rows);

    if (size < 2)
        return 0;
    fuzz_store_wind(practice);
    enum form_kind kind = (enum form_kind)(data[0] % FORM_KIND_COUNT);
    enum record_kind record = (enum record_kind)(data[1] / 2 % RECORD_JUDGED);
    char *typed = fuzz_string(data + 2, size - 2);
    const struct id *casefile = &practice->cases[data[1] % 2];
    struct form_subject subject = {
        .casefile = *casefile, .record = record, .row = rows->of[record]};
    if (kind == FORM_SETTING) {
        subject.row = rows->of[RECORD_PROTOCOL];
        subject.setting = (enum setting)(1 + data[1] / 2 % (SETTING_COUNT - 1));
    } else if (kind == FORM_PERSON) {
        subject.row = data[1] / 2 % 2 == 0 ? (struct id){{0}} : rows->of[RECORD_PERSON];
    }
    if (kind == FORM_NONE)
        try_visit(practice, casefile, typed);
    else
        try_form(practice, kind, &subject, typed);
    free(typed);
    return 0;
}
