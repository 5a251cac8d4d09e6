/* The page where a learner opens what was handed out: what is due, what is done, what to do next, and what
   is due again today. It belongs to the present learner; nothing leaves the device. */

const readAgain = (raw) => (raw === "off" ? raw : null);

function startPlan() {
  const place = document.querySelector(".qz-your-plan");
  const data = JSON.parse(place.querySelector("template.qz-plan-data").content.textContent);
  const shown = [startDue(place.querySelector(".qz-due"), data), startAgain(place.querySelector(".qz-again"), data)];
  const show = (why) => shown.forEach((one) => one(why));
  // The theme's one-letter shortcuts must not leave the page from a button.
  place.addEventListener("keydown", (event) => event.stopPropagation());
  keep.onChange(show);
  // Another tab may have opened a plan, and a page left open overnight has a new day.
  window.addEventListener("storage", () => show());
  document.addEventListener("visibilitychange", () => show());
}

/** Puts the nodes in the place of what is there, unless that is the same: the focus stays where it is. */
function showInside(place, ...nodes) {
  const made = make("div", {}, ...nodes);
  if (!made.isEqualNode(place.firstChild)) place.replaceChildren(made);
}

/* What is due */

/** @returns {(why?: string) => void} brings it up to date */
function startDue(place, data) {
  const view = make("div", {});
  const status = make("div", { class: "qz-plan-says", role: "status", "aria-live": "polite", "aria-atomic": "true" });
  const asked = make("div", { class: "qz-plan-asked", role: "group", "aria-label": "Your decision", hidden: true });
  const summary = make("summary", {});
  const pick = make("input", { type: "file", id: "qz-plan-file", accept: ".json,application/json", change: readFile });
  const box = make("textarea", { id: "qz-plan-text", rows: "4", spellcheck: "false", autocomplete: "off", autocapitalize: "off" });
  const away = button("Take this plan away", takeAway);
  const opener = make("details", { class: "qz-plan-open" }, summary,
    make("p", {}, "Your trainer gave you a file or a text. Choose the file, or paste the text. It is for you alone and stays on this device."),
    make("p", {}, make("label", { for: "qz-plan-file" }, "File"), pick),
    make("p", {}, make("label", { for: "qz-plan-text" }, "Text"), box),
    make("p", { class: "qz-plan-acts" }, button("Open this text", () => look(box.value)), away));
  const tell = (text) => announce(status, [text]);
  const kept = () => keep.own("assignment", readKeptPlan);

  function readFile() {
    const [file] = pick.files;
    if (!file) return;
    const missed = () => tell("This file could not be opened. Nothing was opened.");
    // What is too large is cut, and refused for its length.
    file.slice(0, PLAN_LONGEST * 4 + 4).text().then(look, missed);
    pick.value = "";
  }

  function look(text) {
    const found = readAssignment(text);
    if (!found.ok) {
      tell(found.says);
      return;
    }
    const { plan } = found;
    const here = kept();
    const others = keep.learners().filter((name) => name !== keep.learner && keep.own("code", readCode, name) === plan.code);
    const take = (words, name) => [words, () => adopt(plan, name)];
    const leave = ["Leave it", null];
    if (here && here.code !== plan.code) {
      ask(`This plan is for the code ${plan.code}. ${whose()} has the plan for ${here.code}.`,
        others.length ? take(`Go on as ${called(others[0])}`, others[0]) : take(`Begin a practice of its own for ${plan.code}`, plan.code),
        take(`Put it in the place of the plan for ${here.code}`), leave);
    } else if (!here && others.length) {
      ask(`The practice of ${called(others[0])} on this device belongs to the code ${plan.code}.`,
        take(`Go on as ${called(others[0])}`, others[0]), take("Use the plan here"), leave);
    } else if (here && here.group !== plan.group) {
      ask(`This plan is of group ${plan.group}. ${whose()} has one of group ${here.group}.`, take("Use the new one"), leave);
    } else if (here && plan.made < here.made) {
      ask(`This plan is of ${dayWords(plan.made)}. The one here is newer: ${dayWords(here.made)}.`,
        ["Keep the newer one", null], take("Use the older one"));
    } else adopt(plan);
  }

  const whose = () => (keep.learner ? `The practice of ${keep.learner}` : "The practice here");

  function adopt(plan, name) {
    if (name !== undefined) keep.switchTo(name);
    keep.setOwn("code", plan.code);
    keep.setOwn("assignment", planFile(plan));
    box.value = "";
    opener.open = false;
    view.querySelector(".qz-plan-whose").focus();
    tell(keep.works ? openedWords(data, plan)
      : "Opened, but this browser does not keep it: it is here until you close this page.");
  }

  function takeAway() {
    ask(`Take the plan for ${kept().code} off this practice? The results stay.`,
      ["Take it away", () => {
        keep.setOwn("assignment", null);
        keep.setOwn("code", null);
        opener.open = true;
        summary.focus();
        tell("The plan is taken away.");
      }], ["Keep it", null]);
  }

  /** Puts something to the learner, who may leave it; the focus goes there and comes back. */
  function ask(text, ...answers) {
    const question = make("p", { tabindex: "-1" }, text);
    asked.replaceChildren(question, make("p", { class: "qz-plan-acts" }, ...answers.map(([words, act]) => button(words, () => {
      leave();
      if (act) act();
    }))));
    asked.hidden = false;
    showQuietly(status, []);
    question.focus();
  }

  function leave() {
    asked.hidden = true;
    asked.replaceChildren();
    summary.focus();
  }

  asked.addEventListener("keydown", (event) => {
    if (event.key === "Escape") leave();
  });

  function show(why) {
    const plan = kept();
    summary.textContent = plan ? "Open another plan, or take this one away" : "Open your plan";
    away.hidden = !plan;
    if (why === "start" || why === "learner") {
      opener.open = !plan;
      asked.hidden = true;
      showQuietly(status, []);
    }
    showInside(view, ...(plan ? dueNodes(data, plan) : [make("p", {}, "Nothing is handed out to this practice yet.")]));
  }

  place.replaceChildren(view, asked, status, opener);
  show("start");
  return show;
}

