"""Groups 11 to 16 of the conformance vectors. See `write.py`."""

from making import *  # noqa: F403

INSTALLER = "work.handover"
END = handover(INSTALLER, "installer")
ENDING = [sign(INSTALLER, "installer"), close()]


def revise(made, reason="The maker sent a new revision."):
    return {"type": "revise", "checklist": name(made), "reason": reason}


def group_11():
    steps = lambda *marks: [step(id, f"1.{at}", mark=mark, title=title) for at, (id, mark, title) in enumerate(marks, 1)]
    before = checklist(section("work", 1, *steps(("look", "", "Look"), ("fix", "", "Fix"), ("tidy", "", "Tidy")), END))
    same = checklist(section("work", 1, *steps(("look", "", "Look"), ("fix", "", "Fix"), ("tidy", "", "Tidy")), END), revision="B")
    changed = checklist(section("work", 1, *steps(("look", "", "Look"), ("fix", "new torque", "Fix"), ("tidy", "", "Tidy")), END), revision="B")
    retired = checklist(section("work", 1, *steps(("look", "", "Look"), ("tidy", "", "Tidy")), END), revision="B")
    added = checklist(section("work", 1, *steps(("look", "", "Look"), ("oil", "", "Oil"), ("fix", "", "Fix"), ("tidy", "", "Tidy")), END), revision="B")
    asking = checklist(section("work", 1, step("look"), step("fix", "1.2", when=is_("side", "kerb")), step("tidy", "1.3"), END),
                       inputs=[choice("option", "side", "kerb", "road")], revision="B")
    work = [open_(before), begin("look"), done("look"), begin("fix"), done("fix"), begin("tidy"), done("tidy")]
    all_three = [("look", 1), ("fix", 1), ("tidy", 1)]
    vector("11-same-steps", "A new revision with the same steps in the middle of a job: all that was done counts.", same,
           work + [revise(same)] + ENDING, state(notes=[("earlier-revision", 8)], path=all_three))
    vector("11-changed-step", "A step has another content: it and what follows are done anew.", changed,
           work + [revise(changed), begin("fix", mark="new torque"), done("fix"), begin("tidy"), done("tidy")] + ENDING,
           state(notes=[("earlier-revision", 8)], path=all_three, set_aside=[4, 5, 6, 7]))
    vector("11-changed-step-passed-over", "The app goes on as if the changed step had been done.", changed, work + [revise(changed)] + ENDING,
           state("open", [("out-of-order", 9), ("out-of-order", 10), ("missing", None)], [("earlier-revision", 8)], path=[("look", 1)],
                 now={"waits": "begin", "step": "fix", "occasion": 1}, set_aside=[4, 5, 6, 7, 9, 10]))
    vector("11-retired-step", "A step is gone: its events are set aside, the others count.", retired, work + [revise(retired)] + ENDING,
           state(notes=[("earlier-revision", 8)], path=[("look", 1), ("tidy", 1)], set_aside=[4, 5]))
    vector("11-added-step", "A step was added in the middle.", added,
           work + [revise(added), begin("oil"), done("oil"), begin("fix"), done("fix"), begin("tidy"), done("tidy")] + ENDING,
           state(notes=[("earlier-revision", 8)], path=[("look", 1), ("oil", 1), ("fix", 1), ("tidy", 1)], set_aside=[4, 5, 6, 7]))
    vector("11-new-question", "The new revision has an option more: it is answered, and the walk goes on from there.", asking,
           work[:5] + [revise(asking), answer("side", "kerb"), begin("fix"), done("fix"), begin("tidy"), done("tidy")] + ENDING,
           state(notes=[("earlier-revision", 6)], path=all_three, known={"side": {"choice": "kerb"}}, set_aside=[4, 5]))
    vector("11-corrected-before", "What was withdrawn before the new revision stays out.", same,
           work[:5] + [{"type": "withdraw", "event": 5, "reason": "Not done yet"}, revise(same), done("fix"), begin("tidy"), done("tidy")] + ENDING,
           state(notes=[("earlier-revision", 7)], path=all_three, set_aside=[5]))
    vector("11-judged-by-the-old", "The record went over to a revision that is not the given one.", before, work + [revise(changed)] + ENDING,
           nothing(("other-revision", 8)), judged=0)
    vector("11-other-from-the-start", "The record belongs to another revision.", changed, work, nothing(("other-revision", 1)), judged=0)
    foreign = {"type": "revise", "checklist": {**name(changed), "id": "another"}, "reason": "Wrong file"}
    vector("11-other-procedure", "A `revise` to another procedure does not fit.", before, work + [foreign] + ENDING,
           state(findings=[("out-of-order", 8)], path=all_three, set_aside=[8]))


