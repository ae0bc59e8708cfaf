// A checklist that was read: refused where it is not what this page knows, else with its things by their ids.

import { exact, compare, divide } from "./exact.js";
import { base, bound } from "./conditions.js";
import { within } from "./typed.js";
import { canonical } from "./canonical.js";
import { sha256 } from "./sha256.js";
import { unitsOf } from "./units.js";
import { CHECKLIST, fits } from "./shapes.js";

const byId = (things) => new Map(things.map((thing) => [thing.id, thing]));

// Every statement of a body and of what stands in it.
export function* statements(body) {
  for (const node of body) {
    yield node;
    if (node.kind === "check" && node.repair) yield* statements(node.repair.body);
    if (node.kind === "choose") for (const arm of node.arms) yield* statements(arm.body);
    if (node.kind === "when") yield* statements([...node.then, ...node.else]);
  }
}

export const stepOf = (node) => (node.kind === "step" ? node : node.kind === "check" ? node.step : null);

// What a line still asks for: { type, key, input?, fastening? }.
export const askedLine = (line, given) => {
  const { does } = line;
  const ask = (type, more = {}) => ({ type, key: `${line.id} ${more.input ?? more.fastening ?? ""}`, ...more });
  const all = {
    message: () => [ask(["acknowledge"])],
    read: () => does.inputs.map((input) => ask(["reading"], { input })),
    "record-torque": () => Array.from({ length: Math.min(does.count, 10000) }, (_, i) => ask(["torque"], { fastening: i + 1 })),
    "record-text": () => [ask(["text"])],
    "record-photo": () => [ask(["photo", "leave-out"])],
  }[does.kind]?.() ?? [];
  return all.filter((one) => !given.has(one.key));
};

// Gives null for what cannot be read.
export const readChecklist = (text) => {
  let checklist;
  try {
    checklist = JSON.parse(text);
    if (!fits(checklist, CHECKLIST)) return null;
    const units = unitsOf(checklist);
    const things = {};
    for (const name of ["inputs", "joints", "parts", "tools", "protection", "hazards", "actions", "circuits", "states", "limits"])
      things[name] = byId(checklist[name]);
    const steps = checklist.flow.flatMap((section) => [...statements(section.body)].map(stepOf).filter(Boolean)
      .map((step) => ({ step, section })));
    return {
      checklist, units, ...things,
      assets: new Map(checklist.assets.map((asset) => [asset.path, asset])),
      sectionOf: new Map(steps.map(({ step, section }) => [step.id, section])),
      stepsById: new Map(steps.map(({ step }) => [step.id, step])),
      lines: new Map(steps.flatMap(({ step }) => step.lines.map((line) => [line.id, line]))),
      asked: checklist.inputs.filter((input) => input.kind === "option" || input.kind === "given"),
      digest: sha256(canonical(checklist)),
      fits: (event, line) => valueFits(things, units, event, line),
      accepts: (event, line) => valueAccepted(things, units, event, line),
    };
  } catch {
    return null;
  }
};

// Whether a value is of the sort that is asked for.
const valueFits = (things, units, event, line) => {
  if (event.type === "torque") return units.get(event.amount.unit)?.quantity === "torque";
  if (event.type !== "reading" && event.type !== "answer") return true;
  const input = things.inputs.get(event.input);
  if (!input) return false;
  if (input.values) return input.values.some((value) => value.id === event.choice);
  return event.amount !== undefined && units.get(event.amount.unit)?.quantity === input.quantity;
};

export const rangeOf = (input, units) => ({ low: base(input.low, units), high: base(input.high, units) });

// Whether the checklist lets a value pass.
const valueAccepted = (things, units, event, line) => {
  if (event.type === "torque") {
    const joint = things.joints.get(line.does.joint);
    const value = base(event.amount, units);
    return Boolean(value) && (!joint?.torque || within(value, bound(joint.torque.low, units), bound(joint.torque.high, units)));
  }
  if (event.choice !== undefined) return true;
  const input = things.inputs.get(event.input);
  const value = base(event.amount, units);
  const { low, high } = rangeOf(input, units);
  if (!value || compare(value, low) < 0 || compare(value, high) > 0) return false;
  if (!input.reads) return true;
  const smallest = base(input.reads, units);
  if (divide(value, smallest)?.d !== 1n) return false;
  const typed = event.typed && base(event.typed, units);
  if (!event.typed) return true;
  if (!typed || units.get(event.typed.unit).quantity !== input.quantity) return false;
  const off = { n: typed.n * value.d - value.n * typed.d, d: typed.d * value.d };
  if (off.n < 0n) off.n = -off.n;
  return compare(off, divide(smallest, exact("2"))) <= 0;
};
