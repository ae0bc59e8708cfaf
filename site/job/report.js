// The record in words: on the screen, and on paper.

import { h, sentence } from "./dom.js";
import * as WORDS from "./words.js";
import { titleOf } from "./step.js";
import { grouped } from "./format.js";

const table = (caption, heads, rows) => rows.length > 0 && h("div", { class: "wide", tabindex: "0", role: "region", "aria-label": caption }, h("table", {}, h("caption", {}, caption),
  h("thead", {}, h("tr", {}, heads.map((head) => h("th", { scope: "col" }, head)))), h("tbody", {}, rows.map((cells) => h("tr", {}, cells.map((cell) => h("td", { dir: "auto" }, cell)))))));

// One event in a few words.
export const eventWords = (app, event) => {
  const { format, list } = app;
  const sort = WORDS.TYPES[event.type] ?? event.type;
  const step = event.step && list.stepsById.get(event.step);
  if (step) return `${sort}: ${step.number} ${step.title}`;
  if (event.type === "acknowledge") return `${sort}: ${list.lines.get(event.line)?.does.nature ?? event.line}`;
  if (event.type === "sign") return `${sort}: ${event.role}, ${event.name}`;
  const value = format.value(event, event.input) || event.file || event.reason || "";
  return `${sort}: ${[titleOf(app, event), event.fastening && sentence(WORDS.tighten1, { n: event.fastening })].filter(Boolean).join(", ")} ${value}`;
};

const valueOf = (app, event) => h("div", {}, titleOf(app, event), event.fastening ? ` ${sentence(WORDS.tighten1, { n: event.fastening })}` : "", ": ",
  h("b", {}, event.type === "photo" ? event.file : event.type === "leave-out" ? sentence(WORDS.leftOut, { reason: event.reason }) : app.format.value(event, event.input)),
  event.typed ? ` (${sentence(WORDS.typedAs, { typed: app.format.amount(event.typed) })})` : "", event.instrument ? ` [${event.instrument}]` : "");

// Torques of one joint stand on one line.
const given = (app, occasion) => {
  const events = [...occasion.given.values()].filter((event) => event.type !== "acknowledge");
  const torques = Map.groupBy ? Map.groupBy(events.filter((event) => event.type === "torque"), (event) => event.line) : new Map();
  const rest = events.filter((event) => !torques.has(event.line)).map((event) => valueOf(app, event));
  const rows = [...torques.values()].map((some) => h("div", {}, titleOf(app, some[0]), ": ", h("b", {}, some.map((event) => app.format.value(event)).join("; ")),
    some[0].instrument ? ` [${some[0].instrument}]` : ""));
  const read = occasion.given.size - events.length;
  return [rest, rows, read > 0 && h("div", { class: "quiet" }, sentence(WORDS.messagesRead, { n: read }))];
};

export const recordReport = (app) => {
  const { list, format, job, record } = app;
  const { procedure } = list.checklist;
  const open = job.opened;
  const events = record.entries.map((entry) => entry.event);
  const head = events[events.length - 1].digest;
  const closed = job.closed;
  const stopped = closed?.at_stop && (list.limits.get(closed.at_stop)?.stop ?? app.stopText(closed.at_stop));
  const facts = [
    [WORDS.procedure, `${procedure.title} (${procedure.id})${procedure.revision ? `, ${sentence(WORDS.revision, procedure.revision)}` : ""}`],
    [WORDS.jobName, open.job], [WORDS.who, [...new Set(events.map((event) => event.by))].join(", ")], [WORDS.opened, format.when(open.at)],
    [WORDS.closed, closed ? format.when(closed.at) : "–"], [WORDS.outcome, closed ? WORDS.OUTCOMES[closed.outcome] : WORDS.OUTCOMES.open],
    closed?.reason && [WORDS.reason, closed.reason], stopped && [WORDS.stoppedBecause, stopped],
  ].filter(Boolean);
  const changes = record.entries.filter((entry) => entry.counts && ["correct", "withdraw", "revise"].includes(entry.event.type)).map(({ event }) => {
    const target = events[event.event - 1];
    const what = !target ? sentence(WORDS.revision, { mark: event.checklist?.revision ?? "" })
      : event.type === "withdraw" ? h("span", { class: "undone" }, eventWords(app, target))
        : [titleOf(app, target), " ", sentence(WORDS.becomes, { old: format.value(target, target.input), value: format.value(event, target.input) })];
    return [String(event.seq), what, event.reason, `${event.by}, ${format.when(event.at)}`];
  });
  return h("div", { class: "record" },
    h("dl", {}, facts.map(([label, value]) => h("div", {}, h("dt", {}, label), h("dd", { dir: "auto" }, value)))),
    h("dl", {}, h("div", {}, h("dt", {}, WORDS.head), h("dd", { class: "digest", id: "head" }, grouped(head)), h("dd", { class: "quiet" }, WORDS.headHint)),
      h("div", {}, h("dt", {}, WORDS.checklistDigest), h("dd", { class: "digest" }, grouped(list.digest)))),
    table(WORDS.answers, [WORDS.whatCol, WORDS.outcome], list.asked.filter((input) => job.known.has(input.id)).map((input) => [input.title, h("b", {}, format.value(job.known.get(input.id), input.id))])),
    table(WORDS.steps, [WORDS.step, WORDS.readings, WORDS.by], job.path.map((one) => [
      [h("b", {}, one.step.number), ` ${one.step.title}${one.occasion > 1 ? ` (${one.occasion})` : ""}`, one.done ? "" : " …"], given(app, one),
      [`${(one.event || record.entries.find((entry) => entry.event.step === one.step.id).event).by}, ${format.when(one.event?.at ?? one.since)}`, one.event?.with ? h("div", {}, sentence(WORDS.helped, { names: one.event.with.join(", ") })) : ""],
    ])),
    table(WORDS.changes, [WORDS.line, WORDS.whatCol, WORDS.reason, WORDS.by], changes),
    table(WORDS.remarks, [WORDS.whatCol, WORDS.by], events.filter((event) => event.type === "note").map((event) => [event.text, `${event.by}, ${format.when(event.at)}`])),
    table(WORDS.signatures, [WORDS.who, WORDS.name, WORDS.when], [...job.signed].map(([role, event]) => [role, h("b", {}, event.name), format.when(event.at)])),
    h("p", { class: "quiet" }, sentence(WORDS.fileHint, { file: app.fileName() })));
};

// What was done, with ways to change what was written down.
export const doneList = (app) => {
  const { job, list, format } = app;
  const change = (event, words) => h("div", {}, words, " ", h("button", { class: "plain", onclick: () => app.change(event.seq) }, WORDS.change));
  const answers = app.record.entries.filter((entry) => entry.counts && entry.event.type === "answer").map((entry) =>
    h("li", {}, h("span", { class: "n" }, "–"), change(entry.event, [list.inputs.get(entry.event.input)?.title, ": ", h("b", {}, format.value(entry.now, entry.event.input))])));
  const steps = [...job.path].reverse().map((one) => h("li", {}, h("span", { class: "n" }, one.step.number), h("div", {}, one.step.title, one.done ? "" : " …",
    h("div", { class: "more" }, [one.event && `${format.when(one.event.at)}, ${one.event.by}`, one.event?.with && sentence(WORDS.helped, { names: one.event.with.join(", ") })].filter(Boolean).join(", ")),
    [...one.given.values()].filter((event) => ["reading", "torque", "text"].includes(event.type)).map((event) => change(event, valueOf(app, event))))));
  return h("ul", { class: "went" }, steps, answers, !steps.length && !answers.length && h("li", {}, WORDS.nothingYet));
};
