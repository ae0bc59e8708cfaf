// The record in words: on the screen, and on paper.

import { h, button, paragraph, quiet, strong, soft, sentence } from "./dom.js";
import WORDS from "./words.js";
import { titleOf } from "./asking.js";
import { grouped } from "./format.js";
import { torqueMark } from "./remedy.js";
import { drawnSignature } from "./sign.js";
import { setPageHead } from "./print.js";
import { inputsOf } from "./parts.js";
import { evaluate, base } from "./conditions.js";

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

const titled = (app, event) =>
  titleOf(app, event) + (event.fastening ? ` ${sentence(WORDS.word.nth, { n: event.fastening })}` : "");
const valueOf = ({ wording }, event) =>
  event.file ??
  (event.type === "leave-out" ? sentence(WORDS.report.leftOut, event) : wording.value(event, event.input));

// One event in a few words.
export const eventWords = (app, event) => {
  const { list } = app;
  const step = list.stepsById.get(event.step);
  const of = step
    ? `${step.number} ${step.title}`
    : event.step
      ? event.step
      : event.type === "acknowledge"
        ? list.lines.get(event.line)?.does.nature
        : event.type === "sign"
          ? `${event.role}, ${event.name}`
          : `${titled(app, event)} ${valueOf(app, event)}`;
  return `${WORDS.events[event.type]}: ${of}`;
};

const written = (app, event) => [
  titled(app, event),
  " ",
  strong(valueOf(app, event)),
  torqueMark(event),
  event.typed && ` (${sentence(WORDS.typedAs, { typed: app.wording.amount(event.typed) })})`,
  event.instrument && ` [${event.instrument}]`,
];

const result = (passed) =>
  passed === undefined
    ? "–"
    : passed === null
      ? WORDS.verdict.undecided
      : passed
        ? `✓ ${WORDS.verdict.passed}`
        : h("b.unmet", `✗ ${WORDS.verdict.notPassed}`);

// Whether all hold: one that does not decides, one that can't be told leaves it open.
const allHold = (all) => (all.includes(false) ? false : all.includes(null) ? null : true);

const marks = (events) => [...new Set(events.map((event) => event.instrument).filter(Boolean))].join("; ");

// What was written down on an occasion, a row for each: what, value, what was asked for, whether it is so, and what it was read with. Good
// torques of one joint stand in one row; each that was done again has its own.
const occasionRows = (app, { check, step, occasion, given: all }) => {
  const { list, wording, job } = app;
  const events = [...all.values()].filter(({ type }) => type !== "acknowledge");
  const read = events.filter(({ type }) => type === "reading");
  const known = new Map([
    ...job.known,
    ...read.map(({ input, choice, amount }) => [input, { choice, base: amount && base(amount, list.units) }]),
  ]);
  const holds = (of) => evaluate(of, known, list.units);
  const expects = (check?.expects ?? []).map((of, i) => ({ of, words: check.expects_words[i], inputs: inputsOf(of) }));
  const words = (some) => some.map((one) => paragraph(one.words ?? one.covers));
  const reading = (event) => {
    const about = expects.filter(({ inputs }) => inputs.includes(event.input));
    const arms = list.nodes
      .flatMap((node) => (node.kind === "choose" && node.input === event.input ? node.arms : []))
      .filter(({ when }) => when && holds(when));
    return [
      words(about.length ? about : arms.map(({ covers }) => ({ covers }))),
      about.length ? allHold(about.map(({ of }) => holds(of))) : undefined,
    ];
  };
  const torque = (some) => {
    const line = list.lines.get(some[0].line);
    const { torque: wanted } = list.joints.get(line.does.joint) ?? {};
    return [wanted?.shown, wanted && some.every((event) => list.accepts(event, line))];
  };
  const rows = events.flatMap((event) => {
    const some =
      event.type !== "torque" || event.remedy
        ? [event]
        : events.filter((one) => one.line === event.line && !one.remedy);
    if (some[0] !== event) return [];
    const values = some.map((one) => [
      strong(valueOf(app, one)),
      torqueMark(one),
      one.typed && ` (${sentence(WORDS.typedAs, { typed: wording.amount(one.typed) })})`,
    ]);
    const [asked, passed] = event.type === "reading" ? reading(event) : event.type === "torque" ? torque(some) : [];
    return [
      [
        some.length > 1 ? titleOf(app, event) : titled(app, event),
        values.map((one, i) => [i > 0 && "; ", one]),
        asked,
        passed,
        marks(some),
      ],
    ];
  });
  const apart = expects.filter(({ inputs }) => !read.some(({ input }) => inputs.includes(input)));
  return [...rows, ...apart.map((one) => [step.title, "", one.words, holds(one.of), ""])].map(
    ([what, value, asked, passed, mark]) => [
      `${step.number}${occasion > 1 ? ` (${occasion})` : ""}`,
      what,
      value,
      asked || "–",
      result(passed),
      mark,
    ],
  );
};

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

