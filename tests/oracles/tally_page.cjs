// The page of `fitwright tally` over the fifty records of the demo: valid for the Nu HTML Checker, nothing for axe to say on a desk and a
// phone, light and dark, asks the network for nothing, is no wider than its window, and prints on A4 and Letter with nothing cut off.
const fs = require("fs");
const os = require("os");
const path = require("path");
const { execFileSync, spawnSync } = require("child_process");
const axe = require("axe-core");
const { browser } = require("./_samples.cjs");
const { check, faults, valid } = require("./_maker_page.cjs");

const top = path.join(__dirname, "../..");
const fitwright = path.resolve(process.env.FITWRIGHT || path.join(top, "target/debug/fitwright"));
const folder = fs.mkdtempSync(path.join(os.tmpdir(), "fitwright-tally-"));
process.on("exit", () => fs.rmSync(folder, { recursive: true, force: true }));
const file = path.join(folder, "tally.html");
const records = path.join(top, "procedures/records");
const jobs = fs.readdirSync(records).filter((name) => name.endsWith(".jsonl")).map((name) => path.join(records, name));
const ran = spawnSync(fitwright, ["tally", path.join(records, "checklist.json"), ...jobs, "--out", folder], { encoding: "utf8" });
if (!fs.existsSync(file)) throw new Error(`exit ${ran.status}: ${ran.stderr}`);

valid(file);

const squeeze = (text) => text.replace(/\s+/g, " ").trim();

(async () => {
  const open = await browser();
  let looked = 0;
  for (const width of [1100, 390]) {
    const page = await open.newPage({ viewport: { width, height: 900 } });
    page.on("request", (r) => check(/^(file|data):/.test(r.url()), `asks for ${r.url()}`));
    page.on("pageerror", (e) => check(false, `script error: ${e.message}`));
    page.on("console", (m) => check(m.type() !== "error", `console: ${m.text()}`));
    await page.goto("file://" + file);
    const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    check(wide <= 0, `${wide} px wider than ${width} px`);
    await page.evaluate(axe.source + ";0").catch(() => {});
    for (const scheme of ["light", "dark"]) {
      await page.emulateMedia({ colorScheme: scheme });
      const { violations } = await page.evaluate(() => axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] }));
      for (const v of violations) check(false, `${width} px, ${scheme}: ${v.id}: ${v.help}: ${v.nodes[0].html.slice(0, 120)}`);
      looked++;
    }
    await page.close();
  }
  const page = await open.newPage();
  await page.goto("file://" + file);
  const cells = await page.evaluate(() => [...document.querySelectorAll("h2, h3, td, th")].map((one) => one.textContent));
  for (const format of ["A4", "Letter"]) {
    const pdf = path.join(folder, "tally.pdf");
    await page.pdf({ path: pdf, format, preferCSSPageSize: false, printBackground: true });
    // Without blanks: a printer breaks lines where it likes.
    const text = execFileSync("pdftotext", ["-layout", pdf, "-"], { encoding: "utf8" });
    const words = new Set(squeeze(text).split(" "));
    const lost = cells.flatMap((cell) => squeeze(cell).split(" ")).filter((word) => word && /^[\p{L}\p{N}.,-]+$/u.test(word) && !words.has(word) && ![...words].some((own) => own.toLowerCase().includes(word.toLowerCase())));
    check(lost.length === 0, `${format}: not on paper: ${[...new Set(lost)].slice(0, 10).join(", ")}`);
    looked++;
  }
  await open.close();
  console.log(`${looked} looks, ${cells.length} cells, ${faults()} faults`);
  process.exit(faults() || looked < 6 || cells.length < 100 ? 1 : 0);
})();
