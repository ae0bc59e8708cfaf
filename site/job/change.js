// Changing a value that was written down, with the reason.

import { h, fill, heading, paragraph, quiet, strong, textField } from "./dom.js";
import WORDS from "./words.js";
import { numberEntry } from "./number.js";
import { titleOf, textWanted } from "./asking.js";
import { torqueEntry } from "./torque.js";
import { typedReading } from "./entry.js";
import { untrue, base } from "./conditions.js";
import { pressed, contradiction } from "./views.js";

// What is asked instead of a value that was written down: a field, and what the large button does. `write` gets the new value.
const newText = ({ ui, list }, title, { line }, write) => {
  const field = textField(ui, "entry", title, textWanted(list.lines.get(line)));
  const press = () => {
    const text = field.check();
    if (text) write({ text });
  };
  return { body: h("div.ask", field.body), press };
};

const newChoice = ({ ui }, title, { values }, old, write) => {
  // Of two answers the other one is meant.
  if (values.length === 2) ui.choice ??= values.find(({ id }) => id !== old)?.id;
  const set = pressed(title, "entry", values, ui.choice ?? old, (choice) => {
    ui.choice = choice;
  });
  const press = () => (ui.choice && ui.choice !== old ? write({ choice: ui.choice }) : set.refuse(WORDS.choose));
  return { body: h("div.ask", set.body), press };
};

const newNumber = (app, title, input, { line }, write) => {
  const { list, job } = app;
  const entry = numberEntry(app, {
    title,
    ...(input
      ? { own: list.unitOf(input), read: (text, unit) => typedReading(text, unit, input, list, job.known) }
      : torqueEntry(app, list.joints.get(list.lines.get(line).does.joint))),
    write: ({ amount }) => write({ amount }),
  });
  return { body: entry.body, press: entry.main.press };
};

// What an answer would break together with the others; null where nothing.
const clash = ({ list: { units, rules }, job }, { type, input }, { choice, amount }) => {
  const known = new Map(job.known).set(input, { choice, base: amount && base(amount, units) });
  return type === "answer" && contradiction(rules.filter((rule) => untrue(rule, known, units)));
};

export const changeView = (app, { seq }) => {
  const { list, wording, ui } = app;
  const { event, now } = app.record.entries[seq - 1];
  const reason = textField(ui, "reason", WORDS.why, {
    missing: WORDS.reasonMissing,
    ready: [WORDS.slip, WORDS.typedWrong, WORDS.measuredAgain],
    take: () => press(),
  });
  const input = list.inputs.get(event.input);
  const title = titleOf(app, event);
  const said = h("div");
  const write = (value) => {
    const broken = clash(app, event, value);
    if (broken) return fill(said, broken);
    const why = reason.check();
    if (why) app.act({ type: "correct", event: seq, ...value, reason: why });
  };
  const { body, press } =
    event.type === "text"
      ? newText(app, title, event, write)
      : input?.values
        ? newChoice(app, title, input, now.choice, write)
        : newNumber(app, title, input, event, write);
  return {
    body: [
      heading(WORDS.change),
      paragraph(title, ": ", strong(wording.value(now, event.input))),
      quiet(WORDS.changeLead),
      said,
      h("div.ask", reason.body),
    ],
    side: body,
    back: true,
    main: { says: WORDS.changeNow, press },
  };
};
