/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The pictures of screens in README.md and in springline.1 are what the program shows: each is
 * taken here, as text, from the real program over the demo practice, and compared with the one in
 * the file. UPDATE=1 make test TESTS=tests/screen/pictures_test.c writes them anew; read the
 * difference before you commit it.
 *
 * README.md holds them at 80 x 24. The manual has 75 columns: a page indents its text by five, and
 * is read at 80.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "practice.h"
#include "springline/base/text.h"

enum { ROWS = 24, COLUMNS = 80, MANUAL_COLUMNS = 75, DEAF_MS = 160 };

/* Where a picture stands, and how its lines are written there. */
struct page {
    const char *path;
    const char *begin, *named;  /* the line before it: begin, its name, named */
    const char *end;            /* the line behind it */
    const char *before, *after; /* its first line and its last one there */
    int columns;
    void (*add_line)(struct text *out, const char *line);
};

static void add_markdown(struct text *out, const char *line)
{
    if (line[0] != '\0')
        text_addf(out, "    %s", line);
    text_add(out, "\n");
}

/* The characters that roff would take for something else, or draw as something else. */
static void add_roff_character(struct text *out, uint32_t character, const char *bytes,
                               size_t length)
{
    static const struct {
        char character;
        const char *spelled;
    } spelled[] = {{'\\', "\\e"},  {'\'', "\\(aq"}, {'^', "\\(ha"},
                   {'~', "\\(ti"}, {'`', "\\(ga"},  {'-', "\\-"}};

    for (size_t i = 0; i < sizeof spelled / sizeof *spelled; i++) {
        if (character == (unsigned char)spelled[i].character) {
            text_add(out, spelled[i].spelled);
            return;
        }
    }
    if (character < 0x80)
        text_append(out, bytes, length);
    else
        text_addf(out, "\\[u%04X]", (unsigned)character);
}

static void add_roff(struct text *out, const char *line)
{
    size_t left = strlen(line);

    if (line[0] == '.')
        text_add(out, "\\&");
    while (left > 0) {
        uint32_t character = 0;
        size_t length = text_decode(line, left, &character);
        assert_true(length > 0);
        add_roff_character(out, character, line, length);
        line += length;
        left -= length;
    }
    text_add(out, "\n");
}

static const struct page readme = {.path = "README.md",
                                   .begin = "<!-- picture: ",
                                   .named = " -->\n",
                                   .end = "<!-- end of picture -->\n",
                                   .before = "\n",
                                   .after = "\n",
                                   .columns = COLUMNS,
                                   .add_line = add_markdown};
static const struct page manual = {.path = "man/springline.1",
                                   .begin = ".\\\" begin picture: ",
                                   .named = "\n",
                                   .end = ".\\\" end picture\n",
                                   .before = ".Bd -literal\n",
                                   .after = ".Ed\n",
                                   .columns = MANUAL_COLUMNS,
                                   .add_line = add_roff};

/*
 * One screen of each kind: the keys that lead there from the day's list (\r is Enter), and what
 * must be on it. What the real clock and this machine's user would make another picture every time
 * stands between two texts of one row: it is shown as dots.
 */
static const struct picture {
    const char *name;
    const struct page *page;
    const char *keys;
    const char *shows;
    const char *masked_from, *masked_to; /* NULL: nothing is */
} pictures[] = {
    {"today", &readme, "", "booked", NULL, NULL},
    {"visit", &readme, "0035\r\r\r10", "upper: REDUCE", NULL, NULL},
    {"menu", &manual, "0018*1*", "fit sheet", NULL, NULL},
    {"case", &manual, "0018*1", "HOLD", NULL, NULL},
    {"picture", &manual, "0007*1*p", "given", NULL, NULL},
    {"record", &manual, "0035*1++\r", "newest first", "version 1, ", " UTC"},
    {"form", &manual, "0045*1*6\r\r\r\r32\r32\r", "fitted on                     [", NULL, NULL},
    {"review", &manual, "0018*134.90\r133.90\r\rmisread\r", "because: misread", NULL, NULL},
    {"recall", &manual, "*6", "expander not seen", NULL, NULL},
    {"audit", &manual, "*7", "below LOW", NULL, NULL},
    {"audit-case", &manual, "*7++\r", "wear judged", NULL, NULL},
    {"close-month", &manual, "*7*7", "Close 2026-10", "ledger, hash ", "..."},
    {"caseload", &manual, "*7*l", "quartiles", NULL, NULL},
    {"settings", &manual, "*9", "first_step_max_mm", "version 2 of ", "date fixed"},
    {"people", &manual, "*0*1pia\rPia Lanternhouse\r2\r", "assistant", NULL, NULL},
    {"help", &manual, "?", "Keys that work here", NULL, NULL},
};

static char *read_file(const char *path)
{
    FILE *file = fopen(path, "re");
    struct text all = {0};
    char bytes[4096];
    size_t count;

    if (file == NULL)
        fail_msg("%s can not be read", path);
    while ((count = fread(bytes, 1, sizeof bytes, file)) > 0)
        text_append(&all, bytes, count);
    assert_int_equal(fclose(file), 0);
    assert_false(all.failed);
    return all.data; /* the caller's */
}

static void write_file(const char *path, const struct text *all)
{
    FILE *file = fopen(path, "we");

    assert_false(all->failed);
    if (file == NULL)
        fail_msg("%s can not be written", path);
    assert_int_equal(fwrite(all->data, 1, all->length, file), all->length);
    assert_int_equal(fclose(file), 0);
}

