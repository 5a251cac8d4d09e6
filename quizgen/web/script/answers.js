/* The answers under the questions, for printing. */

function fillAnswers(isOn) {
  for (const room of rooms) {
    room.section.querySelectorAll(".qz-answer").forEach((old) => old.remove());
    if (!isOn) continue;
    const lines = room.parts.flatMap((_, at) => solutionLines(room, at));
    room.section.append(make("div", { class: "qz-answer" },
      make("p", { class: "qz-step" }, "Answer"), ...lines.map((nodes) => make("p", { class: "qz-shown" }, ...nodes))));
  }
}
