/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What stands behind a row that is worked out and has no record: a text that is only read. */
#ifndef SPRINGLINE_UI_BEHIND_H
#define SPRINGLINE_UI_BEHIND_H

#include "springline/app/case_view.h"
#include "springline/ui/ui.h"

/* Of a case: a stretch of wear, or whether an arch holds. */
void behind_case_row(struct ui *ui, const struct id *casefile, const struct case_row *row,
                     const char *who);
/* Where the error of a width comes from; name of the protocol, "" the practice's. */
void behind_width_error(struct ui *ui, const char *name);

#endif
