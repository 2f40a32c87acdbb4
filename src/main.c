/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Wires the program: what it knows of the world goes in here (clock, random bytes, environment,
 * terminal) and nowhere else, and only here it ends.
 */
#include <errno.h>
#include <fcntl.h>
#include <gsl/gsl_errno.h>
#include <signal.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include "springline/cli/cli.h"
#include "springline/cli/login.h"
#include "springline/ui/terminal.h"
#include "springline/ui/ui.h"

enum { TERMINAL_SIZE = 64, PLACE_SIZE = 4096, NOTICE_SIZE = 1200 };

/* What main keeps for the whole run. */
struct world {
    struct store_source source;
    day today;
    bool today_fixed;
    enum charset charset;
    struct login login;
    char seat[LOGIN_NAME_SIZE + TERMINAL_SIZE];
    char store_path[PLACE_SIZE];
    bool default_place;
};

static instant clock_now(void *context)
{
    (void)context;
    return (instant)time(NULL);
}

/* Only for how long something takes. */
static int64_t clock_ms(void *context)
{
    struct timespec now = {0};

    (void)context;
    (void)clock_gettime(CLOCK_MONOTONIC, &now);
    return (int64_t)now.tv_sec * 1000 + now.tv_nsec / 1000000;
}

static void random_bytes(void *context, void *bytes, size_t count)
{
    (void)context;
    randombytes_buf(bytes, count);
}

/* A closed stream would become the number of the next file that is opened, and what is printed
 * would go into it. What stands in its place fails like a closed one: it can not be read, or
 * written. */
static bool open_streams(void)
{
    for (int stream = STDIN_FILENO; stream <= STDERR_FILENO; stream++) {
        if (fcntl(stream, F_GETFD) != -1 || errno != EBADF)
            continue;
        if (open("/dev/null", stream == STDIN_FILENO ? O_WRONLY : O_RDONLY) != stream)
            return false;
    }
    return true;
}

/* Nothing of a patient may reach a core file, another user's eyes, or a closed pipe's reader; and
 * no program started from here could have more rights. */
static bool guard_process(void)
{
    const struct rlimit none = {0};

    (void)umask(077);
    (void)setrlimit(RLIMIT_CORE, &none);
    (void)prctl(PR_SET_DUMPABLE, 0, 0, 0, 0);
    (void)prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0);
    (void)signal(SIGXFSZ, SIG_IGN); /* a full or limited disk comes back as an error */
    (void)signal(SIGPIPE, SIG_IGN);
    return open_streams();
}

static enum status find_seat(struct world *world, struct error *error)
{
    char terminal[TERMINAL_SIZE] = "";

    enum status status = login_begin(&world->login, error);
    if (status != STATUS_OK)
        return status;
    if (ttyname_r(STDIN_FILENO, terminal, sizeof terminal) != 0)
        terminal[0] = '\0';
    snprintf(world->seat, sizeof world->seat, "%s@%s", world->login.name,
             strncmp(terminal, "/dev/", 5) == 0 ? terminal + 5 : "none");
    return STATUS_OK;
}

/* The day on the practice's wall; DAY_NONE when the clock makes no sense. */
static day local_day(void *context)
{
    time_t now = time(NULL);
    struct tm local;

    (void)context;
    return localtime_r(&now, &local) == NULL
               ? DAY_NONE
               : day_of(local.tm_year + 1900, local.tm_mon + 1, local.tm_mday);
}

static enum status find_today(struct world *world, struct error *error)
{
    const char *fixed = getenv("SPRINGLINE_TODAY");

    if (fixed != NULL) {
        if (!day_from_text(fixed, &world->today))
            return error_set(error, STATUS_USAGE, "SPRINGLINE_TODAY",
                             "\"%.40s\" is not a date; write it as YYYY-MM-DD, or unset it.",
                             fixed);
        world->today_fixed = true;
        return STATUS_OK;
    }
    world->today = local_day(NULL);
    return world->today != DAY_NONE
               ? STATUS_OK
               : error_set(error, STATUS_UNUSABLE, "clock",
                           "The clock of this machine is wrong; set its date.");
}

/* SPRINGLINE_STORE, or the practice's file in the user's data folder (XDG base directories: a
 * relative folder is ignored). */
