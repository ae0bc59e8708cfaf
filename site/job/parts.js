// Pieces of the views: signal panels, the lines of a step, why the job goes this way.

import { h, s, button, paragraph, quiet, strong, soft, sentence, listed } from "./dom.js";
import WORDS from "./words.js";
import { prose } from "./prose.js";
import { cells, scale } from "./scale.js";
import { evaluate, boundsOn, base } from "./conditions.js";
import { exact, add, subtract, compare } from "./exact.js";
import { unitFor } from "./units.js";
import { rangeOf } from "./checklist.js";
import { clock } from "./clock.js";
import { figure } from "./figure.js";

/// Whether there is such a state here; what is not known yet may be there.
export const isThere = ({ list, job }, { when }) => !when || evaluate(when, job.known, list.units) !== false;

export const panel = ({ signal, nature, consequence, avoid }, seen) =>
  h(
    "div",
    { class: `panel ${signal}${seen ? " seen" : ""}`, role: "group", "aria-label": signal },
    h(
      "p.tab",
      signal !== "notice" && s("svg", { "aria-hidden": true }, s("use", { href: "#alert" })),
      h("span", signal.toUpperCase()),
    ),
    h("div.text", h("p.nature", nature), h("p", consequence), h("p", avoid), seen && quiet(`✓ ${WORDS.read}`)),
  );

export const row = (label, ...value) => h("div.row", h("span.label", label), h("div.value", value));
export const faultBox = (title, ...content) => h("div.fault-box", { role: "alert" }, h("h2", title), content);

export const items = (things) =>
  h(
    "ul",
    things.map((thing) => h("li", thing)),
  );

// Buttons for some values; `of(id)` may say more of each.
export const choices = (values, press, of = () => ({})) =>
  h(
    `div.choices${values.length === 2 ? ".two" : ""}`,
    values.map(({ id, label }) =>
      button(label, ({ currentTarget }) => press(id, currentTarget), { "data-choice": id, ...of(id) }),
    ),
  );

// For which fitting a tailored checklist is.
export const madeFor = ({ effectivity, left_out: parts = [] }) =>
  effectivity &&
  row(
    WORDS.report.madeFor,
    items(effectivity.map((one) => [`${one.title}: `, strong(one.words), one.follows && ` (${WORDS.about.follows})`])),
    parts.length > 0 && quiet(sentence(WORDS.about.notHere, { parts: parts.join("; ") })),
  );

const more = (text) => text && h("p.with", text);

// A box to tick, so that interrupted work is taken up where it was left. It is no event: a step is done when it is said to be done.
const tick = (memory, key, content) =>
  h("button.tick", {
    type: "button",
    role: "checkbox",
    "aria-checked": String(memory.ticked(key)),
    "aria-label": listed(
      [content].flat(9).map((one) => one?.textContent ?? one),
      " ",
    ).slice(0, 90),
    onclick({ currentTarget }) {
      const on = currentTarget.getAttribute("aria-checked") !== "true";
      currentTarget.setAttribute("aria-checked", String(on));
      memory.tick(key, on);
    },
  });
export const tickable = ({ memory }, key, ...content) => h("div.line", tick(memory, key, content), h("div", content));

// Where a circuit is connected: the point, with its lug and its stud.
const pointOf = ({ title, detail, ends }) => [h("b", title), detail && soft(" ", detail), ends && `: ${ends}`];

const circuitLine = (app, { circuit: id, points }, tools, mark) => {
  const circuit = app.list.circuits.get(id);
  const wire = circuit?.facts.find((fact) => fact.what === "wire");
  const ordered = points.length > 1;
  return [
    h("p", h("b", circuit?.title), ordered ? `, ${WORDS.tell.inOrder}` : ""),
    h(
      "ol",
      points.map((id, i) => {
        const point = circuit?.points.find((one) => one.id === id) ?? { title: id };
        return h("li", mark(i, (point.order || ordered) && `${point.order ?? i + 1}. `, pointOf(point)));
      }),
    ),
    more(listed([wire && sentence(WORDS.tell.wire, { shown: wire.amount.shown, metal: circuit.metal }), tools], " ")),
  ];
};

// With which tools, and with which the other side is held.
const withTools = (wording, places = []) =>
  [
    [places.filter((place) => !place.hold), WORDS.tell.withTools],
    [places.filter((place) => place.hold), WORDS.tell.hold],
  ]
    .filter(([some]) => some.length)
    .map(([some, text]) => sentence(text, { tools: some.map(wording.tool).join("; ") }))
    .join(" ");

// The order comes before the torque, whose first stages it names.
const tightened = ({ torque, tight, pattern, stages, thread }) => [
  pattern && [", ", h("b", pattern.words), pattern.early?.length ? `, ${WORDS.tell.then}` : ""],
  " ",
  torque ? [WORDS.to, " ", h(stages ? "b" : "b.big", torque.shown)] : [WORDS.tell.until, " ", h("b", tight)],
  torque && thread && `, ${sentence(WORDS.tell.thread, { thread })}`,
];

