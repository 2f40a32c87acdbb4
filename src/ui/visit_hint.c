/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What may be typed now, above the footer of the visit screen. */
#include "visit_view.h"

static void hint_choices(const struct sheet_field *field, struct text *out)
{
    for (int i = 0; i < field->choice_count; i++) {
        if (field->choices[i][0] != '\0')
            text_addf(out, " %d %s ", i, field->choices[i]);
    }
    if (field->item == ITEM_TISSUE)
        text_add(out, "(ulcer, wire pressing in)");
    if (field->item == ITEM_RELIEF)
        text_add(out, "(yes: a loop was closed again, so that it presses no more)");
    if (field->several)
        text_add(out, "(several: 13; the side behind it: 1r)");
}

void visit_view_permitted(const struct visit_view *view, const struct sheet_field *field,
                          struct text *out)
{
    char text[MILLIMETRE_TEXT_SIZE];

    for (int i = 0; i < view->sheet.arch_count; i++) {
        const struct judgement *judgement = &view->sheet.judgements[i];
        if (view->sheet.arches[i] == field->arch)
            text_addf(out, "permitted %s%s",
                      millimetre_to_text(field->item == ITEM_RIGHT ? judgement->permitted_right
                                                                   : judgement->permitted_left,
                                         text),
                      view->sheet.examined[i] ? "" : " if sound");
    }
}

static void hint_amount(const struct visit_view *view, const struct sheet_field *field,
                        struct text *out)
{
    text_add(out, " ");
    visit_view_permitted(view, field, out);
    text_add(out, "; + and - one step, * as last, 0 if nothing is given");
}

static void hint_field(const struct visit_view *view, struct text *out)
{
    const struct sheet_field *field = &view->sheet.fields[view->focus];

    if (field->arch != ARCH_NONE)
        text_addf(out, "%s ", word_text(&words_arch, (int)field->arch));
    text_addf(out, "%s:", field->label);
    if (field->choice_count > 0)
        hint_choices(field, out);
    else if (field->amount)
        hint_amount(view, field, out);
    if (field->if_empty[0] != '\0')
        text_addf(out, " Enter alone: %s", field->if_empty);
    else if (!field->required && !field->amount && field->choice_count == 0)
        text_add(out, " Enter alone leaves it empty");
    if (field->last[0] != '\0')
        text_addf(out, "  (last: %s)", field->last);
}

bool visit_view_pages_by_point(const struct visit_view *view)
{
    return view->enter.mode == MODE_FIELDS && view->sheet.fields[view->focus].choice_count > 0 &&
           (view->enter.editor.length == 0 || view->enter.editor.fresh);
}

static void hint_offer(const struct visit_view *view, struct text *out)
{
    text_add(out, "This visit was begun and not saved (");
    enter_add_saved_at(out, &view->unsaved);
    text_add(out, "). Enter goes on with it, / goes back to the list, - throws it away.");
}

void visit_view_hint(struct ui *ui, const void *state, struct text *out)
{
    const struct visit_view *view = state;

    (void)ui;
    if (enter_hint(&view->enter, out))
        return;
    switch (view->enter.mode) {
    case MODE_OFFER:
        hint_offer(view, out);
        break;
    case MODE_REASON:
        text_add(out, "Press the number of the reason, then Enter. / goes back to the amounts.");
        break;
    case MODE_REASON_TEXT:
        text_add(out, visit_reason_needs_text(view->reason)
                          ? "Write the reason in words, then Enter. / goes back to the list."
                          : "A few words of your own, or Enter alone. / goes back to the list.");
        break;
    case MODE_FIELDS:
    default:
        hint_field(view, out);
        break;
    }
}
