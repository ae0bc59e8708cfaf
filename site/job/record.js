// A record: events in a chain, and the state that follows from those that count.

import { canonical } from "./canonical.js";
import { sha256 } from "./sha256.js";
import { startJob, OCCASION } from "./walk.js";

export const FIRST = "0".repeat(64);
export const NO_EFFECT = ["correct", "withdraw", "revise"];
const CORRECTED = ["answer", "reading", "torque", "text"];
// What somebody does in a step, and all that can be taken back.
export const DONE = ["acknowledge", ...OCCASION, "done", "sign"];
export const WITHDRAWN = ["answer", "begin", ...DONE];

// The line of an event without its own digest, which is what that is of. No member further in can be the same: it would hold
// a digest of itself.
const bare = (line, digest) => line.replace(`"digest":"${digest}",`, "");

// An event with its place in the chain, and its line.
export const seal = (event, prev) => {
  const sealed = { ...event, prev };
  sealed.digest = sha256(canonical(sealed));
  return { event: sealed, line: canonical(sealed) };
};

// The event of a line, or null where the line does not follow the one before.
export const unseal = (line, seq, prev) => {
  try {
    const event = JSON.parse(line);
    if (typeof event !== "object" || event === null || Array.isArray(event)) return null;
    if (event.seq !== seq || event.prev !== prev || canonical(event) !== line) return null;
    if (sha256(bare(line, event.digest)) !== event.digest) return null;
    return event;
  } catch {
    return null;
  }
};

// Walks anew, by what counts now.
const anew = (record) => {
  record.job = startJob(record.list);
  for (const entry of record.entries) {
    if (!entry.counts || NO_EFFECT.includes(entry.event.type)) continue;
    const faults = record.job.take(entry.now, true);
    // Whether answers were missing when a step was begun is not for later events to say.
    if (faults) entry.faults = entry.event.type === "begin" ? entry.faults : faults;
    else Object.assign(entry, { counts: false, aside: "later" });
  }
};

// The entry that a correction or withdrawal names, if it may.
const named = ({ entries, job }, event) => {
  const entry = entries[event.event - 1];
  if (job.closed || !entry?.counts) return null;
  if (event.type === "withdraw") return WITHDRAWN.includes(entry.event.type) ? entry : null;
  const member = ["choice", "amount", "text"].find((name) => Object.hasOwn(event, name));
  if (!CORRECTED.includes(entry.event.type) || !Object.hasOwn(entry.now, member)) return null;
  return { entry, value: { [member]: event[member] } };
};

const correct = (record, event, entry) => {
  const { list, trusted } = record;
  const target = named(record, event);
  if (!target) return false;
  const { typed, ...now } = { ...target.entry.now, ...target.value };
  if (!list.fits(now, list.lines.get(now.line))) return false;
  Object.assign(target.entry, { now, at: entry });
  if (!trusted) anew(record);
  return true;
};

const withdraw = (record, event) => {
  const target = named(record, event);
  if (!target) return false;
  Object.assign(target, { counts: false, aside: "withdrawn" });
  if (!record.trusted) anew(record);
  return true;
};

const revise = (record, event) => {
  const { entries, list, job, trusted } = record;
  const counts = entries[0].event.type === "open" && !job.closed && event.checklist.id === list.procedure.id;
  if (counts && !trusted) anew(record);
  return counts;
};

const add = (record, event) => {
  const entry = { event, now: event, counts: true, faults: [], at: null };
  entry.at = entry;
  record.entries.push(entry);
  if (event.type === "correct") entry.counts = correct(record, event, entry);
  else if (event.type === "withdraw") entry.counts = withdraw(record, event);
  else if (event.type === "revise") entry.counts = revise(record, event);
  else if (!record.trusted) {
    const faults = record.job.take(event, false);
    entry.counts = faults !== null;
    entry.faults = faults || [];
  }
  if (!entry.counts && !entry.aside) entry.aside = "written";
  return entry;
};

// Replays events as they come. An entry is { event, now, counts, faults, at }: `now` is the event with its value corrected, at
// `at` stands the line to which a fault belongs, `aside` says why it does not count.
export const replay = (list) => {
  const record = {
    list,
    entries: [],
    job: startJob(list),
    trusted: false,
    add: (event) => add(record, event),
    // Events of an earlier revision are taken as they stand, and replayed under this checklist at the last `revise`.
    addEarlier(events) {
      record.trusted = true;
      for (const event of events) add(record, event);
      record.trusted = false;
    },
  };
  return record;
};

// Where the last `revise` of a record stands, or -1.
export const lastRevision = (events) => {
  const end = events.findIndex((event) => event.type === "close");
  return (end < 0 ? events : events.slice(0, end)).findLastIndex(
    (event) => event.type === "revise" && event.checklist.id === events[0].checklist?.id,
  );
};

// The event that names the checklist in force: that `revise`, or `open`.
export const inForce = (events) => events[Math.max(0, lastRevision(events))];

export const replayAll = (list, events) => {
  const record = replay(list);
  const from = events.indexOf(inForce(events));
  record.addEarlier(events.slice(0, from));
  for (const event of events.slice(from)) record.add(event);
  return record;
};
