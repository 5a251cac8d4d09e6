/* Where a case stands, as in quizgen/tracing/play.py: suspects as bits over the case's own list, proved
   dead or not, opened boxes as bits. */

const ISOLATE = "isolate";
const keyOf = ({ suspects, dead, opened }) => `${suspects}${dead ? "d" : ""}${opened || ""}`;
const testOf = (data, id) => data.tests.find((test) => test.id === id);
const leftOf = (data, { suspects }) => data.suspects.filter((_, at) => suspects >> at & 1);
const partsLeft = (data, standing) => [...new Set(leftOf(data, standing).map(({ part }) => part))];
const isProved = (data, standing) => partsLeft(data, standing).length <= 1;
const boxBit = (data, test) => (test.box ? 1 << Object.keys(data.boxes).indexOf(test.box) : 0);
const weightOf = (data, standing, which = () => true) => leftOf(data, standing).filter(which).reduce((sum, { weight }) => sum + weight, 0);
const firstStanding = (data) => ({ suspects: (1 << data.suspects.length) - 1, dead: false, opened: 0 });

/** @returns {Object[]} the suspects left that forbid it */
const barredBy = (data, standing, act) => leftOf(data, standing).filter(({ forbids }) => forbids.includes(act));

/** @returns {string} why the action must not be done now; "" where it may */
function unsafeNow(data, standing, action) {
  if (action === ISOLATE) return "";
  const test = testOf(data, action);
  if (test.needs === "dead" && !standing.dead) return "dead";
  return test.acts.find((act) => barredBy(data, standing, act).length) || "";
}

function minutesOf(data, standing, action) {
  if (action === ISOLATE) return data.isolate;
  const test = testOf(data, action);
  let cost = test.minutes;
  if (test.needs === "live" && standing.dead) cost += data.energise;
  if (test.box && !(standing.opened & boxBit(data, test))) cost += data.boxes[test.box];
  return cost;
}

/** @returns {Object[]} the standings that the action can lead to */
function afterAction(data, standing, action) {
  if (action === ISOLATE) {
    let live = 0;
    data.suspects.forEach((one, at) => { if (one.still_live) live |= 1 << at; });
    return [
      { suspects: standing.suspects & live, dead: false, opened: 0 },
      { suspects: standing.suspects & ~live, dead: true, opened: 0 },
    ].filter(({ suspects }) => suspects);
  }
  const test = testOf(data, action);
  const dead = standing.dead && test.needs !== "live";
  const opened = (dead === standing.dead ? standing.opened : 0) | boxBit(data, test);
  const by = new Map();
  test.readings.shows.forEach((outcome, at) => {
    if (standing.suspects >> at & 1) by.set(outcome, (by.get(outcome) || 0) | 1 << at);
  });
  return [...by.values()].map((suspects) => ({ suspects, dead, opened }));
}

function valueOf(data, standing) {
  if (isProved(data, standing)) return 0;
  const known = data.values[keyOf(standing)];
  return known ? known[0] : Infinity;
}

/** Minutes that a decision costs above the best one, in expectation. */
function regretOf(data, standing, action) {
  if (unsafeNow(data, standing, action)) return Infinity;
  const following = afterAction(data, standing, action);
  const cost = minutesOf(data, standing, action);
  if (action !== ISOLATE && following.length === 1) return cost;
  const later = following.reduce((sum, one) => (
    sum + (action === ISOLATE && !one.dead ? 0 : valueOf(data, one) * weightOf(data, one))), 0);
  return cost + later / weightOf(data, standing) - valueOf(data, standing);
}
