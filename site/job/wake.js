// Keeps the screen on while a job is open: hands are full, and a glove wakes no screen. Browsers that can't leave it out.

export const stayAwake = (working) => {
  let lock = null;
  let asking = false;
  // To be called where the view has changed; a lock is lost whenever the page is hidden.
  const look = async () => {
    if (!navigator.wakeLock || asking) return;
    if (!working()) {
      lock?.release();
      lock = null;
    } else if (document.visibilityState === "visible" && (!lock || lock.released)) {
      asking = true;
      lock = await navigator.wakeLock.request("screen").catch(() => null);
      asking = false;
    }
  };
  document.addEventListener("visibilitychange", look);
  return look;
};
