// Conditions and expressions of the checklist. A condition is true, false, or null: undecided, because something that it
// asks for has no answer yet.
//
// `known` maps an input to its answer, { choice } or { base }, the latter in base units; `units` maps codes to units.

import { exact, add, subtract, multiply, divide, compare } from "./exact.js";
import { within } from "./typed.js";
import { toBase } from "./units.js";

const RELATIONS = {
  "at-most": (sign) => sign <= 0,
  below: (sign) => sign < 0,
  "at-least": (sign) => sign >= 0,
  over: (sign) => sign > 0,
  equal: (sign) => sign === 0,
};

const ARITHMETIC = { add, subtract, multiply, divide };

export const base = ({ value, unit }, units) => {
  const number = exact(value);
  const known = units.get(unit);
  return number && known ? toBase(number, known) : null;
};

// A bound in base units, as `within` takes it; `gone` where it cannot be held.
export const bound = (end, units) => end && { value: base(end, units), included: end.included };

const worth = (side, known, units) => {
  switch (side.op) {
    case "fact":
    case "amount":
      return base(side.amount, units);
    case "number":
      return exact(side.value);
    case "input":
      return known.get(side.input)?.base ?? null;
    case "least":
    case "greatest": {
      const sign = side.op === "least" ? -1 : 1;
      const all = side.of.map((one) => worth(one, known, units));
      return all.length && all.every(Boolean) ? all.reduce((a, b) => (compare(b, a) === sign ? b : a)) : null;
    }
    default:
      return ARITHMETIC[side.op](worth(side.left, known, units), worth(side.right, known, units));
  }
};

// Parts in their order, up to the first that is not `goes`: that one is the result.
const inOrder = (parts, goes, known, units) => {
  for (const part of parts) {
    const holds = evaluate(part, known, units);
    if (holds !== goes) return holds;
  }
  return goes;
};

export const evaluate = (condition, known, units) => {
  switch (condition.op) {
    case "is": {
      const answer = known.get(condition.input);
      return answer?.choice === undefined ? null : answer.choice === condition.value;
    }
    case "in": {
      const value = known.get(condition.input)?.base;
      const [low, high] = [bound(condition.low, units), bound(condition.high, units)];
      if (!value || (low && !low.value) || (high && !high.value)) return null;
      return within(value, low, high);
    }
    case "all":
      return inOrder(condition.of, true, known, units);
    case "any":
      return inOrder(condition.of, false, known, units);
    case "not": {
      const holds = evaluate(condition.of, known, units);
      return holds === null ? null : !holds;
    }
    default: {
      const [left, right] = [worth(condition.left, known, units), worth(condition.right, known, units)];
      return left && right ? RELATIONS[condition.relation](compare(left, right)) : null;
    }
  }
};

// Whether a rule is broken: it applies, and what must hold does not.
export const untrue = (rule, known, units) =>
  (!rule.when || evaluate(rule.when, known, units) === true) && evaluate(rule.holds, known, units) === false;

const LEAVES = ["is", "in", "compare"];
const names = (side, input) =>
  Boolean(side) && (side.input === input || [side.left, side.right, side.of].flat().some((one) => names(one, input)));

// The conditions without parts of their own that stand anywhere in a thing of the checklist and name the input.
export const leavesOn = (input, thing) => {
  if (typeof thing !== "object" || thing === null) return [];
  if (LEAVES.includes(thing.op)) return names(thing, input) ? [thing] : [];
  return Object.values(thing).flatMap((inner) => leavesOn(input, inner));
};

// Every bound on an input, for drawing a scale.
export const boundsOn = (input, conditions, units) =>
  leavesOn(input, conditions)
    .flatMap(({ op, low, high }) => (op === "in" ? [low, high] : []))
    .map((end) => end && base(end, units))
    .filter(Boolean);
