// The writer's page. It asks for news, shows findings as they come, and sets the manual beside them without losing the place.
// Text of a procedure stands on the page as text only.

const at = (id) => document.getElementById(id);
const element = (name, { of = "", text = "", ...more } = {}, ...children) => {
  const made = document.createElement(name);
  if (of) made.className = of;
  for (const [key, value] of Object.entries(more)) made.setAttribute(key, value);
  made.append(...(text ? [text] : []), ...children);
  return made;
};
const pause = (time) => new Promise((done) => setTimeout(done, time));

// What stands on the page.
let told = null;
let fitting = [];
let controls = "";
let shown = { number: "", fitting: "" };

// Text as the terminal has it: colours are classes.
function coloured(text) {
  const pieces = text.split(/\u001b\[([0-9;]*)m/);
  let classes = "";
  const made = [];
  pieces.forEach((piece, index) => {
    if (index % 2) classes = piece === "0" ? "" : piece.split(";").map((code) => `sgr-${code}`).join(" ");
    else if (piece) made.push(classes ? element("span", { of: classes, text: piece }) : piece);
  });
  return made;
}

function finding({ severity, code, message, lines, told: paragraphs }) {
  const item = element("li", { of: severity });
  item.append(element("h3", {}, element("span", { of: "sort", text: `${severity} ${code}` }), message));
  if (lines) {
    const drawn = element("pre", { tabindex: "0", role: "group", "aria-label": `Lines of ${code}` }, ...coloured(lines));
    item.append(drawn);
  }
  const list = element("dl");
  for (const [key, text] of paragraphs) list.append(element("dt", { text: key }), element("dd", { text }));
  if (paragraphs.length) item.append(list);
  return item;
}

const counted = (count, word) => `${count} ${word}${count === 1 ? "" : "s"}`;

function status() {
  const count = (severity) => told.findings.filter((one) => one.severity === severity).length;
  const parts = ["error", "warning", "note"].filter(count).map((severity) => counted(count(severity), severity));
  const found = parts.join(", ");
  if (told.stage === "reading") return "Reading …";
  if (told.stage === "failed") return "The check failed; this is a fault of the program";
  if (told.stage === "proving") return `${found ? `${found} so far` : "No findings so far"}, still proving …`;
  return found || "No findings";
}

// Columns of a terminal that the findings have room for.
function columns() {
  const probe = element("pre", { text: "0".repeat(100) });
  probe.style.cssText = "position:absolute;visibility:hidden;font-size:.78rem";
  at("findings").append(probe);
  const one = probe.getBoundingClientRect().width / 100;
  probe.remove();
  const room = at("findings").getBoundingClientRect().width;
  return Math.max(40, Math.min(120, Math.floor(room / one)));
}

// What was found of the text before is greyed at once, and goes when the next has not come within this time, in milliseconds: most
// proofs are done by then, and the list does not flicker.
const PATIENCE = 250;
let held = 0;
let scrolled = null;

function showFindings() {
  const list = at("findings");
  at("status").textContent = status();
  clearTimeout(held);
  if (told.stage === "proved" || told.stage === "failed" || !list.children.length) {
    drawFindings();
    return;
  }
  scrolled ??= list.parentElement.scrollTop;
  list.classList.add("old");
  list.setAttribute("aria-busy", "true");
  at("last-words").textContent = "";
  held = setTimeout(drawFindings, PATIENCE);
}

function drawFindings() {
  const list = at("findings");
  const partly = told.stage === "proving" ? "Of the text, its names and quantities. The order of steps, parts, joints, circuits and hazards is being proved." : "";
  at("partly").textContent = partly;
  at("partly").hidden = !partly;
  list.replaceChildren(...told.findings.map(finding));
  at("last-words").textContent = told.stage === "proved" ? told.last_words.trim() : "";
  if (told.stage === "proved" && scrolled !== null) {
    list.parentElement.scrollTop = scrolled;
    scrolled = null;
  }
  if (told.stage !== "reading") list.classList.remove("old");
  list.setAttribute("aria-busy", String(told.stage === "reading"));
}

const query = () => {
  const asked = new URLSearchParams(fitting.map((one) => ["with", one]));
  return asked.size ? `?${asked}` : "";
};

function chosen() {
  const fields = [...at("fitting").querySelectorAll("select, input")];
  return fields.filter((field) => field.value.trim() && !field.parentNode.hidden).map((field) => `${field.dataset.of}=${field.value.trim()}`);
}

// Whether a condition on options holds; nothing where they leave it open.
function holds(when, values) {
  if (when?.is) return values.has(when.is[0]) ? values.get(when.is[0]) === when.is[1] : undefined;
  if (when?.not) return [true, undefined, false][[false, undefined, true].indexOf(holds(when.not, values))];
  const parts = (when?.any ?? when?.all ?? []).map((part) => holds(part, values));
  if (!when?.any && !when?.all) return undefined;
  if (parts.includes(!when.all)) return !when.all;
  return parts.includes(undefined) ? undefined : !when.any;
}

// A given that the options rule out has no field.
function showGivens() {
  const fields = [...at("fitting").querySelectorAll("select, input")];
  const values = new Map(fields.filter((one) => one.localName === "select" && one.value).map((one) => [one.dataset.of, one.value]));
  for (const { id, when } of told.manual?.givens ?? []) {
    const field = fields.find((one) => one.dataset.of === id);
    if (field) field.parentNode.hidden = when ? holds(when, values) === false : false;
  }
}

// The controls are made anew only where the procedure has others, so that nobody's choice or place is lost.
function showControls() {
  const { options = [], givens = [] } = told.manual ?? {};
  const wanted = JSON.stringify({ options, givens });
  if (wanted === controls) return;
  controls = wanted;
  const before = new Map(chosen().map((one) => [one.slice(0, one.indexOf("=")), one.slice(one.indexOf("=") + 1)]));
  const focused = document.activeElement?.dataset?.of;
  const labelled = (title, field, id) => {
    field.dataset.of = id;
    return element("label", { text: title }, field);
  };
  const made = [];
  for (const { id, title, values } of options) {
    const choices = values.map(({ id: value, words }) => element("option", { value, text: words }));
    const field = element("select", {}, element("option", { value: "", text: "all" }), ...choices);
    if (values.some((one) => one.id === before.get(id))) field.value = before.get(id);
    made.push(labelled(title, field, id));
  }
  for (const { id, title, range } of givens) {
    const field = element("input", { type: "text", placeholder: `all: ${range}`, autocomplete: "off", spellcheck: "false" });
    field.value = before.get(id) ?? "";
    made.push(labelled(title, field, id));
  }
  if (made.length) made.push(element("button", { type: "reset", text: "All fittings" }));
  at("fitting").replaceChildren(...made);
  showGivens();
  at("fitting").querySelector(`[data-of="${CSS.escape(focused ?? "")}"]`)?.focus();
  fitting = chosen();
}

// Where the reader is: the last thing with a name above the top of the view, and how far below it.
function place(frame) {
  const view = frame?.contentWindow;
  if (!view?.document?.body) return null;
  const named = [...view.document.querySelectorAll("[id]")].filter((one) => one.getClientRects().length);
  const above = named.filter((one) => one.getBoundingClientRect().top <= 1 && view.getComputedStyle(one).position !== "fixed").pop();
  return { y: view.scrollY, id: above?.id, off: above?.getBoundingClientRect().top ?? 0 };
}

function restore(frame, to) {
  const view = frame.contentWindow;
  if (!to || !view) return;
  const named = to.y > 0 && to.id && view.document.getElementById(to.id);
  view.scrollTo(0, named ? named.getBoundingClientRect().top + view.scrollY - to.off : to.y);
}

// The new manual comes behind the old one, and takes its place when it stands where the reader is.
function setFrame(address) {
  const frames = at("frames");
  const old = frames.querySelector("iframe:not(.coming)");
  frames.querySelectorAll("iframe.coming, p").forEach((one) => one.remove());
  const frame = element("iframe", { of: "coming", title: "Manual", sandbox: "allow-same-origin allow-modals", src: address });
  frame.addEventListener("load", () => {
    restore(frame, place(old));
    frame.classList.remove("coming");
    old?.remove();
  }, { once: true });
  frames.append(frame);
}

const FILES = { "manual.html": "Manual", "annex.html": "Annex", "pick-list.html": "Pick-list", "pick-list.csv": "Pick-list (CSV)", "packing-list.html": "Packing list", "packing-list.csv": "Packing list (CSV)", "wire-list.csv": "Wire list (CSV)",
  "job.html": "Job page", "checklist.json": "Checklist (JSON)", "build.json": "Build (JSON)" };

async function showManual() {
  const asked = { number: told.number, fitting: query() };
  at("frames").classList.toggle("older", Boolean(told.manual) && !told.is_current);
  if (!told.manual) {
    if (told.stage === "proved") {
      const why = told.is_library ? "A library has no manual. Preview a procedure that uses it." : "There is no manual yet: the text has errors.";
      at("frames").replaceChildren(element("p", { text: why }));
    }
    return;
  }
  const errors = told.stage === "proved" && !told.is_current;
  at("age").textContent = errors ? "This manual is older than the text, which has errors. It comes up to date when they are gone." : "";
  // Nothing else is to be shown while a text is read or proved, unless another fitting is asked for.
  if (!told.is_current && shown.number && shown.fitting === asked.fitting) return;
  const answer = await fetch(`/made${asked.fitting}`);
  if (asked.number !== told.number || asked.fitting !== query()) return;
  shown = asked;
  at("refusal").textContent = answer.ok ? "" : (await answer.text()).trim();
  if (!answer.ok) {
    at("outputs").replaceChildren();
    at("frames").replaceChildren(element("p", { text: "There is no manual for this fitting." }));
    return;
  }
  const links = (await answer.json()).map((name) =>
    element("a", { href: `/out/${name}${asked.fitting}`, target: "_blank", rel: "noopener", text: FILES[name] ?? name }));
  at("outputs").replaceChildren(...links);
  setFrame(`/out/manual.html${asked.fitting}`);
}

// One after the other, and always what is newest.
let work = Promise.resolve();
const refresh = () => { work = work.then(showManual).catch(() => {}); };

at("fitting").addEventListener("submit", (event) => event.preventDefault());
const choose = () => { showGivens(); fitting = chosen(); refresh(); };
at("fitting").addEventListener("change", choose);
at("fitting").addEventListener("reset", () => setTimeout(choose));

async function follow() {
  let lost = false;
  for (;;) {
    try {
      const has = told && !lost ? `has=${encodeURIComponent(told.number)}&` : "";
      const answer = await fetch(`/state?${has}columns=${columns()}`);
      if (!answer.ok) throw new Error(String(answer.status));
      const news = await answer.json();
      const isNew = !told || lost || news.number !== told.number;
      lost = false;
      if (isNew) {
        told = news;
        const title = told.manual?.title ?? told.file;
        at("title").textContent = title;
        at("file").textContent = told.file;
        document.title = `${title} – preview`;
        showFindings();
        showControls();
        refresh();
      }
      await pause(30);
    } catch {
      lost = true;
      at("status").textContent = "The preview has ended: what stands here may be old. Start it again";
      at("findings").replaceChildren();
      at("last-words").textContent = "";
      await pause(1500);
    }
  }
}
follow();
