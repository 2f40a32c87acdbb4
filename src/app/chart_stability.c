/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Does the result hold: the arches that are no longer moved. */
#include "chart_private.h"
#include "told_stability.h"

static void add_arch(struct text *out, const struct stability *stability, int columns)
{
    struct text line = {0};

    told_stability(&line, stability);
    text_add_wrapped(out, "", text_string(&line), columns);
    text_clear(&line);
    told_checks_due(&line, stability);
    text_add_wrapped(out, "  ", text_string(&line), columns);
    out->failed = out->failed || line.failed;
    text_release(&line);
}

void chart_stability(struct text *out, const struct history *history, day today, int columns)
{
    struct stability stability;
    bool any = false;

    for (int arch = ARCH_UPPER; arch <= ARCH_LOWER; arch++) {
        if (!stability_of(history, (enum arch)arch, today, &stability))
            continue;
        text_add(out, any ? "" : "\nDoes it hold\n");
        add_arch(out, &stability, columns);
        any = true;
    }
    for (size_t i = 0; i < told_stability_published_count && any; i++)
        text_add_wrapped(out, "  ", told_stability_published[i], columns);
}
