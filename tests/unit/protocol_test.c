/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The settings: their defaults and standings as the practice was told, and what is refused. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "springline/core/protocol.h"

/*
 * C: common practice, no source. S: the practice's own. P: published (the width error: 0.22-0.31
 * mm; retention: Dental Press J Orthod 2017;22(2)).
 */
static const struct {
    const char *name;
    int32_t value;
    enum standing standing;
} expected[] = {
    {"first_step_max_mm", 1000, STANDING_COMMON},
    {"step_max_mm", 2000, STANDING_COMMON},
    {"step_grain_mm", 250, STANDING_SETTING},
    {"interval_min_days", 21, STANDING_COMMON},
    {"interval_max_days", 28, STANDING_COMMON},
    {"restart_after_days", 56, STANDING_SETTING},
    {"window_days", 42, STANDING_SETTING},
    {"window_max_mm", 4000, STANDING_SETTING},
    {"wear_day_min_minutes", 60, STANDING_COMMON},
    {"wear_night", ANSWER_YES, STANDING_COMMON},
    {"wear_full", 800, STANDING_SETTING},
    {"wear_low", 500, STANDING_SETTING},
    {"wear_known_min", 500, STANDING_SETTING},
    {"wear_thin", 800, STANDING_SETTING},
    {"wear_period_min_days", 14, STANDING_SETTING},
    {"wear_differs_days", 7, STANDING_SETTING},
    {"reduce_factor", 500, STANDING_SETTING},
    {"wear_run_hold", 2, STANDING_SETTING},
    {"wear_run_rest", 3, STANDING_SETTING},
    {"side_gap_mm", 1000, STANDING_SETTING},
    {"lag_total_mm", 4000, STANDING_SETTING},
    {"lag_days", 56, STANDING_SETTING},
    {"lag_share", 250, STANDING_SETTING},
    {"width_rate_max_mm_per_week", 1000, STANDING_SETTING},
    {"width_stale_days", 42, STANDING_SETTING},
    {"width_missing_days", 84, STANDING_SETTING},
    {"width_error_mm", 300, STANDING_PUBLISHED},
    {"retention_days", 180, STANDING_PUBLISHED},
    {"recheck_wear_min_days", 14, STANDING_SETTING},
    {"recheck_wear_max_days", 21, STANDING_SETTING},
    {"recheck_fault_min_days", 1, STANDING_SETTING},
    {"recheck_fault_max_days", 7, STANDING_SETTING},
    {"recheck_rest_min_days", 28, STANDING_SETTING},
    {"recheck_rest_max_days", 35, STANDING_SETTING},
    {"separator_days", 7, STANDING_COMMON},
    {"lower_after_days", 90, STANDING_COMMON},
    {"entry_cap_mm", 5000, STANDING_SETTING},
};

static void each_setting_has_its_default_and_standing(void **state)
{
    struct protocol protocol;

    (void)state;
    protocol_defaults(&protocol);
    assert_string_equal(protocol.name, "practice");
    assert_int_equal(sizeof expected / sizeof expected[0], SETTING_COUNT - 1);
    for (int i = SETTING_NONE + 1; i < SETTING_COUNT; i++) {
        const struct setting_row *row = &protocol_settings[i];
        assert_string_equal(row->name, expected[i - 1].name);
        assert_int_equal(row->value, expected[i - 1].value);
        assert_int_equal(row->standing, expected[i - 1].standing);
        assert_int_equal(protocol_value(&protocol, (enum setting)i), expected[i - 1].value);
        /* what is said to be published names where */
        assert_int_equal(row->source[0] != '\0', row->standing == STANDING_PUBLISHED);
    }
    assert_int_equal(protocol_value(&protocol, SETTING_NONE), 0);
    assert_int_equal(protocol_value(&protocol, SETTING_COUNT), 0);
    assert_int_equal(protocol_check(&protocol, NULL), STATUS_OK);
}

static void two_settings_never_share_a_place(void **state)
{
    (void)state;
    for (int i = SETTING_NONE + 1; i < SETTING_COUNT; i++) {
        for (int j = SETTING_NONE + 1; j < i; j++)
            assert_int_not_equal(protocol_settings[i].offset, protocol_settings[j].offset);
    }
}

