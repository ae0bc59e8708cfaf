// What the page hands out as a file, and what it is called.

import { h } from "./dom.js";

export const download = (name, blob) => {
  const address = URL.createObjectURL(blob);
  h("a", { href: address, download: name }).click();
  setTimeout(() => URL.revokeObjectURL(address), 60000);
};

export const file = (lines) => new Blob(lines.map((line) => `${line}\n`));

// The name of the file that the record of a job is saved as.
export const fileName = ({ procedure }, job, archive) =>
  `${procedure.id}-${job.replace(/[^A-Za-z0-9]+/g, "-").slice(0, 40)}.${archive ? "zip" : "jsonl"}`;
