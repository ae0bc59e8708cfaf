// What may still come, by the answers so far: how far a job has come, and what has to be laid out for it. Repairs do not
// count as a part of the way; where a branch is not decided yet, its longest arm counts.

import { evaluate } from "./conditions.js";
import { stepOf } from "./checklist.js";

const holder =
  ({ list, job }) =>
  (condition) =>
    condition ? evaluate(condition, job.known, list.units) : true;

// The bodies that a branch may go through.
const ways = ({ arms, if: asked, then, else: otherwise }, holds) => {
  const all =
    arms?.map((arm) => [arm.when ? holds(arm.when) : null, arm.body]) ??
    (asked
      ? [
          [holds(asked), then],
          [null, otherwise],
        ]
      : []);
  const sure = all.find(([yes]) => yes);
  return (sure ? [sure] : all.filter(([yes]) => yes !== false)).map(([, body]) => body);
};

// Every step that the job may come to, with whether it surely does, and whether a repair may ask for it.
export const stepsAhead = (app) => {
  const holds = holder(app);
  const found = [];
  const look = (body, sure, repair) =>
    body.forEach((node) => {
      const step = stepOf(node);
      const yes = step && holds(step.when);
      if (yes === false) return;
      if (step) found.push({ step, sure: sure && yes, repair });
      if (node.repair) look(node.repair.body, false, true);
      const open = ways(node, holds);
      for (const way of open) look(way, sure && open.length === 1, repair);
    });
  for (const { when, body } of app.list.flow) if (holds(when) !== false) look(body, holds(when));
  return found;
};

export const progress = (app) => {
  const { list, job } = app;
  const holds = holder(app);
  const main = new Set();
  const count = (nodes) =>
    nodes.reduce((sum, node) => {
      const step = stepOf(node);
      if (step) return sum + (holds(step.when) !== false && main.add(step.id) ? 1 : 0);
      return sum + Math.max(0, ...ways(node, holds).map(count));
    }, 0);
  const all = list.flow
    .filter((section) => holds(section.when) !== false)
    .reduce((sum, section) => sum + count(section.body), 0);
  const done = new Set(job.path.filter((one) => one.done && main.has(one.step.id)).map((one) => one.step.id)).size;
  return { done, all: Math.max(all, done, 1) };
};
