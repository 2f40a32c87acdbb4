/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The parts of app_verify. Private. */
#ifndef SPRINGLINE_APP_VERIFY_PRIVATE_H
#define SPRINGLINE_APP_VERIFY_PRIVATE_H

#include "springline/app/app.h"

enum { VERIFY_LINES_SHOWN = 200, VERIFY_ASIDE_SHOWN = 20 };

/* The stored verdicts on their way through. */
struct verdict_check {
    struct app *app;
    struct text *out;          /* findings, a line each */
    struct text aside;         /* lines that are no findings */
    struct arena rows, moment; /* of a case; of one verdict */
    struct arena settings;
    struct protocol protocol; /* the protocol row that was read last */
    size_t same;              /* worked out again, and as stored */
    size_t wrong;             /* and not as stored */
    size_t other_rules;       /* given by another version of the rules */
    size_t other_answers;     /* of these: the rules of now give another answer */
    size_t worded;            /* as stored, but for the words of a reason */
};

/* Works out again every verdict stored with a visit of this case. number: to name it by. Failures
 * are those of reading; what does not follow is counted and told. */
enum status verify_verdicts(struct verdict_check *check, const struct id *casefile,
                            const char *number, struct error *error);
/* What it came to, appended to out. */
void verify_verdicts_tell(struct verdict_check *check);
void verify_verdicts_release(struct verdict_check *check);

#endif
