// Every manual, annex, pick-list and packing list printed by Chromium on A4 and on Letter, and read back with qpdf and with poppler's pdfinfo,
// pdftotext and pdftoppm: the file is sound, tagged, and has an outline of its headings; the pages have that size, each says to which document,
// revision and digest it belongs, and "Page x of y"; a signal panel stands before all the lines that it is about and on their page, the gravest
// first; no heading is left alone at the end of a page, and none of a repair or a branch without its first step.
//
// How long a manual is, how much of its pages stays blank, and how small its smallest text is: a line of JSON each. They may only get better:
// `pages.json` holds the most pages of each, and what all must keep to.
const fs = require("fs");
const os = require("os");
const path = require("path");
const { execFileSync } = require("child_process");
const { folders, browser } = require("./_samples.cjs");
const { blanks, smallest, words } = require("./_paper.cjs");
const { wanted } = require("./_faces.cjs");
const held = require("./pages.json");

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
  // Each page ends with a form feed.
  const pages = run("pdftotext", "-layout", pdf, "-").split("\f").slice(0, -1);
  if (pages.length !== count) throw new Error(`${pages.length} pages of text in a file of ${count}`);
  const texts = pages.map(squeeze);
  const lines = pages.map((text) => text.split("\n").map(squeeze).filter(Boolean));
  run("qpdf", "--check", pdf);
  const outline = [];
  const below = (entries) => entries.forEach((entry) => { outline.push(squeeze(entry.title)); below(entry.kids); });
  below(JSON.parse(run("qpdf", "--json", "--json-key=outlines", pdf)).outlines);
  return { width, height, texts, lines, outline, tagged: /Tagged:\s+yes/.test(info) };
}

// What the page holds.
const read = () => {
  const words = (element) => element.textContent;
  const GRAVITY = ["danger", "warning", "caution", "notice"];
  const gravity = (panel) => GRAVITY.findIndex((word) => panel.classList.contains(word));
  const of = (row) => words(row.querySelector(":scope > div > div, :scope > div li") ?? row);
  // A heading and the title of the first step below it.
  const pairs = [...document.querySelectorAll(".section > header h2, .repair > .if, .arm > .if")].map((heading) => {
    const step = heading.closest(".section, .repair, .arm").querySelector(".step h3");
    return step && { heading: words(heading), first: words(step) };
  });
  return {
    panels: [...document.querySelectorAll(".panel")].map((panel) => {
      const group = panel.closest(".group");
      const rows = [...group.querySelectorAll(":scope > .rows > *:not(figure)")];
      const leads = group.matches(".step > .group:first-child");
      return {
        nature: words(panel.querySelector(".nature")),
        avoid: words(panel.querySelector(".text p:last-child")),
        step: leads ? [words(panel.closest(".step").querySelector(".at .n")), words(panel.closest(".step").querySelector("h3"))] : [],
        rows: rows.map(of),
        before: rows.every((row) => panel.compareDocumentPosition(row) & Node.DOCUMENT_POSITION_FOLLOWING),
        graver: [...group.querySelectorAll(":scope > .panel")].every((other) =>
          gravity(other) === gravity(panel) || (gravity(other) < gravity(panel)) === Boolean(panel.compareDocumentPosition(other) & Node.DOCUMENT_POSITION_PRECEDING)),
      };
    }),
    headings: [...document.querySelectorAll("h1, h2, h3, caption, h2 + p.quiet")].filter((one) => one.checkVisibility()).map(words),
    outlined: [...document.querySelectorAll("h1, h2, h3")].filter((one) => one.checkVisibility()).map(words),
    pairs: pairs.filter(Boolean),
    title: words(document.querySelector("h1")),
  };
};

const percent = (share) => Math.round(share * 1000) / 10;
const mean = (shares) => shares.reduce((sum, share) => sum + share, 0) / Math.max(1, shares.length);
const start = (text, count = 4) => squeeze(text).split(" ").slice(0, count).join(" ");

// Whether a page of text holds a panel and the lines that it is about, and the heading of its step where it stands with it. Its word stands in a
// tab beside lines that are broken, and comes between them in the text; the first words of each are enough to find it.
const holds = (panel) => (text) => {
  const without = (words) => squeeze(words.replace(/\b(DANGER|WARNING|CAUTION|NOTICE)\b/g, " "));
  const page = without(text);
  return [panel.nature, panel.avoid, ...panel.step, ...panel.rows].every((words) => page.includes(start(without(words), 3)));
};

module.exports = { SIZES, squeeze, run, read, holds };

