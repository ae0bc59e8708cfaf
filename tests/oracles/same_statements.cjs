// The job page says everything that the manual says: for every demo procedure, whole and tailored, each statement of each step of the manual is
// looked for on the views that the page's own modules draw of that step, and what stands before and between the steps on the views of these.
// A statement is a safety message's sentence, a row's piece (a tool with its range, a part with its count and bag, a torque, a point …), a
// sentence of prose, a note, the words of a picture, a time, a condition, a stop. The other way round, what the page tells of a
// step must stand in the manual.
//
// Compared are words, numbers and signs in their order; case, blanks and punctuation are not. What the two put differently by design is
// listed in BY_DESIGN, with why.
const fs = require("fs");
const path = require("path");
const esbuild = require("esbuild");
const { browser } = require("./_samples.cjs");

// Letters, numbers and signs that mean something; a unit's `·` and `Ω` are of the word.
const normal = (text) => ` ${(text.toLowerCase().normalize("NFC").replace(/\u00ad/g, "").match(/[\p{L}\p{N}·°²³%]+|[×±≤≥<>=÷+−/]|(?<=\d)[.,:](?=\d)/gu) ?? []).join(" ")} `;

// What a sheet of paper says and a page does not, or in another place: [what, in which words of the manual, what the page has for it].
const BY_DESIGN = [
  ["paper counts fastenings in words, the page as `8 ×`", /\bAll (\d+) fastenings of /g, "$1 ×; "],
  ["the same of two", /\bBoth fastenings of /g, "2 ×; "],
  ["paper leads to its table, the page goes there itself", / ?\(tables? [\d, and]+\)/g, ""],
  ["paper leads to its first page, where the page has the words at the start", /: see Codes and licences on the first page/g, ""],
  ["a single part is counted on paper", /(^|; )1 × /g, "$1"],
  ["the same words of a tool that is no must", /\b[Tt]he work can be done without(?: it)?/g, "can be done without"],
  ["each torque is asked for by itself", /\bTorque of (?:each of )?(?=[; A-Z])/g, ""],
  ["the page has a list of its own for what is worn throughout", / throughout$/g, ""],
  ["paper leads to steps by their numbers, the page goes there itself", /\b[Dd]o steps? [\d.]+(?: to [\d.]+)?\.|Go on\.$/g, ""],
  ["paper says after which step a limit is known, the page decides it there", /Known after step [\d.]+\./g, ""],
];

// Of a state that only some fittings have, paper says which; at the end of a job the page knows the answers, and decides it
// (`job_fitting.cjs` holds that it does).
const DECIDED_AT_THE_END = /^Leave the vehicle with$/;
const withoutItsCondition = ({ label, text }) => (DECIDED_AT_THE_END.test(label ?? "") ? text.replace(/; only when [^;]*$/, "") : text);

