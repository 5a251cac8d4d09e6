/* A case at work: the map with marks, tests by mode, isolating step by step, log and clock, the naming. */

const TRACE_MODES = { live: "High voltage on, covers on: live data", any: "12 V side, tool or unplugged plug", dead: "Bare parts: only after proving dead" };
const MARKS = ["", "suspect", "cleared"];
const MARK_WORDS = { "": "no mark", suspect: "suspect", cleared: "cleared" };

/** The steps of isolating in their order, and what is wrong with a step that comes too early. */
const DEAD_STEPS = [
  ["End any charge, unplug, block the inlet; wheels chocked, zone closed, second person there", "Nothing may feed the van or move it first."],
  ["Switch off and take the 12 V side off as the maker says; timers and remote starts off", "A van that is awake can close its contactors: first switch it off."],
  ["Pull the service disconnect; own lock and tag on, key with you", "Nothing is kept open without your own lock."],
  ["Wait the maker's time, counted from the last source opened", "Capacitors have not emptied yet: waiting comes first."],
  ["Prove the indicator on a known source: same leads, same range, near the voltage expected", "An indicator that nobody has proved may show 0 V on a live part."],
  ["Measure every pair: both sides of each open connector; lines, neutral, star, U, V, W, HV+, HV− to each other and to the chassis", "Only a proved indicator, on a locked and waited van, tells anything."],
  ["Measure all pairs again after one minute", "There is no first measurement to compare with."],
  ["Prove the indicator again with the same leads", "It comes last: it shows that the indicator still worked."],
];
const SHOWN_STEPS = [5, 2, 0, 7, 4, 1, 6, 3];
const UNSAFE = {
  dead: "This test touches bare parts, and nothing has been isolated and proved dead. Up to 410 V could be there: "
    + "a shock that stops the heart, or an arc that burns hands and eyes.",
  charge: "This is a charge attempt, and a suspect that forbids it is still there: a leak, a bad bond or a welded contact "
    + "can put mains voltage on the body of the van, or feed a short.",
};
const RIGHT_WAY = "Right order: finish what live data can tell with covers on, rule out leaks, bad bond and welded contacts "
  + "before any charge; then unplug, switch off, lock, wait, prove the indicator, measure every pair, measure again, "
  + "prove the indicator again. Only then the first test on bare parts.";

const firstStanding = (data) => ({ suspects: (1 << data.suspects.length) - 1, dead: false, opened: 0 });

function startCases() {
  for (const section of document.querySelectorAll("section.qz-case")) {
    const template = section.querySelector("template.qz-case-data");
    if (!template || section.querySelector(".qz-trace")) continue;
    const data = JSON.parse(template.content.firstChild.data);
    const desk = make("div", { class: "qz-trace" });
    template.before(desk);
    section.addEventListener("keydown", (event) => event.stopPropagation());
    openCase({ section, data, desk, fault: data.suspects.findIndex(({ id }) => id === data.fault) });
  }
}

/** From the start: nothing done, nothing marked. */
function openCase(play) {
  const { data, desk } = play;
  Object.assign(play, {
    standing: firstStanding(data), steps: [], decisions: [], paid: 0, marks: {}, wrongMarks: new Set(), slips: 0,
    isolating: null, failed: false, mode: play.mode || "live",
  });
  play.said = make("div", { class: "qz-trace-said", role: "status", "aria-live": "polite" });
  play.clock = make("p", { class: "qz-trace-clock" });
  play.map = make("ol", { class: "qz-trace-map" });
  play.work = make("div", {});
  play.log = make("ol", { class: "qz-trace-log" });
  play.naming = make("div", {});
  desk.replaceChildren(
    make("div", { class: "qz-trace-desk" },
      make("div", {}, make("p", {}, make("b", {}, "The chain and your marks"), " Press a part: suspect, cleared, no mark."), play.map),
      make("div", {}, modesOf(play), play.work)),
    make("p", {}, make("b", {}, "Log")), play.log, play.naming,
    make("div", { class: "qz-trace-told" }, play.clock, play.said),
  );
  showMap(play);
  showCase(play);
}

