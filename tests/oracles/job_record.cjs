// The record on the job page, in Debian's browser: a job that moves from one tablet to another, with its photographs; a torque
// that was done again; signatures drawn with a finger, and one person who would sign as two; storage that is emptied under the
// page; thousands of events, of which the browser keeps full runs as one entry; codes read by a camera; mistakes put right; records
// that a stranger made. The long job is made here, in canonical JSON by npm `canonicalize` and with Node's own SHA-256.
const fs = require("fs");
const os = require("os");
const path = require("path");
const zlib = require("zlib");
const { createHash } = require("crypto");
const { pathToFileURL } = require("url");
const { execFileSync } = require("child_process");
const { chromium } = require("playwright-core");
const job = require("./_job.cjs");

const faults = [];
const expect = job.expect(faults);
const inspect = job.inspector(faults);
const top = fs.mkdtempSync(path.join(os.tmpdir(), "fitwright-moving-"));
process.on("exit", () => fs.rmSync(top, { recursive: true, force: true }));

const SOURCE = `
procedure plover-shelf "Plover shelf"
revision A 2026-11-25
use std/fasteners
use std/hand-tools
given load "Load on the shelf" { range 10 kg to 120 kg }
limit shelf-load "The floor bears the load" { load <= 100 kg  else stop "Do not fit the shelf." }
observe level "Does the shelf stand level?" { yes  no }
part bolt   bolt M8 x 40 mm, class 8.8, hex head
part washer washer M8
part nut    nut M8, class 8
part shelf  "Shelf"
kit {
  box   { 1 shelf }
  bag A { 2 bolt, 4 washer, 2 nut }
}
tool wrench "Torque wrench" { torque 8 N.m to 40 N.m }
joint feet "Feet to floor" {
  each bolt, 2 washer, nut
  count 2
  torque 22 N.m +- 2 N.m
  grip 20 mm
}
section fit "Fit the shelf" {
  step set-down "Set the shelf down" {
    take 1 shelf
    record "Serial number of the shelf"
    record photo "The shelf in its place"
  }
  step bolt-down "Bolt the shelf down" {
    place feet
    tighten feet with wrench, socket-13, hold with spanner-13
    record feet torque
  }
  check stand "See how it stands" {
    > Look at the shelf from the door.
    read level
    expect level is yes
    else stop "Take the shelf out again."
  }
  handover { sign installer, customer }
}
`;
fs.writeFileSync(path.join(top, "plover-shelf.fitw"), SOURCE);
job.build(path.join(top, "out"), path.join(top, "plover-shelf.fitw"));
const folder = path.join(top, "out", "plover-shelf");
const file = path.join(folder, "job.html");
const checklist = path.join(folder, "checklist.json");
const START = { name: "A. Fitter", numbers: { load: "60" } };
const words = (page) => page.locator("main").innerText();
const right = (title) => (/^Torque/.test(title) ? "22" : /level/.test(title) ? "yes" : /Serial/.test(title) ? "PS-1042" : title === "picture" ? "take" : "C. Owner");
const linesOf = (text) => text.trimEnd().split("\n");
const eventsOf = (text) => linesOf(text).map((line) => JSON.parse(line));

