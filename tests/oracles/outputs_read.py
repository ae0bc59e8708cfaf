"""The data files as other programs read them.

* checklist.json fits the published schema by `jsonschema` (Draft 2020-12, formats checked), the second validator beside
  ajv; names that it refers to are declared in it. So does the worked example of the specification, and its record the other schema.
* pick-list.csv and packing-list.csv are read by Python's csv module (RFC 4180): every row has every column, `count` is a
  whole number, and no cell begins as a formula (OWASP ASVS 5.0, 1.2.10).
* What is packed is what the checklist's kit holds in bags and boxes; a tailored folder asks for nothing that is settled.
* build.json tells the right SHA-256 (hashlib) of every output.
"""

import collections
import csv
import hashlib
import importlib.util
import json
import pathlib
import re

from jsonschema import Draft202012Validator, FormatChecker

here = pathlib.Path(__file__).parent
spec = importlib.util.spec_from_file_location("_samples", here / "_samples.py")
samples = importlib.util.module_from_spec(spec)
spec.loader.exec_module(samples)

schema = json.loads(pathlib.Path("site/schema/checklist-1.schema.json").read_text("utf-8"))
Draft202012Validator.check_schema(schema)
validator = Draft202012Validator(schema, format_checker=FormatChecker())
faults = []
tailored = 0


def steps(value):
    """The ids of all steps."""
    if isinstance(value, dict):
        if "content_digest" in value:
            yield value["id"]
        for inner in value.values():
            yield from steps(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from steps(inner)


def names(checklist):
    """What a checklist declares, by the field that refers to it."""
    ids = lambda key: {row["id"] for row in checklist[key]}
    inputs = ids("inputs")
    return {
        "part": ids("parts"), "joint": ids("joints"), "circuit": ids("circuits"), "action": ids("actions"),
        "hazard": ids("hazards"), "state": ids("states"), "input": inputs, "result": inputs, "fact": ids("facts"),
        "protection": ids("protection"), "group": {row["id"] for row in checklist["kit"]}, "step": set(steps(checklist["flow"])),
        "tool": ids("tools"), "unit": {row["code"] for row in checklist["units"]},
        "asset": {row["path"] for row in checklist["assets"]},
    }


def look(folder, declared, value):
    if isinstance(value, dict):
        for key, inner in value.items():
            if isinstance(inner, str) and key in declared and inner not in declared[key]:
                faults.append(f"{folder}: {key} `{inner}` is not declared")
            lists = {"kit": declared["group"], "steps": declared["step"]} if key != "kit" or "part" in value else {}
            if key in lists and isinstance(inner, list):
                faults.extend(f"{folder}: {key} `{one}` is not declared" for one in inner if one not in lists[key])
            if key == "any_of":
                faults.extend(f"{folder}: tool `{t}` is not declared" for t in inner if t not in declared["tool"])
            look(folder, declared, inner)
    elif isinstance(value, list):
        for inner in value:
            look(folder, declared, inner)


for folder in samples.folders():
    checklist = json.loads((folder / "checklist.json").read_text("utf-8"))
    faults.extend(f"{folder}: {error.json_path} {error.message}" for error in validator.iter_errors(checklist))
    look(folder, names(checklist), checklist)

    for name in ["pick-list.csv", "packing-list.csv"]:
        with open(folder / name, encoding="utf-8-sig", newline="") as file:
            head, *rows = list(csv.reader(file, strict=True))
        if not rows and name == "pick-list.csv":
            faults.append(f"{folder}: an empty pick-list")
        for row in rows:
            if len(row) != len(head):
                faults.append(f"{folder}: {row} has {len(row)} cells, not {len(head)}")
            if not re.fullmatch(r"[0-9]*", row[head.index("count")]):
                faults.append(f"{folder}: {row} has a count that is no number")
            for column in (at for at, title in enumerate(head) if title.endswith("_kg")):
                if not re.fullmatch(r"([0-9]+(\.[0-9]{1,3})?)?", row[column]):
                    faults.append(f"{folder}: {row} has a mass that is no number")
            if row[head.index("digest")] != checklist["source_digest"] or row[head.index("procedure")] != checklist["procedure"]["id"]:
                faults.append(f"{folder}: {row} does not say what it belongs to")
            faults.extend(f"{folder}: {cell!r} is a formula" for cell in row if re.match(r"\s*[\"']*[=+\-@|\uff1d\uff0b\uff0d\uff20]", cell.removeprefix("'")) and not cell.startswith("'"))

    # Names of one article stand in one row, ` + ` between them.
    first, packed = {}, collections.Counter()
    for row in rows:
        together = row[head.index("name")].split(" + ")
        one = next((first[name] for name in together if name in first), together[0])
        first.update((name, one) for name in together)
        # Of a range, such as `2 to 4`, the least is what the bag surely holds.
        least = row[head.index("amount")].partition(" to ")
        packed[one] += int(row[head.index("count")] or (least[0] if least[1] else 0))
    kit = collections.Counter()
    for group in checklist["kit"]:
        for entry in group["entries"] if group["kind"] != "shop" else []:
            # Parts that stand for one another are one row, told as people say it.
            name = " or ".join([entry["part"], *entry.get("or", [])])
            kit[first.get(name, name)] += entry.get("count", 0)
    if packed != kit:
        faults.append(f"{folder}: packed {packed}, and the kit holds {kit}")
    settled = {one["id"] for one in checklist.get("effectivity", [])}
    faults.extend(f"{folder}: {row['id']} is settled, and asked for" for row in checklist["inputs"] if row["id"] in settled)

    build = json.loads((folder / "build.json").read_text("utf-8"))
    if build["effectivity"] != checklist.get("effectivity", []):
        faults.append(f"{folder}: the build record and the checklist are for different fittings")
    tailored += bool(settled)
    for entry in build["outputs"]:
        digest = hashlib.sha256((folder / entry["name"]).read_bytes()).hexdigest()
        if digest != entry["sha256"]:
            faults.append(f"{folder}: the digest of {entry['name']} is wrong")

page = pathlib.Path("site/checklist-format.md").read_text("utf-8")
example = json.loads(re.search(r"\n```json\n(.*?)```", page, re.S)[1])
faults.extend(f"the worked example: {error.json_path} {error.message}" for error in validator.iter_errors(example))
look("the worked example", names(example), example)
events = Draft202012Validator(json.loads(pathlib.Path("site/schema/record-1.schema.json").read_text("utf-8")), format_checker=FormatChecker())
for event in re.search(r"\n```jsonl\n(.*?)```", page, re.S)[1].splitlines():
    faults.extend(f"the worked example's record: {error.json_path} {error.message}" for error in events.iter_errors(json.loads(event)))

spoilt = json.loads((folder / "checklist.json").read_text("utf-8"))
spoilt["units"][0]["factor"] = 0.001
if not list(validator.iter_errors(spoilt)):
    faults.append("a spoilt checklist was accepted")

if tailored < 4:
    faults.append(f"only {tailored} tailored folders")

print("\n".join(faults))
print(f"{len(faults)} faults")
raise SystemExit(bool(faults))
