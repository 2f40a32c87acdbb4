#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""A second reading of the treatment's rules, to hold the program against.

Written from the domain text (wear, activation rules, stages and due dates, safety items, audit)
over the CSV files of a practice, and kept to what was decided since where that text leaves two
readings open. Plain Python, no store, no speed: short enough to be read against the text. Standing
of every figure as there.

usage: oracle.py FOLDER advise CASE --on DATE [--tissue T] [--hardware H] [--repaired]
                                    [--right MM --left MM]
       oracle.py FOLDER recall --on DATE
       oracle.py FOLDER audit --month YYYY-MM

All answers are JSON. Days are ordinals, lengths integer micrometres.
"""

import argparse
import calendar
import csv
import datetime
import fractions
import itertools
import json
import math
import pathlib
from types import SimpleNamespace

# The default protocol. Lengths in micrometres.
P = SimpleNamespace(
    first_step_max=1000, step_max=2000, grain=250, interval_min=21, interval_max=28,
    restart_after=56, window_days=42, window_max=4000, wear_day_min=60, wear_full=0.80,
    wear_low=0.50, known_min=0.50, thin=0.80, period_min=14, differs_days=7, reduce=0.5,
    run_hold=2, run_rest=3, side_gap=1000, lag_total=4000, lag_days=56, lag_share=0.25,
    width_rate=1000, stale=42, missing=84, width_error=300, error_pairs=10, retention_days=180,
    recheck_wear=(14, 21), recheck_fault=(1, 7), recheck_rest=(28, 35), separator_days=7,
    lower_after=90)

SOURCES = ("sensor", "diary", "told")
SIDES = ("right", "left")
FIT_CHECKS = ("passive_ends", "width_equal", "loops_clear", "tied", "ends_rounded")
SEVERITY = ("rest", "hold", "reduce", "proceed")
STABILITY_MONTHS = (1, 3, 6, 12)


# ---- reading ---------------------------------------------------------------------------------


def day(text):
    return datetime.date.fromisoformat(text).toordinal() if text else None


def iso(ordinal):
    return datetime.date.fromordinal(ordinal).isoformat()


def um(text):
    return round(fractions.Fraction(text) * 1000) if text else None


def number(text):
    return int(text) if text else None


CONVERT = {"date": day, "from": day, "to": day, "opened": day, "day_minutes": number,
           "days_met": number, "days_asked": number, "plan_gap_mm": um, "mm": um,
           "right_mm": um, "left_mm": um, "target_mm": um, "at": lambda text: day(text[:10])}


def rows(folder, kind):
    path = pathlib.Path(folder) / (kind + ".csv")
    if not path.exists():
        return
    with open(path, newline="", encoding="utf-8") as file:
        for cells in csv.DictReader(file):
            for name, text in cells.items():
                if name in CONVERT:
                    cells[name] = CONVERT[name](text)
                elif name.endswith("_on"):
                    cells[name] = day(text)
            yield cells


def read(folder):
    """The cases of a practice by name, each with all its rows; and the practice's repeats."""
    cases = {}
    for row in rows(folder, "cases"):
        case = SimpleNamespace(name=row["case"], row=row)
        for kind in ("trainers", "expanders", "visits", "widths", "wear_days", "wear_counts",
                     "contacts", "bookings"):
            setattr(case, kind, [])
        cases[case.name] = case
    for case in cases.values():
        case.practice = cases
    for kind in ("trainers", "expanders", "visits", "widths", "wear_days", "wear_counts",
                 "contacts", "bookings"):
        for row in rows(folder, kind):
            getattr(cases[row["case"]], kind).append(row)
    return cases


def seen(visit):
    return visit["kind"] != "missed"


def earliest(days):
    return min((d for d in days if d is not None), default=None)


# ---- wear ------------------------------------------------------------------------------------


def current_trainer(case, on):
    return any(t["issued_on"] <= on and (t["ended_on"] is None or on < t["ended_on"])
               for t in case.trainers)


def day_met(record):
    """True, False, or None where it is unknown."""
    minutes, night = record["day_minutes"], record["night"]
    enough = None if minutes is None else minutes >= P.wear_day_min
    worn = None if not night else night == "yes"
    if enough is False or worn is False:
        return False
    return True if enough and worn else None


def cut_count(case, count, length):
    """(known, met): a count cut to the days with a trainer in its own span, and to the period."""
    trained = sum(current_trainer(case, d) for d in range(count["from"], count["to"] + 1))
    known = min(count["days_asked"], trained, length)
    return known, count["days_met"] * known // count["days_asked"]


def chains_of(case, counts, length):
    """The cut counts, those that overlap, in a chain too, together. What knows nothing is none."""
    chains, last = [], None
    for count in sorted(counts, key=lambda c: c["from"]):
        cut = cut_count(case, count, length)
        if not cut[0]:
            continue
        if last is not None and count["from"] <= last:
            chains[-1].append(cut)
        else:
            chains.append([cut])
            last = count["to"]
        last = max(last, count["to"])
    return chains


