/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "springline/base/arena.h"

/* AddressSanitizer must answer an impossible request as malloc does, not end the program. */
const char *__asan_default_options(void);
const char *__asan_default_options(void)
{
    return "allocator_may_return_null=1";
}

static void gives_zeroed_aligned_memory_that_does_not_overlap(void **state)
{
    static const size_t sizes[] = {0, 1, 7, 8, 15, 16, 17, 100, 4095, 4096, 4097, 100000, 2097152};
    struct arena arena = {0};
    unsigned char *given[13];

    (void)state;
    for (size_t i = 0; i < 13; i++) {
        given[i] = arena_alloc(&arena, sizes[i]);
        assert_non_null(given[i]);
        assert_int_equal((uintptr_t)given[i] % _Alignof(max_align_t), 0);
        for (size_t byte = 0; byte < sizes[i]; byte++)
            assert_int_equal(given[i][byte], 0);
        memset(given[i], (int)(i + 1), sizes[i]);
    }
    for (size_t i = 0; i < 13; i++)
        for (size_t byte = 0; byte < sizes[i]; byte++)
            assert_int_equal(given[i][byte], i + 1);
    assert_ptr_not_equal(arena_alloc(&arena, 0), arena_alloc(&arena, 0));
    arena_release(&arena);
    assert_null(arena.newest);
}

static void memory_used_again_is_zeroed_again(void **state)
{
    struct arena arena = {0};
    unsigned char *first, *again;

    (void)state;
    first = arena_alloc(&arena, 64);
    assert_non_null(first);
    memset(first, 0xAA, 64);
    arena_clear(&arena);
    again = arena_alloc(&arena, 64);
    assert_ptr_equal(again, first);
    for (int i = 0; i < 64; i++)
        assert_int_equal(again[i], 0);
    arena_release(&arena);
}

static void clear_keeps_one_block_and_gives_back_a_huge_one(void **state)
{
    struct arena arena = {0};

    (void)state;
    arena_clear(&arena);
    assert_null(arena.newest);
    for (int i = 0; i < 1000; i++)
        assert_non_null(arena_alloc(&arena, 4000));
    arena_clear(&arena);
    assert_non_null(arena.newest);
    arena_release(&arena);

    assert_non_null(arena_alloc(&arena, 8 * 1024 * 1024));
    arena_clear(&arena);
    assert_null(arena.newest);
    assert_non_null(arena_alloc(&arena, 10));
    arena_release(&arena);
    arena_release(&arena);
}

static void array_multiplies_and_sees_overflow(void **state)
{
    struct arena arena = {0};
    unsigned char *array;

    (void)state;
    array = arena_array(&arena, 10, 12);
    assert_non_null(array);
    for (int i = 0; i < 120; i++)
        assert_int_equal(array[i], 0);
    assert_non_null(arena_array(&arena, 0, 12));
    assert_non_null(arena_array(&arena, 12, 0));
    assert_null(arena_array(&arena, SIZE_MAX / 2, 3));
    assert_null(arena_array(&arena, 3, SIZE_MAX / 2));
    arena_release(&arena);
}

static void text_is_copied_and_ended(void **state)
{
    struct arena arena = {0};
    char *copy;

    (void)state;
    copy = arena_text(&arena, "Aas, Test", 3);
    assert_string_equal(copy, "Aas");
    assert_string_equal(arena_text(&arena, NULL, 0), "");
    assert_null(arena_text(&arena, "x", SIZE_MAX));
    assert_null(arena_text(&arena, "x", PTRDIFF_MAX)); /* fails before it reads a byte */
    assert_string_equal(copy, "Aas");
    arena_release(&arena);
}

static void exhausted_memory_is_null_and_harms_nothing(void **state)
{
    static const size_t impossible[] = {SIZE_MAX, SIZE_MAX - 15, SIZE_MAX - 17, SIZE_MAX / 2,
                                        PTRDIFF_MAX};
    struct arena arena = {0};
    char *kept;

    (void)state;
    for (size_t i = 0; i < 5; i++)
        assert_null(arena_alloc(&arena, impossible[i]));
    assert_null(arena.newest);
    kept = arena_text(&arena, "kept", 4);
    for (size_t i = 0; i < 5; i++)
        assert_null(arena_alloc(&arena, impossible[i]));
    assert_string_equal(kept, "kept");
    assert_non_null(arena_alloc(&arena, 100));
    arena_release(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(gives_zeroed_aligned_memory_that_does_not_overlap),
        cmocka_unit_test(memory_used_again_is_zeroed_again),
        cmocka_unit_test(clear_keeps_one_block_and_gives_back_a_huge_one),
        cmocka_unit_test(array_multiplies_and_sees_overflow),
        cmocka_unit_test(text_is_copied_and_ended),
        cmocka_unit_test(exhausted_memory_is_null_and_harms_nothing),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
