// Makes the pictures of pages for the README: a piece of the manual and the tablet in the middle of a job, from the demo.
// node _pictures.cjs FOLDER-OF-OUTPUTS FOLDER-OF-PICTURES
const path = require("path");
const { browser } = require("./_samples.cjs");
const job = require("./_job.cjs");

const [from, to] = process.argv.slice(2);
const right = (title) => {
  if (/^Torque .*(Rail bracket|Cross-beam)/.test(title)) return "22";
  if (/Width of the roof rail/.test(title)) return "52";
  if (/diagonals/.test(title)) return "3";
  return /^(Are|Is|Do)/.test(title) ? "yes" : "C. Owner";
};

(async () => {
  const open = await browser();
  const page = await open.newPage({ viewport: { width: 860, height: 640 }, deviceScaleFactor: 1.5, colorScheme: "light" });
  await page.goto("file://" + path.resolve(from, "manual.html"));
  await page.evaluate(() => document.fonts.ready);
  // The step that first puts a joint together, so that its drawing stands there.
  const step = page.locator("article.step", { hasText: "Place the brackets" }).first();
  const box = await step.boundingBox();
  await page.screenshot({ path: path.join(to, "manual.png"), fullPage: true,
    clip: { x: box.x - 20, y: box.y + 10, width: box.width + 40, height: box.height - 14 } });
  await page.close();

  const faults = [];
  const tablet = await job.open(open, path.join(from, "job.html"), { faults, width: 1180, height: 820, hasTouch: true, deviceScaleFactor: 1, colorScheme: "light" });
  await job.start(tablet, { options: { arm: "powered", side: "kerb" }, numbers: { "roof-rating": "150", "ladder-mass": "30" } });
  await job.go(tablet, right, { until: (now) => /^Torque 4 of 8/.test(now.entry ?? "") });
  await tablet.screenshot({ path: path.join(to, "tablet.png") });
  await open.close();
  if (faults.length) throw new Error(faults.join("\n"));
})().catch((error) => { console.error(error); process.exit(1); });