function modesOf(play) {
  const name = `${play.section.id}-mode`;
  const choice = ([mode, words]) => make("label", {}, make("input", {
    type: "radio", name, value: mode, checked: mode === play.mode, change: () => { play.mode = mode; showWork(play); },
  }), ` ${words}`);
  return make("fieldset", {}, make("legend", {}, "Mode"), ...Object.entries(TRACE_MODES).map(choice));
}

function showMap(play) {
  const { data } = play;
  const by = new Map();
  for (const part of Object.keys(data.stages).sort((a, b) => data.order.indexOf(data.stages[a]) - data.order.indexOf(data.stages[b]))) {
    by.set(data.stages[part], [...(by.get(data.stages[part]) || []), part]);
  }
  play.map.replaceChildren(...[...by].map(([stage, parts]) => make("li", {}, stage, ...parts.map((part) => markOf(play, part)))));
}

function markOf(play, part) {
  const { data, marks } = play;
  const faults = data.suspects.filter((one) => one.part === part).map(({ name }) => name).join("; ");
  const words = () => `${data.parts[part]}: ${MARK_WORDS[marks[part] || ""]}`;
  const button = make("button", { type: "button", "data-part": part, title: faults }, words());
  button.addEventListener("click", () => {
    marks[part] = MARKS[(MARKS.indexOf(marks[part] || "") + 1) % MARKS.length];
    if (marks[part] === "cleared" && partsLeft(data, play.standing).includes(part)) play.wrongMarks.add(part);
    else if (marks[part] !== "cleared") play.wrongMarks.delete(part);
    button.dataset.mark = marks[part];
    button.textContent = words();
    announce(play.said, [make("p", {}, `${words()}. What it could be: ${faults}.`)]);
  });
  return button;
}

function showCase(play) {
  const { standing, paid, steps } = play;
  play.clock.replaceChildren(make("b", {}, mins(paid)), ` on the clock. ${standing.dead ? "Isolated, locked, proved dead." : "Not isolated: treat all high voltage as live."}`);
  play.log.replaceChildren(...steps.map((step) => make("li", {}, make("b", {}, step.name), ` (${mins(step.cost)}): ${step.reading}`)));
  showWork(play);
  showNaming(play);
}

function showWork(play) {
  const { data, standing, isolating, mode } = play;
  if (isolating) return showIsolating(play);
  const tests = data.tests.map((test, at) => [test, at]).filter(([{ needs }]) => needs === mode);
  const list = make("ul", { class: "qz-trace-tests" }, ...tests.map(([test, at]) => make("li", {},
    make("button", { type: "button", "data-test": test.id, click: () => doTest(play, test.id) },
      `${at + 1} ${test.name.trim()}: ${mins(minutesOf(data, standing, test.id))}`
      + (test.needs === "live" && standing.dead ? ", closing up and energising with it" : "")
      + (test.box && !(standing.opened & boxBit(data, test)) ? `, opening the ${test.box} with it` : "")))));
  const isolate = make("button", { type: "button", "data-test": ISOLATE, click: () => { play.isolating = []; showWork(play); } },
    `Isolate, lock, prove dead: ${mins(data.isolate)}`);
  const stop = make("button", { type: "button", "data-act": "stop", click: () => stopCase(play) }, "Stop, leave the zone, hand over");
  play.work.replaceChildren(list, make("div", { class: "qz-trace-tests" }, ...(standing.dead || play.failed ? [] : [isolate]), stop));
}

function showIsolating(play) {
  const { isolating } = play;
  const button = (at) => make("button", { type: "button", "data-step": at, click: () => isolateStep(play, at) }, DEAD_STEPS[at][0]);
  play.work.replaceChildren(
    make("p", {}, make("b", {}, "Isolate: press the steps in their order.")),
    make("ol", {}, ...isolating.map((at) => make("li", {}, DEAD_STEPS[at][0]))),
    make("ul", { class: "qz-trace-steps" }, ...SHOWN_STEPS.filter((at) => !isolating.includes(at)).map((at) => make("li", {}, button(at)))),
    make("button", { type: "button", "data-act": "back", click: () => { play.isolating = null; showWork(play); } }, "Not now"),
  );
}

