/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What stands behind a row of the case screen. */
#ifndef SPRINGLINE_UI_CASE_OPEN_H
#define SPRINGLINE_UI_CASE_OPEN_H

#include "springline/app/case_view.h"
#include "springline/ui/ui.h"

/* Opens the record of a row, or, of one that is worked out, the text behind it. who: whose case. */
void case_row_open(struct ui *ui, const struct id *casefile, const char *who,
                   const struct case_row *row);

#endif
