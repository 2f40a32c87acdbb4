/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Start to first screen and key to repaint of springline, beside vim and less showing the same rows
 * as a text file: same pty harness, same machine, same run, interleaved. Prints figures and ratios;
 * judges nothing, because a time alone depends on the machine.
 *
 * usage: latency PROGRAM STORE ROWS [large]
 *   ROWS is a text file of the store's rows, as the recall list prints them. In the file shown by
 *   the rivals each row is numbered and cut to the screen, and the rows are repeated to LINES lines
 *   at least, so that pages can be turned. large: the store is as large as the budgets ask for, so
 *   the figures are held against their bars, and those missed are named.
 * BENCH_OPEN: keys sent to springline after its first screen, to reach another list.
 *
 * Each has painted when the rows and the cursor expected stand on the screen. What springline shows
 * is learnt beforehand, in a run that waits for its ready marks: it moves the cursor last. How long
 * it then takes until the mark, when a first key would be taken, is printed too.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "bars.h"
#include "screen.h"

enum {
    ROWS = 24,
    COLUMNS = 80,
    LINES = 400,
    STARTS = 40,
    KEYS = 400,
    RIVALS = 3,
    ROW_CHARACTERS = 70,
    LINE_SIZE = 1024
};

enum measure { MEASURE_START, MEASURE_LINE, MEASURE_PAGE, MEASURES };

struct rival {
    const char *name;
    const char *program;
    const char *const *arguments;
    const char *const *environment;
    const char *open;       /* keys after the first screen; NULL: none */
    bool marked;            /* writes ready marks: what it shows is learnt from itself */
    bool line_moves_cursor; /* a line down moves the cursor; else it scrolls */
    int page;               /* lines a page down scrolls */
    int text_rows;          /* rows of text it shows */
    const char *keys[2][2]; /* [line, page][down, up] */
    double ms[MEASURES][STARTS > KEYS ? STARTS : KEYS];
    double bytes[2][KEYS];   /* sent per key: line, page */
    double ready_ms[STARTS]; /* start to the first ready mark */
    long resident_kib;       /* after the first screen */
    struct sight *sights;    /* of a marked one, SIGHTS of them */
};

/* What springline shows: where the cursor stands, the text of its row, and the last row. */
struct sight {
    struct screen_place cursor;
    char row[LINE_SIZE], last[LINE_SIZE];
};

enum { SIGHT_START, SIGHT_LIST, SIGHT_LINE, SIGHT_PAGE, SIGHT_PAGE_BACK, SIGHTS };

/* What a rival shows when it has painted: its first line's number, and the cursor's row or -1; or
 * the sight. */
struct expected {
    int top;
    int bottom_row;
    int cursor_row;
    const struct sight *sight;
};

static int number_at(struct screen *screen, int row)
{
    return (int)strtol(screen_row(screen, row), NULL, 10);
}

static bool is_seen(struct screen *screen, const struct sight *sight)
{
    struct screen_place cursor = screen_cursor(screen);
    return cursor.row == sight->cursor.row && cursor.column == sight->cursor.column &&
           strcmp(screen_row(screen, cursor.row), sight->row) == 0 &&
           strcmp(screen_row(screen, ROWS - 1), sight->last) == 0;
}

static bool is_painted(struct screen *screen, void *context)
{
    const struct expected *expected = context;
    if (expected->sight != NULL) {
        return is_seen(screen, expected->sight);
    }
    return number_at(screen, 0) == expected->top &&
           number_at(screen, expected->bottom_row) == expected->top + expected->bottom_row &&
           (expected->cursor_row < 0 || screen_cursor(screen).row == expected->cursor_row);
}

static bool wait_painted(struct screen *screen, struct expected *expected)
{
    return screen_wait(screen, is_painted, expected, "the rows to be painted", 0);
}

/* What each of them shows first. */
static struct expected expect_first(const struct rival *rival)
{
    return (struct expected){.top = 1,
                             .bottom_row = rival->text_rows - 1,
                             .cursor_row = rival->line_moves_cursor ? 0 : -1,
                             .sight = rival->marked ? &rival->sights[SIGHT_START] : NULL};
}

