// The page: it keeps the events, shows the view that the job waits for, and does what is pressed.

import { h, sentence } from "./dom.js";
import * as WORDS from "./words.js";
import { readChecklist, statements, stepOf } from "./checklist.js";
import { evaluate } from "./conditions.js";
import { FIRST, seal, unseal, replay, replayAll } from "./record.js";
import { openStore, readPreferences, writePreferences } from "./store.js";
import { formatter } from "./format.js";
import { sha256OfFile } from "./sha256.js";
import { fault, faultBox } from "./parts.js";
import { stepView } from "./step.js";
import { startView, layOutView, stopView, handoverView, stuckView } from "./views.js";
import { menuView, undoView, changeView, reasonView, recordView } from "./side.js";

const REST = 350;
const UNDOABLE = ["acknowledge", "reading", "torque", "text", "photo", "leave-out", "done", "sign"];

const two = (n) => String(n).padStart(2, "0");

// RFC 3339 with the offset of this place.
const rightNow = () => {
  const at = new Date();
  const ahead = -at.getTimezoneOffset();
  const local = new Date(at.getTime() + ahead * 60000).toISOString().slice(0, 19);
  return `${local}${ahead < 0 ? "-" : "+"}${two(Math.floor(Math.abs(ahead) / 60))}:${two(Math.abs(ahead) % 60)}`;
};

const jobId = () => Array.from(crypto.getRandomValues(new Uint8Array(8)), (byte) => byte.toString(16).padStart(2, "0")).join("");

