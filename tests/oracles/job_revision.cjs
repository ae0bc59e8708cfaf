// A job that was begun under one revision of a procedure is carried on under the next, on the job page, in Debian's browser:
// what was done before the first new or changed step stays done, the rest is done anew, an answer that no longer fits is asked
// again, a limit that is tighter now stops the job, and a page for another fitting takes no job of this one. `fitwright record`
// must accept the record under the new checklist, and tell the old one that the record is not its own.
const fs = require("fs");
const os = require("os");
const path = require("path");
const { execFileSync } = require("child_process");
const { browser } = require("./_samples.cjs");
const job = require("./_job.cjs");

const faults = [];
const expect = job.expect(faults);
const inspect = job.inspector(faults);
const top = fs.mkdtempSync(path.join(os.tmpdir(), "fitwright-revisions-"));
process.on("exit", () => fs.rmSync(top, { recursive: true, force: true }));

const source = ({ mark, says = "Set the shelf on the wheel arch.", added = "", floors = 'steel "Steel floor"  wood "Plywood floor"', least = 20, most = 100, mat = "", line = "Measure from the wall to the line of the shelf." }) => `
procedure plover-shelf "Plover shelf"
revision ${mark} 2026-11-25
use std/fasteners
use std/hand-tools
option floor "Floor" { ${floors} }
given load "Load on the shelf" { range ${least} kg to 120 kg }
limit shelf-load "The floor bears the load" { load <= ${most} kg  else stop "Do not fit the shelf." }
measure gap "Gap to the wall" { range 0 mm to 60 mm  reads 1 mm  with steel-rule }
part bolt   bolt M8 x 40 mm, class 8.8, hex head
part washer washer M8
part nut    nut M8, class 8
part shelf  "Shelf"
kit {
  box   { 1 shelf }
  bag A { 4 bolt, 8 washer, 4 nut }
}
tool wrench "Torque wrench" { torque 8 N.m to 40 N.m }
joint feet "Feet to floor" {
  each bolt, 2 washer, nut
  count 4
  torque 22 N.m +- 2 N.m
  thread dry
  pattern cross in 2 stages
  grip 20 mm
}
section fit "Fit the shelf" {
  step clear "Clear the floor" {
    > Sweep the floor.
  }
  check measure "Measure the gap" {
    > ${line}
    read gap
    expect gap is 20 mm to 40 mm
    repair at most 2 times {
      step mark "Mark another line" {
        > Move the line of the shelf.
      }
    }
    else stop "Choose another wall."
  }
  step set-down "Set the shelf down" {
    take 1 shelf
    > ${says}
  }
${added}
  step protect "Protect the floor" when floor is not steel {
    > Lay the mat below the feet. ${mat}
  }
  step bolt-down "Bolt the shelf down" {
    place feet
    tighten feet with wrench, socket-13, hold with spanner-13
    record feet torque
  }
  handover { sign installer }
}
`;

// Builds a revision, and gives the folder of its outputs.
const build = (mark, about = {}, fitting = null) => {
  const folder = path.join(top, `${mark}${fitting ?? ""}`);
  fs.mkdirSync(folder, { recursive: true });
  fs.writeFileSync(path.join(folder, "plover-shelf.fitw"), source({ mark, ...about }));
  const words = fitting ? ["--with", fitting] : [];
  execFileSync(process.env.FITWRIGHT, ["build", "--out", path.join(folder, "out"), ...words, path.join(folder, "plover-shelf.fitw")], { stdio: ["ignore", "ignore", "pipe"] });
  const [name] = fs.readdirSync(path.join(folder, "out")).filter((one) => one.startsWith("plover"));
  return path.join(folder, "out", name);
};
const page = (folder) => path.join(folder, "job.html");
const judged = (folder, record) => job.judged(path.join(folder, "checklist.json"), record);
const words = (at) => at.locator("main").innerText();
const right = (title) => (/^Torque/.test(title) ? "22" : /^Gap/.test(title) ? "25" : "C. Owner");