def share_of(cut):
    return fractions.Fraction(cut[1], cut[0])


def reading_of_counts(case, counts, length):
    """Of each chain the lowest share stands alone; together they are cut to the length.

    The bound is the lowest share that the sum can have, whichever count of each chain gives the
    weight to its lowest share: so a missed day betters nothing. Where the longest of each chain
    know more days than there are, only whole days of the length are met.
    """
    chains = chains_of(case, counts, length)
    standing = [min(chain, key=lambda cut: (share_of(cut), -cut[0])) for chain in chains]
    known, met = (sum(cut[i] for cut in standing) for i in (0, 1))
    most, least = (sum(which(cut[0] for cut in chain) for chain in chains) for which in (max, min))
    bound = 1
    for weights in itertools.product(*[{cut[0] for cut in chain} for chain in chains]):
        if weights:
            share = sum(share_of(c) * w for c, w in zip(standing, weights)) / sum(weights)
            if most > length:
                share = fractions.Fraction(math.floor(share * length), length)
            bound = min(bound, share)
    if known > length:
        known, met = length, met * length // known
    return SimpleNamespace(known=known, met=met, bound=bound, most=min(most, length),
                           least=min(least, length), of_days=False)


def reading_of_days(records):
    """A day that fails by its minutes alone is missed; but it is known only for as long as no fewer
    are asked for, so a source need not know it."""
    answers = [(day_met(r), r["day_minutes"] is not None and r["night"] == "") for r in records]
    known = sum(answer is not None for answer, _ in answers)
    least = sum(answer is not None and not half for answer, half in answers)
    met = sum(answer is True for answer, _ in answers)
    bound = fractions.Fraction(met, known) if known else 1
    return SimpleNamespace(known=known, met=met, bound=bound, most=known, least=least,
                           of_days=True)


def period_of(case, first, last):
    """The wear figures from first to last, judged on the first source that knows enough."""
    inside = [d for d in range(first, last + 1) if current_trainer(case, d)]
    held = set(inside)
    period = SimpleNamespace(first=first, last=last, days=len(inside), readings={}, source=None,
                             known=0, met=0, grade="unknown")
    for source in SOURCES:
        days = reading_of_days([r for r in case.wear_days
                                if r["source"] == source and r["date"] in held])
        counts = reading_of_counts(case, [c for c in case.wear_counts if c["source"] == source and
                                          first <= c["to"] <= last and c["days_asked"]],
                                   len(inside))
        period.readings[source] = [days, counts] if days.known >= counts.known else [counts, days]
    judge(period)
    period.figures = {s: period.readings[s][0] for s in SOURCES}
    if period.source:
        period.figures[period.source] = period.judged
        period.stricter = RANK.index(period.grade) < RANK.index(shown_grade(period))
    else:
        period.stricter = any(enough(f.known, period) for f in period.figures.values())
    return period


def shown_grade(period):
    """What whoever reads met of known takes it to be."""
    if not enough(period.known, period):
        return "unknown"
    return grade(fractions.Fraction(period.met, period.known))


RANK = ("low", "short", "unknown", "full")


def judge(period):
    """The first source that knows enough, by the larger of its day records and its counts.

    Records that overlap, or are half filled, leave open how many days are known. Whatever may be
    the larger is read, and what may know enough may lower the class; only what surely knows enough
    makes it full, or ends the search. The lowest class stands.
    """
    found = []
    for source in SOURCES:
        readings = possible(period.readings[source])
        for r in readings:
            which = grade(r.bound)
            if enough(r.most, period) and (which != "full" or enough(r.least, period)):
                found.append((source, which, r))
        if any(enough(r.least, period) for r in readings):
            break
    if found:
        period.source, period.grade, period.judged = min(found, key=lambda f: RANK.index(f[1]))
        period.known, period.met = period.judged.known, period.judged.met


def possible(readings):
    """The larger, and the other where it may be the larger. A tie: day records."""
    first, second = readings
    other = second.most > first.least or second.of_days and second.most == first.least
    return readings if other else [first]


def enough(known, period):
    return known > 0 and known >= fractions.Fraction(str(P.known_min)) * period.days


def grade(share):
    if share >= fractions.Fraction(str(P.wear_full)):
        return "full"
    return "short" if share >= fractions.Fraction(str(P.wear_low)) else "low"


def wear_start(case):
    issued = earliest(t["issued_on"] for t in case.trainers)
    return None if issued is None else max(issued, case.row["opened"])


def periods(case, today):
    """Newest first; the first one is today's."""
    start, formed = wear_start(case), []
    if start is None:
        return formed
    visits = {v["date"] for v in case.visits if seen(v) and start < v["date"] < today}
    last = today - 1
    while last >= start:
        first = max((d for d in visits if last - d >= P.period_min), default=start)
        formed.append(period_of(case, first, last))
        last = first - 1
    return formed


