"""The XLIFF files that `fitwright words` writes: what Python's own XML reader and the translate toolkit read in them is what
stands in the PO file; a build from one is that from the other, byte for byte; damaged ones are refused.

Source of the form: XLIFF Version 2.1, OASIS Standard, 13 February 2018, sections 4.2 and 4.3 (elements, attributes, which ids
differ from which)."""

import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ET

from translate.storage import pypo, xliff2

program = os.path.abspath(os.environ["FITWRIGHT"])
faults = []
NS = "{urn:oasis:names:tc:xliff:document:2.0}"


def fault(text):
    faults.append(text)
    print(text)


def run(*arguments, folder):
    return subprocess.run([program, *arguments], cwd=folder, capture_output=True, text=True)


def flat(element):
    """A text with its elements as braces again."""
    text = (element.text or "").replace("{", "{{").replace("}", "}}")
    for child in element:
        if child.tag != f"{NS}ph":
            fault(f"{child.tag} stands in a text")
        if (child.get("canCopy"), child.get("canDelete")) != ("no", "no"):
            fault(f"{child.get('id')} may be copied or deleted")
        text += child.get("equiv") + (child.tail or "").replace("{", "{{").replace("}", "}}")
    return text


with tempfile.TemporaryDirectory() as folder:
    folder = pathlib.Path(folder)
    for name in ["kestrel-rack.fitw", "kestrel-rack.de.po"]:
        shutil.copy(pathlib.Path("procedures") / name, folder)
    shutil.copytree("procedures/figures", folder / "figures")
    ran = run("words", "kestrel-rack.fitw", "--to", "de", "--format", "xliff", folder=folder)
    if ran.returncode != 0 or "kestrel-rack.de.xlf" not in ran.stdout:
        fault(f"words: {ran.stdout}{ran.stderr}")
    path = folder / "kestrel-rack.de.xlf"
    root = ET.parse(path).getroot()
    if (root.tag, root.get("version"), root.get("srcLang"), root.get("trgLang")) != (f"{NS}xliff", "2.1", "en", "de"):
        fault(f"the root is {root.tag} {root.attrib}")
    entries = {unit.getcontext(): unit for unit in pypo.pofile(open(folder / "kestrel-rack.de.po", "rb")).units if not unit.isheader()}
    units = root.findall(f".//{NS}unit")
    ids = [unit.get("id") for unit in units]
    if len(set(ids)) != len(ids) or any(not re.fullmatch(r"[\w.:-]+", one) for one in ids):
        fault("ids of units are not names that differ")
    for unit in units:
        entry = entries.pop(unit.get("name"), None)
        if entry is None:
            fault(f"{unit.get('name')} is no text of the PO file")
            continue
        segment = unit.find(f"{NS}segment")
        source, target = segment.find(f"{NS}source"), segment.find(f"{NS}target")
        held = [place.get("id") for place in source.iter(f"{NS}ph")]
        if len(set(held)) != len(held):
            fault(f"{unit.get('name')}: two places have one id")
        if (flat(source), flat(target)) != (entry.source, entry.target):
            fault(f"{unit.get('name')}: {flat(source)!r} {flat(target)!r}")
        if segment.get("state") != "translated":
            fault(f"{unit.get('name')} is {segment.get('state')}")
    if entries:
        fault(f"missing: {sorted(entries)[:3]}")
    store = xliff2.Xliff2File.parsefile(str(path))
    if len(store.units) != len(units):
        fault(f"the translate toolkit reads {type(store).__name__} with {len(store.units)} texts, not {len(units)}")
    print(f"{len(units)} texts stand in XLIFF as they do in PO")

    built = []
    for words in ["kestrel-rack.de.po", "kestrel-rack.de.xlf"]:
        ran = run("build", "--language", "de", "--words", words, "--out", f"out-{words[-3:]}", "kestrel-rack.fitw", folder=folder)
        if ran.returncode != 0:
            fault(f"build by {words}: {ran.stdout}{ran.stderr}")
        out = folder / f"out-{words[-3:]}" / "kestrel-rack.de"
        built.append({file.name: file.read_bytes() for file in out.iterdir() if file.name != "build.json"})
    if built[0] != built[1] or "manual.html" not in built[0]:
        fault("the outputs by XLIFF differ from those by PO")

    # And back: what a translator worked on in XLIFF goes over into PO.
    (folder / "kestrel-rack.de.po").rename(folder / "before.po")
    ran = run("words", "kestrel-rack.fitw", "--to", "de", folder=folder)
    if (folder / "kestrel-rack.de.po").read_bytes() != (folder / "before.po").read_bytes():
        fault("PO made of the XLIFF made of PO is another file")

    whole = path.read_text(encoding="utf-8")
    place = re.search(r"(<target[^>]*>[^<]*)(<ph [^>]*/>)", whole)
    damaged = {
        "a place is lost": whole.replace(place.group(0), place.group(1), 1),
        "a place is doubled": whole.replace(place.group(0), place.group(0) + place.group(2), 1),
        "a digit": whole.replace(place.group(1), place.group(1) + "25 ", 1),
        "a tag": whole.replace(place.group(1), place.group(1) + "<b>x</b>", 1),
        "cut off": whole[: len(whole) // 2],
        "an entity": whole.replace("<xliff", '<!DOCTYPE x [<!ENTITY e "1">]>\n<xliff', 1),
        "another version": whole.replace('version="2.1"', 'version="1.2"', 1),
        "no name": re.sub(r' name="[^"]*"', "", whole, count=1),
        "twice": whole.replace("</file>", re.search(r"    <unit.*?</unit>\n", whole, re.S).group(0) + "  </file>", 1),
    }
    for name, text in damaged.items():
        (folder / "damaged.xlf").write_text(text, encoding="utf-8")
        ran = run("build", "--language", "de", "--words", "damaged.xlf", "--out", "out-damaged", "kestrel-rack.fitw", folder=folder)
        said = ran.stdout + ran.stderr
        if ran.returncode != 1 or not re.search(r"damaged\.xlf:\d+: ", said) or (folder / "out-damaged" / "kestrel-rack.de").exists():
            fault(f"{name}: exit code {ran.returncode}, {said.strip()[:200]}")
    print(f"{len(damaged)} damaged files are refused with their line")

print(f"{len(faults)} faults")
sys.exit(bool(faults))
