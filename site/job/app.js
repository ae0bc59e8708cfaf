// The page: it keeps the events, shows the view that the job waits for, and does what is pressed.

import { h, fill, button, heading, paragraph, strong, soft, sentence } from "./dom.js";
import WORDS from "./words.js";
import { readChecklist } from "./checklist.js";
import { FIRST, seal, replay, replayAll, inForce } from "./record.js";
import { openStore, askToKeep, readPreferences, writePreferences } from "./store.js";
import { openPhotos, shrunk, gathered, MOST_BYTES } from "./photos.js";
import { packed } from "./zip.js";
import { download, file } from "./download.js";
import { stayAwake } from "./wake.js";
import { eventsOf, readRecord, takePhotos, joined, openField, openedView } from "./open.js";
import { formatter, rightNow } from "./format.js";
import { progress } from "./progress.js";
import { hex, sha256OfFile } from "./sha256.js";
import { openFrame } from "./frame.js";
import { openMemory } from "./memory.js";
import { stepView } from "./step.js";
import { undoable } from "./undo.js";
import { startView, answersView, unsettled, layOutView, stopView, handoverView, stuckView } from "./views.js";
import { menuView, undoView, changeView, textView, recordView } from "./side.js";
import { revisionView, otherRevision, carryOn } from "./revision.js";

// So long, in milliseconds, nothing that is pressed counts after the view has changed: a glove presses twice.
const REST = 350;

