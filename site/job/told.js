// Events in words: what each is of, and its value.

import { strong, sentence } from "./dom.js";
import WORDS from "./words.js";
import { titleOf } from "./asking.js";
import { torqueMark } from "./remedy.js";

// Of what an event is.
export const titled = (app, event) =>
  titleOf(app, event) + (event.fastening ? ` ${sentence(WORDS.word.nth, { n: event.fastening })}` : "");

// What it says of it.
export const valueOf = ({ wording }, event) =>
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

// The value, with how it was come by.
export const valueWords = (app, event) => [
  strong(valueOf(app, event)),
  torqueMark(event),
  event.typed && ` (${sentence(WORDS.typedAs, { typed: app.wording.amount(event.typed) })})`,
];

// What was written down, of what, and with what it was read.
export const written = (app, event) => [
  titled(app, event),
  " ",
  valueWords(app, event),
  event.instrument && ` [${event.instrument}]`,
];
