"""An app by a stranger: written from site/checklist-format.md and nothing else.

It reads the checklist of each demo, whole and tailored, and of each procedure of tests/emit; shows every step as plain text;
walks whole jobs with made-up readings; and writes their records. It shares no line with the compiler: the canonical form is
that of the package `rfc8785`, digests are hashlib's, numbers are Python's fractions. `fitwright record` must call every record
complete, and every ending that such jobs can have must have been met.
"""

import collections
import datetime
import fractions
import hashlib
import importlib.util
import json
import os
import pathlib
import random
import subprocess
import tempfile

import rfc8785

here = pathlib.Path(__file__).parent
spec = importlib.util.spec_from_file_location("_samples", here / "_samples.py")
samples = importlib.util.module_from_spec(spec)
spec.loader.exec_module(samples)

JOBS = 8
PICTURE = b"\x89PNG\r\n\x1a\nno picture, and it need not be one"
UNDECIDED = None


def sha(data):
    return hashlib.sha256(data).hexdigest()


def by_id(rows):
    return {row["id"]: row for row in rows}


# --- section 1: numbers and conditions ------------------------------------------------------------------------------

class Terms:
    def __init__(self, checklist):
        self.units = {row["code"]: row for row in checklist["units"]}

    def base(self, amount):
        unit = self.units[amount["unit"]]
        return fractions.Fraction(amount["value"]) * fractions.Fraction(unit["factor"]) + fractions.Fraction(unit["offset"])

    def amount(self, base, code):
        """An amount in a unit, its value as text: a decimal where its decimals end."""
        unit = self.units[code]
        value = (base - fractions.Fraction(unit["offset"])) / fractions.Fraction(unit["factor"])
        return {"value": as_text(value), "unit": code}

    def inside(self, value, low, high):
        if low is not None and (value < self.base(low) or (value == self.base(low) and not low["included"])):
            return False
        return high is None or value < self.base(high) or (value == self.base(high) and high["included"])

    def holds(self, condition, known):
        op = condition["op"]
        if op == "is":
            answer = known.get(condition["input"])
            return UNDECIDED if answer is None else answer == condition["value"]
        if op == "in":
            answer = known.get(condition["input"])
            return UNDECIDED if answer is None else self.inside(answer, condition.get("low"), condition.get("high"))
        if op in ("all", "any"):
            for part in condition["of"]:
                result = self.holds(part, known)
                if result is UNDECIDED or result == (op == "any"):
                    return result
            return op == "all"
        if op == "not":
            result = self.holds(condition["of"], known)
            return UNDECIDED if result is UNDECIDED else not result
        if op == "compare":
            left, right = self.worth(condition["left"], known), self.worth(condition["right"], known)
            if left is None or right is None:
                return UNDECIDED
            return {"at-most": left <= right, "below": left < right, "at-least": left >= right, "over": left > right,
                    "equal": left == right}[condition["relation"]]
        raise ValueError(f"refused: op {op}")

    def worth(self, expression, known):
        op = expression["op"]
        if op in ("fact", "amount"):
            return self.base(expression["amount"])
        if op == "input":
            return known.get(expression["input"])
        if op == "number":
            return fractions.Fraction(expression["value"])
        if op in ("least", "greatest"):
            values = [self.worth(one, known) for one in expression["of"]]
            return None if not values or None in values else (min if op == "least" else max)(values)
        left, right = self.worth(expression["left"], known), self.worth(expression["right"], known)
        if left is None or right is None or (op == "divide" and right == 0):
            return None
        return {"add": lambda: left + right, "subtract": lambda: left - right, "multiply": lambda: left * right,
                "divide": lambda: left / right}[op]()


def as_text(value):
    rest, digits = value.denominator, 0
    while rest % 10 == 0 or rest % 2 == 0 or rest % 5 == 0:
        rest //= 10 if rest % 10 == 0 else 2 if rest % 2 == 0 else 5
        digits += 1
    if rest != 1:
        return str(value)
    whole = value * 10**digits
    text = f"{abs(whole.numerator):0{digits + 1}}"
    sign = "-" if value < 0 else ""
    return sign + (f"{text[:-digits]}.{text[-digits:]}" if digits else text)


