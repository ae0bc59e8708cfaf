// A slip of the finger: the last answer is put right where it shows, with its reason ready.

import { h, button, strong } from "./dom.js";
import WORDS from "./words.js";
import { row, inputsOf } from "./parts.js";

const SINCE = ["begin", "done", "acknowledge", "note", "correct", "withdraw"];

// The entry of the last answer, where nothing was written down after it but the end of its step; else nothing.
export const lastAnswer = ({ record, job }) => {
  const entry = !job.closed && record.entries.findLast(({ counts, event }) => counts && !SINCE.includes(event.type));
  return entry && entry.event.type === "reading" ? entry : undefined;
};

// The entries whose answers led to a stop by a limit: those that a mistake could be in.
const blamed = ({ record }, limit) => {
  const inputs = [limit.holds, limit.when].flatMap((one) => (one ? inputsOf(one) : []));
  return [...new Set(inputs)]
    .map((input) =>
      record.entries.findLast(
        ({ counts, event }) => counts && ["answer", "reading"].includes(event.type) && event.input === input,
      ),
    )
    .filter(Boolean);
};

// A row for each answer that may be wrong. A choice that was read is put right by one press; what else there is has a view of its own.
export const slipRows = (app) => {
  const { limit } = app.now;
  const last = lastAnswer(app);
  return (limit ? blamed(app, limit) : last ? [last] : []).map(({ event, now }) => {
    const input = app.list.inputs.get(event.input);
    const direct = event.type === "reading" && input.values?.length <= 3;
    const put = (choice) => app.act({ type: "correct", event: event.seq, choice, reason: WORDS.slip });
    return row(
      WORDS.slipAsk,
      input.title,
      " ",
      strong(app.wording.value(now, input.id)),
      h(
        "div.pair",
        direct
          ? input.values
              .filter(({ id }) => id !== now.choice)
              .map(({ id, label }) => button(label, () => put(id), { "data-slip": id }))
          : button(WORDS.change, () => app.change(event.seq), { class: "plain" }),
      ),
    );
  });
};
