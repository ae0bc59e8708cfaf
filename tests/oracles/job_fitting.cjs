// What a job needs and whom it is for, on the job page, in Debian's browser. The page of a tailored build says for which fitting it
// is, at the start, in the menu and on the record, and asks for nothing that is settled. Before the work, the page of the whole
// procedure lays out what the page that was tailored to the same answers lays out: the compiler worked that one out by itself.
const fs = require("fs");
const os = require("os");
const path = require("path");
const { browser } = require("./_samples.cjs");
const job = require("./_job.cjs");

const out = process.env.FITWRIGHT_OUT;
const faults = [];
const expect = job.expect(faults);
const words = (page) => page.locator("main").innerText();

// The rows of a view: label, and lines.
const rows = (page) => page.evaluate(() => Object.fromEntries([...document.querySelectorAll("main .row")].map((row) =>
  [row.firstChild.textContent, [...row.querySelectorAll("li")].map((li) => li.textContent)])));

const LOADS = { "roof-rating": "150", "ladder-mass": "40" };
const PAIRS = [
  ["kestrel-rack", "arm-strut--side-road", { arm: "strut", side: "road" }, LOADS, LOADS],
  ["kestrel-rack", "arm-powered--roof-rating-150-kg--ladder-mass-40-kg", { arm: "powered", side: "kerb" }, LOADS, {}],
  ["wren-battery", "charger-small", { charger: "small" }, { "payload-left": "100" }, { "payload-left": "100" }],
  ["finch-vise", "top-drilled", { top: "drilled" }, {}, {}],
];

async function pair(chromium, [procedure, fitting, options, numbers, open]) {
  const whole = await job.open(chromium, path.join(out, procedure, "job.html"), { faults });
  await job.start(whole, { options, numbers });
  const tailored = await job.open(chromium, path.join(out, `${procedure}--${fitting}`, "job.html"), { faults });
  const { effectivity } = JSON.parse(fs.readFileSync(path.join(out, `${procedure}--${fitting}`, "checklist.json")));
  const wanted = effectivity.map((one) => `${one.title}: ${one.words}${one.follows ? " (follows from the others)" : ""}`).join();
  const said = async (where) => expect((await rows(tailored))["Made for"]?.join() === wanted, `${fitting}: ${where} does not say "${wanted}": ${await words(tailored)}`);
  await said("the start");
  for (const { id } of effectivity) expect(await tailored.locator(`#of-${id}`).count() === 0, `${fitting}: ${id} is settled, and asked for`);
  await job.start(tailored, { numbers: open });
  await said("the lay-out");
  const [all, own] = [await rows(whole), await rows(tailored)];
  expect(all.Tools?.length > 3 && all.Tools.join("\n") === own.Tools?.join("\n"), `${fitting}: laid out are\n${all.Tools?.join("; ")}\nand tailored\n${own.Tools?.join("; ")}`);
  const groups = (some) => Object.keys(some).filter((name) => /^(Bag|Box|Workshop)/.test(name)).join();
  expect(groups(all).length && groups(all) === groups(own), `${fitting}: supplied are ${groups(all)}, and tailored ${groups(own)}`);
  await tailored.click("#menu");
  await job.rest(tailored);
  await said("the menu");
  await tailored.click("text=Record so far");
  await job.rest(tailored);
  expect((await tailored.locator("main").textContent()).includes(effectivity.map((one) => `${one.title}: ${one.words}`).join("; ")), `${fitting}: the record does not say whom it is for`);
  const opened = await tailored.evaluate(() => JSON.parse(localStorage.getItem(Object.keys(localStorage).find((key) => key.endsWith("/000001")))));
  expect(JSON.stringify(opened["x-effectivity"]?.map((one) => one.id)) === JSON.stringify(effectivity.map((one) => one.id)), `${fitting}: the file of the record does not hold the fitting`);
  for (const page of [whole, tailored]) await page.context().close();
  return all.Tools.length;
}

// A row that a repair may ask for stands there with its condition; one that hangs on a reading, too.
async function undecided(open) {
  const page = await job.open(open, path.join(out, "kestrel-rack", "job.html"), { faults });
  await job.start(page, { options: { arm: "strut", side: "kerb" }, numbers: LOADS });
  const { Tools } = await rows(page);
  expect(Tools.includes("Soft-faced mallet (Only when check 2.8 is repaired)"), `what only a repair needs is not marked: ${Tools.join("; ")}`);
  expect(!Tools.some((tool) => /Torque screwdriver|Multimeter/.test(tool)), `what only the other arm needs is laid out: ${Tools.join("; ")}`);
  await page.click("#menu");
  await job.rest(page);
  await page.click("text=Add a remark");
  await job.rest(page);
  await page.fill("#reason", "Rain");
  await job.main(page);
  expect(/^Lay out/.test(await job.title(page)), `a remark before the work leads on to "${await job.title(page)}"`);
  await job.main(page);
  await page.click("#menu");
  await job.rest(page);
  expect((await rows(page))["Made for"] === undefined, "the page of the whole procedure says that it is for one fitting");
  await page.context().close();
}

