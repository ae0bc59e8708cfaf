// Pieces of the views: signal panels, the lines of a step, why the job goes this way.

import { h, s, paragraph, quiet, strong, sentence } from "./dom.js";
import * as WORDS from "./words.js";
import { prose } from "./prose.js";
import { cells, scale } from "./scale.js";
import { evaluate, boundsOn, base } from "./conditions.js";
import { exact, add, subtract } from "./exact.js";
import { fromBase, unitFor } from "./units.js";
import { rangeOf } from "./checklist.js";

const alertSign = () => s("svg", { viewBox: "0 0 44 40", "aria-hidden": "true", focusable: "false" },
  s("path", { d: "M22 2.5 42 37.5H2Z", fill: "currentColor", stroke: "currentColor", "stroke-width": 4, "stroke-linejoin": "round" }),
  s("path", { d: "M22 13.2v12.4", stroke: "var(--mark)", "stroke-width": 4.6, "stroke-linecap": "round" }),
  s("circle", { cx: 22, cy: 32.2, r: 2.8, fill: "var(--mark)" }));

export const panel = ({ signal, nature, consequence, avoid }, seen) =>
  h("div", { class: `panel ${signal}${seen ? " seen" : ""}`, role: "group", "aria-label": signal },
    h("p.tab", signal === "notice" ? null : alertSign(), h("span", signal.toUpperCase())),
    h("div.text", { dir: "auto" }, h("p.nature", nature), h("p", consequence), h("p", avoid),
      seen && quiet(`✓ ${WORDS.read}`)));

export const row = (label, ...value) => h("div.row", h("span.label", label), h("div.value", { dir: "auto" }, value));
export const faultBox = (title, ...content) => h("div.fault-box", { role: "alert" }, h("h2", title), content);

const list = (items) => h("ul", items.map((item) => h("li", item)));
const more = (text) => text && h("p.with", text);

// What a line of a step shows. Lines that ask are drawn by the step itself.
export const line = ({ list: all, format, job }, { does }) => {
  const part = ({ part: id, count }) => `${count === undefined ? "" : `${count} × `}${all.parts.get(id)?.title ?? id}`;
  const tool = ({ any_of, count }) => `${count > 1 ? `${count} × ` : ""}${any_of.map((id) => all.tools.get(id)?.title ?? id).join(WORDS.orElse)}`;
  const tools = (places = []) => [
    [places.filter((place) => !place.hold), WORDS.withTools],
    [places.filter((place) => place.hold), WORDS.hold],
  ].filter(([some]) => some.length).map(([some, text]) => sentence(text, { tools: some.map(tool).join("; ") })).join(" ");
  const joint = all.joints.get(does.joint);
  const fastenings = joint && [h("b", joint.title), joint.count > 1 ? `, ${joint.count} ×` : ""];
  const label = WORDS.LABELS[does.kind];
  switch (does.kind) {
    case "text": return prose(does.prose, (name) => mention(all, format, job, does.prose, name));
    case "note": return h("p.note", { dir: "auto" }, does.text);
    case "figure": {
      const asset = all.assets.get(does.asset);
      return asset && h("figure", h("img", { src: `data:${asset.media_type};base64,${asset.data}`, alt: does.alt }),
        h("figcaption", { "aria-hidden": "true" }, does.alt));
    }
    case "use": return row(label, list(does.tools.map(tool)), more(does.optional && [WORDS.without, does.benefit].filter(Boolean).join(": ")));
    case "wear": return row(label, list(does.protection.map((id) => all.protection.get(id)?.title ?? id)));
    case "take": case "remove": case "refit": case "discard": return row(label, list(does.parts.map(part)), more(tools(does.tools)));
    case "place": return row(label, h("p", fastenings), more(joint && sentence(WORDS.eachHas, { parts: joint.each.map(part).join(", ") })));
    case "snug": return row(label, h("p", fastenings), more([tools(does.tools), WORDS.snugMore].join(" ").trim()));
    case "tighten": return row(label, h("p", fastenings, " ", joint?.torque ? [WORDS.to, " ", h("b.big", joint.torque.shown)]
      : [WORDS.until, " ", h("b", joint?.tight)], joint?.pattern && [", ", h("b", joint.pattern.words)]), more(tools(does.tools)));
    case "loosen": case "remove-joint": case "refit-joint": return row(label, h("p", fastenings), more(tools(does.tools)));
    case "connect": case "disconnect": {
      const circuit = all.circuits.get(does.circuit);
      const wire = circuit?.facts.find((fact) => fact.what === "wire");
      const points = does.points.map((id) => circuit?.points.find((point) => point.id === id)?.title ?? id);
      return row(label, h("p", h("b", circuit?.title), points.length > 1 ? ` ${WORDS.inOrder}` : ""),
        h("ol", points.map((point, i) => h("li", points.length > 1 ? `${i + 1}. ` : "", point))),
        quiet([wire && sentence(WORDS.wire, { shown: wire.amount.shown, metal: circuit.metal }), tools(does.tools)].filter(Boolean).join(" ")));
    }
    case "need": case "make": return row(label, h("b", format.state(does.state)));
    case "do": return row(label, h("b", all.actions.get(does.action)?.title ?? does.action));
    case "set": return row(label, `${format.title(does.result)}: `, h("b", format.label(does.result, does.value)));
    default: return null;
  }
};

