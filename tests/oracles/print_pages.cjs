// Every manual, pick-list and packing list printed by Chromium on A4 and on Letter, and read back with qpdf and with poppler's pdfinfo
// and pdftotext: the file is sound, tagged, and has an outline of its headings; the pages have that size, each says to which document,
// revision and digest it belongs, and "Page x of y"; the pages of a section have its title in their header; no signal panel is parted
// from the heading of its step, and no heading is left alone at the end of a page.
const fs = require("fs");
const os = require("os");
const path = require("path");
const { execFileSync } = require("child_process");
const { folders, browser } = require("./_samples.cjs");

// ISO 216 and ANSI/ASME Y14.1, in points of 1/72 in.
const SIZES = { A4: [595.3, 841.9], Letter: [612, 792] };
const squeeze = (text) => text.replace(/[\s\u00a0]+/g, " ").trim();
const run = (program, ...args) => execFileSync(program, args, { encoding: "utf8", maxBuffer: 1 << 26 });

// Whether an entry of the outline is a heading. Chromium writes a heading's text twice where it had to lay out its block twice, as with one
// that is to be kept together and is about as high as a page.
const names = (entry, heading) => {
  const said = entry.toLowerCase();
  return said === heading.toLowerCase() || said.length > heading.length && said.endsWith(heading.toLowerCase()) && heading.toLowerCase().startsWith(said.slice(0, -heading.length).trim());
};

function pagesOf(pdf) {
  const info = run("pdfinfo", pdf);
  const [, width, height] = /Page size:\s+([\d.]+) x ([\d.]+)/.exec(info).map(Number);
  const count = Number(/Pages:\s+(\d+)/.exec(info)[1]);
  const texts = [];
  const lines = [];
  for (let n = 1; n <= count; n++) {
    const text = run("pdftotext", "-layout", "-f", `${n}`, "-l", `${n}`, pdf, "-");
    texts.push(squeeze(text));
    lines.push(text.split("\n").map(squeeze).filter(Boolean));
  }
  run("qpdf", "--check", pdf);
  const outline = [];
  const below = (entries) => entries.forEach((entry) => { outline.push(squeeze(entry.title)); below(entry.kids); });
  below(JSON.parse(run("qpdf", "--json", "--json-key=outlines", pdf)).outlines);
  return { width, height, texts, lines, outline, tagged: /Tagged:\s+yes/.test(info) };
}

// What the page holds, and the header that each of its sections must have: the chapter of its named page.
const read = () => {
  const words = (element) => element.textContent;
  const style = document.querySelector("style").textContent;
  const header = (page) => {
    const [, css] = new RegExp(`@page ${page} \\{ @top-right \\{ content: "([^"]*)"`).exec(style);
    return css.replace(/\\([0-9a-f]+) /g, (_, code) => String.fromCodePoint(parseInt(code, 16)));
  };
  return {
    panels: [...document.querySelectorAll(".panel")].map((panel) => ({
      nature: words(panel.querySelector(".nature")),
      avoid: words(panel.querySelector(".text p:last-child")),
      number: words(panel.closest(".step").querySelector(".at .n")),
      title: words(panel.closest(".step").querySelector("h3")),
    })),
    headings: [...document.querySelectorAll("h1, h2, h3, caption, h2 + p.quiet")].filter((one) => one.checkVisibility()).map(words),
    outlined: [...document.querySelectorAll("h1, h2, h3")].filter((one) => one.checkVisibility()).map(words),
    sections: [...document.querySelectorAll(".section")].map((section) => ({ title: words(section.querySelector("h2")), header: header(section.style.page) })),
  };
};

// Whether a page of text holds a panel and the step that it belongs to. Words may be broken over lines beside the panel's tab; its first words
// are enough to find it.
const holds = (pair) => (text) => {
  const start = (words) => squeeze(words).split(" ").slice(0, 4).join(" ");
  return [pair.nature, pair.avoid, pair.title].every((words) => text.includes(start(words))) && text.includes(pair.number);
};

module.exports = { SIZES, squeeze, run, read, holds };

if (require.main === module) (async () => {
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
    const { source_digest: digest } = JSON.parse(fs.readFileSync(path.join(sample, "checklist.json")));
    await page.emulateMedia({ media: "print" });
    const { panels: pairs, headings, outlined, sections } = await page.evaluate(read);
    for (const [name, [width, height]] of Object.entries(SIZES)) {
      const pdf = path.join(folder, "sheet.pdf");
      await page.pdf({ path: pdf, format: name, printBackground: true, tagged: true, outline: true });
      const print = pagesOf(pdf);
      const where = `${sample}/${sheet} on ${name}`;
      if (Math.abs(print.width - width) > 2 || Math.abs(print.height - height) > 2) fault(`${where}: ${print.width} x ${print.height}`);
      print.texts.forEach((text, at) => {
        if (!text.includes(`Page ${at + 1} of ${print.texts.length}`)) fault(`${where}: page ${at + 1} does not say so`);
        if (!text.includes(id)) fault(`${where}: page ${at + 1} does not name its procedure`);
        if (!text.includes(revision ? `Revision ${revision},` : "no revision stated")) fault(`${where}: page ${at + 1} lacks the revision`);
        if (!text.includes(digest.slice(0, 12))) fault(`${where}: page ${at + 1} lacks the digest`);
        // Below the last line stands the running footer, in one line or two.
        const body = print.lines[at].filter((line) => !line.includes(`source ${digest.slice(0, 12)}`) && !/^Page \d+ of \d+$/.test(line));
        if (headings.some((heading) => squeeze(heading).toLowerCase() === body.at(-1)?.toLowerCase())) fault(`${where}: page ${at + 1} ends with the heading "${body.at(-1)}"`);
        if (/(WHAT FOLLOWS|SIZE AND RANGE|COUNT PART|MAKER'S NUMBER MASS)\s+\S+, source \w+ Page/i.test(text)) fault(`${where}: page ${at + 1} ends with a heading of a table`);
      });
      if (!print.tagged) fault(`${where}: the PDF is not tagged`);
      for (const heading of outlined) if (!print.outline.some((entry) => names(entry, squeeze(heading)))) fault(`${where}: the outline lacks "${squeeze(heading)}"`);
      for (const { title, header } of sections) {
        const start = (text) => squeeze(text).slice(0, 60);
        if (!print.lines.some((lines) => lines.slice(0, 2).join(" ").includes(start(header)) && lines.some((line) => line.startsWith(squeeze(title).slice(0, 40)))))
          fault(`${where}: section "${squeeze(title)}" is on no page with the header "${header}"`);
      }
      for (const pair of pairs) {
        panels++;
        if (!print.texts.some(holds(pair))) fault(`${where}: "${pair.nature}" is not on the page of step ${pair.number}`);
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