function button(text, click) {
  return make("button", { type: "button", click }, text);
}

function called(name) {
  return name || "somebody without a name";
}

/** @returns {string} what was opened, such as "Opened the plan for A-07: 2 modules and 1 case. First due: …" */
function openedWords(data, { code, items }) {
  const called = ({ what }) => {
    const module = data.modules.find(({ id }) => id === what);
    const found = data.cases.find(({ id }) => id === what);
    return module ? `the module ${module.name}` : found ? `the case “${found.name}”` : `“${what}”, which is not in your copy of the course`;
  };
  const first = [...items].sort((a, b) => (a.due < b.due ? -1 : Number(a.due > b.due)))[0];
  if (items.length === 1) return `Opened the plan for ${code}: ${called(first)}, due on ${dayWords(first.due)}.`;
  const cases = items.filter(({ what }) => what.startsWith("case-")).length;
  const kinds = [[items.length - cases, "module"], [cases, "case"]].filter(([count]) => count).map(([count, kind]) => many(count, kind));
  return `Opened the plan for ${code}: ${kinds.join(" and ")}. First due: ${called(first)}, on ${dayWords(first.due)}.`;
}

/** The plan item by item, what is open first; each with its state in words. */
function dueNodes(data, plan) {
  const day = today();
  const items = plan.items.map((one) => itemOf(data, plan, one, day));
  const open = items.filter(({ state }) => state !== "done");
  const sorted = [...open, ...items.filter(({ state }) => state === "done")];
  const next = open.find(({ link }) => link);
  const lead = next ? ["Next: ", next.link(), ` (${next.state === "later" ? dueWords("later", next.due, day).toLowerCase() : next.says.toLowerCase()}).`]
    : [open.length ? "What is still open cannot be practised in this copy of the course." : "All of it is done. Keep it fresh with what is below."];
  return [
    make("p", { class: "qz-plan-whose", tabindex: "-1" }, "Plan for ", make("b", {}, plan.code),
      ` of group ${plan.group}, handed out on ${dayWords(plan.made)}.`),
    make("p", { class: "qz-plan-next" }, ...lead),
    make("ul", { class: "qz-plan-items" }, ...sorted.map(itemNode)),
    make("p", {}, ruleWords(plan)),
  ];
}

/** One thing that was handed out, held against what is kept of it. */
function itemOf(data, plan, { what, due }, day) {
  const module = data.modules.find(({ id }) => id === what);
  const found = data.cases.find(({ id }) => id === what);
  const made = (done, rest) => {
    const state = dueState(done, due, day);
    return { due, state, says: dueWords(state, due, day), cells: [], ...rest };
  };
  if (module && module.questions.length) {
    const results = module.questions.map(([id]) => keep.result(id));
    const kept = results.map(({ lately }) => lately);
    const standing = moduleStanding(kept, plan.done, results.flatMap(({ days }) => days));
    const question = module.questions[nextQuestion(module.questions, results)];
    return made(standing.done, {
      title: linkTo(module.page, module.name), link: () => linkTo(`${question[1]}#q-${question[0]}`, `${module.name}, question ${question[2]}`),
      words: standingWords(standing, plan.done), cells: cellsOf(standing, plan.done),
    });
  }
  if (module) {
    return made(false, {
      title: linkTo(module.page, module.name), link: null, words: "It has no questions to practise any more. Ask your trainer for a new plan.",
    });
  }
  if (found) {
    const { tries, lately } = keep.result(what);
    const done = caseDone(lately);
    return made(done, {
      title: linkTo(found.page, `Case: ${found.name}`), link: () => linkTo(found.page, `Case: ${found.name}`),
      words: done ? "Right the last time you played it." : tries ? "Not right the last time you played it." : "Not played yet.",
    });
  }
  return made(false, {
    title: make("b", {}, what), link: null, words: "This is not in your copy of the course. Ask your trainer for a new copy.",
  });
}

