// What a person types as a number. A comma and a point are both taken as the decimal sign, whatever the locale, unless the
// text could also mean thousands: then nothing is guessed.

import { exact, compare, fraction, add } from "./exact.js";

const plain = (text) =>
  text
    .normalize("NFKC")
    .replace(/[\u2212\u2013]/g, "-")
    .replace(/\u2044/g, "/")
    .replace(/\s+/g, " ")
    .trim();

// `9/16`, `1 3/4`, `1-3/4`
const sixteenths = (text) => {
  const at = /^(?:([0-9]{1,6})[ -])?([0-9]{1,4})\/([1-9][0-9]{0,3})$/.exec(text);
  if (!at) return null;
  const [, whole = "0", over, under] = at;
  return { value: add(exact(whole), fraction(BigInt(over), BigInt(under))) };
};

// Gives { value }, or { fault, ... } with the key of a message and what the message names.
// `plausible` tells whether a value could be meant at all; it decides nothing but whether `1.500` may also mean 1500.
export const typedNumber = (input, plausible = () => true) => {
  const text = plain(input);
  if (text === "") return { fault: "typedNothing" };
  const broken = sixteenths(text);
  if (broken) return broken;
  if (/^[-+]?[0-9.,' ]*[0-9][.,]?\s*[^0-9.,'\s/-]+[^0-9]*$/.test(text)) return { fault: "typedUnit" };
  const at = /^(-?)([0-9]{1,12})(?:([.,])([0-9]{1,12}))?$/.exec(text);
  if (!at) return { fault: (text.match(/[.,]/g) || []).length > 1 ? "typedTwoSigns" : "typedNoNumber" };
  const [, sign, whole, mark, decimals = ""] = at;
  const value = exact(sign + whole + (mark ? "." + decimals : ""));
  const thousands = mark && decimals.length === 3 && /^[1-9][0-9]{0,2}$/.test(whole);
  if (thousands && plausible(exact(sign + whole + decimals))) {
    const short = decimals.replace(/0+$/, "");
    const asDecimal = sign + whole + (short ? "." + (short.length === 3 ? short + "0" : short) : "");
    return { fault: "typedThousands", decimal: asDecimal, whole: sign + whole + decimals };
  }
  return { value };
};

// Whether a value lies within ends that may be missing: { value, included } in the value's own unit.
export const within = (value, low, high) => {
  const below = low ? compare(value, low.value) : 1;
  const above = high ? compare(value, high.value) : -1;
  return (
    (below > 0 || (below === 0 && low.included !== false)) && (above < 0 || (above === 0 && high.included !== false))
  );
};
