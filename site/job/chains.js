// The chains of the jobs that this device keeps. A slow tablet takes seconds to read one of thousands of events, and the first view does
// not wait for that: what it tells of a job stands in the first line and the last. The others are read when the page has time, or where
// somebody presses on.

import { FIRST, unseal } from "./record.js";

// So many lines are read before the page looks again whether somebody waits.
const AT_ONCE = 50;

// Calls when there is time.
export const soon = globalThis.requestIdleCallback ?? ((call) => setTimeout(call, 20));

// Reads on by so many lines, up to the first that is not as it was written.
const readOn = (one, most) => {
  const { lines, events } = one;
  for (let n = 0; n < most && !one.read; n++) {
    const event = unseal(lines[events.length], events.length + 1, events.at(-1)?.digest ?? FIRST);
    if (event) events.push(event);
    else one.read = true;
  }
  return events;
};

export const openChains = (store) => {
  const jobs = new Map();
  // What was read of a job is good as long as its lines are the same.
  const known = (job, lines) => {
    const had = jobs.get(job);
    const same = had?.lines.length === lines.length && had.lines.every((line, i) => line === lines[i]);
    const one = same ? had : { lines, events: [] };
    jobs.set(job, one);
    return one;
  };
  return {
    // Every event of a job, up to the first that is not as it was written.
    eventsOf: (job, lines) => readOn(known(job, lines), Infinity),

    // The events that tell what a job is about, and whether it is whole: all of them where they were read, else the first and the last as
    // they stand.
    telling(job, lines) {
      const one = known(job, lines);
      try {
        const ends = [0, -1].map((i) => JSON.parse(lines.at(i)));
        if (!one.read && ends.every(({ type }) => type)) return { events: ends, whole: true };
      } catch {
        // A line that is cut off: the events tell how far all is well.
      }
      const events = readOn(one, Infinity);
      return { events, whole: events.length === lines.length };
    },

    // Reads when there is time, and calls back where all of the events tell something else than the first and the last did. Then full
    // runs are folded: of what was read well, for a damaged line stays where it is.
    readLater(other) {
      const look = () => {
        const one = [...jobs.values()].find(({ read }) => !read);
        if (!one) {
          if ([...jobs].some(([job, { lines, events }]) => store.fold(job, lines.slice(0, events.length)))) soon(look);
          return;
        }
        const { length } = readOn(one, AT_ONCE);
        if (one.read && (length < one.lines.length || one.events.some(({ type }) => type === "revise"))) other();
        soon(look);
      };
      soon(look);
    },
  };
};
