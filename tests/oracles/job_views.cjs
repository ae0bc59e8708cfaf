// The job page in every sort of view that a walk through the demos and the hostile procedure comes to, on a phone in the
// light and on a desk in the dark: axe finds nothing at WCAG 2.2 AA, nothing is wider than the window or too small for a
// glove, hostile text stays text, and nothing is asked of a network. Then what may go wrong on a tablet: no storage, a full
// one, a damaged job, two windows, a press twice, keys pressed quickly.
const fs = require("fs");
const os = require("os");
const path = require("path");
const { createHash } = require("crypto");
const { browser } = require("./_samples.cjs");
const job = require("./_job.cjs");

const out = process.env.FITWRIGHT_OUT;
const kestrel = path.join(out, "kestrel-rack", "job.html");
const faults = [];
const expect = job.expect(faults);
const inspect = job.inspector(faults);
let looked = 0;
const look = async (page, name) => { looked = (await inspect(page, name)) ?? looked; };

const PHONE = { width: 360, height: 740, hasTouch: true, colorScheme: "light" };
const DESK = { width: 1280, height: 860, colorScheme: "dark" };
const STRUT = { options: { arm: "strut", side: "kerb" }, numbers: { "roof-rating": "150", "ladder-mass": "30" } };
const POWERED = { ...STRUT, options: { arm: "powered", side: "kerb" } };

const right = (title) => {
  if (/^Torque .*Arm to cross-beams/.test(title)) return "45";
  if (/^Torque .*(Rail bracket|Cross-beam)/.test(title)) return "22";
  if (/^Torque .*Lugs/.test(title)) return "6";
  if (/^Torque .*Nuts/.test(title)) return "10";
  if (/Width of the roof rail/.test(title)) return "52";
  if (/diagonals/.test(title)) return "3";
  if (/Gap between/.test(title)) return "30";
  if (/Voltage at the arm/.test(title)) return "12.1";
  return /^(Are|Is|Do)/.test(title) ? "yes" : "C. Owner";
};

const menus = async (page) => {
  for (const item of ["What was done", "Record so far", "Units and decimal sign", "Add a remark", "Somebody else carries on", "Break the job off"]) {
    await page.click("#menu");
    await job.rest(page);
    await look(page, "menu");
    await page.click(`text=${item}`);
    await job.rest(page);
    await look(page, item);
    await page.keyboard.press("Escape");
    await job.rest(page);
    await page.keyboard.press("Escape");
    await job.rest(page);
  }
};

async function views(open, about, start) {
  const page = await job.open(open, kestrel, { faults, ...about });
  await look(page, "start");
  await job.main(page);
  await look(page, "start, nothing filled in");
  await job.start(page, { ...start, options: { arm: "powered", side: "road" } });
  await look(page, "contradiction");
  await job.start(page, start);
  await look(page, "lay out");
  await job.main(page);
  const skew = ["9", "3"];
  let refused = false;
  await job.go(page, (title) => (/diagonals/.test(title) ? skew.shift() : right(title)), {
    async each(_, now) {
      await look(page, "walk");
      if (!/Torque 5 of 8/.test(now.entry) || refused) return;
      refused = true;
      await page.fill("#entry", "30");
      await job.main(page);
      await look(page, "torque refused");
      await menus(page);
      await page.click("#undo");
      await job.rest(page);
      await look(page, "undo");
      await job.main(page);
      await look(page, "undo without a reason");
      await page.keyboard.press("Escape");
      await job.rest(page);
      await page.click(".torques button");
      await job.rest(page);
      await look(page, "change");
      await page.keyboard.press("Escape");
      await job.rest(page);
      await page.reload();
      await job.rest(page);
      await look(page, "open job");
      await page.click("text=Carry on");
      await job.rest(page);
    },
  });
  await look(page, "closed");
  await page.reload();
  await job.rest(page);
  await look(page, "finished jobs");
  await job.main(page);
  await job.start(page, { ...start, numbers: { "roof-rating": "60", "ladder-mass": "30" } });
  await look(page, "limit");
  await page.context().close();
}

