/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What may be typed now, above the footer of a form. */
#include "form_view.h"

void form_view_add_choices(const struct form_field *field, struct text *out)
{
    const char *between = "";

    for (int i = 0; i < field->choice_count; i++) {
        if (field->choices[i] == NULL || field->choices[i][0] == '\0')
            continue;
        text_addf(out, "%s%d %s", between, i, field->choices[i]);
        between = "  ";
    }
}

static void hint_field(const struct ui *ui, const struct form_view *view, struct text *out)
{
    const struct form_field *field = &view->form.fields[view->focus];

    text_addf(out, "%s:%s", field->label, field->choice_count > 0 ? " " : "");
    form_view_add_choices(field, out);
    if (field->choice_count > 0)
        text_add(out, " ");
    if (field->if_empty[0] != '\0' && view->enter.editor.length == 0)
        text_addf(out, " Enter alone: %s.", field->if_empty);
    else if (field->entered[0] == '\0' && !field->required)
        text_add(out, " Enter alone leaves it empty.");
    if (field->help != NULL && field->help[0] != '\0')
        text_addf(out, " %s", field->help);
    if (field->recorded[0] != '\0' && ui->grid.columns < FORM_WIDE_COLUMNS)
        text_addf(out, "  (was %s)", field->recorded);
}

void form_view_hint(struct ui *ui, const void *state, struct text *out)
{
    const struct form_view *view = state;

    if (enter_hint(&view->enter, out))
        return;
    switch (view->enter.mode) {
    case MODE_OFFER:
        text_addf(out, "\"%s\" was begun and not saved (", view->form.title);
        enter_add_saved_at(out, &view->unsaved);
        text_add(out, "). Enter goes on with it, / goes back, - throws it away.");
        break;
    case MODE_REASON:
    case MODE_REASON_TEXT:
        text_add(out, "What is recorded changes: write why, then Enter. / goes back to the "
                      "fields.");
        break;
    default:
        hint_field(ui, view, out);
        break;
    }
}
