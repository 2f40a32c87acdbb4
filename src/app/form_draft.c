/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A form's draft is what was typed: one line a field, "slot name text" ("slot name! text" where an
 * unusual value was kept), under a line that names the form and its version. What was typed is
 * put over the record as it is by then; the review shows both. Fields a later program does not know
 * are left alone.
 */
#include <stdio.h>
#include <string.h>

#include "form_engine.h"
#include "meanwhile.h"

char *form_draft_name(const struct form *form, char name[FORM_DRAFT_NAME_SIZE])
{
    const struct form_inner *inner = form_inner(form);
    char row[ID_TEXT_SIZE] = "", setting[4] = "";

    if (!id_is_none(&form->subject.row))
        id_to_text(&form->subject.row, row);
    if (form->subject.setting != SETTING_NONE)
        snprintf(setting, sizeof setting, "%02u", (unsigned)form->subject.setting % 100U);
    /* The store takes 40 characters: of a long name's row the first digits tell rows apart. */
    snprintf(name, FORM_DRAFT_NAME_SIZE, "%s%s%s", inner->template->name, setting, row);
    return name;
}

bool form_is_typed(const struct form *form, int index)
{
    const struct form_field *field = &form->fields[index];

    return !field->skipped && strcmp(field->entered, form_inner(form)->opened_text[index]) != 0;
}

static void add_heading(struct text *out, const struct form *form)
{
    text_addf(out, "form 1 %s", form_inner(form)->template->name);
}

int32_t form_add_typed_lines(struct text *out, const struct form *form)
{
    const struct form_inner *inner = form_inner(form);
    int32_t filled = 0;

    for (int i = 0; i < form->field_count; i++) {
        const struct form_field *field = &form->fields[i];
        if (!form_is_typed(form, i))
            continue;
        bool kept = field->filled && strcmp(inner->asked[i], field->entered) == 0;
        text_addf(out, "%d %s%s %s\n", inner->slot_of[i], inner->template->items[i].name,
                  kept ? "!" : "", field->entered);
        filled++;
    }
    return filled;
}

enum status form_put_draft(struct app *app, const struct form *form, struct error *error)
{
    struct text content = {0};
    char name[FORM_DRAFT_NAME_SIZE];

    if (!form_dirty(form))
        return STATUS_OK;
    add_heading(&content, form);
    text_add(&content, "\n");
    int32_t filled = form_add_typed_lines(&content, form);
    if (content.failed) {
        text_release(&content);
        return error_no_memory(error);
    }
    struct draft draft = {.user = app->user,
                          .form = form_draft_name(form, name),
                          .casefile = form->subject.casefile,
                          .saved_at = store_instant(app->store),
                          .filled = filled,
                          .request = form->request,
                          .content = text_string(&content)};
    enum status status = store_put_draft(app->store, &draft, error);
    text_release(&content);
    return status;
}

/* ---- finding it again ---- */

struct search {
    struct form *form;
    struct draft *draft;
    char name[FORM_DRAFT_NAME_SIZE];
    bool found;
};

static enum status take_if(void *context, const struct draft *draft, struct error *error)
{
    struct search *search = context;
    struct arena *arena = &search->form->arena;

    if (search->found || strcmp(draft->form, search->name) != 0 ||
        !id_equal(&draft->casefile, &search->form->subject.casefile))
        return STATUS_OK;
    *search->draft = *draft;
    search->draft->user = arena_text(arena, draft->user, strlen(draft->user));
    search->draft->form = arena_text(arena, draft->form, strlen(draft->form));
    search->draft->content = arena_text(arena, draft->content, strlen(draft->content));
    if (search->draft->user == NULL || search->draft->form == NULL ||
        search->draft->content == NULL)
        return error_no_memory(error);
    search->found = true;
    return STATUS_OK;
}

enum status form_find_draft(struct app *app, struct form *form, struct draft *draft, bool *found,
                            struct error *error)
{
    struct search search = {.form = form, .draft = draft};

    form_draft_name(form, search.name);
    enum status status = store_each_draft(app->store, app->user, take_if, &search, error);
    *found = status == STATUS_OK && search.found;
    return status;
}

enum status form_drop_draft(struct app *app, struct form *form, struct error *error)
{
    char name[FORM_DRAFT_NAME_SIZE];

    return store_drop_draft(app->store, app->user, form_draft_name(form, name),
                            &form->subject.casefile, error);
}

enum status form_end_draft(struct app *app, const struct form *form, struct error *error)
{
    char name[FORM_DRAFT_NAME_SIZE];

    return store_end_draft(app->store, app->user, form_draft_name(form, name),
                           &form->subject.casefile, &form->request, error);
}

/* ---- filling the form from it ---- */

/* An unusual value that was kept stays kept; one that was not is asked about again. */
static void enter_text(struct app *app, struct form *form, int index, bool kept, const char *text)
{
    char sentence[200];

    if (form->fields[index].skipped)
        return;
    if (form_enter(app, form, index, text, sentence) != ENTRY_ASK)
        return;
    if (kept)
        (void)form_enter(app, form, index, text, sentence);
    else
        form_inner(form)->asked[index] = "";
}

/* One line "slot name text"; a line that is none is left alone. */
static void enter_line(struct app *app, struct form *form, const char *line, size_t length)
{
    char name[64], text[SHEET_TEXT_SIZE];

    if (length < 4 || line[0] < '0' || line[0] >= '0' + FORM_SLOTS || line[1] != ' ')
        return;
    size_t word = strcspn(line + 2, " \n");
    size_t start = 2 + word + 1;
    if (word == 0 || word >= sizeof name || start > length || line[2 + word] != ' ' ||
        length - start >= sizeof text)
        return;
    bool kept = line[1 + word] == '!';
    memcpy(name, line + 2, word);
    name[kept ? word - 1 : word] = '\0';
    memcpy(text, line + start, length - start);
    text[length - start] = '\0';
    int index = form_index(form, line[0] - '0', name);
    if (index >= 0)
        enter_text(app, form, index, kept, text);
}

static bool same_heading(const struct form *form, const char *content)
{
    struct text heading = {0};

    add_heading(&heading, form);
    bool same = !heading.failed && strcspn(content, "\n") == heading.length &&
                strncmp(content, text_string(&heading), heading.length) == 0;
    text_release(&heading);
    return same;
}

void form_enter_lines(struct app *app, struct form *form, const char *lines)
{
    while (lines[0] != '\0') {
        size_t length = strcspn(lines, "\n");
        enter_line(app, form, lines, length);
        lines += length + (lines[length] == '\n');
    }
}

enum status form_from_draft(struct app *app, struct form *form, const struct draft *draft,
                            struct error *error)
{
    const char *heading = strchr(draft->content, '\n');

    if (!same_heading(form, draft->content))
        return error_set(error, STATUS_INPUT, "draft",
                         "What was typed belongs to another version of the form; it can only be "
                         "thrown away.");
    enum status status = meanwhile_since(app, draft->saved_at, &form->opened_at, error);
    if (status != STATUS_OK)
        return status;
    form->request = draft->request;
    form_enter_lines(app, form, heading == NULL ? "" : heading + 1);
    return STATUS_OK;
}
