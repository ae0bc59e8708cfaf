#!/usr/bin/env python3
"""Compares the standard library's fasteners with data that others keep.

    std_bd_warehouse.py [--bd FOLDER] [--threads FOLDER] [LIBRARY]

LIBRARY is `shared/std/fasteners.fitw` unless given. Without folders the two packages are fetched by `pip download`
in the versions below and unpacked in a temporary folder; nothing is installed.

bd-warehouse 0.4.0 (Apache-2.0), CSV files: hexagon heads (ISO 4014 with their heights, ISO 4017, DIN 931), hexagon nuts
(ISO 4032, ISO 4033), socket head keys (ISO 4762, ASME B18.3), recesses (ISO 7045, 7046, 14581, 14583), plain washers
(ISO 7089, ISO 7093), and the pitch in each size's name.
Its column `iso4035:s` is left out on purpose: it holds the old DIN widths (M10 17, M12 19, M14 22, M22 32) under an ISO
name. That trap is itself checked, so that a release that mends it is noticed.

screw-thread-lib 0.0.6 (MIT): stress areas by the formulas of FED-STD-H28 (inch) and ISO/TR 16224 (metric), and the threads
per inch of ASME B1.1. Our stress area formula is `0.7854 (D - 0.9743/n)^2` and `pi/4 (d - 0.9382 p)^2`.

Every size that both sides have must agree. The exit code is 1 on any difference, or where fewer rows than LEAST were
compared (a check that compares nothing must not pass), and 2 where the data could not be had.
"""

import argparse
import csv
import importlib
import math
import pathlib
import re
import subprocess
import sys
import tempfile
import zipfile
from fractions import Fraction

BD = "bd-warehouse==0.4.0"
THREADS = "screw-thread-lib==0.0.6"
LEAST = {
    "hexagon head": 25,
    "hexagon nut": 35,
    "head height": 13,
    "old head": 13,
    "old nut": 12,
    "key": 27,
    "recess": 24,
    "washer": 70,
    "pitch": 30,
    "threads per inch": 8,
    "stress area": 12,
}
MM = r"([0-9.]+) mm"


def number(text):
    """`7/16`, `1 1/8`, `0.19`, `#10`'s decimal: an exact number."""
    return sum(Fraction(part) for part in text.replace("-", " ").split())


def amount(row, word):
    """The measure after `word` in a row, and its unit, or None."""
    found = re.search(rf"(?:^|, ){re.escape(word)} (?:at most )?([0-9][0-9 ./]*?) (mm|in)(?=,|$)", row)
    return (number(found.group(1)), found.group(2)) if found else None


def read_library(path):
    """The thread and washer rows of a library, by name."""
    threads, washers = {}, {}
    for line in pathlib.Path(path).read_text(encoding="utf-8").splitlines():
        kind, _, rest = line.partition(" ")
        if kind not in ("thread", "washer"):
            continue
        name, _, row = rest.strip().partition(" ")
        table = threads if kind == "thread" else washers
        if name in table:
            sys.exit(f"{kind} {name} stands twice in {path}")
        table[name] = row.strip()
    return threads, washers


def thread_form(row):
    """Diameter, pitch and unit from `8 mm x 1.25 mm` or `1/2 in x 13 per in`; the pitch of an inch thread is per inch."""
    metric = re.match(rf"{MM} x {MM},", row)
    if metric:
        return number(metric.group(1)), number(metric.group(2)), "mm"
    inch = re.match(r"([0-9 ./]+) in x ([0-9]+) per in,", row)
    if inch:
        return number(inch.group(1)), number(inch.group(2)), "in"
    sys.exit(f"a thread row does not begin with its diameter and pitch: {row}")


def fetch(package, target):
    """Downloads a package without its dependencies and unpacks it; gives the folder."""
    command = [sys.executable, "-m", "pip", "download", "--quiet", "--no-deps", "--dest", str(target), package]
    done = subprocess.run(command, capture_output=True, text=True)
    wheels = list(target.glob("*.whl"))
    if done.returncode != 0 or len(wheels) != 1:
        print(f"could not fetch {package}: {done.stderr.strip()}", file=sys.stderr)
        sys.exit(2)
    zipfile.ZipFile(wheels[0]).extractall(target)
    return target


