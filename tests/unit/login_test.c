/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Who sits here, from what is known: no variable alone is ever a name. What the kernel and sudo
 * keep is in proc(5) (loginuid), pam_loginuid(8) and sudo(8) (SUDO_UID); a real sshd and sudo are
 * tried in tests/cli/shared_seats.sh.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "springline/cli/login.h"

enum { ROOT = 0, SERVICE = 995, ADA = 54001, BEA = 54002, REFUSED = -2 };
#define NONE LOGIN_NOBODY

static const struct {
    const char *what;
    struct login_facts facts; /* user, kept, caller, said */
    int64_t who;              /* REFUSED: nobody */
    bool shared, unconfirmed;
} cases[] = {
    {"an own account", {ADA, NONE, NONE, NULL}, ADA, false, false},
    {"an own account, signed in", {ADA, ADA, NONE, NULL}, ADA, false, false},
    {"after su", {BEA, ADA, NONE, NULL}, ADA, false, false},

    {"through sudo, by the kernel", {SERVICE, ADA, ADA, "54001"}, ADA, true, false},
    {"through sudo, by sudo", {SERVICE, NONE, ADA, "54001"}, ADA, true, false},
    {"sudo is no longer the parent", {SERVICE, ADA, NONE, "54001"}, ADA, true, false},
    {"sudo cleared its variable", {SERVICE, NONE, ADA, NULL}, SERVICE, true, true},

    /* What a person sets by hand. */
    {"an own store, and a name", {ADA, NONE, NONE, "54002"}, ADA, true, true},
    {"the same, signed in", {ADA, ADA, NONE, "54002"}, ADA, true, false},
    {"a program of root's rights that she started", {ADA, NONE, ADA, "54002"}, ADA, true, true},
    {"her own number", {ADA, NONE, NONE, "54001"}, ADA, false, false},
    {"the service account, and a name", {SERVICE, NONE, NONE, "54001"}, SERVICE, true, true},
    {"in a shell that sudo gave ada", {SERVICE, NONE, ADA, "54002"}, SERVICE, true, true},
    {"root's number", {ADA, NONE, NONE, "0"}, ADA, true, true},

    /* Nothing that is no user. */
    {"no number", {SERVICE, NONE, ADA, "ada"}, SERVICE, true, true},
    {"nothing", {SERVICE, NONE, ADA, ""}, SERVICE, true, true},
    {"a sign", {SERVICE, NONE, ADA, "+54001"}, SERVICE, true, true},
    {"a blank", {SERVICE, NONE, ADA, " 54001"}, SERVICE, true, true},
    {"something behind", {SERVICE, NONE, ADA, "54001x"}, SERVICE, true, true},
    {"nobody's number", {SERVICE, NONE, NONE, "4294967295"}, SERVICE, true, true},
    {"2 to the 32 and ada", {SERVICE, NONE, ADA, "4295021297"}, SERVICE, true, true},
    {"beyond all numbers", {SERVICE, NONE, ADA, "99999999999999999999"}, SERVICE, true, true},

    /* Two names. */
    {"a login left over from whoever began sshd", {SERVICE, BEA, ADA, "54001"}, REFUSED, 0, 0},
    {"one of root's", {SERVICE, ROOT, ADA, "54001"}, REFUSED, 0, 0},
    {"the same, unconfirmed", {SERVICE, BEA, NONE, "54001"}, REFUSED, 0, 0},
    {"of the account itself", {SERVICE, SERVICE, ADA, "54001"}, REFUSED, 0, 0},
    {"ada became root first", {SERVICE, ADA, ROOT, "0"}, ADA, true, false},
    {"root, signed in nowhere", {SERVICE, NONE, ROOT, "0"}, ROOT, true, false},

    /* Whoever is root is not held by variables. */
    {"root", {ROOT, NONE, NONE, NULL}, ROOT, false, false},
    {"ada as root", {ROOT, ADA, ADA, "54001"}, ADA, false, false},
    {"ada as root, by sudo", {ROOT, NONE, ADA, "54001"}, ADA, false, false},
};

static void each_case(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct login login;
        struct error error = {0};

        enum status status = login_decide(&cases[i].facts, &login, &error);
        if (cases[i].who == REFUSED) {
            if (status != STATUS_UNUSABLE || strstr(error.sentence, "pam_loginuid") == NULL)
                fail_msg("%s: not refused: %s", cases[i].what, error.sentence);
            continue;
        }
        if (status != STATUS_OK || (int64_t)login.user != cases[i].who)
            fail_msg("%s: user %ld, %s", cases[i].what, (long)login.user, error.sentence);
        if (login.shared != cases[i].shared || login.unconfirmed != cases[i].unconfirmed)
            fail_msg("%s: shared %d, unconfirmed %d", cases[i].what, login.shared,
                     login.unconfirmed);
    }
}

/* Every combination: a name that is neither the account's own, nor the kernel's, nor the one that
 * the kernel's record of sudo has, is never taken. */
static void no_variable_alone_is_a_name(void **state)
{
    static const uid_t users[] = {NONE, ROOT, SERVICE, ADA, BEA};
    static const char *const said[] = {NULL, "0", "995", "54001", "54002", "x"};
    int seen = 0;

    (void)state;
    for (int at = 0; at < 5 * 5 * 5 * 6; at++) {
        const struct login_facts facts = {users[at % 5], users[at / 5 % 5], users[at / 25 % 5],
                                          said[at / 125]};
        struct login login;

        if (facts.user == NONE || login_decide(&facts, &login, NULL) != STATUS_OK)
            continue;
        assert_true(login.user == facts.user || login.user == facts.kept ||
                    login.user == facts.caller);
        if (facts.kept != NONE)
            assert_int_equal(login.user, facts.kept);
        seen++;
    }
    assert_true(seen > 400);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(each_case),
                                       cmocka_unit_test(no_variable_alone_is_a_name)};

    return cmocka_run_group_tests(tests, NULL, NULL);
}
