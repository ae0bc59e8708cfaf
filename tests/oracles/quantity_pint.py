#!/usr/bin/env python3
"""Compare Fitwright's units, conversions and printed tolerances with pint, exactly, and its UCUM codes with ucumvert.

Usage: python3 tests/oracles/quantity_pint.py [FILE]
FILE is `tmp/quantity.json` in the target folder (CARGO_TARGET_DIR, or `target`) unless given. It is written by
`cargo test --test all quantity::`. Needs pint (0.25) and ucumvert (0.3) from PyPI.

pint keeps its definitions as text; read with fractions they are the exact legal definitions, so that every factor,
every conversion and every printed tolerance is compared without rounding. ucumvert parses the UCUM codes with the
grammar of the UCUM specification; its results are floating point, so that they are compared to one part in 10^12.
"""

import json
import os
import re
import sys
from fractions import Fraction

import pint

# Our spelling, where pint's differs. ("mil" is an angle's or no unit at all in pint; "thou" is the length.)
NAMES = {
    "um": "micrometer", "mil": "thou", "in": "inch", "ft": "foot", "yd": "yard", "mi": "mile",
    "mm2": "mm**2", "cm2": "cm**2", "m2": "m**2", "in2": "inch**2", "ft2": "foot**2",
    "cm3": "cm**3", "m3": "m**3", "in3": "inch**3", "fl-oz": "fluid_ounce", "qt": "quart", "gal": "gallon",
    "t": "metric_ton", "kgf": "kilogram_force", "ozf": "ounce_force", "lbf": "pound_force",
    "N.cm": "N*cm", "N.m": "N*m", "kgf.cm": "kilogram_force*cm", "kgf.m": "kilogram_force*m",
    "ozf.in": "ounce_force*inch", "lbf.in": "pound_force*inch", "lbf.ft": "pound_force*foot",
    "W.h": "W*hour", "kW.h": "kW*hour", "ksi": "ksi", "mOhm": "milliohm", "Ohm": "ohm", "kOhm": "kiloohm",
    "MOhm": "megaohm", "hp": "horsepower", "A.s": "A*s", "mA.h": "mA*hour", "A.h": "A*hour",
    "s": "second", "min": "minute", "h": "hour", "d": "day",
    "degC-rise": "delta_degC", "degF-rise": "delta_degF", "K": "delta_degC",
    "deg": "degree", "turn": "turn", "flat": "flat", "m/s": "m/s", "km/h": "km/hour", "ft/s": "foot/s", "mph": "mile/hour",
    "%": "percent", "per mm": "1/mm", "per m": "1/m", "per in": "1/inch", "per ft": "1/foot",
}
NO_UNIT = {"AWG"}  # a label, which no library of units knows

# The base unit of each kind in pint's words; an angle is counted in degrees, a share in wholes.
BASES = {
    "m": "m", "kg": "kg", "N": "N", "N.m": "N*m", "J": "J", "Pa": "Pa", "m2": "m**2", "m3": "m**3", "V": "V",
    "A": "A", "Ohm": "ohm", "W": "W", "C": "C", "s": "s", "deg": "degree", "m/s": "m/s", "1": "dimensionless",
    "/m": "1/m",
}

registry = pint.UnitRegistry(non_int_type=Fraction)
# From one side of a regular hexagon to the next: a sixth of a turn.
registry.define("flat = turn / 6")
faults = []


def report(what):
    faults.append(what)
    print("DIFFERS:", what)


def name(spelling):
    return NAMES.get(spelling, spelling)


def quantity(value, spelling):
    return registry.Quantity(Fraction(value), name(spelling))


def base_of(unit):
    if unit["kind"] == "a temperature":
        return "kelvin"
    return "delta_degC" if unit["kind"] == "a temperature rise" else BASES[unit["base_ucum"]]


def check_factors(units):
    for unit in units:
        if unit["unit"] in NO_UNIT:
            continue
        ours = Fraction(unit["factor"])
        offset = Fraction(unit["offset"])
        at_one = quantity(1, unit["unit"]).to(base_of(unit)).magnitude
        at_nought = quantity(0, unit["unit"]).to(base_of(unit)).magnitude
        if at_nought != offset or at_one - at_nought != ours:
            report(f"factor of {unit['unit']}: ours {ours} + {offset}, pint {at_one - at_nought} + {at_nought}")
    return len(units)


def check_conversions(conversions):
    for one in conversions:
        if one["from"] in NO_UNIT:
            continue
        pints = quantity(one["value"], one["from"]).to(name(one["to"])).magnitude
        if pints != Fraction(one["result"]):
            report(f"{one['value']} {one['from']} in {one['to']}: ours {one['result']}, pint {pints}")
    return len(conversions)


def check_prints(prints):
    """The text itself, read back: what it spans lies within the stated span and keeps nine tenths of it."""
    for one in prints:
        value, half = Fraction(one["value"]), Fraction(one["plus_minus"])
        numbers = [Fraction(n.replace("\u2212", "-")) for n in re.findall(r"(?:^|(?<=\xa0))\u2212?\d+(?:\.\d+)?(?=\xa0|$)", one["printed"])]
        if len(numbers) != 2:
            report(f"can't read {one['printed']!r}")
            continue
        middle, plus_minus = numbers
        ends = [quantity(end, one["printed_unit"]).to(name(one["unit"])).magnitude
                for end in (middle - plus_minus, middle + plus_minus)]
        width = ends[1] - ends[0]
        if ends[0] < value - half or ends[1] > value + half or width * 10 < 2 * half * 9:
            report(f"{value} +- {half} {one['unit']} printed as {one['printed']}")
    return len(prints)


def check_ucum(units):
    from ucumvert import PintUcumRegistry

    ucum = PintUcumRegistry()
    checked = 0
    for unit in units:
        if unit["unit"] in NO_UNIT or unit["kind"] == "a temperature":
            # Points on a scale are compared at two points, below.
            continue
        parsed = ucum.from_ucum(unit["ucum"])
        base = ucum.from_ucum(unit["base_ucum"]) if unit["base_ucum"] != "1" else ucum.dimensionless
        theirs = (1 * parsed).to(base).magnitude
        ours = float(Fraction(unit["factor"]))
        if abs(theirs - ours) > 1e-12 * abs(ours):
            report(f"UCUM {unit['ucum']} of {unit['unit']}: ours {ours}, ucumvert {theirs}")
        checked += 1
    for unit in units:
        if unit["kind"] == "a temperature":
            for point in (0.0, 100.0):
                theirs = ucum.Quantity(point, ucum.from_ucum(unit["ucum"]).units).to("kelvin").magnitude
                ours = point * float(Fraction(unit["factor"])) + float(Fraction(unit["offset"]))
                if abs(theirs - ours) > 1e-9:
                    report(f"UCUM {unit['ucum']}: {point} is {ours} K by ours, {theirs} K by ucumvert")
            checked += 1
    return checked


def main():
    written = os.path.join(os.environ.get("CARGO_TARGET_DIR", "target"), "tmp", "quantity.json")
    with open(sys.argv[1] if len(sys.argv) > 1 else written, encoding="utf-8") as file:
        dump = json.load(file)
    print(f"{check_factors(dump['units'])} units against pint {pint.__version__}, exactly")
    print(f"{check_conversions(dump['conversions'])} conversions against pint, exactly")
    print(f"{check_prints(dump['prints'])} printed tolerances within the stated ones, by pint")
    print(f"{check_ucum(dump['units'])} UCUM codes against ucumvert")
    if faults:
        sys.exit(f"{len(faults)} differences")


main()
