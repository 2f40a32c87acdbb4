#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Write an invented practice of N cases, full of edge cases, as the CSV that the program imports.

usage: make_practice.py FOLDER [--cases N] [--seed S] [--anchor YYYY-MM-DD]

The same seed gives the same files. Days and amounts fall on the limits of the default protocol
and a step to either side of them. Names are plainly invented; nothing lies after the anchor but
bookings and days to come back.
"""

import argparse
import csv
import datetime
import pathlib
import random

COLUMNS = {
    "patients": "chart family given born sex guardian phone guardian2 phone2 alerts",
    "cases": "case chart opened consent_on asked_on protocol closed_on closed_reason clinician",
    "trainers": "case issued_on ended_on ended_reason",
    "expanders": "case arch separators_on banded_on fitted_on passive_ends width_equal loops_clear"
                 " tied ends_rounded wire_mm loop_right_mm loop_left_mm sides plan_gap_mm site"
                 " landmark teeth target_mm passive_on out_on out_reason",
    "visits": "case date kind arch right_mm left_mm tissue hardware repaired elsewhere"
              " override_reason next_on by note",
    "widths": "case date arch site landmark teeth method repeat mm by",
    "wear_days": "case date day_minutes night source",
    "wear_counts": "case from to days_met days_asked source",
    "contacts": "case at channel outcome again_on by note",
    "bookings": "case date time kind state cancelled_by",
}
ROOMS = (6000, 8000, 9000, 10000, 4000, 3990, 2000, 1250, 510, 500, 490, 250, 0, -1000, 12000,
         15000, 12000, 15000)
CALM_GAPS = (20, 21, 22, 24, 27, 28, 28, 28, 29)
CALM_STEPS = (750, 1000, 1000, 1500, 2000, 2000)
CLINICIANS = ("Dr Wilhelmina Quillfeather", "Dr Ambrose Tidewell")
GAPS = (3, 5, 7, 13, 14, 15, 16, 20, 21, 21, 21, 22, 22, 23, 24, 25, 26, 27, 28, 28, 28, 29, 30,
        35, 41, 42, 43, 55, 56, 57, 60, 84, 85)
STEPS = (0, 250, 500, 750, 1000, 1000, 1000, 1250, 1500, 1750, 2000, 2000, 2000, 2000, 100, 2100,
         3000, 4000, 5000)
FAULTS = ("loose-band", "broken-wire", "bent-wire", "lost-ligature", "lost-bracket",
          "loose-band:right", "broken-wire:left", "lost-ligature:left;lost-bracket")
MEASURES = {"upper": (("intermolar", "gingival", "16-26"), ("intermolar", "fossa", "16-26"),
                      ("intermolar", "gingival", "55-65")),
            "lower": (("intermolar", "fossa", "46-36"), ("intermolar", "cusp", "46-36"))}


def iso(day):
    return datetime.date.fromordinal(day).isoformat() if day else ""


def mm(value):
    return "" if value is None else f"{value / 1000:.2f}"


class Maker:
    def __init__(self, seed, anchor, repeats):
        self.random = random.Random(seed)
        self.anchor = anchor
        self.repeats = repeats
        self.calm = False
        self.rows = {kind: {} for kind in COLUMNS}

    def chance(self, share):
        return self.random.random() < share

    def pick(self, values):
        return self.random.choice(values)

    def add(self, table, key, **cells):
        """One row a key; nothing that has happened lies after the anchor."""
        if key not in self.rows[table]:
            self.rows[table][key] = cells

    # ---- one case

    def case(self, number):
        name, chart = f"R-{number:04d}", f"Q-{number:04d}"
        opened = self.anchor - self.pick((10, 40, 60, 90, 120, 150, 200, 260, 320, 400))
        opened -= self.random.randrange(12)
        closed = self.chance(0.04)
        self.calm = self.chance(0.4)
        self.add("patients", chart, chart=chart, family=f"Inventwick{number}", given="Pim",
                 born=iso(opened - 3300 - self.random.randrange(1400)),
                 sex=self.pick(("male", "female", "other", "unknown")), guardian="Ada Inventwick",
                 phone=f"000 {number:04d}")
        self.add("cases", name, case=name, chart=chart, opened=iso(opened),
                 consent_on=iso(opened if self.calm else
                                self.pick((opened, opened, opened + 1, None, opened + 60))),
                 asked_on=iso(self.pick((opened, opened, opened, opened, None, opened + 30))),
                 closed_on=iso(self.anchor - self.random.randrange(40)) if closed else "",
                 closed_reason=self.pick(("finished", "transferred", "discontinued"))
                 if closed else "", clinician=self.pick(CLINICIANS))
        row = self.rows["cases"][name]
        for column in ("consent_on", "asked_on", "closed_on"):
            if row[column] > iso(self.anchor) or (row[column] and row[column] < row["opened"]):
                row[column] = ""
        if not row["closed_on"]:
            row["closed_reason"] = ""
        self.trainers(name, opened)
        if self.chance(0.3):
            self.visit(name, opened, "check", "", {})
        dates = set()
        fit = opened + self.pick((0, 7, 14, 21, 28))
        self.arch(name, "upper", opened, fit, dates)
        if self.chance(0.4):
            self.arch(name, "lower", opened, fit + self.pick((0, 30, 56, 88, 89, 90, 91, 120)),
                      dates)
        if self.chance(0.12):
            self.elsewhere(name, opened)
        self.wear(name, opened, sorted(dates))
        self.around(name, opened)

    def trainers(self, name, opened):
        if self.chance(0.04):
            return
        issued = opened + self.pick((-20, 0, 0, 0, 3, 14, 30, 60))
        while issued <= self.anchor:
            ended, reason = None, ""
            if self.chance(0.35):
                ended = issued + self.pick((1, 10, 29, 30, 60, 100, 150))
                reason = self.pick(("lost", "broken", "outgrown", "stopped"))
            if ended is None or ended > self.anchor:
                ended, reason = None, ""
            self.add("trainers", (name, issued), case=name, issued_on=iso(issued),
                     ended_on=iso(ended), ended_reason=reason)
            if ended is None or self.chance(0.15):
                return
            issued = ended + self.pick((0, 0, 1, 5, 20, 40))

    def visit(self, name, date, kind, arch, cells):
        if date <= self.anchor:
            row = {"case": name, "date": iso(date), "kind": kind, "arch": arch,
                   "by": self.pick(CLINICIANS), **cells}
            self.add("visits", (name, date, arch, kind), **row)

    def arch(self, name, arch, opened, fit, dates):
        """One expander after another, each with its own course."""
        given, measure = 0, self.pick(MEASURES[arch])
        base = self.pick((30000, 31500, 33250))
        while fit <= self.anchor:
            expander = self.expander(name, arch, fit, measure, base)
            if not expander["fitted_on"]:
                return
            if given and self.chance(0.6):
                expander["sides"] = self.pick(("right", "left"))
            out = fit + self.random.randrange(20, 260) if self.chance(0.3) else None
            if out is not None and out > self.anchor:
                out = None
            if out is None and self.chance(0.04):
                expander["passive_on"] = iso(self.random.randrange(fit, self.anchor + 1))
            given, last = self.course(name, expander, fit, out or self.anchor, given, base, dates)
            self.set_target(name, expander, measure, arch, last, given)
            if out is None:
                return
            expander["out_on"] = iso(out)
            expander["out_reason"] = self.pick(("rest", "repair", "target"))
            if self.chance(0.5):
                self.visit(name, out, "removal", arch, {"tissue": "none", "hardware": "intact"})
            if self.chance(0.3):
                return
            fit = out + self.pick((0, 1, 14, 28, 35, 60))
            if self.chance(0.2):
                measure = self.pick(MEASURES[arch])

    def expander(self, name, arch, fit, measure, base):
        row = {"case": name, "arch": arch, "separators_on": iso(fit - 14),
               "banded_on": iso(fit - 7), "fitted_on": iso(fit), "wire_mm": "0.70",
               "sides": self.pick(("both", "both", "both", "both", "right", "left")),
               "plan_gap_mm": self.pick(("0.00", "0.00", "0.00", "1.00", "-0.50")),
               "site": measure[0], "landmark": measure[1], "teeth": measure[2]}
        checks = ["yes"] * 5
        if self.chance(0.06):
            checks[self.random.randrange(5)] = self.pick(("no", ""))
        row.update(zip(("passive_ends", "width_equal", "loops_clear", "tied", "ends_rounded"),
                       checks))
        if fit - 14 < self.day_of(name):
            row["separators_on"] = iso(max(fit - 14, self.day_of(name)))
            row["banded_on"] = iso(max(fit - 7, self.day_of(name)))
        if self.anchor - fit < 60 and self.chance(0.25):
            row.update(separators_on=iso(fit), banded_on=iso(fit), fitted_on="")
            if self.chance(0.5):
                row["banded_on"] = ""
        if not row["fitted_on"]:
            row.update(passive_ends="", width_equal="", loops_clear="", tied="", ends_rounded="")
        self.add("expanders", (name, arch, fit), **row)
        return self.rows["expanders"][(name, arch, fit)]

    def day_of(self, name):
        return datetime.date.fromisoformat(self.rows["cases"][name]["opened"]).toordinal()

    def course(self, name, expander, fit, end, given, base, dates):
        """Visits from the fit to the end; gives the amount so far and the last visit."""
        date, last = fit, fit
        lively = self.chance(0.85)
        answer = self.pick((0.3, 0.35) if self.calm else (0.1, 0.2, 0.4, 0.6, 0.7, 0.8))
        used = sorted(d for d in dates if d > fit)
        self.width(name, expander, fit if self.calm else self.pick((fit, fit, fit - 3, fit + 1)),
                   base + int(given * answer))
        if self.chance(0.15):
            end = min(end, self.anchor - self.pick((28, 29, 40, 55, 56, 57, 70, 90)))
        while date <= end:
            cells = self.findings(date)
            kind = self.pick(("check", "activation", "activation", "activation", "activation"))
            if date == fit and self.chance(0.6):
                kind = "check"
            if kind == "activation" and lively:
                amount = self.pick(CALM_STEPS)
                for side in ("right", "left"):
                    if not self.calm:
                        amount = self.pick(STEPS)
                    here = amount
                    if expander["sides"] not in ("both", side):
                        here = self.pick((None, 0) if self.calm else (None, 0, 0, 500))
                    cells[side + "_mm"] = mm(here)
                    given += here or 0
                self.visit(name, date, "activation", expander["arch"], cells)
            else:
                self.visit(name, date, "check", expander["arch"], cells)
            dates.add(date)
            if self.chance(0.65):
                self.width(name, expander, date,
                           base + int(given * answer) + self.random.randrange(-60, 60) * 10)
            last = date
            self.between(name, expander, date, end, dates)
            later = [d for d in used if d > date + 2]
            date = later[0] if later and self.chance(0.6) else date + self.pick(
                CALM_GAPS if self.calm else GAPS)
        return given, last

    def findings(self, date):
        if self.calm and self.chance(0.8):
            return {"tissue": "none", "hardware": "intact"}
        cells = {"tissue": self.pick(("none",) * 12 + ("mild", "mild", "wound", "")),
                 "hardware": self.pick(("intact",) * 14 + ("", self.pick(FAULTS)))}
        if cells["hardware"] not in ("", "intact"):
            cells["repaired"] = self.pick(("yes", "yes", "no", ""))
        if self.chance(0.03):
            cells["next_on"] = iso(date + self.random.randrange(1, 50))
        return cells

    def between(self, name, expander, date, end, dates):
        """What happens between two visits: an emergency, a closed loop, a missed day."""
        at = date + self.random.randrange(1, 12)
        if at > end:
            return
        arch, what = expander["arch"], self.random.random()
        if what < 0.04:
            self.visit(name, at, "relief", arch, {"tissue": "mild", "hardware": "intact"})
        elif what < 0.08:
            self.visit(name, at, "repair", arch, {
                "tissue": "none", "hardware": self.pick(FAULTS), "repaired": "yes"})
        elif what < 0.11:
            self.visit(name, at, "check", arch, {
                "tissue": self.pick(("wound", "none", "")), "hardware": "intact"})
        elif what < 0.16:
            self.visit(name, at, "missed", "", {})
            return
        else:
            return
        dates.add(at)

    def width(self, name, expander, date, value):
        if not self.day_of(name) <= date <= self.anchor:
            return
        site, landmark, teeth = expander["site"], expander["landmark"], expander["teeth"]
        if self.chance(0.06):
            landmark = "facial"
        if self.chance(0.03):
            teeth = {"16-26": "55-65", "55-65": "16-26"}.get(teeth, teeth)
        value = max(20000, round(value, -1))
        method = self.pick(("mouth", "mouth", "cast", "scan"))
        for repeat in range(1, (self.pick((1, 1, 1, 1, 2)) if self.repeats else 1) + 1):
            key = (name, date, expander["arch"], site, landmark, teeth, method, repeat)
            self.add("widths", key, case=name, date=iso(date), arch=expander["arch"],
                     site=site, landmark=landmark, teeth=teeth, method=method, repeat=str(repeat),
                     mm=mm(value), by="Pia Lanternhouse")
            value += self.random.randrange(-50, 51) * 10

    def set_target(self, name, expander, measure, arch, last, given):
        """None, far off, or at a limit as seen from the newest width."""
        if self.chance(0.06):
            return
        own = [row for key, row in self.rows["widths"].items()
               if key[0] == name and key[2] == arch and key[3:6] == measure]
        newest = max(own, key=lambda row: row["date"], default=None)
        value = round(float(newest["mm"]) * 1000) if newest else 35000
        value += 12000 if self.calm and self.chance(0.8) else self.pick(ROOMS)
        expander["target_mm"] = mm(min(max(value, 20000), 60000))

    def elsewhere(self, name, opened):
        for step in range(self.random.randrange(1, 4)):
            date = opened - self.pick((5, 12, 20, 21, 30, 41, 42)) + step
            cells = {"elsewhere": "yes"}
            if self.chance(0.5):
                cells.update(right_mm="1.00", left_mm=self.pick(("1.00", "0.50")))
            self.visit(name, date, "activation", self.pick(("upper", "upper", "lower")), cells)

    # ---- wear, bookings, contacts

    def wear(self, name, opened, dates):
        style = self.pick(("days", "counts") if self.calm else
                          ("days", "days", "counts", "counts", "mixed", "mixed", "none"))
        if style == "none":
            return
        share = self.pick((1.0, 0.9) if self.calm else (0.95, 0.85, 0.8, 0.7, 0.5, 0.3))
        begin = opened + self.pick((0, 0, 0, 40))
        edges = [d for d in dates if d > begin] + [self.anchor]
        since = begin
        for edge in edges:
            length = edge - since
            if length <= 0:
                continue
            if style in ("counts", "mixed"):
                self.count(name, since, edge - 1, share)
            if style == "days" and self.chance(0.85) or style == "mixed" and self.chance(0.5):
                self.days(name, since, edge, share)
            if self.chance(0.15) and not self.calm:
                share = self.pick((0.95, 0.85, 0.7, 0.4))
            since = edge

    def count(self, name, first, last, share):
        source = self.pick(("diary", "told", "told"))
        length = last - first + 1
        asked = length
        if not self.calm:
            asked = max(1, self.pick((length, length, length - 1, length * 4 // 5,
                                      (length + 1) // 2, length // 2, length // 3)))
        met = min(asked, self.pick((round(asked * share), -(-asked * 4 // 5), asked // 2,
                                    max(0, -(-asked * 4 // 5) - 1), asked)))
        self.add("wear_counts", (name, first, last, source), case=name, to=iso(last),
                 days_met=str(met), days_asked=str(asked), source=source, **{"from": iso(first)})
        if self.chance(0.2) and length > 6 and not self.calm:
            self.overlapping(name, first, last, source)

    def overlapping(self, name, first, last, source):
        """One or two counts more of days that were counted, well or badly."""
        begin = first + self.pick((1, (last - first) // 2, last - first - 2))
        for _ in range(self.pick((1, 1, 2))):
            asked = last - begin + 1
            met = asked * self.pick((0, 5, 8, 9, 10)) // 10
            self.add("wear_counts", (name, begin, last, source), case=name, to=iso(last),
                     days_met=str(met), days_asked=str(asked), source=source,
                     **{"from": iso(begin)})
            begin, last = begin + 1, last - 1

    def days(self, name, first, end, share):
        source = self.pick(("sensor", "sensor", "sensor", "diary"))
        first = max(first, end - 70)
        kept = 1.0 if self.calm else self.pick((1.0, 1.0, 0.9, 0.8, 0.5, 0.35, 0.35, 0.25))
        half = 0.03 if self.calm else self.pick((0.03, 0.03, 0.03, 0.4))
        for date in range(first, end):
            if not self.chance(kept):
                continue
            minutes, night = self.pick((60, 75, 130)), "yes"
            if not self.chance(share):
                minutes, night = self.pick(((59, "yes"), (0, "no"), (90, "no"), (None, "no")))
            if self.chance(half):
                minutes, night = self.pick(((None, "yes"), (80, ""), (40, ""), (None, "")))
            if minutes is None and not night:
                continue
            self.add("wear_days", (name, date, source), case=name, date=iso(date),
                     day_minutes="" if minutes is None else str(minutes), night=night,
                     source=source)

    def around(self, name, opened):
        for date, state in ((self.anchor + self.random.randrange(1, 20), "booked"),
                            (self.anchor - self.random.randrange(1, 60), "missed"),
                            (self.anchor - self.random.randrange(1, 60), "kept"),
                            (self.anchor + self.random.randrange(-9, 9), "cancelled")):
            if self.chance(0.3) and date > opened:
                self.add("bookings", (name, date), case=name, date=iso(date), time="09:30",
                         kind="activation", state=state,
                         cancelled_by="family" if state == "cancelled" else "")
        if self.chance(0.1):
            at = self.anchor - self.random.randrange(20)
            self.add("contacts", (name, at), case=name, at=iso(at) + "T09:15:00Z",
                     channel="telephone", outcome=self.pick(("reached", "not-reached")),
                     again_on=iso(self.anchor + 3), by="Pia Lanternhouse")

    # ---- writing

    def write(self, folder):
        folder = pathlib.Path(folder)
        folder.mkdir(parents=True, exist_ok=True)
        for kind, columns in COLUMNS.items():
            names = columns.split()
            with open(folder / (kind + ".csv"), "w", newline="", encoding="utf-8") as file:
                out = csv.writer(file, lineterminator="\r\n")
                out.writerow(names)
                for row in self.rows[kind].values():
                    out.writerow([row.get(name, "") for name in names])


def make(folder, cases, seed, anchor, repeats=True):
    maker = Maker(seed, anchor, repeats)
    for number in range(1, cases + 1):
        maker.case(number)
    maker.write(folder)


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("folder")
    parser.add_argument("--cases", type=int, default=250)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--single", action="store_true", help="no width is taken twice")
    parser.add_argument("--anchor", default="2026-11-25")
    options = parser.parse_args()
    make(options.folder, options.cases, options.seed,
         datetime.date.fromisoformat(options.anchor).toordinal(), not options.single)


if __name__ == "__main__":
    main()
