// The view of a step: its messages, each confirmed by itself, then what is done, and beside it what is written down. What is
// written down last ends the step, where nothing is left to do after it.

import { h, button, heading, paragraph, quiet, soft, strong, textField, sentence } from "./dom.js";
import WORDS from "./words.js";
import { askedLine } from "./checklist.js";
import { line as shown, panel, row, whys, limitWords } from "./parts.js";
import { spokenOf } from "./figure.js";
import { asking, titleOf } from "./asking.js";
import { hadTorques } from "./torque.js";
import { slipRows } from "./slip.js";
import { didOf, peopleFor } from "./walk.js";

const ASKING = ["read", "record-torque", "record-text", "record-photo"];
// Lines on which nobody does anything.
const STILL = ["note", "figure", "record-reading", "message", "set"];

const stepHead = ({ list }, step, isCheck) => {
  const section = list.sectionOf.get(step.id);
  const { qualified, another_person: other } = step;
  const takes = step.takes ?? step.team;
  const only = [section, step].map(({ when_words: when }) => when && soft(sentence(WORDS.onlyFor, { when })));
  return [
    h("p.over", `${section.number} ${section.title}`),
    heading(h("span.n", step.number), " ", isCheck ? `${WORDS.check.check} ` : "", step.title),
    (takes || only.some(Boolean)) && h("p.facts", takes && h("span", takes.words), only),
    qualified && row(WORDS.about.qualified, qualified.words),
    other && row(WORDS.check.byWhom, `${other.words}.`),
  ];
};

// Whether the last entry of a step ends it: behind the line that asks for it nothing is left to do.
export const endsItself = (step) => {
  const last = step.lines.findLastIndex(({ does }) => ASKING.includes(does.kind));
  return last >= 0 && step.lines.slice(last).every(({ does }, i) => !i || STILL.includes(does.kind));
};

// Messages that are not read yet have the view for themselves.
const messagesView = (app, head, because, messages, unread) => {
  const beside = app.frame.wide() && because.length > 0;
  const confirm = ({ id }) =>
    button(WORDS.understood, () => app.act({ type: "acknowledge", line: id }), { class: "main" });
  return {
    body: [
      head,
      !beside && because,
      messages.map((line) =>
        unread.includes(line) ? h("div.confirm", panel(line.does), confirm(line)) : panel(line.does, true),
      ),
    ],
    side: beside && because,
    hint: sentence(WORDS.toRead, { n: unread.length }),
    through: true,
  };
};

// The boxes of a step. Whoever began to tick is not done before all are ticked; whoever ticks none says by "Done" that all is.
const ticksIn = (rows) => {
  const left = () => rows.querySelectorAll('.tick[aria-checked="false"]');
  return {
    begun: () => left().length > 0 && rows.querySelector('.tick[aria-checked="true"]') !== null,
    rest: () => left().forEach((tick) => tick.click()),
  };
};

export const stepView = (app) => {
  const { step, check, given, repairs, occasion } = app.now.begun;
  const { path } = app.job;
  const before = path.length > 1 ? path[path.length - 2].log : app.job.opening;
  const messages = step.lines.filter((line) => line.does.kind === "message");
  const unread = messages.filter((line) => askedLine(line, given).length);
  const head = [
    stepHead(app, step, check),
    repairs && quiet(sentence(WORDS.check.repairOf, { n: repairs, all: check.repair.times })),
  ];
  const because = [...whys(app, before || []), ...(given.size ? [] : slipRows(app))].filter(Boolean);
  if (unread.length) return messagesView(app, head, because, messages, unread);
  const asks = step.lines.filter((line) => ASKING.includes(line.does.kind));
  const open = asks.flatMap((line) => askedLine(line, given).map((ask) => ({ line, ask })));
  const ends = open.length < 2 && (!open.length || endsItself(step));
  const checker = ends && step.another_person && checkerField(app, step);
  const helpers = ends && peopleFor(step) > 1 && helperField(app, peopleFor(step));
  // Writes down what is said, and with the last of it that the step is done.
  const finish = (...events) => {
    const by = checker?.check?.();
    const text = helpers?.check?.();
    if (by === "" || text === "") return;
    const done = { type: "done", step: step.id, ...(text && { with: names(text) }), ...(by && { by }) };
    app.act(...events, ...(ends && !ticks.begun() ? [done] : []));
  };
  const current = open.length && asking(app, open[0].line, open[0].ask, finish, ends);
  const seen = messages.map((line) => panel(line.does, true));
  const recorded = ({ does }) => does.joint && asks.some((one) => one.does.joint === does.joint);
  const beside = app.frame.wide() && !(current.drawn && app.coarse());
  const rows = step.lines
    .filter((one) => !messages.includes(one))
    .map((one) =>
      asks.includes(one)
        ? [had(app, one, given), open[0]?.line === one ? current.more : waiting(app, one, given)]
        : shown(app, one, !recorded(one) && `${step.id} ${occasion}`),
    );
  const all = h("div.rows", { onclick: () => app.frame.label() }, rows, spokenOf(app, step), limitsAfter(app, step));
  const ticks = ticksIn(all);
  const done = () => {
    if (!ticks.begun()) return finish();
    ticks.rest();
    app.rest.start(false);
  };
  const passes =
    check &&
    h(
      "div.why",
      row(
        WORDS.check.passIf,
        check.expects_words.map((words) => paragraph(words)),
      ),
    );
  return {
    body: [head, !beside && [because, seen], all, passes, current.drawn],
    side: [
      beside && seen,
      checker && h("div.ask.helpers", checker.body),
      current.body,
      helpers && h("div.ask.helpers", helpers.body),
      beside && because,
    ],
    main: current ? current.main : { says: () => (ticks.begun() ? WORDS.tickRest : WORDS.word.done), press: done },
    hint: current?.hint,
    through: true,
  };
};

