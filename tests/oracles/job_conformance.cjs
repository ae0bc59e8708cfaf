// The evaluator of the job page against every vector of tests/conformance, in Debian's browser: the same states and verdicts
// as the compiler's own judge, which tests/conformance.rs holds to the same files. Two thousand steps must stay quick.
const fs = require("fs");
const path = require("path");
const { isDeepStrictEqual } = require("util");
const { createHash } = require("crypto");
const esbuild = require("esbuild");
const { browser } = require("./_samples.cjs");

const top = "tests/conformance";
const MOST_MILLISECONDS = 5000;

const evaluator = `
  import { judge } from "./judge.js";
  import { canonical } from "./canonical.js";
  import { sha256 } from "./sha256.js";
  import { readChecklist } from "./checklist.js";
  import { isChecklist } from "./shapes.js";
  import { evaluate, base } from "./conditions.js";
  const conditions = (text, cases) => {
    const list = readChecklist(text, isChecklist);
    return cases.map(({ known, condition }) => evaluate(condition, new Map(Object.entries(known).map(([input, answer]) =>
      [input, answer.amount ? { ...answer, base: base(answer.amount, list.units) } : answer])), list.units));
  };
  const form = (text) => { const form = canonical(JSON.parse(text)); return [form, sha256(form)]; };
  const timed = (...files) => { const from = performance.now(); return { state: judge(...files), took: performance.now() - from }; };
  globalThis.evaluator = { conditions, form, timed };`;

const script = esbuild.buildSync({
  stdin: { contents: evaluator, resolveDir: "site/job" }, bundle: true, format: "iife", target: "es2022", write: false,
}).outputFiles[0].text;

// As a browser decodes a file: what is no UTF-8 becomes U+FFFD, and a byte order mark stays.
const read = (...names) => new TextDecoder("utf-8", { ignoreBOM: true }).decode(fs.readFileSync(path.join(top, ...names)));

const pictures = (folder) => {
  const photos = path.join(top, folder, "photos");
  if (!fs.existsSync(photos)) return null;
  return Object.fromEntries(fs.readdirSync(photos).map((name) => {
    const bytes = fs.readFileSync(path.join(photos, name));
    return [name, { bytes: bytes.length, sha256: createHash("sha256").update(bytes).digest("hex") }];
  }));
};

(async () => {
  const open = await browser();
  const page = await open.newPage();
  await page.evaluate(script);
  const folders = fs.readdirSync(top).filter((name) => fs.statSync(path.join(top, name)).isDirectory());
  const faults = [];
  let count = 0;
  let slowest = 0;
  for (const folder of folders) {
    const has = (name) => fs.existsSync(path.join(top, folder, name));
    if (has("record.jsonl")) {
      count++;
      const { state, took } = await page.evaluate((files) => evaluator.timed(...files), [read(folder, "checklist.json"), read(folder, "record.jsonl"), pictures(folder)]);
      slowest = Math.max(slowest, took);
      const wanted = JSON.parse(read(folder, "expected.json"));
      for (const member of new Set([...Object.keys(wanted), ...Object.keys(state)]))
        if (!isDeepStrictEqual(state[member], wanted[member]))
          faults.push(`${folder}, ${member}: wanted ${JSON.stringify(wanted[member])?.slice(0, 300)}, got ${JSON.stringify(state[member])?.slice(0, 300)}`);
    }
    if (has("conditions.json")) {
      const cases = JSON.parse(read(folder, "conditions.json"));
      const results = await page.evaluate((files) => evaluator.conditions(...files), [read(folder, "checklist.json"), cases]);
      cases.forEach(({ about, result }, i) => {
        count++;
        if (results[i] !== result) faults.push(`${folder}, ${about}: wanted ${result}, got ${results[i]}`);
      });
    }
  }
  for (const { json, canonical, sha256 } of JSON.parse(read("canonical.json"))) {
    count++;
    const got = await page.evaluate((text) => evaluator.form(text), json);
    if (!isDeepStrictEqual(got, [canonical, sha256])) faults.push(`canonical form of ${json.slice(0, 60)}: ${got[0].slice(0, 100)}`);
  }
  await open.close();
  if (folders.length < 100) faults.push(`only ${folders.length} vectors`);
  if (slowest > MOST_MILLISECONDS) faults.push(`the slowest vector takes ${Math.round(slowest)} ms`);
  faults.forEach((fault) => console.log(fault));
  console.log(`${count} cases of ${folders.length} vectors, slowest ${Math.round(slowest)} ms, ${faults.length} faults`);
  process.exit(faults.length ? 1 : 0);
})().catch((e) => { console.log(e.stack); process.exit(1); });
