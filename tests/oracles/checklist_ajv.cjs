// Every checklist fits the published schema, by ajv in strict mode (JSON Schema 2020-12, with formats). Spoilt copies do
// not, so that a schema that accepts everything does not pass.
const fs = require("fs");
const path = require("path");
const Ajv = require("ajv/dist/2020").default;
const formats = require("ajv-formats").default;
const { folders } = require("./_samples.cjs");

const ajv = new Ajv({ strict: true, allErrors: true });
formats(ajv);
// Numbers of Rust's types; ajv has no such formats of its own.
ajv.addFormat("uint32", { type: "number", validate: (n) => Number.isInteger(n) && n >= 0 && n < 2 ** 32 });
const fits = ajv.compile(JSON.parse(fs.readFileSync("site/schema/checklist-1.schema.json")));

const spoil = [
  ["a number as a number", (c) => { c.units[0].factor = 0.001; }],
  ["another major version", (c) => { c.format.version = "2.0.0"; }],
  ["an unknown kind of statement", (c) => { c.flow[0].body[0].kind = "jump"; }],
  ["no limits", (c) => { delete c.limits; }],
  ["a bad date", (c) => { c.procedure.revision.date = "2026-13-45"; }],
  ["a line without an id", (c) => { delete c.flow[0].body.find((n) => n.kind === "step").lines[0].id; }],
];

let faults = 0;
for (const folder of folders()) {
  const text = fs.readFileSync(path.join(folder, "checklist.json"), "utf8");
  if (!fits(JSON.parse(text))) { console.log(folder, ajv.errorsText(fits.errors)); faults++; }
  for (const [what, change] of spoil) {
    const copy = JSON.parse(text);
    change(copy);
    if (fits(copy)) { console.log(`${folder}: ${what} was accepted`); faults++; }
  }
}
console.log(`${faults} faults`);
process.exit(faults ? 1 : 0);