// Text that tries to leave its place, through the whole job; and every kind of line.
async function others(open, folder) {
  for (const [name, start] of [["hostile", { options: { arm: "second" }, numbers: { roof: "1.5" } }], ["every-kind", { options: { arm: "powered", tow: "no" }, numbers: { roof: "200" } }]]) {
    const page = await job.open(open, path.join(folder, name, "job.html"), { faults, ...PHONE });
    await look(page, name);
    await job.start(page, start);
    await job.main(page);
    const answer = (title) => (/^Torque/.test(title) ? "22" : /Height|Width/.test(title) ? "50" : /Gap/.test(title) ? "10" : /^(Is|Does)/.test(title) ? "yes" : title === "picture" ? "take" : "x");
    const end = await job.go(page, answer, { each: () => look(page, name) });
    expect(/^Record of the job/.test(end.title), `${name} comes to no end`);
    await look(page, name);
    const { to, text } = await job.saved(page);
    if (name === "every-kind") {
      const photo = text.split("\n").filter(Boolean).map((line) => JSON.parse(line)).find((event) => event.type === "photo");
      const wanted = createHash("sha256").update(fs.readFileSync(job.PICTURE)).digest("hex");
      expect(photo?.sha256 === wanted && /^[\w-][\w.-]*$/.test(photo.file), `the photograph is ${JSON.stringify(photo)}`);
    }
    const { code, said } = job.judged(path.join(folder, name, "checklist.json"), to);
    expect(code === 0, `${name}: the compiler refuses the record: ${said}`);
    await page.context().close();
  }
}

// A browser that keeps nothing, and one whose storage fills up.
async function storage(open) {
  const page = await job.open(open, kestrel, { faults, init: () => { Storage.prototype.setItem = () => { throw new DOMException("full", "QuotaExceededError"); }; } });
  expect((await page.locator("main").innerText()).includes("keeps nothing"), "a browser without storage is not told");
  await job.start(page, STRUT);
  await job.main(page);
  const now = await job.go(page, right);
  expect(/Handed over/.test(now.title), "without storage the job comes to no end");
  const { to } = await job.saved(page);
  expect(job.judged(path.join(out, "kestrel-rack", "checklist.json"), to).code === 0, "without storage the record is not whole");
  await page.context().close();

  const full = await job.open(open, kestrel, { faults });
  await job.start(full, STRUT);
  await full.evaluate(() => { Storage.prototype.setItem = () => { throw new DOMException("full", "QuotaExceededError"); }; });
  await job.main(full);
  expect((await full.locator("main").innerText()).includes("storage of this browser is full"), "a full storage is not told");
  await full.context().close();
}

// A kept job in which one character was changed, one press twice, and one job in two windows.
async function tablet(open) {
  const page = await job.open(open, kestrel, { faults });
  await job.start(page, STRUT);
  await job.main(page);
  const before = await job.kept(page);
  await job.rest(page);
  await page.evaluate(() => { const press = () => (document.getElementById("main") || document.querySelector("fieldset button")).click(); press(); press(); press(); });
  expect((await job.kept(page)) === before + 2, "a press twice does two steps");
  await job.rest(page);

  const other = await job.open(open, kestrel, { faults, context: page.context() });
  await other.click("text=Carry on");
  await job.rest(other);
  await other.click('fieldset.ask [data-choice="yes"]');
  await job.rest(other);
  expect((await page.locator("main").innerText()).includes("another window"), "a second window is not told");
  expect(/Measure the rail/.test(await job.title(page)), "the first window does not go on from what the second wrote");
  await other.close();

  await page.evaluate(() => {
    const key = Object.keys(localStorage).filter((name) => /\/\d{6}$/.test(name)).sort()[3];
    localStorage.setItem(key, localStorage.getItem(key).replace("A. Fitter", "B. Fitter"));
  });
  await page.reload();
  await job.rest(page);
  expect((await page.locator("main").innerText()).includes("altered or damaged"), "a damaged job is not told");
  expect(await page.locator("text=Carry on").count() === 0, "a damaged job can be carried on");
  await look(page, "damaged job");
  await page.context().close();
}

// A kept job is shown before the checklist of the page is there, and before its events are read. One in which a line was altered is not
// carried on, however soon somebody presses; and by a page whose checklist was altered nobody works.
async function early(open, folder) {
  const page = await job.open(open, kestrel, { faults });
  await job.start(page, STRUT);
  await job.main(page);
  await page.addInitScript(() => {
    window.requestIdleCallback = () => {};
    new MutationObserver(() => {
      if (document.querySelector("main h1")) window.before ??= !document.getElementById("checklist");
    }).observe(document, { childList: true, subtree: true });
  });
  await page.reload();
  await job.rest(page);
  expect(await page.evaluate(() => window.before) === true, "a kept job waits for the checklist");
  await page.evaluate(() => {
    const key = Object.keys(localStorage).filter((name) => /\/\d{6}$/.test(name)).sort()[2];
    localStorage.setItem(key, localStorage.getItem(key).replace("A. Fitter", "B. Fitter"));
  });
  await page.reload();
  await job.rest(page);
  expect(!(await page.locator("main").innerText()).includes("altered or damaged"), "all events are read before anything is shown");
  await page.click("text=Carry on");
  await job.rest(page);
  expect((await page.locator("main").innerText()).includes("altered or damaged"), "a damaged job that is pressed at once is not told");
  expect(await page.locator("text=Carry on").count() === 0, "a damaged job can be carried on at once");
  await page.context().close();

  const altered = path.join(folder, "altered.html");
  const text = fs.readFileSync(kestrel, "utf8");
  const at = text.indexOf('id="checklist"');
  expect(text.slice(at).includes("Park"), "the demo has another first step");
  fs.writeFileSync(altered, text.slice(0, at) + text.slice(at).replace("Park", "Pork"));
  const worse = await job.open(open, altered, { faults });
  await worse.waitForFunction(() => /cannot be used/.test(document.querySelector("main h1").textContent), null, { timeout: 20000 })
    .catch(() => faults.push("a page with an altered checklist can be worked by"));
  await worse.context().close();
}

