// The view of a step: its messages one by one, then what is done, then what is written down.

import { h, sentence } from "./dom.js";
import * as WORDS from "./words.js";
import { askedLine } from "./checklist.js";
import { typedReading, typedTorque } from "./entry.js";
import { line as shown, panel, row, fault, faultBox, scaleOf, scaleOfTorque, classesOf, whys } from "./parts.js";
import { unitFor } from "./units.js";
import { base, bound } from "./conditions.js";
import { within } from "./typed.js";
import { statements } from "./checklist.js";

const nextAsk = (step, given) => {
  for (const line of step.lines) {
    const [ask] = askedLine(line, given);
    if (ask) return { line, ...ask };
  }
  return null;
};

export const stepHead = (app, step, isCheck) => {
  const section = app.list.sectionOf.get(step.id);
  const { takes } = step;
  return [
    section && h("p", { class: "over", dir: "auto" }, `${section.number} ${section.title}`),
    h("h1", { tabindex: "-1", dir: "auto" }, h("span", { class: "n" }, step.number), " ", isCheck ? `${WORDS.check} ` : "", step.title),
    takes && h("p", { class: "facts" }, h("span", {}, takes.time.shown),
      takes.people > 1 && h("b", {}, sentence(WORDS.people, { n: takes.people }))),
  ];
};

export const stepView = (app) => {
  const { step, check, given, repairs } = app.now.begun;
  const { path } = app.job;
  const before = path.length > 1 ? path[path.length - 2].log : app.job.opening;
  const messages = step.lines.filter((line) => line.does.kind === "message");
  const unread = messages.filter((line) => askedLine(line, given).length);
  const top = [stepHead(app, step, check),
    repairs > 0 && h("p", { class: "quiet" }, sentence(WORDS.of1, { n: repairs, all: check.repair.times })),
    whys(app, before || [])];
  const panels = messages.filter((line) => !unread.slice(1).includes(line)).map((line) => panel(line.does, line !== unread[0]));
  if (unread.length) return {
    body: [top, h("p", { class: "quiet" }, sentence(WORDS.message, { n: messages.length - unread.length + 1, all: messages.length })), panels],
    main: { label: WORDS.understood, press: () => app.act({ type: "acknowledge", line: unread[0].id }) },
  };
  const ask = nextAsk(step, given);
  const asks = step.lines.filter((line) => ["read", "record-torque", "record-text", "record-photo"].includes(line.does.kind));
  const current = ask && asking(app, ask);
  const rows = step.lines.filter((line) => line.does.kind !== "message").map((line) =>
    asks.includes(line) ? [had(app, line, given), ask?.line === line ? current.body : waiting(app, line, given)] : shown(app, line));
  const helpers = !ask && step.takes?.people > 1 ? helperField(app, step.takes.people) : null;
  return {
    body: [top, panels, h("div", { class: "rows" }, rows),
      check && h("div", { class: "why" }, row(WORDS.rightWhen, check.expects.map((of) => h("p", {}, app.format.condition(of))))),
      helpers?.body],
    main: ask ? current.main : {
      label: WORDS.done,
      press: () => {
        const names = helpers ? helpers.names() : [];
        if (names) app.act({ type: "done", step: step.id, ...(names.length ? { with: names } : {}) });
      },
    },
    hint: current?.hint,
  };
};

const helperField = (app, people) => {
  const last = app.job.path.findLast((one) => one.event?.with)?.event.with.join(", ") ?? "";
  const input = h("input", { id: "helpers", autocomplete: "off", maxlength: 400, value: app.ui.helpers ?? last, "aria-describedby": "helpers-fault",
    oninput: () => { app.ui.helpers = input.value; } });
  const place = h("div", { id: "helpers-fault", "aria-live": "polite" });
  return {
    body: h("div", { class: "ask" }, h("label", { class: "field", for: "helpers" }, h("span", {}, WORDS.secondPerson)), input, place),
    names() {
      const names = input.value.split(",").map((name) => name.trim().slice(0, 200)).filter(Boolean);
      if (new Set(names).size >= people - 1) return names;
      place.replaceChildren(fault(sentence(WORDS.personMissing, { n: people })));
      input.setAttribute("aria-invalid", "true");
      input.focus();
      return null;
    },
  };
};

