/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Memory for SQLite that a sanitizer does not watch. SQLite comes from the system and is not
 * instrumented; under AddressSanitizer most of the time of a small store goes into its allocations.
 */
#ifndef SPRINGLINE_TESTS_SQLITE_POOL_H
#define SPRINGLINE_TESTS_SQLITE_POOL_H

/* Must come before SQLite is first used; ends the program when it does not. */
void sqlite_pool_use(void);

#endif