def groups_12_and_13():
    title = "ضبط العزم – הידוק – 締付け – naïve café — 🔧"
    made = checklist(
        section("work", 1, step("look", "1.1", line("look.record-text", "record-text", what="رقم التسلسل"), title=title), END),
        inputs=[choice("option", "arm", "strut", title="ذراع")])
    written = "عربي \u202e ↯ \u200f עברית\u2028 e\u0301 \U0001f469\u200d\U0001f527 \"\\/\b\f\n\r\t\u0001\u007f"
    odd = {"x-\U0001f600": 1, "x-\ufb33": 2, "x-\u00f6": 3, "x-o": 4, "x-\u20ac": 5}
    events = [
        {**open_(made), "job": "شاحنة ١٢", **odd}, answer("arm", "strut"), begin("look"), text("look.record-text", written),
        {**done("look"), "by": "זוהר"}, sign(INSTALLER, "installer", "محمد"), close()]
    vector("12-scripts", "Text of many scripts, both directions, controls, and names of members whose order UTF-8 would get wrong.", made,
           events, state(path=[("look", 1)], known={"arm": {"choice": "strut"}}))

    markup = "</style><script>alert(1)</script><img src=x onerror=alert(2)> {{7*7}} =1+1 &amp; \"'`"
    made = checklist(section("work", 1, step("look", "1.1", line("look.record-text", "record-text", what=markup), title=markup), END))
    vector("12-markup", "Text that other languages would take for their own.", made,
           [{**open_(made), "job": markup}, begin("look"), text("look.record-text", markup), {**done("look", markup), "by": markup},
            {"type": "note", "text": markup}, sign(INSTALLER, "installer", markup), close()], state(path=[("look", 1)]))

    made = checklist(section("work", 1, step("look"), END))
    events = [open_(made), begin("look"), done("look"), sign(INSTALLER, "installer"), close()]
    dated = lambda *times: [{**event, "at": at} for event, at in zip(events, times)]
    good = dict(path=[("look", 1)])
    vector("13-backwards", "The clock goes back by an hour: said, and the record is complete.", made,
           dated("2026-11-25T10:00:00+01:00", "2026-11-25T10:05:00+01:00", "2026-11-25T09:06:00+01:00", "2026-11-25T09:07:00+01:00",
                 "2026-11-25T09:08:00+01:00"), state(notes=[("clock-backwards", 3)], **good))
    vector("13-other-offset", "The offset changes and the time goes on; equal times are no step back.", made,
           dated("2026-11-25T10:00:00+01:00", "2026-11-25T09:00:00Z", "2026-11-25T04:00:00.5-05:00", "2026-11-25T14:30:00.500+05:30",
                 "2026-11-25T09:00:01Z"), state(**good))
    vector("13-fraction", "Back by a tenth of a second.", made,
           dated("2026-11-25T10:00:00.5Z", "2026-11-25T10:00:00.40Z", "2026-11-25T10:00:01Z", "2026-11-25T10:00:02Z", "2026-11-25T10:00:03Z"),
           state(notes=[("clock-backwards", 2)], **good))
    vector("13-no-moment", "A day that does not exist: the event is malformed.", made,
           dated("2026-11-25T10:00:00Z", "2026-02-29T10:00:00Z", "2026-11-25T10:00:01Z", "2026-11-25T10:00:02Z", "2026-11-25T10:00:03Z"),
           state("open", [("unreadable", 2)], now={"waits": "begin", "step": "look", "occasion": 1}), judged=1)


