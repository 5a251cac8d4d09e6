/* Choosing: one or several of the options, and why each one is right or not. */

/**
 * @param {[number, string][]} options [right, reason] as shown
 * @param {boolean} several
 * @param {number[]} chosen places among the options
 * @returns {Verdict & {reasons: number[]}} `reasons` are the options whose reason may be told now
 */
function judgeChoice(options, several, chosen) {
  const verdict = (kind, reasons) => ({ kind, slip: "", says: "", value: null, reasons });
  if (!chosen.length) return verdict("blank", []);
  const wrong = chosen.filter((at) => !options[at][0]);
  if (wrong.length) return verdict("wrong", wrong);
  const all = options.filter(([right]) => right).length;
  return chosen.length < all ? verdict("wrong", []) : verdict("right", chosen);
}

/** What is said of a judged choice; the reason of what was chosen comes first. */
function choiceWords(room, verdict) {
  const { data, options } = room;
  if (verdict.kind === "blank") return [["Nothing there yet."], [`Choose ${data.several ? "all that are right" : "one"}, then check. ${COSTS_NOTHING}`]];
  const reasons = verdict.reasons.map((at) => (
    data.several ? make("p", {}, strong(options[at]), ": ", data.options[at][1]) : data.options[at][1]));
  if (verdict.kind === "right") return [["Right."], reasons];
  if (!reasons.length) return [["Not yet."], ["All that you chose is right, but something is missing. Read the others again."]];
  return [["Not yet."], [...reasons, ` Choose again.`]];
}

/** The reasons of all options, for the list behind "Why not the others?". */
function otherReasons({ data, options }, told) {
  return options.map((_, at) => at).filter((at) => !told.includes(at)).map((at) => (
    make("li", {}, strong(options[at]), data.options[at][0] ? " is right. " : " is not right. ", data.options[at][1])));
}