# --- section 2: what is shown ---------------------------------------------------------------------------------------

class Screen:
    """A step as lines of text. A member of 1.1 that is missing may not stop it."""

    def __init__(self, checklist):
        self.list = checklist
        self.parts, self.tools, self.joints = by_id(checklist["parts"]), by_id(checklist["tools"]), by_id(checklist["joints"])
        self.circuits, self.inputs = by_id(checklist["circuits"]), by_id(checklist["inputs"])
        self.states, self.actions = by_id(checklist["states"]), by_id(checklist["actions"])
        self.worn, self.assets = by_id(checklist["protection"]), {row["path"]: row for row in checklist["assets"]}

    def state(self, one):
        state = self.states[one["state"]]
        label = next(value["label"] for value in state["values"] if value["id"] == one["value"])
        return one.get("words") or f"{state['title']}: {label}"

    def counted(self, one):
        part = self.parts[one["part"]]
        count = f"{one['count']} × " if "count" in one else ""
        return f"{count}{part['title']}" + (f" ({one['from']})" if one.get("from") else "")

    def tool(self, id):
        return self.tools[id]["title"]

    def places(self, places):
        words = lambda place: place.get("words") or " or ".join(self.tool(id) for id in place["any_of"])
        return "; ".join(words(place) + (" (holds)" if place["hold"] else "") for place in places)

    def figure(self, does):
        """Its number, what it shows, and what each number on it points at."""
        named = f"Figure {does['number']}: " if "number" in does else ""
        points = {one["number"]: one["title"] for one in does.get("callouts", [])}
        legend = "".join(f" ({number}) {title}" for number, title in sorted(points.items()))
        only = f" (only when {does['when_words']})" if "when_words" in does else ""
        return f"{named}[{self.assets[does['asset']]['media_type']}] {does['alt']}{legend}{only}"

    def line(self, does, by_hand=False):
        kind = does["kind"]
        joint = self.joints.get(does.get("joint"))
        with_tools = f" with {self.places(does['tools'])}" if does.get("tools") else " by hand" if by_hand else ""
        shown = {
            "text": lambda: does["prose"]["text"],
            "note": lambda: does["text"],
            "message": lambda: f"{does['signal'].upper()} {does['nature']} {does['consequence']} {does['avoid']}",
            "read": lambda: "; ".join(self.input(id) for id in does["inputs"]),
            "use": lambda: self.places(does["tools"]) + (f" if you like: {does.get('benefit', '')}" if does["optional"] else ""),
            "wear": lambda: ", ".join(self.worn[id]["title"] for id in does["protection"]),
            "place": lambda: f"{joint['count']} × {'; '.join(map(self.counted, joint['each']))}: {joint['title']}",
            "snug": lambda: f"finger-tight: {joint['title']}{with_tools}",
            "tighten": lambda: self.tightness(joint) + with_tools,
            "loosen": lambda: joint["title"] + with_tools,
            "remove-joint": lambda: joint["title"] + with_tools,
            "refit-joint": lambda: joint["title"],
            "need": lambda: self.state(does["state"]),
            "make": lambda: self.state(does["state"]),
            "do": lambda: "; ".join([self.actions[does["action"]]["title"], *(f"only when {self.state(need)}" for need in
                                     does.get("needs", self.actions[does["action"]]["needs"]))]),
            "set": lambda: f"{self.inputs[does['result']]['title']}: {self.label(does['result'], does['value'])}",
            "figure": lambda: self.figure(does),
            "record-torque": lambda: f"{does['count']} × {self.tightness(joint)}",
            "record-reading": lambda: self.inputs[does["input"]]["title"],
            "record-text": lambda: does["what"],
            "record-photo": lambda: does["what"],
        }
        if kind in ("take", "remove", "refit", "discard"):
            return f"{kind}: {'; '.join(map(self.counted, does['parts']))}{with_tools}"
        if kind in ("connect", "disconnect"):
            circuit = self.circuits[does["circuit"]]
            points = by_id(circuit["points"])
            named = [f"{points[id].get('order', '')} {points[id]['title']} ({points[id].get('detail', '')})" for id in does["points"]]
            return f"{kind} {circuit['title']}, {circuit.get('wire_words', '')}: {' → '.join(named)}{with_tools}"
        return f"{kind}: {shown[kind]()}"

    def input(self, id):
        one = self.inputs[id]
        if "values" in one:
            return one["title"] + " " + " / ".join(value["label"] for value in one["values"])
        tool = f" with {self.tool(one['tool'])}" if one.get("tool") else ""
        return f"{one['title']}, {one['shown']}{tool}" + (f", to {one['reads_shown']}" if one.get("reads_shown") else "")

    def label(self, input, value):
        return next(one["label"] for one in self.inputs[input]["values"] if one["id"] == value)

    def tightness(self, joint):
        to = joint["torque"]["shown"] if joint.get("torque") else joint.get("tight", "")
        return " ".join(filter(None, [joint["title"], to, joint.get("pattern", {}).get("words"), joint.get("thread")]))

    def step(self, step):
        head = [f"{step['number']} {step['title']}"]
        head += [step["qualified"]["words"]] if step.get("qualified") else []
        head += [step["another_person"]["words"]] if step.get("another_person") else []
        if step.get("takes"):
            head.append(f"{step['takes']['time']['shown']}, {step['takes']['people']} people")
        messages = [line for line in step["lines"] if line["does"]["kind"] == "message"]
        others = [line for line in step["lines"] if line["does"]["kind"] != "message"]
        return head + [self.line(line["does"], line.get("by_hand", False)) for line in messages + others]