static long resident_kib(struct screen *screen)
{
    char path[64], line[256];
    long kib = 0;
    snprintf(path, sizeof path, "/proc/%ld/status", (long)screen_process(screen));
    FILE *file = fopen(path, "r");
    while (file != NULL && fgets(line, sizeof line, file) != NULL) {
        if (strncmp(line, "VmRSS:", 6) == 0) {
            kib = strtol(line + 6, NULL, 10);
        }
    }
    if (file != NULL) {
        fclose(file);
    }
    return kib;
}

static struct screen *start(const struct rival *rival)
{
    struct screen_options options = {.program = rival->program,
                                     .arguments = rival->arguments,
                                     .environment = rival->environment,
                                     .rows = ROWS,
                                     .columns = COLUMNS};
    return screen_start(&options);
}

static bool measure_start(struct rival *rival, int sample)
{
    struct expected expected = expect_first(rival);
    int64_t began = screen_now_ns();
    struct screen *screen = start(rival);
    bool good = screen != NULL && wait_painted(screen, &expected);
    int64_t ended = screen_now_ns();
    if (good && rival->marked) {
        good = screen_wait_ready(screen, 0);
        rival->ready_ms[sample] = (double)(screen_ready_at_ns(screen) - began) / 1e6;
    }
    if (good) {
        rival->ms[MEASURE_START][sample] = (double)(ended - began) / 1e6;
        rival->resident_kib = resident_kib(screen);
    }
    screen_free(screen);
    return good;
}

/* What is expected after the key. */
static void expect_key(const struct rival *rival, bool page, bool down, struct expected *expected)
{
    if (rival->marked && page) {
        expected->sight = &rival->sights[down ? SIGHT_PAGE : SIGHT_PAGE_BACK];
    } else if (rival->marked) {
        expected->sight = &rival->sights[down ? SIGHT_LINE : SIGHT_LIST];
    } else if (page) {
        expected->top = down ? 1 + rival->page : 1;
        expected->cursor_row = -1; /* where a page leaves the cursor differs */
    } else if (rival->line_moves_cursor) {
        expected->cursor_row = down ? 1 : 0;
    } else {
        expected->top = down ? 2 : 1;
    }
}

/* Down and up in turn, so that every key has something to repaint. */
static bool measure_keys(struct rival *rival, struct screen *screen, bool page)
{
    struct expected expected = expect_first(rival);
    enum measure measure = page ? MEASURE_PAGE : MEASURE_LINE;
    for (int sample = 0; sample < KEYS; sample++) {
        bool down = sample % 2 == 0;
        const char *key = rival->keys[page][down ? 0 : 1];
        expect_key(rival, page, down, &expected);
        screen_drain(screen);
        size_t bytes = screen_bytes(screen);
        int64_t began = screen_now_ns();
        if (!screen_send(screen, key, strlen(key)) || !wait_painted(screen, &expected)) {
            return false;
        }
        rival->ms[measure][sample] = (double)(screen_now_ns() - began) / 1e6;
        if (rival->marked && !screen_wait_ready(screen, 0)) {
            return false;
        }
        rival->bytes[page][sample] = (double)(screen_bytes(screen) - bytes);
    }
    return true;
}

/* Presses the keys (NULL: none), waits for the mark, and keeps what is shown then. */
static bool press_and_see(struct screen *screen, const char *keys, struct sight *sight)
{
    if (keys != NULL && !screen_press(screen, keys)) {
        return false;
    }
    sight->cursor = screen_cursor(screen);
    snprintf(sight->row, sizeof sight->row, "%s", screen_row(screen, sight->cursor.row));
    snprintf(sight->last, sizeof sight->last, "%s", screen_row(screen, ROWS - 1));
    return true;
}

/* A step forth and back: from then on two steps end where they began. */
static bool warm(const struct rival *rival, struct screen *screen, bool page)
{
    return screen_press(screen, rival->keys[page][0]) && screen_press(screen, rival->keys[page][1]);
}

