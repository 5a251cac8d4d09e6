/* The panel's line, always in view: whose practice this is, and how far they are. What opens below it
   comes with the second script (desk.js). */

const panels = new WeakSet();
let showPanel = null;

/** @param {Keep} keep */
function startPanel(keep) {
  if (!showPanel) {
    followWhere(keep);
    keep.onChange((why) => {
      showProgress(keep);
      showPanel(why);
    });
  }
  const place = document.querySelector(".qz-panel");
  if (place && !panels.has(place)) {
    panels.add(place);
    showPanel = buildPanel(place, keep);
  }
  showPanel = showPanel || (() => {});
  showProgress(keep);
  showPanel();
}

/** @returns {(why?: string) => void} brings the panel up to date */
function buildPanel(place, keep) {
  const says = make("span", { class: "qz-panel-says" });
  const status = make("div", { role: "status", "aria-live": "polite", "aria-atomic": "true" });
  const body = make("div", { id: "qz-panel-body", class: "qz-panel-body", hidden: true });
  const opener = make("button", {
    type: "button", "aria-expanded": "false", "aria-controls": body.id,
    click: () => withMore(() => {
      desk = desk || more.openDesk(place, keep, { opener, body, status });
      desk.show(body.hidden);
    }, status),
  }, "Whose practice is this?");
  let desk = null;
  place.setAttribute("role", "region");
  place.setAttribute("aria-label", "Your practice");
  place.append(make("p", { class: "qz-panel-line" }, says, " ", opener), body, status);
  // Single letters are shortcuts of the theme, for everything but text fields.
  place.addEventListener("keydown", (event) => event.stopPropagation());

  return (why) => {
    says.textContent = panelLine(place, keep);
    place.dataset.works = String(keep.works && !keep.perFile);
    if (desk) desk.update(why);
  };
}

function panelLine(place, keep) {
  if (!keep.works) return "Nothing is kept on this device. Save a file before you go.";
  if (keep.perFile) return "This browser keeps results for each page apart. Save a file to have them in one place.";
  const overview = place.closest(".qz-overview");
  const all = overview ? cellsIn(overview) : [...document.querySelectorAll("section[data-question]")];
  const done = all.filter(({ dataset }) => stateOf(keep, dataset.question) === "done").length;
  const whose = keep.learner ? `Practice of ${keep.learner}` : "Your practice";
  return all.length ? `${whose}: ${done} of ${all.length} done.` : `${whose}.`;
}
