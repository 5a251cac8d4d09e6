/* A case at work: test points on the map, tests by stage and mode, marks, log and clock, the naming. */

const TRACE_MODES = { all: "all", live: "live data, covers on", any: "12 V side, tool, plug", dead: "bare parts" };
const NEEDS = { live: "high voltage on, covers on", any: "12 V side, tool or plug", dead: "only after proving dead" };
/** Of what a learner left shut: the theme opens all for print, and readings would stand on the learner's paper. */
const SHUT = "data-shut";
const MARKS = ["", "suspect", "cleared"];

function startCases() {
  const plays = [];
  let printing = false;
  window.addEventListener("beforeprint", () => { printing = true; });
  window.addEventListener("afterprint", () => { printing = false; });
  for (const fold of document.querySelectorAll(".qz-case details")) {
    const look = () => printing || fold.toggleAttribute(SHUT, !fold.open);
    fold.addEventListener("toggle", look);
    look();
  }
  for (const section of document.querySelectorAll("section.qz-case")) {
    const template = section.querySelector("template.qz-case-data");
    if (!template || section.dataset.ready) continue;
    section.dataset.ready = true;
    const data = JSON.parse(template.content.firstChild.data);
    const play = { section, data, desk: section.querySelector(".qz-trace"), board: section.querySelector("details.qz-case-desk") };
    plays.push(play);
    section.addEventListener("keydown", (event) => event.stopPropagation());
    play.board.addEventListener("toggle", () => { if (play.board.open && !play.standing && !play.board.hasAttribute(SHUT)) beginCase(play); });
    section.addEventListener("click", (event) => {
      const point = event.target.closest("a[data-stage]");
      if (!point || !play.standing || play.ended) return;
      event.preventDefault();
      if (!play.isolating) goTo(play, point.dataset.stage);
      lookAt(play.here);
    });
    tellHalf(play);
    if (play.board.open) beginCase(play);
    else if (location.hash === `#${section.id}`) play.board.open = true;
  }
  keep.onChange((why) => {
    if (why !== "learner") return;
    for (const play of plays) {
      tellHalf(play);
      if (play.standing) beginCase(play);
    }
  });
}

function tellHalf({ data, board }) {
  const half = readHalf(data);
  const steps = half ? half.done.length : 0;
  board.querySelector("summary").textContent = half ? `Go on with this van: ${steps} ${steps === 1 ? "step" : "steps"} done` : "Take this van";
}

/** What is half played goes on; else this is the van that the case was written about. */
function beginCase(play) {
  const half = readHalf(play.data);
  openCase(play, half || { fault: play.data.suspects.findIndex(({ id }) => id === play.data.fault) });
}

/** @param {{fault: number, done?: string[], marks?: Object<string, string>, early?: string[], slips?: number}} from */
function openCase(play, { fault, done = [], marks = {}, early = [], slips = 0 }) {
  const { data, desk, section } = play;
  Object.assign(play, {
    fault, marks, slips, early: new Set(early), standing: firstStanding(data), steps: [], decisions: [], paid: 0,
    isolating: null, failed: false, ended: false, stage: Object.keys(data.stages)[0], mode: "all",
  });
  done.forEach((action) => take(play, action));
  play.said = make("div", { class: "qz-trace-said", role: "status", "aria-live": "polite" });
  play.clock = make("p", { class: "qz-trace-clock" });
  play.here = make("h3", { tabindex: "-1" });
  play.work = make("div", {});
  play.log = make("ol", { class: "qz-trace-log" });
  const part = make("select", { id: `${section.id}-part`, "data-pick": "part" }, make("option", { value: "" }, "Choose a part"),
    ...Object.entries(data.parts).map(([id, name]) => make("option", { value: id }, name)));
  play.proof = make("select", { id: `${section.id}-proof`, "data-pick": "proof" }, make("option", { value: "" }, "No reading"));
  const name = () => {
    if (part.value) endCase(play, { part: part.value, proof: play.proof.value === "" ? -1 : Number(play.proof.value) });
    else announce(play.said, [make("p", {}, "Choose a part first. It costs nothing.")]);
  };
  desk.replaceChildren(
    play.here, play.work,
    make("h3", {}, "What fits, and your marks"),
    make("ul", { class: "qz-trace-parts" }, ...Object.keys(data.parts).map((id) => make("li", {}, markOf(play, id)))),
    make("h3", {}, "Log"), play.log,
    make("fieldset", {}, make("legend", {}, "Name the part"),
      make("label", { for: part.id }, "It is the ", part), make("label", { for: play.proof.id }, "Proved by ", play.proof),
      make("button", { type: "button", "data-act": "name", click: name }, "Change this part")),
    make("div", { class: "qz-trace-told" }, play.clock, play.said),
  );
  showMarks(play);
  showCase(play);
}

