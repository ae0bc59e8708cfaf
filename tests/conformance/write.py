"""Writes the conformance vectors: `python3 tests/conformance/write.py` (needs the package `rfc8785`).

Checklists, events and expectations stand here as they were reasoned out from site/checklist-format.md. `making.py` adds
what is only arithmetic: `seq`, `prev`, `digest`, `at`, `by`, the digest of the checklist, `head`.
With `--check` it writes nothing and says which files differ.
"""

import json
import sys

import copy

from making import *  # noqa: F403

INSTALLER = "work.handover"
END = handover(INSTALLER, "installer")


def groups_1_and_2():
    small = checklist(section("work", 1, step("look"), handover(INSTALLER)))
    events = [open_(small), begin("look"), done("look"), close()]
    vector("01-smallest", "One step, and a handover that nobody signs.", small, events, state(path=[("look", 1)]))
    vector("01-opened", "The same job, only opened: the end of the file is missing.", small, events[:1],
           state("open", [("missing", None)], now={"waits": "begin", "step": "look", "occasion": 1}))

    every = checklist(
        section(
            "work", 1,
            step("measure", "1.1", message("measure.message.pinch"), line("measure.text", "text", prose=prose("Measure.")),
                 line("measure.read.width", "read", inputs=["width"]),
                 line("measure.record.width", "record-reading", input="width")),
            {"kind": "choose", "id": "work.choose.width", "input": "width", "arms": [
                {"when": in_("width", bound("20", "mm"), bound("45", "mm")), "words": "20 to 45 mm", "body": [
                    {"kind": "set", "id": "thick.set.pad", "result": "pad", "value": "thick"}]},
                {"when": in_("width", bound("46", "mm"), bound("95", "mm")), "words": "46 to 95 mm", "body": [
                    {"kind": "set", "id": "none.set.pad", "result": "pad", "value": "none"},
                    step("shim", "1.2", line("shim.note", "note", text="Thin ones lie in bag B."))]}]},
            step("place", "1.3", line("place.record-text", "record-text", what="Serial number"),
                 line("place.record-photo", "record-photo", what="The rail"),
                 line("place.record-photo.2", "record-photo", what="The other rail"), people=2),
            step("torque", "1.4", line("torque.record.rail", "record-torque", joint="rail", count=2)),
            {"kind": "when", "id": "work.when.arm", "if": is_("arm", "powered"), "words": "Arm: powered",
             "then": [step("wire", "1.5")], "else": [step("strap", "1.6")]},
            check("lamp-check", "1.7", [line("lamp-check.read.lamp", "read", inputs=["lamp"])], [is_("lamp", "yes")],
                  go_on("Tell the customer."), (2, [step("fix", "1.7.1")])),
            handover(INSTALLER, "installer", "customer")),
        section("never", 2, step("nothing", "2.1"), when=is_("arm", "strut")),
        inputs=[choice("option", "arm", "strut", "powered"), choice("observe", "lamp", "yes", "no"),
                choice("result", "pad", "thick", "none"), number("given", "load", "mass", "50", "300", "kg"),
                number("measure", "width", "length", "20", "95", "mm", "1")],
        joints=[joint("rail", 2, "20", "24")])
    events = [
        open_(every, device="Tablet 3"), answer("arm", "powered"), answer("load", "120", "kg"),
        begin("measure"), acknowledge("measure.message.pinch"), reading("measure.read.width", "width", "46", "mm", tool="steel-rule"),
        done("measure"), begin("shim"), done("shim"),
        begin("place"), text("place.record-text", "KR-1042"), photo("place.record-photo", "rail.png", b"rail"),
        leave_out("place.record-photo.2", "No light there"), done("place", "B. Fitter"),
        begin("torque"), torque("torque.record.rail", 1, "22", instrument="TW-7"), torque("torque.record.rail", 2, "23.5"),
        {"type": "note", "text": "The second bolt was stiff."}, done("torque"),
        begin("wire"), done("wire"),
        begin("lamp-check"), reading("lamp-check.read.lamp", "lamp", "no"), done("lamp-check"), begin("fix"), done("fix"),
        begin("lamp-check", 2), reading("lamp-check.read.lamp", "lamp", "yes"), done("lamp-check"),
        sign(INSTALLER, "customer", "C. Owner"), sign(INSTALLER, "installer"), close(),
    ]
    known = {"arm": {"choice": "powered"}, "lamp": {"choice": "yes"}, "pad": {"choice": "none"},
             "load": {"amount": amount("120", "kg")}, "width": {"amount": amount("46", "mm")}}
    path = [("measure", 1), ("shim", 1), ("place", 1), ("torque", 1), ("wire", 1), ("lamp-check", 1), ("fix", 1), ("lamp-check", 2)]
    vector("02-every-kind", "Every kind of line, statement and event that a good job can have.", every, events,
           state(notes=[("left-out", 13)], path=path, known=known))
    vector("02-half-way", "The same job in the middle of a step: what the app shows after a dead battery.", every, events[:12],
           state("open", [("missing", None)], path=path[:2] + [("place", 1, False)],
                 known={name: value for name, value in known.items() if name != "lamp"},
                 now={"waits": "lines", "step": "place", "occasion": 1, "lines": ["place.record-photo.2"]}))


