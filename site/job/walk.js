// The walk through the flow. It takes events one after the other and says of each whether it fits; what it waits for
// follows from those that did. Nothing here looks back: corrections are made by walking anew (record.js).

import { evaluate, untrue, base } from "./conditions.js";
import { askedLine } from "./checklist.js";

const OCCASION = ["reading", "torque", "text", "photo", "leave-out"];

// The walk itself: it stops where it waits, and goes on when `next` is called.
function* flow(list, known, told) {
  const holds = (condition) => evaluate(condition, known, list.units);

  function* sure(condition, at) {
    for (;;) {
      const result = condition ? holds(condition) : true;
      if (result !== null) return result;
      yield { waits: "decision", at };
    }
  }

  function* ended(wait) {
    for (;;) yield wait;
  }

  function* check(node) {
    const { step } = node;
    if (!(yield* sure(step.when, step.id))) return;
    for (let repairs = 0; ; repairs++) {
      yield { waits: "begin", step, check: node, repairs };
      if (yield* sure({ op: "all", of: node.expects }, step.id)) return;
      if (repairs >= (node.repair?.times ?? 0)) break;
      told({ failed: node, repairs });
      yield* body(node.repair.body);
    }
    if (node.otherwise.kind === "stop") yield* ended({ waits: "close", stop: node.otherwise, check: node });
    told({ wentOn: node });
  }

  function* choose(node) {
    while (!known.has(node.input)) yield { waits: "decision", at: node.id };
    for (const arm of node.arms) {
      if (!arm.when || !(yield* sure(arm.when, node.id))) continue;
      told({ chosen: node, arm });
      return yield* body(arm.body);
    }
    const rest = node.arms.find((arm) => !arm.when);
    if (!rest) return yield* ended({ waits: "decision", at: node.id });
    told({ chosen: node, arm: rest });
    yield* body(rest.body);
  }

  function* body(nodes) {
    for (const node of nodes) {
      switch (node.kind) {
        case "step":
          if (yield* sure(node.when, node.id)) yield { waits: "begin", step: node };
          break;
        case "check":
          yield* check(node);
          break;
        case "choose":
          yield* choose(node);
          break;
        case "when": {
          const yes = yield* sure(node.if, node.id);
          told({ asked: node, yes });
          yield* body(yes ? node.then : node.else);
          break;
        }
        case "set":
          known.set(node.result, { choice: node.value });
          told({ set: node });
          break;
        case "stop":
          yield* ended({ waits: "close", stop: node });
          break;
        default:
          yield* ended({ waits: "sign", handover: node });
      }
    }
  }

  for (const section of list.flow) {
    if (yield* sure(section.when, section.id)) yield* body(section.body);
  }
  yield* ended({ waits: "decision", at: null });
}

