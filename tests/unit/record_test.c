/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The tables of words and fields against the spelling that other programs rely on (the columns and
 * words of springline(5)), and against the structs they describe.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "springline/core/protocol.h"
#include "springline/core/record.h"

static const struct {
    const char *table, *csv, *columns, *key;
} promised[RECORD_KIND_COUNT] = {
    [RECORD_PATIENT] = {"patient", "patients",
                        "chart,family,given,born,sex,guardian,phone,guardian2,phone2,alerts,",
                        "chart,"},
    [RECORD_CASEFILE] = {"casefile", "cases",
                         "case,chart,opened,consent_on,asked_on,protocol,closed_on,closed_reason,"
                         "clinician,",
                         "case,"},
    [RECORD_TRAINER] = {"trainer", "trainers", "case,issued_on,ended_on,ended_reason,",
                        "case,issued_on,"},
    [RECORD_EXPANDER] = {"expander", "expanders",
                         "case,arch,separators_on,banded_on,fitted_on,passive_ends,width_equal,"
                         "loops_clear,tied,ends_rounded,wire_mm,loop_right_mm,loop_left_mm,sides,"
                         "plan_gap_mm,site,landmark,teeth,target_mm,passive_on,out_on,out_reason,",
                         "case,arch,fitted_on,"},
    [RECORD_VISIT] = {"visit", "visits",
                      "case,date,kind,arch,right_mm,left_mm,tissue,hardware,repaired,elsewhere,"
                      "override_reason,next_on,by,note,",
                      "case,date,kind,arch,"},
    [RECORD_WIDTH] = {"width", "widths", "case,date,arch,site,landmark,teeth,method,repeat,mm,by,",
                      "case,date,arch,site,landmark,teeth,method,repeat,"},
    [RECORD_WEAR_DAY] = {"wear_day", "wear_days", "case,date,day_minutes,night,source,",
                         "case,date,source,"},
    [RECORD_WEAR_COUNT] = {"wear_count", "wear_counts", "case,from,to,days_met,days_asked,source,",
                           "case,from,to,source,"},
    [RECORD_CONTACT] = {"contact", "contacts", "case,at,channel,outcome,again_on,by,note,",
                        "case,at,channel,"},
    [RECORD_BOOKING] = {"booking", "bookings", "case,date,time,kind,state,cancelled_by,",
                        "case,date,time,"},
    [RECORD_TOOTH_WIDTH] = {"tooth_width", "tooth_widths", "case,date,tooth,method,repeat,mm,by,",
                            "case,date,tooth,method,repeat,"},
    [RECORD_ARCH_SEGMENT] = {"arch_segment", "arch_segments",
                             "case,date,arch,method,repeat,back_right_mm,front_right_mm,"
                             "front_left_mm,back_left_mm,by,",
                             "case,date,arch,method,repeat,"},
    [RECORD_ARCH_DEPTH] = {"arch_depth", "arch_depths", "case,date,arch,teeth,method,repeat,mm,by,",
                           "case,date,arch,teeth,method,repeat,"},
    [RECORD_PLAN] = {"plan", "plans",
                     "case,arch,made_on,equation,balance_mm,site,landmark,teeth,start_width_mm,"
                     "depth_mm,target_mm,activations_least,activations_most,weeks_least,weeks_most,"
                     "visits_least,visits_most,separators_on,bands_on,fit_on,active_from,"
                     "active_to_earliest,active_to_latest,retention_to_earliest,"
                     "retention_to_latest,by,note,",
                     "case,arch,"},
    [RECORD_PROTOCOL] = {"protocol", NULL, NULL, "name,"},
    [RECORD_PERSON] = {"person", NULL, "login,name,role,alone,", "login,"},
    [RECORD_JUDGED] = {"judged", NULL, NULL, "visit,"},
    [RECORD_ACCESS] = {"access", NULL, NULL, ""},
    [RECORD_SIGNATURE] = {"signature", NULL, NULL, "row,"},
    [RECORD_MONTH_CLOSE] = {"month_close", NULL, NULL, "month,"},
    [RECORD_ERASURE] = {"erasure", NULL, NULL, ""},
};

