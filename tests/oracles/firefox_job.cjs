// A whole job on the job page in Firefox, with a finger: the Kestrel with the strut, a reading that is refused, a torque that is out, a reload in
// the middle, a repair; and its record judged by the compiler. Nothing is wider than the window in any view.
const path = require("path");
const job = require("./_job.cjs");
const { STRUT, right } = require("./job_walk.cjs");
const { firefox, wrapped } = require("./_firefox.cjs");

const folder = path.join(process.env.FITWRIGHT_OUT, "kestrel-rack");
const faults = [];
const expect = job.expect(faults);

(async () => {
  const { browser, downloads } = await firefox();
  const own = await browser.newPage();
  own.on("pageerror", (e) => faults.push(`script error: ${e.message}`));
  own.on("console", (m) => m.type() === "error" && faults.push(`console: ${m.text()}`));
  await own.setViewport({ width: 820, height: 1180, hasTouch: true });
  const page = wrapped(own, downloads);
  await page.goto("file://" + path.resolve(folder, "job.html"));
  await job.rest(page);
  const fits = async (now) => {
    const over = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    if (over > 0) faults.push(`"${now.title}" is ${over} px wider than the window`);
  };
  const each = (_, now) => fits(now);

  await job.start(page, STRUT);
  await job.go(page, right, { each, until: (now) => now.entry });
  const refused = await job.kept(page);
  await page.fill("#entry", "x");
  await page.click("#main");
  await job.rest(page);
  expect((await job.kept(page)) === refused, "what is not a number was written down");
  await page.reload();
  await job.rest(page);
  await page.click("text=Carry on");
  await job.rest(page);
  expect((await job.kept(page)) === refused, "a reload changed the record");
  const before = await job.view(page);
  expect(before.entry, "the job does not go on where it was");
  let skew = ["9", "3"];
  await job.go(page, (title) => (/diagonals/.test(title) && skew.length ? skew.shift() : right(title)), { each });
  expect(!skew.length, "the check was not done again after its repair");
  expect(/Handed over/.test(await job.title(page)), `the job ends at "${await job.title(page)}"`);
  const record = await job.saved(page);
  const { code, said } = job.judged(path.join(folder, "checklist.json"), record.to);
  expect(code === 0, `the compiler refuses the record: ${said}`);
  const events = record.text.trimEnd().split("\n").length;
  await browser.close();
  job.report("a whole job in Firefox", faults, `${events} events`);
})().catch((e) => { console.log([...faults, e.stack].join("\n")); process.exit(1); });
