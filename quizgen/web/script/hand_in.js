/* Handing in: asks for the learner's code where none is kept, then offers the progress slip as a file and as
   text. What makes the slip comes as a script of its own (slip.js), since few pages are left with it. */

/** Where this script came from: the other lies beside it. */
const BESIDE = document.currentScript ? document.currentScript.src : "";
let slips = null;

/** Does `act` with the script that makes slips; where it cannot be loaded, `fail`. */
function withSlips(act, fail) {
  if (slips) {
    act();
    return;
  }
  const script = make("script", {
    src: new URL(SLIP, BESIDE).href,
    load: () => { script.remove(); (slips ? act : fail)(); },
    error: () => { script.remove(); fail(); },
  });
  // `first` is what the first script handed over to this one.
  script.handOver = (build) => { slips = build(first); };
  document.head.append(script);
}

/** The code that the trainer gave, "" where none is kept: the one place that reads it. */
const codeKept = (keep) => (keep.own && keep.own("code", (raw) => (slips.isCode(raw) ? raw : null))) || "";

/**
 * @param {Keep} keep
 * @param {{ask: Function, answers: Function, button: Function, leave: Function, tell: Function}} desk
 */
function handIn(keep, desk) {
  withSlips(() => {
    const code = codeKept(keep);
    if (code) offerSlip(keep, desk, code);
    else askForCode(keep, desk, "");
  }, () => desk.tell("A part of this page could not be loaded, so no slip can be made now. Your results are kept."));
}

function askForCode(keep, desk, code) {
  const field = make("input", { id: "qz-code", type: "text", autocomplete: "off", autocapitalize: "characters", spellcheck: "false", maxlength: "20", value: code });
  const why = make("p", { role: "status", "aria-live": "polite" });
  const form = make("form", { class: "qz-new", submit: (event) => { event.preventDefault(); take(); } },
    make("label", { for: "qz-code" }, "Your code"), field, make("button", { type: "submit" }, "Go on"), desk.button("Leave it", desk.leave));

  function take() {
    const typed = field.value.trim();
    if (!slips.isCode(typed)) {
      announce(why, ["A code has letters, digits and -, at most 20, like A-07. Do not type your name."]);
      field.focus();
      return;
    }
    if (keep.setOwn) keep.setOwn("code", typed);
    offerSlip(keep, desk, typed);
  }

  desk.ask("Which code did your trainer give you? The slip goes by it, so that your name stays here.", form, why);
}

function offerSlip(keep, desk, code) {
  // Names and typed answers stay behind: only the results are taken over.
  const { results } = JSON.parse(keep.exportText());
  const count = Object.values(results).filter(({ tries }) => tries).length;
  if (!count) {
    desk.ask("Nothing was answered on this device yet, so there is nothing to hand in.", desk.answers(["Close"]));
    return;
  }
  desk.ask(`This slip goes by the code ${code} and tells of ${count} ${count === 1 ? "question" : "questions"}: how often each was answered, `
    + "on which days, with which mistakes and how much help. Your name and what you typed are not in it. It shows your trainer what to talk about. It proves nothing.",
  desk.answers(
    ["Save the slip as a file", () => saveSlip(desk, code, results)],
    ["Show it as text for a message", () => showSlip(desk, code, results)],
    ["Another code", () => askForCode(keep, desk, code)],
    ["Close"],
  ));
}

function saveSlip(desk, code, results) {
  const file = `progress-${COURSE.id}-${code}-${today()}.json`;
  const text = slips.slipFile(code, results);
  if (download(file, text)) desk.ask(`Saved as ${file}. Hand this file to your trainer.`, desk.answers(["Close"]));
  else showSlip(desk, code, results, "This browser makes no file. ");
}

function showSlip(desk, code, results, before = "") {
  const box = make("textarea", { readonly: true, rows: "6", "aria-label": "Your progress slip as text", focus: () => box.select() });
  const told = make("span", { role: "status", "aria-live": "polite" });
  box.value = slips.slipText(code, results);
  desk.ask(`${before}Copy all of this into a message to your trainer, up to the point at its end.`, box,
    make("p", { class: "qz-panel-acts" }, desk.button("Copy", () => copyText(box, told)), desk.button("Close", desk.leave), told));
}
