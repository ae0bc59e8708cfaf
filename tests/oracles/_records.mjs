// Makes up records of jobs, as the job page would write them: the page's own modules walk the checklist and say what is asked for
// next. What is answered is drawn by chance from known distributions, the same for the same seed. All people are invented.
//
//   node tests/oracles/_records.mjs CHECKLIST FOLDER COUNT [SEED]     writes FOLDER/job-0001.jsonl …
//
// procedures/records was made by:  node tests/oracles/_records.mjs procedures/records/checklist.json procedures/records 50 1
import fs from "fs";
import path from "path";
import { createHash } from "crypto";
import { fileURLToPath } from "url";
import { askedLine, readChecklist } from "../../site/job/checklist.js";
import { base, untrue } from "../../site/job/conditions.js";
import { canonical } from "../../site/job/canonical.js";
import { replay } from "../../site/job/record.js";

// A source of chance that is the same everywhere (splitmix32), and what is drawn from it.
export const chance = (seed) => {
  let state = seed >>> 0;
  const next = () => {
    state = (state + 0x9e3779b9) >>> 0;
    let z = state;
    z = Math.imul(z ^ (z >>> 16), 0x85ebca6b);
    z = Math.imul(z ^ (z >>> 13), 0xc2b2ae35);
    return ((z ^ (z >>> 16)) >>> 0) / 2 ** 32;
  };
  return {
    next,
    once: (share) => next() < share,
    of: (all) => all[Math.floor(next() * all.length)],
    // The sum of twelve even draws: as good as normal up to six deviations, and the same on every machine.
    normal: (mean, deviation) => mean + deviation * (Array.from({ length: 12 }, next).reduce((a, b) => a + b) - 6),
  };
};

// Wrenches: the number of each, how far it is off, how it spreads (parts of the tolerance's half width), whether it clicks.
const WRENCHES = [
  { instrument: "TW-03", off: 0.05, spread: 0.18, clicks: false },
  { instrument: "TW-07", off: 0.5, spread: 0.22, clicks: false },
  { instrument: "TW-11", off: 0, spread: 0.1, clicks: true },
];
const FITTERS = ["A. Fitter (invented)", "B. Fitter (invented)", "C. Fitter (invented)"];

// What the demo reads, by input: quarters of an inch about 17 in, more of them than there should be on the last quarter below 20 in.
const READ = {
  "rail-span": (random) => {
    const quarters = random.once(0.22) ? 79 : Math.round(Math.min(79, random.normal(69, 4)));
    return quarters % 4 ? written(quarters / 4, 2).replace(/0$/, "") : String(quarters / 4);
  },
};

const number = (text) => {
  const [above, below = "1"] = text.split("/");
  return Number(above) / Number(below);
};
const written = (value, decimals) => {
  const text = value.toFixed(decimals);
  return /^-0(\.0*)?$/.test(text) ? text.slice(1) : text;
};
const decimalsOf = (text) => (text.split(".")[1] || "").length;

// A multiple of the smallest reading, as text: a fraction where the smallest reading is one.
const multiple = (reads, count) => {
  const [above, below] = reads.split("/");
  return below ? `${count * Number(above)}/${below}` : written(count * Number(reads), decimalsOf(reads));
};

// What is read. Most readings lie low on their scale, and more than they should on the last mark before a limit.
const measured = (input, random) => {
  if (READ[input.id]) return READ[input.id](random);
  const reads = (input.reads || { value: "1" }).value;
  const [low, high] = [input.low, input.high].map((end) => number(end.value) / number(reads));
  const place = random.once(0.2) ? low + 3 : low + Math.abs(random.normal(0, Math.max(1.2, (high - low) / 40)));
  return multiple(reads, Math.round(Math.min(high, Math.max(low, place))));
};

const SECONDS = { s: 1, min: 60, h: 3600 };
const secondsOf = (step) => {
  const time = step.takes?.time;
  const end = time && (time.high || time.low);
  return end ? number(end.value) * (SECONDS[end.unit] || 60) : 60;
};

