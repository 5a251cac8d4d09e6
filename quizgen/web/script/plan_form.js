/* A plan and its code as they are kept and as files hold them: what a trainer handed out, and what a learner carries to
   another device. Whatever comes from outside is looked at here before anything uses it. */

const PLAN_VERSION = 1;
const PLAN_MOST = { items: 100, answers: 50 };

/**
 * @typedef {Object} Plan
 * @property {string} group
 * @property {string} code
 * @property {string} made the day it was handed out
 * @property {{right: number, ofLast: number, onDays: number}} done
 * @property {{what: string, due: string}[]} items
 */

/** Days from 1970 to a local date; equal steps whatever the clocks do. */
function dayNumber(day) {
  const [year, month, date] = day.split("-").map(Number);
  return Date.UTC(year, month - 1, date) / 864e5;
}

const dayOf = (number) => new Date(number * 864e5).toISOString().slice(0, 10);
const isRealDay = (value) => isDay(value) && dayOf(dayNumber(value)) === value;
const isCode = (value) => typeof value === "string" && /^[A-Za-z0-9][A-Za-z0-9-]{0,19}$/.test(value);
const isFew = (value) => isCount(value) && value >= 1 && value <= PLAN_MOST.answers;

/**
 * The fields of a plan, from a file, a text or this device.
 * @returns {Plan|null} null where anything is not what it should be
 */
function readPlan(raw) {
  if (!isObject(raw) || !isObject(raw.done) || !Array.isArray(raw.items)) return null;
  const { group, code, made, items } = raw;
  const { right, "of last": ofLast, "on days": onDays } = raw.done;
  const good = isQuestionId(group) && isCode(code) && isRealDay(made) && [right, ofLast, onDays].every(isFew)
    && right <= ofLast && onDays <= right
    && items.length >= 1 && items.length <= PLAN_MOST.items
    && items.every((one) => isObject(one) && isQuestionId(one.what) && isRealDay(one.due))
    && new Set(items.map(({ what }) => what)).size === items.length;
  return good ? { group, code, made, done: { right, ofLast, onDays }, items: items.map(({ what, due }) => ({ what, due })) } : null;
}

/** The same as it is kept: a file's form. */
function planFile({ group, code, made, done, items }) {
  return {
    file: "assignment", version: PLAN_VERSION, course: COURSE.id, group, code, made,
    done: { right: done.right, "of last": done.ofLast, "on days": done.onDays }, items,
  };
}

const readCode = (raw) => (isCode(raw) ? raw : null);
const readKeptPlan = (raw) => (isObject(raw) && raw.course === COURSE.id ? readPlan(raw) : null);
