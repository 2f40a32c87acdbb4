/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Nothing of a patient is left behind by a program that dies: no core file after a signal that
 * makes one, though the limit is raised for it; and nobody else's process looks into it while it
 * lives. What Linux says: core(5), prctl(2) PR_SET_DUMPABLE, proc(5) on who owns the files in
 * /proc/PID.
 */
#include <dirent.h>
#include <fcntl.h>
#include <grp.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

#include "kept_store.h"
#include "practice.h"

enum { NOBODY = 65534, PATH_SIZE = 600 };

/* A folder for what a dying program may leave, removed at the end. */
static char folder[PATH_SIZE];

static int count_files(void)
{
    DIR *opened = opendir(folder);
    int files = 0;

    assert_non_null(opened);
    for (struct dirent *entry; (entry = readdir(opened)) != NULL;)
        files += strncmp(entry->d_name, "core", 4) == 0;
    closedir(opened);
    return files;
}

static void remove_cores(void)
{
    DIR *opened = opendir(folder);
    char path[PATH_SIZE + 300];

    assert_non_null(opened);
    for (struct dirent *entry; (entry = readdir(opened)) != NULL;) {
        snprintf(path, sizeof path, "%s/%s", folder, entry->d_name);
        if (strncmp(entry->d_name, "core", 4) == 0)
            unlink(path);
    }
    closedir(opened);
}

/* As far as this test may. */
static void raise_limit(void)
{
    struct rlimit limit = {.rlim_cur = RLIM_INFINITY, .rlim_max = RLIM_INFINITY};

    if (setrlimit(RLIMIT_CORE, &limit) == 0)
        return;
    assert_int_equal(getrlimit(RLIMIT_CORE, &limit), 0);
    limit.rlim_cur = limit.rlim_max;
    assert_int_equal(setrlimit(RLIMIT_CORE, &limit), 0);
}

/* Does a program that does nothing against it leave a core here? */
static bool cores_are_left_here(void)
{
    int status = 0;
    pid_t child = fork();

    assert_true(child >= 0);
    if (child == 0) {
        signal(SIGABRT, SIG_DFL);
        if (chdir(folder) == 0)
            kill(getpid(), SIGABRT);
        _exit(1);
    }
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFSIGNALED(status));
    bool left = WCOREDUMP(status);
    remove_cores();
    return left;
}

/* A line of a file of /proc/PID that begins so. */
static void read_line(pid_t process, const char *file, const char *begin, char line[200])
{
    char path[64];

    snprintf(path, sizeof path, "/proc/%d/%s", (int)process, file);
    FILE *in = fopen(path, "re");
    assert_non_null(in);
    do {
        if (fgets(line, 200, in) == NULL)
            fail_msg("%s has no line %s", path, begin);
    } while (strncmp(line, begin, strlen(begin)) != 0);
    fclose(in);
}

static void no_core_is_left(void **state)
{
    static const int signals[] = {SIGABRT, SIGSEGV, SIGBUS, SIGILL};
    bool possible = cores_are_left_here();
    struct practice practice = {0};

    (void)state;
    print_message("# figure: a program without a guard %s a core file here\n",
                  possible ? "leaves" : "does not leave");
    practice_open(&practice, "core");
    for (size_t i = 0; i < sizeof signals / sizeof signals[0]; i++) {
        const char *const arguments[] = {"--store", practice.path, NULL};
        const char *const environment[] = {practice.today, NULL};
        const struct screen_options options = {
            .arguments = arguments, .environment = environment, .directory = folder};
        struct screen *screen = screen_start(&options);
        char line[200];
        assert_non_null(screen);
        assert_true(screen_wait_ready(screen, 0));
        read_line(screen_process(screen), "limits", "Max core file size", line);
        assert_non_null(strstr(line, " 0                    0 "));
        read_line(screen_process(screen), "status", "Umask:", line);
        assert_string_equal(line, "Umask:\t0077\n");
        assert_true(screen_signal(screen, signals[i]));
        /* AddressSanitizer catches such a signal, and ends the program in its own way. */
        assert_int_not_equal(screen_wait_exit(screen, 0), 0);
        screen_free(screen);
        assert_int_equal(count_files(), 0);
    }
    practice_close(&practice);
}

