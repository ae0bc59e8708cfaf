// The torque of one fastening after the other: one tap where the wrench clicked, else what it reads. One above the tolerance is
// kept, with what was done about it, and the fastening asks again.

import { h, button, paragraph, textField, sentence } from "./dom.js";
import WORDS from "./words.js";
import { typedTorque } from "./entry.js";
import { remedyBox } from "./remedy.js";
import { numberEntry } from "./number.js";
import { row, faultBox, scaleOfTorque } from "./parts.js";
import { base, bound } from "./conditions.js";
import { within } from "./typed.js";
import { unitFor } from "./units.js";

// The torques of one joint, and of each what was not good.
const torques = ({ wording, change }, line, given, now) =>
  h(
    "ul.torques",
    Array.from({ length: line.does.count }, (_, i) => {
      const event = given.get(`${line.id} ${i + 1}`);
      const before = [...given.values()].filter((one) => one.remedy && one.line === line.id && one.fastening === i + 1);
      return h(
        "li",
        { class: `${event ? "had" : i + 1 === now ? "now" : ""}${before.length ? " anew" : ""}` },
        h(
          "span",
          sentence(WORDS.word.nth, { n: i + 1 }),
          before.map((one) => h("s", ` ${wording.value(one)}`)),
        ),
        event
          ? button(wording.value(event), () => change(event.seq), {
              class: "plain",
              "aria-label": `${sentence(WORDS.word.nth, { n: i + 1 })} ${wording.value(event)}, ${WORDS.change}`,
            })
          : h("b", "–"),
        before.length > 0 && h("span", sentence(WORDS.tryOf, { n: before.length + 1 })),
      );
    }),
  );

export const hadTorques = (app, line, given) =>
  row(WORDS.had, app.wording.named("joints", line.does.joint), torques(app, line, given));

// What `own` and `read` of a number entry are for the torque of a joint. `keep(got, remedy)` writes down one that is not good.
export const torqueEntry = ({ list, wording, ui }, joint, keep) => {
  const torque = joint.torque ?? { shown: "" };
  const end = torque.high || torque.low;
  const [low, high] = [bound(torque.low, list.units), bound(torque.high, list.units)];
  return {
    own: end ? list.units.get(end.unit) : [...list.units.values()].find((unit) => unit.quantity === "torque"),
    near: end && base(end, list.units),
    read(text, unit) {
      const got = typedTorque(text, unit, torque, list);
      if (got.fault || within(got.base, low, high)) return got;
      const under = low && !within(got.base, low, null);
      const title = sentence(WORDS.torqueTitle, { value: wording.inUnit(got.base, unit), shown: torque.shown });
      const lead = sentence(under ? WORDS.torqueUnder : WORDS.torqueOver, torque);
      return {
        ...got,
        refuse: () =>
          keep
            ? remedyBox(ui, { title, lead, under, write: (remedy) => keep(got, remedy) })
            : faultBox(title, paragraph(lead)),
      };
    },
  };
};

// The wrench that a joint is tightened with in this step, and the mark that it had last.
const wrenchOf = ({ list, record, now }, joint) => {
  const tool = now.begun.step.lines
    .filter(({ does }) => does.kind === "tighten" && does.joint === joint)
    .flatMap(({ does }) => does.tools.flatMap((place) => place.any_of))
    .find((one) => list.tools.get(one)?.torque);
  // What it is set to where an adapter makes its lever longer.
  const settings = now.begun.step.lines
    .flatMap(({ does }) => (does.kind === "tighten" && does.joint === joint && does.settings) || [])
    .filter(({ wrench }) => wrench === tool);
  const last =
    record.entries.findLast(({ counts, event }) => counts && tool && event.tool === tool && event.type === "torque")
      ?.event.instrument ?? "";
  return { tool, last, settings };
};

// What a clicking wrench is set to: the value of the joint in the reader's unit; where a range stands, what was typed before.
const settingOf = ({ list, preferences, wording, now }, { torque }, line) => {
  if (!torque?.value)
    return [...now.begun.given.values()].findLast(
      (event) => event.line === line && event.type === "torque" && !event.remedy,
    )?.amount;
  const own = list.units.get(torque.value.unit);
  const value = base(torque.value, list.units);
  const unit = unitFor(list.units, own, preferences.system, value);
  return unit === own ? torque.value : { value: wording.setting(value, unit), unit: unit.code };
};

export const askTorque = (app, line, { fastening }, finish, ends) => {
  const { list, ui, now, wording, frame } = app;
  const { joint: id, count } = line.does;
  const joint = list.joints.get(id);
  const { given } = now.begun;
  const { tool, last, settings } = wrenchOf(app, id);
  const set = tool && settingOf(app, joint, line.id);
  const event = (more) => {
    const instrument = (ui.instrument ?? last).trim();
    if (instrument) app.memory.know("marks", [instrument]);
    return {
      type: "torque",
      line: line.id,
      fastening,
      ...more,
      ...(tool ? { tool } : {}),
      ...(instrument ? { instrument } : {}),
    };
  };
  const done = (text) => (ends ? `${text}, ${WORDS.andDone}` : text);
  const clicked = () => set && !ui.draft?.trim();
  const entry = numberEntry(app, {
    ...torqueEntry(app, joint, ({ amount }, remedy) => app.act(event({ amount, remedy }))),
    title: count > 1 ? sentence(WORDS.torqueOf, { n: fastening, all: count, title: joint.title }) : joint.title,
    hint: set && WORDS.orType,
    scale: (value) => scaleOfTorque(app, joint, value),
    write: ({ amount }) => finish(event({ amount })),
    typed: frame.label,
  });
  const { press } = entry.main;
  entry.main = {
    says: () =>
      clicked()
        ? done(
            sentence(settings[0] ? (settings[0].set ? WORDS.clickedThrough : WORDS.clickedFor) : WORDS.clickedAt, {
              n: count > 1 ? fastening : "",
              value: wording.amount(set),
              set: settings.map((one) => one.set).join(` ${WORDS.word.or} `),
            }),
          )
        : ends
          ? WORDS.writeAndDone
          : WORDS.writeDown,
    press: () => (clicked() ? finish(event({ amount: { value: set.value, unit: set.unit }, clicked: true })) : press()),
  };
  const mark =
    tool &&
    textField(ui, "instrument", sentence(WORDS.instrument, { tool: wording.tool({ any_of: [tool] }) }), {
      most: 100,
      value: last,
      ready: last ? [] : app.memory.known("marks").slice(0, 3),
    });
  return {
    ...entry,
    more: [
      settings.length > 0 && paragraph(settings.map(({ words }) => words).join(" ")),
      row(WORDS.had, torques(app, line, given, fastening)),
      mark && h("div.mark", mark.body),
    ],
  };
};
