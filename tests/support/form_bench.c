/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "form_bench.h"

void form_bench_keep(struct form_bench *bench, const char *name)
{
    store_case_open(&bench->kept, name, bench->maker.today);
    store_case_keep(&bench->kept, &bench->maker);
}

/* Whatever was saved: the ledger matches, and the states follow from the rows. */
static void check_sound(struct form_bench *bench)
{
    struct text findings = {0};

    if (app_verify(&bench->kept.app, &findings, &bench->error) != STATUS_OK)
        fail_msg("%s %s", bench->error.sentence, text_string(&findings));
    text_release(&findings);
}

void form_bench_close(struct form_bench *bench)
{
    form_release(&bench->form);
    arena_release(&bench->arena);
    text_release(&bench->review);
    store_case_close(&bench->kept);
}

static enum status try_open(struct form_bench *bench, enum form_kind kind, const struct id *row,
                            enum setting setting)
{
    struct form_subject subject = {.casefile = bench->kept.casefile, .setting = setting};

    if (row != NULL)
        subject.row = *row;
    if (kind == FORM_NEW_PATIENT || kind == FORM_SETTING || kind == FORM_PERSON)
        subject.casefile = (struct id){0};
    form_release(&bench->form);
    bench->error = (struct error){0};
    return form_open(&bench->kept.app, kind, &subject, &bench->form, &bench->error);
}

void form_bench_open_row(struct form_bench *bench, enum form_kind kind, const struct id *row,
                         enum setting setting)
{
    if (try_open(bench, kind, row, setting) != STATUS_OK)
        fail_msg("%s", bench->error.sentence);
}

void form_bench_open(struct form_bench *bench, enum form_kind kind)
{
    form_bench_open_row(bench, kind, NULL, SETTING_NONE);
}

const char *form_bench_refusal(struct form_bench *bench, enum form_kind kind)
{
    assert_int_equal(try_open(bench, kind, NULL, SETTING_NONE), STATUS_INPUT);
    return bench->error.sentence;
}

static int index_of(const struct form_bench *bench, const char *label)
{
    for (int i = 0; i < bench->form.field_count; i++) {
        if (!bench->form.fields[i].skipped && strcmp(bench->form.fields[i].label, label) == 0)
            return i;
    }
    return -1;
}

struct form_field *form_bench_field(struct form_bench *bench, const char *label)
{
    int index = index_of(bench, label);

    return index < 0 ? NULL : &bench->form.fields[index];
}

enum entry form_bench_type(struct form_bench *bench, const char *label, const char *typed)
{
    int index = index_of(bench, label);

    if (index < 0)
        fail_msg("no field \"%s\" applies", label);
    return form_enter(&bench->kept.app, &bench->form, index, typed, bench->sentence);
}

void form_bench_fill(struct form_bench *bench, const char *label, const char *typed)
{
    if (form_bench_type(bench, label, typed) != ENTRY_TAKEN)
        fail_msg("\"%s\" in %s: %s", typed, label, bench->sentence);
}

const char *form_bench_review(struct form_bench *bench)
{
    struct lines lines = {0};
    struct arena arena = {0};

    if (form_review(&bench->kept.app, &bench->form, &arena, &lines, &bench->error) != STATUS_OK)
        fail_msg("%s", bench->error.sentence);
    text_clear(&bench->review);
    for (size_t i = 0; i < lines.count; i++)
        text_addf(&bench->review, "%s\n", lines.line[i]);
    arena_release(&arena);
    return text_string(&bench->review);
}

void form_bench_says(struct form_bench *bench, const char *text)
{
    if (strstr(form_bench_review(bench), text) == NULL)
        fail_msg("the review lacks \"%s\":\n%s", text, text_string(&bench->review));
}

void form_bench_save(struct form_bench *bench, const char *reason)
{
    (void)form_bench_review(bench);
    if (form_save(&bench->kept.app, &bench->form, reason, &bench->error) != STATUS_OK)
        fail_msg("%s: %s", bench->error.where, bench->error.sentence);
    assert_true(strlen(form_saved(&bench->form)) > strlen("Saved."));
    check_sound(bench);
}

void form_bench_refused(struct form_bench *bench, const char *text)
{
    assert_int_equal(form_save(&bench->kept.app, &bench->form, "", &bench->error), STATUS_INPUT);
    if (strstr(bench->error.sentence, text) == NULL)
        fail_msg("not \"%s\": %s", text, bench->error.sentence);
}

const struct history *form_bench_history(struct form_bench *bench)
{
    struct id casefile = bench->form.inner == NULL || id_is_none(&bench->form.subject.casefile)
                             ? bench->kept.casefile
                             : form_casefile(&bench->form);
    struct history *history;

    if (bench->form.inner != NULL && bench->form.kind == FORM_NEW_PATIENT)
        casefile = form_casefile(&bench->form);
    arena_clear(&bench->arena);
    history = arena_alloc(&bench->arena, sizeof *history);
    assert_non_null(history);
    if (store_read_case(bench->kept.app.store, &casefile, STORE_NOW, &bench->arena, history,
                        &bench->error) != STATUS_OK)
        fail_msg("%s", bench->error.sentence);
    return history;
}
