// JSON in its canonical form (RFC 8785): the same value, the same bytes. JavaScript's own writer already gives numbers
// and strings as the RFC asks; what is left is the order of the keys, by UTF-16 code units.

export const canonical = (value, depth = 0) => {
  if (depth > 64) throw new Error("nested too deeply");
  if (value === null || typeof value === "boolean") return String(value);
  if (typeof value === "number") {
    if (!Number.isFinite(value)) throw new Error("a number without a value");
    return JSON.stringify(value);
  }
  if (typeof value === "string") {
    if (!value.isWellFormed?.() && /[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/.test(value))
      throw new Error("half a character");
    return JSON.stringify(value);
  }
  if (Array.isArray(value)) return `[${value.map((one) => canonical(one, depth + 1)).join(",")}]`;
  if (typeof value !== "object") throw new Error("not a value of JSON");
  const pairs = Object.keys(value).sort().map((key) => `${canonical(key)}:${canonical(value[key], depth + 1)}`);
  return `{${pairs.join(",")}}`;
};
