/* What is said after a check: what happened, then what to do next. Never the key before it was found. */

const COSTS_NOTHING = "This costs nothing.";

/** How an answer is wanted: "3 figures", "a whole number", "steps of 0.1 A". */
function askedFor(step) {
  const { figures, step: by } = step.rounding;
  if (figures) return figures === 1 ? "1 figure" : `${figures} figures`;
  return by === "1" ? "a whole number" : `steps of ${withUnit(spaced(by), step.unit)}`;
}

/**
 * @param {Object} step
 * @param {Answer} answer
 * @param {Verdict} verdict
 * @param {{place: string, carried: {number: number, value: string, kind: string}[], again: boolean}} about
 *   `place` is what to look at again ("step 2"); `carried` names the earlier answers that were used
 * @returns {[string, string]} a few words that name the verdict, and the sentences after them
 */
function verdictWords(step, answer, verdict, about) {
  const look = `Look at ${about.place} again.`;
  switch (verdict.kind) {
    case "blank":
      return ["Nothing there yet.", `Give your answer, then check it. ${COSTS_NOTHING}`];
    case "unreadable":
      return ["Not read.", `${verdict.says} ${COSTS_NOTHING}`];
    case "two ways":
      return ["Reads two ways.", `${verdict.says} ${COSTS_NOTHING}`];
    case "unit":
      return ["Another unit.", `${verdict.says} measures something else. ${wantedUnit(step)} ${COSTS_NOTHING}`];
    case "unit missing":
      return ["Unit missing.", `Here the unit is part of the answer: type it after the number. ${COSTS_NOTHING}`];
    case "rounded too far":
      return ["Rounded too far.", `It fits as far as it goes. Give ${askedFor(step)}. ${COSTS_NOTHING}`];
    case "right":
      return ["Right.", ""];
    case "followed through":
      return ["Right with what you carried over.", carriedWords(about.carried)];
    case "slip": // says itself where to look
      return ["Not yet.", verdict.says];
    case "general":
      return ["Not yet.", `${verdict.says} ${look}`];
    default:
      return ["Not yet.", `${"word" in answer ? "That is not it." : compared(step, answer, verdict.value)} ${look}`];
  }
}

function wantedUnit(step) {
  if (step.unit_asked) return `Think which unit fits ${step.name}.`;
  return step.unit ? `Here ${step.unit} is wanted, or a unit that turns into it.` : "Here a plain number is wanted.";
}

/** "Right for the 18.3 A you carried over from step 1; step 1 itself is still wrong." */
function carriedWords(carried) {
  const from = carried.map(({ value, number }) => `the ${value} you carried over from step ${number}`).join(" and ");
  const first = carried[0];
  const state = first.kind === "rounded too far" ? "needs more figures" : "itself is still wrong";
  return `Right for ${from}; step ${first.number} ${state}. Put step ${first.number} right, then this one.`;
}

/** The learner's number beside the size to be expected, without telling the key. */
function compared(step, answer, value) {
  const mine = plainValue(step, value);
  const { key } = answer;
  if (step.between && (value < step.between[0] || value > step.between[1])) {
    const [low, high] = step.between.map((end) => plainValue(step, end));
    return `Your ${mine} lies outside anything to be expected here: ${low} to ${high}.`;
  }
  if (!step.key) return `Your ${mine} is not what the table gives here. Check its title and your row.`;
  if (value * key < 0) return `Your ${mine} has the wrong sign, and its size is not right either.`;
  const ratio = Math.abs(value / key);
  if (ratio > 1 / 1.05 && ratio < 1.05) return `Your ${mine} is close, but further off than rounding explains. Check your rounding on the way.`;
  if (ratio > 1 || !key) return `Your ${mine} is too large${ratio < 2 ? ", though its size is about right" : ratio < 10 ? ": more than twice what it should be" : ": ten times what it should be or more"}.`;
  return `Your ${mine} is too small${ratio > 0.5 ? ", though its size is about right" : ratio > 0.1 ? ": less than half of what it should be" : ": a tenth of what it should be or less"}.`;
}
