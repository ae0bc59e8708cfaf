// A clock for a wait. It is a help and no event: a step is done when it is said to be done.

import { h, button } from "./dom.js";
import WORDS from "./words.js";
import { base } from "./conditions.js";
import { floor } from "./exact.js";

const shown = (seconds) => {
  const [hours, minutes] = [Math.floor(seconds / 3600), Math.floor(seconds / 60) % 60];
  const two = (n) => String(n).padStart(2, "0");
  return `${hours ? `${hours}:${two(minutes)}` : minutes}:${two(seconds % 60)}`;
};

// How long at least, in whole seconds; nothing where that can't be known.
const least = ({ value, low }, units) => {
  const amount = low ?? value;
  const seconds = amount && base(amount, units);
  return seconds ? Number(floor(seconds)) : 0;
};

// Runs while it is shown, from when it was started, whatever happens to the page meanwhile.
export const clock = ({ memory, list }, key, time) => {
  const all = least(time, list.units);
  if (!all) return null;
  const left = h("b.left", { role: "timer" });
  const told = h("span", { role: "status" });
  const start = button(WORDS.startClock, () => begin(Date.now()));
  const show = () => {
    const began = memory.begun(key);
    const rest = began ? Math.max(0, all - Math.floor((Date.now() - began) / 1000)) : all;
    left.textContent = shown(rest);
    start.textContent = began ? WORDS.clockAgain : WORDS.startClock;
    const over = Boolean(began) && rest === 0;
    if (over && !told.textContent) {
      told.textContent = ` ${WORDS.timeIsUp}`;
      navigator.vibrate?.([300, 200, 300]);
    }
    if (!over) told.textContent = "";
    return Boolean(began) && !over;
  };
  let ticking;
  const run = () => {
    clearInterval(ticking);
    if (show()) ticking = setInterval(() => (left.isConnected && show()) || clearInterval(ticking), 1000);
  };
  const begin = (now) => {
    memory.begin(key, now);
    run();
  };
  // The page is put together before it is shown.
  setTimeout(run);
  show();
  return h("div.clock", left, told, start);
};