// In which order its fastenings are loosened.
const inOrder = (joint) => joint?.loosened && [", ", h("b", joint.loosened.words)];

// What is done with the parts of a joint that is opened or put together again.
const AFTER = {
  loosen: `. ${WORDS.tell.stayIn}`,
  "remove-joint": `. ${WORDS.tell.keepParts}`,
  "refit-joint": `, ${WORDS.tell.cameOff}`,
};

// A limit: what must hold, and what is told where it does not.
export const limitWords = ({ title, when_words: when, words, stop }) =>
  paragraph(
    strong(title),
    ". ",
    when && soft(sentence(WORDS.onlyFor, { when }), ": "),
    words,
    stop && [". ", WORDS.about.ifNot, ": ", strong(stop)],
  );

// Parts that are taken by other than plain counts, or made of others.
const partsLine = (app, { take, make = [], tools }, byHand, at) => {
  const { wording } = app;
  const tooled = more(byHand ? WORDS.tell.byHand : withTools(wording, tools));
  const taken = items(take.map(wording.part));
  if (!make.length) return tickable(app, at, row(WORDS.row.take, taken));
  return tickable(
    app,
    at,
    row(WORDS.row.makeParts, items(make.map(wording.part)), soft(WORDS.tell.madeFrom), taken, tooled),
  );
};

// How many fastenings a joint has, or that nobody says how many.
const times = ({ count, uncounted }) => (uncounted ? WORDS.tell.asMany : `${count} ×`);

// What a line of a step shows. Lines that ask are drawn by the step itself. `about` is where its ticks are kept.
export const line = (app, { does, id, letter, by_hand: byHand }, about) => {
  const { list: all, wording, job } = app;
  const { kind } = does;
  const tools = byHand ? WORDS.tell.byHand : withTools(wording, does.tools);
  const joint = all.joints.get(does.joint);
  const fastenings = joint && [h("b", joint.title), joint.uncounted || joint.count > 1 ? `, ${times(joint)}` : ""];
  const mark = (n, ...content) => tickable(app, `${about} ${id} ${n}`, content);
  const plain = (...value) => row(WORDS.row[kind.replace("-joint", "")], ...value);
  const work = (...value) => tickable(app, `${about} ${id}`, plain(...value));
  switch (kind) {
    case "text":
      if (does.wait) {
        const { time, until } = does.wait;
        const told = h("p", h("b", time.shown), until ? `, ${until}.` : ".");
        return [tickable(app, `${about} ${id}`, row(WORDS.row.wait, told)), clock(app, `${about} ${id}`, time)];
      }
      for (const [verb, some] of [
        [WORDS.row.keepParts, does.keep],
        [WORDS.row.reuse, does.reuse],
      ])
        if (some?.length) return tickable(app, `${about} ${id}`, row(verb, items(some.map(wording.part))));
      if (does.parts) return partsLine(app, does.parts, byHand, `${about} ${id}`);
      return prose(
        does.prose,
        (name) => mention(all, wording, job, does.prose, name),
        (n, content) => tick(app.memory, `${about} ${id} ${n}`, content),
        letter,
      );
    case "note":
      return h("p.note", does.text);
    case "figure":
      return figure(app, does);
    case "use":
      return plain(
        items(does.tools.map(wording.tool)),
        more(does.optional && listed([WORDS.tell.without, does.benefit], ": ")),
      );
    case "wear":
      return plain(items(does.protection.map((id) => wording.named("protection", id))));
    case "take":
    case "remove":
    case "refit":
    case "discard":
      return work(items(does.parts.map(wording.part)), more(tools));
    case "place":
      return work(
        h("p", joint && `${times(joint)}: `, joint?.each.map(wording.part).join("; ")),
        joint && more(joint.title),
      );
    case "snug":
      return work(h("p", WORDS.tell.fingerTight, ": ", fastenings), more(tools));
    case "tighten":
      return (about ? work : plain)(
        h("p", fastenings, joint && tightened(joint)),
        (does.settings ?? []).map(({ words }) => h("p.setting", words)),
        more(tools),
      );
    case "loosen":
    case "remove-joint":
    case "refit-joint":
      return work(h("p", fastenings, kind === "refit-joint" ? "" : inOrder(joint), AFTER[kind]), more(tools));
    case "connect":
    case "disconnect":
      return plain(circuitLine(app, does, tools, mark));
    case "need":
    case "make":
      return plain(h("b", wording.state(does.state)));
    case "do": {
      const needs = does.needs ?? all.actions.get(does.action)?.needs ?? [];
      return [
        needs.map((state) => row(WORDS.row.need, h("b", wording.state(state)))),
        work(h("b", wording.named("actions", does.action))),
      ];
    }
    case "set":
      return plain(`${wording.title(does.result)}: `, h("b", wording.label(does.result, does.value)));
    default:
      return null;
  }
};

// A name in square brackets: what it means, or, for an input, the answer that it has.
const mention = (all, wording, job, { mentions }, name) => {
  const found = mentions.find((one) => one.text === name);
  const answer = found?.id && all.inputs.has(found.id) && job.known.get(found.id);
  return strong(answer ? wording.value(answer, found.id) : (found?.words ?? name));
};