def group_3():
    made = checklist(
        section("work", 1, {"kind": "when", "id": "work.when.lamp", "if": is_("lamp", "yes"), "words": "lit", "then": [step("look")],
                            "else": []}, END),
        inputs=[choice("option", "arm", "strut", "powered"), choice("observe", "lamp", "yes", "no"),
                number("measure", "width", "length", "20", "95", "mm", "1"), number("given", "load", "mass", "50", "300", "kg"),
                number("given", "air", "temperature", "-20", "40", "Cel")])
    yes, no, open_part = is_("arm", "powered"), is_("arm", "strut"), is_("lamp", "yes")
    width = lambda value, unit="mm": {"width": {"amount": amount(value, unit)}}
    arm = {"arm": {"choice": "powered"}}
    within = in_("width", bound("20", "mm"), bound("45", "mm"))
    input_, stated = {"op": "input", "input": "width"}, lambda value, unit="mm": {"op": "amount", "amount": amount(value, unit)}
    plain = lambda value: {"op": "number", "value": value}
    compare = lambda left, relation, right: {"op": "compare", "left": left, "relation": relation, "right": right}
    two = lambda op, left, right: {"op": op, "left": left, "right": right}
    cases = [
        ("is: the value", arm, yes, True), ("is: another value", arm, no, False), ("is: no answer", {}, yes, None),
        ("in: inside", width("30"), within, True), ("in: below", width("19"), within, False),
        ("in: outside the range of the input too", width("200"), within, False), ("in: no answer", {}, within, None),
        ("in: open below", width("-5"), in_("width", None, bound("45", "mm")), True),
        ("in: open above", width("46"), in_("width", bound("45", "mm")), True),
        ("in: open on both sides", width("1"), in_("width"), True), ("in: open, no answer", {}, in_("width"), None),
        ("in: another unit", width("1", "[in_i]"), within, True),
        ("all: empty", {}, {"op": "all", "of": []}, True), ("any: empty", {}, {"op": "any", "of": []}, False),
        ("all: true, true", arm, {"op": "all", "of": [yes, yes]}, True),
        ("all: true, false", arm, {"op": "all", "of": [yes, no]}, False),
        ("all: true, undecided", arm, {"op": "all", "of": [yes, open_part]}, None),
        ("all: false, undecided: settled before", arm, {"op": "all", "of": [no, open_part]}, False),
        ("all: undecided, false: not settled", arm, {"op": "all", "of": [open_part, no]}, None),
        ("any: false, true", arm, {"op": "any", "of": [no, yes]}, True),
        ("any: false, false", arm, {"op": "any", "of": [no, no]}, False),
        ("any: true, undecided: settled before", arm, {"op": "any", "of": [yes, open_part]}, True),
        ("any: undecided, true: not settled", arm, {"op": "any", "of": [open_part, yes]}, None),
        ("any: false, undecided", arm, {"op": "any", "of": [no, open_part]}, None),
        ("not: true", arm, {"op": "not", "of": yes}, False), ("not: false", arm, {"op": "not", "of": no}, True),
        ("not: undecided", {}, {"op": "not", "of": yes}, None),
        ("nested", arm, {"op": "any", "of": [{"op": "all", "of": [yes, {"op": "not", "of": no}]}, open_part]}, True),
    ]
    for relation, below, same, above in [("at-most", True, True, False), ("below", True, False, False),
                                         ("at-least", False, True, True), ("over", False, False, True), ("equal", False, True, False)]:
        cases += [(f"compare: 29 {relation} 30", width("29"), compare(input_, relation, stated("30")), below),
                  (f"compare: 30 {relation} 30", width("30"), compare(input_, relation, stated("30")), same),
                  (f"compare: 31 {relation} 30", width("31"), compare(input_, relation, stated("30")), above),
                  (f"compare: {relation}, no answer", {}, compare(input_, relation, stated("30")), None)]
    cases += [
        ("a fact is its amount", width("38"), compare(input_, "equal", {"op": "fact", "fact": "rack", "amount": amount("38", "mm")}), True),
        ("add", width("30"), compare(two("add", input_, stated("0.5")), "equal", stated("30.5")), True),
        ("subtract", width("30"), compare(two("subtract", input_, stated("40")), "equal", stated("-10")), True),
        ("multiply", width("30"), compare(two("multiply", input_, plain("1/3")), "equal", stated("10")), True),
        ("divide", width("30"), compare(two("divide", input_, plain("4")), "equal", stated("7.5")), True),
        ("divide by zero", width("30"), compare(two("divide", input_, plain("0")), "at-most", stated("40")), None),
        ("divide by a difference that is zero", width("30"),
         compare(two("divide", stated("1"), two("subtract", input_, stated("30"))), "at-most", plain("1")), None),
        ("the least of three", width("30"), compare({"op": "least", "of": [stated("31"), input_, stated("2", "[in_i]")]}, "equal", stated("30")), True),
        ("the greatest of three", width("30"),
         compare({"op": "greatest", "of": [stated("31"), input_, stated("2", "[in_i]")]}, "equal", stated("50.8")), True),
        ("the least, where one has no value", {}, compare({"op": "least", "of": [stated("1"), input_]}, "at-most", stated("40")), None),
        ("the greatest of none", {}, compare({"op": "greatest", "of": []}, "at-most", stated("40")), None),
        ("an unanswered part", {}, compare(two("add", stated("1"), input_), "at-most", stated("40")), None),
        ("a bare number is in base units: 0.03 m", width("30"), compare(input_, "equal", plain("0.03")), True),
        ("not a binary fraction: 0.1 + 0.2 is 0.3", {}, compare(two("add", stated("0.1"), stated("0.2")), "equal", stated("0.3")), True),
        ("exact: an inch is 25.4 mm", {}, compare(stated("1", "[in_i]"), "equal", stated("25.4")), True),
        ("exact: a third of an inch, three times", {}, compare(two("multiply", stated("1/3", "[in_i]"), plain("3")), "equal", stated("25.4")), True),
        ("temperatures: 50 °F are 10 °C", {}, compare(stated("50", "[degF]"), "equal", stated("10", "Cel")), True),
        ("temperatures: -40 is -40", {"air": {"amount": amount("-40", "[degF]")}},
         in_("air", bound("-40", "Cel"), bound("-40", "Cel")), True),
    ]
    put_conditions("03-conditions", "Every operator, with and without answers, inside and outside of ranges.", made, cases)

    answers = [answer("arm", "strut"), answer("load", "60", "kg"), answer("air", "20", "Cel")]
    known = {"arm": {"choice": "strut"}, "load": {"amount": amount("60", "kg")}, "air": {"amount": amount("20", "Cel")}}
    vector("03-undecided", "The flow needs a reading that nobody took: the walk is stuck, and only some events fit.", made,
           [open_(made), *answers, begin("look"), {"type": "note", "text": "Asked the office."}],
           state("open", [("out-of-order", 5), ("missing", None)], known=known, now={"waits": "decision", "at": "work.when.lamp"},
                 set_aside=[5]))


