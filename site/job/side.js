// Side views: the menu, undoing, changing a value, what was done. Each is a page of its own, with a way back.

import { h, fill, button, heading, paragraph, quiet, strong, textField } from "./dom.js";
import WORDS from "./words.js";
import { numberEntry } from "./number.js";
import { titleOf } from "./asking.js";
import { torqueEntry } from "./torque.js";
import { typedReading } from "./entry.js";
import { untrue, base } from "./conditions.js";
import { pressed, unitFields, contradiction } from "./views.js";
import { madeFor } from "./parts.js";
import { doneList, eventWords, recordReport } from "./report.js";

// Asks for one text, the reason where nothing else is asked, and hands it on. A text that is ready needs no other press.
export const textView = (
  app,
  { title, lead, ask, missing = ask ? WORDS.textMissing : WORDS.reasonMissing, says = title, press, ...more },
) => {
  const send = () => {
    const text = field.check();
    if (text) press(text);
  };
  const field = textField(app.ui, "reason", ask ?? WORDS.why, { missing, take: send, ...more });
  return { body: [heading(title), lead], side: h("div.ask", field.body), back: true, main: { says, press: send } };
};

export const undoView = (app) => {
  const entries = app.undoable();
  const said = entries.filter(({ event }) => event.type !== "begin");
  return textView(app, {
    title: WORDS.undo,
    lead: [
      paragraph(WORDS.undoWhat),
      h(
        "ul",
        said.map(({ now }) => h("li", strong(eventWords(app, now)))),
      ),
    ],
    ready: [WORDS.slip, WORDS.notFinished, WORDS.measuredAgain, WORDS.typedWrong],
    says: WORDS.undoNow,
    press: (reason) => app.act(...entries.map(({ event }) => ({ type: "withdraw", event: event.seq, reason }))),
  });
};

export const changeView = (app, { seq }) => {
  const { list, wording, ui, job } = app;
  const { event, now } = app.record.entries[seq - 1];
  let send;
  const reason = textField(ui, "reason", WORDS.why, {
    missing: WORDS.reasonMissing,
    ready: [WORDS.slip, WORDS.typedWrong, WORDS.measuredAgain],
    take: () => send(),
  });
  const input = list.inputs.get(event.input);
  const title = titleOf(app, event);
  const said = h("div");
  const write = (value) => {
    const { units, rules } = list;
    const known = new Map(job.known).set(event.input, {
      choice: value.choice,
      base: value.amount && base(value.amount, units),
    });
    const broken = event.type === "answer" && contradiction(rules.filter((rule) => untrue(rule, known, units)));
    if (broken) return fill(said, broken);
    const why = reason.check();
    if (why) app.act({ type: "correct", event: seq, ...value, reason: why });
  };
  const page = (body, press) => {
    send = press;
    return {
      body: [
        heading(WORDS.change),
        paragraph(title, ": ", strong(wording.value(now, event.input))),
        quiet(WORDS.changeLead),
        said,
        h("div.ask", reason.body),
      ],
      side: body,
      back: true,
      main: { says: WORDS.changeNow, press },
    };
  };
  if (event.type === "text") {
    const field = textField(ui, "entry", title, { missing: WORDS.textMissing });
    return page(h("div.ask", field.body), () => {
      const text = field.check();
      if (text) write({ text });
    });
  }
  if (input?.values) {
    // Of two answers the other one is meant.
    if (input.values.length === 2) ui.choice ??= input.values.find(({ id }) => id !== now.choice)?.id;
    const set = pressed(title, "entry", input.values, ui.choice ?? now.choice, (choice) => {
      ui.choice = choice;
    });
    return page(h("div.ask", set.body), () =>
      ui.choice && ui.choice !== now.choice ? write({ choice: ui.choice }) : set.refuse(WORDS.choose),
    );
  }
  const entry = numberEntry(app, {
    title,
    ...(input
      ? { own: list.unitOf(input), read: (text, unit) => typedReading(text, unit, input, list, job.known) }
      : torqueEntry(app, list.joints.get(list.lines.get(event.line).does.joint))),
    write: ({ amount }) => write({ amount }),
  });
  return page(entry.body, entry.main.press);
};

export const recordView = (app) => ({
  body: [heading(WORDS.report.title), recordReport(app)],
  back: !app.job.closed,
  more: [button(WORDS.saveRecord, app.saveRecord), button(WORDS.printRecord, () => print())],
});

const historyView = (app) => ({ body: [heading(WORDS.whatWasDone), doneList(app)], back: true });
const unitsView = (app) => ({ body: [heading(WORDS.setUnits), h("div.ask", unitFields(app))], back: true });

export const menuView = (app) => {
  const item = (label, press) => h("li", button(label, press));
  const go = (label, to) => item(label, () => app.go(to));
  const open = app.record && !app.job.closed;
  return {
    back: true,
    body: [
      heading(WORDS.menu),
      madeFor(app.list),
      h(
        "ul.choices",
        open && item(WORDS.saveSoFar, app.saveRecord),
        app.record && [go(WORDS.whatWasDone, { view: historyView }), go(WORDS.recordSoFar, { view: recordView })],
        go(WORDS.setUnits, { view: unitsView }),
        open && [
          go(WORDS.addNote, {
            view: textView,
            title: WORDS.addNote,
            ask: WORDS.report.remark,
            says: WORDS.writeDown,
            press: (text) => app.act({ type: "note", text }),
          }),
          go(WORDS.otherWorker, {
            view: textView,
            title: WORDS.otherWorker,
            ask: WORDS.otherName,
            says: WORDS.save,
            missing: WORDS.nameMissing,
            most: 200,
            press: app.worker,
          }),
          item(WORDS.breakOff, app.breakOff),
        ],
        app.record && item(WORDS.startOther, app.leave),
      ),
      quiet(WORDS.keysHelp),
    ],
  };
};
