// What helps the hands and is no part of the record: what was ticked, and what is typed by halves. The browser keeps it beside
// the job, so that a reload loses neither.

const TOP = "fitwright-kept/";
const HANDS = "fitwright-hands";

const read = (name) => {
  try {
    return JSON.parse(localStorage.getItem(name)) ?? {};
  } catch {
    return {};
  }
};

export const openMemory = (procedure) => {
  const name = (job) => `${TOP}${procedure}/${job ?? "new"}`;
  let job;
  let kept = {};
  let whole = "";
  const write = () => {
    const text = JSON.stringify(kept);
    if (text === whole) return;
    whole = text;
    try {
      localStorage.setItem(name(job), text);
    } catch {
      // It is a help, and the job goes on without it.
    }
  };
  return {
    // Takes up what was kept for a job, or for one that is not begun.
    take(next) {
      job = next;
      kept = read(name(job));
      whole = JSON.stringify(kept);
    },
    ticked: (key) => Boolean(kept.ticks?.[key]),
    tick(key, on) {
      (kept.ticks ??= {})[key] = on ? 1 : undefined;
      write();
    },
    // When a clock was started, in milliseconds since 1970.
    begun: (key) => kept.clocks?.[key],
    begin(key, now) {
      (kept.clocks ??= {})[key] = now;
      write();
    },

    // What was typed at this place of the job (so many events into it). What belongs to another place is void.
    typed: (at) => (kept.at === at && kept.ui) || {},
    keep(at, ui) {
      Object.assign(kept, { at, ui });
      write();
    },
    // Names and marks that were typed on this device, the last ones first.
    known: (sort) => read(HANDS)[sort] ?? [],
    know(sort, some) {
      const all = read(HANDS);
      all[sort] = [...new Set([...some, ...(all[sort] ?? [])])].slice(0, 8);
      try {
        localStorage.setItem(HANDS, JSON.stringify(all));
      } catch {
        // They are typed again.
      }
    },
    forget(gone) {
      try {
        localStorage.removeItem(name(gone));
      } catch {
        // There is nothing to forget.
      }
    },
  };
};
