// The manual's data for machines against the vocabulary of schema.org: the types that schema-dts makes of the vocabulary, checked
// by TypeScript, which refuses a member that a type does not have and a value of another type. Then what no type says: the
// total time is a duration of ISO 8601, every address leads to a step of the page, and the steps are those of the checklist.
const fs = require("fs");
const path = require("path");
const ts = require("typescript");
const { folders } = require("./_samples.cjs");

const types = path.join(path.dirname(require.resolve("schema-dts/package.json")), "dist", "schema.d.ts");
const options = { strict: true, noEmit: true, skipLibCheck: true, types: [], module: ts.ModuleKind.NodeNext, moduleResolution: ts.ModuleResolutionKind.NodeNext };

// One program for all samples: reading the vocabulary takes most of the time.
function faultsOf(samples) {
  const texts = new Map(samples.map(([name, json], at) => [path.resolve(`sample-${at}.mts`),
    `import type { WithContext, HowTo } from ${JSON.stringify(types.replace(/\.d\.ts$/, ".js"))};\n// ${name.replace(/\s/g, " ")}\nexport const data: WithContext<HowTo> = ${json};\n`]));
  const host = ts.createCompilerHost(options);
  const { readFile, fileExists, getSourceFile } = host;
  host.readFile = (file) => texts.get(path.resolve(file)) ?? readFile.call(host, file);
  host.fileExists = (file) => texts.has(path.resolve(file)) || fileExists.call(host, file);
  host.getSourceFile = (file, ...more) => texts.has(path.resolve(file))
    ? ts.createSourceFile(file, texts.get(path.resolve(file)), more[0]) : getSourceFile.call(host, file, ...more);
  const program = ts.createProgram([...texts.keys()], options, host);
  return ts.getPreEmitDiagnostics(program).map((one) =>
    `${one.file ? path.basename(one.file.fileName) : ""}: ${ts.flattenDiagnosticMessageText(one.messageText, " ").slice(0, 400)}`);
}

const good = { "@context": "https://schema.org", "@type": "HowTo", name: "x", tool: [{ "@type": "HowToTool", name: "y" }] };
const bad = [{ ...good, tools: [] }, { ...good, tool: [{ "@type": "HowToHammer", name: "y" }] }, { ...good, "@context": "https://example.org" }];
if (faultsOf([["good", JSON.stringify(good)]]).length) throw new Error(`good data are refused: ${faultsOf([["good", JSON.stringify(good)]])}`);
for (const one of bad) if (!faultsOf([["bad", JSON.stringify(one)]]).length) throw new Error(`${JSON.stringify(one)} is accepted`);

const faults = [];
const samples = [];
for (const folder of folders()) {
  const page = fs.readFileSync(path.join(folder, "manual.html"), "utf8");
  const [, json] = /<script type="application\/ld\+json">([^]*?)<\/script>/.exec(page);
  samples.push([folder, json]);
  const data = JSON.parse(json);
  if (data.totalTime !== undefined && !/^P(?=.)(\d+D)?(T(?=.)(\d+H)?(\d+M)?(\d+S)?)?$/.test(data.totalTime)) faults.push(`${folder}: ${data.totalTime} is no duration`);
  const steps = data.step.flatMap((section) => section.itemListElement);
  for (const { url } of steps) if (!page.includes(`id="${url.slice(1)}"`)) faults.push(`${folder}: ${url} leads nowhere`);
  const checklist = JSON.parse(fs.readFileSync(path.join(folder, "checklist.json"), "utf8"));
  const ids = [];
  const walk = (value) => {
    if (Array.isArray(value)) value.forEach(walk);
    else if (value && typeof value === "object") {
      if (value.content_digest) ids.push(`#step-${value.id}`);
      Object.values(value).forEach(walk);
    }
  };
  walk(checklist.flow);
  if (JSON.stringify([...ids].sort()) !== JSON.stringify(steps.map(({ url }) => url).sort())) faults.push(`${folder}: its steps are not those of the checklist`);
}
faults.push(...faultsOf(samples));
faults.forEach((fault) => console.log(fault));
console.log(`${samples.length} pages, ${faults.length} faults`);
process.exit(faults.length ? 1 : 0);
