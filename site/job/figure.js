// Pictures of a step: balloons on the picture, the legend beneath, the number under which everybody speaks of it.

import { h, s, soft, sentence } from "./dom.js";
import WORDS from "./words.js";
import { evaluate } from "./conditions.js";

// How far a balloon stands beside the place that it points at, and how large it is, in pixels.
const BESIDE = 17;
const RING = 11;

// Away from the middle of the picture, where there is room, and above: as on paper.
const balloon = ({ number, across, down }) => {
  const [x, y] = [Number(across), Number(down)];
  const left = x < 50 ? x >= 10 : x > 90;
  const [cx, cy] = [left ? -BESIDE : BESIDE, y < 15 ? BESIDE : -BESIDE];
  return s(
    "svg",
    { x: `${x}%`, y: `${y}%`, overflow: "visible" },
    s("path.halo", { d: `M0 0 L${cx} ${cy}` }),
    s("path", { d: `M0 0 L${cx} ${cy}` }),
    s("circle.dot", { r: 3 }),
    s("circle", { cx, cy, r: RING }),
    s("text", { x: cx, y: cy, dy: ".36em" }, String(number)),
  );
};

// Each number once, in its order.
const legend = (callouts) =>
  h(
    "ul.called",
    [...new Map(callouts.map((one) => [one.number, one.title]))]
      .sort(([one], [other]) => one - other)
      .map(([number, title]) => h("li", h("b", String(number)), " ", h("span", title))),
  );

// As wide as there is room for, and not higher than a view; which of the two, the picture itself tells.
const HIGHEST = 24;
const fit = ({ target }) => {
  const { naturalWidth: wide, naturalHeight: high } = target;
  if (wide && high) target.parentElement.style.maxWidth = `${(HIGHEST * wide) / high}rem`;
};

// A picture, unless this job's fitting has it not.
export const figure = ({ list: all, job }, { asset: path, alt, number, when, when_words: only, callouts = [] }) => {
  const asset = all.assets.get(path);
  if (!asset || (when && evaluate(when, job.known, all.units) === false)) return null;
  return h(
    "figure",
    h(
      "div.picture",
      h("img", { onload: fit, src: `data:${asset.media_type};base64,${asset.data}`, alt }),
      callouts.length > 0 && s("svg.callouts", { "aria-hidden": true }, callouts.map(balloon)),
    ),
    callouts.length > 0 && legend(callouts),
    h(
      "figcaption",
      number && [h("b", sentence(WORDS.tell.figure, { number }), "."), " "],
      h("span", { "aria-hidden": true }, alt),
      only && [" ", soft(sentence(WORDS.onlyFor, { when: only }))],
    ),
  );
};

// What the text of a step speaks of and other steps show, folded: nobody leafs back on a tablet.
export const spokenOf = (app, { lines }) => {
  const named = lines.flatMap(({ does }) => does.prose?.mentions ?? []).filter((one) => one.figure);
  const shown = new Set(lines.map(({ does }) => does.figure));
  const wanted = new Map(named.filter((one) => !shown.has(one.figure)).map((one) => [one.figure, one]));
  return [...wanted.values()].map((one) => {
    const line = [...app.list.lines.values()].find(({ does }) => does.kind === "figure" && does.figure === one.figure);
    const drawn = line && figure(app, line.does);
    return drawn && h("details", h("summary", sentence(WORDS.tell.figure, { number: line.does.number })), drawn);
  });
};
