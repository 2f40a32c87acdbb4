/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is written beside a visit row, whether it came from the visit sheet or from a form. */
#include "springline/app/sentence.h"
#include "visit_private.h"

enum status visit_append_judged(struct app *app, const struct id *visit,
                                const struct judgement *judgement, const struct protocol *protocol,
                                struct error *error)
{
    struct text findings = {0};

    sentence_findings_json(&findings, judgement);
    if (findings.failed) {
        text_release(&findings);
        return error_no_memory(error);
    }
    struct judged judged = {.visit = *visit,
                            .verdict = (int32_t)judgement->verdict,
                            .permitted_right = judgement->permitted_right,
                            .permitted_left = judgement->permitted_left,
                            .next_from = judgement->next_from,
                            .next_to = judgement->next_to,
                            .protocol = protocol->head.id,
                            .rules_version = RULES_VERSION,
                            .width_error = protocol->width_error,
                            .findings = text_string(&findings)};
    enum status status = store_append(app->store, RECORD_JUDGED, &judged, error);
    text_release(&findings);
    return status;
}

enum status visit_end_bookings(struct app *app, const struct history *history, day date,
                               enum booking_state state, struct error *error)
{
    enum status status = STATUS_OK;

    for (size_t i = 0; i < history->booking_count && status == STATUS_OK; i++) {
        struct booking booking = history->bookings[i];
        if (booking.date != date || booking.state != BOOKED_STANDING)
            continue;
        booking.state = state;
        booking.head.reason = state == BOOKED_KEPT ? "a visit of the day was recorded"
                                                   : "the patient did not come that day";
        status = store_append(app->store, RECORD_BOOKING, &booking, error);
    }
    return status;
}
