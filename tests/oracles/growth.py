"""How the work of `check` grows with the procedure: in instructions, as valgrind counts them, so that a busy machine counts the same.

A procedure of so many steps is made, once clean, once with a fault in every tenth place, and once of nothing but steps with their words;
what a smaller one takes is compared with what a larger one takes. Work that grows as the text does has the exponent 1, and twice the text takes
twice the work. What is let pass is a little more than what was counted last, so that it gets no worse. Plain steps cost so little that there can be
many: what compares each text with each other one shows only there.

    python3 tests/oracles/growth.py 400 1600 6400    other sizes, by hand, of a release build
"""

import math
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

TOP = pathlib.Path(__file__).resolve().parents[2]
MOST = {"clean": 1.15, "faulty": 1.25, "plain": 1.08}
STEPS_A_PLACE = 4
GROUND = STEPS_A_PLACE * 10
SIZES = {"clean": [50, 200], "faulty": [50, 200], "plain": [800, 3200]}

HEAD = """procedure frame "Frame of the Finch row"

revision A 2026-11-02
units inch, metric
use std/fasteners
use std/hand-tools
use std/hazards
use std/protection

about {
  skill "Anyone who has used a torque wrench"
  wear safety-glasses, safety-shoes
}

option paint "Paint" { bare "Bare steel" painted "Painted" }
part bolt bolt 1/2-13 x 2 in, grade 5, hex head
part washer washer 1/2 in, sae
part nut nut 1/2-13, grade 5
"""

DECLARED = """part bracket-{at} "Bracket {at}" {{ mass 40 lb  brings heavy-lift }}
measure gap-{at} "Gap at bracket {at}" {{ range 0 in to 2 in  reads 1/32 in  with steel-rule-inch }}
joint joint-{at} "Bracket {at} to frame" {{
  each bolt, 2 washer, nut
  count 4  torque 45 lbf.ft +- 5 lbf.ft  thread dry  pattern cross in 2 stages  grip 1 1/8 in
}}
"""

DONE = """section place-{at} "Bracket {at}" {{
  step lift-{at} "Hold bracket {at} to the frame" {{
    warning heavy-lift {{
      hazard "Bracket {at} weighs [40 lb]."  consequence "A lift by one person can injure the back."
      avoid "Lift with two people."
    }}
    > Set [bracket-{at}] on the frame, [4 in] from its end.
    take 1 bracket-{at}
    takes 3 min, two people
  }}
  check see-{at} "Gap at bracket {at}" {{
    > Measure the gap.
    read gap-{at}
    takes 2 min
    expect gap-{at} is 1/8 in to 1/2 in
    repair at most 3 times {{
      step slide-{at} "Slide bracket {at}" {{
        > Slide the bracket.
        takes 1 min
      }}
    }}
    else stop "Choose another place for bracket {at}."
  }}
  step bolts-{at} "Bolt bracket {at}" {{
    > Push each bolt through from above.
    place joint-{at}
    takes 5 min
  }}
  step torque-{at} "Torque bracket {at}"{condition} {{
    tighten joint-{at} with torque-wrench-3-8-drive-inch, socket-3-4-inch, hold with spanner-3-4-inch
    record joint-{at} torque
    takes 4 min
  }}
}}
"""

END = """section end "End" {
  step touch-up "Touch up the paint" when paint is painted {
    > Paint over each scratch.
    takes 5 min
  }
  handover { sign installer }
}
"""


PLAIN = """  step look-{at} "Look at rail {at}" {{
    > Look at rail {at}.
  }}
"""


def plain(steps):
    """A procedure of so many steps that say something and state nothing."""
    said = "".join(PLAIN.format(at=at) for at in range(steps))
    return f'procedure frame "Frame"\n\nsection rails "Rails" {{\n{said}  handover {{ sign installer }}\n}}\n'


def procedure(steps, faulty):
    """A procedure of about so many steps. In a faulty one every tenth joint is tightened on painted frames only."""
    places = range(1, steps // STEPS_A_PLACE + 1)
    brackets = ", ".join(f"1 bracket-{at}" for at in places)
    kit = f"kit {{\n  box {{ {brackets} }}\n  bag A {{ {4 * len(places)} bolt, {8 * len(places)} washer, {4 * len(places)} nut }}\n}}\n"
    done = (DONE.format(at=at, condition=" when paint is painted" if faulty and at % 10 == 0 else "") for at in places)
    declared = (DECLARED.format(at=at) for at in places)
    return HEAD + kit + "".join(declared) + "".join(done) + END


def count(program, folder, text):
    """Instructions of one `check`, its exit code, and what it said."""
    (folder / "frame.fitw").write_text(text)
    log = folder / "valgrind.log"
    command = ["valgrind", "--tool=cachegrind", "--cache-sim=no", f"--log-file={log}", "--cachegrind-out-file=/dev/null", program]
    environment = {"PATH": os.environ["PATH"], "LANG": "C.UTF-8", "HOME": str(folder)}
    ran = subprocess.run(
        [*command, "check", "--format", "short", "frame.fitw"], cwd=folder, env=environment, capture_output=True, text=True
    )
    found = re.search(r"I\s+refs:\s+([\d,]+)", log.read_text()) if log.exists() else None
    if not found:
        sys.exit(f"valgrind counted nothing: {ran.stdout}{ran.stderr}")
    return int(found.group(1).replace(",", "")), ran.returncode, ran.stdout + ran.stderr


def main():
    if not shutil.which("valgrind"):
        print("There is no valgrind here: nothing was counted.")
        return
    program = os.environ.get("FITWRIGHT", str(TOP / "target/debug/fitwright"))
    shapes = {"clean": lambda steps: procedure(steps, False), "faulty": lambda steps: procedure(steps, True), "plain": plain}
    faults = []
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        for name, shape in shapes.items():
            before = None
            # What every run takes, however short the procedure, is not of its growth.
            ground, _, _ = count(program, folder, shape(GROUND))
            for size in [int(size) for size in sys.argv[1:]] or SIZES[name]:
                counted, code, said = count(program, folder, shape(size))
                if code != (1 if name == "faulty" else 0):
                    sys.exit(f"{name}, {size} steps: exit code {code}\n{said[:2000]}")
                line = f"{name:>7}, {size:>6} steps: {counted:>15,}"
                if before:
                    exponent = math.log((counted - ground) / (before[1] - ground)) / math.log((size - GROUND) / (before[0] - GROUND))
                    line += f"  exponent {exponent:.3f}"
                    if exponent > MOST[name]:
                        faults.append(f"{name}, from {before[0]} to {size} steps: exponent {exponent:.3f}, at most {MOST[name]} is let pass")
                print(line)
                before = (size, counted)
    if faults:
        sys.exit("\n".join(faults))


main()
