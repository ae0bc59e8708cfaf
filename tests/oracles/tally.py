"""Tallies of records against numpy, scipy and pandas, which read the records themselves.

The records are written by the job page's modules from known distributions (`_records.mjs`). What is held: every count, mean,
deviation, quartile, Cp and Cpk of readings, torques and steps; corrections, repairs and runs; the lines against their schema; the
sentences of `site/tally.md` for DuckDB, run by DuckDB; and that chance is found again: the torques of a wrench are those that were
drawn.
"""
import collections
import csv
import datetime
import fractions
import glob
import io
import json
import math
import os
import re
import subprocess
import sys
import tempfile

import duckdb
import jsonschema
import numpy
import pandas
import scipy.stats

FITWRIGHT, OUT = os.environ["FITWRIGHT"], os.environ["FITWRIGHT_OUT"]
faults = []
held = collections.Counter()


def hold(what, found, wanted, near=1e-9):
    held[what.split(" ")[0]] += 1
    if found is None or wanted is None:
        same = found is None and (wanted is None or math.isnan(wanted))
    elif isinstance(wanted, (bool, int, str, list, dict)):
        same = found == wanted
    else:
        same = math.isclose(found, wanted, rel_tol=near, abs_tol=near)
    if not same:
        faults.append(f"{what}: {found}, wanted {wanted}")


def run(*arguments, code=0):
    ran = subprocess.run([FITWRIGHT, *arguments], capture_output=True, text=True)
    if ran.returncode != code:
        faults.append(f"{arguments} ended with {ran.returncode}: {ran.stderr}")
    return ran.stdout


def tables(checklist, folder):
    """Entries and doings of all records, by the page of the format alone. Corrections here never lead to another way."""
    units = {unit["code"]: unit for unit in checklist["units"]}
    factor = lambda unit: fractions.Fraction(units[unit]["factor"])
    offset = lambda unit: fractions.Fraction(units[unit]["offset"])
    scale = {one["id"]: one["low"]["unit"] for one in checklist["inputs"] if "low" in one}
    joints, lines = {}, {}
    def walk(value):
        if isinstance(value, dict):
            if "content_digest" in value:
                for line in value["lines"]:
                    lines[line["id"]] = (value["id"], line["does"])
            for one in value.values():
                walk(one)
        elif isinstance(value, list):
            for one in value:
                walk(one)
    walk(checklist["flow"])
    for joint in checklist["joints"]:
        joints[joint["id"]] = joint
    entries, doings, changes = [], [], collections.Counter()
    for path in sorted(glob.glob(os.path.join(folder, "*.jsonl"))):
        events = [json.loads(line) for line in open(path, encoding="utf-8")]
        value, gone = {}, set()
        for event in events:
            if event["type"] == "correct":
                value[event["event"]] = event
            if event["type"] == "withdraw":
                gone.add(event["event"])
        begun = None
        for event in events:
            when = datetime.datetime.fromisoformat(event["at"]).timestamp()
            if event["type"] == "begin":
                begun = (event["step"], when)
            elif event["type"] == "done":
                doings.append({"step": begun[0], "seconds": round(when - begun[1], 3)})
            elif event["type"] in ("correct", "withdraw"):
                line = events[event["event"] - 1].get("line")
                if line:
                    changes[lines[line][0], event["type"]] += 1
            elif event["type"] in ("answer", "reading", "torque") and event["seq"] not in gone:
                now = value.get(event["seq"], event)
                amount = now.get("amount")
                of = event.get("input") or lines[event["line"]][1]["joint"]
                joint = joints.get(of) if event["type"] == "torque" else None
                unit = joint["torque"]["low"]["unit"] if joint else scale.get(of)
                exact = None
                if amount:
                    based = fractions.Fraction(amount["value"]) * factor(amount["unit"]) + offset(amount["unit"])
                    exact = (based - offset(unit)) / factor(unit)
                entries.append({
                    "record": path, "type": event["type"], "of": of, "choice": now.get("choice"), "exact": exact,
                    "number": float(exact) if exact is not None else None, "clicked": bool(event.get("clicked")),
                    "remedied": "remedy" in event, "tool": event.get("tool"), "instrument": event.get("instrument"),
                    "step": begun[0] if begun and event["type"] != "answer" else None, "at": when, "seq": event["seq"],
                })
    return pandas.DataFrame(entries), pandas.DataFrame(doings), changes, joints, lines


def figures(what, line, numbers):
    numbers = numpy.asarray(numbers, dtype=float)
    hold(f"count of {what}", line["count"], len(numbers))
    if len(numbers):
        hold(f"mean of {what}", line.get("mean"), float(numpy.mean(numbers)))
    if len(numbers) > 1:
        hold(f"deviation of {what}", line.get("deviation"), float(numpy.std(numbers, ddof=1)))


