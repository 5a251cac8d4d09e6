/* One question at work: checks, lines of the solution, new numbers, and what is kept of all that. */

/**
 * @typedef {Object} Room
 * @property {HTMLElement} section
 * @property {Object} data of the question
 * @property {MathMLElement[]} formulas
 * @property {string[]} options texts of the options of a choice, or of the steps of an order, as shown
 * @property {Part[]} parts
 * @property {Object|null} set the numbers in use; null where a question has none
 * @property {{day: string, judged: (string|null)[], kinds: string[], errors: number[], lines: number[],
 *   helped: boolean, done: boolean, others: boolean}} told what has happened with these numbers
 */

/** Counted errors after which the worked solution is offered. */
const ERRORS_BEFORE_SOLUTION = 2;

/** Every question of the page, for the print with answers. */
const rooms = [];

/**
 * @param {HTMLElement} section
 * @param {Keep} keep
 */
function startPractice(section, keep) {
  const template = section.querySelector("template.qz-data").content;
  const data = JSON.parse(template.firstChild.data);
  const room = { section, keep, data, formulas: [...template.querySelectorAll("math")], set: null };
  room.options = [...section.querySelectorAll(".qz-option span, .qz-move")].map((shown) => shown.textContent);
  room.parts = partsOf(section, data, (part) => changed(room, part), (part) => check(room, [part.at]));
  room.acts = actsOf(room);
  // The theme's one-letter shortcuts must not leave the page from a button or an option.
  section.addEventListener("keydown", (event) => event.stopPropagation());
  load(room);
  keep.onChange((why) => {
    if (why === "learner" || (room.saved && !keep.typed(data.id))) load(room);
  });
  rooms.push(room);
  offerPrint(section);
}

/** Begins with nothing told. What helped today with a question that has one set only still counts. */
function freshTold({ data, parts, told }) {
  const none = (value) => parts.map(() => value);
  const helped = !data.variants && Boolean(told) && told.day === today() && told.helped;
  return {
    day: today(), judged: none(null), kinds: none(""), errors: none(0), lines: none(0), helped, done: false, others: false,
  };
}

function openSet(room, at) {
  const { data, section } = room;
  if (!data.variants) return;
  const variant = data.variants[at];
  room.set = { at, name: variant[0], slips: variant[3] || [], ...opened(data, variant) };
  for (const given of section.querySelectorAll(".qz-given")) {
    given.querySelector("span").textContent = room.set.shown[given.dataset.given];
  }
  room.acts.count.textContent = `Set ${at + 1} of ${data.variants.length}`;
}

/* What is kept */

/** Shows what is kept of this learner; a set finished on an earlier day makes room for the next one. */
function load(room) {
  const { data, parts, keep } = room;
  const typed = keep.typed(data.id);
  room.saved = Boolean(typed);
  room.told = null;
  room.told = freshTold(room);
  const found = typed && data.variants ? data.variants.findIndex(([name]) => name === typed.variant) : 0;
  openSet(room, Math.max(found, 0));
  parts.forEach((part) => part.write(""));
  if (typed && found >= 0) {
    const told = readTold(typed.checked, parts.length);
    if (told && told.done && told.day !== today()) {
      if (data.variants) openSet(room, (found + 1) % data.variants.length);
    } else {
      if (told) room.told = told;
      writeTyped(room, typed);
    }
  }
  showAgain(room);
}

function writeTyped({ data, parts }, typed) {
  if (data.kind === "choice") return parts[0].write(typed.choice.join());
  if (data.kind === "order") {
    const whole = typed.order.length === data.order.length && data.order.every((_, at) => typed.order.includes(at));
    return parts[0].write(whole ? typed.order.join() : "");
  }
  parts.forEach((part, at) => part.write(typed.entries[at] || ""));
}

/** The stored account field by field; null where it is not what it should be. */
function readTold(raw, count) {
  if (!isObject(raw) || !isDay(raw.day)) return null;
  const listed = (name, fits) => Array.isArray(raw[name]) && raw[name].length === count && raw[name].every(fits);
  const good = listed("judged", (text) => text === null || typeof text === "string") && listed("kinds", (kind) => typeof kind === "string")
    && listed("errors", isCount) && listed("lines", isCount);
  if (!good) return null;
  const { day, judged, kinds, errors, lines } = raw;
  return { day, judged, kinds, errors, lines, helped: raw.helped === true, done: raw.done === true, others: raw.others === true };
}

