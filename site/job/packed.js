// The checklist as a page holds it: { repeated, list }. A value that would stand there more than once is one of `repeated`, and
// { "$": n } stands in its places; one that holds others comes after them.

const whole = (value, repeated) => {
  if (typeof value !== "object" || value === null) return value;
  if (Object.hasOwn(value, "$")) return repeated[value.$];
  for (const name of Object.keys(value)) {
    const inner = value[name];
    if (typeof inner === "object") value[name] = whole(inner, repeated);
  }
  return value;
};

export const unpacked = (text) => {
  const { repeated, list } = JSON.parse(text);
  repeated.forEach((value) => whole(value, repeated));
  return whole(list, repeated);
};