// The limits that this step decides.
const limitsAfter = ({ list }, { id }) =>
  [...list.limits.values()]
    .filter((limit) => limit.after_step === id)
    .map((limit) => row(WORDS.about.limitLine, limitWords(limit)));

// The names of who helps, with commas between.
const names = (text) => [
  ...new Set(
    text
      .split(",")
      .map((name) => name.trim().slice(0, 200))
      .filter(Boolean),
  ),
];

// Who checks what others did: nobody of those who did it.
const checkerField = (app, step) => {
  const { job, ui, record, memory } = app;
  const did = (name) => didOf(job, step, name);
  const number = (name) => app.list.stepsById.get(did(name)[0])?.number;
  const known = [
    ...new Set([
      app.by,
      ...record.entries.flatMap(({ event }) => [event.by, ...(event.with ?? [])]),
      ...memory.known("people"),
    ]),
  ].filter((name) => !did(name).length);
  const field = textField(ui, "checker", WORDS.check.checkedBy, {
    most: 200,
    missing: (text) =>
      text ? sentence(WORDS.check.notAnother, { name: text, number: number(text) }) : WORDS.nameMissing,
    fits: (text) => text && !did(text).length,
    ready: known.slice(0, 4),
  });
  return {
    body: field.body,
    check() {
      const text = field.check();
      if (text) memory.know("people", [text]);
      return text;
    },
  };
};

// Who helped last helps again, until somebody says otherwise. Whoever was named on this device needs no typing.
const helperField = (app, people) => {
  const { job, ui, record, memory, redraw } = app;
  const last = job.path.findLast((one) => one.event?.with)?.event.with ?? [];
  const enough = (some) => some.length >= people - 1;
  const known = [
    ...new Set([
      ...record.entries.flatMap(({ event }) => [event.by, ...(event.with ?? [])]),
      ...memory.known("people"),
    ]),
  ].filter((name) => name !== app.by);
  if (enough(last) && !ui.ask)
    return {
      check: () => ui.helpers ?? last.join(", "),
      body: h(
        "p",
        WORDS.secondPerson,
        ": ",
        strong(last.join(", ")),
        " ",
        button(
          WORDS.change,
          () => {
            ui.ask = true;
            redraw();
          },
          { class: "plain" },
        ),
      ),
    };
  const field = textField(ui, "helpers", WORDS.secondPerson, {
    most: 400,
    value: last.join(", "),
    missing: sentence(WORDS.personMissing, { n: people }),
    fits: (text) => enough(names(text)),
    ready: known.slice(0, 4),
    join: (text, name) => (people > 2 ? names(`${text},${name}`).join(", ") : name),
  });
  return {
    body: field.body,
    check() {
      const text = field.check();
      if (text) memory.know("people", names(text));
      return text;
    },
  };
};

// What was written down on this occasion, with a way to change it.
const had = (app, line, given) =>
  line.does.kind === "record-torque"
    ? null
    : [...given]
        .filter(([key]) => key.startsWith(`${line.id} `))
        .map(([, event]) =>
          row(
            WORDS.had,
            titleOf(app, event),
            " ",
            h("b", { class: event.amount && "big" }, app.wording.value(event, event.input)),
            event.file && WORDS.photoSaved,
            event.reason && sentence(WORDS.report.leftOut, { reason: event.reason }),
            " ",
            ["reading", "text"].includes(event.type) &&
              button(WORDS.change, () => app.change(event.seq), { class: "plain" }),
          ),
        );

const waiting = (app, line, given) => {
  const asks = askedLine(line, given);
  const { does } = line;
  if (!asks.length) return does.kind === "record-torque" && hadTorques(app, line, given);
  const titles = does.joint
    ? [app.wording.named("joints", does.joint)]
    : does.what
      ? [does.what]
      : asks.map((ask) => app.wording.title(ask.input));
  return row(
    does.kind === "read" ? WORDS.row.read : WORDS.row.writeDown,
    titles.map((title) => quiet(title)),
  );
};
