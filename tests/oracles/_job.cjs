// Drives the job page in a browser as a technician would: by what stands on it. Nothing here knows the page's script.
const fs = require("fs");
const os = require("os");
const path = require("path");
const { execFileSync, spawnSync } = require("child_process");
const axe = require("axe-core");

// The page is deaf for a moment after each view, because a glove presses twice.
const REST = 370;

// A page in a context of its own, which notes every request, script error and dialog.
exports.open = async (browser, file, { width = 820, height = 1180, faults, init, context, ...more } = {}) => {
  const own = context || await browser.newContext({ viewport: { width, height }, acceptDownloads: true, ...more });
  if (init) await own.addInitScript(init);
  const page = await own.newPage();
  page.on("request", (r) => /^(file|data|blob):/.test(r.url()) || faults.push(`asks for ${r.url()}`));
  page.on("dialog", (d) => { faults.push(`runs a script: ${d.message()}`); d.dismiss(); });
  page.on("pageerror", (e) => faults.push(`script error: ${e.message}`));
  page.on("console", (m) => m.type() === "error" && faults.push(`console: ${m.text()}`));
  await page.goto("file://" + path.resolve(file));
  await rest(page);
  return page;
};

exports.title = (page) => page.locator("main h1").first().innerText();

// Until the page hears again, which its large button tells.
const rest = async (page) => {
  await page.waitForTimeout(REST);
  await page.waitForFunction(() => !document.querySelector('#main[aria-disabled="true"]'));
};
exports.rest = rest;

// Presses the large button, which as long as something is below the fold only leads there.
const below = async (page) => {
  for (let i = 0; i < 40; i++) {
    const more = await page.evaluate(() => {
      const to = document.querySelector("#main:not([hidden])");
      return /^More below/.test(to?.textContent) && (to.click(), true);
    });
    if (!more) return;
    await rest(page);
  }
};
exports.below = below;
const main = async (page) => {
  // What was filled in may have scrolled the view to its end: then the button means something else from now on.
  await page.waitForTimeout(60);
  await rest(page);
  await below(page);
  await page.click("#main");
  await rest(page);
};
exports.main = main;

exports.start = async (page, { name = "A. Fitter", job = "Van 1234", options = {}, numbers = {} } = {}) => {
  await page.fill("#name", name);
  await page.fill("#job", job);
  for (const [id, choice] of Object.entries(options)) {
    // Where the view comes to its end, the large button changes what it says, and the page is deaf for a moment.
    const one = page.locator(`#of-${id} [data-choice="${choice}"]`);
    await one.scrollIntoViewIfNeeded();
    await rest(page);
    await one.click();
  }
  for (const [id, value] of Object.entries(numbers)) await page.fill(`#of-${id}`, value);
  await main(page);
};

// The entries of this browser's storage that hold events, by their keys: one event each, or with a `+` a run of them, a line each.
exports.entries = (page) => page.evaluate(() => Object.fromEntries(Object.keys(localStorage).filter((key) => /\/\d{6}\+?$/.test(key)).sort().map((key) => [key, localStorage.getItem(key)])));

// The events that this browser keeps, and how many.
exports.events = async (page) => Object.values(await exports.entries(page)).flatMap((text) => text.split("\n")).map((line) => JSON.parse(line));
exports.kept = async (page) => (await exports.events(page)).length;

// The picture that is taken where a photograph is asked for and `answer("picture")` is "take".
exports.PICTURE = "tests/emit/rail.svg";

// What stands on the page to be done next.
const view = (page) => page.evaluate(() => ({
  title: document.querySelector("main h1").textContent,
  main: document.querySelector("#main:not([hidden])")?.textContent ?? null,
  message: Boolean(document.querySelector(".confirm button")),
  entry: document.querySelector('label[for="entry"]')?.textContent ?? null,
  helpers: Boolean(document.querySelector("#helpers")),
  checker: Boolean(document.querySelector("#checker")),
  question: document.querySelector("fieldset.ask legend")?.textContent ?? null,
  photo: Boolean(document.querySelector("#picture")),
}));
exports.view = view;

// Each role is signed by a person of its own.
const signer = (label, name) => (/^Signs: /.test(label) ? `${name} (${label.slice(7)})` : name);
exports.signer = signer;

// One thing done, with `answer(title)` for what is read. Gives the view before it.
exports.step = async (page, answer) => {
  const now = await view(page);
  if (now.message) {
    await page.click(".confirm button");
  } else if (now.question) {
    await below(page);
    if (now.checker) await page.fill("#checker", "C. Checker");
    await page.click(`fieldset.ask [data-choice="${answer(now.question)}"]`);
  } else if (now.photo && answer("picture") === "take") {
    await page.setInputFiles("#picture", exports.PICTURE);
    await page.waitForSelector("#picture", { state: "detached" });
  } else if (now.photo) {
    await page.click("text=Leave it out");
    await rest(page);
    await page.fill("#reason", "no camera in the shop");
    await main(page);
  } else {
    if (now.entry) await page.fill("#entry", signer(now.entry, answer(now.entry)));
    if (now.helpers) await page.fill("#helpers", "B. Fitter");
    if (now.checker) await page.fill("#checker", "C. Checker");
    await main(page);
    return now;
  }
  await rest(page);
  return now;
};

