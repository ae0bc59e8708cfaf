// The page: its state and what acts on it, put together, and what it listens to.

import { fill, heading, paragraph } from "./dom.js";
import WORDS from "./words.js";
import { readChecklist } from "./checklist.js";
import { unpacked } from "./packed.js";
import { stayAwake } from "./wake.js";
import { openFrame } from "./frame.js";
import { openState } from "./state.js";
import { openRest } from "./rest.js";
import { mend, takenElsewhere } from "./keeping.js";
import { placeOf } from "./trail.js";
import { menuView } from "./side.js";
import { actsOf } from "./acts.js";
import { listenToKeys } from "./keys.js";

// What is typed by halves is kept with every stroke.
const keepTyped = (app, root) => {
  for (const type of ["input", "kept", "click"])
    root.addEventListener(type, () => {
      const typed = placeOf(app);
      if (typed !== null) app.memory.keep(typed, app.ui);
    });
};

// Other windows write to the same job, and what the browser keeps may be taken away.
const watchStore = (app) => {
  const working = () => app.record && !app.job.closed;
  app.store.watch(
    (job) => {
      if (job !== app.id || !app.record) return;
      takenElsewhere(app);
      app.redraw();
    },
    () => {
      if (working() && app.lines.length && mend(app)) app.redraw();
    },
  );
  document.addEventListener("visibilitychange", () => {
    if (working() && mend(app)) app.redraw();
  });
};

export const runPage = (root) => {
  const at = (id) => root.getElementById(id);
  const list = readChecklist(at("checklist").textContent, undefined, unpacked);
  if (!list) return fill(at("view"), heading(WORDS.unreadable), paragraph(WORDS.unreadableWhy));
  const app = openState(root, list);
  Object.assign(app, actsOf(app));
  app.rest = openRest(root);
  app.frame = openFrame(root, app.redraw, () => app.rest.start(false));
  app.awake = stayAwake(() => app.record && !app.job.closed);
  at("menu").append(WORDS.menu);
  at("menu").addEventListener("click", () => app.go({ view: menuView }));
  listenToKeys(app, root);
  keepTyped(app, root);
  watchStore(app);
  app.memory.take();
  app.move();
  // Before a press waits for it.
  globalThis.requestIdleCallback?.(() => list.digest);
};
