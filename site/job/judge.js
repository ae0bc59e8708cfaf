// Judges a record as the format asks, and writes the state down as the conformance vectors have it.

import { readChecklist } from "./checklist.js";
import { isChecklist } from "./shapes.js";
import { isEvent } from "./events.js";
import { canonical } from "./canonical.js";
import { moment } from "./shape.js";
import { FIRST, unseal, replayAll, lastRevision } from "./record.js";
import { person } from "./walk.js";

const NOTHING = {
  outcome: "open",
  notes: [],
  path: [],
  known: {},
  now: { waits: "nothing" },
  set_aside: [],
  head: null,
};

const written = (now) => {
  switch (now.waits) {
    case "close":
      return { waits: "close", at_stop: (now.limit || now.stop).id };
    case "answer":
      return { waits: "answer", inputs: now.inputs.map((input) => input.id) };
    case "lines":
      return {
        waits: "lines",
        step: now.begun.step.id,
        occasion: now.begun.occasion,
        lines: now.lines.map((line) => line.id),
      };
    case "begin":
      return { waits: "begin", step: now.step.id, occasion: now.occasion };
    case "sign":
      return { waits: "sign", handover: now.handover.id, roles: now.roles };
    case "decision":
      return { waits: "decision", at: now.at };
    default:
      return { waits: "nothing" };
  }
};

const order = (a, b) =>
  (a.line === null) - (b.line === null) ||
  a.line - b.line ||
  (a.verdict || a.note).localeCompare(b.verdict || b.note, "en");

const report = (state, findings) => {
  const seen = new Set();
  const once = findings.filter(
    ({ verdict, line }) => !seen.has(`${verdict} ${line}`) && seen.add(`${verdict} ${line}`),
  );
  const verdicts = [...new Set(once.map((finding) => finding.verdict))].sort();
  return {
    ...state,
    verdicts: verdicts.length ? verdicts : ["complete"],
    findings: once.sort(order),
    notes: state.notes.sort(order),
  };
};

// The lines of a record up to the first that is not as it was written.
const chain = (text) => {
  const lines = text.split("\n");
  const last = lines.pop();
  const events = [];
  let prev = FIRST;
  for (const line of lines) {
    const event = unseal(line, events.length + 1, prev);
    if (!event) return { events, altered: events.length + 1 };
    events.push(event);
    prev = event.digest;
  }
  return { events, altered: last === "" ? null : events.length + 1 };
};

const notesOf = (record, events) => {
  const notes = [];
  events.slice(1).forEach((event, i) => {
    if (moment(event.at) < moment(events[i].at)) notes.push({ note: "clock-backwards", line: event.seq });
  });
  for (const entry of record.entries)
    if (entry.counts && entry.event.type === "leave-out") notes.push({ note: "left-out", line: entry.event.seq });
    else if (entry.counts && entry.event.remedy) notes.push({ note: "remedied", line: entry.event.seq });
  const people = new Set();
  for (const { counts, event } of record.entries.filter(({ event }) => event.type === "sign")) {
    const plain = person(event.name);
    if (counts && people.has(plain)) notes.push({ note: "same-person", line: event.seq });
    else if (counts) people.add(plain);
  }
  for (const done of record.job.path)
    if (done.log?.some((what) => what.wentOn)) notes.push({ note: "went-on", line: done.event.seq });
  const revised = lastRevision(events);
  if (revised > 0) notes.push({ note: "earlier-revision", line: revised + 1 });
  return notes;
};

const faultsOf = (list, record, pictures) => {
  const findings = [];
  const say = (verdict, line) => findings.push({ verdict, line });
  const revised = lastRevision(record.entries.map((entry) => entry.event));
  record.entries.forEach((entry, i) => {
    const { event } = entry;
    if (entry.counts)
      for (const fault of entry.faults) say(fault, fault === "out-of-tolerance" ? entry.at.event.seq : event.seq);
    if (entry.aside === "written" && i >= revised)
      say(misvalued(list, record, event) ? "out-of-tolerance" : "out-of-order", event.seq);
    if (entry.counts && event.type === "photo" && pictures) {
      const picture = pictures[event.file];
      if (!picture) say("missing", event.seq);
      else if (picture.bytes !== event.bytes || picture.sha256 !== event.sha256) say("altered", event.seq);
    }
  });
  return findings;
};

// Whether an event was set aside for its value alone.
const misvalued = (list, record, event) => {
  const target = event.type === "correct" ? record.entries[event.event - 1]?.event : event;
  if (target?.type === "text" && Object.hasOwn(event, "text"))
    return !list.fits({ type: "text", text: event.text }, list.lines.get(target.line));
  if (!target || !["answer", "reading", "torque"].includes(target.type)) return false;
  const { choice, amount } = event;
  if (!["choice", "amount"].some((name) => Object.hasOwn(event, name) && Object.hasOwn(target, name))) return false;
  const known = target.type === "torque" || list.inputs.has(target.input);
  return known && !list.fits({ type: target.type, input: target.input, choice, amount });
};

// `pictures`: name to { bytes, sha256 }, where they are at hand.
export const judge = (checklistText, recordText, pictures = null) => {
  // What has no canonical form has no digest either: `canonical` throws, and it cannot be read.
  const list = readChecklist(checklistText, (checklist) => isChecklist(checklist) && canonical(checklist));
  if (!list) return report(NOTHING, [{ verdict: "unreadable", line: null }]);
  const { events, altered } = chain(recordText);
  const findings = altered ? [{ verdict: "altered", line: altered }] : [];
  let readable = events.findIndex((event, i) => !isEvent(event) || ((i === 0) !== (event.type === "open") && i === 0));
  if (readable < 0) readable = events.length;
  if (readable < events.length || (!events.length && !altered))
    findings.push({ verdict: "unreadable", line: readable + 1 });
  const judged = events.slice(0, readable);
  if (!judged.length) return report(NOTHING, findings);
  const revised = lastRevision(judged);
  const inForce = judged[Math.max(0, revised)].checklist;
  if (inForce.digest !== list.digest)
    return report(NOTHING, [...findings, { verdict: "other-revision", line: Math.max(0, revised) + 1 }]);
  const record = replayAll(list, judged);
  findings.push(...faultsOf(list, record, pictures));
  const { job } = record;
  if (!job.closed && !altered && readable === events.length) findings.push({ verdict: "missing", line: null });
  const known = [...job.known].map(([input, { choice, amount }]) => [
    input,
    choice === undefined ? { amount } : { choice },
  ]);
  return report(
    {
      outcome: job.closed?.outcome ?? "open",
      notes: notesOf(record, judged),
      path: job.path.map(({ step, occasion, done }) => ({ step: step.id, occasion, done })),
      known: Object.fromEntries(known),
      now: written(job.now()),
      set_aside: record.entries.filter((entry) => !entry.counts).map((entry) => entry.event.seq),
      head: judged[judged.length - 1].digest,
    },
    findings,
  );
};
