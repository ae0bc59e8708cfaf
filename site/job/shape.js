// The shapes of things: members that must be there, and what each holds. Members that are not named are let through; words of
// a closed list that are not named are refused, because whoever guesses may skip a safety message.
//
// A shape is a line of `member:sort`; a member whose name ends in `?` may be missing. Sorts: t text, n number as text,
// w whole number, c whole number from 1, f true or false, h digest, s text of 1 to 4,000 characters, p name of 1 to 200, g drawing,
// [x list of x, +x list of at least one x, a|b one of these words, else the name of a shape. `member=…` begins a shape that
// differs by the word in that member.

const text = (value) => typeof value === "string";
const long = (most) => (value) => text(value) && value.length > 0 && [...value].length <= most;
const whole = (value) => Number.isSafeInteger(value) && value >= 0;
const number = (value) => text(value) && /^-?[0-9]+(\.[0-9]+|\/[1-9][0-9]*)?$/.test(value);
const words =
  (...all) =>
  (value) =>
    all.includes(value);

const SORTS = {
  t: text,
  n: number,
  m: (value) => number(value) && value.length <= 20,
  w: whole,
  c: (value) => whole(value) && value > 0,
  f: (value) => typeof value === "boolean",
  h: (value) => text(value) && /^[0-9a-f]{64}$/.test(value),
  s: long(4000),
  p: long(200),
  g: (value) => text(value) && value.length <= 8000 && /^(M\d{1,4} \d{1,4}(L\d{1,4} \d{1,4})+)+$/.test(value),
  o: (value) => text(value) && /^[A-Za-z0-9_-][A-Za-z0-9._-]{0,99}$/.test(value),
  d: (value) => text(value) && moment(value) !== null,
  signal: words("notice", "caution", "warning", "danger"),
};

// Whether a value has the shape of that name, by these lines.
export const shapesOf = (lines) => {
  const all = new Map();
  for (const line of lines.trim().split("\n")) {
    const [name, ...members] = line.split(" ");
    const [by, word] = members[0].includes("=") ? members.shift().split("=") : [null, null];
    const shape = members
      .map((member) => member.split(":"))
      .map(([key, sort]) => ({ key: key.replace("?", ""), missing: key.endsWith("?"), sort }));
    if (!all.has(name)) all.set(name, { by, words: new Map() });
    all.get(name).words.set(word, shape);
  }
  const sorted = (value, sort, depth) => {
    if (depth > 200) return false;
    if (sort[0] === "[" || sort[0] === "+")
      return (
        Array.isArray(value) &&
        (sort[0] === "[" || value.length > 0) &&
        value.every((one) => sorted(one, sort.slice(1), depth + 1))
      );
    if (SORTS[sort]) return SORTS[sort](value);
    if (sort.includes("|")) return sort.split("|").includes(value);
    if (typeof value !== "object" || value === null || Array.isArray(value)) return false;
    const { by, words: shapes } = all.get(sort);
    const shape = shapes.get(by && value[by]);
    return (
      Boolean(shape) &&
      shape.every((member) =>
        Object.hasOwn(value, member.key) ? sorted(value[member.key], member.sort, depth + 1) : member.missing,
      )
    );
  };
  return (value, name) => sorted(value, name, 0);
};

export const ofVersion1 = (format, name) => format.name === name && /^1\.[0-9]+\.[0-9]+$/.test(format.version);

// Milliseconds of an RFC 3339 moment, or null.
export const moment = (value) => {
  const at = /^(\d{4})-(\d\d)-(\d\d)T(\d\d):(\d\d):(\d\d)(?:\.\d+)?(?:Z|[+-](\d\d):(\d\d))$/i.exec(value);
  if (!at) return null;
  const [, year, month, day, hour, minute, second, aheadHours = 0, aheadMinutes = 0] = at.map((part) =>
    part === undefined ? part : Number(part),
  );
  const days =
    month === 2 && !((year % 4 === 0 && year % 100) || year % 400 === 0)
      ? 28
      : new Date(Date.UTC(2000, month, 0)).getUTCDate();
  if (
    month < 1 ||
    month > 12 ||
    day < 1 ||
    day > days ||
    hour > 23 ||
    minute > 59 ||
    second > 60 ||
    aheadHours > 23 ||
    aheadMinutes > 59
  )
    return null;
  const time = Date.parse(value.replace(/:60(?=[.Z+-])/i, ":59").toUpperCase());
  return Number.isNaN(time) ? null : time;
};