function itemNode({ state, says, due, title, words, cells }) {
  return make("li", { "data-state": state },
    make("p", {}, make("b", { class: "qz-plan-state" }, says), " ", title),
    make("p", { class: "qz-plan-words" }, `${state === "done" ? "Was due" : "Due"} on ${dayWords(due)}. ${words}`),
    ...(cells.length ? [make("p", { class: "qz-plan-last", "aria-hidden": "true" }, ...cells.map((cell) => make("i", { "data-state": cell })))] : []));
}

const linkTo = (page, words) => (page ? make("a", { href: page }, words) : make("b", {}, words));

/** How many of the last answers count, as full and empty boxes; the words say the same. */
function cellsOf({ right, of }, { ofLast }) {
  return Array.from({ length: ofLast }, (_, at) => (at < right ? "done" : at < of ? "fresh" : "open"));
}

function standingWords({ right, of, days, done }, rule) {
  if (!of) return "Not begun.";
  const so = `${right} of your last ${many(of, "answer")} right without help. `
    + (days ? `You had some right on ${many(days, "day")} so far.` : "None was right without help so far.");
  return !done && right >= rule.right ? `${so} That is enough for one day: come back on another.` : so;
}

function ruleWords({ done, items }) {
  const days = done.onDays > 1 ? `, and you had some right on ${done.onDays} different days. Earlier days count for good` : "";
  const module = `A module is done when ${done.right} of your last ${done.ofLast} answers to its questions are right without help${days}. `
    + "A new mistake can open it again.";
  const found = "A case is done when it was right the last time you played it. Once is enough.";
  const cases = items.filter(({ what }) => what.startsWith("case-")).length;
  return [cases < items.length ? module : "", cases ? found : ""].filter(Boolean).join(" ");
}

/* Practise once more */

const NOW_SAYS = { "": ["fresh", "not yet today"], "+": ["done", "right today"], h: ["begun", "with help today"], "-": ["begun", "not right yet today"] };

/** @returns {() => void} brings it up to date */
function startAgain(place, data) {
  const view = make("div", {});
  const isOff = () => keep.own("again", readAgain) === "off";
  const toggle = button("", () => keep.setOwn("again", isOff() ? null : "off"));
  const names = new Map(data.modules.flatMap((module) => module.questions.map(([id, page, number, text]) => (
    [id, { href: `${page}#q-${id}`, title: `${module.name}, question ${number}`, text }]))));

  function show() {
    const off = isOff();
    toggle.textContent = off ? "Propose questions again" : "Stop proposing questions";
    showInside(view, ...(off ? [make("p", {}, "Stopped: nothing is proposed to this practice.")] : againNodes(data, names)));
  }

  place.replaceChildren(view, make("p", { class: "qz-plan-acts" }, toggle));
  show();
  return show;
}

function againNodes(data, names) {
  const day = today();
  const questions = data.modules.flatMap((module) => module.questions.map(([id]) => ({ id, module: module.id, result: keep.result(id) })));
  const { list, next } = againToday(questions, day, data.again);
  const answered = list.filter(({ now }) => now).length;
  const later = next ? `The next question comes back on ${dayWords(next)}.` : "";
  if (!list.length) {
    return [make("p", {}, next ? `Nothing is due again today. ${later}`
      : `Nothing is due again yet. What you have answered comes back here: after ${many(data.again, "day")} if it was right, the next day if it was not.`)];
  }
  return [
    make("p", {}, `${answered} of ${list.length} answered today.`, answered === list.length ? ` That is all for today. ${later}` : ""),
    make("ol", { class: "qz-plan-again" }, ...list.map((one) => againNode(one, names.get(one.id)))),
  ];
}

function againNode({ wrong, wait, now }, { href, title, text }) {
  const [state, says] = NOW_SAYS[now];
  const ago = wait === Infinity ? "Answered some time ago" : `${wrong ? "Not right" : "Right"} ${wait === 1 ? "yesterday" : many(wait, "day") + " ago"}`;
  return make("li", {}, linkTo(href, title), make("span", { class: "qz-done", "data-state": state }, says),
    make("p", { class: "qz-plan-words" }, `${ago}: “${text}”`));
}
