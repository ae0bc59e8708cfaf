// Deaf moments: a glove presses twice. For a moment after the view has changed nothing that is pressed counts.

// So long, in milliseconds.
const REST = 350;

export const openRest = (root) => {
  const main = () => root.getElementById("main");
  let rested = 0;
  let buttonRested = 0;
  // Before all of the page is there nothing can be done either.
  const before = (time) => performance.now() < time || root.readyState === "loading";
  const deaf = () => before(rested);
  const resting = () => before(Math.max(rested, buttonRested));
  root.addEventListener(
    "click",
    (event) => {
      if (event.target.closest("#main") ? resting() : deaf()) event.stopPropagation();
    },
    true,
  );
  return {
    // Whether the large button is deaf now.
    resting,

    // The whole page is deaf for a moment, or the large button alone: a key that is pressed must not be lost.
    start(whole) {
      buttonRested = performance.now() + REST;
      if (whole) rested = buttonRested;
      main()?.setAttribute("aria-disabled", "true");
      setTimeout(() => resting() || main()?.removeAttribute("aria-disabled"), REST + 10);
    },
  };
};
