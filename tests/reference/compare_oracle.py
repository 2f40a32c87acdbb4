#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Ask the program and the second reading (oracle.py) the same questions, and compare. TAP.

usage: compare_oracle.py PROGRAM SCRATCH [--seed S] [--cases N] [--show N]

Two invented practices (make_practice.py) are imported: one with widths taken twice, so that it
has a measurement error of its own, and a small one without. Every case is asked for advice on
several days with several examinations; then the recall list of two days and the audit of two
months. A mismatch prints the rows of the case and both answers.
"""

import argparse
import collections
import concurrent.futures
import csv
import datetime
import json
import os
import pathlib
import random
import subprocess
import sys
from types import SimpleNamespace

import make_practice
import oracle

ANCHOR = datetime.date(2026, 11, 25).toordinal()
# Every rule of the treatment but two: done-today can not fire over history strictly before the
# day, and advise takes tissue and hardware to be sound where they are not stated. And a class of
# wear that is stricter than the days it shows.
RULES = set(
    "first-step step-size not-in-place passive fit-check no-trainer no-consent not-asked too-soon"
    " seen-late restart window-sum wear-unknown wear-thin wear-differs wear-short wear-low wear-run wear-rest"
    " tissue-mild tissue-wound tissue-healed hardware hardware-recent relieved side-gap width-lag"
    " width-rate width-loss target-near target-reached no-target no-baseline width-stale"
    " width-missing lower-early".split()) | {"stricter"}
VERDICTS = {"rest", "hold", "reduce", "proceed"}
EXAMINATIONS = (("none", "intact", False),) * 5 + (
    ("mild", "intact", False), ("wound", "intact", False), ("none", "loose-band:right", False),
    ("none", "bent-wire;lost-ligature", True), ("mild", "lost-bracket:left", True))


class Tap:
    def __init__(self, show):
        self.count, self.failed, self.show = 0, 0, show

    def check(self, title, complaints):
        self.count += 1
        print(f"{'not ok' if complaints else 'ok'} {self.count} - {title}")
        self.failed += bool(complaints)
        for complaint in complaints[:self.show]:
            for line in complaint.splitlines():
                print("#   " + line)
        if len(complaints) > self.show:
            print(f"#   and {len(complaints) - self.show} more")
        sys.stdout.flush()


class Practice:
    """An invented practice: its files, its store, and the second reading of it."""

    def __init__(self, program, folder, cases, seed, repeats):
        self.program, self.folder = program, folder / "files"
        self.store = folder / "practice.db"
        make_practice.make(self.folder, cases, seed, ANCHOR, repeats)
        self.cases = oracle.read(self.folder)

    def run(self, *words):
        environment = dict(os.environ, SPRINGLINE_TODAY=oracle.iso(ANCHOR))
        return subprocess.run([self.program, "--store", str(self.store), *words],
                              capture_output=True, text=True, env=environment, timeout=60,
                              check=False)

    def ask(self, *words):
        """The program's JSON; a list that is empty ends with 1."""
        result = self.run("--format", "json", *words)
        if result.returncode not in (0, 1) or not result.stdout.strip():
            raise RuntimeError(f"{' '.join(words)}: {result.returncode} {result.stderr}")
        return json.loads(result.stdout)

    def load(self):
        complaints = []
        for words in (("init",), ("import", str(self.folder))):
            result = self.run(*words)
            if result.returncode != 0:
                complaints.append((result.stderr or result.stdout)[:4000])
        return complaints

    def rows_of(self, case):
        lines = []
        for kind in make_practice.COLUMNS:
            with open(self.folder / (kind + ".csv"), newline="", encoding="utf-8") as file:
                own = [",".join(row) for row in csv.reader(file) if row and row[0] == case]
            if kind == "wear_days" and len(own) > 30:
                own = own[-30:]
            lines += [f"{kind}: {row}" for row in own]
        return "\n".join(lines)


# ---- one answer ------------------------------------------------------------------------------


def amount(value):
    """Micrometres; a limit below 0 permits nothing, as 0 does."""
    return max(0, round(value * 1000))


WEAR_FIGURES = {"wear-unknown", "wear-thin", "wear-differs", "wear-short", "wear-low"}


