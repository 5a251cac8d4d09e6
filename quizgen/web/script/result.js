/* What is kept of a question, as plain data. Whatever comes from storage or a file is looked at here
   field by field before anything uses it: null means that it is not what it should be. */

/**
 * @typedef {Object} Result
 * @property {number} tries judged answers that count
 * @property {number} right
 * @property {number} helped answers given with help
 * @property {string[]} days local dates of right answers without help, in order, each once
 * @property {string} last kind of the last judgement, or ""
 * @property {string[]} lately the last answers, oldest first: a local date and "+" right alone, "h" right with help, "-" wrong
 * @property {Object<string, number>} slips how often each named slip was made
 *
 * @typedef {Object} Typed
 * @property {string} variant
 * @property {Object<string, string>} entries what stands in the field of each step
 * @property {number[]} choice
 * @property {number[]} order
 * @property {number} hints
 * @property {*} checked whatever the page needs to show its last judgement again
 */

const DAYS_TO_BE_DONE = 2;
const MOST = { days: 400, slips: 100, typed: 12000, lately: 10 };

const isObject = (value) => typeof value === "object" && value !== null && !Array.isArray(value);
const isCount = (value) => Number.isInteger(value) && value >= 0 && value < 1e7;
const isDay = (value) => typeof value === "string" && /^\d{4}-[01]\d-[0-3]\d$/.test(value);
const isAnswer = (value) => typeof value === "string" && /^.{10}[+h-]$/.test(value) && isDay(value.slice(0, 10));
const isText = (value, longest) => typeof value === "string" && value.length <= longest;
const isQuestionId = (value) => isText(value, 100) && /^[a-z0-9]+(-[a-z0-9]+)*$/.test(value);
const inOrder = (days) => [...new Set(days)].sort().slice(-MOST.days);

/** @returns {Result|null} */
function readResult(raw) {
  if (!isObject(raw)) return null;
  const { tries = 0, right = 0, helped = 0, days = [], last = "", lately = [], slips = {} } = raw;
  const good = [tries, right, helped].every(isCount)
    && Array.isArray(days) && days.length <= MOST.days && days.every(isDay)
    && isText(last, 40)
    && Array.isArray(lately) && lately.length <= MOST.lately && lately.every(isAnswer)
    && isObject(slips) && Object.keys(slips).length <= MOST.slips
    && Object.entries(slips).every(([slip, times]) => isText(slip, 100) && isCount(times));
  // fromEntries, because a slip called __proto__ must stay a name.
  return good ? { tries, right, helped, days: inOrder(days), last, lately: [...lately], slips: Object.fromEntries(Object.entries(slips)) } : null;
}

/** Each answer as often as the one of the two has it that has it more often. */
function joinLately(mine, other) {
  const left = [...mine];
  const more = other.filter((one) => !left.includes(one) || !left.splice(left.indexOf(one), 1));
  if (!more.length) return mine;
  // Where neither holds the other, one full order, so that what was cut off once is cut off again.
  return mine.length + more.length === other.length ? other : [...mine, ...more].sort().slice(-MOST.lately);
}

/**
 * Two results of one question become one. Counting the same answers twice would be wrong, so of
 * every count the larger one holds: joining a file twice changes nothing.
 * @param {Result} mine
 * @param {Result} other
 * @returns {Result}
 */
function joinResults(mine, other) {
  const most = (name) => Math.max(mine[name], other[name]);
  const names = [...new Set([...Object.keys(mine.slips), ...Object.keys(other.slips)])].slice(0, MOST.slips);
  const times = (result, name) => Number(result.slips[name]) || 0;
  return {
    tries: most("tries"),
    right: most("right"),
    helped: most("helped"),
    days: inOrder([...mine.days, ...other.days]),
    last: mine.last || other.last,
    lately: joinLately(mine.lately, other.lately),
    slips: Object.fromEntries(names.map((name) => [name, Math.max(times(mine, name), times(other, name))])),
  };
}

/**
 * @param {Result} result
 * @param {{kind: string, slip?: string, helped?: boolean}} answer
 * @returns {Result} with one more answer, given today
 */
function withAnswer(result, { kind, slip, helped }) {
  const right = kind === "right";
  const slips = Object.entries(result.slips);
  if (slip) {
    const known = slips.find(([name]) => name === slip);
    if (known) known[1] += 1;
    else if (slips.length < MOST.slips) slips.push([String(slip).slice(0, 100), 1]);
  }
  return {
    tries: result.tries + 1,
    right: result.right + right,
    helped: result.helped + !!helped,
    days: right && !helped ? inOrder([...result.days, today()]) : result.days,
    last: String(kind || "").slice(0, 40),
    // What follows from a mistake is neither right nor another mistake.
    lately: kind === "followed through" ? result.lately
      : [...result.lately, today() + (right ? helped ? "h" : "+" : "-")].slice(-MOST.lately),
    slips: Object.fromEntries(slips),
  };
}

/** The date where the learner is, not in Greenwich. */
function today() {
  const now = new Date();
  return [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((part) => String(part).padStart(2, "0")).join("-");
}

/** @returns {Typed|null} texts are cut to a bearable length; null where it is too much altogether */
function readTyped(raw) {
  if (!isObject(raw)) return null;
  const { variant = "", entries = {}, choice = [], order = [], hints = 0, checked = null } = raw;
  const whole = (list) => Array.isArray(list) && list.length <= 100 && list.every(isCount);
  const good = isText(variant, 100) && isObject(entries) && Object.values(entries).every((text) => typeof text === "string")
    && whole(choice) && whole(order) && isCount(hints);
  if (!good) return null;
  const cut = Object.entries(entries).slice(0, 40).map(([step, text]) => [step.slice(0, 100), text.slice(0, 200)]);
  try {
    const typed = { variant, entries: Object.fromEntries(cut), choice, order, hints, checked };
    const text = JSON.stringify(typed);
    return text.length <= MOST.typed ? JSON.parse(text) : null;
  } catch {
    return null;
  }
}

/** A question on a page of this site; an address that leads elsewhere is none. */
function readWhere(raw) {
  if (!isObject(raw)) return null;
  const { page, question, title = "" } = raw;
  if (!isText(page, 500) || !isQuestionId(question) || !isText(title, 300)) return null;
  try {
    return new URL(page, SITE).href.startsWith(SITE) ? { page, question, title } : null;
  } catch {
    return null;
  }
}

/** @returns {string} the name as it is kept: one line, nothing invisible, 40 characters at most */
function readName(raw) {
  const plain = String(raw).normalize("NFC").replace(/[\p{C}\p{Z}]+/gu, " ").trim();
  return [...plain].slice(0, 40).join("").trim();
}
