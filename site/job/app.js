// The page: it keeps the events, shows the view that the job waits for, and does what is pressed.

import { h, fill, button, heading, paragraph, strong, soft, sentence } from "./dom.js";
import * as WORDS from "./words.js";
import { readChecklist } from "./checklist.js";
import { FIRST, seal, unseal, replay, replayAll, inForce } from "./record.js";
import { openStore, readPreferences, writePreferences } from "./store.js";
import { formatter, localTime } from "./format.js";
import { progress } from "./progress.js";
import { hex, sha256OfFile } from "./sha256.js";
import { openFrame } from "./frame.js";
import { openMemory } from "./memory.js";
import { stepView, endsItself } from "./step.js";
import { startView, answersView, unsettled, layOutView, stopView, handoverView, stuckView } from "./views.js";
import { menuView, undoView, changeView, textView, recordView } from "./side.js";
import { revisionView, otherRevision, carryOn } from "./revision.js";

// So long, in milliseconds, nothing that is pressed counts after the view has changed: a glove presses twice.
const REST = 350;
const UNDOABLE = ["acknowledge", "reading", "torque", "text", "photo", "leave-out", "done", "sign"];

// RFC 3339 with the offset of this place.
const rightNow = () => {
  const at = new Date();
  const behind = at.getTimezoneOffset();
  return `${localTime(at)}${behind > 0 ? "-" : "+"}${new Date(Math.abs(behind) * 60000).toISOString().slice(11, 16)}`;
};

const download = (name, blob) => {
  const address = URL.createObjectURL(blob);
  h("a", { href: address, download: name }).click();
  setTimeout(() => URL.revokeObjectURL(address), 60000);
};

const file = (lines) => new Blob(lines.map((line) => `${line}\n`));

// The events of a job that was kept, up to the first that is not as it was written.
const eventsOf = (lines) => {
  const events = [];
  for (const line of lines) {
    const event = unseal(line, events.length + 1, events.at(-1)?.digest ?? FIRST);
    if (!event) break;
    events.push(event);
  }
  return events;
};

