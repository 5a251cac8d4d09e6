/* "Something wrong here?": a text that names the place exactly, to be handed to whoever keeps the course. */

/** @returns {string} without a query, and from a folder without the folders above the course */
function reportText(room) {
  const { data, set } = room;
  const typed = room.parts.map((part, at) => `  ${room.parts.length > 1 ? `step ${at + 1}: ` : ""}${part.describe() || "(nothing)"}`);
  const page = location.protocol === "file:" ? thisPage() : location.origin + location.pathname;
  return [
    `Course: ${COURSE.id}, version ${COURSE.version}`,
    `Question: ${data.id}`,
    ...(set ? [`Numbers: ${set.name}`] : []),
    "Typed:", ...typed,
    `Page: ${page}`,
    "What is wrong: ",
  ].join("\n");
}

/** The button and, once asked for, the box. */
function reportButton(room) {
  const id = `q-${room.data.id}-report`;
  const box = make("textarea", { id: `${id}-text`, rows: "8", spellcheck: "false" });
  const told = make("span", { class: "qz-told", role: "status", "aria-live": "polite", "aria-atomic": "true" });
  const copy = make("button", { type: "button", click: () => copyText(box, told) }, "Copy");
  const panel = make("div", { class: "qz-report", id, hidden: true },
    make("label", { for: `${id}-text` }, "Add what looks wrong to you, and give this text to your trainer."),
    box, copy, told);
  const button = make("button", {
    type: "button", class: "qz-quiet", "aria-expanded": "false", "aria-controls": id,
    click() {
      panel.hidden = !panel.hidden;
      button.setAttribute("aria-expanded", String(!panel.hidden));
      if (panel.hidden) return;
      showQuietly(told, []);
      box.value = reportText(room);
      box.focus();
      box.setSelectionRange(box.value.length, box.value.length);
    },
  }, "Something wrong here?");
  return { button, panel };
}

/** By the clipboard where the browser has one here; else the text is selected for copying by hand. */
async function copyText(box, told) {
  box.focus();
  box.select();
  try {
    await navigator.clipboard.writeText(box.value);
    announce(told, ["Copied."]);
  } catch {
    announce(told, ["Selected. Copy it with your device's own command."]);
  }
}
