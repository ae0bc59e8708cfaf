// The frame of every view: the bar, the view in one column or two, and what is pressed below it. Nobody passes by what is
// below the fold: as long as it was not in sight, the large button says so and leads there.

import { h, fill, button, quiet } from "./dom.js";
import WORDS from "./words.js";

// Two columns: what to do, and beside it what is pressed or typed. The style sheet asks the same.
const WIDE = "(min-width: 60rem) and (orientation: landscape)";

// Further from the end than this many pixels, something is hidden.
const CLOSE = 12;

// What the large button says. A view whose answers are buttons has none, until there is something below.
const label = (to, main, through) => {
  if (!to) return;
  const says = main?.says;
  fill(to, through ? (says?.call ? says() : says) : WORDS.moreBelow);
  to.hidden = !main && through;
};

const drawView = (view, { body, side }, two, warning) =>
  fill(view, h(two ? "div.view.two" : "div.view", warning, h("div.left", body), side && h("div.right", side)));

// On by what is in sight between the bar and what is pressed.
const onward = (bar, deck) =>
  scrollBy({ top: Math.max(120, innerHeight - bar.offsetHeight - deck.offsetHeight - 24), behavior: "instant" });

// `redraw` draws the view anew, `rest` makes the large button deaf for a moment: it means something else now.
export const openFrame = (root, redraw, rest) => {
  const at = (id) => root.getElementById(id);
  const view = at("view");
  const wide = matchMedia(WIDE);
  const deck = at("deck");
  let shown = {};
  let through = true;

  const below = () => root.documentElement.scrollHeight - innerHeight - scrollY > CLOSE;
  const relabel = () => label(at("main"), shown.main, through);
  const look = () => {
    if (!through && !below()) {
      through = true;
      relabel();
      rest();
    }
  };

  // A picture that comes later makes the view longer, and the face that comes in sets other lines than the one before it.
  const settle = () => {
    if (!shown.through || scrollY) return;
    through = !below();
    relabel();
  };
  view.addEventListener("load", settle, true);
  root.fonts?.addEventListener("loadingdone", settle);
  wide.addEventListener("change", redraw);
  addEventListener("scroll", look, { passive: true });
  addEventListener("resize", look);

  // Whether everything was in sight. If not, it goes on to what was not.
  const seen = () => {
    look();
    const before = through;
    if (!through) onward(at("bar"), deck);
    look();
    return before;
  };

  // The large button, which first leads to whatever was not in sight; where messages are to be read, the first of these.
  const press = () => {
    if (!seen()) return;
    if (shown.main) shown.main.press();
    else view.querySelector(".confirm .main")?.click();
  };

  return {
    wide: () => wide.matches,
    label: relabel,
    through: seen,
    press,

    // How wide a drawing may be.
    room: () => (wide.matches ? 560 : view.clientWidth - 60),

    // Draws a view. `anew` says that it is another one, of which nothing was in sight yet.
    draw(next, warning, before, resting, anew) {
      const two = wide.matches && next.side;
      shown = next;
      drawView(view, next, two, warning);
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
      relabel();
    },
  };
};