def figures_of(finding):
    """The days that a finding on wear shows, and whether it says that they are not all."""
    if finding["rule"] not in WEAR_FIGURES:
        return ()
    return tuple(finding["values"].get(name) for name in ("met", "known", "stricter"))


def findings_of(answer, plan):
    """{(rule, effect, side, days): limit}; a finding without a side holds for each in plan."""
    found = {}
    for f in answer["findings"]:
        for side in [f["side"]] if "side" in f else plan:
            key = (f["rule"], f["effect"], side, *figures_of(f))
            found[key] = amount(f["limit_mm"]) if f["effect"] == "limit" else None
    return found


def same_limits(mine, theirs):
    """The program prints a limit cut to hundredths."""
    return mine.keys() == theirs.keys() and all(
        (mine[k] is None) == (theirs[k] is None) and
        (mine[k] is None or 0 <= mine[k] - theirs[k] < 10) for k in mine)


def differences(mine, theirs, plan):
    """What differs between two answers for one arch, as lines."""
    lines = []
    for name in ("case", "arch", "on", "verdict", "right", "left", "next"):
        if mine[name] != theirs.get(name):
            lines.append(f"{name}: oracle {mine[name]}, program {theirs.get(name)}")
    own, other = findings_of(mine, plan), findings_of(theirs, plan)
    if not same_limits(own, other):
        only = [f"{k} {own[k]}" for k in own if k not in other or not same_limits(
            {k: own[k]}, {k: other[k]})]
        extra = [f"{k} {other[k]}" for k in other if k not in own or not same_limits(
            {k: own[k]}, {k: other[k]})]
        lines.append(f"findings: oracle alone {only}, program alone {extra}")
    return lines


def plan_of(practice, answer):
    case = practice.cases[answer["case"]]
    expander = oracle.expander_on(case, answer["arch"], oracle.day(answer["on"]))
    sides = expander["sides"] if expander else "both"
    return oracle.SIDES if sides in ("both", "") else (sides,)


def compare_advice(practice, question):
    name, on, (tissue, hardware, repaired), proposal = question
    words = ["advise", name, "--on", oracle.iso(on), "--tissue", tissue, "--hardware", hardware]
    words += ["--repaired"] if repaired else []
    if proposal:
        for side in oracle.SIDES:
            words += ["--" + side, f"{proposal[side] / 1000:.2f}"]
    theirs = {a["arch"]: a for a in practice.ask(*words)}
    exam = SimpleNamespace(tissue=tissue, hardware=hardware, repaired=repaired, relief=False)
    mine = {a.arch: oracle.as_json(a)
            for a in oracle.advise(practice.cases[name], on, exam, proposal)}
    lines = []
    if mine.keys() != theirs.keys():
        lines.append(f"arches: oracle {sorted(mine)}, program {sorted(theirs)}")
    for arch in sorted(mine.keys() & theirs.keys()):
        if oracle.expander_on(practice.cases[name], arch, on)["fitted_on"] > on:
            if not any(f["rule"] == "not-in-place" for f in theirs[arch]["findings"]):
                lines.append(f"{arch}: fitted later, and not said not to be in place")
            continue
        found = differences(mine[arch], theirs[arch], plan_of(practice, mine[arch]))
        lines += [f"{arch}: {line}" for line in found]
    return " ".join(words), lines, mine


def questions(practice, seed):
    """Days at the limits of what each case did last, with examinations and proposals."""
    chooser = random.Random(seed)
    for name, case in practice.cases.items():
        past = sorted({v["date"] for v in case.visits}) or [case.row["opened"]]
        days = {ANCHOR, chooser.choice(past), chooser.choice(past) + chooser.choice((1, 14, 15)),
                past[-1] + chooser.choice((20, 21, 28, 29, 42, 56, 57))}
        for on in sorted(d for d in days if d <= ANCHOR + 30):
            proposal = None
            if chooser.random() < 0.3:
                proposal = {s: chooser.choice((0, 250, 1000, 2000, 2500)) for s in oracle.SIDES}
            yield name, on, chooser.choice(EXAMINATIONS), proposal


# ---- the checks ------------------------------------------------------------------------------


