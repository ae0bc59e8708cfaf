// The same lines on every machine: each page is laid out by three browsers, of which one has DejaVu only, one Liberation only, one Noto only.
// On a desk and on a phone every word must stand at the same place, and the page be as high; printed on A4, and whole manuals on Letter
// too, every page must read the same (pdftotext), and the file hold no face but ours (pdffonts). No page is wider than its window.
// Where a writer used letters that our face lacks, they come from the machine; such pages only have to keep within their window.
const fs = require("fs");
const os = require("os");
const path = require("path");
const { execFileSync } = require("child_process");
const { pages, jobs, browser } = require("./_samples.cjs");
const { FACES, only, letters } = require("./_faces.cjs");

const WIDTHS = [1100, 390];
// What another face changes on one size it changes on the other: on both are printed the manuals for every fitting, which have a folder without --.
const sizes = (file) => (/(^|\/)(?!.*--)[^/]+\/manual\.html$/.test(file) ? ["A4", "Letter"] : ["A4"]);
const run = (program, ...args) => execFileSync(program, args, { encoding: "utf8", maxBuffer: 1 << 26 });

// Every word with its place, to half a pixel. A window of another size and a face that came in are told to the page before
// the next picture, not before the next question: what it does then belongs to what is read.
const look = async () => {
  await document.fonts.ready;
  for (let pictures = 2; pictures; pictures--) await new Promise(requestAnimationFrame);
  const words = [];
  const text = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const range = document.createRange();
  while (text.nextNode()) {
    const node = text.currentNode;
    if (/^(script|style|title|desc)$/.test(node.parentElement.localName) || !node.parentElement.checkVisibility()) continue;
    for (const word of node.data.matchAll(/\S+/g)) {
      range.setStart(node, word.index);
      range.setEnd(node, word.index + word[0].length);
      const places = [...range.getClientRects()].map((box) => [box.left, box.top, box.right].map((at) => Math.round(at * 2) / 2).join());
      words.push(`${word[0]} ${places.join(" ")}`);
    }
  }
  const { scrollWidth, scrollHeight } = document.documentElement;
  return { words: [`high ${scrollHeight}`, ...words], over: scrollWidth - innerWidth };
};

// What one browser makes of a page: by "1100", "390", "A4", "Letter" the words or lines in their order.
async function seen(open, file, folder, paper) {
  const page = await open.newPage();
  const found = { faults: [] };
  await page.goto("file://" + path.resolve(file));
  for (const width of WIDTHS) {
    await page.setViewportSize({ width, height: 900 });
    const { words, over } = await page.evaluate(look);
    if (over > 0) found.faults.push(`is ${over} px wider than a window of ${width} px`);
    found[width] = words;
  }
  // A picture of the writer's may bring text in a face of the machine; its size is the same.
  await page.evaluate(() => document.querySelectorAll("img").forEach((one) => { one.style.visibility = "hidden"; }));
  for (const size of paper) {
    const pdf = path.join(folder, "page.pdf");
    await page.pdf({ path: pdf, format: size, printBackground: true });
    found[size] = run("pdftotext", "-layout", pdf, "-").split(/(?<=\f)|\n/);
    found[`pages on ${size}`] = [`${found[size].filter((line) => line.endsWith("\f")).length}`];
    found.fonts = run("pdffonts", pdf).split("\n").slice(2).filter((line) => line && !/FitwrightSans/.test(line));
  }
  await page.close();
  return found;
}

// Where two browsers part, in words.
function difference(one, other) {
  const at = one.findIndex((line, n) => line !== other[n]);
  if (at < 0 && one.length === other.length) return null;
  return `"${(one[at] ?? "nothing").trim()}" and "${(other[at] ?? "nothing").trim()}"`;
}

(async () => {
  const folder = fs.mkdtempSync(path.join(os.tmpdir(), "fitwright-faces-"));
  process.on("exit", () => fs.rmSync(folder, { recursive: true, force: true }));
  const known = letters();
  const faults = [];
  const table = [];
  let compared = 0;
  const opens = await Promise.all(FACES.map(async (face) => {
    const own = path.join(folder, face);
    return { face, own, open: await browser({ FONTCONFIG_FILE: only(face, own) }) };
  }));

  // The browsers must differ: a page that names no face of ours has other lines in each.
  const bare = path.join(folder, "bare.html");
  fs.writeFileSync(bare, `<!DOCTYPE html><p style="font: 16px sans-serif">${"Bolts of the ladder carriage. ".repeat(40)}`);
  const others = await Promise.all(opens.map(({ open, own }) => seen(open, bare, own, ["A4"])));
  if (!difference(others[0][390], others[1][390]) || !difference(others[1].A4, others[2].A4)) throw new Error("the faces of the machine make no difference");
  if (!others[0].fonts.length) throw new Error("a face of the machine in a PDF is not seen");

  const sheets = [...pages().map((file) => [file, sizes(file)]), ...jobs().map((file) => [file, []])];
  for (const [file, paper] of sheets) {
    const all = await Promise.all(opens.map(({ open, own }) => seen(open, file, own, paper)));
    all.forEach((one, at) => one.faults.forEach((fault) => faults.push(`${file} with ${FACES[at]} only: ${fault}`)));
    const foreign = all[0][1100].some((word) => [...word].some((letter) => !known.has(letter.codePointAt(0))));
    if (foreign && file.startsWith(process.env.FITWRIGHT_OUT)) faults.push(`${file}: a demo has letters that the face lacks`);
    if (foreign) continue;
    compared++;
    const ways = Object.keys(all[0]).filter((way) => Array.isArray(all[0][way]) && way !== "faults" && way !== "fonts");
    for (const way of ways) {
      for (const at of [1, 2]) {
        const parted = difference(all[0][way], all[at][way]);
        if (parted) faults.push(`${file}, ${way}: with ${FACES[0]} and with ${FACES[at]} it reads ${parted}`);
      }
    }
    all.forEach((one, at) => one.fonts?.forEach((font) => faults.push(`${file} with ${FACES[at]} only is printed in ${font}`)));
    if (/manual\.html$/.test(file) && file.startsWith(process.env.FITWRIGHT_OUT))
      table.push(`${path.basename(path.dirname(file)).slice(0, 60).padEnd(60)} ${sizes(file).map((size) => `${size} ${all.map((one) => one[`pages on ${size}`]).join(" ")}`).join("   ")}`);
  }
  await Promise.all(opens.map(({ open }) => open.close()));
  if (compared < 30) faults.push(`only ${compared} pages were compared`);
  console.log(`Pages of each manual with ${FACES.join(", ")} only:`);
  [...table, ...faults].forEach((line) => console.log(line));
  console.log(`${compared} of ${sheets.length} pages compared, ${faults.length} faults`);
  process.exit(faults.length ? 1 : 0);
})();
