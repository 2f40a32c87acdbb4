/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The widths of the teeth of one arch in one sheet. Each filled field becomes a row of its own, so
 * the fields are the template's, named by the code of their tooth; slot 0 holds what they share and
 * is never written itself.
 */
#include <inttypes.h>
#include <stdio.h>

#include "form_assessment.h"
#include "form_templates.h"
#include "springline/core/tooth.h"

/* From right to left as they stand in the arch: what space analysis needs (domain.md 6), and the
 * deciduous teeth that may still stand there. */
enum { ARCHES = 2, TEETH_OF_ARCH = 20, PERMANENT = 10, SHARED_ITEMS = 3 };

static const int32_t codes[ARCHES][TEETH_OF_ARCH] = {
    {15, 14, 13, 12, 11, 21, 22, 23, 24, 25, 55, 54, 53, 52, 51, 61, 62, 63, 64, 65},
    {45, 44, 43, 42, 41, 31, 32, 33, 34, 35, 85, 84, 83, 82, 81, 71, 72, 73, 74, 75},
};

static const struct form_item shared_items[SHARED_ITEMS] = {
    {0, "arch", "arch", "The arch that was measured.", NULL, ITEM_REQUIRED | ITEM_FIRST},
    {0, "date", "date", "Day of the measurement (or of the cast or scan).", NULL,
     ITEM_REQUIRED | ITEM_TODAY},
    {0, "method", "method", "In the mouth, on a cast or on a scan.", NULL, ITEM_REQUIRED},
};

/* The tooth of a field; 0: it is none. */
static int32_t tooth_of(int index)
{
    index -= SHARED_ITEMS;
    return index < 0 ? 0 : codes[index / TEETH_OF_ARCH][index % TEETH_OF_ARCH];
}

/* ---- the fields ---- */

/* "right second premolar, mesial to distal; empty: not measured" */
static const char *help_of(struct form *form, int32_t tooth)
{
    static const char *const names[2][5] = {
        {"central incisor", "lateral incisor", "canine", "first premolar", "second premolar"},
        {"central incisor", "lateral incisor", "canine", "first molar", "second molar"}};
    bool deciduous = tooth / 10 > 4;

    return form_textf(form, "%s%s %s, mesial to distal; empty: not measured.",
                      tooth_side(tooth) == SIDE_RIGHT ? "Right" : "Left",
                      deciduous ? " deciduous" : "", names[deciduous][tooth % 10 - 1]);
}

/* False: no memory. */
static bool make_item(struct form *form, struct form_item *item, int arch, int place)
{
    int32_t tooth = codes[arch][place];
    const char *code = form_textf(form, "%" PRId32, tooth);

    *item = (struct form_item){.slot = 0,
                               .name = code,
                               .label = form_textf(form, "%s mm", code),
                               .help = help_of(form, tooth)};
    if (place == 0)
        item->heads = "permanent teeth";
    else if (place == PERMANENT)
        item->heads = "deciduous teeth";
    return code[0] != '\0' && item->label[0] != '\0' && item->help[0] != '\0';
}

static enum status prepare_teeth(struct app *app, struct form *form, struct error *error)
{
    enum { COUNT = SHARED_ITEMS + ARCHES * TEETH_OF_ARCH };
    struct form_template *template = arena_alloc(&form->arena, sizeof *template);
    struct form_item *items = arena_array(&form->arena, COUNT, sizeof *items);

    if (template == NULL || items == NULL)
        return error_no_memory(error);
    form_put_new(form, 0);
    form_now(form, 0)->tooth_width.by = form_by(app, form);
    for (int i = 0; i < SHARED_ITEMS; i++)
        items[i] = shared_items[i];
    for (int arch = 0; arch < ARCHES; arch++)
        for (int place = 0; place < TEETH_OF_ARCH; place++)
            if (!make_item(form, &items[SHARED_ITEMS + arch * TEETH_OF_ARCH + place], arch, place))
                return error_no_memory(error);
    *template = form_template_teeth;
    template->items = items;
    template->item_count = COUNT;
    form_inner(form)->template = template;
    return form_keep_assessment(app, form, error);
}

static void follow_teeth(struct app *app, struct form *form)
{
    static const char *const arches[] = {"upper", "lower"};

    (void)app;
    form_make_choice(form, 0, "arch", arches, ARCHES, 0);
    int chosen = form_chosen(form, 0, "arch");
    for (int i = SHARED_ITEMS; i < form->field_count; i++) {
        form->fields[i].input = INPUT_LENGTH;
        form->fields[i].skipped = (int)tooth_arch(tooth_of(i)) != chosen;
    }
    form_inner(form)->slots[0].write = false; /* its teeth are */
}

/* ---- the rows ---- */

