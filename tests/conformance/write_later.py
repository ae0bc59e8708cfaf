"""Group 21 of the conformance vectors: members of version 1.5 that tell what happens after the job. See `write.py`."""

from making import *  # noqa: F403

INSTALLER = "work.handover"


def full(new):
    """A checklist; `new(**members)` gives the members of version 1.5 that are optional, or nothing."""
    post = {"id": "post", "title": "Post", "order": 1}
    lamp = {"id": "lamp", "title": "Lamp", "order": 2, **new(connected_later="in Sample on the trailer")}
    last = lambda name, words, **rest: {"kind": "text", "id": f"{INSTALLER}.{name}", "prose": prose(words), **rest}
    km = bound("50", "km")
    due = {"form": "exact", "value": amount("50", "km"), "low": km, "high": km, "shown": "50 km"}
    lines = [
        last("later.feed", "Left for later: Feed is not fed yet: the electrician."),
        last("later.feed.lamp", "Left for later: Feed, Lamp is not connected yet: in Sample on the trailer."),
        last("again.rail", "Tighten again: Rail, 2 ×: to 20 to 24 N.m, after 50 km.", **new(again=["rail"])),
        {"kind": "sign", "id": f"{INSTALLER}.sign", "who": ["installer"]},
    ]
    made = checklist(
        section(
            "work", 1,
            step("wire", "1.1", line("wire.connect.feed.post", "connect", circuit="feed", points=["post"], tools=[])),
            step("torque", "1.2", line("torque.loosen.rail", "loosen", joint="rail", tools=[]),
                 line("torque.tighten.rail", "tighten", joint="rail", tools=[]),
                 line("torque.record.rail", "record-torque", joint="rail", count=2)),
            step("filter", "1.3", line("filter.tighten.filter", "tighten", joint="filter", tools=[])),
            {"kind": "handover", "id": INSTALLER, "leave_as": [], "lines": lines}),
        joints=[joint("rail", 2, "20", "24")], version="1.5.0")
    made["joints"][0].update(new(
        again={"after": [{"after": due}], "words": "50 km"},
        loosened={"order": "outside-in", "stages": 2, "words": "from the outside inwards in 2 stages"}))
    turned = {"what": "angle", "amount": {"form": "exact", "value": amount("270", "deg"), "low": bound("270", "deg"), "high": bound("270", "deg"), "shown": "270°"}}
    made["joints"].append({
        "id": "filter", "title": "Filter", "each": [], "count": 1, "tight": "its seal touches, then on by 270°", "on_vehicle": False,
        **new(stages=[{"what": "seen", "until": "its seal touches"}, turned])})
    made["units"] += [
        {"code": "km", "symbol": "km", "quantity": "length", "base": "m", "factor": "1000", "offset": "0"},
        {"code": "deg", "symbol": "°", "quantity": "angle", "base": "deg", "factor": "1", "offset": "0"}]
    made["circuits"] = [{
        "id": "feed", "title": "Feed", "facts": [], "metal": "copper", "isolated_by": [], "points": [post, lamp],
        **new(fed_later="the electrician")}]
    return made


def how_many():
    """A step that asks how many shims were taken."""
    asks = line("level.record.shim", "record-text", what="Shim: how many were taken", number={"parts": ["shim"], "least": 0, "most": 3})
    made = checklist(
        section("work", 1, step("level", "1.1", asks),
                {"kind": "handover", "id": INSTALLER, "leave_as": [], "lines": [{"kind": "sign", "id": f"{INSTALLER}.sign", "who": ["installer"]}]}),
        version="1.5.0")
    made["parts"] = [{"id": "shim", "title": "Shim", "consumable": False, "single_use": False, "brings": []}]
    return made


def group_22():
    made = how_many()
    said = lambda words: {"type": "text", "line": "level.record.shim", "text": words}
    corrected = lambda words: {"type": "correct", "event": 3, "text": words, "reason": "Counted again"}

    def case(name, about, *between, **expected):
        end = [done("level"), sign(INSTALLER, "installer"), close()]
        vector(f"22-{name}", about, made, [open_(made), begin("level"), *between, *end], state(path=[("level", 1)], **expected))

    case("none-taken", "How many shims were taken is asked for, and none is a number too.", said("0"))
    case("most-taken", "As many as there may be.", said("3"))
    case("too-many", "More than there may be.", said("4"), findings=[("out-of-tolerance", 3)])
    case("in-words", "A number in words is not understood; the line goes on asking.", said("two"), said("2"),
         findings=[("out-of-tolerance", 3)], set_aside=[3])
    case("zeros-before", "Zeros stand before it.", said("02"), said("2"), findings=[("out-of-tolerance", 3)], set_aside=[3])
    case("counted-again", "The number is corrected.", said("1"), corrected("2"))
    case("corrected-too-far", "Corrected to more than there may be.", said("1"), corrected("7"), findings=[("out-of-tolerance", 4)])
    case("corrected-in-words", "Corrected by words, which are not understood.", said("1"), corrected("none"),
         findings=[("out-of-tolerance", 4)], set_aside=[4])
    case("not-said", "Nobody says how many.", findings=[("missing", 3)])


def group_21():
    for folder, about, made in (
            ("21-after-the-job", "A circuit that is fed later, a point that is connected later, and a joint that is tightened again: nothing of it is asked for in the job.", full(lambda **members: members)),
            ("21-without-them", "The same where a writer leaves these members out: the words of the handover tell it, and the record is as complete.", full(lambda **members: {}))):
        events = [open_(made), begin("wire"), done("wire"), begin("torque"),
                  torque("torque.record.rail", 1, "22"), torque("torque.record.rail", 2, "23"), done("torque"),
                  begin("filter"), done("filter"), sign(INSTALLER, "installer"), close()]
        vector(folder, about, made, events, state(path=[("wire", 1), ("torque", 1), ("filter", 1)]))
