// What comes out on paper, measured: pages, how much of each stays blank, how small the smallest text is.
const fs = require("fs");
const path = require("path");
const { execFileSync } = require("child_process");

// Dots an inch of the pictures in which ink is looked for.
const DOTS = 24;
// Below this there is ink: thin grey lines become pale in a small picture.
const INK = 235;
// The running footer stands in the lower margin; what is above the margin is the body.
const MARGIN_MM = 15;

// The pages of a PDF as grey pictures: `P5`, width, height, 255, then a byte a dot.
function pictures(pdf, folder) {
  execFileSync("pdftoppm", ["-gray", "-r", `${DOTS}`, pdf, path.join(folder, "page")]);
  const names = fs.readdirSync(folder).filter((name) => name.startsWith("page") && name.endsWith(".pgm")).sort();
  return names.map((name) => {
    const bytes = fs.readFileSync(path.join(folder, name));
    fs.rmSync(path.join(folder, name));
    const [head, width, height] = /^P5\s+(\d+)\s+(\d+)\s+\d+\s/.exec(bytes.toString("latin1", 0, 40));
    return { width: Number(width), height: Number(height), dots: bytes.subarray(head.length) };
  });
}

// For each page, the share of its body, from the upper to the lower margin, that stays blank below the last ink.
exports.blanks = (pdf, folder) => pictures(pdf, folder).map(({ width, height, dots }) => {
  const margin = Math.round((MARGIN_MM / 25.4) * DOTS);
  const bottom = height - margin;
  let last = bottom;
  while (last > margin && dots.subarray((last - 1) * width, last * width).every((dot) => dot > INK)) last--;
  return (bottom - last) / (bottom - margin);
});

// Of all text that is printed, the smallest size in points, and the text. Runs in the page, under print media. Text in drawings counts at the
// size at which it is printed; so does that of pictures that are drawings themselves.
exports.smallest = async () => {
  const POINTS = 72 / 96;
  let least = { points: Infinity, text: "" };
  const see = (points, text) => { if (text.trim() && points < least.points) least = { points, text: text.trim().slice(0, 40) }; };
  const texts = (svg, scale) => svg.querySelectorAll("text").forEach((text) => {
    for (const one of [text, ...text.querySelectorAll("tspan")])
      see(parseFloat(getComputedStyle(one).fontSize) * scale(text) * POINTS, one.textContent);
  });
  const matrix = (element) => { const { a, b } = element.getScreenCTM(); return Math.hypot(a, b); };
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const parent = node.parentElement;
    if (!node.data.trim() || parent.closest("svg, style, script, .unseen") || !parent.checkVisibility()) continue;
    see(parseFloat(getComputedStyle(parent).fontSize) * POINTS, node.data);
  }
  for (const svg of document.querySelectorAll("svg")) if (svg.checkVisibility() && svg.getScreenCTM()) texts(svg, matrix);
  for (const img of document.querySelectorAll("img[src^='data:image/svg']")) {
    const source = atob(img.src.split(",")[1]);
    const svg = new DOMParser().parseFromString(source, "image/svg+xml").documentElement;
    const { width, height } = img.getBoundingClientRect();
    if (!width) continue;
    svg.setAttribute("width", width);
    svg.setAttribute("height", height);
    svg.setAttribute("style", "position:absolute;left:0;top:0");
    document.body.append(svg);
    texts(svg, matrix);
    svg.remove();
  }
  return least;
};

exports.words = (pdf) => execFileSync("pdftotext", [pdf, "-"], { encoding: "utf8", maxBuffer: 1 << 26 }).split(/\s+/).filter(Boolean).length;
