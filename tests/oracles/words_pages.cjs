// The richest demo in German and in the pseudo-languages, longer with accents and from right to left (those of the Unicode CLDR): every page says
// its language and direction, holds in a window and on paper, and has no violation for axe-core; the manual of the longer language is not much longer than the English one; and what
// stands on its pages without an accent is a name, a unit, or one of the texts that site/translation.md says stay as they are.
const fs = require("fs");
const os = require("os");
const path = require("path");
const { execFileSync, spawnSync } = require("child_process");
const axe = require("axe-core");
const { browser } = require("./_samples.cjs");

const runOnly = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
const LANGUAGES = { "": ["en", "ltr"], de: ["de", "ltr"], "en-XA": ["en-XA", "ltr"], "ar-XB": ["ar-XB", "rtl"] };
// A third more letters, and lines that break earlier for it.
const LONGER = 1.5;
// Records to be summed up.
const JOBS = 4;
// The program, its procedure, the marks on bags and boxes, the typeface's, units in words, and what technicians are called and type.
const NAMES = /^(fitwright|kestrel|rack|pads|strut|powered|label|manual|html|javascript|circ|mini|fitter|helper|invented|loosened|tightened|again|typed|wrong)$/i;

const out = fs.mkdtempSync(path.join(os.tmpdir(), "fitwright-languages-"));
process.on("exit", () => fs.rmSync(out, { recursive: true, force: true }));
for (const tag of Object.keys(LANGUAGES))
  execFileSync(process.env.FITWRIGHT, ["build", "--annex", ...(tag ? ["--language", tag] : []), "--out", out, "procedures/kestrel-rack.fitw"], { stdio: ["ignore", "ignore", "pipe"] });
// The record of a job for each, with its summary: the job page's modules write it, so that it follows the checklist of its language.
for (const tag of Object.keys(LANGUAGES)) {
  const folder = path.join(out, tag ? `kestrel-rack.${tag}` : "kestrel-rack");
  const checklist = path.join(folder, "checklist.json");
  execFileSync("node", [path.join(__dirname, "_records.mjs"), checklist, path.join(folder, "jobs"), String(JOBS), "7"], { stdio: "ignore" });
  for (let job = 1; job <= JOBS; job++) {
    const record = path.join(folder, "jobs", `job-${String(job).padStart(4, "0")}.jsonl`);
    spawnSync(process.env.FITWRIGHT, ["record", "--summary", path.join(folder, `record-${job}.html`), checklist, record]);
  }
}

// Words of the page that no accent was put on. Findings, accepted ones and those of a record, are told in English; a picture has its own words.
const bare = () => {
  const found = new Set();
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walk.nextNode(); node; node = walk.nextNode()) {
    if (node.parentElement.closest("script, style, .accepted, .faults, code, img, noscript")) continue;
    for (const word of node.textContent.normalize("NFC").split(/[^\p{L}\p{N}]+/u))
      if (/^[A-Za-z]{4,}$/.test(word) && /[aeiouAEIOU]/.test(word)) found.add(word);
  }
  return [...found];
};

(async () => {
  const open = await browser();
  const faults = [];
  const pagesOf = {};
  let looked = 0;
  for (const [tag, [lang, direction]] of Object.entries(LANGUAGES)) {
    const folder = path.join(out, tag ? `kestrel-rack.${tag}` : "kestrel-rack");
    for (const name of fs.readdirSync(folder).filter((name) => name.endsWith(".html"))) {
      const file = path.join(folder, name);
      const say = (what) => faults.push(`${path.basename(folder)}/${name}: ${what}`);
      for (const width of [1100, 390]) {
        const page = await open.newPage({ viewport: { width, height: 900 } });
        page.on("pageerror", (error) => say(`script error: ${error.message}`));
        await page.goto("file://" + file);
        const seen = await page.evaluate(() => ({
          lang: document.documentElement.lang,
          direction: getComputedStyle(document.body).direction,
          wide: document.documentElement.scrollWidth - innerWidth,
        }));
        if (seen.lang !== lang) say(`says that it is in ${seen.lang}`);
        if (seen.direction !== direction) say(`runs ${seen.direction}`);
        if (seen.wide > 0) say(`is ${seen.wide} px wider than a window of ${width} px`);
        if (width > 1000) {
          if (tag) {
            await page.evaluate(axe.source);
            const { violations } = await page.evaluate((rules) => axe.run(document, rules), { runOnly });
            for (const v of violations) say(`${v.id}, ${v.nodes.length} times: ${v.nodes[0].html.slice(0, 100)}`);
          }
          if (tag === "en-XA")
            for (const word of await page.evaluate(bare)) if (!NAMES.test(word)) say(`“${word}” is in no catalogue`);
          if (name === "manual.html") {
            const pdf = path.join(folder, "manual.pdf");
            await page.pdf({ path: pdf, format: "A4", preferCSSPageSize: true, printBackground: true });
            const info = execFileSync("pdfinfo", [pdf], { encoding: "utf8" });
            pagesOf[tag] = Number(/Pages:\s+(\d+)/.exec(info)[1]);
          }
        }
        await page.close();
        looked++;
      }
    }
  }
  await open.close();
  for (const [tag, pages] of Object.entries(pagesOf))
    if (pages > pagesOf[""] * LONGER) faults.push(`the manual in ${tag} has ${pages} pages, in English ${pagesOf[""]}`);
  faults.forEach((fault) => console.log(fault));
  console.log(`${looked} looks, pages of the manual ${JSON.stringify(pagesOf)}, ${faults.length} faults`);
  process.exit(faults.length || looked < 30 ? 1 : 0);
})();
