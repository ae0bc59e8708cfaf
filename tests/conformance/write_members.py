"""Group 17 of the conformance vectors: the members of version 1.1 of the checklist. See `write.py`."""

from making import *  # noqa: F403

INSTALLER = "work.handover"


def stated(value, unit):
    end = bound(value, unit)
    return {"form": "exact", "value": amount(value, unit), "low": end, "high": end, "shown": f"{value} {unit}"}


def full(new):
    """A checklist; `new(**members)` gives the members of version 1.1, or nothing."""
    stopped = {"state": "engine", "value": "off", **new(words="Engine: stopped")}
    powered = {"when": is_("arm", "powered"), **new(when_words="Powered arm")}
    wrench = {"any_of": ["wrench"], "count": 1, "hold": False, **new(words="Torque wrench (4 to 20 N·m)")}
    taken = {"part": "bolt", "count": 2, **new(**{"from": "bag A", "kit": ["bag-A"]})}
    gap = {**number("measure", "gap", "length", "0", "40", "mm", "1"), **new(reads_shown="1 mm")}
    looked = bare_step("look", "1.1", [line("look.do.lower", "do", action="lower", **new(needs=[stopped])), line("look.read.gap", "read", inputs=["gap"])])
    wired = step("wire", "1.3", line("wire.take.bolt", "take", parts=[taken]), line("wire.tighten.rail", "tighten", joint="rail", tools=[wrench]),
                 line("wire.connect.feed.lamp+post", "connect", circuit="feed", points=["lamp", "post"], tools=[]),
                 line("wire.need.engine", "need", state=stopped), line("wire.record.rail", "record-torque", joint="rail", count=1), people=2)
    wired["takes"].update(new(words="1 min, 2 people"))
    wired.update(powered, **new(qualified={"work": ["Electrical work"], "words": "Electrical work. Local codes decide who may do it."}))
    last = lambda kind, **rest: {"kind": kind, **new(id=f"{INSTALLER}.{kind}"), **rest}
    made = checklist(
        {**section(
            "work", 1,
            {"kind": "check", "step": looked, "expects": [in_("gap", bound("5", "mm"))], **new(expects_words=["gap: at least 5 mm"]),
             "otherwise": {**stop("look.stop"), "leave_as": [stopped]}},
            {"kind": "choose", "id": "work.choose.gap", "input": "gap", "arms": [
                {"when": in_("gap", None, bound("20", "mm")), "words": "gap: at most 20 mm", **new(covers="at most 20 mm"), "body": [step("shim", "1.2")]},
                {"words": "gap: any other", **new(covers="any other"), "body": []}]},
            {"kind": "when", "id": "work.when.arm", "if": is_("arm", "powered"), "words": "Powered arm", **new(else_words="Strut"),
             "then": [wired], "else": [step("strap", "1.4")]},
            {"kind": "handover", "id": INSTALLER, "leave_as": [stopped], "lines": [
                last("show", text="The arm."), last("keep", text="The record."), last("dispose", text="Old clips."),
                last("note", text="Look again in a week."), last("text", prose=prose("Say goodbye.")), last("sign", who=["installer"])]}), **powered},
        inputs=[choice("option", "arm", "strut", "powered"), gap], joints=[joint("rail", 1, "8", "10")])
    row = {**new(when_words="Powered arm", needed_if=is_("arm", "powered"), steps=["wire"])}
    made["procedure"].update(new(
        local_codes="Where local codes ask for more, they decide.",
        time={"total": "5 min", "longest": "PT5M", "cases": [{"when_words": "Powered arm", "time": "5 min"}],
              "remarks": ["Step 1.2 states no time."], "people": "2 people", "people_remark": "Only in step 1.3."}))
    made.update(new(
        left_out=["section 2"],
        met=[{"id": "roof-load", "title": "Roof load", "when_words": "Powered arm", "words": "38 kg ≤ roof load", "numbers": "38 kg ≤ 50 kg"}],
        wear=[{"protection": "gloves", "throughout": False, **row}]))
    made["rules"] = [{"id": "rule.arm", "holds": is_("arm", "powered"), "when": is_("arm", "powered"), "reason": "Sample.", **new(words="Only so.")}]
    made["limits"] = [{"id": "room", "title": "Room", **powered, "holds": in_("gap", bound("1", "mm")), "words": "gap ≥ 1 mm",
                       "after_step": "look", "stop": "Too narrow."}]
    made["parts"] = [{"id": "bolt", "title": "Bolt", **new(detail="use once"), "consumable": False, "single_use": True, "brings": [],
                      "fastener": {"kind": "screw", **new(tapping="ST4.2"), "words": ["pan head"]}}]
    made["kit"] = [{**new(id="bag-A", called="bag A"), "kind": "bag", "name": "A", "title": "Bag A", **powered, "entries": [{"part": "bolt", "count": 2}]}]
    made["tools"] = [{"id": "wrench", "title": "Torque wrench", **new(detail="4 to 20 N·m"), "turns": [], "brings": []}]
    made["lay_out"] = [{"any_of": ["wrench"], "count": 1, "optional": True, "when": "Powered arm", **row,
                        **new(title="Torque wrench", detail="4 to 20 N·m", benefit="saves time")}]
    made["protection"] = [{"id": "gloves", "title": "Gloves", "throughout": False}]
    made["hazards"][0].update(new(answered_by=["gloves"], licensed="Electrical work"))
    made["actions"] = [{"id": "lower", "title": "Lower the arm", "needs": [stopped], "brings": []}]
    made["joints"][0].update(powered, each=[taken], **new(clamps_with="about 9 kN"))
    made["circuits"] = [{
        "id": "feed", "title": "Feed", **powered, "facts": [], "metal": "copper", "isolated_by": [stopped],
        **new(wire_words="8 AWG copper", way_back={"chassis": True, "resistance": stated("1", "V"), "words": "Through the chassis"}, bundle=3,
              sheathed=True, starter_cable=True, drop_words="4 %, at most 5 %", carries_words="74 A"),
        "points": [{"id": "post", "title": "Post", "stud": "M8", **new(order=2, detail="stud M8")}, {"id": "lamp", "title": "Lamp", **new(order=1)}]}]
    made["states"] = [{"id": "engine", "title": "Engine", "values": [{"id": "off", "label": "stopped"}, {"id": "on", "label": "running"}],
                       "starts": "off", "ends": "off"}]
    return made