// A picture of so many pixels, as PNG by its specification (ISO/IEC 15948): grey, without interlace.
const png = (wide, high) => {
  const chunk = (type, data) => {
    const body = Buffer.concat([Buffer.from(type), data]);
    const ends = Buffer.alloc(8);
    ends.writeUInt32BE(data.length, 0);
    ends.writeUInt32BE(zlib.crc32 ? zlib.crc32(body) : crc(body), 4);
    return Buffer.concat([ends.subarray(0, 4), body, ends.subarray(4)]);
  };
  const head = Buffer.alloc(13);
  head.writeUInt32BE(wide, 0);
  head.writeUInt32BE(high, 4);
  head.set([8, 0, 0, 0, 0], 8);
  const rows = Buffer.alloc((wide + 1) * high, 120);
  for (let y = 0; y < high; y++) rows[y * (wide + 1)] = 0;
  return Buffer.concat([Buffer.from([137, 80, 78, 71, 13, 10, 26, 10]), chunk("IHDR", head), chunk("IDAT", zlib.deflateSync(rows)), chunk("IEND", Buffer.alloc(0))]);
};
const crc = (bytes) => {
  let sum = -1;
  for (const byte of bytes) {
    sum ^= byte;
    for (let i = 0; i < 8; i++) sum = sum & 1 ? 0xedb88320 ^ (sum >>> 1) : sum >>> 1;
  }
  return ~sum >>> 0;
};
const picture = path.join(top, "large.png");
fs.writeFileSync(picture, png(3000, 1200));

// An archive, by Python's own writer of archives.
const archive = (name, entries, how = "ZIP_STORED") => {
  const to = path.join(top, name);
  execFileSync("python3", ["-c", `
import json, sys, warnings, zipfile, base64
warnings.simplefilter("ignore")
with zipfile.ZipFile(sys.argv[1], "w", zipfile.${how}) as made:
    for name, data in json.load(sys.stdin):
        made.writestr(name, base64.b64decode(data))
`, to], { input: JSON.stringify(entries.map(([name, data]) => [name, Buffer.from(data).toString("base64")])) });
  return to;
};
const inArchive = (file, name) => execFileSync("python3", ["-c", "import sys, zipfile; sys.stdout.buffer.write(zipfile.ZipFile(sys.argv[1]).read(sys.argv[2]))", file, name], { maxBuffer: 2 ** 26 });
// Width and height of a picture, as the browser reads it.
const sizeOf = async (open, data) => {
  const page = await open.newPage();
  const size = await page.evaluate(async (address) => {
    const picture = await createImageBitmap(await (await fetch(address)).blob());
    return `${picture.width}x${picture.height}`;
  }, `data:image/jpeg;base64,${data.toString("base64")}`);
  await page.close();
  return size;
};
const namesIn = (file) => execFileSync("python3", ["-c", "import sys, zipfile; print('\\n'.join(zipfile.ZipFile(sys.argv[1]).namelist()))", file], { encoding: "utf8" }).trim().split("\n");

const pick = async (page, from) => {
  await page.setInputFiles("#open-record", from);
  await page.waitForTimeout(600);
};
const saveSoFar = async (page) => {
  await page.click("#menu");
  await job.rest(page);
  const [got] = await Promise.all([page.waitForEvent("download"), page.click("text=Save what is done so far")]);
  const to = path.join(fs.mkdtempSync(path.join(top, "saved-")), got.suggestedFilename());
  await got.saveAs(to);
  await page.keyboard.press("Escape");
  await job.rest(page);
  return to;
};
const draw = async (page) => {
  await page.locator(".pad").scrollIntoViewIfNeeded();
  const { x, y, width, height } = await page.locator(".pad").boundingBox();
  await page.mouse.move(x + width * 0.1, y + height * 0.8);
  await page.mouse.down();
  for (const [right, down] of [[0.2, 0.2], [0.3, 0.8], [0.5, 0.3], [0.9, 0.6]]) await page.mouse.move(x + width * right, y + height * down, { steps: 4 });
  await page.mouse.up();
};