def group_14():
    body, events, path, mm = [], [], [], lambda value: amount(value, "mm")
    for at in range(1, 2001):
        id = f"s{at}"
        lines = [line(f"{id}.read", "read", inputs=["gap"])] if at % 10 == 0 else []
        body.append(step(id, f"1.{at}", *lines))
        events.append(begin(id))
        if lines:
            events.append(reading(lines[0]["id"], "gap", str(at % 60), "mm"))
        events.append(done(id))
        path.append((id, 1))
    made = checklist(section("work", 1, *body, END), inputs=[number("measure", "gap", "length", "0", "60", "mm", "1")])
    # Blanks, and members in another order: a digest goes over the canonical form, whatever the file looks like.
    vector("14-two-thousand", "2,000 steps and 200 readings.", json.dumps(made).encode() + b"\n", [open_(made), *events] + ENDING,
           state(path=path, known={"gap": {"amount": mm("20")}}))


def repairs_and_stops():
    lamp = [choice("observe", "lamp", "yes", "no")]
    fails = lambda otherwise, repair=None: checklist(
        section("work", 1, check("lamp-check", "1.1", [line("lamp-check.read", "read", inputs=["lamp"])], [is_("lamp", "yes")], otherwise,
                                 repair), step("after", "1.2"), END), inputs=lamp)
    look = lambda occasion, value: [begin("lamp-check", occasion), reading("lamp-check.read", "lamp", value), done("lamp-check")]
    fix = lambda occasion: [begin("fix", occasion), done("fix")]
    dark, lit = {"lamp": {"choice": "no"}}, {"lamp": {"choice": "yes"}}
    made = fails(stop("lamp-check.stop"), (2, [step("fix", "1.1.1")]))
    tried = [open_(made), *look(1, "no"), *fix(1), *look(2, "no"), *fix(2), *look(3, "no")]
    tries = [("lamp-check", 1), ("fix", 1), ("lamp-check", 2), ("fix", 2), ("lamp-check", 3)]
    vector("15-repairs-used-up", "Two repairs do not help: the job stops, and the record of it is complete.", made,
           tried + [close("stopped", at_stop="lamp-check.stop")], state("stopped", path=tries, known=dark))
    vector("15-handed-over-at-a-stop", "The job has stopped and is closed as handed over.", made, tried + [close()],
           state("open", [("out-of-order", 15), ("missing", None)], path=tries, known=dark,
                 now={"waits": "close", "at_stop": "lamp-check.stop"}, set_aside=[15]))
    vector("15-another-stop", "The job is closed at a stop that it did not come to.", made, tried + [close("stopped", at_stop="other")],
           state("open", [("out-of-order", 15), ("missing", None)], path=tries, known=dark,
                 now={"waits": "close", "at_stop": "lamp-check.stop"}, set_aside=[15]))
    vector("15-repaired", "The second repair helps.", made,
           tried[:12] + [reading("lamp-check.read", "lamp", "yes"), done("lamp-check"), begin("after"), done("after")] + ENDING,
           state(path=tries + [("after", 1)], known=lit))
    vector("15-repair-skipped", "The check is done again without its repair.", made, [open_(made), *look(1, "no"), *look(2, "yes")],
           state("open", [("out-of-order", 5), ("out-of-order", 6), ("out-of-order", 7), ("missing", None)], path=tries[:1], known=dark,
                 now={"waits": "begin", "step": "fix", "occasion": 1}, set_aside=[5, 6, 7]))
    vector("15-first-reading-corrected", "The first reading was a mistake: the repair that followed is set aside.", made,
           [open_(made), *look(1, "no"), *fix(1), *look(2, "yes"), correct(3, "yes"), begin("after"), done("after")] + ENDING,
           state(path=[("lamp-check", 1), ("after", 1)], known=lit, set_aside=[5, 6, 7, 8, 9]))
    made = fails(go_on("Tell the customer."))
    vector("15-went-on", "A check without repair is not met and the job goes on.", made,
           [open_(made), *look(1, "no"), begin("after"), done("after")] + ENDING,
           state(notes=[("went-on", 4)], path=[("lamp-check", 1), ("after", 1)], known=dark))

    inner = check("inner", "1.1.1", [line("inner.read", "read", inputs=["belt"])], [is_("belt", "good")], go_on("Note it."),
                  (1, [step("shift", "1.1.1.1")]))
    made = checklist(
        section("work", 1, check("outer", "1.1", [line("outer.read", "read", inputs=["lamp"])], [is_("lamp", "yes")], stop("outer.stop"),
                                 (2, [inner])), END),
        inputs=lamp + [choice("observe", "belt", "good", "bad")])
    outer = lambda occasion, value: [begin("outer", occasion), reading("outer.read", "lamp", value), done("outer")]
    belt = lambda occasion, value: [begin("inner", occasion), reading("inner.read", "belt", value), done("inner")]
    shift = lambda occasion: [begin("shift", occasion), done("shift")]
    vector("15-repair-in-a-repair", "A check in the repair of a check: its own repairs are counted anew each time.", made,
           [open_(made), *outer(1, "no"), *belt(1, "bad"), *shift(1), *belt(2, "bad"), *outer(2, "no"), *belt(3, "bad"), *shift(2),
            *belt(4, "good"), *outer(3, "yes")] + ENDING,
           state(notes=[("went-on", 12)],
                 path=[("outer", 1), ("inner", 1), ("shift", 1), ("inner", 2), ("outer", 2), ("inner", 3), ("shift", 2), ("inner", 4), ("outer", 3)],
                 known={"lamp": {"choice": "yes"}, "belt": {"choice": "good"}}))

    gap = number("measure", "gap", "length", "0", "60", "mm", "1")
    limit = {"id": "room", "title": "Room for the arm", "words": "gap at least 25 mm", "when": is_("arm", "powered"),
             "holds": in_("gap", bound("25", "mm")), "stop": "Fit the strut."}
    made = checklist(
        section("work", 1, check("gap-check", "1.1", [line("gap-check.read", "read", inputs=["gap"])], [in_("gap", bound("30", "mm"))],
                                 go_on("Note it.")), END),
        inputs=[choice("option", "arm", "strut", "powered"), gap], limits=[limit])
    run = lambda arm, value: [open_(made), answer("arm", arm), begin("gap-check"), reading("gap-check.read", "gap", value, "mm"), done("gap-check")]
    known = lambda arm, value: {"arm": {"choice": arm}, "gap": {"amount": amount(value, "mm")}}
    path = [("gap-check", 1)]
    vector("15-limit-on-the-job", "A limit with a reading breaks when the step is done, before the check is looked at.", made,
           run("powered", "20") + [close("stopped", at_stop="room")], state("stopped", path=path, known=known("powered", "20")))
    vector("15-limit-not-applying", "Under another option the limit does not apply.", made, run("strut", "20") + ENDING,
           state(notes=[("went-on", 5)], path=path, known=known("strut", "20")))
    made = checklist(section("work", 1, {"kind": "when", "id": "work.when.arm", "if": is_("arm", "powered"), "words": "powered",
                                         "then": [step("look"), stop("work.when.arm.then.stop")], "else": []}, END),
                     inputs=[choice("option", "arm", "strut", "powered")])
    vector("15-stop-in-a-branch", "A stop that stands in a branch.", made,
           [open_(made), answer("arm", "powered"), begin("look"), done("look"), close("stopped", at_stop="work.when.arm.then.stop")],
           state("stopped", path=[("look", 1)], known={"arm": {"choice": "powered"}}))
    vector("15-broken-off", "The job is given up.", made,
           [open_(made), answer("arm", "powered"), begin("look"), close("broken-off", reason="The customer came back.")],
           state("broken-off", [("missing", 4)], path=[("look", 1, False)], known={"arm": {"choice": "powered"}}))


