// A record that comes from another device, or from the file: looked at whole before anything of it is taken over.

import { h, button, heading, paragraph, strong, soft, complain, sentence } from "./dom.js";
import WORDS from "./words.js";
import { when } from "./format.js";
import { isEvent } from "./events.js";
import { isArchive, unpacked } from "./zip.js";
import { sha256OfFile } from "./sha256.js";
import { nameField } from "./views.js";

const MOST_BYTES = 512 * 2 ** 20;
const MOST_LINES = 50000;

// What a file holds: { lines, events, photos }, or { fault }.
export const readRecord = (buffer, { about, chains }) => {
  const bytes = new Uint8Array(buffer);
  const parts = isArchive(bytes) ? unpacked(bytes) : { record: bytes, photos: new Map() };
  if (!parts) return { fault: WORDS.badArchive };
  const text = new TextDecoder("utf-8", { ignoreBOM: true }).decode(parts.record);
  const lines = text.split("\n");
  const rest = lines.pop();
  if (!text.startsWith("{") || lines.length > MOST_LINES) return { fault: WORDS.noRecord };
  const events = chains.eventsOf("", lines);
  if (rest || events.length < lines.length) return { fault: sentence(WORDS.alteredAt, { n: events.length + 1 }) };
  const strange = events.findIndex((event, i) => !isEvent(event) || (i === 0 && event.type !== "open"));
  if (strange >= 0) return { fault: sentence(WORDS.strangeAt, { n: strange + 1 }) };
  if (events[0].checklist.id !== about.id) return { fault: sentence(WORDS.otherProcedure, events[0].checklist) };
  return { lines, events, photos: parts.photos };
};

// Takes over the pictures that are those of the record; gives how many are not.
export const takePhotos = async (photos, { events, photos: found }) => {
  let wrong = 0;
  for (const [name, bytes] of found) {
    const buffer = bytes.slice().buffer;
    const digest = await sha256OfFile(buffer);
    if (events.some((event) => event.type === "photo" && event.file === name && event.sha256 === digest))
      await photos.keep(digest, buffer);
    else wrong++;
  }
  return wrong;
};

// The same job on this device, and how the two go together: { job, lines }, or { fault } where they parted.
export const joined = (store, { lines, events }) => {
  const [job, kept] = [...store.jobs()].find(([, some]) => some[0] === lines[0]) ?? [];
  if (!job) return { job: events[0].digest.slice(0, 16), lines };
  if (kept.some((line, i) => i < lines.length && line !== lines[i])) return { fault: WORDS.parted };
  return kept.length > lines.length ? { job, lines: kept, later: true } : { job, lines };
};

// The field for it, under whatever the first view shows.
export const openField = (app) => {
  const said = h("div", { id: "open-fault" });
  const pick = h("input", {
    id: "open-record",
    type: "file",
    accept: ".jsonl,.zip",
    class: "unseen",
    tabindex: -1,
    "aria-hidden": true,
    async onchange() {
      const [file] = pick.files;
      pick.value = "";
      if (!file) return;
      const fault =
        file.size > MOST_BYTES
          ? WORDS.noRecord
          : await app.openFile(await file.arrayBuffer()).catch(() => WORDS.noRecord);
      if (fault) complain(said, fault);
    },
  });
  return h(
    "div.ask.screen",
    paragraph(WORDS.openLead),
    pick,
    button(WORDS.openRecord, () => pick.click()),
    said,
  );
};

// On which vehicle, since when and by whom.
export const whose = ({ job, at, by }) =>
  paragraph(strong(job), " ", soft(sentence(WORDS.since, { when: when(at), by })));

// Asks who carries on.
export const openedView = (app, { about, later, press }) => {
  const name = nameField(app);
  return {
    back: true,
    body: [
      heading(WORDS.openRecord),
      whose(about),
      later && paragraph(WORDS.laterHere),
      paragraph(WORDS.oneDevice),
      h("div.ask", name.body),
    ],
    main: { says: WORDS.carryOn, press: () => name.check() && press(name.check()) },
  };
};
