#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Writes folding.csv: letters that Unicode decomposes or gives a small form, and their base letter.

usage: python3 tests/reference/folding.py >tests/reference/folding.csv
"""

import unicodedata

BLOCKS = (
    (0x00C0, 0x0250),  # Latin-1, Latin Extended-A and -B
    (0x0370, 0x0400),  # Greek
    (0x0400, 0x0530),  # Cyrillic
    (0x0530, 0x0590),  # Armenian
    (0x1E00, 0x1F00),  # Latin Extended Additional (Vietnamese)
    (0x1F00, 0x2000),  # Greek Extended
)


def strip(text):
    """Canonically decomposed, without its marks."""
    return "".join(c for c in unicodedata.normalize("NFD", text) if not unicodedata.combining(c))


def main():
    print(
        "# source: Unicode " + unicodedata.unidata_version + " (canonical decompositions and lower "
        "case); standing: standard; obtained: written once by tests/reference/folding.py with "
        "Python's unicodedata; same: folds as its small letter does; base: folds to exactly this"
    )
    print("letter,sort,other")
    for first, end in BLOCKS:
        for number in range(first, end):
            letter = chr(number)
            if not unicodedata.category(letter).startswith("L"):
                continue
            small = letter.lower()
            if letter != small and len(small) == 1 and ord(small) < 0x2000:
                print(f"{letter},same,{small}")
            base = strip(strip(letter).lower())
            if strip(letter) != letter and len(base) == 1:
                # A mark less may leave a letter that has a form of its own in our table.
                sort = "base" if base.isascii() or ord(base) >= 0x370 else "same"
                print(f"{letter},{sort},{'σ' if base == 'ς' else base}")


main()
