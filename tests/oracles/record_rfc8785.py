"""The conformance vectors are what `tests/conformance/write.py` writes, whose canonical form and digests are made by the
Python package `rfc8785`; and `fitwright record` follows the chain that it made, over a build of each demo procedure."""

import json
import os
import pathlib
import subprocess
import sys
import tempfile

top = pathlib.Path("tests/conformance")
run = subprocess.run([sys.executable, "write.py", "--check"], cwd=top, capture_output=True, text=True)
print(run.stdout, run.stderr)
faults = int(run.returncode != 0)

sys.path.insert(0, str(top))
import making  # noqa: E402

for folder in sorted(pathlib.Path(os.environ["FITWRIGHT_OUT"]).iterdir()):
    path = folder / "checklist.json"
    if not path.exists():
        continue
    checklist = json.loads(path.read_text("utf-8"))
    procedure = checklist["procedure"]
    named = {"id": procedure["id"], "revision": procedure["revision"]["mark"], "digest": making.sha(making.canonical(checklist))}
    events = [{**making.open_(checklist), "checklist": named}, making.close("broken-off", reason="Only opened")]
    with tempfile.TemporaryDirectory() as place:
        record = pathlib.Path(place) / "record.jsonl"
        record.write_bytes(b"".join(making.seal(events)))
        judged = subprocess.run([os.environ["FITWRIGHT"], "record", "--format", "json", path, record], capture_output=True, text=True)
    codes = [json.loads(line)["code"] for line in judged.stdout.splitlines()]
    if judged.returncode != 1 or codes != ["FW1410"]:
        print(folder, judged.returncode, codes, judged.stderr)
        faults += 1

print(f"{faults} faults")
raise SystemExit(bool(faults))