def first_wear_record(case, today):
    return earliest([r["date"] for r in case.wear_days if r["date"] <= today] +
                    [c["from"] for c in case.wear_counts if c["to"] <= today])


def wear_run(case, formed, today):
    first_record = first_wear_record(case, today)
    run = 0
    for period in formed:
        if period.grade == "full" or \
                first_record is not None and period.last < first_record:
            break
        run += 1
    return run


def wear_rest_run(formed):
    run = 0
    for period in formed:
        if period.grade == "full":
            break
        run += period.grade in ("short", "low")
    return run


# ---- widths ----------------------------------------------------------------------------------


def repeat_pairs(practice):
    """First and second measurements of the same thing, of all that was ever read."""
    groups = {}
    for case in practice.values():
        for w in case.widths:
            key = (case.name,) + tuple(w[k] for k in ("date", "arch", "site", "landmark",
                                                      "teeth", "method"))
            groups.setdefault(key, {})[int(w["repeat"])] = w["mm"]
    return [(g[1], g[2]) for g in groups.values() if 1 in g and 2 in g]


def mdc(practice):
    """Least detectable change, 95 %: 1.96 sqrt 2 s, s by Dahlberg over the repeats (published), in
    whole hundredths of a millimetre; the protocol's s below ten pairs."""
    pairs = repeat_pairs(practice)
    error = P.width_error
    if len(pairs) >= P.error_pairs:
        error = math.sqrt(sum((a - b) ** 2 for a, b in pairs) / (2 * len(pairs)))
        error = max(10, 10 * math.floor(error / 10 + 0.5))
    return 1.96 * math.sqrt(2) * error


def width_series(case, expander, today):
    """[(day, mean)] oldest first, of the expander's own measure only."""
    by_day = {}
    for w in case.widths:
        if w["date"] <= today and w["mm"] is not None and \
                all(w[k] == expander[k] and w[k] for k in ("arch", "site", "landmark", "teeth")):
            by_day.setdefault(w["date"], []).append(w["mm"])
    return sorted((d, fractions.Fraction(sum(v), len(v))) for d, v in by_day.items())


# ---- the rules -------------------------------------------------------------------------------


def expander_on(case, arch, today):
    """The arch's expander fitted last on or before today, or else the first one fitted later."""
    fitted = [e for e in case.expanders if e["arch"] == arch and e["fitted_on"] is not None]
    return max((e for e in fitted if e["fitted_on"] <= today), key=lambda e: e["fitted_on"],
               default=min(fitted, key=lambda e: e["fitted_on"], default=None))


def first_fit(case, arch):
    return earliest(e["fitted_on"] for e in case.expanders if e["arch"] == arch)


def unknown_amount(visit, side):
    return (visit["elsewhere"] == "yes" and visit["kind"] == "activation" and
            visit[side + "_mm"] is None)


class Arch:
    """What the rules see of one arch: history up to today, today's examination, the expander."""

    def __init__(self, case, expander, today, history, exam):
        self.case, self.expander, self.today, self.exam = case, expander, today, exam
        self.arch = expander["arch"]
        self.history = [v for v in history if v["arch"] == self.arch]
        self.plan = SIDES if expander["sides"] in ("both", "") else (expander["sides"],)
        self.first_fit = first_fit(case, self.arch)
        self.given = {s: [(v["date"], v[s + "_mm"]) for v in self.history if v[s + "_mm"]]
                      for s in SIDES}
        self.guessed = {s: [(v["date"], P.step_max) for v in self.history if unknown_amount(v, s)]
                        for s in SIDES}
        # What has widened the arch is both sides' doing, whichever the present expander moves;
        # when the sides in plan were last activated is their own.
        self.given_all = self.given["right"] + self.given["left"]
        self.given_plan = [g for s in self.plan for g in self.given[s]]
        self.last_activation = max((d for d, _ in self.given_plan), default=None)
        self.begun = bool(self.given_all or any(self.guessed.values()))
        self.mdc = mdc(case.practice)
        self.series = width_series(case, expander, today)
        self.findings = []
        self.nominal = {}

    def days_since(self, side):
        return self.today - max((d for d, _ in self.given[side] + self.guessed[side]),
                                default=-10 ** 9)

    def after_last(self, test):
        """A row after the last activation in plan; another row of that day may be later."""
        last = self.last_activation
        return any(test(v) and (last is None or v["date"] > last or
                                v["date"] == last and not any(v[s + "_mm"] for s in self.plan))
                   for v in self.history)

    def add(self, rule, effect, side=None, limit=None, values=None):
        """A limit that is a function of the side is one finding a side in plan."""
        for s in [side] if side else self.plan:
            value = limit(s) if callable(limit) else limit
            self.findings.append({"rule": rule, "effect": effect, "side": s, "limit": value,
                                  "values": values or {}})

    def limit_first(self, rule, side=None):
        self.add(rule, "limit", side, P.first_step_max)

    def reduce(self, rule, values=None):
        self.add(rule, "limit", None, lambda s: int(P.reduce * self.nominal[s]), values)

    def fired(self, *names):
        return any(f["rule"] in names for f in self.findings)


