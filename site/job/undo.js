// What Undo takes back.

import { DONE, WITHDRAWN } from "./record.js";
import { endsItself } from "./step.js";

// The last thing that somebody did, with what followed by itself: the end of a step that its last entry brought, and the begin
// of the next one.
export const undoable = (app) => {
  const { record, job } = app;
  if (!record || job.closed) return [];
  const last = record.entries
    .filter(({ counts, event }) => counts && WITHDRAWN.includes(event.type))
    .slice(-3)
    .reverse();
  const at = last[0]?.event.type === "begin" ? 1 : 0;
  const { type, step } = last[at]?.event ?? {};
  const withEntry =
    type === "done" &&
    endsItself(app.list.stepsById.get(step)) &&
    !["begin", "acknowledge"].includes(last[at + 1]?.event.type);
  return DONE.includes(type) ? last.slice(0, at + (withEntry ? 2 : 1)) : [];
};
