// A code read by the camera (a serial number in bars or dots), where the browser has a reader of codes. Else there is the field alone.

import { h, fill, button, complain } from "./dom.js";
import WORDS from "./words.js";

const can = () => globalThis.BarcodeDetector && navigator.mediaDevices?.getUserMedia;

// A button that opens the camera in its place, until a code is read, the view changes, or it is closed.
export const codeReader = (take) => {
  if (!can()) return null;
  const place = h("div.camera");
  const rest = () =>
    fill(
      place,
      h(
        "div.pair",
        button(WORDS.readCode, () =>
          look().catch(() => {
            rest();
            const said = h("div");
            place.append(said);
            complain(said, WORDS.noCamera);
          }),
        ),
      ),
    );
  const look = async () => {
    const detector = new BarcodeDetector();
    const stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
    const picture = h("video", { playsinline: "", "aria-label": WORDS.readCode });
    picture.muted = true;
    picture.srcObject = stream;
    fill(place, picture, h("div.pair", button(WORDS.closeCamera, rest)));
    try {
      await picture.play();
      while (picture.isConnected) {
        const [code] = await detector.detect(picture);
        const text = code?.rawValue
          .replace(/[\p{Cc}\s]+/gu, " ")
          .trim()
          .slice(0, 200);
        if (text && picture.isConnected) {
          rest();
          take(text);
        } else await new Promise((done) => setTimeout(done, 200));
      }
    } finally {
      for (const track of stream.getTracks()) track.stop();
    }
  };
  rest();
  return place;
};
