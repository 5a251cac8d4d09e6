/* Reads what a person typed and writes numbers: the same grammar, rounding and sentences as
   quizgen/expression/reading.py, units.py and writing.py. One table of cases tests both sides. */

const UNIT_FACTOR = "[A-Za-z%°Ωµ€£$¤]+(?:\\^?-?\\d+)?";
const UNIT_FACTORS = `${UNIT_FACTOR}(?:[·*.]${UNIT_FACTOR})*`;
const UNIT = RegExp(`^(1|${UNIT_FACTORS})(?:/(?:\\((${UNIT_FACTORS})\\)|(${UNIT_FACTOR})))?$`);
const UNIT_TWO_WAYS = RegExp(`^((?:1|${UNIT_FACTORS})/)(${UNIT_FACTOR}(?:[·*./]${UNIT_FACTOR})+)$`);

/**
 * @typedef {{text: string, factor: number, dimension: string}} Unit
 * @typedef {Object<string, [string, number, string]>} Units spelling to shown symbol, factor, dimension
 * @typedef {{number: number, unit: Unit|null, last: number, digits: string}} Typed `number` counts in
 *   the unit typed; `last` is the weight of the last digit written
 * @typedef {{why: "blank"|"number"|"two ways"|"unit", says: string}} Unreadable
 */

/**
 * @param {string} text as typed
 * @param {Units} units
 * @returns {Typed|Unreadable}
 */