export const runPage = (root) => {
  const at = (id) => root.getElementById(id);
  const view = at("view");
  const list = readChecklist(at("checklist").textContent);
  if (!list) return fill(view, heading(WORDS.unreadable), paragraph(WORDS.unreadableWhy));
  const { procedure, inputs, effectivity } = list;
  const store = openStore(procedure.id);
  const memory = openMemory(procedure.id);
  const frame = openFrame(
    root,
    () => show(),
    () => rest(false),
  );
  const photos = openPhotos();
  // Lines of jobs that were opened from a file, for browsers that keep nothing.
  const taken = new Map();
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
  let buttonRested = 0;
  let shownBefore = "";
  let main = null;

  // What an event says of this checklist. A tailored one is told by its digest alone; for which fitting it is, we add.
  const own = {
    checklist: {
      id: procedure.id,
      ...(procedure.revision && { revision: procedure.revision.mark }),
      digest: list.digest,
    },
    ...(effectivity && { "x-effectivity": effectivity }),
  };

  const app = {
    list,
    preferences,
    memory,
    frame,
    ui: {},
    record: null,
    wording: formatter(list, preferences),
    by: () => by,
    redraw: () => show(),
    get job() {
      return app.record?.job;
    },
    get now() {
      return app.job.now();
    },
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
      askToKeep();
      app.record = replay(list);
      by = name;
      keepPreference({ name });
      [{ type: "open", format: { name: "fitwright-record", version: "1.1.0" }, job, ...own }, ...answers].every(put);
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
      for (const [name, value] of Object.entries(change))
        view.querySelector(`#${name} [data-choice="${value}"]`)?.focus();
    },
    worker(name) {
      by = name;
      keepPreference({ name });
      move();
    },
    go: (to) => move([...trail, to]),
    change: (seq) => app.go({ view: changeView, seq }),
    reason: (about) => app.go({ view: textView, ...about }),
    breakOff: () =>
      app.reason({
        title: WORDS.breakOff,
        lead: paragraph(WORDS.breakOffWhy),
        press: (reason) => app.act({ type: "close", outcome: "broken-off", reason }),
      }),
    leave() {
      app.record = null;
      memory.take();
      move([{ view: firstView }]);
    },

    undoable: () => undoable(app),

    // Writes a picture down by its digest, with `finish`; gives what is wrong with it.
    async photo(line, picked, finish = app.act) {
      if (!/^image\/[a-z0-9.+-]+$/.test(picked.type)) return WORDS.noPicture;
      const picture = await shrunk(picked);
      if (picture.size > MOST_BYTES) return WORDS.largePicture;
      const bytes = await picture.arrayBuffer();
      const sha256 = await sha256OfFile(bytes);
      if (!(await photos.keep(sha256, bytes))) warning ||= WORDS.photoHere;
      const ending = picture.type.slice(6).replace("jpeg", "jpg").replace(/\W.*/, "").slice(0, 5);
      finish({
        type: "photo",
        line,
        file: `${sha256}.${ending}`,
        media_type: picture.type,
        bytes: bytes.byteLength,
        sha256,
      });
      return "";
    },
    fileName: () =>
      fileName(
        app.job.opened.job,
        app.record.entries.some(({ event }) => event.type === "photo"),
      ),
    // One file: the lines alone, or an archive of them and the pictures.
    async saveRecord() {
      const events = eventsSoFar();
      const { all, lost } = await gathered(photos, events);
      const saved = file(lines);
      download(
        fileName(events[0].job, all.size),
        all.size ? packed(new Uint8Array(await saved.arrayBuffer()), all) : saved,
      );
      if (lost) warning = sentence(WORDS.photosLost, { n: lost });
      app.ui.saved = true;
      show();
    },
    // Takes a record from a file; gives what is wrong with it.
    async openFile(buffer) {
      const found = readRecord(buffer, list);
      if (found.fault) return found.fault;
      const { fault, job, lines: whole, later } = joined(store.jobs(), found);
      if (fault) return fault;
      const events = eventsOf(whole);
      const closed = events.at(-1).type === "close";
      if (closed && !isOurs(events)) return WORDS.closedOther;
      if (events.length < whole.length) return WORDS.brokenChain;
      // Whatever such a record asks of this page shows here, before it is taken over.
      replayAll(list, events);
      const wrong = await takePhotos(photos, found);
      if (wrong) warning = sentence(WORDS.photosWrong, { n: wrong });
      taken.set(job, whole);
      if (closed) {
        resume(job);
        move();
      } else if (isOurs(events))
        app.go({
          view: openedView,
          about: events[0],
          later,
          press(name) {
            takeUp(job);
            by = name;
            keepPreference({ name });
            app.act({ type: "note", text: WORDS.carriedOn });
          },
        });
      else {
        takeUp(job);
        app.record = null;
        app.go({ view: revisionView, job, events });
      }
      return "";
    },
    stopText: (stop) => list.nodes.flatMap((node) => [node, node.otherwise]).find((node) => node?.id === stop)?.text,
  };

  const deaf = () => performance.now() < rested;
  const resting = () => performance.now() < Math.max(rested, buttonRested);

  const keepPreference = (change) => {
    Object.assign(preferences, change);
    writePreferences(preferences);
  };

  const put = (part) => {
    const { event, line } = seal(
      { seq: lines.length + 1, at: rightNow(), by, ...part },
      app.record.entries.at(-1)?.event.digest ?? FIRST,
    );
    mend();
    taken.delete(id);
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

  // What the browser has lost of this job is written anew.
  const mend = () => {
    const found = store.mend(id, lines);
    if (found === "mended") warning = WORDS.mended;
    else if (found === "full") warning = WORDS.full;
    return found === "mended" || found === "full";
  };

  // Takes over a job that came in a file.
  const takeUp = (job) => {
    resume(job);
    askToKeep();
    if (store.mend(id, lines) === "full") warning = WORDS.full;
  };

  // Takes up a job that was kept.
  const resume = (job) => {
    const kept = taken.get(job) ?? store.jobs().get(job) ?? [];
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
    taken.delete(id);
    resume(id);
    if (!isOurs(eventsSoFar())) app.record = null;
  };

  const isOurs = (events) => inForce(events).checklist.digest === list.digest;

  // The record is saved first; the large button leads on to the next job when it is.
  const closedView = () => {
    const {
      body: [, report],
      more: [save, print],
    } = recordView(app);
    const next = { says: WORDS.newJob, press: app.leave };
    return {
      body: [
        heading(`${WORDS.report.title}: ${WORDS.outcomes[app.job.closed.outcome]}`),
        h("p.screen", WORDS.closedLead),
        report,
      ],
      ...(app.ui.saved
        ? { more: [save, print], main: next }
        : { more: [print, button(next.says, next.press)], main: { says: WORDS.saveRecord, press: app.saveRecord } }),
    };
  };

  const fileName = (job, archive) =>
    `${procedure.id}-${job.replace(/[^A-Za-z0-9]+/g, "-").slice(0, 40)}.${archive ? "zip" : "jsonl"}`;

  // Saves a job that this page cannot carry on.
  const saveKept = async (job, events, kept) => {
    const { all } = await gathered(photos, events);
    const saved = file(kept);
    download(fileName(job, all.size), all.size ? packed(new Uint8Array(await saved.arrayBuffer()), all) : saved);
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
      askToKeep();
      goOn();
    };
    const forget = () =>
      app.go({
        view: () => ({
          body: [heading(WORDS.forget), paragraph(WORDS.forgetSure)],
          back: true,
          main: {
            says: WORDS.forget,
            press() {
              store.forget(job);
              memory.forget(job);
              photos.drop(events.filter(({ type }) => type === "photo").map(({ sha256 }) => sha256));
              move();
            },
          },
        }),
      });
    const body = h(
      "div.ask",
      events[0] &&
        paragraph(
          strong(events[0].job),
          " ",
          soft(sentence(WORDS.since, { when: app.wording.when(events[0].at), by: events[0].by })),
        ),
      fault && h("p.fault", fault),
      other && paragraph(otherRevision(list, events)),
      h(
        "div.pair",
        whole && ours && button(closed ? WORDS.showRecord : WORDS.carryOn, show, { class: !closed && "main" }),
        other && button(carryOn(list, events), () => app.go({ view: revisionView, job, events }), { class: "main" }),
        !(whole && ours) && button(WORDS.saveRecord, () => saveKept(job, events, kept)),
        !(ours && !closed && whole) && button(WORDS.forget, forget),
      ),
    );
    return { closed, body };
  };

  const keptView = (jobs) => {
    const group = (title, some) => some.length && [h("h2", title), some.map((one) => one.body)];
    return {
      body: [
        heading(procedure.title),
        group(
          WORDS.openJobs,
          jobs.filter((one) => !one.closed),
        ),
        group(
          WORDS.keptJobs,
          jobs.filter((one) => one.closed),
        ),
      ],
      main: { says: WORDS.startOther, press: app.leave },
    };
  };

  // A record can be opened wherever no job is.
  const withOpening = (view) => ({
    ...view,
    ...(view.side ? { side: [view.side, openField(app)] } : { body: [view.body, openField(app)] }),
  });
  const firstView = () => withOpening(startView(app));

  const current = () => {
    const side = trail.at(-1);
    if (side) return side.view(app, side);
    if (!app.record) {
      const jobs = [...store.jobs()].map(keptJob);
      return withOpening(jobs.length ? keptView(jobs) : startView(app));
    }
    if (!app.job.closed && unsettled(app).length) return answersView(app);
    return (
      { nothing: closedView, close: stopView, lines: stepView, begin: layOutView, sign: handoverView }[app.now.waits] ??
      stuckView
    )(app);
  };

  // The whole page is deaf for a moment, or the large button alone: a key that is pressed must not be lost.
  const rest = (whole) => {
    buttonRested = performance.now() + REST;
    if (whole) rested = buttonRested;
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
    fill(
      at("bar-under"),
      open
        ? `${app.job.opened.job} · ${sentence(WORDS.stepOf, { n: done, all })}`
        : procedure.revision
          ? sentence(WORDS.word.revision, procedure.revision)
          : procedure.id,
    );
    at("bar-track").style.width = `${Math.round((100 * done) / all)}%`;
    const undo = app.undoable().length > 0;
    const before = shown.back
      ? button(WORDS.back, back)
      : open &&
        !app.job.closed &&
        button(WORDS.undo, () => undo && app.go({ view: undoView }), { id: "undo", "aria-disabled": !undo });
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
    awake();
    const typed = place();
    if (typed !== null) app.ui = memory.typed(typed);
    const step =
      app.record && !trail.length && app.now.waits === "lines"
        ? `${app.now.begun.step.id} ${app.now.begun.occasion} ${app.now.lines.some((line) => line.does.kind === "message")}`
        : "";
    const same = step !== "" && step === shownBefore;
    shownBefore = step;
    show(!same);
    rest(true);
    const title = view.querySelector("h1");
    const ask =
      view.querySelector(".confirm .main") ||
      view.querySelector("#entry") ||
      view.querySelector(".ask button, #helpers, #reason");
    const working = app.record && !to.some((one) => one.view === menuView || one.view === recordView);
    ((working && (ask || at("main"))) || title).focus({ preventScroll: true });
    if (same && ask) ask.closest(".ask, .confirm").scrollIntoView({ block: "nearest" });
    else scrollTo(0, 0);
    fill(at("say"), `${title.textContent}. ${view.querySelector(".panel:not(.seen) .nature")?.textContent ?? ""}`);
  };
  const back = () => move(trail.slice(0, -1));
  const awake = stayAwake(() => app.record && !app.job.closed);

  at("menu").append(WORDS.menu);
  at("menu").addEventListener("click", () => app.go({ view: menuView }));
  root.addEventListener(
    "click",
    (event) => {
      if (event.target.closest("#main") ? resting() : deaf()) event.stopPropagation();
    },
    true,
  );
  root.addEventListener("keydown", (event) => {
    const typing = event.target.localName === "input";
    const enter = event.key === "Enter";
    if (enter && (event.ctrlKey || typing || event.repeat)) {
      event.preventDefault();
      if (!event.repeat && !resting()) press();
    } else if (event.key === "Escape" && trail.length && app.record) back();
    else if (event.key === "z" && event.ctrlKey && !typing && !trail.length && app.undoable().length)
      app.go({ view: undoView });
  });
  // What is typed by halves is kept with every stroke.
  for (const type of ["input", "kept", "click"])
    root.addEventListener(type, () => {
      const typed = place();
      if (typed !== null) memory.keep(typed, app.ui);
    });
  store.watch(
    (job) => {
      if (job !== id || !app.record) return;
      takenElsewhere();
      show();
    },
    () => {
      if (app.record && lines.length && !app.job.closed && mend()) show();
    },
  );
  document.addEventListener("visibilitychange", () => {
    if (app.record && !app.job.closed && mend()) show();
  });
  memory.take();
  move();
};
