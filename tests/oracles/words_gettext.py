"""PO files of ours, as GNU gettext and the Translate Toolkit read them.

Every translation that comes with the program, ours of labels and those of the demos, passes `msgfmt --check` (gettext) and `pofilter` (Translate
Toolkit), and so does what `fitwright words` writes. What msgfmt makes of a demo's file, Python's own gettext reads, and each text without
numbers stands so in the checklist that is built by the same file. Files that are damaged on purpose are refused by msgfmt or pofilter, and by the build.
"""

import gettext
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

FITWRIGHT = os.environ["FITWRIGHT"]
POFILTER = shutil.which("pofilter") or str(Path(sys.executable).parent / "pofilter")
# What a translator must not do to what is held, and slips that only a machine sees.
TESTS = ["pythonbraceformat", "numbers", "xmltags", "escapes", "newlines", "blank", "untranslated", "doublespacing"]


def run(*command):
    return subprocess.run([str(word) for word in command], capture_output=True, text=True)


def msgfmt(path, out="/dev/null"):
    return run("msgfmt", "--check", "-o", out, path)


def flagged(path, tests=TESTS):
    """How many entries pofilter finds fault with."""
    options = [word for test in tests for word in ("-t", test)]
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "found.po"
        ran = run(POFILTER, "--progress=none", *options, path, out)
        assert ran.returncode == 0, ran.stderr
        text = out.read_text(encoding="utf-8") if out.exists() else ""
    return len(re.findall(r"^msgid ", text, re.M)) - text.count('msgid ""\nmsgstr ""\n"')


def catalogue(path, folder):
    """The texts of a file as Python's gettext has them."""
    compiled = Path(folder) / "words.mo"
    ran = msgfmt(path, compiled)
    assert ran.returncode == 0, f"{path}: {ran.stderr}"
    with compiled.open("rb") as file:
        return gettext.GNUTranslations(file)


def texts(value):
    """Every string of some JSON."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for one in value.values():
            yield from texts(one)
    elif isinstance(value, list):
        for one in value:
            yield from texts(one)


def ours():
    files = sorted(Path("site/labels").glob("*.po")) + sorted(Path("procedures").glob("*.po"))
    assert len(files) > 1, "no files"
    for path in files:
        ran = msgfmt(path)
        assert ran.returncode == 0, f"{path}: {ran.stderr}"
        assert flagged(path) == 0, f"{path}: pofilter finds fault"
    print(f"{len(files)} files pass msgfmt and pofilter")


def written():
    count = 0
    with tempfile.TemporaryDirectory() as folder:
        for procedure in sorted(Path("procedures").glob("*.fitw")):
            out = Path(folder) / f"{procedure.stem}.po"
            ran = run(FITWRIGHT, "words", procedure, "--to", "de", "--out", out)
            if "is a library" in ran.stderr:
                continue
            assert ran.returncode == 0, ran.stderr
            ran = msgfmt(out)
            assert ran.returncode == 0, f"{procedure}: {ran.stderr}"
            count += 1
    assert count > 3, count
    print(f"what is written of {count} procedures passes msgfmt")


def built():
    with tempfile.TemporaryDirectory() as folder:
        path = Path("procedures/kestrel-rack.de.po")
        known = catalogue(path, folder)
        ran = run(FITWRIGHT, "build", "--language", "de", "--out", folder, "procedures/kestrel-rack.fitw")
        assert ran.returncode == 0, ran.stderr
        checklist = json.loads((Path(folder) / "kestrel-rack.de" / "checklist.json").read_text(encoding="utf-8"))
        said = set(texts(checklist))
        # Python keeps the context of a text before it, parted by U+0004.
        wanted = [
            (key, text)
            for key, text in known._catalog.items()
            if isinstance(key, str) and "\x04" in key and "{" not in text
            and re.match(r"(step\..*\.(do|avoid|hazard|consequence|title)|option\.|joint\..*\.title|state\.)", key)
        ]
        assert len(wanted) > 150, len(wanted)
        missing = [key for key, text in wanted if not any(text == one or text in one for one in said)]
        assert not missing, missing[:5]
        print(f"{len(wanted)} texts stand in the checklist as gettext reads them")


def damaged():
    """Each damage is refused by the build, and all but one by one of the two."""
    text = Path("procedures/kestrel-rack.de.po").read_text(encoding="utf-8")

    def swapped(before, after):
        assert text.count(before) >= 1, before
        return text.replace(before, after, 1)

    pad = 'msgstr "Je ein {thick_pad} in jede Wange'
    cases = {
        "lost": (swapped(pad, 'msgstr "Je eines in jede Wange'), "msgfmt"),
        "another": (swapped(pad, 'msgstr "Je ein {thin_pad} in jede Wange'), "msgfmt"),
        "a number as text": (swapped("Dachreling ab Werk und {q1}-Batterie", "Dachreling ab Werk und 12-V-Batterie"), "pofilter"),
        "markup": (swapped('msgstr "Das Fahrzeug auf ebenem', 'msgstr "Das <b>Fahrzeug</b> auf ebenem'), "pofilter"),
        # Neither minds a number that the text has not.
        "a digit": (swapped('msgstr "Das Fahrzeug auf ebenem', 'msgstr "Das Fahrzeug 2 m auf ebenem'), None),
        "twice": (text + '\nmsgctxt "step.park.title"\nmsgid "Park the van"\nmsgstr "x"\n', "msgfmt"),
        "open quotes": (swapped('msgstr "Fahrzeug abstellen"', 'msgstr "Fahrzeug abstellen'), "msgfmt"),
        "no translation": (swapped('msgid "Park the van"\nmsgstr', 'msgid "Park the van"\nmsgtxt'), "msgfmt"),
    }
    with tempfile.TemporaryDirectory() as folder:
        for name, (broken, who) in cases.items():
            assert broken != text, name
            path = Path(folder) / "broken.po"
            path.write_text(broken, encoding="utf-8")
            if who == "msgfmt":
                assert msgfmt(path).returncode != 0, f"msgfmt takes {name}"
            elif who == "pofilter":
                assert flagged(path) > 0, f"pofilter takes {name}"
            out = Path(folder) / "out"
            ran = run(FITWRIGHT, "build", "--language", "de", "--words", path, "--out", out, "procedures/kestrel-rack.fitw")
            assert ran.returncode == 1 and "broken.po:" in ran.stderr, f"the build takes {name}: {ran.stderr}"
            assert not out.exists() or not list(out.glob("kestrel*")), name
    print(f"{len(cases)} damaged files are refused")


ours()
written()
built()
damaged()