function isolateStep(play, at) {
  const { isolating } = play;
  if (at !== isolating.length) {
    play.slips += 1;
    announce(play.said, [make("p", {}, make("b", {}, "Not yet. "), DEAD_STEPS[at][1])]);
    return;
  }
  isolating.push(at);
  const live = play.data.suspects[play.fault].still_live;
  if (at === 5 && live) return finishIsolating(play, "A voltage to the chassis stays on HV−.");
  if (isolating.length === DEAD_STEPS.length) return finishIsolating(play, "0 V DC and AC on every pair, twice (at most 5 V is allowed); indicator proved before and after.");
  announce(play.said, [make("p", {}, at === 5 ? "0 V on every pair." : "Done. Next step.")]);
  showIsolating(play);
  play.work.querySelector("button").focus();
}

function finishIsolating(play, reading) {
  play.isolating = null;
  pay(play, ISOLATE, reading);
  play.failed = !play.standing.dead;
  showCase(play);
}

/** One decision: paid, kept with its regret, and its evidence taken in. */
function pay(play, action, reading) {
  const { data, standing, fault } = play;
  const cost = minutesOf(data, standing, action);
  const following = afterAction(data, standing, action);
  const next = following.find(({ suspects }) => suspects >> fault & 1);
  play.decisions.push({ standing, action, cost, regret: isProved(data, standing) ? cost : regretOf(data, standing, action), told: next.suspects !== standing.suspects });
  let shows = 0;
  if (action === ISOLATE) data.suspects.forEach((one, at) => { if (Boolean(one.still_live) !== next.dead) shows |= 1 << at; });
  else testOf(data, action).readings.shows.forEach((outcome, at, all) => { if (outcome === all[fault]) shows |= 1 << at; });
  play.steps.push({ name: nameOf(data, action), cost, reading, shows });
  play.paid += cost;
  play.standing = next;
  announce(play.said, [make("p", {}, make("b", {}, `${nameOf(data, action)}: `), reading)]);
}

function doTest(play, id) {
  const { data, standing, fault } = play;
  const why = unsafeNow(data, standing, id);
  if (why) return endCase(play, { unsafe: why, action: id });
  const test = testOf(data, id);
  const row = test.readings.outcomes[test.readings.shows[fault]];
  const whole = data.healthy[id] || [];
  const beside = (at) => (whole[at] === undefined || whole[at] === row[at] ? "" : ` (healthy: ${whole[at]})`);
  const reading = test.labels.map((label, at) => `${label} ${row[at]}${beside(at)}`).join(", ");
  pay(play, id, `${reading}.`);
  showCase(play);
}

function showNaming(play) {
  const { data, steps, section } = play;
  if (play.naming.firstChild && play.steps.length) {
    const select = play.naming.querySelector("[data-pick=proof]");
    select.append(make("option", { value: steps.length - 1 }, steps[steps.length - 1].name));
    return;
  }
  const part = make("select", { id: `${section.id}-part`, "data-pick": "part" }, make("option", { value: "" }, "Choose a part"),
    ...Object.entries(data.parts).map(([id, name]) => make("option", { value: id }, name)));
  const proof = make("select", { id: `${section.id}-proof`, "data-pick": "proof" }, make("option", { value: "" }, "No reading"));
  const name = () => {
    if (part.value) endCase(play, { part: part.value, proof: proof.value === "" ? -1 : Number(proof.value) });
    else announce(play.said, [make("p", {}, "Choose a part first. It costs nothing.")]);
  };
  play.naming.replaceChildren(make("fieldset", {}, make("legend", {}, "Name the part"),
    make("label", { for: part.id }, "It is the ", part), make("label", { for: proof.id }, "Proved by ", proof),
    make("button", { type: "button", "data-act": "name", click: name }, "Change this part")));
}

function stopCase(play) {
  endCase(play, { stopped: true });
}

