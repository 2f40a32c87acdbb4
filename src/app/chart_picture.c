/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The pictures of a chart: of each arch its widths, what was given, and wear, on one time axis. */
#include <string.h>

#include "chart_private.h"
#include "springline/app/picture.h"

enum { PICTURE_ROWS = 20 };

static bool add_picture(struct text *out, const struct picture *picture, int columns,
                        struct arena *arena)
{
    struct lines lines = {0};
    struct text legend = {0};

    if (picture_text(picture, columns, PICTURE_ROWS, false, arena, &lines, NULL) != STATUS_OK)
        return false;
    text_add(out, "\n");
    for (size_t i = 0; i < lines.count; i++)
        text_addf(out, "%s\n", lines.line[i]);
    picture_legend(picture, false, &legend);
    if (picture->drawable && legend.length > 0)
        text_add_wrapped(out, "", text_string(&legend), columns);
    bool good = !legend.failed;
    text_release(&legend);
    return good;
}

void chart_pictures(struct text *out, const struct history *history, day today, int columns)
{
    struct arena arena = {0};
    struct pictures pictures;
    bool good = pictures_make(history, today, &arena, &pictures, NULL) == STATUS_OK;

    for (int i = 0; good && i < pictures.count; i++)
        good = add_picture(out, &pictures.of[i], columns, &arena);
    out->failed = out->failed || !good;
    arena_release(&arena);
}