// A job under revision C, up to the third torque.
const half = async (open, folder, about = {}, answer = right) => {
  const at = await job.open(open, page(folder), { faults });
  await job.start(at, { options: { floor: "steel" }, numbers: { load: "60" }, ...about });
  await job.main(at);
  await job.go(at, answer, { until: (now) => /Torque 3 of 4/.test(now.entry) });
  return at;
};
const next = async (at, folder) => {
  const other = await job.open(null, page(folder), { faults, context: at.context() });
  await inspect(other, "kept job of another revision");
  return other;
};
const carryOn = async (at, label) => {
  await at.click(`text=${label}`);
  await job.rest(at);
  await inspect(at, "carrying on");
};
const finish = async (at, folder, name, before) => {
  const end = await job.go(at, right);
  expect(/Handed over/.test(end.title), `${name}: the job ends at "${end.title}"`);
  const record = await job.saved(at);
  const { code, said } = judged(folder, record.to);
  expect(code === 0, `${name}: the compiler refuses the record: ${said}`);
  if (before) {
    expect(/carried on under this revision/.test(said), `${name}: the compiler does not say that the job was begun under another revision: ${said}`);
    expect(judged(before, record.to).code === 1, `${name}: the record passes under the checklist that it left`);
  }
  await at.context().close();
  return record.text.trimEnd().split("\n").map((line) => JSON.parse(line));
};

// One step reworded, one added, the others kept.
async function reworded(open, first) {
  const second = build("D", { says: "Set the shelf against the wall.", added: '  step wipe "Wipe the feet" {\n    > Wipe the feet dry.\n  }\n' });
  const old = await half(open, first);
  const at = await next(old, second);
  expect(/revision C\. This page is revision D/.test(await words(at)), "the revisions are not told");
  await carryOn(at, "Carry on under revision D");
  const told = await words(at);
  for (const part of ["2 of 4 steps", "1.3 Set the shelf down (changed)", "1.6 Bolt the shelf down", "Look at the vehicle first"]) expect(told.includes(part), `carrying on does not tell "${part}": ${told}`);
  expect(/Goes on at\s+1\.3/i.test(told), "it is not told where the job goes on");
  const kept = await job.kept(at);
  await job.main(at);
  expect((await job.kept(at)) === kept, "the job is carried on without a reason");
  await at.fill("#name", "B. Fitter");
  await at.fill("#reason", "Revision D came in");
  await job.main(at);
  expect(/Set the shelf down/.test(await job.title(at)), `the job goes on at "${await job.title(at)}"`);
  expect(/carried on in another window/.test(await words(old)) && /This page is revision C/.test(await words(old)), "the page of the old revision is not told");
  await old.close();
  await at.reload();
  await job.rest(at);
  await at.click("text=Carry on");
  await job.rest(at);
  expect(/Set the shelf down/.test(await job.title(at)), "after a reload the job goes on elsewhere");
  await at.click("#undo");
  await job.rest(at);
  await at.fill("#reason", "Measured on the wrong side");
  await job.main(at);
  expect(/Measure the gap/.test(await job.title(at)), "what was done under the old revision cannot be undone under the new one");
  const events = await finish(at, second, "reworded", first);
  const of = (step) => events.filter((event) => event.type === "begin" && event.step === step).length;
  expect([of("clear"), of("measure"), of("set-down"), of("wipe"), of("bolt-down")].join() === "1,1,3,1,2", "another choice of steps is done anew");
  const { by, reason, checklist } = events.find((event) => event.type === "revise");
  expect(by === "B. Fitter" && reason === "Revision D came in" && checklist.revision === "D", "the new revision is not in the record as it was said");
  return events.length;
}

// A check reworded that had asked for its repair: the check is done anew, its repair only if it asks again.
async function repaired(open, first) {
  const second = build("G", { line: "Measure from the wall to the line, at both ends." });
  const gaps = ["10", "25"];
  const old = await half(open, first, {}, (title) => (/^Gap/.test(title) ? gaps.shift() : right(title)));
  const at = await next(old, second);
  await old.close();
  await carryOn(at, "Carry on under revision G");
  const told = await words(at);
  expect(/1 of 4 steps/.test(told) && /Measure the gap \(changed\)/.test(told) && !/Mark another line/.test(told), `a repair counts as a step to do anew: ${told}`);
  await at.fill("#reason", "Revision G");
  await job.main(at);
  expect(/Measure the gap/.test(await job.title(at)), `the job goes on at "${await job.title(at)}"`);
  return (await finish(at, second, "repaired", first)).length;
}

