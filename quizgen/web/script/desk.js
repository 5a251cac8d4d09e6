/* What the panel opens: the learners, and saving, loading and clearing. Questions are asked in the panel
   itself, and whatever is asked can be left. */

/**
 * @param {HTMLElement} place
 * @param {Keep} keep
 * @param {{opener: HTMLElement, body: HTMLElement, status: HTMLElement}} line what is there already
 * @returns {{show: (open: boolean) => void, update: (why?: string) => void}}
 */
function openDesk(place, keep, { opener, body, status }) {
  const names = make("ul", { class: "qz-learners" });
  const field = make("input", { id: "qz-new-name", type: "text", autocomplete: "off", maxlength: "40" });
  const begin = make("button", { type: "submit" }, "Begin");
  const call = button("Put this name on the practice above", () => named(keep.rename));
  const form = make("form", { class: "qz-new", submit: (event) => { event.preventDefault(); named(keep.switchTo); } },
    make("label", { for: "qz-new-name" }, "New name"), field, begin, call);
  const note = make("p", { class: "qz-note" });
  const asked = make("div", { class: "qz-asked", role: "group", "aria-label": "Your decision", hidden: true });
  const acts = make("p", { class: "qz-panel-acts" },
    button("Hand in a progress slip", hand), button("Save to a file", save), button("Load a file", load), button("Clear", clear));
  let from = opener;

  function button(text, click, extra) {
    return make("button", { type: "button", click, ...extra }, text);
  }

  function show(open) {
    body.hidden = !open;
    opener.setAttribute("aria-expanded", String(open));
    if (!open) leave();
  }

  const tell = (text) => announce(status, [text]);

  function named(use) {
    const name = readName(field.value);
    if (!name) {
      tell("Type a name first.");
      field.focus();
      return;
    }
    const taken = use === keep.rename && keep.learners().some((one) => one.toLowerCase() === name.toLowerCase());
    if (taken) {
      tell(`${name} has practice here already. Press Begin to go on with it.`);
      return;
    }
    use(name);
    field.value = "";
    tell(`This is the practice of ${called(keep.learner)} now.`);
  }

  /* Puts something to the learner. What is asked takes the focus and gives it back. */
  function ask(text, ...inside) {
    const question = make("p", { tabindex: "-1" }, text);
    asked.replaceChildren(question, ...inside);
    asked.hidden = false;
    status.textContent = "";
    question.focus();
  }

  function leave() {
    if (asked.hidden) return;
    asked.replaceChildren();
    asked.hidden = true;
    (from.isConnected && !body.hidden ? from : opener).focus();
  }

  function answers(...pairs) {
    return make("p", { class: "qz-panel-acts" }, ...pairs.map(([text, act]) => button(text, () => {
      leave();
      if (act) act();
    })));
  }

  function clear({ currentTarget }) {
    from = currentTarget;
    ask(`Clear all results of ${called(keep.learner)} on this device? They cannot be brought back, except from a file.`,
      answers(["Clear them", () => { keep.clear(); tell("The results are cleared."); }], ["Keep them"]));
  }

  function remove(name) {
    return ({ currentTarget }) => {
      from = currentTarget;
      ask(`Remove ${called(name)} and all their results from this device? They cannot be brought back, except from a file.`,
        answers(["Remove", () => {
          keep.remove(name);
          tell(`${called(name)} is removed.`);
          focusNow();
        }], ["Leave as it is"]));
    };
  }

  function dropDamaged() {
    from = opener;
    ask("Throw away what could not be read? It cannot be brought back.",
      answers(["Throw it away", () => keep.dropDamaged()], ["Leave it there"]));
  }

  function save({ currentTarget }) {
    from = currentTarget;
    const text = keep.exportText();
    const file = fileName(keep.learner);
    const box = make("textarea", { readonly: true, rows: "4", "aria-label": "Your practice as text", focus: () => box.select() });
    box.value = text;
    if (!download(file, text)) {
      ask("This browser makes no file. Copy this text and keep it; it can be pasted under Load a file.", box, answers(["Close"]));
      return;
    }
    const plan = keep.own("assignment", readKeptPlan);
    const handed = plan ? ` Your plan for ${plan.code} is in it. So keep this file for your own devices: hand in a progress slip instead.` : "";
    ask(`Saved as ${file}.${handed}`, answers(["Close"], ["No file? Show the text", () => {
      ask("Copy this text and keep it. It can be pasted under Load a file.", box, answers(["Close"]));
    }]));
  }

  function hand({ currentTarget }) {
    from = currentTarget;
    handIn(keep, { ask, answers, button, leave, tell });
  }

  function load({ currentTarget }) {
    from = currentTarget;
    const pick = make("input", { type: "file", id: "qz-file", accept: ".json,application/json", change: read });
    const box = make("textarea", { id: "qz-paste", rows: "3", spellcheck: "false", autocomplete: "off" });
    const why = make("p", { role: "status", "aria-live": "polite" });

    function look(text) {
      const found = keep.readText(text);
      if (found.ok) decide(found);
      else why.textContent = found.says;
    }

    function read() {
      const [file] = pick.files;
      why.textContent = "";
      if (!file) return;
      if (file.size > FILE_LONGEST * 4) {
        why.textContent = "This is too large for saved practice. Nothing was loaded.";
        return;
      }
      file.text().then(look, () => { why.textContent = "This file could not be opened. Nothing was loaded."; });
    }

    ask("Choose the file with your saved practice, or paste its text.",
      make("label", { for: "qz-file" }, "File"), pick, make("label", { for: "qz-paste" }, "Text"), box,
      why, make("p", { class: "qz-panel-acts" }, button("Read the text", () => look(box.value)), button("Leave it", leave)));
  }

  function decide(found) {
    const here = keep.learner;
    const take = (replace, name) => () => {
      if (name !== undefined) keep.switchTo(name);
      keep.take(found, replace);
      tell(keep.works ? "Loaded." : "Loaded, but this browser does not keep it: it is here until you close this page.");
    };
    const other = found.learner && found.learner.toLowerCase() !== here.toLowerCase();
    const whose = found.learner ? `This is the practice of ${found.learner}. ` : "";
    const mine = keep.own("code", readCode);
    const apart = found.code && mine && mine !== found.code
      ? `The code here is ${mine}, the one in the file is ${found.code}. If you join the two, ${mine} stays, with its plan. ` : "";
    ask(`${whose}${found.says} ${apart}What shall happen to the results of ${called(here)} on this device?`, answers(
      ["Join the two", take(false)],
      ["Use only the file's", take(true)],
      ...(other ? [[`Leave them, go on as ${found.learner}`, take(false, found.learner)]] : []),
      ["Load nothing"],
    ));
  }

  function list() {
    const now = keep.learner;
    const everybody = keep.learners();
    names.replaceChildren(...everybody.map((name) => make("li", {},
      button(called(name), () => {
        keep.switchTo(name);
        tell(`This is the practice of ${called(name)} now.`);
        focusNow();
      }, { "aria-pressed": String(name === now), class: "qz-learner" }),
      button("Remove", remove(name), { "aria-label": `Remove ${called(name)}` }))));
  }

  /* The list is made anew when a learner comes or goes; the focus stays in it. */
  function focusNow() {
    names.querySelector("[aria-pressed=true]").focus();
  }

  place.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || body.hidden) return;
    if (asked.hidden) {
      show(false);
      opener.focus();
    } else leave();
  });
  body.append(names, form, acts, asked, status, note);

  function update(why) {
    note.replaceChildren(...panelNotes(keep).flatMap((text) => [text, " "]));
    if (keep.damaged) note.append(button("Throw it away", dropDamaged));
    if (why !== "results" || !names.firstChild) list();
    call.hidden = Boolean(keep.learner) || !keep.isBegun();
  }

  update();
  return { show, update };
}

function called(name) {
  return name || "somebody without a name";
}

/** What there is to know about where results lie. */
function panelNotes(keep) {
  const found = ["Results stay on this device, in this browser. Nothing is sent anywhere."];
  if (!keep.works) {
    found[0] = "This browser keeps nothing for this page: its storage is switched off, private or full. "
      + "Your results last until you close the page. Save them to a file, and load it when you come back.";
  } else if (keep.perFile) {
    found[0] = "Opened from a folder, this browser keeps a store of its own for every file: what you do on one page is not "
      + "seen on another. Save a file and load it there, or use the course from a web address or in another browser.";
  }
  if (keep.damaged) {
    found.push("Something that was kept here could not be read. It was put aside, and practice goes on without it.");
  }
  return found;
}

function fileName(learner) {
  const name = learner.toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-|-$/g, "");
  return [COURSE.id, name, today()].filter(Boolean).join("-") + ".json";
}

/** @returns {boolean} false where the browser can make no file */
function download(name, text) {
  try {
    const address = URL.createObjectURL(new Blob([text], { type: "application/json" }));
    const link = make("a", { href: address, download: name, hidden: true });
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(address), 60000);
    return "download" in link;
  } catch {
    return false;
  }
}
