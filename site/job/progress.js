// How far a job has come: steps done, and about how many there are on its way. Where a branch is not decided yet, its longest
// arm counts; repairs do not count.

import { evaluate } from "./conditions.js";
import { stepOf } from "./checklist.js";

export const progress = ({ list, job }) => {
  const holds = (condition) => (condition ? evaluate(condition, job.known, list.units) : true);
  const main = new Set();
  const count = (nodes) => nodes.reduce((sum, node) => {
    const step = stepOf(node);
    if (step && holds(step.when) === false) return sum;
    if (step) return sum + (main.add(step.id) ? 1 : 0);
    const ways = node.arms?.map((arm) => [arm.when ? holds(arm.when) : null, arm.body]) ?? (node.if ? [[holds(node.if), node.then], [null, node.else]] : []);
    const sure = ways.find(([yes]) => yes === true);
    return sum + (sure ? count(sure[1]) : Math.max(0, ...ways.filter(([yes]) => yes !== false).map(([, body]) => count(body))));
  }, 0);
  const all = list.checklist.flow.filter((section) => holds(section.when) !== false).reduce((sum, section) => sum + count(section.body), 0);
  const done = new Set(job.path.filter((one) => one.done && main.has(one.step.id)).map((one) => one.step.id)).size;
  return { done, all: Math.max(all, done, 1) };
};