class Report:
    """Counts what agreed and keeps what did not."""

    def __init__(self):
        self.compared = {}
        self.differences = []

    def compare(self, sort, name, ours, theirs, tolerance=0):
        """One value against the other's; `tolerance` is a share of the other's."""
        self.compared[sort] = self.compared.get(sort, 0) + 1
        if ours is None or abs(ours - theirs) > tolerance * abs(theirs):
            self.differences.append(f"{sort} {name}: we have {show(ours)}, they have {show(theirs)}")

    def same(self, sort, name, ours, theirs):
        """One mark against the other's."""
        self.compared[sort] = self.compared.get(sort, 0) + 1
        if ours != theirs:
            self.differences.append(f"{sort} {name}: we have {ours}, they have {theirs}")


def show(value):
    return "nothing" if value is None else f"{float(value):g}"


def table(folder, name):
    """Rows of a CSV file by size; column names lose their blanks."""
    with open(folder / name, newline="", encoding="utf-8") as file:
        return {
            row["Size"].strip(): {key.strip(): (value or "").strip() for key, value in row.items() if key}
            for row in csv.DictReader(file)
        }


def size_of(name, row):
    """How bd-warehouse names our thread: `M8-1.25`, `1/2-13`."""
    diameter, pitch, unit = thread_form(row)
    return f"M{float(diameter):g}-{float(pitch):g}" if unit == "mm" else name


# Of the two smallest the package has other values than the standards: heights of ISO 4014 that its own DIN 931 column puts at 1.4
# and 1.7 mm (our rows state none), and, as widths of DIN 931, the least that the tolerance allows (4 mm h14 is 3.82 mm).
OF_SMALL_HEADS = {("M2", "iso4014:k"), ("M2", "din931:s"), ("M2.5", "iso4014:k"), ("M2.5", "din931:s")}


def compare_widths(report, data, threads):
    """Heads, nuts and keys. Widths of the older standard stand in our rows only where they differ."""
    heads, nuts = table(data, "hex_head_parameters.csv"), table(data, "hex_nut_parameters.csv")
    keys = table(data, "socket_head_cap_parameters.csv")
    plan = [
        ("hexagon head", heads, "iso4014:s", ["hex-bolt"]),
        ("hexagon head", heads, "iso4017:s", ["hex-bolt"]),
        ("head height", heads, "iso4014:k", ["head-height"]),
        ("old head", heads, "din931:s", ["old-hex-bolt", "hex-bolt"]),
        ("hexagon nut", nuts, "iso4032:s", ["hex-nut"]),
        ("hexagon nut", nuts, "iso4033:s", ["hex-nut"]),
        ("hexagon nut", nuts, "iso4032:m", ["nut-height"]),
        # Thin nuts, but with the widths of DIN 934: see the trap above. Their M3 bears a wrong pitch and is not met.
        ("old nut", nuts, "iso4035:s", ["old-hex-nut", "hex-nut"]),
        ("key", keys, "iso4762:s", ["hex-key"]),
        ("key", keys, "asme_b18.3:s", ["hex-key"]),
    ]
    for name, row in threads.items():
        size = size_of(name, row)
        for sort, source, column, words in plan:
            theirs = source.get(size, {}).get(column)
            if not theirs or (name, column) in OF_SMALL_HEADS:
                continue
            ours = next((found for word in words if (found := amount(row, word))), None)
            report.compare(sort, f"{name} ({column})", ours and ours[0], number(theirs))


def compare_recesses(report, data, threads):
    """Cross recesses of ISO 7045 and ISO 7046, hexalobular ones of ISO 14583 and ISO 14581: our mark, `PH2`, is theirs."""
    pan, cheese = table(data, "pan_head_parameters.csv"), table(data, "raised_cheese_head_parameters.csv")
    countersunk = table(data, "countersunk_head_parameters.csv")
    plan = [
        (cheese, "iso7045:recess", "cross-recess"),
        (countersunk, "iso7046:recess", "cross-recess"),
        (pan, "iso14583:recess", "hexalobular"),
        (countersunk, "iso14581:recess", "hexalobular"),
    ]
    for name, row in threads.items():
        for source, column, word in plan:
            theirs = source.get(size_of(name, row), {}).get(column)
            ours = re.search(rf", {word} (\w+)", row)
            if theirs:
                report.same("recess", f"{name} ({column})", ours and ours.group(1), theirs)


def compare_pitches(report, data, threads):
    """Each size of bd-warehouse carries its pitch: our coarse threads must be in the lists of heads, keys and holes."""
    sizes = set()
    for name in ("hex_head_parameters.csv", "socket_head_cap_parameters.csv", "tap_hole_sizes.csv"):
        sizes |= set(table(data, name))
    coarse = {}
    for size in table(data, "hex_head_parameters.csv"):
        diameter, _, pitch = size.partition("-")
        coarse[diameter] = number(pitch)
    for name, row in threads.items():
        _, pitch, unit = thread_form(row)
        if name in coarse:
            report.compare("pitch", name, pitch, coarse[name])
        elif size_of(name, row) in sizes:
            stated = name.rpartition("-")[2] if unit == "in" else name.rpartition("x")[2]
            report.compare("pitch", name, pitch, number(stated))


