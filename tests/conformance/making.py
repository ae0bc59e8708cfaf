"""What the vectors are made of: parts of checklists, events, seals, states. `write.py` puts them together."""

import copy
import hashlib
import json
import pathlib

import rfc8785

HERE = pathlib.Path(__file__).parent
files = {}


def sha(data):
    return hashlib.sha256(data).hexdigest()


def canonical(value):
    return rfc8785.dumps(value)


# --- checklists -----------------------------------------------------------------------------------------------------

UNITS = [
    ("mm", "mm", "length", "m", "0.001", "0"),
    ("[in_i]", "in", "length", "m", "0.0254", "0"),
    ("kg", "kg", "mass", "kg", "1", "0"),
    ("[lb_av]", "lb", "mass", "kg", "0.45359237", "0"),
    ("N.m", "N·m", "torque", "N.m", "1", "0"),
    ("[lbf_av].[ft_i]", "lbf·ft", "torque", "N.m", "1.3558179483314004", "0"),
    ("V", "V", "voltage", "V", "1", "0"),
    ("Cel", "°C", "temperature", "K", "1", "273.15"),
    ("[degF]", "°F", "temperature", "K", "5/9", "45967/180"),
]


def units():
    names = ["code", "symbol", "quantity", "base", "factor", "offset"]
    return [dict(zip(names, row)) for row in UNITS]


def amount(value, unit):
    return {"value": value, "unit": unit}


def bound(value, unit, included=True):
    return {"value": value, "unit": unit, "included": included}


def choice(kind, id, *values, title=None):
    return {"kind": kind, "id": id, "title": title or id, "values": [{"id": v, "label": v} for v in values]}


def number(kind, id, quantity, low, high, unit, reads=None, title=None):
    made = {"kind": kind, "id": id, "title": title or id, "quantity": quantity, "low": amount(low, unit),
            "high": amount(high, unit), "shown": f"{low} to {high} {unit}"}
    if reads:
        made["reads"] = amount(reads, unit)
    return made


def joint(id, count, low, high, unit="N.m", title=None):
    torque = {"form": "range", "low": bound(low, unit), "high": bound(high, unit), "shown": f"{low} to {high} {unit}"}
    return {"id": id, "title": title or id, "each": [], "count": count, "torque": torque, "on_vehicle": False}


def prose(text):
    return {"text": text, "markdown": text, "mentions": []}


def line(id, kind, **rest):
    return {"id": id, "does": {"kind": kind, **rest}}


def message(id, signal="warning"):
    return line(id, "message", signal=signal, hazard="pinch", nature="It closes.", consequence="It can crush a finger.",
                avoid="Keep away.")


def content(id, mark=""):
    """A content digest: any 64 hex digits do."""
    return sha(f"{id} {mark}".encode())


def bare_step(id, number, lines, when=None, people=None, mark="", title=None, not_of=None):
    made = {"id": id, "number": number, "title": title or id, "content_digest": content(id, mark), "lines": lines}
    if when:
        made["when"] = when
    if people:
        stated = {"form": "exact", "value": amount("1", "min"), "low": bound("1", "min"), "high": bound("1", "min"),
                  "shown": "1 min"}
        made["takes"] = {"time": stated, "people": people}
    if not_of:
        made["another_person"] = {"not_of": list(not_of), "words": "Another person"}
    return made


def step(id, number="1.1", *lines, **rest):
    return {"kind": "step", **bare_step(id, number, list(lines), **rest)}


def check(id, number, lines, expects, otherwise, repair=None, **rest):
    made = {"kind": "check", "step": bare_step(id, number, lines, **rest), "expects": expects, "otherwise": otherwise}
    if repair:
        made["repair"] = {"times": repair[0], "body": repair[1]}
    return made


def stop(id, text="Stop."):
    return {"kind": "stop", "id": id, "text": text, "leave_as": []}


def go_on(text):
    return {"kind": "go-on", "text": text}


def handover(id, *who):
    return {"kind": "handover", "id": id, "leave_as": [], "lines": [{"kind": "sign", "who": list(who)}] if who else []}


def section(id, number, *body, when=None):
    made = {"id": id, "number": number, "title": id, "body": list(body)}
    if when:
        made["when"] = when
    return made


def is_(input, value):
    return {"op": "is", "input": input, "value": value}


def in_(input, low=None, high=None):
    made = {"op": "in", "input": input}
    if low:
        made["low"] = low
    if high:
        made["high"] = high
    return made


def checklist(*flow, inputs=(), rules=(), limits=(), joints=(), revision="A", version="1.0.0", features=()):
    return {
        "format": {"name": "fitwright-checklist", "version": version}, "features_required": list(features),
        "compiler": {"name": "by hand", "version": "1"}, "source_digest": "0" * 64,
        "procedure": {"id": "sample", "title": "Sample", "revision": {"mark": revision, "date": "2026-11-25"}, "text": [],
                      "fits": [], "skill": [], "licence": []},
        "units": units() + [{"code": "min", "symbol": "min", "quantity": "time", "base": "s", "factor": "60", "offset": "0"}],
        "inputs": list(inputs), "facts": [], "rules": list(rules), "limits": list(limits), "parts": [], "kit": [],
        "vehicle": [], "tools": [], "lay_out": [], "protection": [],
        "hazards": [{"id": "pinch", "title": "Pinch point", "signal": "caution", "from": []}], "actions": [],
        "joints": list(joints), "circuits": [], "states": [], "assets": [], "flow": list(flow),
    }


