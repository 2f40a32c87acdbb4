#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# chart --svg: the drawings of two cases, whole; well-formed by two outside readers (libxml2's
# xmllint and Python's own); the numbers in them held against the CSV of the same store; and what can
# not be drawn, or not be written.
. "${SPRINGLINE_SOURCE:-$PWD}/tests/support/cli.sh"

store=$work/practice.db
demo_store "$store"
export SPRINGLINE_STORE="$store"

# drawn CASE: into $work/CASE.svg, with nothing on stdout.
drawn() {
    run chart "$1" --svg "$work/$1.svg"
    [ "$code" = 0 ] && [ ! -s "$out" ] && xmllint --noout "$work/$1.svg"
}

for case in C-0018 C-0035; do
    drawn $case
    ok $? "$case: drawn, and well-formed"
    cp "$work/$case.svg" "$out"
    golden 0 "chart_$case.svg"
done
[ "$(stat -c %a "$work/C-0018.svg")" = 600 ]
ok $? "the file is for its owner alone"
run chart C-0018 --svg "$work/C-0018.svg"
[ "$code" = 0 ] && grep -qF "replaced: $work/C-0018.svg" "$err"
ok $? "an older drawing is replaced, and that is said"

# Every case of the demo: well-formed, no name in it, no number that is none, the caution line; each
# width of the CSV at its height between the numbers of its axis, error bars of 1.96 x the error.
run export widths
cp "$out" "$work/widths.csv"
run export cases
cp "$out" "$work/cases.csv"
run export patients
cp "$out" "$work/patients.csv"
bad=0
tail -n +2 "$work/cases.csv" | cut -d, -f1 >"$work/numbers"
while read -r number; do
    drawn "$number" || bad=$((bad + 1))
done <"$work/numbers"
[ $bad = 0 ] && [ "$(wc -l <"$work/numbers")" -ge 50 ]
ok $? "every case of the demo can be drawn"
python3 - "$work" <<'PYTHON'
import csv, glob, os, re, sys, xml.etree.ElementTree as tree
work = sys.argv[1]
svg = "{http://www.w3.org/2000/svg}"
read = lambda name: list(csv.DictReader(open(f"{work}/{name}.csv", newline="", encoding="utf-8")))
charts = {row["chart"]: row for row in read("patients")}
cases = {row["case"]: charts[row["chart"]] for row in read("cases")}
widths = read("widths")
checked = 0
for path in glob.glob(work + "/C-*.svg"):
    number = os.path.basename(path)[:-4]
    text = open(path, encoding="utf-8").read()
    root = tree.fromstring(text.encode())
    assert root.get("version") == "1.1"
    assert root[0].tag == svg + "title" and root[1].tag == svg + "desc", path
    assert number in root[0].text
    assert not re.search(r"\b(nan|inf)\b", text, re.I), path
    assert "Decision support only" in text, path
    # Self-contained: nothing is fetched.
    assert "href" not in text and "url(" not in text and "@import" not in text, path
    for part in ("family", "given", "guardian"):
        name = cases[number][part]
        assert not name or name not in text, (path, name)
    for element in root.iter():
        for key, value in element.attrib.items():
            if key in ("x", "y", "x1", "x2", "y1", "y2", "cx", "cy", "r"):
                assert re.fullmatch(r"-?\d+\.\d", value), (path, key, value)
    # The first picture: its axis of widths is the labels left of it, to its first two lines.
    match = re.search(r"(upper|lower) arch: (\w+) width, landmark (\w+), teeth (\d\d-\d\d)\.", root[1].text)
    circles = [(float(c.get("cx")), float(c.get("cy"))) for c in root.iter(svg + "circle")]
    if not match or not circles:
        continue
    arch, site, landmark, teeth = match.groups()
    days = {}
    for row in widths:
        if (row["case"], row["arch"], row["site"], row["landmark"], row["teeth"]) == \
                (number, arch, site, landmark, teeth):
            days.setdefault(row["date"], []).append(float(row["mm"]))
    ticks = []
    for label in root.iter(svg + "text"):
        if label.get("text-anchor") == "end" and re.fullmatch(r"-?\d+\.\d\d", label.text):
            value, y = float(label.text), float(label.get("y")) - 4
            if ticks and value <= ticks[-1][0]:
                break
            ticks.append((value, y))
    (low, low_y), (high, high_y) = ticks[0], ticks[-1]
    expected = [sum(days[d]) / len(days[d]) for d in sorted(days) if d <= "2026-11-25"]
    assert len(expected) > 0 and len(circles) >= len(expected), path
    for value, (x, y) in zip(expected, circles):
        drawn = low + (low_y - y) / (low_y - high_y) * (high - low)
        assert abs(drawn - value) < 0.1 / (low_y - high_y) * (high - low) + 0.006, (path, value, drawn)
        checked += 1