def compare_washers(report, data, washers):
    """ISO 7089 and ISO 7093; their `h` is the largest thickness, as is our `thick at most`."""
    theirs = table(data, "plain_washer_parameters.csv")
    for name, row in washers.items():
        size, _, series = name.partition("-")
        standard = {"": "iso7089", "large": "iso7093"}.get(series)
        if standard is None or size not in theirs:
            continue
        for word, column in (("inside", "d1"), ("outside", "d2"), ("thick", "h")):
            value = theirs[size].get(f"{standard}:{column}")
            if value:
                ours = amount(", " + row, word)
                report.compare("washer", f"{name} {word}", ours and ours[0], number(value))


def check_trap(report, data):
    """`iso4035:s` must still hold the old widths; if it is mended, this file's plan must change with it."""
    nuts = table(data, "hex_nut_parameters.csv")
    held = [nuts[size]["iso4035:s"] for size in ("M10-1.5", "M12-1.75", "M14-2", "M22-2.5")]
    if held != ["17", "19", "22", "32"]:
        report.differences.append(f"iso4035:s no longer holds the old DIN widths but {held}: compare it as ISO now")


def compare_stress_areas(report, folder, threads):
    """screw-thread-lib's formulas, each with its own dimensions, against ours; 0.1 % is the rounding of the constants."""
    sys.path.insert(0, str(folder))
    data = importlib.import_module("screw_thread_lib.data.ASME")
    thread_class = next(
        value
        for value in vars(importlib.import_module("screw_thread_lib.threads")).values()
        if isinstance(value, type) and hasattr(value, "As_FEDSTD_1b")
    )
    known = dict(data.ASME_UN_2A2B_dict) | dict(data.ASME_M_6g6H_dict)
    for name, row in threads.items():
        diameter, pitch, unit = thread_form(row)
        entry = known.get(size_of(name, row).lstrip("#"))
        if entry is None:
            continue
        their_thread = thread_class(entry)
        if unit == "in":
            report.compare("threads per inch", name, pitch, Fraction(entry["n"]))
            ours = math.pi / 4 * (float(diameter) - 0.9743 / float(pitch)) ** 2
            report.compare("stress area", f"{name} (FED-STD 1a)", ours, their_thread.As_FEDSTD_1a(), 1e-3)
            report.compare("stress area", f"{name} (FED-STD 1b)", ours, their_thread.As_FEDSTD_1b(), 1e-3)
        else:
            ours = math.pi / 4 * (float(diameter) - 0.9382 * float(pitch)) ** 2
            report.compare("stress area", f"{name} (ISO)", ours, their_thread.As_ISO() * 25.4**2, 1e-3)


def main():
    root = pathlib.Path(__file__).resolve().parents[2]
    arguments = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    arguments.add_argument("library", nargs="?", default=root / "shared/std/fasteners.fitw")
    arguments.add_argument("--bd", type=pathlib.Path, help="folder with the unpacked bd-warehouse package")
    arguments.add_argument("--threads", type=pathlib.Path, help="folder with the unpacked screw-thread-lib package")
    given = arguments.parse_args()
    threads, washers = read_library(given.library)
    report = Report()
    with tempfile.TemporaryDirectory() as scratch:
        scratch = pathlib.Path(scratch)
        for name in ("bd", "threads"):
            (scratch / name).mkdir()
        data = (given.bd or fetch(BD, scratch / "bd")) / "bd_warehouse" / "data"
        compare_widths(report, data, threads)
        compare_recesses(report, data, threads)
        compare_pitches(report, data, threads)
        compare_washers(report, data, washers)
        check_trap(report, data)
        compare_stress_areas(report, given.threads or fetch(THREADS, scratch / "threads"), threads)
    for sort, least in LEAST.items():
        count = report.compared.get(sort, 0)
        print(f"{sort}: {count} compared")
        if count < least:
            report.differences.append(f"{sort}: only {count} compared, at least {least} expected")
    for difference in report.differences:
        print(f"DIFFERS {difference}")
    print(f"{sum(report.compared.values())} values compared, {len(report.differences)} differences")
    sys.exit(1 if report.differences else 0)


if __name__ == "__main__":
    main()