function endCase(play, end) {
  const { data, desk, decisions, paid, standing, fault } = play;
  const truth = data.suspects[fault];
  const lost = decisions.reduce((sum, { regret }) => sum + regret, 0);
  const right = end.stopped ? play.failed : end.part === truth.part && !end.unsafe && !play.failed;
  const proved = isProved(data, standing);
  const proving = provingSteps(data, play.steps);
  const lines = [];
  const say = (lead, ...nodes) => lines.push(make("p", {}, make("b", {}, `${lead} `), ...nodes));
  if (end.unsafe) {
    say("The case ends here, whatever was found.", UNSAFE[end.unsafe], ` You chose: ${nameOf(data, end.action)}.`);
    say("What to do.", RIGHT_WAY);
  } else if (end.stopped) {
    say(right ? "Right: stop." : "Stopped without need.", right ? "Proving dead failed. Treat all as live, leave the zone, keep others out, hand over to the qualified person."
      : "Nothing asked for a stop yet, but nobody is blamed for one.");
  } else if (play.failed) say("Not safe.", "Proving dead failed: the right act was to stop and hand over, not to change a part.");
  else {
    say(right ? "Right part." : "Wrong part.", `You named: ${data.parts[end.part]}.`);
    if (!proved) {
      const share = leftOf(data, standing).filter((one) => one.part === end.part).reduce((sum, { weight }) => sum + weight, 0) / weightOf(data, standing);
      say("Changed without proof.", `These were still possible: ${partNames(data, partsLeft(data, standing))}. By the weights the part you named is to blame `
        + `in ${Math.round(share * 100)} of 100 such vans. The others come back with a part paid for nothing and the search still to do: ${mins(valueOf(data, standing))} on average from there.`);
    } else if (right && (proving.length ? proving.includes(end.proof) : end.proof >= 0)) say("Proved.", "Without the reading you named another part would be left.");
    else if (right) {
      say("Proved, but not by that reading.", proving.length ? `The proof needs: ${proving.map((at) => play.steps[at].name).join("; ")}.` : "Name a reading: a part without one is a guess to whoever reads your log.");
    } else say("The log spoke against it.", "All suspects left were in another part.");
  }
  if (!end.unsafe) say("It is:", `${data.parts[truth.part]} (${truth.name}). ${truth.id === data.fault ? data.says : ""}`);
  say("Minutes.", make("span", { class: "qz-trace-paid" }, `You spent ${mins(paid)}. `),
    make("span", { class: "qz-trace-best" }, `The best order takes ${mins(data.minutes)} on average for this complaint, and ${mins(bestWalk(data, fault))} for this van. `),
    make("span", { class: "qz-trace-lost", "data-lost": lost }, `Your decisions cost ${mins(lost)} more than the best ones, on average.`));
  const empty = decisions.filter(({ told, action }) => !told && action !== ISOLATE);
  if (empty.length) say("Told nothing:", `${empty.map(({ action }) => nameOf(data, action)).join("; ")}.`);
  const wrong = [...play.wrongMarks];
  if (wrong.length) say("Cleared too early:", `${partNames(data, wrong)}. No reading had spoken for it when you marked it.`);
  if (play.slips) say("Isolating:", `${play.slips} ${play.slips === 1 ? "step" : "steps"} tried out of order.`);
  if (!end.unsafe && right && !end.stopped) say("Not finished.", "After the repair: covers, bond and insulation first, then codes, then a charge like the one that failed.");
  const heading = make("p", { class: "qz-label", tabindex: "-1" }, "Looking back");
  const again = make("button", { type: "button", "data-act": "again", click: () => reopen(play, fault) }, "Again from the start");
  const fresh = make("button", { type: "button", "data-act": "fresh", click: () => reopen(play, drawFault(data)) }, "Another van, same complaint");
  desk.replaceChildren(heading, ...lines,
    ...(decisions.length ? [make("p", {}, make("b", {}, "Your decisions")), make("ol", { class: "qz-trace-back" }, ...decisions.map((one) => make("li", { "data-regret": one.regret }, ...decisionNodes(data, one))))] : []),
    make("p", {}, again, " ", fresh));
  heading.focus();
  keep.note(`case-${data.id}`, { kind: right && (end.stopped || proved) && lost <= data.minutes / 4 ? "right" : "wrong", slip: end.unsafe ? "unsafe" : "", helped: false });
}

function reopen(play, fault) {
  openCase({ ...play, fault });
  play.desk.querySelector("button").focus();
}

/** Another fault that fits the same complaint, drawn by the weights. */
function drawFault(data) {
  let at = Math.random() * data.suspects.reduce((sum, { weight }) => sum + weight, 0);
  const found = data.suspects.findIndex(({ weight }) => (at -= weight) < 0);
  return Math.max(found, 0);
}
