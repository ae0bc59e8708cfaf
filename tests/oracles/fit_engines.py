#!/usr/bin/env python3
"""The examples of site/fit.md: DuckDB over the answers, and Spark's `pipe` by a stand-in.

The text of the page is run as it stands there. What DuckDB says is held against the same sums in plain Python; what comes out of
the partitions against one run over the whole table.
"""

import csv
import json
import os
import re
import shlex
import subprocess
import sys
import tempfile
from collections import Counter
from decimal import Decimal
from pathlib import Path

import jsonschema

TOP = Path(__file__).resolve().parents[2]
FITWRIGHT = str(Path(os.environ.get("FITWRIGHT", TOP / "target/debug/fitwright")).resolve())
duck, spark = re.findall(r"```python\n(.*?)```", (TOP / "site/fit.md").read_text(encoding="utf-8"), re.S)
FAULTS = []


def check(so, what):
    if not so:
        FAULTS.append(what)
        print("FAULT", what)


def run(*arguments):
    ran = subprocess.run([FITWRIGHT, "fit", "kestrel-rack.fitw", *arguments], capture_output=True, check=False)
    check(ran.returncode == 1, f"two rows of the demo can't be read: {ran.returncode} {ran.stderr}")
    return ran.stdout


class Piped:
    """What `RDD.pipe` of pyspark does (its documentation and source, from memory): for each partition the command, split as a
    shell does, in an environment of its own; each element as a line in UTF-8; each line of the output an element."""

    def __init__(self, partitions):
        self.partitions = partitions

    def pipe(self, command, env=None, checkCode=False):
        out = []
        for elements in self.partitions:
            process = subprocess.Popen(shlex.split(command), env=env or {}, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
            text = b"".join(str(element).rstrip("\n").encode() + b"\n" for element in elements)
            given, _ = process.communicate(text)
            if checkCode and process.returncode:
                raise RuntimeError(f"Pipe function `{command}' exited with error code {process.returncode}")
            out.append([line.decode().rstrip("\n") for line in given.splitlines(keepends=True)])
        return Piped(out)

    def collect(self):
        return [element for elements in self.partitions for element in elements]


class Context:
    def parallelize(self, rows, slices):
        # As Spark parts a list: slices of nearly the same size, in order.
        size = len(rows)
        return Piped([rows[n * size // slices : (n + 1) * size // slices] for n in range(slices)])


with tempfile.TemporaryDirectory() as folder:
    os.chdir(folder)
    Path("figures").mkdir()
    for name in ("kestrel-rack.fitw", "kestrel-vans.csv", "figures/kestrel-rail.svg"):
        Path(name).write_bytes((TOP / "procedures" / name).read_bytes())
    Path("answers.csv").write_bytes(run("kestrel-vans.csv", "--format", "csv"))
    Path("answers.jsonl").write_bytes(run("kestrel-vans.csv", "--format", "json"))

    for name in ("fit-1", "fit-1-reader"):
        schema = jsonschema.Draft202012Validator(json.loads((TOP / f"site/schema/{name}.schema.json").read_text(encoding="utf-8")))
        for line in open("answers.jsonl", encoding="utf-8"):
            for error in schema.iter_errors(json.loads(line)):
                check(False, f"{name}: {error.message}")
        check(bool(list(schema.iter_errors({"fit": "1.0"}))), f"{name} refuses nothing")

    names = {}
    exec(duck, names)  # the text of our own page
    rows = list(csv.DictReader(open("answers.csv", newline="", encoding="utf-8")))
    fits = {}
    for row in rows:
        if row["fit_verdict"] == "fits":
            key = (row["maker"], row["model"], row["fit_option arm"])
            left = Decimal(row["fit_margin roof-load [kg]"])
            fits[key] = min(left, fits.get(key, left))
    wanted = sorted(((*key, left) for key, left in fits.items()), key=lambda one: (-one[3], one[1], one[2]))
    check(len(wanted) > 5 and names["best"] == wanted, f"DuckDB: {names['best']} and not {wanted}")
    lines = [json.loads(line) for line in open("answers.jsonl", encoding="utf-8")]
    reasons = Counter(by.get("name") for line in lines for by in line["by"])
    check(names["why"] == sorted(reasons.items()) and reasons, f"DuckDB: {names['why']} and not {reasons}")

    names = {"context": Context(), "fitwright": FITWRIGHT}
    exec(spark, names)
    parts = [json.loads(line) for line in names["answers"]]
    place = lambda line: {**line, "line": 0, "messages": [{**m, "line": 0} for m in line["messages"]]}
    check([place(line) for line in parts] == [place(line) for line in lines], "the partitions give other answers than the whole")
    check(parts[0]["line"] == 1 and len(parts) > 20, "lines count from the start of a partition")

print(f"{len(FAULTS)} faults")
sys.exit(1 if FAULTS else 0)
