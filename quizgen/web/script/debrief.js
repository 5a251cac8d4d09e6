/* What is said at the end of a case: each decision against the best one, from the table of best minutes. */

const TIE = 1e-4;
const mins = (value) => `${Math.abs(value - Math.round(value)) < 0.05 ? Math.round(value) : value.toFixed(1)}\u00a0min`;
const nameOf = (data, action) => (action === ISOLATE ? "Isolate and prove dead" : testOf(data, action).name);
const partNames = (data, parts) => parts.map((part) => data.parts[part]).join(", ");
const suspectsWords = (data, standing) => {
  const names = leftOf(data, standing).map(({ name }) => name);
  return names.length > 6 ? `${names.length} in ${partNames(data, partsLeft(data, standing))}` : names.join("; ");
};

/** How an action sorts the suspects, in words. */
function sortsWords(data, standing, action) {
  const all = leftOf(data, standing).length;
  const price = mins(minutesOf(data, standing, action));
  if (action === ISOLATE) return `opens the way to tests on bare parts, for ${price}`;
  const most = Math.max(...afterAction(data, standing, action).map((one) => leftOf(data, one).length));
  if (most === all) return `tells nothing about the ${all} suspects left, for ${price}`;
  return `leaves at most ${most} of ${all} suspects whatever it shows, for ${price}`;
}

/** The best choice where one stands; "" where the part is proved. */
function betterWords(data, standing) {
  const best = (data.values[keyOf(standing)] || [0, ""])[1];
  return best && `Better: ${nameOf(data, best)}, which ${sortsWords(data, standing, best)}. `;
}

function decisionNodes(data, { standing, action, regret, next }) {
  const better = betterWords(data, standing);
  const lead = make("b", {}, `${nameOf(data, action)}. `);
  const before = suspectsWords(data, standing);
  const after = next && suspectsWords(data, next);
  const then = make("small", {}, after === before ? `Suspects, before and after: ${before}.` : `Suspects before: ${before}.`,
    after && after !== before ? ` After: ${after}.` : "");
  if (!next) return [lead, "Not safe. ", better, then];
  if (isProved(data, standing)) return [lead, `Not needed: the part was proved already, so ${mins(regret)} were lost.`];
  if (regret <= TIE) return [lead, `As good as any: it ${sortsWords(data, standing, action)}. `, then];
  const best = valueOf(data, standing);
  return [lead, make("b", {}, `${mins(regret)} more than the best choice`), ` on average. It ${sortsWords(data, standing, action)}. ${better}`
    + `With all that comes after it, your choice takes ${mins(best + regret)} on average, the better one ${mins(best)}. `, then];
}

/** What the best order takes for the fault that this van really has. */
function bestWalk(data, fault) {
  let standing = firstStanding(data);
  let sum = 0;
  while (!isProved(data, standing)) {
    const action = data.values[keyOf(standing)][1];
    sum += minutesOf(data, standing, action);
    const next = afterAction(data, standing, action).find(({ suspects }) => suspects >> fault & 1);
    if (action === ISOLATE && !next.dead) break;
    standing = next;
  }
  return sum;
}

/** Numbers of the done steps without which suspects of another part would be left. */
function provingSteps(data, steps) {
  const all = firstStanding(data).suspects;
  return steps.map((_, at) => at).filter((out) => {
    const suspects = steps.reduce((left, { shows }, at) => (at === out ? left : left & shows), all);
    return !isProved(data, { suspects });
  });
}

/** Nothing more may be done: proving dead failed, or it is bound to. */
const mustStop = ({ failed, data, standing }) => failed || leftOf(data, standing).every((one) => one.still_live);
/** What decisions may cost for a case to count as right. */
const allowedOf = ({ minutes }) => Math.max(5, minutes / 4);