// A scale in the technician's unit. `title` says what it is of, `none` what is told where there is no value yet.
const scaleIn = (
  { list: all, wording, preferences, frame },
  own,
  { value, high, near = value || high, title, none, ...more },
) => {
  const unit = unitFor(all.units, own, preferences.system, near);
  return scale({
    ...more,
    high,
    value,
    room: frame.room(),
    show: (of) => wording.inUnit(of, unit),
    title: value ? `${title}: ${wording.inUnit(value, unit)}` : none,
  });
};

// The scale of an input: what its values lead to. `value` is in base units, or null.
export const scaleOf = (app, input, classes, conditions, value) => {
  const { units, unitOf } = app.list;
  const { low, high } = rangeOf(input, units);
  const classOf = (of) => {
    const found = classes.findIndex(({ holds }) => holds(new Map(app.job.known).set(input.id, { base: of })));
    return found < 0 ? null : found;
  };
  return scaleIn(app, unitOf(input), {
    low,
    high,
    classes,
    value,
    title: input.title,
    none: input.title,
    found: cells(low, high, boundsOn(input.id, conditions, units), classOf),
    classHere: value && classOf(value),
  });
};

// What the arms of a branch, or what a check expects, make of the values of an input.
export const classesOf = ({ list: all }, { arms, expects, expects_words: words }) => {
  if (arms) {
    const own = (arm) => (known) => evaluate(arm.when, known, all.units) === true;
    const rest = (known) => !arms.some((arm) => arm.when && own(arm)(known));
    return arms.map((arm) => ({ words: arm.covers, holds: arm.when ? own(arm) : rest }));
  }
  const right = (known) => evaluate({ op: "all", of: expects }, known, all.units) === true;
  return [
    { words: `${WORDS.right}: ${words.join("; ")}`, good: true, holds: right },
    { words: WORDS.notRight, good: false, holds: (known) => !right(known) },
  ];
};

// The scale of a torque: what is wanted, between what would be too little and too much.
export const scaleOfTorque = (app, { title, torque }, value) => {
  const { units } = app.list;
  if (!torque?.low || !torque.high) return null;
  const [from, to] = [base(torque.low, units), base(torque.high, units)];
  const wide = subtract(to, from);
  const least = subtract(from, wide);
  const [low, high] = [least.n < 0n ? exact("0") : least, add(to, wide)];
  const classOf = (of) => (compare(of, from) >= 0 && compare(of, to) <= 0 ? 0 : 1);
  return scaleIn(app, units.get(torque.low.unit), {
    low,
    high,
    classes: [{ good: true }, { good: false }],
    value,
    near: to,
    title,
    none: `${title}: ${torque.shown}`,
    found: cells(low, high, [from, to], classOf),
    classHere: value && classOf(value),
  });
};

// Why the job goes this way: what followed from the step before.
export const whys = (app, log) =>
  log.map((what) => {
    const { wording, job, list: all } = app;
    const why = (label, ...content) => h("div.why", h("span.label", label), content);
    if (what.chosen) {
      const input = all.inputs.get(what.chosen.input);
      const value = job.known.get(input?.id);
      return (
        value &&
        why(
          WORDS.because,
          paragraph(input.title, " ", strong(wording.value(value, input.id))),
          value.base &&
            scaleOf(
              app,
              input,
              classesOf(app, what.chosen),
              what.chosen.arms.map((arm) => arm.when),
              value.base,
            ),
        )
      );
    }
    if (what.set)
      return why(
        WORDS.row.set,
        paragraph(wording.title(what.set.result), ": ", strong(wording.label(what.set.result, what.set.value))),
      );
    if (what.asked)
      return (
        (what.yes ? what.asked.then : what.asked.else).length > 0 &&
        why(WORDS.because, paragraph(strong(what.yes ? what.asked.words : what.asked.else_words)))
      );
    if (what.failed)
      return notRight(app, what.failed, sentence(WORDS.repair, { n: what.repairs + 1, all: what.failed.repair.times }));
    return what.wentOn && notRight(app, what.wentOn, `${WORDS.goOn} ${what.wentOn.otherwise.text}`, WORDS.notRightLast);
  });

// The inputs that a condition names.
export const inputsOf = (of) => (of ? [of.input, ...[of.of, of.left, of.right].flat().flatMap(inputsOf)] : []);

// The answers that conditions were decided by.
export const decidedBy = ({ wording, job }, conditions) =>
  [...new Set(conditions.flatMap(inputsOf))]
    .filter((id) => job.known.has(id))
    .map((id) => paragraph(wording.title(id), " ", strong(wording.value(job.known.get(id), id))));

// What was expected, what was read, and what follows.
export const notRight = (app, { expects, expects_words: words }, then, title = WORDS.notRight) =>
  faultBox(
    title,
    decidedBy(app, expects),
    paragraph(WORDS.check.passIf, ": ", words.join("; ")),
    then && paragraph(strong(then)),
  );
