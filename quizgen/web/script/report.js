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

/** Opens the box below the buttons, or closes it. */
function showReport(room, panel) {
  if (!panel.firstChild) {
    const told = make("span", { class: "qz-told", role: "status", "aria-live": "polite", "aria-atomic": "true" });
    const box = make("textarea", { id: `${panel.id}-text`, rows: "8", spellcheck: "false" });
    panel.append(make("label", { for: box.id }, "Add what looks wrong to you, and give this text to your trainer."),
      box, make("button", { type: "button", click: () => copyText(box, told) }, "Copy"), told);
  }
  panel.hidden = !panel.hidden;
  room.acts.report.setAttribute("aria-expanded", String(!panel.hidden));
  if (panel.hidden) return;
  const box = panel.querySelector("textarea");
  showQuietly(panel.querySelector(".qz-told"), []);
  box.value = reportText(room);
  box.focus();
  box.setSelectionRange(box.value.length, box.value.length);
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
