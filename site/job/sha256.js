// SHA-256 (FIPS 180-4). The chain of the record is made here, at once and the same in every browser: a browser's own
// digest answers only later, and some have none for a page that was opened from a file.

const PRIMES = [];
for (let n = 2; PRIMES.length < 64; n++) if (PRIMES.every((p) => n % p)) PRIMES.push(n);
const part = (x) => Math.floor((x - Math.floor(x)) * 2 ** 32) | 0;
const START = Int32Array.from(PRIMES.slice(0, 8), (p) => part(Math.sqrt(p)));
const ROUNDS = Int32Array.from(PRIMES, (p) => part(Math.cbrt(p)));

const turn = (x, by) => (x >>> by) | (x << (32 - by));

// One block of 64 bytes into the state. Variables rather than a list of eight: megabytes go through here before a page shows.
const mix = (state, w) => {
  for (let i = 16; i < 64; i++) {
    const a = w[i - 15];
    const b = w[i - 2];
    w[i] =
      (w[i - 16] + w[i - 7] + (turn(a, 7) ^ turn(a, 18) ^ (a >>> 3)) + (turn(b, 17) ^ turn(b, 19) ^ (b >>> 10))) | 0;
  }
  let a = state[0];
  let b = state[1];
  let c = state[2];
  let d = state[3];
  let e = state[4];
  let f = state[5];
  let g = state[6];
  let h = state[7];
  for (let i = 0; i < 64; i++) {
    const t1 = (h + (turn(e, 6) ^ turn(e, 11) ^ turn(e, 25)) + ((e & f) ^ (~e & g)) + ROUNDS[i] + w[i]) | 0;
    const t2 = ((turn(a, 2) ^ turn(a, 13) ^ turn(a, 22)) + ((a & b) ^ (a & c) ^ (b & c))) | 0;
    h = g;
    g = f;
    f = e;
    e = (d + t1) | 0;
    d = c;
    c = b;
    b = a;
    a = (t1 + t2) | 0;
  }
  state[0] += a;
  state[1] += b;
  state[2] += c;
  state[3] += d;
  state[4] += e;
  state[5] += f;
  state[6] += g;
  state[7] += h;
};

// The bytes of a buffer in lower-case hexadecimal.
export const hex = (buffer) =>
  Array.from(new Uint8Array(buffer), (byte) => byte.toString(16).padStart(2, "0")).join("");

// The digest of bytes, or of text in UTF-8, in lower-case hexadecimal.
export const sha256 = (data) => {
  const bytes = typeof data === "string" ? new TextEncoder().encode(data) : data;
  const state = START.slice();
  const words = new Int32Array(64);
  const tail = new Uint8Array(bytes.length % 64 < 56 ? 64 : 128);
  const whole = bytes.length - (bytes.length % 64);
  tail.set(bytes.subarray(whole));
  tail[bytes.length % 64] = 0x80;
  const end = new DataView(tail.buffer);
  end.setUint32(tail.length - 8, Math.floor(bytes.length / 2 ** 29));
  end.setUint32(tail.length - 4, (bytes.length << 3) >>> 0);
  const take = (view, from) => {
    for (let i = 0; i < 16; i++) words[i] = view.getInt32(from + 4 * i);
    mix(state, words);
  };
  const body = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  for (let at = 0; at < whole; at += 64) take(body, at);
  for (let at = 0; at < tail.length; at += 64) take(end, at);
  return Array.from(state, (x) => (x >>> 0).toString(16).padStart(8, "0")).join("");
};

// Of a file that may be large: by the browser's own digest where it has one.
export const sha256OfFile = async (buffer) => {
  if (!crypto.subtle) return sha256(new Uint8Array(buffer));
  return hex(await crypto.subtle.digest("SHA-256", buffer));
};
