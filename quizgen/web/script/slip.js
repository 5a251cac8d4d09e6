/* A progress slip: what a learner hands in, as a file or as text for a message. Of the learner it holds
   the code and nothing else. The text is read by quizgen/cohort/slip_message.py, where its parts are explained;
   SLIP_NAMES is put before this at build: salts, and the questions of each module. */

const SLIP_VERSION = 1;
const TEXT_LONGEST = 1500;
const CODE_SIGNS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz-";
const GENERALS = ["power-of-ten", "sign", "factor-2", "root-2", "root-3", "factor-60", "factor-3600", "reciprocal", "one-minus"];
const [LEAST_QUESTION_BITS, LEAST_SLIP_BITS] = [15, 9];
const ANSWERS_LISTED = 10;
const [RIGHT, WRONG, HELPED, ALONE, SLIPS, TIMES] = [0, 1, 5, 8, 12, 16];
const [LENGTH, SALT, LEFT, HOW_MANY, LISTED, BACK, GAP, NAME, DAYS] = [17, 18, 19, 20, 21, 22, 23, 29, 30];
const [IS_GENERAL, GENERAL_TREE, SIGN, QUOTIENT, NOW] = [24, 25, 26, 27, 28].map((context) => context * PLACES);

const isCode = (text) => /^[A-Za-z0-9][A-Za-z0-9-]{0,19}$/.test(text);
const dayNumber = (day) => Date.UTC(...day.split("-").map((part, at) => Number(part) - (at === 1))) / 864e5 - 10957;
const latelyOf = (result) => result.lately || [];
const byText = ([a], [b]) => (a < b ? -1 : Number(a > b));
const lastDay = (result) => [latelyOf(result), result.days].map((days) => (days[days.length - 1] || "").slice(0, 10)).sort()[1];

/** What was answered at all, in the order of the ids. */
const answered = (results) => Object.entries(results).filter(([, { tries }]) => tries).sort(byText);

/**
 * @param {string} code
 * @param {Object<string, Result>} results
 * @returns {string} the text of a file
 */
function slipFile(code, results) {
  const kept = answered(results).map(([id, { tries, right, helped, days, slips, ...rest }]) => (
    [id, { tries, right, helped, days, lately: latelyOf(rest), slips }]));
  const file = {
    file: "progress", version: SLIP_VERSION, course: COURSE.id, "course version": COURSE.version, code, saved: today(),
    note: "Saved by the learner. It shows what to talk about; it proves nothing.", results: Object.fromEntries(kept),
  };
  return JSON.stringify(file, null, 1) + "\n";
}

/**
 * @param {string} code
 * @param {Object<string, Result>} results
 * @returns {string} at most TEXT_LONGEST signs; what does not fit is left out, the oldest first
 */
function slipText(code, results) {
  const all = answered(results);
  const newest = [...all].sort(([, a], [, b]) => byText([lastDay(b)], [lastDay(a)]));
  const recent = recentAnswers(Object.fromEntries(all));
  const last = newest.length ? lastDay(newest[0][1]) : "";
  let [few, many, best] = [0, all.length, ""];
  while (few <= many) {
    const middle = !best && many === all.length ? many : (few + many) >> 1;
    const made = slipLine(code, newest.slice(0, middle), { recent, last, left: all.length - middle });
    if (made.length <= TEXT_LONGEST) {
      best = made;
      few = middle + 1;
    } else many = middle - 1;
  }
  return best;
}

/**
 * The last answers of each module together, mistakes of a day first; and how many days with a right answer without help
 * are not among them.
 */
function recentAnswers(results) {
  const alone = (answers) => answers.filter((one) => one[10] === "+").map((one) => one.slice(0, 10));
  const order = (answer) => [answer.slice(0, 10) + "-h+".indexOf(answer[10])];
  const about = (ids) => {
    const own = ids.filter((id) => Object.hasOwn(results, id)).map((id) => results[id]);
    const every = own.flatMap(latelyOf).sort((a, b) => byText(order(a), order(b)));
    const last = every.slice(-ANSWERS_LISTED);
    const days = new Set([...own.flatMap((one) => one.days), ...alone(every)]);
    return { last, older: days.size - new Set(alone(last)).size };
  };
  return Object.entries(SLIP_NAMES.modules).map(([id, ids]) => [`module ${id}`, about(ids)])
    .filter(([, { last }]) => last.length);
}

