// Every page, at the width of a desk and of a phone, light and dark, has no violation for axe-core (WCAG 2.2 A and AA and
// its best practices), asks the network for nothing, and runs no script: hostile text stays text. Of a page for one fitting axe is not asked.
const path = require("path");
const axe = require("axe-core");
const { pages, browser } = require("./_samples.cjs");

const runOnly = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
const WIDTHS = [1100, 390];

// Loading a page takes longer than most of what is asked of it: it is loaded once, and its window changed.
async function look(open, file) {
  const faults = [];
  let at = "";
  const fault = (words) => faults.push(`${at}: ${words}`);
  const page = await open.newPage();
  page.on("request", (r) => /^(file|data):/.test(r.url()) || fault(`asks for ${r.url()}`));
  page.on("dialog", (d) => { fault(`runs a script: ${d.message()}`); d.dismiss(); });
  page.on("pageerror", (e) => fault(`script error: ${e.message}`));
  const data = /^data:/.test(file);
  // The pages of one fitting are made of the same pieces as those of the full procedure.
  const ofOneFitting = /--[^/]*\/[^/]*$/.test(file);
  const asked = data || !ofOneFitting;
  // Only what is amiss is carried over here: what passes is thousands of nodes, and carrying those took twice as long as finding them.
  const amiss = async (rules) => {
    const violations = await page.evaluate(async (rules) => (await axe.run(document, { ...rules, resultTypes: ["violations"] })).violations, rules);
    for (const v of violations) fault(`${v.id} (${v.impact}), ${v.nodes.length} times: ${v.help}: ${v.nodes[0].html.slice(0, 120)}`);
  };
  for (const width of WIDTHS) {
    at = `${file} at ${width} px`;
    await page.setViewportSize({ width, height: 900 });
    if (width === WIDTHS[0]) {
      await page.goto(data ? file : "file://" + path.resolve(file));
      if (asked) await page.evaluate(axe.source);
    }
    const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    if (wide > 0) fault(`is ${wide} px wider than the window`);
    const scripts = await page.evaluate(() =>
      [...document.querySelectorAll("script, iframe, object, embed, form, [onload], [onclick], [onerror], [onmouseover]")]
        .filter((e) => e.type !== "application/ld+json").map((e) => e.outerHTML.slice(0, 80)));
    scripts.forEach((html) => fault(`holds ${html}`));
    // Contrast is the same at every width, and takes most of the time; of what the dark changes, nothing else could be amiss.
    if (asked) await amiss({ runOnly, rules: { "color-contrast": { enabled: width === WIDTHS[0] } } });
  }
  if (asked) {
    at = `${file} in the dark`;
    await page.emulateMedia({ colorScheme: "dark" });
    await page.setViewportSize({ width: WIDTHS[0], height: 900 });
    await amiss({ runOnly: ["color-contrast"] });
    const ground = await page.evaluate(() => getComputedStyle(document.body).backgroundColor);
    if (!data && !/rgb\(\d\d?, \d\d?, \d\d?\)/.test(ground)) fault(`is not dark where the dark is wanted, but ${ground}`);
  }
  await page.close();
  return faults;
}

(async () => {
  const open = await browser();
  const bad = "data:text/html,<img src=x><a href=%23></a>";
  if (!(await look(open, bad)).some((fault) => /image-alt/.test(fault))) throw new Error("axe accepts a page with faults");
  let count = 0;
  for (const file of pages()) {
    for (const fault of await look(open, file)) {
      console.log(fault);
      count++;
    }
  }
  await open.close();
  console.log(`${count} faults`);
  process.exit(count ? 1 : 0);
})();
