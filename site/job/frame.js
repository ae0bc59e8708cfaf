// The frame of every view: the bar, the view in one column or two, and what is pressed below it. Nobody passes by what is
// below the fold: as long as it was not in sight, the large button says so and leads there.

import { h, fill, button, quiet } from "./dom.js";
import WORDS from "./words.js";

// Two columns: what to do, and beside it what is pressed or typed. The style sheet asks the same.
const WIDE = "(min-width: 60rem) and (orientation: landscape)";

// Further from the end than this many pixels, something is hidden.
const CLOSE = 12;

// `redraw` draws the view anew, `rest` makes the large button deaf for a moment: it means something else now.
export const openFrame = (root, redraw, rest) => {
  const at = (id) => root.getElementById(id);
  const view = at("view");
  const wide = matchMedia(WIDE);
  const deck = at("deck");
  let shown = {};
  let through = true;

  const below = () => root.documentElement.scrollHeight - innerHeight - scrollY > CLOSE;
  const label = () => {
    const { main } = shown;
    const { says } = main ?? {};
    const to = at("main");
    if (to) fill(to, through ? (says?.call ? says() : says) : WORDS.moreBelow);
    // A view whose answers are buttons has no large button, until there is something below.
    if (to) to.hidden = !main && through;
  };
  const look = () => {
    if (!through && !below()) {
      through = true;
      label();
      rest();
    }
  };

  // A picture that comes later makes the view longer, and the face that comes in sets other lines than the one before it.
  const settle = () => {
    if (!shown.through || scrollY) return;
    through = !below();
    label();
  };
  view.addEventListener("load", settle, true);
  root.fonts?.addEventListener("loadingdone", settle);
  wide.addEventListener("change", redraw);
  addEventListener("scroll", look, { passive: true });
  addEventListener("resize", look);

  return {
    wide: () => wide.matches,
    label,

    // Whether everything was in sight. If not, it goes on to what was not.
    through() {
      look();
      const before = through;
      if (!through)
        scrollBy({
          top: Math.max(120, innerHeight - at("bar").offsetHeight - deck.offsetHeight - 24),
          behavior: "instant",
        });
      look();
      return before;
    },

    // Draws a view. `anew` says that it is another one, of which nothing was in sight yet.
    draw(next, warning, before, press, resting, anew) {
      const two = wide.matches && next.side;
      shown = next;
      fill(
        view,
        h(two ? "div.view.two" : "div.view", warning, h("div.left", next.body), next.side && h("div.right", next.side)),
      );
      root.body.classList.toggle("wide", Boolean(two));
      if (anew) scrollTo(0, 0);
      if (anew || !next.through) through = !next.through;
      fill(
        deck,
        before,
        next.more,
        next.hint && quiet(next.hint),
        (next.main || next.through) && button("", press, { class: "main", id: "main", "aria-disabled": resting }),
      );
      if (!through && !below()) through = true;
      label();
    },
  };
};
