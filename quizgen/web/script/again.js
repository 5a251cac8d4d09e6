/* Which questions are proposed again today: always after the same gap, since growing gaps are no better.
   What is proposed is told by the day and by what was answered before it, so that it stays all day. */

const AGAIN = { most: 6, slips: 4, module: 2 };

/**
 * @typedef {Object} Again
 * @property {string} id
 * @property {string} module
 * @property {boolean} wrong its last answer before today was not right without help
 * @property {number} wait days since then; Infinity where that is not known
 * @property {string} now what happened today: "", "+", "h" or "-"
 */

/**
 * @param {{id: string, module: string, result: Result}[]} questions
 * @param {string} day today
 * @param {number} gap in days
 * @returns {{list: Again[], next: string}} next: the day the next one comes back, "" where nothing was practised
 */
function againToday(questions, day, gap) {
  const due = [];
  let next = Infinity;
  for (const { id, module, result } of questions) {
    const before = result.lately.filter((one) => one.slice(0, 10) < day);
    const todays = result.lately.filter((one) => one.slice(0, 10) === day);
    const days = [...before.map((one) => one.slice(0, 10)), ...result.days.filter((one) => one < day)].sort();
    const last = before.slice(-1).join();
    const wrong = Boolean(last) && !last.endsWith("+");
    if (days.length) {
      const wait = dayNumber(day) - dayNumber(days[days.length - 1]);
      const left = (wrong ? 1 : gap) - wait;
      if (left <= 0) due.push({ id, module, wrong, wait, now: todays.slice(-1).join().slice(10) });
      else if (!todays.length) next = Math.min(next, left);
    } else if (result.tries > todays.length && todays.length < MOST.lately) {
      // Practised in a time of which no days are kept.
      due.push({ id, module, wrong: false, wait: Infinity, now: todays.slice(-1).join().slice(10) });
    }
    if (todays.length) next = Math.min(next, todays.slice(-1).join().endsWith("+") ? gap : 1);
  }
  // Those of one day are mixed, in another way each day.
  const mixed = due.map((one) => [one, mixOf(day + one.id)]);
  const inTurn = (by) => mixed.filter(([one]) => by.only(one)).sort(([a, x], [b, y]) => (
    a.wait === b.wait ? x - y : by.sooner(a, b))).map(([one]) => one);
  const slips = inTurn({ only: ({ wrong }) => wrong, sooner: (a, b) => a.wait - b.wait });
  const older = inTurn({ only: ({ wrong }) => !wrong, sooner: (a, b) => b.wait - a.wait });
  const list = slips.slice(0, AGAIN.slips);
  list.push(...fromMany(older, AGAIN.most - list.length));
  list.push(...slips.slice(AGAIN.slips, AGAIN.slips + AGAIN.most - list.length));
  return { list, next: next === Infinity ? "" : dayOf(dayNumber(day) + next) };
}

/** A number that a small change of the text changes altogether, below 2 to the 32nd. */
function mixOf(text) {
  let mix = 0x811c9dc5;
  for (let at = 0; at < text.length; at += 1) mix = Math.imul(mix ^ text.charCodeAt(at), 0x01000193);
  mix = Math.imul(mix ^ (mix >>> 15), 0x2c1b3c6d);
  return (mix ^ (mix >>> 13)) >>> 0;
}

/** The first so many, of each module only a few as long as others are there. */
function fromMany(list, count) {
  const taken = [];
  const left = [];
  for (const one of list) {
    const same = taken.filter(({ module }) => module === one.module).length;
    (same < AGAIN.module ? taken : left).push(one);
  }
  return [...taken, ...left].slice(0, count);
}
