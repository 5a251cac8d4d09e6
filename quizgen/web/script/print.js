/* The switch "with answers" for printing a page of questions. Off, no answer is in the page. */

/** Puts the switch into the place kept for it after the page's last question, once. */
function offerPrint(section) {
  const places = document.querySelectorAll(".qz-paper");
  const place = places[places.length - 1];
  if (!place || place.firstChild) return;
  const box = make("input", { type: "checkbox", autocomplete: "off", change: () => fillAnswers(box.checked) });
  place.append(
    make("label", { class: "qz-switch" }, box, make("span", {}, "Print with answers")),
    make("button", { type: "button", click: () => print() }, "Print this page"),
  );
  // New numbers may have come since the switch was set.
  window.addEventListener("beforeprint", () => fillAnswers(box.checked));
}

function fillAnswers(isOn) {
  for (const room of rooms) {
    room.section.querySelectorAll(".qz-answer").forEach((old) => old.remove());
    if (!isOn) continue;
    const lines = room.parts.flatMap((_, at) => solutionLines(room, at));
    room.section.append(make("div", { class: "qz-answer" },
      make("p", { class: "qz-step" }, "Answer"), ...lines.map((nodes) => make("p", { class: "qz-shown" }, ...nodes))));
  }
}