// What was written down on this occasion, with a way to change it.
const had = (app, line, given) => {
  const events = [...given].filter(([key]) => key.startsWith(`${line.id} `)).map(([, event]) => event);
  if (!events.length) return null;
  if (line.does.kind === "record-torque") return null;
  return events.map((event) => row(titleOf(app, event), h("b", { class: event.amount ? "big" : null }, app.format.value(event, event.input)),
    event.type === "photo" && h("p", { class: "with" }, sentence(WORDS.photoSaved, { file: event.file })),
    event.type === "leave-out" && sentence(WORDS.leftOut, { reason: event.reason }), " ",
    ["reading", "text"].includes(event.type) && h("button", { class: "plain", onclick: () => app.change(event.seq) }, WORDS.change)));
};

export const titleOf = ({ list, format }, event) => {
  if (event.input) return format.title(event.input);
  const { does } = list.lines.get(event.line) || { does: {} };
  return does.what ?? list.joints.get(does.joint)?.title ?? "";
};

const waiting = (app, line, given) => {
  const asks = askedLine(line, given);
  if (!asks.length) return line.does.kind === "record-torque" ? torques(app, line, given, 0) : null;
  const joint = app.list.joints.get(line.does.joint);
  const titles = joint ? [joint.title] : line.does.what ? [line.does.what] : asks.map((ask) => app.format.title(ask.input));
  return row(WORDS.asked, titles.map((title) => h("p", { class: "quiet" }, title)));
};

const torques = ({ format, change }, line, given, at) => h("ul", { class: "torques" }, Array.from({ length: line.does.count }, (_, i) => {
  const event = given.get(`${line.id} ${i + 1}`);
  return h("li", { class: event ? "had" : i + 1 === at ? "now" : null }, h("span", {}, sentence(WORDS.tighten1, { n: i + 1 })),
    event ? h("button", { class: "plain", title: WORDS.change, onclick: () => change(event.seq) }, format.value(event)) : "–");
}));

const asking = (app, ask) => {
  const { does } = ask.line;
  if (does.kind === "record-text") return askText(app, ask.line.id, does.what);
  if (does.kind === "record-photo") return askPhoto(app, ask.line.id, does.what);
  if (does.kind === "record-torque") return askTorque(app, ask);
  const input = app.list.inputs.get(ask.input);
  const write = (value) => app.act({ type: "reading", line: ask.line.id, input: input.id, ...value });
  if (input.values) return askChoice(input, (choice) => write({ choice }));
  return numberEntry(app, {
    input, title: input.title,
    own: app.list.units.get((input.reads || input.low).unit),
    read: (text, unit) => typedReading(text, unit, input, app.list, app.job.known),
    scale: (value) => readingScale(app, input, value),
    write: ({ amount, typed }) => write({ amount, ...(typed ? { typed } : {}), ...(input.tool ? { tool: input.tool } : {}) }),
  });
};

const askChoice = (input, write) => ({
  body: h("fieldset", { class: "ask" }, h("legend", { dir: "auto" }, input.title),
    h("div", { class: `choices${input.values.length === 2 ? " two" : ""}` },
      input.values.map((value) => h("button", { type: "button", "data-choice": value.id, onclick: () => write(value.id) }, value.label)))),
  hint: WORDS.answerAbove,
});

// The scale under a reading: what the check expects of it, or the arms of the branch that it decides.
const readingScale = (app, input, value) => {
  const { check } = app.now.begun;
  const about = JSON.stringify(check?.expects ?? "").includes(`"${input.id}"`) ? check
    : app.list.checklist.flow.flatMap((section) => [...statements(section.body)]).find((node) => node.kind === "choose" && node.input === input.id);
  if (!about) return null;
  const conditions = about.expects || about.arms.map((arm) => arm.when);
  return scaleOf(app, input, classesOf(app, about), conditions, value, app.room());
};

