// A point of a circuit has one number: what the job page shows beside each point that is connected or disconnected is what the
// manual prints there, in the same order, in every folder.
const fs = require("fs");
const path = require("path");
const esbuild = require("esbuild");
const { browser, folders } = require("./_samples.cjs");

const bundle = `
  import { readChecklist } from "./checklist.js";
  import { line } from "./parts.js";
  // Whatever else a line asks of the page: nothing is known yet, nothing ticked.
  const nothing = new Proxy(() => "", { get: (_, name) => (name === Symbol.toPrimitive ? () => "" : nothing) });
  const shownOf = (does) => {
    const box = document.createElement("div");
    box.append(...[does].flat(9).filter(Boolean));
    return [...box.querySelectorAll("li")].map((li) => li.textContent.trim());
  };
  globalThis.points = (text, manual) => {
    const list = readChecklist(text);
    const app = { list, wording: nothing, memory: nothing, job: { known: new Map() } };
    const found = list.nodes.map((node) => node.step ?? node).flatMap((step) => step.lines ?? []).filter(({ does }) => does?.points);
    const printed = [...new DOMParser().parseFromString(manual, "text/html").querySelectorAll("li[value]")];
    return {
      shown: found.flatMap((one) => shownOf(line(app, one, "test"))),
      titles: found.flatMap(({ does }) => does.points.map((id) => list.circuits.get(does.circuit).points.find((point) => point.id === id).title)),
      printed: printed.map((li) => [li.value, li.textContent.trim()]),
    };
  };`;
const script = esbuild.buildSync({
  stdin: { contents: bundle, resolveDir: "site/job" }, bundle: true, format: "iife", target: "es2022", write: false,
}).outputFiles[0].text;

(async () => {
  const open = await browser();
  const page = await open.newPage();
  // The words of the page come with it, as data.
  const built = fs.readFileSync(path.join(folders()[0], "job.html"), "utf8");
  await page.setContent(/<script type="application\/json" id="labels">.*?<\/script>/s.exec(built)[0]);
  await page.evaluate(script);
  const faults = [];
  let seen = 0;
  for (const folder of folders()) {
    const read = (name) => fs.readFileSync(path.join(folder, name), "utf8");
    const { shown, titles, printed } = await page.evaluate((files) => points(...files), [read("checklist.json"), read("manual.html")]);
    if (shown.length !== printed.length) faults.push(`${folder}: ${shown.length} points on the page, ${printed.length} in the manual`);
    shown.forEach((text, i) => {
      const [number, words] = printed[i] ?? [];
      seen++;
      if (!text.startsWith(`${number}. ${titles[i]}`) || !words.startsWith(titles[i])) faults.push(`${folder}: "${text}" on the page, ${number} "${words}" in the manual`);
    });
  }
  if (seen < 20) faults.push(`only ${seen} points`);
  await open.close();
  console.log(faults.join("\n"));
  console.log(`${seen} points, ${faults.length} faults`);
  process.exit(faults.length ? 1 : 0);
})();
