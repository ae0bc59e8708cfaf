// Where events are kept: the browser's own storage, one entry for each event, so that to append never writes an old one
// anew. A job lost to an empty battery comes back with what had reached the disk.
//
// Keys: `fitwright/PROCEDURE/JOB/SEQ`. The list of jobs is what the keys say.

const TOP = "fitwright/";

// null where the browser gives none: private windows, a full disk, a policy.
const storage = () => {
  try {
    const own = globalThis.localStorage;
    own.setItem(`${TOP}probe`, "1");
    own.removeItem(`${TOP}probe`);
    return own;
  } catch {
    return null;
  }
};

const key = (procedure, job, seq) => `${TOP}${procedure}/${job}/${String(seq).padStart(6, "0")}`;

// Asks the browser not to clear this storage when it needs room. What it answers is not for a technician to know.
export const askToKeep = () => globalThis.navigator.storage?.persist?.().catch(() => false);

export const openStore = (procedure) => {
  const own = storage();
  const top = `${TOP}${procedure}/`;
  // By their numbers: a list of all names would look each one's value up.
  function* keys() {
    for (let i = 0; i < (own?.length ?? 0); i++) {
      const name = own.key(i);
      if (name.startsWith(top)) yield name;
    }
  }
  return {
    works: Boolean(own),

    // Whether there is any job.
    keeps: () => !keys().next().done,

    // The names of the lines of every job, by its id, in order.
    jobs() {
      const jobs = new Map();
      for (const name of [...keys()].sort()) {
        const job = name.slice(top.length, -7);
        if (!jobs.has(job)) jobs.set(job, []);
        jobs.get(job).push(name);
      }
      return jobs;
    },
    line: (name) => own.getItem(name),
    lines(job) {
      return (this.jobs().get(job) ?? []).map(this.line);
    },

    // "kept", "taken" where another window has written that event, "full", or "none".
    append(job, seq, line) {
      if (!own) return "none";
      const name = key(procedure, job, seq);
      if (own.getItem(name) !== null) return "taken";
      try {
        own.setItem(name, line);
      } catch {
        return "full";
      }
      return own.getItem(name) === line ? "kept" : "full";
    },

    // Writes those of a job's lines anew that are not there any more: "whole" where all were there, "mended", "full", or "none".
    mend(job, lines) {
      if (!own) return "none";
      const gone = lines.map((_, i) => i + 1).filter((seq) => own.getItem(key(procedure, job, seq)) === null);
      const failed = gone.find((seq) => this.append(job, seq, lines[seq - 1]) !== "kept");
      return failed ? "full" : gone.length ? "mended" : "whole";
    },

    forget(job) {
      for (const name of this.jobs().get(job) ?? []) own.removeItem(name);
    },

    // Calls back where another window writes to a job, and where it takes something away.
    watch(heard, emptied) {
      globalThis.addEventListener?.("storage", (event) => {
        if (event.key === null) emptied();
        else if (event.key.startsWith(top)) (event.newValue === null ? emptied : heard)(event.key.split("/")[2]);
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