assert checked >= 100, checked
PYTHON
ok $? "no name, no number that is none; each width at its height"

# Two arches are two pictures, on axes of their own.
two=$(tail -n +2 "$source/demo/expanders.csv" | cut -d, -f1,2 | sort -u | cut -d, -f1 | uniq -d | head -n 1)
[ "$(grep -c 'arch: ' "$work/$two.svg")" -ge 3 ] && grep -q '>upper arch: ' "$work/$two.svg" &&
    grep -q '>lower arch: ' "$work/$two.svg"
ok $? "both arches of $two"

# ---- what can not be ----
run chart C-9999 --svg "$work/none.svg"
refuses 4 'C-9999' "a case there is none of"
[ ! -e "$work/none.svg" ]
ok $? "and nothing is drawn"
run chart C-0018 --svg "$work/nowhere/chart.svg"
refuses 4 'can not be made' "a folder there is none of"
mkdir "$work/folder.svg"
run chart C-0018 --svg "$work/folder.svg"
refuses 4 'can not be put in its place' "a folder in the file's place"
[ -z "$(find "$work" -name '*.svg.*')" ]
ok $? "nothing is left beside it"

# A hostile number: escaped, and harmless as text, whatever it would do as markup.
run --store "$work/hostile.db" init
hostile='</title><script>alert("1")</script>&amp;'
printf 'chart,family,given\r\nP-1,<b>Ink & well,<script>\r\n' >"$work/p.csv"
python3 - "$work/c.csv" "$hostile" <<'PYTHON'
import csv, sys
csv.writer(open(sys.argv[1], "w", newline="", encoding="utf-8")).writerows(
    [["case", "chart", "opened"], [sys.argv[2], "P-1", "2026-01-05"]])
PYTHON
python3 - "$work/e.csv" "$work/w.csv" "$hostile" <<'PYTHON'
import csv, sys
def write(path, rows):
    csv.writer(open(path, "w", newline="", encoding="utf-8")).writerows(rows)
measure = ["upper", "intermolar", "cusp", "16-26"]
write(sys.argv[1], [["case", "arch", "fitted_on", "site", "landmark", "teeth"],
                    [sys.argv[3], "upper", "2026-02-02", *measure[1:]]])
write(sys.argv[2], [["case", "date", "arch", "site", "landmark", "teeth", "method", "repeat", "mm"],
                    [sys.argv[3], "2026-02-02", *measure, "mouth", 1, "40.00"]])
PYTHON
for file in p c e w; do
    run --store "$work/hostile.db" import "$work/$file.csv"
    answers 0 "hostile rows are taken: $file"
done
run --store "$work/hostile.db" chart "$hostile" --svg "$work/hostile.svg"
[ "$code" = 0 ] && xmllint --noout "$work/hostile.svg" && python3 - "$work/hostile.svg" "$hostile" <<'PYTHON'
import sys, xml.etree.ElementTree as tree
root = tree.parse(sys.argv[1]).getroot()
kinds = {element.tag.split("}")[1] for element in root.iter()}
assert kinds <= {"svg", "title", "desc", "rect", "text", "line", "circle", "polyline", "polygon"}, kinds
assert sys.argv[2] in root[0].text
assert "Ink" not in "".join(root.itertext())
PYTHON
ok $? "a hostile number is a text, a hostile name is not there"
finish
