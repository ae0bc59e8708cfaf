// JSON in its canonical form (RFC 8785): the same value, the same bytes. JavaScript's own writer already gives numbers
// and strings as the RFC asks, and writes members in the order in which an object got them; what is left is that order, by
// UTF-16 code units. It is the shortest way by far, and not open to every value: what is not is written member by member.

const MOST_DEPTH = 64;
// An object keeps members with whole numbers for names in front, whatever order they came in: no name may begin with a digit.
const AFTER_DIGITS = ":".charCodeAt(0);
// Half a character, as JavaScript writes it; or the text of such an escape.
const MAYBE_HALF = "\\ud";

const isLeaf = (value, depth) => {
  if (depth > MOST_DEPTH) throw new RangeError();
  if (typeof value === "number" && !Number.isFinite(value)) throw new RangeError();
  return typeof value !== "object" || value === null;
};

// The same value with the members of every object in order; sets `see.index` where that cannot be.
const ordered = (value, see, depth = 0) => {
  if (isLeaf(value, depth)) return value;
  if (Array.isArray(value)) return value.map((one) => ordered(one, see, depth + 1));
  const found = Object.create(null);
  for (const name of Object.keys(value).sort()) {
    if (name.charCodeAt(0) < AFTER_DIGITS) see.index = true;
    found[name] = ordered(value[name], see, depth + 1);
  }
  return found;
};

const written = (value, depth = 0) => {
  // Throws where half a character stands.
  if (typeof value === "string") encodeURIComponent(value);
  if (isLeaf(value, depth)) return JSON.stringify(value);
  if (Array.isArray(value)) return `[${value.map((one) => written(one, depth + 1)).join(",")}]`;
  const pairs = Object.keys(value)
    .sort()
    .map((name) => `${written(name)}:${written(value[name], depth + 1)}`);
  return `{${pairs.join(",")}}`;
};

export const canonical = (value) => {
  const see = { index: false };
  const text = JSON.stringify(ordered(value, see));
  return see.index || text.includes(MAYBE_HALF) ? written(value) : text;
};
