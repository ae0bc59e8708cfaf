// JSON in its canonical form (RFC 8785): the same value, the same bytes. JavaScript's own writer already gives numbers
// and strings as the RFC asks; what is left is the order of the keys, by UTF-16 code units.

export const canonical = (value, depth = 0) => {
  if (depth > 64) throw new Error("nested too deeply");
  if (typeof value === "number" && !Number.isFinite(value)) throw new Error("a number without a value");
  // Throws where half a character stands.
  if (typeof value === "string") encodeURIComponent(value);
  if (typeof value !== "object" || value === null) return JSON.stringify(value);
  if (Array.isArray(value)) return `[${value.map((one) => canonical(one, depth + 1)).join(",")}]`;
  const pairs = Object.keys(value)
    .sort()
    .map((key) => `${canonical(key)}:${canonical(value[key], depth + 1)}`);
  return `{${pairs.join(",")}}`;
};