// Two tablets: begun on one, with a picture and a torque that was not good; finished on the other; looked at on a third.
async function moving(open) {
  const first = await job.open(open, file, { faults, hasTouch: true });
  await inspect(first, "first view");
  await job.start(first, START);
  await job.main(first);
  await job.go(first, right, { until: (now) => now.photo });
  await first.setInputFiles("#picture", path.join(folder, "checklist.json"));
  await first.waitForTimeout(300);
  expect((await words(first)).includes("is no picture"), "a file that is no picture is taken");
  await first.setInputFiles("#picture", picture);
  await first.waitForSelector("#picture", { state: "detached" });
  await job.rest(first);
  await job.go(first, right, { until: (now) => /Torque 2 of 2/.test(now.entry) });
  await first.fill("#entry", "30");
  await job.main(first);
  await inspect(first, "torque out of tolerance");
  expect((await words(first)).includes("is outside"), "a torque out of tolerance is not said");
  const before = await job.kept(first);
  await first.click("#remedied");
  await job.rest(first);
  expect((await job.kept(first)) === before, "a torque out of tolerance is written down without what was done about it");
  await first.click("text=Loosened, and fitted with new parts");
  await job.rest(first);
  expect((await job.kept(first)) === before + 1 && /Torque 2 of 2/.test((await job.view(first)).entry), "the torque out of tolerance is not kept, or not asked for again");
  const half = await saveSoFar(first);
  expect(half.endsWith(".zip"), `a record with a picture is saved as ${path.basename(half)}`);
  const { code, said } = job.judged(checklist, half);
  expect(code === 1 && /not finished/.test(said) && /written down: Loosened/.test(said) && !/photograph/.test(said), `the compiler says of half a job: ${said}`);

  const second = await job.open(open, file, { faults });
  await pick(second, half);
  await inspect(second, "opened record");
  expect(/Open a record/.test(await job.title(second)), "an opened record does not ask who carries on");
  expect((await job.kept(second)) === 0, "a record is taken over before anybody says so");
  await second.fill("#name", "B. Fitter");
  await job.main(second);
  expect(/Torque 2 of 2/.test((await job.view(second)).entry), "the job does not go on where it was");
  await second.reload();
  await job.rest(second);
  await second.click("text=Carry on");
  await job.rest(second);
  await job.go(second, right, { until: (now) => /^Signs/.test(now.entry) });
  await inspect(second, "signing");
  await second.fill("#entry", "A. Fitter");
  await draw(second);
  await job.main(second);
  await second.fill("#entry", " a. FITTER");
  await draw(second);
  await second.click("text=Clear");
  await draw(second);
  await job.main(second);
  await inspect(second, "same person");
  expect(/has signed as .* already/.test(await words(second)), "one person may sign as two");
  await job.main(second);
  expect((await second.locator("#reason-fault").innerText()).length > 0, "one person signs as two without a reason");
  await second.fill("#entry", "C. Owner");
  await job.main(second);
  await job.main(second);
  expect(/Handed over/.test(await job.title(second)), `the job ends at "${await job.title(second)}"`);
  expect((await second.locator("svg.signature path").count()) === 2, "the signatures are not in the record's view");
  await inspect(second, "closed record");
  const whole = await job.saved(second);
  expect(fs.readFileSync(whole.to).includes("PK") && linesOf(whole.text).slice(0, before + 1).join("\n") === linesOf(job.linesOf(half)).join("\n"), "the chain is not the one that was begun");
  const events = eventsOf(whole.text);
  expect(events.every((event, i) => event.prev === (i ? events[i - 1].digest : "0".repeat(64))), "the chain is broken");
  expect(events.at(before).remedy === "Loosened, and fitted with new parts" && events.at(before).amount.value === "30", "the torque that was not good is not in the record");
  expect(events.filter((event) => event.type === "sign").every((event) => /^(M\d{1,4} \d{1,4}(L\d{1,4} \d{1,4})+)+$/.test(event.drawing)), "the signatures are not drawn as the format asks");
  expect(events.filter((event) => event.by === "B. Fitter").length > 3, "who carried on is not in the record");
  const judged = job.judged(checklist, whole.to);
  expect(judged.code === 0 && /complete: handed over/.test(judged.said), `the compiler refuses the record: ${judged.said}`);

  // The picture is in the archive as it was written down: smaller than it was, and by its digest.
  const photo = events.find((event) => event.type === "photo");
  const data = inArchive(whole.to, `photos/${photo.file}`);
  expect(createHash("sha256").update(data).digest("hex") === photo.sha256 && data.length === photo.bytes && photo.file === `${photo.sha256}.jpg`, "the picture is another one");
  expect(namesIn(whole.to).join() === `record.jsonl,photos/${photo.file}`, `the archive holds ${namesIn(whole.to)}`);
  expect((await sizeOf(open, data)) === "2000x800", "the picture was not made smaller");

  // The first tablet went on by itself: what parted is not joined; what is behind is.
  await pick(await job.open(null, file, { faults, context: second.context() }), whole.to);
  const third = await job.open(open, file, { faults });
  await pick(third, whole.to);
  expect(/Handed over/.test(await job.title(third)) && (await third.locator("svg.signature").count()) === 2, "a finished record cannot be looked at");
  expect((await job.kept(third)) === 0, "a record that is only looked at is kept");
  const again = await job.saved(third);
  expect(fs.readFileSync(again.to).equals(fs.readFileSync(whole.to)), "the same record is saved as another file");
  await job.main(third);
  await pick(third, half);
  await third.fill("#name", "B. Fitter");
  await job.main(third);
  await job.go(third, right);
  expect(/Handed over/.test(await job.title(third)), "a record opened twice comes to no end");
  await third.click("text=New job");
  await job.rest(third);
  await pick(third, whole.to);
  expect(/went on here in another way/.test(await words(third)), "two records that parted are joined");
  await pick(third, half);
  expect(/Handed over/.test(await job.title(third)), "the longer record of the device is not shown");
  for (const page of [first, second, third]) await page.context().close();
  return { whole, half, events };
}

