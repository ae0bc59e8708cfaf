// The page: its state and what acts on it, put together, and what it listens to.

import WORDS from "./words.js";
import { readChecklist } from "./checklist.js";
import { canonical } from "./canonical.js";
import { sha256OfFile } from "./sha256.js";
import { soon } from "./chains.js";
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

// The page is believed what it says of its checklist until there is time to look. By one that is damaged nobody works any more.
const lookAtList = async (app) => {
  const { list } = app;
  if (!list || (await sha256OfFile(new TextEncoder().encode(canonical(list.checklist)))) !== list.digest) refuse(app);
};

const refuse = (app) => {
  app.record = null;
  app.refused = true;
  app.move();
};

// The script stands before the checklist: jobs that are kept are shown before thousands of steps are there.
export const runPage = (root) => {
  const at = (id) => root.getElementById(id);
  const about = root.body.dataset;
  const app = openState(root, about, () =>
    readChecklist(at("checklist").textContent, undefined, unpacked, about.digest),
  );
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
  const early = app.store.keeps();
  if (early) app.move();
  root.addEventListener("DOMContentLoaded", () => {
    if (!early) app.list ? app.move() : refuse(app);
    app.chains.readLater(() => app.record || app.trail.length || app.move());
    soon(() => lookAtList(app));
  });
};
