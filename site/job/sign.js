// Signing: a name, and the signature drawn with a finger. Two roles are two people, or there is a reason.

import { h, s, fill, button, quiet, textField, sentence } from "./dom.js";
import WORDS from "./words.js";
import { person } from "./walk.js";
import { faultBox } from "./parts.js";

// The sheet of the format, and the most characters of a drawing.
const SHEET = "0 0 1000 300";
const [WIDE, HIGH, MOST] = [1000, 300, 8000];
// A point nearer to the last one than this adds nothing.
const NEAR = 6;

const line = (d) =>
  s("path", {
    d,
    fill: "none",
    stroke: "currentColor",
    "stroke-width": 5,
    "stroke-linecap": "round",
    "stroke-linejoin": "round",
  });

// A signature as it was drawn.
export const drawnSignature = (drawing, name) =>
  s("svg.signature", { viewBox: SHEET, role: "img", "aria-label": name }, line(drawing));

// A sheet to draw on. What is drawn stands in `ui.drawing`, and outlives the view being drawn anew.
const pad = (ui) => {
  let last = null;
  const path = line(ui.drawing || "");
  const put = (text) => {
    if (ui.drawing.length + text.length > MOST) return;
    ui.drawing += text;
    path.setAttribute("d", ui.drawing);
  };
  const at = (event) => {
    const { left, top, width, height } = sheet.getBoundingClientRect();
    const within = (value, most) => Math.min(most, Math.max(0, Math.round(value * most)));
    return [within((event.clientX - left) / width, WIDE), within((event.clientY - top) / height, HIGH)];
  };
  const lift = () => {
    last = null;
  };
  const sheet = s(
    "svg.pad",
    {
      viewBox: SHEET,
      preserveAspectRatio: "none",
      "aria-hidden": true,
      onpointerdown(event) {
        event.preventDefault();
        sheet.setPointerCapture(event.pointerId);
        last = at(event);
        ui.drawing ??= "";
        put(`M${last.join(" ")}L${last.join(" ")}`);
      },
      onpointermove(event) {
        const next = last && at(event);
        if (!next || Math.hypot(next[0] - last[0], next[1] - last[1]) < NEAR) return;
        last = next;
        put(`L${last.join(" ")}`);
      },
      onpointerup: lift,
      onpointercancel: lift,
    },
    path,
  );
  return h(
    "div",
    quiet(WORDS.drawHint),
    sheet,
    button(
      WORDS.clearDrawing,
      () => {
        ui.drawing = "";
        path.setAttribute("d", "");
      },
      { class: "plain" },
    ),
  );
};

// What is asked of the one who signs as `role`, and what the large button does.
export const signing = (app, handover, role) => {
  const { ui, job } = app;
  const field = textField(ui, "entry", sentence(WORDS.handover.signAs, { role }), {
    missing: WORDS.signMissing,
    most: 200,
  });
  const said = h("div");
  let why = null;
  // The one who has signed under this name already. The fields of the reason come with the fault, once.
  const clash = (name) => {
    const other = [...job.signed].find(([, event]) => person(event.name) === person(name));
    if (!other) return false;
    why ??= textField(ui, "reason", WORDS.whySame, { missing: WORDS.reasonMissing });
    if (!said.childElementCount)
      fill(said, faultBox(sentence(WORDS.samePerson, { name, role: other[0] }), h("div.ask", why.body)));
    return true;
  };
  return {
    body: h("div.ask", field.body, pad(ui), said),
    main: {
      says: sentence(WORDS.signButton, { role }),
      press() {
        const name = field.check();
        if (!name) return;
        const shown = said.childElementCount > 0;
        const same = clash(name);
        if (!same) fill(said);
        if (same && !shown) return;
        const reason = same && why.check();
        if (same && !reason) return;
        app.act({
          type: "sign",
          handover: handover.id,
          role,
          name,
          ...(ui.drawing && { drawing: ui.drawing }),
          ...(reason && { reason }),
        });
      },
    },
  };
};