// A job from its beginning. `take(event, anew)` gives null where the event does not fit, else the faults that a judge would
// find in it: "out-of-order", "out-of-tolerance", "missing". With `anew` a `done` fits only where nothing is left out.
export const startJob = (list) => {
  const { units } = list;
  const known = new Map();
  const settled = new Set();
  const counts = new Map();
  const signed = new Map();
  const path = [];
  let log = [];
  let rulesBroken = [];
  let opened = null;
  let closed = null;
  let broken = null;
  let begun = null;
  const walk = flow(list, known, (what) => log.push(what));
  let at = null;

  const decideLimits = () => {
    for (const limit of broken ? [] : list.limits.values()) {
      if (settled.has(limit)) continue;
      const applies = limit.when ? evaluate(limit.when, known, units) : true;
      const holds = applies ? evaluate(limit.holds, known, units) : null;
      if (applies === false || holds === true) settled.add(limit);
      else if (holds === false) return (broken = limit);
    }
    return null;
  };

  const unanswered = () => list.asked.filter((input) => !known.has(input.id));

  const pending = () => begun.step.lines.filter((line) => askedLine(line, begun.given).length > 0);
  const unread = () => pending().some((line) => line.does.kind === "message");

  // Whether an answer makes a rule untrue that was not so before.
  const contradicts = () => {
    const before = rulesBroken;
    rulesBroken = list.rules.filter((rule) => untrue(rule, known, units));
    return rulesBroken.some((rule) => !before.includes(rule));
  };

  const learn = (event) => {
    known.set(
      event.input,
      event.choice === undefined ? { amount: event.amount, base: base(event.amount, units) } : { choice: event.choice },
    );
    const rulesHold = !contradicts();
    return list.accepts(event) && rulesHold ? [] : ["out-of-tolerance"];
  };

  const give = (event) => {
    const line = begun?.step.lines.find((one) => one.id === event.line);
    if (!line || broken) return null;
    const key = askedLine(line, begun.given).find(
      (ask) =>
        ask.type.includes(event.type) &&
        (!ask.input || ask.input === event.input) &&
        (!ask.fastening || ask.fastening === event.fastening),
    )?.key;
    if (!key || (event.type !== "acknowledge" && !list.fits(event, line))) return null;
    const early = OCCASION.includes(event.type) && unread() ? ["out-of-order"] : [];
    // What was remedied is kept, and the fastening goes on asking for its torque.
    if (event.remedy) {
      begun.given.set(`${key} ${begun.given.size}`, event);
      return early;
    }
    begun.given.set(key, event);
    if (event.type === "reading") return [...early, ...learn(event)];
    return event.type === "torque" && !list.accepts(event, line) ? [...early, "out-of-tolerance"] : early;
  };

  const begin = (event) => {
    if (at.waits !== "begin" || begun || broken || at.step.id !== event.step) return null;
    const occasion = (counts.get(event.step) || 0) + 1;
    if (event.occasion !== occasion || event.content !== at.step.content_digest) return null;
    counts.set(event.step, occasion);
    begun = { step: at.step, check: at.check, repairs: at.repairs, occasion, given: new Map(), done: false };
    path.push(begun);
    return unanswered().length ? ["missing"] : [];
  };

  const done = (event, anew) => {
    if (!begun || broken || begun.step.id !== event.step) return null;
    const left = pending().length > 0;
    if (left && anew) return null;
    const people = 1 + (event.with?.length ?? 0);
    const faults = left || people < (begun.step.takes?.people ?? 1) ? ["missing"] : [];
    for (const { does } of begun.step.lines) if (does.kind === "set") known.set(does.result, { choice: does.value });
    begun.done = true;
    begun.event = event;
    begun.log = log = [];
    begun = null;
    decideLimits();
    if (!broken) at = walk.next().value;
    return faults;
  };

  const sign = (event) => {
    if (at.waits !== "sign" || broken || at.handover.id !== event.handover) return null;
    if (!rolesOf(at.handover).includes(event.role) || signed.has(event.role)) return null;
    signed.set(event.role, event);
    return [];
  };

  const close = (event) => {
    const { outcome } = event;
    if (outcome === "stopped" && !(event.at_stop === (broken || (at.waits === "close" && at.stop))?.id)) return null;
    if (outcome === "handed-over" && (broken || at.waits !== "sign")) return null;
    closed = event;
    const unsigned = outcome === "handed-over" && rolesOf(at.handover).some((role) => !signed.has(role));
    return unsigned || outcome === "broken-off" ? ["missing"] : [];
  };

  const answer = (event) => {
    if (known.has(event.input) || !list.asked.some((input) => input.id === event.input) || !list.fits(event))
      return null;
    const faults = learn(event);
    decideLimits();
    if (at.waits === "decision") at = walk.next().value;
    return faults;
  };

  const takes = new Map(Object.entries({ answer, begin, done, sign, close, note: () => [] }));
  const take = (event, anew) => {
    if (event.type === "open") {
      if (opened) return null;
      opened = event;
      at = walk.next().value;
      decideLimits();
      return [];
    }
    return opened && !closed ? (takes.get(event.type) ?? give)(event, anew) : null;
  };

  // What the job waits for, as a view needs it: things, not ids.
  const now = () => {
    if (closed || !opened) return { waits: "nothing" };
    if (broken) return { waits: "close", limit: broken };
    if (at.waits === "close") return at;
    if (unanswered().length) return { waits: "answer", inputs: unanswered() };
    if (begun) return { waits: "lines", begun, lines: pending() };
    if (at.waits === "begin") return { ...at, occasion: (counts.get(at.step.id) || 0) + 1 };
    return at.waits === "sign" ? { ...at, roles: rolesOf(at.handover).filter((role) => !signed.has(role)) } : at;
  };

  return {
    take,
    now,
    known,
    path,
    signed,
    opening: log,
    get closed() {
      return closed;
    },
    get opened() {
      return opened;
    },
  };
};

export const rolesOf = (handover) => [
  ...new Set(handover.lines.flatMap((line) => (line.kind === "sign" ? line.who : []))),
];

// A name as it is compared with others: case and white space make no other person.
export const person = (name) => name.toLowerCase().replace(/\p{White_Space}/gu, "");
