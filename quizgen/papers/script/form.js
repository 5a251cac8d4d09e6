/* The hand-in form: what was typed, read from the page and put back into it. */

const FORM = "hand-in of a competence paper";
const boxes = [...document.querySelectorAll(".question")].map((question) => [...question.querySelectorAll(".box")]);

/** A text that survives every encoding: no half characters, no control signs, single line. */
function tidy(text) {
  return text.replace(/\p{Surrogate}/gu, "").replace(/[\p{Cc}\u2028\u2029]+/gu, " ").trim();
}

/** What stands in a box: a number as typed, letters of options, or the numbers of places. */
function answerOf(box) {
  const inputs = [...box.querySelectorAll("input")];
  if (box.dataset.kind === "options") return inputs.filter((input) => input.checked).map((i) => i.value).join(" ");
  const texts = inputs.map((input) => tidy(input.value));
  if (box.dataset.kind === "number") return texts[0];
  return texts.some((text) => text) ? texts.map((text) => text.replace(/ /g, "") || "-").join(" ") : "";
}

function putAnswer(box, answer) {
  const inputs = [...box.querySelectorAll("input")];
  const parts = answer.split(" ");
  inputs.forEach((input, at) => {
    if (box.dataset.kind === "options") input.checked = parts.includes(input.value);
    else if (box.dataset.kind === "number") input.value = answer;
    else input.value = (parts[at] || "-").replace("-", "");
  });
}

const allAnswers = () => boxes.map((question) => question.map(answerOf));

/** @returns {{text: string, check: string}} the form as a file, and its check code */
function makeForm() {
  const answers = allAnswers();
  const check = checkCode(PAPER.number, PAPER.code, answers);
  const form = { form: FORM, v: 1, paper: PAPER.number, code: PAPER.code, answers, check };
  return { text: JSON.stringify(form, null, 1), check };
}

/** Fills the page from a form; says why not, or "" if it did. */
function takeForm(text) {
  let form;
  try {
    form = JSON.parse(text);
  } catch {
    return "This file is no hand-in form.";
  }
  if (!form || form.form !== FORM || form.v !== 1) return "This file is no hand-in form of this version.";
  if (form.paper !== PAPER.number) return "This form belongs to another paper.";
  const { answers } = form;
  const fits = Array.isArray(answers) && answers.length === boxes.length && boxes.every((question, at) => (
    Array.isArray(answers[at]) && answers[at].length === question.length
    && answers[at].every((answer) => typeof answer === "string" && answer.length <= 200)));
  if (!fits) return "This form does not fit this paper: it is damaged.";
  boxes.forEach((question, at) => question.forEach((box, i) => putAnswer(box, answers[at][i])));
  return "";
}