function save(room) {
  const { data, parts, keep, set, told } = room;
  const numbers = (kind) => (data.kind === kind && parts[0].text() ? parts[0].text().split(",").map(Number) : []);
  const entries = data.steps ? Object.fromEntries(parts.map((part, at) => [at, part.text()])) : {};
  room.saved = true;
  keep.saveTyped(data.id, {
    variant: set ? set.name : "", entries, choice: numbers("choice"), order: numbers("order"),
    hints: told.lines.reduce((sum, lines) => sum + lines, 0), checked: told,
  });
}

/* Judging */

function judgePart(room, at) {
  const { data, parts, set } = room;
  const part = parts[at];
  if (data.kind === "choice") return judgeChoice(data.options, data.several, part.read());
  if (data.kind === "order") {
    const verdict = judgeOrder(data, part.read().map((shown) => data.order[shown]));
    return part.text() || verdict.kind === "right" ? verdict : { ...verdict, kind: "blank" };
  }
  if (!part.text()) return { kind: "blank", slip: "", says: "", value: null };
  return judge(data.steps[at], set.answers[at], set.slips[at] || {}, part.read(), set.known[at], ownValues(room, at).own);
}

/** What the learner has found in earlier steps, where that differs from the keys. */
function ownValues(room, at) {
  const { data, set } = room;
  const own = { ...set.known[at] };
  const carried = [];
  const used = JSON.stringify(data.steps[at].key || []);
  data.steps.slice(0, at).forEach((step, number) => {
    const { kind, value } = judgePart(room, number);
    if (kind === "right" || kind === "unit missing" || value === null) return;
    own[step.find] = value;
    if (used.includes(`"${step.find}"`)) carried.push({ number: number + 1, value: plainValue(step, value), kind });
  });
  return { own, carried };
}

const isSettled = (room, at) => room.told.kinds[at] === "right" && room.told.judged[at] === room.parts[at].text();
const isSolved = (room) => room.parts.every((_, at) => isSettled(room, at));

/** Judges these steps and says the first that is not right, or else the last, once. */
function check(room, ats) {
  const { data, parts, told, keep } = room;
  const verdicts = ats.map((at) => [at, judgePart(room, at)]);
  for (const [at, { kind, slip }] of verdicts) {
    const isNew = told.judged[at] !== parts[at].text();
    told.judged[at] = parts[at].text();
    told.kinds[at] = kind;
    if (FREE.includes(kind) || kind === "right" || !isNew || told.done) continue;
    if (kind !== "followed through") told.errors[at] += 1;
    // A second choice among few options is no longer the learner's own.
    if (parts[at].block.matches(".qz-options, .qz-order")) told.helped = true;
    keep.note(data.id, { kind, slip, helped: told.helped });
  }
  if (isSolved(room) && !told.done) {
    told.done = true;
    told.day = today();
    keep.note(data.id, { kind: "right", slip: "", helped: told.helped });
  }
  save(room);
  const [said] = verdicts.find(([, { kind }]) => kind !== "right") || verdicts[verdicts.length - 1];
  for (const [at, verdict] of verdicts) {
    showVerdict(room, at, verdict, at === said ? announce : showQuietly, at === said && isSolved(room));
  }
  showActs(room);
  parts[said].region.scrollIntoView({ block: "nearest" });
}

/** The steps that the button judges: all that are answered and not yet right, or the first open one. */
function stepsToCheck(room) {
  const all = room.parts.map((_, at) => at);
  const open = all.filter((at) => !isSettled(room, at));
  const answered = open.filter((at) => room.parts[at].text());
  if (answered.length) return answered;
  return [open.length ? open[0] : all[all.length - 1]];
}

/* Showing */