/** A part with the faults it could have; each press is the next mark. */
function markOf(play, part) {
  const { data, marks, early } = play;
  const faults = data.suspects.filter((one) => one.part === part).map(({ name }) => name).join("; ");
  const mark = make("b", {});
  const show = (button) => {
    button.dataset.mark = marks[part] || "";
    mark.textContent = marks[part] || "no mark";
  };
  const button = make("button", { type: "button", "data-part": part, click: () => {
    marks[part] = MARKS[(MARKS.indexOf(marks[part] || "") + 1) % 3];
    if (marks[part] === "cleared" && partsLeft(data, play.standing).includes(part)) early.add(part);
    else if (marks[part] !== "cleared") early.delete(part);
    show(button);
    showMarks(play);
    saveHalf(play);
    announce(play.said, [make("p", {}, `${data.parts[part]}: ${mark.textContent}.`)]);
  } }, make("span", {}, data.parts[part]), mark, make("small", {}, faults));
  show(button);
  return button;
}

/** The marks and the tests that were made, on the map. */
function showMarks({ section, data, marks, decisions, stage }) {
  for (const point of section.querySelectorAll("[data-stage]")) {
    const here = point.dataset.stage;
    const parts = Object.keys(data.stands).filter((part) => data.stands[part] === here);
    const count = (mark) => parts.filter((part) => marks[part] === mark).length;
    const words = ["suspect", "cleared"].filter(count).map((mark) => (parts.length > 1 ? `${count(mark)} ${mark}` : mark)).join(", ");
    point.dataset.mark = count("suspect") ? "suspect" : words && count("cleared") === parts.length ? "cleared" : "";
    point.querySelector(".qz-point-mark").textContent = words;
    point.setAttribute("aria-label", point.dataset.label + (words && `; ${words}`));
    point.setAttribute("aria-current", String(here === stage));
    for (const ring of point.querySelectorAll("[data-point]")) {
      ring.dataset.done = decisions.some(({ action }) => action === ring.dataset.point);
    }
  }
}

function showCase(play) {
  const { data, standing, paid, steps } = play;
  play.clock.replaceChildren(make("b", {}, mins(paid)), ` on the clock. ${standing.dead ? "Isolated, locked, proved dead." : "Not isolated: treat all high voltage as live."}`);
  let clock = 0;
  play.log.replaceChildren(...steps.map(({ name, cost, reading }) => make("li", {},
    make("b", {}, name), ` (${mins(cost)}, clock ${mins(clock += cost)}): `, ...readingNodes(reading))));
  while (play.proof.length <= steps.length) play.proof.append(make("option", { value: play.proof.length - 1 }, steps[play.proof.length - 1].name));
  goTo(play, play.stage);
}

/** Readings one after another; what differs from a healthy chain is bold and says so. */
function readingNodes(reading) {
  return reading.flatMap(([label, value, whole], at) => [at ? ", " : "", `${label}: `,
    ...(whole === undefined || whole === value ? [value] : [make("b", {}, value), ` (healthy: ${whole})`])]).concat(".");
}

function goTo(play, stage) {
  play.stage = stage;
  showMarks(play);
  if (play.isolating) showIsolating(play);
  else showWork(play);
}

/** Focus on a heading, and what stands under it in sight: on a phone the map has filled the page till then. */
function lookAt(heading) {
  heading.focus({ preventScroll: true });
  const { top } = heading.getBoundingClientRect();
  if (top < 64 || top > innerHeight / 3) heading.scrollIntoView();
}

