/* The switch "with answers" for printing a page of questions. Off, no answer is in the page. */

/** Puts the switch into the place kept for it after the page's last question, once. */
function offerPrint(section) {
  const places = document.querySelectorAll(".qz-paper");
  const place = places[places.length - 1];
  if (!place || place.firstChild) return;
  const box = make("input", { type: "checkbox", autocomplete: "off", change: () => withMore(() => more.fillAnswers(box.checked), status) });
  const status = make("div", { role: "status", "aria-live": "polite" });
  place.append(
    make("label", { class: "qz-switch" }, box, make("span", {}, "Print with answers")),
    make("button", { type: "button", click: () => print() }, "Print this page"),
  );
  place.after(status);
  // New numbers may have come since the switch was set.
  window.addEventListener("beforeprint", () => more && more.fillAnswers(box.checked));
}
