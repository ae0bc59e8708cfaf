"""Archives of a record and its photographs, made by Python's own zipfile, judged by `fitwright record`: what our page saves is
taken and its pictures are compared; whatever a stranger packs otherwise is refused as a whole, with a word, and writes nothing.
"""

import io
import json
import os
import pathlib
import struct
import subprocess
import sys
import tempfile
import warnings
import zipfile

warnings.simplefilter("ignore")
PROGRAM = os.environ["FITWRIGHT"]
TOP = pathlib.Path("tests/conformance/10-same")
CHECKLIST = TOP / "checklist.json"
RECORD = (TOP / "record.jsonl").read_bytes()
PICTURE = (TOP / "photos/rail.png").read_bytes()
faults = []


def packed(*entries, how=zipfile.ZIP_STORED):
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", how) as archive:
        for name, data in entries:
            archive.writestr(name, data)
    return made.getvalue()


def judged(data, folder):
    path = folder / "job.zip"
    path.write_bytes(data)
    before = sorted(folder.rglob("*"))
    run = subprocess.run([PROGRAM, "record", CHECKLIST, path], capture_output=True, text=True, timeout=60, cwd=os.getcwd())
    if sorted(folder.rglob("*")) != before:
        faults.append("the program wrote a file")
    return run.returncode, run.stdout + run.stderr


def at(data, signature, offset, form, value, which=0):
    """The archive with a number changed, in the first or a later entry of its directory."""
    place = -1
    for _ in range(which + 1):
        place = data.index(signature, place + 1)
    changed = bytearray(data)
    struct.pack_into(form, changed, place + offset, value)
    return bytes(changed)


CENTRAL, LOCAL, END = b"PK\x01\x02", b"PK\x03\x04", b"PK\x05\x06"
whole = packed(("record.jsonl", RECORD), ("photos/rail.png", PICTURE))
photo = ("photos/rail.png", PICTURE)
# A central entry: 8 flags, 10 method, 16 check sum, 20 size in the archive, 24 size unpacked, 42 where its data is.
CASES = {
    "as it is saved": (whole, 0, "complete: handed over"),
    "with a directory": (packed(("photos/", b""), ("record.jsonl", RECORD), photo), 0, "complete: handed over"),
    "with a picture that no event names": (packed(("record.jsonl", RECORD), photo, ("photos/more.png", b"x")), 0, "complete"),
    "without its picture": (packed(("record.jsonl", RECORD)), 1, "is not among the photographs"),
    "with another picture": (packed(("record.jsonl", RECORD), ("photos/rail.png", PICTURE + b"!")), 1, "is not the one that was recorded"),
    "with a changed record": (packed(("record.jsonl", RECORD.replace(b"Van 12", b"Van 13")), photo), 1, "changed after it was written"),
    "without a record": (packed(photo), 2, "holds no `record.jsonl`"),
    "empty": (packed(), 2, "holds no `record.jsonl`"),
    "two records": (packed(("record.jsonl", RECORD), ("record.jsonl", RECORD)), 2, "`record.jsonl` twice"),
    "two pictures of one name": (packed(("record.jsonl", RECORD), photo, photo), 2, "`photos/rail.png` twice"),
    "a path upwards": (packed(("record.jsonl", RECORD), ("photos/../../rail.png", PICTURE)), 2, "may hold only"),
    "a path from the root": (packed(("/record.jsonl", RECORD)), 2, "may hold only"),
    "a path of another system": (packed(("record.jsonl", RECORD), ("photos/..\\rail.png", PICTURE)), 2, "may hold only"),
    "a hidden picture": (packed(("record.jsonl", RECORD), ("photos/.rail.png", PICTURE)), 2, "may hold only"),
    "a program": (packed(("record.jsonl", RECORD), ("run.exe", b"MZ")), 2, "may hold only"),
    "a name that turns the text": (packed(("record.jsonl", RECORD), ("photos/\u202egnp.exe", b"MZ")), 2, "may hold only"),
    "compressed": (packed(("record.jsonl", RECORD), photo, how=zipfile.ZIP_DEFLATED), 2, "is compressed"),
    "a bomb": (packed(("record.jsonl", b"\0" * (80 << 20)), how=zipfile.ZIP_DEFLATED), 2, "is compressed"),
    "encrypted": (at(whole, CENTRAL, 8, "<H", 1), 2, "is encrypted"),
    "a method that nobody knows": (at(whole, CENTRAL, 10, "<H", 77), 2, "is compressed"),
    "a huge size": (at(at(whole, CENTRAL, 20, "<I", 0xfffffff0), CENTRAL, 24, "<I", 0xfffffff0), 2, "damaged or cut off"),
    "a huge picture": (at(at(whole, CENTRAL, 20, "<I", 0x7ffffff0, 1), CENTRAL, 24, "<I", 0x7ffffff0, 1), 2, "is larger than 64 MiB"),
    "two sizes": (at(whole, CENTRAL, 24, "<I", 7), 2, "has another size"),
    "another check sum": (at(whole, CENTRAL, 16, "<I", 7), 2, "`record.jsonl` is damaged"),
    "data outside": (at(whole, CENTRAL, 42, "<I", 0x7fffffff), 2, "damaged or cut off"),
    "another name inside": (whole.replace(b"photos/rail.png", b"photos/bail.png", 1), 2, "another name inside"),
    "more entries than there are": (at(at(whole, END, 8, "<H", 9), END, 10, "<H", 9), 2, "damaged or cut off"),
    "no directory": (whole[: whole.index(CENTRAL)], 2, "damaged or cut off"),
    "cut off": (whole[:-25], 2, "damaged or cut off"),
    "its first bytes": (whole[:4], 2, "damaged or cut off"),
    "too many entries": (packed(("record.jsonl", RECORD), *((f"photos/{n}.png", b"") for n in range(2001))), 2, "more than 2,000 entries"),
}

# Many entries that share the bytes of one: a small file that pretends to be a large one.
many = packed(("record.jsonl", RECORD), ("photos/a.png", b"x" * 5000))
begin, end = many.index(CENTRAL, many.index(CENTRAL) + 1), many.index(END)
extra = b"".join(many[begin:end].replace(b"photos/a.png", b"photos/%s.png" % bytes([letter])) for letter in b"bcdefghij")
over = many[:end] + extra + many[end:]
over = at(at(at(over, END, 8, "<H", 11), END, 10, "<H", 11), END, 12, "<I", end - many.index(CENTRAL) + len(extra))
CASES["entries over each other"] = (over, 2, "")

with tempfile.TemporaryDirectory() as folder:
    folder = pathlib.Path(folder)
    for name, (data, code, words) in CASES.items():
        got, said = judged(data, folder)
        if got != code or words not in said or "panicked" in said:
            faults.append(f"{name}: {got}, and {code} was wanted with {words!r}: {said[:300]}")
    # Whatever byte is another one, the program ends with a word: never as it was, unless nothing depends on the byte.
    for place in range(0, len(whole), 7):
        changed = bytearray(whole)
        changed[place] ^= 0x55
        got, said = judged(bytes(changed), folder)
        if got not in (0, 1, 2) or "panicked" in said:
            faults.append(f"byte {place} changed: {got}: {said[:300]}")
        if got == 0 and "complete" in said:
            inner = json.loads(RECORD.splitlines()[-1])["digest"]
            if inner not in said.replace(" ", ""):
                faults.append(f"byte {place} changed: another head passes")

for fault in faults:
    print(fault)
print(f"archives: {len(CASES)} made, {len(range(0, len(whole), 7))} with a byte changed, {len(faults)} faults")
sys.exit(1 if faults else 0)
