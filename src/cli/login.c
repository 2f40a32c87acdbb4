/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/cli/login.h"

#include <errno.h>
#include <pwd.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* ---- deciding ---- */

/* A whole number that is a user; LOGIN_NOBODY: it is none. */
static uid_t user_from_text(const char *text)
{
    char *end = NULL;

    if (text == NULL || text[0] < '0' || text[0] > '9')
        return LOGIN_NOBODY;
    errno = 0;
    unsigned long value = strtoul(text, &end, 10);
    if (errno != 0 || (*end != '\0' && *end != '\n') || value >= LOGIN_NOBODY)
        return LOGIN_NOBODY;
    return (uid_t)value;
}

static void name_user(uid_t user, char name[LOGIN_NAME_SIZE])
{
    const struct passwd *entry = getpwuid(user);

    if (entry != NULL)
        snprintf(name, LOGIN_NAME_SIZE, "%.63s", entry->pw_name);
    else
        snprintf(name, LOGIN_NAME_SIZE, "user %lu", (unsigned long)user);
}

static enum status refuse_two(uid_t kept, uid_t said, struct error *error)
{
    char kept_name[LOGIN_NAME_SIZE], said_name[LOGIN_NAME_SIZE];

    name_user(kept, kept_name);
    name_user(said, said_name);
    return error_set(error, STATUS_UNUSABLE, "login",
                     "The kernel says that %s signed in here, sudo says %s: nobody can be named in "
                     "the records. Sign in as yourself; where everybody gets this, put \"session "
                     "required pam_loginuid.so\" into /etc/pam.d/sshd.",
                     kept_name, said_name);
}

enum status login_decide(const struct login_facts *facts, struct login *login, struct error *error)
{
    uid_t said = user_from_text(facts->said);
    bool confirmed = said != LOGIN_NOBODY && said == facts->caller;
    bool other = (facts->said != NULL && said != facts->user) ||
                 (facts->caller != LOGIN_NOBODY && facts->caller != facts->user);

    *login = (struct login){.user = facts->user, .shared = other && facts->user != 0};
    if (facts->kept != LOGIN_NOBODY) {
        /* Who signed in as root and went on by sudo -u is told apart by the kernel alone. In an own
         * account a left-over SUDO_UID is nothing; in another's it is a second name. */
        if (said != LOGIN_NOBODY && said != 0 && said != facts->kept &&
            (confirmed || facts->user != facts->kept))
            return refuse_two(facts->kept, said, error);
        login->user = facts->kept;
        return STATUS_OK;
    }
    if (confirmed)
        login->user = said;
    else
        login->unconfirmed = login->shared;
    return STATUS_OK;
}

/* ---- what the kernel knows ---- */

static uid_t kept_login(void)
{
    FILE *file = fopen("/proc/self/loginuid", "re");
    char line[32] = "";

    if (file == NULL)
        return LOGIN_NOBODY;
    if (fgets(line, sizeof line, file) == NULL)
        line[0] = '\0';
    (void)fclose(file);
    return user_from_text(line);
}

/* "Uid:" of proc(5): the real, the effective, the saved and the file system's user. */
static uid_t real_user(const char *line)
{
    char *end = NULL, *effective = NULL;

    unsigned long real = strtoul(line, &end, 10);
    unsigned long rights = strtoul(end, &effective, 10);
    if (end == line || effective == end || rights != 0 || real >= LOGIN_NOBODY)
        return LOGIN_NOBODY;
    return (uid_t)real;
}

static uid_t caller_by_sudo(void)
{
    char path[48], line[256];
    bool sudo = false;
    uid_t caller = LOGIN_NOBODY;

    snprintf(path, sizeof path, "/proc/%ld/status", (long)getppid());
    FILE *file = fopen(path, "re");
    if (file == NULL)
        return LOGIN_NOBODY;
    while (fgets(line, sizeof line, file) != NULL) {
        if (strcmp(line, "Name:\tsudo\n") == 0)
            sudo = true;
        else if (strncmp(line, "Uid:\t", 5) == 0)
            caller = real_user(line + 5);
    }
    (void)fclose(file);
    return sudo ? caller : LOGIN_NOBODY;
}

/* ---- the environment of somebody else ---- */

/* What draws the screen, and can neither name a file nor a day nor a person. */
static const char *const kept_names[] = {
    "TERM",    "LANG",     "LC_ALL",           "LC_CTYPE",
    "COLUMNS", "NO_COLOR", "SPRINGLINE_ASCII", "SPRINGLINE_READY_MARK",
    "ESCDELAY"};

/* What somebody may have set on purpose and should know to be without effect. Among them TZ: it
 * moves the day, and with it what is due and permitted. */
static const char *const vain_names[] = {"SPRINGLINE_STORE",
                                         "SPRINGLINE_TODAY",
                                         "XDG_DATA_HOME",
                                         "XDG_CONFIG_HOME",
                                         "XDG_CONFIG_DIRS",
                                         "XDG_STATE_HOME",
                                         "TZ",
                                         "TERMINFO",
                                         "TERMINFO_DIRS",
                                         "TERMCAP"};

enum {
    KEPT_NAMES = sizeof kept_names / sizeof kept_names[0],
    VAIN_NAMES = sizeof vain_names / sizeof vain_names[0]
};

static void add_notice(struct login *login, const char *words)
{
    size_t length = strlen(login->notice);

    snprintf(login->notice + length, sizeof login->notice - length, "%s", words);
}

static void tell_vain(struct login *login)
{
    bool first = true;

    for (int i = 0; i < VAIN_NAMES; i++) {
        if (getenv(vain_names[i]) == NULL)
            continue;
        add_notice(login, first ? "Set, and not read behind sudo: " : ", ");
        add_notice(login, vain_names[i]);
        first = false;
    }
    if (!first)
        add_notice(login, ".");
}

static enum status empty_environment(struct error *error)
{
    const struct passwd *own = getpwuid(getuid());
    char *values[KEPT_NAMES] = {0};
    bool good = true;

    for (int i = 0; i < KEPT_NAMES; i++) {
        const char *value = getenv(kept_names[i]);
        values[i] = value == NULL ? NULL : strdup(value);
        good = good && (value == NULL || values[i] != NULL);
    }
    good = good && clearenv() == 0;
    for (int i = 0; i < KEPT_NAMES; i++) {
        good = good && (values[i] == NULL || setenv(kept_names[i], values[i], 1) == 0);
        free(values[i]);
    }
    if (own != NULL && own->pw_dir != NULL && own->pw_dir[0] == '/')
        good = good && setenv("HOME", own->pw_dir, 1) == 0;
    return good ? STATUS_OK : error_no_memory(error);
}

enum status login_begin(struct login *login, struct error *error)
{
    const struct login_facts facts = {.user = getuid(),
                                      .kept = kept_login(),
                                      .caller = caller_by_sudo(),
                                      .said = getenv("SUDO_UID")};

    enum status status = login_decide(&facts, login, error);
    if (status != STATUS_OK)
        return status;
    name_user(login->user, login->name);
    if (!login->shared)
        return STATUS_OK;
    if (login->unconfirmed) {
        add_notice(login, "What sudo says of who sits here is not confirmed by the kernel, and not "
                          "believed: rows are recorded under ");
        add_notice(login, login->name);
        add_notice(login, ". ");
    }
    tell_vain(login);
    return empty_environment(error);
}
