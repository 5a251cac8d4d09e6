/* One question at rest: its numbers, its buttons, and what is kept of it. What is judged, said and shown
   comes with the second script (practice.js). */

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
  room.parts = partsOf(section, data, (part) => changed(room, part), (part) => work(room, () => more.check(room, [part.at])));
  room.acts = actsOf(room);
  // The theme's one-letter shortcuts must not leave the page from a button or an option.
  section.addEventListener("keydown", (event) => event.stopPropagation());
  section.addEventListener("focusin", () => withMore(() => {}), { once: true });
  load(room);
  keep.onChange((why) => {
    if (why === "learner" || (room.saved && !keep.typed(data.id))) load(room);
  });
  rooms.push(room);
  offerPrint(section);
}

/** Does something with the second script; a place to say so is at hand where it cannot be had. */
function work(room, act) {
  withMore(act, room.parts[0].region);
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

const isSettled = (room, at) => room.told.kinds[at] === "right" && room.told.judged[at] === room.parts[at].text();
/* Showing */

/** Everything as it was left, said to nobody. */
function showAgain(room) {
  const { parts, told, acts } = room;
  parts.forEach(forget);
  showQuietly(acts.lines, []);
  showActs(room);
  if (told.kinds.some(Boolean) || told.lines.some(Boolean) || told.others) withMore(() => more.showTold(room));
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
  const button = (text, act, extra) => make("button", { type: "button", click: () => work(room, act), ...extra }, text);
  const row = section.querySelector(".qz-acts");
  const lines = make("div", { class: "qz-lines", role: "log", "aria-live": "polite", "aria-label": "Worked solution" });
  const others = make("ul", { class: "qz-others", id: `${section.id}-others`, hidden: true });
  const report = make("div", { class: "qz-report", id: `${section.id}-report`, hidden: true });
  const acts = {
    lines,
    others,
    count: make("span", { class: "qz-set" }),
    check: button("Check", () => more.check(room, more.stepsToCheck(room)), { class: "qz-check" }),
    hint: button("Show a step", () => more.showStep(room)),
    fresh: button(data.variants ? "New numbers" : "Start again", null, { click: () => startFresh(room) }),
    report: button("Something wrong here?", () => more.showReport(room, report), {
      class: "qz-quiet", "aria-expanded": "false", "aria-controls": report.id,
    }),
    whole: button("Show the solution", () => more.showWhole(room), { class: "qz-more", hidden: true }),
    why: button("Why not the others?", () => more.toggleOthers(room), {
      class: "qz-more", hidden: true, "aria-expanded": "false", "aria-controls": others.id,
    }),
  };
  row.before(lines, others);
  row.append(acts.check, acts.hint, acts.fresh, acts.count, acts.whole, acts.why, acts.report);
  row.after(report);
  return acts;
}

function showActs(room) {
  const { acts, data, told, parts } = room;
  const isStuck = told.errors.some((count) => count >= ERRORS_BEFORE_SOLUTION);
  const isChoice = data.kind === "choice";
  const left = !more || parts.some((_, at) => told.lines[at] < more.solutionLines(room, at).length);
  acts.whole.hidden = isChoice || !left || !(isStuck || told.done);
  acts.why.hidden = !isChoice || !(isStuck || told.done);
  if (more && !acts.why.hidden && told.others) more.openOthers(room);
  else acts.others.hidden = true;
  acts.why.setAttribute("aria-expanded", String(!acts.others.hidden));
  acts.hint.setAttribute("aria-disabled", String(!left));
  acts.fresh.hidden = Boolean(data.variants) && data.variants.length < 2;
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
