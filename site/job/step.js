// The view of a step: its messages one by one, then what is done, then what is written down.

import { h, button, heading, paragraph, quiet, strong, textField, complain, sentence } from "./dom.js";
import * as WORDS from "./words.js";
import { askedLine } from "./checklist.js";
import { typedReading, typedTorque } from "./entry.js";
import { numberEntry } from "./number.js";
import { line as shown, panel, row, choices, faultBox, scaleOf, scaleOfTorque, classesOf, whys } from "./parts.js";
import { base, bound } from "./conditions.js";
import { within } from "./typed.js";
import { remedyBox } from "./remedy.js";
import { slipRows } from "./slip.js";
import { codeReader } from "./camera.js";

const ASKING = ["read", "record-torque", "record-text", "record-photo"];

const stepHead = ({ list }, step, isCheck) => {
  const section = list.sectionOf.get(step.id);
  const { takes } = step;
  return [
    h("p.over", `${section.number} ${section.title}`),
    heading(h("span.n", step.number), " ", isCheck ? `${WORDS.check} ` : "", step.title),
    takes && h("p.facts", takes.time.shown, takes.people > 1 && strong(sentence(WORDS.people, { n: takes.people }))),
  ];
};

export const stepView = (app) => {
  const { step, check, given, repairs } = app.now.begun;
  const { path } = app.job;
  const before = path.length > 1 ? path[path.length - 2].log : app.job.opening;
  const messages = step.lines.filter((line) => line.does.kind === "message");
  const unread = messages.filter((line) => askedLine(line, given).length);
  const top = [stepHead(app, step, check), repairs && quiet(sentence(WORDS.of1, { n: repairs, all: check.repair.times })), whys(app, before || []), !given.size && slipRows(app)];
  const panels = messages.filter((line) => !unread.slice(1).includes(line)).map((line) => panel(line.does, line !== unread[0]));
  if (unread.length) return {
    body: [top, messages.length > 1 && quiet(sentence(WORDS.message, { n: messages.length - unread.length + 1, all: messages.length })), panels],
    main: { says: WORDS.understood, press: () => app.act({ type: "acknowledge", line: unread[0].id }) },
  };
  const asks = step.lines.filter((line) => ASKING.includes(line.does.kind));
  const line = asks.find((one) => askedLine(one, given).length);
  const current = line && asking(app, line, askedLine(line, given)[0]);
  const rows = step.lines.filter((one) => !messages.includes(one)).map((one) =>
    asks.includes(one) ? [had(app, one, given), line === one ? current.body : waiting(app, one, given)] : shown(app, one));
  const helpers = !line && step.takes?.people > 1 ? helperField(app, step.takes.people) : null;
  return {
    body: [top, panels, h("div.rows", rows),
      check && h("div.why", row(WORDS.rightWhen, check.expects.map((of) => paragraph(app.wording.condition(of))))), helpers && h("div.ask", helpers.body)],
    main: line ? current.main : {
      says: WORDS.done,
      press() {
        const text = helpers?.check();
        if (text !== "") app.act({ type: "done", step: step.id, ...(text && { with: names(text) }) });
      },
    },
    hint: current?.hint,
  };
};

// The names of who helps, with commas between.
const names = (text) => [...new Set(text.split(",").map((name) => name.trim().slice(0, 200)).filter(Boolean))];
const helperField = ({ job, ui }, people) => textField(ui, "helpers", WORDS.secondPerson, {
  most: 400, value: job.path.findLast((one) => one.event?.with)?.event.with.join(", "),
  missing: sentence(WORDS.personMissing, { n: people }), fits: (text) => names(text).length >= people - 1,
});

export const titleOf = ({ list, wording }, event) => {
  if (event.input) return wording.title(event.input);
  const { does } = list.lines.get(event.line) || { does: {} };
  return does.what ?? (does.joint ? wording.named("joints", does.joint) : event.line ?? "");
};

// What was written down on this occasion, with a way to change it.
const had = (app, line, given) => line.does.kind === "record-torque" ? null :
  [...given].filter(([key]) => key.startsWith(`${line.id} `)).map(([, event]) => row(WORDS.had, titleOf(app, event), " ",
    h("b", { class: event.amount && "big" }, app.wording.value(event, event.input)),
    event.file && WORDS.photoSaved, event.reason && sentence(WORDS.leftOut, { reason: event.reason }), " ",
    ["reading", "text"].includes(event.type) && button(WORDS.change, () => app.change(event.seq), { class: "plain" })));

const waiting = (app, line, given) => {
  const asks = askedLine(line, given);
  const { does } = line;
  if (!asks.length) return does.kind === "record-torque" && row(WORDS.had, app.wording.named("joints", does.joint), torques(app, line, given));
  const titles = does.joint ? [app.wording.named("joints", does.joint)] : does.what ? [does.what] : asks.map((ask) => app.wording.title(ask.input));
  return row(WORDS.asked, titles.map((title) => quiet(title)));
};

const torques = ({ wording, change }, line, given, at) => h("ul.torques", Array.from({ length: line.does.count }, (_, i) => {
  const event = given.get(`${line.id} ${i + 1}`);
  return h("li", { class: event ? "had" : i + 1 === at && "now" }, h("span", sentence(WORDS.tighten1, { n: i + 1 })),
    event ? button(wording.value(event), () => change(event.seq), { class: "plain", title: WORDS.change }) : "–");
}));

