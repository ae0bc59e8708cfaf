// What the page knows while it stands open: the checklist, what this device prefers and keeps, the job in hand, and where in it
// the page is. The other modules act on it.

import WORDS from "./words.js";
import { openStore, readPreferences, writePreferences } from "./store.js";
import { openChains } from "./chains.js";
import { openMemory } from "./memory.js";
import { openPhotos } from "./photos.js";
import { formatter } from "./format.js";

// `about` is what the page says of its checklist: id, title, digest, and the mark of the revision where it has one. `read` gives
// the checklist.
export const openState = (root, about, read) => {
  const store = openStore(about.id);
  let { sign, system, ...kept } = readPreferences();
  let list;
  let wording;
  const preferences = {
    ...kept,
    // That of the procedure, until another is chosen.
    get system() {
      return (system ??= [...app.list.inputs.values()].some((one) => one.low?.unit.includes("[")) ? "inch" : "metric");
    },
    set system(chosen) {
      system = chosen;
    },
    // The browser's, until another is chosen. Asked for with the first decimals: the first view would wait for the answer.
    get sign() {
      return (sign ??= (1.5).toLocaleString().includes(",") ? "," : ".");
    },
    set sign(chosen) {
      sign = chosen;
    },
  };
  const app = {
    about,
    // Read where it is first asked for: jobs that are kept are shown without it.
    get list() {
      return (list ??= read());
    },
    get wording() {
      return (wording ??= formatter(app.list, preferences));
    },
    store,
    chains: openChains(store),
    preferences,
    memory: openMemory(about.id),
    photos: openPhotos(),
    warning: store.works ? "" : WORDS.notKept,
    at: (id) => root.getElementById(id),
    coarse: () => matchMedia("(any-pointer: coarse)").matches,
    shared() {
      return { list: app.list, preferences, wording: app.wording };
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
  return app;
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
