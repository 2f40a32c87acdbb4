#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Writes python_dates.csv: what Python's datetime says of days, weekdays, ages, months, instants.

usage: python3 tests/reference/python_dates.py >tests/reference/python_dates.csv
"""

import calendar
import platform
from datetime import date, datetime, timedelta, timezone

EPOCH = date(1970, 1, 1)
YEARS = (1800, 1899, 1900, 1904, 1970, 1999, 2000, 2004, 2023, 2024, 2026, 2096, 2100, 2400, 2999)


def month_later(day, months):
    """The same day some months later, or that month's last day."""
    count = day.year * 12 + day.month - 1 + months
    year, month = count // 12, count % 12 + 1
    return date(year, month, min(day.day, calendar.monthrange(year, month)[1]))


def age(born, on):
    """Whole years; the birthday counts."""
    return on.year - born.year - ((on.month, on.day) < (born.month, born.day))


def main():
    print(
        "# source: datetime and calendar of Python " + platform.python_version() + "; "
        "standing: reference implementation (proleptic Gregorian calendar); "
        "obtained: written once by tests/reference/python_dates.py"
    )
    print("kind,first,second,value")
    for year in YEARS:
        for month in range(1, 13):
            last = date(year, month, calendar.monthrange(year, month)[1])
            print(f"day,{last},,{(last - EPOCH).days}")
        for month, number in ((1, 1), (2, 28), (3, 1), (12, 31)):
            some = date(year, month, number)
            print(f"weekday,{some},,{(some.weekday() + 1) % 7}")
    for born in (date(2016, 2, 29), date(2017, 2, 28), date(2015, 12, 31), date(2018, 1, 1)):
        for year in (2024, 2025, 2026, 2028):
            for month, number in ((1, 1), (2, 28), (3, 1), (12, 30), (12, 31)):
                on = date(year, month, number)
                print(f"age,{born},{on},{age(born, on)}")
    for start in (date(2024, 1, 31), date(2023, 1, 31), date(2024, 2, 29), date(2026, 8, 30)):
        for months in (-25, -12, -6, -1, 0, 1, 3, 6, 12, 13, 48):
            print(f"months,{start},{months},{month_later(start, months)}")
    for seconds in (0, -1, 86399, 86400, 951782399, 951782400, 1795600830, 4107542400, -2208988801):
        at = datetime(1970, 1, 1, tzinfo=timezone.utc) + timedelta(seconds=seconds)
        print(f"instant,{at:%Y-%m-%dT%H:%M:%SZ},,{seconds}")


main()
