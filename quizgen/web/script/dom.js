/* Makes elements and speaks through live regions. Texts stay texts: nothing here parses markup. */

/**
 * @param {string} tag
 * @param {Object<string, string|number|boolean|Function>} attributes functions are listeners, false is left out
 * @param {...(Node|string)} children
 * @returns {HTMLElement}
 */
function make(tag, attributes, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (typeof value === "function") made.addEventListener(name, value);
    else if (value !== false) made.setAttribute(name, value === true ? "" : value);
  }
  made.append(...children);
  return made;
}

/** A symbol with its subscript, from one line like I_L. */
function symbolNodes(text) {
  const [base, ...sub] = text.split("_");
  return [make("i", {}, base), ...(sub.length ? [make("sub", {}, sub.join(" "))] : [])];
}

const waiting = new WeakMap();

/**
 * Says the nodes once. A region that holds something is emptied first, so that the same words are
 * said again; it keeps its height meanwhile.
 */
function announce(region, nodes) {
  clearTimeout(waiting.get(region));
  region.setAttribute("aria-live", "polite");
  const show = () => {
    region.replaceChildren(...nodes);
    region.style.minHeight = "";
  };
  if (!region.firstChild) return show();
  region.style.minHeight = `${region.offsetHeight}px`;
  region.replaceChildren();
  waiting.set(region, setTimeout(show, 40));
}

/** Shows the nodes without saying them; without nodes the region is empty and ready again. */
function showQuietly(region, nodes) {
  clearTimeout(waiting.get(region));
  region.style.minHeight = "";
  region.setAttribute("aria-live", nodes.length ? "off" : "polite");
  region.replaceChildren(...nodes);
}
