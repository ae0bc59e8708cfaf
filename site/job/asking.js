// What is asked now, in a step: `body` is the field, `main` the large button, `drawn` the scale, `more` what stands in the line's place.

import { h, button, textField, complain, sentence, listed } from "./dom.js";
import WORDS from "./words.js";
import { isTaken } from "./checklist.js";
import { typedReading } from "./entry.js";
import { numberEntry } from "./number.js";
import { askTorque } from "./torque.js";
import { codeReader } from "./camera.js";
import { row, choices, scaleOf, classesOf } from "./parts.js";

export const titleOf = ({ list, wording }, event) => {
  if (event.input) return wording.title(event.input);
  const { does } = list.lines.get(event.line) || { does: {} };
  return does.what ?? (does.joint ? wording.named("joints", does.joint) : (event.line ?? ""));
};

// `finish(event)` writes an event down; `ends` tells that the step is done with it.
export const asking = (app, line, ask, finish, ends) => {
  const { does, id } = line;
  const says = ends ? WORDS.writeAndDone : WORDS.writeDown;
  if (does.kind === "record-text") return askText(app, line, finish, says);
  if (does.kind === "record-photo") return askPhoto(app, id, does.what, finish);
  if (does.kind === "record-torque") return askTorque(app, line, ask, finish, ends);
  return askReading(app, line, ask.input, finish, says);
};

// With what an input is read, and how finely.
const howRead = ({ wording }, { tool, reads_shown: shown, reads }) =>
  listed(
    [
      tool && sentence(WORDS.tell.readWith, { tools: wording.tool({ any_of: [tool] }) }),
      reads && sentence(WORDS.tell.readTo, { reads: shown ?? wording.amount(reads) }),
    ],
    "; ",
  );

const askReading = (app, line, id, finish, says) => {
  const { list, job, frame } = app;
  const input = list.inputs.get(id);
  const write = (value) => finish({ type: "reading", line: line.id, input: id, ...value });
  if (input.values)
    return {
      body: h(
        "fieldset.ask",
        h("legend", input.title),
        choices(input.values, (choice) => frame.through() && write({ choice })),
      ),
      hint: WORDS.answerAbove,
    };
  const entry = numberEntry(app, {
    title: input.title,
    says,
    own: list.unitOf(input),
    signed: input.low.value.startsWith("-"),
    read: (text, unit) => typedReading(text, unit, input, list, job.known),
    scale: (value) => readingScale(app, input, value),
    write: ({ amount, typed }) =>
      write({ amount, ...(typed ? { typed } : {}), ...(input.tool ? { tool: input.tool } : {}) }),
  });
  const how = howRead(app, input);
  return { ...entry, more: how && row(WORDS.row.read, how) };
};

// The scale under a reading: what the check expects of it, or the arms of the branch that it decides.
const readingScale = (app, input, value) => {
  const { check } = app.now.begun;
  const about = JSON.stringify(check?.expects ?? "").includes(`"${input.id}"`)
    ? check
    : app.list.nodes.find((node) => node.kind === "choose" && node.input === input.id);
  return about
    ? scaleOf(app, input, classesOf(app, about), about.expects || about.arms.map((arm) => arm.when), value)
    : null;
};

// How many of a part are taken at most, to have a button for each number.
const MOST_BUTTONS = 10;

// What a field for a text takes: any, or the whole numbers that the line asks for, each with its button where they are few.
export const textWanted = ({ does: { number } }, take) => {
  if (!number) return { missing: WORDS.textMissing };
  const { least, most } = number;
  const few = most - least < MOST_BUTTONS ? most - least + 1 : 0;
  return {
    missing: sentence(WORDS.wholeNumber, number),
    fits: (text) => isTaken(text, number),
    ready: Array.from({ length: few }, (_, n) => String(least + n)),
    take,
  };
};

const askText = (app, line, finish, says) => {
  const { does, id } = line;
  const press = () => {
    const text = field.check();
    if (text) finish({ type: "text", line: id, text });
  };
  const field = textField(app.ui, "entry", does.what, textWanted(line, press));
  const body = h("div.ask", field.body);
  const camera =
    !does.number &&
    codeReader((code) => {
      app.ui.entry = body.querySelector("input").value = code;
    });
  if (camera) body.append(camera);
  return { body, main: { says, press } };
};

const askPhoto = (app, id, what, finish) => {
  const said = h("div");
  const pick = h("input", {
    id: "picture",
    type: "file",
    accept: "image/*",
    class: "unseen",
    tabindex: -1,
    "aria-hidden": true,
    async onchange() {
      const fault = pick.files[0] && (await app.photo(id, pick.files[0], finish));
      if (fault) complain(said, fault);
    },
  });
  const leaveOut = () =>
    app.reason({
      title: WORDS.noPhoto,
      ask: WORDS.whyNoPhoto,
      ready: [WORDS.noCameraHere, WORDS.notAllowed],
      press: (reason) => finish({ type: "leave-out", line: id, reason }),
    });
  return {
    body: h(
      "div.ask",
      h("p.of", sentence(WORDS.photo, { what })),
      pick,
      said,
      h(
        "div.pair",
        button(WORDS.takePhoto, () => pick.click(), { class: "main" }),
        button(WORDS.noPhoto, leaveOut),
      ),
    ),
    hint: "",
  };
};
