// A checklist that was read: refused where it is not what this page knows, else with its things by their ids.

import { exact, compare, divide, subtract } from "./exact.js";
import { base, bound } from "./conditions.js";
import { within } from "./typed.js";
import { canonical } from "./canonical.js";
import { sha256 } from "./sha256.js";
import { unitsOf, fromBase } from "./units.js";

const HALF = exact("0.5");

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
  const all =
    {
      message: () => [ask(["acknowledge"])],
      read: () => does.inputs.map((input) => ask(["reading"], { input })),
      "record-torque": () =>
        Array.from({ length: Math.min(does.count, 10000) }, (_, i) => ask(["torque"], { fastening: i + 1 })),
      "record-text": () => [ask(["text"])],
      "record-photo": () => [ask(["photo", "leave-out"])],
    }[does.kind]?.() ?? [];
  return all.filter((one) => !given.has(one.key));
};

// The closed lists of the format, by the member that holds one of their words.
const CLOSED = {
  kind: `step check choose when set stop handover go-on sign show keep dispose note text message read use wear take remove
    refit discard place snug tighten loosen remove-joint refit-joint connect disconnect need make do record-torque
    record-reading record-text record-photo figure option observe result given measure bag box shop bolt screw stud nut
    washer hex hex-socket cross-recess slot hexalobular`,
  op: "is in all any not compare fact input amount number add subtract multiply divide least greatest",
  relation: "at-most below at-least over equal",
  signal: "notice caution warning danger",
};
const STRANGE = new RegExp(
  Object.entries(CLOSED)
    .map(([member, words]) => `"${member}"\\s*:\\s*"(?!(${words.replace(/\s+/g, "|")})")`)
    .join("|"),
);

// Whether every word of a closed list is one that this program knows. Whoever guesses may skip a safety message. That is looked for in
// the text: within a string no quotation mark stands by itself, so that what looks like a member there is one. It is asked of the page's
// own text alone, where no letter is written as an escape, and these words are too short to be packed; a file of others goes through
// `isChecklist`.
const knows = (_, text) => !STRANGE.test(text);

// Gives null for what cannot be read. `fits` may ask for more than what is looked at here (shapes.js does); `parsed` reads the text.
// `stated` is its digest, where that is known.
export const readChecklist = (text, fits = knows, parsed = JSON.parse, stated) => {
  try {
    const checklist = parsed(text);
    const { name, version } = checklist.format;
    if (
      name !== "fitwright-checklist" ||
      !/^1\.\d+\.\d+$/.test(version) ||
      checklist.features_required.length ||
      !fits(checklist, text)
    )
      return null;
    const units = unitsOf(checklist);
    const things = {};
    for (const name of ["inputs", "joints", "parts", "tools", "protection", "actions", "circuits", "states", "limits"])
      things[name] = byId(checklist[name]);
    const nodes = checklist.flow.map((section) => [...statements(section.body)]);
    const steps = nodes.flatMap((some, i) =>
      some
        .map(stepOf)
        .filter(Boolean)
        .map((step) => ({ step, section: checklist.flow[i] })),
    );
    let digest = stated;
    return {
      ...checklist,
      checklist,
      // Asked for where a job begins or is carried on: of thousands of steps it takes as long as all else before the first view.
      get digest() {
        return (digest ??= sha256(canonical(checklist)));
      },
      units,
      ...things,
      assets: new Map(checklist.assets.map((asset) => [asset.path, asset])),
      sectionOf: new Map(steps.map(({ step, section }) => [step.id, section])),
      stepsById: new Map(steps.map(({ step }) => [step.id, step])),
      lines: new Map(steps.flatMap(({ step }) => step.lines.map((line) => [line.id, line]))),
      nodes: nodes.flat(),
      placesOf: (step) =>
        step.lines.flatMap(({ does }) => [
          ...(does.tools || does.parts?.tools || []).map((place) => place.any_of),
          ...(does.kind === "read"
            ? does.inputs.map((id) => things.inputs.get(id)?.tool)
            : (does.prose?.mentions || []).map(({ id }) => id)
          )
            .filter((id) => things.tools.has(id))
            .map((id) => [id]),
        ]),
      unitOf: (input) => units.get((input.reads || input.low).unit),
      asked: checklist.inputs.filter((input) => input.kind === "option" || input.kind === "given"),
      fits: (event, line) => valueFits(things, units, event, line),
      accepts: (event, line) => valueAccepted(things, units, event, line),
    };
  } catch {
    return null;
  }
};

// The whole number that a text says, or null.
const countOf = (text) => (/^(0|[1-9][0-9]{0,5})$/.test(text) ? Number(text) : null);

// Whether a text says how many were taken, of a line that asks for that.
export const isTaken = (text, { least, most }) => {
  const count = countOf(text);
  return count !== null && count >= least && count <= most;
};

// Whether a value is of the sort that is asked for.
const valueFits = (things, units, event, line) => {
  if (event.type === "torque") return units.get(event.amount.unit)?.quantity === "torque";
  if (event.type === "text") return !line?.does.number || countOf(event.text) !== null;
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
    return (
      Boolean(value) &&
      (!joint?.torque || within(value, bound(joint.torque.low, units), bound(joint.torque.high, units)))
    );
  }
  if (event.type === "text") return !line.does.number || isTaken(event.text, line.does.number);
  if (event.choice !== undefined) return true;
  const input = things.inputs.get(event.input);
  const value = base(event.amount, units);
  const { low, high } = rangeOf(input, units);
  if (!value || compare(value, low) < 0 || compare(value, high) > 0) return false;
  if (!input.reads) return true;
  const unit = units.get(input.reads.unit);
  const inSteps = (of) => divide(fromBase(of, unit), exact(input.reads.value));
  const steps = inSteps(value);
  if (steps?.d !== 1n) return false;
  if (!event.typed) return true;
  const typed = units.get(event.typed.unit)?.quantity === input.quantity && base(event.typed, units);
  if (!typed) return false;
  const off = subtract(inSteps(typed), steps);
  return compare(off, HALF) <= 0 && compare(subtract(exact("0"), off), HALF) <= 0;
};
