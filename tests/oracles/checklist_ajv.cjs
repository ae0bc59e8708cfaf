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

const stepOf = (c) => c.flow[0].body.map((n) => n.step ?? n).find((n) => n.lines);
const spoil = [
  ["a number as a number", (c) => { c.units[0].factor = 0.001; }],
  ["another major version", (c) => { c.format.version = "2.0.0"; }],
  ["an unknown kind of statement", (c) => { c.flow[0].body[0].kind = "jump"; }],
  ["no limits", (c) => { delete c.limits; }],
  ["a bad date", (c) => { c.procedure.revision.date = "2026-13-45"; }],
  ["a member that the format does not have", (c) => { c.procedure.licenses = []; }],
  ["a line without an id", (c) => { delete stepOf(c).lines[0].id; }],
];

// The worked example of the specification, and the vector that has every member, fit too.
const page = fs.readFileSync("site/checklist-format.md", "utf8").match(/\n```json\n([^]*?)```/)[1];
const texts = [["the worked example", page], ...[...folders(), "tests/conformance/17-all-members"].map((folder) =>
  [folder, fs.readFileSync(path.join(folder, "checklist.json"), "utf8")])];

let faults = 0;
for (const [folder, text] of texts) {
  if (!fits(JSON.parse(text))) { console.log(folder, ajv.errorsText(fits.errors)); faults++; }
  for (const [what, change] of spoil) {
    const copy = JSON.parse(text);
    change(copy);
    if (fits(copy)) { console.log(`${folder}: ${what} was accepted`); faults++; }
  }
}
console.log(`${faults} faults`);
process.exit(faults ? 1 : 0);