def group_4():
    made = checklist(
        section("work", 1, step("look", "1.1", line("look.read", "read", inputs=["lamp", "width"])),
                {"kind": "choose", "id": "work.choose.lamp", "input": "lamp", "arms": [
                    {"words": "otherwise", "body": [step("dark", "1.3", line("dark.read", "read", inputs=["gap"])) ]},
                    {"when": is_("lamp", "yes"), "words": "yes", "body": [step("bright", "1.2")]}]},
                step("after", "1.4"), END),
        inputs=[choice("observe", "lamp", "yes", "no"), number("measure", "width", "length", "20", "95", "mm", "1"),
                number("measure", "gap", "length", "0", "60", "mm", "1")])
    mm = lambda value: {"amount": amount(value, "mm")}
    first = [open_(made), begin("look"), reading("look.read", "lamp", "yes"), reading("look.read", "width", "30", "mm"), done("look"),
             begin("bright"), done("bright"), begin("after"), done("after")]
    vector("04-switched-off", "A corrected reading leads to the other arm: what was done behind the branch is done anew.", made,
           first + [correct(3, "no"), begin("dark"), reading("dark.read", "gap", "5", "mm"), done("dark"), begin("after"), done("after"),
                    sign(INSTALLER, "installer"), close()],
           state(path=[("look", 1), ("dark", 1), ("after", 1)], known={"lamp": {"choice": "no"}, "width": mm("30"), "gap": mm("5")},
                 set_aside=[6, 7, 8, 9]))
    vector("04-its-answers-too", "The reading of the arm that was switched off is no answer any more.", made,
           [open_(made), begin("look"), reading("look.read", "lamp", "no"), reading("look.read", "width", "30", "mm"), done("look"),
            begin("dark"), reading("dark.read", "gap", "5", "mm"), done("dark"), correct(3, "yes")],
           state("open", [("missing", None)], path=[("look", 1)], known={"lamp": {"choice": "yes"}, "width": mm("30")},
                 now={"waits": "begin", "step": "bright", "occasion": 1}, set_aside=[6, 7, 8]))
    vector("04-back-again", "Corrected back: what was set aside stays so, since other work may lie between.", made,
           first + [correct(3, "no"), correct(3, "yes")],
           state("open", [("missing", None)], path=[("look", 1)], known={"lamp": {"choice": "yes"}, "width": mm("30")},
                 now={"waits": "begin", "step": "bright", "occasion": 1}, set_aside=[6, 7, 8, 9]))
    vector("04-same-arm", "A correction that leads the same way changes the value and nothing else.", made,
           first + [correct(4, "31", "mm"), sign(INSTALLER, "installer"), close()],
           state(path=[("look", 1), ("bright", 1), ("after", 1)], known={"lamp": {"choice": "yes"}, "width": mm("31")}))


