// What the page knows while it stands open: the checklist, what this device prefers and keeps, the job in hand, and where in it
// the page is. The other modules act on it.

import WORDS from "./words.js";
import { openStore, readPreferences, writePreferences } from "./store.js";
import { openMemory } from "./memory.js";
import { openPhotos } from "./photos.js";
import { formatter } from "./format.js";

export const openState = (root, list) => {
  const { procedure, inputs } = list;
  const store = openStore(procedure.id);
  const kept = readPreferences();
  let sign = kept.sign;
  const preferences = {
    system: [...inputs.values()].some((input) => input.low?.unit.includes("[")) ? "inch" : "metric",
    ...kept,
    // The browser's, until another is chosen. Asked for with the first decimals: the first view would wait for the answer.
    get sign() {
      return (sign ??= (1.5).toLocaleString().includes(",") ? "," : ".");
    },
    set sign(chosen) {
      sign = chosen;
    },
  };
  return {
    list,
    store,
    preferences,
    memory: openMemory(procedure.id),
    photos: openPhotos(),
    wording: formatter(list, preferences),
    warning: store.works ? "" : WORDS.notKept,
    at: (id) => root.getElementById(id),
    coarse: () => matchMedia("(any-pointer: coarse)").matches,
    shared() {
      return { list, preferences, wording: this.wording };
    },

    // The job in hand: its id, its lines as they are kept, what follows from them, and who works on it.
    id: null,
    lines: [],
    record: null,
    by: "",
    get job() {
      return this.record?.job;
    },
    get now() {
      return this.job.now();
    },
    // Lines of jobs that were opened from a file, for browsers that keep nothing.
    taken: new Map(),

    // The side views that lead away from the job's own, the last one on top; what the view in sight holds; and in which step the page was.
    trail: [],
    ui: {},
    stepBefore: "",
  };
};

// Keeps what a person prefers.
export const prefer = ({ preferences }, change) => {
  Object.assign(preferences, change);
  writePreferences(preferences);
};

// From now on this person works.
export const workAs = (app, name) => {
  app.by = name;
  prefer(app, { name });
};
