// What the job page makes of numbers: typed ones with either decimal sign, in either unit system, and its digests. Expected
// values are written by hand from the exact inch (0.0254 m) and pound (0.45359237 kg) of NIST SP 811, appendix B.8; digests
// are compared with Node's own.
import fs from "node:fs";
import path from "node:path";
import { createHash, randomBytes } from "node:crypto";
import assert from "node:assert/strict";
import { sha256 } from "../../site/job/sha256.js";
import { exact, written, rounded, add, divide, compare } from "../../site/job/exact.js";
import { readChecklist } from "../../site/job/checklist.js";
import { typedReading } from "../../site/job/entry.js";
import { typedNumber } from "../../site/job/typed.js";

for (let length = 0; length < 260; length++) {
  const bytes = randomBytes(length);
  assert.equal(sha256(new Uint8Array(bytes)), createHash("sha256").update(bytes).digest("hex"), `${length} bytes`);
}

assert.equal(written(add(exact("0.1"), exact("0.2"))), "0.3");
assert.equal(written(divide(exact("1"), exact("3"))), "1/3");
assert.equal(written(divide(exact("-1"), exact("8"))), "-0.125");
assert.equal(rounded(exact("2.345"), 2), "2.35");
assert.equal(rounded(exact("-0.5"), 0), "0");
assert.equal(compare(exact("24.950"), exact("24.95")), 0);
assert.equal(exact("1e3"), null);
assert.equal(divide(exact("1"), exact("0")), null);

// A number alone: the value, or the fault.
const alone = (text, plausible) => { const { value, fault } = typedNumber(text, plausible); return fault ?? written(value); };
const numbers = {
  "24.5": "24.5", "24,5": "24.5", " 24.5 ": "24.5", "0,500": "0.5", "0.500": "0.5", "9/16": "0.5625", "1 3/4": "1.75", "−5": "-5", "1234,5": "1234.5",
  "1,500": "typedThousands", "1.500": "typedThousands", "12.345": "typedThousands", "1.234,5": "typedTwoSigns", "1,234,567": "typedTwoSigns", "1'500": "typedNoNumber",
  "24 mm": "typedUnit", "24mm": "typedUnit", "": "typedNothing", " ": "typedNothing", "1e3": "typedNoNumber", ".5": "typedNoNumber", "5.": "typedNoNumber", "٢٥": "typedNoNumber",
  NaN: "typedNoNumber", Infinity: "typedNoNumber", "1/0": "typedNoNumber", "--5": "typedNoNumber",
};
for (const [text, wanted] of Object.entries(numbers)) assert.equal(alone(text), wanted, `"${text}"`);
// Three decimals are meant as such where the thousands could not be.
assert.equal(alone("11.400", (value) => compare(value, exact("16")) <= 0), "11.4");

// Readings of the demo: a rule of 36 to 60 mm by whole millimetres, whose branch changes between 45 mm and 46 mm; a voltage of
// 0 to 16 V by tenths; a gap of 0 to 120 mm that is right from 25 mm on.
const list = readChecklist(fs.readFileSync(path.join(process.env.FITWRIGHT_OUT, "kestrel-rack/checklist.json"), "utf8"));
const reading = (input, unit, text) => {
  const { amount, typed, fault } = typedReading(text, list.units.get(unit), list.inputs.get(input), list, new Map());
  return fault ?? `${amount.value} ${amount.unit}${typed ? `, typed ${typed.value}` : ""}`;
};
const readings = [
  ["rail-width", "mm", "45", "45 mm"], ["rail-width", "mm", "45.0", "45 mm"], ["rail-width", "mm", "45,5", "notMultiple"], ["rail-width", "mm", "35", "outOfRange"],
  ["rail-width", "mm", "60", "60 mm"], ["rail-width", "mm", "61", "outOfRange"],
  // 1.77 in = 44.958 mm; 1.8 in = 45.72 mm; 2.05 in = 52.07 mm; 1 3/4 in = 44.45 mm; 1.772 in = 45.0088 mm
  ["rail-width", "[in_i]", "1.77", "45 mm, typed 1.77"], ["rail-width", "[in_i]", "1,77", "45 mm, typed 1.77"], ["rail-width", "[in_i]", "1.8", "between"],
  ["rail-width", "[in_i]", "2.05", "52 mm, typed 2.05"], ["rail-width", "[in_i]", "1 3/4", "44 mm, typed 1.75"], ["rail-width", "[in_i]", "1.772", "45 mm, typed 1.772"],
  ["rail-width", "[in_i]", "45", "outOfRange"],
  // 0.97 in = 24.638 mm, which would round up to what is right; 1.1 in = 27.94 mm
  ["door-gap", "[in_i]", "0.97", "between"], ["door-gap", "[in_i]", "1.1", "28 mm, typed 1.1"],
  ["feed-voltage", "V", "11,4", "11.4 V"], ["feed-voltage", "V", "11.45", "notMultiple"],
  ["roof-rating", "kg", "150,5", "150.5 kg"], ["roof-rating", "[lb_av]", "330.5", "330.5 [lb_av]"], ["roof-rating", "[lb_av]", "700", "outOfRange"],
];
for (const [input, unit, text, wanted] of readings) assert.equal(reading(input, unit, text), wanted, `${input} ${text} ${unit}`);
console.log(`${Object.keys(numbers).length} numbers, ${readings.length} readings, 260 digests`);