// A value of an option is gone, the range of a given is narrower, and a step is no longer asked for.
async function answers(open, first) {
  const second = build("E", { floors: 'steel "Steel floor"  alloy "Alloy floor"', least: 80, mat: "Tape its edges." });
  const old = await half(open, first, { options: { floor: "wood" } });
  const at = await next(old, second);
  await old.close();
  await carryOn(at, "Carry on under revision E");
  expect(/Asked again\s+Floor\s+Load on the shelf/i.test(await words(at)), `what is asked again is not told: ${await words(at)}`);
  await at.click("text=The procedure was revised");
  await job.main(at);
  expect(await at.locator("#of-floor").count() === 1 && /60\skg/.test(await words(at)), `the old answer is not shown: ${await words(at)}`);
  await inspect(at, "asked again");
  const kept = await job.kept(at);
  await job.main(at);
  await at.click('#of-floor [data-choice="alloy"]');
  await at.fill("#of-load", "60");
  await job.main(at);
  expect(/is not between/.test(await words(at)) && (await job.kept(at)) === kept, "an answer that does not fit is taken");
  await at.fill("#of-load", "90");
  await job.main(at);
  expect(/Protect the floor/.test(await job.title(at)), `the job goes on at "${await job.title(at)}"`);
  const events = await finish(at, second, "answers", first);
  expect(events.some((event) => event.type === "correct" && event.amount.value === "90") && events.some((event) => event.type === "answer" && event.choice === "alloy"), "the new answers are not in the record");
  return events.length;
}

// A limit that the job breaks now.
async function stopped(open, first) {
  const second = build("F", { most: 50 });
  const old = await half(open, first);
  const at = await next(old, second);
  await carryOn(at, "Carry on under revision F");
  expect((await words(at)).includes("Do not fit the shelf."), "the stop is not told beforehand");
  await at.fill("#reason", "Revision F");
  await job.main(at);
  expect(await job.title(at) === "Stop", "the tighter limit does not stop the job");
  await job.main(at);
  const record = await job.saved(at);
  const { code, said } = judged(second, record.to);
  expect(code === 0, `stopped: the compiler refuses the record: ${said}`);
  await at.context().close();
}

// Pages for one fitting: whose job they take.
async function fittings(open, first) {
  const [steel, wood] = ["steel", "wood"].map((floor) => build("C", {}, `floor=${floor}`));
  const old = await half(open, first);
  const at = await next(old, wood);
  await old.close();
  await carryOn(at, "Carry on with this page");
  expect(/cannot be carried on/.test(await words(at)) && /Plywood floor/.test(await words(at)) && await at.locator("#main").count() === 0, `a job of another fitting can be carried on: ${await words(at)}`);
  const same = await next(at, steel);
  await at.close();
  await carryOn(same, "Carry on with this page");
  await same.fill("#reason", "The page for steel floors");
  await job.main(same);
  const count = (await finish(same, steel, "full to tailored", first)).length;

  const tailored = await half(open, steel, { options: {} });
  const wrong = await next(tailored, wood);
  await carryOn(wrong, "Carry on with this page");
  expect(/cannot be carried on/.test(await words(wrong)), "a page for another fitting takes a job that a tailored page began");
  await wrong.close();
  const whole = await next(tailored, first);
  await tailored.close();
  await carryOn(whole, "Carry on with this page");
  await whole.fill("#reason", "The whole procedure");
  await job.main(whole);
  await whole.click('#of-floor [data-choice="steel"]');
  await job.main(whole);
  return [count, (await finish(whole, first, "tailored to full", steel)).length];
}

(async () => {
  const open = await browser();
  const first = build("C");
  const counts = await Promise.all([reworded(open, first), repaired(open, first), answers(open, first), stopped(open, first), fittings(open, first)]);
  await open.close();
  job.report("revisions", faults, `${counts.flat().filter(Boolean).join(", ")} events`);
})().catch((e) => { console.log([...faults, e.stack].join("\n")); process.exit(1); });
