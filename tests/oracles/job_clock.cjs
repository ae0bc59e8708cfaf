// The clock of a wait, in Debian's browser: it runs from when it was started, through a reload, and says when the time is up. The
// browser's own clock is moved by playwright, which is not ours.
const path = require("path");
const { browser } = require("./_samples.cjs");
const job = require("./_job.cjs");

const file = path.join(process.env.FITWRIGHT_OUT, "kestrel-rack--arm-powered--roof-rating-150-kg--ladder-mass-40-kg", "job.html");
const answer = (title) => {
  const values = [[/^Torque .*Arm to cross-beams/, "45"], [/^Torque .*(Rail bracket|Cross-beam)/, "22"], [/^Torque .*Lugs/, "6"],
    [/^Torque .*Nuts/, "10"], [/Serial number/, "PA-0042"], [/Width of the roof rail/, "45"], [/diagonals/, "3"], [/Gap between/, "30"],
    [/Voltage at the arm/, "12.1"]];
  return values.find(([of]) => of.test(title))?.[1] ?? "yes";
};

(async () => {
  const faults = [];
  const expect = job.expect(faults);
  const open = await browser();
  const page = await job.open(open, file, { faults, hasTouch: true, width: 800, height: 1280 });
  await page.clock.install();
  await job.start(page);
  await job.main(page);
  const waits = async () => (await page.locator(".clock").count()) > 0;
  for (let i = 0; i < 300 && !(await waits()); i++) await job.step(page, answer);
  expect(await waits(), "no step of the job waits");
  const left = () => page.locator(".clock .left").innerText();
  const told = () => page.locator(".clock [role=status]").innerText();
  expect(/Wait\s*10\smin, until the primer is dry/i.test(await page.locator("main").innerText()), "the wait is not said in words");
  expect((await left()) === "10:00", `before it is started the clock shows ${await left()}`);
  const events = await job.kept(page);
  await page.click(".clock button");
  await page.clock.runFor(125_000);
  expect(/^7:5[45]$/.test(await left()), `after 125 seconds the clock shows ${await left()}`);
  if (process.env.KEEP_SHOT) await page.locator("main").screenshot({ path: process.env.KEEP_SHOT });
  await page.reload();
  await job.rest(page);
  await page.click("text=Carry on");
  await job.rest(page);
  expect(/^7:[45]\d$/.test(await left()), `after a reload the clock shows ${await left()}`);
  expect((await told()).trim() === "", "the time is up too early");
  await page.clock.runFor(480_000);
  expect((await left()) === "0:00" && /up/.test(await told()), `at the end the clock shows ${await left()} ${await told()}`);
  await page.click(".clock button");
  expect((await left()) === "10:00" && (await told()).trim() === "", "it does not start again");
  expect((await job.kept(page)) === events, "the clock is no event, and the record grew");
  await open.close();
  job.report("clock", faults, "one wait");
})();
