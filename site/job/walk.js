// A job on its walk through the flow. It takes events one after the other and says of each whether it fits; what it waits for
// follows from those that did. Nothing here looks back: corrections are made by walking anew (record.js).

import { evaluate, untrue, base } from "./conditions.js";
import { askedLine } from "./checklist.js";
import { flow } from "./flow.js";

export const OCCASION = ["reading", "torque", "text", "photo", "leave-out"];

export const rolesOf = (handover) => [
  ...new Set(handover.lines.flatMap((line) => (line.kind === "sign" ? line.who : []))),
];

// Whether a given is asked for, by the options. One that waits for an option is asked for when that is answered.
export const isAsked = ({ when }, known, { units }) => !when || evaluate(when, known, units) === true;

const unanswered = ({ list, known }) =>
  list.asked.filter((input) => !known.has(input.id) && isAsked(input, known, list));

const pending = ({ begun }) => begun.step.lines.filter((line) => askedLine(line, begun.given).length > 0);
const unread = (job) => pending(job).some((line) => line.does.kind === "message");

const decideLimits = (job) => {
  const { list, known, settled } = job;
  for (const limit of job.broken ? [] : list.limits.values()) {
    if (settled.has(limit)) continue;
    const applies = limit.when ? evaluate(limit.when, known, list.units) : true;
    const holds = applies ? evaluate(limit.holds, known, list.units) : null;
    if (applies === false || holds === true) settled.add(limit);
    else if (holds === false) {
      job.broken = limit;
      return;
    }
  }
};

// Whether an answer makes a rule untrue that was not so before.
const contradicts = (job) => {
  const { list, known, rulesBroken: before } = job;
  job.rulesBroken = list.rules.filter((rule) => untrue(rule, known, list.units));
  return job.rulesBroken.some((rule) => !before.includes(rule));
};

const learn = (job, event) => {
  const { list, known } = job;
  known.set(
    event.input,
    event.choice === undefined
      ? { amount: event.amount, base: base(event.amount, list.units) }
      : { choice: event.choice },
  );
  const rulesHold = !contradicts(job);
  return list.accepts(event) && rulesHold ? [] : ["out-of-tolerance"];
};

const give = (job, event) => {
  const { list, begun, broken } = job;
  const line = begun?.step.lines.find((one) => one.id === event.line);
  if (!line || broken) return null;
  const key = askedLine(line, begun.given).find(
    (ask) =>
      ask.type.includes(event.type) &&
      (!ask.input || ask.input === event.input) &&
      (!ask.fastening || ask.fastening === event.fastening),
  )?.key;
  if (!key || (event.type !== "acknowledge" && !list.fits(event, line))) return null;
  const early = OCCASION.includes(event.type) && unread(job) ? ["out-of-order"] : [];
  // What was remedied is kept, and the fastening goes on asking for its torque.
  if (event.remedy) {
    begun.given.set(`${key} ${begun.given.size}`, event);
    return early;
  }
  begun.given.set(key, event);
  if (event.type === "reading") return [...early, ...learn(job, event)];
  return ["torque", "text"].includes(event.type) && !list.accepts(event, line) ? [...early, "out-of-tolerance"] : early;
};

const begin = (job, event) => {
  const { at, counts } = job;
  if (at.waits !== "begin" || job.begun || job.broken || at.step.id !== event.step) return null;
  const occasion = (counts.get(event.step) || 0) + 1;
  if (event.occasion !== occasion || event.content !== at.step.content_digest) return null;
  counts.set(event.step, occasion);
  job.begun = { step: at.step, check: at.check, repairs: at.repairs, occasion, given: new Map(), done: false };
  job.path.push(job.begun);
  return unanswered(job).length ? ["missing"] : [];
};

// The steps that a person did or helped in, of those of which whoever does a check has done none.
export const didOf = ({ path }, { another_person: other }, name) =>
  (other?.not_of ?? []).filter((id) =>
    path.some((one) => one.step.id === id && one.event && [one.event.by, ...(one.event.with ?? [])].some(same(name))),
  );

// How many people a step needs, whoever writes the record included.
export const peopleFor = ({ takes, team }) => (takes ?? team)?.people ?? 1;

