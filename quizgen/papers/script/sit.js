/* Sitting a paper: rules, questions, review, hand-in. Nothing is sent, nothing is kept in the browser. */

const $ = (selector) => document.querySelector(selector);
const state = { saved: JSON.stringify(allAnswers()), started: 0, over: false, told: [] };

function make(tag, attributes, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (typeof value === "function") made.addEventListener(name, value);
    else made.setAttribute(name, value);
  }
  made.append(...children);
  return made;
}

const button = (words, click, kind = "") => make("button", { type: "button", click, class: kind }, words);

function say(text) {
  $("#said").textContent = "";
  setTimeout(() => { $("#said").textContent = text; }, 40);
}

// What was read

/** What stands beside a box, and what is worth a second look before handing in. */
function readingOf(box) {
  const answer = answerOf(box);
  if (!answer) return { read: "", remark: "nothing here yet" };
  if (box.dataset.kind === "options") return { read: answer, remark: "" };
  if (box.dataset.kind === "places") {
    const remark = placesRemark(answer);
    return { read: remark ? "" : answer, remark };
  }
  const got = readNumber(answer, UNITS);
  if ("why" in got) return { read: "", remark: got.says };
  const shown = Number(got.digits) === Math.abs(got.number)
    ? spaced((got.number < 0 ? "-" : "") + got.digits) : `${got.number}`.replace("-", "\u2212");
  const asked = box.dataset.unit ? readUnit(box.dataset.unit, UNITS) : null;
  const unit = got.unit ? got.unit.text : box.dataset.unit;
  return { read: withUnit(shown, unit), remark: numberRemark(box, got, asked) };
}

function numberRemark(box, got, asked) {
  if (box.dataset.named === "1" && !got.unit) return "no unit yet: one is asked for";
  if (asked && asked.dimension && got.unit && got.unit.dimension !== asked.dimension) return "another kind of unit";
  const wanted = Number(box.dataset.figures);
  const figures = got.digits.replace(".", "").replace(/^0+/, "").length;
  if (wanted && got.number && figures < wanted) return `${figures} of ${wanted} figures`;
  return "";
}

function placesRemark(answer) {
  const ranks = answer.split(" ");
  const whole = ranks.every((rank) => /^\d+$/.test(rank) && rank >= 1 && rank <= ranks.length);
  return whole && new Set(ranks).size === ranks.length ? "" : `each number from 1 to ${ranks.length} once`;
}

function echo(box) {
  const place = box.querySelector(".read");
  if (!place) return;
  const { read, remark } = readingOf(box);
  const typed = box.querySelector("input").value;
  place.textContent = typed && read ? `= ${read}` : typed ? "no number yet" : "";
  place.title = typed ? remark : "";
}

// The parts of the page, one at a time

function show(part) {
  document.body.dataset.part = part;
  $("#said").textContent = "";
  for (const [name, acts] of Object.entries(bar)) acts.hidden = name !== part;
  window.scrollTo(0, 0);
}

function begin() {
  show("questions");
  if (!state.started) {
    state.started = performance.now();
    setInterval(tick, 1000);
    tick();
  }
  boxes[0][0].querySelector("input").focus({ preventScroll: true });
}

/** The answers one below the other, each as it was read; the number of each leads back to it. */
function review() {
  const blank = [];
  const rows = boxes.flatMap((question, at) => question.map((box, i) => {
    const { read, remark } = readingOf(box);
    const name = question.length > 1 ? `${at + 1}.${i + 1}` : `${at + 1}`;
    const back = button(name, () => {
      show("questions");
      (box.matches("fieldset") ? box : box.querySelector("input")).focus();
    });
    back.setAttribute("aria-label", `Change ${name}`);
    if (!answerOf(box)) blank.push(name);
    return make("tr", remark ? { class: "look" } : {},
      make("th", { scope: "row" }, back), make("td", {}, answerOf(box) || "\u2013"), make("td", {}, read),
      make("td", {}, remark));
  }));
  const head = ["Change", "As typed", "As read", "Look again"].map((text) => make("th", { scope: "col" }, text));
  const looks = rows.filter((row) => row.className).length;
  const words = looks ? `${looks} ${looks > 1 ? "answers are" : "answer is"} worth a second look.` : "Every answer could be read.";
  const empty = blank.length ? `Nothing is written yet in ${blank.join(", ")}.` : "";
  $(".review").replaceChildren(
    make("h3", { tabindex: "-1" }, "How your answers were read"), make("p", {}, words), ...(empty ? [make("p", { class: "blank" }, empty)] : []),
    make("div", { class: "wide" }, make("table", {}, make("thead", {}, make("tr", {}, ...head)), make("tbody", {}, ...rows))),
  );
  show("review");
  $(".review h3").focus();
}

