/* How far a learner is: beside each question, in the overview's modules, and the way back to where
   they were. Every state is a word and a shape. */

const SHOWN = { done: "done", begun: "begun", fresh: "not begun" };

/** @returns {"done"|"begun"|"fresh"} */
function stateOf(keep, id) {
  const { tries, days } = keep.result(id);
  if (days.length >= DAYS_TO_BE_DONE) return "done";
  return tries ? "begun" : "fresh";
}

/** @returns {string} such as "4 done, 3 begun, 17 not begun"; the word alone where there is one */
function tally(states) {
  if (states.length === 1) return SHOWN[states[0]];
  const count = (state) => states.filter((one) => one === state).length;
  return Object.keys(SHOWN).map((state) => `${count(state)} ${SHOWN[state]}`).join(", ");
}

/** The overview's cells: one for each question of the course, with the page it stands on. */
const cellsIn = (place) => [...place.querySelectorAll(".qz-strip i")];

/** @param {Keep} keep */
function showProgress(keep) {
  for (const section of document.querySelectorAll("section[data-question]")) showState(section, keep);
  for (const row of document.querySelectorAll(".qz-overview [data-module]")) {
    const cells = cellsIn(row);
    if (!cells.length) continue;
    const states = cells.map((cell) => stateOf(keep, cell.dataset.question));
    cells.forEach((cell, at) => { cell.dataset.state = states[at]; });
    row.querySelector(".qz-tally").textContent = tally(states);
  }
  for (const stage of document.querySelectorAll(".qz-map [data-module]")) showStage(stage, keep);
  for (const line of document.querySelectorAll(".qz-where")) showWhere(line, keep);
}

/** A stage of the map, told by the questions that the overview of the same page has of its module. */
function showStage(stage, keep) {
  const cells = cellsIn(document).filter((cell) => cell.closest(`[data-module="${stage.dataset.module}"]`));
  if (!cells.length) return;
  const states = cells.map((cell) => stateOf(keep, cell.dataset.question));
  const done = states.filter((state) => state === "done").length;
  const state = done === cells.length ? "done" : states.every((one) => one === "fresh") ? "fresh" : "begun";
  const words = state === "begun" ? `${done} of ${cells.length} done` : SHOWN[state];
  stage.dataset.state = state;
  stage.querySelector(".qz-map-tally").textContent = words;
  stage.setAttribute("aria-label", `${stage.dataset.label}, ${words}`);
}

function showState(section, keep) {
  const id = section.dataset.question;
  const state = stateOf(keep, id);
  const { days } = keep.result(id);
  const mark = section.querySelector(".qz-done");
  mark.dataset.state = state;
  mark.textContent = state === "begun" && days.length ? `right on ${days.length} of ${DAYS_TO_BE_DONE} days` : SHOWN[state];
}

/** The link back to the last question, wherever it stands today; without one the first module stays. */
function showWhere(line, keep) {
  const where = keep.where();
  const id = where && ((COURSE.was || {})[where.question] || where.question);
  const cell = id && cellsIn(document).find((one) => one.dataset.question === id);
  const back = line.querySelector(".qz-back") || make("span", { class: "qz-back" });
  line.append(back);
  line.querySelector(".qz-first").hidden = Boolean(cell);
  back.replaceChildren();
  if (cell) {
    back.append("Where you were: ", make("a", { href: `${cell.dataset.page}#q-${id}` }, where.title || "your last question"));
  }
}

/** Remembers the question that a learner turns to. */
function followWhere(keep) {
  document.addEventListener("focusin", ({ target }) => {
    const section = target.closest && target.closest("section.qz");
    if (!section) return;
    const question = section.dataset.question;
    const page = thisPage();
    const last = keep.where();
    if (last && last.question === question && last.page === page) return;
    const module = COURSE.modules.find((one) => one.id === section.dataset.module);
    const label = section.querySelector(".qz-label").firstChild.textContent.trim().toLowerCase();
    keep.setWhere({ page, question, title: module ? `${module.code} ${module.title}, ${label}` : label });
  });
}