function showVerdict(room, at, verdict, show, isLast) {
  const { parts, data, told } = room;
  const part = parts[at];
  const [lead, nodes] = verdictNodes(room, at, verdict);
  const step = parts.length > 1 ? `Step ${at + 1}. ` : "";
  const offer = told.errors[at] >= ERRORS_BEFORE_SOLUTION && !FREE.includes(verdict.kind) && verdict.kind !== "right"
    ? ` ${data.kind === "choice" ? "The reasons of all options are" : "The whole solution is"} there for you below.` : "";
  part.region.dataset.verdict = verdict.kind;
  part.mark(!["right", "followed through"].includes(verdict.kind));
  show(part.region, [
    make("p", {}, make("b", { class: "qz-lead" }, step + lead), " ", ...nodes, offer),
    ...(isLast ? [make("p", { class: "qz-next" }, ...nextNodes(room))] : []),
  ]);
}

function verdictNodes(room, at, verdict) {
  const { data, set, parts } = room;
  if (data.kind === "choice") return choiceWords(room, verdict);
  if (data.kind === "order" && verdict.kind !== "blank") return orderWords(room, verdict);
  if (data.kind === "order") return ["Nothing moved yet.", [`Use the arrows, then check. ${COSTS_NOTHING}`]];
  const step = data.steps[at];
  const place = parts.length > 1 ? `step ${at + 1}` : "your working";
  const [lead, says] = verdictWords(step, set.answers[at], verdict, { place, carried: ownValues(room, at).carried });
  if (verdict.kind !== "right") return [lead, [says]];
  return [lead, "word" in set.answers[at] ? [set.shown[step.find], "."] : [...symbolNodes(step.symbol), ` = ${set.shown[step.find]}.`]];
}

/** What to do once all is right. */
function nextNodes({ section, data, told, keep, set }) {
  const done = keep.isDone(data.id, data.was);
  const many = set && data.variants.length > 1;
  let says = "Come back another day: a question is done when it is right without help on two different days.";
  if (told.helped) {
    says = set ? "It took help, so it does not count towards done. Work it again with new numbers, alone."
      : "It took more than one try, so it does not count towards done. Come back another day.";
  } else if (done) says = "This question is done: right without help on two different days.";
  const all = [...document.querySelectorAll("section.qz")];
  const next = all[all.indexOf(section) + 1];
  const again = many && !told.helped ? "Or again with new numbers." : "";
  if (!next) return [`${says} ${again} This was the last question on this page.`.replace("  ", " ")];
  const name = next.querySelector(".qz-label").firstChild.textContent.trim();
  return [`${says} Next: `, make("a", { href: `#${next.id}` }, name), ". ", again];
}

/** Everything as it was left, said to nobody. */
function showAgain(room) {
  const { parts, told } = room;
  parts.forEach((part, at) => {
    const judged = told.kinds[at] && told.judged[at] === part.text();
    if (judged) showVerdict(room, at, judgePart(room, at), showQuietly, isSolved(room) && at === parts.length - 1);
    else forget(part);
  });
  showLines(room, showQuietly);
  showActs(room);
}

function forget(part) {
  showQuietly(part.region, []);
  delete part.region.dataset.verdict;
  part.mark(false);
}

/** Typing takes the mark off what was judged; a verdict that spoke of this answer goes altogether. */
function changed(room, part) {
  const { parts, told } = room;
  parts.forEach((other, at) => {
    const kind = other.region.dataset.verdict;
    if (other === part && kind && !["right", "followed through"].includes(kind)) {
      delete other.region.dataset.verdict;
      other.mark(false);
    } else if (other === part || (at > part.at && kind === "followed through")) forget(other);
    if (other === part && told.done && !isSettled(room, at)) told.kinds[at] = "";
  });
  save(room);
  showActs(room);
}

/* The row of buttons */