/* Joins the names of the fields that have all of flags and none of without, each with a comma. */
static void join(const struct record_table *table, unsigned flags, unsigned without, char *out,
                 size_t size)
{
    size_t used = 0;

    for (size_t i = 0; i < table->field_count; i++) {
        const struct field *field = &table->fields[i];
        size_t length = strlen(field->name);

        if ((field->flags & flags) != flags || (field->flags & without) != 0)
            continue;
        assert_true(used + length + 2 < size);
        memcpy(out + used, field->name, length);
        used += length;
        out[used++] = ',';
    }
    out[used] = '\0';
}

static void columns_and_keys_are_as_promised(void **state)
{
    char joined[1200];

    (void)state;
    for (int kind = 0; kind < RECORD_KIND_COUNT; kind++) {
        const struct record_table *table = &record_tables[kind];

        assert_string_equal(table->table, promised[kind].table);
        if (promised[kind].csv == NULL)
            assert_null(table->csv);
        else
            assert_string_equal(table->csv, promised[kind].csv);
        if (promised[kind].columns != NULL) {
            join(table, 0, FIELD_NOT_IN_CSV, joined, sizeof joined);
            assert_string_equal(joined, promised[kind].columns);
        }
        join(table, FIELD_KEY, 0, joined, sizeof joined);
        assert_string_equal(joined, promised[kind].key);
    }
}

static void what_is_personal_is_marked(void **state)
{
    static const char *const personal[RECORD_KIND_COUNT] = {
        [RECORD_PATIENT] = "family,given,born,guardian,phone,guardian2,phone2,alerts,",
        [RECORD_VISIT] = "override_reason,note,",
        [RECORD_CONTACT] = "note,",
        [RECORD_PLAN] = "note,",
    };
    char joined[1200];

    (void)state;
    for (int kind = 0; kind < RECORD_KIND_COUNT; kind++) {
        join(&record_tables[kind], FIELD_PERSONAL, 0, joined, sizeof joined);
        assert_string_equal(joined, personal[kind] == NULL ? "" : personal[kind]);
    }
}

/* A key is required, but for what may be empty in one. */
static void keys_are_required(void **state)
{
    (void)state;
    for (int kind = 0; kind < RECORD_KIND_COUNT; kind++)
        for (size_t i = 0; i < record_tables[kind].field_count; i++) {
            const struct field *field = &record_tables[kind].fields[i];
            bool may_be_empty =
                (kind == RECORD_EXPANDER && strcmp(field->name, "fitted_on") == 0) ||
                (kind == RECORD_VISIT && strcmp(field->name, "arch") == 0);

            if ((field->flags & FIELD_KEY) != 0)
                assert_int_equal((field->flags & FIELD_REQUIRED) == 0, may_be_empty);
            if (kind == RECORD_PROTOCOL)
                assert_true((field->flags & FIELD_REQUIRED) != 0);
        }
}

static size_t size_of(enum field_type type)
{
    switch (type) {
    case FIELD_TEXT:
        return sizeof(const char *);
    case FIELD_DAY:
        return sizeof(day);
    case FIELD_INSTANT:
        return sizeof(instant);
    case FIELD_CLOCK:
    case FIELD_INT:
        return sizeof(int32_t);
    case FIELD_UM:
        return sizeof(um);
    case FIELD_WORD:
        return sizeof(int);
    case FIELD_HARDWARE:
        return sizeof(uint32_t);
    case FIELD_TEETH:
        return sizeof(struct teeth);
    case FIELD_ID:
        return sizeof(struct id);
    }
    fail_msg("no such type: %d", (int)type);
    return 0;
}