function slipLine(code, results, about) {
  const out = openWriter();
  writeSlip(out, code, results, about);
  const body = out.done();
  const sum = checkSum(body);
  const older = about.left ? `, ${about.left} older questions left out` : "";
  const data = signsOf([sum >>> 24, (sum >>> 16) & 255, (sum >>> 8) & 255, sum & 255, ...body]);
  return `Progress slip of ${code}, ${today()}${older}: SLIP2 ${data}.`;
}

function writeSlip(out, code, results, { recent, last, left }) {
  const saved = dayNumber(today());
  const [[bits, salt], written] = SLIP_NAMES.salts;
  const course = longName(COURSE.id);
  const byName = (list) => list.map(([name, value]) => [shortName(name, salt, bits), value, name])
    .sort((a, b) => a[0] - b[0] || byText([a[2]], [b[2]]));
  out.plain(course >>> 16, 16);
  out.plain(course & 65535, 16);
  out.number(LENGTH, code.length);
  for (const sign of code) out.plain(CODE_SIGNS.indexOf(sign), 6);
  out.plain(saved, 16);
  for (const number of [bits - LEAST_QUESTION_BITS, salt, written[0] - LEAST_SLIP_BITS, written[1]]) out.number(SALT, number);
  out.number(LEFT, left);
  out.number(BACK, Math.max(0, saved - dayNumber(last || today())));
  out.number(HOW_MANY, recent.length);
  for (const [name, { last: answers, older }] of byName(recent)) {
    out.number(NAME, name);
    writeAnswers(out, answers, saved);
    out.number(DAYS, older);
  }
  out.number(HOW_MANY, results.length);
  const low = Math.max(0, 31 - Math.clz32(Math.floor(2 ** bits * 2 / (3 * Math.max(1, results.length)))));
  let before = -1;
  for (const [name, result] of byName(results)) {
    const gap = Math.max(0, name - before - 1);
    for (let at = 0; at < gap >> low; at += 1) out.bit(QUOTIENT + Math.min(at, 7), 1);
    out.bit(QUOTIENT + Math.min(gap >> low, 7), 0);
    out.plain(gap & (2 ** low - 1), low);
    before += gap + 1;
    writeCounts(out, result, written);
  }
}

/* From the last one back. */
function writeAnswers(out, answers, saved) {
  out.number(LISTED, answers.length - 1);
  let before = saved;
  [...answers].reverse().forEach((answer, at) => {
    const day = Math.min(before, dayNumber(answer.slice(0, 10)));
    out.number(at ? GAP : BACK, before - day);
    before = day;
    const sign = "+h-".indexOf(answer[10]);
    out.bit(SIGN, sign > 0);
    if (sign) out.bit(SIGN + 1, sign > 1);
  });
}

function writeCounts(out, result, [bits, salt]) {
  const count = (value) => Math.min(value, 1e6);
  const right = Math.min(count(result.right), count(result.tries));
  const wrong = count(result.tries) - right;
  const slips = Object.entries(result.slips).filter(([, times]) => times).sort(byText);
  out.number(RIGHT, right);
  out.number(WRONG + Math.min(right, 3), wrong);
  out.number(HELPED + Math.min(wrong, 2), count(result.helped));
  out.number(ALONE + Math.min(right, 3), result.days.length);
  out.bit(NOW + Math.min(result.days.length, 3), latelyOf(result).slice(-1).some((answer) => answer.endsWith("+")));
  out.number(SLIPS + Math.min(wrong, 3), slips.length);
  for (const [name, times] of slips) {
    const general = GENERALS.indexOf(name);
    out.bit(IS_GENERAL, general >= 0);
    if (general >= 0) {
      let node = 1;
      for (const place of [3, 2, 1, 0]) {
        const digit = (general >> place) & 1;
        out.bit(GENERAL_TREE + node, digit);
        node = node * 2 + digit;
      }
    } else out.plain(shortName(name, salt, bits), bits);
    out.number(TIMES, count(times) - 1);
  }
}