def faults(text):
    """The hardware faults a cell names: none where intact, None where it says nothing."""
    if not text:
        return None
    return [] if text == "intact" else [f.split(":")[0] for f in text.split(";")]


def step_rules(a):
    fitted = a.expander["fitted_on"]
    low = {s: [] for s in SIDES}
    for s in a.plan:
        if not any(d >= fitted for d, _ in a.given[s]):
            a.limit_first("first-step", s)
            low[s].append(1)
        else:
            a.add("step-size", "limit", s, P.step_max)
        if a.days_since(s) < P.interval_min:
            a.add("too-soon", "hold", s)
        known = a.today - max((d for d, _ in a.given[s]), default=a.today)
        if known > P.interval_max:
            a.add("seen-late", "caution", s)
        if known > P.restart_after:
            a.limit_first("restart", s)
            low[s].append(1)
    if faults(a.exam.hardware):
        if a.exam.repaired:
            a.limit_first("hardware")
        else:
            a.add("hardware", "hold")
    if a.after_last(lambda v: bool(faults(v["hardware"]))):
        a.limit_first("hardware-recent")
    if a.exam.relief or a.after_last(lambda v: v["kind"] == "relief"):
        if a.exam.relief or any(v["kind"] == "relief" and v["date"] == a.today
                                for v in a.history):
            a.add("relieved", "hold")
        else:
            a.limit_first("relieved")
    every = a.fired("hardware-recent", "relieved") or (faults(a.exam.hardware) and a.exam.repaired)
    for s in SIDES:
        a.nominal[s] = P.first_step_max if low[s] or every else P.step_max


def window_sum(a, side, on, extra=()):
    return sum(mm for d, mm in a.given[side] + a.guessed[side] + list(extra)
               if on - d < P.window_days)


def window_rule(a):
    for s in a.plan:
        total = window_sum(a, s, a.today)
        if total > P.window_max - a.nominal[s]:
            a.add("window-sum", "limit", s, P.window_max - total)


def place_rules(a):
    e = a.expander
    if e["fitted_on"] > a.today or (e["out_on"] is not None and e["out_on"] <= a.today):
        a.add("not-in-place", "hold")
    elif not after(e["passive_on"], a.today):
        a.add("passive", "hold")
    if any(d == a.today for d, _ in a.given_all):
        a.add("done-today", "hold")
    if any(e[check] != "yes" for check in FIT_CHECKS):
        a.add("fit-check", "hold")
    if not current_trainer(a.case, a.today):
        a.add("no-trainer", "hold")
    consent, asked = a.case.row["consent_on"], a.case.row["asked_on"]
    if consent is None or consent > a.today:
        a.add("no-consent", "caution" if a.given_plan else "hold")
    if asked is None or asked > a.today:
        a.add("not-asked", "caution")
    if not a.exam.tissue or faults(a.exam.hardware) is None:
        a.add("not-examined", "hold")
    if a.arch == "lower":
        upper = first_fit(a.case, "upper")
        if upper is not None and upper <= a.today and e["fitted_on"] - upper < P.lower_after:
            a.add("lower-early", "caution")


def wear_rules(a):
    formed = periods(a.case, a.today)
    now = formed[0] if formed else None
    if now:
        shown = {"met": now.met, "known": now.known}
        told = shown | ({"stricter": 1} if now.stricter else {})
        if now.grade == "unknown":
            known = max(figures.known for figures in now.figures.values())
            a.reduce("wear-unknown", told | {"known": known, "met": None})
        else:
            if now.known < P.thin * now.days:
                a.add("wear-thin", "caution", values=shown)
            differs_rule(a, now)
        if now.grade == "short":
            a.reduce("wear-short", told)
        if now.grade == "low":
            a.add("wear-low", "hold", values=told)
        if now.grade == "low" and wear_rest_run(formed) >= P.run_rest:
            a.add("wear-rest", "rest")
    if wear_run(a.case, formed, a.today) >= P.run_hold:
        a.add("wear-run", "hold")


def differs_rule(a, now):
    for better in SOURCES[:SOURCES.index(now.source)]:
        for r in possible(now.readings[better]):
            which = grade(r.bound)
            if r.most >= P.differs_days and RANK.index(which) < RANK.index(now.grade):
                values = {"met": r.met, "known": r.known}
                if r.known < P.differs_days or which != grade(fractions.Fraction(r.met, r.known)):
                    values["stricter"] = 1
                a.reduce("wear-differs", values)
                return


def tissue_rules(a):
    if a.exam.tissue == "mild":
        a.reduce("tissue-mild")
    if a.exam.tissue == "wound":
        a.add("tissue-wound", "hold")
    last = max((v["date"] for v in a.history if seen(v) and v["tissue"]), default=None)
    if a.exam.tissue in ("none", "mild") and \
            any(v["date"] == last and v["tissue"] == "wound" for v in a.history):
        a.reduce("tissue-healed")


