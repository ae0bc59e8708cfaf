// What the files must look like: the tolerant reading of both formats. Members that are not named are let through; words of
// a closed list that are not named are refused, because whoever guesses may skip a safety message.
//
// A shape is a test, or an object of shapes; a member whose name ends in `?` may be missing.

const text = (value) => typeof value === "string";
const flag = (value) => typeof value === "boolean";
const whole = (value) => Number.isSafeInteger(value) && value >= 0;
const number = (value) => text(value) && /^-?[0-9]+(\.[0-9]+|\/[1-9][0-9]*)?$/.test(value);
const hex = (value) => text(value) && /^[0-9a-f]{64}$/.test(value);
const words = (...all) => (value) => text(value) && all.includes(value);
const of = (shape) => (value, depth) => Array.isArray(value) && value.every((one) => fits(one, shape, depth));
const some = (shape) => (value, depth) => of(shape)(value, depth) && value.length > 0;
const length = (most) => (value) => text(value) && value.length > 0 && [...value].length <= most;
const later = (shape) => (value, depth) => fits(value, shape(), depth);

// By the member `name`, one of several shapes.
const variants = (name, shapes) => (value, depth) =>
  Boolean(value) && text(value[name]) && Object.hasOwn(shapes, value[name]) && fits(value, shapes[value[name]], depth);

export const fits = (value, shape, depth = 0) => {
  if (depth > 200) return false;
  if (typeof shape === "function") return shape(value, depth + 1);
  if (typeof value !== "object" || value === null || Array.isArray(value)) return false;
  return Object.entries(shape).every(([member, inner]) => {
    const name = member.replace("?", "");
    if (!Object.hasOwn(value, name)) return member.endsWith("?");
    return fits(value[name], inner, depth + 1);
  });
};

const amount = { value: number, unit: text };
const bound = { ...amount, included: flag };
const stated = {
  form: words("exact", "tolerance", "range", "at-least", "at-most", "over", "below"), "value?": amount, "plus_minus?": amount,
  "low?": bound, "high?": bound, shown: text,
};
const sides = { left: later(() => expression), right: later(() => expression) };
const expression = variants("op", {
  fact: { amount }, input: { input: text }, amount: { amount }, number: { value: number },
  add: sides, subtract: sides, multiply: sides, divide: sides,
});
const condition = variants("op", {
  is: { input: text, value: text }, in: { input: text, "low?": bound, "high?": bound },
  all: { of: of(later(() => condition)) }, any: { of: of(later(() => condition)) }, not: { of: later(() => condition) },
  compare: { ...sides, relation: words("at-most", "below", "at-least", "over", "equal") },
});

const title = { id: text, title: text };
const choice = { ...title, values: some({ id: text, label: text }) };
const quantity = { ...title, quantity: text, low: amount, high: amount, "reads?": amount, "tool?": text, shown: text };
const counted = { part: text, "count?": whole };
const stateIs = { state: text, value: text };
const tools = of({ any_of: some(text), count: whole, hold: flag });
const prose = { text, markdown: text, mentions: of({ text, words: text, means: text, "id?": text }) };

const parts = { parts: of(counted) };
const joint = { joint: text };
const turned = { joint: text, tools };
const wired = { circuit: text, points: of(text), tools };
const does = variants("kind", {
  text: { prose }, note: { text },
  message: { signal: words("notice", "caution", "warning", "danger"), hazard: text, nature: text, consequence: text, avoid: text },
  read: { inputs: some(text) }, use: { tools, optional: flag, "benefit?": text }, wear: { protection: of(text) },
  take: parts, remove: { ...parts, tools }, refit: parts, discard: parts, place: joint, snug: turned, tighten: turned,
  loosen: turned, "remove-joint": turned, "refit-joint": joint, connect: wired, disconnect: wired,
  need: { state: stateIs }, make: { state: stateIs }, set: { result: text, value: text }, do: { action: text },
  "record-torque": { joint: text, count: whole }, "record-reading": { input: text }, "record-text": { what: text },
  "record-photo": { what: text }, figure: { asset: text, alt: text },
});

const step = {
  id: text, number: text, title: text, "when?": condition, "takes?": { time: stated, people: whole }, content_digest: hex,
  lines: of({ id: text, does }),
};
const body = of(later(() => node));
const stop = { id: text, text, leave_as: of(stateIs) };
const node = variants("kind", {
  step,
  check: {
    step, expects: of(condition), "repair?": { times: whole, body },
    otherwise: variants("kind", { stop, "go-on": { text } }),
  },
  choose: { id: text, input: text, arms: some({ "when?": condition, words: text, body }) },
  when: { id: text, if: condition, words: text, then: body, else: body },
  set: { id: text, result: text, value: text },
  stop,
  handover: {
    id: text, leave_as: of(stateIs),
    lines: of(variants("kind", {
      sign: { who: of(text) }, show: { text }, keep: { text }, dispose: { text }, note: { text }, text: { prose },
    })),
  },
});

const drive = { kind: words("hex", "hex-socket", "cross-recess", "slot", "hexalobular"), sizes: of(amount), "mark?": text };
const signal = words("notice", "caution", "warning", "danger");