export const recordReport = (app) => {
  const { list, wording, job, record } = app;
  const { procedure } = list;
  const { opened, closed } = job;
  setPageHead(app);
  const events = record.entries.map((entry) => entry.event);
  const stamp = (event) => `${event.by}, ${wording.when(event.at)}`;
  const stopped = closed?.at_stop && (list.limits.get(closed.at_stop)?.stop ?? app.stopText(closed.at_stop));
  const facts = [
    [
      WORDS.procedure,
      `${procedure.title} (${procedure.id})${procedure.revision ? `, ${sentence(WORDS.word.revision, procedure.revision)}` : ""}`,
    ],
    [WORDS.report.madeFor, list.effectivity?.map((one) => `${one.title}: ${one.words}`).join("; ")],
    [WORDS.report.vehicle, opened.job],
    [WORDS.report.doneBy, [...new Set(events.map((event) => event.by))].join(", ")],
    [WORDS.report.workBegun, wording.when(opened.at)],
    [WORDS.report.ended, closed ? wording.when(closed.at) : "–"],
    [WORDS.outcome, WORDS.outcomes[closed?.outcome ?? "open"]],
    [WORDS.reason, closed?.reason],
    [WORDS.stoppedBecause, stopped],
  ].filter(([, value]) => value);
  const changes = record.entries
    .filter(({ counts, event }) => counts && ["correct", "withdraw", "revise"].includes(event.type))
    .map(({ event }) => {
      const target = events[event.event - 1];
      const what =
        event.type === "revise"
          ? sentence(WORDS.word.revision, { mark: event.checklist.revision })
          : event.type === "withdraw"
            ? h("s.quiet", eventWords(app, target))
            : [
                titled(app, target),
                " ",
                sentence(WORDS.becomes, { old: valueOf(app, target), value: wording.value(event, target.input) }),
              ];
      return [String(event.seq), what, event.reason, stamp(event)];
    });
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
  return h(
    "div.record",
    terms(facts),
    terms([
      [WORDS.report.head, h("span.digest", { id: "head" }, grouped(events.at(-1).digest)), WORDS.headHint],
      [WORDS.report.checklist, h("span.digest", grouped(list.digest))],
    ]),
    table(
      WORDS.report.answersBefore,
      [WORDS.report.what, WORDS.word.answer],
      list.asked
        .filter((input) => job.known.has(input.id))
        .map((input) => [input.title, strong(wording.value(job.known.get(input.id), input.id))]),
    ),
    table(
      WORDS.report.limitsHeld,
      [WORDS.about.limitLine, WORDS.report.mustHold, WORDS.report.outcome],
      limitRows(app),
    ),
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
      job.path.flatMap((one) => occasionRows(app, one)),
    ),
    table(
      WORDS.steps,
      [WORDS.step, WORDS.by],
      job.path.map((one) => [
        [
          strong(one.step.number),
          ` ${one.step.title}${one.occasion > 1 ? ` (${one.occasion})` : ""}`,
          messagesRead(one),
        ],
        one.event
          ? [
              stamp(one.event),
              one.event.with && paragraph(sentence(WORDS.helped, { names: one.event.with.join(", ") })),
            ]
          : "…",
      ]),
    ),
    table(WORDS.changes, [WORDS.line, WORDS.report.what, WORDS.reason, WORDS.by], changes),
    table(
      WORDS.report.remarks,
      [WORDS.report.what, WORDS.by],
      events.filter((event) => event.type === "note").map((event) => [event.text, stamp(event)]),
    ),
    table(
      WORDS.report.signatures,
      [WORDS.report.doneBy, WORDS.by],
      [...job.signed].map(([role, event]) => [
        role,
        [
          strong(event.name),
          ` ${wording.when(event.at)}`,
          event.reason && ` (${event.reason})`,
          event.drawing && drawnSignature(event.drawing, event.name),
        ],
      ]),
    ),
    quiet(sentence(WORDS.fileHint, { file: app.fileName() })),
  );
};

// What was done, with ways to change what was written down.
export const doneList = (app) => {
  const change = (event, words) =>
    h(
      "div",
      words,
      " ",
      button(WORDS.change, () => app.change(event.seq), { class: "plain" }),
    );
  const item = (mark, ...content) => h("li", h("span.n", mark), h("div", content));
  const answers = app.record.entries
    .filter(({ counts, event }) => counts && event.type === "answer")
    .map(({ now }) => item("–", change(now, [app.wording.title(now.input), " ", strong(valueOf(app, now))])));
  return h(
    "ul.went",
    [...app.job.path].reverse().map((one) =>
      item(
        one.step.number,
        one.step.title,
        one.event && soft(` ${app.wording.when(one.event.at)}, ${one.event.by}`),
        [...one.given.values()]
          .filter((event) => ["reading", "torque", "text"].includes(event.type))
          .map((event) => change(event, written(app, event))),
      ),
    ),
    answers,
  );
};