// What a stranger may hand in: each is refused with a word, and nothing of it is kept.
async function hostile(open, { whole, half }) {
  const page = await job.open(open, file, { faults });
  const text = whole.text;
  const lines = linesOf(text);
  const write = (name, data) => { const to = path.join(top, name); fs.writeFileSync(to, data); return to; };
  const digest = (event) => { const { digest: _, ...rest } = event; return createHash("sha256").update(JSON.stringify(sorted(rest))).digest("hex"); };
  const sorted = (value) => (value && typeof value === "object" && !Array.isArray(value) ? Object.fromEntries(Object.keys(value).sort().map((key) => [key, sorted(value[key])])) : Array.isArray(value) ? value.map(sorted) : value);
  // A chain that is in order, of events that are not.
  const forged = (change) => {
    let prev = "0".repeat(64);
    return eventsOf(text).map((event) => {
      const next = { ...event, ...change(event), prev };
      next.digest = prev = digest(next);
      return `${JSON.stringify(sorted(next))}\n`;
    }).join("");
  };
  const photo = namesIn(whole.to)[1];
  const bytes = fs.readFileSync(whole.to);
  const flipped = Buffer.from(bytes);
  flipped[200] ^= 1;
  const encrypted = Buffer.from(bytes);
  encrypted[bytes.indexOf("PK\x01\x02") + 8] |= 1;
  const cases = {
    "a changed line": [write("changed.jsonl", text.replace("PS-1042", "PS-1043")), /Line \d+ of this record was altered/],
    "a line that is missing": [write("missing.jsonl", lines.filter((_, i) => i !== 5).join("\n") + "\n"), /Line 6 of this record was altered/],
    "a line that is cut off": [write("cut.jsonl", text.slice(0, -20)), /was altered, or is cut off/],
    "an empty file": [write("empty.jsonl", ""), /no record of a job/],
    "a picture": [picture, /no record of a job/],
    "markup": [write("page.jsonl", "<script>alert(1)</script>"), /no record of a job/],
    "a checklist": [checklist, /altered|no record/],
    "another procedure": [write("other.jsonl", forged((event) => (event.type === "open" ? { checklist: { ...event.checklist, id: "other<b>" } } : {}))), /another procedure: other<b>/],
    "a drawing with markup": [write("drawing.jsonl", forged((event) => (event.type === "sign" ? { drawing: 'M0 0L1 1"/><script>alert(1)</script>' } : {}))), /nothing that this page knows/],
    "a name that is a list": [write("name.jsonl", forged((event) => (event.type === "sign" ? { name: ["x"] } : {}))), /nothing that this page knows/],
    "an amount that is none": [write("amount.jsonl", forged((event) => (event.type === "torque" ? { amount: { value: "1e9", unit: "N.m" } } : {}))), /nothing that this page knows/],
    "a newer major version": [write("newer.jsonl", forged((event) => (event.type === "open" ? { format: { name: "fitwright-record", version: "2.0.0" } } : {}))), /nothing that this page knows/],
    "an archive cut off": [write("short.zip", bytes.subarray(0, bytes.length - 30)), /archive is damaged/],
    "an archive with a changed bit": [write("flipped.zip", flipped), /archive is damaged/],
    "an encrypted archive": [write("encrypted.zip", encrypted), /archive is damaged/],
    "a compressed archive": [archive("deflated.zip", [["record.jsonl", text]], "ZIP_DEFLATED"), /archive is damaged/],
    "two records": [archive("twice.zip", [["record.jsonl", text], ["record.jsonl", text]]), /archive is damaged/],
    "a path out of the archive": [archive("up.zip", [["record.jsonl", text], ["photos/../../x.jpg", "x"]]), /archive is damaged/],
    "no record": [archive("none.zip", [["photos/x.jpg", "x"]]), /archive is damaged/],
    "three thousand entries": [archive("many.zip", [["record.jsonl", text], ...Array.from({ length: 3000 }, (_, i) => [`photos/${i}.jpg`, "x"])]), /archive is damaged/],
  };
  for (const [name, [from, said]] of Object.entries(cases)) {
    await pick(page, from);
    expect(said.test(await words(page)), `${name} is opened: ${(await words(page)).slice(-200)}`);
    expect((await job.kept(page)) === 0, `${name}: something of it is kept`);
    // The compiler is no more trusting. The other procedure has the digest of this one, and it is by the digest that it judges.
    if (!/picture|another procedure/.test(name)) expect(job.judged(checklist, from).code > 0, `${name}: the compiler takes it`);
  }
  await inspect(page, "refused record");
  await pick(page, archive("wrong.zip", [["record.jsonl", job.linesOf(half)], [photo, "another picture"], ["photos/more.jpg", "x"]]));
  await page.fill("#name", "B. Fitter");
  await job.main(page);
  expect(/2 of the pictures in the archive are not/.test(await words(page)), "a picture that is another one is taken over in silence");
  const saved = await saveSoFar(page);
  expect(saved.endsWith(".jsonl"), "a picture that is another one is saved with the record");
  await page.context().close();
  return Object.keys(cases).length;
}

