/* What a trainer handed out, read from a file or a pasted text (quizgen/cohort/assignment.py writes both).
   It can come from anybody: it is looked through whole before a word of it is used. */

const PLAN_LONGEST = 20000;

/** Tells a whole text from one with a part missing; `check_of` in Python. */
function checkOf(text) {
  let sum = 0;
  for (let at = 0; at < text.length; at += 1) sum = (Math.imul(sum, 31) + text.charCodeAt(at)) >>> 0;
  return sum.toString(16).padStart(8, "0");
}

/**
 * What a text says, in a file's form; words around it and lost line breaks do no harm.
 * @returns {Object|null} null where it holds no plan, or only a part of one
 */
function fromText(text) {
  const all = text.trim().split(/\s+/);
  const start = all.findIndex((word, at) => word.toLowerCase() === "assignment" && /^[1-9]\d?$/.test(all[at + 1]));
  if (start < 0) return null;
  const words = ["assignment", ...all.slice(start + 1)];
  const end = words.findIndex((word, at) => word === "check" && /^[0-9a-f]{8}$/.test(words[at + 1]));
  if (end < 0 || checkOf(words.slice(0, end).join(" ")) !== words[end + 1]) return null;
  const [, version, , course, , group, , code, , made, , right, , ofLast, , onDays, ...rest] = words.slice(0, end);
  const items = [];
  for (let at = 0; at < rest.length; at += 2) items.push({ what: rest[at], due: rest[at + 1] });
  return {
    file: "assignment", version: Number(version), course, group, code, made, items,
    done: { right: Number(right), "of last": Number(ofLast), "on days": Number(onDays) },
  };
}

/**
 * @param {string} text of a file, or pasted
 * @returns {{ok: boolean, says: string, plan?: Plan}}
 */
function readAssignment(text) {
  const no = (says) => ({ ok: false, says: `${says} Nothing was opened.` });
  const plain = text.slice(0, PLAN_LONGEST + 1).replace(/^\ufeff/, "").trim();
  if (text.length > PLAN_LONGEST) return no("This is too large for a plan.");
  if (!plain) return no("This is empty: choose the file, or paste the text.");
  let file;
  try {
    file = plain.startsWith("{") ? JSON.parse(plain) : fromText(plain);
  } catch {
    return no("This is no plan, or a part of it is missing. Ask your trainer for the file.");
  }
  if (!isObject(file)) return no("This is no plan, or a part of it is missing. Copy the whole text, from “assignment” to the end.");
  if (file.file === "practice") return no("This is saved practice. Load it under “Whose practice is this?”.");
  if (file.file !== "assignment" || !isCount(file.version) || file.version < 1) return no("This is no plan.");
  if (file.version > PLAN_VERSION) return no("This was made by a newer edition of the course. Ask for a new copy of the course.");
  if (file.course !== COURSE.id) {
    const title = [file.title, file.course].find((name) => isText(name, 200) && name);
    return no(title ? `This belongs to another course, “${readName(title)}”.` : "This belongs to another course.");
  }
  const plan = readPlan(file);
  return plan ? { ok: true, says: "", plan } : no("This plan is damaged. Ask your trainer for it again.");
}