export const CHECKLIST = {
  format: { name: words("fitwright-checklist"), version: (value) => /^1\.[0-9]+\.[0-9]+$/.test(value) },
  features_required: (value) => Array.isArray(value) && value.length === 0,
  compiler: { name: text, version: text },
  source_digest: hex,
  procedure: { ...title, "revision?": { mark: text, date: text }, text: of(prose), fits: of(text), skill: of(text), licence: of(text) },
  units: of({ code: text, symbol: text, quantity: text, base: text, factor: number, offset: number }),
  inputs: of(variants("kind", { option: choice, observe: choice, result: choice, given: quantity, measure: quantity })),
  facts: of({ ...title, value: stated }),
  rules: of({ holds: condition, "when?": condition, reason: text }),
  limits: of({ ...title, "when?": condition, holds: condition, words: text, "after_step?": text, "stop?": text }),
  parts: of({ ...title, "fastener?": { kind: words("bolt", "screw", "stud", "nut", "washer"), "head?": drive }, brings: of(text) }),
  kit: of({ kind: words("bag", "box", "shop"), title: text, "when?": condition, entries: of(counted) }),
  vehicle: of(counted),
  tools: of({ ...title, turns: of(drive), "torque?": stated, "measures?": stated, "reads?": stated }),
  lay_out: of({ any_of: some(text), count: whole, optional: flag, "when?": text }),
  protection: of({ ...title, throughout: flag }),
  hazards: of({ ...title, signal }),
  actions: of({ ...title, needs: of(stateIs) }),
  joints: of({ ...title, "when?": condition, each: of(counted), count: whole, "torque?": stated, "tight?": text }),
  circuits: of({ ...title, "when?": condition, facts: of({ what: text, amount: stated }), metal: text, points: of(title) }),
  states: of({ ...title, values: some({ id: text, label: text }), starts: text, "ends?": text }),
  assets: of({ path: text, media_type: text, sha256: hex, data: text }),
  flow: of({ id: text, number: whole, title: text, "when?": condition, body }),
};

const long = length(4000);
const recorded = { value: (value) => number(value) && value.length <= 20, unit: text };
const valued = (value) => (Object.hasOwn(value, "choice") ? 1 : 0) + (Object.hasOwn(value, "amount") ? 1 : 0) === 1;
const both = (shape, test) => (value, depth) => fits(value, shape, depth) && test(value);
const either = { "choice?": text, "amount?": recorded };
const used = { "tool?": text, "instrument?": text };
const definition = { id: text, "revision?": text, digest: hex };
const corrected = (value) => ["choice", "amount", "text"].filter((name) => Object.hasOwn(value, name)).length === 1;
const count = (value) => whole(value) && value > 0;

export const EVENT = both({ seq: whole, prev: hex, at: (value) => text(value) && moment(value) !== null, by: length(200), type: text, digest: hex },
  variants("type", {
    open: { format: { name: words("fitwright-record"), version: (value) => /^1\.[0-9]+\.[0-9]+$/.test(value) },
      checklist: definition, job: text, "device?": text },
    answer: both({ input: text, ...either }, valued),
    begin: { step: text, occasion: count, content: hex },
    acknowledge: { line: text },
    reading: both({ line: text, input: text, ...either, "typed?": recorded, ...used }, valued),
    torque: { line: text, fastening: count, amount: recorded, ...used },
    text: { line: text, text: long },
    photo: { line: text, file: (value) => text(value) && /^[A-Za-z0-9_-][A-Za-z0-9._-]{0,99}$/.test(value), media_type: text, bytes: whole, sha256: hex },
    "leave-out": { line: text, reason: long },
    done: { step: text, "with?": of(length(200)) },
    sign: { handover: text, role: text, name: length(200) },
    close: variants("outcome", { "handed-over": {}, stopped: { at_stop: text }, "broken-off": { reason: long } }),
    note: { text: long },
    correct: both({ event: count, ...either, "text?": long, reason: long }, corrected),
    withdraw: { event: count, reason: long },
    revise: { checklist: definition, reason: long },
  }));

// Milliseconds of an RFC 3339 moment, or null.
export const moment = (value) => {
  const at = /^(\d{4})-(\d\d)-(\d\d)[Tt](\d\d):(\d\d):(\d\d)(\.\d+)?([Zz]|[+-]\d\d:\d\d)$/.exec(value);
  if (!at) return null;
  const [, year, month, day, hour, minute, second] = at.map(Number);
  const days = new Date(Date.UTC(2000, month, 0)).getUTCDate();
  const leap = (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0;
  if (month < 1 || month > 12 || day < 1 || day > (month === 2 && !leap ? 28 : days)) return null;
  if (hour > 23 || minute > 59 || second > 60) return null;
  const sign = /[+-](\d\d):(\d\d)$/.exec(value);
  if (sign && (Number(sign[1]) > 23 || Number(sign[2]) > 59)) return null;
  const time = Date.parse(value.replace(/:60(?=[.Z+z-])/, ":59").toUpperCase());
  return Number.isNaN(time) ? null : time;
};
