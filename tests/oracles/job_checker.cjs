// A check that another person does, on a phone: the page asks who checks, refuses who did the work, and goes on with the first
// person afterwards, through a reload too. The compiler finds the record complete up to there.
const fs = require("fs");
const os = require("os");
const path = require("path");
const { browser } = require("./_samples.cjs");
const job = require("./_job.cjs");

const SOURCE = `procedure checked-shelf "Shelf in the van"
part shelf "Shelf"
part knob "Knob"
kit { box { 1 shelf, 4 knob } }
section fit "Fit the shelf" {
  step hang "Hang the shelf" { take 1 shelf, 4 knob }
  check still "Shelf without play" {
    by another person
    expect "The shelf does not move"
    else stop "Take the shelf out."
  }
  step load "Load the shelf" {
    > Put the tools back.
  }
  handover { sign installer }
}
`;
const folder = fs.mkdtempSync(path.join(os.tmpdir(), "fitwright-checker-"));
const source = path.join(folder, "checked-shelf.fitw");
fs.writeFileSync(source, SOURCE);
job.build(path.join(folder, "out"), source);
const file = path.join(folder, "out", "checked-shelf", "job.html");
const answer = () => "yes";

(async () => {
  const faults = [];
  const expect = job.expect(faults);
  const open = await browser();
  const page = await job.open(open, file, { faults, hasTouch: true, width: 390, height: 844 });
  await job.start(page);
  await job.main(page);
  const { number } = await job.go(page, answer, { until: (now) => now.checker }).then((now) => ({ number: now.title.match(/^[\d.]+/)[0] }));
  const says = async () => (await page.locator("main").innerText()).replace(/\s+/g, " ");
  expect(/Another person, who did not do step 1\.1\./.test(await says()), `the step does not say who checks: ${await says()}`);
  const press = async () => { await job.below(page); await page.click('fieldset.ask [data-choice="yes"]'); };
  const began = await job.kept(page);
  await press();
  expect(/Type your name/.test(await says()), "a check without a name is taken");
  await page.fill("#checker", "a. FITTER");
  await press();
  expect(/did step 1\.1\. Somebody else must check it/.test(await says()), "who did the work may check it");
  expect((await job.kept(page)) === began, "what was refused stands in the record");
  await page.fill("#checker", "C. Checker");
  await press();
  await job.rest(page);
  expect(!(await says()).includes(`${number} Check`), "with another name the check is not done");
  await page.reload();
  await job.rest(page);
  await page.click("text=Carry on");
  await job.rest(page);
  await job.step(page, answer);
  const by = (await job.events(page)).map((event) => `${event.type} ${event.by}`);
  expect(by.filter((one) => one === "done C. Checker").length === 1, `the checker did not sign once: ${by.join(", ")}`);
  expect(by.at(-1).endsWith("A. Fitter"), `after the check the job goes on by ${by.at(-1)}`);
  await open.close();
  job.report("checker", faults, "one check by another person");
})();
