"""How many instructions the program takes, as valgrind counts them: no more than were counted last, and 5 % on top.

A count is the same on a busy machine and on an idle one. It is that of the program which the tests start (no release build is
made for it), so it says nothing of seconds; but what costs more there costs more in the program that people install. Another
compiler makes other code of the same text: where it is not the one of the list, 30 % on top are let pass, and that is said.

    python3 tests/oracles/instructions.py --write    counts anew into instructions.json

Whoever writes it anew says in the commit why the counts changed.
"""

import json
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

TOP = pathlib.Path(__file__).resolve().parents[2]
LIST = pathlib.Path(__file__).with_name("instructions.json")
SAME_COMPILER, ANOTHER_COMPILER = 1.05, 1.30
# What is gained should be kept: a count that fell so far is to be written anew.
FELL = 0.85

SMALLEST = """procedure smallest "Smallest"

section one "One" {
  step look "Look at the rail" {
    > Look at the rail.
  }
  handover { sign installer }
}
"""

BUILD = ["build", "--again", "--jobs", "1", "--out", "out"]
CASES = {
    "check of the smallest procedure": ["check", "smallest.fitw"],
    "check of Kestrel": ["check", str(TOP / "procedures/kestrel-rack.fitw")],
    "parsing and form of Kestrel": ["format", "--check", str(TOP / "procedures/kestrel-rack.fitw")],
    "build of Finch": [*BUILD, str(TOP / "procedures/finch-vise.fitw")],
}
# What a case is counted beyond. A build takes the digest of the program itself: of the tests' large one that is nearly all that it does.
GROUND = {"build of Finch": [*BUILD, "smallest.fitw"]}


def compiler():
    return subprocess.run(["rustc", "-V"], capture_output=True, text=True, check=True).stdout.strip()


def count(program, arguments, folder):
    """Instructions of one run. Valgrind writes `I refs: 6,885,443` where the caches are not looked at."""
    log = folder / "valgrind.log"
    command = ["valgrind", "--tool=cachegrind", "--cache-sim=no", f"--log-file={log}", "--cachegrind-out-file=/dev/null", program]
    environment = {"PATH": os.environ["PATH"], "LANG": "C.UTF-8", "HOME": str(folder)}
    ran = subprocess.run([*command, *arguments], cwd=folder, env=environment, capture_output=True, text=True)
    found = re.search(r"I\s+refs:\s+([\d,]+)", log.read_text()) if log.exists() else None
    if ran.returncode != 0 or not found:
        sys.exit(f"{' '.join(arguments)} ended with {ran.returncode}\n{ran.stdout}{ran.stderr}\n{log.read_text() if log.exists() else ''}")
    return int(found.group(1).replace(",", ""))


def main():
    if not shutil.which("valgrind"):
        print("There is no valgrind here: nothing was counted.")
        return
    program = os.environ.get("FITWRIGHT", str(TOP / "target/debug/fitwright"))
    counts = {}
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        (folder / "smallest.fitw").write_text(SMALLEST)
        for name, arguments in CASES.items():
            ground = count(program, GROUND[name], folder) if name in GROUND else 0
            counts[name] = count(program, arguments, folder) - ground
    now = {"compiler": compiler(), "counts": counts}
    if "--write" in sys.argv[1:]:
        LIST.write_text(json.dumps(now, indent=2) + "\n")
    listed = json.loads(LIST.read_text())
    is_same = listed["compiler"] == now["compiler"]
    most = SAME_COMPILER if is_same else ANOTHER_COMPILER
    if not is_same:
        print(f"The list was counted with {listed['compiler']}, this is {now['compiler']}: {most - 1:.0%} on top are let pass.")
    faults = []
    if set(listed["counts"]) != set(counts):
        faults.append("the cases are not those of the list")
    for name, counted in counts.items():
        before = listed["counts"].get(name, counted)
        print(f"{counted:>15,}  {counted / before - 1:+6.1%}  {name}")
        if counted > before * most:
            faults.append(f"{name}: {counted:,} instructions, {counted / before - 1:+.1%}; at most {most - 1:.0%} more are let pass")
        if is_same and counted < before * FELL:
            faults.append(f"{name}: {counted / before - 1:+.1%}; write the list anew, so that this stays")
    if faults:
        sys.exit("\n".join(faults))


main()
