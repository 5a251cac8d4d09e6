/* Reads what a person typed and writes numbers: the same grammar, rounding and sentences as
   quizgen/expression/reading.py, units.py and writing.py. One table of cases tests both sides. */

const UNIT_ONE = "[A-Za-z%°Ωµ€£$¤]+(?:\\^?-?[1-4])?";
const UNIT_MANY = `${UNIT_ONE}(?:[·*.]${UNIT_ONE})*`;
const UNIT = RegExp(`^(?:1|${UNIT_MANY})(?:/(?:\\(${UNIT_MANY}\\)|${UNIT_ONE}))?$`);
const UNIT_TWO_WAYS = RegExp(`^((?:1|${UNIT_MANY})/)(${UNIT_ONE}(?:[·*./]${UNIT_ONE})+)$`);

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
  const no = (says, why = "number") => ({ why, says });
  const nfkc = (c) => c.normalize("NFKC");
  const clean = swapped(
    text.replace(/\p{Cf}/gu, "").replace(/\s/g, " ").replace(/[０-９\u2103]/g, nfkc)
      .replace(/[⁻⁰¹²³⁴-⁹]+/g, (c) => "^" + nfkc(c)),
    "\u2010\u2011\u2012\u2013\u2212\uff0d’\u2126\u03bc\u00ba\u02da\u22c5\u2219",
    "------'Ωµ°°··",
  ).replace(/^ +| +$/g, "");
  if (!clean) return no("Nothing is typed yet.", "blank");
  if ([...clean].length > 40) return no("This is too long to read: 40 characters at most.");

  const notNumber = no("This does not read as a number. Type digits with a point or a comma, like 16.5 or 16,5.");
  const body = clean.replace(/^[+-] */, "");
  // Groups of three; one alone after a point or a comma can be meant either way.
  const found = /^([1-9]\d?\d?([ '.,])\d{3}(?:\2\d{3})*)(?:(?!\2)[.,](\d+))?(?![\d.,'])/.exec(body);
  const plain = /^(?=[.,]?\d)(\d*)[.,]?(\d*)/.exec(body);
  if (!plain) return notNumber;
  const typed = (found || plain)[0];
  const doubtful = found && /^\d+[.,]\d{3}$/.test(typed);
  const groups = !doubtful && found;
  const whole = groups ? groups[1].replace(/\D/g, "") : plain[1] || "0";
  const fraction = groups ? groups[3] || "" : plain[2];
  let rest = body.slice(typed.length);
  if (/^(?: \d+)? ?\/ ?\d/.test(rest)) return no("Type a decimal number, not a fraction: 0.5, not 1/2.");
  if (/^(?:[.,']| (?!1\/\D)[ \d]*\d)/.test(rest)) {
    return no("Spaces, points and commas only fit between groups of three digits, like 12 500.");
  }
  const [powers, power = 0] = /^(?:[eE]| ?[xX×*·] ?10\^)([+-]?\d{1,3})(?![\d.,])/.exec(rest) || [""];
  if (Math.abs(power) > 30) return no("The exponent is too big.");
  rest = rest.slice(powers.length);

  const word = rest.replace(/^ +| *\.?$/g, "");
  let unit = null;
  if (word) {
    const spelled = word.replace(/° +C/g, "°C").replace(/ *([·*./()]) */g, "$1").replace(/ /g, "·");
    if (!/^(?:1?\/|[A-Za-z%°Ωµ€£$¤])[\w%°Ωµ€£$¤·*./()^-]*$/.test(spelled)) return notNumber;
    unit = readUnit(spelled.replace(/^\//, "1/"), units);
    if (!unit.text) {
      const { near } = unit;
      // No template inside a template: the minifier would eat a space.
      let says = `“${word}” is no unit known here.`;
      if (near) says += ` Did you mean ${near}?`;
      if (near.toLowerCase() === spelled.toLowerCase()) says += " Capital and small letters differ.";
      return no(says, "unit");
    }
  }
  const sign = clean[0] === "-" ? "\u2212" : "";
  if (doubtful && !powers) {
    return no(`${sign}${typed} can be read two ways. Type ${sign}${whole}${fraction} for the large number or ${sign}${whole}.${fraction}0 for the small one.`, "two ways");
  }
  const digits = whole + (fraction && "." + fraction);
  return {
    number: (sign ? -1 : 1) * `${digits}e${power}`,
    unit,
    last: +`1e${power - fraction.length}`,
    digits,
  };
}

const POWERS = { p: -12, n: -9, "µ": -6, m: -3, c: -2, k: 3, M: 6, G: 9 };

/**
 * @param {[string, number, string, string, string[]][]} entries symbol, factor, dimension, prefixes, aliases
 * @returns {Units} every spelling, in the order of quizgen/expression/units.py
 */
function unitTable(entries) {
  const table = {};
  for (const [symbol, factor, dimension, prefixes, aliases] of entries) {
    for (const spelling of [symbol, ...aliases]) {
      table[spelling] = [symbol, factor, dimension];
      for (const prefix of prefixes) {
        // As decimals: a product of binary fractions can be off by its last bit.
        table[prefix + spelling] = [prefix + symbol, +`${factor}e${POWERS[prefix]}`, dimension];
        if (prefix === "µ") table[`u${spelling}`] = table[prefix + spelling];
      }
    }
  }
  return table;
}

const UNITS = unitTable(UNIT_LIST);

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
  if (!UNIT.test(text)) {
    const [, above, below] = UNIT_TWO_WAYS.exec(text) || [];
    const meant = above ? above + "(" + below.replace(/[*./]/g, "·") + ")" : "";
    return { near: meant && readUnit(meant, units).text ? meant : "" };
  }
  const unknown = text.split(/[\d·*./()^-]+/).find((word) => word && !Object.keys(units).includes(word));
  if (unknown) return { near: nearUnit(unknown, units) };
  const dimension = [0, 0, 0, 0, 0, 0];
  let factor = 1;
  const shown = text.replace(/([^\d·*./()^-]+)\^?(-?\d)?/g, (all, word, power = 1, at) => {
    const [symbol, size, powers] = units[word];
    const times = text.slice(0, at).includes("/") ? -power : +power;
    factor *= size ** times;
    powers.split(" ").forEach((p, i) => { dimension[i] += p * times; });
    return symbol + (+power === 1 ? "" : swapped(power, "-1234", "⁻¹²³⁴"));
  });
  return { text: shown.replace(/[*.]/g, "·"), factor, dimension: dimension.join(" ") };
}

/** The same letters in other case; else, from four letters on, one letter too many, missing or wrong. */
function nearUnit(word, units) {
  const find = (test) => Object.keys(units).find(test);
  const cut = (s, i) => s.slice(0, i) + s.slice(i + 1);
  return find((s) => s.toLowerCase() === word.toLowerCase())
    || word[3] && find((s) => [...word, ""].some((_, i) => [s, cut(s, i)].includes(cut(word, i)) || word === cut(s, i)))
    || "";
}
