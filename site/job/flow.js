// The walk through the flow of a checklist: it stops where it waits, and goes on when `next` is called. What it goes through is
// `way`: { known, told, holds }, the answers, who is told what followed, and what is true by the answers.

import { evaluate } from "./conditions.js";

function* sure({ holds }, condition, at) {
  for (;;) {
    const result = condition ? holds(condition) : true;
    if (result !== null) return result;
    yield { waits: "decision", at };
  }
}

function* ended(wait) {
  for (;;) yield wait;
}

function* check(way, node) {
  const { step } = node;
  if (!(yield* sure(way, step.when, step.id))) return;
  for (let repairs = 0; ; repairs++) {
    yield { waits: "begin", step, check: node, repairs };
    if (yield* sure(way, { op: "all", of: node.expects }, step.id)) return;
    if (repairs >= (node.repair?.times ?? 0)) break;
    way.told({ failed: node, repairs });
    yield* body(way, node.repair.body);
  }
  if (node.otherwise.kind === "stop") yield* ended({ waits: "close", stop: node.otherwise, check: node });
  way.told({ wentOn: node });
}

function* choose(way, node) {
  while (!way.known.has(node.input)) yield { waits: "decision", at: node.id };
  for (const arm of node.arms) {
    if (!arm.when || !(yield* sure(way, arm.when, node.id))) continue;
    way.told({ chosen: node, arm });
    return yield* body(way, arm.body);
  }
  const rest = node.arms.find((arm) => !arm.when);
  if (!rest) return yield* ended({ waits: "decision", at: node.id });
  way.told({ chosen: node, arm: rest });
  yield* body(way, rest.body);
}

function* body(way, nodes) {
  for (const node of nodes) {
    switch (node.kind) {
      case "step":
        if (yield* sure(way, node.when, node.id)) yield { waits: "begin", step: node };
        break;
      case "check":
        yield* check(way, node);
        break;
      case "choose":
        yield* choose(way, node);
        break;
      case "when": {
        const yes = yield* sure(way, node.if, node.id);
        way.told({ asked: node, yes });
        yield* body(way, yes ? node.then : node.else);
        break;
      }
      case "set":
        way.known.set(node.result, { choice: node.value });
        way.told({ set: node });
        break;
      case "stop":
        yield* ended({ waits: "close", stop: node });
        break;
      default:
        yield* ended({ waits: "sign", handover: node });
    }
  }
}

export function* flow(list, known, told) {
  const way = { known, told, holds: (condition) => evaluate(condition, known, list.units) };
  for (const section of list.flow) {
    if (yield* sure(way, section.when, section.id)) yield* body(way, section.body);
  }
  yield* ended({ waits: "decision", at: null });
}
