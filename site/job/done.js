// What was done, the last step first, with ways to change what was written down.

import { h, button, soft, strong } from "./dom.js";
import WORDS from "./words.js";
import { when } from "./format.js";
import { valueOf, written } from "./told.js";

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
        one.event && soft(` ${when(one.event.at)}, ${one.event.by}`),
        [...one.given.values()]
          .filter((event) => ["reading", "torque", "text"].includes(event.type))
          .map((event) => change(event, written(app, event))),
      ),
    ),
    answers,
  );
};
