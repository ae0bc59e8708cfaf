// The views where no job is in hand: the jobs that this device keeps, or the start of one, and a record to be opened.

import { h, button, heading, paragraph } from "./dom.js";
import WORDS from "./words.js";
import { askToKeep } from "./store.js";
import { openField, whose } from "./open.js";
import { startView } from "./views.js";
import { revisionView, otherRevision, carryOn } from "./revision.js";
import { isOurs, resume } from "./keeping.js";
import { saveLines } from "./files.js";

// Asks before a job is deleted from this device.
const forgetView = (app, { job, events }) => ({
  body: [heading(WORDS.forget), paragraph(WORDS.forgetSure)],
  back: true,
  main: {
    says: WORDS.forget,
    press() {
      app.store.forget(job);
      app.memory.forget(job);
      app.photos.drop(events.filter(({ type }) => type === "photo").map(({ sha256 }) => sha256));
      app.move();
    },
  },
});

const keptJob = (app, job, lines) => {
  const { chains, store } = app;
  const { events, whole } = chains.telling(job, lines);
  const closed = events.at(-1)?.type === "close";
  const ours = events.length > 0 && isOurs(app, events);
  const fault = !whole && WORDS.brokenChain;
  const other = whole && !ours && !closed;
  // With all of its events; where those tell something else than the view does, that is shown first.
  const read = (go) => () => {
    const kept = store.lines(job);
    const all = chains.eventsOf(job, kept);
    if ((all.length === kept.length) === whole && (!whole || isOurs(app, all) === ours)) go(all, kept);
    else app.move();
  };
  const show = read(() => {
    resume(app, job);
    askToKeep();
    app.goOn();
  });
  const body = h(
    "div.ask",
    events[0] && whose(events[0]),
    fault && h("p.fault", fault),
    other && paragraph(otherRevision(app.about, events)),
    h(
      "div.pair",
      whole && ours && button(closed ? WORDS.showRecord : WORDS.carryOn, show, { class: !closed && "main" }),
      other &&
        button(
          carryOn(app.about, events),
          read((all) => app.go({ view: revisionView, job, events: all })),
          { class: "main" },
        ),
      // A job that this page cannot carry on is saved for another.
      !(whole && ours) &&
        button(
          WORDS.saveRecord,
          read((all, kept) => saveLines(app, job, kept, all)),
        ),
      !(ours && !closed && whole) &&
        button(
          WORDS.forget,
          read((all) => app.go({ view: forgetView, job, events: all })),
        ),
    ),
  );
  return { closed, body };
};

const keptView = (app, jobs) => {
  const group = (title, some) => some.length && [h("h2", title), some.map((one) => one.body)];
  return {
    body: [
      heading(app.about.title),
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
const withOpening = (app, view) => ({
  ...view,
  ...(view.side ? { side: [view.side, openField(app)] } : { body: [view.body, openField(app)] }),
});

export const firstView = (app) => withOpening(app, startView(app));

// Where the page begins: with the jobs that are kept, if there are any.
export const jobsView = (app) => {
  const jobs = [...app.store.jobs()].map(([job, lines]) => keptJob(app, job, lines));
  return jobs.length ? withOpening(app, keptView(app, jobs)) : firstView(app);
};
