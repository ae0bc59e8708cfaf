// Every manual, pick-list and packing list printed by Chromium on A4 and on Letter, and read back with poppler's pdfinfo and pdftotext:
// the pages have that size, each says what it belongs to and "Page x of y", no signal panel is parted from the heading of
// its step, and no table heading is left alone at the end of a page.
const fs = require("fs");
const os = require("os");
const path = require("path");
const { execFileSync } = require("child_process");
const { folders, browser } = require("./_samples.cjs");

// ISO 216 and ANSI/ASME Y14.1, in points of 1/72 in.
const SIZES = { A4: [595.3, 841.9], Letter: [612, 792] };
const squeeze = (text) => text.replace(/[\s\u00a0]+/g, " ").trim();
const run = (program, ...args) => execFileSync(program, args, { encoding: "utf8", maxBuffer: 1 << 26 });

function pagesOf(pdf) {
  const info = run("pdfinfo", pdf);
  const [, width, height] = /Page size:\s+([\d.]+) x ([\d.]+)/.exec(info).map(Number);
  const count = Number(/Pages:\s+(\d+)/.exec(info)[1]);
  const texts = [];
  for (let n = 1; n <= count; n++) texts.push(squeeze(run("pdftotext", "-layout", "-f", `${n}`, "-l", `${n}`, pdf, "-")));
  return { width, height, texts };
}

(async () => {
  const open = await browser();
  const folder = fs.mkdtempSync(path.join(os.tmpdir(), "fitwright-print-"));
  let faults = 0;
  let panels = 0;
  const fault = (text) => { console.log(text); faults++; };
  const sheets = folders().flatMap((sample) => ["manual.html", "pick-list.html", "packing-list.html"].map((name) => [sample, name]));
  for (const [sample, sheet] of sheets) {
    const page = await open.newPage();
    await page.goto("file://" + path.resolve(sample, sheet));
    const { id, revision } = JSON.parse(fs.readFileSync(path.join(sample, "build.json"))).procedure;
    const pairs = await page.evaluate(() => [...document.querySelectorAll(".panel")].map((panel) => ({
      nature: panel.querySelector(".nature").textContent,
      avoid: panel.querySelector(".text p:last-child").textContent,
      number: panel.closest(".step").querySelector(".at .n").textContent,
      title: panel.closest(".step").querySelector("h3").textContent,
    })));
    for (const [name, [width, height]] of Object.entries(SIZES)) {
      const pdf = path.join(folder, "sheet.pdf");
      await page.pdf({ path: pdf, format: name, printBackground: true, tagged: true });
      const print = pagesOf(pdf);
      const where = `${sample}/${sheet} on ${name}`;
      if (Math.abs(print.width - width) > 2 || Math.abs(print.height - height) > 2) fault(`${where}: ${print.width} x ${print.height}`);
      print.texts.forEach((text, at) => {
        if (!text.includes(`Page ${at + 1} of ${print.texts.length}`)) fault(`${where}: page ${at + 1} does not say so`);
        if (!text.includes(id)) fault(`${where}: page ${at + 1} does not name its procedure`);
        if (at > 0 && revision && !text.includes(`Revision ${revision},`)) fault(`${where}: page ${at + 1} lacks the revision`);
        if (/(WHAT FOLLOWS|SIZE AND RANGE|COUNT PART|MAKER'S NUMBER MASS)\s+\S+, source \w+ Page/i.test(text)) fault(`${where}: page ${at + 1} ends with a heading of a table`);
      });
      // Words may be broken over lines beside the panel's tab; its first words are enough to find it.
      for (const pair of pairs) {
        panels++;
        const start = (text) => squeeze(text).split(" ").slice(0, 4).join(" ");
        const holds = (text) => text.includes(start(pair.nature)) && text.includes(start(pair.avoid)) &&
          text.includes(start(pair.title)) && text.includes(pair.number);
        if (!print.texts.some(holds)) fault(`${where}: "${pair.nature}" is not on the page of step ${pair.number}`);
      }
    }
    await page.close();
  }
  await open.close();
  fs.rmSync(folder, { recursive: true, force: true });
  if (panels < 20) fault(`only ${panels} panels were looked at`);
  console.log(`${panels} panels, ${faults} faults`);
  process.exit(faults ? 1 : 0);
})();