function readNumber(text, units) {
  const no = (why, says) => ({ why, says });
  const clean = swapped(
    text.replace(/[\u00ad\u200b-\u200f\u202a-\u202e\u2060\u2066-\u2069\ufeff]/g, ""),
    "\t\n\r\u00a0\u2007\u2009\u202f\u2010\u2011\u2012\u2013\u2212\uff0d０１２３４５６７８９’\u2126\u03bc\u00ba\u02da\u22c5\u2219",
    "       ------0123456789'Ωµ°°··",
  ).replace(/\u2103/g, "°C").replace(/^ +| +$/g, "").replace(/[⁻⁰¹²³⁴-⁹]+/g, (c) => "^" + swapped(c, "⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "-0123456789"));
  if (!clean) return no("blank", "Nothing is typed yet.");
  if ([...clean].length > 60) return no("number", "This is too long to read: 60 characters at most.");

  const notNumber = no("number", "This does not read as a number. Type digits with a point or a comma, like 16.5 or 16,5.");
  const body = clean.replace(/^[+-] */, "");
  // Groups of three; one alone after a point or a comma can be meant either way.
  const found = /^([1-9]\d?\d?([ '.,])\d{3}(?:\2\d{3})*)(?:(?!\2)[.,](\d+))?(?![\d.,'])/.exec(body);
  const plain = /^(?=[.,]?\d)(\d*)[.,]?(\d*)/.exec(body);
  if (!plain) return notNumber;
  const typed = (found || plain)[0];
  const doubtful = found && /^\d+[.,]\d{3}$/.test(typed);
  const whole = found && !doubtful ? found[1].replace(/\D/g, "") : plain[1] || "0";
  const fraction = found && !doubtful ? found[3] || "" : plain[2];
  let rest = body.slice(typed.length);
  if (/^(?: \d+)? ?\/ ?\d/.test(rest)) return no("number", "Type a decimal number, not a fraction: 0.5, not 1/2.");
  if (/^(?:[.,']| (?!1\/\D)[ \d]*\d)/.test(rest)) {
    return no("number", "Spaces, points and commas only fit between groups of three digits, like 12 500.");
  }
  const [powers, power = 0] = /^(?:[eE]| ?[xX×*·] ?10\^)([+-]?\d{1,3})(?![\d.,])/.exec(rest) || [""];
  if (Math.abs(power) > 30) return no("number", "The exponent is too big.");
  rest = rest.slice(powers.length);

  const word = rest.replace(/^ +| +$/g, "").replace(/(.)\.$/, "$1");
  let unit = null;
  if (word) {
    const spelled = word.replace(/° +C/g, "°C").replace(/ *([·*./()]) */g, "$1").replace(/ /g, "·");
    if (!/^(?:[A-Za-z%°Ωµ€£$¤/]|1\/)/.test(spelled)) return notNumber;
    unit = readUnit(spelled.replace(/^\//, "1/"), units);
    if (!unit.text) {
      const { near } = unit;
      const capitals = near.toLowerCase() === spelled.toLowerCase() ? " Capital and small letters differ." : "";
      return no("unit", `“${word}” is no unit known here.${near && ` Did you mean ${near}?${capitals}`}`);
    }
  }
  const minus = clean[0] === "-";
  if (doubtful && !powers) {
    const sign = minus ? "\u2212" : "";
    return no("two ways", `${sign}${typed} can be read two ways. Type ${sign}${whole}${fraction} for the large number or ${sign}${whole}.${fraction}0 for the small one.`);
  }
  const digits = whole + (fraction && "." + fraction);
  return {
    number: +`${minus ? "-" : ""}${digits}e${power}`,
    unit,
    last: +`1e${power - fraction.length}`,
    digits,
  };
}

/** The text with each character of `from` replaced by its partner in `to`. */
function swapped(text, from, to) {
  return text.replace(/[^]/g, (c) => to[from.indexOf(c)] || c);
}

/**
 * @param {string} text
 * @param {Units} units
 * @returns {Unit|{near: string}} `near` is what was probably meant, or ""
 */
function readUnit(text, units) {
  const short = text.length < 41;
  const parts = short && UNIT.exec(text);
  if (!parts) {
    const [, above, below] = short && UNIT_TWO_WAYS.exec(text) || [];
    const meant = above ? `${above}(${below.replace(/[*./]/g, "·")})` : "";
    return { near: meant && readUnit(meant, units).text ? meant : "" };
  }
  const dimension = [0, 0, 0, 0, 0, 0];
  let factor = 1;
  let shown = "1";
  for (const side of [1, 2, 3]) {
    if (!parts[side] || parts[side] === "1") continue;
    const product = [];
    for (const one of parts[side].split(/[·*.]/)) {
      const [, word, power] = /^([^\d^-]+)\^?(.*)/.exec(one);
      if (!Object.keys(units).includes(word)) return { near: nearUnit(word, units) };
      const [symbol, size, powers] = units[word];
      const times = +(power || 1);
      if (power && (!times || Math.abs(times) > 4 || /^(%|°C?)$/.test(symbol))) return { near: "" };
      const signed = side > 1 ? -times : times;
      factor *= size ** signed;
      powers.split(" ").forEach((p, i) => { dimension[i] += p * signed; });
      product.push(symbol + (times === 1 ? "" : swapped("" + times, "-1234", "⁻¹²³⁴")));
    }
    const made = product.join("·");
    shown = side < 2 ? made : `${shown}/${side < 3 ? `(${made})` : made}`;
  }
  return { text: shown, factor, dimension: dimension.join(" ") };
}

/** The same letters in other case; else, from four letters on, one letter too many, missing or wrong. */
function nearUnit(word, units) {
  const spellings = Object.keys(units);
  const near = (other) => {
    let i = 0;
    while (i < word.length && word[i] === other[i]) i += 1;
    const [a, b] = [word.slice(i), other.slice(i)];
    return a.slice(1) === b.slice(1) || a.slice(1) === b || a === b.slice(1);
  };
  return spellings.find((s) => s.toLowerCase() === word.toLowerCase()) || word.length > 3 && spellings.find(near) || "";
}

/**
 * 12 significant digits, then half away from zero on those decimal digits, in whole steps.
 * @returns {[bigint, bigint, number]} count, step and power: the value is count · step · 10^power
 */
function inSteps(value, rounding) {
  const [mantissa, exponent] = Math.abs(value).toExponential(11).split("e");
  const [whole, fraction = ""] = (rounding.step || "1").split(".");
  const power = rounding.step ? -fraction.length : +exponent + 1 - rounding.figures;
  const shift = exponent - 11 - power;
  const step = BigInt(whole + fraction);
  const above = BigInt(mantissa.replace(".", "")) * 10n ** BigInt(Math.max(shift, 0));
  const below = step * 10n ** BigInt(Math.max(-shift, 0));
  return [(2n * above + below) / (2n * below), step, power];
}

/**
 * @param {number} value finite
 * @param {{figures: number}|{step: string}} rounding significant figures, or steps such as "0.1"
 * @returns {string} plain digits with a point: "22200", "0.050", "-3.2"
 */
function writeNumber(value, rounding) {
  let [count, step, power] = inSteps(value, rounding);
  // 9.996 to three figures is 10.0, not 10.00.
  if (rounding.figures && power < 0 && count === 10n ** BigInt(rounding.figures)) {
    count /= 10n;
    power += 1;
  }
  let digits = String(count * step);
  if (power > 0 && count) digits += "0".repeat(power);
  if (power < 0) digits = digits.padStart(1 - power, "0").replace(RegExp(`(?=.{${-power}}$)`), ".");
  return (value < 0 && count ? "-" : "") + digits;
}

/** What one unit of the last figure asked is worth. Same arguments as writeNumber. */
function lastPlace(value, rounding) {
  return +(rounding.step || `1e${inSteps(value, rounding)[2]}`);
}

/**
 * @param {string} digits as writeNumber gives them
 * @returns {string} in groups of three from five digits on, with a true minus sign
 */
function spaced(digits) {
  const [whole, ...rest] = digits.replace("-", "\u2212").split(/(?=\.)/);
  return (/\d{5}/.test(whole) ? whole.replace(/\B(?=(\d{3})+$)/g, "\u202f") : whole) + rest.join("");
}

/**
 * @param {string} text a written number
 * @param {string} unit its symbol, or ""
 * @returns {string} joined by a no-break space; a degree sign sits close
 */
function withUnit(text, unit) {
  return text + (unit && unit !== "°" ? "\u00a0" : "") + unit;
}
