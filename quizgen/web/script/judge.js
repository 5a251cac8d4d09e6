/* Judges one typed answer: the same order, limits and words as quizgen/marking/judge.py. */

/** Limits are inclusive in decimal; binary noise must not refuse them. */
const EDGE = 1 + 1e-9;

/** Verdicts that cost no attempt. */
const FREE = ["blank", "unreadable", "two ways", "unit", "unit missing", "rounded too far"];

/** General slips name powers of ten up to this one. */
const GREATEST_POWER = 9;

/** A slip smaller than the key keeps the key's tolerance, up to this share of its own value. */
const SLIP_SHARE = 0.02;

/**
 * @typedef {{kind: string, slip: string, says: string, value: number|null}} Verdict `value` in SI
 * @typedef {{word: string}|{key: number, tolerance: number}} Answer
 *
 * @param {Object} step of the question's data
 * @param {Answer} answer of the variant
 * @param {Object<string, number>} tableSlips slip values of a table step
 * @param {string} typed
 * @param {Object<string, number|string>} keys SI values of the givens and of earlier keys
 * @param {Object<string, number|string>} own the same with the learner's earlier answers
 * @returns {Verdict}
 */
function judge(step, answer, tableSlips, typed, keys, own) {
  const verdict = (kind, value = null, slip = "", says = "") => ({ kind, slip, says, value });
  if ("word" in answer) return verdict(typed === answer.word ? "right" : "wrong");
  const got = readNumber(typed, UNITS);
  if ("why" in got) {
    return verdict(["blank", "two ways"].includes(got.why) ? got.why : "unreadable", null, "", got.says);
  }
  if (got.unit && got.unit.dimension !== step.dimension) return verdict("unit", null, "", got.unit.text);
  const factor = got.unit ? got.unit.factor : step.factor;
  // Kelvins typed for a Celsius temperature count from absolute zero.
  const value = got.number * factor - offsetTyped(step, got.unit);
  const { key, tolerance } = answer;
  if (!got.unit && step.unit_asked && /[1-9]/.test(step.dimension)) return verdict("unit missing", value);
  if (Math.abs(value - key) <= tolerance * EDGE) return verdict("right", value);
  if (isRoundedTooFar(step, got.last * factor, value, key)) return verdict("rounded too far", value);
  if (isFollowed(step, value, key, tolerance, keys, own)) return verdict("followed through", value);
  const slip = nearestSlip(step, tableSlips, value, key, tolerance, keys);
  if (slip) return verdict("slip", value, slip.id, slip.says);
  // Zeros at the end of a whole number may only hold its place: 560 for 556.
  const zeros = /^\d+?(0*)$/.exec(got.digits);
  const held = got.last * factor * 10 ** (zeros ? zeros[1].length : 0);
  if (held <= Math.abs(key) && isRoundedTooFar(step, held, value, key)) return verdict("rounded too far", value);
  const general = generalSlip(step.general || [], value, key, tolerance);
  if (general) return verdict("general", value, ...general);
  return verdict("wrong", value);
}

/** Fewer figures than asked, and the key rounded to those figures is what was typed. */
function isRoundedTooFar(step, written, value, key) {
  const asked = lastPlace(key / step.factor, step.rounding) * step.factor;
  return value !== 0 && written > asked * EDGE && Math.abs(value - key) <= written / 2 * EDGE;
}

function isFollowed(step, value, key, tolerance, keys, own) {
  if (!step.key || Object.keys(keys).every((name) => own[name] === keys[name])) return false;
  const mine = keyValue(step.key, own);
  if (!Number.isFinite(mine) || Math.abs(mine - key) <= tolerance) return false;
  if (step.between && !(step.between[0] <= mine && mine <= step.between[1])) return false;
  const scale = Math.max(1, Math.abs(mine) / Math.abs(key));
  return Math.abs(value - mine) <= tolerance * scale * EDGE;
}

/** What a written slip gives in SI; NaN where it gives nothing. */
function slipValue(slip, tableSlips, known) {
  if (Object.keys(tableSlips).includes(slip.id)) return tableSlips[slip.id];
  if (slip.when && !runProgram(slip.when, known)) return NaN;
  return (slip.forms || []).map((form) => runProgram(form, known)).find(Number.isFinite) ?? NaN;
}

/** The written slip nearest to the answer, if the answer lies within its margin. */
function nearestSlip(step, tableSlips, value, key, tolerance, keys) {
  let best = null;
  let nearest = Infinity;
  for (const slip of step.slips || []) {
    const wrong = slipValue(slip, tableSlips, keys);
    if (!Number.isFinite(wrong)) continue;
    const distance = Math.abs(value - wrong);
    const scaled = key ? tolerance * Math.abs(wrong) / Math.abs(key) : tolerance;
    const place = lastPlace(wrong / step.factor, step.rounding) * step.factor;
    // The key's tolerance at the slip's size, and half of the slip's own last place at least, as a rounded slip is typed;
    // beside a larger key the tolerance itself, up to a share of the slip; never beyond half the way to the key.
    const own = Math.min(tolerance, SLIP_SHARE * Math.abs(wrong));
    const margin = Math.min(Math.max(scaled, own, place / 2), Math.abs(wrong - key) / 2);
    if (distance <= margin * EDGE && distance < nearest) [best, nearest] = [slip, distance];
  }
  return best;
}

/** [id, words] of the one general slip that fits; null if none or several fit. */
function generalSlip(enabled, value, key, tolerance) {
  if (!key || !value) return null;
  const share = tolerance / Math.abs(key) * EDGE;
  const ratio = value / key;
  const near = (a, b = 1) => Math.abs(a - b) <= share;
  const fitting = GENERAL.filter(([id]) => enabled.includes(id)).map(([id, times, high, low]) => {
    const says = Math.abs(value) > Math.abs(key) ? high : low;
    if (id === "power-of-ten") {
      const power = ratio > 0 ? Math.round(Math.log10(ratio)) : 0;
      const fits = power && Math.abs(power) <= GREATEST_POWER && near(ratio / 10 ** power);
      return fits && [id, says.replace("{times}", spaced(String(10 ** Math.abs(power))))];
    }
    const fits = id === "reciprocal" ? near(value * key) && value !== key
      : id === "one-minus" ? Math.abs(value - (1 - key)) <= share * Math.abs(key)
        : id === "sign" ? near(ratio, -1)
          : near(ratio / times) || near(ratio * times);
    return fits && [id, says];
  }).filter(Boolean);
  return fitting.length === 1 ? fitting[0] : null;
}

/** What lies between the zero of the unit typed and the zero of the unit asked: 273.15 for K where °C is asked. */
function offsetTyped(step, unit) {
  return unit && step.unit === "°C" && unit.text !== "°C" ? 273.15 : 0;
}
