/* What is said at the end of a case: each decision against the best one, from the table of best minutes. */

const TIE = 1e-4;
const mins = (value) => `${Math.abs(value - Math.round(value)) < 0.05 ? Math.round(value) : value.toFixed(1)}\u00a0min`;
const nameOf = (data, action) => (action === ISOLATE ? "Isolate and prove dead" : testOf(data, action).name.trim());
const partNames = (data, parts) => parts.map((part) => data.parts[part]).join(", ");

/** How an action sorts the suspects, in words. */
function sortsWords(data, standing, action) {
  const all = leftOf(data, standing).length;
  const most = Math.max(...afterAction(data, standing, action).map((one) => leftOf(data, one).length));
  if (action === ISOLATE) return `opens the way to tests on bare parts, for ${mins(minutesOf(data, standing, action))}`;
  if (most === all) return `tells nothing about the ${all} suspects left, for ${mins(minutesOf(data, standing, action))}`;
  return `leaves at most ${most} of ${all} suspects whatever it shows, for ${mins(minutesOf(data, standing, action))}`;
}

function decisionNodes(data, { standing, action, regret }) {
  const suspects = leftOf(data, standing).map(({ name }) => name).join("; ");
  const best = (data.values[keyOf(standing)] || [0, ""])[1];
  const lead = make("b", {}, `${nameOf(data, action)}. `);
  if (isProved(data, standing)) return [lead, "Not needed: the part was proved already."];
  if (regret <= TIE) return [lead, `As good as any: it ${sortsWords(data, standing, action)}.`];
  if (regret === Infinity) return [lead, "Not safe."];
  return [
    lead, `${mins(regret)} more than the best choice on average. It ${sortsWords(data, standing, action)}. `,
    `Better: ${nameOf(data, best)}, which ${sortsWords(data, standing, best)}. `,
    make("span", { class: "qz-trace-left" }, `Suspects then: ${suspects}.`),
  ];
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