def group_5():
    inputs = [number("measure", "gap", "length", "0", "60", "mm", "0.05")]
    made = checklist(
        section("work", 1, step("torque", "1.1", line("torque.record.rail", "record-torque", joint="rail", count=5)), END),
        inputs=inputs, joints=[joint("rail", 5, "24.95", "25.05")])
    cases = []
    for value, low, high in [("24.94", None, True), ("24.95", "edge", True), ("24.96", True, True), ("25.04", True, True),
                             ("25.05", True, "edge"), ("25.06", True, None)]:
        known = {"gap": {"amount": amount(value, "mm")}}
        for included in (True, False):
            word = "included" if included else "not included"
            decided = lambda side: {None: False, True: True, "edge": included}[side]
            cases.append((f"{value} from 24.95, {word}", known, in_("gap", bound("24.95", "mm", included)), decided(low)))
            cases.append((f"{value} up to 25.05, {word}", known, in_("gap", None, bound("25.05", "mm", included)), decided(high)))
    cases.append(("a zero more changes nothing", {"gap": {"amount": amount("24.950", "mm")}},
                  in_("gap", bound("24.95", "mm"), bound("24.95", "mm")), True))
    put_conditions("05-edges", "Ends that belong to their interval and ends that do not, with decimals that no double holds.", made, cases)

    give = lambda *values: [open_(made), begin("torque")] + [
        torque("torque.record.rail", at, *value) for at, value in enumerate(values, 1)] + [
        done("torque"), sign(INSTALLER, "installer"), close()]
    ft_lb = "[lbf_av].[ft_i]"
    # 18.41 lbf.ft are 24.9606…, 18.40 lbf.ft are 24.9470… N.m.
    vector("05-torques-within", "Torques at both ends and between, one of them in another unit.", made,
           give(("24.95",), ("25.05",), ("25",), ("24.950",), ("18.41", ft_lb)), state(path=[("torque", 1)]))
    vector("05-torques-outside", "Torques just outside: they count, and are out of tolerance.", made,
           give(("24.949",), ("25.0500001",), ("25",), ("24.95",), ("18.40", ft_lb)),
           state(findings=[("out-of-tolerance", 3), ("out-of-tolerance", 4), ("out-of-tolerance", 7)], path=[("torque", 1)]))
    over = copy.deepcopy(made)
    over["joints"][0]["torque"] = {"form": "over", "low": bound("24.95", "N.m", False), "shown": "over 24.95 N.m"}
    vector("05-over", "A torque that must be over its limit, and has no upper end.", over,
           [{**event, "checklist": name(over)} if event["type"] == "open" else event
            for event in give(("24.95",), ("24.9500001",), ("99",), ("25",), ("26",))],
           state(findings=[("out-of-tolerance", 3)], path=[("torque", 1)]))

    inputs = [number("given", "load", "mass", "10", "60", "kg"), number("measure", "gap", "length", "0", "60", "mm", "0.05")]
    limit = {"id": "arm-load", "title": "The arm lifts it", "words": "load at most 45.05 kg", "stop": "Fit the other arm.",
             "holds": {"op": "compare", "left": {"op": "input", "input": "load"}, "relation": "at-most",
                       "right": {"op": "amount", "amount": amount("45.05", "kg")}}}
    made = checklist(section("work", 1, step("look"), END), inputs=inputs, limits=[limit])
    kg = lambda value: {"load": {"amount": amount(value, "kg")}}
    vector("05-limit-held", "A limit holds at its edge.", made,
           [open_(made), answer("load", "45.05", "kg"), begin("look"), done("look"), sign(INSTALLER, "installer"), close()],
           state(path=[("look", 1)], known=kg("45.05")))
    vector("05-limit-broken", "A limit breaks a little above its edge: the job stops before it begins, and the record is complete.", made,
           [open_(made), answer("load", "45.050001", "kg"), close("stopped", at_stop="arm-load")],
           state("stopped", known=kg("45.050001")))
    vector("05-limit-passed-over", "After a broken limit no step fits.", made,
           [open_(made), answer("load", "50", "kg"), begin("look"), done("look")],
           state("open", [("out-of-order", 3), ("out-of-order", 4), ("missing", None)], known=kg("50"),
                 now={"waits": "close", "at_stop": "arm-load"}, set_aside=[3, 4]))