/* The end of the last field that lies before the byte at; none may lie over it. */
static size_t end_before(const struct record_table *table, size_t at)
{
    size_t end = sizeof(struct row_head);

    for (size_t i = 0; i < table->field_count; i++) {
        const struct field *field = &table->fields[i];
        size_t field_end = field->offset + size_of(field->type);

        if (field->offset < at) {
            assert_true(field_end <= at);
            end = field_end > end ? field_end : end;
        }
    }
    return end;
}

static size_t align(size_t offset, size_t alignment)
{
    return (offset + alignment - 1) / alignment * alignment;
}

/* Each field begins where the one before it ends, alignment apart: none lies over another, and no
 * member of the struct is left out (but for one that only fills padding). */
static void fields_cover_their_struct(void **state)
{
    (void)state;
    for (int kind = 0; kind < RECORD_KIND_COUNT; kind++) {
        const struct record_table *table = &record_tables[kind];

        for (size_t i = 0; i < table->field_count; i++) {
            const struct field *field = &table->fields[i];
            bool bytes = field->type == FIELD_ID || field->type == FIELD_TEETH;
            size_t alignment = bytes ? 1 : size_of(field->type);

            assert_int_equal(field->offset, align(end_before(table, field->offset), alignment));
        }
        assert_int_equal(table->size, align(end_before(table, table->size), sizeof(void *)));
    }
}

/* Every setting of a protocol is kept, under its own name, and nothing else but the name. */
static void protocols_keep_every_setting(void **state)
{
    const struct record_table *table = &record_tables[RECORD_PROTOCOL];

    (void)state;
    assert_int_equal(table->field_count, SETTING_COUNT);
    for (int setting = 1; setting < SETTING_COUNT; setting++) {
        const struct setting_row *row = &protocol_settings[setting];
        const struct field *found = NULL;

        for (size_t i = 0; i < table->field_count; i++)
            if (strcmp(table->fields[i].name, row->name) == 0)
                found = &table->fields[i];
        if (found == NULL) {
            fail_msg("%s is not kept", row->name);
            return;
        }
        assert_int_equal(found->offset, row->offset);
        assert_int_equal(found->type == FIELD_UM,
                         row->unit == UNIT_UM || row->unit == UNIT_UM_PER_WEEK);
        assert_int_equal(found->type == FIELD_WORD, row->unit == UNIT_ANSWER);
    }
}

static void types_fit_their_names(void **state)
{
    (void)state;
    for (int kind = 0; kind < RECORD_KIND_COUNT; kind++)
        for (size_t i = 0; i < record_tables[kind].field_count; i++) {
            const struct field *field = &record_tables[kind].fields[i];
            size_t length = strlen(field->name);

            assert_int_equal(field->words != NULL, field->type == FIELD_WORD);
            assert_int_equal(field->refers != RECORD_KIND_COUNT, field->type == FIELD_ID);
            if (length > 3 && strcmp(field->name + length - 3, "_mm") == 0)
                assert_int_equal(field->type, FIELD_UM);
            if (length > 3 && strcmp(field->name + length - 3, "_on") == 0)
                assert_int_equal(field->type, FIELD_DAY);
            for (size_t other = 0; other < i; other++)
                assert_string_not_equal(field->name, record_tables[kind].fields[other].name);
        }
}

/* A reference is written as the key of what it refers to: that must be one column of text. */
static void references_can_be_spelled(void **state)
{
    (void)state;
    for (int kind = 0; kind <= RECORD_PLAN; kind++)
        for (size_t i = 0; i < record_tables[kind].field_count; i++) {
            const struct field *field = &record_tables[kind].fields[i];
            const struct record_table *refers;

            if (field->type != FIELD_ID)
                continue;
            refers = &record_tables[field->refers];
            assert_string_equal(refers->fields[0].name, field->name);
            assert_int_equal(refers->fields[0].type, FIELD_TEXT);
            assert_true((refers->fields[0].flags & FIELD_KEY) != 0);
        }
}