// One job: its lines. `plan` may replace what is measured and observed: `measured(input, random)`, `chosen(input, random)`.
export const job = (list, seed, plan = {}) => {
  const random = chance(seed * 7919 + 17);
  const record = replay(list);
  const lines = [];
  let prev = "0".repeat(64);
  let clock = Date.UTC(2026, 7, 3, 6) + seed * 5400e3 + Math.floor(random.next() * 600) * 1000;
  const wrench = random.of(WRENCHES);
  const hasty = random.once(plan.hasty ?? 0.04);
  const by = random.of(FITTERS);
  const write = (event, after) => {
    clock += Math.round(after * 1000);
    const at = `${new Date(clock).toISOString().slice(0, 23)}Z`;
    const whole = { seq: lines.length + 1, prev, at, by, ...event };
    whole.digest = createHash("sha256").update(canonical(whole)).digest("hex");
    lines.push(canonical(whole));
    prev = whole.digest;
    record.add(whole);
    if (!record.entries.at(-1).counts) throw new Error(`${whole.type} does not fit at line ${lines.length}`);
    return whole.seq;
  };

  const torque = (line, fastening, pause) => {
    const joint = list.joints.get(line.does.joint);
    const [low, high] = [joint.torque.low, joint.torque.high].map((end) => number(end.value));
    const [middle, half] = [(low + high) / 2, (high - low) / 2];
    const decimals = half < 2 ? 2 : 1;
    const tool = list.placesOf(list.stepsById.get(record.job.begun.step.id)).flat().find((id) => list.tools.get(id).torque);
    const event = (value, more) => ({
      type: "torque", line: line.id, fastening, amount: { value: written(value, decimals), unit: joint.torque.low.unit },
      instrument: wrench.instrument, ...(tool ? { tool } : {}), ...more,
    });
    if (hasty) return write(event(middle, {}), 0.5);
    if (wrench.clicks) return write(event(middle, { clicked: true }), pause);
    const drawn = () => random.normal(middle + half * wrench.off, half * wrench.spread * 1.6);
    const within = (value) => Number(written(value, decimals)) >= low && Number(written(value, decimals)) <= high;
    let value = drawn();
    while (!within(value)) {
      write(event(value, { remedy: "loosened, and tightened again" }), pause);
      value = drawn();
    }
    const seq = write(event(value, {}), pause);
    if (random.once(plan.corrections ?? 0.02))
      write({ type: "correct", event: seq, amount: { value: written(middle, decimals), unit: joint.torque.low.unit }, reason: "typed wrong" }, 2);
    return seq;
  };

  const answer = (ask, line, pause) => {
    const type = ask.type[0];
    if (type === "acknowledge") return write({ type, line: line.id }, 1.5);
    if (type === "torque") return torque(line, ask.fastening, pause);
    if (type === "text") return write({ type, line: line.id, text: line.does.number ? String(line.does.number.most) : "as found" }, pause);
    if (type === "photo") return write({ type: "leave-out", line: line.id, reason: "no camera in the shop" }, pause);
    const input = list.inputs.get(ask.input);
    if (input.values) return write({ type, line: line.id, input: input.id, choice: (plan.chosen ?? chosen)(input, random) }, pause);
    const value = (plan.measured ?? measured)(input, random);
    return write({ type, line: line.id, input: input.id, amount: { value, unit: (input.reads || input.low).unit } }, pause);
  };

  const chosen = ({ values }) => (random.once(0.93) ? values[0].id : random.of(values).id);
  const given = (input) => {
    if (input.values) return { choice: (plan.chosen ?? chosen)(input, random) };
    const [low, high] = [number(input.low.value), number(input.high.value)];
    return { amount: { value: String(Math.round(low + (high - low) * random.normal(plan.given ?? 0.5, 0.02))), unit: input.low.unit } };
  };

  // Answers that the rules allow.
  const answers = (inputs) => {
    for (let tries = 0; tries < 1000; tries++) {
      const all = new Map(inputs.map((input) => [input.id, given(input)]));
      const known = new Map([...all].map(([id, value]) => [id, value.amount ? { ...value, base: base(value.amount, list.units) } : value]));
      if (!list.rules.some((rule) => untrue(rule, known, list.units))) return all;
    }
    throw new Error("no answers are allowed");
  };

  write({ type: "open", format: { name: "fitwright-record", version: "1.1.0" }, job: `Van ${seed} (invented)`,
    checklist: { id: list.procedure.id, digest: list.digest, ...(list.procedure.revision ? { revision: list.procedure.revision.mark } : {}) } }, 0);
  for (let turns = 0; turns < 10000; turns++) {
    const now = record.job.now();
    if (now.waits === "nothing") return lines;
    if (now.waits === "answer") for (const [input, value] of answers(now.inputs)) write({ type: "answer", input, ...value }, 4);
    else if (now.waits === "begin") write({ type: "begin", step: now.step.id, occasion: now.occasion, content: now.step.content_digest }, 3);
    else if (now.waits === "lines" && now.lines.length) {
      const { begun } = record.job;
      const asks = now.lines.map((line) => [line, askedLine(line, begun.given)]).find(([, asks]) => asks.length);
      const entries = begun.step.lines.reduce((sum, line) => sum + askedLine(line, new Map()).length, 0);
      const pause = (secondsOf(begun.step) / (entries + 1)) * Math.exp(random.normal(0, 0.35));
      answer(asks[1][0], asks[0], pause);
    } else if (now.waits === "lines") {
      const { begun } = record.job;
      const entries = begun.step.lines.reduce((sum, line) => sum + askedLine(line, new Map()).length, 0);
      const more = (begun.step.takes?.people ?? 1) > 1 ? { with: ["H. Helper (invented)"] } : {};
      const rest = hasty ? 2 : (secondsOf(begun.step) / (entries + 1)) * Math.exp(random.normal(0.1, 0.4));
      // Whoever looks at the work of others is another person, where the step asks for one.
      write({ type: "done", step: begun.step.id, ...more, ...(begun.step.another_person ? { by: "D. Checker (invented)" } : {}) }, rest);
    } else if (now.waits === "sign" && now.roles.length)
      write({ type: "sign", handover: now.handover.id, role: now.roles[0], name: `${now.roles[0]} (invented)` }, 5);
    else if (now.waits === "sign") write({ type: "close", outcome: "handed-over" }, 2);
    else if (now.waits === "close") write({ type: "close", outcome: "stopped", at_stop: (now.limit || now.stop).id }, 2);
    else throw new Error(`the job waits for ${now.waits}`);
  }
  throw new Error("the job has no end");
};

export const read = (file) => {
  const list = readChecklist(fs.readFileSync(file, "utf8"));
  if (!list) throw new Error(`${file} is no checklist`);
  return list;
};

// Writes so many records into a folder.
export const make = (file, folder, count, seed = 1, plan = {}) => {
  const list = read(file);
  fs.mkdirSync(folder, { recursive: true });
  for (let at = 0; at < count; at++) {
    const name = `job-${String(at + 1).padStart(Math.max(4, String(count).length), "0")}.jsonl`;
    fs.writeFileSync(path.join(folder, name), job(list, seed + at, plan).map((line) => `${line}\n`).join(""));
  }
};

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const [file, folder, count, seed] = process.argv.slice(2);
  if (!count) {
    console.error("node tests/oracles/_records.mjs CHECKLIST FOLDER COUNT [SEED]");
    process.exit(2);
  }
  make(file, folder, Number(count), Number(seed ?? 1));
}
