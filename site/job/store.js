// Where events are kept: the browser's own storage, one entry for each event, so that to append never writes an old one
// anew. A job lost to an empty battery comes back with what had reached the disk.
//
// A browser loads every entry before it gives the first, and thousands of them take it long. So a full run of events becomes one entry
// when there is time. That is written first, then the single ones are removed, and whoever reads takes both: where the page is closed in
// between, nothing is lost.
//
// Keys: `fitwright/PROCEDURE/JOB/SEQ` of an event, and the same with a `+` of a run, by its first event; its lines stand one under the
// other. The list of jobs is what the keys say.

const TOP = "fitwright/";
const KEY = /\/(\d{6})(\+?)$/;
// So many events are a run.
const RUN = 64;

// null where the browser gives none: private windows, a full disk, a policy.
const storage = () => {
  try {
    const own = localStorage;
    own.setItem(`${TOP}probe`, "1");
    own.removeItem(`${TOP}probe`);
    return own;
  } catch {
    return null;
  }
};

const digits = (seq) => String(seq).padStart(6, "0");
const seqOf = (name) => +KEY.exec(name)[1];
const isRun = (name) => name.endsWith("+");

// The run that an event belongs to.
const runOf = (name) => name.replace(KEY, (_, seq) => `/${digits(seq - ((seq - 1) % RUN))}+`);

// Makes one entry of the first full run among lines that are well and have entries of their own, by `name`; tells whether there was one.
const foldRun = (own, name, lines) => {
  const kept = (line, i) => own?.getItem(name(i)) === line;
  const found = lines.findIndex(kept);
  const first = found - (found % RUN);
  const run = lines.slice(first, first + RUN);
  if (found < 0 || run.length < RUN) return false;
  const to = runOf(name(first));
  const text = run.join("\n");
  try {
    own.setItem(to, text);
  } catch {
    // The single ones stay.
  }
  if (own.getItem(to) !== text) return false;
  run.forEach((line, i) => kept(line, first + i) && own.removeItem(name(first + i)));
  return true;
};

// Asks the browser not to clear this storage when it needs room. What it answers is not for a technician to know.
export const askToKeep = () => navigator.storage?.persist?.().catch(() => false);

export const openStore = (procedure) => {
  const own = storage();
  const top = `${TOP}${procedure}/`;
  // By their numbers: a list of all names would look each one's value up.
  function* keys(job) {
    for (let i = 0; i < own?.length; i++) {
      const name = own.key(i);
      if (name.startsWith(job ? `${top + job}/` : top) && KEY.test(name)) yield name;
    }
  }
  const single = (job, seq) => `${top + job}/${digits(seq)}`;
  return {
    works: Boolean(own),

    // Whether there is any job.
    keeps: () => !keys().next().done,

    // The lines of every job, or of this one, by its id, in order.
    jobs(only) {
      const jobs = new Map();
      for (const name of [...keys(only)].sort()) {
        const job = name.slice(top.length).replace(KEY, "");
        if (!jobs.has(job)) jobs.set(job, []);
        const kept = jobs.get(job);
        const first = seqOf(name);
        own
          .getItem(name)
          .split("\n")
          .forEach((line, i) => (kept[first + i] ??= line));
      }
      for (const [job, lines] of jobs) jobs.set(job, lines.flat());
      return jobs;
    },
    lines(job) {
      return this.jobs(job).get(job) ?? [];
    },

    // "kept", "taken" where another window has written that event, "full", or "none".
    append(job, seq, line) {
      if (!own) return "none";
      const name = single(job, seq);
      if ((own.getItem(name) ?? own.getItem(runOf(name))) !== null) return "taken";
      try {
        own.setItem(name, line);
      } catch {
        return "full";
      }
      return own.getItem(name) === line ? "kept" : "full";
    },

    // Writes those of a job's lines anew that are not there any more: "mended", "full", or nothing where there is nothing to do.
    mend(job, lines) {
      if (!own) return "";
      const there = new Set();
      for (const name of keys(job)) for (let seq = seqOf(name), n = isRun(name) ? RUN : 1; n--; ) there.add(seq + n);
      const gone = lines.map((_, i) => i + 1).filter((seq) => !there.has(seq));
      const failed = gone.find((seq) => this.append(job, seq, lines[seq - 1]) !== "kept");
      return failed ? "full" : gone.length ? "mended" : "";
    },

    fold: (job, lines) => foldRun(own, (i) => single(job, i + 1), lines),

    forget(job) {
      for (const name of [...keys(job)]) own.removeItem(name);
    },

    // Calls back where another window writes to a job, and where it takes something away.
    watch(heard, emptied) {
      addEventListener("storage", ({ key, newValue }) => {
        if (key === null) emptied();
        else if (!key.startsWith(top) || !KEY.test(key)) return;
        else if (newValue === null) own.getItem(runOf(key)) ?? emptied();
        else if (!isRun(key)) heard(key.split("/")[2]);
      });
    },
  };
};

// What a person prefers on this device: units, decimal sign, name.
const PREFERENCES = "fitwright-preferences";

export const readPreferences = () => {
  try {
    const { system, sign, name } = JSON.parse(localStorage.getItem(PREFERENCES)) || {};
    return {
      ...(["metric", "inch"].includes(system) && { system }),
      ...([".", ","].includes(sign) && { sign }),
      ...(typeof name === "string" && { name }),
    };
  } catch {
    return {};
  }
};

export const writePreferences = (preferences) => {
  try {
    localStorage.setItem(PREFERENCES, JSON.stringify(preferences));
  } catch {
    // They are asked again next time.
  }
};
