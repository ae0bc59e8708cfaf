#!/usr/bin/env python3
"""How long `fitwright fit` takes for 100,000 rows with 16 choices, and how much memory, by the release program.

Usage: cargo build --release && python3 tests/oracles/_fit_speed.py target/release/fitwright

Not among the checks: the time is the machine's. What must hold on any machine: ten times the rows take no more memory.
"""

import os
import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path

PROCEDURE = """procedure many "Many choices"
revision A 2026-11-28
units metric
option a "A" { yes no }
option b "B" { yes no }
option c "C" { yes no }
option d "D" { yes no }
given roof   "Roof"   { range 20 kg to 400 kg }
given load   "Load"   { range 1 kg to 90 kg }
given height "Height" { range 1 m to 4 m }
fact  rack = 38 kg +- 1 kg
limit carried "The roof carries it" { rack + load <= roof else stop "Leave it." }
limit low     "It goes below the gate" when a is yes { height + 0.3 m <= 2.6 m else stop "Leave it." }
limit light   "The arm lifts it" when b is yes { load <= 45 kg else stop "Leave it." }
section work "Work" {
  step one "One" {
    > Look at it.
  }
  choose c { yes { step two "Two" {
    > Look again.
  } }  no { } }
  choose d { yes { step three "Three" {
    > Look once more.
  } }  no { } }
  handover { sign installer }
}
"""


def rows(count):
    random.seed(16)
    yield "maker,model,year,roof [kg],load,height [m]\r\n"
    for number in range(count):
        load = f"{random.randint(10, 900) / 10} kg" if number % 3 else f"{random.randint(3, 190)} lb"
        roof = "" if number % 50 == 0 else random.randint(20, 400)
        yield f"Maker {number % 40},Van {number},{2000 + number % 26},{roof},{load},{random.randint(100, 400) / 100}\r\n"


program = str(Path(sys.argv[1]).resolve())
with tempfile.TemporaryDirectory() as folder:
    folder = Path(folder)
    (folder / "many.fitw").write_text(PROCEDURE)
    for count in (10_000, 100_000):
        (folder / f"{count}.csv").write_text("".join(rows(count)))
    peaks = []
    for form in ("csv", "json"):
        for count in (10_000, 100_000):
            with open(folder / "out", "wb") as out:
                began = time.time()
                process = subprocess.Popen([program, "fit", "many.fitw", f"{count}.csv", "--format", form, "--jobs", "2"], cwd=folder, stdout=out)
                _, code, used = os.wait4(process.pid, 0)
                took = time.time() - began
            with open(folder / "out", "rb") as out:
                lines = sum(1 for _ in out)
            print(f"{form}: {count} rows, {lines} lines, {took:.2f} s, {used.ru_utime + used.ru_stime:.2f} s of processor, {used.ru_maxrss / 1024:.0f} MiB, {(folder / 'out').stat().st_size / 1e6:.0f} MB out")
            peaks.append(used.ru_maxrss)
            if code or lines < count * 16:
                sys.exit(f"exit {code}, {lines} lines")
    if peaks[1] > peaks[0] * 1.5 or peaks[3] > peaks[2] * 1.5:
        sys.exit(f"memory is not flat: {peaks} KiB")