// Storage that is emptied while a job is open, by this window's own hand and by another.
async function emptied(open) {
  const page = await job.open(open, file, { faults });
  await job.start(page, START);
  await job.main(page);
  await job.go(page, right, { until: (now) => now.photo });
  const before = await job.kept(page);
  await page.evaluate(() => localStorage.clear());
  await job.step(page, (title) => (title === "picture" ? "leave" : right(title)));
  // What is left out, and perhaps the step that it was the last of.
  const after = await job.kept(page);
  expect(after > before, "what was emptied is not written anew");
  expect((await words(page)).includes("was emptied"), "that the storage was emptied is not said");
  const other = await job.open(null, file, { faults, context: page.context() });
  await other.evaluate(() => localStorage.clear());
  await page.waitForTimeout(300);
  expect((await job.kept(page)) === after, "what another window emptied is not written anew at once");
  await page.reload();
  await job.rest(page);
  await page.click("text=Carry on");
  await job.rest(page);
  await job.go(page, right);
  const { to } = await job.saved(page);
  expect(to.endsWith(".jsonl") && job.judged(checklist, to).code === 0, "after its storage was emptied a record is not whole");
  await page.context().close();

  const full = await job.open(open, file, { faults });
  await job.start(full, START);
  await full.evaluate(() => {
    localStorage.clear();
    Storage.prototype.setItem = () => { throw new DOMException("full", "QuotaExceededError"); };
  });
  await job.main(full);
  expect((await words(full)).includes("storage of this browser is full"), "storage that was emptied and takes nothing more is not said");
  await full.context().close();
}

