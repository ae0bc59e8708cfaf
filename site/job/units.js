// Units of the checklist. It lists those of the other system, too, for whatever is measured or torqued; which unit belongs
// to which system is told by its UCUM code: those in square brackets are customary.

import { exact, add, subtract, multiply, divide, compare } from "./exact.js";

// Quantities whose units both systems share.
const SHARED = ["energy", "voltage", "current", "resistance", "charge", "time", "angle", "share", "wire-gauge"];

// The unit of the other system that the trade reads a unit in; where the checklist lists several, the first of these.
const READ_IN = {
  inch: {
    um: ["[mil_i]"],
    mm: ["[in_i]"],
    cm: ["[in_i]"],
    m: ["[ft_i]"],
    g: ["[oz_av]"],
    kg: ["[lb_av]"],
    t: ["[lb_av]"],
    "N.m": ["[lbf_av].[ft_i]", "[lbf_av].[in_i]"],
    "N.cm": ["[lbf_av].[in_i]", "[lbf_av].[ft_i]"],
  },
  metric: {
    "[mil_i]": ["um"],
    "[in_i]": ["mm"],
    "[ft_i]": ["m"],
    "[oz_av]": ["g"],
    "[lb_av]": ["kg"],
    "[lbf_av].[ft_i]": ["N.m"],
    "[lbf_av].[in_i]": ["N.m", "N.cm"],
  },
};

const systemOf = ({ code, quantity }) =>
  SHARED.includes(quantity) ? null : code.includes("[") || code === "K.5/9" ? "inch" : "metric";

// By code: { code, symbol, quantity, system, factor, offset }.
export const unitsOf = (checklist) =>
  new Map(
    checklist.units.map((unit) => [
      unit.code,
      { ...unit, system: systemOf(unit), factor: exact(unit.factor), offset: exact(unit.offset) },
    ]),
  );

// base = value * factor + offset
export const toBase = (value, unit) => add(multiply(value, unit.factor), unit.offset);
export const fromBase = (value, unit) => divide(subtract(value, unit.offset), unit.factor);

// The unit in which a person who works in `system` reads an amount that is stated in `unit`; `unit` itself where the
// checklist lists no other. Torques below 10 N·m are read in lbf·in (common practice).
export const unitFor = (units, unit, system, amount) => {
  if (!unit.system || unit.system === system) return unit;
  const wanted = [...(READ_IN[system][unit.code] || [])];
  if (unit.code === "N.m" && amount && compare(amount, exact("10")) < 0) wanted.reverse();
  const listed = [...units.values()].filter((one) => one.quantity === unit.quantity && one.system === system);
  return wanted.map((code) => units.get(code)).find(Boolean) || listed[0] || unit;
};