# --- events ---------------------------------------------------------------------------------------------------------

def name(made, revision=None):
    return {"id": "sample", "revision": revision or made["procedure"]["revision"]["mark"], "digest": sha(canonical(made))}


def open_(made, **rest):
    return {"type": "open", "format": {"name": "fitwright-record", "version": "1.0.0"}, "checklist": name(made),
            "job": "Van 12", **rest}


def answer(input, value, unit=None):
    return {"type": "answer", "input": input, **value_of(value, unit)}


def value_of(value, unit):
    return {"amount": amount(value, unit)} if unit else {"choice": value}


def begin(id, occasion=1, mark=""):
    return {"type": "begin", "step": id, "occasion": occasion, "content": content(id, mark)}


def done(id, *others):
    return {"type": "done", "step": id, **({"with": list(others)} if others else {})}


def acknowledge(line):
    return {"type": "acknowledge", "line": line}


def reading(line, input, value, unit=None, **rest):
    return {"type": "reading", "line": line, "input": input, **value_of(value, unit), **rest}


def torque(line, fastening, value, unit="N.m", **rest):
    return {"type": "torque", "line": line, "fastening": fastening, "amount": amount(value, unit), **rest}


def text(line, text):
    return {"type": "text", "line": line, "text": text}


def photo(line, file, data, **rest):
    return {"type": "photo", "line": line, "file": file, "media_type": "image/png", "bytes": len(data), "sha256": sha(data), **rest}


def leave_out(line, reason):
    return {"type": "leave-out", "line": line, "reason": reason}


def sign(handover, role, who="A. Fitter", **rest):
    return {"type": "sign", "handover": handover, "role": role, "name": who, **rest}


def close(outcome="handed-over", **rest):
    return {"type": "close", "outcome": outcome, **rest}


def correct(event, value, unit=None, reason="Typing mistake"):
    return {"type": "correct", "event": event, **value_of(value, unit), "reason": reason}


def withdraw(event, reason="Pressed by mistake"):
    return {"type": "withdraw", "event": event, "reason": reason}


def seal(events):
    """Adds what is only arithmetic; gives the lines."""
    prev, lines = "0" * 64, []
    for seq, event in enumerate(events, 1):
        event = {"at": f"2026-11-25T{8 + seq // 3600:02}:{seq // 60 % 60:02}:{seq % 60:02}+01:00", "by": "A. Fitter", **event,
                 "seq": seq, "prev": prev}
        prev = sha(canonical(event))
        lines.append(canonical({**event, "digest": prev}) + b"\n")
    return lines


# --- vectors --------------------------------------------------------------------------------------------------------

def one_line(value):
    return canonical(value) + b"\n"


def vector(folder, about, made, events, expected, damage=None, photos=None, judged=None):
    """`damage` changes the sealed lines; `judged` is the number of the last judged line, whose digest is the head."""
    lines = seal(events)
    if damage:
        lines = damage(list(lines))
    expected = copy.deepcopy(expected)
    judged = len(lines) if judged is None else judged
    expected["head"] = json.loads(lines[judged - 1])["digest"] if judged else None
    put(folder, "README", about.encode() + b"\n")
    put(folder, "checklist.json", made if isinstance(made, bytes) else one_line(made))
    put(folder, "record.jsonl", b"".join(lines))
    put(folder, "expected.json", one_line(expected))
    for file, data in (photos or {}).items():
        put(folder, f"photos/{file}", data)


def put_conditions(folder, about, made, cases):
    put(folder, "README", about.encode() + b"\n")
    put(folder, "checklist.json", one_line(made))
    names = ["about", "known", "condition", "result"]
    put(folder, "conditions.json", one_line([dict(zip(names, case)) for case in cases]))


def put(folder, file, data):
    files[f"{folder}/{file}"] = data


def state(outcome="handed-over", findings=(), notes=(), path=(), known=None, now=None, set_aside=()):
    """`findings` and `notes` as (word, line); `path` as (step, occasion) or (step, occasion, False)."""
    findings = [{"verdict": verdict, "line": at} for verdict, at in findings]
    return {
        "outcome": outcome,
        "verdicts": sorted({one["verdict"] for one in findings}) or ["complete"],
        "findings": findings,
        "notes": [{"note": note, "line": at} for note, at in notes],
        "path": [{"step": one[0], "occasion": one[1], "done": one[2] if len(one) > 2 else True} for one in path],
        "known": known or {},
        "now": now or {"waits": "nothing"},
        "set_aside": list(set_aside),
    }


def nothing(*findings):
    """The state of a record of which nothing could be judged."""
    return state("open", findings=findings)