// A field for a number, with its units, how it is read, its scale, and large keys where fingers press.
export const numberEntry = (app, { title, own, read, scale, write, more, near }) => {
  const { format, preferences, ui } = app;
  const other = unitFor(app.list.units, own, own.system === "metric" ? "inch" : "metric", near);
  const units = [own, other].filter((unit, i, all) => all.indexOf(unit) === i);
  const unit = () => ui.unit && units.includes(ui.unit) ? ui.unit : unitFor(app.list.units, own, preferences.system, near);
  const readAs = h("p", { class: "read-as", id: "read-as", "aria-live": "polite" });
  const drawn = h("div", {});
  const refused = h("div", { id: "refused" });
  const field = h("input", { id: "entry", autocomplete: "off", maxlength: 24, placeholder: "–", value: ui.draft ?? "",
    inputmode: app.coarse() ? "none" : "decimal", "aria-describedby": "read-as refused" });
  const update = () => {
    const got = field.value.trim() ? read(field.value, unit()) : {};
    readAs.replaceChildren(...(got.amount ? [sentence(WORDS.readAs, { value: format.amount(got.amount) })] : []));
    drawn.replaceChildren(...[scale?.(got.base ?? got.value ?? null)].filter(Boolean));
  };
  const typed = () => {
    ui.draft = field.value;
    field.removeAttribute("aria-invalid");
    refused.replaceChildren();
    update();
  };
  field.addEventListener("input", typed);
  const toggle = h("div", { class: "units" }, units.length < 2 ? h("span", { class: "only" }, own.symbol)
    : units.map((one) => h("button", { type: "button", "aria-pressed": String(one === unit()), onclick: ({ currentTarget }) => {
      ui.unit = one;
      for (const button of toggle.children) button.setAttribute("aria-pressed", String(button === currentTarget));
      typed();
      field.focus();
    } }, one.symbol)));
  const press = () => {
    const got = read(field.value, unit());
    const problem = got.fault ? h("div", { role: "alert" }, fault(refusal(app, got, unit()))) : got.refuse?.();
    if (!problem) return write(got);
    refused.replaceChildren(problem);
    field.setAttribute("aria-invalid", "true");
    field.focus();
    field.select();
  };
  update();
  return {
    body: h("div", { class: "ask" }, h("label", { class: "of", for: "entry", dir: "auto" }, title), more, h("div", { class: "entry" }, field, toggle),
      refused, readAs, drawn, app.coarse() && keys(app, field, () => unit().system === "inch", typed)),
    main: { label: WORDS.writeDown, press },
  };
};

const keys = ({ preferences }, field, fractions, typed) => {
  const put = (text) => {
    field.value = text === "⌫" ? field.value.slice(0, -1) : (field.value + text).slice(0, 24);
    typed();
  };
  const key = (text, label) => h("button", { type: "button", tabindex: "-1", "aria-label": label, onpointerdown: (event) => event.preventDefault(), onclick: () => put(text) }, text === " " ? "␣" : text);
  const inch = fractions();
  return h("div", { class: "keys", role: "group", "aria-label": WORDS.keypad },
    ["7", "8", "9"].map((digit) => key(digit)), key("⌫", WORDS.erase), ["4", "5", "6"].map((digit) => key(digit)), key(preferences.sign, WORDS.sign),
    ["1", "2", "3"].map((digit) => key(digit)), inch ? key("/", WORDS.fractionKey) : key("-"), key("0"), inch ? key(" ", WORDS.spaceKey) : null);
};

// Why a typed number is not taken, and what to do.
export const refusal = ({ format, list }, got, unit) => {
  const at = (value) => value && value.d ? format.inUnit(value, got.own || unit) : value;
  const number = (text) => text && format.sign(text);
  return sentence(WORDS.FAULTS[got.fault], {
    sign: format.sign("."), value: got.value && format.inUnit(got.value, unit), low: at(got.low), high: at(got.high), below: at(got.below), above: at(got.above),
    reads: got.reads && format.amount(got.reads), decimal: number(got.decimal), whole: number(got.whole), unit: (got.own || unit).symbol, list: list.digest,
  });
};