def group_17():
    made, before = full(lambda **members: members), full(lambda **members: {})
    made["format"]["version"] = "1.1.0"
    path = [("look", 1), ("shim", 1), ("wire", 1)]
    known = {"arm": {"choice": "powered"}, "gap": {"amount": amount("8", "mm")}}
    for folder, about, which in [
            ("17-all-members", "Every member that version 1.1 of the checklist has and 1.0 has not. They change no verdict: a reader of 1.0 judges it alike.", made),
            ("17-without-them", "The same checklist as a file of 1.0: a reader of 1.1 judges it alike.", before)]:
        events = [open_(which), answer("arm", "powered"), begin("look"), reading("look.read.gap", "gap", "8", "mm"), done("look"),
                  begin("shim"), done("shim"), begin("wire"), torque("wire.record.rail", 1, "9"), done("wire", "B. Fitter"),
                  sign(INSTALLER, "installer"), close()]
        vector(folder, about, which, events, state(path=path, known=known))
    of_a_repair = {"op": "all", "of": [is_("arm", "powered"), {"op": "not", "of": {"op": "all", "of": [in_("gap", bound("5", "mm"))]}}]}
    powered, narrow, wide = {"arm": {"choice": "powered"}}, {"gap": {"amount": amount("3", "mm")}}, {"gap": {"amount": amount("5", "mm")}}
    put_conditions("17-needed-if", "Whether a row of `lay_out` is needed: false where it can be left out, undecided where it may come to be needed.", made, [
        ("the arm is chosen", powered, is_("arm", "powered"), True),
        ("the other arm is chosen", {"arm": {"choice": "strut"}}, is_("arm", "powered"), False),
        ("nothing is chosen yet", {}, is_("arm", "powered"), None),
        ("a repair, before the reading", powered, of_a_repair, None),
        ("a repair, the reading is right", {**powered, **wide}, of_a_repair, False),
        ("a repair, the reading is not right", {**powered, **narrow}, of_a_repair, True),
        ("a repair of the other arm, before the reading", {"arm": {"choice": "strut"}}, of_a_repair, False),
    ])