def groups_6_to_8():
    made = checklist(section("work", 1, step("look", "1.1", line("look.read", "read", inputs=["lamp"])), END),
                     inputs=[choice("observe", "lamp", "yes", "no")])
    later = copy.deepcopy(made)
    later["weather"] = {"wind": [1, 2.5, None]}
    later["x-shop"] = "Bay 4"
    later["inputs"][0]["picture"] = "lamp.png"
    later["inputs"][0]["values"][0]["colour"] = "white"
    later["flow"][0]["body"][0]["pace"] = "slow"
    later["flow"][0]["body"][0]["lines"][0]["does"]["how"] = {"kind": "with care"}
    later["flow"][0]["body"][1]["lines"][0]["where"] = "on the last page"
    run = lambda made, **more: [
        {**open_(made), **more}, begin("look"), {**reading("look.read", "lamp", "yes"), "mood": "good", "x-light": 0.75}, done("look"),
        sign(INSTALLER, "installer"), close(duration="12 min")]
    good = state(path=[("look", 1)], known={"lamp": {"choice": "yes"}})
    vector("06-unknown-members", "Members that version 1.0 does not have, in the checklist and in events. They count for the digests.", later,
           run(later), good)

    def spoilt(change, of=made):
        copied = copy.deepcopy(of)
        change(copied)
        return copied

    body = lambda made: made["flow"][0]["body"]
    for folder, about, change in [
        ("07-line", "An unknown kind of line.", lambda c: body(c)[0]["lines"][0]["does"].update(kind="weigh")),
        ("07-statement", "An unknown kind of statement.", lambda c: body(c)[0].update(kind="jump")),
        ("07-operator", "An unknown operator of a condition.", lambda c: body(c)[0].update(when={"op": "xor", "of": []})),
        ("07-relation", "An unknown relation of a comparison.", lambda c: body(c)[0].update(
            when={"op": "compare", "left": {"op": "number", "value": "1"}, "relation": "about", "right": {"op": "number", "value": "1"}})),
        ("07-input", "An unknown kind of input.", lambda c: c["inputs"][0].update(kind="smell")),
        ("07-feature", "A feature that version 1.0 does not know.", lambda c: c["features_required"].append("timers")),
        ("08-newer-major", "A checklist of the next major version.", lambda c: c["format"].update(version="2.0.0")),
        ("08-other-format", "Another file.", lambda c: c["format"].update(name="fitwright-build")),
    ]:
        bad = spoilt(change)
        vector(folder, f"{about} It is refused, whatever the record says.", bad, run(bad), nothing(("unreadable", None)), judged=0)
    vector("07-event", "An unknown type of event: what stands before it is judged, it and the rest is not.", made,
           run(made)[:2] + [{"type": "weigh", "line": "look.read", "amount": amount("3", "kg")}] + run(made)[3:],
           state("open", [("unreadable", 3)], path=[("look", 1, False)],
                 now={"waits": "lines", "step": "look", "occasion": 1, "lines": ["look.read"]}), judged=2)
    vector("07-malformed", "An event without a member that it must have.", made,
           run(made)[:2] + [{"type": "reading", "line": "look.read", "choice": "yes"}] + run(made)[3:],
           state("open", [("unreadable", 3)], path=[("look", 1, False)],
                 now={"waits": "lines", "step": "look", "occasion": 1, "lines": ["look.read"]}), judged=2)
    vector("07-two-values", "A reading with a choice and an amount is malformed.", made,
           run(made)[:2] + [{**reading("look.read", "lamp", "yes"), "amount": amount("1", "mm")}],
           state("open", [("unreadable", 3)], path=[("look", 1, False)],
                 now={"waits": "lines", "step": "look", "occasion": 1, "lines": ["look.read"]}), judged=2)
    newer = spoilt(lambda c: c["format"].update(version="1.9.3"), later)
    vector("08-newer-minor", "A checklist of a later minor version is read.", newer, run(newer), good)
    version = lambda number: {"format": {"name": "fitwright-record", "version": number}}
    vector("08-record-newer-minor", "A record of a later minor version is read.", made, run(made, **version("1.4.0")), good)
    vector("08-record-newer-major", "A record of the next major version is refused.", made, run(made, **version("2.0.0")),
           nothing(("unreadable", 1)), judged=0)


