// Carrying a job on under the revision of this page: what that means for what was done, told before it is written down.

import { h, heading, paragraph, strong, soft, sentence } from "./dom.js";
import WORDS from "./words.js";
import { replayAll, inForce } from "./record.js";
import { stepsAhead } from "./progress.js";
import { base } from "./conditions.js";
import { row, items, faultBox } from "./parts.js";
import { nameField, unsettled } from "./views.js";
import { textView } from "./side.js";

// What sets this page apart from the checklist in force, and what carrying on is called.
const words = ({ mark: here }, events) => {
  const [old, own] = [inForce(events).checklist.revision, here].map(
    (mark) => mark && sentence(WORDS.word.revision, { mark }),
  );
  return old && own && old !== own
    ? [WORDS.otherRevision, WORDS.carryOnUnder].map((text) => sentence(text, { old, own }))
    : [WORDS.otherPage, WORDS.carryOnHere];
};
export const otherRevision = (about, events) => words(about, events)[0];
export const carryOn = (about, events) => words(about, events)[1];

// What this page has settled in another way than the job: { one, had }. What the job has settled stands in its answers, and in
// what a page for one fitting added to its record.
const misfit = ({ effectivity = [], units }, events) => {
  const settled = new Map(inForce(events)["x-effectivity"]?.map((one) => [one.id, one]));
  for (const event of events) {
    const { type, input = events[event.event - 1]?.input } = event;
    if (input && type !== "withdraw") settled.set(input, event);
  }
  const worth = ({ amount, choice, value }) => {
    const number = amount && base(amount, units);
    return number ? `${number.n}/${number.d}` : (choice ?? value);
  };
  return effectivity
    .map((one) => ({ one, had: settled.get(one.id) }))
    .find(({ one, had }) => had && worth(one) !== worth(had));
};

// What the job would be under this checklist.
const tried = (list, events) => replayAll(list, [...events, { type: "revise", checklist: { id: list.procedure.id } }]);

// Why the job cannot be carried on here.
const misfitView = ({ wording }, title, about, { one, had }) => ({
  back: true,
  body: [
    heading(title),
    about,
    faultBox(
      WORDS.cannotGoOn,
      paragraph(
        sentence(WORDS.otherFitting, {
          title: one.title,
          own: one.words,
          had: had.words ?? wording.value(had),
        }),
      ),
      paragraph(WORDS.carryOnThere),
    ),
  ],
});

const numbered = (one, ...more) => [strong(one.number), ` ${one.title}`, more];

// What becomes of the steps that were begun: those that stay done (by id), those to be done anew, those that are no more, and
// whether any are lost.
const outcome = (list, { entries, job }) => {
  const kept = new Set(job.path.filter((one) => one.done).map((one) => one.step.id));
  const lost = new Map(
    entries
      .filter(({ aside, event }) => aside === "later" && event.type === "begin" && !kept.has(event.step))
      .map(({ event }) => [event.step, event.content]),
  );
  const gone = [...lost.keys()].filter((one) => !list.stepsById.has(one));
  const anew = stepsAhead({ list, job })
    .filter(({ step, repair }) => !repair && lost.has(step.id))
    .map(({ step: one }) => numbered(one, lost.get(one.id) !== one.content_digest && soft(` (${WORDS.changed})`)));
  return { kept, anew, gone, lost };
};

export const revisionView = (app, { job: id, events }) => {
  const { list } = app;
  const title = carryOn(app.about, events);
  const about = paragraph(strong(events[0].job), ". ", otherRevision(app.about, events));
  const wrong = misfit(list, events);
  if (wrong) return misfitView(app, title, about, wrong);

  const record = tried(list, events);
  const { begun, step = begun?.step, limit, stop } = record.job.now();
  const { kept, anew, gone, lost } = outcome(list, record);
  const asked = unsettled({ list, record });
  const name = nameField(app);
  return textView(app, {
    title,
    ready: [WORDS.revised],
    lead: [
      about,
      !asked.length && (limit || stop)
        ? faultBox(WORDS.check.stop, paragraph(limit?.stop ?? stop?.text ?? WORDS.stopLead))
        : h(
            "div.rows",
            row(WORDS.stays, sentence(WORDS.ofSteps, { n: kept.size, all: kept.size + anew.length + gone.length })),
            anew.length && row(WORDS.anew, items(anew)),
            gone.length && row(WORDS.gone, items(gone)),
            asked.length && row(WORDS.asksAgain, items(asked.map((input) => input.title))),
            step && row(WORDS.goesOn, numbered(step)),
          ),
      lost.size && paragraph(WORDS.lookFirst),
      h("div.ask", name.body),
    ],
    press: (reason) => name.check() && app.revise(id, name.check(), reason),
  });
};