const done = (job, event, anew) => {
  const { begun, known } = job;
  if (!begun || job.broken || begun.step.id !== event.step) return null;
  const left = pending(job).length > 0;
  if (left && anew) return null;
  const people = 1 + (event.with?.length ?? 0);
  const few = people < peopleFor(begun.step);
  const faults = left || few || didOf(job, begun.step, event.by).length ? ["missing"] : [];
  for (const { does } of begun.step.lines) if (does.kind === "set") known.set(does.result, { choice: does.value });
  begun.done = true;
  begun.event = event;
  begun.log = job.log = [];
  job.begun = null;
  decideLimits(job);
  if (!job.broken) job.walkOn();
  return faults;
};

const sign = ({ at, broken, signed }, event) => {
  if (at.waits !== "sign" || broken || at.handover.id !== event.handover) return null;
  if (!rolesOf(at.handover).includes(event.role) || signed.has(event.role)) return null;
  signed.set(event.role, event);
  return [];
};

const close = (job, event) => {
  const { at, broken, signed } = job;
  const { outcome } = event;
  if (outcome === "stopped" && !(event.at_stop === (broken || (at.waits === "close" && at.stop))?.id)) return null;
  if (outcome === "handed-over" && (broken || at.waits !== "sign")) return null;
  job.closed = event;
  const unsigned = outcome === "handed-over" && rolesOf(at.handover).some((role) => !signed.has(role));
  return unsigned || outcome === "broken-off" ? ["missing"] : [];
};

const answer = (job, event) => {
  const { list, known } = job;
  if (known.has(event.input) || !list.asked.some((input) => input.id === event.input) || !list.fits(event)) return null;
  const faults = learn(job, event);
  decideLimits(job);
  if (job.at.waits === "decision") job.walkOn();
  return faults;
};

const open = (job, event) => {
  if (job.opened) return null;
  job.opened = event;
  job.walkOn();
  decideLimits(job);
  return [];
};

const TAKES = new Map(Object.entries({ answer, begin, done, sign, close, note: () => [] }));
const take = (job, event, anew) => {
  if (event.type === "open") return open(job, event);
  return job.opened && !job.closed ? (TAKES.get(event.type) ?? give)(job, event, anew) : null;
};

// What the job waits for, as a view needs it: things, not ids.
const waitsFor = (job) => {
  const { at, begun, broken, signed } = job;
  if (job.closed || !job.opened) return { waits: "nothing" };
  if (broken) return { waits: "close", limit: broken };
  if (at.waits === "close") return at;
  const inputs = unanswered(job);
  if (inputs.length) return { waits: "answer", inputs };
  if (begun) return { waits: "lines", begun, lines: pending(job) };
  if (at.waits === "begin") return { ...at, occasion: (job.counts.get(at.step.id) || 0) + 1 };
  return at.waits === "sign" ? { ...at, roles: rolesOf(at.handover).filter((role) => !signed.has(role)) } : at;
};

// A job from its beginning. `take(event, anew)` gives null where the event does not fit, else the faults that a judge would
// find in it: "out-of-order", "out-of-tolerance", "missing". With `anew` a `done` fits only where nothing is left out.
export const startJob = (list) => {
  const known = new Map();
  const opening = [];
  const walk = flow(list, known, (what) => job.log.push(what));
  const job = {
    list,
    known,
    path: [],
    signed: new Map(),
    opened: null,
    closed: null,
    // What followed from the answers at the start, and from the last step that was done.
    opening,
    log: opening,
    // Limits that were decided and the one that does not hold, how often each step was begun, and the rules that are untrue.
    settled: new Set(),
    broken: null,
    counts: new Map(),
    rulesBroken: [],
    // The step that is begun, and where the walk stands.
    begun: null,
    at: null,
    walkOn() {
      job.at = walk.next().value;
    },
    take: (event, anew) => take(job, event, anew),
    now: () => waitsFor(job),
  };
  return job;
};

// A name as it is compared with others: case and white space make no other person.
export const person = (name) => name.toLowerCase().replace(/\p{White_Space}/gu, "");
const same = (name) => (other) => person(other) === person(name);