def group_18():
    made = checklist(
        section("work", 1, step("fit", "1.1", people=2), step("wipe", "1.2"),
                check("look", "1.3", [line("look.read.lamp", "read", inputs=["lamp"])], [is_("lamp", "yes")], go_on("Say so."),
                      (1, [step("mend", "1.3.1")]), not_of=["fit", "mend"]), END),
        inputs=[choice("observe", "lamp", "yes", "no")], version="1.4.0")
    seen = lambda value, occasion=1: [begin("look", occasion), reading("look.read.lamp", "lamp", value)]
    by = lambda event, name: {**event, "by": name}
    start = [open_(made), begin("fit"), done("fit", "B. Fitter"), begin("wipe"), by(done("wipe"), "C. Fitter")]
    end = [sign(INSTALLER, "installer"), close()]
    path, lit = [("fit", 1), ("wipe", 1), ("look", 1)], {"lamp": {"choice": "yes"}}
    run = lambda name: start + seen("yes") + [by(done("look"), name)] + end
    vector("18-another", "A check by another person, who did a step that it does not look at.", made, run("C. Fitter"), state(path=path, known=lit))
    vector("18-the-same", "The one who did the work checks it.", made, run("A. Fitter"), state(findings=[("missing", 8)], path=path, known=lit))
    vector("18-helped", "One who helped in the work checks it; names are compared without case and white space.", made, run("b.fitter"),
           state(findings=[("missing", 8)], path=path, known=lit))
    mended = path + [("mend", 1), ("look", 2)]
    again = lambda name: (start + seen("no") + [by(done("look"), "D. Fitter"), begin("mend"), by(done("mend"), "D. Fitter")]
                          + seen("yes", 2) + [by(done("look"), name)] + end)
    vector("18-repaired", "Whoever repairs does not look again.", made, again("D. Fitter"),
           state(findings=[("missing", 13)], path=mended, known=lit))
    vector("18-third", "The one who repaired does not look again, but a third does.", made, again("E. Fitter"), state(path=mended, known=lit))


def group_19():
    load = {**number("given", "load", "mass", "10", "60", "kg"), "when": is_("roof", "open"), "when_words": "Roof: open"}
    made = checklist(section("work", 1, step("fit", "1.1"), END), inputs=[choice("option", "roof", "open", "shut"), load], version="1.5.0")
    run = lambda *answers: [open_(made), *answers, begin("fit"), done("fit"), sign(INSTALLER, "installer"), close()]
    roof, kilos = answer("roof", "open"), answer("load", "20", "kg")
    shut, known = {"roof": {"choice": "shut"}}, {"roof": {"choice": "open"}, "load": {"amount": amount("20", "kg")}}
    path = [("fit", 1)]
    vector("19-asked", "A given is asked for, since its condition holds.", made, run(roof, kilos), state(path=path, known=known))
    vector("19-not-asked", "It does not hold: nobody asks.", made, run(answer("roof", "shut")), state(path=path, known=shut))
    vector("19-missing", "It holds, and nobody asked.", made, run(roof), state(findings=[("missing", 3)], path=path, known={"roof": {"choice": "open"}}))
    vector("19-answered-all-the-same", "An app of version 1.4 asks for it in every fitting.", made, run(answer("roof", "shut"), kilos),
           state(path=path, known={**shut, "load": {"amount": amount("20", "kg")}}))
    vector("19-waits", "Before the option is answered, nothing waits for the given.", made, [open_(made)],
           state("open", [("missing", None)], now={"waits": "answer", "inputs": ["roof"]}))
    vector("19-corrected", "The option is corrected after the step was begun: what is asked for now, nobody missed then.", made,
           [open_(made), answer("roof", "shut"), begin("fit"), correct(2, "open"), done("fit"), sign(INSTALLER, "installer"), close()],
           state(path=path, known={"roof": {"choice": "open"}}))