// The statements of a manual, in the browser: { step, label, text, whole }.
const statementsOf = () => {
  const textOf = (node) => {
    if (node.nodeType === 3) return node.data;
    if (node.localName === "svg" || node.classList?.contains("letter") || node.classList?.contains("unseen")) return "";
    const inner = [...node.childNodes].map(textOf).join("");
    if (node.localName === "b" && node.closest(".row")) return `; ${inner}; `;
    if (node.classList.contains("torque")) return `; ${inner}; `;
    return /^(p|div|li|dt|dd|td|th|tr|h\d|figcaption)$/.test(node.localName) ? ` ${inner} ` : inner;
  };
  const found = [];
  const say = (sort, node, more = {}) => {
    const text = (typeof node === "string" ? node : textOf(node)).replace(/\s+/g, " ").trim();
    if (text) found.push({ sort, text, ...more });
  };
  const row = (of, where) => {
    const label = textOf(of.querySelector(".label"));
    const own = { ...where, label, row: true };
    const [first] = [...of.children].filter((one) => one.localName === "div");
    if (first) for (const piece of first.children) {
      if (piece.classList.contains("fields")) {
        for (const field of piece.querySelectorAll(".field")) {
          for (const choice of field.querySelectorAll(".choice")) say("choice", choice, where);
          const unit = [...field.children].at(-1);
          if (!field.querySelector(".choice") && !unit.classList.contains("write")) say("unit", unit, where);
        }
      } else if (/^[uo]l$/.test(piece.localName)) {
        for (const item of piece.children) {
          const needed = /^\s*Only when: /;
          const text = textOf(item);
          say("item", text.replace(needed, ""), needed.test(text) ? { ...own, label: "Only when" } : own);
        }
      } else say("row", piece, own);
    }
    for (const item of of.querySelectorAll(":scope > ul > li")) say("item", item, own);
    say("label", label, where);
  };
  const lines = (of, where) => {
    for (const say1 of of.querySelectorAll(".say")) for (const p of say1.querySelectorAll("p, li")) if (!p.querySelector("p, li")) say("prose", p, { ...where, whole: true });
    for (const act of of.querySelectorAll(".act")) say("letter", `${act.querySelector(".letter").textContent} ${textOf(act.querySelector(".say > *"))}`, { ...where, whole: true });
    for (const note of of.querySelectorAll(".note-line")) say("note", note, { ...where, whole: true });
    for (const image of of.querySelectorAll("figure img")) say("picture", image.alt, { ...where, whole: true });
    for (const one of of.querySelectorAll("figure .called li, figcaption > b, figcaption .only")) say("callout", one, where);
    for (const one of of.querySelectorAll(".row")) row(one, where);
  };
  for (const article of document.querySelectorAll("article.step")) {
    const where = { step: article.querySelector(".at .n").textContent };
    say("title", article.querySelector("h3"), { ...where, whole: true });
    for (const one of article.querySelectorAll(".head .time")) for (const part of textOf(one).split(", ")) say("time", part, where);
    for (const one of article.querySelectorAll(":scope > .group > .only")) say("condition", one, { ...where, whole: true });
    for (const one of article.querySelectorAll(".panel .tab, .panel .text p")) say("message", one, { ...where, whole: true });
    lines(article, where);
  }
  const between = { step: "between" };
  for (const one of document.querySelectorAll(".section > header .only")) say("condition", one, { step: "section", of: one.closest("section").querySelector(".at .n")?.textContent, whole: true });
  for (const branch of document.querySelectorAll(".branch")) {
    say("branch", branch.querySelector("caption").textContent.replace(/^Table \d+\. /, ""), between);
    for (const arm of branch.querySelectorAll("tbody tr")) for (const cell of [...arm.children].slice(1)) say("arm", cell, between);
  }
  for (const one of document.querySelectorAll(".arm > .if")) say("arm", one.textContent.replace(/^(If|Otherwise): /, ""), between);
  for (const one of document.querySelectorAll(".decide")) say("decided", one, between);
  for (const one of document.querySelectorAll(".repair > .if .count")) say("repairs", `of ${one.children.length}`, { ...between, whole: true });
  for (const one of document.querySelectorAll("main .stop .what, main .stop li, main .stop .word, .goon > b, .handover .signs .who")) if (!one.closest("article")) say("end", one, { ...between, whole: true });
  for (const one of document.querySelectorAll(".goon")) say("end", [...one.childNodes].at(-1).textContent, { ...between, whole: true });
  for (const one of document.querySelectorAll(".handover")) lines(one, between);
  const front = { step: "front" };
  const all = (selector, sort, more = {}) => document.querySelectorAll(`.front ${selector}`).forEach((one) => say(sort, one, { ...front, ...more }));
  all("h1", "title");
  all(".lead p", "prose", { whole: true });
  all(".fitted dt, .fitted dd, .fitted > p.quiet", "fitting");
  all(".facts dt", "label");
  all(".facts dd", "fact", { whole: true });
  all(".asks > li > b, .asks > li > span > b, .asks .choice, .asks .quiet, .asks .field > span:last-child", "asked");
  all(".rule", "rule", { whole: true });
  all(".turnaway > h3, .turnaway li > b, .turnaway li > .only, .turnaway li > .sum, .turnaway li > .then", "limit", { whole: true });
  all(".met > h3, .met li > b, .met li > .only, .met li > span:not(.only)", "limit");
  all("[aria-labelledby=wear] li", "wear");
  all(".with .only", "condition", { whole: true });
  for (const one of document.querySelectorAll(".front .lay li")) {
    const [count, title, ...quiet] = [one.querySelector(".count"), ...one.querySelectorAll(":scope > span > b, :scope > span > .quiet")];
    say("tool", count.textContent === "1" ? title : `${count.textContent} × ${title.textContent}`, front);
    quiet.forEach((each) => say("tool", each, front));
  }
  for (const one of document.querySelectorAll(".front .kits .kit")) {
    say("kit", one.querySelector("caption").firstChild, front);
    for (const only of one.querySelectorAll("caption .only")) say("kit", only, { ...front, whole: true });
    for (const tr of one.querySelectorAll("tbody tr")) {
      const count = tr.querySelector(".count")?.textContent;
      const th = tr.querySelector("th");
      say("kit", /^\d+$/.test(count ?? "") && count !== "1" ? `${count} × ${th.firstChild.textContent}` : th.firstChild, front);
      th.querySelectorAll(".more").forEach((more) => say("kit", more, front));
    }
  }
  for (const one of document.querySelectorAll(".front .vehicle h3, .front .vehicle li > span")) for (const text of [...one.childNodes].some((part) => part.className === "more") ? [[...one.childNodes].filter((part) => part.className !== "more").map((part) => part.textContent).join(""), ...[...one.querySelectorAll(".more")].map((part) => part.textContent)] : [one.textContent]) say("vehicle", text.replace(/^1 × /, ""), front);
  return found;
};

