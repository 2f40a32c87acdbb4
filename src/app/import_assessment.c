/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What can be judged of a measurement of the assessment, or of a plan, from its row alone. The
 * ranges catch slips (exchange_private.h); what a plan may hold is no permission of anything.
 */
#include "exchange_private.h"
#include "springline/core/tooth.h"

/* A plan that reaches further is a slip of the year: the program's own setting. */
enum { PLAN_MOST_YEARS = 10 };

enum status import_check_tooth_width(const struct tooth_width *row, struct error *error)
{
    if (row->tooth >= 0 && !tooth_exists(row->tooth))
        return error_set(
            error, STATUS_INPUT, "tooth",
            "There is no tooth %d; write a code of ISO 3950: 11 to 18, 21 to 28, 31 to 38, "
            "41 to 48, or of a deciduous tooth 51 to 55, 61 to 65, 71 to 75, 81 to 85.",
            (int)row->tooth);
    enum status status =
        import_check_length("mm", row->value, TOOTH_LEAST_UM, TOOTH_MOST_UM, error);
    return status == STATUS_OK ? import_check_repeat(row->repeat, error) : status;
}

enum status import_check_arch_segment(const struct arch_segment *row, struct error *error)
{
    static const char *const columns[] = {"back_right_mm", "front_right_mm", "front_left_mm",
                                          "back_left_mm"};
    const um values[] = {row->back_right, row->front_right, row->front_left, row->back_left};
    enum status status = STATUS_OK;
    bool any = false;

    for (size_t i = 0; i < sizeof values / sizeof *values && status == STATUS_OK; i++) {
        any = any || values[i] != UM_NONE;
        status =
            import_check_length(columns[i], values[i], SEGMENT_LEAST_UM, SEGMENT_MOST_UM, error);
    }
    if (status == STATUS_OK && !any)
        status = error_set(error, STATUS_INPUT, columns[0],
                           "None of the four segments is measured; give one at least.");
    return status == STATUS_OK ? import_check_repeat(row->repeat, error) : status;
}

enum status import_check_arch_depth(const struct arch_depth *row, struct error *error)
{
    enum status status =
        import_check_length("mm", row->value, DEPTH_LEAST_UM, DEPTH_MOST_UM, error);

    if (status == STATUS_OK)
        status = import_check_teeth(row->teeth, row->arch, error);
    return status == STATUS_OK ? import_check_repeat(row->repeat, error) : status;
}

/* ---- a plan ---- */

/* A width says nothing without the two points it is taken between. */
static enum status check_measure(const struct plan *row, struct error *error)
{
    bool widths = row->start_width != UM_NONE || row->target != UM_NONE;

    if (widths && row->site == SITE_NONE)
        return error_set(error, STATUS_INPUT, "site",
                         "A planned width needs its site; write intermolar, intercanine or "
                         "interpremolar.");
    if (widths && row->landmark == LANDMARK_NONE)
        return error_set(error, STATUS_INPUT, "landmark",
                         "A planned width needs its landmark, by which it differs by up to 20 mm.");
    if (widths && row->teeth.right == 0)
        return error_set(error, STATUS_INPUT, "teeth",
                         "A planned width needs its two teeth, as 16-26.");
    return import_check_teeth(row->teeth, row->arch, error);
}

static enum status check_lengths(const struct plan *row, struct error *error)
{
    enum status status =
        import_check_length("balance_mm", row->balance, -BALANCE_MOST_UM, BALANCE_MOST_UM, error);

    if (status == STATUS_OK)
        status = import_check_length("start_width_mm", row->start_width, WIDTH_LEAST_UM,
                                     WIDTH_MOST_UM, error);
    if (status == STATUS_OK)
        status = import_check_length("depth_mm", row->depth, DEPTH_LEAST_UM, DEPTH_MOST_UM, error);
    if (status == STATUS_OK)
        status =
            import_check_length("target_mm", row->target, WIDTH_LEAST_UM, WIDTH_MOST_UM, error);
    if (status == STATUS_OK && row->start_width != UM_NONE && row->target != UM_NONE &&
        row->target < row->start_width)
        status = error_set(error, STATUS_INPUT, "target_mm",
                           "The target lies below start_width_mm; one of them is wrong.");
    return status;
}

static enum status check_range(const char *column, int32_t least, int32_t most, struct error *error)
{
    if (least < 0 || most < 0 || least <= most)
        return STATUS_OK;
    return error_set(error, STATUS_INPUT, column, "%d at least is more than %d at most.",
                     (int)least, (int)most);
}

static enum status check_ranges(const struct plan *row, struct error *error)
{
    enum status status =
        check_range("activations_most", row->activations_least, row->activations_most, error);

    if (status == STATUS_OK)
        status = check_range("weeks_most", row->weeks_least, row->weeks_most, error);
    if (status == STATUS_OK)
        status = check_range("visits_most", row->visits_least, row->visits_most, error);
    return status;
}

/* Each phase after the one before it, and none of them years away. */
static enum status check_days(const struct plan *row, struct error *error)
{
    static const char *const columns[] = {
        "separators_on",    "bands_on",           "fit_on",
        "active_from",      "active_to_earliest", "retention_to_earliest",
        "active_to_latest", "retention_to_latest"};
    const day days[] = {row->separators_on,    row->bands_on,           row->fit_on,
                        row->active_from,      row->active_to_earliest, row->retention_to_earliest,
                        row->active_to_latest, row->retention_to_latest};
    enum { COUNT = sizeof days / sizeof *days, RETENTION_EARLIEST = 5, ACTIVE_LATEST = 6 };
    const day last =
        row->made_on == DAY_NONE ? INT32_MAX : day_add_months(row->made_on, 12 * PLAN_MOST_YEARS);
    enum status status = STATUS_OK;

    for (size_t later = 1; later < COUNT; later++)
        for (size_t earlier = 0; earlier < later && status == STATUS_OK; earlier++)
            /* The longest activation may end after the shortest retention. */
            if (later != ACTIVE_LATEST || earlier != RETENTION_EARLIEST)
                status = import_check_order(columns[later], days[later], columns[earlier],
                                            days[earlier], error);
    for (size_t i = 0; i < COUNT && status == STATUS_OK; i++)
        if (days[i] != DAY_NONE && days[i] > last)
            status = error_set(error, STATUS_INPUT, columns[i],
                               "It lies more than %d years after made_on, so it is taken for a "
                               "slip; check the year.",
                               (int)PLAN_MOST_YEARS);
    return status;
}

enum status import_check_plan(const struct plan *row, struct error *error)
{
    enum status status = check_lengths(row, error);

    if (status == STATUS_OK)
        status = check_measure(row, error);
    if (status == STATUS_OK)
        status = check_ranges(row, error);
    if (status == STATUS_OK)
        status = check_days(row, error);
    return status;
}