/* What springline shows at each step of the measurement, in the order of the steps. */
static bool learn(struct rival *rival)
{
    struct screen *screen = start(rival);
    struct sight *sights = rival->sights;
    bool good = screen != NULL && screen_wait_ready(screen, 0) &&
                press_and_see(screen, NULL, &sights[SIGHT_START]) &&
                (rival->open == NULL || screen_press(screen, rival->open)) &&
                screen_press(screen, rival->keys[0][0]) &&
                press_and_see(screen, rival->keys[0][1], &sights[SIGHT_LIST]) &&
                press_and_see(screen, rival->keys[0][0], &sights[SIGHT_LINE]) &&
                screen_press(screen, rival->keys[0][1]) && warm(rival, screen, true) &&
                press_and_see(screen, rival->keys[1][0], &sights[SIGHT_PAGE]) &&
                press_and_see(screen, rival->keys[1][1], &sights[SIGHT_PAGE_BACK]);
    screen_free(screen);
    return good;
}

static bool measure_rival(struct rival *rival)
{
    struct expected expected = expect_first(rival);
    struct screen *screen = start(rival);
    bool good = screen != NULL && wait_painted(screen, &expected);
    if (good && rival->open != NULL) {
        good = screen_press(screen, rival->open);
    }
    /* Vim leaves the cursor elsewhere after a page, so the lines come first. */
    good = good && (!rival->marked || warm(rival, screen, false)) &&
           measure_keys(rival, screen, false) && (!rival->marked || warm(rival, screen, true)) &&
           measure_keys(rival, screen, true);
    screen_free(screen);
    return good;
}

static int compare(const void *a, const void *b)
{
    double left = *(const double *)a, right = *(const double *)b;
    return (left > right) - (left < right);
}

static double at_share(double *values, size_t count, double share)
{
    qsort(values, count, sizeof *values, compare);
    size_t index = (size_t)(share * (double)count);
    return values[index < count ? index : count - 1];
}

/* springline's is the first of the rivals, vim's the second: the bars are set beside it. */
static void print_measure(struct rival rivals[RIVALS], enum measure measure, const char *title,
                          size_t count, struct bars *bars)
{
    double p50[RIVALS], p99[RIVALS];
    char name[128];
    printf("\n%s, %zu times\n", title, count);
    for (int i = 0; i < RIVALS; i++) {
        p50[i] = at_share(rivals[i].ms[measure], count, 0.50);
        p99[i] = at_share(rivals[i].ms[measure], count, 0.99);
        printf("  %-14s p50 %8.3f ms   p99 %8.3f ms", rivals[i].name, p50[i], p99[i]);
        if (measure != MEASURE_START) {
            printf("   bytes, median %5.0f",
                   at_share(rivals[i].bytes[measure == MEASURE_PAGE], count, 0.50));
        }
        printf("\n");
    }
    for (int i = 1; i < RIVALS; i++) {
        printf("  springline / %-12s p50 %5.2f   p99 %5.2f\n", rivals[i].name, p50[0] / p50[i],
               p99[0] / p99[i]);
    }
    snprintf(name, sizeof name, "%s, beside vim, p50", title);
    bars_add(bars, name, p50[0] / p50[1], 1.0);
    if (measure != MEASURE_START) {
        snprintf(name, sizeof name, "%s, beside vim, p99", title);
        bars_add(bars, name, p99[0] / p99[1], 1.0);
        snprintf(name, sizeof name, "%s, p99 in ms", title);
        bars_add(bars, name, p99[0], 16.0);
        snprintf(name, sizeof name, "%s, median bytes", title);
        bars_add(bars, name, at_share(rivals[0].bytes[measure == MEASURE_PAGE], count, 0.50), 400);
    }
}

/* Cuts the text after that many characters of UTF-8. */
static void cut(char *text, int characters)
{
    for (; *text != '\0'; text++) {
        if (((unsigned char)*text & 0xC0) != 0x80 && characters-- == 0) {
            *text = '\0';
            return;
        }
    }
}

/* Writes the numbered file that the rivals show; its lines, 0 on failure. */
static int write_lines(const char *rows_path, const char *lines_path)
{
    FILE *rows = fopen(rows_path, "r"), *lines = fopen(lines_path, "w");
    char row[LINE_SIZE];
    int written = 0;
    while (rows != NULL && lines != NULL) {
        if (fgets(row, sizeof row, rows) == NULL) {
            if (written == 0 || written >= LINES) {
                break;
            }
            rewind(rows);
            continue;
        }
        row[strcspn(row, "\n")] = '\0';
        cut(row, ROW_CHARACTERS);
        fprintf(lines, "%06d %s\n", ++written, row);
    }
    if (rows != NULL) {
        fclose(rows);
    }
    return lines != NULL && fclose(lines) == 0 ? written : 0;
}