if (require.main === module) (async () => {
  const open = await browser();
  const folder = fs.mkdtempSync(path.join(os.tmpdir(), "fitwright-print-"));
  let faults = 0;
  let panels = 0;
  let judged = 0;
  let printed = 0;
  const fault = (text) => { console.log(text); faults++; };
  const sheets = folders().flatMap((sample) => ["manual.html", "annex.html", "pick-list.html", "packing-list.html"].map((name) => [sample, name]));
  for (const [sample, sheet] of sheets) {
    const page = await open.newPage();
    await page.goto("file://" + path.resolve(sample, sheet));
    if (!(await wanted(page))) { await page.close(); continue; }
    printed++;
    const { id, revision } = JSON.parse(fs.readFileSync(path.join(sample, "build.json"))).procedure;
    const { source_digest: digest } = JSON.parse(fs.readFileSync(path.join(sample, "checklist.json")));
    await page.emulateMedia({ media: "print" });
    const { panels: seen, headings, outlined, pairs, title } = await page.evaluate(read);
    // Drawings that are wider than the paper shrink: what is between the margins of A4 decides how small their text becomes.
    await page.setViewportSize({ width: Math.floor((182 / 25.4) * 96), height: 1000 });
    const least = await page.evaluate(smallest);
    for (const [name, [width, height]] of Object.entries(SIZES)) {
      const pdf = path.join(folder, "sheet.pdf");
      await page.pdf({ path: pdf, format: name, printBackground: true, tagged: true, outline: true });
      const print = pagesOf(pdf);
      const where = `${sample}/${sheet} on ${name}`;
      if (Math.abs(print.width - width) > 2 || Math.abs(print.height - height) > 2) fault(`${where}: ${print.width} x ${print.height}`);
      print.texts.forEach((text, at) => {
        if (!text.includes(`Page ${at + 1} of ${print.texts.length}`)) fault(`${where}: page ${at + 1} does not say so`);
        if (at > 0 && !print.lines[at][0]?.includes(squeeze(title).slice(0, 40))) fault(`${where}: page ${at + 1} lacks the title`);
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
      for (const { heading, first } of pairs) {
        const together = (text) => text.toLowerCase().includes(start(heading, 6).toLowerCase()) && text.includes(start(first));
        if (!print.texts.some(together)) fault(`${where}: "${squeeze(heading).slice(0, 60)}" stands without its first step "${first}"`);
      }
      // Words may be broken over lines beside the panel's tab; its first words are enough to find it.
      for (const panel of seen) {
        panels++;
        if (!panel.before) fault(`${where}: "${panel.nature}" stands after a line that it is about`);
        if (!panel.graver) fault(`${where}: "${panel.nature}" stands before a graver one`);
        if (!print.texts.some(holds(panel))) fault(`${where}: "${panel.nature}" is not on the page of its lines (${[panel.avoid, ...panel.step, ...panel.rows].map((text) => start(text, 3)).join(" | ")})`);
      }
      if (sheet !== "manual.html") continue;
      const blank = blanks(pdf, folder);
      const but_last = blank.slice(0, -1);
      const measured = {
        sheet: `${path.basename(sample)}/${sheet}`, paper: name, pages: blank.length, mean_blank_percent: percent(mean(but_last)),
        worst_blank_percent: percent(Math.max(0, ...but_last)), last_blank_percent: percent(blank.at(-1)), smallest_points: Math.round(least.points * 100) / 100, words: words(pdf),
      };
      console.log(JSON.stringify(measured));
      const most = held.pages[name][path.basename(sample)];
      if (most !== undefined) {
        judged++;
        if (blank.length > most) fault(`${where}: ${blank.length} pages, at most ${most} so far`);
        if (blank.length < most) console.log(`${where}: better than ${most} pages; write ${blank.length} into pages.json`);
        if (name === "A4" && measured.mean_blank_percent > held.mean_blank_percent) fault(`${where}: ${measured.mean_blank_percent} % of the pages but the last are blank`);
      }
      if (measured.worst_blank_percent >= held.worst_blank_percent && most !== undefined) fault(`${where}: a page is blank for ${measured.worst_blank_percent} %`);
      if (measured.smallest_points < held.smallest_points) fault(`${where}: "${least.text}" is set in ${measured.smallest_points} points`);
    }
    await page.close();
  }
  await open.close();
  fs.rmSync(folder, { recursive: true, force: true });
  const measures = Object.values(held.pages).reduce((sum, paper) => sum + Object.keys(paper).length, 0);
  if (printed === sheets.length) {
    if (judged !== measures) fault(`${judged} manuals were measured, pages.json holds ${measures}`);
    if (panels < 20) fault(`only ${panels} panels were looked at`);
  }
  if (!printed) fault("no sheet was looked at");
  console.log(`${printed} of ${sheets.length} sheets, ${panels} panels, ${faults} faults`);
  process.exit(faults ? 1 : 0);
})();
