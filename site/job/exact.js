// Exact numbers: fractions of whole numbers of any size, never binary floating point. 24.95 stays 24.95.
//
// A fraction is { n, d } with d > 0, in its lowest terms. Where a calculation has no result it gives null.

const divisor = (a, b) => {
  while (b) [a, b] = [b, a % b];
  return a < 0n ? -a : a;
};

export const fraction = (n, d = 1n) => {
  if (d === 0n) return null;
  const common = divisor(n, d) * (d < 0n ? -1n : 1n);
  return { n: n / common, d: d / common };
};

// Text of the checklist format: `-24.95`, `1/3`. Anything else is null. The length is bounded, because whole numbers of
// any size would let a hostile file keep the page busy.
export const exact = (text) => {
  const at = /^(-?)([0-9]{1,60})(?:\.([0-9]{1,60})|\/([1-9][0-9]{0,59}))?$/.exec(text);
  if (!at) return null;
  const [, sign, whole, decimals = "", below] = at;
  const n = BigInt(sign + whole + decimals);
  return fraction(n, below ? BigInt(below) : 10n ** BigInt(decimals.length));
};

export const add = (a, b) => a && b && fraction(a.n * b.d + b.n * a.d, a.d * b.d);
export const subtract = (a, b) => a && b && fraction(a.n * b.d - b.n * a.d, a.d * b.d);
export const multiply = (a, b) => a && b && fraction(a.n * b.n, a.d * b.d);
export const divide = (a, b) => a && b && fraction(a.n * b.d, a.d * b.n);

// Less than 0, 0, or more than 0.
export const compare = (a, b) => {
  const difference = a.n * b.d - b.n * a.d;
  return difference < 0n ? -1 : difference > 0n ? 1 : 0;
};

// The whole number at or below.
export const floor = (a) => (a.n < 0n && a.n % a.d ? a.n / a.d - 1n : a.n / a.d);

// The nearest whole number; from the middle up.
export const nearest = (a) => floor(add(a, { n: 1n, d: 2n }));

// For drawing only.
export const approximate = (a) => Number((a.n * 1000000n) / a.d) / 1000000;

// A decimal with so many places, rounded to the nearest.
export const rounded = (a, places) => {
  const scale = 10n ** BigInt(places);
  const whole = nearest(multiply(a, { n: scale, d: 1n }));
  const digits = (whole < 0n ? -whole : whole).toString().padStart(places + 1, "0");
  const cut = digits.length - places;
  return (whole < 0n ? "-" : "") + digits.slice(0, cut) + (places ? "." + digits.slice(cut) : "");
};

// The shortest text of the checklist format: a decimal where there is one, else a fraction.
export const written = (a) => {
  let rest = a.d;
  let twos = 0;
  let fives = 0;
  while (rest % 2n === 0n) {
    rest /= 2n;
    twos++;
  }
  while (rest % 5n === 0n) {
    rest /= 5n;
    fives++;
  }
  return rest === 1n ? rounded(a, Math.max(twos, fives)) : `${a.n}/${a.d}`;
};
