// What an event of a record must look like (shape.js says how these lines are read).

import { shapesOf, ofVersion1 } from "./shape.js";

const fits = shapesOf(`
format name:t version:t
given value:m unit:t
definition id:t revision?:t digest:h
event type=open format:format checklist:definition job:t device?:t
event type=answer input:t choice?:t amount?:given
event type=begin step:t occasion:c content:h
event type=acknowledge line:t
event type=reading line:t input:t choice?:t amount?:given typed?:given tool?:t instrument?:t
event type=torque line:t fastening:c amount:given clicked?:f remedy?:s tool?:t instrument?:t
event type=text line:t text:s
event type=photo line:t file:o media_type:t bytes:w sha256:h
event type=leave-out line:t reason:s
event type=done step:t with?:[p
event type=sign handover:t role:t name:p drawing?:g reason?:s
event type=close outcome:handed-over|stopped|broken-off at_stop?:t reason?:s
event type=note text:s
event type=correct event:c choice?:t amount?:given text?:s reason:s
event type=withdraw event:c reason:s
event type=revise checklist:definition reason:s
every seq:c prev:h at:d by:p type:t digest:h`);

const has = (event, ...names) => names.filter((name) => Object.hasOwn(event, name)).length;

export const isEvent = (value) => {
  if (!fits(value, "every") || !fits(value, "event")) return false;
  switch (value.type) {
    case "open":
      return ofVersion1(value.format, "fitwright-record");
    case "answer":
    case "reading":
      return has(value, "choice", "amount") === 1;
    case "correct":
      return has(value, "choice", "amount", "text") === 1;
    case "close":
      return value.outcome === "handed-over" || has(value, value.outcome === "stopped" ? "at_stop" : "reason") === 1;
    default:
      return true;
  }
};
