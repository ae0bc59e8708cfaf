// What comes and goes as a file: a record that is saved or opened, and pictures.

import { sentence } from "./dom.js";
import WORDS from "./words.js";
import { replayAll } from "./record.js";
import { shrunk, gathered, MOST_BYTES } from "./photos.js";
import { packed } from "./zip.js";
import { download, file, fileName } from "./download.js";
import { sha256OfFile } from "./sha256.js";
import { readRecord, takePhotos, joined, openedView } from "./open.js";
import { revisionView } from "./revision.js";
import { eventsSoFar, isOurs, resume, takeUp } from "./keeping.js";
import { workAs } from "./state.js";

// Saves the lines alone, or an archive of them and the pictures, under a name that tells the job; gives how many pictures are not at hand.
export const saveLines = async ({ list, photos }, job, lines, events) => {
  const { all, lost } = await gathered(photos, events);
  const saved = file(lines);
  download(fileName(list, job, all.size), all.size ? packed(new Uint8Array(await saved.arrayBuffer()), all) : saved);
  return lost;
};

// Saves the record of the job in hand.
export const saveRecord = async (app) => {
  const events = eventsSoFar(app);
  const lost = await saveLines(app, events[0].job, app.lines, events);
  if (lost) app.warning = sentence(WORDS.photosLost, { n: lost });
  app.ui.saved = true;
  app.redraw();
};

// Writes a picture down by its digest, with `finish`; gives what is wrong with it.
export const addPhoto = async (app, line, picked, finish) => {
  if (!/^image\/[a-z0-9.+-]+$/.test(picked.type)) return WORDS.noPicture;
  const picture = await shrunk(picked);
  if (picture.size > MOST_BYTES) return WORDS.largePicture;
  const bytes = await picture.arrayBuffer();
  const sha256 = await sha256OfFile(bytes);
  if (!(await app.photos.keep(sha256, bytes))) app.warning ||= WORDS.photoHere;
  const ending = picture.type.slice(6).replace("jpeg", "jpg").replace(/\W.*/, "").slice(0, 5);
  finish({
    type: "photo",
    line,
    file: `${sha256}.${ending}`,
    media_type: picture.type,
    bytes: bytes.byteLength,
    sha256,
  });
  return "";
};

// Shows a record that was opened: closed as it is; open with who carries it on, if need be under this checklist.
const showOpened = (app, job, events, later) => {
  if (events.at(-1).type === "close") {
    resume(app, job);
    app.move();
  } else if (isOurs(app, events))
    app.go({
      view: openedView,
      about: events[0],
      later,
      press(name) {
        takeUp(app, job);
        workAs(app, name);
        app.act({ type: "note", text: WORDS.carriedOn });
      },
    });
  else {
    takeUp(app, job);
    app.record = null;
    app.go({ view: revisionView, job, events });
  }
};

// Takes a record from a file; gives what is wrong with it.
export const openFile = async (app, buffer) => {
  const { list, store, photos, taken } = app;
  const found = readRecord(buffer, app);
  if (found.fault) return found.fault;
  const { fault, job, lines: whole, later } = joined(store, found);
  if (fault) return fault;
  const events = app.chains.eventsOf(job, whole);
  if (events.at(-1).type === "close" && !isOurs(app, events)) return WORDS.closedOther;
  if (events.length < whole.length) return WORDS.brokenChain;
  // Whatever such a record asks of this page shows here, before it is taken over.
  replayAll(list, events);
  const wrong = await takePhotos(photos, found);
  if (wrong) app.warning = sentence(WORDS.photosWrong, { n: wrong });
  taken.set(job, whole);
  showOpened(app, job, events, later);
  return "";
};