/** @returns {{right: boolean, lines: Array<[string, string]>}} what was named or done, judged */
function verdict(play, end) {
  const { data, standing, fault, steps, failed } = play;
  const truth = data.suspects[fault];
  const proved = isProved(data, standing);
  const why = failed ? "Proving dead failed." : "What is left keeps high voltage on after isolating.";
  if (end.unsafe) {
    const names = barredBy(data, standing, end.unsafe).map(({ name }) => name).join("; ");
    return { right: false, lines: [
      ["The case ends here, whatever was found.", `You chose: ${nameOf(data, end.action)}. ${WORDS.unsafe[end.unsafe]}`],
      ...(names ? [[`Still possible, and no ${end.unsafe} with it:`, `${names}.`]] : []),
      ["The right sequence.", WORDS.way]] };
  }
  if (end.stopped) {
    if (mustStop(play)) return { right: true, lines: [["Right: stop.", `${why} ${WORDS.stop}`]] };
    const live = leftOf(data, standing).some((one) => one.still_live);
    return { right: false, lines: [["Stopped early.", `${WORDS.early[Number(live)]} Suspects left: ${suspectsWords(data, standing)}. ${betterWords(data, standing)}`]] };
  }
  if (mustStop(play)) return { right: false, lines: [["Not safe.", `${why} The right act was to stop and hand over, not to change a part.`]] };
  const right = end.part === truth.part;
  const lines = [[right ? "Right part." : "Wrong part.", `You named: ${data.parts[end.part]}.`]];
  const proving = provingSteps(data, steps);
  if (!proved) {
    const share = weightOf(data, standing, (one) => one.part === end.part) / weightOf(data, standing);
    lines.push(["Changed without proof.", `These were still possible: ${partNames(data, partsLeft(data, standing))}. By the weights the part you named is to blame `
      + `in ${Math.round(share * 100)} of 100 such vans. The others come back with a part paid for nothing and the search still to do: ${mins(valueOf(data, standing))} on average from there. ${betterWords(data, standing)}`]);
  } else if (!right) lines.push(["The log spoke against it.", `All suspects left were in: ${partNames(data, partsLeft(data, standing))}.`]);
  else if (proving.length ? proving.includes(end.proof) : end.proof >= 0) lines.push(["Proved.", "Without the reading you named another part would be left."]);
  else {
    lines.push(["Proved, but not by that reading.", proving.length ? `The proof needs: ${proving.map((at) => steps[at].name).join("; ")}.`
      : "Name a reading: a part without one is a guess to whoever reads your log."]);
  }
  return { right: right && proved, lines };
}

function endCase(play, end) {
  const { data, desk, decisions, paid, standing, fault, early, slips } = play;
  const truth = data.suspects[fault];
  const lost = decisions.reduce((sum, { regret }) => sum + regret, 0);
  const { right, lines } = verdict(play, end);
  const counts = right && lost <= allowedOf(data) + TIE;
  const say = (lead, words) => lines.push([lead, words]);
  if (!end.unsafe) say("It is:", `${data.parts[truth.part]} (${truth.name}). ${truth.id === data.fault ? data.says : ""}`);
  say("Minutes.", `You spent ${mins(paid)}. The best order takes ${mins(data.minutes)} on average for this complaint, and ${mins(bestWalk(data, fault))} for this van. `
    + (decisions.length ? `Your decisions cost ${mins(lost)} more than the best ones, on average.` : "You took no reading."));
  const empty = decisions.filter(({ told, action }) => !told && action !== ISOLATE);
  if (empty.length) say("Told nothing:", `${empty.map(({ action }) => nameOf(data, action)).join("; ")}.`);
  if (early.size) say("Cleared too early:", `${partNames(data, [...early])}. ${WORDS.cleared}`);
  if (slips) say("Isolating:", `${slips} ${slips === 1 ? "step" : "steps"} tried out of order. In order: ${WORDS.order}.`);
  if (right && !end.stopped) say("Not finished.", WORDS.verify);
  if (right) say(counts ? "Counts as right." : "Does not count yet.", `Decisions may cost up to ${mins(allowedOf(data))} more than the best ones.`);
  if (end.unsafe) decisions.push({ standing, action: end.action });
  const heading = make("h3", { tabindex: "-1" }, "Looking back");
  const again = (act, words, pick) => make("button", { type: "button", "data-act": act, click: () => {
    openCase(play, { fault: pick() });
    lookAt(play.here);
  } }, words);
  desk.replaceChildren(heading, ...lines.map(([lead, words]) => make("p", {}, make("b", {}, `${lead} `), words)),
    ...(decisions.length ? [make("h3", {}, "Your decisions"), make("ol", { class: "qz-trace-back" },
      ...decisions.map((one) => make("li", { "data-regret": one.next ? one.regret : "unsafe" }, ...decisionNodes(data, one))))] : []),
    make("p", {}, again("again", "Again from the start", () => fault), " ", again("fresh", "Another van, same complaint", () => drawFault(data))));
  Object.assign(desk.dataset, { lost, paid });
  play.ended = true;
  lookAt(heading);
  keep.saveTyped(halfOf(data), null);
  tellHalf(play);
  keep.note(halfOf(data), { kind: counts ? "right" : "wrong", slip: end.unsafe ? "unsafe" : "", helped: false });
}