// Where a socket lies there for a powered arm, no second tool is laid out for a nut that it turns too; for a strut, either serves.
const ONE_SERVES = `procedure hook "Hook"
use std/hand-tools
option arm "Arm" { strut "Strut"  powered "Powered" }
section work "Work" {
  step a "A" when arm is powered { use socket-13 }
  step b "B" { use socket-13 or spanner-13 }
  handover { sign installer }
}
`;

async function oneServes(open) {
  const folder = fs.mkdtempSync(path.join(os.tmpdir(), "one-serves-"));
  fs.writeFileSync(path.join(folder, "hook.fitw"), ONE_SERVES);
  job.build(path.join(folder, "built"), path.join(folder, "hook.fitw"));
  for (const [arm, tool] of [["powered", /^Socket, 13 mm(?!.* or )/], ["strut", /^Socket, 13 mm or Spanner, 13 mm/]]) {
    const page = await job.open(open, path.join(folder, "built", "hook", "job.html"), { faults });
    await job.start(page, { options: { arm }, numbers: {} });
    const { Tools } = await rows(page);
    expect(Tools?.length === 1 && tool.test(Tools[0]), `for the ${arm} arm are laid out: ${Tools?.join("; ")}`);
    await page.context().close();
  }
  fs.rmSync(folder, { recursive: true });
}

// A given that some fittings have is asked for where the options say so, and nowhere else.
async function askedWhere(open) {
  const given = "#of-alternator-rating";
  for (const [charger, numbers] of [["small", {}], ["large", { "alternator-rating": "120" }]]) {
    const page = await job.open(open, path.join(out, "wren-battery", "job.html"), { faults });
    expect(!(await page.isVisible(given)), "a given is asked for before its option is chosen");
    // Chosen, and chosen otherwise.
    await page.click('#of-charger [data-choice="large"]');
    expect(await page.isVisible(given), "a given is not asked for where it is there");
    await page.fill(given, "100");
    await page.click('#of-charger [data-choice="small"]');
    expect(!(await page.isVisible(given)), "a given is asked for where it is not there");
    await job.start(page, { options: { charger }, numbers: { "payload-left": "100", ...numbers } });
    const answers = (await job.events(page)).filter((event) => event.type === "answer").map((event) => event.input);
    const wanted = ["charger", "payload-left", ...Object.keys(numbers)].join();
    expect(answers.join() === wanted, `with the ${charger} charger are answered ${answers}`);
    await page.context().close();
  }
}

// A valve that some vehicles have is to be left open on those, and is not spoken of on the others.
const SOME_HAVE = `procedure locker "Locker"
option heater "Heater" { none "None"  gas "Gas heater" }
state valve "Gas valve" when heater is gas { open "open"  shut "shut"  starts open  ends open }
section work "Work" {
  step shut "Shut" when heater is gas { make valve shut }
  step drill "Drill" {
    > Look at the floor.
  }
  step open-it "Open" when heater is gas { make valve open }
  handover { sign installer }
}
`;

async function leftAsItIs(open) {
  const folder = fs.mkdtempSync(path.join(os.tmpdir(), "some-have-"));
  fs.writeFileSync(path.join(folder, "locker.fitw"), SOME_HAVE);
  job.build(path.join(folder, "built"), path.join(folder, "locker.fitw"));
  for (const [heater, steps] of [["none", 1], ["gas", 3]]) {
    const page = await job.open(open, path.join(folder, "built", "locker", "job.html"), { faults });
    await job.start(page, { options: { heater }, numbers: {} });
    const laidOut = await page.innerText("main");
    // Past the lay-out, then each step is begun, its lines are ticked, and it is done.
    for (let press = 0; press < 4 * steps + 4 && !/Hand over/.test(await job.title(page)); press += 1) {
      for (const box of await page.$$("main input[type=checkbox]:not(:checked)")) await box.check();
      await job.main(page);
    }
    const said = await page.innerText("main");
    expect(/Hand over/.test(await job.title(page)), `with heater ${heater} the page comes to "${await job.title(page)}"`);
    for (const [where, words] of [["lay-out", laidOut], ["handover", said]]) {
      expect(/Gas valve/.test(words) === (heater === "gas"), `with heater ${heater} the ${where} says: ${words.replace(/\s+/g, " ")}`);
    }
    await page.context().close();
  }
  fs.rmSync(folder, { recursive: true });
}

(async () => {
  const open = await browser();
  const counts = await Promise.all([...PAIRS.map((one) => pair(open, one)), undecided(open), oneServes(open), askedWhere(open), leftAsItIs(open)]);
  await open.close();
  job.report("fittings", faults, `${counts.filter(Boolean).join(", ")} tools`);
})().catch((e) => { console.log([...faults, e.stack].join("\n")); process.exit(1); });