def missing_and_wrong():
    made = checklist(
        section("work", 1,
                step("measure", "1.1", message("measure.message.pinch"), message("measure.message.pinch.2"),
                     line("measure.read", "read", inputs=["width"]), people=2),
                step("torque", "1.2", line("torque.record.rail", "record-torque", joint="rail", count=2)), END),
        inputs=[choice("option", "arm", "strut", "powered"), choice("option", "side", "kerb", "road"),
                number("measure", "width", "length", "20", "95", "mm", "1")],
        joints=[joint("rail", 2, "20", "24")],
        rules=[{"id": "rule.arm+side", "when": is_("arm", "powered"), "holds": is_("side", "kerb"), "reason": "Made for the kerb side."}])
    base = [
        open_(made), answer("arm", "powered"), answer("side", "kerb"),
        begin("measure"), acknowledge("measure.message.pinch"), acknowledge("measure.message.pinch.2"),
        reading("measure.read", "width", "46", "mm"), done("measure", "B. Fitter"),
        begin("torque"), torque("torque.record.rail", 1, "22"), torque("torque.record.rail", 2, "22.5"), done("torque"), *ENDING]
    path = [("measure", 1), ("torque", 1)]
    width = lambda value, unit="mm": {"amount": amount(value, unit)}
    known = {"arm": {"choice": "powered"}, "side": {"choice": "kerb"}, "width": width("46")}
    without = lambda *lines: [event for at, event in enumerate(base, 1) if at not in lines]
    put_in = lambda at, *events: base[:at - 1] + list(events) + base[at:]
    say = lambda folder, about, events, *findings, **rest: vector(
        f"15-{folder}", about, made, events, state(findings=findings, **{"path": path, "known": known, **rest}))

    say("good", "What the following ones spoil.", base)
    say("message-missing", "A message was not acknowledged. The reading and the step count all the same.", without(6),
        ("out-of-order", 6), ("missing", 7))
    say("message-late", "A message was acknowledged after the reading.", base[:5] + [base[6], base[5]] + base[7:], ("out-of-order", 6))
    say("reading-missing", "A step is done without its reading.", without(7), ("missing", 7), known={name: known[name] for name in ("arm", "side")})
    say("torque-missing", "One torque of two.", without(11), ("missing", 11))
    say("alone", "A step for two people is done by one.", put_in(8, done("measure")), ("missing", 8))
    say("signature-missing", "Handed over without a signature.", without(13), ("missing", 13))
    say("answer-missing", "Steps are begun without an answer to an option.", without(2), ("missing", 3), ("missing", 8),
        known={name: known[name] for name in ("side", "width")})
    say("rule-broken", "The second answer contradicts the first.", put_in(3, answer("side", "road")), ("out-of-tolerance", 3),
        known={**known, "side": {"choice": "road"}})
    say("rule-broken-corrected", "It is corrected.", put_in(3, answer("side", "road"), correct(3, "kerb")))
    say("out-of-range", "A reading above its range.", put_in(7, reading("measure.read", "width", "96", "mm")), ("out-of-tolerance", 7),
        known={**known, "width": width("96")})
    say("no-multiple", "A reading between two marks of the rule.", put_in(7, reading("measure.read", "width", "46.5", "mm")),
        ("out-of-tolerance", 7), known={**known, "width": width("46.5")})
    say("other-unit", "A reading in another unit, below its range: 50/254 in are 5 mm.",
        put_in(7, reading("measure.read", "width", "50/254", "[in_i]")), ("out-of-tolerance", 7), known={**known, "width": width("50/254", "[in_i]")})
    say("other-unit-in-range", "A reading in another unit that is accepted: 250/127 in are 50 mm.",
        put_in(7, reading("measure.read", "width", "250/127", "[in_i]")), known={**known, "width": width("250/127", "[in_i]")})
    typed = lambda value, **rest: reading("measure.read", "width", "47", "mm", typed=amount(value, "[in_i]"))
    say("typed", "Typed as 1.85 in (46.99 mm), recorded as 47 mm.", put_in(7, typed("1.85")), known={**known, "width": width("47")})
    say("typed-otherwise", "Typed as 2 in, recorded as 47 mm.", put_in(7, typed("2")), ("out-of-tolerance", 7), known={**known, "width": width("47")})
    say("no-such-unit", "A reading in a unit of another quantity is set aside; the next one counts.",
        put_in(7, reading("measure.read", "width", "46", "kg"), base[6]), ("out-of-tolerance", 7), set_aside=[7])
    say("no-such-choice", "A choice that the input does not have is set aside; the next one counts.",
        put_in(2, answer("arm", "wooden"), base[1]), ("out-of-tolerance", 2), set_aside=[2])
    say("torque-out", "A torque above its range.", put_in(10, torque("torque.record.rail", 1, "30")), ("out-of-tolerance", 10))
    say("torque-out-corrected", "It was a typing mistake.", put_in(10, torque("torque.record.rail", 1, "30"), correct(10, "23", "N.m")))
    say("torque-corrected-out", "A correction to a value that is not accepted is said at its own line.",
        put_in(10, base[9], correct(10, "30", "N.m")), ("out-of-tolerance", 11))
    say("torque-withdrawn", "Withdrawn and given again.", put_in(10, base[9], withdraw(10), base[9]), set_aside=[10])
    say("torque-twice", "The same fastening twice: the second does not fit.", put_in(10, base[9], base[9]), ("out-of-order", 11), set_aside=[11])
    say("no-such-fastening", "A fastening that the joint does not have.", put_in(10, base[9], torque("torque.record.rail", 3, "22")),
        ("out-of-order", 11), set_aside=[11])
    say("line-of-another-step", "A reading for a step that is not begun.", put_in(10, base[9], base[6]), ("out-of-order", 11), set_aside=[11])
    say("wrong-content", "A step is begun with another content than the checklist's.", put_in(9, begin("torque", mark="other"), base[8]),
        ("out-of-order", 9), set_aside=[9])
    say("wrong-occasion", "A step is begun for the second time before the first.", put_in(9, begin("torque", 2), base[8]),
        ("out-of-order", 9), set_aside=[9])
    say("after-the-end", "Nothing fits after `close`.", base + [{"type": "note", "text": "By the way"}], ("out-of-order", 15), set_aside=[15])
    say("withdrawn-twice", "What does not count cannot be withdrawn.", put_in(10, base[9], withdraw(10), withdraw(10), base[9]),
        ("out-of-order", 12), set_aside=[10, 12])
    say("corrected-otherwise", "A torque cannot become a choice.", put_in(10, base[9], correct(10, "yes")), ("out-of-order", 11), set_aside=[11])
    say("done-withdrawn", "A step is opened again after the next one was done: that one is done anew.",
        base[:12] + [withdraw(8, "Not all readings were right"), withdraw(7, "Read at the wrong place"),
                     reading("measure.read", "width", "48", "mm"), done("measure", "B. Fitter"), *base[8:]],
        set_aside=[7, 8, 9, 10, 11, 12], known={**known, "width": width("48")})
    say("done-without-its-reading", "The reading of a step that is done is withdrawn: the step is open again.",
        base[:8] + [withdraw(7)], ("missing", None), outcome="open", path=[("measure", 1, False)], set_aside=[7, 8],
        known={name: known[name] for name in ("arm", "side")},
        now={"waits": "lines", "step": "measure", "occasion": 1, "lines": ["measure.read"]})
    say("answer-withdrawn", "An answer is withdrawn in the middle: it comes first again, and what was done still counts.",
        base[:8] + [withdraw(3)], ("missing", None), outcome="open", path=path[:1], set_aside=[3],
        known={name: known[name] for name in ("arm", "width")}, now={"waits": "answer", "inputs": ["side"]})
    say("begin-withdrawn", "`withdraw` of a `begin` takes the whole occasion with it.",
        base[:11] + [withdraw(9, "Wrong step"), *base[8:]], set_aside=[9, 10, 11])