# --- section 3: a job and its record --------------------------------------------------------------------------------

class Ended(Exception):
    """The job came to its end: `outcome`, and where it stopped."""


class Job:
    def __init__(self, checklist, chance, folder):
        version = checklist["format"]["version"].split(".")
        if checklist["format"]["name"] != "fitwright-checklist" or version[0] != "1" or checklist["features_required"]:
            raise ValueError("refused")
        self.list, self.chance, self.folder = checklist, chance, folder
        self.terms, self.screen = Terms(checklist), Screen(checklist)
        self.inputs, self.joints = by_id(checklist["inputs"]), by_id(checklist["joints"])
        self.known, self.occasions = {}, collections.Counter()
        self.open_limits = list(checklist["limits"])
        self.lines, self.prev = [], "0" * 64
        self.at = datetime.datetime(2026, 11, 27, 8, 0, tzinfo=datetime.timezone(datetime.timedelta(hours=1)))
        self.shown = []

    def write(self, type, **members):
        self.at += datetime.timedelta(seconds=self.chance.randint(1, 90))
        event = {"seq": len(self.lines) + 1, "prev": self.prev, "at": self.at.isoformat(), "by": "A. Fitter", "type": type, **members}
        self.prev = sha(rfc8785.dumps(event))
        self.lines.append(rfc8785.dumps({**event, "digest": self.prev}) + b"\n")

    def run(self):
        about = self.list["procedure"]
        name = {"id": about["id"], "digest": sha(rfc8785.dumps(self.list))}
        if about.get("revision"):
            name["revision"] = about["revision"]["mark"]
        self.write("open", format={"name": "fitwright-record", "version": "1.0.0"}, checklist=name, job="Van 12")
        try:
            self.decide_limits()
            self.answer_all()
            for section in self.list["flow"]:
                if self.so(section.get("when")):
                    self.body(section["body"])
            raise ValueError("the flow ended without an end")
        except Ended as end:
            outcome, at_stop = end.args
            self.write("close", outcome=outcome, **({"at_stop": at_stop} if at_stop else {}))
            return outcome

    def so(self, condition):
        """A condition that must be decided by now; a missing one is true."""
        result = True if condition is None else self.terms.holds(condition, self.known)
        if result is UNDECIDED:
            raise ValueError(f"stuck at {condition}")
        return result

    def decide_limits(self):
        still = []
        for limit in self.open_limits:
            when = True if limit.get("when") is None else self.terms.holds(limit["when"], self.known)
            holds = self.terms.holds(limit["holds"], self.known)
            if when is True and holds is False:
                raise Ended("stopped", limit["id"])
            if not (when is False or (when is True and holds is True)):
                still.append(limit)
        self.open_limits = still

    def answer_all(self):
        """Options and givens that the rules allow together; now and then some that a limit turns away."""
        asked = [one for one in self.list["inputs"] if one["kind"] in ("option", "given")]
        for _ in range(400):
            values = {one["id"]: self.made_up(one) for one in asked}
            known = {id: self.meaning(value) for id, value in values.items()}
            when = lambda rule: True if rule.get("when") is None else self.terms.holds(rule["when"], known)
            if any(when(rule) is True and self.terms.holds(rule["holds"], known) is False for rule in self.list["rules"]):
                continue
            broken = any((True if one.get("when") is None else self.terms.holds(one["when"], known)) is True
                         and self.terms.holds(one["holds"], known) is False for one in self.list["limits"])
            if not broken or self.chance.random() < 0.02:
                break
        else:
            raise ValueError("no answers go together")
        for id, value in values.items():
            self.write("answer", input=id, **value)
            self.known[id] = self.meaning(value)
            self.decide_limits()

    def made_up(self, input):
        """A value that the checklist accepts, as members of an event."""
        if "values" in input:
            return {"choice": self.chance.choice(input["values"])["id"]}
        low, high = self.terms.base(input["low"]), self.terms.base(input["high"])
        if not input.get("reads"):
            return {"amount": self.terms.amount(low + (high - low) * self.chance.randint(0, 10) / 10, input["low"]["unit"])}
        step, unit = fractions.Fraction(input["reads"]["value"]), input["reads"]["unit"]
        in_unit = lambda base: fractions.Fraction(self.terms.amount(base, unit)["value"])
        first, last = -(-in_unit(low) // step), in_unit(high) // step
        return {"amount": {"value": as_text(self.chance.randint(first, last) * step), "unit": unit}}

    def meaning(self, value):
        return value["choice"] if "choice" in value else self.terms.base(value["amount"])

    def body(self, body):
        for node in body:
            kind = node["kind"]
            if kind == "step":
                if self.so(node.get("when")):
                    self.step(node)
            elif kind == "check":
                self.check(node)
            elif kind == "choose":
                if node["input"] not in self.known:
                    raise ValueError(f"stuck at {node['id']}")
                fits = [arm for arm in node["arms"] if arm.get("when") is not None and self.so(arm["when"])]
                rest = [arm for arm in node["arms"] if arm.get("when") is None]
                self.body((fits + rest)[0]["body"])
            elif kind == "when":
                self.body(node["then"] if self.so(node["if"]) else node["else"])
            elif kind == "set":
                self.known[node["result"]] = node["value"]
            elif kind == "stop":
                raise Ended("stopped", node["id"])
            elif kind == "handover":
                self.handover(node)
            else:
                raise ValueError(f"refused: kind {kind}")

    def check(self, check):
        if not self.so(check["step"].get("when")):
            return
        repairs = 0
        while True:
            self.step(check["step"], check["expects"])
            if self.so({"op": "all", "of": check["expects"]}):
                return
            if repairs < check.get("repair", {}).get("times", 0):
                repairs += 1
                self.body(check["repair"]["body"])
            elif check["otherwise"]["kind"] == "stop":
                raise Ended("stopped", check["otherwise"]["id"])
            else:
                return

    def step(self, step, expects=()):
        self.occasions[step["id"]] += 1
        self.shown.append(self.screen.step(step))
        self.write("begin", step=step["id"], occasion=self.occasions[step["id"]], content=step["content_digest"])
        for line in step["lines"]:
            if line["does"]["kind"] == "message":
                self.write("acknowledge", line=line["id"])
        for line in step["lines"]:
            self.asks(line, expects)
        people = step.get("takes", {}).get("people", 1)
        other = {"by": "C. Checker"} if step.get("another_person") else {}
        self.write("done", step=step["id"], **({"with": [f"B. Fitter {n}".removesuffix(" 1") for n in range(1, people)]} if people > 1 else {}), **other)
        for line in step["lines"]:
            if line["does"]["kind"] == "set":
                self.known[line["does"]["result"]] = line["does"]["value"]
        self.decide_limits()

    def asks(self, line, expects):
        does, id = line["does"], line["id"]
        if does["kind"] == "read":
            for input, value in self.readings(does["inputs"], expects).items():
                tool = {"tool": self.inputs[input]["tool"]} if self.inputs[input].get("tool") else {}
                self.write("reading", line=id, input=input, **value, **tool)
                self.known[input] = self.meaning(value)
        elif does["kind"] == "record-torque":
            for fastening in range(1, does["count"] + 1):
                self.write("torque", line=id, fastening=fastening, amount=self.torque(does["joint"]), instrument="TW-7")
        elif does["kind"] == "record-text":
            self.write("text", line=id, text=str(does["number"]["most"]) if "number" in does else "KR-1042")
        elif does["kind"] == "record-photo":
            if self.chance.random() < 0.3:
                self.write("leave-out", line=id, reason="No light there")
            else:
                file = f"photo-{len(self.lines)}.png"
                (self.folder / file).write_bytes(PICTURE)
                self.write("photo", line=id, file=file, media_type="image/png", bytes=len(PICTURE), sha256=sha(PICTURE))

    def readings(self, inputs, expects):
        """Readings that pass a check four times in five, so that jobs come to their handover."""
        wants = self.chance.random() < 0.8
        for _ in range(200):
            values = {id: self.made_up(self.inputs[id]) for id in inputs}
            known = {**self.known, **{id: self.meaning(value) for id, value in values.items()}}
            fails = lambda limit: (True if limit.get("when") is None else self.terms.holds(limit["when"], known)) is True \
                and self.terms.holds(limit["holds"], known) is False
            good = self.terms.holds({"op": "all", "of": list(expects)}, known) is not False and not any(map(fails, self.open_limits))
            if good or not wants:
                break
        return values

    def torque(self, joint):
        torque = self.joints[joint].get("torque")
        if not torque:
            return {"value": "5", "unit": next(code for code, unit in self.terms.units.items() if unit["quantity"] == "torque")}
        ends = [torque[end] for end in ("low", "high") if torque.get(end)]
        bases = [self.terms.base(end) for end in ends]
        value = sum(bases) / len(bases) if len(ends) == 2 else bases[0] * (2 if torque.get("low") else fractions.Fraction(1, 2))
        return self.terms.amount(value, ends[0]["unit"])

    def handover(self, node):
        names = iter(["A. Fitter", "C. Owner", "B. Fitter"])
        for line in node["lines"]:
            if line["kind"] == "sign":
                for role in line["who"]:
                    self.write("sign", handover=node["id"], role=role, name=next(names))
        raise Ended("handed-over", None)


faults, endings, kinds, jobs = [], collections.Counter(), set(), 0
for folder in samples.folders():
    checklist = json.loads((folder / "checklist.json").read_text("utf-8"))
    for seed in range(JOBS):
        with tempfile.TemporaryDirectory() as made:
            made = pathlib.Path(made)
            job = Job(checklist, random.Random(f"{folder.name} {seed}"), made)
            endings[job.run()] += 1
            jobs += 1
            (made / "record.jsonl").write_bytes(b"".join(job.lines))
            said = subprocess.run([os.environ["FITWRIGHT"], "record", "--photos", made, folder / "checklist.json", made / "record.jsonl"],
                                  capture_output=True, text=True)
            if said.returncode != 0:
                faults.append(f"{folder.name}, job {seed}: {said.stdout}{said.stderr}")
            for lines in job.shown:
                faults.extend(f"{folder.name}: nothing to show in {lines[0]}: {line!r}" for line in lines if not line.split(": ", 1)[-1].strip())
                kinds.update(line.split(":")[0] for line in lines[1:])

if endings["handed-over"] < jobs / 3 or endings["stopped"] < 3:
    faults.append(f"too few endings of a kind: {endings}")
print("\n".join(faults[:20]))
print(f"{jobs} jobs, {dict(endings)}; {len(faults)} faults")
raise SystemExit(bool(faults))
