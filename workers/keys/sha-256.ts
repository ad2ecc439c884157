// The digest that chains, names and pins: SHA-256. Synchronous, so that it can run inside a transaction,
// which the platform's own, a promise a text, cannot.
//
// [sha-256 1] It is the SHA-256 of FIPS 180-4.
// [sha-256 2] A text is hashed as UTF-8.
//
// A device verifies a record by tens of thousands of short texts, and most of that time goes here. So
// the work is done in places that are used again, and nothing is made anew but the result. Measured with
// texts of 360 bytes, in microseconds: 3.3; a general library 5.5 for the bytes alone, and 10 with the
// making of bytes and digits; Node's own, which a browser has not, 1.

/**
 * SHA-256 of a text's UTF-8 bytes, as 64 lower-case hexadecimal digits.
 *
 * Errors: none; a lone surrogate is encoded as U+FFFD, so refuse such texts before.
 * Source: FIPS 180-4. Checked in tests/published/fips-180-4-sha-256.test.ts
 */
export function sha256Hex(text: string): string {
  if (3 * text.length <= textBytesMax) hash(room, encoder.encodeInto(text, room).written);
  else sha256Bytes(encoder.encode(text));
  for (let place = 0; place < 8; place += 1) putDigits(place, at(state, place));
  return decoder.decode(digits);
}

/**
 * SHA-256 of bytes, as 32 bytes. Errors: none.
 *
 * Source: FIPS 180-4. Checked in tests/published/fips-180-4-sha-256.test.ts
 */
export function sha256Bytes(bytes: Uint8Array): Uint8Array {
  const padded = new Uint8Array(bytes.length + paddingBytesMax);
  padded.set(bytes);
  hash(padded, bytes.length);
  const digest = new Uint8Array(32);
  const view = new DataView(digest.buffer);
  for (const [place, word] of state.entries()) view.setInt32(4 * place, word);
  return digest;
}

// A code unit takes three bytes at the most.
const textBytesMax = 3 * 4_096;
const paddingBytesMax = 72;
const encoder = new TextEncoder();
const decoder = new TextDecoder();
const room = new Uint8Array(textBytesMax + paddingBytesMax);
const digits = new Uint8Array(64);

function putDigits(place: number, word: number): void {
  for (let digit = 0; digit < 8; digit += 1) {
    const value = (word >>> (28 - 4 * digit)) & 15;
    digits[8 * place + digit] = value < 10 ? 48 + value : 87 + value;
  }
}

// From here on the names are those of FIPS 180-4: H, W, K, and a to h.

const state = new Int32Array(8);
const schedule = new Int32Array(64);

// Leaves the digest of the first bytes in `state`, and their padding (section 5.1.1) behind them.
function hash(padded: Uint8Array, length: number): void {
  const end = length + paddingBytesMax - ((length + 8) % 64);
  padded.fill(0, length, end);
  padded[length] = 0x80;
  const view = new DataView(padded.buffer, end - 8, 8);
  view.setUint32(0, Math.floor(length / 2 ** 29));
  view.setInt32(4, length << 3);
  state.set(initialState);
  for (let from = 0; from < end; from += 64) takeBlock(padded, from);
}

function takeBlock(bytes: Uint8Array, from: number): void {
  // As names of this function's own they are read far faster.
  const [w, k] = [schedule, constants];
  fillSchedule(w, bytes, from);
  let a = at(state, 0);
  let b = at(state, 1);
  let c = at(state, 2);
  let d = at(state, 3);
  let e = at(state, 4);
  let f = at(state, 5);
  let g = at(state, 6);
  let h = at(state, 7);
  for (let t = 0; t < 64; t += 1) {
    const sum1 = turn(e, 6) ^ turn(e, 11) ^ turn(e, 25);
    const t1 = (h + sum1 + (g ^ (e & (f ^ g))) + at(k, t) + at(w, t)) | 0;
    const sum0 = turn(a, 2) ^ turn(a, 13) ^ turn(a, 22);
    const t2 = (sum0 + ((a & b) | (c & (a | b)))) | 0;
    h = g;
    g = f;
    f = e;
    e = (d + t1) | 0;
    d = c;
    c = b;
    b = a;
    a = (t1 + t2) | 0;
  }
  state[0] = at(state, 0) + a;
  state[1] = at(state, 1) + b;
  state[2] = at(state, 2) + c;
  state[3] = at(state, 3) + d;
  state[4] = at(state, 4) + e;
  state[5] = at(state, 5) + f;
  state[6] = at(state, 6) + g;
  state[7] = at(state, 7) + h;
}

function fillSchedule(w: Int32Array, bytes: Uint8Array, from: number): void {
  let place = from;
  for (let t = 0; t < 16; t += 1) {
    const high = ((bytes[place] as number) << 24) | ((bytes[place + 1] as number) << 16);
    w[t] = high | ((bytes[place + 2] as number) << 8) | (bytes[place + 3] as number);
    place += 4;
  }
  for (let t = 16; t < 64; t += 1) {
    const w2 = at(w, t - 2);
    const w15 = at(w, t - 15);
    const sigma1 = turn(w2, 17) ^ turn(w2, 19) ^ (w2 >>> 10);
    const sigma0 = turn(w15, 7) ^ turn(w15, 18) ^ (w15 >>> 3);
    w[t] = sigma1 + at(w, t - 7) + sigma0 + at(w, t - 16);
  }
}

// A word turned to the right.
function turn(word: number, by: number): number {
  return (word >>> by) | (word << (32 - by));
}

function at(words: Int32Array, place: number): number {
  return words[place] as number;
}

// Section 5.3.3.
const initialState = wordsOf(
  "6a09e667 bb67ae85 3c6ef372 a54ff53a 510e527f 9b05688c 1f83d9ab 5be0cd19",
);

// Section 4.2.2.
const constants = wordsOf(
  "428a2f98 71374491 b5c0fbcf e9b5dba5 3956c25b 59f111f1 923f82a4 ab1c5ed5 " +
    "d807aa98 12835b01 243185be 550c7dc3 72be5d74 80deb1fe 9bdc06a7 c19bf174 " +
    "e49b69c1 efbe4786 0fc19dc6 240ca1cc 2de92c6f 4a7484aa 5cb0a9dc 76f988da " +
    "983e5152 a831c66d b00327c8 bf597fc7 c6e00bf3 d5a79147 06ca6351 14292967 " +
    "27b70a85 2e1b2138 4d2c6dfc 53380d13 650a7354 766a0abb 81c2c92e 92722c85 " +
    "a2bfe8a1 a81a664b c24b8b70 c76c51a3 d192e819 d6990624 f40e3585 106aa070 " +
    "19a4c116 1e376c08 2748774c 34b0bcb5 391c0cb3 4ed8aa4a 5b9cca4f 682e6ff3 " +
    "748f82ee 78a5636f 84c87814 8cc70208 90befffa a4506ceb bef9a3f7 c67178f2",
);

function wordsOf(text: string): Int32Array {
  return Int32Array.from(text.split(" "), (word) => Number.parseInt(word, 16));
}
