// What the page hands out as a file.

import { h } from "./dom.js";

export const download = (name, blob) => {
  const address = URL.createObjectURL(blob);
  h("a", { href: address, download: name }).click();
  setTimeout(() => URL.revokeObjectURL(address), 60000);
};

export const file = (lines) => new Blob(lines.map((line) => `${line}\n`));