// The field of what is asked now.
const asking = (app, line, ask) => {
  const { does } = line;
  if (does.kind === "record-text") return askText(app, line.id, does.what);
  if (does.kind === "record-photo") return askPhoto(app, line.id, does.what);
  if (does.kind === "record-torque") return askTorque(app, line, ask);
  const input = app.list.inputs.get(ask.input);
  const write = (value) => app.act({ type: "reading", line: line.id, input: input.id, ...value });
  if (input.values) return { body: h("fieldset.ask", h("legend", input.title), choices(input.values, (choice) => write({ choice }))), hint: WORDS.answerAbove };
  return numberEntry(app, {
    title: input.title,
    own: app.list.unitOf(input),
    read: (text, unit) => typedReading(text, unit, input, app.list, app.job.known),
    scale: (value) => readingScale(app, input, value),
    write: ({ amount, typed }) => write({ amount, ...(typed ? { typed } : {}), ...(input.tool ? { tool: input.tool } : {}) }),
  });
};

// The scale under a reading: what the check expects of it, or the arms of the branch that it decides.
const readingScale = (app, input, value) => {
  const { check } = app.now.begun;
  const about = JSON.stringify(check?.expects ?? "").includes(`"${input.id}"`) ? check
    : app.list.nodes.find((node) => node.kind === "choose" && node.input === input.id);
  return about ? scaleOf(app, input, classesOf(app, about), about.expects || about.arms.map((arm) => arm.when), value) : null;
};

// What `own` and `read` of a number entry are for the torque of a joint.
export const torqueEntry = ({ list, wording }, joint) => {
  const torque = joint.torque ?? { shown: "" };
  const end = torque.high || torque.low;
  const [low, high] = [bound(torque.low, list.units), bound(torque.high, list.units)];
  return {
    own: end ? list.units.get(end.unit) : [...list.units.values()].find((unit) => unit.quantity === "torque"),
    near: end && base(end, list.units),
    read(text, unit) {
      const got = typedTorque(text, unit, torque, list);
      if (got.fault || within(got.base, low, high)) return got;
      const under = low && !within(got.base, low, null);
      const about = { under, title: sentence(WORDS.torqueTitle, { value: wording.inUnit(got.base, unit), shown: torque.shown }),
        lead: sentence(under ? WORDS.torqueUnder : WORDS.torqueOver, torque) };
      return { ...got, about, refuse: () => faultBox(about.title, paragraph(about.lead)) };
    },
  };
};

const askTorque = (app, line, { fastening }) => {
  const { list, record, ui } = app;
  const { joint: id, count } = line.does;
  const joint = list.joints.get(id);
  const { begun } = app.now;
  const tool = begun.step.lines.filter(({ does }) => does.kind === "tighten" && does.joint === id)
    .flatMap(({ does }) => does.tools.flatMap((place) => place.any_of)).find((one) => list.tools.get(one)?.torque);
  const last = record.entries.findLast(({ counts, event }) => counts && tool && event.tool === tool && event.type === "torque")?.event.instrument ?? "";
  const own = torqueEntry(app, joint);
  const write = ({ amount }, more) => {
    const instrument = (ui.instrument ?? last).trim();
    app.act({ type: "torque", line: line.id, fastening, amount, ...more, ...(tool ? { tool } : {}), ...(instrument ? { instrument } : {}) });
  };
  const entry = numberEntry(app, {
    ...own,
    read(...typed) {
      const got = own.read(...typed);
      return got.about ? { ...got, refuse: () => remedyBox(ui, { ...got.about, write: (remedy) => write(got, { remedy }) }) } : got;
    },
    title: count > 1 ? sentence(WORDS.torqueOf, { n: fastening, all: count, title: joint.title }) : joint.title,
    more: [joint.torque && paragraph(WORDS.LABELS.tighten, " ", WORDS.to, " ", h("b.big", joint.torque.shown)), torques(app, line, begun.given, fastening)],
    scale: (value) => scaleOfTorque(app, joint, value),
    write: (got) => write(got),
  });
  if (fastening === 1 && tool) entry.body.append(...textField(ui, "instrument", sentence(WORDS.instrument, { tool: list.tools.get(tool).title }), { most: 100, value: last }).body.filter(Boolean));
  return entry;
};

const askText = (app, id, what) => {
  const field = textField(app.ui, "entry", what, { missing: WORDS.textMissing });
  const body = h("div.ask", field.body);
  const camera = codeReader((code) => {
    app.ui.entry = body.querySelector("input").value = code;
  });
  if (camera) body.append(camera);
  return { body, main: { says: WORDS.writeDown, press() {
    const text = field.check();
    if (text) app.act({ type: "text", line: id, text });
  } } };
};

const askPhoto = (app, id, what) => {
  const pick = h("input", { id: "picture", type: "file", accept: "image/*", class: "unseen", tabindex: -1, "aria-hidden": true, async onchange() {
    const fault = pick.files[0] && await app.photo(id, pick.files[0]);
    if (fault) complain(said, fault);
  } });
  const said = h("div");
  return {
    body: h("div.ask", h("p.of", sentence(WORDS.photo, { what })), pick, said, h("div.pair",
      button(WORDS.takePhoto, () => pick.click()),
      button(WORDS.noPhoto, () => app.reason({ title: WORDS.noPhoto, ask: WORDS.whyNoPhoto, press: (reason) => app.act({ type: "leave-out", line: id, reason }) })))),
    hint: "",
  };
};
