// Side views: the menu, undoing, changing a value, what was done. Each is a page of its own, with a way back.

import { h, sentence } from "./dom.js";
import * as WORDS from "./words.js";
import { fault, faultBox } from "./parts.js";
import { numberEntry, titleOf } from "./step.js";
import { typedReading, typedTorque } from "./entry.js";
import { pressed, unitFields } from "./views.js";
import { doneList, eventWords, recordReport } from "./report.js";
import { base, bound } from "./conditions.js";
import { within } from "./typed.js";

const head = (title) => h("h1", { tabindex: "-1" }, title);

// A text that must be said, with ready-made ones to press. `read` gives it, or null after saying what is missing.
const textEntry = (id, label, ready, missing) => {
  const input = h("input", { id, maxlength: 4000, autocomplete: "off", "aria-describedby": `${id}-fault` });
  const place = h("div", { id: `${id}-fault`, "aria-live": "polite" });
  return {
    body: h("div", { class: "ask" }, h("label", { class: "of", for: id }, label), ready.length > 0 && h("div", { class: "pair" }, ready.map((text) =>
      h("button", { type: "button", onclick: () => { input.value = text; input.focus(); } }, text))), input, place),
    read() {
      const text = input.value.trim();
      if (text) return text;
      place.replaceChildren(h("div", { role: "alert" }, fault(missing)));
      input.focus();
      return null;
    },
  };
};

export const reasonView = (app, { title, lead, ready = [], label, press }) => {
  const entry = textEntry("reason", WORDS.why, ready, WORDS.reasonMissing);
  return { body: [head(title), lead && h("p", {}, lead), entry.body], back: true, main: { label, press: () => {
    const reason = entry.read();
    if (reason) press(reason);
  } } };
};

export const undoView = (app) => {
  const entries = app.undoable();
  const entry = textEntry("reason", WORDS.why, [WORDS.slip, WORDS.notFinished, WORDS.measuredAgain, WORDS.typedWrong], WORDS.reasonMissing);
  const said = entries.filter(({ event }) => event.type !== "begin" || entries.length === 1);
  return { body: [head(WORDS.undoTitle), h("p", {}, WORDS.undoWhat), h("ul", { class: "went" }, said.map(({ event, now }) =>
    h("li", {}, h("span", { class: "n" }, "–"), h("b", { dir: "auto" }, eventWords(app, now ?? event))))), entry.body],
  back: true, main: { label: WORDS.undoNow, press: () => {
    const reason = entry.read();
    if (reason) app.act(...entries.map(({ event }) => ({ type: "withdraw", event: event.seq, reason })));
  } } };
};

export const changeView = (app, { seq }) => {
  const { list, format, ui } = app;
  const { event, now } = app.record.entries[seq - 1];
  const reason = textEntry("reason", WORDS.why, [WORDS.typedWrong, WORDS.measuredAgain, WORDS.slip], WORDS.reasonMissing);
  const input = list.inputs.get(event.input);
  const write = (value) => {
    const why = value && reason.read();
    if (why) app.act({ type: "correct", event: seq, ...value, reason: why });
  };
  const page = (body, press) => ({ body: [head(WORDS.changeTitle), h("p", { dir: "auto" }, titleOf(app, now), ": ", h("b", {}, format.value(now, event.input))), h("p", { class: "quiet" }, WORDS.changeLead), body, reason.body],
    back: true, main: { label: WORDS.changeNow, press } });
  if (event.type === "text") {
    const text = textEntry("entry", titleOf(app, event), [], WORDS.reasonMissing);
    return page(text.body, () => write({ text: text.read() }));
  }
  if (input?.values) {
    const place = h("div", {});
    return page(h("div", { class: "ask" }, pressed(input.title, "choice", input.values.map((value) => [value.id, value.label]), now.choice, (choice) => { ui.choice = choice; }), place), () => {
      if (ui.choice && ui.choice !== now.choice) return write({ choice: ui.choice });
      place.replaceChildren(h("div", { role: "alert" }, fault(WORDS.choose)));
    });
  }
  const torque = event.type === "torque" && list.joints.get(list.lines.get(event.line).does.joint).torque;
  const own = torque ? list.units.get((torque.value || torque.low || torque.high).unit) : list.units.get((input.reads || input.low).unit);
  const read = torque ? (text, unit) => {
    const got = typedTorque(text, unit, torque, list);
    if (got.fault || within(got.base, bound(torque.low, list.units), bound(torque.high, list.units))) return got;
    return { ...got, refuse: () => faultBox(sentence(WORDS.torqueTitle, { value: format.inUnit(got.base, unit), shown: torque.shown })) };
  } : (text, unit) => typedReading(text, unit, input, list, app.job.known);
  const entry = numberEntry(app, { title: titleOf(app, event), own, read, near: torque ? base(torque.high || torque.low, list.units) : undefined, write: ({ amount }) => write({ amount }) });
  return page(entry.body, entry.main.press);
};

export const historyView = (app) => ({ body: [head(WORDS.whatWasDone), doneList(app)], back: true });

export const recordView = (app) => ({
  body: [head(WORDS.recordOf), recordReport(app)], back: !app.job.closed,
  more: [h("button", { onclick: () => app.saveRecord() }, WORDS.saveRecord), h("button", { onclick: () => print() }, WORDS.printRecord)],
});

export const unitsView = (app) => ({ body: [head(WORDS.setUnits), h("div", { class: "ask" }, unitFields(app))], back: true });

const textView = (title, label, button, missing, press) => () => {
  const entry = textEntry("entry", label, [], missing);
  return { body: [head(title), entry.body], back: true, main: { label: button, press: () => {
    const text = entry.read();
    if (text) press(text);
  } } };
};

export const menuView = (app) => {
  const go = (label, view) => h("li", {}, h("button", { class: "wide-button", onclick: () => app.go(view) }, label));
  const open = app.record && !app.job.closed;
  return { back: true, body: [head(WORDS.menu), h("ul", { class: "choices" },
    app.record && go(WORDS.whatWasDone, { view: historyView }), app.record && go(WORDS.recordSoFar, { view: recordView }), go(WORDS.setUnits, { view: unitsView }),
    open && go(WORDS.addNote, { view: textView(WORDS.addNote, WORDS.noteText, WORDS.writeDown, WORDS.reasonMissing, (text) => app.act({ type: "note", text })) }),
    open && go(WORDS.otherWorker, { view: textView(WORDS.otherWorker, WORDS.otherName, WORDS.save, WORDS.nameMissing, (name) => app.worker(name.slice(0, 200))) }),
    open && h("li", {}, h("button", { class: "wide-button", onclick: () => app.breakOff() }, WORDS.breakOff)),
    app.record && h("li", {}, h("button", { class: "wide-button", onclick: () => app.leave() }, WORDS.startOther))),
  h("p", { class: "quiet" }, WORDS.keysHelp)] };
};