def side_gap_rule(a, proposal):
    if len(a.plan) == 2:
        total = {s: sum(mm for _, mm in a.given[s]) + proposal[s] for s in SIDES}
        gap = total["right"] - total["left"] - (a.expander["plan_gap_mm"] or 0)
        if abs(gap) > P.side_gap:
            a.add("side-gap", "caution")


def width_rules(a):
    latest_on, latest = a.series[-1] if a.series else (None, None)
    base = [w for w in a.series if w[0] <= a.first_fit]
    target = a.expander["target_mm"]
    if a.begun and target is None:
        a.add("no-target", "caution")
    if a.begun and not base:
        a.add("no-baseline", "caution")
    if a.begun:
        age = a.today - max(latest_on or 0, a.first_fit)
        if age > P.stale:
            a.add("width-stale", "caution")
        if age > P.missing:
            a.reduce("width-missing")
    if latest_on is None:
        return
    lag_rule(a, latest_on, latest, base)
    previous = [w for w in a.series if latest_on - w[0] >= 14]
    if previous:
        before_on, before = previous[-1]
        if (latest - before - a.mdc) * 7 / (latest_on - before_on) > P.width_rate:
            a.add("width-rate", "hold")
        if before - latest > a.mdc and before_on > a.first_fit:
            a.add("width-loss", "hold")
    if target is not None:
        target_rules(a, target, latest_on, latest)


def lag_rule(a, latest_on, latest, base):
    if not base or latest_on <= a.first_fit:
        return
    if any(d < latest_on for s in a.plan for d, _ in a.guessed[s]):
        return
    before = [(d, mm) for d, mm in a.given_all if d < latest_on]
    total = sum(mm for _, mm in before)
    if total >= P.lag_total and latest_on - min(d for d, _ in before) >= P.lag_days and \
            latest - base[-1][1] + a.mdc < P.lag_share * total:
        a.add("width-lag", "hold")


def target_rules(a, target, latest_on, latest):
    room = target - latest - sum(mm for d, mm in a.given_all if d >= latest_on)
    share = room / len(a.plan)
    if share < P.step_max:
        if share < P.grain and latest_on != a.today:
            a.add("target-near", "hold")
        else:
            a.add("target-near", "limit", None, share)
    if latest > target - 2 * P.grain:
        a.add("target-reached", "hold")


def limit_of(finding):
    return {"hold": 0, "rest": 0, "caution": None}.get(finding["effect"], finding["limit"])


