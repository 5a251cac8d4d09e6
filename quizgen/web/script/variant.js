/* One set of numbers of a question: its givens, keys and answers as they are shown. */

/**
 * @param {Object} data of the question
 * @param {Array} variant [name, givens as printed, answers, slips of tables]
 * @returns {{known: Object[], answers: Answer[], shown: Object<string, string>}} `known[n]` holds the SI
 *   values (or words) that step n may use; `shown` every given and answer as printed, by quantity
 */
function opened(data, variant) {
  const values = {};
  const shown = {};
  data.givens.forEach(([id, , unit, factor, isWord], at) => {
    const text = variant[1][at];
    values[id] = isWord ? text : text * factor;
    shown[id] = withUnit(isWord || !/^-?\d+(\.\d+)?$/.test(text) ? text : spaced(text), unit);
  });
  const known = [];
  const answers = data.steps.map((step, at) => {
    known.push({ ...values });
    const given = [].concat(variant[2][at]);
    const answer = typeof given[0] === "string" ? { word: given[0] }
      : given.length > 1 ? { key: given[0], tolerance: given[1] }
        : { key: keyValue(step.key, values), tolerance: given[0] };
    values[step.find] = answer.word ?? answer.key;
    shown[step.find] = answer.word ?? shownValue(step, answer.key);
    return answer;
  });
  return { known, answers, shown };
}

/** The value or word that a step's key gives for known SI values; NaN where it gives none. */
function keyValue(key, known) {
  if (!key.length || typeof key[0] !== "object") return runProgram(key, known);
  const found = key.find(({ when }) => runProgram(when, known));
  if (!found) return NaN;
  return "word" in found ? found.word : runProgram(found.then, known);
}

/** An SI value in the step's unit, rounded as asked. */
function shownValue(step, value) {
  return withUnit(spaced(writeNumber(value / step.factor, step.rounding)), step.unit);
}
