/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the forms of an assessment share. */
#ifndef SPRINGLINE_APP_FORM_ASSESSMENT_H
#define SPRINGLINE_APP_FORM_ASSESSMENT_H

#include "form_parts.h"

/* For prepare: the assessment of the form's case as it is recorded, into form_inner(form)->kept. */
enum status form_keep_assessment(struct app *app, struct form *form, struct error *error);
/* The next free number of repeats of the same tooth on its day, by the same method. */
int32_t form_next_tooth_repeat(const struct assessment *assessment,
                               const struct tooth_width *width);
/* Is the width unusual: for a tooth at all, or beside what is recorded of it (assessment NULL: not
 * looked at)? ASK with a sentence, else TAKEN. */
enum entry form_ask_tooth(const struct assessment *assessment, const struct tooth_width *width,
                          char sentence[200]);

#endif
