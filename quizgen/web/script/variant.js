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

/** An SI value in the step's unit, rounded as asked. */
function shownValue(step, value) {
  return withUnit(spaced(writeNumber(value / step.factor, step.rounding)), step.unit);
}

/** An SI value in the step's unit with the figures it has, six at most where they were computed. */
function plainValue(step, value) {
  const counted = value / step.factor;
  const size = Math.abs(counted);
  if (size && (size < 1e-6 || size >= 1e9)) {
    const [digits, power] = counted.toExponential(5).split("e");
    return withUnit(`${spaced(String(+digits))}·10^${spaced(String(+power))}`, step.unit);
  }
  return withUnit(spaced(writeNumber(counted, { figures: 6 }).replace(/(\.\d*?)0+$/, "$1").replace(/\.$/, "")), step.unit);
}
