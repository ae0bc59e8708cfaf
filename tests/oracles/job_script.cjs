// The script of the job page: `site/scripts/job.js` is what esbuild makes of the modules in `site/job`, byte for byte, and is
// smaller than 90 kB. After a change of the modules write it anew with `node tests/oracles/job_script.cjs --write`, which also
// sets them as prettier does. No module, function or line is longer than one reads at once; length is counted by TypeScript's parser.
//
// The build also shortens some members of the page's own things (OURS). Such a name may be nothing else: no member of a
// checklist or record, none of the browser, no place in a sentence, no word; that is looked at here.
const fs = require("fs");
const path = require("path");
const esbuild = require("esbuild");
const prettier = require("prettier");
const ts = require("typescript");
const { browser } = require("./_samples.cjs");

const kept = "site/scripts/job.js";
const MOST_BYTES = 90000;
const MOST_LINES = 600;
const MOST_OF_FUNCTION = 80;
const MOST_COLUMNS = 140;
// What is longer, how long it may be, and why: [file, function, lines, reason].
const LONGER = [];
// Modules that are lists of data, whose lines may be as long as an entry.
const DATA = ["shapes.js"];
const STYLE = { parser: "babel", printWidth: 120 };
const OURS = `accepts act addEarlier agree aside ask asked awake begun broken chains chosen classHere classes coarse condition counts draft drawn eventsOf failed fault faults fold found given
  good inUnit jobs keeps know known lead leave limit lost main mend missing more named near nodes openFile opening photos placesOf prefer preferences press readLater
  record redraw refuse refused repairs rest resting revise roles room rulesBroken says section sectionOf setting settled shared side signed stepBefore stepsById sure telling through tick
  ticked told trail trusted unitOf waits walkOn warning wentOn wording worker works`.split(/\s+/);

const { outputFiles, warnings } = esbuild.buildSync({
  entryPoints: ["site/job/main.js"],
  bundle: true,
  minify: true,
  mangleProps: new RegExp(`^(${OURS.join("|")})$`),
  format: "iife",
  target: "es2022",
  charset: "utf8",
  lineLimit: 2000,
  legalComments: "none",
  write: false,
});
const script = outputFiles[0].text;
if (process.argv.includes("--write")) fs.writeFileSync(kept, script);

const faults = warnings.map((warning) => `${warning.location?.file}:${warning.location?.line} ${warning.text}`);
if (fs.readFileSync(kept, "utf8") !== script) faults.push(`${kept} is not what the modules make; write it anew with --write`);
const bytes = Buffer.byteLength(script);
if (bytes >= MOST_BYTES) faults.push(`the script has ${bytes} bytes, and ${MOST_BYTES} are too many`);
const modules = fs.readdirSync("site/job").filter((one) => one.endsWith(".js")).map((name) => [name, fs.readFileSync(path.join("site/job", name), "utf8")]);

// The functions of a module, with the lines that each has.
const functionsOf = (name, text) => {
  const source = ts.createSourceFile(name, text, ts.ScriptTarget.Latest, true, ts.ScriptKind.JS);
  const lineAt = (place) => source.getLineAndCharacterOfPosition(place).line + 1;
  const found = [];
  const look = (node) => {
    const from = lineAt(node.getStart(source));
    if (ts.isFunctionLike(node))
      found.push({ title: (node.name ?? node.parent.name)?.getText(source) ?? `of line ${from}`, lines: lineAt(node.end) - from + 1 });
    ts.forEachChild(node, look);
  };
  look(source);
  return found;
};

const functions = modules.flatMap(([name, text]) => functionsOf(name, text).map((one) => ({ name, ...one })));
if (functions.length < 500) faults.push(`the search finds only ${functions.length} functions`);
for (const { name, title, lines } of functions) {
  const most = LONGER.find(([file, one]) => file === name && one === title)?.[2] ?? MOST_OF_FUNCTION;
  if (lines > most) faults.push(`site/job/${name}: ${title} has ${lines} lines`);
}
for (const [file, title] of LONGER)
  if (!functions.some((one) => one.name === file && one.title === title && one.lines > MOST_OF_FUNCTION))
    faults.push(`site/job/${file}: ${title} is not long`);
for (const [name, text] of modules) {
  const lines = text.split("\n");
  if (lines.length > MOST_LINES) faults.push(`site/job/${name} has ${lines.length} lines`);
  lines.forEach((line, i) => {
    if (line.length > MOST_COLUMNS && !DATA.includes(name)) faults.push(`site/job/${name}:${i + 1} has ${line.length} columns`);
  });
  if (/\beval\b|\bFunction\(|innerHTML|outerHTML|insertAdjacentHTML|document\.write|fetch\(|XMLHttpRequest|WebSocket|sendBeacon/.test(text))
    faults.push(`site/job/${name} could run text as a program, or ask a network`);
}

// The labels that a built page brings, and every name in them: of groups, of labels, of places in a text.
const built = () => {
  const out = process.env.FITWRIGHT_OUT;
  const page = fs.readdirSync(out).map((name) => path.join(out, name, "job.html")).find((file) => fs.existsSync(file));
  return JSON.parse(/<script type="application\/json" id="labels">(.*?)<\/script>/s.exec(fs.readFileSync(page, "utf8"))[1]);
};
const words = (labels) => Object.entries(labels).flatMap(([name, text]) => [name, ...(typeof text === "string"
  ? [...text.matchAll(/\{(\w+)\}/g)].map((found) => found[1]) : words(text))]);

// Every name of a member in the schemas.
const members = (schema) => (typeof schema !== "object" || schema === null ? [] :
  Object.entries(schema).flatMap(([key, value]) => [...(key === "properties" ? Object.keys(value) : []), ...members(value)]));

// Every name that the browser gives to anything.
const browsers = () => {
  const things = Object.getOwnPropertyNames(globalThis).flatMap((name) => {
    const thing = (() => { try { return globalThis[name]; } catch { return null; } })();
    return [thing, thing?.prototype].filter((one) => /^(object|function)$/.test(typeof one) && one);
  });
  return [...things.flatMap((thing) => Object.getOwnPropertyNames(thing)), ...Object.getOwnPropertyNames(globalThis)];
};

(async () => {
  for (const [name, text] of modules) {
    const set = await prettier.format(text, STYLE);
    if (set === text) continue;
    if (process.argv.includes("--write")) fs.writeFileSync(path.join("site/job", name), set);
    else faults.push(`site/job/${name} is not set as prettier does; write it anew with --write`);
  }
  const open = await browser();
  const taken = {
    "a member of a checklist or record": fs.readdirSync("site/schema").filter((name) => /^(checklist|record)-/.test(name)).flatMap((name) => members(JSON.parse(fs.readFileSync(path.join("site/schema", name), "utf8")))),
    "known to the browser": await (await open.newPage()).evaluate(browsers),
    "a word": words(built()),
  };
  await open.close();
  for (const [what, names] of Object.entries(taken)) {
    const own = new Set(names);
    if (own.size < 50) faults.push(`only ${own.size} names that are ${what}`);
    for (const name of OURS.filter((one) => own.has(one))) faults.push(`${name} is shortened, and is ${what}`);
  }
  for (const name of OURS) if (!modules.some(([, text]) => new RegExp(`\\b${name}\\b`).test(text))) faults.push(`${name} is shortened, and is nowhere`);
  faults.forEach((fault) => console.log(fault));
  console.log(`${bytes} bytes, ${faults.length} faults`);
  process.exit(faults.length ? 1 : 0);
})().catch((e) => { console.log(e.stack); process.exit(1); });
