/* Writes numbers: the same rounding and grouping as quizgen/expression/writing.py. */

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
  const ten = (power) => 10n ** BigInt(power > 0 ? power : 0);
  const above = BigInt(mantissa.replace(".", "")) * ten(shift);
  const below = step * ten(-shift);
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
  if (power < 0 && String(count).length > rounding.figures) {
    count /= 10n;
    power += 1;
  }
  let digits = String(count * step);
  if (power > 0) digits += "0".repeat(power);
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
  return digits.replace("-", "\u2212").replace(/\d{5,}/, (whole, at) => (
    at < 2 ? whole.replace(/\B(?=(\d{3})+$)/g, "\u202f") : whole));
}

/**
 * @param {string} text a written number
 * @param {string} unit its symbol, or ""
 * @returns {string} joined by a no-break space; a degree sign sits close
 */
function withUnit(text, unit) {
  return text + (unit && unit !== "°" ? "\u00a0" : "") + unit;
}
