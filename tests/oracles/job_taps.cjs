// A whole Kestrel with the powered arm on a tablet of 10 inches, laid across and with fingers alone: how often it is pressed, how
// many views there are, and how many of them are longer than the window. The numbers are printed, and may only get better.
//
// A tap is every press that the page itself sees on a button, or into a field that the tablet's own keyboard then types into; so the
// presses on "More below" count. Keys of the page's keypad are counted apart: they are what is typed.
const path = require("path");
const { browser } = require("./_samples.cjs");
const job = require("./_job.cjs");

const file = path.join(process.env.FITWRIGHT_OUT, "kestrel-rack", "job.html");
// What there was when this was written; 90 taps are the aim.
const MOST = { taps: 90, keys: 10, views: 75, long: 12 };
// 1280 × 800 px on 217 × 136 mm: a tablet of 10.1 inches across. 15 mm for a gloved finger is common practice (from memory).
const MM = 1280 / 217;
const faults = [];
const expect = job.expect(faults);

const ANSWERS = [[/Arm to cross-beams/, "45"], [/Rail bracket|Cross-beam/, "22"], [/Lugs/, "6"], [/Nuts/, "10"], [/Width of the roof rail/, "52"], [/diagonals/, "3"],
  [/Gap/, "30"], [/Voltage/, "12.1"], [/Serial/, "PA-0042"], [/Installer/, "A. Fitter"], [/Customer/, "C. Owner"]];
const right = (title) => ANSWERS.find(([words]) => words.test(title))?.[1] ?? "yes";

const count = () => {
  window.pressed = { taps: 0, keys: 0 };
  addEventListener("click", ({ target }) => {
    const on = target.closest("button, input");
    if (on) window.pressed[on.closest(".keys") ? "keys" : "taps"]++;
  }, true);
};

// What is wrong with how a view stands in the window.
const look = (page) => page.evaluate((mm) => {
  const said = [];
  const { scrollHeight } = document.documentElement;
  const main = document.querySelector("#main:not([hidden])");
  const below = scrollHeight - innerHeight - scrollY > 12;
  if (below && !/^More below/.test(main?.textContent)) said.push(`${scrollHeight - innerHeight - scrollY} px are below the fold, and the large button says "${main?.textContent}"`);
  const deck = document.querySelector(".deck").getBoundingClientRect();
  for (const e of document.querySelectorAll(".right .keys button, .right .choices button, .right #entry")) {
    const { bottom, right } = e.getBoundingClientRect();
    if (bottom > deck.top + 1 && right > deck.left) said.push(`hidden behind the large button: ${e.textContent || e.id}`);
  }
  const keys = [...document.querySelectorAll(".keys button")].map((e) => e.getBoundingClientRect());
  for (const { width, height } of keys) if (Math.min(width, height) < 15 * mm - 0.5) said.push(`a key of ${(width / mm).toFixed(1)} × ${(height / mm).toFixed(1)} mm`);
  if (keys.length && keys[1].left - keys[0].right < 3 * mm - 0.5) said.push("less than 3 mm between keys");
  return { said, long: scrollHeight - innerHeight > 12, title: document.querySelector("main h1").textContent };
}, MM);