// So many lines of a job that was begun on this page, with notes up to there.
async function longJob(page, count) {
  const canonicalize = (await import(pathToFileURL(path.join(process.env.NODE_PATH, "canonicalize/lib/canonicalize.js")))).default;
  const entries = await job.entries(page);
  const [key] = Object.keys(entries);
  const lines = Object.values(entries);
  while (lines.length < count) {
    const { at, by, digest } = JSON.parse(lines.at(-1));
    const event = { seq: lines.length + 1, at, by, type: "note", text: `note ${lines.length}`, prev: digest };
    event.digest = createHash("sha256").update(canonicalize(event)).digest("hex");
    lines.push(canonicalize(event));
  }
  return { top: key.slice(0, -6), lines };
}

// A long job: full runs of 64 events become one entry each when the page has time. No line is lost or doubled on the way there.
const RUN = 64;
const digits = (seq) => String(seq).padStart(6, "0");
const singles = ({ top, lines }, from = 0, to = lines.length) => Object.fromEntries(lines.slice(from, to).map((line, i) => [`${top}${digits(from + i + 1)}`, line]));
const runs = ({ top, lines }, to) => Object.fromEntries(Array.from({ length: to }, (_, i) => [`${top}${digits(i * RUN + 1)}+`, lines.slice(i * RUN, (i + 1) * RUN).join("\n")]));

