// Every page, at the width of a desk and of a phone, light and dark, has no violation for axe-core (WCAG 2.2 A and AA and
// its best practices), asks the network for nothing, and runs no script: hostile text stays text. With FITWRIGHT_LAYOUT_ONLY set, and of a page for one fitting, axe is not asked.
const path = require("path");
const axe = require("axe-core");
const { pages, browser } = require("./_samples.cjs");

const runOnly = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];

async function look(open, file, width) {
  const page = await open.newPage({ viewport: { width, height: 900 } });
  const faults = [];
  page.on("request", (r) => /^(file|data):/.test(r.url()) || faults.push(`asks for ${r.url()}`));
  page.on("dialog", (d) => { faults.push(`runs a script: ${d.message()}`); d.dismiss(); });
  page.on("pageerror", (e) => faults.push(`script error: ${e.message}`));
  if (/^data:/.test(file)) await page.goto(file); else await page.goto("file://" + path.resolve(file));
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
  if (wide > 0) faults.push(`is ${wide} px wider than the window`);
  const scripts = await page.evaluate(() =>
    [...document.querySelectorAll("script, iframe, object, embed, form, [onload], [onclick], [onerror], [onmouseover]")]
      .filter((e) => e.type !== "application/ld+json").map((e) => e.outerHTML.slice(0, 80)));
  scripts.forEach((html) => faults.push(`holds ${html}`));
  // The pages of one fitting are made of the same pieces as those of the full procedure.
  const ofOneFitting = /--[^/]*\/[^/]*$/.test(file);
  if ((process.env.FITWRIGHT_LAYOUT_ONLY || ofOneFitting) && !/^data:/.test(file)) {
    await page.close();
    return faults;
  }
  await page.evaluate(axe.source);
  // Contrast is the same at every width, and takes most of the time; of what the dark changes, nothing else could be amiss.
  const rules = { runOnly, rules: { "color-contrast": { enabled: width > 1000 } } };
  const violations = (await page.evaluate((rules) => axe.run(document, rules), rules)).violations;
  if (width > 1000) {
    await page.emulateMedia({ colorScheme: "dark" });
    const dark = await page.evaluate(() => axe.run(document, { runOnly: ["color-contrast"] }));
    const ground = await page.evaluate(() => getComputedStyle(document.body).backgroundColor);
    if (/^file:|^[./]/.test(file) && !/rgb\(\d\d?, \d\d?, \d\d?\)/.test(ground)) faults.push(`is not dark where the dark is wanted, but ${ground}`);
    violations.push(...dark.violations);
  }
  for (const v of violations)
    faults.push(`${v.id} (${v.impact}), ${v.nodes.length} times: ${v.help}: ${v.nodes[0].html.slice(0, 120)}`);
  await page.close();
  return faults;
}

(async () => {
  const open = await browser();
  const bad = "data:text/html,<img src=x><a href=%23></a>";
  if (!(await look(open, bad, 1100)).length) throw new Error("axe accepts a page with faults");
  let count = 0;
  for (const file of pages()) {
    for (const width of [1100, 390]) {
      for (const fault of await look(open, file, width)) {
        console.log(`${file} at ${width} px: ${fault}`);
        count++;
      }
    }
  }
  await open.close();
  console.log(`${count} faults`);
  process.exit(count ? 1 : 0);
})();
