// What a view may ask of the page.

import { paragraph } from "./dom.js";
import WORDS from "./words.js";
import { prefer, workAs } from "./state.js";
import { put, putBegin, startAnew, carryOver } from "./keeping.js";
import { addPhoto, openFile, saveRecord } from "./files.js";
import { unsettled } from "./views.js";
import { textView } from "./side.js";
import { changeView } from "./change.js";
import { firstView } from "./jobs.js";
import { move, show } from "./trail.js";

// A step is begun by coming to it, but the first one, before which everything is laid out.
const goOn = (app) => {
  if (app.record && app.now.waits === "begin" && app.job.path.length && !unsettled(app).length) putBegin(app);
  move(app);
};

export const actsOf = (app) => ({
  redraw: () => show(app),
  move: () => move(app),
  goOn: () => goOn(app),
  go: (to) => move(app, [...app.trail, to]),

  // Writes events down, each kept before it is shown, and begins the step that follows.
  act(...parts) {
    if (!parts.every((part) => put(app, part))) return show(app);
    goOn(app);
  },
  begin() {
    putBegin(app);
    move(app);
  },
  open(name, job, answers) {
    startAnew(app, name, job, answers);
    move(app);
  },
  revise(job, name, reason) {
    carryOver(app, job, name, reason);
    goOn(app);
  },
  prefer(change) {
    prefer(app, change);
    show(app);
    for (const [name, value] of Object.entries(change))
      app
        .at("view")
        .querySelector(`#${CSS.escape(name)} [data-choice="${value}"]`)
        ?.focus();
  },
  worker(name) {
    workAs(app, name);
    move(app);
  },
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
    app.memory.take();
    move(app, [{ view: firstView }]);
  },
  photo: (line, picked, finish) => addPhoto(app, line, picked, finish),
  saveRecord: () => saveRecord(app),
  openFile: (buffer) => openFile(app, buffer),
});
