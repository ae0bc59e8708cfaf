"""The `build.ninja` of site/many-files.md, run by ninja: what it builds is what one `fitwright build` builds, byte for byte.

Then a library changes, a figure, and nothing but a date; what ninja builds again is what `fitwright uses` lists. Names with a blank, `#`
and `$` are read from the dependency file by ninja and by GNU make.
"""

import json
import os
import re
import shutil
import subprocess
import tempfile
import time
from pathlib import Path

program = Path(os.environ["FITWRIGHT"]).resolve()
page = Path("site/many-files.md").read_text("utf-8")
coat_hook = re.search(r"```fitw\n(.*?)^```$", Path("README.md").read_text("utf-8"), re.S | re.M)[1]


def block(language):
    return re.search(rf"^```{language}\n(.*?)^```$", page, re.S | re.M)[1]


def run(*command, code=0, cwd=None):
    done = subprocess.run([str(word) for word in command], cwd=cwd or top, env=environment, capture_output=True, text=True)
    assert done.returncode == code, f"{command}: {done.returncode}\n{done.stdout}\n{done.stderr}"
    return done.stdout


def tree(folder):
    """All outputs below a folder, without what builds keep for themselves."""
    files = {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    return {name: text for name, text in files.items() if not name.startswith(".fitwright-")}


def stamps():
    return {path.parent.name: path.stat().st_mtime_ns for path in (top / "out").glob("*/build.json")}


def ninja():
    """What ninja says, and the folders that were written anew."""
    before = stamps()
    # A date that the disk can't tell from the last is no change for ninja.
    time.sleep(0.05)
    said = run("ninja")
    after = stamps()
    return said, {name for name in after if after[name] != before.get(name)}


def same_as_one_build():
    run("fitwright", "build", "--out", "whole", "--again")
    whole, built = tree(top / "whole"), tree(top / "out")
    assert whole.keys() == built.keys(), whole.keys() ^ built.keys()
    differing = [name for name in whole if whole[name] != built[name]]
    assert not differing, differing
    return len(whole)


def users(name):
    lines = run("fitwright", "uses", name, "--format", "json").splitlines()
    return {Path(json.loads(line)["procedure"]).stem for line in lines}


def hook(name, library):
    """The README's procedure under another name, with its hook from a library."""
    text = coat_hook.replace("procedure coat-hook", f"procedure {name}")
    if library:
        text = text.replace('part hook        "Coat hook"\n', "")
        text = text.replace("use std/hand-tools", f"use std/hand-tools\nuse {library}")
    return text


with tempfile.TemporaryDirectory() as scratch:
    top = Path(scratch).resolve() / "project"
    (top / "procedures").mkdir(parents=True)
    (top / "lib").mkdir()
    (top / "bin").mkdir()
    os.symlink(program, top / "bin/fitwright")
    environment = {**os.environ, "PATH": f"{top / 'bin'}:{os.environ['PATH']}"}
    # One library behind another: what it says reaches the procedures through that.
    (top / "lib/plates.fitw").write_text('library plates "Plates"\n\npart hook "Coat hook"\n')
    (top / "lib/rails.fitw").write_text('library rails "Rails"\n\nuse lib/plates\n\npart rail "Rail"\n')
    for name, library in {
        "hook-one": "lib/plates", "hook-two": "lib/plates", "hook-three": "lib/plates",
        "hook-four": None, "hook-five": None,
    }.items():
        (top / f"procedures/{name}.fitw").write_text(hook(name, library))
    for name in ["kestrel-rack", "kestrel-care", "finch-vise"]:
        shutil.copy(f"procedures/{name}.fitw", top / "procedures")
    shutil.copytree("procedures/figures", top / "procedures/figures")
    (top / "fitwright.toml").write_text(block("toml"))
    (top / "build.ninja").write_text(block("ninja"))
    run("sh", "-euc", block("sh"))

    said, written = ninja()
    assert len(written) == 8, (said, written)
    files = same_as_one_build()
    said, written = ninja()
    assert "no work to do" in said and not written, (said, written)

    # A library changes.
    plates = top / "lib/plates.fitw"
    plates.write_text(plates.read_text().replace("Coat hook", "Coat hook, galvanised"))
    expected = users("lib/plates.hook")
    assert expected == {"hook-one", "hook-two", "hook-three"}, expected
    said, written = ninja()
    assert written == expected, (said, written, expected)
    same_as_one_build()
    assert "no work to do" in ninja()[0]

    # A figure changes: an SVG may have a comment more.
    figure = top / "procedures/figures/kestrel-rail.svg"
    figure.write_text(figure.read_text() + "<!-- drawn again -->\n")
    said, written = ninja()
    assert written == {"kestrel-rack"}, (said, written)
    same_as_one_build()

    # Nothing but its date: ninja asks, nothing is written, and it does not ask again.
    plates.touch()
    said, written = ninja()
    assert "no work to do" not in said and not written, (said, written)
    assert "no work to do" in ninja()[0]

    # A fault stops ninja, and what was built stays.
    before = tree(top / "out")
    five = top / "procedures/hook-five.fitw"
    good = five.read_text()
    five.write_text(good.replace("4 hook-washer", "3 hook-washer"))
    assert "FW0603" in run("ninja", code=1)
    assert tree(top / "out") == before
    five.write_text(good)
    ninja()
    same_as_one_build()

    # Names that have to be escaped, as ninja and make read them.
    odd = top / "odd #1 $a \\ b"
    (odd / "figures").mkdir(parents=True)
    (odd / "a $ #b.fitw").write_text(hook("odd-hook", None).replace(
        '> Hold the', 'figure "figures/kestrel-rail.svg" "The rail"\n    > Hold the', 1))
    shutil.copy(figure, odd / "figures")
    names = [f"{odd.name}/a $ #b.fitw", f"{odd.name}/figures/kestrel-rail.svg"]
    run("fitwright", "build", "--out", "o u $t", "--depfile", "odd.d", names[0])
    rules = (top / "odd.d").read_text()
    (top / "odd.ninja").write_text("rule copy\n  command = cp odd.d made.d && touch $out\n  depfile = made.d\n  deps = gcc\n"
                                   "build o$ u$ $$t/odd-hook/build.json: copy\n")
    run("ninja", "-f", "odd.ninja")
    deps = [line.strip() for line in run("ninja", "-f", "odd.ninja", "-t", "deps").splitlines() if line.startswith("    ")]
    assert sorted(deps) == sorted(names), (deps, names, rules)
    # GNU make: nothing is to do while the target is the newest, and something when one of the files is newer; a name that it read
    # otherwise it would not find, and say so.
    (top / "odd.mk").write_text(rules + "\n%.json:\n\t@echo built again\n")
    def make():
        return subprocess.run(["make", "-q", "-f", "odd.mk"], cwd=top, env=environment, capture_output=True).returncode
    for name in names:
        os.utime(top / name, (1_500_000_000, 1_500_000_000))
    os.utime(top / "o u $t/odd-hook/build.json", (1_600_000_000, 1_600_000_000))
    assert make() == 0
    for name in names:
        os.utime(top / name, (1_700_000_000, 1_700_000_000))
        assert make() == 1, name
        os.utime(top / name, (1_500_000_000, 1_500_000_000))
    (top / names[1]).rename(top / "elsewhere")
    assert make() == 2

print(f"8 procedures, {files} files, as by one build; 3 of 8 built again for a library")
