// The job in hand, kept by the browser event by event, each before it is shown: how it is begun, taken up again, and carried on.

import WORDS from "./words.js";
import { FIRST, seal, replay, replayAll, inForce } from "./record.js";
import { askToKeep } from "./store.js";
import { rightNow } from "./format.js";
import { hex } from "./sha256.js";
import { workAs } from "./state.js";

export const eventsSoFar = ({ record }) => record.entries.map((entry) => entry.event);

// Whether a record goes on under the checklist of this page.
export const isOurs = ({ about }, events) => inForce(events).checklist?.digest === about.digest;

// What an event says of this checklist. A tailored one is told by its digest alone; for which fitting it is, we add.
const own = ({ list: { procedure, digest, effectivity } }) => ({
  checklist: {
    id: procedure.id,
    ...(procedure.revision && { revision: procedure.revision.mark }),
    digest,
  },
  ...(effectivity && { "x-effectivity": effectivity }),
});

// What the browser has lost of this job is written anew; tells whether it was something.
export const mend = (app) => {
  const found = app.store.mend(app.id, app.lines);
  if (found) app.warning = found === "full" ? WORDS.full : WORDS.mended;
  return found;
};

const checkedByAnother = (list, { type, step }) => type === "done" && list.stepsById.get(step)?.another_person;

// Takes up a job that was kept.
export const resume = (app, job) => {
  const kept = app.taken.get(job) ?? app.store.lines(job);
  const events = app.chains.eventsOf(job, kept);
  app.id = job;
  app.memory.take(job);
  app.lines = kept.slice(0, events.length);
  app.record = replayAll(app.list, events);
  // Whoever only checked what others did does not go on with the job.
  app.by = (events.findLast((event) => !checkedByAnother(app.list, event)) ?? events.at(-1)).by;
};

// Takes over a job that came in a file.
export const takeUp = (app, job) => {
  resume(app, job);
  askToKeep();
  if (app.store.mend(app.id, app.lines) === "full") app.warning = WORDS.full;
};

// Another window wrote to this job. It may have carried it on under another checklist: then it is not for this page any more.
export const takenElsewhere = (app) => {
  app.warning = WORDS.taken;
  app.taken.delete(app.id);
  resume(app, app.id);
  if (!isOurs(app, eventsSoFar(app))) app.record = null;
};

// Writes an event down; tells whether it counts.
export const put = (app, part) => {
  const { event, line } = seal(
    { seq: app.lines.length + 1, at: rightNow(), by: app.by, ...part },
    app.record.entries.at(-1)?.event.digest ?? FIRST,
  );
  mend(app);
  app.taken.delete(app.id);
  const kept = app.store.append(app.id, event.seq, line);
  if (kept === "taken") {
    takenElsewhere(app);
    return false;
  }
  if (kept === "full") app.warning = WORDS.full;
  app.lines.push(line);
  return app.record.add(event).counts;
};

// The step that the job waits for is begun.
export const putBegin = (app) => {
  const { step, occasion } = app.now;
  put(app, { type: "begin", step: step.id, occasion, content: step.content_digest });
};

// Begins a job, with the answers that it starts from.
export const startAnew = (app, name, job, answers) => {
  app.id = hex(crypto.getRandomValues(new Uint8Array(8)));
  app.memory.take(app.id);
  app.lines = [];
  askToKeep();
  app.record = replay(app.list);
  workAs(app, name);
  [{ type: "open", format: { name: "fitwright-record", version: "1.1.0" }, job, ...own(app) }, ...answers].every(
    (part) => put(app, part),
  );
};

// Carries on a job that was begun under another checklist of the procedure.
export const carryOver = (app, job, name, reason) => {
  resume(app, job);
  workAs(app, name);
  if (put(app, { type: "revise", reason, ...own(app) })) app.record = replayAll(app.list, eventsSoFar(app));
};
