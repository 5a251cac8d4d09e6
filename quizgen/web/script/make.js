/**
 * Makes an element. Texts among the children become text, never markup.
 * @param {string} tag
 * @param {Object<string, string|boolean|((event: Event) => void)>} attributes true stands alone, false is
 *   left out, a function hears the event of that name
 * @param {...(Node|string)} inside
 * @returns {HTMLElement}
 */
function make(tag, attributes, ...inside) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes || {})) {
    if (typeof value === "function") made.addEventListener(name, value);
    else if (value !== false) made.setAttribute(name, value === true ? "" : value);
  }
  made.append(...inside);
  return made;
}
