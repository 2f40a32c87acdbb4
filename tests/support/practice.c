/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "practice.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

enum { ARGUMENTS_MOST = 12, ENVIRONMENT_MOST = 24 };

static const char *from_environment(const char *name, const char *otherwise)
{
    const char *value = getenv(name);

    return value == NULL || value[0] == '\0' ? otherwise : value;
}

static const char *program(void)
{
    return from_environment("SPRINGLINE_PROGRAM", "build/springline");
}

static void read_today(struct practice *practice)
{
    char path[PRACTICE_PATH], line[32] = "";

    snprintf(path, sizeof path, "%s/demo/TODAY", from_environment("SPRINGLINE_SOURCE", "."));
    FILE *file = fopen(path, "re");
    assert_non_null(file);
    assert_non_null(fgets(line, sizeof line, file));
    assert_int_equal(fclose(file), 0);
    line[strcspn(line, "\n")] = '\0';
    snprintf(practice->today, sizeof practice->today, "SPRINGLINE_TODAY=%s", line);
}

/* In the child: pipes instead of a terminal, and only the environment that is wanted. */
static void become_program(const struct practice *practice, const char *const *arguments,
                           int output)
{
    const char *argv[ARGUMENTS_MOST] = {"springline", "--store", practice->path};
    int count = 3;
    int null = open("/dev/null", O_RDWR);

    for (; *arguments != NULL && count < ARGUMENTS_MOST - 1; arguments++)
        argv[count++] = *arguments;
    dup2(null, STDIN_FILENO);
    dup2(output, STDOUT_FILENO);
    dup2(output, STDERR_FILENO);
    putenv((char *)(uintptr_t)practice->today);
    execv(program(), (char **)(uintptr_t)argv);
    _exit(127);
}

int practice_run(struct practice *practice, const char *const *arguments)
{
    int ends[2], status = 0;
    size_t length = 0;
    ssize_t got;

    assert_int_equal(pipe(ends), 0);
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0)
        become_program(practice, arguments, ends[1]);
    close(ends[1]);
    while ((got = read(ends[0], practice->output + length, sizeof practice->output - 1 - length)) >
               0 ||
           (got < 0 && errno == EINTR))
        length += got > 0 ? (size_t)got : 0;
    practice->output[length] = '\0';
    close(ends[0]);
    assert_int_equal(waitpid(child, &status, 0), child);
    return WIFSIGNALED(status) ? -WTERMSIG(status) : WEXITSTATUS(status);
}

static void must_run(struct practice *practice, const char *const *arguments)
{
    int status = practice_run(practice, arguments);

    if (status != 0)
        fail_msg("%s: status %d: %s", arguments[0], status, practice->output);
}

static void copy_file(const char *from, const char *to)
{
    char bytes[65536];
    size_t count;
    FILE *in = fopen(from, "re"), *out = fopen(to, "we");

    assert_non_null(in);
    assert_non_null(out);
    assert_int_equal(fchmod(fileno(out), 0600), 0);
    while ((count = fread(bytes, 1, sizeof bytes, in)) > 0)
        assert_int_equal(fwrite(bytes, 1, count, out), count);
    assert_int_equal(fclose(in), 0);
    assert_int_equal(fclose(out), 0);
}

void practice_open(struct practice *practice, const char *name)
{
    const char *folder = from_environment("TMPDIR", "/tmp");
    char demo[PRACTICE_PATH];
    const char *const init[] = {"init", "--alone", NULL};
    const char *const import[] = {"import", demo, NULL};

    read_today(practice);
    snprintf(demo, sizeof demo, "%s/demo", from_environment("SPRINGLINE_SOURCE", "."));
    /* The first practice of this process is imported, the others are copies of it. */
    snprintf(practice->path, sizeof practice->path, "%s/practice_%ld.db", folder, (long)getpid());
    if (access(practice->path, F_OK) != 0) {
        must_run(practice, init);
        must_run(practice, import);
    }
    char original[PRACTICE_PATH];
    memcpy(original, practice->path, sizeof original);
    snprintf(practice->path, sizeof practice->path, "%s/%s_%ld.db", folder, name, (long)getpid());
    copy_file(original, practice->path);
}

void practice_close(struct practice *practice)
{
    char journal[PRACTICE_PATH + 16];

    snprintf(journal, sizeof journal, "%s-journal", practice->path);
    unlink(journal);
    assert_int_equal(unlink(practice->path), 0);
}

struct screen *practice_screen(struct practice *practice, int rows, int columns,
                               const char *const *more)
{
    const char *const arguments[] = {"--store", practice->path, NULL};
    const char *environment[ENVIRONMENT_MOST] = {practice->today};
    struct screen_options options = {.program = program(),
                                     .arguments = arguments,
                                     .environment = environment,
                                     .rows = rows,
                                     .columns = columns};

    for (int i = 1; more != NULL && *more != NULL && i < ENVIRONMENT_MOST - 1; i++)
        environment[i] = *more++;
    struct screen *screen = screen_start(&options);
    assert_non_null(screen);
    assert_true(screen_wait_ready(screen, 0));
    return screen;
}

void practice_pass(struct screen *screen, int milliseconds)
{
    int64_t until = screen_now_ns() + (int64_t)milliseconds * 1000000;

    for (int64_t left = until - screen_now_ns(); left > 0; left = until - screen_now_ns())
        poll(NULL, 0, (int)(left / 1000000) + 1);
    screen_drain(screen);
}

void practice_type(struct screen *screen, const char *keys)
{
    enum { DEAF_MS = 160 }; /* UI_DEAF_MS, and some */
    char before = '\r';     /* the key before may have been one */

    for (; *keys != '\0'; keys++) {
        if (*keys == before)
            practice_pass(screen, DEAF_MS);
        before = *keys;
        assert_true(screen_send(screen, keys, 1));
        assert_true(screen_wait_ready(screen, 0));
    }
}

void practice_shows(struct screen *screen, const char *text)
{
    if (screen_find(screen, SCREEN_ANY_ROW, text, NULL))
        return;
    screen_dump(screen, "a text is missing");
    fail_msg("not on the screen: %s", text);
}
