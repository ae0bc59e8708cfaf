// Side views: the menu, undoing, changing a value, what was done. Each is a page of its own, with a way back.

import { h, button, heading, paragraph, quiet, strong, input as inputField, faultPlace, complain } from "./dom.js";
import * as WORDS from "./words.js";
import { numberEntry } from "./number.js";
import { titleOf, torqueEntry } from "./step.js";
import { typedReading } from "./entry.js";
import { untrue, base } from "./conditions.js";
import { pressed, unitFields, contradiction } from "./views.js";
import { doneList, eventWords, recordReport } from "./report.js";

// A text that must be said, with ready-made ones to press. `read` gives it, or null after saying what is missing.
const textEntry = (id, label, ready = [], missing = WORDS.textMissing, most = 4000) => {
  const field = inputField(id, most);
  const place = faultPlace(id);
  return {
    body: h("div.ask", h("label.of", { for: id, dir: "auto" }, label), ready.length > 0 && h("div.pair", ready.map((text) =>
      button(text, () => { field.value = text; field.focus(); }))), field, place),
    read() {
      const text = field.value.trim();
      if (text) return text;
      complain(place, missing);
      field.focus();
      return null;
    },
  };
};

// Asks for one text and hands it on.
export const textView = (app, { title, lead, ask, ready, missing, label, press, most }) => {
  const entry = textEntry("reason", ask ?? WORDS.why, ready, missing, most);
  return { body: [heading(title), lead, entry.body], back: true, main: { label, press() {
    const text = entry.read();
    if (text) press(text);
  } } };
};

export const undoView = (app) => {
  const entries = app.undoable();
  const said = entries.filter(({ event }) => event.type !== "begin");
  return textView(app, { title: WORDS.undo, lead: [paragraph(WORDS.undoWhat), h("ul", said.map(({ now }) => h("li", strong(eventWords(app, now)))))],
    ready: [WORDS.slip, WORDS.notFinished, WORDS.measuredAgain, WORDS.typedWrong], missing: WORDS.reasonMissing, label: WORDS.undoNow,
    press: (reason) => app.act(...entries.map(({ event }) => ({ type: "withdraw", event: event.seq, reason }))) });
};

export const changeView = (app, { seq }) => {
  const { list, format, ui, job } = app;
  const { event, now } = app.record.entries[seq - 1];
  const reason = textEntry("reason", WORDS.why, [WORDS.typedWrong, WORDS.measuredAgain], WORDS.reasonMissing);
  const input = list.inputs.get(event.input);
  const title = titleOf(app, event);
  const said = h("div");
  const write = (value) => {
    const { units, checklist: { rules } } = list;
    const known = new Map(job.known).set(event.input, { choice: value.choice, base: value.amount && base(value.amount, units) });
    const broken = event.type === "answer" && contradiction(rules.filter((rule) => untrue(rule, known, units)));
    if (broken) return said.replaceChildren(broken);
    const why = reason.read();
    if (why) app.act({ type: "correct", event: seq, ...value, reason: why });
  };
  const page = (body, press) => ({ body: [heading(WORDS.change), paragraph(title, ": ", strong(format.value(now, event.input))), quiet(WORDS.changeLead), body, said, reason.body],
    back: true, main: { label: WORDS.changeNow, press } });
  if (event.type === "text") {
    const text = textEntry("entry", title);
    return page(text.body, () => {
      const said = text.read();
      if (said) write({ text: said });
    });
  }
  if (input?.values) {
    const set = pressed(title, "entry", input.values.map((value) => [value.id, value.label]), now.choice, (choice) => { ui.choice = choice; });
    return page(h("div.ask", set), () => (ui.choice && ui.choice !== now.choice ? write({ choice: ui.choice }) : complain(set.lastChild, WORDS.choose)));
  }
  const entry = numberEntry(app, { title, ...(input ? { own: list.unitOf(input), read: (text, unit) => typedReading(text, unit, input, list, job.known) }
    : torqueEntry(app, list.joints.get(list.lines.get(event.line).does.joint))), write: ({ amount }) => write({ amount }) });
  return page(entry.body, entry.main.press);
};

export const recordView = (app) => ({
  body: [heading(WORDS.recordOf), recordReport(app)], back: !app.job.closed,
  more: [button(WORDS.saveRecord, app.saveRecord), button(WORDS.printRecord, () => print())],
});

const historyView = (app) => ({ body: [heading(WORDS.whatWasDone), doneList(app)], back: true });
const unitsView = (app) => ({ body: [heading(WORDS.setUnits), h("div.ask", unitFields(app))], back: true });

export const menuView = (app) => {
  const item = (label, press) => h("li", button(label, press));
  const go = (label, to) => item(label, () => app.go(to));
  const open = app.record && !app.job.closed;
  return { back: true, body: [heading(WORDS.menu), h("ul", { class: "choices" },
    app.record && [go(WORDS.whatWasDone, { view: historyView }), go(WORDS.recordSoFar, { view: recordView })], go(WORDS.setUnits, { view: unitsView }),
    open && [go(WORDS.addNote, { view: textView, title: WORDS.addNote, ask: WORDS.noteText, label: WORDS.writeDown, press: (text) => app.act({ type: "note", text }) }),
      go(WORDS.otherWorker, { view: textView, title: WORDS.otherWorker, ask: WORDS.otherName, label: WORDS.save, missing: WORDS.nameMissing, most: 200, press: app.worker }),
      item(WORDS.breakOff, app.breakOff)],
    app.record && item(WORDS.startOther, app.leave)),
  quiet(WORDS.keysHelp)] };
};