def settle(a):
    """permitted and verdict, from the findings alone."""
    permitted = {s: 0 for s in SIDES}
    for s in a.plan:
        least = min(limit_of(f) for f in a.findings
                    if f["side"] == s and limit_of(f) is not None)
        permitted[s] = max(0, int(least // P.grain) * P.grain)
    first = {f["side"] for f in a.findings if f["rule"] == "first-step"}
    full = {s: P.first_step_max if s in first else P.step_max for s in a.plan}
    if a.fired("wear-rest"):
        verdict = "rest"
    elif all(permitted[s] == 0 for s in a.plan):
        verdict = "hold"
    else:
        verdict = "reduce" if any(permitted[s] < full[s] for s in a.plan) else "proceed"
    return permitted, verdict


def first_free(a, amounts):
    """The first day after today on which neither too-soon nor window-sum would hold."""
    on = a.today + 1
    while True:
        blocked = False
        for s in a.plan:
            extra = [(a.today, amounts[s])] if amounts[s] else []
            last = max((d for d, _ in a.given[s] + a.guessed[s] + extra), default=-10 ** 9)
            room = P.window_max - window_sum(a, s, on, extra)
            blocked = blocked or on - last < P.interval_min or room < P.grain
        if not blocked:
            return on
        on += 1


def held_windows(a, amounts):
    """The window each rule that holds or rests asks for. Under a rest, wear waits for it."""
    resting = a.fired("wear-rest")
    for f in a.findings:
        if limit_of(f) is None or limit_of(f) >= P.grain:
            continue
        if f["rule"] in ("too-soon", "window-sum"):
            free = first_free(a, amounts)
            yield (free, free + 7)
        elif f["rule"].startswith("wear-"):
            days = P.recheck_rest if resting else P.recheck_wear
            yield (a.today + days[0], a.today + days[1])
        else:
            held = f["rule"].startswith("target-") or f["rule"] == "passive"
            days = P.recheck_rest if held else P.recheck_fault
            yield (a.today + days[0], a.today + days[1])


def next_window(a, proposal):
    """The earliest of what holds; else from the first free day, the permitted amount given."""
    given = proposal and any(proposal[s] for s in a.plan)
    if a.verdict in ("rest", "hold"):
        return min(held_windows(a, proposal if given else {s: 0 for s in SIDES}))
    free = first_free(a, proposal if given else a.permitted)
    return (free, max(a.today + P.interval_max, free + 7))


def evaluate(case, expander, today, history, exam, proposal=None):
    """Judge one arch. exam: tissue, hardware (as in a visit row) and repaired."""
    a = Arch(case, expander, today, history, exam)
    step_rules(a)
    window_rule(a)
    place_rules(a)
    wear_rules(a)
    tissue_rules(a)
    side_gap_rule(a, proposal or {s: 0 for s in SIDES})
    width_rules(a)
    a.permitted, a.verdict = settle(a)
    a.next = next_window(a, proposal)
    return a


def advise(case, today, exam, proposal=None):
    history = [v for v in case.visits if v["date"] < today]
    answers = []
    for arch in ("upper", "lower"):
        expander = expander_on(case, arch, today)
        if expander is not None:
            answers.append(evaluate(case, expander, today, history, exam, proposal))
    return answers


def as_json(a):
    findings = []
    for f in a.findings:
        entry = {"rule": f["rule"], "effect": f["effect"], "side": f["side"],
                 "values": f["values"]}
        if f["effect"] == "limit":
            entry["limit_mm"] = round(float(f["limit"]) / 1000, 3)
        findings.append(entry)
    return {"format_version": 1, "case": a.case.name, "arch": a.arch, "on": iso(a.today),
            "verdict": a.verdict,
            "right": {"permitted_mm": a.permitted["right"] / 1000},
            "left": {"permitted_mm": a.permitted["left"] / 1000},
            "findings": findings,
            "next": {"from": iso(a.next[0]), "to": iso(a.next[1])}}


# ---- stage, due, safety ----------------------------------------------------------------------


def begun_on(e):
    return earliest((e["separators_on"], e["banded_on"], e["fitted_on"])) or 0


def newest_expander(case, arch, on):
    """The one in place, whatever is being prepared after it; else the one begun last."""
    fitted = expander_on(case, arch, on)
    if fitted and fitted["fitted_on"] <= on and after(fitted["out_on"], on):
        return fitted
    known = [e for e in case.expanders if e["arch"] == arch and begun_on(e) <= on]
    return max(known, key=begun_on, default=None)


def after(value, on):
    """Not yet so on the day: not recorded, or later."""
    return value is None or value > on


def stage(case, e, on):
    """Of one arch, by its newest expander."""
    if not after(case.row["closed_on"], on):
        return "closed"
    if not after(e["out_on"], on):
        return {"rest": "resting", "repair": "resting", "target": "retention"}.get(
            e["out_reason"], "assessed")
    if not after(e["passive_on"], on):
        return "retention"
    if not after(e["fitted_on"], on):
        given = any(v["arch"] == e["arch"] and e["fitted_on"] <= v["date"] <= on and
                    (v["right_mm"] or v["left_mm"]) for v in case.visits)
        return "active" if given else "fitted"
    if not after(e["banded_on"], on):
        return "banded"
    return "planned" if after(e["separators_on"], on) else "separators"


def last_seen(case, on):
    return max((v["date"] for v in case.visits if seen(v) and v["date"] <= on), default=None)


def wound_open(visits):
    told = [v for v in visits if seen(v) and v["tissue"]]
    last = max((v["date"] for v in told), default=None)
    return any(v["date"] == last and v["tissue"] == "wound" for v in told)


OF_THE_WIRE = {"broken-wire", "bent-wire", "lost-ligature"}


def mends(visit, fault):
    """A repair is of the faults it names (without a side: on both sides), or of all."""
    if visit["repaired"] != "yes":
        return False
    named = [] if visit["hardware"] in ("", "intact") else visit["hardware"].split(";")
    return not named or any(fault == n or fault.split(":")[0] == n or fault == n.split(":")[0]
                            for n in named)


def fault_open(case, arch, visits):
    """A fault of the arch not repaired, nor seen intact since, nor taken out with its wire."""
    visits = [v for v in visits if seen(v)]
    for found in visits:
        for fault in found["hardware"].split(";"):
            if fault in ("", "intact"):
                continue
            later = [v for v in visits if v["date"] >= found["date"]]
            settled = any(mends(v, fault) for v in later) or \
                any(v["date"] > found["date"] and v["hardware"] == "intact" for v in later)
            if not settled and not (fault.split(":")[0] in OF_THE_WIRE and
                                    wire_out_since(case, arch, found["date"])):
                return True
    return False


def wire_out_since(case, arch, on):
    """The expander in place on the day has come out, and none that was fitted by then is left."""
    fitted = [e for e in case.expanders
              if e["arch"] == arch and e["fitted_on"] is not None and e["fitted_on"] <= on]
    return all(e["out_on"] is not None for e in fitted) and any(e["out_on"] >= on for e in fitted)


def safety_items(case, on):
    items, closed = set(), not after(case.row["closed_on"], on)
    unseen_since = last_seen(case, on) or 0
    for e in case.expanders:
        if begun_on(e) > on:
            continue
        fitted = not after(e["fitted_on"], on)
        if not after(e["out_on"], on):
            continue
        if closed and fitted:
            items.add("closed-with-expander")
        if fitted:
            if on - max(unseen_since, e["fitted_on"]) > P.restart_after:
                items.add("expander-unseen")
        elif not after(e["banded_on"], on):
            if on - max(unseen_since, e["banded_on"]) > P.restart_after:
                items.add("bands-without-wire")
        elif not after(e["separators_on"], on) and on - e["separators_on"] > P.separator_days + 7:
            items.add("separators-left-in")
    for arch in ("upper", "lower"):
        visits = [v for v in case.visits if v["arch"] == arch and v["date"] <= on]
        if wound_open(visits):
            items.add("wound-or-fault")
        if fault_open(case, arch, visits):
            items.add("wound-or-fault")
    return sorted(items)


def judged_day(case, arch, on):
    """The rows of an imported day are one visit: judged as of it, on the worst of what they found,
    all amounts together; None where there is nothing of ours to judge."""
    expander = expander_on(case, arch, on)
    rows_of_day = [v for v in case.visits
                   if v["date"] == on and seen(v) and v["arch"] in (arch, "")]
    if expander is None or expander["fitted_on"] > on or not rows_of_day:
        return None
    found = {fault for v in rows_of_day for fault in v["hardware"].split(";")}
    broken = sorted(found - {"", "intact"})
    exam = SimpleNamespace(
        tissue=next((t for t in ("wound", "mild", "none")
                     if any(v["tissue"] == t for v in rows_of_day)), ""),
        hardware=";".join(broken) or ("intact" if "intact" in found else ""),
        repaired=all(any(mends(v, fault) for v in rows_of_day) for fault in broken),
        relief=any(v["kind"] == "relief" for v in rows_of_day))
    given = {s: sum(v[s + "_mm"] or 0 for v in rows_of_day if v["arch"] == arch) for s in SIDES}
    history = [v for v in case.visits if v["date"] < on]
    return evaluate(case, expander, on, history, exam, given), given


def add_months(on, months):
    d = datetime.date.fromordinal(on)
    index = d.year * 12 + d.month - 1 + months
    year, month = divmod(index, 12)
    return datetime.date(year, month + 1,
                         min(d.day, calendar.monthrange(year, month + 1)[1])).toordinal()


def arch_window(case, e, on):
    which = stage(case, e, on)
    visits = [v for v in case.visits if v["arch"] == e["arch"] and v["date"] <= on and seen(v)]
    if which == "separators":
        return (e["separators_on"] + P.separator_days, e["separators_on"] + P.separator_days)
    if which == "banded":
        return tuple(e["banded_on"] + days for days in P.recheck_fault)
    if which in ("fitted", "active"):
        since = max((v["date"] for v in visits), default=0)
        if since < e["fitted_on"]:
            looked = any(v["arch"] == "" and seen(v) and e["fitted_on"] <= v["date"] <= on
                         for v in case.visits)
            sound = not looked and all(e[check] == "yes" for check in FIT_CHECKS)
            days = (P.interval_min, P.interval_max) if sound else P.recheck_fault
            return tuple(e["fitted_on"] + d for d in days)
        judged = judged_day(case, e["arch"], since)
        return judged and judged[0].next
    if which == "resting":
        since = max([v["date"] for v in visits] + [e["out_on"]])
        return tuple(since + days for days in P.recheck_rest)
    if which == "retention":
        window = retention_window(case, e, on)
        if after(e["out_on"], on):  # still in the mouth: looked at as often as at a rest
            since = max([v["date"] for v in case.visits
                         if v["arch"] in (e["arch"], "") and v["date"] <= on and seen(v)] +
                        [e["fitted_on"]])
            look = tuple(since + days for days in P.recheck_rest)
            window = min((w for w in (look, window) if w), key=lambda w: w[::-1])
        return window
    return None


def let_pass(case, on):
    """Nothing in the mouth asks for a day: the newest appointment the child did not come to."""
    days = [b["date"] for b in case.bookings if b["state"] != "kept"]
    days += [v["date"] for v in case.visits if v["kind"] == "missed"]
    passed, seen_on = max(days, default=None), last_seen(case, on)
    if passed is None or (seen_on is not None and passed <= seen_on):
        return None
    return (passed, passed)


def retention_window(case, e, on):
    """The end of retention until seen after it; then the first stability check not yet made."""
    end = (e["passive_on"] if after(e["out_on"], on) else e["out_on"]) + P.retention_days
    if not any(end <= v["date"] <= on and seen(v) and v["arch"] in (e["arch"], "")
               for v in case.visits):
        return (end, end + P.recheck_wear[0])
    checked = max((v["date"] for v in case.visits
                   if v["kind"] == "stability" and v["date"] <= on), default=0)
    for months in STABILITY_MONTHS:
        check = add_months(end, months)
        if checked < check:
            return (check, check + P.recheck_wear[0])
    return None


def recall_row(case, on):
    if case.row["opened"] > on:
        return None
    arches = [newest_expander(case, arch, on) for arch in ("upper", "lower")]
    arches = [e for e in arches if e is not None]
    stages = {stage(case, e, on) for e in arches}
    at_work = stages & {"planned", "separators", "banded", "fitted", "active"}
    safety = safety_items(case, on)
    window = min((w for w in (arch_window(case, e, on) for e in arches) if w),
                 key=lambda w: w[::-1], default=None)
    window = window or let_pass(case, on)
    seen_on = last_seen(case, on)
    by_hand = earliest(v["next_on"] for v in case.visits if v["date"] == seen_on and seen(v))
    if by_hand is not None:
        window = (by_hand, by_hand)
    booked = earliest(b["date"] for b in case.bookings
                      if b["state"] == "booked" and b["date"] >= on)
    closed = not after(case.row["closed_on"], on)
    late = max(0, on - window[1]) if window and not closed else 0
    if safety:
        group = "safety"
    elif closed:
        return None
    elif booked is not None:
        group = "booked"
    elif window and on > window[1]:
        group = "overdue"
    elif window and on >= window[0]:
        group = "due"
    elif "resting" in stages and not at_work:
        group = "resting"
    elif "retention" in stages and not at_work:
        group = "retention"
    else:
        return None
    return {"case": case.name, "group": group, "due_on": iso(window[0]) if window else None,
            "days_late": late, "safety": safety}


# ---- audit -----------------------------------------------------------------------------------


def judge_sums(closed):
    """(source, known, met, group) of several periods: the first source that knows enough of all."""
    for source in SOURCES:
        known, met = (sum(getattr(p.figures[source], name) for p in closed)
                      for name in ("known", "met"))
        if enough(known, SimpleNamespace(days=sum(p.days for p in closed))):
            full = grade(fractions.Fraction(met, known)) == "full"
            return source, known, met, "meeting" if full else "below"
    return None, 0, 0, "unknown"


def audit_row(case, first, end):
    issued = earliest(t["issued_on"] for t in case.trainers)
    if issued is None or max(issued, case.row["opened"]) > end:
        return None
    if not after(case.row["closed_on"], end):
        return None
    visits = [v for v in case.visits if first <= v["date"] <= end]
    dates = sorted({v["date"] for v in visits if seen(v)})
    row = {"case": case.name, "group": "not-seen", "days_known": 0, "days_met": 0, "source": None,
           "visits": len(dates)}
    if dates:
        formed = periods(case, dates[-1])
        closed = [p for p in formed if p.last + 1 >= first]
        source, known, met, group = judge_sums(closed)
        row.update(days_known=known, days_met=met, source=source, group=group)
    days = {(v["date"], v["arch"]) for v in visits if v["arch"] and seen(v)}
    judged = [(on, judged_day(case, arch, on)) for on, arch in days]
    judged = [(on, *answer) for on, answer in judged if answer]
    worst = {}
    for on, a, _ in judged:
        worst[on] = min(worst.get(on, "proceed"), a.verdict, key=SEVERITY.index)
    for name, verdict in (("holds", "hold"), ("reductions", "reduce"), ("rests", "rest")):
        row[name] = list(worst.values()).count(verdict)
    row["overrides"] = sum(any(given[s] > a.permitted[s] for s in SIDES) for _, a, given in judged)
    missed = {v["date"] for v in visits if not seen(v)}
    missed |= {b["date"] for b in case.bookings
               if b["state"] == "missed" and first <= b["date"] <= end}
    row["missed"] = len(missed)
    upto = last_seen(case, end)
    row["short_run"] = wear_run(case, periods(case, upto), upto) if upto else 0
    return row


# ---- commands --------------------------------------------------------------------------------


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("folder")
    commands = parser.add_subparsers(dest="command", required=True)
    ask = commands.add_parser("advise")
    ask.add_argument("case")
    ask.add_argument("--on", type=day, required=True)
    ask.add_argument("--tissue", default="none")
    ask.add_argument("--hardware", default="intact")
    ask.add_argument("--repaired", action="store_true")
    ask.add_argument("--right", type=um)
    ask.add_argument("--left", type=um)
    commands.add_parser("recall").add_argument("--on", type=day, required=True)
    commands.add_parser("audit").add_argument("--month", required=True)
    options = parser.parse_args()
    cases = read(options.folder)
    if options.command == "advise":
        proposal = None
        if options.right is not None or options.left is not None:
            proposal = {"right": options.right or 0, "left": options.left or 0}
        exam = SimpleNamespace(tissue=options.tissue, hardware=options.hardware,
                               repaired=options.repaired, relief=False)
        answer = [as_json(a) for a in advise(cases[options.case], options.on, exam, proposal)]
    elif options.command == "recall":
        answer = [recall_row(case, options.on) for case in cases.values()]
    else:
        first = day(options.month + "-01")
        answer = [audit_row(case, first, add_months(first, 1) - 1) for case in cases.values()]
    print(json.dumps([row for row in answer if row], indent=1))


if __name__ == "__main__":
    main()