// Lines that ask for something to be written: on the page the field with its title and the button asks, and each field comes by itself.
const ASKED = /^(Read|Write down|Photograph)$/;

// The pieces of a statement that is no sentence.
const PIECES = /[;:()]|\. |, in this order|, for | for (?=[A-Z])|, until|, finger-tight/;
const pieces = ({ text, whole }) => (whole ? [text] : text.split(PIECES));

// What only the page's step has: numbers of fields, and the wire of each circuit, which paper has once in the schematic.
const OF_THE_PAGE = [/^\d+( \d+)*$/, /^[–…]$/, /^\d+(\.\d+)? (awg|mm²)$/, /^(copper|aluminium)$/];

const allowed = (text) => BY_DESIGN.reduce((all, [, of, by]) => all.replace(of, by), text);

// Paper tells once what the page tells at each of several places: the places go, and what paper says of them all.
const onceFor = (labels) => (text) => {
  if (!labels.length) return text;
  const plain = text.replace(/\s+/g, " ").trim();
  const bare = labels.reduce((all, label) => all.replaceAll(`, ${label}`, "").replaceAll(label, ""), plain);
  return bare.replace(/^each (?=\d)/, "").replace(/^For each [\w ]+:[, ]*(and)?[–, ]+all of it at one, then at the next\.$/, "")
    .replace(/^of (\d+)$/, (_, n) => `of ${n % labels.length ? n : n / labels.length}`);
};

