// What is due to be tightened again stands on the record that the job page prints, of the joints that this vehicle has, in the words of
// the handover; the page that the compiler writes of the same record has the same lines, and so has what it prints.
const fs = require("fs");
const os = require("os");
const path = require("path");
const { execFileSync } = require("child_process");
const { browser } = require("./_samples.cjs");
const job = require("./_job.cjs");

const post = (side) => `joint ${side}-post "Post, ${side} side" when side is ${side} {
  each bolt-8, nut-8  torque 22 N.m +- 2 N.m  thread plated  grip 14 mm  on vehicle  again after ${side === "kerb" ? 60 : 80} km
}
`;
const SOURCE = `procedure post "Posts"
revision A 2026-11-29
use std/fasteners
use std/hand-tools
option side "Loading side" { kerb "Kerb side"  road "Road side" }
part bolt-8 bolt M8 x 30 mm, class 8.8, hex head
part nut-8 nut M8, class 8
${post("kerb")}${post("road")}section work "Work" {
  step look "Look at the posts" {
    > Look at each post.
  }
  handover { sign installer }
}
`;
const folder = fs.mkdtempSync(path.join(os.tmpdir(), "fitwright-due-"));
const source = path.join(folder, "post.fitw");
fs.writeFileSync(source, SOURCE);
job.build(path.join(folder, "out"), source);
const built = (name) => path.join(folder, "out", "post", name);
const plain = (text) => text.replace(/<[^>]*>/g, " ").replace(/\s+/g, " ");

(async () => {
  const faults = [];
  const expect = job.expect(faults);
  const open = await browser();
  const page = await job.open(open, built("job.html"), { faults, width: 390, height: 844, hasTouch: true });
  await job.start(page, { options: { side: "kerb" } });
  await job.go(page, () => "A. Fitter");
  const report = plain(await page.locator("main").innerText());
  const due = "Tighten again: Post, kerb side (Loading side: kerb side): to 22 N·m ± 2 N·m, after 60 km";
  const { to } = await job.saved(page);
  const args = ["record", "--summary", path.join(folder, "summary.html"), built("checklist.json"), to];
  const said = plain(execFileSync(process.env.FITWRIGHT, args, { encoding: "utf8" }));
  const summary = plain(fs.readFileSync(path.join(folder, "summary.html"), "utf8"));
  for (const [where, text] of Object.entries({ "the job page": report, "the terminal": said, "the signed page": summary })) {
    expect(/due after the job/i.test(text) && text.includes(due), `${where} does not say what is due again: ${text.slice(0, 2000)}`);
    expect(!text.includes("road side"), `${where} says what the other side has`);
  }
  await open.close();
  job.report("due", faults, "one record with what is due again");
})();
