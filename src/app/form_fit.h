/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The fit sheet and its review. */
#ifndef SPRINGLINE_APP_FORM_FIT_H
#define SPRINGLINE_APP_FORM_FIT_H

#include "form_parts.h"

enum { FIT_CASE, FIT_EXPANDER, FIT_TRAINER }; /* slots; the case is 0 for the health questions */

/* The hook warn of the fit sheet: which expander it is about, the separators, what still keeps an
 * activation back, the answers to the health questions. */
enum status form_fit_warn(struct app *app, struct form *form, struct arena *arena,
                          struct lines *lines, struct error *error);

#endif
