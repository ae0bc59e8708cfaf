// Runs in the browser, bundled with the modules of the job page: draws every view of a job, also of branches that no one job comes to, and
// gives what stands on it, by the step that it is about. The state is made up; the views are those of the page.
import { readChecklist, askedLine, stepOf, rangeOf } from "../../site/job/checklist.js";
import { unpacked } from "../../site/job/packed.js";
import { formatter } from "../../site/job/format.js";
import { stepView } from "../../site/job/step.js";
import { startView } from "../../site/job/views.js";
import { layOutView } from "../../site/job/layout.js";
import { stopView, handoverView } from "../../site/job/ends.js";
import { rolesOf } from "../../site/job/walk.js";
import { h, fill } from "../../site/job/dom.js";
import { whys } from "../../site/job/parts.js";
import { base } from "../../site/job/conditions.js";
import WORDS from "../../site/job/words.js";

const BLOCKS = /^(p|div|li|ul|ol|dl|dt|dd|h\d|fieldset|legend|figure|figcaption|label|button|input|td|th|tr|section|article|span)$/;

// Text as it is read: what stands in elements of its own is apart; of a picture its words.
const textOf = (node) => {
  if (node.nodeType === 3) return node.data;
  if (node.localName === "svg") return "";
  // The words of a picture are those of its `alt`; a picture that another step shows stands here folded, and is of that step.
  if (node.localName === "details" || node.getAttribute("aria-hidden") === "true") return "";
  const inner = node.localName === "img" ? node.alt : [...node.childNodes].map(textOf).join("");
  return BLOCKS.test(node.localName) ? ` ${inner} ` : inner;
};

const list = readChecklist(document.getElementById("checklist").textContent, undefined, unpacked);
const preferences = { system: "metric", sign: "." };
const memory = { ticked: () => false, tick() {}, begun: () => undefined, begin() {}, known: () => [], know() {} };
const frame = { wide: () => false, room: () => 560, through: () => true, label() {} };
const nothing = () => ({ list, preferences, memory, frame, ui: {}, wording: formatter(list, preferences), by: "A. Fitter", redraw() {}, act() {}, begin() {}, open() {}, prefer() {}, change() {},
  reason() {}, go() {}, coarse: () => false, shared: () => ({ list, preferences, wording: formatter(list, preferences) }), record: { entries: [] } });
const appFor = (now, job = {}) => ({ ...nothing(), now, job: { known: new Map(), path: [], opening: [], signed: new Map(), ...job } });

// What a view says: its text, and its rows by their labels.
const said = (...content) => {
  const place = document.createElement("main");
  fill(place, content);
  document.body.append(place);
  const rows = [...place.querySelectorAll(".row")].map((row) => ({ label: textOf(row.querySelector(".label")), text: textOf(row.querySelector(".value")) }));
  const text = textOf(place);
  const own = told(place);
  place.remove();
  return { text, rows, own };
};
const shown = (view) => said(view.body, view.side, view.main && h("p.answered", typeof view.main.says === "function" ? view.main.says() : view.main.says), view.hint);
// The texts of a view, as they stand in it; what a sentence of ours puts together, in its parts.
const PLACE = /\{\w+\}/g;
const OURS = Object.values(WORDS).flatMap((one) => (typeof one === "string" ? [one] : Object.values(one)));
const sentences = OURS.filter((one) => one.replace(PLACE, "").trim()).map((one) => new RegExp(`^${one.split(PLACE).map((part) => part.replace(/[.*+?^${}()|[\]\\]/g, "\\$&")).join("(.*)")}$`, "s"));
const partsOf = (text) => {
  const found = sentences.map((one) => one.exec(text)).filter(Boolean).sort((a, b) => a.length - b.length)[0];
  return found ? found.slice(1) : [text];
};
const told = (node) => {
  if (node.nodeType === 3) return partsOf(node.data.trim().replace(/^✓ /, "")).filter(Boolean);
  if (/^(svg|figcaption|details|button)$/.test(node.localName) || /^(over|scale|answered)$/.test(node.className)) return [];
  // The answers of this test.
  if (node.className === "row" && node.firstChild.textContent === WORDS.had) return [];
  return node.localName === "img" ? [node.alt] : [...node.childNodes].flatMap(told);
};

