/* How far a learner is with what was assigned (`cohort/done.py` is the reference), and days in words. */

/** Answers of one day carry no hour. Mistakes are taken to come first: one learns during a day. */
const WRONG_FIRST = "-h+";

/**
 * @param {string[][]} answers what is kept of each question of a module
 * @param {{right: number, ofLast: number, onDays: number}} rule
 * @param {string[]} given all days with a right answer without help: a long sitting pushes earlier answers out of the last
 *   ones, but it does not undo that they were given on another day
 * @returns {{right: number, of: number, days: number, done: boolean}} right: among the last answers
 */
function moduleStanding(answers, { right, ofLast, onDays }, given) {
  const rank = (one) => one.slice(0, 10) + WRONG_FIRST.indexOf(one[10]);
  const isAlone = (one) => one[10] === "+";
  const every = answers.flat().sort((a, b) => (rank(a) < rank(b) ? -1 : 1));
  const last = every.slice(-ofLast);
  const alone = last.filter(isAlone);
  const days = new Set([...given, ...every.filter(isAlone).map((one) => one.slice(0, 10))]).size;
  return { right: alone.length, of: last.length, days, done: alone.length >= right && days >= onDays };
}

/** A case is done while it was right the last time it was played. */
const caseDone = (lately) => lately.slice(-1).join().slice(10) === "+";

/** The question of a module to go to: one that was never tried, else one that was not right, else the one longest ago. */
function nextQuestion(questions, results) {
  const order = (at) => {
    const { tries, lately } = results[at];
    const last = lately.slice(-1).join();
    return [tries ? (last.endsWith("+") ? 2 : 1) : 0, last];
  };
  const before = ([a, b], [c, d]) => a - c || (b < d ? -1 : b > d ? 1 : 0);
  return questions.map((_, at) => at).sort((a, b) => before(order(a), order(b)) || a - b)[0];
}

/** @returns {"done"|"overdue"|"today"|"later"} */
function dueState(done, due, day) {
  if (done) return "done";
  return due < day ? "overdue" : due === day ? "today" : "later";
}

const many = (count, what) => `${count} ${what}${count === 1 ? "" : "s"}`;

const WEEKDAYS = ["Sunday", "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday"];
const MONTHS = ["January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"];

/** @returns {string} such as "Friday, 4 December 2026", in the language of the course and not of the device */
function dayWords(day) {
  const [year, month, date] = day.split("-").map(Number);
  return `${WEEKDAYS[new Date(Date.UTC(year, month - 1, date)).getUTCDay()]}, ${date} ${MONTHS[month - 1]} ${year}`;
}

/** What is said of a state, with the days that lie between. */
function dueWords(state, due, day) {
  const days = Math.abs(dayNumber(due) - dayNumber(day));
  if (state === "done") return "Done";
  if (state === "overdue") return `Overdue by ${many(days, "day")}`;
  return state === "today" ? "Due today" : `Due in ${many(days, "day")}`;
}
