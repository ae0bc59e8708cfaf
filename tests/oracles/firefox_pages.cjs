// The pages in Firefox, as a second engine. On a desk and on a phone: set in our face, no wider than the window, no text outside its drawing
// or on another. Manuals printed on A4 and Letter: about as many pages as from Chromium, none of them empty, no word of the page lost, each
// panel whole and on the page of its step. Firefox prints no margin boxes; what stands in them has to stand elsewhere too.
const fs = require("fs");
const os = require("os");
const path = require("path");
const { pages, browser } = require("./_samples.cjs");
const { SIZES, squeeze, run, read, holds } = require("./print_pages.cjs");
const { look } = require("./drawings.cjs");
const { firefox } = require("./_firefox.cjs");

const texts = (pdf) => run("pdftotext", "-layout", pdf, "-").split("\f").slice(0, -1).map(squeeze);
// Firefox may set two pages more or less than Chromium.
const NEAR = 2;

// What a page says on paper, word by word.
const words = () => {
  const found = [];
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const { parentElement: of, data } = walk.currentNode;
    if (of.closest("script, style, title, desc, .unseen, svg") || !of.checkVisibility()) continue;
    found.push(...data.split(/\s+/).filter((word) => /^[\w.,:()]+$/.test(word)));
  }
  return found;
};

(async () => {
  const folder = fs.mkdtempSync(path.join(os.tmpdir(), "fitwright-firefox-print-"));
  process.on("exit", () => fs.rmSync(folder, { recursive: true, force: true }));
  const { browser: open } = await firefox();
  const chromium = await browser();
  const faults = [];
  let drawings = 0;
  let panels = 0;
  let margins = 0;
  const page = await open.newPage();
  await page.goto("data:text/html,<body style='width:2000px'>a");
  await page.setViewport({ width: 390, height: 900 });
  const over = () => document.documentElement.scrollWidth - innerWidth;
  if (await page.evaluate(over) <= 0) throw new Error("a page that is too wide is not seen");

  for (const file of pages()) {
    const address = "file://" + path.resolve(file);
    await page.goto(address);
    for (const width of [1100, 390]) {
      await page.setViewport({ width, height: 900 });
      const faces = await page.evaluate(async () => { await document.fonts.ready; return [...document.fonts].filter((face) => face.status === "loaded").length; });
      if (faces < 2) faults.push(`${file}: Firefox has not taken the face`);
      const wide = await page.evaluate(over);
      if (wide > 0) faults.push(`${file} at ${width} px: ${wide} px too wide`);
      await page.evaluate(() => document.querySelectorAll("details").forEach((one) => { one.open = true; }));
      const seen = await page.evaluate(look, 2);
      drawings += seen.count;
      seen.faults.forEach((fault) => faults.push(`${file} at ${width} px: ${fault}`));
    }
    if (!/manual\.html$/.test(file) || !file.startsWith(process.env.FITWRIGHT_OUT)) continue;
    const other = await chromium.newPage();
    await other.goto(address);
    await other.emulateMedia({ media: "print" });
    const { panels: pairs } = await other.evaluate(read);
    const said = await other.evaluate(words);
    const counts = [];
    for (const [name, [width, height]] of Object.entries(SIZES)) {
      const [one, two] = ["firefox", "chromium"].map((engine) => path.join(folder, `${engine}.pdf`));
      // Inches, as the size of the sheet; the page's own style has the margins.
      await page.pdf({ path: one, width: `${width / 72}in`, height: `${height / 72}in`, printBackground: true, timeout: 0 });
      await other.pdf({ path: two, format: name, printBackground: true });
      const print = texts(one);
      const count = texts(two).length;
      counts.push(`${name} ${print.length} (Chromium ${count})`);
      const where = `${file} on ${name}`;
      if (Math.abs(print.length - count) > NEAR) faults.push(`${where}: ${print.length} pages, from Chromium ${count}`);
      print.forEach((text, at) => { if (text.length < 3) faults.push(`${where}: page ${at + 1} is empty`); });
      margins += print.filter((text) => /Page \d+ of \d+/.test(text)).length;
      const all = print.join(" ").toLowerCase();
      const lost = [...new Set(said)].filter((word) => !all.includes(word.toLowerCase()));
      if (lost.length) faults.push(`${where}: not printed: ${lost.slice(0, 8).join(" ")}`);
      for (const pair of pairs) {
        panels++;
        if (!print.some(holds(pair))) faults.push(`${where}: "${squeeze(pair.nature)}" is not whole on the page of its lines (${pair.step.join(" ")})`);
      }
    }
    console.log(`${path.basename(path.dirname(file)).padEnd(66)} ${counts.join("  ")}`);
    await other.close();
  }
  await open.close();
  await chromium.close();
  if (drawings < 100 || panels < 20) faults.push(`only ${drawings} drawings and ${panels} panels were looked at`);
  faults.forEach((fault) => console.log(fault));
  console.log(margins ? "Firefox prints margin boxes now: say so in README.md" : "Firefox prints no margin boxes, as README.md says");
  console.log(`${drawings} drawings, ${panels} panels, ${faults.length} faults`);
  process.exit(faults.length ? 1 : 0);
})().catch((e) => { console.log(e.stack); process.exit(1); });
