/* Numbers in as few bits as they deserve, and names in a few: the same as quizgen/cohort/pack.py and
   quizgen/variants/short_names.py, where each is explained. */

const SIGNS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+-";
const PLACES = 16;
const TOP = 2 ** 32;
const HIGH = 2 ** 24;

/**
 * @typedef {Object} Writer
 * @property {(at: number, value: number|boolean) => void} bit
 * @property {(value: number, bits: number) => void} plain
 * @property {(context: number, value: number) => void} number
 * @property {() => number[]} done the bytes
 */

/** @returns {Writer} */
function openWriter() {
  const bytes = [];
  const no = new Array(32 * PLACES).fill(1);
  const yes = new Array(32 * PLACES).fill(1);
  let low = 0;
  let range = TOP - 1;

  function carry() {
    if (low < TOP) return;
    low -= TOP;
    let at = bytes.length - 1;
    for (; bytes[at] === 255; at -= 1) bytes[at] = 0;
    bytes[at] += 1;
  }

  function settle() {
    carry();
    while (range < HIGH) {
      bytes.push(Math.floor(low / HIGH));
      low = (low % HIGH) * 256;
      range *= 256;
    }
  }

  function bit(at, value) {
    const cut = Math.floor(range / (no[at] + yes[at])) * no[at];
    if (value) {
      low += cut;
      range -= cut;
    } else range = cut;
    settle();
    (value ? yes : no)[at] += 2;
    if (no[at] + yes[at] > 250) [no[at], yes[at]] = [(no[at] + 1) >> 1, (yes[at] + 1) >> 1];
  }

  function plain(value, bits) {
    range = Math.floor(range / 2 ** bits);
    low += range * value;
    settle();
  }

  function number(context, value) {
    const base = context * PLACES;
    const length = 32 - Math.clz32(value + 1);
    for (let at = 0; at < length - 1; at += 1) bit(base + Math.min(at, 7), 1);
    bit(base + Math.min(length - 1, 7), 0);
    if (length > 1) bit(base + 8 + Math.min(length, 7), ((value + 1) >> (length - 2)) & 1);
    for (let bits = length - 2; bits > 0;) {
      const now = Math.min(bits, 16);
      bits -= now;
      plain(((value + 1) >> bits) & (2 ** now - 1), now);
    }
  }

  function done() {
    low = Math.ceil(low / HIGH) * HIGH;
    carry();
    return [...bytes, low / HIGH];
  }

  return { bit, plain, number, done };
}

/** @returns {string} the bytes in signs of six bits */
function signsOf(bytes) {
  let made = "";
  let held = 0;
  let bits = 0;
  for (const byte of bytes) {
    held = (held << 8) | byte;
    bits += 8;
    while (bits >= 6) {
      bits -= 6;
      made += SIGNS[(held >> bits) & 63];
    }
    held &= 2 ** bits - 1;
  }
  return bits ? made + SIGNS[(held << (6 - bits)) & 63] : made;
}

/** CRC-32 of the bytes, as in ITU-T V.42. */
function checkSum(bytes) {
  let sum = 0xffffffff;
  for (const byte of bytes) {
    sum ^= byte;
    for (let k = 0; k < 8; k += 1) sum = (sum >>> 1) ^ (sum & 1 ? 0xedb88320 : 0);
  }
  return (sum ^ 0xffffffff) >>> 0;
}

/** FNV-1a of the text's UTF-8. */
function longName(text) {
  let made = 0x811c9dc5;
  for (const byte of new TextEncoder().encode(text)) made = Math.imul(made ^ byte, 0x01000193);
  return made >>> 0;
}

function shortName(text, salt, bits) {
  let made = longName(text) ^ Math.imul(salt, 0x9e3779b1);
  made = Math.imul(made ^ (made >>> 16), 0x7feb352d);
  made = Math.imul(made ^ (made >>> 15), 0x846ca68b);
  return (made ^ (made >>> 16)) >>> (32 - bits);
}
