// The rows of one occasion of a step in the report: what was written down, its value, what was asked for, whether it is so, and what
// it was read with.

import { h, paragraph } from "./dom.js";
import WORDS from "./words.js";
import { titleOf } from "./asking.js";
import { titled, valueWords } from "./told.js";
import { inputsOf } from "./parts.js";
import { evaluate, base } from "./conditions.js";

// Whether something is as it should be; undefined where nothing was asked for.
export const result = (passed) =>
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

const words = (some) => some.map((one) => paragraph(one.words ?? one.covers));

// Each condition that a check expects, with its words and the inputs that it is about.
const expected = (check) =>
  (check?.expects ?? []).map((of, i) => ({ of, words: check.expects_words[i], inputs: inputsOf(of) }));

// What was asked of a reading, and whether it is so: what the check expects, or the arms of a branch that it led to.
const asked = ({ list }, event, expects, holds) => {
  const about = expects.filter(({ inputs }) => inputs.includes(event.input));
  const arms = list.nodes
    .flatMap((node) => (node.kind === "choose" && node.input === event.input ? node.arms : []))
    .filter(({ when }) => when && holds(when));
  return [
    words(about.length ? about : arms.map(({ covers }) => ({ covers }))),
    about.length ? allHold(about.map(({ of }) => holds(of))) : undefined,
  ];
};

// The torque that was wanted, and whether all are good.
const torque = ({ list }, some) => {
  const line = list.lines.get(some[0].line);
  const { torque: wanted } = list.joints.get(line.does.joint) ?? {};
  return [wanted?.shown, wanted && some.every((event) => list.accepts(event, line))];
};

// Good torques of one joint stand in one row; each that was done again has its own.
const together = (events, event) =>
  event.type !== "torque" || event.remedy ? [event] : events.filter((one) => one.line === event.line && !one.remedy);

export const occasionRows = (app, { check, step, occasion, given: all }) => {
  const { list, job } = app;
  const events = [...all.values()].filter(({ type }) => type !== "acknowledge");
  const read = events.filter(({ type }) => type === "reading");
  const known = new Map([
    ...job.known,
    ...read.map(({ input, choice, amount }) => [input, { choice, base: amount && base(amount, list.units) }]),
  ]);
  const holds = (of) => evaluate(of, known, list.units);
  const expects = expected(check);
  const rows = events.flatMap((event) => {
    const some = together(events, event);
    if (some[0] !== event) return [];
    const [wanted, passed] =
      event.type === "reading" ? asked(app, event, expects, holds) : event.type === "torque" ? torque(app, some) : [];
    const what = some.length > 1 ? titleOf(app, event) : titled(app, event);
    return [[what, some.map((one, i) => [i > 0 && "; ", valueWords(app, one)]), wanted, passed, marks(some)]];
  });
  const apart = expects.filter(({ inputs }) => !read.some(({ input }) => inputs.includes(input)));
  return [...rows, ...apart.map((one) => [step.title, "", one.words, holds(one.of), ""])].map(
    ([what, said, wanted, passed, mark]) => [
      `${step.number}${occasion > 1 ? ` (${occasion})` : ""}`,
      what,
      said,
      wanted || "–",
      result(passed),
      mark,
    ],
  );
};