(async () => {
  const { outputFiles } = esbuild.buildSync({ entryPoints: [path.join(__dirname, "_same_page.mjs")], bundle: true, format: "iife", target: "es2022", charset: "utf8", write: false });
  const open = await browser();
  const faults = [];
  let total = 0;
  for (const name of fs.readdirSync(process.env.FITWRIGHT_OUT).sort()) {
    const folder = path.resolve(process.env.FITWRIGHT_OUT, name);
    if (!fs.existsSync(path.join(folder, "job.html"))) continue;
    const { joints, inputs } = JSON.parse(fs.readFileSync(path.join(folder, "checklist.json"), "utf8"));
    const once = onceFor([...new Set([...joints, ...inputs].flatMap(({ at }) => (at ? [at.label] : [])))]);
    const paper = await open.newPage();
    await paper.goto(`file://${folder}/manual.html`);
    const statements = await paper.evaluate(statementsOf);
    const page = await (await open.newContext({ bypassCSP: true })).newPage();
    await page.goto(`file://${folder}/job.html`);
    await page.evaluate(outputFiles[0].text);
    const says = await page.evaluate(() => jobSays());
    const places = { ...says.steps, between: says.around, front: says.front, section: { text: Object.values(says.steps).map((one) => one.text).join(" "), rows: [] } };
    for (const one of Object.values(places)) {
      one.normal = normal(once(one.text));
      one.byLabel = new Map();
      for (const { label, text } of one.rows) one.byLabel.set(normal(label), (one.byLabel.get(normal(label)) ?? " ") + normal(once(text)));
    }
    let compared = 0;
    let missing = 0;
    const done = new Set();
    for (const statement of statements) {
      const { step, sort, label } = statement;
      const place = places[step];
      for (const piece of pieces({ ...statement, text: allowed(once(withoutItsCondition(statement))) })) {
        const words = normal(piece);
        if (!words.trim() || (sort === "label" && ASKED.test(piece.trim()))) continue;
        compared++;
        const within = statement.row && !ASKED.test(label) && place?.byLabel.get(normal(label)) || place?.normal || "";
        if (within.includes(words)) continue;
        missing++;
        const fault = `${name} ${step}: ${sort}${label ? ` ${label}` : ""}: "${piece.trim()}"${within.includes(words) || !place?.normal.includes(words) ? "" : " stands elsewhere in the step"}`;
        if (!done.has(fault)) faults.push(fault);
        done.add(fault);
      }
    }
    // The other way round: what the page tells of a step, text by text, stands in the manual's step, or in the head of its section.
    const articles = await paper.evaluate(() => Object.fromEntries([...document.querySelectorAll("article.step")].map((one) => {
      const textOf = (node) => (node.nodeType === 3 ? node.data : node.localName === "svg" ? "" : ` ${[...node.childNodes].map(textOf).join("")} `);
      const head = one.closest(".section")?.querySelector("header");
      return [one.querySelector(".at .n").textContent, textOf(one) + [...one.querySelectorAll("img")].map((image) => image.alt).join(" ") + (head ? textOf(head) : "")];
    })));
    let toldHere = 0;
    for (const [step, { own }] of Object.entries(says.steps)) {
      const paperSays = normal(allowed((articles[step] ?? "").replace(/\s+/g, " ")));
      for (const text of own.map(once)) {
        for (const piece of text.split(PIECES)) {
          const words = normal(piece);
          if (!words.trim() || OF_THE_PAGE.some((one) => one.test(words.trim()))) continue;
          toldHere++;
          if (!paperSays.includes(words)) faults.push(`${name} ${step}: the page alone tells "${piece.trim()}"`);
        }
      }
    }
    // A comparison that finds everything finds nothing: words in another order are no statement of any step.
    for (const statement of statements) {
      const words = normal(allowed(statement.text)).trim().split(" ").reverse().join(" ");
      if (words.split(" ").length > 5 && places[statement.step].normal.includes(words)) faults.push(`${name}: "${words}" is found, and is nonsense`);
    }
    total += compared;
    console.log(`${name}: ${statements.length} statements in ${compared} pieces, ${missing} missing; ${toldHere} pieces of the page`);
    await paper.close();
    await page.close();
  }
  await open.close();
  faults.forEach((fault) => console.log(fault));
  if (total < 1000) faults.push(`only ${total} pieces compared`);
  console.log(`same_statements: ${total} pieces, ${faults.length} faults`);
  process.exit(faults.length ? 1 : 0);
})().catch((e) => { console.log(e.stack); process.exit(1); });
