// A torque that is not good: it is written down with what was done about it, and the fastening is asked for again. One of the
// ready texts does it in one press.

import { h, button, paragraph, textField, sentence, listed } from "./dom.js";
import WORDS from "./words.js";
import { faultBox } from "./parts.js";

// What stands under the field. `title` says how far it is off, `lead` what to do; `write(remedy)` writes it down.
export const remedyBox = (ui, { title, lead, under, write }) => {
  const send = () => {
    const remedy = field.check();
    if (remedy) write(remedy);
  };
  const field = textField(ui, "remedy", WORDS.remedy, {
    missing: WORDS.remedyMissing,
    ready: under ? [WORDS.tightenedOn] : [WORDS.newFastener, WORDS.loosened],
    take: send,
  });
  return faultBox(
    title,
    paragraph(lead),
    h("div.ask", field.body, button(WORDS.keepTorque, send, { class: "main", id: "remedied" })),
  );
};

// What a record adds to the value of a torque.
export const torqueMark = (event) =>
  listed([event.clicked && ` ${WORDS.clicked}`, event.remedy && ` (${sentence(WORDS.doneAgain, event)})`], "");