export const runPage = (root) => {
  const at = (id) => root.getElementById(id);
  const view = at("view");
  const list = readChecklist(at("checklist").textContent);
  if (!list) return fill(view, heading(WORDS.unreadable), paragraph(WORDS.unreadableWhy));
  const { procedure, inputs, effectivity } = list;
  const store = openStore(procedure.id);
  const memory = openMemory(procedure.id);
  const frame = openFrame(root, () => show(), () => rest());
  const preferences = {
    system: [...inputs.values()].some((input) => input.low?.unit.includes("[")) ? "inch" : "metric",
    sign: (1.5).toLocaleString().includes(",") ? "," : ".",
    ...readPreferences(),
  };
  let id = null;
  let lines = [];
  let by = "";
  let warning = store.works ? "" : WORDS.notKept;
  let trail = [];
  let rested = 0;
  let shownBefore = "";
  let main = null;

  // What an event says of this checklist. A tailored one is told by its digest alone; for which fitting it is, we add.
  const own = {
    checklist: { id: procedure.id, ...(procedure.revision && { revision: procedure.revision.mark }), digest: list.digest },
    ...(effectivity && { "x-effectivity": effectivity }),
  };

  const app = {
    list, preferences, memory, frame, ui: {}, record: null, wording: formatter(list, preferences),
    by: () => by,
    redraw: () => show(),
    get job() { return app.record?.job; },
    get now() { return app.job.now(); },
    room: () => (frame.wide() ? 560 : view.clientWidth - 60),
    coarse: () => matchMedia("(any-pointer: coarse)").matches,
    shared: () => ({ list, preferences, wording: app.wording }),

    // Writes events down, each kept before it is shown, and begins the step that follows.
    act(...parts) {
      if (!parts.every(put)) return show();
      goOn();
    },
    begin() {
      putBegin();
      move();
    },
    open(name, job, answers) {
      id = hex(crypto.getRandomValues(new Uint8Array(8)));
      memory.take(id);
      lines = [];
      app.record = replay(list);
      by = name;
      keepPreference({ name });
      [{ type: "open", format: { name: "fitwright-record", version: "1.0.0" }, job, ...own }, ...answers].every(put);
      move();
    },
    // Carries on a job that was begun under another checklist of the procedure.
    revise(job, name, reason) {
      resume(job);
      by = name;
      keepPreference({ name });
      if (put({ type: "revise", reason, ...own })) app.record = replayAll(list, eventsSoFar());
      goOn();
    },
    prefer(change) {
      keepPreference(change);
      app.wording = formatter(list, preferences);
      show();
      for (const [name, value] of Object.entries(change)) view.querySelector(`#${name} [data-choice="${value}"]`)?.focus();
    },
    worker(name) {
      by = name;
      keepPreference({ name });
      move();
    },
    go: (to) => move([...trail, to]),
    change: (seq) => app.go({ view: changeView, seq }),
    reason: (about) => app.go({ view: textView, ...about }),
    breakOff: () => app.reason({ title: WORDS.breakOff, lead: paragraph(WORDS.breakOffWhy), press: (reason) => app.act({ type: "close", outcome: "broken-off", reason }) }),
    leave() {
      app.record = null;
      memory.take();
      move([{ view: startView }]);
    },

    // What Undo takes back: the last thing that somebody did, and with it the begin of a step that followed by itself.
    undoable() {
      if (!app.record || app.job.closed) return [];
      const counting = app.record.entries.filter(({ counts, event }) => counts && [...UNDOABLE, "begin", "answer"].includes(event.type)).slice(-3).reverse();
      const at = counting[0]?.event.type === "begin" ? 1 : 0;
      const { type, step } = counting[at]?.event ?? {};
      const withEntry = type === "done" && endsItself(list.stepsById.get(step)) && !["begin", "acknowledge"].includes(counting[at + 1]?.event.type);
      return UNDOABLE.includes(type) ? counting.slice(0, at + (withEntry ? 2 : 1)) : [];
    },
    async photo(line, picture, finish = app.act) {
      const bytes = await picture.arrayBuffer();
      const ending = /\.[a-z0-9]{1,5}$/i.exec(picture.name)?.[0].toLowerCase() ?? "";
      const name = `photo-${lines.length + 1}-${line.replace(/[^a-z0-9]+/gi, "-").slice(0, 70)}${ending}`;
      const sha256 = await sha256OfFile(bytes);
      download(name, picture);
      finish({ type: "photo", line, file: name, media_type: picture.type || "application/octet-stream", bytes: bytes.byteLength, sha256 });
    },
    fileName: () => `${procedure.id}-${app.job.opened.job.replace(/[^A-Za-z0-9]+/g, "-").slice(0, 40)}.jsonl`,
    saveRecord() {
      download(app.fileName(), file(lines));
      app.ui.saved = true;
      show();
    },
    stopText: (stop) => list.nodes.flatMap((node) => [node, node.otherwise]).find((node) => node?.id === stop)?.text,
  };

  const resting = () => performance.now() < rested;

  const keepPreference = (change) => {
    Object.assign(preferences, change);
    writePreferences(preferences);
  };

  const put = (part) => {
    const { event, line } = seal({ seq: lines.length + 1, at: rightNow(), by, ...part }, app.record.entries.at(-1)?.event.digest ?? FIRST);
    const kept = store.append(id, event.seq, line);
    if (kept === "taken") {
      takenElsewhere();
      return false;
    }
    if (kept === "full") warning = WORDS.full;
    lines.push(line);
    return app.record.add(event).counts;
  };

  const putBegin = () => {
    const { step, occasion } = app.now;
    put({ type: "begin", step: step.id, occasion, content: step.content_digest });
  };

  const eventsSoFar = () => app.record.entries.map((entry) => entry.event);

  // A step is begun by coming to it, but the first one, before which everything is laid out.
  const goOn = () => {
    if (app.record && app.now.waits === "begin" && app.job.path.length && !unsettled(app).length) putBegin();
    move();
  };

  // Takes up a job that was kept.
  const resume = (job) => {
    const kept = store.jobs().get(job) || [];
    const events = eventsOf(kept);
    id = job;
    memory.take(id);
    lines = kept.slice(0, events.length);
    app.record = replayAll(list, events);
    by = events.at(-1).by;
  };

  // Another window wrote to this job. It may have carried it on under another checklist: then it is not for this page any more.
  const takenElsewhere = () => {
    warning = WORDS.taken;
    resume(id);
    if (!isOurs(eventsSoFar())) app.record = null;
  };

  const isOurs = (events) => inForce(events).checklist.digest === list.digest;

  // The record is saved first; the large button leads on to the next job when it is.
  const closedView = () => {
    const { body: [, report], more: [save, print] } = recordView(app);
    const next = { says: WORDS.newJob, press: app.leave };
    return {
      body: [heading(`${WORDS.recordOf}: ${WORDS.OUTCOMES[app.job.closed.outcome]}`), h("p.screen", WORDS.closedLead), report],
      ...(app.ui.saved ? { more: [save, print], main: next } : { more: [print, button(next.says, next.press)], main: { says: WORDS.saveRecord, press: app.saveRecord } }),
    };
  };

  const keptJob = ([job, kept]) => {
    const events = eventsOf(kept);
    const whole = events.length === kept.length;
    const closed = events.at(-1)?.type === "close";
    const ours = events.length && isOurs(events);
    const fault = !whole && WORDS.brokenChain;
    const other = whole && !ours && !closed;
    const show = () => {
      resume(job);
      goOn();
    };
    const forget = () => app.go({ view: () => ({ body: [heading(WORDS.forget), paragraph(WORDS.forgetSure)], back: true, main: { says: WORDS.forget, press() {
      store.forget(job);
      memory.forget(job);
      move();
    } } }) });
    const body = h("div.ask", events[0] && paragraph(strong(events[0].job), " ", soft(sentence(WORDS.since, { when: app.wording.when(events[0].at), by: events[0].by }))),
      fault && h("p.fault", fault), other && paragraph(otherRevision(list, events)), h("div.pair", whole && ours && button(closed ? WORDS.showRecord : WORDS.carryOn, show, { class: !closed && "main" }),
        other && button(carryOn(list, events), () => app.go({ view: revisionView, job, events }), { class: "main" }), !(whole && ours) && button(WORDS.saveRecord, () => download(`${procedure.id}-${job}.jsonl`, file(kept))), !(ours && !closed && whole) && button(WORDS.forget, forget)));
    return { closed, body };
  };

  const keptView = (jobs) => {
    const group = (title, some) => some.length && [h("h2", title), some.map((one) => one.body)];
    return { body: [heading(procedure.title), group(WORDS.openJobs, jobs.filter((one) => !one.closed)), group(WORDS.keptJobs, jobs.filter((one) => one.closed))],
      main: { says: WORDS.startOther, press: app.leave } };
  };

  const current = () => {
    const side = trail.at(-1);
    if (side) return side.view(app, side);
    if (!app.record) {
      const jobs = [...store.jobs()].map(keptJob);
      return jobs.length ? keptView(jobs) : startView(app);
    }
    if (!app.job.closed && unsettled(app).length) return answersView(app);
    return ({ nothing: closedView, close: stopView, lines: stepView, begin: layOutView, sign: handoverView }[app.now.waits] ?? stuckView)(app);
  };

  const rest = () => {
    rested = performance.now() + REST;
    at("main")?.setAttribute("aria-disabled", "true");
    setTimeout(() => resting() || at("main")?.removeAttribute("aria-disabled"), REST + 10);
  };

  // The place in the job that a value typed by halves belongs to.
  const place = () => (app.record ? (trail.length ? null : lines.length) : "start");

  const show = (anew = false) => {
    const shown = current();
    ({ main } = shown);
    const open = app.record?.entries.length;
    const { done, all } = open ? progress(app) : { done: 0, all: 1 };
    fill(at("bar-title"), procedure.title);
    fill(at("bar-under"), open ? `${app.job.opened.job} · ${sentence(WORDS.stepOf, { n: done, all })}` : procedure.revision ? sentence(WORDS.revision, procedure.revision) : procedure.id);
    at("bar-track").style.width = `${Math.round((100 * done) / all)}%`;
    const undo = app.undoable().length > 0;
    const before = shown.back ? button(WORDS.back, back) : open && !app.job.closed && button(WORDS.undo, () => undo && app.go({ view: undoView }), { id: "undo", "aria-disabled": !undo });
    frame.draw(shown, warning && h("p.fault-box.screen", { role: "alert" }, warning), before, press, resting(), anew);
  };

  // The large button, which first leads to whatever was not in sight; where messages are to be read, the first of these.
  const press = () => {
    if (!frame.through()) return;
    if (main) main.press();
    else view.querySelector(".confirm .main")?.click();
  };

  // Another view: from its top, with its first field or its large button ready for the keyboard, and deaf for a moment. Within
  // one step the page stays where the next thing is asked.
  const move = (to = []) => {
    trail = to;
    app.ui = {};
    const typed = place();
    if (typed !== null) app.ui = memory.typed(typed);
    const step = app.record && !trail.length && app.now.waits === "lines" ? `${app.now.begun.step.id} ${app.now.begun.occasion} ${app.now.lines.some((line) => line.does.kind === "message")}` : "";
    const same = step !== "" && step === shownBefore;
    shownBefore = step;
    show(!same);
    rest();
    const title = view.querySelector("h1");
    const ask = view.querySelector(".confirm .main") || view.querySelector("#entry") || view.querySelector(".ask button, #helpers, #reason");
    const working = app.record && !to.some((one) => one.view === menuView || one.view === recordView);
    ((working && (ask || at("main"))) || title).focus({ preventScroll: true });
    if (same && ask) ask.closest(".ask, .confirm").scrollIntoView({ block: "nearest" });
    else scrollTo(0, 0);
    fill(at("say"), `${title.textContent}. ${view.querySelector(".panel:not(.seen) .nature")?.textContent ?? ""}`);
  };
  const back = () => move(trail.slice(0, -1));

  at("menu").append(WORDS.menu);
  at("menu").addEventListener("click", () => app.go({ view: menuView }));
  root.addEventListener("click", (event) => {
    if (resting()) event.stopPropagation();
  }, true);
  root.addEventListener("keydown", (event) => {
    const typing = event.target.localName === "input";
    const enter = event.key === "Enter";
    if (enter && (event.ctrlKey || typing || event.repeat)) {
      event.preventDefault();
      if (!event.repeat && !resting()) press();
    } else if (event.key === "Escape" && trail.length && app.record) back();
    else if (event.key === "z" && event.ctrlKey && !typing && !trail.length && app.undoable().length) app.go({ view: undoView });
  });
  // What is typed by halves is kept with every stroke.
  for (const type of ["input", "kept", "click"]) root.addEventListener(type, () => {
    const typed = place();
    if (typed !== null) memory.keep(typed, app.ui);
  });
  store.watch((job) => {
    if (job !== id || !app.record) return;
    takenElsewhere();
    show();
  });
  memory.take();
  move();
};
