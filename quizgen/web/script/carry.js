/* One learner's practice as a file, to carry it to another device. A file can come from anybody:
   it is looked through whole before a word of it is taken. */

const FILE_VERSION = 1;
const FILE_LONGEST = 1000000;

/**
 * @typedef {Object} Reading
 * @property {boolean} ok
 * @property {string} says what the file holds, or why it cannot be taken
 * @property {string} [learner]
 * @property {Object<string, Result>} [results] by question id
 * @property {Object<string, Typed>} [typed] by question id
 * @property {{page: string, question: string, title: string}|null} [where]
 * @property {string|null} [code] that the trainer gave
 * @property {Object|null} [assignment] the plan in a file's form
 */

/** @param {{learner: string, results: Object, typed: Object, where: Object|null, code: *, assignment: *}} practice */
function practiceText({ code, assignment, ...practice }) {
  const plan = readKeptPlan(assignment);
  const own = { ...(readCode(code) ? { code } : {}), ...(plan ? { assignment: planFile(plan) } : {}) };
  const file = {
    file: "practice", version: FILE_VERSION,
    course: COURSE.id, title: COURSE.title, "course version": COURSE.version, saved: today(), ...practice, ...own,
  };
  return JSON.stringify(file, null, 1) + "\n";
}

/**
 * @param {string} text
 * @returns {Reading}
 */
function readPractice(text) {
  const no = (says) => ({ ok: false, says: `${says} Nothing was loaded.` });
  if (text.length > FILE_LONGEST) return no("This is too large for saved practice.");
  if (!text.trim()) return no("This is empty.");
  let file;
  try {
    file = JSON.parse(text.replace(/^\ufeff/, ""));
  } catch {
    return no("This is no saved practice, or a part of it is missing.");
  }
  if (!isObject(file) || file.file !== "practice" || !Number.isInteger(file.version)) return no("This is no saved practice.");
  if (file.version > FILE_VERSION) return no("This was saved by a newer edition of the course. Load it there.");
  if (file.version < 1) return no("This is no saved practice.");
  if (file.course !== COURSE.id) {
    const title = isText(file.title, 200) ? ` “${readName(file.title)}”` : "";
    return no(`This belongs to another course${title}.`);
  }
  const { learner = "", results = {}, typed = {}, where = null, code = null, assignment = null } = file;
  if (typeof learner !== "string" || !isObject(results) || !isObject(typed)) return no("This saved practice is damaged.");
  const made = { results: [], typed: [] };
  for (const [name, raw, read] of [["results", results, readResult], ["typed", typed, readTyped]]) {
    for (const [id, value] of Object.entries(raw)) {
      const good = isQuestionId(id) && read(value);
      if (!good) return no(`This saved practice is damaged at “${readName(id)}”.`);
      made[name].push([id, good]);
    }
  }
  const place = where === null ? null : readWhere(where);
  if (where !== null && !place) return no("This saved practice is damaged at “where”.");
  if (code !== null && !readCode(code)) return no("This saved practice is damaged at “code”.");
  const plan = readKeptPlan(assignment);
  if (assignment !== null && !plan) return no("This saved practice is damaged at “assignment”.");
  const count = made.results.length;
  const handed = plan ? `, with the plan for ${plan.code}` : "";
  const saved = isDay(file.saved) ? `, saved on ${file.saved}` : "";
  return {
    ok: true,
    says: `Results of ${count} ${count === 1 ? "question" : "questions"}${saved}${handed}.`,
    learner: readName(learner),
    results: Object.fromEntries(made.results),
    typed: Object.fromEntries(made.typed),
    where: place,
    code: plan ? plan.code : code,
    assignment: plan && planFile(plan),
  };
}

/**
 * What of a file's code and plan is taken with its results: nothing takes the place of another code's unless the file's
 * practice alone is to count, and of one code the newer plan stays.
 * @param {Reading} found
 * @param {(part: string) => *} kept what is here
 * @returns {[string, *][]} parts to keep
 */
function ownTaken({ code, assignment }, kept, replace) {
  const [mine, plan] = [readCode(kept("code")), readKeptPlan(kept("assignment"))];
  if (!code || (mine && mine !== code && !replace)) return [];
  const newer = assignment && (!plan || plan.code !== code || plan.made < assignment.made || replace);
  return [["code", code], ...(newer ? [["assignment", assignment]] : [])];
}
