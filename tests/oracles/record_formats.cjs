// The conformance vectors against programs that are not ours: every checklist and every event fits the published schemas by
// ajv (strict for writers, tolerant for readers), every line of an undamaged record is canonical for npm `canonicalize`
// (by an author of RFC 8785), and spoilt ones do not fit.
const fs = require("fs");
const path = require("path");
const { pathToFileURL } = require("url");
const Ajv = require("ajv/dist/2020").default;
const formats = require("ajv-formats").default;

(async () => {
  // A module of the new kind, which NODE_PATH does not find.
  const place = path.join(process.env.NODE_PATH, "canonicalize/lib/canonicalize.js");
  const canonicalize = (await import(pathToFileURL(place))).default;
  const ajv = new Ajv({ strict: true, allErrors: true });
  formats(ajv);
  ajv.addFormat("uint32", { type: "number", validate: (n) => Number.isInteger(n) && n >= 0 && n < 2 ** 32 });
  ajv.addFormat("uint64", { type: "number", validate: (n) => Number.isInteger(n) && n >= 0 });
  const schema = (name) => ajv.compile(JSON.parse(fs.readFileSync(`site/schema/${name}.schema.json`)));
  const strict = { checklist: schema("checklist-1"), event: schema("record-1") };
  const tolerant = { checklist: schema("checklist-1-reader"), event: schema("record-1-reader") };

  let faults = 0;
  const fault = (text) => { console.log(text); faults++; };
  const top = "tests/conformance";
  let events = 0;
  for (const name of fs.readdirSync(top).filter((name) => /^\d\d-/.test(name)).sort()) {
    const read = (file) => fs.readFileSync(path.join(top, name, file), "utf8");
    // Files that are refused, or that have members of a later version, on purpose.
    const refused = /^07-|newer-major|other-format|10-hash-field|10-path|13-no-moment/.test(name);
    const later = /^06-|^08-/.test(name);
    const checklist = JSON.parse(read("checklist.json"));
    const fits = (later ? tolerant : strict).checklist;
    if (!refused && !fits(checklist)) fault(`${name}: checklist ${ajv.errorsText(fits.errors).slice(0, 400)}`);
    if (later && strict.checklist(checklist) && name.startsWith("06-")) fault(`${name}: the strict schema takes unknown members`);
    if (!fs.existsSync(path.join(top, name, "record.jsonl")) || refused) continue;
    // Lines that the judge calls unreadable: the schema refuses them too.
    const expected = JSON.parse(read("expected.json"));
    const unreadable = new Set((expected.findings ?? []).filter(({ verdict }) => verdict === "unreadable").map(({ line }) => line));
    for (const line of read("record.jsonl").split("\n").filter(Boolean)) {
      let event;
      try { event = JSON.parse(line); } catch { if (!name.startsWith("09-")) fault(`${name}: no JSON`); continue; }
      events++;
      if (!name.startsWith("09-") && canonicalize(event) !== line) fault(`${name}: line ${event.seq} is not canonical`);
      const fits = (later ? tolerant : strict).event;
      if (unreadable.has(event.seq) && name.startsWith("16-")) {
        if (fits(event)) fault(`${name}: line ${event.seq} is unreadable, and the schema takes it`);
      } else if (!fits(event)) fault(`${name}: line ${event.seq} ${ajv.errorsText(fits.errors).slice(0, 300)}`);
    }
  }
  for (const row of JSON.parse(fs.readFileSync(`${top}/canonical.json`)))
    if (canonicalize(JSON.parse(row.json)) !== row.canonical) fault(`canonical.json: ${row.json}`);

  const lines = fs.readFileSync(`${top}/02-every-kind/record.jsonl`, "utf8").split("\n").filter(Boolean).map((line) => JSON.parse(line));
  const of = (type) => structuredClone(lines.find((event) => event.type === type));
  for (const [what, event] of [
    ["an unknown type", { ...of("note"), type: "weigh" }], ["an amount as a number", { ...of("torque"), amount: { value: 22, unit: "N.m" } }],
    ["no digest", { ...of("note"), digest: undefined }], ["a path as a name", { ...of("photo"), file: "../a.png" }],
    ["a torque with an exponent", { ...of("torque"), amount: { value: "2e1", unit: "N.m" } }], ["no text", { ...of("note"), text: "" }],
  ]) {
    const spoilt = JSON.parse(JSON.stringify(event));
    if (strict.event(spoilt) || tolerant.event(spoilt)) fault(`${what} was accepted`);
  }
  if (strict.event({ ...of("note"), mood: "good" })) fault("the strict schema takes an unknown member");
  if (!tolerant.event({ ...of("note"), mood: "good" })) fault("the tolerant schema refuses an unknown member");
  if (!strict.event({ ...of("note"), "x-mood": "good" })) fault("the strict schema refuses a member of the user's own");
  console.log(`${events} events, ${faults} faults`);
  process.exit(faults || events < 1000 ? 1 : 0);
})();