// Files

function download(name, text) {
  const address = URL.createObjectURL(new Blob([text], { type: "application/json" }));
  make("a", { href: address, download: name }).click();
  setTimeout(() => URL.revokeObjectURL(address), 60000);
}

function save() {
  const { text } = makeForm();
  download(`paper-${PAPER.number}.json`, text);
  state.saved = JSON.stringify(allAnswers());
  say("Saved as a file. Read it back into this paper, or hand it in.");
}

async function readBack(event) {
  const [file] = event.target.files;
  if (!file) return;
  if (JSON.stringify(allAnswers()) !== state.saved
    && !window.confirm("What you typed since you last saved is replaced by the file. Read it back?")) {
    event.target.value = "";
    return;
  }
  const why = file.size > 1e6 ? "This file is too large for a hand-in form." : takeForm(await file.text());
  event.target.value = "";
  boxes.flat().forEach(echo);
  if (!why) state.saved = JSON.stringify(allAnswers());
  say(why || "Your answers are back.");
}

function handIn() {
  const { text, check } = makeForm();
  download(`paper-${PAPER.number}.json`, text);
  state.saved = JSON.stringify(allAnswers());
  state.over = true;
  boxes.flat().forEach((box) => box.querySelectorAll("input").forEach((input) => { input.disabled = true; }));
  $(".review").replaceChildren(
    make("h3", { tabindex: "-1" }, "Handed in as a file"),
    make("p", {}, `Give the file paper-${PAPER.number}.json to the invigilator.`),
    make("p", {}, "Write this check code on the sign-off sheet: ", make("b", { class: "check" }, check)),
    make("p", {}, button("Save the file again", () => download(`paper-${PAPER.number}.json`, text))),
  );
  show("over");
  $(".review h3").focus();
}

// The clock: it only helps

const SPOKEN = [10, 5, 1];

function tick() {
  const left = PAPER.minutes * 60 - (performance.now() - state.started) / 1000;
  const minutes = Math.max(0, Math.ceil(left / 60));
  const on = $("#clock-on").checked && !state.over;
  const shown = minutes ? `${minutes} min left` : "Time is over. Nothing is locked: ask the invigilator.";
  $("#clock").textContent = on ? shown : "";
  const due = SPOKEN.filter((mark) => minutes <= mark && mark < PAPER.minutes && !state.told.includes(mark));
  state.told.push(...due);
  // A computer that slept may have missed some: the time that is left now is said once.
  if (due.length && on && minutes) say(`About ${minutes} ${minutes > 1 ? "minutes" : "minute"} left.`);
}

// Putting it together

const file = make("input", { type: "file", accept: ".json,application/json", change: readBack, id: "back", class: "unseen" });
const hand = button("Hand in", handIn, "main");
// Enter is for the boxes; a slip of that key must not end a paper.
hand.addEventListener("keydown", (event) => { if (event.key === "Enter") event.preventDefault(); });
const bar = {
  questions: make("div", { class: "acts" }, button("Review", review, "main"),
    button("Save what I have", save), button("Read it back", () => file.click()),
    make("label", { class: "switch" }, make("input", { type: "checkbox", id: "clock-on", checked: "", autocomplete: "off", change: () => tick() }), "Clock"),
    make("span", { id: "clock" })),
  review: make("div", { class: "acts" }, hand, make("span", { class: "hint" }, "mouse, touch or space bar"),
    button("Back to the questions", () => show("questions")), button("Save what I have", save)),
  over: make("div", { class: "acts" }, make("span", {}, "Handed in. Nothing more to do.")),
};
$(".bar").append(...Object.values(bar), file);
$(".start").append(
  button("I have read the rules. Start.", begin, "main"),
  button("Read back what I saved", () => file.click()),
);
document.addEventListener("input", (event) => {
  const box = event.target.closest(".box");
  if (!box) return;
  echo(box);
  $("#said").textContent = "";
});
document.addEventListener("keydown", (event) => {
  if (event.key === "Enter" && event.target.matches(".box input")) event.preventDefault();
});
window.addEventListener("beforeunload", (event) => {
  if (JSON.stringify(allAnswers()) !== state.saved) event.preventDefault();
});
show("rules");