const askTorque = (app, ask) => {
  const { list, format, job } = app;
  const { does } = ask.line;
  const joint = list.joints.get(does.joint);
  const own = list.units.get((joint.torque.value || joint.torque.low || joint.torque.high).unit);
  const [low, high] = [bound(joint.torque.low, list.units), bound(joint.torque.high, list.units)];
  const tool = app.now.begun.step.lines.filter((line) => line.does.kind === "tighten" && line.does.joint === joint.id)
    .flatMap((line) => line.does.tools.flatMap((place) => place.any_of)).find((id) => list.tools.get(id)?.torque);
  const last = app.record.entries.findLast((entry) => entry.counts && entry.event.tool === tool && entry.event.type === "torque")?.event.instrument;
  const { shown: wanted } = joint.torque;
  const mark = tool && h("label", { class: "field" }, h("span", { class: "hint" }, sentence(WORDS.instrument, { tool: list.tools.get(tool).title })),
    h("input", { id: "instrument", maxlength: 100, autocomplete: "off", value: app.ui.instrument ?? last ?? "", oninput: (event) => { app.ui.instrument = event.target.value; } }));
  const entry = numberEntry(app, {
    own, near: base({ value: (joint.torque.high || joint.torque.low).value, unit: own.code }, list.units),
    title: does.count > 1 ? sentence(WORDS.torqueOf, { n: ask.fastening, all: does.count, title: joint.title }) : joint.title,
    more: [h("p", {}, WORDS.LABELS.tighten, " ", WORDS.to, " ", h("b", { class: "big" }, wanted)), torques(app, ask.line, app.now.begun.given, ask.fastening)],
    scale: (value) => scaleOfTorque(app, joint, value, app.room()),
    read: (text, unit) => {
      const got = typedTorque(text, unit, joint.torque, list);
      if (got.fault || within(got.base, low, high)) return got;
      const under = low && !within(got.base, low, null);
      return { ...got, refuse: () => faultBox(sentence(WORDS.torqueTitle, { value: format.inUnit(got.base, unit), shown: wanted }),
        h("p", {}, sentence(under ? WORDS.torqueUnder : WORDS.torqueOver, { shown: wanted }))) };
    },
    write: ({ amount }) => {
      const instrument = app.ui.instrument ?? last;
      app.act({ type: "torque", line: ask.line.id, fastening: ask.fastening, amount, ...(tool ? { tool } : {}), ...(instrument?.trim() ? { instrument: instrument.trim() } : {}) });
    },
  });
  if (ask.fastening === 1 && mark && job) entry.body.append(mark);
  return entry;
};

const askText = (app, id, what) => {
  const place = h("div", { id: "refused", "aria-live": "polite" });
  const field = h("input", { id: "entry", maxlength: 4000, autocomplete: "off", value: app.ui.draft ?? "", "aria-describedby": "refused", oninput: () => { app.ui.draft = field.value; } });
  return {
    body: h("div", { class: "ask" }, h("label", { class: "of", for: "entry", dir: "auto" }, what), field, place),
    main: { label: WORDS.writeDown, press: () => {
      if (field.value.trim()) return app.act({ type: "text", line: id, text: field.value.trim() });
      place.replaceChildren(fault(WORDS.reasonMissing));
      field.focus();
    } },
  };
};

const askPhoto = (app, id, what) => {
  const pick = h("input", { id: "picture", type: "file", accept: "image/*", class: "unseen", tabindex: "-1", "aria-hidden": "true", onchange: () => pick.files[0] && app.photo(id, pick.files[0]) });
  return {
    body: h("div", { class: "ask" }, h("p", { class: "of", dir: "auto" }, sentence(WORDS.photo, { what })), pick,
      h("div", { class: "pair" }, h("button", { type: "button", onclick: () => pick.click() }, WORDS.takePhoto),
        h("button", { type: "button", onclick: () => app.reason(WORDS.whyNoPhoto, [], WORDS.noPhoto, (reason) => app.act({ type: "leave-out", line: id, reason })) }, WORDS.noPhoto))),
    hint: "",
  };
};