const joined = (all) => ({ text: all.map((one) => one.text).join(" "), rows: all.flatMap((one) => one.rows), own: [...new Set(all.flatMap((one) => one.own))] });

const amountIn = (input) => ({ value: input.low.value, unit: input.low.unit });
const eventFor = (line, ask) => {
  const input = list.inputs.get(ask.input);
  const joint = list.joints.get(line.does.joint);
  const type = ask.type[0];
  return { seq: 1, type, line: line.id, ...(ask.input && { input: ask.input }), ...(ask.fastening && { fastening: ask.fastening }),
    ...(input?.values && { choice: input.values[0].id }), ...(input?.low && { amount: amountIn(input) }),
    ...(type === "torque" && { amount: joint?.torque?.low ?? joint?.torque?.high ?? { value: "1", unit: "N.m" } }), ...(type === "text" && { text: "…" }), ...(type === "photo" && { file: "…" }) };
};

// Every view of a step, from its first message to its end.
const stepSaid = ({ step, check }) => {
  const given = new Map();
  const all = [];
  const begun = { step, check, given, repairs: 0, occasion: 1 };
  for (let i = 0; i < 300; i++) {
    all.push(shown(stepView(appFor({ waits: "lines", begun }, { path: [begun] }))));
    const open = step.lines.filter(({ does }) => !given.size || does.kind !== "message").concat(step.lines).flatMap((line) => askedLine(line, given).map((ask) => ({ line, ask })));
    const message = open.find(({ line }) => line.does.kind === "message");
    const next = message ?? open[0];
    if (!next) break;
    given.set(next.ask.key, eventFor(next.line, next.ask));
  }
  return joined(all);
};

const why = (log, known = new Map()) => said(whys(appFor({ waits: "lines" }, { known }), [log]));

// The values of an input that each arm takes.
const knownFor = (node, arm) => {
  const input = list.inputs.get(node.input);
  if (input.values) return new Map([[input.id, { choice: arm.when?.op === "is" ? arm.when.value : input.values.at(-1).id }]]);
  const amount = arm.when?.low ?? arm.when?.high ?? amountIn(input);
  return new Map([[input.id, { amount, base: base(amount, list.units) ?? rangeOf(input, list.units).low }]]);
};

globalThis.jobSays = () => {
  const steps = {};
  const around = [];
  const stopSaid = (stop, check) => shown(stopView(appFor({ waits: "close", stop, check }, { path: [{ log: [] }] })));
  for (const node of list.nodes) {
    const step = stepOf(node);
    if (step) steps[step.number] = stepSaid({ step, check: node.kind === "check" ? node : undefined });
    if (node.kind === "check") {
      if (node.repair) around.push(why({ failed: node, repairs: 0 }));
      around.push(node.otherwise.kind === "stop" ? stopSaid(node.otherwise, node) : why({ wentOn: node }));
    }
    if (node.kind === "choose") for (const arm of node.arms) around.push(why({ chosen: node, arm }, knownFor(node, arm)));
    if (node.kind === "when") around.push(why({ asked: node, yes: true }), why({ asked: node, yes: false }));
    if (node.kind === "set") around.push(why({ set: node }));
    if (node.kind === "stop") around.push(stopSaid(node));
    if (node.kind === "handover") for (const role of rolesOf(node)) around.push(shown(handoverView(appFor({ waits: "sign", handover: node, roles: [role] }, { path: [{ log: [] }] }))));
  }
  for (const limit of list.limits.values()) around.push(shown(stopView(appFor({ waits: "close", limit }, { path: [{ log: [] }] }))));
  return { steps, around: joined(around), sections: list.flow.map(({ title }) => title), front: joined([shown(startView(appFor({ waits: "nothing" }))), shown(layOutView(appFor({ waits: "begin" })))]) };
};
