/* A question at work: checks, what is said of them, and lines of the solution. */

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

/** What was judged and shown before, said to nobody. */
function showTold(room) {
  const { parts, told } = room;
  parts.forEach((part, at) => {
    if (!told.kinds[at] || told.judged[at] !== part.text()) return;
    showVerdict(room, at, judgePart(room, at), showQuietly, isSolved(room) && at === parts.length - 1);
  });
  showLines(room, showQuietly);
  showActs(room);
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