async function folded(open) {
  // A page that is busy finds no time.
  const init = () => { if (sessionStorage.getItem("busy")) window.requestIdleCallback = () => {}; };
  const page = await job.open(open, file, { faults, init });
  await job.start(page, START);
  await job.main(page);
  const long = await longJob(page, 200);
  const whole = JSON.stringify({ ...runs(long, 3), ...singles(long, 192) });
  const write = (entries) => page.evaluate((all) => { localStorage.clear(); for (const [key, value] of Object.entries(all)) localStorage.setItem(key, value); }, entries);
  const load = async (busy) => {
    await page.evaluate((is) => sessionStorage.setItem("busy", is), busy ? "1" : "");
    await page.reload();
    await job.rest(page);
  };
  // Not while a job is in hand: what is taken from that would be written anew.
  const keep = async (entries, busy) => {
    await load(true);
    await write(entries);
    await load(busy);
  };
  const sorted = async () => JSON.stringify(Object.fromEntries(Object.entries(await job.entries(page)).sort()));
  const wanted = JSON.stringify(Object.fromEntries(Object.entries(JSON.parse(whole)).sort()));
  const settle = async (what) => {
    for (let i = 0; i < 60 && (await sorted()) !== wanted; i++) await page.waitForTimeout(250);
    expect((await sorted()) === wanted, `${what}: kept in ${Object.keys(await job.entries(page)).length} entries`);
  };
  const carryOn = async () => {
    await page.click("text=Carry on");
    await job.rest(page);
  };
  const saves = async (what) => {
    const to = await saveSoFar(page);
    expect(fs.readFileSync(to, "utf8") === long.lines.map((line) => `${line}\n`).join(""), `${what}: another record is saved`);
  };

  // As a page before this one kept it; and where that one was closed between the run and the single ones, wherever that was.
  for (const [name, entries] of [
    ["single events", singles(long)],
    ["a run beside all of its events", { ...singles(long), ...runs(long, 2) }],
    ["a run beside some of its events", { ...runs(long, 2), ...singles(long, 100) }],
  ]) {
    await keep(entries, true);
    await carryOn();
    await saves(name);
    await load(false);
    await settle(name);
    await carryOn();
    await saves(`${name}, folded`);
  }

  // Two windows at once, one with the job in hand: it is told nothing, and writes on.
  await keep(singles(long), true);
  await carryOn();
  const others = await Promise.all([1, 2].map(() => job.open(null, file, { faults, context: page.context() })));
  await settle("two windows");
  expect((await page.locator(".fault-box").count()) === 0, "a window is told of what another one folds");
  await Promise.all(others.map((other) => other.close()));
  await job.step(page, right);
  expect((await page.locator(".fault-box").count()) === 0 && (await job.kept(page)) > 200, "after another window folded, the job does not go on");

  // Another window that is so far ahead that the next event is in a run of its own.
  const ahead = { top: long.top, lines: long.lines.slice(0, 150) };
  await keep(singles(ahead, 0, 120), true);
  await carryOn();
  await write({ ...runs(ahead, 2), ...singles(ahead, 128) });
  await job.step(page, right);
  expect((await words(page)).includes("another window") && (await job.kept(page)) === 150, "an event is written over a run of another window");

  // A full storage keeps the single events.
  await page.context().addInitScript(() => {
    const set = Storage.prototype.setItem;
    Storage.prototype.setItem = function (key, value) { if (/\+$/.test(key)) { window.refused = true; throw new DOMException("full", "QuotaExceededError"); } set.call(this, key, value); };
  });
  await keep(singles(long), false);
  await page.waitForFunction(() => window.refused, null, { timeout: 15000 }).catch(() => expect(false, "a full storage is not tried"));
  expect(JSON.stringify(await job.entries(page)) === JSON.stringify(singles(long)), "a full storage loses events");
  await page.context().close();

  // What is damaged stays as it is: an event, and a line of a run.
  for (const [name, entries, left] of [
    ["an event", singles(long), (all) => !Object.keys(all).some((key) => key.endsWith("000065+")) && `${long.top}000070` in all],
    ["a line of a run", JSON.parse(whole), () => true],
  ]) {
    const hurt = await job.open(open, file, { faults });
    const bad = Object.fromEntries(Object.entries(entries).map(([key, value]) => [key, value.replace('"text":"note 69"', '"text":"note 96"')]));
    await hurt.evaluate((all) => { for (const [key, value] of Object.entries(all)) localStorage.setItem(key, value); }, bad);
    await hurt.reload();
    await hurt.waitForFunction(() => /altered or damaged/.test(document.querySelector("main").textContent), null, { timeout: 15000 }).catch(() => expect(false, `${name} that is damaged is not told`));
    await hurt.waitForTimeout(1500);
    expect(left(await job.entries(hurt)), `${name} that is damaged does not stay as it is`);
    expect(JSON.stringify((await job.events(hurt)).map((event) => event.text)).includes("note 96"), `${name} that is damaged is gone`);
    await hurt.context().close();
  }
}