def group_20():
    lift = step("lift", "1.1")
    lift["team"] = {"people": 2, "words": "2 people"}
    made = checklist(section("work", 1, lift, END), version="1.5.0")
    run = lambda *who: [open_(made), begin("lift"), done("lift", *who), sign(INSTALLER, "installer"), close()]
    vector("20-team", "A step needs two people, and states no time.", made, run("B. Helper"), state(path=[("lift", 1)]))
    vector("20-alone", "One did it alone.", made, run(), state(findings=[("missing", 3)], path=[("lift", 1)]))


def group_9():
    made = checklist(section("work", 1, step("look", "1.1"), step("tidy", "1.2"), handover(INSTALLER)))
    events = [open_(made), begin("look"), done("look"), begin("tidy"), done("tidy"), close()]
    look, tidy = ("look", 1), ("tidy", 1)
    in_tidy = {"waits": "lines", "step": "tidy", "occasion": 1, "lines": []}

    def damaged(folder, about, damage, at, judged, **rest):
        vector(f"09-{folder}", about, made, events, state("open", [("altered", at)], **rest), damage, judged=judged)

    def change(at, old, new):
        def apply(lines):
            assert old in lines[at - 1]
            lines[at - 1] = lines[at - 1].replace(old, new)
            return lines
        return apply

    def resealed(at, **members):
        """One line with other members and a digest of its own that fits; those below are left as they were."""
        def apply(lines):
            event = json.loads(lines[at - 1])
            event.update(members)
            del event["digest"]
            lines[at - 1] = canonical({**event, "digest": sha(canonical(event))}) + b"\n"
            return lines
        return apply

    half = dict(path=[look, ("tidy", 1, False)], now=in_tidy)
    begun = dict(path=[("look", 1, False)], now={"waits": "lines", "step": "look", "occasion": 1, "lines": []})
    fresh = dict(now={"waits": "begin", "step": "look", "occasion": 1})
    to_tidy = dict(path=[look], now={"waits": "begin", "step": "tidy", "occasion": 1})
    damaged("changed", "One letter of one line was changed.", change(5, b"A. Fitter", b"B. Fitter"), 5, 4, **half)
    damaged("digest", "A line has a digest of its own that fits, and the next one does not follow it.", resealed(4, by="B. Fitter"), 5, 4, **half)
    damaged("removed", "A line was taken out.", lambda lines: lines[:2] + lines[3:], 3, 2, **begun)
    damaged("reordered", "Two lines changed places.", lambda lines: lines[:3] + [lines[4], lines[3]] + lines[5:], 4, 3, **to_tidy)
    damaged("repeated", "A line stands twice.", lambda lines: lines[:4] + lines[3:], 5, 4, **half)
    damaged("cut-off", "The last line was cut off in the middle.", lambda lines: lines[:5] + [lines[5][:40]], 6, 5,
            path=[look, tidy], now={"waits": "sign", "handover": INSTALLER, "roles": []})
    damaged("no-line-feed", "The last line has no line feed.", lambda lines: lines[:5] + [lines[5][:-1]], 6, 5,
            path=[look, tidy], now={"waits": "sign", "handover": INSTALLER, "roles": []})
    damaged("white-space", "A blank was put in: the same data, but not as an app writes it.", change(2, b'":', b'": '), 2, 1, **fresh)
    damaged("empty-line", "An empty line in the middle.", lambda lines: lines[:2] + [b"\n"] + lines[2:], 3, 2, **begun)
    damaged("carriage-returns", "Line ends of another system.", lambda lines: [one[:-1] + b"\r\n" for one in lines], 1, 0,
            now={"waits": "nothing"})
    damaged("prev", "A line names another line before it.", resealed(3, prev="0" * 64), 3, 2, **begun)
    damaged("seq", "A line has another number than its place.", resealed(3, seq=7), 3, 2, **begun)
    damaged("seq-repeated", "Two lines have the same number.", resealed(4, seq=3), 4, 3, **to_tidy)
    vector("09-end-missing", "The last two lines are gone. The chain does not show it; the missing end does.", made, events,
           state("open", [("missing", None)], **half), lambda lines: lines[:4], judged=4)
    vector("09-new-chain", "Somebody took `done` of the first step out and made a new chain: the order shows it.", made,
           events[:2] + events[3:],
           state("open", [("out-of-order", 3), ("out-of-order", 4), ("out-of-order", 5), ("missing", None)], set_aside=[3, 4, 5], **begun))
    vector("09-empty", "A record without a line.", made, events, nothing(("unreadable", 1)), lambda lines: [], judged=0)
    vector("09-no-beginning", "A chain in order that does not begin with `open`.", made, events[1:], nothing(("unreadable", 1)), judged=0)
    vector("09-opened-twice", "A second `open` does not fit.", made, events[:1] + events,
           state(findings=[("out-of-order", 2)], path=[look, tidy], set_aside=[2]))


