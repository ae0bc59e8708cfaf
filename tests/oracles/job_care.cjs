// The care of the rack on a phone, walked to its end by pressing what the page offers: the roller fails once and is set in stages,
// two pads fail and are replaced, and the compiler judges the record complete. So the page can read what a checklist with
// stages, callouts and replacements holds.
const path = require("path");
const { browser } = require("./_samples.cjs");
const job = require("./_job.cjs");

const file = path.join(process.env.FITWRIGHT_OUT, "kestrel-care", "job.html");
const faults = [];
const expect = job.expect(faults);
const NAMES = [[/Installer/, "A. Fitter"], [/Customer/, "C. Owner"], [/Gap/, "2"]];
const typed = (title) => NAMES.find(([words]) => words.test(title))?.[1] ?? "22";

(async () => {
  const open = await browser();
  const page = await job.open(open, file, { faults, width: 390, height: 844, hasTouch: true });
  const type = async (field, text) => { await page.click(field); await page.keyboard.type(text); };
  const left = { roller: 1, pad: 2 };
  const answer = (title) => {
    const sort = /roller/.test(title) ? "roller" : /pad/.test(title) ? "pad" : null;
    return sort && left[sort]-- > 0 ? "no" : "yes";
  };
  await type("#name", "A. Fitter");
  await type("#job", "Van 1234");
  await job.main(page);
  const seen = new Set();
  let asked = 0;
  for (let i = 0; i < 120; i++) {
    const now = await job.view(page);
    if (/^Record of the job/.test(now.title)) break;
    seen.add(now.title.replace(/,.*/, ""));
    if (/Set the bearing/.test(now.title)) {
      const said = await page.textContent("#app, main, body");
      for (const words of ["while the roller is turned, then loosen, then to 10", "then back off by 1/16 to 1/8"])
        expect(said.replace(/\s+/g, " ").includes(words), `the step does not say "${words}"`);
    }
    if (/Torque the bracket/.test(now.title)) expect(await page.locator("text=Spanner, 13 mm").count(), "no legend of the picture");
    if (now.message) { await page.click(".confirm button"); await job.rest(page); continue; }
    if (now.question) { await job.step(page, answer); continue; }
    // How many shims were taken: no number of the range is refused, and each of the range has its button.
    if (/how many were taken/.test(now.entry)) {
      for (const wrong of ["4", "two", "02"]) {
        await page.fill("#entry", wrong);
        await job.main(page);
        expect((await page.locator("#entry-fault").innerText()).includes("0 to 3"), `"${wrong}" is taken for a number of shims`);
      }
      const buttons = await page.locator(".ready button").allInnerTexts();
      expect(buttons.join() === "0,1,2,3", `the buttons are ${buttons}`);
      await page.click('.ready button:text-is("2")');
      await job.rest(page);
      asked += 1;
      continue;
    }
    const clicked = / clicked at /.test(now.main) || (await page.locator(".torques").count());
    if (now.entry && !clicked && await page.locator(".keys").count())
      for (const digit of typed(now.entry)) await page.click(`.keys button:text-is("${digit}")`);
    else if (now.entry && !clicked) await type("#entry", typed(now.entry));
    await job.main(page);
  }
  for (const title of ["1.2.1 Set the bearing", "1.6 Change the pad", "1.7 Torque the bracket", "Hand over"])
    expect(seen.has(title), `the job never came to "${title}"`);
  expect(![...seen].some((title) => /out of use/.test(title)), "a roller that was set is put out of use");
  expect(asked === 1, `how many shims were taken was asked ${asked} times`);
  const record = await job.saved(page);
  expect(/"text":"2"/.test(record.text), "the number of shims is not in the record");
  const { code, said } = job.judged(path.join(path.dirname(file), "checklist.json"), record.to);
  expect(code === 0, `the compiler refuses the record: ${said}`);
  await open.close();
  console.log(faults.join("\n"));
  console.log(`${seen.size} views, ${faults.length} faults`);
  process.exit(faults.length ? 1 : 0);
})();
