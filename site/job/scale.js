// The scale of a reading: what each stretch of it leads to, to scale, and where the reading falls.

import { add, compare, divide, exact, approximate } from "./exact.js";
import { h, s } from "./dom.js";

const TWO = exact("2");
const middle = (a, b) => divide(add(a, b), TWO);

// Cuts `low` to `high` where the class of a value changes. `classOf` gives a number, or null where no reading can fall: the
// gap between 45 mm and 46 mm, when only whole millimetres are read, is shared by its neighbours.
export const cells = (low, high, bounds, classOf) => {
  const inside = bounds.filter((b) => compare(b, low) > 0 && compare(b, high) < 0).sort(compare);
  const points = [low, ...inside.filter((b, i) => !i || compare(b, inside[i - 1])), high];
  const found = [];
  const put = (from, to, at, first = from) => {
    const last = found.at(-1);
    if (last && last.at === at) last.to = to;
    else if (compare(from, to)) found.push({ from, to, at, first });
  };
  points.slice(1).forEach((to, i) => {
    const from = points[i];
    const at = classOf(middle(from, to));
    if (at !== null) return put(from, to, at);
    const half = middle(from, to);
    put(from, half, classOf(from));
    put(half, to, classOf(to), to);
  });
  return found.filter((cell) => cell.at !== null);
};

const WIDTH = 640;
const SIGNS = new Map([
  [true, "✓"],
  [false, "✕"],
]);

const between = (least, at, most) => Math.max(least, Math.min(most, at));
const text = (at, y, sort, words) => s("text", { x: at, y, "text-anchor": "middle", class: sort }, words);
const axis = (x1, x2, y2) => s("line", { x1, x2, y1: 58, y2, class: "axis" });
const sign = (classes, at) => SIGNS.get(classes[at].good) ?? at + 1;

// Where a value stands, in a drawing of this width.
const places = (low, high, width) => {
  const [from, to] = [approximate(low), approximate(high)];
  return (a) => between(0, (approximate(a) - from) / (to - from || 1), 1) * (width - 20) + 10;
};

// A band for each stretch, with its sign where there is room.
const bands = (found, classes, here, x) =>
  found.map((cell) => {
    const [left, right] = [x(cell.from), x(cell.to)];
    const sort = `band${cell === here ? " here" : ""}${classes[cell.at].good === false ? " out" : ""}`;
    return [
      s("rect", { x: left, y: 30, width: Math.max(1, right - left), height: 28, class: sort }),
      right - left > 20 && text((left + right) / 2, 49, cell === here && "on", sign(classes, cell.at)),
    ];
  });

// A tick where a stretch begins, and at both ends; its value where it has room between the last one and the end.
const ticks = ({ low, high, found, show }, x, width) => {
  let last = -100;
  return [{ from: low, first: low }, ...found.slice(1), { from: high, first: high }].map(
    ({ from: at, first }, i, all) => {
      const where = x(at);
      const words = show(first);
      const half = words.length * 4.2;
      const centre = between(half, where, width - half);
      const crowded =
        centre - half < last + 6 || (i + 1 < all.length && centre + half > width - show(high).length * 8.4 - 6 && i);
      if (!crowded) last = centre + half;
      return [axis(where, where, 63), !crowded && text(centre, 77, null, words)];
    },
  );
};

// The value that was read.
const mark = (where, words, width) => {
  const half = words.length * 4.8;
  return [
    s("path", { d: `M${where} 58V30L${where - 8} 18H${where + 8}L${where} 30`, class: "mark" }),
    text(between(half, where, width - half), 13, "at", words),
  ];
};

// What each class leads to, under the drawing.
const legend = (found, classes, here) => {
  const seen = [...new Set(found.map((cell) => cell.at))].filter((at) => classes[at].words);
  return (
    seen.length &&
    h(
      "ul.legend",
      seen.map((at) =>
        h(
          "li",
          { class: here?.at === at && "here" },
          h("span.k", { "aria-hidden": true }, sign(classes, at)),
          h("span", classes[at].words),
        ),
      ),
    )
  );
};

// `classes[i]` is { words, good }; `value` may be null, and `classHere` is its class; `show` prints a value in the technician's unit.
export const scale = (about) => {
  const { low, high, found, classes, value, classHere, show, title, room = WIDTH } = about;
  const width = between(280, room, WIDTH);
  const x = places(low, high, width);
  const inside = (from, to) => compare(value, from) >= 0 && compare(value, to) <= 0;
  const inRange = value && inside(low, high);
  const here = inRange && found.find((cell) => cell.at === classHere && inside(cell.from, cell.to));
  return h(
    "div.scale",
    s(
      "svg",
      { viewBox: `0 0 ${width} 82`, role: "img", "aria-label": title },
      bands(found, classes, here, x),
      axis(10, width - 10, 58),
      ticks(about, x, width),
      inRange && mark(x(value), show(value), width),
    ),
    legend(found, classes, here),
  );
};