static void find_store(struct world *world)
{
    const char *given = getenv("SPRINGLINE_STORE"), *data = getenv("XDG_DATA_HOME");
    const char *home = getenv("HOME");

    if (given != NULL && given[0] != '\0') {
        snprintf(world->store_path, sizeof world->store_path, "%s", given);
        return;
    }
    world->default_place = true;
    if (data != NULL && data[0] == '/')
        snprintf(world->store_path, sizeof world->store_path, "%s/springline/practice.db", data);
    else
        snprintf(world->store_path, sizeof world->store_path,
                 "%s/.local/share/springline/practice.db", home == NULL ? "" : home);
}

static enum status know_world(struct world *world, struct error *error)
{
    world->source = (struct store_source){.now = clock_now, .random = random_bytes};
    enum status status = find_seat(world, error); /* first: it may empty the environment */
    if (status != STATUS_OK)
        return status;
    world->charset = terminal_locale();
    find_store(world);
    if (sodium_init() < 0)
        return error_set(error, STATUS_UNUSABLE, "random",
                         "This machine gives no random bytes, so nothing can be recorded safely.");
    return find_today(world, error);
}

static const char *charset_notice(enum charset charset)
{
    static const char *const notices[] = {
        [CHARSET_UTF8] = NULL,
        [CHARSET_ASSUMED] = "The locale names no UTF-8; it is assumed. If letters look wrong, set "
                            "LC_ALL to one that does.",
        [CHARSET_ASCII] = "ASCII only: letters are shown without their marks.",
    };

    return notices[charset];
}

/* Loads FOLDER/springline/config. XDG base directories: a folder that is relative is ignored. */
static enum status load_config(const char *folder, size_t length, const char *below,
                               struct config *config, struct error *error)
{
    char path[PLACE_SIZE];
    int written =
        snprintf(path, sizeof path, "%.*s%s/springline/config", (int)length, folder, below);

    if (length == 0 || folder[0] != '/' || written < 0 || (size_t)written >= sizeof path)
        return STATUS_OK;
    return config_load(path, config, error);
}

/* The settings of the screens: the system's folders, the last one first, then the user's own. */
static enum status read_config(struct config *config, struct error *error)
{
    const char *shared = getenv("XDG_CONFIG_DIRS"), *own = getenv("XDG_CONFIG_HOME");
    const char *home = getenv("HOME");
    enum status status = STATUS_OK;

    if (shared == NULL || shared[0] == '\0')
        shared = "/etc/xdg";
    for (size_t end = strlen(shared); status == STATUS_OK;) {
        size_t begin = end;
        while (begin > 0 && shared[begin - 1] != ':')
            begin--;
        status = load_config(shared + begin, end - begin, "", config, error);
        if (begin == 0)
            break;
        end = begin - 1;
    }
    if (status != STATUS_OK)
        return status;
    if (own != NULL && own[0] == '/')
        return load_config(own, strlen(own), "", config, error);
    return home == NULL ? STATUS_OK : load_config(home, strlen(home), "/.config", config, error);
}

/* Where the order of the lists is kept, its folders made; "" when there is no place for it. Of
 * several people who share the account each has an own. */
static void find_memory(const struct login *login, char path[PLACE_SIZE])
{
    const char *state = getenv("XDG_STATE_HOME"), *home = getenv("HOME");
    const char *below = login->shared ? login->name : "", *between = login->shared ? "/" : "";
    int written = 0;

    if (strchr(below, '/') != NULL)
        written = 0;
    else if (state != NULL && state[0] == '/')
        written = snprintf(path, PLACE_SIZE, "%s/springline%s%s/lists", state, between, below);
    else if (home != NULL && home[0] == '/')
        written = snprintf(path, PLACE_SIZE, "%s/.local/state/springline%s%s/lists", home, between,
                           below);
    if (written <= 0 || written >= PLACE_SIZE) {
        path[0] = '\0';
        return;
    }
    for (char *at = strchr(path + 1, '/'); at != NULL; at = strchr(at + 1, '/')) {
        *at = '\0';
        (void)mkdir(path, 0700); /* where it can not be made, nothing will be remembered */
        *at = '/';
    }
}