// A phone on which a reading stands below the fold: keys that are pressed while the page comes to its end count, each of
// them; the large button, which means something else from there on, waits a moment.
async function quick(open) {
  const page = await job.open(open, kestrel, { faults, ...PHONE });
  await job.start(page, STRUT);
  await job.go(page, right, { until: ({ entry }) => /Width of the roof rail/.test(entry) });
  await page.setViewportSize({ width: 360, height: 500 });
  await page.evaluate(() => scrollTo(0, 0));
  await job.rest(page);
  const before = await job.kept(page);
  const typed = await page.evaluate(async () => {
    const key = (text) => [...document.querySelectorAll(".keys button")].find((one) => one.textContent === text).click();
    const said = [document.getElementById("main").textContent];
    key("5");
    scrollTo(0, document.documentElement.scrollHeight);
    for (let pictures = 2; pictures; pictures--) await new Promise(requestAnimationFrame);
    key("2");
    document.getElementById("main").click();
    return [...said, document.getElementById("main").textContent, document.getElementById("entry").value];
  });
  expect(/^More below/.test(typed[0]) && /^Write it down/.test(typed[1]), `the reading is not below the fold: ${typed}`);
  expect(typed[2] === "52", `of two keys pressed quickly the field holds ${typed[2]}`);
  expect((await job.kept(page)) === before, "the large button acts in the moment in which its meaning changes");
  await page.context().close();
}

// A step of several actions: each has its letter and its tick. Whoever began to tick is led through the rest before the step is done;
// what was ticked stays over a reload, and none of it is an event.
async function ticked(open) {
  const page = await job.open(open, kestrel, { faults, width: 800, height: 1280, hasTouch: true });
  await job.start(page, STRUT);
  await job.main(page);
  const boxes = () => page.evaluate(() => [...document.querySelectorAll(".rows .tick")].map((one) => `${one.getAttribute("aria-label").slice(0, 1)}${one.getAttribute("aria-checked") === "true" ? "+" : ""}`).join(" "));
  const says = () => page.locator("#main").textContent();
  expect(/Park/.test(await job.title(page)), "the first step of the demo is not the one with three actions");
  expect((await page.locator(".say .letter").allTextContents()).join("") === "abc", "the actions have no letters");
  expect((await boxes()) === "a b c" && (await says()) === "Done", `before anything is ticked: ${await boxes()}, ${await says()}`);
  const before = await job.kept(page);
  await page.locator(".rows .tick").nth(1).focus();
  await page.keyboard.press("Space");
  expect((await boxes()) === "a b+ c" && (await says()) === "Tick the rest", `with one ticked: ${await boxes()}, ${await says()}`);
  await look(page, "some ticked");
  await page.reload();
  await job.rest(page);
  await page.click("text=Carry on");
  await job.rest(page);
  expect((await boxes()) === "a b+ c" && (await says()) === "Tick the rest", `after a reload: ${await boxes()}, ${await says()}`);
  await page.evaluate(() => { const press = () => document.getElementById("main").click(); press(); press(); });
  expect((await boxes()) === "a+ b+ c+" && (await says()) === "Done" && (await job.kept(page)) === before, `a press twice does more than tick: ${await boxes()}, ${await says()}`);
  await job.main(page);
  expect(!/Park/.test(await job.title(page)), "with all ticked the step is not done");
  await page.context().close();
}

(async () => {
  const open = await browser();
  const folder = fs.mkdtempSync(path.join(os.tmpdir(), "fitwright-jobs-"));
  process.on("exit", () => fs.rmSync(folder, { recursive: true, force: true }));
  job.build(folder, "tests/emit/hostile.fitw", "tests/emit/every-kind.fitw");
  await Promise.all([views(open, PHONE, STRUT), views(open, DESK, POWERED), others(open, folder), storage(open), tablet(open), early(open, folder), quick(open), ticked(open)]);
  await open.close();
  job.report("views", faults, `${looked} sorts of view`);
})().catch((e) => { console.log([...faults, e.stack].join("\n")); process.exit(1); });
