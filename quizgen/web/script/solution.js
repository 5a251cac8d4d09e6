/* The worked solution, one line at a time: what is wanted and by which law, the law in symbols, the
   numbers filled in, the result. The numbers are those of the learner's own set. */

/**
 * @param {Object} room see practice.js
 * @param {number} at step
 * @returns {(Node|string)[][]} the nodes of each line
 */
function solutionLines(room, at) {
  const { data, set } = room;
  if (data.kind === "choice") return choiceLines(room);
  if (data.kind === "order") return orderLines(room);
  const step = data.steps[at];
  const answer = set.answers[at];
  const entry = step.worked.find(({ when }) => !when || runProgram(when, set.known[at])) || { filled: [] };
  const symbol = () => symbolNodes(step.symbol);
  const unit = step.unit && !step.unit_asked && !("word" in answer) ? `, in ${step.unit}` : "";
  const named = "word" in answer ? [step.name] : [`${step.name} `, ...symbol(), unit];
  const lines = [["Wanted: ", ...named, `. Use: ${step.law}.`]];
  const where = entry.when ? [`Here ${entry.when_line}. `] : [];
  if ("math" in entry) lines.push([...where, formula(room, entry.math), linear(entry.line)]);
  else if (where.length) lines.push(where);
  const filled = entry.filled.map((part) => (typeof part === "string" ? part : set.shown[part.q])).join("");
  if (filled) lines.push("math" in entry ? [...symbol(), ` = ${filled}`] : [`In the table: ${filled}.`]);
  const result = "word" in answer ? ["So: ", strong(answer.word)] : [...symbol(), " = ", strong(set.shown[step.find])];
  lines.push([...result, ...roundingNote(room, at)]);
  return lines;
}

/** Says so where the rounded intermediate results shown would give another last figure. */
function roundingNote({ data, set }, at) {
  const step = data.steps[at];
  const { key } = set.answers[at];
  if (!at || !step.key || key === undefined) return [];
  const rounded = { ...set.known[at] };
  data.steps.slice(0, at).forEach((earlier, n) => {
    const value = set.answers[n].key;
    if (value !== undefined) rounded[earlier.find] = writeNumber(value / earlier.factor, earlier.rounding) * earlier.factor;
  });
  const other = keyValue(step.key, rounded);
  if (!Number.isFinite(other) || shownValue(step, other) === set.shown[step.find]) return [];
  return [` (worked with the unrounded results before it; ${shownValue(step, other)} counts too)`];
}

function choiceLines({ data, options }) {
  const line = (right) => (at) => {
    return [strong(options[at]), right ? " is right. " : " is wrong. ", data.options[at][1]];
  };
  const all = options.map((_, at) => at);
  return [...all.filter((at) => !data.options[at][0]).map(line(false)), ...all.filter((at) => data.options[at][0]).map(line(true))];
}

function orderLines({ data, options }) {
  return data.order.map((_, place) => [strong(`${place + 1}. `), options[data.order.indexOf(place)]]);
}

const strong = (text) => make("b", {}, text);
const linear = (text) => make("span", { class: "qz-linear" }, text);
const formula = (room, at) => room.formulas[at].cloneNode(true);
