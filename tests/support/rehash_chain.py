#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Change a store behind the program and hash its whole ledger anew, so that it matches again.

usage: rehash_chain.py STORE SQL

What somebody can do who can write the file: triggers are dropped and made again, the row changed,
every hash computed as check_chain.py does. Of the program nothing is used. Status 1 where the SQL
changed nothing.
"""

import sqlite3
import sys

import check_chain


def main():
    store = sqlite3.connect(sys.argv[1], isolation_level=None)
    store.execute("PRAGMA ignore_check_constraints=ON")
    triggers = store.execute("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'").fetchall()
    store.execute("BEGIN")
    for name, _ in triggers:
        store.execute(f"DROP TRIGGER {name}")
    changed = store.execute(sys.argv[2]).rowcount
    practice = store.execute("SELECT id FROM practice").fetchone()[0]
    before = check_chain.blake(b"springline ledger 1\0" + practice)
    for sequence, table, row_id in store.execute(
        "SELECT sequence, kind, row FROM ledger ORDER BY sequence"
    ).fetchall():
        cursor = store.execute(f"SELECT * FROM {table} WHERE id = ?", (row_id,))
        names = [part[0] for part in cursor.description]
        before = check_chain.row_hash(before, sequence, table, names, cursor.fetchone())
        store.execute("UPDATE ledger SET hash = ? WHERE sequence = ?", (before, sequence))
    for _, sql in triggers:
        store.execute(sql)
    store.execute("COMMIT")
    return 0 if changed > 0 else 1


if __name__ == "__main__":
    sys.exit(main())
