#!/usr/bin/env python3
"""Holds the standard library's threads against the limits of size that the package screw-thread-lib 0.0.6 (MIT) carries.

The package has tables of ASME B1.1-2019, classes 2A and 2B, for #10, 1/4, 1/2 and 3/4 in, and of 6g and 6H for M8, M12, M20
and M24 (in inches). Our rows hold the diameter and the pitch; with them the formulas of the standards must give the limits of the
tables. So a wrong diameter or a wrong pitch in a row can't pass.

Formulas, from memory, each confirmed by the tables themselves (that is what this check does):
  ASME B1.1: P = 1/n; tolerance of the pitch diameter, class 2A, Td2 = 0.0015 D^(1/3) + 0.0015 D^(1/2) + 0.015 P^(2/3); allowance
  es = 0.3 Td2; tolerance of the outer diameter 0.060 P^(2/3); class 2B has 1.3 Td2 and no allowance.
  ISO 965-1: allowance 6g es = (15 + 11 P) um; tolerance of the outer diameter (180 P^(2/3) - 3.15 / sqrt(P)) um, P in mm.
  Both: pitch diameter D - 0.6495 P, minor diameter D - 1.0825 P.

The tables are rounded to 0.0001 in (B1.1), 0.001 in for the hole's minor diameter, and to whole micrometres of a preferred
series (ISO 965-1: up to 0.012 mm); the bands below are those. The exit code is 1 on any difference, or where fewer than
LEAST values were compared.
"""

import math
import pathlib
import re
import sys
from fractions import Fraction

from screw_thread_lib.data import ASME

LEAST = {"inch": 72, "metric": 28}
INCH_BAND = 0.00011
HOLE_BAND = 0.0006
METRIC_BAND = 0.012 / 25.4


def number(text):
    """`7/16`, `1 1/8`, `0.19`"""
    return float(sum(Fraction(part) for part in text.split()))


def rows(path):
    """Name, diameter and pitch in inches, and whether the thread is metric."""
    for line in pathlib.Path(path).read_text(encoding="utf-8").splitlines():
        metric = re.match(r"thread (\S+) ([0-9.]+) mm x ([0-9.]+) mm,", line)
        inch = re.match(r"thread (\S+) ([0-9 ./]+) in x ([0-9]+) per in,", line)
        if metric:
            yield metric.group(1), number(metric.group(2)) / 25.4, number(metric.group(3)) / 25.4, True
        elif inch:
            yield inch.group(1), number(inch.group(2)), 1 / number(inch.group(3)), False


def inch_limits(diameter, pitch):
    """The limits of classes 2A and 2B by the rules of ASME B1.1, for the series UNC and UNF."""
    tolerance = 0.0015 * diameter ** (1 / 3) + 0.0015 * math.sqrt(diameter) + 0.015 * pitch ** (2 / 3)
    allowance = 0.3 * tolerance
    outer, at_pitch = diameter - allowance, diameter - 0.649519 * pitch
    return {
        "dbsc": diameter,
        "dmax": outer,
        "dmin": outer - 0.060 * pitch ** (2 / 3),
        "d2max": at_pitch - allowance,
        "d2min": at_pitch - allowance - tolerance,
        "D2min": at_pitch,
        "D2max": at_pitch + 1.3 * tolerance,
        "D1min": diameter - 1.082532 * pitch,
        "n": 1 / pitch,
    }


def metric_limits(diameter, pitch):
    """Those limits of 6g and 6H that don't need the table of tolerances of the pitch diameter."""
    pitch_mm = pitch * 25.4
    allowance = (15 + 11 * pitch_mm) / 25_400
    tolerance = (180 * pitch_mm ** (2 / 3) - 3.15 / math.sqrt(pitch_mm)) / 25_400
    at_pitch = diameter - 0.649519 * pitch
    return {
        "dbsc": diameter,
        "dmax": diameter - allowance,
        "dmin": diameter - allowance - tolerance,
        "d2max": at_pitch - allowance,
        "D2min": at_pitch,
        "D1min": diameter - 1.082532 * pitch,
        "n": 1 / pitch,
    }


def main():
    path = sys.argv[1] if len(sys.argv) > 1 else pathlib.Path(__file__).resolve().parents[2] / "shared/std/fasteners.fitw"
    compared, differences = {"inch": 0, "metric": 0}, []
    for name, diameter, pitch, is_metric in rows(path):
        if is_metric:
            published = ASME.ASME_M_6g6H_dict.get(f"M{diameter * 25.4:g}-{pitch * 25.4:g}")
            ours, sort = metric_limits(diameter, pitch), "metric"
        else:
            published = ASME.ASME_UN_2A2B_dict.get(name.lstrip("#"))
            ours, sort = inch_limits(diameter, pitch), "inch"
        if published is None:
            continue
        for limit, value in ours.items():
            band = METRIC_BAND if is_metric else HOLE_BAND if limit == "D1min" else INCH_BAND
            band = 1e-9 if limit in ("dbsc", "n") else band
            compared[sort] += 1
            if abs(value - published[limit]) > band:
                differences.append(f"{name} {limit}: {value:.5f} in by our row, {published[limit]} in the table")
    for sort, least in LEAST.items():
        print(f"{sort} threads: {compared[sort]} limits compared")
        if compared[sort] < least:
            differences.append(f"{sort}: only {compared[sort]} compared, at least {least} expected")
    for difference in differences:
        print(f"DIFFERS {difference}")
    sys.exit(1 if differences else 0)


if __name__ == "__main__":
    main()