def compare(name, checklist, folder, lines):
    entries, doings, changes, joints, of_lines = tables(checklist, folder)
    kinds = collections.defaultdict(list)
    for line in lines:
        kinds[line["kind"]].append(line)
    read = entries[entries["type"] != "torque"]
    for line in kinds["reading"]:
        own = read[read["of"] == line["id"]]
        what = f"{name} {line['id']}"
        if line.get("unit"):
            figures(what, line, own["number"])
            if len(own):
                wanted = numpy.percentile(own["number"].astype(float), [25, 50, 75])
                for member, quartile in zip(["lower_quartile", "median", "upper_quartile"], wanted):
                    hold(f"{member} of {what}", line[member], float(quartile))
            counts = collections.Counter(own["exact"])
            hold(f"values of {what}", {fractions.Fraction(one["value"]): one["count"] for one in line["values"]} == dict(counts), True)
            for edge in line["edges"]:
                hold(f"strip of {what}", edge["near"], near(edge, own["exact"], line))
        else:
            counts = collections.Counter(own["choice"])
            for value in line["values"]:
                hold(f"value of {what}", value["count"], counts[value["value"]])
    torques = entries[entries["type"] == "torque"]
    for line in kinds["torque"]:
        own = torques[torques["of"] == line["joint"]]
        if "wrench" in line:
            own = own[(own["tool"] == line["wrench"].get("tool")) & (own["instrument"] == line["wrench"].get("instrument"))]
        what = f"{name} {line['joint']} {line.get('wrench', {}).get('instrument')}"
        torque = joints[line["joint"]]["torque"]
        low, high = (fractions.Fraction(torque[end]["value"]) for end in ("low", "high"))
        hold(f"outside of {what}", line["outside"], int(sum(not low <= one <= high for one in own["exact"])))
        hold(f"clicked of {what}", line["clicked"], int(own["clicked"].sum()))
        hold(f"remedied of {what}", line["remedied"], int(own["remedied"].sum()))
        numbers = own[~own["clicked"]]["number"].astype(float)
        figures(what, line, numbers)
        if len(numbers) > 1 and numbers.nunique() > 1:
            low, high, mean, deviation = float(low), float(high), numbers.mean(), numbers.std()
            hold(f"Cp of {what}", line["cp"], (high - low) / (6 * deviation))
            # The nearer limit, in deviations, as scipy counts them.
            wanted = min(abs(scipy.stats.zmap(end, numbers, ddof=1)) for end in (low, high)) / 3
            hold(f"Cpk of {what}", line["cpk"], float(numpy.ravel(wanted)[0]))
    for line in kinds["step"]:
        own = doings[doings["step"] == line["step"]]
        what = f"{name} {line['step']}"
        hold(f"done of {what}", line["done"], len(own))
        hold(f"corrections of {what}", line["corrections"], changes[line["step"], "correct"])
        if len(own):
            seconds = numpy.floor(own["seconds"])
            for member, quartile in zip(["lower_quartile", "median", "upper_quartile"], numpy.percentile(seconds, [25, 50, 75])):
                hold(f"{member} of {what}", line[member], float(quartile))
            if "takes_high" in line:
                over = own[own["seconds"] > line["takes_high"]]["seconds"] - line["takes_high"]
                hold(f"over of {what}", line["over"], len(over))
                hold(f"over_seconds of {what}", line["over_seconds"], float(over.sum()), 1e-6)
    made_up = runs(entries)
    hold(f"runs of {name}", sorted((os.path.basename(one["record"]), one["line"], one["entries"]) for one in kinds["made-up"]), made_up)


def near(edge, exacts, line):
    """How many readings lie in the last strip: two smallest readings, one where there is room for fewer than eight."""
    at = fractions.Fraction(edge["at"]).limit_denominator(10**6)
    strip = fractions.Fraction(edge["strip"]).limit_denominator(10**6)
    reads = fractions.Fraction(line["reads"]).limit_denominator(10**6)
    first = fractions.Fraction(0) if edge["included"] else reads
    depth = lambda one: (one - at if edge["side"] == "lower" else at - one) - first
    return sum(0 <= depth(one) < strip for one in exacts)


