#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Walk the ledger of a store with nothing of the program: Python's sqlite3 and hashlib.

usage: check_chain.py STORE

The oracle for src/store/ledger.c, written from its description: BLAKE2b-256 (RFC 7693, here
Python's hashlib) over a tag, the hash before, the place, the table and each column that is not
NULL as its name, a type tag and its bytes, each preceded by its length in 8 bytes, little end
first. Personal values enter by their seals. A lawful erasure leaves the seal, and a row of erasure
that names the blank: either without the other is a difference. Prints the places walked and the head; status 1 and a
line for the first row that differs.
"""

import hashlib
import sqlite3
import struct
import sys

HEAD = ["id", "record", "version", "replaces", "sequence", "recorded_at", "practice", "person",
        "request", "reason"]
PERSONAL = {
    "patient": ["family", "given", "born", "guardian", "phone", "guardian2", "phone2", "alerts"],
    "visit": ["override_reason", "note"],
    "contact": ["note"],
    "plan": ["note"],
}


def number(value):
    return struct.pack("<Q", value & 0xFFFFFFFFFFFFFFFF)


def sized(data):
    return number(len(data)) + data


def cell(value):
    if value is None:
        return b"N" + number(0)
    if isinstance(value, int):
        return b"I" + sized(number(value))
    if isinstance(value, str):
        return b"T" + sized(value.encode())
    return b"B" + sized(value)


def blake(data):
    return hashlib.blake2b(data, digest_size=32).digest()


def row_hash(before, sequence, table, names, values):
    data = b"springline ledger row 1\0" + before + number(sequence) + sized(table.encode())
    for name, value in zip(names, values):
        if name == "salts" or name in PERSONAL.get(table, []) or value is None:
            continue
        data += sized(name.encode()) + cell(value)
    return blake(data)


def blank(row, index, name):
    """Erased: the value is gone, and its salt is zero."""
    return row[name] is None and row["salts"][16 * index : 16 * index + 16] == bytes(16)


def seals(table, row, erased):
    """The seals as the values give them; a blank that an erasure names keeps the seal it has."""
    made = b""
    for index, name in enumerate(PERSONAL.get(table, [])):
        salt = row["salts"][16 * index : 16 * index + 16]
        if blank(row, index, name) and (table, row["id"].hex(), name) in erased:
            made += row["seals"][32 * index : 32 * index + 32]
        else:
            made += blake(b"springline seal 1\0" + salt + sized(name.encode()) + cell(row[name]))
    return made


def erasures(store):
    """Each (table, row, column) that an erasure names; none in a store of before the fifth rung."""
    if store.execute("SELECT 1 FROM sqlite_schema WHERE name = 'erasure'").fetchone() is None:
        return set()
    named = store.execute("SELECT kind, row, fields FROM erasure").fetchall()
    return {(table, row, name) for table, row, fields in named for name in fields.split(" ")}


def not_blank(store, erased):
    """The first thing an erasure names that is not blank; None: all are."""
    for table, row_id, name in sorted(erased):
        if name not in PERSONAL.get(table, []):
            return f"{table} {row_id}: {name} is no personal column"
        cursor = store.execute(f"SELECT * FROM {table} WHERE id = ?", (bytes.fromhex(row_id),))
        values = cursor.fetchone()
        if values is None:
            return f"{table} {row_id}: erased and not there"
        row = dict(zip([part[0] for part in cursor.description], values))
        if not blank(row, PERSONAL[table].index(name), name):
            return f"{table} {row_id}: {name} was erased, yet it is not blank"
    return None


def main():
    store = sqlite3.connect(f"file:{sys.argv[1]}?mode=ro", uri=True)
    practice = store.execute("SELECT id FROM practice").fetchone()[0]
    before = blake(b"springline ledger 1\0" + practice)
    erased = erasures(store)
    walked = 0
    for sequence, table, row_id, _, found in store.execute(
        "SELECT sequence, kind, row, recorded_at, hash FROM ledger ORDER BY sequence"
    ).fetchall():
        cursor = store.execute(f"SELECT * FROM {table} WHERE id = ?", (row_id,))
        names = [part[0] for part in cursor.description]
        values = cursor.fetchone()
        if row_hash(before, sequence, table, names, values) != found:
            print(f"place {sequence}, {table}: another hash")
            return 1
        row = dict(zip(names, values))
        if table in PERSONAL and seals(table, row, erased) != row["seals"]:
            print(f"place {sequence}, {table}: another seal")
            return 1
        before = found
        walked += 1
    wrong = not_blank(store, erased)
    if wrong is not None:
        print(wrong)
        return 1
    print(f"{walked} {before.hex()}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
