// Which view is in sight: the one that the job waits for, or the last of the side views that lead away from it. It is drawn anew
// where something has changed, and another one is moved to.

import { h, fill, button, heading, paragraph, sentence } from "./dom.js";
import WORDS from "./words.js";
import { progress } from "./progress.js";
import { undoable } from "./undo.js";
import { answersView, unsettled } from "./views.js";
import { layOutView } from "./layout.js";
import { stepView } from "./step.js";
import { handoverView, stopView, closedView, stuckView } from "./ends.js";
import { menuView, recordView, undoView } from "./side.js";
import { jobsView } from "./jobs.js";

const VIEWS = new Map(
  Object.entries({
    nothing: closedView,
    close: stopView,
    lines: stepView,
    begin: layOutView,
    sign: handoverView,
  }),
);

const current = (app) => {
  if (app.refused) return { body: [heading(WORDS.unreadable), paragraph(WORDS.unreadableWhy)] };
  const side = app.trail.at(-1);
  if (side) return side.view(app, side);
  if (!app.record) return jobsView(app);
  if (!app.job.closed && unsettled(app).length) return answersView(app);
  return (VIEWS.get(app.now.waits) ?? stuckView)(app);
};

// The place in the job that a value typed by halves belongs to.
export const placeOf = ({ record, trail, lines }) => (record ? (trail.length ? null : lines.length) : "start");

// The bar: what is done, on which vehicle, and how far it is.
const drawBar = (app, open) => {
  const { at, job, about } = app;
  const { done, all } = open ? progress(app) : { done: 0, all: 1 };
  fill(at("bar-title"), about.title);
  fill(
    at("bar-under"),
    open
      ? `${job.opened.job} · ${sentence(WORDS.stepOf, { n: done, all })}`
      : about.mark
        ? sentence(WORDS.word.revision, about)
        : about.id,
  );
  at("bar-track").style.width = `${Math.round((100 * done) / all)}%`;
};

export const show = (app, anew = false) => {
  const { frame, rest, warning } = app;
  const shown = current(app);
  const open = app.record?.entries.length;
  drawBar(app, open);
  const undo = undoable(app).length > 0;
  const before = shown.back
    ? button(WORDS.back, () => back(app))
    : open &&
      !app.job.closed &&
      button(WORDS.undo, () => undo && app.go({ view: undoView }), { id: "undo", "aria-disabled": !undo });
  frame.draw(shown, warning && h("p.fault-box.screen", { role: "alert" }, warning), before, rest.resting(), anew);
};

// In which step the job stands, as a text that is another one where other things are to be done; else nothing.
const stepNow = ({ record, trail }) => {
  const { waits, begun, lines } = record && !trail.length ? record.job.now() : {};
  return waits === "lines"
    ? `${begun.step.id} ${begun.occasion} ${lines.some((line) => line.does.kind === "message")}`
    : "";
};

// Gives the keyboard to the first field of a view, or to its large button, and says what has come.
const ready = ({ at, record, trail }, same) => {
  const view = at("view");
  const title = view.querySelector("h1");
  const ask =
    view.querySelector(".confirm .main") ||
    view.querySelector("#entry") ||
    view.querySelector(".ask button, #helpers, #reason");
  const working = record && !trail.some((one) => one.view === menuView || one.view === recordView);
  ((working && (ask || at("main"))) || title).focus({ preventScroll: true });
  if (same && ask) ask.closest(".ask, .confirm").scrollIntoView({ block: "nearest" });
  else scrollTo(0, 0);
  fill(at("say"), `${title.textContent}. ${view.querySelector(".panel:not(.seen) .nature")?.textContent ?? ""}`);
};

// Another view: from its top, with its first field or its large button ready for the keyboard, and deaf for a moment. Within
// one step the page stays where the next thing is asked.
export const move = (app, to = []) => {
  app.trail = to;
  app.ui = {};
  app.awake();
  const typed = placeOf(app);
  if (typed !== null) app.ui = app.memory.typed(typed);
  const step = stepNow(app);
  const same = step !== "" && step === app.stepBefore;
  app.stepBefore = step;
  show(app, !same);
  app.rest.start(true);
  ready(app, same);
};

export const back = (app) => move(app, app.trail.slice(0, -1));