/* Types as a person does: a key struck again, and Enter, only after the hand has left the last. */
static void type(struct screen *screen, const char *keys)
{
    char before = '\0';

    for (; *keys != '\0'; keys++) {
        if (*keys == before || *keys == '\r')
            practice_pass(screen, DEAF_MS);
        before = *keys;
        assert_true(screen_send(screen, keys, 1));
        assert_true(screen_wait_ready(screen, 0));
    }
}

/* A row as it is shown in the picture. */
static void add_row(const struct picture *picture, struct text *out, const char *row)
{
    const char *from = picture->masked_from == NULL ? NULL : strstr(row, picture->masked_from);
    struct text shown = {0};

    if (from != NULL) {
        from += strlen(picture->masked_from);
        const char *to = strstr(from, picture->masked_to);
        assert_non_null(to);
        text_append(&shown, row, (size_t)(from - row));
        for (const char *at = from; at < to; at++)
            text_add(&shown, ((unsigned char)*at & 0xC0) == 0x80 ? "" : ".");
        row = to;
    }
    text_add(&shown, row);
    assert_false(shown.failed);
    picture->page->add_line(out, text_string(&shown));
    text_release(&shown);
}

static void take(const struct picture *picture, struct practice *practice, struct text *out)
{
    struct screen *screen = practice_screen(practice, ROWS, picture->page->columns, NULL);

    type(screen, picture->keys);
    practice_shows(screen, picture->shows);
    text_add(out, picture->page->before);
    for (int row = 0; row < ROWS; row++)
        add_row(picture, out, screen_row(screen, row));
    text_add(out, picture->page->after);
    screen_free(screen);
    assert_false(out->failed);
}

/* Where the picture's lines begin and end in the page. */
static void find(const struct picture *picture, const char *page, const char **from,
                 const char **to)
{
    char begin[120];

    (void)snprintf(begin, sizeof begin, "%s%s%s", picture->page->begin, picture->name,
                   picture->page->named);
    const char *at = strstr(page, begin);
    if (at == NULL)
        fail_msg("%s holds no picture called %s", picture->page->path, picture->name);
    *from = at + strlen(begin);
    *to = strstr(*from, picture->page->end);
    if (*to == NULL)
        fail_msg("%s: the picture %s has no end", picture->page->path, picture->name);
}

static void compare(const struct picture *picture, const char *page, const struct text *taken)
{
    const char *from = NULL, *to = NULL;

    find(picture, page, &from, &to);
    if ((size_t)(to - from) == taken->length && memcmp(from, taken->data, taken->length) == 0)
        return;
    if (getenv("UPDATE") != NULL) {
        struct text all = {0};
        text_append(&all, page, (size_t)(from - page));
        text_append(&all, taken->data, taken->length);
        text_add(&all, to);
        write_file(picture->page->path, &all);
        text_release(&all);
        return;
    }
    for (const char *line = taken->data; *line != '\0'; line += strcspn(line, "\n") + 1)
        print_message("# %.*s\n", (int)strcspn(line, "\n"), line);
    fail_msg("%s: the picture %s is not what the program shows (above); UPDATE=1 writes it anew",
             picture->page->path, picture->name);
}

static void a_picture_is_what_the_program_shows(void **state)
{
    const struct picture *picture = *state;
    struct practice practice = {0};
    struct text taken = {0};

    practice_open(&practice, "pictures");
    take(picture, &practice, &taken);
    practice_close(&practice);
    char *page = read_file(picture->page->path);
    compare(picture, page, &taken);
    free(page);
    text_release(&taken);
}

/* No picture stands in a page that is not taken here: it would go stale. */
static void every_picture_of_the_pages_is_taken(void **state)
{
    const struct page *const pages[] = {&readme, &manual};

    (void)state;
    for (size_t p = 0; p < sizeof pages / sizeof *pages; p++) {
        size_t found = 0, taken = 0;
        char *page = read_file(pages[p]->path);
        for (const char *at = page; (at = strstr(at, pages[p]->begin)) != NULL; at++)
            found++;
        free(page);
        for (size_t i = 0; i < sizeof pictures / sizeof *pictures; i++)
            taken += pictures[i].page == pages[p];
        assert_int_equal(found, taken);
    }
}

/* The practice is imported by a path that is the same on every machine: it is told in records. */
static void stand_in_the_tree(void)
{
    const char *source = getenv("SPRINGLINE_SOURCE");

    if (source != NULL && chdir(source) != 0)
        exit(1);
    if (setenv("SPRINGLINE_SOURCE", ".", 1) != 0)
        exit(1);
}

int main(void)
{
    enum { PICTURES = sizeof pictures / sizeof *pictures };
    struct CMUnitTest tests[PICTURES + 1];

    stand_in_the_tree();
    for (size_t i = 0; i < PICTURES; i++) {
        union { /* cmocka hands the state on and never writes to it */
            const struct picture *picture;
            void *state;
        } each = {.picture = &pictures[i]};
        tests[i] = (struct CMUnitTest){.name = pictures[i].name,
                                       .test_func = a_picture_is_what_the_program_shows,
                                       .initial_state = each.state};
    }
    tests[PICTURES] = (struct CMUnitTest)cmocka_unit_test(every_picture_of_the_pages_is_taken);
    return cmocka_run_group_tests(tests, NULL, NULL);
}