/* The first message of the screens. */
static void make_notice(const struct world *world, enum charset charset, const char *exposed,
                        char notice[NOTICE_SIZE])
{
    const char *const parts[] = {world->login.notice, exposed, charset_notice(charset)};
    size_t length = 0;

    notice[0] = '\0';
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        if (parts[i] == NULL || parts[i][0] == '\0')
            continue;
        snprintf(notice + length, NOTICE_SIZE - length, "%s%s", length > 0 ? " " : "", parts[i]);
        length += strlen(notice + length);
    }
}

/* Only this account may reach the store. Where people share it through the program that is a
 * condition, for a practice of one it is advice: exposed, "" none. */
static enum status check_private(const struct world *world, const char *store_path,
                                 struct error *exposed, struct error *error)
{
    *exposed = (struct error){0};
    if (world->login.shared)
        return store_check_private(store_path, true, error);
    (void)store_check_private(store_path, false, exposed);
    return STATUS_OK;
}

static enum status show_screens(const struct world *world, const char *store_path,
                                struct error *error)
{
    struct config config = {0};
    struct error exposed;
    char memory_path[PLACE_SIZE], notice[NOTICE_SIZE];
    struct app app = {.today = world->today,
                      .today_fixed = world->today_fixed,
                      .user = world->login.name,
                      .seat = world->seat,
                      .clock_ms = clock_ms};
    struct terminal *terminal = NULL;

    enum status status = read_config(&config, error);
    if (status == STATUS_OK)
        status = check_private(world, store_path, &exposed, error);
    if (status == STATUS_OK)
        status = store_open_first(store_path, &world->source, &app.store, error);
    if (status == STATUS_OK)
        status = app_renew_states(&app, error);
    if (status != STATUS_OK) {
        store_close(app.store);
        return status;
    }
    enum charset charset = config.ascii == CHOICE_YES ? terminal_ascii() : world->charset;
    status = terminal_open(stdin, stdout, charset, &config, &terminal, error);
    if (status == STATUS_OK) {
        struct display display = terminal_display(terminal);
        find_memory(&world->login, memory_path);
        make_notice(world, charset, exposed.sentence, notice);
        struct ui_setup setup = {.notice = notice[0] == '\0' ? NULL : notice,
                                 .today = local_day,
                                 .config = &config,
                                 .memory_path = memory_path[0] == '\0' ? NULL : memory_path};
        status = ui_run(&app, &display, &setup, error);
        terminal_close(terminal);
    }
    store_close(app.store);
    return status;
}

static int report(const struct error *error)
{
    cli_report(stderr, error);
    return error_exit_code(error->status);
}

static int run_command(const struct world *world, const struct cli_start *start,
                       const struct cli_call *call)
{
    struct error notice = {0}, error = {0};

    if (world->login.notice[0] != '\0') {
        (void)error_set(&notice, STATUS_OK, NULL, "%s", world->login.notice);
        cli_report(stderr, &notice);
    }
    if (world->login.shared && call->command != COMMAND_HELP && call->command != COMMAND_VERSION &&
        store_check_private(call->store_path, true, &error) != STATUS_OK)
        return report(&error);
    return cli_run(start, call);
}

int main(int argc, char **argv)
{
    struct world world = {0};
    struct error error = {0};
    struct cli_call call = {0};

    if (!guard_process())
        return error_exit_code(STATUS_UNUSABLE); /* and nowhere to say why */
    (void)gsl_set_error_handler_off();
    if (know_world(&world, &error) != STATUS_OK)
        return report(&error);
    struct cli_start start = {.source = &world.source,
                              .store_path = world.store_path,
                              .default_place = world.default_place,
                              .today = world.today,
                              .today_fixed = world.today_fixed,
                              .user = world.login.name,
                              .seat = world.seat,
                              .in = stdin,
                              .out = stdout,
                              .err = stderr};
    if (cli_parse(argc, argv, &start, &call, &error) != STATUS_OK)
        return report(&error);
    if (call.command != COMMAND_NONE)
        return run_command(&world, &start, &call);
    if (show_screens(&world, call.store_path, &error) != STATUS_OK)
        return report(&error);
    return 0;
}