/* ---- a program of somebody else ---- */

static _Noreturn void become(const char *const *arguments)
{
    bool root = geteuid() == 0;

    if (root && (setgroups(0, NULL) != 0 || setgid(NOBODY) != 0 || setuid(NOBODY) != 0))
        _exit(126);
    if (chdir(folder) != 0)
        _exit(126);
    execv(arguments[0], (char **)(uintptr_t)arguments);
    _exit(127);
}

/* Starts it; it has opened the pipe at path for reading when this returns. */
static pid_t start_reader(const char *const *arguments, const char *path, int *pipe)
{
    pid_t child = fork();

    assert_true(child >= 0);
    if (child == 0)
        become(arguments);
    *pipe = open(path, O_WRONLY | O_CLOEXEC);
    assert_true(*pipe >= 0);
    return child;
}

static uid_t owner_of(pid_t process)
{
    char path[64];
    struct stat about;

    snprintf(path, sizeof path, "/proc/%d/environ", (int)process);
    assert_int_equal(stat(path, &about), 0);
    return about.st_uid;
}

/* Of a process that may be looked into its files in /proc are the user's; of one that may not,
 * root's. */
static void nobody_looks_into_it(void **state)
{
    char program[PATH_SIZE + 20], pipe_path[PATH_SIZE + 20], store[PATH_SIZE + 20];
    const char *const plain[] = {"/bin/cat", pipe_path, NULL};
    const char *const ours[] = {program, "--store", store, "import", pipe_path, NULL};
    const char *built = getenv("SPRINGLINE_PROGRAM");
    const char *const *programs[] = {plain, ours};
    uid_t user = geteuid() == 0 ? NOBODY : geteuid();

    (void)state;
    snprintf(program, sizeof program, "%s/springline", folder);
    snprintf(pipe_path, sizeof pipe_path, "%s/pipe.csv", folder);
    snprintf(store, sizeof store, "%s/none.db", folder);
    kept_copy(built == NULL ? "build/springline" : built, program);
    assert_int_equal(chmod(program, 0755), 0);
    assert_int_equal(mkfifo(pipe_path, 0600), 0);
    assert_int_equal(chmod(pipe_path, 0666), 0);
    for (int i = 0; i < 2; i++) {
        int pipe = -1, status = 0;
        pid_t child = start_reader(programs[i], pipe_path, &pipe);
        assert_int_equal(owner_of(child), i == 0 ? user : 0);
        assert_int_equal(kill(child, SIGQUIT), 0);
        close(pipe);
        assert_int_equal(waitpid(child, &status, 0), child);
        if (i == 1 && WIFSIGNALED(status))
            assert_false(WCOREDUMP(status));
        remove_cores();
    }
    unlink(program);
    unlink(pipe_path);
}

static int make_folder(void **state)
{
    const char *place = access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp";

    (void)state;
    snprintf(folder, sizeof folder, "%s/springline_core_XXXXXX", place);
    if (mkdtemp(folder) == NULL || chmod(folder, 0777) != 0)
        return 1;
    raise_limit();
    return 0;
}

static int remove_folder(void **state)
{
    static const char *const left[] = {"springline", "pipe.csv"};
    char path[PATH_SIZE + 20];

    (void)state;
    remove_cores();
    for (size_t i = 0; i < sizeof left / sizeof left[0]; i++) { /* by a test that failed */
        snprintf(path, sizeof path, "%s/%s", folder, left[i]);
        unlink(path);
    }
    return rmdir(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_core_is_left),
        cmocka_unit_test(nobody_looks_into_it),
    };

    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
