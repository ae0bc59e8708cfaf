// Every drawing in every manual and in a tally, as a browser sets it: no text leaves its drawing or stands on another text, every drawing
// has a title and a description of its own, ids are unique, and a drawing is no wider than the phone that shows it.
const path = require("path");
const { folders, tallies, browser } = require("./_samples.cjs");
const { wanted } = require("./_faces.cjs");

// Firefox makes the box of a text about one pixel larger on each side than its letters: `slack`, in pixels, leaves room for that.
const look = (slack = 0.5) => {
  const faults = [];
  const drawings = [...document.querySelectorAll("svg.drawing")];
  for (const svg of drawings) {
    const named = (attribute) => (svg.getAttribute(attribute) || "").split(" ").map((id) => document.getElementById(id)?.textContent.trim() ?? "").join(" ").trim();
    if (!named("aria-labelledby") || !named("aria-describedby")) faults.push(`${svg.id} has no title or no description`);
    const frame = svg.getBoundingClientRect();
    const boxes = [...svg.querySelectorAll("text")].filter((text) => text.textContent.trim()).map((text) => {
      const box = text.getBoundingClientRect();
      // The box of a text is as high as its type with room above and below; the letters take about two thirds.
      return { words: text.textContent, left: box.left, right: box.right, top: box.top + box.height * 0.2, bottom: box.bottom - box.height * 0.2 };
    });
    for (const box of boxes)
      if (box.left < frame.left - slack || box.right > frame.right + slack || box.top < frame.top - slack || box.bottom > frame.bottom + slack)
        faults.push(`${svg.id}: "${box.words}" leaves the drawing`);
    boxes.forEach((one, at) => boxes.slice(at + 1).forEach((other) => {
      if (one.left < other.right - slack && other.left < one.right - slack && one.top < other.bottom - slack && other.top < one.bottom - slack)
        faults.push(`${svg.id}: "${one.words}" stands on "${other.words}"`);
    }));
    if (frame.right > innerWidth + 0.5) faults.push(`${svg.id} is wider than the window`);
  }
  const ids = [...document.querySelectorAll("[id]")].map((element) => element.id);
  ids.filter((id, at) => ids.indexOf(id) !== at).forEach((id) => faults.push(`the id ${id} stands twice`));
  return { faults, count: drawings.length };
};

module.exports = { look };

if (require.main === module) (async () => {
  const open = await browser();
  const bad = await open.newPage();
  await bad.setContent('<svg class="drawing" viewBox="0 0 20 9" width="200"><text x="1" y="5">one</text><text x="2" y="5">two</text><text x="-9" y="5">three</text></svg>');
  const found = (await bad.evaluate(look)).faults.join();
  if (!/no title/.test(found) || !/stands on/.test(found) || !/leaves/.test(found)) throw new Error("a bad drawing was not seen");
  await bad.close();
  let count = 0;
  let all = 0;
  let left = 0;
  for (const file of [...folders().map((folder) => path.join(folder, "manual.html")), ...tallies()]) {
    for (const width of [1100, 390]) {
      const page = await open.newPage({ viewport: { width, height: 900 } });
      await page.goto("file://" + path.resolve(file));
      if (!(await wanted(page))) { left++; await page.close(); continue; }
      await page.evaluate(() => document.querySelectorAll("details").forEach((one) => (one.open = true)));
      const seen = await page.evaluate(look);
      // On paper nothing of a drawing may be hidden by a rule that is meant for something else.
      await page.emulateMedia({ media: "print" });
      seen.faults.push(...await page.evaluate(() => [...document.querySelectorAll(".drawing :is(path, rect, circle, text)")]
        .filter((one) => getComputedStyle(one).display === "none").slice(0, 3).map((one) => `${one.closest("svg").id}: ${one.outerHTML.slice(0, 60)} is not printed`)));
      all += seen.count;
      for (const fault of seen.faults) {
        console.log(`${file} at ${width} px: ${fault}`);
        count++;
      }
      await page.close();
    }
  }
  await open.close();
  if (all < (left ? 10 : 100)) { console.log(`only ${all} drawings`); count++; }
  console.log(`${all} drawings, ${count} faults`);
  process.exit(count ? 1 : 0);
})();