// A name in square brackets: what it means, or, for an input, the answer that it has.
const mention = (all, format, job, { mentions }, name) => {
  const found = mentions.find((one) => one.text === name);
  const answer = found?.id && all.inputs.has(found.id) && job.known.get(found.id);
  return strong(answer ? format.value(answer, found.id) : found?.words ?? name);
};

// The scale of an input: what its values lead to. `value` is in base units, or null.
export const scaleOf = ({ list: all, format, job, preferences, room }, input, classes, conditions, value) => {
  const { low, high } = rangeOf(input, all.units);
  const at = (of) => new Map(job.known).set(input.id, { base: of });
  const classOf = (of) => {
    const found = classes.findIndex(({ holds }) => holds(at(of)));
    return found < 0 ? null : found;
  };
  const own = all.unitOf(input);
  const unit = unitFor(all.units, own, preferences.system, value || high);
  return scale({
    low, high, classes, value, room: room(),
    found: cells(low, high, boundsOn(input.id, conditions, all.units), classOf),
    classHere: value && classOf(value),
    show: (of) => `${format.number(fromBase(of, unit), unit)} ${unit.symbol}`,
    title: value ? `${input.title}: ${format.inUnit(value, unit)}` : input.title,
  });
};

// What the arms of a branch, or what a check expects, make of the values of an input.
export const classesOf = ({ list: all, format }, { arms, expects }) => {
  if (arms) {
    const own = (arm) => (known) => evaluate(arm.when, known, all.units) === true;
    const rest = (known) => !arms.some((arm) => arm.when && own(arm)(known));
    return arms.map((arm) => ({ words: arm.words.replace(/^.*?: /, ""), holds: arm.when ? own(arm) : rest }));
  }
  const right = (known) => evaluate({ op: "all", of: expects }, known, all.units) === true;
  return [
    { words: `${WORDS.right}: ${expects.map(format.condition).join("; ")}`, good: true, holds: right },
    { words: WORDS.notRight, good: false, holds: (known) => !right(known) },
  ];
};

// The scale of a torque: what is wanted, between what would be too little and too much.
export const scaleOfTorque = ({ list: all, format, preferences, room }, joint, value) => {
  const { low, high } = joint.torque;
  if (!low || !high) return null;
  const [from, to] = [base(low, all.units), base(high, all.units)];
  const wide = subtract(to, from);
  const least = subtract(from, wide);
  const [start, end] = [least.n < 0n ? exact("0") : least, add(to, wide)];
  const unit = unitFor(all.units, all.units.get(low.unit), preferences.system, to);
  const within = (of) => of.n * from.d >= from.n * of.d && of.n * to.d <= to.n * of.d;
  const classes = [{ good: true }, { good: false }];
  return scale({
    low: start, high: end, classes, value, room: room(), classHere: value && (within(value) ? 0 : 1),
    found: cells(start, end, [from, to], (of) => (within(of) ? 0 : 1)),
    show: (of) => `${format.number(fromBase(of, unit), unit)} ${unit.symbol}`,
    title: `${joint.title}: ${value ? format.inUnit(value, unit) : joint.torque.shown}`,
  });
};

// Why the job goes this way: what followed from the step before.
export const whys = (app, log) => log.map((what) => {
  const { format, job, list: all } = app;
  const why = (label, ...content) => h("div.why", h("span.label", label), content);
  if (what.chosen) {
    const input = all.inputs.get(what.chosen.input);
    const value = job.known.get(input?.id);
    return value && why(WORDS.because, paragraph(input.title, " ", strong(format.value(value, input.id))),
      value.base && scaleOf(app, input, classesOf(app, what.chosen), what.chosen.arms.map((arm) => arm.when), value.base));
  }
  if (what.set) return why(WORDS.decided, paragraph(format.title(what.set.result), ": ", strong(format.label(what.set.result, what.set.value))));
  if (what.asked) return (what.yes ? what.asked.then : what.asked.else).length > 0 && why(WORDS.because, paragraph(what.asked.words, " – ", strong(what.yes ? WORDS.so : WORDS.notSo)));
  if (what.failed) return notRight(app, what.failed, sentence(WORDS.repair, { n: what.repairs + 1, all: what.failed.repair.times }));
  return what.wentOn && notRight(app, what.wentOn, `${WORDS.goOn} ${what.wentOn.otherwise.text}`, WORDS.notRightLast);
});

const inputsOf = (of) => (of ? [of.input, ...[of.of, of.left, of.right].flat().flatMap(inputsOf)] : []);

// The answers that conditions were decided by.
export const decidedBy = ({ format, job }, conditions) => [...new Set(conditions.flatMap(inputsOf))].filter((id) => job.known.has(id))
  .map((id) => paragraph(format.title(id), " ", strong(format.value(job.known.get(id), id))));

// What was expected, what was read, and what follows.
export const notRight = (app, { expects }, then, title = WORDS.notRight) => faultBox(title, decidedBy(app, expects),
  paragraph(WORDS.rightWhen, ": ", expects.map(app.format.condition).join("; ")), then && paragraph(strong(then)));