const download = (name, blob) => {
  const address = URL.createObjectURL(blob);
  const link = h("a", { href: address, download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(address), 60000);
};

// The lines of a job that was kept: its events, up to the first that is not as it was written.
const opened = (lines) => {
  const events = [];
  for (const line of lines) {
    const event = unseal(line, events.length + 1, events[events.length - 1]?.digest ?? FIRST);
    if (!event) return { events, whole: false };
    events.push(event);
  }
  return { events, whole: events.length > 0 };
};

export const runPage = (root) => {
  const list = readChecklist(root.getElementById("checklist").textContent);
  const view = root.getElementById("view");
  const deck = root.getElementById("deck");
  const bar = root.getElementById("bar");
  if (!list) return view.replaceChildren(h("h1", {}, WORDS.unreadable), h("p", {}, WORDS.unreadableWhy));
  const { procedure } = list.checklist;
  const store = openStore(procedure.id);
  const local = (1.5).toLocaleString().includes(",") ? "," : ".";
  const preferences = { system: list.checklist.inputs.some((input) => input.low?.unit.includes("[")) ? "inch" : "metric", sign: local, ...readPreferences() };

  let id = null;
  let lines = [];
  let by = "";
  let warning = store.works ? "" : WORDS.notKept;
  let trail = [];
  let restUntil = 0;
  let mainPress = null;

  const app = {
    list, preferences, ui: {}, record: null, format: formatter(list, preferences),
    get job() { return app.record?.job; },
    get now() { return app.job.now(); },
    room: () => view.clientWidth - 90,
    coarse: () => matchMedia("(any-pointer: coarse)").matches,

    // Writes events down, each kept before it is shown. Then the next step is begun, if the job waits for one.
    act(...parts) {
      for (const part of parts) if (!put(part)) return app.show();
      trail = [];
      app.ui = {};
      app.begin();
    },
    begin() {
      if (app.now.waits === "begin" && (app.job.path.length || trail[0] === "laid out" || lines.length > list.asked.length + 1)) putBegin();
      app.show(true);
    },
    open(name, job, answers) {
      id = jobId();
      lines = [];
      app.record = replay(list);
      by = name;
      app.prefer({ name }, true);
      const { revision } = procedure;
      const ok = [{ type: "open", format: { name: "fitwright-record", version: "1.0.0" }, job,
        checklist: { id: procedure.id, ...(revision ? { revision: revision.mark } : {}), digest: list.digest } }, ...answers].every(put);
      app.ui = {};
      app.show(ok);
    },
    prefer(change, quietly) {
      Object.assign(preferences, change);
      writePreferences(preferences);
      if (quietly) return;
      app.format = formatter(list, preferences);
      app.show();
      for (const [name, value] of Object.entries(change)) view.querySelector(`#${name} [data-choice="${value}"]`)?.focus();
    },
    worker(name) {
      by = name;
      app.prefer({ name }, true);
      app.back();
    },
    go(to) {
      trail.push(to);
      app.ui = {};
      app.show(true);
    },
    back() {
      trail.pop();
      app.ui = {};
      app.show(true);
    },
    change: (seq) => app.go({ view: changeView, seq }),
    reason: (title, ready, label, press) => app.go({ view: reasonView, title, ready, label, press }),
    breakOff: () => app.go({ view: reasonView, title: WORDS.breakOff, lead: WORDS.breakOffWhy, label: WORDS.breakOffNow,
      press: (reason) => app.act({ type: "close", outcome: "broken-off", reason }) }),
    leave() {
      app.record = null;
      trail = [{ view: startView }];
      app.ui = {};
      app.show(true);
    },

    // What Undo takes back: the last thing that somebody did, and with it the begin of a step that followed by itself.
    undoable() {
      if (!app.record || app.job.closed) return [];
      const counting = app.record.entries.filter((entry) => entry.counts && [...UNDOABLE, "begin", "answer"].includes(entry.event.type));
      const last = counting.pop();
      if (!last || last.event.type === "answer") return [];
      if (last.event.type !== "begin") return [last];
      const before = counting.pop();
      return before && UNDOABLE.includes(before.event.type) ? [last, before] : [];
    },
    async photo(line, file) {
      const bytes = await file.arrayBuffer();
      const ending = (/\.([a-z0-9]{1,5})$/i.exec(file.name) || [, "jpg"])[1].toLowerCase();
      const name = `photo-${lines.length + 1}-${line.replace(/[^a-z0-9]+/gi, "-")}`.slice(0, 90) + `.${ending}`;
      const sha256 = await sha256OfFile(bytes);
      download(name, file);
      app.act({ type: "photo", line, file: name, media_type: file.type || "application/octet-stream", bytes: bytes.byteLength, sha256 });
    },
    fileName: () => `${procedure.id}-${app.job.opened.job.replace(/[^A-Za-z0-9]+/g, "-").replace(/^-|-$/g, "").slice(0, 40) || "job"}.jsonl`,
    saveRecord: () => download(app.fileName(), new Blob(lines.map((line) => `${line}\n`), { type: "application/jsonl" })),
    stopText(stop) {
      const nodes = list.checklist.flow.flatMap((section) => [...statements(section.body)]);
      return nodes.flatMap((node) => [node, node.otherwise]).find((node) => node?.id === stop)?.text;
    },
    show(anew) {
      const shown = current();
      const press = shown.main?.press;
      mainPress = press ? () => { if (performance.now() > restUntil) press(); } : null;
      view.replaceChildren(...[warning && h("div", { class: "fault-box screen", role: "alert" }, warning), shown.body].flat(Infinity).filter(Boolean));
      drawBar();
      drawDeck(shown);
      if (anew) settle();
    },
  };

  const put = (part) => {
    const event = { seq: lines.length + 1, at: rightNow(), by, ...part };
    const sealed = seal(event, app.record.entries[lines.length - 1]?.event.digest ?? FIRST);
    const kept = store.append(id, event.seq, sealed.line);
    if (kept === "taken") {
      warning = WORDS.taken;
      return resume(id, store.jobs().get(id)) && false;
    }
    if (kept === "full") warning = WORDS.full;
    lines.push(sealed.line);
    return app.record.add(sealed.event).counts;
  };

  const putBegin = () => {
    const { step, occasion } = app.now;
    put({ type: "begin", step: step.id, occasion, content: step.content_digest });
  };

  // Takes up a job that was kept.
  const resume = (job, kept) => {
    const { events } = opened(kept);
    id = job;
    lines = kept.slice(0, events.length);
    app.record = replayAll(list, events);
    by = events[events.length - 1].by;
    return true;
  };

  const current = () => {
    const side = trail[trail.length - 1];
    if (side?.view) return side.view(app, side);
    if (!app.record) return keptJobs().length ? keptView() : startView(app);
    const { now } = app;
    switch (now.waits) {
      case "nothing": return closedView();
      case "close": return stopView(app);
      case "lines": return stepView(app);
      case "begin": return layOutView(Object.assign(app, { begin: startWork }));
      case "sign": return handoverView(app);
      default: return stuckView(app);
    }
  };

  const ownBegin = app.begin;
  const startWork = () => {
    app.begin = ownBegin;
    putBegin();
    app.show(true);
  };

  const closedView = () => ({
    body: [h("h1", { tabindex: "-1" }, `${WORDS.recordOf}: ${WORDS.OUTCOMES[app.job.closed.outcome]}`), h("p", { class: "screen" }, WORDS.closedLead), recordView(app).body.slice(1)],
    more: recordView(app).more, main: { label: WORDS.newJob, press: () => app.leave() },
  });

  const keptJobs = () => [...store.jobs()].map(([job, kept]) => {
    const read = opened(kept);
    const { events } = read;
    if (!events.length) return { job, kept, ...read };
    const last = events[events.length - 1];
    const digest = events.findLast((event) => event.type === "revise" || event.type === "open").checklist.digest;
    return { job, kept, ...read, closed: last.type === "close", ours: digest === list.digest };
  });

  const keptView = () => {
    const jobs = keptJobs();
    const title = ({ events: [first] }) => first && h("p", { dir: "auto" }, h("b", {}, first.job), h("span", { class: "quiet" }, ` – ${sentence(WORDS.since, { when: app.format.when(first.at), by: first.by })}`));
    const card = (one) => h("div", { class: "ask" }, title(one), !one.whole && fault(WORDS.brokenChain), one.whole && !one.closed && !one.ours && fault(WORDS.otherRevision),
      h("div", { class: "pair" },
        one.whole && one.ours && h("button", { class: one.closed ? null : "main", onclick: () => carryOn(one) }, one.closed ? WORDS.showRecord : WORDS.carryOn),
        one.whole && !one.ours && !one.closed && h("button", { onclick: () => takeOver(one) }, WORDS.takeOver),
        !(one.whole && one.ours) && h("button", { onclick: () => download(`${procedure.id}-${one.job}.jsonl`, new Blob(one.kept.map((line) => `${line}\n`))) }, WORDS.saveRecord),
        (one.closed || !one.whole) && h("button", { onclick: () => app.go({ view: () => ({ body: [h("h1", { tabindex: "-1" }, WORDS.forget), h("p", {}, WORDS.forgetSure)], back: true,
          main: { label: WORDS.forget, press: () => { store.forget(one.job); trail = []; app.show(true); } } }) }) }, WORDS.forget)));
    const [open, closed] = [jobs.filter((one) => !one.closed), jobs.filter((one) => one.closed)];
    return {
      body: [h("h1", { tabindex: "-1" }, procedure.title), open.length > 0 && [h("h2", {}, WORDS.openJobs), open.map(card)], closed.length > 0 && [h("h2", {}, WORDS.keptJobs), closed.map(card)]],
      main: { label: WORDS.startOther, press: () => app.leave() },
    };
  };

  const carryOn = ({ job, kept }) => {
    resume(job, kept);
    trail = [];
    app.begin();
  };

  const takeOver = ({ job, kept, events }) => app.go({ view: reasonView, title: WORDS.takeOver, lead: WORDS.takeOverWhy, label: WORDS.takeOver, press: (reason) => {
    id = job;
    lines = [...kept];
    by = preferences.name || events[events.length - 1].by;
    const { revision } = procedure;
    const revise = { type: "revise", seq: lines.length + 1, at: rightNow(), by, reason, checklist: { id: procedure.id, ...(revision ? { revision: revision.mark } : {}), digest: list.digest } };
    const sealed = seal(revise, events[events.length - 1].digest);
    if (store.append(id, revise.seq, sealed.line) === "full") warning = WORDS.full;
    lines.push(sealed.line);
    resume(id, lines);
    trail = [];
    app.begin();
  } });

  const progress = () => {
    const main = new Set();
    const count = (nodes) => nodes.reduce((sum, node) => {
      const step = stepOf(node);
      if (step) {
        if (step.when && evaluate(step.when, app.job.known, list.units) === false) return sum;
        main.add(step.id);
        return sum + 1;
      }
      const ways = node.arms ? node.arms.map((arm) => [arm.when ? evaluate(arm.when, app.job.known, list.units) : null, arm.body])
        : node.if ? [[evaluate(node.if, app.job.known, list.units), node.then], [null, node.else]] : [];
      const sure = ways.find(([holds]) => holds === true);
      return sum + (sure ? count(sure[1]) : Math.max(0, ...ways.filter(([holds]) => holds !== false).map(([, body]) => count(body))));
    }, 0);
    const all = list.checklist.flow.filter((section) => !section.when || evaluate(section.when, app.job.known, list.units) !== false)
      .reduce((sum, section) => sum + count(section.body), 0);
    const done = new Set(app.job.path.filter((one) => one.done && main.has(one.step.id)).map((one) => one.step.id)).size;
    return { done, all: Math.max(all, done) };
  };

  const drawBar = () => {
    const [title, under, track] = ["bar-title", "bar-under", "bar-track"].map((name) => root.getElementById(name));
    title.textContent = procedure.title;
    const open = app.record && lines.length;
    const { done, all } = open ? progress() : { done: 0, all: 1 };
    under.textContent = open ? `${app.job.opened.job} · ${sentence(WORDS.stepOf, { n: done, all })}` : procedure.revision ? sentence(WORDS.revision, procedure.revision) : procedure.id;
    track.style.width = `${Math.round((100 * done) / (all || 1))}%`;
    bar.querySelector("button").hidden = trail.some((side) => side.view === menuView);
  };

  const drawDeck = ({ main, more, back, hint }) => {
    const undo = app.record && !app.job.closed && !back;
    deck.replaceChildren(...[
      back && h("button", { onclick: () => app.back() }, WORDS.back),
      undo && h("button", { id: "undo", "aria-disabled": app.undoable().length ? null : "true", onclick: () => app.undoable().length && app.go({ view: undoView }) }, WORDS.undo),
      more, hint !== undefined && !main && h("p", { class: "left" }, hint),
      main && h("button", { class: "main", id: "main", "aria-disabled": "true", onclick: () => mainPress?.() }, main.label),
    ].flat().filter(Boolean));
    const button = root.getElementById("main");
    const left = Math.max(0, restUntil - performance.now());
    if (left) setTimeout(() => button?.removeAttribute("aria-disabled"), left);
    else button?.removeAttribute("aria-disabled");
  };

  // After the view has changed: to its top, to its first field or button, and deaf for a moment, because a glove presses twice.
  const settle = () => {
    restUntil = performance.now() + REST;
    const button = root.getElementById("main");
    button?.setAttribute("aria-disabled", "true");
    setTimeout(() => button?.removeAttribute("aria-disabled"), REST);
    scrollTo(0, 0);
    const first = app.record && !trail.length ? view.querySelector("#entry, fieldset button, #helpers") : null;
    (first || (app.record && !trail.length && button) || view.querySelector("h1") || view).focus({ preventScroll: true });
    const heading = view.querySelector("h1")?.textContent ?? "";
    root.getElementById("say").textContent = [heading, view.querySelector(".panel:not(.seen) .nature")?.textContent].filter(Boolean).join(". ");
  };

  bar.querySelector("button").addEventListener("click", () => app.go({ view: menuView }));
  root.addEventListener("keydown", (event) => {
    const typing = event.target.localName === "input";
    if (event.key === "Enter" && (event.ctrlKey || typing) && mainPress) {
      event.preventDefault();
      if (!event.repeat) mainPress();
    } else if (event.key === "Enter" && event.repeat) event.preventDefault();
    else if (event.key === "Escape" && trail.length && app.record) app.back();
    else if (event.key.toLowerCase() === "z" && event.ctrlKey && !typing && app.undoable().length && !trail.length) app.go({ view: undoView });
  });
  store.watch((job) => {
    if (job !== id || !app.record) return;
    const kept = store.jobs().get(job) || [];
    if (kept.length <= lines.length) return;
    warning = WORDS.taken;
    resume(job, kept);
    app.show();
  });
  globalThis.addEventListener("resize", () => { if (!root.activeElement?.matches?.("input")) app.show(); });
  app.show(true);
  return app;
};