/* The row of a field that is filled, of repeat 1; false: it is not, or holds no length. */
static bool width_of(const struct form *form, int index, struct tooth_width *width)
{
    const struct form_field *field = &form->fields[index];

    *width = form_now(form, 0)->tooth_width;
    width->tooth = tooth_of(index);
    width->repeat = 1;
    return width->tooth != 0 && !field->skipped && field->entered[0] != '\0' &&
           millimetre_from_text(field->entered, MARK_POINT_OR_COMMA, field->label, &width->value,
                                NULL) == STATUS_OK;
}

/* The field that is filled from index on; field_count: no more. *width is its row. */
static int next_filled(const struct form *form, int index, struct tooth_width *width)
{
    while (index < form->field_count &&
           (!form->fields[index].filled || !width_of(form, index, width)))
        index++;
    return index;
}

static enum entry enter_teeth(struct app *app, struct form *form, int index, char sentence[200])
{
    struct form_field *field = &form->fields[index];
    struct error error = {0};
    struct tooth_width width;
    char text[MILLIMETRE_TEXT_SIZE];

    (void)app;
    if (index == form_index(form, 0, "arch"))
        return form_take_choice(form, index, sentence);
    if (tooth_of(index) == 0 || field->entered[0] == '\0')
        return ENTRY_TAKEN;
    enum status status = millimetre_from_text(field->entered, MARK_POINT_OR_COMMA, field->label,
                                              &width.value, &error);
    if (status == STATUS_OK && width_of(form, index, &width))
        status = import_check_tooth_width(&width, &error);
    if (status != STATUS_OK)
        return form_say(sentence, ENTRY_REFUSED, "%.190s", error.sentence);
    snprintf(field->shown, sizeof field->shown, "%s mm", millimetre_to_text(width.value, text));
    return form_ask_tooth(form_inner(form)->kept, &width, sentence);
}

static enum status check_teeth(struct app *app, struct form *form, int *index, struct error *error)
{
    struct tooth_width width;

    (void)app;
    if (next_filled(form, SHARED_ITEMS, &width) < form->field_count)
        return STATUS_OK;
    *index = form_step(form, SHARED_ITEMS - 1, +1);
    return error_set(error, STATUS_INPUT, form->title,
                     "No tooth is measured yet: enter the width of one at least.");
}

static enum status warn_teeth(struct app *app, struct form *form, struct arena *arena,
                              struct lines *lines, struct error *error)
{
    struct text text = {0};
    struct tooth_width width;
    const char *before = ": ";
    char value[MILLIMETRE_TEXT_SIZE], date[DAY_TEXT_SIZE];

    (void)app;
    text_addf(&text, "new widths of teeth, %s, %s",
              day_to_text(form_now(form, 0)->tooth_width.date, date),
              word_text(&words_method, (int)form_now(form, 0)->tooth_width.method));
    for (int i = next_filled(form, SHARED_ITEMS, &width); i < form->field_count;
         i = next_filled(form, i + 1, &width)) {
        int32_t repeat = form_next_tooth_repeat(form_inner(form)->kept, &width);
        text_addf(&text, "%s%" PRId32 " %s mm", before, width.tooth,
                  millimetre_to_text(width.value, value));
        if (repeat > 1)
            text_addf(&text, " (repeat %" PRId32 ")", repeat);
        before = "; ";
    }
    bool added = !text.failed && form_add_line(arena, lines, "%s", text_string(&text));
    text_release(&text);
    return form_lines_done(added, error);
}

/* The repeats are counted again: another seat may have measured meanwhile. */
static enum status append_teeth(struct app *app, struct form *form, struct app_save *save,
                                struct error *error)
{
    struct assessment assessment;
    struct tooth_width width;
    char date[DAY_TEXT_SIZE];
    int count = 0;
    enum status status = store_read_assessment(app->store, &form->subject.casefile, STORE_NOW,
                                               &form->arena, &assessment, error);

    (void)save;
    for (int i = next_filled(form, SHARED_ITEMS, &width);
         i < form->field_count && status == STATUS_OK; i = next_filled(form, i + 1, &width)) {
        width.repeat = form_next_tooth_repeat(&assessment, &width);
        status = store_append(app->store, RECORD_TOOTH_WIDTH, &width, error);
        count++;
    }
    form_inner(form)->saved = form_textf(form, "Saved: %d %s of %s.", count,
                                         count == 1 ? "width of a tooth" : "widths of teeth",
                                         day_to_text(form_now(form, 0)->tooth_width.date, date));
    return status == STATUS_OK && form_inner(form)->saved[0] == '\0' ? error_no_memory(error)
                                                                     : status;
}

const struct form_template form_template_teeth = {
    .kind = FORM_TEETH,
    .name = "teeth",
    .title = "Tooth widths",
    .items = shared_items,
    .item_count = SHARED_ITEMS,
    .slots = {RECORD_TOOTH_WIDTH, RECORD_KIND_COUNT, RECORD_KIND_COUNT, RECORD_KIND_COUNT,
              RECORD_KIND_COUNT},
    .prepare = prepare_teeth,
    .follow = follow_teeth,
    .check = check_teeth,
    .warn = warn_teeth,
    .enter = enter_teeth,
    .append = append_teeth,
};
