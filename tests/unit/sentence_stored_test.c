/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The sentences stored with a verdict as JSON (RFC 8259), read back. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "case_maker.h"
#include "springline/app/sentence.h"

static void stored_sentences_are_those_that_were_written(void **state)
{
    struct case_maker maker;
    struct judgement judgement;
    struct text json = {0}, stored = {0}, wanted = {0};
    int order[FINDINGS_MAX];

    (void)state;
    case_typical(&maker);
    maker.question.examination.tissue = TISSUE_WOUND;
    maker.question.examination.hardware = hardware_bit(FAULT_BENT_WIRE, SIDE_LEFT);
    case_judge(&maker, &judgement);
    assert_true(judgement.finding_count >= 3);
    sentence_findings_json(&json, &judgement);
    sentence_order(&judgement, order);
    for (int i = 0; i < judgement.finding_count; i++) {
        sentence_finding(&wanted, &judgement.findings[order[i]]);
        text_add(&wanted, "|");
    }
    struct sentence_stored reader = {text_string(&json), 0};
    while (sentence_stored(&reader, &stored))
        text_add(&stored, "|");
    assert_string_equal(text_string(&stored), text_string(&wanted));
    text_release(&json);
    text_release(&stored);
    text_release(&wanted);
}

static void what_is_no_such_text_gives_nothing(void **state)
{
    static const char *const texts[] = {"",
                                        "[]",
                                        "[{",
                                        "nonsense",
                                        "[{\"text\"",
                                        "{\"text\":\"too shallow\"}",
                                        "[{\"values\":{\"text\":\"too deep\"}}]",
                                        "[{\"rule\":\"text\",\"effect\":\"hold\"}]",
                                        "]]]}}}\"\\"};
    struct text out = {0};

    (void)state;
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        struct sentence_stored reader = {texts[i], 0};
        assert_false(sentence_stored(&reader, &out));
        assert_int_equal(out.length, 0);
    }
    struct sentence_stored none = {NULL, 0};
    assert_false(sentence_stored(&none, &out));
    struct sentence_stored escaped = {"[{\"text\":\"a \\\"b\\\\ \\u0009c\"}]", 0};
    assert_true(sentence_stored(&escaped, &out));
    assert_string_equal(text_string(&out), "a \"b\\ \tc");
    text_release(&out);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(stored_sentences_are_those_that_were_written),
        cmocka_unit_test(what_is_no_such_text_gives_nothing),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