def runs(entries):
    found = []
    numbers = entries[(entries["exact"].notna()) & (entries["step"].notna())].sort_values(["record", "seq"])
    kind = numbers["type"] + numbers["of"].where(numbers["type"] == "torque", "")
    # A new run begins where the record, the kind or the value is another.
    other = (numbers["record"] != numbers["record"].shift()) | (kind != kind.shift()) | (numbers["exact"] != numbers["exact"].shift())
    other |= numbers["step"] != numbers["step"].shift()
    for _, run in numbers.groupby(other.cumsum()):
        took = run["at"].iloc[-1] - run["at"].iloc[0]
        if len(run) >= 4 and took <= (len(run) - 1) * 1.0 + 1e-6:
            found.append((os.path.basename(run["record"].iloc[0]), int(run["seq"].iloc[0]), len(run)))
    return sorted(found)


def schemas(lines):
    for name in ("tally-1", "tally-1-reader"):
        schema = json.load(open(f"site/schema/{name}.schema.json", encoding="utf-8"))
        validator = jsonschema.Draft202012Validator(schema)
        for line in lines:
            for error in validator.iter_errors(line):
                faults.append(f"{name}: {line['kind']}: {error.message[:200]}")
    strict = jsonschema.Draft202012Validator(json.load(open("site/schema/tally-1.schema.json", encoding="utf-8")))
    later = {**lines[0], "later": 1}
    hold("strict schema", strict.is_valid(later), False)


def by_duckdb(folder, lines):
    """The sentences of the page, as they stand there."""
    page = open("site/tally.md", encoding="utf-8").read()
    sentences = re.findall(r"```sql\n(.*?)```", page, re.S)
    hold("sentences of the page", len(sentences), 2)
    base = duckdb.connect()
    wrenches, spread = (base.sql(sentence.replace("tally.jsonl", os.path.join(folder, "tally.jsonl")).rstrip().rstrip(";")).fetchall() for sentence in sentences)
    own = [line for line in lines if line["kind"] == "torque"]
    wanted = sorted(line["count"] for line in own if "wrench" in line and line["count"] >= 20)
    hold("rows of DuckDB", sorted(row[2] for row in wrenches), wanted)
    hold("values of DuckDB", sum(row[2] for row in spread), sum(line["count"] for line in own if "wrench" not in line))


def by_csv(folder, lines):
    rows = list(csv.DictReader(io.StringIO(open(os.path.join(folder, "tally.csv"), encoding="utf-8", newline="").read())))
    wanted = {line["joint"]: line["cpk"] for line in lines if line["kind"] == "torque" and "wrench" not in line and "cpk" in line}
    found = {row["id"]: float(row["value"]) for row in rows if row["kind"] == "torque" and row["figure"] == "cpk" and not row["of"]}
    hold("Cpk of the table", found == wanted, True)


def main():
    with tempfile.TemporaryDirectory() as scratch:
        # By hundreds and from another seed than the demo's: that of the repository, and procedures with arms, repairs and stops.
        jobs = [("demo", "procedures/records/checklist.json", "procedures/records", None)]
        for name, count in (("heron-box", 300), ("kestrel-care", 120), ("kestrel-rack", 60), ("finch-vise", 80)):
            folder = os.path.join(scratch, name)
            checklist = os.path.join(OUT, name, "checklist.json")
            subprocess.run(["node", "tests/oracles/_records.mjs", checklist, folder, str(count), "1000"], check=True)
            jobs.append((name, checklist, folder, count))
        for name, checklist, folder, count in jobs:
            out = os.path.join(scratch, f"{name}-out")
            run("tally", "--out", out, checklist, folder)
            lines = [json.loads(line) for line in open(os.path.join(out, "tally.jsonl"), encoding="utf-8")]
            hold(f"records of {name}", lines[0]["counted"], count or 50)
            schemas(lines)
            compare(name, json.load(open(checklist, encoding="utf-8")), folder, lines)
            if name == "heron-box":
                by_duckdb(out, lines)
                by_csv(out, lines)
                drawn(lines)
    for fault in faults[:40]:
        print(fault)
    print(f"{sum(held.values())} figures held, {len(faults)} faults")
    sys.exit(1 if faults or sum(held.values()) < 500 else 0)


def drawn(lines):
    """What chance put in is found again: TW-03 was drawn 0.05 of the half tolerance above the middle, with 0.288 of it as its deviation."""
    own = [line for line in lines if line["kind"] == "torque" and line.get("wrench", {}).get("instrument") == "TW-03"]
    hold("joints of TW-03", len(own) >= 2, True)
    for line in own:
        if line["count"] < 100:
            continue
        middle, half, n = (line["low"] + line["high"]) / 2, (line["high"] - line["low"]) / 2, line["count"]
        spread = 0.288 * half
        hold(f"drawn mean of {line['joint']}", abs(line["mean"] - middle - 0.05 * half) < 4 * spread / math.sqrt(n), True)
        hold(f"drawn deviation of {line['joint']}", 0.8 * spread < line["deviation"] < 1.2 * spread, True)


main()