static void words_are_as_promised(void **state)
{
    static const struct {
        const struct words *words;
        int last; /* of the enum */
        const char *spelled;
    } rows[] = {
        {&words_answer, ANSWER_NO, "yes no "},
        {&words_sex, SEX_UNKNOWN, "male female other unknown "},
        {&words_arch, ARCH_LOWER, "upper lower "},
        {&words_side, SIDE_LEFT, "right left "},
        {&words_sides, SIDES_LEFT, "both right left "},
        {&words_site, SITE_INTERPREMOLAR, "intermolar intercanine interpremolar "},
        {&words_landmark, LANDMARK_TUBE, "cusp fossa gingival facial tube "},
        {&words_method, METHOD_SCAN, "mouth cast scan "},
        {&words_source, SOURCE_TOLD, "sensor diary told "},
        {&words_tissue, TISSUE_WOUND, "none mild wound "},
        {&words_visit_kind, VISIT_MISSED,
         "activation check repair relief removal stability missed "},
        {&words_booking_kind, BOOKING_STABILITY,
         "assessment separators bands fit activation check repair relief removal stability "},
        {&words_booking_state, BOOKED_CANCELLED, "booked kept missed cancelled "},
        {&words_canceller, CANCELLER_PRACTICE, "family practice "},
        {&words_trainer_end, TRAINER_STOPPED, "lost broken outgrown stopped "},
        {&words_out_reason, OUT_OTHER, "rest repair target other "},
        {&words_closed_reason, CLOSED_DISCONTINUED, "finished transferred discontinued "},
        {&words_channel, CHANNEL_VISIT, "telephone letter message visit "},
        {&words_outcome, OUTCOME_REFUSED, "reached not-reached left-word refused "},
        {&words_role, ROLE_READER, "orthodontist assistant desk reader "},
        {&words_fault, FAULT_COUNT, "loose-band broken-wire bent-wire lost-ligature lost-bracket "},
        {&words_stage, STAGE_CLOSED,
         "assessed planned separators banded fitted active retention stability resting closed "},
        {&words_safety, SAFETY_COUNT - 1,
         "expander-unseen closed-with-expander separators-left-in bands-without-wire "
         "wound-or-fault "},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const struct words *words = rows[i].words;
        char joined[200] = "";
        size_t used = 0;

        assert_int_equal(words->count, rows[i].last + 1);
        assert_string_equal(word_text(words, 0), "");
        assert_true(strlen(words->name) > 0);
        for (int value = 1; value <= rows[i].last; value++) {
            const char *word = word_text(words, value);

            assert_int_equal(word_value(words, word), value);
            memcpy(joined + used, word, strlen(word));
            used += strlen(word);
            joined[used++] = ' ';
        }
        assert_string_equal(joined, rows[i].spelled);
    }
}

static void hardware_bits_are_all_different(void **state)
{
    uint32_t seen = HARDWARE_INTACT;

    (void)state;
    for (int fault = FAULT_LOOSE_BAND; fault <= FAULT_COUNT; fault++)
        for (int side = SIDE_NONE; side <= SIDE_LEFT; side++) {
            uint32_t bit = hardware_bit((enum fault)fault, (enum side)side);

            assert_true(bit != 0 && (bit & (bit - 1)) == 0);
            assert_int_equal(seen & bit, 0);
            assert_true(hardware_faulty(bit));
            seen |= bit;
        }
    assert_int_equal(seen, 0xFFFF);
    assert_false(hardware_faulty(HARDWARE_INTACT));
    assert_false(hardware_faulty(HARDWARE_NOT_RECORDED));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(columns_and_keys_are_as_promised),
        cmocka_unit_test(what_is_personal_is_marked),
        cmocka_unit_test(keys_are_required),
        cmocka_unit_test(fields_cover_their_struct),
        cmocka_unit_test(protocols_keep_every_setting),
        cmocka_unit_test(types_fit_their_names),
        cmocka_unit_test(references_can_be_spelled),
        cmocka_unit_test(words_are_as_promised),
        cmocka_unit_test(hardware_bits_are_all_different),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
