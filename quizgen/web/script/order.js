/* Putting steps in order: the judgement and the buttons that move a step. */

/**
 * @param {Object} data order (shown place to step), either (pairs counted from 1), says ([a, b, text]:
 *   what is wrong with a before b)
 * @param {number[]} places the step in each place, counted from 0
 * @returns {Verdict & {pair: number[]}} `pair` is the first step that stands before one it must follow
 */
function judgeOrder(data, places) {
  const free = (a, b) => data.either.some(([one, two]) => (
    (one === a + 1 && two === b + 1) || (one === b + 1 && two === a + 1)));
  const wrong = [];
  places.forEach((a, at) => places.slice(at + 1).forEach((b, gap) => {
    if (a > b && !free(a, b)) wrong.push({ a, b, at, gap });
  }));
  if (!wrong.length) return { kind: "right", slip: "", says: data.right, value: null, pair: [] };
  // Neighbours first, from the top.
  wrong.sort((one, two) => one.gap - two.gap || one.at - two.at);
  const [{ a, b }] = wrong;
  const said = (x, y) => (data.says.find(([one, two]) => one === x + 1 && two === y + 1) || [])[2];
  const other = wrong.find((pair) => pair.a === a && said(pair.a, pair.b));
  const pair = said(a, b) || !other ? [a, b] : [a, other.b];
  return { kind: "wrong", slip: "", says: said(...pair) || "", value: null, pair };
}

function orderWords({ data, options }, verdict) {
  if (verdict.kind === "right") return [["Right."], [verdict.says]];
  const [a, b] = verdict.pair.map((step) => options[data.order.indexOf(step)]);
  const says = verdict.says ? ` ${verdict.says}` : "";
  return [["Not yet."], [strong(a), " stands before ", strong(b), `. It should not.${says} Move one of them and check again.`]];
}