// A reader of codes as browsers that have one give it, and the camera of a browser under test.
async function camera(flags) {
  const page = await job.open(flags, file, { faults, permissions: ["camera"], init: () => {
    globalThis.BarcodeDetector = class { async detect(source) { return source.videoWidth ? [{ rawValue: "PS-7\u0000 7731\n" }] : []; } };
    navigator.wakeLock.request = async () => { globalThis.awake = (globalThis.awake || 0) + 1; return Object.assign(new EventTarget(), { released: false, release: async () => { globalThis.slept = true; } }); };
  } });
  await job.start(page, START);
  expect((await page.evaluate(() => globalThis.awake)) === 1, "no wake lock is asked for when a job begins");
  await job.main(page);
  expect((await page.locator("text=Read a code with the camera").count()) === 1, "the camera is not offered");
  await inspect(page, "camera offered");
  await page.click("text=Read a code with the camera");
  await page.waitForFunction(() => document.querySelector("#entry").value, null, { timeout: 8000 }).catch(() => expect(false, "no code is read"));
  expect((await page.inputValue("#entry")) === "PS-7 7731" && (await page.locator("video").count()) === 0, `the code is read as ${JSON.stringify(await page.inputValue("#entry"))}`);
  await job.main(page);
  await job.go(page, right, { until: (now) => /^Signs/.test(now.entry) });
  await job.go(page, right);
  expect(await page.evaluate(() => globalThis.slept), "the screen is kept on after the job");
  expect(eventsOf((await job.saved(page)).text).some((event) => event.text === "PS-7 7731"), "the code is not in the record");
  await page.context().close();

  const denied = await job.open(flags, file, { faults, init: () => {
    globalThis.BarcodeDetector = class { async detect() { return []; } };
    navigator.mediaDevices.getUserMedia = async () => { throw new DOMException("no", "NotAllowedError"); };
  } });
  await job.start(denied, START);
  await job.main(denied);
  await denied.click("text=Read a code with the camera");
  await denied.waitForTimeout(200);
  expect((await words(denied)).includes("camera cannot be used"), "a camera that is refused is not said");
  const secure = await denied.evaluate(() => globalThis.isSecureContext);
  await denied.context().close();

  const none = await job.open(flags, file, { faults, init: () => { delete globalThis.BarcodeDetector; } });
  await job.start(none, START);
  await job.main(none);
  expect((await none.locator("text=Read a code").count()) === 0, "a browser without a reader of codes offers one");
  await none.context().close();
  return secure;
}

// Mistakes: a wrong answer costs two presses, after the step and at a stop; a stop by a limit is left again.
async function mistakes(open) {
  const page = await job.open(open, file, { faults });
  await job.start(page, { ...START, numbers: { load: "110" } });
  expect(/Stop/.test(await job.title(page)), "the limit does not stop the job");
  await inspect(page, "stop by a limit");
  await page.click(".row:has-text('Pressed by mistake?') >> text=Change");
  await job.rest(page);
  await page.fill("#entry", "60");
  await page.click("text=Typed wrong");
  await job.rest(page);
  expect(/Lay out/.test(await job.title(page)), "there is no way back from a stop by a limit");
  await job.main(page);
  await job.go(page, right, { until: (now) => /level/.test(now.question) });
  await page.click('fieldset.ask [data-choice="no"]');
  await job.rest(page);
  if (!/Stop/.test(await job.title(page))) await job.main(page);
  expect(/Stop/.test(await job.title(page)), "the check does not stop the job");
  await page.click('[data-slip="yes"]');
  await job.rest(page);
  expect(/Hand over/.test(await job.title(page)), "a slip at a stop is not put right by one press");
  await job.go(page, right);
  const { to, text } = await job.saved(page);
  expect(eventsOf(text).filter((event) => event.type === "correct").map((event) => event.reason).join() === "Typed wrong,Pressed by mistake", "the corrections have no reason");
  expect(job.judged(checklist, to).code === 0, "a record with corrections is refused");
  await page.context().close();
}

(async () => {
  const launch = (...args) => chromium.launch({ executablePath: process.env.CHROMIUM || "/usr/bin/chromium",
    args: ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update", ...args] });
  const open = await launch();
  const flags = await launch("--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream");
  const record = await moving(open);
  const [refused, , secure] = await Promise.all([hostile(open, record), emptied(open), camera(flags), mistakes(open), folded(open)]);
  await open.close();
  await flags.close();
  job.report("records", faults, `${record.events.length} events, ${refused} hostile files, secure ${secure}`);
})().catch((e) => { console.log([...faults, e.stack].join("\n")); process.exit(1); });
