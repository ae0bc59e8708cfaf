// The page of `fitwright fit`: valid for the Nu HTML Checker, nothing for axe to say on a desk and a phone, light and dark, asks the
// network for nothing, lets hostile text stay text, filters by words and verdicts, and shows every line where no script runs.
const fs = require("fs");
const os = require("os");
const path = require("path");
const { spawnSync } = require("child_process");
const axe = require("axe-core");
const { browser } = require("./_samples.cjs");
const { check, faults, valid } = require("./_maker_page.cjs");

const top = path.join(__dirname, "../..");
const fitwright = path.resolve(process.env.FITWRIGHT || path.join(top, "target/debug/fitwright"));
const folder = fs.mkdtempSync(path.join(os.tmpdir(), "fitwright-fit-"));
const file = path.join(folder, "vans.html");
const table = fs.readFileSync(path.join(top, "procedures/kestrel-vans.csv"), "utf8") +
  '"</script><script>alert(1)</script>","<img src=x onerror=alert(2)>",2024,150,31 kg,strut\n';
fs.writeFileSync(path.join(folder, "vans.csv"), table);
const ran = spawnSync(fitwright, ["fit", path.join(top, "procedures/kestrel-rack.fitw"), path.join(folder, "vans.csv"), "--page", file]);
if (ran.status !== 1) throw new Error(`exit ${ran.status}: ${ran.stderr}`);

valid(file);

(async () => {
  const open = await browser();
  for (const width of [1100, 390]) {
    const page = await open.newPage({ viewport: { width, height: 900 } });
    page.on("request", (r) => check(/^(file|data):/.test(r.url()), `asks for ${r.url()}`));
    page.on("dialog", (d) => { check(false, `runs ${d.message()}`); d.dismiss(); });
    page.on("pageerror", (e) => check(false, `script error: ${e.message}`));
    page.on("console", (m) => check(m.type() !== "error", `console: ${m.text()}`));
    await page.goto("file://" + file);
    check(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `wider than ${width} px`);
    const lines = () => page.locator("tr[data-verdict]:visible").count();
    check(await lines() === 27, `${await lines()} lines and not 27`);
    await page.fill("#filter-words", "osprey l3");
    check(await lines() === 6, `${await lines()} lines of the Osprey L3 and not 6`);
    check(await page.textContent("#filter-told") === "6 lines shown", await page.textContent("#filter-told"));
    check(await page.locator("section[data-group]:visible").count() === 1, "a group without a line stays");
    await page.fill("#filter-words", "");
    for (const verdict of ["fits", "depends", "unread"]) await page.uncheck(`input[value=${verdict}]`);
    check(await lines() === 2, `${await lines()} lines that do not fit and not 2`);
    for (const verdict of ["fits", "depends", "unread"]) await page.check(`input[value=${verdict}]`);
    await page.evaluate(axe.source + ";0").catch(() => {});
    for (const scheme of ["light", "dark"]) {
      await page.emulateMedia({ colorScheme: scheme });
      const { violations } = await page.evaluate(() => axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] }));
      for (const v of violations) check(false, `${width} px, ${scheme}: ${v.id}: ${v.help}: ${v.nodes[0].html.slice(0, 120)}`);
    }
    await page.emulateMedia({ media: "print" });
    check(!(await page.isVisible("#filter")), "the filter is printed");
    await page.close();
  }
  const context = await open.newContext({ javaScriptEnabled: false });
  const page = await context.newPage();
  await page.goto("file://" + file);
  check(await page.locator("tr[data-verdict]:visible").count() === 27 && !(await page.isVisible("#filter")), "without a script, not every line is there");
  await open.close();
  fs.rmSync(folder, { recursive: true });
  console.log(`${faults()} faults`);
  process.exit(faults() ? 1 : 0);
})();