// Goes on until `until(view)` says so, or the record is closed.
exports.go = async (page, answer, { until = () => false, each = async () => {} } = {}) => {
  for (let i = 0; i < 400; i++) {
    const now = await view(page);
    await each(page, now);
    if (/^Record of the job/.test(now.title) || until(now)) return now;
    await exports.step(page, answer);
  }
  throw new Error("the job has no end");
};

// The record, as the page hands it out.
exports.saved = async (page) => {
  const [file] = await Promise.all([page.waitForEvent("download"), page.click("#deck button:text-is('Save the record')")]);
  const to = path.join(fs.mkdtempSync(path.join(os.tmpdir(), "fitwright-record-")), file.suggestedFilename());
  await file.saveAs(to);
  return { to, text: exports.linesOf(to) };
};

// The lines of a record, out of its archive where it has one: by Python's own reader of archives.
exports.linesOf = (file) => (file.endsWith(".jsonl") ? fs.readFileSync(file, "utf8")
  : execFileSync("python3", ["-c", "import sys, zipfile; sys.stdout.buffer.write(zipfile.ZipFile(sys.argv[1]).read('record.jsonl'))", file], { encoding: "utf8", maxBuffer: 2 ** 26 }));

// What the compiler says of a record: its exit code and its words.
exports.judged = (checklist, record) => {
  const run = spawnSync(process.env.FITWRIGHT, ["record", checklist, record], { encoding: "utf8" });
  return { code: run.status, said: run.stdout + run.stderr };
};

const RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];

// Looks at a view once for each sort of it: axe at WCAG 2.2 AA, nothing wider than the window, nothing to press lower than
// 48 px, and no element that text of a procedure could have made.
exports.inspector = (faults) => {
  const seen = new Set();
  return async (page, name = "") => {
    const sort = await page.evaluate(() => [...new Set([...document.querySelectorAll("main *, footer *")].map((e) => `${e.localName}.${e.getAttribute("class") ?? ""}`))].sort().join());
    const scheme = await page.evaluate(() => `${matchMedia("(prefers-color-scheme: dark)").matches} ${innerWidth}`);
    if (seen.has(sort + scheme)) return;
    seen.add(sort + scheme);
    const where = `${name} "${await exports.title(page)}"`;
    const found = await page.evaluate(() => {
      const said = [];
      const wide = document.documentElement.scrollWidth - innerWidth;
      if (wide > 0) said.push(`is ${wide} px wider than the window`);
      for (const e of document.querySelectorAll("button, input:not([type=file]), [role=button]")) {
        const { width, height } = e.getBoundingClientRect();
        if (height && (height < 47.5 || width < 47.5)) said.push(`${Math.round(width)} × ${Math.round(height)} px: ${e.outerHTML.slice(0, 90)}`);
      }
      for (const e of document.querySelectorAll(".choices button")) {
        const wide = e.getBoundingClientRect().width / e.parentElement.clientWidth;
        if (e.clientWidth && wide < (e.parentElement.classList.contains("two") ? 0.45 : 0.95)) said.push(`a choice takes ${Math.round(100 * wide)} % of its row: ${e.textContent}`);
      }
      const strange = [...document.querySelectorAll("script, iframe, object, embed, form, link, base, style, main img, main a, main *")]
        .filter((e) => [...e.attributes].some((a) => /^on/.test(a.name)) || (/^(iframe|object|embed|form|link|base|a)$/.test(e.localName)));
      strange.forEach((e) => said.push(`holds ${e.outerHTML.slice(0, 80)}`));
      const scripts = document.querySelectorAll("script").length;
      if (scripts !== 3) said.push(`holds ${scripts} scripts`);
      return said;
    });
    found.forEach((fault) => faults.push(`${where}: ${fault}`));
    await page.evaluate(axe.source);
    // A button half below the bar at the edge counts as small for axe, until somebody scrolls: so the bars stand still here.
    const result = await page.evaluate(async (runOnly) => {
      const bars = document.querySelectorAll(".bar, .deck");
      bars.forEach((bar) => { bar.style.position = "static"; });
      const found = await axe.run(document, { runOnly });
      bars.forEach((bar) => { bar.style.position = ""; });
      return found;
    }, RULES);
    for (const v of result.violations) faults.push(`${where}: ${v.id}, ${v.nodes.length} times: ${v.help}: ${v.nodes[0].html.slice(0, 140)}`);
    return seen.size;
  };
};

exports.report = (name, faults, count) => {
  faults.forEach((fault) => console.log(fault));
  console.log(`${name}: ${count}, ${faults.length} faults`);
  process.exit(faults.length ? 1 : 0);
};

exports.expect = (faults) => (holds, what) => { if (!holds) faults.push(what); };
exports.build = (out, ...paths) => execFileSync(process.env.FITWRIGHT, ["build", "--out", out, ...paths], { stdio: ["ignore", "ignore", "pipe"] });
