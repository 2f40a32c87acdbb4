/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Stored verdicts against the record as it stands: which visits are marked, and which are not. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "springline/app/effect.h"
#include "springline/core/course.h"
#include "store_case.h"

struct bench {
    struct store_case kept; /* only the protocol row is read from it */
    struct case_maker maker;
    struct id protocol;
    struct arena arena;
    struct effects effects;
    struct error error;
};

/*
 * A typical case whose last activation, 24 days before 2026-06-01, stands with the verdict that the
 * record gives: under the practice's protocol row of the store.
 */
static void begin(struct bench *bench, const char *name)
{
    struct protocol protocol;

    case_typical(&bench->maker);
    case_wear(&bench->maker, SOURCE_DIARY, 100, 61, 40);
    store_case_open(&bench->kept, name, bench->maker.today);
    assert_int_equal(store_read_protocol(bench->kept.app.store, NULL, STORE_NOW, &bench->arena,
                                         &protocol, &bench->error),
                     STATUS_OK);
    bench->protocol = protocol.head.id;
}

static void end(struct bench *bench)
{
    arena_release(&bench->arena);
    store_case_close(&bench->kept);
}

/* The verdict of today's record, stored with the visit. */
static struct judged *store_verdict(struct bench *bench, const struct visit *visit)
{
    struct judgement now;

    assert_true(course_verdict_now(&bench->maker.history, visit, &now));
    struct judged *judged =
        case_judged(&bench->maker, visit, now.verdict, now.permitted_right, now.permitted_left);
    judged->protocol = bench->protocol;
    judged->rules_version = RULES_VERSION;
    judged->width_error = bench->maker.protocol.width_error;
    return judged;
}

static size_t marks(struct bench *bench)
{
    if (effect_marks(&bench->kept.app, &bench->maker.history, &bench->arena, &bench->effects,
                     &bench->error) != STATUS_OK)
        fail_msg("%s", bench->error.sentence);
    return bench->effects.count;
}

static struct width *newest_width(struct bench *bench)
{
    return &bench->maker.widths[bench->maker.history.width_count - 1];
}

static void the_same_record_marks_nothing(void **state)
{
    struct bench bench = {0};

    (void)state;
    begin(&bench, "effect_none");
    assert_int_equal(marks(&bench), 0); /* nothing stored */
    for (int i = 0; i < 3; i++)
        store_verdict(&bench, &bench.maker.visits[i]);
    assert_int_equal(marks(&bench), 0);
    end(&bench);
}

/* domain.md 4, tissue-wound: hold. Widths on the day of the visit count for it, later ones not. */
static void another_answer_is_marked(void **state)
{
    struct bench bench = {0};
    struct text told = {0};

    (void)state;
    begin(&bench, "effect_marked");
    for (int i = 0; i < 3; i++)
        store_verdict(&bench, &bench.maker.visits[i]);
    bench.maker.visits[1].tissue = TISSUE_WOUND;
    assert_true(marks(&bench) >= 1);
    assert_ptr_equal(bench.effects.rows[0].visit, &bench.maker.visits[1]);
    assert_int_equal(bench.effects.rows[0].now.verdict, VERDICT_HOLD);
    effect_tell(&told, &bench.effects.rows[0]);
    assert_string_equal(text_string(&told), "2026-04-14 upper: PROCEED was stored, by the record "
                                            "as it stands it is HOLD");
    text_release(&told);
    bench.maker.visits[1].tissue = TISSUE_SOUND;
    assert_int_equal(marks(&bench), 0);

    newest_width(&bench)->value = 49600; /* of the day of the last visit: target-near */
    assert_int_equal(marks(&bench), 1);
    assert_ptr_equal(bench.effects.rows[0].visit, &bench.maker.visits[2]);
    newest_width(&bench)->date = bench.maker.today; /* later than all of them */
    newest_width(&bench)->value = 40000;
    (void)marks(&bench);
    size_t before = bench.effects.count;
    newest_width(&bench)->value = 49600;
    assert_int_equal(marks(&bench), before);
    end(&bench);
}

