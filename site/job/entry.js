// From what a person types to what is written down.

import { exact, compare, divide, multiply, subtract, floor, written } from "./exact.js";
import { typedNumber } from "./typed.js";
import { base, evaluate, leavesOn } from "./conditions.js";
import { toBase, fromBase } from "./units.js";
import { rangeOf } from "./checklist.js";

// How each condition on an input comes out for a value: two values with the same signature lead the same way.
const signature = ({ checklist, units }, known, input) => {
  const leaves = leavesOn(input.id, checklist);
  return (value) => leaves.map((leaf) => evaluate(leaf, new Map(known).set(input.id, { base: value }), units)).join();
};

const whole = (n) => ({ n, d: 1n });

// A number for an input, typed in `unit`: { amount, typed?, base }, or { fault, … } with what the message names, in base units.
export const typedReading = (text, unit, input, list, known) => {
  const { low, high } = rangeOf(input, list.units);
  const inside = (value) => compare(value, low) >= 0 && compare(value, high) <= 0;
  const read = typedNumber(text, (value) => inside(toBase(value, unit)));
  if (read.fault) return read;
  const value = toBase(read.value, unit);
  const given = { value: written(read.value), unit: unit.code };
  if (given.value.length > 20) return { fault: "tooLong" };
  if (!inside(value)) return { fault: "outOfRange", value, low, high };
  if (!input.reads) return { amount: given, base: value };
  const own = list.units.get(input.reads.unit);
  const smallest = exact(input.reads.value);
  const at = (n) => toBase(multiply(whole(n), smallest), own);
  const steps = divide(fromBase(value, own), smallest);
  const below = floor(steps);
  const amount = (n) => ({ value: written(multiply(whole(n), smallest)), unit: own.code });
  if (steps.d === 1n)
    return unit === own ? { amount: given, base: value } : { amount: amount(below), typed: given, base: value };
  const ends = { below: at(below), above: at(below + 1n) };
  if (unit === own) return { fault: "notMultiple", reads: input.reads, ...ends };
  const part = subtract(steps, whole(below));
  const up = compare(part, exact("0.5"));
  const n = up > 0 || (up === 0 && below >= 0n) ? below + 1n : below;
  // A tenth of the smallest reading is no difference to the instrument; more than that is not rounded over a border.
  const close = compare(part, exact("0.1")) <= 0 || compare(part, exact("0.9")) >= 0;
  const leads = signature(list, known, input);
  const same = inside(ends.below) && inside(ends.above) && leads(ends.below) === leads(ends.above);
  if (!close && !same) return { fault: "between", value, own, ...ends };
  return { amount: amount(n), typed: given, base: at(n) };
};

// A torque, typed in `unit`: { amount, base }, or { fault }. Whether it is within the tolerance is for the caller.
export const typedTorque = (text, unit, torque, list) => {
  const end = torque && (torque.high || torque.low);
  const most = end ? multiply(base(end, list.units), exact("10")) : null;
  const read = typedNumber(text, (value) => !most || compare(toBase(value, unit), most) <= 0);
  if (read.fault) return read;
  const amount = { value: written(read.value), unit: unit.code };
  return amount.value.length > 20 ? { fault: "tooLong" } : { amount, base: toBase(read.value, unit) };
};
