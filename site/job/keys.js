// The keyboard: Enter is the large button, Escape leads back, Control and Z to what can be undone.

import { undoable } from "./undo.js";
import { undoView } from "./side.js";
import { back } from "./trail.js";

export const listenToKeys = (app, root) =>
  root.addEventListener("keydown", (event) => {
    const { trail } = app;
    const typing = event.target.localName === "input";
    const enter = event.key === "Enter";
    if (enter && (event.ctrlKey || typing || event.repeat)) {
      event.preventDefault();
      if (!event.repeat && !app.rest.resting()) app.frame.press();
    } else if (event.key === "Escape" && trail.length && app.record) back(app);
    else if (event.key === "z" && event.ctrlKey && !typing && !trail.length && undoable(app).length)
      app.go({ view: undoView });
  });