function actsOf(room) {
  const { section, data } = room;
  const button = (text, click, more = {}) => make("button", { type: "button", click, ...more }, text);
  const row = section.querySelector(".qz-acts");
  const lines = make("div", { class: "qz-lines", role: "log", "aria-live": "polite", "aria-label": "Worked solution" });
  const others = make("ul", { class: "qz-others", id: `${section.id}-others`, hidden: true });
  const report = reportButton(room);
  const acts = {
    lines,
    others,
    count: make("span", { class: "qz-set" }),
    check: button("Check", () => check(room, stepsToCheck(room)), { class: "qz-check" }),
    hint: button("Show a step", () => showStep(room)),
    fresh: button(data.variants ? "New numbers" : "Start again", () => startFresh(room)),
    whole: button("Show the solution", () => showWhole(room), { class: "qz-more", hidden: true }),
    why: button("Why not the others?", () => toggleOthers(room), {
      class: "qz-more", hidden: true, "aria-expanded": "false", "aria-controls": others.id,
    }),
  };
  row.before(lines, others);
  row.append(acts.check, acts.hint, acts.fresh, acts.count, acts.whole, acts.why, report.button);
  row.after(report.panel);
  return acts;
}

function showActs(room) {
  const { acts, data, told, parts } = room;
  const isStuck = told.errors.some((count) => count >= ERRORS_BEFORE_SOLUTION);
  const isChoice = data.kind === "choice";
  const left = parts.some((_, at) => told.lines[at] < solutionLines(room, at).length);
  acts.whole.hidden = isChoice || !left || !(isStuck || told.done);
  acts.why.hidden = !isChoice || !(isStuck || told.done);
  if (!acts.why.hidden && told.others) openOthers(room);
  else acts.others.hidden = true;
  acts.why.setAttribute("aria-expanded", String(!acts.others.hidden));
  acts.hint.setAttribute("aria-disabled", String(!left));
  acts.fresh.hidden = Boolean(data.variants) && data.variants.length < 2;
}

/** One more line of the solution: of the first step that is not right yet, or else of any. */
function showStep(room) {
  const { parts, told } = room;
  const all = parts.map((_, at) => at).filter((at) => told.lines[at] < solutionLines(room, at).length);
  const at = all.find((one) => !isSettled(room, one)) ?? all[0];
  if (at === undefined) return;
  told.lines[at] += 1;
  afterHelp(room);
}

function showWhole(room) {
  room.told.lines = room.parts.map((_, at) => solutionLines(room, at).length);
  afterHelp(room);
  // The button that was pressed is gone.
  room.acts.hint.focus();
}

function afterHelp(room) {
  if (!room.told.done) room.told.helped = true;
  save(room);
  showLines(room);
  showActs(room);
}

/** Adds the lines that are not there yet; `show` replaces them all without a word. */
function showLines(room, show) {
  const { acts, parts, told } = room;
  if (show) show(acts.lines, []);
  else acts.lines.setAttribute("aria-live", "polite");
  const blocks = new Map([...acts.lines.children].map((block) => [Number(block.dataset.step), block]));
  const added = parts.map((_, at) => at).filter((at) => told.lines[at]).map((at) => {
    const title = parts.length > 1 ? [make("p", { class: "qz-step" }, `Step ${at + 1}`)] : [];
    const block = blocks.get(at) || make("div", { "data-step": at }, ...title);
    const have = block.querySelectorAll(".qz-shown").length;
    const lines = solutionLines(room, at).slice(have, told.lines[at]);
    block.append(...lines.map((nodes) => make("p", { class: "qz-shown" }, ...nodes)));
    return block;
  });
  if (show) show(acts.lines, added);
  else acts.lines.append(...added.filter((block) => !block.isConnected));
}

function toggleOthers(room) {
  const { told, acts } = room;
  told.others = acts.others.hidden;
  if (told.others && !told.done) told.helped = true;
  save(room);
  showActs(room);
}

function openOthers(room) {
  const { acts, parts } = room;
  const verdict = judgePart(room, 0);
  acts.others.replaceChildren(...otherReasons(room, parts[0].text() && verdict.reasons || []));
  acts.others.hidden = false;
}

/** The next set of numbers, round and round; or the same question from the start where it has no numbers. */
function startFresh(room) {
  const { data, parts, set } = room;
  if (set) openSet(room, (set.at + 1) % data.variants.length);
  room.told = freshTold(room);
  parts.forEach((part) => part.write(""));
  showAgain(room);
  save(room);
  const says = room.set ? `New numbers: set ${room.set.at + 1} of ${data.variants.length}.` : "From the start.";
  announce(parts[0].region, [make("p", {}, says)]);
  parts[0].focus();
}