def check_advice(tap, practice, title, seed):
    complaints, fired, verdicts, asked = [], collections.Counter(), collections.Counter(), 0
    kinds = collections.Counter()
    with concurrent.futures.ThreadPoolExecutor(2) as pool:
        every = list(questions(practice, seed))
        for question, (words, lines, mine) in zip(
                every, pool.map(lambda q: compare_advice(practice, q), every)):
            asked += 1
            for answer in mine.values():
                fired.update({f["rule"] for f in answer["findings"]})
                fired.update({name for f in answer["findings"] for name in f["values"]})
                verdicts[answer["verdict"]] += 1
            if lines:
                kinds.update(line.split(": oracle")[0] for line in lines)
                complaints.append("\n".join([words, *lines, practice.rows_of(question[0])]))
    tap.check(f"{title}: advice agrees, {asked} questions", complaints)
    if kinds:
        print("#   " + str(dict(kinds)))
    return fired, verdicts


def check_recall(tap, practice, on):
    theirs = {row["case"]: row for row in practice.ask("recall", "--on", oracle.iso(on))}
    complaints = []
    for name, case in practice.cases.items():
        mine, other = oracle.recall_row(case, on), theirs.get(name)
        if mine is None and other is None:
            continue
        lines = []
        if mine is None or other is None:
            lines.append("listed by one alone")
        else:
            for column in ("group",) if mine["group"] == "safety" else \
                    ("group", "due_on", "days_late"):
                if (mine[column] or None) != (other[column] or None):
                    lines.append(column)
            if mine["safety"] != sorted(filter(None, (other["safety"] or "").split(";"))):
                lines.append("safety")
        if lines:
            complaints.append(f"{', '.join(lines)}\noracle  {mine}\nprogram {other}\n" +
                              practice.rows_of(name))
    tap.check(f"recall agrees on {oracle.iso(on)}, {len(theirs)} rows", complaints)


AUDIT_COLUMNS = ("group", "days_known", "days_met", "source", "visits", "holds", "reductions",
                 "rests", "overrides", "missed", "short_run")


def check_audit(tap, practice, month):
    theirs = {row["case"]: row for row in practice.ask("audit", "--month", month)}
    first = oracle.day(month + "-01")
    complaints = []
    for name, case in practice.cases.items():
        mine = oracle.audit_row(case, first, oracle.add_months(first, 1) - 1)
        other = theirs.get(name)
        if mine is None and other is None:
            continue
        wrong = ["listed by one alone"] if mine is None or other is None else \
            [c for c in AUDIT_COLUMNS if (mine[c] or None) != (other[c] or None)]
        if wrong:
            complaints.append(f"{', '.join(wrong)}\noracle  {mine}\nprogram {other}\n" +
                              practice.rows_of(name))
    tap.check(f"audit agrees for {month}, {len(theirs)} rows", complaints)


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("program")
    parser.add_argument("scratch", type=pathlib.Path)
    parser.add_argument("--seed", type=int, default=20261125)
    parser.add_argument("--cases", type=int, default=220)
    parser.add_argument("--show", type=int, default=2)
    options = parser.parse_args()
    tap = Tap(options.show)
    print(f"# seed {options.seed}")
    large = Practice(options.program, options.scratch / "large", options.cases, options.seed, True)
    small = Practice(options.program, options.scratch / "small", 30, options.seed + 1, False)
    for practice, title in ((large, "practice"), (small, "practice without repeats")):
        tap.check(f"{title}: {len(practice.cases)} cases are imported", practice.load())
    fired, verdicts = check_advice(tap, large, "practice", options.seed)
    more, others = check_advice(tap, small, "practice without repeats", options.seed)
    idle = sorted(RULES - set(fired + more)) + sorted(VERDICTS - set(verdicts + others))
    tap.check("every rule and verdict came up", [f"never: {name}" for name in idle])
    check_recall(tap, large, ANCHOR)
    check_recall(tap, large, ANCHOR - 45)
    check_audit(tap, large, "2026-10")
    check_audit(tap, large, "2026-09")
    print(f"1..{tap.count}")
    return 1 if tap.failed else 0


if __name__ == "__main__":
    sys.exit(main())