/* One setting away from the defaults. */
static const struct {
    enum setting setting;
    int32_t value;
    bool good;
} changes[] = {
    {SETTING_STEP_GRAIN, 1000, true},      {SETTING_STEP_GRAIN, 1010, false},
    {SETTING_STEP_GRAIN, 0, false},        {SETTING_FIRST_STEP_MAX, 2000, true},
    {SETTING_FIRST_STEP_MAX, 2010, false}, {SETTING_STEP_MAX, 5000, true},
    {SETTING_STEP_MAX, 5010, false},       {SETTING_ENTRY_CAP, 2000, true},
    {SETTING_ENTRY_CAP, 1990, false},      {SETTING_INTERVAL_MIN, 28, true},
    {SETTING_INTERVAL_MIN, 29, false},     {SETTING_INTERVAL_MIN, 0, false},
    {SETTING_INTERVAL_MAX, 55, true},      {SETTING_INTERVAL_MAX, 56, false},
    {SETTING_WEAR_LOW, 799, true},         {SETTING_WEAR_LOW, 800, false},
    {SETTING_WEAR_LOW, 0, false},          {SETTING_WEAR_FULL, 1000, true},
    {SETTING_WEAR_FULL, 1001, false},      {SETTING_REDUCE_FACTOR, 999, true},
    {SETTING_REDUCE_FACTOR, 1000, false},  {SETTING_REDUCE_FACTOR, 0, false},
    {SETTING_WINDOW_MAX, 250, true},       {SETTING_WINDOW_MAX, 240, false},
    {SETTING_WEAR_NIGHT, ANSWER_NO, true}, {SETTING_WEAR_NIGHT, ANSWER_NONE, false},
    {SETTING_WEAR_RUN_HOLD, 0, false},     {SETTING_WEAR_KNOWN_MIN, 0, false},
    {SETTING_RECHECK_WEAR_MIN, 21, true},  {SETTING_RECHECK_WEAR_MIN, 22, false},
    {SETTING_RECHECK_REST_MAX, 27, false}, {SETTING_WIDTH_ERROR, -1, false},
};

static void a_protocol_is_refused_by_name(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof changes / sizeof changes[0]; i++) {
        const struct setting_row *row = &protocol_settings[changes[i].setting];
        struct error error = {.status = STATUS_OK};
        struct protocol protocol;
        protocol_defaults(&protocol);
        memcpy((char *)&protocol + row->offset, &changes[i].value, sizeof changes[i].value);
        enum status status = protocol_check(&protocol, &error);
        if (status != (changes[i].good ? STATUS_OK : STATUS_INPUT))
            fail_msg("%s %d: status %d", row->name, (int)changes[i].value, (int)status);
        assert_int_equal(error.status, status);
        if (!changes[i].good)
            assert_non_null(strstr(error.sentence, row->name));
    }
}

static void the_sentence_says_what_to_mend(void **state)
{
    struct error error;
    struct protocol protocol;

    (void)state;
    protocol_defaults(&protocol);
    protocol.first_step_max = 2250;
    assert_int_equal(protocol_check(&protocol, &error), STATUS_INPUT);
    assert_string_equal(error.sentence,
                        "first_step_max_mm is 2.250 and step_max_mm is 2.000: the first must be at "
                        "most the second. Correct one of them, then save again.");
    assert_string_equal(error.where, "first_step_max_mm");
    protocol_defaults(&protocol);
    protocol.wear_low_permille = -5;
    assert_int_equal(protocol_check(&protocol, &error), STATUS_INPUT);
    assert_string_equal(error.sentence, "wear_low is -0.005; it must lie between 0.001 and 1.000. "
                                        "Correct it, then save again.");
    protocol_defaults(&protocol);
    protocol.interval_max_days = 56;
    assert_int_equal(protocol_check(&protocol, &error), STATUS_INPUT);
    assert_string_equal(error.sentence,
                        "interval_max_days is 56 and restart_after_days is 56: the first must be "
                        "below the second. Correct one of them, then save again.");
    protocol_defaults(&protocol);
    protocol.wear_night = ANSWER_NONE;
    assert_int_equal(protocol_check(&protocol, &error), STATUS_INPUT);
    assert_string_equal(error.sentence, "wear_night must be yes or no.");
    protocol_defaults(&protocol);
    protocol.restart_after_days = INT32_MIN;
    assert_int_equal(protocol_check(&protocol, &error), STATUS_INPUT);
    assert_string_equal(error.sentence, "restart_after_days is -2147483648; it must lie between 1 "
                                        "and 3650. Correct it, then save again.");
}

static void standings_have_words(void **state)
{
    (void)state;
    assert_string_equal(standing_text(STANDING_PUBLISHED), "published");
    assert_string_equal(standing_text(STANDING_COMMON), "common practice");
    assert_string_equal(standing_text(STANDING_SETTING), "practice setting");
    assert_string_equal(standing_text(STANDING_MEMORY), "from memory");
    assert_string_equal(standing_text((enum standing)99), "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_setting_has_its_default_and_standing),
        cmocka_unit_test(two_settings_never_share_a_place),
        cmocka_unit_test(a_protocol_is_refused_by_name),
        cmocka_unit_test(the_sentence_says_what_to_mend),
        cmocka_unit_test(standings_have_words),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