def group_10():
    made = checklist(section("work", 1, step("look", "1.1", line("look.record-photo", "record-photo", what="The rail")), handover(INSTALLER)))
    picture = b"\x89PNG not really a picture"
    events = [open_(made), begin("look"), photo("look.record-photo", "rail.png", picture), done("look"), close()]
    path = [("look", 1)]
    vector("10-same", "The picture is the one that was recorded.", made, events, state(path=path), photos={"rail.png": picture})
    vector("10-changed", "The picture has the same size and other bytes.", made, events, state(findings=[("altered", 3)], path=path),
           photos={"rail.png": picture.replace(b"not", b"now")})
    vector("10-other-size", "The picture has another size.", made, events, state(findings=[("altered", 3)], path=path),
           photos={"rail.png": picture + b"!"})
    vector("10-gone", "The picture is not among the pictures.", made, events, state(findings=[("missing", 3)], path=path),
           photos={"other.png": picture})
    vector("10-not-at-hand", "No pictures are at hand: nothing is said of them.", made, events, state(path=path))
    vector("10-size-field", "The recorded size does not fit the picture.", made,
           [{**event, "bytes": 7} if event["type"] == "photo" else event for event in events],
           state(findings=[("altered", 3)], path=path), photos={"rail.png": picture})
    vector("10-hash-field", "The recorded SHA-256 is none.", made,
           [{**event, "sha256": "1234"} if event["type"] == "photo" else event for event in events],
           state("open", [("unreadable", 3)], path=[("look", 1, False)],
                 now={"waits": "lines", "step": "look", "occasion": 1, "lines": ["look.record-photo"]}),
           photos={"rail.png": picture}, judged=2)
    vector("10-path", "A picture is named by a path: the event is malformed.", made,
           [{**event, "file": "../rail.png"} if event["type"] == "photo" else event for event in events],
           state("open", [("unreadable", 3)], path=[("look", 1, False)],
                 now={"waits": "lines", "step": "look", "occasion": 1, "lines": ["look.record-photo"]}),
           photos={"rail.png": picture}, judged=2)


def canonical_texts():
    texts = [
        "{}", "[]", '{"b":1,"a":[true,false,null]}', ' { "a" : 1.0 , "b" : -0 , "c" : 1e2 } ',
        '["\\u20ac$\\u000F\\u000aA\'\\u0042\\u0022\\u005c\\\\\\"\\/"]',
        '{"\\u20ac":1,"\\r":2,"\\ufb33":3,"1":4,"\\ud83d\\ude00":5,"\\u0080":6,"\\u00f6":7}',
        "[333333333.33333329,1E30,4.50,2e-3,0.000000000000000000000000001]",
        "[0,5e-324,1.7976931348623157e308,9007199254740992,295147905179352830000,1e21,999999999999999900000,0.000001,0.0000001,1e23,1424953923781206.25]",
        # Names that a program may keep in an order of its own, or take for something else; the text of an escape.
        '{"9":1,"10":2,"1.5":3,"01":4,"__proto__":{"2":1,"-1":2},"constructor":5,"text":"\\\\ud800"}',
    ]
    rows = []
    for given in texts:
        form = canonical(json.loads(given, parse_int=float))
        rows.append({"json": given, "canonical": form.decode(), "sha256": sha(form)})
    files["canonical.json"] = one_line(rows)


def main():
    import write_members
    import write_later
    import write_more

    for group in [groups_1_and_2, group_3, group_4, group_5, groups_6_to_8, group_9, group_10, write_more.group_11,
                  write_more.groups_12_and_13, write_more.group_14, write_more.repairs_and_stops, write_more.missing_and_wrong, write_more.group_16,
                  write_members.group_17, group_18, group_19, group_20, write_later.group_21, write_later.group_22, canonical_texts]:
        group()
    differ = []
    for path, data in sorted(files.items()):
        path = HERE / path
        if not path.exists() or path.read_bytes() != data:
            differ.append(path)
            if "--check" not in sys.argv:
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_bytes(data)
    known = {HERE / path for path in files}
    strangers = [path for path in HERE.rglob("*") if path.is_file() and path not in known and path.parent.parent != HERE.parent
                 and "__pycache__" not in path.parts]
    for path in differ + strangers:
        print(path.relative_to(HERE), "differs" if path in differ else "is of no vector")
    print(f"{len(files)} files of {len({path.split('/')[0] for path in files}) - 1} vectors, {len(differ) + len(strangers)} differ")
    return 1 if (differ or strangers) and "--check" in sys.argv else 0


if __name__ == "__main__":
    sys.exit(main())
