/* The buttons that move a step of an order. */

/** Up and down for every step of the list; where it went is said in a region after `region`. `moved` hears of each move. */
function placeButtons(list, region, moved) {
  const status = make("div", { class: "qz-unseen", role: "status", "aria-live": "polite", "aria-atomic": "true" });
  const move = (item, by) => {
    const items = [...list.children];
    const to = items.indexOf(item) + by;
    if (to < 0 || to >= items.length) return false;
    if (by < 0) items[to].before(item);
    else items[to].after(item);
    return true;
  };
  for (const item of list.children) {
    const text = item.querySelector(".qz-move").textContent;
    const button = (name, by) => make("button", {
      type: "button", class: `qz-shift qz-${name}`, "aria-label": `${name}: ${text}`,
      click({ currentTarget }) {
        const could = move(item, by);
        // Moving an element takes its focus away.
        currentTarget.focus();
        const place = [...list.children].indexOf(item) + 1;
        announce(status, [could ? `${text}: now in place ${place} of ${list.children.length}.`
          : `${text}: already in place ${place} of ${list.children.length}.`]);
        if (could) moved();
      },
    }, make("span", { "aria-hidden": "true" }, by < 0 ? "\u2191" : "\u2193"));
    item.append(button("up", -1), button("down", 1));
  }
  region.after(status);
}
