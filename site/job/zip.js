// The archive that a record and its photographs travel in: entries stored as they are. Written, and read again.

const TABLE = Uint32Array.from({ length: 256 }, (_, n) => {
  let sum = n;
  for (let bit = 0; bit < 8; bit++) sum = sum & 1 ? 0xedb88320 ^ (sum >>> 1) : sum >>> 1;
  return sum;
});
const checkSum = (bytes) => {
  let sum = -1;
  for (const byte of bytes) sum = TABLE[(sum ^ byte) & 255] ^ (sum >>> 8);
  return ~sum >>> 0;
};

const LOCAL = 0x04034b50;
const CENTRAL = 0x02014b50;
const END = 0x06054b50;
// 1980-01-01, before which this format has no day: the record knows the time, and the same files give the same archive.
const DAY = 0x21;
export const RECORD = "record.jsonl";
const PHOTOS = "photos/";
const NAME = /^photos\/[A-Za-z0-9_-][A-Za-z0-9._-]{0,99}$/;

// Numbers of two and four bytes, small end first: the widths as digits.
const numbers = (widths, ...values) => {
  const view = new DataView(new ArrayBuffer([...widths].reduce((sum, width) => sum + +width, 0)));
  let at = 0;
  values.forEach((value, i) => {
    if (widths[i] === "2") view.setUint16(at, value, true);
    else view.setUint32(at, value, true);
    at += +widths[i];
  });
  return new Uint8Array(view.buffer);
};

// An archive of a record (bytes) and of photographs by their names (bytes).
export const packed = (record, photos) => {
  const files = [[RECORD, record], ...[...photos].map(([name, bytes]) => [PHOTOS + name, bytes])];
  const parts = [];
  const list = [];
  let at = 0;
  for (const [path, bytes] of files) {
    const name = new TextEncoder().encode(path);
    const same = [20, 0, 0, 0, DAY, checkSum(bytes), bytes.length, bytes.length, name.length, 0];
    list.push(numbers("42222224442222244", CENTRAL, 20, ...same, 0, 0, 0, 0, at), name);
    const head = numbers("42222244422", LOCAL, ...same);
    parts.push(head, name, bytes);
    at += head.length + name.length + bytes.length;
  }
  const size = list.reduce((sum, part) => sum + part.length, 0);
  return new Blob([...parts, ...list, numbers("42222442", END, 0, 0, files.length, files.length, size, at, 0)], {
    type: "application/zip",
  });
};

export const isArchive = (bytes) => bytes[0] === 0x50 && bytes[1] === 0x4b;

// The record of an archive and its photographs by their names, or null where it is damaged, or none that a page saves.
export const unpacked = (bytes) => {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const files = new Map();
  let used = 0;
  const two = (at) => view.getUint16(at, true);
  const four = (at) => view.getUint32(at, true);
  const entry = (from) => {
    const [signature, sum, size, full, start] = [0, 16, 20, 24, 42].map((at) => four(from + at));
    const [flags, method, length, ...more] = [8, 10, 28, 30, 32].map((at) => two(from + at));
    const name = new TextDecoder().decode(bytes.subarray(from + 46, from + 46 + length));
    const next = more.reduce((sum, one) => sum + one, from + 46 + length);
    if (signature !== CENTRAL) return null;
    if (name === PHOTOS && !full) return next;
    const body = start + 30 + two(start + 26) + two(start + 28);
    const data = bytes.subarray(body, body + full);
    used += full;
    const good =
      !(flags & 1) &&
      !method &&
      size === full &&
      data.length === full &&
      used <= bytes.length &&
      four(start) === LOCAL &&
      (name === RECORD || NAME.test(name)) &&
      !files.has(name) &&
      checkSum(data) === sum;
    files.set(name, data);
    return good ? next : null;
  };
  try {
    let end = bytes.length - 22;
    while (four(end) !== END) end--;
    let at = four(end + 16);
    for (let left = Math.min(two(end + 10), 2001); left; left--)
      if (left > 2000 || (at = entry(at)) === null) return null;
    const record = files.get(RECORD);
    files.delete(RECORD);
    return record
      ? { record, photos: new Map([...files].map(([name, data]) => [name.slice(PHOTOS.length), data])) }
      : null;
  } catch {
    // A number that points out of the file.
    return null;
  }
};