function showWork(play) {
  const { data, standing, mode, stage, decisions, section } = play;
  const here = data.tests.map((test, at) => [test, at + 1]).filter(([test]) => !stage || test.stage === stage);
  const shown = here.filter(([{ needs }]) => mode === "all" || needs === mode);
  const button = ([test, number]) => make("li", {}, make("button", { type: "button", "data-test": test.id, click: () => doTest(play, test.id) },
    make("span", {}, `${number} ${test.name}`),
    make("small", {}, [mins(minutesOf(data, standing, test.id)), NEEDS[test.needs],
      test.needs === "live" && standing.dead && "closing up and energising with it",
      test.box && !(standing.opened & boxBit(data, test)) && `opening the ${test.box} with it`,
      decisions.some(({ action }) => action === test.id) && "read already"].filter(Boolean).join(", "))));
  const pick = ([id, words]) => make("label", {}, make("input", {
    type: "radio", name: `${section.id}-mode`, value: id, checked: id === mode, change: () => {
      play.mode = id;
      showWork(play);
      play.work.querySelector("input:checked").focus();
    },
  }), ` ${words}`);
  const act = (name, words, click) => make("li", {}, make("button", { type: "button", [name]: name === "data-test" ? ISOLATE : "stop", click }, words));
  const first = section.querySelector("a[data-stage]");
  play.here.textContent = stage ? `Tests: ${data.stages[stage]}` : "All tests";
  play.work.replaceChildren(
    make("fieldset", { class: "qz-trace-modes" }, make("legend", {}, "Mode"), ...Object.entries(TRACE_MODES).map(pick)),
    make("ul", { class: "qz-trace-tests" }, ...shown.map(button)),
    ...(shown.length ? [] : [make("p", {}, "No such test here. Press another test point on the map, or another mode.")]),
    ...(first ? [make("button", { type: "button", class: "qz-trace-map", click: () => {
      (section.querySelector('[aria-current="true"]') || first).focus();
    } }, "Back to the map")] : []),
    ...(stage ? [make("button", { type: "button", class: "qz-trace-all", click: () => { goTo(play, ""); lookAt(play.here); } }, "All test points")] : []),
    make("ul", { class: "qz-trace-tests" },
      ...(standing.dead || play.failed ? [] : [act("data-test", `Isolate, lock, prove dead: ${mins(data.isolate)}`, () => {
        play.isolating = [];
        showIsolating(play);
        lookAt(play.here);
      })]),
      act("data-act", "Stop, leave the zone, hand over", () => endCase(play, { stopped: true }))),
  );
}

/** One decision: paid, kept with its regret, and its evidence taken in. */
function take(play, action) {
  const { data, standing, fault } = play;
  const cost = minutesOf(data, standing, action);
  const next = afterAction(data, standing, action).find(({ suspects }) => suspects >> fault & 1);
  const test = testOf(data, action);
  let shows = 0;
  data.suspects.forEach((one, at, all) => {
    const same = test ? test.readings.shows[at] === test.readings.shows[fault] : one.still_live === all[fault].still_live;
    if (same) shows |= 1 << at;
  });
  let reading = next.dead ? [["every pair, twice", WORDS.dead]] : [["HV− to chassis", WORDS.live]];
  if (test) {
    const row = test.readings.outcomes[test.readings.shows[fault]];
    reading = test.labels.map((label, at) => [label, row[at], data.healthy[action][at]]);
  } else play.failed = !next.dead;
  const told = next.suspects !== standing.suspects;
  play.decisions.push({ standing, action, cost, next, told, regret: isProved(data, standing) ? cost : regretOf(data, standing, action) });
  play.steps.push({ name: nameOf(data, action), cost, reading, shows });
  play.paid += cost;
  play.standing = next;
}

function doAction(play, action) {
  take(play, action);
  saveHalf(play);
  showCase(play);
  const { name, reading } = play.steps[play.steps.length - 1];
  announce(play.said, [make("p", {}, make("b", {}, `${name}: `), ...readingNodes(reading))]);
}

function doTest(play, id) {
  const why = unsafeNow(play.data, play.standing, id);
  if (why) return endCase(play, { unsafe: why, action: id });
  doAction(play, id);
  play.work.querySelector(`[data-test="${id}"]`).focus({ preventScroll: true });
}

/** Another fault that fits the same complaint, drawn by the weights. */
function drawFault({ suspects }) {
  let at = Math.random() * suspects.reduce((sum, { weight }) => sum + weight, 0);
  return Math.max(suspects.findIndex(({ weight }) => (at -= weight) < 0), 0);
}