def group_16():
    """The members of version 1.1."""
    made = checklist(
        section("work", 1, step("torque", "1.1", message("torque.message.pinch"),
                                line("torque.record.rail", "record-torque", joint="rail", count=2)),
                handover(INSTALLER, "installer", "customer")),
        joints=[joint("rail", 2, "20", "24")])
    again = "Loosened and fitted with a new bolt."
    rail = lambda fastening, value, unit="N.m", **rest: torque("torque.record.rail", fastening, value, unit, **rest)
    opened = {**open_(made), "format": {"name": "fitwright-record", "version": "1.1.0"}}
    start = [opened, begin("torque"), acknowledge("torque.message.pinch")]
    ending = [sign(INSTALLER, "installer"), sign(INSTALLER, "customer", "C. Owner"), close()]
    job = lambda *events: [*start, *events, done("torque"), *ending]
    path = [("torque", 1)]
    say = lambda folder, about, events, *findings, judged=None, **rest: vector(
        f"16-{folder}", about, made, events, state(findings=findings, **{"path": path, **rest}), judged=judged)
    waiting = {"waits": "lines", "step": "torque", "occasion": 1, "lines": ["torque.record.rail"]}
    say("clicked", "A wrench that clicks: the torque is what it was set to, and is judged like any other.",
        job(rail(1, "22", clicked=True), rail(2, "22", clicked=True)))
    say("clicked-out", "It was set to too much.", job(rail(1, "25", clicked=True), rail(2, "22", clicked=True)), ("out-of-tolerance", 4))
    say("clicked-no-boolean", "`clicked` is no boolean: the event is malformed.", job(rail(1, "22", clicked="yes"), rail(2, "22")),
        ("unreadable", 4), judged=3, outcome="open", path=[("torque", 1, False)], now=waiting)
    say("remedied", "A torque above its range is kept with what was done about it, and a good one follows.",
        job(rail(1, "30", remedy=again), rail(1, "22"), rail(2, "22")), notes=[("remedied", 4)])
    say("remedied-twice", "The second one is not good either; the third one is.",
        job(rail(1, "30", remedy=again), rail(2, "22"), rail(1, "12", remedy="Tightened on."), rail(1, "23")),
        notes=[("remedied", 4), ("remedied", 6)])
    say("remedied-not-followed", "No good torque follows: the step lacks it.", job(rail(1, "30", remedy=again), rail(2, "22")),
        ("missing", 6), notes=[("remedied", 4)])
    say("remedied-followed-out", "What follows is out of tolerance, and says nothing of a remedy.",
        job(rail(1, "30", remedy=again), rail(1, "26"), rail(2, "22")), ("out-of-tolerance", 5), notes=[("remedied", 4)])
    say("remedied-too-late", "A fastening that has its torque takes no other.", job(rail(1, "22"), rail(1, "30", remedy=again), rail(2, "22")),
        ("out-of-order", 5), set_aside=[5])
    say("remedied-within", "A torque that needed no remedy is kept all the same, and another one is the fastening's.",
        job(rail(1, "22", remedy=again), rail(1, "23"), rail(2, "22")), notes=[("remedied", 4)])
    say("remedied-corrected", "The value that was kept is corrected: it is still not the fastening's own.",
        job(rail(1, "30", remedy=again), correct(4, "29", "N.m"), rail(1, "22"), rail(2, "22")), notes=[("remedied", 4)])
    say("remedied-withdrawn", "The remedy is withdrawn, and nothing is left to say of it.",
        job(rail(1, "30", remedy=again), withdraw(4), rail(1, "22"), rail(2, "22")), set_aside=[4])
    say("remedied-no-such-unit", "A remedy does not make a length a torque.", job(rail(1, "30", "mm", remedy=again), rail(1, "22"), rail(2, "22")),
        ("out-of-tolerance", 4), set_aside=[4])
    say("remedied-before-the-message", "It too comes after the messages.",
        [*start[:2], rail(1, "30", remedy=again), start[2], rail(1, "22"), rail(2, "22"), done("torque"), *ending], ("out-of-order", 3),
        notes=[("remedied", 3)])
    say("remedied-and-left", "The job stands still at a torque that was not done again.", [*start, rail(1, "30", remedy=again)],
        ("missing", None), outcome="open", notes=[("remedied", 4)], path=[("torque", 1, False)], now=waiting)
    say("remedy-empty", "An empty `remedy`: the event is malformed.", job(rail(1, "30", remedy="")), ("unreadable", 4), judged=3,
        outcome="open", path=[("torque", 1, False)], now=waiting)

    good = [rail(1, "22"), rail(2, "22"), done("torque")]
    drawn = "M100 200L140 80L180 200M120 150L160 150"
    signed = lambda *signs: [*start, *good, *signs, close()]
    installer, customer = sign(INSTALLER, "installer"), sign(INSTALLER, "customer", "C. Owner")
    say("drawn", "Signatures that were drawn.", signed({**installer, "drawing": drawn}, {**customer, "drawing": "M1 1L1 1"}))
    hands = {"waits": "sign", "handover": INSTALLER, "roles": ["installer", "customer"]}
    for folder, about, drawing in [
            ("drawn-curve", "A curve", "M0 0C1 1 2 2 3 3"), ("drawn-relative", "Steps from where the pen is", "M0 0l1 1"),
            ("drawn-fraction", "A fraction", "M0 0L1.5 1"), ("drawn-negative", "A negative number", "M0 0L-1 1"),
            ("drawn-dot", "A stroke without a line", "M0 0"), ("drawn-empty", "Nothing", ""),
            ("drawn-large", "A number of five digits", "M0 0L10000 1"), ("drawn-long", "More than 8,000 characters", "M0 0" + "L10 20" * 1400),
            ("drawn-markup", "Markup", 'M0 0L1 1"/><script>alert(1)</script>'), ("drawn-line-feed", "A line feed at the end", "M0 0L1 1\n"),
            ("drawn-list", "A list", ["M0 0L1 1"])]:
        say(folder, f"{about} is no drawing: the event is malformed.", signed({**installer, "drawing": drawing}), ("unreadable", 7),
            judged=6, outcome="open", now=hands)
    say("same-person", "One person signs as two: said, and the record is complete.",
        signed(installer, sign(INSTALLER, "customer")), notes=[("same-person", 8)])
    say("same-person-written-otherwise", "Case and white space make no other person.",
        signed(installer, sign(INSTALLER, "customer", " a.FITTER\u00a0")), notes=[("same-person", 8)])
    say("same-person-with-reason", "The reason is written down: it is said all the same.",
        signed(installer, sign(INSTALLER, "customer", reason="It is the fitter's own van.")), notes=[("same-person", 8)])
    say("same-person-withdrawn", "A signature that was withdrawn is nobody's.",
        signed(installer, sign(INSTALLER, "customer"), withdraw(8, "Signed for the customer"), customer), set_aside=[8])
    say("other-person", "Another name that begins alike.", signed(installer, sign(INSTALLER, "customer", "A. Fitters")))
    say("in-a-record-of-1.0", "The members count in whichever version of 1 the record was opened.",
        [{**open_(made)}, *start[1:], rail(1, "30", remedy=again), rail(1, "22", clicked=True), rail(2, "22"), done("torque"),
         {**installer, "drawing": drawn}, customer, close()], notes=[("remedied", 4)])
