// The record in words: on the screen, and on paper.

import { h, paragraph, quiet, strong, sentence } from "./dom.js";
import WORDS from "./words.js";
import { titled, valueOf, eventWords } from "./told.js";
import { occasionRows, result } from "./occasion.js";
import { grouped, when } from "./format.js";
import { drawnSignature } from "./sign.js";
import { NO_EFFECT } from "./record.js";
import { setPageHead } from "./print.js";
import { fileName } from "./download.js";
import { evaluate } from "./conditions.js";

const table = (caption, heads, rows) =>
  rows.length &&
  h(
    "div.wide",
    { tabindex: 0, role: "region", "aria-label": caption },
    h(
      "table",
      h("caption", caption),
      h(
        "thead",
        h(
          "tr",
          heads.map((head) => h("th", { scope: "col" }, head)),
        ),
      ),
      h(
        "tbody",
        rows.map((cells) =>
          h(
            "tr",
            cells.map((cell) => h("td", cell)),
          ),
        ),
      ),
    ),
  );

// The limits that apply, and whether they hold.
const limitRows = ({ list, job: { known } }) => [
  ...(list.met ?? []).map((one) => [one.title, [one.words, one.numbers && paragraph(one.numbers)], result(true)]),
  ...[...list.limits.values()]
    .filter(({ when }) => !when || evaluate(when, known, list.units) !== false)
    .map((one) => [one.title, one.words, result(evaluate(one.holds, known, list.units))]),
];

const messagesRead = ({ given: all }) => {
  const n = [...all.values()].filter(({ type }) => type === "acknowledge").length;
  return n > 0 && h("div.quiet", sentence(WORDS.messagesRead, { n }));
};

// What a stop of the flow tells.
const stopText = ({ nodes }, stop) =>
  nodes.flatMap((node) => [node, node.otherwise]).find((node) => node?.id === stop)?.text;

const stamp = (event) => `${event.by}, ${when(event.at)}`;

const terms = (pairs) =>
  h(
    "dl",
    pairs.map(([label, ...values]) =>
      h(
        "div",
        h("dt", label),
        values.map((value) => h("dd", value)),
      ),
    ),
  );

// What the record is of, who worked, when, and how it ended.
const facts = ({ list, job: { opened, closed } }, events) => {
  const { procedure, effectivity } = list;
  const stopped = closed?.at_stop && (list.limits.get(closed.at_stop)?.stop ?? stopText(list, closed.at_stop));
  const revision = procedure.revision ? `, ${sentence(WORDS.word.revision, procedure.revision)}` : "";
  return [
    [WORDS.procedure, `${procedure.title} (${procedure.id})${revision}`],
    [WORDS.report.madeFor, effectivity?.map((one) => `${one.title}: ${one.words}`).join("; ")],
    [WORDS.report.vehicle, opened.job],
    [WORDS.report.doneBy, [...new Set(events.map((event) => event.by))].join(", ")],
    [WORDS.report.workBegun, when(opened.at)],
    [WORDS.report.ended, closed ? when(closed.at) : "–"],
    [WORDS.outcome, WORDS.outcomes[closed?.outcome ?? "open"]],
    [WORDS.reason, closed?.reason],
    [WORDS.stoppedBecause, stopped],
  ].filter(([, value]) => value);
};

// What was corrected, withdrawn, or carried on under another revision.
const changed = (app, event, target) => {
  if (event.type === "revise") return sentence(WORDS.word.revision, { mark: event.checklist.revision });
  if (event.type === "withdraw") return h("s.quiet", eventWords(app, target));
  const value = app.wording.value(event, target.input);
  return [titled(app, target), " ", sentence(WORDS.becomes, { old: valueOf(app, target), value })];
};

const changesTable = (app, events) =>
  table(
    WORDS.changes,
    [WORDS.line, WORDS.report.what, WORDS.reason, WORDS.by],
    app.record.entries
      .filter(({ counts, event }) => counts && NO_EFFECT.includes(event.type))
      .map(({ event }) => [
        String(event.seq),
        changed(app, event, events[event.event - 1]),
        event.reason,
        stamp(event),
      ]),
  );

const answersTable = ({ list, wording, job: { known } }) =>
  table(
    WORDS.report.answersBefore,
    [WORDS.report.what, WORDS.word.answer],
    list.asked
      .filter((input) => known.has(input.id))
      .map((input) => [input.title, strong(wording.value(known.get(input.id), input.id))]),
  );

const readingsTable = (app) =>
  table(
    WORDS.readings,
    [
      WORDS.step,
      WORDS.report.what,
      WORDS.report.value,
      WORDS.check.passIf,
      WORDS.report.outcome,
      WORDS.report.readWith,
    ],
    app.job.path.flatMap((one) => occasionRows(app, one)),
  );

const stepsTable = (app) =>
  table(
    WORDS.steps,
    [WORDS.step, WORDS.by],
    app.job.path.map((one) => [
      [strong(one.step.number), ` ${one.step.title}${one.occasion > 1 ? ` (${one.occasion})` : ""}`, messagesRead(one)],
      one.event
        ? [stamp(one.event), one.event.with && paragraph(sentence(WORDS.helped, { names: one.event.with.join(", ") }))]
        : "…",
    ]),
  );

const signaturesTable = ({ job: { signed } }) =>
  table(
    WORDS.report.signatures,
    [WORDS.report.doneBy, WORDS.by],
    [...signed].map(([role, event]) => [
      role,
      [
        strong(event.name),
        ` ${when(event.at)}`,
        event.reason && ` (${event.reason})`,
        event.drawing && drawnSignature(event.drawing, event.name),
      ],
    ]),
  );

// What the handover tells to be tightened again, of joints that this vehicle has or may have.
const dueLines = ({ list, job: { at, known } }) =>
  at.handover?.lines.filter(({ again }) =>
    again?.some((id) => {
      const { when } = list.joints.get(id);
      return !when || evaluate(when, known, list.units) !== false;
    }),
  ) ?? [];

export const recordReport = (app) => {
  const { list, job, record } = app;
  const events = record.entries.map((entry) => entry.event);
  const pictures = events.some(({ type }) => type === "photo");
  setPageHead(app);
  return h(
    "div.record",
    terms(facts(app, events)),
    terms([
      [WORDS.report.head, h("span.digest", { id: "head" }, grouped(events.at(-1).digest)), WORDS.headHint],
      [WORDS.report.checklist, h("span.digest", grouped(list.digest))],
    ]),
    answersTable(app),
    table(
      WORDS.report.limitsHeld,
      [WORDS.about.limitLine, WORDS.report.mustHold, WORDS.report.outcome],
      limitRows(app),
    ),
    readingsTable(app),
    stepsTable(app),
    changesTable(app, events),
    table(
      WORDS.report.remarks,
      [WORDS.report.what, WORDS.by],
      events.filter((event) => event.type === "note").map((event) => [event.text, stamp(event)]),
    ),
    table(
      WORDS.report.due,
      [WORDS.report.what],
      dueLines(app).map((line) => [line.prose.text]),
    ),
    signaturesTable(app),
    quiet(sentence(WORDS.fileHint, { file: fileName(list, job.opened.job, pictures) })),
  );
};
