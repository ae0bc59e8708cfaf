// The views where no job is in hand: the jobs that this device keeps, or the start of one, and a record to be opened.

import { h, button, heading, paragraph, strong, soft, sentence } from "./dom.js";
import WORDS from "./words.js";
import { eventsOf } from "./record.js";
import { askToKeep } from "./store.js";
import { openField } from "./open.js";
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

const keptJob = (app, job, kept) => {
  const { list, wording } = app;
  const events = eventsOf(kept);
  const whole = events.length === kept.length;
  const closed = events.at(-1)?.type === "close";
  const ours = events.length && isOurs(app, events);
  const fault = !whole && WORDS.brokenChain;
  const other = whole && !ours && !closed;
  const show = () => {
    resume(app, job);
    askToKeep();
    app.goOn();
  };
  const body = h(
    "div.ask",
    events[0] &&
      paragraph(
        strong(events[0].job),
        " ",
        soft(sentence(WORDS.since, { when: wording.when(events[0].at), by: events[0].by })),
      ),
    fault && h("p.fault", fault),
    other && paragraph(otherRevision(list, events)),
    h(
      "div.pair",
      whole && ours && button(closed ? WORDS.showRecord : WORDS.carryOn, show, { class: !closed && "main" }),
      other && button(carryOn(list, events), () => app.go({ view: revisionView, job, events }), { class: "main" }),
      // A job that this page cannot carry on is saved for another.
      !(whole && ours) && button(WORDS.saveRecord, () => saveLines(app, job, kept, events)),
      !(ours && !closed && whole) && button(WORDS.forget, () => app.go({ view: forgetView, job, events })),
    ),
  );
  return { closed, body };
};

const keptView = (app, jobs) => {
  const group = (title, some) => some.length && [h("h2", title), some.map((one) => one.body)];
  return {
    body: [
      heading(app.list.procedure.title),
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
  const jobs = [...app.store.jobs()].map(([job, kept]) => keptJob(app, job, kept));
  return jobs.length ? withOpening(app, keptView(app, jobs)) : firstView(app);
};