/* An amount permitted is part of the answer, and told where the word is the same. */
static void another_amount_is_marked(void **state)
{
    struct bench bench = {0};
    struct text told = {0};

    (void)state;
    begin(&bench, "effect_amount");
    struct judged *judged = store_verdict(&bench, &bench.maker.visits[2]);
    judged->permitted_left -= 250;
    assert_int_equal(marks(&bench), 1);
    effect_stored(&told, &bench.effects.rows[0]);
    text_add(&told, " / ");
    effect_now(&told, &bench.effects.rows[0]);
    assert_string_equal(text_string(&told),
                        "PROCEED right 2.00 left 1.75 mm / PROCEED right 2.00 left 2.00 mm");
    text_release(&told);
    end(&bench);
}

/* Where the record has no expander for the visit any more, no verdict is another verdict. */
static void no_verdict_is_another_one(void **state)
{
    struct bench bench = {0};
    struct text told = {0};

    (void)state;
    begin(&bench, "effect_no_verdict");
    store_verdict(&bench, &bench.maker.visits[2]);
    bench.maker.history.expander_count = 0;
    assert_int_equal(marks(&bench), 1);
    effect_now(&told, &bench.effects.rows[0]);
    assert_string_equal(text_string(&told), "NO VERDICT");
    text_release(&told);
    end(&bench);
}

/* A verdict belongs to the visit also after the visit was corrected: its row is then another one.
 */
static void a_corrected_visit_keeps_its_verdict(void **state)
{
    struct bench bench = {0};
    struct visit *visit = &bench.maker.visits[2];

    (void)state;
    begin(&bench, "effect_corrected");
    store_verdict(&bench, visit);
    visit->head.id.bytes[0] ^= 0xff;
    visit->head.version = 2;
    assert_int_equal(marks(&bench), 0);
    visit->tissue = TISSUE_WOUND;
    assert_int_equal(marks(&bench), 1);
    end(&bench);
}

/* Verdicts are compared under the settings they were given under. */
static void other_rules_and_settings_are_no_mark(void **state)
{
    struct bench bench = {0};

    (void)state;
    begin(&bench, "effect_settings");
    struct judged *judged = store_verdict(&bench, &bench.maker.visits[2]);
    bench.maker.protocol.step_max = 500; /* the practice's limit of today is none of then */
    assert_int_equal(marks(&bench), 0);
    judged->verdict = VERDICT_REST;
    assert_int_equal(marks(&bench), 1);
    judged->rules_version = RULES_VERSION + 1;
    assert_int_equal(marks(&bench), 0);
    judged->rules_version = RULES_VERSION;
    judged->protocol.bytes[0] ^= 0xff; /* a row that the store does not hold */
    assert_int_equal(effect_marks(&bench.kept.app, &bench.maker.history, &bench.arena,
                                  &bench.effects, &bench.error),
                     STATUS_DAMAGED);
    end(&bench);
}

static void what_was_marked_before_is_not_added(void **state)
{
    struct bench bench = {0};
    struct effects before, added;

    (void)state;
    begin(&bench, "effect_added");
    for (int i = 0; i < 3; i++)
        store_verdict(&bench, &bench.maker.visits[i]);
    bench.maker.judged[0].permitted_right = 0;
    assert_int_equal(marks(&bench), 1);
    before = bench.effects;
    newest_width(&bench)->value = 49600;
    assert_int_equal(marks(&bench), 2);
    assert_int_equal(effect_added(&before, &bench.effects, &bench.arena, &added, &bench.error),
                     STATUS_OK);
    assert_int_equal(added.count, 1);
    assert_ptr_equal(added.rows[0].visit, &bench.maker.visits[2]);
    assert_int_equal(
        effect_added(&bench.effects, &bench.effects, &bench.arena, &added, &bench.error),
        STATUS_OK);
    assert_int_equal(added.count, 0);
    end(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_same_record_marks_nothing),
        cmocka_unit_test(another_answer_is_marked),
        cmocka_unit_test(another_amount_is_marked),
        cmocka_unit_test(no_verdict_is_another_one),
        cmocka_unit_test(a_corrected_visit_keeps_its_verdict),
        cmocka_unit_test(other_rules_and_settings_are_no_mark),
        cmocka_unit_test(what_was_marked_before_is_not_added),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