async function kestrel(open) {
  const page = await job.open(open, file, { faults, width: 1280, height: 800, hasTouch: true, init: count });
  const type = async (field, text) => { await page.click(field); await page.keyboard.type(text); };
  const seen = { views: 0, long: 0, titles: [] };
  const view = async () => {
    await page.waitForTimeout(100);
    const { said, long, title } = await look(page);
    seen.views++;
    if (long) seen.titles.push(title);
    seen.long += long;
    // What was in sight once is not asked for again in the same step; of the record nothing has to be done.
    if (title !== seen.last && !/^Record/.test(title)) said.forEach((fault) => faults.push(`"${title}": ${fault}`));
    seen.last = title;
  };
  await view();
  await type("#name", "A. Fitter");
  await type("#job", "Van 1234");
  for (const choice of ["#of-arm [data-choice=powered]", "#of-side [data-choice=kerb]"]) await page.click(choice);
  await type("#of-roof-rating", "150");
  await type("#of-ladder-mass", "30");
  await job.main(page);
  for (let i = 0; i < 200; i++) {
    await view();
    const now = await job.view(page);
    if (/^Record of the job/.test(now.title)) break;
    if (now.message) { await page.click(".confirm button"); await job.rest(page); continue; }
    if (now.question) { await job.step(page, right); continue; }
    if (now.helpers) await type("#helpers", "B. Fitter");
    if (now.photo) { await page.click("text=Leave it out"); await job.rest(page); await page.click(".ready button"); await job.rest(page); continue; }
    // A mark for each wrench, once.
    if (await page.locator("#instrument").count() && !(await page.inputValue("#instrument"))) await type("#instrument", "TW-07");
    const clicked = / clicked at /.test(now.main) || (await page.locator(".torques").count());
    if (now.entry && !clicked && await page.locator(".keys").count())
      for (const digit of right(now.entry)) await page.click(`.keys button:text-is("${digit}")`);
    else if (now.entry && !clicked) await type("#entry", right(now.entry));
    await job.main(page);
  }
  const record = await job.saved(page);
  const { code, said } = job.judged(path.join(path.dirname(file), "checklist.json"), record.to);
  expect(code === 0, `the compiler refuses the record: ${said}`);
  const events = record.text.trimEnd().split("\n").map((line) => JSON.parse(line));
  const clicks = events.filter(({ type, clicked }) => type === "torque" && clicked);
  expect(clicks.length === 24, `${clicks.length} torques are of a wrench that clicked`);
  expect(new Set(clicks.map(({ instrument }) => instrument)).size === 1, "the mark of the wrench was not remembered");
  expect(events.filter((event) => event.with?.includes("B. Fitter")).length > 2, "the helper was not remembered");
  const pressed = await page.evaluate(() => window.pressed);
  const found = { ...pressed, taps: pressed.taps - 1, views: seen.views, long: seen.long };
  for (const [name, most] of Object.entries(MOST)) expect(found[name] <= most, `${found[name]} ${name}, and ${most} are too many`);
  await page.context().close();
  return { ...found, titles: seen.titles };
}

// "no" by mistake, ticks that a reload keeps, and how far it is back.
async function slips(open) {
  const page = await job.open(open, file, { faults, width: 1280, height: 800, hasTouch: true, init: count });
  await job.start(page, { options: { arm: "strut", side: "kerb" }, numbers: { "roof-rating": "150", "ladder-mass": "30" } });
  await page.click(".tick >> nth=2");
  await page.reload();
  await job.rest(page);
  await page.click("text=Carry on");
  await job.rest(page);
  expect(await page.locator(".tick >> nth=2").getAttribute("aria-checked") === "true", "a tick is gone after a reload");
  expect(await page.locator('.tick[aria-checked="true"]').count() === 1, "one tick ticks others too");
  await job.main(page);
  await job.main(page);
  await page.click('fieldset.ask [data-choice="no"]');
  await job.rest(page);
  expect(await job.title(page) === "Stop", `"no" leads to ${await job.title(page)}`);
  const before = await page.evaluate(() => window.pressed.taps);
  await page.click("#undo");
  await job.rest(page);
  await page.click(".ready button >> nth=0");
  await job.rest(page);
  expect(await page.evaluate(() => window.pressed.taps) - before === 2, "it takes more than two taps back from a slip");
  expect(/Roof rails/.test(await job.title(page)) && await page.locator("fieldset.ask").count() === 1, `undone, it asks "${await job.title(page)}"`);
  await page.context().close();
}

(async () => {
  const open = await browser();
  const [{ titles, ...found }] = [await kestrel(open), await slips(open)];
  await open.close();
  console.log(`longer than the window: ${titles.join("; ")}`);
  job.report("taps", faults, `${found.taps} taps and ${found.keys} keys in ${found.views} views, ${found.long} of them longer than the window`);
})().catch((e) => { console.log([...faults, e.stack].join("\n")); process.exit(1); });