static bool measure_all(struct rival rivals[RIVALS])
{
    if (!learn(&rivals[0])) {
        fprintf(stderr, "bench: %s did not answer the keys\n", rivals[0].name);
        return false;
    }
    for (int sample = 0; sample < STARTS; sample++) {
        for (int i = 0; i < RIVALS; i++) {
            if (!measure_start(&rivals[i], sample)) {
                fprintf(stderr, "bench: %s did not show its first screen\n", rivals[i].name);
                return false;
            }
        }
    }
    for (int i = 0; i < RIVALS; i++) {
        if (!measure_rival(&rivals[i])) {
            fprintf(stderr, "bench: %s did not repaint after a key\n", rivals[i].name);
            return false;
        }
    }
    return true;
}

int main(int argc, char **argv)
{
    bool large = argc == 5 && strcmp(argv[4], "large") == 0;
    struct bars bars = {0};
    if (argc != 4 && !large) {
        fprintf(stderr, "usage: latency PROGRAM STORE ROWS [large]\n");
        return 2;
    }
    char lines_path[4096], today[64];
    snprintf(lines_path, sizeof lines_path, "%s.lines", argv[3]);
    snprintf(today, sizeof today, "SPRINGLINE_TODAY=%s",
             getenv("SPRINGLINE_TODAY") == NULL ? "" : getenv("SPRINGLINE_TODAY"));
    int count = write_lines(argv[3], lines_path);
    if (count == 0 || access(argv[1], X_OK) != 0) {
        fprintf(stderr, "bench: needs the built program %s and rows in %s\n", argv[1], argv[3]);
        return 1;
    }
    const char *const springline_arguments[] = {"--store", argv[2], NULL};
    const char *const springline_environment[] = {strlen(today) > 17 ? today : "SPRINGLINE_TODAY",
                                                  NULL};
    const char *const vim_arguments[] = {"-u", "NONE", "-i", "NONE", "-n", lines_path, NULL};
    const char *const less_arguments[] = {lines_path, NULL};
    const char *const less_environment[] = {"LESS=", "LESSHISTFILE=-", NULL};
    static struct rival rivals[RIVALS];
    static struct sight sights[SIGHTS];
    rivals[0] = (struct rival){.name = "springline",
                               .sights = sights,
                               .program = argv[1],
                               .arguments = springline_arguments,
                               .environment = springline_environment,
                               .open = getenv("BENCH_OPEN"),
                               .marked = true,
                               .keys = {{"\033OB", "\033OA"}, {"\033[6~", "\033[5~"}}};
    rivals[1] = (struct rival){.name = "vim -u NONE",
                               .program = "vim",
                               .arguments = vim_arguments,
                               .line_moves_cursor = true,
                               .page = ROWS - 3, /* a window of 23 lines less 2 of overlap */
                               .text_rows = ROWS - 1,
                               .keys = {{"j", "k"}, {"\006", "\002"}}};
    rivals[2] = (struct rival){.name = "less",
                               .program = "less",
                               .arguments = less_arguments,
                               .environment = less_environment,
                               .page = ROWS - 1,
                               .text_rows = ROWS - 1,
                               .keys = {{"j", "k"}, {" ", "b"}}};
    if (!measure_all(rivals)) {
        return 1;
    }
    printf("vim and less show %d lines; %d x %d\n", count, ROWS, COLUMNS);
    print_measure(rivals, MEASURE_START, "start to first screen", STARTS, &bars);
    printf("  springline takes the first key at p50 %8.3f ms\n",
           at_share(rivals[0].ready_ms, STARTS, 0.50));
    print_measure(rivals, MEASURE_LINE, "a line down or up, key to repaint", KEYS, &bars);
    print_measure(rivals, MEASURE_PAGE, "a page down or up, key to repaint", KEYS, &bars);
    printf("\nresident after the first screen\n");
    for (int i = 0; i < RIVALS; i++) {
        printf("  %-14s %8ld KiB\n", rivals[i].name, rivals[i].resident_kib);
    }
    bars_add(&bars, "resident after the first screen, MiB", (double)rivals[0].resident_kib / 1024,
             24.0);
    if (large) {
        bars_print(&bars);
    }
    return 0;
}
